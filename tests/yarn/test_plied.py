"""Strands held together."""

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
from pegwright.units import UnitSystem
from pegwright.yarn.plied import held_together
from pegwright.yarn.yarn import DiameterSource, Yarn

SPORT = Yarn("Painter", 2, 300, ball_g=50, wrapped_diameter_mm=1.8, colour="cream", invented=True)
WORSTED = Yarn("Slipway", 4, 200, ball_g=100, wrapped_diameter_mm=2.4, colour="rust")


def test_by_hand() -> None:
    both = held_together([SPORT, WORSTED])
    assert both.yarn.metres_per_100g == pytest.approx(120)  # 1/120 = 1/300 + 1/200
    assert both.yarn.wrapped_diameter_mm == pytest.approx(3.0)  # 1.8, 2.4, 3: a right triangle
    assert both.shares == pytest.approx((0.4, 0.6))
    assert both.yarn.ball_g == pytest.approx(125)  # the cream ball ends first, after 150 m
    assert both.yarn.name == "Painter and Slipway held together"
    assert both.yarn.colour == "cream with rust"
    assert both.yarn.invented


def test_tex_adds_as_pint_has_it() -> None:
    unit: Any = pint.UnitRegistry()
    total = 100 * unit.gram / (300 * unit.meter) + 100 * unit.gram / (200 * unit.meter)
    tex = total.to("g/km").magnitude  # tex is grams a kilometre, ISO 1144
    assert held_together([SPORT, WORSTED]).yarn.tex == pytest.approx(tex)


def test_two_of_one_yarn() -> None:
    two = held_together([WORSTED, WORSTED])
    assert two.yarn.metres_per_100g == pytest.approx(100)
    assert two.yarn.wrapped_diameter_mm == pytest.approx(2.4 * math.sqrt(2))
    assert two.yarn.name == "2 strands of Slipway held together"
    # One band behind both strands: the relative spread stays that of the band.
    assert two.yarn.grist.relative == pytest.approx(WORSTED.grist.relative)


def test_the_spread_agrees_with_monte_carlo() -> None:
    rng = np.random.default_rng(23)
    n = 300_000
    sport, worsted = rng.normal(300, 9, n), rng.normal(200, 6, n)
    both = 1 / (1 / sport + 1 / worsted)
    assert held_together([SPORT, WORSTED]).yarn.metres_per_100g_sd == pytest.approx(
        float(both.std()), rel=0.01
    )
    three = 1 / (1 / sport + 2 / worsted)
    assert held_together([SPORT, WORSTED, WORSTED]).yarn.metres_per_100g_sd == pytest.approx(
        float(three.std()), rel=0.01
    )


@given(st.floats(50, 800), st.floats(50, 800), st.floats(0.5, 5), st.floats(0.5, 5))
def test_together_is_heavier_and_thicker_than_each(
    one_m: float, other_m: float, one_mm: float, other_mm: float
) -> None:
    one = Yarn("Oar", 4, one_m, wrapped_diameter_mm=one_mm)
    other = Yarn("Rowlock", 4, other_m, wrapped_diameter_mm=other_mm)
    yarn = held_together([one, other]).yarn
    assert yarn.metres_per_100g < min(one_m, other_m)
    assert max(one_mm, other_mm) < yarn.wrapped_diameter_mm < one_mm + other_mm
    swapped = held_together([other, one]).yarn
    assert yarn.metres_per_100g == pytest.approx(swapped.metres_per_100g)
    assert yarn.category == swapped.category


@pytest.mark.parametrize(
    "strand, number",
    [
        (Yarn("sock", 1, 420, wraps_per_inch=16), 3),  # two strands of sock knit as light worsted
        (Yarn("worsted", 4, 180, wraps_per_inch=10), 5),  # two of worsted as bulky
    ],
)
def test_likely_categories(strand: Yarn, number: int) -> None:
    """Rules of thumb of the trade (common practice, no source)."""
    two = held_together([strand, strand])
    assert two.yarn.category == number
    assert two.likely[0].number == number


def test_the_diameter_is_as_good_as_the_worst() -> None:
    guessed = Yarn("Oar", 4, 200)
    assert held_together([WORSTED, guessed]).yarn.diameter_source is DiameterSource.CATEGORY
    assert held_together([WORSTED, SPORT]).yarn.diameter_source is DiameterSource.GIVEN


def test_words_and_data() -> None:
    both = held_together([SPORT, WORSTED])
    first, likely, shares = both.words(UnitSystem.CENTIMETRES)
    assert first == (
        "Painter and Slipway held together: 120 m per 100 g, 3 mm thick (8.5 wraps to the inch)."
    )
    assert likely.startswith("Likely weight category: ")
    assert "40 % of the weight is Painter, cream" in shares
    assert "8.5 wraps to the inch (3 mm)" in both.words(UnitSystem.INCHES)[0]
    assert json.loads(json.dumps(both.as_data()))["strands"] == ["Painter, cream", "Slipway, rust"]


@pytest.mark.parametrize("strands", [0, 1, 9])
def test_strands_that_cannot_be(strands: int) -> None:
    with pytest.raises(BadInput) as caught:
        held_together([WORSTED] * strands)
    assert caught.value.place is not None
    assert caught.value.place.field == "strands"
