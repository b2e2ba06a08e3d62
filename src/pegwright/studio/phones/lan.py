"""What a phone in the same network can reach, once the maker has turned sharing on.

A second app, which has only this: the page on which a phone is paired, the pages at the loom, their
static files, and the API that brings counts together.  Designs, the library and everything else of
the studio are not in it at all, so no slip in a check could open them.

It answers to exactly one ``Host``, that of its own address; a request that changes something must
name its own pages as ``Origin``; and everything but pairing, static files and what a phone installs
the page by wants the token of a paired device, which its browser holds in a cookie that no script
can read and no other site can make it send.
"""

from __future__ import annotations

import socket
import ssl
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files
from typing import Annotated

import uvicorn
from fastapi import Depends, FastAPI
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from pegwright.errors import BadInput, NotPossible, PegwrightError
from pegwright.studio.follow.api import install_pages, list_makings, shared, shared_pages
from pegwright.studio.follow.keeping import Follower
from pegwright.studio.pages import page
from pegwright.studio.phones.pairing import MOST_DEVICES, PairedDevice, Pairing, TooManyTries
from pegwright.studio.refusals import ANSWERS, NotAllowed, status_of
from pegwright.studio.security import Guard
from pegwright.studio.settings import Settings
from pegwright.studio.shapes import Asked
from pegwright.studio.state import Studio

__all__ = ["COOKIE", "LanGuard", "LanServer", "add_files", "lan_app"]

COOKIE = "pegwright_device"
_COOKIE_LASTS_S = 180 * 24 * 3600
_SHARED_FILES = ("follow", "studio.css", "icon.svg", "icons.svg", "look.js")
_SAFE = frozenset({"GET", "HEAD"})


class NotPaired(NotAllowed):
    """The device is not paired, or not any more."""


class PairAsked(Asked):
    """The code that the studio shows, and what the phone is to be called."""

    code: Annotated[str, Field(min_length=1, max_length=40)]
    name: Annotated[str, Field(max_length=60)] = ""


class Paired(BaseModel):
    """The phone as it is on the list now."""

    id: str
    name: str


class LanGuard(Guard):
    """As the studio's own guard, for one address that is not the loopback's."""

    def _check_sender(self, scope: Scope, headers: dict[str, str]) -> None:
        own = self._settings.address.rstrip("/")
        host = headers.get("host", "").lower()
        if host != own.partition("://")[2]:
            raise NotAllowed(
                "there is no such page here", given=host or "no Host", hint=f"open {own}/"
            )
        if scope["method"] in _SAFE:
            return
        if headers.get("origin", "").lower() != own:
            raise NotAllowed("the request comes from another page", given=headers.get("origin"))
        if headers.get("sec-fetch-site", "same-origin") != "same-origin":
            raise NotAllowed("the request comes from another page")


class _OnlyThese(StaticFiles):
    """The static files of the pages at the loom, and no others of the studio."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        if not path.startswith(_SHARED_FILES):
            raise HTTPException(404)
        answer = await super().get_response(path, scope)
        answer.headers["cache-control"] = "no-cache"
        return answer


def lan_app(
    studio: Studio,
    follower: Follower,
    pairing: Pairing,
    *,
    host: str,
    port: int,
    heard: Callable[[PairedDevice], None],
    encrypted: bool = False,
) -> FastAPI:
    """The app for phones.

    :param heard: told of every request of a paired device.
    :param encrypted: it is served over https.
    """
    app = FastAPI(title="Pegwright at the loom", docs_url=None, redoc_url=None, openapi_url=None)
    app.state.studio = replace(studio, token="", places=())
    app.state.follower = follower

    def paired(request: Request) -> PairedDevice:
        """The device that asks.

        :raises NotPaired: where it is on no list.
        """
        device = pairing.devices.find(request.cookies.get(COOKIE, ""))
        if device is None:
            raise NotPaired(
                "this phone is not paired",
                hint="turn sharing on in the studio, under At the loom, and pair it there",
            )
        heard(device)
        return device

    app.include_router(shared, dependencies=[Depends(paired)])
    app.include_router(install_pages)
    _add_pairing(app, pairing, encrypted=encrypted)
    _add_pages(app, paired)
    app.include_router(shared_pages, dependencies=[Depends(paired)])
    add_files(app)
    for error in (PegwrightError, RequestValidationError, HTTPException):
        app.add_exception_handler(error, _refused)
    settings = Settings(
        host=host,
        port=port,
        scheme="https" if encrypted else "http",
        library=studio.settings.library,
    )
    app.add_middleware(LanGuard, settings=settings, token="")
    return app


def add_files(app: FastAPI) -> None:
    """The static files and the fonts of the pages at the loom."""
    for path, package, folder, kind in (
        ("/static", "pegwright.studio", "static", _OnlyThese),
        ("/fonts", "pegwright.publish", "fonts", StaticFiles),
    ):
        app.mount(path, kind(directory=str(files(package).joinpath(folder))), name=folder)


def _add_pairing(app: FastAPI, pairing: Pairing, *, encrypted: bool) -> None:
    @app.post("/api/pair", status_code=201, responses=ANSWERS)
    def pair(asked: PairAsked, response: Response) -> Paired:
        """Pair the phone that asks."""
        device, token = pairing.pair(asked.code, asked.name)
        response.set_cookie(
            COOKIE,
            token,
            max_age=_COOKIE_LASTS_S,
            httponly=True,
            samesite="strict",
            secure=encrypted,
            path="/",
        )
        return Paired(id=device.id, name=device.name)

    @app.get("/pair", response_class=HTMLResponse)
    def pair_page(request: Request) -> Response:
        """Where the code is typed; a phone that is paired already goes on."""
        if pairing.devices.find(request.cookies.get(COOKIE, "")) is not None:
            return RedirectResponse("/follow/", 303)
        return page(
            request, "follow_pair.html", here="", title="Pair this phone", encrypted=encrypted
        )


def _add_pages(app: FastAPI, paired: Callable[[Request], PairedDevice]) -> None:
    @app.get("/")
    def start() -> Response:
        """To the makings."""
        return RedirectResponse("/follow/", 303)

    @app.get("/follow/", response_class=HTMLResponse, dependencies=[Depends(paired)])
    def phone_list(request: Request) -> Response:
        """The makings that are not finished."""
        state = request.app.state
        makings = list_makings(state.studio, state.follower, finished=False)
        return page(request, "follow_phone.html", here="", title="At the loom", makings=makings)


async def _refused(request: Request, error: Exception) -> Response:
    """Every refusal in the one shape; a person whose phone is not paired goes to pair it."""
    wants_page = "text/html" in request.headers.get("accept", "")
    is_api = request.url.path.startswith("/api/")
    if isinstance(error, NotPaired) and wants_page and not is_api:
        return RedirectResponse("/pair", 303)
    if isinstance(error, RequestValidationError):
        error = BadInput("the request does not fit", hint="load the page anew")
    if isinstance(error, HTTPException):
        words = "there is no such page here" if error.status_code == 404 else "not possible here"
        return JSONResponse(PegwrightError(words).as_data(), error.status_code)
    assert isinstance(error, PegwrightError)
    status = 429 if isinstance(error, TooManyTries) else status_of(error)
    headers = {"cache-control": "no-store"}
    if wants_page and not is_api:
        return page(
            request, "follow_trouble.html", here="", status=status, title="Not here",
            error=error.as_data(),
        )  # fmt: skip
    return JSONResponse(error.as_data(), status, headers)


class LanServer:
    """A listener of its own on one address, in a thread of its own.

    :raises NotPossible: where the address or the port cannot be had.
    """

    def __init__(self, address: str, port: int) -> None:
        self.address = address
        self._socket = _listening(address, port)
        self.port: int = self._socket.getsockname()[1]
        self._server: uvicorn.Server | None = None
        self._thread: threading.Thread | None = None

    def start(self, app: FastAPI, encrypted_with: ssl.SSLContext | None = None) -> None:
        """Begin to answer, encrypted where it is told with what; returns when it does."""
        config = uvicorn.Config(
            app,
            log_level="warning",
            access_log=False,
            server_header=False,
            lifespan="off",
            limit_concurrency=4 * MOST_DEVICES,
            timeout_keep_alive=15,
            timeout_graceful_shutdown=2,
        )
        config.load()
        config.ssl = encrypted_with
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(
            target=self._server.run, args=([self._socket],), name="sharing", daemon=True
        )
        self._thread.start()
        until = time.monotonic() + 10
        while not self._server.started and time.monotonic() < until:
            time.sleep(0.01)

    def stop(self) -> None:
        """Answer no more."""
        if self._server is not None and self._thread is not None:
            self._server.should_exit = True
            self._thread.join(5)
        self._socket.close()


def _listening(address: str, port: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((address, port))
        listener.listen(128)
    except OSError as problem:
        listener.close()
        raise NotPossible(
            "phones cannot be let in at this address",
            given=f"{address}:{port} ({problem.strerror})",
            hint="another program may use it; choose another port",
        ) from None
    return listener
