"""How much yarn a piece takes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pegwright.errors import BadInput
from pegwright.measured import Measured
from pegwright.units import UnitSystem
from pegwright.yarn.need import Part, YarnNeed, needs
from pegwright.yarn.yarn import Yarn

EXACT = Yarn("Slipway", 4, 200, metres_per_100g_sd=0, ball_g=50, colour="rust", invented=True)
BAND = Yarn("Keel", 5, 100, metres_per_100g_sd=3, ball_g=100, colour="slate", invented=True)
HOOD = {"cast-on": Measured(4, 0.2), "body": Measured(150, 6), "cord": Measured(6, 0.3)}


def test_parts_add_up() -> None:
    (need,) = needs({EXACT: HOOD})
    assert need.metres.value == 160
    assert need.metres.sd == pytest.approx(6.5)  # one calibration behind all: spreads add
    assert need.yards.value == pytest.approx(160 / 0.9144)
    assert need.grams.value == 80
    assert [part.name for part in need.parts] == ["cast-on", "body", "cord"]
    assert need.part("cord") == Measured(6, 0.3)


def test_independent_parts_have_a_narrower_interval() -> None:
    parts = tuple(Part(name, metres) for name, metres in HOOD.items())
    need = YarnNeed(EXACT, parts, shared_error=False)
    assert need.metres.sd == pytest.approx(math.hypot(0.2, 6, 0.3))


def test_intervals_agree_with_scipy() -> None:
    (need,) = needs({EXACT: HOOD}, margin=0.1, coverage=0.95)
    expected = stats.norm.interval(0.95, loc=160, scale=6.5)
    assert need.metres_interval == pytest.approx(expected)
    assert need.metres_to_have == pytest.approx(expected[1] * 1.1)
    assert need.grams_to_have == pytest.approx(expected[1] * 1.1 / 2)


def test_grams_agree_with_monte_carlo() -> None:
    """The calibration moves all parts together; the ball band is off on its own."""
    rng = np.random.default_rng(11)
    (need,) = needs({BAND: HOOD}, coverage=0.9)
    shift = rng.normal(0, 1, 200_000)
    metres = sum(part.value + part.sd * shift for part in HOOD.values())
    grams = 100 * metres / rng.normal(100, 3, 200_000)
    low, high = np.quantile(grams, [0.05, 0.95])
    assert need.grams_interval == pytest.approx((float(low), float(high)), rel=0.01)


@pytest.mark.parametrize(
    "metres, margin, balls",
    [
        (0, 0.1, 0),  # no need, no ball
        (0.1, 0.0, 1),
        (100, 0.0, 1),  # exactly one ball of 50 g
        (100.5, 0.0, 2),
        (100, 0.1, 2),  # the margin tips it over
        (90, 0.1, 1),
        (1000, 0.1, 11),
        (2500 / 6, 0.2, 5),  # a hair more than 250 g in floats, yet five balls do
    ],
)
def test_balls_are_rounded_up(metres: float, margin: float, balls: int) -> None:
    (need,) = needs({EXACT: {"body": Measured(metres)}}, margin=margin)
    assert need.balls == balls


def test_uncertainty_costs_a_ball() -> None:
    sure, unsure = Measured(95), Measured(95, 4)
    (certain,) = needs({EXACT: {"body": sure}}, margin=0)
    (doubtful,) = needs({EXACT: {"body": unsure}}, margin=0)
    assert (certain.balls, doubtful.balls) == (1, 2)


@given(
    value=st.floats(0, 5000),
    sd=st.floats(0, 200),
    margin=st.floats(0, 1),
    coverage=st.floats(0.5, 0.999),
)
def test_the_balls_hold_the_need(value: float, sd: float, margin: float, coverage: float) -> None:
    (need,) = needs({BAND: {"body": Measured(value, sd)}}, margin, coverage)
    low, high = need.grams_interval
    assert 0 <= low <= need.grams.value <= high + 1e-9
    assert need.balls * BAND.ball_g >= need.grams_to_have - 1e-6
    assert (need.balls - 1) * BAND.ball_g < need.grams_to_have + 1e-6


def test_a_wide_interval_stays_above_zero() -> None:
    (need,) = needs({EXACT: {"tails": Measured(0.5, 2)}})
    assert need.metres_interval[0] == 0
    assert need.grams_interval[0] == 0


def test_every_yarn_in_the_order_given() -> None:
    both = needs({BAND: {"body": Measured(10)}, EXACT: {"cord": Measured(3)}})
    assert [need.yarn.name for need in both] == ["Keel", "Slipway"]
    assert needs({}) == ()


def test_words_state_the_interval_and_the_margin() -> None:
    (need,) = needs({EXACT: {"body": Measured(160)}}, margin=0.1)
    assert need.words(UnitSystem.CENTIMETRES) == (
        "160 m (175 yd), 80 g (2.8 oz); "
        "between 160 m (175 yd) and 160 m (175 yd) in 90 of 100 makings; "
        "have 2 balls of 50 g (1.8 oz), a margin of 10 % included"
    )
    assert need.words(UnitSystem.INCHES).startswith("175 yd (160 m), 2.8 oz (80 g)")


@pytest.mark.parametrize("margin", [-0.1, 10, math.nan])
def test_margins_are_fractions(margin: float) -> None:
    with pytest.raises(BadInput) as caught:
        needs({EXACT: HOOD}, margin=margin)
    assert caught.value.place is not None
    assert caught.value.place.field == "margin"


@pytest.mark.parametrize(
    "parts, field",
    [
        ({"body": Measured(-1)}, "parts.body"),
        ({" ": Measured(1)}, "parts"),
    ],
)
def test_parts_that_cannot_be(parts: dict[str, Measured], field: str) -> None:
    with pytest.raises(BadInput) as caught:
        needs({EXACT: parts})
    assert caught.value.place is not None
    assert caught.value.place.field == field


def test_other_refusals() -> None:
    body = Part("body", Measured(1))
    with pytest.raises(BadInput, match="named twice"):
        YarnNeed(EXACT, (body, body))
    with pytest.raises(BadInput, match="coverage"):
        YarnNeed(EXACT, (body,), coverage=1)
    with pytest.raises(BadInput, match="no such part"):
        YarnNeed(EXACT, (body,)).part("pompom")
