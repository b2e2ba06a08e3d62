"""Each loop's own stretch of yarn: as long as the run draws for it, and without a gap."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from pegwright.errors import BadInput
from pegwright.knitting.drawn import loop_lengths
from pegwright.knitting.loop_paths import LoopFinder, loop_paths
from pegwright.knitting.run import execute
from pegwright.knitting.wraps import SHIPPED, Wrap
from pegwright.loom.taut import Arc, Line
from tests.knitting.scripts import GATHER, YARN, field_of, hood, panel

_DIAMETERS = {YARN: 2.4, GATHER: 2.4}


def _length(part: Line | Arc) -> float:
    if isinstance(part, Line):
        return math.hypot(part.x1 - part.x0, part.y1 - part.y0)
    return part.r * abs(part.sweep)


def _ends(part: Line | Arc) -> tuple[tuple[float, float], tuple[float, float]]:
    if isinstance(part, Line):
        return (part.x0, part.y0), (part.x1, part.y1)
    a, b = part.start, part.start + part.sweep
    return (
        (part.cx + part.r * math.cos(a), part.cy + part.r * math.sin(a)),
        (part.cx + part.r * math.cos(b), part.cy + part.r * math.sin(b)),
    )


@pytest.mark.parametrize("wrap", SHIPPED, ids=lambda wrap: wrap.name)
def test_every_loop_has_the_length_that_the_run_draws(wrap: Wrap) -> None:
    columns = max(wrap.least, 6)
    columns += (wrap.plus - columns) % wrap.multiple
    run = execute(panel(field_of(wrap, columns), 7))
    paths = loop_paths(run.script.loom, LoopFinder(run.fabric), range(run.fabric.loops), _DIAMETERS)
    lengths = [sum(map(_length, paths[n])) for n in range(run.fabric.loops)]
    assert np.allclose(lengths, loop_lengths(run, _DIAMETERS), atol=1e-6)


def test_the_yarn_runs_on_without_a_gap() -> None:
    run = execute(hood(8, 20))
    finder = LoopFinder(run.fabric)
    paths = loop_paths(run.script.loom, finder, range(run.fabric.loops), _DIAMETERS)
    for n in range(1, run.fabric.loops):
        if finder.find(n)[1] != finder.find(n - 1)[1]:
            assert paths[n] == ()  # another strand begins
            continue
        parts = [*paths[n - 1], *paths[n]]
        for one, two in pairwise(parts):
            assert math.dist(_ends(one)[1], _ends(two)[0]) < 1e-6


def test_any_choice_of_loops_gives_the_same_as_all_of_them() -> None:
    run = execute(hood(8, 20))
    finder = LoopFinder(run.fabric)
    every = loop_paths(run.script.loom, finder, range(run.fabric.loops), _DIAMETERS)
    some = [0, 1, 2, 7, 40, 41, 42, 199, run.fabric.loops - 1]
    for n, path in loop_paths(run.script.loom, finder, some, _DIAMETERS).items():
        assert sum(map(_length, path)) == pytest.approx(sum(map(_length, every[n])))
        for one, other in zip(path, every[n], strict=True):
            if isinstance(one, Line) or abs(one.sweep) < 2 * math.pi - 1e-6:
                assert np.allclose(one, other, atol=1e-6)  # a full round may begin anywhere


def test_loops_of_a_repeat_are_found_by_their_number() -> None:
    run = execute(hood(8, 20))
    finder, arrays = LoopFinder(run.fabric), run.fabric.arrays()
    for n in range(run.fabric.loops):
        visit, strand = finder.find(n)
        assert (visit.peg, strand) == (arrays.peg[n], arrays.strand[n])
    for n in (-1, run.fabric.loops):
        with pytest.raises(BadInput):
            finder.find(n)
