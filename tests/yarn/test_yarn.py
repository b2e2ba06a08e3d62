"""A yarn: length and mass, diameters, samples."""

from __future__ import annotations

import math
from dataclasses import FrozenInstanceError, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.measured import Measured, resolution_sd
from pegwright.yarn.yarn import BAND_RELATIVE_SD, DiameterSource, Yarn, from_sample

SLIPWAY = Yarn(
    name="Slipway",
    category=4,
    metres_per_100g=200,
    ball_g=100,
    fibre="carded wool",
    colour="rust",
    colour_hex="#A8442A",
    invented=True,
)


def test_length_and_mass() -> None:
    assert SLIPWAY.tex == 500
    assert SLIPWAY.mass_g(200) == 100
    assert SLIPWAY.length_m(50) == 100
    assert SLIPWAY.ball_m == 200
    assert SLIPWAY.mass_g(0) == 0
    assert SLIPWAY.solid_diameter_mm == pytest.approx(0.84, abs=0.005)
    assert SLIPWAY.label == "Slipway, rust"
    assert SLIPWAY.colour_hex == "#a8442a"


@given(st.floats(0, 1e6), st.floats(1, 5000))
def test_length_and_mass_come_back(length_m: float, grist: float) -> None:
    yarn = Yarn("Slipway", 4, grist, invented=True)
    assert yarn.length_m(yarn.mass_g(length_m)) == pytest.approx(length_m)


def test_the_wrapped_diameter_comes_from_the_best_source() -> None:
    given_mm = Yarn("Slipway", 4, 200, wrapped_diameter_mm=2.1, wraps_per_inch=10)
    assert (given_mm.wrapped_diameter_mm, given_mm.diameter_source) == (2.1, DiameterSource.GIVEN)
    wraps = Yarn("Slipway", 4, 200, wraps_per_inch=10)
    assert (wraps.wrapped_diameter_mm, wraps.diameter_source) == (2.54, DiameterSource.WRAPS)
    assert SLIPWAY.diameter_source is DiameterSource.CATEGORY
    assert SLIPWAY.wrapped_diameter_mm == pytest.approx(25.4 / 10.5)


def test_a_category_may_be_named() -> None:
    assert Yarn("Slipway", "worsted", 200).category == 4
    assert Yarn("Slipway", "worsted", 200) == Yarn("Slipway", 4, 200)


def test_it_is_a_value() -> None:
    with pytest.raises(FrozenInstanceError):
        SLIPWAY.name = "Keel"  # type: ignore[misc]
    assert len({SLIPWAY, replace(SLIPWAY)}) == 1
    other = replace(SLIPWAY, colour="slate", colour_hex="#445566")
    assert other.label == "Slipway, slate"
    assert other.diameter_source is DiameterSource.CATEGORY
    assert other.metres_per_100g_sd == SLIPWAY.metres_per_100g_sd


def test_the_band_is_not_taken_as_exact() -> None:
    assert SLIPWAY.grist == Measured(200, 200 * BAND_RELATIVE_SD)
    assert Yarn("Slipway", 4, 200, metres_per_100g_sd=0).grist == Measured(200, 0)


@pytest.mark.parametrize("field", ["metres_per_100g", "ball_g", "wrapped_diameter_mm"])
@pytest.mark.parametrize("value", [0, -1, math.nan, math.inf])
def test_numbers_that_cannot_be_name_their_field(field: str, value: float) -> None:
    with pytest.raises(BadInput) as caught:
        replace(SLIPWAY, **{field: value})  # type: ignore[arg-type]
    assert caught.value.place is not None
    assert caught.value.place.field == field


@pytest.mark.parametrize(
    "field, value",
    [
        ("name", "  "),
        ("category", 8),
        ("metres_per_100g_sd", -1),
        ("wraps_per_inch", 0),
        ("colour_hex", "rust"),
        ("colour_hex", "#12345"),
        ("colour_hex", "#1234567"),
    ],
)
def test_other_fields_that_cannot_be(field: str, value: object) -> None:
    with pytest.raises(BadInput) as caught:
        replace(SLIPWAY, **{field: value})  # type: ignore[arg-type]
    assert caught.value.place is not None
    assert caught.value.place.field == field


@pytest.mark.parametrize("wrong", [-1, math.nan, math.inf])
def test_lengths_and_masses_that_cannot_be(wrong: float) -> None:
    with pytest.raises(BadInput, match="length_m"):
        SLIPWAY.mass_g(wrong)
    with pytest.raises(BadInput, match="mass_g"):
        SLIPWAY.length_m(wrong)


def test_measured_masses_and_lengths_hold_both_uncertainties() -> None:
    mass = SLIPWAY.mass(Measured(150, 3))
    assert mass.value == 75
    assert mass.relative == pytest.approx(math.hypot(3 / 150, BAND_RELATIVE_SD))
    length = SLIPWAY.length(Measured(75, 0.5))
    assert length.value == 150
    assert length.relative == pytest.approx(math.hypot(0.5 / 75, BAND_RELATIVE_SD))


def test_a_weighed_sample_agrees_with_monte_carlo() -> None:
    rng = np.random.default_rng(7)
    grist = from_sample(10, 5, length_sd=0.05, mass_sd=resolution_sd(0.5))
    lengths = rng.normal(10, 0.05, 200_000)
    masses = rng.uniform(4.75, 5.25, 200_000)  # a scale that shows half grams
    drawn = 100 * lengths / masses
    assert grist.value == 200
    assert grist.value == pytest.approx(float(drawn.mean()), rel=0.005)
    assert grist.sd == pytest.approx(float(drawn.std()), rel=0.02)


@pytest.mark.parametrize(
    "field, values",
    [
        ("length_m", (0, 5, 0, 0)),
        ("mass_g", (10, 0, 0, 0)),
        ("mass_g", (10, math.nan, 0, 0)),
        ("length_sd", (10, 5, -1, 0)),
        ("mass_sd", (10, 5, 0, math.inf)),
    ],
)
def test_samples_that_cannot_be(field: str, values: tuple[float, float, float, float]) -> None:
    with pytest.raises(BadInput) as caught:
        from_sample(*values)
    assert caught.value.place is not None
    assert caught.value.place.field == field
