"""Chances and changes in words."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from pegwright.measured import Measured
from pegwright.yarn.telling import (
    chance_at_least,
    chance_words,
    change_words,
    counted,
    measured_data,
    percent,
)


def test_chances_agree_with_monte_carlo() -> None:
    rng = np.random.default_rng(3)
    have, need = Measured(100, 4), Measured(96, 3)
    share = float(np.mean(rng.normal(100, 4, 400_000) >= rng.normal(96, 3, 400_000)))
    assert chance_at_least(have, need) == pytest.approx(share, abs=0.003)
    assert chance_at_least(have, need) == pytest.approx(stats.norm.cdf(4 / 5))


@pytest.mark.parametrize(
    "have, need, chance",
    [(10, 10, 1.0), (10, 10.001, 0.0), (11, 10, 1.0)],
)
def test_exact_amounts_reach_or_not(have: float, need: float, chance: float) -> None:
    assert chance_at_least(Measured(have), Measured(need)) == chance


@pytest.mark.parametrize(
    "chance, words",
    [
        (1.0, "more than 99 times in 100"),  # never certain
        (0.93, "about 93 times in 100"),
        (0.0, "less than once in 100 times"),
    ],
)
def test_chances_in_words(chance: float, words: str) -> None:
    assert chance_words(chance) == words


def test_small_words() -> None:
    assert change_words(0.08, "wider", "narrower") == "8 % wider"
    assert change_words(-0.08, "wider", "narrower") == "8 % narrower"
    assert change_words(-0.004, "wider", "narrower") == "the same"
    assert percent(0.125, 1) == "12.5 %"
    assert (counted(1, "ball"), counted(2, "ball")) == ("1 ball", "2 balls")
    data = measured_data(Measured(10, 1))
    assert (data["low"], data["high"]) == pytest.approx(stats.norm.interval(0.9, 10, 1))
