"""What is done with a board of the library: its pages, and the parts of the API that they ask."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from pegwright.library.records import Kind
from pegwright.studio.designs.api import RecordId
from pegwright.studio.records import board_build, board_fits, board_measure, board_wrap_test
from pegwright.studio.records.tasks import board_record, record_task_page
from pegwright.studio.state import TheStudio

__all__ = ["pages", "router"]

pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)

router = APIRouter()
for part in (board_wrap_test, board_measure, board_build, board_fits):
    router.include_router(part.router)


@pages.get("/library/board/{board_id}/wrap-test")
def wrap_test(request: Request, board_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """A wrap test on a board."""
    record, _ = board_record(studio, board_id)
    return record_task_page(request, "board_wrap_test.html", record, "wrap-test")


@pages.get("/library/board/{board_id}/measure")
def measure(request: Request, board_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """Measuring a board that is there."""
    record, _ = board_record(studio, board_id)
    return record_task_page(request, "board_measure.html", record, "measure")


@pages.get("/library/board/{board_id}/build")
def build(request: Request, board_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """A plan to build a board."""
    record, _ = board_record(studio, board_id)
    return record_task_page(request, "board_build.html", record, "build")


@pages.get("/library/board/{board_id}/fits")
def fits(request: Request, board_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """What can be knitted on a board."""
    record, _ = board_record(studio, board_id)
    has_yarn = bool(studio.library.counts()[Kind.YARN])
    return record_task_page(request, "board_fits.html", record, "fits", has_yarn=has_yarn)
