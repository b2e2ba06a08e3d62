"""Puts the studio together: guard, API, pages, static files, and one shape for every error.

A part of the studio is a module of this package with a ``router`` (its API, under ``/api``) or
``pages`` (its HTML pages) or both.  The parts that are there are taken in by name, so a part can be
added without a change here.  A part that is a place of its own also names it: ``PLACE``; one that
works with a single design, ``TASK``.
"""

from __future__ import annotations

import asyncio
import importlib
import importlib.util
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager, suppress
from http import HTTPStatus
from importlib.resources import files
from pathlib import Path
from types import ModuleType
from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from fastapi.telemetry import TelemetryConfig
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp

from pegwright import __version__
from pegwright.errors import BadInput, PegwrightError, Place
from pegwright.studio.pages import error_page, trouble_page
from pegwright.studio.refusals import status_of
from pegwright.studio.security import Guard, new_token
from pegwright.studio.settings import Settings
from pegwright.studio.state import DesignTask, Studio, StudioPlace

__all__ = ["PARTS", "create_app", "trouble_app"]

PARTS = (
    "designs.api",
    "loom.api",
    "library.api",
    "library.keeping",
    "follow.api",
    "phones.sharing",
    "publish.api",
    "jobs",
    "designs.pages",
    "tasks.stripes",
    "tasks.colours",
    "tasks.refit",
    "tasks.yarn",
    "tasks.price",
    "tasks.lesson",
    "tasks.test_knit",
    "records.board_tasks",
    "records.yarn_tasks",
    "library.pages",
    "publish.pages",
)
"""Modules that are taken in where they are there, in this order."""

_NO_TELEMETRY: TelemetryConfig = {
    "tracing": False,
    "metrics": False,
    "logs": False,
    "auto_configure": False,
}
"""Nothing is measured or sent, whatever the environment asks for."""

_ERROR_CONTENT = {"application/json": {"schema": {"$ref": "#/components/schemas/ErrorShape"}}}

_HOUR_S = 3600.0

_ORDER = ("designs", "loom", "library", "follow", "publish")
"""The places in the order of the navigation, by key."""


def create_app(settings: Settings | None = None) -> FastAPI:
    """The studio as an ASGI app.

    The library is opened at once, so that one that cannot be opened is told of before any page is.

    :raises PegwrightError: where the library cannot be opened.
    """
    settings = settings or Settings()
    parts = [_imported(name) for name in PARTS if _is_there(name)]
    studio = Studio.opened(settings, token=new_token(), places=_places(parts), tasks=_tasks(parts))
    app = FastAPI(
        title="Pegwright studio",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        lifespan=_lifespan,
        telemetry=_NO_TELEMETRY,
    )
    app.state.studio = studio
    for part in parts:
        for name in ("router", "pages"):
            if (router := getattr(part, name, None)) is not None:
                app.include_router(router)
    _add_static(app)
    _add_errors(app)
    _add_document(app)
    app.add_middleware(Guard, settings=settings, token=studio.token)
    return app


def trouble_app(settings: Settings, error: PegwrightError) -> ASGIApp:
    """An app that says on every page why the library cannot be opened, and touches nothing."""

    async def trouble(_: Request) -> Response:
        return trouble_page(error)

    app = Starlette()
    _add_static(app)
    app.add_route("/{path:path}", trouble)
    return Guard(app, settings=settings, token=new_token())


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    studio: Studio = app.state.studio
    backing_up = asyncio.create_task(_backed_up_daily(studio))
    yield
    backing_up.cancel()
    studio.close()


async def _backed_up_daily(studio: Studio) -> None:
    """The day's backup, made where there is none yet; the studio may run for days."""
    while True:
        with suppress(PegwrightError):  # told of on the page of the backups, where none is new
            await asyncio.to_thread(studio.back_up_if_due)
        await asyncio.sleep(_HOUR_S)


def _is_there(name: str) -> bool:
    return importlib.util.find_spec(f"pegwright.studio.{name}") is not None


def _imported(name: str) -> ModuleType:
    return importlib.import_module(f"pegwright.studio.{name}")


def _places(parts: Sequence[ModuleType]) -> tuple[StudioPlace, ...]:
    found: list[StudioPlace] = [p.PLACE for p in parts if hasattr(p, "PLACE")]
    return tuple(sorted(found, key=lambda place: _ORDER.index(place.key)))


def _tasks(parts: Sequence[ModuleType]) -> tuple[DesignTask, ...]:
    """The tasks in the order of their parts."""
    return tuple(part.TASK for part in parts if hasattr(part, "TASK"))


# --- static files --------------------------------------------------------------------------------


class _Fresh(StaticFiles):
    """Static files that a browser asks after each time, so that a newer Pegwright is seen."""

    def file_response(self, *args: object, **kwargs: object) -> Response:
        answer: Response = super().file_response(*args, **kwargs)  # type: ignore[arg-type]
        answer.headers["cache-control"] = "no-cache"
        return answer


def _add_static(app: Starlette) -> None:
    for path, package, folder in (
        ("/static", "pegwright.studio", "static"),
        ("/fonts", "pegwright.publish", "fonts"),
    ):
        place = Path(str(files(package).joinpath(folder)))
        app.mount(path, _Fresh(directory=place), name=folder)


# --- errors --------------------------------------------------------------------------------------


def _add_errors(app: FastAPI) -> None:
    app.add_exception_handler(PegwrightError, _refused)
    app.add_exception_handler(RequestValidationError, _not_valid)
    app.add_exception_handler(HTTPException, _http)


def _add_document(app: FastAPI) -> None:
    """In the OpenAPI document every refusal is JSON, beside whichever kind of file it is told."""
    usual = app.openapi

    def document() -> dict[str, Any]:
        whole = usual()
        for path in whole.get("paths", {}).values():
            for operation in path.values():
                for status, answer in operation.get("responses", {}).items():
                    if status.startswith(("4", "5")):
                        answer["content"] = _ERROR_CONTENT
        return whole

    app.openapi = document  # type: ignore[method-assign]


def _answer(
    request: Request, error: PegwrightError, status: int, headers: dict[str, str] | None = None
) -> Response:
    """An error as JSON where a script asked, as a page where a person did."""
    if request.url.path.startswith("/api/") or "text/html" not in request.headers.get("accept", ""):
        return JSONResponse(
            error.as_data(), status, {"cache-control": "no-store", **(headers or {})}
        )
    return error_page(request, error, status)


async def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, PegwrightError)
    return _answer(request, error, status_of(error))


async def _not_valid(request: Request, error: Exception) -> Response:
    """What does not fit the API's own form, in our words' shape."""
    assert isinstance(error, RequestValidationError)
    first = error.errors()[0]
    where = ".".join(str(part) for part in first["loc"][1:])
    given = None if isinstance(first.get("input"), dict | list) else first.get("input")
    problem = BadInput(
        "the request does not fit: " + first["msg"][:1].lower() + first["msg"][1:],
        given=given,
        hint="see /api/openapi.json",
        place=Place(field=where or None),
    )
    return _answer(request, problem, HTTPStatus.UNPROCESSABLE_ENTITY)


async def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    words = {
        404: "there is no such page",
        405: "this cannot be done here",
        413: "this is more than the studio takes at a time",
    }.get(error.status_code, str(error.detail).lower())
    problem = PegwrightError(words, given=request.url.path, hint="go back to the designs")
    return _answer(request, problem, error.status_code, dict(error.headers or {}))
