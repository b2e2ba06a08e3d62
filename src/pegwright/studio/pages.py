"""Pages: templates with every value escaped, the navigation, and the page of an error."""

from __future__ import annotations

from functools import lru_cache
from http import HTTPStatus
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse

from pegwright import __version__
from pegwright.errors import PegwrightError
from pegwright.studio.state import studio_of

__all__ = ["error_page", "page", "templates", "trouble_page"]

_TITLES = {404: "Not found", 403: "Refused", 409: "Changed elsewhere"}


@lru_cache(maxsize=1)
def templates() -> Environment:
    """The templates; every value that is put into one is escaped."""
    folder = Path(str(files("pegwright.studio").joinpath("templates")))
    return Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def page(
    request: Request, template: str, /, *, here: str, status: int = 200, **values: Any
) -> HTMLResponse:
    """A page of the studio.

    :param here: key of the place that it belongs to, for the navigation; empty for none.
    """
    studio = studio_of(request)
    html = (
        templates()
        .get_template(template)
        .render(
            here=here,
            places=studio.places,
            tasks=studio.tasks,
            token=studio.token,
            version=__version__,
            **values,
        )
    )
    return HTMLResponse(html, status, {"cache-control": "no-store"})


def error_page(request: Request, error: PegwrightError, status: int) -> HTMLResponse:
    """The page of an error: what is wrong, what was given, what to try."""
    title = _TITLES.get(status) or HTTPStatus(status).phrase
    return page(request, "error.html", here="", status=status, title=title, error=error.as_data())


def trouble_page(error: PegwrightError) -> HTMLResponse:
    """The page that says why the library cannot be opened; it stands alone."""
    html = (
        templates()
        .get_template("trouble.html")
        .render(
            title="The library cannot be opened",
            error=error.as_data(),
            here="",
            places=(),
            token="",
            version=__version__,
        )
    )
    return HTMLResponse(html, HTTPStatus.SERVICE_UNAVAILABLE, {"cache-control": "no-store"})
