"""The forms of the library's records: which fields each kind has, and what stands in them."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence

from pegwright.designs.form import LoomTable, SwatchForm, YarnForm
from pegwright.designs.writer import length_text
from pegwright.knitting.wraps import SHIPPED
from pegwright.library.records import (
    Body,
    DesignText,
    Kind,
    Making,
    OwnBoard,
    OwnPerson,
    OwnSwatch,
    OwnYarn,
    Record,
    Stage,
)
from pegwright.library.store import Library
from pegwright.loom.board import Arrangement
from pegwright.sizing.people import MEASUREMENTS, WEARERS
from pegwright.studio.designs.sheet import Choice, FieldKind, SheetField, SheetGroup
from pegwright.units import UnitSystem, format_number
from pegwright.yarn.category import CATEGORIES
from pegwright.yarn.yarn import DiameterSource

__all__ = ["ARRANGEMENTS", "KINDS", "ONE", "record_choices", "record_sheet"]

KINDS: dict[Kind, str] = {
    Kind.BOARD: "Boards",
    Kind.YARN: "Yarns",
    Kind.SWATCH: "Swatches",
    Kind.PERSON: "People",
    Kind.MAKING: "Makings",
}
"""The kinds that the library's pages show, and what they are called; designs have their own."""

ONE: dict[Kind, str] = {
    Kind.BOARD: "board",
    Kind.YARN: "yarn",
    Kind.SWATCH: "swatch",
    Kind.PERSON: "person",
    Kind.MAKING: "making",
}

ARRANGEMENTS = {
    Arrangement.OPPOSED: "two rows, pegs opposite",
    Arrangement.OFFSET: "two rows, pegs offset",
    Arrangement.SINGLE: "one row",
    Arrangement.RING: "a ring",
}
"""How pegs may stand, in the maker's words."""


def record_sheet(kind: Kind, library: Library, record: Record | None = None) -> list[SheetGroup]:
    """The form of a record, or of a new one of its kind."""
    body = record.body if record is not None else None
    match kind:
        case Kind.BOARD:
            groups = [_board(body)]
        case Kind.YARN:
            groups = [_yarn(body)]
        case Kind.SWATCH:
            groups = [_swatch(body, library)]
        case Kind.PERSON:
            groups = _person(body)
        case _:
            groups = [_making(body, library)]
    notes = SheetField(
        path="notes", label="Notes", kind="lines", value=record.notes if record else ""
    )
    return [*groups, SheetGroup(key="notes", title="Notes", fields=[notes])]


def _field(
    path: str,
    label: str,
    kind: FieldKind,
    value: object = "",
    words: str = "",
    *,
    required: bool = False,
    more: bool = False,
    usual: str = "",
    choices: Sequence[Choice] = (),
) -> SheetField:
    return SheetField(
        path=path,
        label=label,
        kind=kind,
        value="" if value is None else str(value),
        help=words,
        required=required,
        more=more,
        usual=usual,
        choices=list(choices),
    )


def _said(form: type[LoomTable | YarnForm | SwatchForm], name: str) -> str:
    """What the design file's own form says of a field."""
    return form.model_fields[name].description or ""


# --- boards and yarns ----------------------------------------------------------------------------


def _board(body: Body | None) -> SheetGroup:
    own = body if isinstance(body, OwnBoard) else None
    loom = own.loom if own else None
    gap_mm = loom.gap_mm if loom and loom.is_double else None
    slack = own.slack if own else None
    spacers = ", ".join(_length(mm) for mm in own.spacers_mm) if own else ""
    arrangements = [Choice(value=str(a), label=words) for a, words in ARRANGEMENTS.items()]
    return SheetGroup(
        key="board",
        title="The board",
        words="Measure centre to centre.",
        fields=[
            _field("name", "Name", "text", loom.name if loom else "", "What you call it.",
                   required=True),
            _field("arrangement", "Arrangement", "choice",
                   loom.arrangement if loom else Arrangement.OPPOSED, "How the pegs stand.",
                   required=True, choices=arrangements),
            _field("pegs", "Pegs", "count", loom.pegs if loom else "", _said(LoomTable, "pegs"),
                   required=True),
            _field("pitch", "Pitch", "length", _mm(loom.pitch_mm if loom else None),
                   _said(LoomTable, "pitch"), required=True),
            _field("gap", "Gap", "length", _mm(gap_mm), _said(LoomTable, "gap")),
            _field("peg_diameter", "Peg diameter", "length",
                   _mm(loom.peg_diameter_mm if loom else None), _said(LoomTable, "peg_diameter"),
                   required=True),
            _field("peg_height", "Peg height", "length", _mm(loom.peg_height_mm if loom else None),
                   "Height of a peg above the board.", usual="25 mm"),
            _field("slack", "Slack", "number", slack.value if slack else "",
                   _said(LoomTable, "slack"), more=slack is None, usual="1"),
            _field("slack_sd", "Slack varies by", "number", slack.sd if slack else "",
                   _said(LoomTable, "slack_sd"), more=slack is None, usual="0.05"),
            _field("bare_gap", "Gap without spacers", "length",
                   _mm(own.bare_gap_mm if own else None), "Where the gap can be changed.",
                   more=not (own and own.bare_gap_mm)),
            _field("spacers", "Spacers", "text", spacers,
                   "Thicknesses of the spacers that you have, with commas: 1/4 in, 1/8 in.",
                   more=not spacers),
        ],
    )  # fmt: skip


def _yarn(body: Body | None) -> SheetGroup:
    own = body if isinstance(body, OwnYarn) else None
    yarn = own.yarn if own else None
    given = yarn is not None and yarn.diameter_source is DiameterSource.GIVEN
    categories = [Choice(value=str(c.number), label=f"{c.number}, {c.name}") for c in CATEGORIES]
    return SheetGroup(
        key="yarn",
        title="The yarn",
        fields=[
            _field("name", "Name", "text", yarn.name if yarn else "", "The name on the ball band.",
                   required=True),
            _field("colour", "Colour", "text", yarn.colour if yarn else "", "The colour's name."),
            _field("colour_hex", "Colour in figures", "colour",
                   yarn.colour_hex if yarn else "#8c8c8c"),
            _field("category", "Category", "choice", yarn.category if yarn else "",
                   _said(YarnForm, "category"), required=True, choices=categories),
            _field("metres_per_100g", "Metres in 100 g", "number",
                   _number(yarn.metres_per_100g if yarn else None), "As on the ball band.",
                   required=True),
            _field("metres_per_100g_sd", "Metres may be off by", "number",
                   _number(yarn.metres_per_100g_sd if yarn else None),
                   _said(YarnForm, "metres_per_100g_sd"), more=True),
            _field("ball", "Ball", "mass", f"{yarn.ball_g:g} g" if yarn else "",
                   "What one ball weighs, new.", usual="100 g"),
            _field("wraps_per_inch", "Wraps per inch", "number",
                   _number(yarn.wraps_per_inch if yarn else None),
                   _said(YarnForm, "wraps_per_inch")),
            _field("diameter", "Diameter", "length",
                   _mm(yarn.wrapped_diameter_mm if given and yarn else None),
                   "Thickness of the yarn as it lies; better than wraps per inch.", more=not given),
            _field("fibre", "Fibre", "text", yarn.fibre if yarn else "", _said(YarnForm, "fibre")),
            _field("scale", "Your scale shows", "mass", f"{own.scale_g:g} g" if own else "",
                   "The smallest weight that your scale shows.", usual="1 g"),
            _field("sampled", "Metres measured by yourself", "flag",
                   "true" if own and own.sampled else "",
                   "The metres in 100 g were measured and weighed in the room where it is kept."),
        ],
    )  # fmt: skip


def _swatch(body: Body | None, library: Library) -> SheetGroup:
    own = body if isinstance(body, OwnSwatch) else None
    swatch = own.swatch if own else None
    wraps = [Choice(value=wrap.name, label=wrap.name) for wrap in SHIPPED]
    return SheetGroup(
        key="swatch",
        title="The swatch",
        fields=[
            _field("stitches", "Stitches", "count", swatch.stitches if swatch else "",
                   _said(SwatchForm, "stitches"), required=True),
            _field("width", "Width", "length", _mm(swatch.width.value if swatch else None),
                   _said(SwatchForm, "width"), required=True),
            _field("rows", "Rows", "count", swatch.rows if swatch else "",
                   _said(SwatchForm, "rows"), required=True),
            _field("length", "Length", "length", _mm(swatch.length.value if swatch else None),
                   _said(SwatchForm, "length"), required=True),
            _field("washed", "Washed and dried", "flag",
                   "false" if swatch and not swatch.washed else "true",
                   "As the piece will be."),
            _field("board", "Board", "choice", own.board if own else "",
                   choices=record_choices(library, Kind.BOARD)),
            _field("yarn", "Yarn", "choice", own.yarn if own else "",
                   choices=record_choices(library, Kind.YARN)),
            _field("wrap", "Wrap", "choice", own.wrap if own else "", choices=wraps),
            _field("width_sd", "Width may be off by", "length",
                   _mm((swatch.width.sd or None) if swatch else None), more=True),
            _field("length_sd", "Length may be off by", "length",
                   _mm((swatch.length.sd or None) if swatch else None), more=True),
            _field("note", "Note", "text", swatch.note if swatch else "",
                   "Goes with the swatch into a design."),
        ],
    )  # fmt: skip


# --- people and makings --------------------------------------------------------------------------


def _person(body: Body | None) -> list[SheetGroup]:
    own = body if isinstance(body, OwnPerson) else None
    person = own.person if own else None
    measures = dict(person.measures) if person else {}
    wearers = [Choice(value=w, label=w) for w in WEARERS]
    about = [
        _field("name", "Name", "text", person.name if person else "",
               "A first name, or what she does.", required=True),
        _field("wearer", "Wearer", "choice", person.wearer if person else "adult",
               "Adult, child (below 14 years) or infant (below 3 years).", required=True,
               choices=wearers),
        _field("born", "Born", "text", own.born if own else "", "As 2019-04-30; may be left out."),
        _field("measured", "Measured on", "text", own.measured if own else "", "As 2026-11-25."),
        _field("note", "Note", "text", person.note if person else ""),
    ]  # fmt: skip
    known = {each.name for each in MEASUREMENTS}
    taken = [
        _field(f"measures.{each.name}", each.name.capitalize(), "length",
               _mm(measures.get(each.name)), f"{each.what.capitalize()}. {each.how}")
        for each in MEASUREMENTS
    ]  # fmt: skip
    taken += [
        _field(f"measures.{name}", name.capitalize(), "length", _mm(mm))
        for name, mm in measures.items()
        if name not in known
    ]
    return [
        SheetGroup(key="person", title="Who it is", fields=about),
        SheetGroup(
            key="measures",
            title="Measures",
            words="Only those that you have; a garment asks for the ones that it needs.",
            fields=taken,
        ),
    ]


def _making(body: Body | None, library: Library) -> SheetGroup:
    own = body if isinstance(body, Making) else None
    chosen = f"{own.design}/{own.size}" if own else ""
    sizes = list(_design_sizes(library))
    if chosen and all(choice.value != chosen for choice in sizes):
        sizes.append(Choice(value=chosen, label=f"{own.size} (a size of before)" if own else ""))
    stages = [Choice(value=str(stage), label=str(stage)) for stage in Stage]
    version = f"Version {own.version} of the design." if own else "As the design is now."
    return SheetGroup(
        key="making",
        title="The making",
        words="A piece that is being knitted: a design in one size.",
        fields=[
            _field("piece", "Design and size", "choice", chosen, version, required=True,
                   choices=sizes),
            _field("stage", "Stage", "choice", own.stage if own else Stage.UNDER_WAY,
                   required=True, choices=stages),
            _field("yarns", "Yarns in use", "many", " ".join(own.yarns) if own else "",
                   "They are weighed as you knit.", choices=record_choices(library, Kind.YARN)),
        ],
    )  # fmt: skip


def _design_sizes(library: Library) -> Iterable[Choice]:
    for record in library.list(Kind.DESIGN):
        assert isinstance(record.body, DesignText)
        try:
            sizes = tomllib.loads(record.body.toml).get("sizes", [])
        except (ValueError, RecursionError):
            continue
        for size in sizes if isinstance(sizes, list) else []:
            name = size.get("name") if isinstance(size, dict) else None
            if isinstance(name, str):
                yield Choice(value=f"{record.id}/{name}", label=f"{record.name}, {name}")


def record_choices(library: Library, kind: Kind) -> list[Choice]:
    """The records of a kind, to choose one of."""
    return [Choice(value=record.id, label=record.name) for record in library.list(kind)]


def _mm(mm: float | None) -> str:
    return "" if mm is None else _length(mm)


def _length(mm: float) -> str:
    return length_text(mm, UnitSystem.INCHES)


def _number(value: float | None) -> str:
    return "" if value is None else format_number(value, 3)
