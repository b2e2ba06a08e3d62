"""What a run promises of a yarn: grams per row, and what is kept for later."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pegwright.errors import BadInput
from pegwright.garments.base import Brief, Plan, Wearer
from pegwright.garments.blocks import Field, cast_on, first_row, rows
from pegwright.garments.folded_strip_hood import FOLDED_STRIP_HOOD
from pegwright.gauge.fabric_gauge import Gauge, GaugeSource
from pegwright.knitting.operations import CutYarn, JoinYarn, Part
from pegwright.knitting.run import Run, execute
from pegwright.knitting.script import PieceSpec, Script, Step
from pegwright.knitting.wraps import shipped
from pegwright.loom.board import Arrangement, Loom
from pegwright.loom.taut import Circles, taut_path
from pegwright.measured import Measured
from pegwright.planning.forecast import Weighing, forecast
from pegwright.planning.needs import yarn_needs
from pegwright.planning.promised import prior_for, reserve_for
from pegwright.yarn.yarn import Yarn

BOARD = Loom(Arrangement.OPPOSED, 50, 11.1125, 25.4, 4.7625)
NAVY = Yarn("Slipway navy", 4, 175.0, invented=True)
RUST = Yarn("Slipway rust", 4, 175.0, invented=True)
YARNS = {yarn.name: yarn for yarn in (NAVY, RUST)}
SLACK = Measured(1.08, 0.04)
STOCKINETTE = shipped("double-board stockinette")


def hood() -> Plan:
    gauge = Gauge(Measured(9.0, 0.3), Measured(6.5, 0.2), GaugeSource.SWATCH)
    brief = Brief(
        "bow",
        Wearer.ADULT,
        {"head": 570.0},
        {"closing": "cord"},
        BOARD,
        STOCKINETTE,
        gauge,
        {"body": NAVY, "cord": NAVY},
    )
    return FOLDED_STRIP_HOOD.plan(brief)


@pytest.fixture(scope="module")
def hood_run() -> Run:
    return execute(hood().script)


def test_the_promise_is_the_row_that_is_drawn(hood_run: Run) -> None:
    """One course of the wrap, drawn twice and the second one measured, by the taut path alone."""
    prior = prior_for(hood_run, YARNS, NAVY.name, SLACK)
    columns = hood().piece("strip").columns
    visits = [v for _ in range(3) for v in STOCKINETTE.visits(BOARD, 1, columns, 2)]
    radius = (BOARD.peg_diameter_mm + NAVY.wrapped_diameter_mm) / 2
    places = np.array([BOARD.centre(v.peg) for v in visits])
    path = taut_path(
        Circles(
            places[:, 0],
            places[:, 1],
            np.full(len(visits), radius),
            np.array([int(v.turn) for v in visits]),
            np.zeros(len(visits), dtype=bool),
        )
    )
    course_m = float(path.drawn_mm[2 * columns : 4 * columns].sum()) / 1000
    assert prior.grams_per_row.value == pytest.approx(course_m * 1.08 * 100 / 175, rel=1e-6)
    # Slack 0.04/1.08 and the band's 3 % are independent.
    assert prior.grams_per_row.relative == pytest.approx(np.hypot(0.04 / 1.08, 0.03), rel=1e-6)
    assert len(prior.shares) == hood_run.piece("strip").rows
    assert prior.shares == pytest.approx([1.0] * len(prior.shares), abs=0.02)


def test_rows_and_reserve_make_up_the_need(hood_run: Run) -> None:
    (need,) = yarn_needs(hood_run, YARNS, SLACK, margin=0.1)
    prior, reserve = prior_for(hood_run, YARNS, NAVY.name, SLACK), reserve_for(need)
    rows = hood_run.piece("strip").rows
    cast_on_g = NAVY.mass(need.part(str(Part.CAST_ON))).value
    body_g = NAVY.mass(need.part(str(Part.BODY))).value
    knitted_g = prior.grams_per_row.value * prior.amount(0, rows)
    assert knitted_g == pytest.approx(body_g, rel=0.01)  # the body holds its tail, too
    assert cast_on_g + body_g + reserve.value == pytest.approx(need.grams.value)
    assert reserve.value > NAVY.mass(need.part(str(Part.CORD))).value
    assert reserve.sd > 0
    # A ball that holds the need exactly: as likely as not.
    left = Weighing(0, knitted_g + reserve.value)
    found = forecast(prior, [left], rows, reserve, scale_g=0.1)
    assert found.chance_of_finishing == pytest.approx(0.5, abs=0.02)


def striped() -> Run:
    """Four rows of navy, six of rust, four of navy."""
    field = Field(BOARD, STOCKINETTE, 1, 10)
    body = (
        *first_row(field),
        *rows(field, 3),
        CutYarn(100),
        JoinYarn(RUST.name, 100),
        *rows(field, 6, done=4),
        CutYarn(100),
        JoinYarn(NAVY.name, 100),
        *rows(field, 4, done=10),
    )
    steps = (
        Step(1, "cast-on", "strip", Part.CAST_ON, cast_on(field, NAVY.name, 100, 50)),
        Step(2, "rows", "strip", Part.BODY, body),
    )
    return execute(Script(BOARD, (PieceSpec("strip"),), steps))


def test_stripes() -> None:
    run = striped()
    navy, rust = (prior_for(run, YARNS, name, SLACK) for name in YARNS)
    assert [share > 0 for share in navy.shares] == [True] * 4 + [False] * 6 + [True] * 4
    assert [share > 0 for share in rust.shares] == [False] * 4 + [True] * 6 + [False] * 4
    assert navy.amount(0, 14) == pytest.approx(8)
    assert rust.amount(0, 14) == pytest.approx(6)
    # A row that begins with a new end lacks the yarn that came from the row before.
    assert navy.grams_per_row.value == pytest.approx(rust.grams_per_row.value, rel=0.05)


def test_a_cord_is_forecast_by_its_own_name(hood_run: Run) -> None:
    with pytest.raises(BadInput) as caught:  # its rows are no body
        prior_for(hood_run, YARNS, NAVY.name, SLACK, piece="cord")
    assert "cord" in str(caught.value)


def test_a_yarn_that_is_not_knitted(hood_run: Run) -> None:
    with pytest.raises(BadInput) as caught:
        prior_for(hood_run, YARNS, RUST.name, SLACK)
    assert caught.value.hint is not None
    assert NAVY.name in caught.value.hint


def test_thicker_rows_take_more(hood_run: Run) -> None:
    usual = prior_for(hood_run, YARNS, NAVY.name, SLACK).grams_per_row.value
    loose = prior_for(hood_run, YARNS, NAVY.name, replace(SLACK, value=1.2)).grams_per_row.value
    assert loose / usual == pytest.approx(1.2 / 1.08)


def test_two_names_for_one_yarn_keep_their_needs_apart() -> None:
    run = striped()
    names = tuple(dict.fromkeys(run.fabric.strands))
    assert len(names) == 2
    alike = Yarn("alike", 4, 200, wraps_per_inch=10)
    needs = yarn_needs(run, dict.fromkeys(names, alike), Measured(1.0), 0.1)
    assert len(needs) == len(names)
    assert all(need.yarn == alike for need in needs)
    assert len({need.metres.value for need in needs}) > 1
