"""The Loom: a size's work played back operation by operation, and its whole fabric.

Both are given in parts of bounded size: operations from any one on, and one side of a piece.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import BaseModel
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from pegwright.errors import NotPossible
from pegwright.library.records import Kind
from pegwright.library.refusals import StaleRevision
from pegwright.studio.designs.api import RecordId, entry
from pegwright.studio.loom.fabric_cells import SheetView
from pegwright.studio.loom.replay import MOST_OPERATIONS, LoomView, LoomWindow, Reel, Reels
from pegwright.studio.pages import page
from pegwright.studio.refusals import ANSWERS, NotThere
from pegwright.studio.state import Studio, StudioPlace, TheStudio

__all__ = ["PLACE", "pages", "router"]

PLACE = StudioPlace("loom", "Loom", "/loom")

router = APIRouter(prefix="/api/loom", tags=["loom"], responses=ANSWERS)
pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)

_FRESH = {"cache-control": "no-store"}

SizeName = Annotated[str, Query(max_length=120, description="The size; the first if not given.")]
AtRevision = Annotated[
    int | None,
    Query(ge=1, le=2**53 - 1, description="Refuse where the design has another revision by now."),
]
Index = Annotated[int, Query(ge=0, le=2**53 - 1)]


class RowPlace(BaseModel):
    """The operation with which a row begins."""

    at: int


class SheetsView(BaseModel):
    """The sides of a size's pieces."""

    revision: int
    size: str
    sheets: list[SheetView]


@router.get("/{design_id}")
def look(request: Request, design_id: RecordId, studio: TheStudio, size: SizeName = "") -> LoomView:
    """A size on the loom: its board, steps and findings."""
    with _reel(request, studio, design_id, size, None) as (reel, title, revision):
        return reel.view(design_id, title, revision)


@router.get("/{design_id}/operations", response_model=LoomWindow)
def operations(
    request: Request,
    design_id: RecordId,
    studio: TheStudio,
    first: Index,
    count: Annotated[int, Query(ge=1, le=MOST_OPERATIONS)] = 16,
    size: SizeName = "",
    revision: AtRevision = None,
) -> Response:
    """Operations from one on, each with the motions of its hands, and the loom before them."""
    with _reel(request, studio, design_id, size, revision) as (reel, _, now):
        body = reel.window(now, first, count)
    return Response(body, media_type="application/json", headers=_FRESH)


@router.get("/{design_id}/row")
def row(
    request: Request,
    design_id: RecordId,
    studio: TheStudio,
    piece: Annotated[str, Query(max_length=200)],
    row: Annotated[int, Query(ge=1, le=2**53 - 1)],
    size: SizeName = "",
    revision: AtRevision = None,
) -> RowPlace:
    """Where a row of a piece begins."""
    with _reel(request, studio, design_id, size, revision) as (reel, _, _now):
        return RowPlace(at=reel.row_start(piece, row))


@router.get("/{design_id}/fabric")
def fabric(
    request: Request,
    design_id: RecordId,
    studio: TheStudio,
    size: SizeName = "",
    revision: AtRevision = None,
) -> SheetsView:
    """The sides of a size's pieces, all but their stitches."""
    with _reel(request, studio, design_id, size, revision) as (reel, _, now):
        sheets = [sheet.view for sheet in reel.sheets()]
        return SheetsView(revision=now, size=reel.size.name, sheets=sheets)


@router.get(
    "/{design_id}/fabric/cells",
    response_class=Response,
    responses={200: {"content": {"application/octet-stream": {}}, "description": "The stitches."}},
)
def cells(
    request: Request,
    design_id: RecordId,
    studio: TheStudio,
    sheet: Annotated[str, Query(max_length=200, description="The side's key.")],
    size: SizeName = "",
    revision: AtRevision = None,
) -> Response:
    """The stitches of one side, a byte each, line by line from the top: stitch × 64 + colour."""
    with _reel(request, studio, design_id, size, revision) as (reel, _, _now):
        found = next((s for s in reel.sheets() if s.view.key == sheet), None)
    if found is None:
        raise NotThere("no such side of the fabric", given=sheet)
    return Response(found.cells, media_type="application/octet-stream", headers=_FRESH)


# --- the page ------------------------------------------------------------------------------------


@pages.get("/loom")
def loom(
    request: Request,
    studio: TheStudio,
    design: Annotated[str, Query(max_length=64)] = "",
    size: Annotated[str, Query(max_length=120)] = "",
) -> Response:
    """The loom with a design on it; without one, the designs to choose from."""
    records = studio.library.list(Kind.DESIGN)
    if not design and len(records) == 1:
        return RedirectResponse(f"/loom?design={records[0].id}")
    if not design:
        designs = [entry(record) for record in records]
        return page(request, "loom_choose.html", here="loom", title="Loom", designs=designs)
    record = studio.library.get(design)
    if record.kind is not Kind.DESIGN:
        raise NotThere("no such design is in the library", given=design)
    return page(
        request, "loom.html", here="loom", title=f"{record.name} on the loom", record=entry(record),
        size=size,
    )  # fmt: skip


# --- inside --------------------------------------------------------------------------------------


@contextmanager
def _reel(
    request: Request, studio: Studio, design_id: str, size: str, revision: int | None
) -> Iterator[tuple[Reel, str, int]]:
    """The reel of a size with its lock held, the design's title and its revision."""
    desk = studio.desk.design(design_id)
    with desk.lock:
        made, now, title = desk.made, desk.revision, desk.record.name
        if revision is not None and revision != now:
            raise StaleRevision(title, revision, now)
        if made is None or desk.problems:
            first = desk.problems[0]["error"] if desk.problems else "it cannot be worked out"
            raise NotPossible(
                "the design cannot be knitted yet", given=first, hint="mend the design first"
            )
        reel = _reels(request).reel(design_id, made, size)
    with reel.lock:
        yield reel, title, now


def _reels(request: Request) -> Reels:
    state = request.app.state
    if not hasattr(state, "reels"):
        state.reels = Reels()
    reels: Reels = state.reels
    return reels
