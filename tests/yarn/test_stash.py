"""The stash: balls weighed on a kitchen scale, and the metres that they are."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.measured import Measured
from pegwright.units import UnitSystem
from pegwright.yarn.colour import parse_colour_run
from pegwright.yarn.stash import StashYarn, take_stock, weighed
from pegwright.yarn.yarn import Yarn

SLIPWAY = Yarn("Slipway", 4, 200, metres_per_100g_sd=6, fibre="carded wool", colour="rust")
EXACT = Yarn("Keel", 5, 100, metres_per_100g_sd=0, fibre="cotton", colour="slate")


def test_balls_add_up_by_hand() -> None:
    own = weighed(SLIPWAY, [42, 17], scale_g=1)
    assert own.grams.value == 59
    assert own.grams.sd == pytest.approx(math.sqrt(2 / 12))  # two readings to the gram
    assert own.metres.value == 118
    assert own.metres.sd == pytest.approx(118 * math.hypot(math.sqrt(2 / 12) / 59, 6 / 200))
    assert [m.value for m in own.ball_metres] == [84, 34]


def test_metres_agree_with_pint() -> None:
    unit: Any = pint.UnitRegistry()
    grist = 200 * unit.meter / (100 * unit.gram)
    expected = (grist * 2.5 * unit.ounce).to("yard").magnitude
    own = weighed(SLIPWAY, [2.5 * 28.349523125])
    assert own.metres.value / 0.9144 == pytest.approx(expected)


def test_the_interval_agrees_with_monte_carlo() -> None:
    """Readings are off evenly within half a step, each on its own; the band once for all balls."""
    rng = np.random.default_rng(5)
    own = weighed(SLIPWAY, [42, 17, 8], scale_g=5)
    grams = np.array([[42], [17], [8]]) + rng.uniform(-2.5, 2.5, (3, 300_000))
    metres = grams.sum(axis=0) * rng.normal(200, 6, 300_000) / 100
    low, high = np.quantile(metres, [0.05, 0.95])
    assert own.metres_interval() == pytest.approx((float(low), float(high)), rel=0.01)


@given(st.lists(st.floats(0.5, 500), min_size=1, max_size=20), st.floats(0.1, 10))
def test_a_coarser_scale_is_never_surer(balls: list[float], scale_g: float) -> None:
    fine, coarse = weighed(EXACT, balls, scale_g), weighed(EXACT, balls, 2 * scale_g)
    assert fine.metres.value == coarse.metres.value
    assert fine.metres.sd < coarse.metres.sd
    assert coarse.metres_interval()[0] >= 0


def test_moisture_is_bounds_only() -> None:
    own = weighed(SLIPWAY, [100])
    low, high = own.moisture_metres or (0, 0)
    assert low == pytest.approx(200)  # moist as in trade: the band holds
    assert high == pytest.approx(200 * 1.17)  # bone dry; regain 17 %, EU 1007/2011 Annex IX
    assert weighed(SLIPWAY, [100], sampled=True).moisture_metres is None  # drops out
    assert weighed(Yarn("Oar", 4, 200, fibre="wool"), [100]).moisture_metres is None


def test_stock_of_several_yarns() -> None:
    stock = take_stock([weighed(SLIPWAY, [50]), weighed(EXACT, [30, 30])])
    assert stock.grams.value == 110
    assert stock.metres.value == 160
    first, *_, last = stock.words(UnitSystem.CENTIMETRES)
    assert first.startswith("Slipway, rust, medium weight: 1 ball, 50 g (1.8 oz) in all")
    assert "nine times in ten between" in first
    assert last == "In all: 160 m (175 yd), 110 g (3.9 oz), of 2 yarns."
    data = json.loads(json.dumps(stock.as_data()))
    assert [y["balls_g"] for y in data["yarns"]] == [[50], [30, 30]]
    assert data["grams"]["value"] == 110


def test_a_colour_run_is_told() -> None:
    run = parse_colour_run("rust #a4482c 30 cm, cream #f2ead8 30 cm")
    stock = take_stock([weighed(EXACT, [30], colour_run=run)], coverage=0.5)
    words = " ".join(stock.words(UnitSystem.CENTIMETRES))
    assert "50 times in 100" in words
    assert "One repeat of colour" in words


@pytest.mark.parametrize(
    "balls, scale_g, field",
    [
        ([], 1, "balls"),  # nothing weighed
        ([42, -1], 1, "balls[2]"),  # a negative mass
        ([0], 1, "balls[1]"),
        ([math.nan], 1, "balls[1]"),
        ([42], 0, "scale_g"),
        ([42], -1, "scale_g"),
        ([1.0] * 1001, 1, "balls"),
    ],
)
def test_weighings_that_cannot_be(balls: list[float], scale_g: float, field: str) -> None:
    with pytest.raises(BadInput) as caught:
        weighed(SLIPWAY, balls, scale_g)
    assert caught.value.place is not None
    assert caught.value.place.field == field


def test_other_refusals() -> None:
    with pytest.raises(BadInput, match="no yarn"):
        take_stock([])
    with pytest.raises(BadInput, match="coverage"):
        take_stock([weighed(EXACT, [1])], coverage=1)
    with pytest.raises(BadInput) as caught:
        StashYarn(EXACT, (Measured(-3, 0.3),))
    assert caught.value.place is not None
    assert caught.value.place.field == "balls[1]"
