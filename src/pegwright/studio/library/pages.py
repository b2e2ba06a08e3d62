"""The pages of the library: its kinds, their lists, one record, and keeping it all safe."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import HTMLResponse

from pegwright.library.records import Kind, OwnYarn
from pegwright.studio.designs.api import RecordId
from pegwright.studio.library.api import ShownKind, entry_of, record_of, records
from pegwright.studio.library.keeping import backups
from pegwright.studio.library.record_sheets import KINDS, ONE
from pegwright.studio.pages import page
from pegwright.studio.records.tasks import tasks_of
from pegwright.studio.refusals import NotThere
from pegwright.studio.state import StudioPlace, TheStudio

__all__ = ["PLACE", "pages"]

PLACE = StudioPlace("library", "Library", "/library")

pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)

_WORDS = {
    Kind.BOARD: "Boards and rings, with their measures and your own slack on them.",
    Kind.YARN: "Yarns at hand, with what they weighed over time.",
    Kind.SWATCH: "Swatches, measured, with the board and the yarn they were knitted with.",
    Kind.PERSON: "Those you knit for, and their measures.",
    Kind.MAKING: "Pieces under way, resting and finished.",
}


@pages.get("/library")
def library(
    request: Request, studio: TheStudio, query: Annotated[str, Query(max_length=200)] = ""
) -> HTMLResponse:
    """All kinds, or what a search finds in all of them."""
    counts = studio.library.counts()
    kinds = [
        {"key": str(kind), "title": title, "words": _WORDS[kind], "count": counts[kind]}
        for kind, title in KINDS.items()
    ]
    found = records(studio, None, query) if query.strip() else []
    return page(
        request,
        "library.html",
        here="library",
        title="Library",
        kinds=kinds,
        query=query,
        found=found,
        one={str(kind): word for kind, word in {**ONE, Kind.DESIGN: "design"}.items()},
    )


@pages.get("/library/safe")
def safe(request: Request, studio: TheStudio) -> HTMLResponse:
    """Everything as one file, and the dated backups."""
    return page(
        request,
        "library_safe.html",
        here="library",
        title="Keeping it safe",
        file=str(studio.library.path),
        folder=str(studio.settings.backups),
        backups=backups(studio),
    )


@pages.get("/library/{kind}")
def one_kind(
    request: Request,
    kind: ShownKind,
    studio: TheStudio,
    query: Annotated[str, Query(max_length=200)] = "",
    deleted: bool = False,
) -> HTMLResponse:
    """The records of a kind."""
    known = Kind(kind)
    return page(
        request,
        "library_kind.html",
        here="library",
        title=KINDS[known],
        kind=kind,
        one=ONE[known],
        words=_WORDS[known],
        found=records(studio, known, query, deleted),
        query=query,
        deleted=deleted,
    )


@pages.get("/library/{kind}/new")
def new(request: Request, kind: ShownKind) -> HTMLResponse:
    """A new record."""
    one = ONE[Kind(kind)]
    return page(
        request,
        "library_record.html",
        here="library",
        title=f"New {one}",
        kind=kind,
        kinds=KINDS[Kind(kind)],
        one=one,
        record=None,
        is_yarn=False,
    )


@pages.get("/library/{kind}/{record_id}")
def record(
    request: Request, kind: ShownKind, record_id: RecordId, studio: TheStudio
) -> HTMLResponse:
    """A record with its form, photos, and for a yarn its weights."""
    found = record_of(studio, record_id)
    if found.kind is not Kind(kind):
        raise NotThere(f"no {ONE[Kind(kind)]} of this name is in the library", given=found.name)
    return page(
        request,
        "library_record.html",
        here="library",
        title=found.name,
        kind=str(found.kind),
        kinds=KINDS[found.kind],
        one=ONE[found.kind],
        record=entry_of(found),
        record_tasks=tasks_of(found.kind),
        is_yarn=isinstance(found.body, OwnYarn),
    )
