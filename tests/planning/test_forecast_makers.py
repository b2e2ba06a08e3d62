"""Whether the forecast's intervals and chances hold, over thousands of simulated makers.

Each maker of the invented winter-kit circle has her own slack (so, her own grams per row), her own
unevenness from row to row and her own kitchen scale, on which the ball takes up and gives off water
between weighings.  Makers are drawn from fixed seeds, all at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from pegwright.measured import Measured
from pegwright.planning.forecast import Forecast, Prior, Weighing, forecast

Floats = NDArray[np.float64]

MAKERS = 2000
ROWS = 120
PROMISED = Measured(0.6, 0.042)
RESERVE = Measured(8.0, 0.8)
DRIFT = 0.005
SCATTERS = np.array([0.02, 0.05, 0.12])
STEPS = np.array([0.1, 1.0, 2.0, 5.0])


@dataclass(frozen=True)
class Makers:
    """What is true of each maker, and what her scale showed."""

    scatter: Floats
    step_g: Floats
    needed_g: Floats
    left_at_end_g: Floats
    rows_left: Floats
    readings: Floats  # makers by weighings


def simulated(
    rows: tuple[int, ...], seed: int, grams_per_row: Floats | None = None, makers: int = MAKERS
) -> Makers:
    random = np.random.default_rng(seed)
    if grams_per_row is None:
        grams_per_row = random.normal(PROMISED.value, PROMISED.sd, makers)
    scatter = random.choice(SCATTERS, makers)
    step = random.choice(STEPS, makers)
    start = random.uniform(70, 95, makers)
    kept = random.normal(RESERVE.value, RESERVE.sd, makers)
    each = 1 + scatter[:, None] * random.normal(size=(makers, 4 * ROWS))
    used = np.cumsum(grams_per_row[:, None] * each, axis=1)
    used = np.concatenate([np.zeros((makers, 1)), used], axis=1)
    true = start[:, None] - used[:, list(rows)]
    wet = true * (1 + DRIFT * random.normal(size=true.shape))
    readings = np.round(wet / step[:, None]) * step[:, None]
    # The row, and the part of a row, at which the yarn is down to what must be kept.
    have = start - kept
    whole = (used <= have[:, None]).sum(axis=1) - 1
    at = np.arange(makers)
    part = (have - used[at, whole]) / (used[at, whole + 1] - used[at, whole])
    return Makers(
        scatter,
        step,
        used[:, ROWS] - used[:, rows[-1]],
        have - used[:, ROWS],
        whole + part - rows[-1],
        readings,
    )


def told(makers: Makers, rows: tuple[int, ...]) -> list[Forecast]:
    prior = Prior(PROMISED)
    return [
        forecast(
            prior,
            [Weighing(row, float(grams)) for row, grams in zip(rows, readings, strict=True)],
            ROWS,
            RESERVE,
            scale_g=float(step),
        )
        for readings, step in zip(makers.readings, makers.step_g, strict=True)
    ]


def within(true: Floats, bounds: list[tuple[float, float]]) -> NDArray[np.bool_]:
    ends: Floats = np.array(bounds)
    return np.logical_and(ends[:, 0] <= true, true <= ends[:, 1])


@pytest.fixture(scope="module", params=[(0,), (0, 15), (0, 20, 40, 60), (10, 50, 75, 90)], ids=str)
def asked(request: pytest.FixtureRequest) -> tuple[Makers, list[Forecast]]:
    rows: tuple[int, ...] = request.param
    makers = simulated(rows, seed=20 + len(rows) + rows[-1])
    return makers, told(makers, rows)


def test_nine_of_ten_intervals_hold(asked: tuple[Makers, list[Forecast]]) -> None:
    makers, found = asked
    for true, bounds in (
        (makers.needed_g, [f.needed.interval(0.9) for f in found]),
        (makers.left_at_end_g, [f.grams_at_end_interval for f in found]),
        (makers.rows_left, [f.rows_left_interval for f in found]),
    ):
        held = within(true, bounds)
        assert 0.85 <= held.mean() <= 0.95
        for step in STEPS:
            assert 0.85 <= held[makers.step_g == step].mean() <= 0.95
        # A handful of weighings says little of how even a maker's rows are, so that her interval is
        # one for makers at large: wide for the evenest, narrow for the most uneven.
        for scatter in SCATTERS:
            assert 0.75 <= held[makers.scatter == scatter].mean() <= 0.985


def test_chances_are_what_they_say(asked: tuple[Makers, list[Forecast]]) -> None:
    makers, found = asked
    chance = np.array([f.chance_of_finishing for f in found])
    finished = makers.left_at_end_g >= 0
    assert 0.2 < finished.mean() < 0.8, "makers who all finish, or all fail, show nothing"
    assert chance.mean() == pytest.approx(finished.mean(), abs=0.025)
    for low, high in ((0.0, 0.1), (0.1, 0.35), (0.35, 0.65), (0.65, 0.9), (0.9, 1.0001)):
        here = (low <= chance) & (chance < high)
        assert here.sum() > 30
        off = 4 * 0.5 / np.sqrt(here.sum())
        assert abs(chance[here].mean() - finished[here].mean()) < min(off, 0.08) + 0.02


def test_the_row_to_change_at_is_sure(asked: tuple[Makers, list[Forecast]]) -> None:
    makers, found = asked
    rows = np.array([np.nan if f.switch.row is None else f.switch.row - f.row for f in found])
    later = np.array([f.switch.row is not None and f.switch.row < ROWS for f in found])
    assert later.sum() > 300
    reached = makers.rows_left[later] >= rows[later]
    assert reached.mean() >= 0.93
    # Advice that is not needlessly timid: a fifth more rows would often have failed.
    beyond = makers.rows_left[later] >= 1.2 * rows[later] + 2
    assert beyond.mean() < 0.9


@pytest.mark.parametrize("factor", [0.88, 1.0, 1.12])
def test_weighings_outweigh_a_promise_that_is_off(factor: float) -> None:
    """Makers who all differ from the promise one way, by up to 1.7 of its standard deviations."""
    rows = (0, 20, 40, 60)
    makers = simulated(rows, 7, np.full(1000, factor * PROMISED.value), 1000)
    found = told(makers, rows)
    fine = makers.step_g <= 1.0
    held = within(makers.left_at_end_g, [f.grams_at_end_interval for f in found])
    assert 0.85 <= held[fine].mean() <= 0.97
    means = np.array([f.grams_per_row.value for f in found])[fine]
    assert means.mean() == pytest.approx(factor * PROMISED.value, rel=0.02)


def test_the_forecast_narrows() -> None:
    rows = (0, 30, 60, 90)
    makers = simulated(rows, 11, makers=200)
    widths = []
    for n in range(1, 5):
        found = told(
            Makers(
                makers.scatter,
                makers.step_g,
                makers.needed_g,
                makers.left_at_end_g,
                makers.rows_left,
                makers.readings[:, :n],
            ),
            rows[:n],
        )
        widths.append(np.mean([f.grams_at_end.sd for f in found]))
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] < 0.5 * widths[0]
