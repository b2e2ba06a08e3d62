"""The plan of a board as a document: what it says, never how it looks.

It uses the blocks of :mod:`pegwright.pattern.model`; what is new is the template, which stays a
:class:`pegwright.loom.plan.Template` (an exporter lays it out over sheets of paper), and the view
of both boards from the end.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from pegwright.knitting.wrap_trial import trial
from pegwright.knitting.wraps import Wrap
from pegwright.loom.board import Arrangement, Loom
from pegwright.loom.plan import Board, BoardPlan, Part
from pegwright.loom.spec import BoardSpec, Join, PegKind
from pegwright.pattern.board_steps import board_steps
from pegwright.pattern.board_words import workshop
from pegwright.pattern.model import (
    Block,
    CautionBlock,
    Facts,
    Figure,
    Paragraph,
    Section,
    SetUpDrawing,
    StepBlock,
    TableBlock,
)
from pegwright.safety.cautions import board_cautions
from pegwright.safety.features import Feature
from pegwright.units import UnitSystem, format_number
from pegwright.yarn.category import PITCHES, pitches_for

__all__ = [
    "BoardDocument",
    "EndView",
    "WrapFact",
    "board_document",
    "pitch_for_category",
    "wrap_fact",
]

_SIXTEENTH_MM = 25.4 / 16
_COLUMNS = 4  # of the table of places, a peg and its place each


@dataclass(frozen=True, slots=True)
class EndView:
    """Both boards seen from the left end, to scale: wood, pegs, holes, spacers, bolt.

    Words are measures in the maker's units; ``words`` is for people who cannot see it.
    """

    caption: str
    words: str
    thickness: str
    width: str
    offset: str
    height: str
    depth: str
    gap: str
    spacers: str


@dataclass(frozen=True, slots=True)
class WrapFact:
    """What a wrap test will show on the finished board."""

    wrap: str
    over: int
    length_mm: float


def wrap_fact(plan: BoardPlan, wrap: Wrap, over: int, slack: float = 1.0) -> WrapFact | None:
    """What a wrap test will show on a board that is planned; None where no yarn is known."""
    if not plan.spec.yarn_mm:
        return None
    drawn = trial(plan.loom, wrap, plan.spec.yarn_mm, slack, over).drawn()
    return WrapFact(wrap.name, over, drawn.length_mm)


@dataclass(frozen=True, slots=True)
class BoardDocument:
    """The plan of a board, ready to be laid out.

    :param key: stable name in lower case and hyphens, used in file names.
    :param end_view: None for a ring.
    """

    key: str
    title: str
    subtitle: str
    summary: str
    units: UnitSystem
    plan: BoardPlan
    sections: tuple[Section, ...]
    end_view: EndView | None
    language: str = "en-GB"


def board_document(
    plan: BoardPlan, units: UnitSystem, wrap: WrapFact | None = None
) -> BoardDocument:
    """The document of a plan.

    :param wrap: what a wrap test will draw, where yarn and wrap are known.
    """
    spec = plan.spec
    key = re.sub(r"[^a-z0-9]+", "-", spec.name.casefold()).strip("-")[:60].strip("-") or "board"
    sections = (
        Section("overview", "The finished board", _overview(plan, units, wrap)),
        Section("cautions", "Before you start", (CautionBlock(board_cautions(_work(spec))),)),
        Section("parts", "Cut list", _parts(plan, units)),
        *_spacers(plan, units),
        Section("steps", "Building it", (StepBlock(board_steps(plan, units, wrap is not None)),)),
        Section("places", "Where the holes go", _places(plan)),
    )
    return BoardDocument(
        key,
        spec.name[:1].upper() + spec.name[1:],
        _subtitle(spec, units),
        "A plan to build it from: cut list, drilling template at true scale, steps and cautions.",
        units,
        plan,
        sections,
        None if spec.is_ring else _end_view(plan, units),
    )


def pitch_for_category(number_or_name: int | str) -> float:
    """A usual pitch in mm for a yarn weight category: the middle of the classes of boards that
    suit it, to the sixteenth of an inch below.

    The classes are common practice, no source; lace has none, and gets the finest.
    """
    suits = pitches_for(number_or_name) or PITCHES[:1]
    high = suits[-1].high_mm or suits[-1].low_mm
    middle = (suits[0].low_mm + high) / 2
    return int(middle / _SIXTEENTH_MM + 1e-9) * _SIXTEENTH_MM


# --- what it is ----------------------------------------------------------------------------------


_KINDS = {
    Arrangement.OPPOSED: "Double board, pegs opposed",
    Arrangement.OFFSET: "Double board, pegs offset by half a pitch",
    Arrangement.SINGLE: "Single board",
    Arrangement.RING: "Ring",
}


def _subtitle(spec: BoardSpec, units: UnitSystem) -> str:
    side = " a side" if spec.is_double else ""
    words = f"{_KINDS[spec.arrangement]}: {spec.pegs} pegs{side},"
    words += f" {workshop(spec.pitch_mm, units)} apart"
    return words + (f", rows {workshop(spec.gap_mm, units)} apart" if spec.is_double else "")


def _overview(plan: BoardPlan, units: UnitSystem, wrap: WrapFact | None) -> tuple[Block, ...]:
    spec = plan.spec
    rows = [
        ("Pegs", f"{spec.pegs} a side, {plan.loom.peg_count} in all")
        if spec.is_double
        else ("Pegs", f"{spec.pegs}"),
        ("Pitch, centre to centre", workshop(spec.pitch_mm, units)),
    ]
    if spec.is_double:
        rows.append(("Gap, row to row, centre to centre", workshop(spec.gap_mm, units)))
    rows += [
        ("Peg, across", workshop(spec.peg.diameter_mm, units)),
        ("Peg, above the board", workshop(spec.peg.height_mm, units)),
        ("Drill", workshop(spec.peg.drill_mm, units)),
        ("Depth of the holes", workshop(spec.depth_mm, units)),
    ]
    if not spec.is_ring:
        rows += [
            ("First peg from the end", workshop(spec.end_margin_mm, units)),
            ("Row from the inner edge", workshop(spec.row_offset_mm, units)),
        ]
    if wrap is not None:
        both = " on both boards" if spec.is_double else ""
        words = f"{wrap.wrap} over {wrap.over} pegs{both} draws"
        rows.append(("Wrap test, taut", f"{words} {workshop(wrap.length_mm, units)}"))
    return _set_up(plan.loom, units), Facts(tuple(rows))


def _set_up(loom: Loom, units: UnitSystem) -> Figure:
    pitch = workshop(loom.pitch_mm, units)
    gap = workshop(loom.gap_mm, units) if loom.is_double else ""
    rows = "Two facing rows" if loom.is_double else "A ring" if _rings(loom) else "One row"
    alt = f"{rows} of {loom.pegs} pegs seen from above, {pitch} from peg to peg"
    alt += f" and {gap} from row to row" if gap else ""
    drawing = SetUpDrawing(loom, frozenset(range(loom.peg_count)), pitch, gap)
    return Figure("board", "The board from above", f"{alt}.", drawing)


def _rings(loom: Loom) -> bool:
    return loom.arrangement is Arrangement.RING


def _work(spec: BoardSpec) -> frozenset[Feature]:
    """What the work on it asks for, as the safety rules name it."""
    work = {Feature.BOARD, Feature.SAW, Feature.DRILL, Feature.FINISH}
    if spec.peg.kind is PegKind.NAIL:
        work.add(Feature.NAILS)
    return frozenset(work)


def _end_view(plan: BoardPlan, units: UnitSystem) -> EndView:
    spec = plan.spec
    pieces = plan.stacks[0].stack.pieces if plan.stacks else ()
    stack = " + ".join(workshop(p, units) for p in pieces) or "none"
    words = f"A board {workshop(spec.wood.thickness_mm, units)} thick and"
    words += f" {workshop(spec.width_mm, units)} wide, seen from its end. The row of pegs stands"
    words += f" {workshop(spec.row_offset_mm, units)} from the inner edge. Each peg is"
    words += f" {workshop(spec.seat_mm, units)} deep in the wood and"
    words += f" {workshop(spec.peg.height_mm, units)} high above it."
    if spec.is_double:
        words += f" The other board faces it, its row {workshop(spec.gap_mm, units)} away;"
        words += f" between the inner edges lie spacers: {stack}."
        if spec.join is Join.BOLT:
            words += " A bolt runs through both boards and the spacers, half-way up the wood."
    return EndView(
        "The board from its left end" if not spec.is_double else "Both boards from their left end",
        words,
        workshop(spec.wood.thickness_mm, units),
        workshop(spec.width_mm, units),
        workshop(spec.row_offset_mm, units),
        workshop(spec.peg.height_mm, units),
        workshop(spec.depth_mm, units),
        workshop(spec.gap_mm, units) if spec.is_double else "",
        stack if spec.is_double else "",
    )


# --- parts ---------------------------------------------------------------------------------------


def _parts(plan: BoardPlan, units: UnitSystem) -> tuple[Block, ...]:
    rows = tuple(
        (part.name, f"{part.count}", _size(part, units), _stuff(part)) for part in plan.parts
    )
    return (
        TableBlock("Every part", ("Part", "How many", "Size", "Of"), rows),
        TableBlock("What to buy", ("Stuff", "How much", "Size"), _to_buy(plan, units)),
        Paragraph(_cutting_words(plan, units)),
    )


def _size(part: Part, units: UnitSystem) -> str:
    across = part.diameter_mm
    if across is not None:
        words = f"{workshop(across, units)} across"
        return f"{words}, {workshop(part.length_mm, units)} long" if part.length_mm else words
    sides = (part.length_mm, part.width_mm, part.thickness_mm)
    return " × ".join(workshop(side, units) for side in sides if side is not None)


def _stuff(part: Part) -> str:
    return f"{part.stuff}; {part.note}" if part.note else part.stuff


def _to_buy(plan: BoardPlan, units: UnitSystem) -> tuple[tuple[str, str, str], ...]:
    wood, peg = plan.spec.wood, plan.spec.peg
    size = f"{workshop(wood.length_mm, units)} × {workshop(wood.width_mm, units)}"
    size += f" × {workshop(wood.thickness_mm, units)}"
    rows = [(wood.name, _lengths(plan.wood.lengths), size)]
    if plan.rods is not None:
        rod = f"{workshop(peg.diameter_mm, units)} across, {workshop(peg.rod_mm, units)} long"
        stuff = f"{peg.material} dowel".strip()
        rows.append((stuff, _lengths(plan.rods.lengths), rod))
    rows += [
        (part.stuff if part.stuff != "hardware" else part.name, f"{part.count}", _size(part, units))
        for part in plan.parts
        if part.stuff == "hardware" or (part.name in ("nail", "screw-in peg"))
    ]
    return tuple(rows)


def _lengths(count: int) -> str:
    return f"{count} length" if count == 1 else f"{count} lengths"


def _cutting_words(plan: BoardPlan, units: UnitSystem) -> str:
    kerf = f"{format_number(plan.spec.wood.kerf_mm, 2)} mm"
    if plan.spec.is_ring:
        return (
            f"The saw's cut of {kerf} is not part of any size: saw on the waste side of the line."
        )
    words = f"Where the wood is sold by length, {workshop(plan.wood.shortest_mm, units)} hold"
    words += f" the boards, with a saw's cut of {kerf} after each."
    if plan.wood.across > 1:
        words += f" The wood is wide enough for {plan.wood.across} boards side by side."
    return words + " Spacers come from an offcut, planed to their thickness."


def _spacers(plan: BoardPlan, units: UnitSystem) -> tuple[Section, ...]:
    if not plan.stacks:
        return ()
    rows = tuple(
        (
            workshop(each.wanted_mm, units),
            " + ".join(workshop(p, units) for p in each.stack.pieces) or "none",
            workshop(each.gap_mm, units),
            "exactly"
            if abs(each.gap_mm - each.wanted_mm) < 0.05
            else f"{each.gap_mm - each.wanted_mm:+.2f} mm",
        )
        for each in plan.stacks
    )
    bare = workshop(plan.spec.bare_gap_mm, units)
    header = ("Gap wanted", "Spacers at each end", "Gap that they give", "Off by")
    return (
        Section(
            "spacers",
            "Spacers",
            (
                TableBlock("The same stack at both ends", header, rows),
                Paragraph(f"With no spacers in, the rows stand {bare} apart, centre to centre."),
            ),
        ),
    )


# --- places --------------------------------------------------------------------------------------


def _places(plan: BoardPlan) -> tuple[Block, ...]:
    spec = plan.spec
    if spec.is_ring:
        words = "From the left and the near side of the square, in mm, to the middle of the hole."
        rows = [(h.address, f"{_place(h.x_mm)}, {_place(h.y_mm)}") for h in plan.boards[0].holes]
        return Paragraph(words), _table("The ring", rows, "across, up")
    words = "From the board's left end, in mm, to the middle of the hole. Measure every one from"
    words += " the same end, so that small errors do not add up. Every hole lies"
    words += f" {_place(spec.row_offset_mm)} mm from the inner edge and is"
    words += f" {_place(spec.depth_mm)} mm deep."
    if spec.arrangement is Arrangement.OPPOSED:
        both = [(f"{n}", _place(h.x_mm)) for n, h in enumerate(plan.boards[0].holes, start=1)]
        return Paragraph(words), _table("Front and back board alike", both, "mm")
    return Paragraph(words), *(
        _table(board.name[:1].upper() + board.name[1:], _row(board), "mm") for board in plan.boards
    )


def _row(board: Board) -> list[tuple[str, str]]:
    return [(hole.address, _place(hole.x_mm)) for hole in board.holes]


def _place(mm: float) -> str:
    return f"{round(mm + 1e-9, 1):.1f}"


def _table(caption: str, places: Sequence[tuple[str, str]], unit: str) -> TableBlock:
    """Pegs and their places in several columns, read down each."""
    columns = min(_COLUMNS, max(1, len(places) // 4))
    deep = -(-len(places) // columns)
    rows = []
    for i in range(deep):
        line: list[str] = []
        for c in range(columns):
            at = c * deep + i
            line += places[at] if at < len(places) else ("", "")
        rows.append(tuple(line))
    return TableBlock(caption, ("Peg", unit) * columns, tuple(rows))
