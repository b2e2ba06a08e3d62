"""The library: boards, yarns with their weights, swatches, people and makings."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Query
from pydantic import BaseModel, Field

from pegwright.errors import BadInput
from pegwright.library.records import DesignText, Kind, OwnYarn, Record
from pegwright.studio.designs.api import RecordId, Revision
from pegwright.studio.designs.sheet import SheetGroup
from pegwright.studio.library.record_bodies import balls_of, body_of
from pegwright.studio.library.record_sheets import record_sheet
from pegwright.studio.library.record_words import record_words
from pegwright.studio.refusals import ANSWERS, NotThere
from pegwright.studio.shapes import Asked
from pegwright.studio.state import TheStudio

__all__ = ["RecordEntry", "ShownKind", "entry_of", "record_of", "router"]

router = APIRouter(prefix="/api/library", tags=["library"], responses=ANSWERS)

ShownKind = Literal["board", "yarn", "swatch", "person", "making"]
_Values = Annotated[
    dict[Annotated[str, Field(max_length=120)], Annotated[str, Field(max_length=100_000)]],
    Field(max_length=80),
]


class RecordEntry(BaseModel):
    """A record in a list."""

    id: str
    kind: str
    name: str
    words: str
    changed: str
    revision: int
    deleted: bool


class RecordView(BaseModel):
    """A record with its form."""

    entry: RecordEntry
    sheet: list[SheetGroup]


class NewRecord(Asked):
    """A record to keep: the values of its form by field."""

    kind: ShownKind
    values: _Values


class RecordChange(Asked):
    """The values of a record's form, and the revision that was read."""

    revision: Revision
    values: _Values


class WeighingAsked(Asked):
    """What a yarn weighs now, ball by ball: ``100 g, 46 g``; empty where it is used up."""

    balls: Annotated[str, Field(max_length=2000)]
    note: Annotated[str, Field(max_length=2000)] = ""


class WeighingEntry(BaseModel):
    """A weighing of a yarn; ``making`` is what was being knitted with it, where it was."""

    id: str
    at: str
    balls_g: list[float]
    total_g: float
    note: str
    making: str


def entry_of(record: Record) -> RecordEntry:
    """A record as lists show it."""
    return RecordEntry(
        id=record.id,
        kind=str(record.kind),
        name=record.name,
        words=record_words(record.body),
        changed=record.changed,
        revision=record.revision,
        deleted=record.deleted,
    )


def record_of(studio: TheStudio, record_id: str) -> Record:
    """A record that the library's pages show.

    :raises NotThere: for a design, which has pages of its own.
    """
    record = studio.library.get(record_id)
    if isinstance(record.body, DesignText):
        raise NotThere("this is a design", given=record.name, hint="open it among the designs")
    return record


# --- records -------------------------------------------------------------------------------------


@router.get("/records")
def records(
    studio: TheStudio,
    kind: Annotated[Kind | None, Query()] = None,
    query: Annotated[str, Query(max_length=200)] = "",
    deleted: bool = False,
) -> list[RecordEntry]:
    """Records, the latest change first, or those that hold every word of a query."""
    if query.strip() and not deleted:
        found = studio.library.search(query, kind)
    else:
        found = studio.library.list(kind, deleted=deleted)
    return [entry_of(record) for record in found]


@router.get("/forms/{kind}")
def empty_form(kind: ShownKind, studio: TheStudio) -> list[SheetGroup]:
    """The form of a new record."""
    return record_sheet(Kind(kind), studio.library)


@router.post("/records", status_code=201)
def new_record(asked: NewRecord, studio: TheStudio) -> RecordView:
    """Keep a new record."""
    kind = Kind(asked.kind)
    body = body_of(kind, asked.values, studio.library)
    record = studio.library.put(body, notes=asked.values.get("notes", ""))
    return RecordView(entry=entry_of(record), sheet=record_sheet(kind, studio.library, record))


@router.get("/records/{record_id}")
def get_record(record_id: RecordId, studio: TheStudio) -> RecordView:
    """A record with its form."""
    record = record_of(studio, record_id)
    sheet = record_sheet(record.kind, studio.library, record)
    return RecordView(entry=entry_of(record), sheet=sheet)


@router.put("/records/{record_id}")
def change_record(record_id: RecordId, asked: RecordChange, studio: TheStudio) -> RecordView:
    """Change a record to what its form says."""
    before = record_of(studio, record_id)
    body = body_of(before.kind, asked.values, studio.library, before.body)
    record = studio.library.put(
        body,
        record_id=record_id,
        expected=asked.revision,
        notes=asked.values.get("notes", before.notes),
    )
    sheet = record_sheet(record.kind, studio.library, record)
    return RecordView(entry=entry_of(record), sheet=sheet)


@router.delete("/records/{record_id}")
def delete_record(record_id: RecordId, studio: TheStudio) -> RecordEntry:
    """Set a record aside; it can be brought back."""
    record_of(studio, record_id)
    return entry_of(studio.library.delete(record_id))


@router.post("/records/{record_id}/undelete")
def undelete_record(record_id: RecordId, studio: TheStudio) -> RecordEntry:
    """Bring a deleted record back."""
    record_of(studio, record_id)
    return entry_of(studio.library.undelete(record_id))


@router.post("/records/{record_id}/duplicate", status_code=201)
def duplicate_record(record_id: RecordId, studio: TheStudio) -> RecordEntry:
    """A second record with the same contents."""
    record_of(studio, record_id)
    return entry_of(studio.library.duplicate(record_id))


# --- weights -------------------------------------------------------------------------------------


@router.get("/yarns/{record_id}/weighings")
def weighings(record_id: RecordId, studio: TheStudio) -> list[WeighingEntry]:
    """What a yarn weighed, the latest weighing first."""
    _check_yarn(record_of(studio, record_id))
    known = studio.library.weighings(record_id)
    names = {record.id: record.name for record in studio.library.list(Kind.MAKING, deleted=None)}
    return [
        WeighingEntry(
            id=w.id,
            at=w.at,
            balls_g=list(w.balls_g),
            total_g=w.total_g,
            note=w.note,
            making=names.get(w.making or "", ""),
        )
        for w in reversed(known)
    ]


@router.post("/yarns/{record_id}/weighings", status_code=201)
def weigh(record_id: RecordId, asked: WeighingAsked, studio: TheStudio) -> list[WeighingEntry]:
    """Note what a yarn weighs now."""
    _check_yarn(record_of(studio, record_id))
    studio.library.weigh(record_id, balls_of(asked.balls), asked.note.strip())
    return weighings(record_id, studio)


def _check_yarn(record: Record) -> None:
    if not isinstance(record.body, OwnYarn):
        raise BadInput("only yarns are weighed", given=record.name)
