"""The form of a plan to build a board, filled with the board that is in the library."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeVar

from pegwright.designs.writer import length_text
from pegwright.errors import BadInput, Place
from pegwright.knitting.wrap_trial import spec_that_draws, usual_wrap
from pegwright.knitting.wraps import Wrap
from pegwright.library.records import OwnBoard
from pegwright.library.store import Library
from pegwright.loom.board import Arrangement
from pegwright.loom.spec import BoardSpec, Join, PegKind, PegStock, Wood
from pegwright.loom.spec_given import LENGTHS, NAMES, SpecGiven, spec_of
from pegwright.publish.pdf import Paper
from pegwright.studio.designs.sheet import Choice, SheetField, SheetGroup
from pegwright.studio.library.record_bodies import (
    FormValues,
    read_choice,
    read_count,
    read_lengths,
    read_number,
)
from pegwright.studio.library.record_sheets import ARRANGEMENTS
from pegwright.studio.records.board_forms import (
    WrapAsked,
    slack_asked,
    thickness_asked,
    wrap_asked,
    wrap_fields,
    yarn_fields,
)
from pegwright.studio.records.tasks import Typed, at_field, units_asked, units_field
from pegwright.units import UnitSystem, parse_length_mm

__all__ = ["Building", "PlanAsked", "PlanFileAsked", "build_sheet", "building_of"]

_PEGS = {
    PegKind.DOWEL: "dowel, glued in",
    PegKind.NAIL: "nail",
    PegKind.SCREW_IN: "peg with a thread",
}
_JOINS = {Join.BOLT: "bolts through both boards", Join.CLAMP: "clamps"}
_PAPERS = {Paper.A4: "A4", Paper.LETTER: "Letter"}
_Value = TypeVar("_Value")

_SET_OUT_MM = 25.4  # where the search for a gap sets out from

_HELPS = {
    "peg_diameter": "Where the yarn lies.",
    "peg_height": "Above the board.",
    "seat": "Depth of a peg in the wood.",
    "drill": "Diameter of the drill; try it in waste wood.",
    "rod": "Length of the rods that pegs are cut from.",
    "wood_thickness": "",
    "wood_width": "As it is bought.",
    "wood_length": "As it is bought.",
    "kerf": "What the saw takes with each cut.",
    "row_offset": "From a board's inner edge to its row of pegs.",
    "end_margin": "From a board's end to the first peg.",
    "board_width": "",
    "bolt": "Its diameter.",
    "bolt_from_end": "From a board's end to the middle of the bolt.",
}
_LABELS = {
    "seat": "Pegs stand in the wood",
    "rod": "Rods",
    "kerf": "Saw's cut",
    "row_offset": "Edge to row",
    "end_margin": "End to first peg",
    "bolt_from_end": "Bolt from the end",
}


class PlanAsked(WrapAsked):
    """The values of the form by field; what is left out is usual."""

    name: Typed = ""
    arrangement: Typed = ""
    pegs: Typed = ""
    pitch: Typed = ""
    gap: Typed = ""
    gaps: Typed = ""
    spacers: Typed = ""
    wanted: Typed = ""
    peg: Typed = ""
    peg_material: Typed = ""
    peg_diameter: Typed = ""
    peg_height: Typed = ""
    seat: Typed = ""
    drill: Typed = ""
    rod: Typed = ""
    wood: Typed = ""
    wood_thickness: Typed = ""
    wood_width: Typed = ""
    wood_length: Typed = ""
    kerf: Typed = ""
    board_width: Typed = ""
    end_margin: Typed = ""
    row_offset: Typed = ""
    join: Typed = ""
    bolt: Typed = ""
    bolt_from_end: Typed = ""
    part: Typed = ""
    meet: Typed = ""
    sure: Typed = ""
    paper: Typed = ""
    units: Typed = ""


class PlanFileAsked(PlanAsked):
    """The same for one file of the plan: to be taken away, or shown in the page."""

    download: Literal["true", "false"] = "true"


@dataclass(frozen=True, slots=True)
class Building:
    """A board that is to be planned, as its form says.

    :param wrap: with how many columns ``over``, and whose ``slack``, the wrap test is told.
    :param part: by what part a loop may differ; ``meet_mm`` how far a pair may mis-meet, and
        ``sure`` how many boards of all must be right.
    """

    spec: BoardSpec
    wrap: Wrap
    over: int | None
    slack: float
    part: float
    meet_mm: float | None
    sure: float
    paper: Paper
    units: UnitSystem


# --- the form ------------------------------------------------------------------------------------


def build_sheet(own: OwnBoard, library: Library) -> list[SheetGroup]:
    """The form."""
    return [_board(own), _pegs(own), _wood(own), _yarn(own, library), _drilling(), _paper()]


def _board(own: OwnBoard) -> SheetGroup:
    loom = own.loom
    spacers = ", ".join(_text(mm) for mm in own.spacers_mm or BoardSpec().spacers_mm)
    double = [
        SheetField(path="gap", label="Gap", kind="length",
                   value=_text(loom.gap_mm) if loom.is_double else "",
                   help="Row to row; only for two rows."),
        SheetField(path="gaps", label="More gaps", kind="text", more=True,
                   help="To have spacers for, with commas: 1 1/4 in, 1 1/2 in."),
        SheetField(path="spacers", label="Spacers", kind="text", usual=spacers, more=True,
                   help="Thicknesses to make them of, with commas."),
    ]  # fmt: skip
    return SheetGroup(
        key="board-part",
        title="The board",
        words="Filled in from your library; what you change here changes nothing there. What is"
        " left empty is as in grey.",
        fields=[
            SheetField(path="name", label="Name", kind="text", value=loom.name),
            SheetField(path="arrangement", label="Arrangement", kind="choice", required=True,
                       value=str(loom.arrangement), help="How the pegs stand.",
                       choices=[Choice(value=str(a), label=w) for a, w in ARRANGEMENTS.items()]),
            SheetField(path="pegs", label="Pegs", kind="count", value=str(loom.pegs),
                       required=True, help="In one row."),
            SheetField(path="pitch", label="Pitch", kind="length", value=_text(loom.pitch_mm),
                       required=True, help="Peg to peg, centre to centre."),
            *double,
        ],
    )  # fmt: skip


def _pegs(own: OwnBoard) -> SheetGroup:
    usual = PegStock()
    kinds = [Choice(value=str(kind), label=words) for kind, words in _PEGS.items()]
    return SheetGroup(
        key="pegs-part",
        title="The pegs",
        fields=[
            SheetField(path="peg", label="Pegs are", kind="choice", value=str(PegKind.DOWEL),
                       required=True, choices=kinds),
            _length("peg_diameter", value=_text(own.loom.peg_diameter_mm)),
            _length("peg_height", value=_text(own.loom.peg_height_mm)),
            SheetField(path="peg_material", label="Of", kind="text", help="Such as birch or brass.",
                       more=True),
            _length("seat", usual="2 1/2 diameters", more=True),
            _length("drill", usual="as the pegs need it", more=True),
            _length("rod", usual=_text(usual.rod_mm), more=True),
        ],
    )  # fmt: skip


def _wood(own: OwnBoard) -> SheetGroup:
    wood, spec = Wood(), BoardSpec()
    ring = own.loom.arrangement is Arrangement.RING
    row_mm = _row_offset_mm(own)
    sheet = "600 mm" if ring else ""
    joins = [Choice(value=str(join), label=words) for join, words in _JOINS.items()]
    return SheetGroup(
        key="wood-part",
        title="The wood",
        words="Left empty, it is as is usual.",
        fields=[
            SheetField(path="wood", label="Wood", kind="text",
                       usual="plywood" if ring else wood.name),
            _length("wood_thickness", usual=_text(wood.thickness_mm)),
            _length("wood_width", usual=sheet or _text(wood.width_mm)),
            _length("wood_length", usual=sheet or _text(wood.length_mm)),
            SheetField(path="join", label="Held by", kind="choice", value=str(Join.BOLT),
                       required=True, help="Two boards over their spacers.", choices=joins),
            _length("row_offset", usual=_text(_or(row_mm, spec.row_offset_mm)), more=True),
            _length("end_margin", usual=_text(spec.end_margin_mm), more=True),
            _length("board_width", usual="the wood's own", more=True),
            _length("kerf", usual=_text(wood.kerf_mm), more=True),
            _length("bolt", usual=_text(spec.bolt_mm), more=True),
            _length("bolt_from_end", usual=_text(spec.bolt_from_end_mm), more=True),
        ],
    )  # fmt: skip


def _yarn(own: OwnBoard, library: Library) -> SheetGroup:
    fields = [
        *yarn_fields(library, chosen=False),
        SheetField(path="wanted", label="The gap that draws", kind="length",
                   help="Instead of a gap: what a wrap test in a pattern asks for."),
        *wrap_fields(own.loom, own.slack.value if own.slack else 1.0),
    ]  # fmt: skip
    for field in fields[-3:]:
        field.more = True
    return SheetGroup(
        key="yarn-part",
        title="The yarn",
        words="It must pass between the pegs; with it the plan tells what a wrap test draws.",
        fields=fields,
    )


def _drilling() -> SheetGroup:
    return SheetGroup(
        key="drilling-part",
        title="How exactly to drill",
        words="For a yarn; it is worked out when you ask for it under the plan.",
        fields=[
            SheetField(path="part", label="A loop may differ by", kind="number", usual="0.03",
                       help="A part of its length: 0.03 is three hundredths."),
            SheetField(path="meet", label="A pair may mis-meet by", kind="length",
                       usual="a tenth of the pitch"),
            SheetField(path="sure", label="Boards that are right", kind="number", usual="0.9",
                       help="0.9 is nine in ten."),
        ],
    )  # fmt: skip


def _paper() -> SheetGroup:
    papers = [Choice(value=str(paper), label=words) for paper, words in _PAPERS.items()]
    return SheetGroup(
        key="paper-part",
        title="Paper and units",
        fields=[
            SheetField(path="paper", label="Paper", kind="choice", value=str(Paper.A4),
                       required=True, choices=papers),
            units_field(),
        ],
    )  # fmt: skip


def _length(name: str, *, value: str = "", usual: str = "", more: bool = False) -> SheetField:
    label = _LABELS.get(name) or name.replace("_", " ").capitalize()
    return SheetField(
        path=name,
        label=label,
        kind="length",
        value=value,
        usual=usual,
        help=_HELPS[name],
        more=more and not value,
    )


def _text(mm: float) -> str:
    return length_text(mm, UnitSystem.INCHES)


# --- its reading ---------------------------------------------------------------------------------


def building_of(asked: PlanAsked, own: OwnBoard, library: Library) -> Building:
    """What the form says.

    :raises BadInput: naming the field, for what cannot be read.
    :raises BoardNotPossible: where a gap is looked for on a board that cannot be built.
    """
    read = FormValues(asked.model_dump())
    arrangement = read.as_("arrangement", read_choice(Arrangement)) or own.loom.arrangement
    yarn = thickness_asked(read, library)
    wanted_mm = read.as_("wanted", parse_length_mm)
    given = SpecGiven(
        arrangement=arrangement,
        pegs=_or(read.as_("pegs", read_count), own.loom.pegs),
        pitch_mm=_or(read.as_("pitch", parse_length_mm), own.loom.pitch_mm),
        gap_mm=_gap_mm(read, arrangement, own, looked_for=wanted_mm is not None),
        lengths_mm=_lengths_mm(read, own),
        peg=read.as_("peg", read_choice(PegKind)) or PegKind.DOWEL,
        peg_material=read.text("peg_material"),
        wood=read.text("wood"),
        join=read.as_("join", read_choice(Join)) or Join.BOLT,
        gaps_mm=read.as_("gaps", read_lengths) or (),
        spacers_mm=_or(read.as_("spacers", read_lengths), own.spacers_mm),
        yarn_mm=yarn.mm if yarn else 0.0,
        name=read.text("name") or own.loom.name,
    )
    with at_field(names=NAMES):
        spec = spec_of(given)
    over, slack = read.as_("over", read_count), slack_asked(read, _own_slack(own))
    wrap = _wrap(read, spec)
    if wanted_mm is not None:
        spec = _with_gap(spec, wrap, over, wanted_mm, slack)
    return Building(
        spec=spec,
        wrap=wrap,
        over=over,
        slack=slack,
        part=_or(read.as_("part", read_number), 0.03),
        meet_mm=read.as_("meet", parse_length_mm),
        sure=_or(read.as_("sure", read_number), 0.9),
        paper=read.as_("paper", read_choice(Paper)) or Paper.A4,
        units=units_asked(read),
    )


def _own_slack(own: OwnBoard) -> float:
    return own.slack.value if own.slack else 1.0


def _or(value: _Value | None, usual: _Value) -> _Value:
    return usual if value is None else value


def _gap_mm(
    read: FormValues, arrangement: Arrangement, own: OwnBoard, *, looked_for: bool
) -> float:
    if arrangement not in (Arrangement.OPPOSED, Arrangement.OFFSET):
        return 0.0
    gap_mm = _or(read.as_("gap", parse_length_mm), own.loom.gap_mm if own.loom.is_double else None)
    if gap_mm is None and not looked_for:
        raise BadInput(
            "the gap is missing",
            hint="row to row, centre to centre; or say what its wrap test shall draw",
            place=Place(field="gap"),
        )
    return _SET_OUT_MM if gap_mm is None else gap_mm


def _lengths_mm(read: FormValues, own: OwnBoard) -> dict[str, float]:
    """The lengths that were typed; of the board itself those that are known of it."""
    found = {"peg_diameter": own.loom.peg_diameter_mm, "peg_height": own.loom.peg_height_mm}
    if (row_mm := _row_offset_mm(own)) is not None:
        found["row_offset"] = row_mm
    for name in LENGTHS:
        if (mm := read.as_(name, parse_length_mm)) is not None:
            found[name] = mm
    return found


def _row_offset_mm(own: OwnBoard) -> float | None:
    """From the inner edge to the row, as the gap without spacers tells it."""
    return own.bare_gap_mm / 2 if own.bare_gap_mm and own.loom.is_double else None


def _wrap(read: FormValues, spec: BoardSpec) -> Wrap:
    """The wrap that was chosen; the usual one where the board has other rows by now."""
    wrap = wrap_asked(read, double=spec.is_double)
    return wrap if (wrap.boards == 2) == spec.is_double else usual_wrap(double=spec.is_double)


def _with_gap(
    spec: BoardSpec, wrap: Wrap, over: int | None, wanted_mm: float, slack: float
) -> BoardSpec:
    if not spec.is_double or not spec.yarn_mm:
        raise BadInput(
            "a wrap test finds the gap of a double board for a yarn",
            hint="choose a yarn, or give the gap instead",
            place=Place(field="wanted"),
        )
    with at_field("over" if over is not None else "wanted"):
        return spec_that_draws(spec, wrap, over, wanted_mm, slack)
