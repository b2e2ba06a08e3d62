"""The page that tells a phone how to trust the studio, and hands it the certificate.

It is served in plain http, since a phone that does not trust the studio yet cannot be shown
anything else without a warning.  So somebody in the network could hand out a certificate of his
own: the page says to compare the fingerprint with the one on the computer's screen, which did not
come that way.  There is nothing else here and nothing can be sent.
"""

from __future__ import annotations

from dataclasses import replace

from fastapi import FastAPI
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response

from pegwright.errors import PegwrightError
from pegwright.studio.answers import file_answer
from pegwright.studio.pages import page
from pegwright.studio.phones.lan import LanGuard, add_files
from pegwright.studio.settings import Settings
from pegwright.studio.state import Studio

__all__ = ["CERTIFICATE_NAME", "CERTIFICATE_TYPE", "trust_app"]

CERTIFICATE_NAME = "pegwright.crt"
CERTIFICATE_TYPE = "application/x-x509-ca-cert"
"""The type by which phones know a certificate to trust (common practice, no source)."""


def trust_app(studio: Studio, root_der: bytes, *, host: str, port: int, onward: str) -> FastAPI:
    """The app.

    :param root_der: the certificate.
    :param onward: where a phone that trusts the studio goes on.
    """
    app = FastAPI(title="Trust the studio", docs_url=None, redoc_url=None, openapi_url=None)
    app.state.studio = replace(studio, token="", places=(), tasks=())

    @app.get("/", response_class=HTMLResponse)
    def how(request: Request) -> Response:
        """How to trust it."""
        title = "Trust the studio"
        return page(request, "follow_trust.html", here="", title=title, onward=onward)

    @app.get(f"/{CERTIFICATE_NAME}")
    def certificate() -> Response:
        """The certificate."""
        return file_answer(root_der, CERTIFICATE_TYPE, CERTIFICATE_NAME)

    add_files(app)
    app.add_exception_handler(HTTPException, _refused)
    settings = Settings(host=host, port=port, library=studio.settings.library)
    app.add_middleware(LanGuard, settings=settings, token="")
    return app


async def _refused(_: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    words = PegwrightError("there is no such page here", hint="open the address that is shown")
    return JSONResponse(words.as_data(), error.status_code)
