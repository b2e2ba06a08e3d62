"""The yarn's own way to each loop: the arc round the peg before it and the straight run from there.

The stretch that belongs to a loop is the one whose length :mod:`pegwright.knitting.drawn` counts
for it, so the lengths of its lines and arcs add up to that.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby

import numpy as np

from pegwright.errors import BadInput
from pegwright.knitting.drawn import circles_with_pins
from pegwright.knitting.fabric import Block, Fabric, Tile
from pegwright.loom.board import Loom
from pegwright.loom.taut import Arc, Line, taut_path
from pegwright.loom.visit import Visit

__all__ = ["LoopFinder", "loop_paths"]

_LEAD = 2
"""How many visits before a loop shape its stretch."""


class LoopFinder:
    """Finds a loop of a fabric by its number, repeats kept as repeats."""

    def __init__(self, fabric: Fabric) -> None:
        self.fabric = fabric
        self.loops = fabric.loops
        self._laid = [block for block in fabric.blocks if block.loops]
        self._firsts = [_first(block) for block in self._laid]

    def find(self, number: int) -> tuple[Visit, int]:
        """The visit that made a loop, and its strand.

        :raises BadInput: where the fabric has no such loop.
        """
        if not 0 <= number < self.loops:
            raise BadInput("the fabric has no such loop", given=number)
        at = self._laid[bisect_right(self._firsts, number) - 1]
        while isinstance(at, Tile):
            number -= (number - _first(at)) // at.loop_stride * at.loop_stride
            inside = [block for block in at.blocks if block.loops]
            at = inside[bisect_right(inside, number, key=_first) - 1]
        return at.visits[number - at.first_loop], at.strand


def _first(block: Block | Tile) -> int:
    while isinstance(block, Tile):
        block = next(inner for inner in block.blocks if inner.loops)
    return block.first_loop


def loop_paths(
    loom: Loom, finder: LoopFinder, numbers: Iterable[int], diameters_mm: Mapping[str, float]
) -> dict[int, tuple[Line | Arc, ...]]:
    """The lines and arcs of each of these loops, in the order in which the yarn runs.

    The first loop of a strand has none: the yarn only begins there.

    :param diameters_mm: wrapped diameter of each yarn, by its name.
    """
    found: dict[int, tuple[Line | Arc, ...]] = {}
    for wanted in _together(sorted(set(numbers))):
        first = max(wanted[0] - _LEAD, 0)
        loops = [(n, *finder.find(n)) for n in range(first, wanted[-1] + 1)]
        for strand, group in groupby(loops, key=lambda loop: loop[2]):
            alike = list(group)
            diameter = diameters_mm[finder.fabric.strands[strand]]
            visits = tuple(visit for _, visit, _ in alike)
            for (n, _, _), path in zip(alike, _stretches(loom, visits, diameter), strict=True):
                if n >= wanted[0]:
                    found[n] = path
    return found


def _together(numbers: list[int]) -> Iterator[list[int]]:
    """Numbers in runs without a gap."""
    for _, run in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0]):
        yield [number for _, number in run]


def _stretches(
    loom: Loom, visits: tuple[Visit, ...], diameter_mm: float
) -> list[tuple[Line | Arc, ...]]:
    circles, owner = circles_with_pins(loom, visits, diameter_mm)
    path = taut_path(circles)
    begin = path.heading - circles.turn * (np.pi / 2)
    sweep = circles.turn * path.arc
    stretches: list[list[Line | Arc]] = [[] for _ in visits]
    for j in range(1, len(circles)):
        mine = stretches[int(owner[j])]
        b = j - 1
        if circles.r[b] > 0 and sweep[b] != 0:
            centre = float(circles.x[b]), float(circles.y[b])
            mine.append(Arc(*centre, float(circles.r[b]), float(begin[b]), float(sweep[b])))
        if path.tangent_mm[j] > 0:
            mine.append(Line(*path.start_mm[j].tolist(), *path.end_mm[j].tolist()))
    return [tuple(stretch) for stretch in stretches]
