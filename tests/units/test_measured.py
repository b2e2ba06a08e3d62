"""Numbers with uncertainty: intervals against scipy.stats, propagation against Monte Carlo."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pegwright.errors import BadInput
from pegwright.measured import Measured, pooled, resolution_sd, total


@pytest.mark.parametrize("coverage", [0.5, 0.683, 0.9, 0.95, 0.99])
def test_intervals_agree_with_scipy(coverage: float) -> None:
    expected = stats.norm.interval(coverage, loc=210, scale=4)
    assert Measured(210, 4).interval(coverage) == pytest.approx(expected, rel=1e-9)


def test_an_exact_number_has_an_interval_of_no_width() -> None:
    assert Measured(12.5).interval() == (12.5, 12.5)


Combination = Callable[[Measured, Measured], Measured]


@pytest.mark.parametrize(
    "combine",
    [
        lambda a, b: a + b,
        lambda a, b: a - b,
        lambda a, b: a * b,
        lambda a, b: a / b,
        lambda a, b: a.scale(-3) + 2 * b,
        lambda a, b: 1 - a / (b + 5),
        lambda a, b: 100 / a + b,
    ],
    ids=["sum", "difference", "product", "quotient", "scaled", "nested", "inverse"],
)
def test_propagation_agrees_with_monte_carlo(combine: Combination) -> None:
    """Spreads of a few per cent, where first order holds; 200 000 draws give the sd to 0.3 %."""
    rng = np.random.default_rng(20240117)
    a, b = Measured(40.0, 1.2), Measured(25.0, 0.5)
    draws_a = rng.normal(a.value, a.sd, 200_000)
    draws_b = rng.normal(b.value, b.sd, 200_000)
    result = combine(a, b)
    drawn = _ArrayMeasured.run(combine, draws_a, draws_b)
    assert result.value == pytest.approx(float(drawn.mean()), rel=0.005)
    assert result.sd == pytest.approx(float(drawn.std()), rel=0.015)


class _ArrayMeasured:
    """Draws that take the same operators, so that one lambda serves both."""

    def __init__(self, draws: np.ndarray[tuple[int], np.dtype[np.float64]]) -> None:
        self.draws = draws

    @staticmethod
    def run(
        combine: Combination, a: object, b: object
    ) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        return combine(_ArrayMeasured(a), _ArrayMeasured(b)).draws  # type: ignore[arg-type, attr-defined, no-any-return]

    def scale(self, factor: float) -> _ArrayMeasured:
        return _ArrayMeasured(self.draws * factor)

    def __add__(self, other: _ArrayMeasured | float) -> _ArrayMeasured:
        return _ArrayMeasured(self.draws + _draws(other))

    def __sub__(self, other: _ArrayMeasured | float) -> _ArrayMeasured:
        return _ArrayMeasured(self.draws - _draws(other))

    def __rsub__(self, other: float) -> _ArrayMeasured:
        return _ArrayMeasured(other - self.draws)

    def __mul__(self, other: _ArrayMeasured | float) -> _ArrayMeasured:
        return _ArrayMeasured(self.draws * _draws(other))

    __rmul__ = __mul__

    def __truediv__(self, other: _ArrayMeasured | float) -> _ArrayMeasured:
        return _ArrayMeasured(self.draws / _draws(other))

    def __rtruediv__(self, other: float) -> _ArrayMeasured:
        return _ArrayMeasured(other / self.draws)


def _draws(value: _ArrayMeasured | float) -> np.ndarray[tuple[int], np.dtype[np.float64]] | float:
    return value.draws if isinstance(value, _ArrayMeasured) else value


@given(st.floats(-1e6, 1e6), st.floats(0, 1e6), st.floats(-1e3, 1e3))
def test_scaling_is_exact_both_ways(value: float, sd: float, factor: float) -> None:
    scaled = Measured(value, sd).scale(factor)
    assert scaled == Measured(value * factor, sd * abs(factor))


def test_one_measurement_twice_is_not_two() -> None:
    once = Measured(10, 1)
    assert once.scale(2).sd == 2
    assert (once + once).sd == pytest.approx(math.sqrt(2))


def test_totals() -> None:
    parts = [Measured(3, 0.3), Measured(4, 0.4), Measured(5)]
    assert total(parts).value == 12
    assert total(parts).sd == pytest.approx(0.5)
    assert total(parts, shared_error=True).sd == pytest.approx(0.7)
    assert sum(parts, Measured(0)).sd == pytest.approx(0.5)
    assert total([]) == Measured(0, 0)


def test_readings_agree_with_scipy() -> None:
    readings = [21.0, 22.5, 21.5, 22.0]
    result = Measured.from_readings(readings)
    assert result.value == pytest.approx(np.mean(readings))
    assert result.sd == pytest.approx(float(stats.sem(readings)))


@pytest.mark.parametrize("readings", [[], [1.0], [1.0, math.nan]])
def test_readings_that_say_nothing(readings: list[float]) -> None:
    with pytest.raises(BadInput):
        Measured.from_readings(readings)


def test_pooling_equals_the_plain_mean_for_equal_spreads() -> None:
    result = pooled([Measured(20, 1), Measured(20.5, 1), Measured(19.5, 1)])
    assert result.value == pytest.approx(20)
    assert result.sd == pytest.approx(1 / math.sqrt(3))


def test_pooling_leans_to_the_finer_measurement() -> None:
    result = pooled([Measured(20, 1), Measured(20.5, 0.5)])
    assert result.value == pytest.approx(20.4)  # weights 1 and 4
    assert result.sd == pytest.approx(1 / math.sqrt(5))


def test_swatches_that_disagree_do_not_look_certain() -> None:
    near = pooled([Measured(20, 0.1), Measured(20.1, 0.1)])
    far = pooled([Measured(18, 0.1), Measured(22, 0.1)])
    assert near.sd == pytest.approx(0.1 / math.sqrt(2))
    assert far.sd == pytest.approx(2.0)  # half the distance, as the spread of two readings


def test_exact_measurements_outweigh_others() -> None:
    assert pooled([Measured(20, 1), Measured(21)]) == Measured(21)
    with pytest.raises(BadInput, match="differ"):
        pooled([Measured(20), Measured(21)])
    with pytest.raises(BadInput, match="nothing to pool"):
        pooled([])


def test_resolution_is_a_rectangle() -> None:
    assert resolution_sd(1.0) == pytest.approx(float(stats.uniform(-0.5, 1.0).std()))
    with pytest.raises(BadInput):
        resolution_sd(0)


@pytest.mark.parametrize(
    "value, sd",
    [(math.nan, 1), (math.inf, 1), (1, -0.1), (1, math.nan), (1, math.inf), ("1", 0), (1, None)],
)
def test_what_is_no_measurement(value: float, sd: float) -> None:
    with pytest.raises(BadInput):
        Measured(value, sd)


@pytest.mark.parametrize("coverage", [0, 1, -0.5, 90, math.nan])
def test_coverage_is_a_probability(coverage: float) -> None:
    with pytest.raises(BadInput) as caught:
        Measured(1, 1).interval(coverage)
    assert caught.value.place is not None
    assert caught.value.place.field == "coverage"


def test_nothing_is_divided_by_zero() -> None:
    with pytest.raises(BadInput, match="zero"):
        Measured(1, 1) / Measured(0, 1)
    with pytest.raises(BadInput, match="zero"):
        _ = Measured(0, 1).relative
    assert Measured(-50, 2).relative == 0.04


def test_it_reads_as_value_and_spread() -> None:
    assert str(Measured(210, 4.2)) == "210 ± 4.2"
