"""Yarn counts (ISO 1144), diameters and regain (EU 1007/2011, Annex IX; some from memory)."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.yarn.count import (
    CountSystem,
    convert,
    dry_mass_bounds_g,
    from_tex,
    mass_at_regain_g,
    regain,
    solid_diameter_mm,
    to_tex,
    wrapped_diameter_mm,
)

systems = st.sampled_from(CountSystem)


@pytest.mark.parametrize(
    "system, number_times_or_over_tex",
    [
        (CountSystem.DENIER, lambda tex: 9 * tex),
        (CountSystem.ENGLISH_COTTON, lambda tex: 590.5 / tex),
        (CountSystem.METRIC, lambda tex: 1000 / tex),
        (CountSystem.METRES_PER_100G, lambda tex: 100_000 / tex),
    ],
)
def test_iso_1144_identities(system: CountSystem, number_times_or_over_tex: object) -> None:
    for tex in (1.0, 20.0, 500.0):
        expected = number_times_or_over_tex(tex)  # type: ignore[operator]
        assert from_tex(tex, system) == pytest.approx(expected, rel=1e-4)  # 590.5 has 4 digits


def test_yards_per_pound_agree_with_pint() -> None:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    grist = registry.Quantity(1000.0, "yard / pound")
    expected = (1 / grist).to("g / km").magnitude
    assert to_tex(1000, CountSystem.YARDS_PER_POUND) == pytest.approx(expected)


@given(st.floats(1e-3, 1e5), systems, systems)
def test_conversions_come_back(value: float, there: CountSystem, other: CountSystem) -> None:
    assert convert(convert(value, there, other), other, there) == pytest.approx(value)


@pytest.mark.parametrize("wrong", [0, -1, math.nan, math.inf])
def test_counts_that_cannot_be(wrong: float) -> None:
    for system in CountSystem:
        with pytest.raises(BadInput, match=system.value):
            to_tex(wrong, system)
    with pytest.raises(BadInput, match="tex"):
        from_tex(wrong, CountSystem.METRIC)


def test_the_two_diameters_are_not_one() -> None:
    """500 tex: 0.84 mm solid; wrapped about 2.4 mm at ten and a half wraps to the inch."""
    assert solid_diameter_mm(500) == pytest.approx(0.84, abs=0.005)
    assert wrapped_diameter_mm(10.5) == pytest.approx(2.4, abs=0.05)


@given(st.floats(1, 5000), st.floats(0.5, 2))
def test_the_solid_diameter_holds_the_mass(tex: float, volume: float) -> None:
    """A round rod of that diameter and 1 km long weighs tex grams."""
    radius_cm = solid_diameter_mm(tex, volume) / 20
    grams_per_km = math.pi * radius_cm**2 * 100_000 / volume
    assert grams_per_km == pytest.approx(tex, rel=5e-4)  # 280.2 has 4 digits


def test_diameters_that_cannot_be() -> None:
    with pytest.raises(BadInput, match="specific_volume"):
        solid_diameter_mm(500, 0)
    with pytest.raises(BadInput, match="wraps_per_inch"):
        wrapped_diameter_mm(-3)


@pytest.mark.parametrize(
    "fibre, percent",
    [
        ("carded wool", 17.0),
        ("cotton", 8.5),
        ("polyamide", 6.25),
        ("combed wool", 18.25),  # from memory
        ("acrylic", 2.0),  # from memory
        ("polyester", 1.5),  # from memory
    ],
)
def test_commercial_regain(fibre: str, percent: float) -> None:
    row = regain(fibre.upper())
    assert row.part == pytest.approx(percent / 100)
    assert "EU 1007/2011" in row.source
    low, high = dry_mass_bounds_g(100, fibre)
    assert high == 100
    assert mass_at_regain_g(low, fibre) == pytest.approx(100)


def test_values_from_memory_say_so() -> None:
    assert "from memory" in regain("acrylic").source
    assert "from memory" not in regain("cotton").source


def test_plain_wool_is_not_one_fibre() -> None:
    with pytest.raises(BadInput, match="no regain") as caught:
        regain("wool")
    assert "carded wool" in (caught.value.hint or "")
    with pytest.raises(BadInput, match="mass_g"):
        dry_mass_bounds_g(-1, "cotton")
