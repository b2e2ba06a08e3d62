"""The plan of a board: where every hole goes, what is cut, which spacers set each gap.

Places on a board are measured as a maker measures them: **x** from the board's left end and **y**
from its inner edge, both to the middle of the hole, each from the same end and edge, so that small
errors do not add up.  The board lies as it is used, seen from above with the maker in front of it:
a front board's inner edge is its far one, a back board's its near one.  A ring's places are
measured from the left and the near side of the square that it is cut from.

The **template** is one sheet for every board of the plan.  Two boards are alike: the back board is
the front board turned half round, also where the rows are offset by half a pitch.  Its own x runs
to the right and y up the sheet, from the lower left corner.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import partial

from pegwright.loom.board import Loom, centres
from pegwright.loom.cutting import CutPlan, cut_plan
from pegwright.loom.nearest import check_spec
from pegwright.loom.spacers import Stack, stack_for_gap
from pegwright.loom.spec import BoardSpec, Join, PegKind
from pegwright.loom.wrap_test import WIDEST_GAP_MM, WrapOrder, gap_for

__all__ = [
    "Board",
    "BoardPlan",
    "GapStack",
    "Hole",
    "Part",
    "Template",
    "TemplateHole",
    "plan_board",
    "spec_for_wrap",
]

_WASHERS_MM = 6.0  # two washers and the bolt's end beyond the nut (common practice, no source)


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole for a peg.

    :param address: the peg's address, such as ``B7``.
    :param x_mm: from the board's left end.
    :param y_mm: from the board's inner edge (of a ring, from the near side of its square).
    """

    address: str
    x_mm: float
    y_mm: float
    diameter_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True)
class Board:
    """One board with its holes, in the order of their addresses."""

    name: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    holes: tuple[Hole, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """Parts that are alike, to be cut or bought.

    :param stuff: what it is made of, or ``hardware``.
    :param length_mm: the longest side; None where a part is bought by kind alone.
    :param diameter_mm: of round parts; width and thickness are of the others.
    """

    name: str
    count: int
    stuff: str
    length_mm: float | None = None
    width_mm: float | None = None
    thickness_mm: float | None = None
    diameter_mm: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class GapStack:
    """The spacers at each end for a gap; ``gap_mm`` is what the stack gives."""

    wanted_mm: float
    gap_mm: float
    stack: Stack


@dataclass(frozen=True, slots=True)
class TemplateHole:
    """A hole on the template: its number from the left, its place and its diameter."""

    number: int
    x_mm: float
    y_mm: float
    diameter_mm: float


@dataclass(frozen=True, slots=True)
class Template:
    """The drilling template at true scale.

    :param boards: names of the boards that it is for.
    :param row_y_mm: height of the row's centre line; None for a ring.
    :param bolts_x_mm: where the bolts run through the board, edge to edge.
    :param radii_mm: of a ring: inner rim, circle of the pegs, outer rim; empty otherwise.
    """

    boards: tuple[str, ...]
    length_mm: float
    width_mm: float
    holes: tuple[TemplateHole, ...]
    row_y_mm: float | None
    bolts_x_mm: tuple[float, ...] = ()
    radii_mm: tuple[float, ...] = ()

    @property
    def centre_mm(self) -> tuple[float, float]:
        """The middle of the template, and of a ring."""
        return self.length_mm / 2, self.width_mm / 2


@dataclass(frozen=True, slots=True)
class BoardPlan:
    """Everything needed to build a board.

    :param parts: the cut list and what is bought.
    :param wood: how the boards are cut from lengths of wood.
    :param rods: how the pegs are cut from rods; None where they are bought as they are.
    :param stacks: spacers for each gap wanted, the board's own first.
    """

    spec: BoardSpec
    loom: Loom
    boards: tuple[Board, ...]
    template: Template
    parts: tuple[Part, ...]
    wood: CutPlan
    rods: CutPlan | None
    stacks: tuple[GapStack, ...]


def plan_board(spec: BoardSpec) -> BoardPlan:
    """The plan of a board.

    :raises BoardNotPossible: for a board that cannot be built, with the nearest that can.
    """
    check_spec(spec)
    loom = spec.loom()
    boards = _boards(spec, loom)
    stacks = _stacks(spec)
    wood = cut_plan(
        [board.length_mm for board in boards],
        stock_mm=spec.wood.length_mm,
        kerf_mm=spec.wood.kerf_mm,
        part_width_mm=boards[0].width_mm,
        stock_width_mm=spec.wood.width_mm,
    )
    return BoardPlan(
        spec,
        loom,
        boards,
        _template(spec, boards),
        _parts(spec, loom, boards, stacks),
        wood,
        _rods(spec, loom),
        stacks,
    )


def spec_for_wrap(
    spec: BoardSpec,
    order: WrapOrder,
    wanted_mm: float,
    slack: float = 1.0,
    widest_mm: float = WIDEST_GAP_MM,
) -> BoardSpec:
    """The same board with the gap at which a wrap test draws a wanted length.

    :param order: gives the visits of the wrap on a loom; it must come back to where it began.
    :raises BadInput: as :func:`pegwright.loom.wrap_test.gap_for`; the yarn's thickness must be set.
    :raises NotPossible: where no gap gives the length.
    """
    answer = gap_for(spec.loom(), order, spec.yarn_mm, wanted_mm, slack, widest_mm=widest_mm)
    return replace(spec, gap_mm=answer.gap_mm)


# --- boards --------------------------------------------------------------------------------------


def _boards(spec: BoardSpec, loom: Loom) -> tuple[Board, ...]:
    make = partial(
        Board,
        length_mm=spec.length_mm,
        width_mm=spec.length_mm if spec.is_ring else spec.width_mm,
        thickness_mm=spec.wood.thickness_mm,
    )
    if spec.is_ring:
        low = spec.outer_radius_mm - spec.row_offset_mm - spec.inner_radius_mm
        return (
            make("ring", holes=_holes(spec, loom, range(loom.pegs), spec.outer_radius_mm, low)),
        )
    front = _holes(spec, loom, range(loom.pegs), spec.end_margin_mm, None)
    if not spec.is_double:
        return (make("board", holes=front),)
    back = _holes(spec, loom, range(loom.pegs, loom.peg_count), spec.end_margin_mm, None)
    return make("front board", holes=front), make("back board", holes=back)


def _holes(
    spec: BoardSpec, loom: Loom, pegs: range, x0_mm: float, y0_mm: float | None
) -> tuple[Hole, ...]:
    """Holes of a row; ``y0_mm`` is None where they all lie at the row offset."""
    places = centres(loom)
    return tuple(
        Hole(
            loom.address(peg),
            x0_mm + places[peg][0],
            spec.row_offset_mm if y0_mm is None else y0_mm + places[peg][1],
            spec.peg.drill_mm,
            spec.depth_mm,
        )
        for peg in pegs
    )


def _template(spec: BoardSpec, boards: tuple[Board, ...]) -> Template:
    first = boards[0]
    if spec.is_ring:
        inner = spec.inner_radius_mm
        return Template(
            ("ring",),
            first.length_mm,
            first.width_mm,
            _template_holes(first, flipped=False),
            None,
            (),
            (inner, inner + spec.row_offset_mm, spec.outer_radius_mm),
        )
    row_y = first.width_mm - spec.row_offset_mm if spec.is_double else spec.row_offset_mm
    at = spec.bolt_from_end_mm
    bolts = (at, first.length_mm - at) if spec.is_double and spec.join is Join.BOLT else ()
    return Template(
        tuple(board.name for board in boards),
        first.length_mm,
        first.width_mm,
        _template_holes(first, flipped=spec.is_double),
        row_y,
        bolts,
    )


def _template_holes(board: Board, *, flipped: bool) -> tuple[TemplateHole, ...]:
    """``flipped``: the inner edge is the far one, at the top of the sheet."""
    return tuple(
        TemplateHole(
            number,
            hole.x_mm,
            board.width_mm - hole.y_mm if flipped else hole.y_mm,
            hole.diameter_mm,
        )
        for number, hole in enumerate(board.holes, start=1)
    )


# --- parts ---------------------------------------------------------------------------------------


def _stacks(spec: BoardSpec) -> tuple[GapStack, ...]:
    found = []
    for gap in spec.gaps_mm:
        # A hair of rounding may put the gap below the bare one.
        stack = stack_for_gap(
            max(gap, spec.bare_gap_mm), spec.spacers_mm, gap_offset_mm=spec.bare_gap_mm
        )
        found.append(GapStack(gap, spec.bare_gap_mm + stack.total_mm, stack))
    return tuple(found)


def _parts(
    spec: BoardSpec, loom: Loom, boards: tuple[Board, ...], stacks: tuple[GapStack, ...]
) -> tuple[Part, ...]:
    first = boards[0]
    whole = Part(
        "ring" if spec.is_ring else "board",
        len(boards),
        spec.wood.name,
        first.length_mm,
        first.width_mm,
        first.thickness_mm,
        note="a square, for the ring to be sawn from" if spec.is_ring else "",
    )
    pegs = _peg_part(spec, loom.peg_count)
    return (whole, pegs, *_spacer_parts(spec, stacks), *_hardware(spec, stacks))


def _peg_part(spec: BoardSpec, count: int) -> Part:
    length = spec.peg.height_mm + spec.seat_mm
    names = {
        PegKind.DOWEL: ("peg", f"{spec.peg.material} dowel".strip()),
        PegKind.NAIL: ("nail", f"{spec.peg.material} nails".strip()),
        PegKind.SCREW_IN: ("screw-in peg", f"{spec.peg.material} screw-in pegs".strip()),
    }
    name, stuff = names[spec.peg.kind]
    return Part(name, count, stuff, length, diameter_mm=spec.peg.diameter_mm)


def _spacer_parts(spec: BoardSpec, stacks: tuple[GapStack, ...]) -> tuple[Part, ...]:
    """Spacers for both ends: of each thickness as many as the gap that takes most."""
    length = spec.end_margin_mm - spec.peg.diameter_mm / 2
    parts = []
    for thickness in sorted({t for s in stacks for t in s.stack.pieces}, reverse=True):
        most = max(s.stack.pieces.count(thickness) for s in stacks)
        bored = spec.join is Join.BOLT
        parts.append(
            Part(
                "spacer",
                2 * most,
                spec.wood.name,
                length,
                spec.wood.thickness_mm,
                thickness,
                note=f"bored for the bolt, {spec.bolt_from_end_mm:.4g} mm from its end"
                if bored
                else "",
            )
        )
    return tuple(parts)


def _hardware(spec: BoardSpec, stacks: tuple[GapStack, ...]) -> tuple[Part, ...]:
    if not stacks:
        return ()
    through = 2 * spec.width_mm + max(s.stack.total_mm for s in stacks)
    if spec.join is Join.CLAMP:
        return (Part("clamp", 2, "hardware", math.ceil(through), note="opens at least so far"),)
    length = math.ceil(through + _WASHERS_MM + spec.bolt_mm)
    return (
        Part("bolt", 2, "hardware", length, diameter_mm=spec.bolt_mm, note="or the next longer"),
        Part("wing nut", 2, "hardware", diameter_mm=spec.bolt_mm),
        Part("washer", 4, "hardware", diameter_mm=spec.bolt_mm),
    )


def _rods(spec: BoardSpec, loom: Loom) -> CutPlan | None:
    if spec.peg.kind is not PegKind.DOWEL:
        return None
    length = spec.peg.height_mm + spec.seat_mm
    rod = max(spec.peg.rod_mm, length)
    return cut_plan([length] * loom.peg_count, stock_mm=rod, kerf_mm=spec.wood.kerf_mm)
