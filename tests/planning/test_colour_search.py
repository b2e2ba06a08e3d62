"""Peg counts and starts for an effect: exact places, closed forms, and a plain count beside."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from pegwright.errors import BadInput, NotPossible
from pegwright.knitting.run import execute
from pegwright.knitting.wraps import SHIPPED, Wrap, shipped
from pegwright.planning.colour import stitch_colours
from pegwright.planning.colour_search import (
    Effect,
    Scores,
    placement_grid,
    row_layout,
    search_colours,
)
from pegwright.planning.colour_views import face_grid
from pegwright.units import UnitSystem
from pegwright.yarn.colour import Colour, ColourRun, Stretch
from pegwright.yarn.yarn import Yarn
from tests.knitting.scripts import STOCKINETTE, YARN, board, field_of, loom_for, panel

RUST, CREAM, TEAL = Colour("rust", "#a4482c"), Colour("cream", "#f2ead8"), Colour("teal", "#1d6e73")
RUN = ColourRun((Stretch(RUST, 0.31), Stretch(CREAM, 0.17), Stretch(TEAL, 0.42)))
SLIPWAY = Yarn(YARN, 4, 200, wrapped_diameter_mm=2.4, invented=True)
WRAPS = [w for w in SHIPPED if "cord" not in w.name]


@pytest.mark.parametrize("wrap", WRAPS, ids=lambda w: w.name)
def test_places_are_those_of_the_executed_strip(wrap: Wrap) -> None:
    layout = row_layout(loom_for(wrap, 14), wrap, 14, 2.4, slack=1.07, tail_mm=150.0, knot_mm=30.0)
    run = execute(panel(field_of(wrap, 14), 11))
    found = stitch_colours(run, {YARN: SLIPWAY}, {YARN: replace(RUN, offset_m=0.37)}, slack=1.07)
    seen = face_grid(run, found, "strip").index
    assert (placement_grid(layout, RUN, 11, 0.37)[::-1] == seen).all()


def plain_scores(grid: list[list[int]]) -> Scores:
    """The measures as the module's words define them, counted one stitch at a time."""
    rows, columns = len(grid), len(grid[0])
    cells = rows * columns
    most = max(Counter(c for line in grid for c in line).values()) / cells
    by_row = sum(max(Counter(line).values()) for line in grid) / cells
    by_column = sum(max(Counter(line).values()) for line in zip(*grid, strict=True)) / cells
    change = pairs = 0
    for r, c in product(range(rows), range(columns)):
        for dr, dc in ((0, 1), (1, 0)):
            if r + dr < rows and c + dc < columns:
                pairs += 1
                change += grid[r][c] != grid[r + dr][c + dc]
    rest = 1 - most if most < 1 else 1
    return Scores((by_row - most) / rest, (by_column - most) / rest, change / pairs)


@pytest.mark.parametrize("effect", list(Effect))
@pytest.mark.parametrize("name", ["double-board stockinette", "e-wrap"])
def test_the_search_finds_what_trying_each_start_finds(name: str, effect: Effect) -> None:
    wrap = shipped(name)
    loom = loom_for(wrap, 12)
    found = search_colours(
        loom, [wrap], 2.4, RUN, effect, pegs=[9, 12], starts=7, rows=13, tail_mm=150.0
    )
    assert found.tried == 14
    assert {p.pegs for p in found.best} == {9, 12}
    for placement in found.best:
        layout = row_layout(loom, wrap, placement.pegs, 2.4, tail_mm=150.0)
        tried = []
        for k in range(7):
            offset_m = k * RUN.repeat_m / 7
            grid = placement_grid(layout, RUN, 13, offset_m).tolist()
            tried.append((plain_scores(grid).of(effect), offset_m))
        best = max(score for score, _ in tried)
        assert placement.score == pytest.approx(best)
        assert any(
            score == pytest.approx(best) and placement.offset_m == pytest.approx(offset_m)
            for score, offset_m in tried
        )
    assert found.best[0].score >= found.best[-1].score


def test_a_repeat_as_long_as_a_row_scores_one_for_stacked() -> None:
    loom = board(20)
    length_m = row_layout(loom, STOCKINETTE, 17, 2.4).row_m
    run = ColourRun((Stretch(RUST, length_m / 2), Stretch(CREAM, length_m / 2)))
    found = search_colours(loom, [STOCKINETTE], 2.4, run, Effect.STACKED, rows=30)
    top = found.best[0]
    assert top.pegs == 17
    assert top.scores.columns == pytest.approx(1)
    assert top.misses_m == pytest.approx(0, abs=1e-9)
    assert (
        "whole number of repeats to within half a centimetre"
        in found.words(UnitSystem.CENTIMETRES)[-1]
    )


def test_a_repeat_of_two_rows_scores_one_for_stripes() -> None:
    loom = board(20)
    layout = row_layout(loom, STOCKINETTE, 17, 2.4)
    run = ColourRun((Stretch(RUST, layout.row_m), Stretch(CREAM, layout.row_m)))
    # One start puts the change of colour where a row begins.
    starts = 256
    tail_mm = 1000 * (run.repeat_m / starts * 40 - layout.first_m % (run.repeat_m / starts))
    found = search_colours(
        loom, [STOCKINETTE], 2.4, run, Effect.STRIPES, pegs=[17], starts=starts, tail_mm=tail_mm
    )
    assert found.best[0].score == pytest.approx(1)
    grid = placement_grid(
        row_layout(loom, STOCKINETTE, 17, 2.4, tail_mm=tail_mm), run, 6, found.best[0].offset_m
    )
    assert all(len(set(line)) == 1 for line in grid.tolist())
    assert [line[0] for line in grid.tolist()] in ([0, 1] * 3, [1, 0] * 3)


def test_short_colours_speckle() -> None:
    loom = board(20)
    short = ColourRun((Stretch(RUST, 0.05), Stretch(CREAM, 0.06), Stretch(TEAL, 0.041)))
    speckled = search_colours(loom, [STOCKINETTE], 2.4, short, Effect.SPECKLE).best[0]
    striped = search_colours(loom, [STOCKINETTE], 2.4, short, Effect.STRIPES).best[0]
    assert speckled.score > 0.6 > striped.score


def test_several_wraps_are_tried_where_they_fit() -> None:
    wraps = [STOCKINETTE, shipped("double-board rib 2 by 2"), shipped("flat")]
    found = search_colours(board(12), wraps, 2.4, RUN, Effect.SPECKLE, starts=4, rows=8, best=100)
    assert {p.wrap for p in found.best} == {w.name for w in wraps[:2]}
    assert {p.pegs for p in found.best if p.wrap == wraps[1].name} == {6, 10}
    assert found.tried == 4 * len(found.best)


def test_words_and_data() -> None:
    found = search_colours(board(12), [STOCKINETTE], 2.4, RUN, Effect.STRIPES, starts=4, best=3)
    lines = found.words(UnitSystem.INCHES)
    assert lines[0] == "Looking for stripes over 60 rows: 36 ways tried."
    assert len(lines) == 4
    best = found.as_data()["best"]
    assert isinstance(best, list)
    assert best[0]["pegs"] == found.best[0].pegs
    assert np.isclose(best[0]["score"], found.best[0].score, atol=1e-6)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"run": ColourRun.solid(RUST)}, "run"),
        ({"run": replace(RUN, drift=0.1)}, "drift"),
        ({"wraps": []}, "wraps"),
        ({"pegs": []}, "pegs"),
        ({"pegs": [0]}, "pegs"),
        ({"starts": 0}, "starts"),
        ({"rows": 1}, "rows"),
        ({"best": 0}, "best"),
        ({"slack": 0.0}, "slack"),
        ({"tail_mm": -1.0}, "tail_mm"),
    ],
)
def test_bad_input_names_its_field(change: dict[str, object], field: str) -> None:
    given: dict[str, object] = {
        "loom": board(12),
        "wraps": [STOCKINETTE],
        "diameter_mm": 2.4,
        "run": RUN,
        "effect": Effect.STRIPES,
    }
    with pytest.raises(BadInput) as caught:
        search_colours(**{**given, **change})  # type: ignore[arg-type]
    assert caught.value.place is not None
    assert caught.value.place.field == field


def test_nothing_that_fits_and_too_much() -> None:
    with pytest.raises(NotPossible, match="none of these peg counts"):
        search_colours(board(12), [shipped("flat")], 2.4, RUN, Effect.STRIPES)
    with pytest.raises(NotPossible, match="too large"):
        search_colours(board(200), [STOCKINETTE], 2.4, RUN, Effect.STRIPES, starts=256, rows=10_000)
