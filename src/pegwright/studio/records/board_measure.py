"""Measuring a board that is there: what a tape showed, what it tells, and keeping it."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import BaseModel

from pegwright.designs.writer import length_text
from pegwright.errors import BadInput, Place
from pegwright.library.records import OwnBoard
from pegwright.loom.board import Arrangement
from pegwright.loom.reading import BoardReading, GapRead, Readings, Span, read_board
from pegwright.pattern.board_words import reading_words
from pegwright.studio.designs.api import RecordId, Revision
from pegwright.studio.designs.sheet import Choice, SheetField, SheetGroup
from pegwright.studio.designs.view import FindingView, finding_views
from pegwright.studio.library.record_bodies import FormValues, read_choice, read_count, read_lengths
from pegwright.studio.records.tasks import (
    Kept,
    Typed,
    at_field,
    board_record,
    units_asked,
    units_field,
    with_note,
)
from pegwright.studio.refusals import ANSWERS
from pegwright.studio.shapes import Asked
from pegwright.studio.state import TheStudio
from pegwright.units import UnitSystem, parse_length_mm

__all__ = ["router"]

router = APIRouter(prefix="/api/boards", tags=["boards"], responses=ANSWERS)

_SPANS = 3
_READ = {
    GapRead.CENTRES: "from centre to centre",
    GapRead.INSIDE: "between the pegs' insides",
    GapRead.OUTSIDE: "over the outsides of both",
}
_FIELDS = {
    "resolution_mm": "resolution",
    "over": "over_1",
    "peg_diameter": "diameters",
    "gap": "left_gap",
    "reading": "diameters",
}


class ReadingAsked(Asked):
    """The values of the form by field."""

    pegs_1: Typed = ""
    over_1: Typed = ""
    pegs_2: Typed = ""
    over_2: Typed = ""
    pegs_3: Typed = ""
    over_3: Typed = ""
    left_gap: Typed = ""
    right_gap: Typed = ""
    gap_read: Typed = ""
    diameters: Typed = ""
    resolution: Typed = ""
    units: Typed = ""


class KeepReading(Asked):
    """What was read, to be kept on the board of this revision."""

    revision: Revision
    reading: ReadingAsked


class MeasureView(BaseModel):
    """A measure and how far off it may be (standard deviation), mm."""

    value: float
    sd: float


class ReadingView(BaseModel):
    """What readings tell of a board; ``fit`` says whether it can be used as it is."""

    words: list[str]
    pitch: MeasureView
    gap: MeasureView | None
    diameter: MeasureView
    skew: MeasureView | None
    findings: list[FindingView]
    fit: bool
    verdict: str


@router.get("/{board_id}/reading/form")
def reading_form(board_id: RecordId, studio: TheStudio) -> list[SheetGroup]:
    """The form of what a tape showed."""
    _, own = board_record(studio, board_id)
    groups = [_row(own), _pegs(own)]
    return [groups[0], *([_gap()] if own.loom.is_double else []), *groups[1:]]


@router.get("/{board_id}/reading")
def reading(
    board_id: RecordId, studio: TheStudio, asked: Annotated[ReadingAsked, Query()]
) -> ReadingView:
    """What the readings tell."""
    _, own = board_record(studio, board_id)
    found = _read(asked, own)
    fit = "The board can be used as it is." if found.fit else "Mend this first, and measure again."
    return ReadingView(
        words=list(reading_words(found, units_asked(FormValues(asked.model_dump())))),
        pitch=MeasureView(value=found.pitch.value, sd=found.pitch.sd),
        gap=None if found.gap is None else MeasureView(value=found.gap.value, sd=found.gap.sd),
        diameter=MeasureView(value=found.diameter.value, sd=found.diameter.sd),
        skew=None if found.skew is None else MeasureView(value=found.skew.value, sd=found.skew.sd),
        findings=list(finding_views(found.findings)),
        fit=found.fit,
        verdict=fit,
    )


@router.post("/{board_id}/reading/keep")
def keep_reading(board_id: RecordId, asked: KeepReading, studio: TheStudio) -> Kept:
    """Keep pitch, gap and pegs as they were measured; how sure they are goes into the notes."""
    record, own = board_record(studio, board_id)
    found = _read(asked.reading, own)
    units = units_asked(FormValues(asked.reading.model_dump()))
    line = f"Measured: {'; '.join(reading_words(found, units))}."
    record = studio.library.put(
        replace(own, loom=found.loom),
        record_id=board_id,
        expected=asked.revision,
        notes=with_note(record.notes, line),
    )
    return Kept(
        revision=record.revision,
        words="Kept: the board has these measures now; how sure they are stands in its notes.",
    )


# --- the form ------------------------------------------------------------------------------------


def _row(own: OwnBoard) -> SheetGroup:
    ring = own.loom.arrangement is Arrangement.RING
    reach = 2 if ring else own.loom.pegs
    fields = []
    for number in range(1, _SPANS + 1):
        more = number > 1
        fields += [
            SheetField(path=f"pegs_{number}", label=f"Pegs{f' ({number})' if more else ''}",
                       kind="count", value="" if more else str(reach), more=more,
                       help="From the first of so many pegs …"),
            SheetField(path=f"over_{number}", label=f"Length{f' ({number})' if more else ''}",
                       kind="length", required=not more, more=more,
                       help="… to the last, the same side of each."),
        ]  # fmt: skip
    return SheetGroup(
        key="row-part",
        title="Round the ring" if ring else "Along the row",
        words="From one peg to the next, straight across."
        if ring
        else "Over as many pegs as your tape reaches: a slip of the eye then counts for little.",
        fields=fields,
    )


def _gap() -> SheetGroup:
    read = [Choice(value=str(how), label=words) for how, words in _READ.items()]
    return SheetGroup(
        key="gap-part",
        title="The gap",
        words="At both ends, once or more, with commas between.",
        fields=[
            SheetField(path="left_gap", label="At the left end", kind="length", required=True),
            SheetField(path="right_gap", label="At the right end", kind="length", required=True),
            SheetField(path="gap_read", label="Read", kind="choice", value=str(GapRead.CENTRES),
                       required=True, choices=read, help="On two facing pegs."),
        ],
    )  # fmt: skip


def _pegs(own: OwnBoard) -> SheetGroup:
    return SheetGroup(
        key="pegs-part",
        title="The pegs, and your tape",
        fields=[
            SheetField(path="diameters", label="Peg diameters", kind="length", required=True,
                       usual=length_text(own.loom.peg_diameter_mm, UnitSystem.INCHES),
                       help="Of several pegs, with commas between."),
            SheetField(path="resolution", label="The tape's finest mark", kind="length",
                       required=True, value="1/32 in", help="Such as 1/16 in, 1/32 in or 1 mm."),
            units_field(),
        ],
    )  # fmt: skip


# --- its reading ---------------------------------------------------------------------------------


def _read(asked: ReadingAsked, own: OwnBoard) -> BoardReading:
    read, loom = FormValues(asked.model_dump()), own.loom
    gaps = [read.as_(name, read_lengths) or () for name in ("left_gap", "right_gap")]
    for name, found in zip(("left_gap", "right_gap"), gaps, strict=True):
        if loom.is_double and not found:
            raise BadInput(
                "the gap must be measured at both ends",
                hint="measure at the first pair of pegs and at the last",
                place=Place(field=name),
            )
    spans = tuple(_spans(read, own))
    with at_field("pegs_1", _FIELDS):
        return read_board(
            Readings(
                pegs=loom.pegs,
                spans=spans,
                diameters_mm=read.needed("diameters", read_lengths),
                resolution_mm=read.needed("resolution", parse_length_mm),
                left_gap_mm=gaps[0] if loom.is_double else (),
                right_gap_mm=gaps[1] if loom.is_double else (),
                gap_read=read.as_("gap_read", read_choice(GapRead)) or GapRead.CENTRES,
                arrangement=loom.arrangement,
                peg_height_mm=loom.peg_height_mm,
                name=loom.name,
            )
        )


def _spans(read: FormValues, own: OwnBoard) -> list[Span]:
    spans = []
    for number in range(1, _SPANS + 1):
        name = f"over_{number}"
        length_mm = read.needed(name, parse_length_mm) if number == 1 else None
        if length_mm is None:
            length_mm = read.as_(name, parse_length_mm)
        if length_mm is None:
            continue
        pegs = read.as_(f"pegs_{number}", read_count)
        if pegs is None:
            pegs = own.loom.pegs
        with at_field(f"pegs_{number}", {"over": f"pegs_{number}" if pegs < 2 else name}):
            if pegs > own.loom.pegs:
                raise BadInput(
                    "this board has not so many pegs in a row",
                    given=pegs,
                    hint=f"count again: it has {own.loom.pegs}",
                )
            spans.append(Span(pegs, length_mm))
    return spans
