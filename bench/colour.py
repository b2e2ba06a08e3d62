"""Measurements of colour: colouring every stitch of a large run, and searching for effects."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from itertools import accumulate, pairwise

from bench.harness import Row, Sense, median_seconds, ratio_row
from pegwright.garments.blocks import Field, cast_on, first_row
from pegwright.garments.blocks import rows as more_rows
from pegwright.knitting.operations import Part
from pegwright.knitting.run import Run, execute
from pegwright.knitting.script import PieceSpec, Script, Step
from pegwright.knitting.wraps import shipped
from pegwright.loom.board import Arrangement, Loom
from pegwright.planning.colour import stitch_colours
from pegwright.planning.colour_search import (
    ColourSearch,
    Effect,
    Scores,
    row_layout,
    search_colours,
)
from pegwright.yarn.colour import Colour, ColourRun, Stretch
from pegwright.yarn.yarn import Yarn

__all__ = ["rows"]

_YARN = Yarn("Slipway", 4, 200, wrapped_diameter_mm=2.4, invented=True)
_COLOURS = ColourRun(
    (
        Stretch(Colour("rust", "#a4482c"), 0.31),
        Stretch(Colour("cream", "#f2ead8"), 0.17),
        Stretch(Colour("teal", "#1d6e73"), 0.42),
    )
)
_WRAP = shipped("double-board stockinette")
_LOOM = Loom(Arrangement.OPPOSED, 160, 11.0, 25.0, 4.0)
_ROWS, _STARTS = 60, 64
_FEW = (20, 60, 100)  # peg counts of the plain search, which is slow


def rows() -> list[Row]:
    """The area's rows."""
    return [_large_run(), _search(), _speed_up()]


def _large_run() -> Row:
    run = _strip(pegs=100, count=1599)
    assert run.fabric.loops >= 320_000, run.fabric.loops
    seconds = median_seconds(
        lambda: stitch_colours(run, {_YARN.name: _YARN}, {_YARN.name: _COLOURS}, slack=1.05)
    )
    return Row("yarn.colour_320k_ms", seconds * 1000, "ms", 150)


def _strip(pegs: int, count: int) -> Run:
    field = Field(_LOOM, _WRAP, 1, pegs)
    work = (
        *cast_on(field, _YARN.name, 150.0, 30.0),
        *first_row(field),
        *more_rows(field, count - 1),
    )
    step = Step(1, "strip", "strip", Part.BODY, work)
    return execute(Script(_LOOM, (PieceSpec("strip"),), (step,)))


def _search() -> Row:
    seconds = median_seconds(lambda: _ours(tuple(range(11, 161))), repeats=3)
    return Row("yarn.search_150x64_s", seconds, "s", 2, Sense.AT_MOST)


def _ours(pegs: tuple[int, ...]) -> ColourSearch:
    return search_colours(
        _LOOM,
        [_WRAP],
        _YARN.wrapped_diameter_mm,
        _COLOURS,
        Effect.STRIPES,
        pegs=pegs,
        starts=_STARTS,
        rows=_ROWS,
    )


def _speed_up() -> Row:
    """The same three peg counts and 64 starts, searched both ways, with the same answer."""
    fast = {p.pegs: p.score for p in _ours(_FEW).best}
    slow = _plain(_FEW)
    assert all(abs(fast[n] - slow[n]) < 1e-9 for n in _FEW), (fast, slow)
    return ratio_row(
        "yarn.search_speedup", lambda: _ours(_FEW), lambda: _plain(_FEW), at_least=30, repeats=3
    )


def _plain(pegs: tuple[int, ...]) -> dict[int, float]:
    """The best score of each peg count, stitch by stitch in plain Python."""
    ends = list(accumulate(s.length_m for s in _COLOURS.stretches))
    found = {}
    for n in pegs:
        layout = row_layout(_LOOM, _WRAP, n, _YARN.wrapped_diameter_mm)
        middles = layout.middle_m[0].tolist()
        best = 0.0
        for start in range(_STARTS):
            first_m = layout.first_m + start * ends[-1] / _STARTS
            grid = [
                [
                    bisect_right(ends, (first_m + r * layout.period_m + m) % ends[-1])
                    for m in middles
                ]
                for r in range(_ROWS)
            ]
            best = max(best, _scores(grid).of(Effect.STRIPES))
        found[n] = best
    return found


def _scores(grid: list[list[int]]) -> Scores:
    height, width = len(grid), len(grid[0])
    cells = height * width
    most = max(Counter(c for line in grid for c in line).values()) / cells
    by_row = sum(max(Counter(line).values()) for line in grid) / cells
    by_column = sum(max(Counter(line).values()) for line in zip(*grid, strict=True)) / cells
    along = sum(a != b for line in grid for a, b in pairwise(line))
    up = sum(a != b for one, two in pairwise(grid) for a, b in zip(one, two, strict=True))
    pairs = height * (width - 1) + (height - 1) * width
    rest = 1 - most if most < 1 else 1.0
    return Scores(
        max((by_row - most) / rest, 0.0), max((by_column - most) / rest, 0.0), (along + up) / pairs
    )
