"""How much yarn a run draws: the exact taut path of every wrap, and what goes beside the wraps.

The length of a visit is the arc on the visit before it and the tangent from there, so it depends on
the two visits before; a block of the fabric carries those with it.  Lengths here are taut geometry:
slack is a factor of its own, applied by whoever uses them, to the wraps alone.

Where the yarn turns back on the peg it has just wrapped (one row of pegs, worked to and fro), it is
held at a point half a pitch inside that peg.  Where a wrap is brought inside between pegs (a
u-wrap), it is held half way between them, on the inner side of the row.  Where it is laid flat
along one row, the loops lifted over it draw it in between the pegs, at the least to the middle line
of the row (common practice, no source).  Such points are *pins*: circles of no radius, visited
without making a loop.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from pegwright.knitting.fabric import Block, Fabric, Tile
from pegwright.knitting.operations import Part
from pegwright.knitting.run import Run
from pegwright.loom.board import Arrangement, Loom, centres
from pegwright.loom.taut import Circles, check_yarn_passes, taut_path
from pegwright.loom.visit import Held, Turn, Visit

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = [
    "Drawn",
    "PartDrawn",
    "block_lengths",
    "circles_with_pins",
    "course_loop_mm",
    "drawn",
    "loop_lengths",
]


_Sums = dict[tuple[str, Part, int, int], list[float]]


@dataclass(frozen=True, slots=True)
class PartDrawn:
    """Yarn of one name for one part of one piece, drawn in one step, in mm.

    ``wrapped_mm`` is taut geometry (slack still to come); ``beside_mm`` is drawn beside the wraps
    (knots, tails, seams) and takes no slack.
    """

    yarn: str
    part: Part
    piece: str
    wrapped_mm: float
    beside_mm: float
    loops: int
    step: int


@dataclass(frozen=True, slots=True)
class Drawn:
    """Everything that a run draws, in the order in which it is first drawn."""

    parts: tuple[PartDrawn, ...]

    def of(self, yarn: str) -> tuple[PartDrawn, ...]:
        """The parts knitted with one yarn."""
        return tuple(p for p in self.parts if p.yarn == yarn)

    def taut_mm(self) -> float:
        """All of it, wraps without slack."""
        return sum(p.wrapped_mm + p.beside_mm for p in self.parts)


def drawn(run: Run, diameters_mm: Mapping[str, float]) -> Drawn:
    """The yarn that a run draws, repeats kept as repeats.

    :param diameters_mm: wrapped diameter of each yarn, by its name.
    """
    parts = {step.number: step.part for step in run.script.steps}
    sums: _Sums = {}
    fabric = run.fabric
    for block, times in fabric.walk():
        if block.visits:
            yarn = fabric.strands[block.strand]
            key = (yarn, parts[block.step], block.piece, block.step)
            entry = sums.setdefault(key, [0.0, 0.0, 0])
            lengths = block_lengths(run.script.loom, block, diameters_mm[yarn])
            entry[0] += float(lengths.sum()) * times
            entry[2] += block.loops * times
        for use in block.uses:
            key = (use.yarn, use.part, use.piece, block.step)
            sums.setdefault(key, [0.0, 0.0, 0])[1] += use.yarn_mm * times
    return Drawn(
        tuple(
            PartDrawn(yarn, part, fabric.pieces[piece], wrapped, beside, int(loops), step)
            for (yarn, part, piece, step), (wrapped, beside, loops) in sums.items()
        )
    )


def loop_lengths(run: Run, diameters_mm: Mapping[str, float]) -> NDArray[np.float64]:
    """The taut length that each loop draws, mm, in the order of loops, every repeat written out."""
    return _lengths(run.fabric, run.fabric.blocks, run.script.loom, diameters_mm)


def _lengths(
    fabric: Fabric,
    blocks: tuple[Block | Tile, ...],
    loom: Loom,
    diameters_mm: Mapping[str, float],
) -> NDArray[np.float64]:
    parts = [
        np.tile(_lengths(fabric, b.blocks, loom, diameters_mm), b.times)
        if isinstance(b, Tile)
        else block_lengths(loom, b, diameters_mm[fabric.strands[b.strand]])
        for b in blocks
        if b.loops
    ]
    return np.concatenate(parts) if parts else np.zeros(0)


def block_lengths(loom: Loom, block: Block, diameter_mm: float) -> NDArray[np.float64]:
    """The taut length of each visit of a block, mm."""
    visits = (*block.lead, *block.visits)
    circles, owner = circles_with_pins(loom, visits, diameter_mm)
    lengths = np.bincount(owner, weights=taut_path(circles).drawn_mm, minlength=len(visits))
    return np.asarray(lengths[len(block.lead) :], np.float64)


def course_loop_mm(loom: Loom, visits: tuple[Visit, ...], diameter_mm: float) -> float:
    """The taut length of one loop, mm: the mean over courses repeated, in their steady state.

    :param visits: the visits of the wrap's courses, in order, all of them once.
    """
    thrice = visits * 3
    circles, owner = circles_with_pins(loom, thrice, diameter_mm)
    lengths = np.bincount(owner, weights=taut_path(circles).drawn_mm, minlength=len(thrice))
    n = len(visits)
    return float(lengths[n : 2 * n].mean())


def circles_with_pins(
    loom: Loom, visits: tuple[Visit, ...], diameter_mm: float
) -> tuple[Circles, NDArray[np.int64]]:
    """The circles of visits, with the pins that they need.

    :returns: the circles, and for each the index of the visit whose length it belongs to.
    """
    check_yarn_passes(loom, diameter_mm)
    table = centres(loom)
    radius = (loom.peg_diameter_mm + diameter_mm) / 2
    rows: list[tuple[float, float, float, int, bool]] = []
    owner: list[int] = []
    before: Visit | None = None
    for i, visit in enumerate(visits):
        pin = _pin(loom, before, visit, radius)
        if pin is not None:
            rows.append((*pin, 0.0, int(visit.turn.reversed), False))
            owner.append(i)
        x, y = table[visit.peg]
        rows.append((x, y, radius, int(visit.turn), visit.encircled))
        owner.append(i)
        before = visit
    x_mm, y_mm, r_mm, turn, encircled = (np.array(column) for column in zip(*rows, strict=True))
    return Circles(x_mm, y_mm, r_mm, turn, encircled), np.array(owner)


def _pin(
    loom: Loom, before: Visit | None, visit: Visit, radius_mm: float
) -> tuple[float, float] | None:
    """Where the yarn is held between two visits, or None where it runs straight on."""
    if before is None:
        return None
    if before.peg == visit.peg:
        if before.turn == visit.turn:
            return None
        return _inwards(loom, visit.peg, loom.pitch_mm / 2)
    if visit.held:
        inwards_mm = radius_mm if visit.held is Held.INSIDE else 0.0
        (ax, ay), (bx, by) = (_inwards(loom, v.peg, inwards_mm) for v in (before, visit))
        return (ax + bx) / 2, (ay + by) / 2
    return None


def _inwards(loom: Loom, peg: int, distance_mm: float) -> tuple[float, float]:
    """A point so far from a peg on the inner side of its row."""
    x, y = centres(loom)[peg]
    if loom.arrangement is Arrangement.RING:
        points = centres(loom)
        cx = sum(p[0] for p in points) / len(points)
        cy = sum(p[1] for p in points) / len(points)
        away = ((cx - x) ** 2 + (cy - y) ** 2) ** 0.5
        return x + (cx - x) / away * distance_mm, y + (cy - y) / away * distance_mm
    inner = Turn.RIGHT if loom.is_back(peg) and loom.is_double else Turn.LEFT
    return x, y + inner * distance_mm
