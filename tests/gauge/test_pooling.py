"""Pooling swatches: weights, spread between them, and whether they disagree."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import curve_fit
from scipy.stats import chi2

from pegwright.errors import BadInput
from pegwright.gauge.pooling import (
    between_variance,
    chi_squared_beyond,
    disagreement,
    pooled_random,
)
from pegwright.measured import Measured

_SETS = st.lists(st.builds(Measured, st.floats(1, 20), st.floats(0.05, 3)), min_size=1, max_size=8)


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 5, 10, 11, 40])
@pytest.mark.parametrize("x", [0.0, 1e-9, 0.3, 2.0, 3.841, 11.07, 60.0])
def test_chi_squared_is_scipys(x: float, degrees: int) -> None:
    assert chi_squared_beyond(x, degrees) == pytest.approx(
        float(chi2.sf(x, degrees)), rel=1e-10, abs=1e-15
    )


def test_three_equal_sds_by_hand() -> None:
    # Values 10, 12, 14 with sd 1.  Their sample variance is 4, so tau² = 4 - 1 = 3, and the pooled
    # sd is that of a plain mean, 2 / sqrt(3).
    items = [Measured(10, 1), Measured(12, 1), Measured(14, 1)]
    assert between_variance(items) == pytest.approx(3)
    pooled = pooled_random(items)
    assert pooled.value == pytest.approx(12)
    assert pooled.sd == pytest.approx(2 / math.sqrt(3))
    # Q = 4 + 0 + 4 = 8 on 2 degrees: e^-4.
    assert disagreement(items) == pytest.approx(math.exp(-4))


@given(_SETS)
def test_pooling_is_weighted_least_squares(items: list[Measured]) -> None:
    """scipy's fit of a constant with known sigmas is the inverse-variance mean."""
    tau2 = between_variance(items)
    values = np.array([item.value for item in items])
    sigma = np.sqrt(np.array([item.sd for item in items]) ** 2 + tau2)
    fitted, covariance = curve_fit(
        lambda x, a: a + 0 * x, np.zeros(len(items)), values, p0=[5.0], sigma=sigma,
        absolute_sigma=True,
    )  # fmt: skip
    pooled = pooled_random(items)
    assert pooled.value == pytest.approx(fitted[0], rel=1e-5)
    assert pooled.sd == pytest.approx(math.sqrt(covariance[0, 0]), rel=1e-5)


@given(_SETS)
def test_tau_squared_meets_the_moment(items: list[Measured]) -> None:
    """With tau² the expected Q is the one seen (the definition of the moment estimate)."""
    weights = np.array([item.sd**-2.0 for item in items])
    values = np.array([item.value for item in items])
    q = float(np.sum(weights * (values - np.average(values, weights=weights)) ** 2))
    tau2 = between_variance(items)
    spread = np.array([item.sd**2 for item in items]) + tau2
    expected = float(np.sum(weights * spread) - np.sum(weights**2 * spread) / np.sum(weights))
    if tau2 > 0:
        assert q == pytest.approx(expected, rel=1e-6, abs=1e-9)
    else:
        assert q <= len(items) - 1 + 1e-6


@given(_SETS)
def test_the_pooled_size_lies_among_the_swatches(items: list[Measured]) -> None:
    pooled = pooled_random(items)
    values = [item.value for item in items]
    assert min(values) - 1e-9 <= pooled.value <= max(values) + 1e-9
    assert 0 <= disagreement(items) <= 1


def test_one_swatch_stays_as_it_is() -> None:
    pooled = pooled_random([Measured(5, 0.2)])
    assert pooled.value == pytest.approx(5)
    assert pooled.sd == pytest.approx(0.2)
    assert disagreement([Measured(5, 0.2)]) == 1


def test_a_fine_reading_cannot_outvote_the_rest_where_they_disagree() -> None:
    items = [Measured(5.0, 0.001), Measured(6.0, 0.1), Measured(6.1, 0.1), Measured(5.9, 0.1)]
    assert pooled_random(items).value > 5.5


@pytest.mark.parametrize("items", [[], [Measured(5, 0.1), Measured(5)]])
def test_nothing_and_exactness_are_refused(items: list[Measured]) -> None:
    with pytest.raises(BadInput):
        pooled_random(items)
