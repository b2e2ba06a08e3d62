"""Counting a yarn, holding strands of it together, and parting a ball on the scale."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Annotated, TypeVar

from fastapi import APIRouter, Query
from pydantic import BaseModel, Field

from pegwright.errors import BadInput, PegwrightError, Place
from pegwright.library.records import OwnYarn
from pegwright.measured import Measured
from pegwright.studio.designs.api import RecordId, Revision
from pegwright.studio.designs.sheet import SheetGroup
from pegwright.studio.designs.view import FindingView, finding_views
from pegwright.studio.library.api import RecordEntry, entry_of
from pegwright.studio.library.record_bodies import FormValues, read_count
from pegwright.studio.records.tasks import (
    Kept,
    at_field,
    units_asked,
    with_note,
    yarn_record,
)
from pegwright.studio.records.yarn_count_form import CountAsked, count_sheet, counts_of, strands_of
from pegwright.studio.refusals import ANSWERS, ErrorShape
from pegwright.studio.shapes import Asked
from pegwright.studio.state import Studio, TheStudio
from pegwright.units import (
    MM_PER_INCH,
    format_mass,
    format_number,
    format_yarn_length,
    parse_length_mm,
    parse_mass_g,
)
from pegwright.yarn.category import CATEGORIES, category
from pegwright.yarn.count import wrapped_diameter_mm
from pegwright.yarn.plied import HeldTogether, held_together
from pegwright.yarn.split import shares_of, split_ball
from pegwright.yarn.stash import take_stock, weighed
from pegwright.yarn.wraps_per_inch import WrapsCount, wraps_count
from pegwright.yarn.yarn import DiameterSource

__all__ = ["router"]

router = APIRouter(prefix="/api/yarns", tags=["yarns"], responses=ANSWERS)

_Part = TypeVar("_Part")


class KeepWraps(Asked):
    """A count to keep with the yarn of this revision; its category stays where none is named."""

    revision: Revision
    asked: CountAsked
    category: Annotated[int, Field(ge=0, le=len(CATEGORIES) - 1)] | None = None


class KeepStrands(Asked):
    """Strands held together, to be kept as a yarn of their own."""

    asked: CountAsked


class CategoryView(BaseModel):
    """A weight category; ``own`` is the one that the yarn is noted as."""

    number: int
    name: str
    own: bool


class WrapsView(BaseModel):
    """A count of wraps; ``keeping`` says what changes with the yarn where it is kept."""

    wraps_per_inch: float
    wraps_sd: float
    diameter_mm: float
    diameter_sd: float
    words: list[str]
    findings: list[FindingView]
    categories: list[CategoryView]
    keeping: str


class StrandsView(BaseModel):
    """Strands held together: what they are as one yarn."""

    name: str
    metres_per_100g: float
    diameter_mm: float
    wraps_per_inch: float
    category: int
    words: list[str]


class PartView(BaseModel):
    """One part of a ball, in words: what the scale shows when it is cut off, and what it holds."""

    number: int
    remain: str
    weighs: str
    holds: str
    within: str


class ScaleView(BaseModel):
    """What a weight holds, and how it is parted."""

    metres: float
    metres_sd: float
    words: list[str]
    parting: list[str]
    parts: list[PartView]
    findings: list[FindingView]


class CountView(BaseModel):
    """Every part of the form that was filled in; what cannot be stands in ``problems``."""

    wraps: WrapsView | None
    strands: StrandsView | None
    scale: ScaleView | None
    problems: list[ErrorShape]


@router.get("/{yarn_id}/count/form")
def count_form(yarn_id: RecordId, studio: TheStudio) -> list[SheetGroup]:
    """The form of what is done with a yarn."""
    _, own = yarn_record(studio, yarn_id)
    return count_sheet(own, studio.library, yarn_id)


@router.get("/{yarn_id}/count")
def count(yarn_id: RecordId, studio: TheStudio, asked: Annotated[CountAsked, Query()]) -> CountView:
    """Whatever the form asks: wraps, strands, a weight and its parts."""
    _, own = yarn_record(studio, yarn_id)
    read = FormValues(asked.model_dump())
    problems: list[ErrorShape] = []

    def told(part: Callable[[], _Part | None]) -> _Part | None:
        try:
            return part()
        except PegwrightError as error:
            problems.append(ErrorShape.model_validate(error.as_data()))
            return None

    return CountView(
        wraps=told(lambda: _wraps_view(read, own)),
        strands=told(lambda: _strands_view(studio, read, own)),
        scale=told(lambda: _scale_view(read, own)),
        problems=problems,
    )


@router.post("/{yarn_id}/count/keep")
def keep_wraps(yarn_id: RecordId, asked: KeepWraps, studio: TheStudio) -> Kept:
    """Keep a count with the yarn; how sure it is goes into its notes."""
    record, own = yarn_record(studio, yarn_id)
    found = _wraps(FormValues(asked.asked.model_dump()))
    if found is None:
        raise BadInput("no turns were counted", place=Place(field="counts"))
    wraps = round(found.wraps_per_inch.value, 2)
    yarn = replace(
        own.yarn,
        category=own.yarn.category if asked.category is None else asked.category,
        wraps_per_inch=wraps,
        wrapped_diameter_mm=wrapped_diameter_mm(wraps),
        diameter_source=DiameterSource.WRAPS,
    )
    record = studio.library.put(
        replace(own, yarn=yarn),
        record_id=yarn_id,
        expected=asked.revision,
        notes=with_note(record.notes, _note(found)),
    )
    words = f"Kept: {wraps:g} wraps to the inch, {category(yarn.category)}."
    return Kept(revision=record.revision, words=words)


@router.post("/{yarn_id}/strands/keep", status_code=201)
def keep_strands(yarn_id: RecordId, asked: KeepStrands, studio: TheStudio) -> RecordEntry:
    """Keep strands held together as a yarn of their own."""
    _, own = yarn_record(studio, yarn_id)
    found = _strands(studio, FormValues(asked.asked.model_dump()), own)
    if found is None:
        raise BadInput("which strands are held together?", place=Place(field="strands"))
    return entry_of(studio.library.put(OwnYarn(found.yarn, own.scale_g)))


# --- wraps ---------------------------------------------------------------------------------------


def _wraps(read: FormValues) -> WrapsCount | None:
    """The count; None where nothing was counted."""
    counts = counts_of(read)
    over_mm = read.as_("counted_over", parse_length_mm)
    if not counts:
        return None
    with at_field("counts", {"counts": "counts", "over_mm": "counted_over"}):
        return wraps_count(counts, MM_PER_INCH if over_mm is None else over_mm)


def _wraps_view(read: FormValues, own: OwnYarn) -> WrapsView | None:
    found = _wraps(read)
    if found is None:
        return None
    noted = {f.what for f in found.findings}
    numbers = sorted({own.yarn.category, *(c.number for c in found.likely)})
    return WrapsView(
        wraps_per_inch=found.wraps_per_inch.value,
        wraps_sd=found.wraps_per_inch.sd,
        diameter_mm=found.diameter_mm.value,
        diameter_sd=found.diameter_mm.sd,
        words=[words for words in found.words(units_asked(read)) if words not in noted],
        findings=list(finding_views(found.findings)),
        categories=[
            CategoryView(number=n, name=str(category(n)), own=n == own.yarn.category)
            for n in numbers
        ],
        keeping=_keeping(own),
    )


def _keeping(own: OwnYarn) -> str:
    yarn = own.yarn
    thick = f"{format_number(yarn.wrapped_diameter_mm, 2)} mm"
    match yarn.diameter_source:
        case DiameterSource.GIVEN:
            return f"It takes the place of the thickness that is noted, {thick}."
        case DiameterSource.WRAPS:
            wraps = format_number(yarn.wraps_per_inch or 0, 2)
            return f"It takes the place of the {wraps} wraps to the inch that are noted."
    return f"Until now its thickness is only that of its category, {thick}."


def _note(found: WrapsCount) -> str:
    turns = ", ".join(f"{count:g}" for count in found.counts)
    return (
        f"Counted {turns} turns over {format_number(found.over_mm, 1)} mm:"
        f" {_sure(found.wraps_per_inch)} wraps to the inch, {_sure(found.diameter_mm)} mm thick."
    )


def _sure(value: Measured) -> str:
    return f"{format_number(value.value, 2)} ± {format_number(value.sd, 2)}"


# --- strands -------------------------------------------------------------------------------------


def _strands(studio: Studio, read: FormValues, own: OwnYarn) -> HeldTogether | None:
    """The strands together; None where the form names none."""
    strands = strands_of(read, own.yarn, studio.library)
    if not strands:
        return None
    with at_field("strands"):
        return held_together(strands)


def _strands_view(studio: Studio, read: FormValues, own: OwnYarn) -> StrandsView | None:
    found = _strands(studio, read, own)
    if found is None:
        return None
    return StrandsView(
        name=found.yarn.name,
        metres_per_100g=found.yarn.metres_per_100g,
        diameter_mm=found.yarn.wrapped_diameter_mm,
        wraps_per_inch=MM_PER_INCH / found.yarn.wrapped_diameter_mm,
        category=found.yarn.category,
        words=list(found.words(units_asked(read))),
    )


# --- the scale -----------------------------------------------------------------------------------


def _grams(text: str) -> float:
    return parse_mass_g(text, default_unit="g")


def _scale_view(read: FormValues, own: OwnYarn) -> ScaleView | None:
    whole_g = read.as_("whole", _grams)
    scale_g = read.as_("scale", _grams)
    if whole_g is None:
        return None
    scale_g, units = own.scale_g if scale_g is None else scale_g, units_asked(read)
    names = {"balls": "whole", "ball_g": "whole", "scale_g": "scale"}
    with at_field("whole", names):
        stock = take_stock([weighed(own.yarn, [whole_g], scale_g, sampled=own.sampled)])
    view = ScaleView(
        metres=stock.metres.value,
        metres_sd=stock.metres.sd,
        words=list(stock.words(units)),
        parting=[],
        parts=[],
        findings=[],
    )
    way = "into" if read.text("into") else "shares"
    if not read.text(way):
        return view
    with at_field(way, {**names, "parts": way}):
        parts = read.needed("into", read_count) if way == "into" else read.needed(way, shares_of)
        split = split_ball(own.yarn, whole_g, parts, scale_g)
    noted = {f.what for f in split.findings}
    view.parting = [words for words in split.words(units) if words not in noted]
    view.findings = list(finding_views(split.findings))
    view.parts = [
        PartView(
            number=part.number,
            remain=f"{format_number(part.remain_g, 2)} g" if part.remain_g else "nothing",
            weighs=format_mass(part.grams.value, units),
            holds=format_yarn_length(part.metres.value, units),
            within=format_mass(part.worst_g, units),
        )
        for part in split.parts
    ]
    return view
