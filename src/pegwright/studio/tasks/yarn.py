"""The yarn of a design: what every one must come to, what can stand in for it, what trims take."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import BaseModel, Field
from starlette.requests import Request
from starlette.responses import HTMLResponse

from pegwright.designs.model import Design
from pegwright.errors import BadInput, NotPossible
from pegwright.library.records import Kind
from pegwright.making import knitted_in, size_alone, source_of
from pegwright.pattern.materials import need_tables
from pegwright.pattern.source import ProvedSize
from pegwright.planning.substitute import Change, Substitution, substitutes
from pegwright.planning.trim_kinds import TRIM_KINDS, trim_of
from pegwright.safety.cautions import trim_cautions
from pegwright.studio.designs.api import RecordId, Revision
from pegwright.studio.designs.sheet import SheetGroup
from pegwright.studio.designs.view import CautionView
from pegwright.studio.refusals import ANSWERS
from pegwright.studio.shapes import Asked
from pegwright.studio.state import DesignTask, TheStudio
from pegwright.studio.tasks.stand_in_yarns import (
    AtHand,
    Unweighed,
    YarnRef,
    at_hand,
    changes_to_take,
    label_of,
    yarn_of,
)
from pegwright.studio.tasks.task import task_page
from pegwright.studio.tasks.trim_form import at_trim, trim_asked, trim_sheet
from pegwright.studio.tasks.writing import Written, write_changes
from pegwright.units import UnitSystem, format_mass, format_number, format_yarn_length
from pegwright.yarn.need import YarnNeed
from pegwright.yarn.substitute import Fit
from pegwright.yarn.telling import SURE, chance_words

__all__ = ["TASK", "pages", "router"]

TASK = DesignTask(
    "yarn",
    "Yarn",
    "How much every yarn must come to, which yarns of yours can stand in for it, and what trims"
    " take.",
)

pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)
router = APIRouter(prefix="/api/design-yarn", tags=["yarn of a design"], responses=ANSWERS)

USUAL_MOST = 6
"""Stand-ins that are told, as many as the command tells."""

SizeName = Annotated[str, Field(max_length=200)]
YarnName = Annotated[str, Field(min_length=1, max_length=200)]
_Values = Annotated[
    dict[Annotated[str, Field(max_length=40)], Annotated[str, Field(max_length=100)]],
    Field(max_length=20),
]


class NeedRow(BaseModel):
    """What one yarn must come to, in words."""

    name: str
    label: str
    hex: str
    metres: str
    between: str
    grams: str
    to_have: str
    balls: str


class DesignYarn(BaseModel):
    """A yarn of the design; ``body`` is the one that its body is knitted with."""

    name: str
    label: str
    body: bool


class PartsView(BaseModel):
    """What yarn is drawn for, part by part, as the pattern prints it: a row's name comes first."""

    caption: str
    header: list[str]
    rows: list[list[str]]


class NeedsView(BaseModel):
    """The yarn of a size.

    :param margin: what is added, in words.
    :param revision: of the design that it was worked out from.
    """

    size: str
    revision: int
    margin: str
    rows: list[NeedRow]
    parts: list[PartsView]
    yarns: list[DesignYarn]


class StandInsAsked(Asked):
    """Which yarn is to be replaced, in which size; the body's and the first where nothing is said.

    :param together: look at two strands held together as well.
    """

    size: SizeName = ""
    yarn: Annotated[str, Field(max_length=200)] = ""
    together: bool = True
    most: Annotated[int, Field(ge=1, le=50)] = USUAL_MOST


class StandInView(BaseModel):
    """A yarn that may stand in, with what it changes.

    :param strands: how it is named: one yarn, or one for each strand.
    :param hexes: the colours of its strands.
    :param near: whether it is not another yarn altogether; ``enough`` whether it will reach.
    """

    label: str
    strands: list[YarnRef]
    hexes: list[str]
    fit: str
    near: bool
    enough: bool
    chance: str
    words: str


class StandInsView(BaseModel):
    """Stand-ins, the best first.

    :param wanted: what is known of the yarn that is to be replaced, in a sentence.
    :param unsuited: yarns that the board cannot take, in sentences.
    :param unweighed: yarns of the library that were not looked at.
    :param found: whether any comes near and reaches.
    """

    yarn: str
    size: str
    revision: int
    wanted: str
    found: bool
    changes: list[StandInView]
    unsuited: list[str]
    unweighed: list[Unweighed]


class TakeAsked(Asked):
    """A stand-in to take in the place of a yarn, at the revision that was read."""

    revision: Revision
    yarn: YarnName
    strands: Annotated[list[YarnRef], Field(min_length=1, max_length=2)]


class TrimsAsked(Asked):
    """A trim: the yarn that it is made of, and the values of its form by field."""

    yarn: YarnRef
    values: _Values


class TrimView(BaseModel):
    """What a trim takes of a yarn, in words, and whom it could hurt."""

    words: list[str]
    metres: str
    grams: str
    yarn: str
    cautions: list[CautionView]


@pages.get("/designs/{design_id}/yarn")
def yarn_page(request: Request, design_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """The yarn of a design."""
    on_desk = studio.desk.design(design_id)
    with on_desk.lock:
        design = on_desk.design
    own = [] if design is None else _own(design)
    labels = {yarn.label for yarn in own}
    library = [(r.id, r.name) for r in studio.library.list(Kind.YARN) if r.name not in labels]
    return task_page(
        request,
        studio,
        "task_yarn.html",
        TASK,
        design_id,
        own=own,
        library=library,
    )


# --- what is needed ------------------------------------------------------------------------------


@router.get("/{design_id}/needs")
def needs(
    design_id: RecordId, studio: TheStudio, size: Annotated[str, Query(max_length=200)] = ""
) -> NeedsView:
    """What every yarn of a size must come to; of the first size where none is named."""
    made = studio.desk.worked_out(design_id)
    found = _size(made.sizes, size)
    units = made.design.units
    tables = need_tables(source_of(replace(made, sizes=(found,))))
    return NeedsView(
        size=found.name,
        revision=studio.desk.design(design_id).revision,
        margin=f"{format_number(100 * made.design.margin)} %",
        rows=[_need_row(need, units) for need in found.needs],
        parts=[
            PartsView(
                caption=table.caption,
                header=list(table.header) if len(found.needs) > 1 else [],
                rows=[list(row) for row in table.rows],
            )
            for table in tables
        ],
        yarns=_own(made.design),
    )


def _own(design: Design) -> list[DesignYarn]:
    return [
        DesignYarn(name=name, label=yarn.label, body=name == design.use["body"])
        for name, yarn in design.yarns.items()
    ]


def _size(sizes: tuple[ProvedSize, ...], name: str) -> ProvedSize:
    found = next((size for size in sizes if not name or size.name == name), None)
    if found is None:
        raise NotPossible(
            "this size was not worked out", given=name or None, hint="mend what is wrong with it"
        )
    return found


def _need_row(need: YarnNeed, units: UnitSystem) -> NeedRow:
    low, high = (format_yarn_length(bound, units) for bound in need.metres_interval)
    balls = "1 ball" if need.balls == 1 else f"{need.balls} balls"
    return NeedRow(
        name=need.yarn.name,
        label=need.yarn.label,
        hex=need.yarn.colour_hex,
        metres=format_yarn_length(need.metres.value, units),
        between=f"9 in 10 draw {low} to {high}",
        grams=format_mass(need.grams.value, units),
        to_have=format_mass(need.grams_to_have, units),
        balls=f"{balls} of {format_mass(need.yarn.ball_g, units)}",
    )


# --- stand-ins -----------------------------------------------------------------------------------


@router.post("/{design_id}/stand-ins")
def stand_ins(design_id: RecordId, asked: StandInsAsked, studio: TheStudio) -> StandInsView:
    """Which yarns of the library and the design can stand in, and what each changes."""
    design = studio.desk.readable(design_id)
    revision = studio.desk.design(design_id).revision
    wanted = asked.yarn or design.use["body"]
    made, size = size_alone(design, asked.size or None)
    knitted = knitted_in(made, size, wanted)
    hand = at_hand(design, size.needs, studio.library, wanted)
    if not hand.yarns:
        raise NotPossible(
            "there is no yarn to look through whose weight is known",
            given=", ".join(each.label for each in hand.unweighed) or None,
            hint="weigh your yarns in the library, or say in the design how much there is of them",
        )
    found = substitutes(knitted, hand.stash, together=asked.together, most=asked.most)
    told = found.words(design.units)
    return StandInsView(
        yarn=wanted,
        size=size.name,
        revision=revision,
        wanted=told[0],
        found=found.best is not None,
        changes=[_stand_in(found, change, hand, design) for change in found.changes],
        unsuited=[f"Not {one.label}: {one.why}." for one in found.unsuited],
        unweighed=list(hand.unweighed),
    )


def _stand_in(found: Substitution, change: Change, hand: AtHand, design: Design) -> StandInView:
    one = change.stand_in
    words = found.words_of(change, design.units)
    return StandInView(
        label=one.label,
        strands=[hand.ref(strand) for strand in one.strands],
        hexes=list(dict.fromkeys(strand.yarn.colour_hex for strand in one.strands)),
        fit=one.fit.words,
        near=one.fit < Fit.FAR,
        enough=change.chance >= SURE,
        chance=chance_words(change.chance),
        words=words[:1].upper() + words[1:],
    )


@router.post("/{design_id}/take")
def take(design_id: RecordId, asked: TakeAsked, studio: TheStudio) -> Written:
    """Put a stand-in in the place of a yarn of the design; it can be undone."""
    design = studio.desk.readable(design_id)
    data = studio.desk.design(design_id).data()
    if data is None:
        raise BadInput("the text cannot be read", hint="mend it under Text first")
    yarns = [yarn_of(design, studio.library, ref) for ref in asked.strands]
    changes = changes_to_take(design, data, studio.library, asked.yarn, asked.strands)
    version = f"{label_of(yarns)} in place of {asked.yarn}"
    return write_changes(studio, design_id, changes, asked.revision, version)


# --- trims ---------------------------------------------------------------------------------------


@router.get("/trims/{kind}")
def trim_form(kind: Annotated[str, Field(max_length=40)]) -> list[SheetGroup]:
    """The form of a kind of trim."""
    if kind not in TRIM_KINDS:
        raise BadInput("no such trim", given=kind, hint=", ".join(TRIM_KINDS))
    return trim_sheet(TRIM_KINDS[kind])


@router.post("/{design_id}/trims")
def trims(design_id: RecordId, asked: TrimsAsked, studio: TheStudio) -> TrimView:
    """What a trim takes of a yarn."""
    design = studio.desk.readable(design_id)
    yarn = yarn_of(design, studio.library, asked.yarn)
    wanted = trim_asked(asked.values)
    with at_trim():
        made = trim_of(wanted, yarn.wrapped_diameter_mm)
    return TrimView(
        words=list(made.words(design.units)),
        metres=format_yarn_length(made.metres.value, design.units),
        grams=format_mass(yarn.mass(made.metres).value, design.units),
        yarn=yarn.label,
        cautions=[
            CautionView(title=c.title, text=c.text, source=c.source)
            for c in trim_cautions(wanted.kind)
        ],
    )
