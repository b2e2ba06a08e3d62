"""Writing lengths and masses."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.units import (
    MM_PER_INCH,
    UnitSystem,
    format_both,
    format_cm,
    format_feet_and_inches,
    format_inches,
    format_length,
    format_mass,
    format_number,
    format_yarn_length,
    parse_length_mm,
    parse_mass_g,
    tape_inches,
)

INCHES, CENTIMETRES = UnitSystem.INCHES, UnitSystem.CENTIMETRES
lengths = st.floats(min_value=0, max_value=50_000, allow_nan=False)
denominators = st.sampled_from([1, 2, 4, 8, 16, 32, 64])


@pytest.mark.parametrize(
    "inches, denominator, mark",
    [
        (Fraction(17, 2), 8, (8, 1, 2)),  # reduced
        (Fraction(7, 16), 16, (0, 7, 16)),
        (Fraction(1, 16), 8, (0, 1, 8)),  # half-way goes up
        (Fraction(3, 16), 8, (0, 1, 4)),  # half-way goes up from an odd mark too
        (Fraction(5, 16), 8, (0, 3, 8)),  # half to even would give 1/4
        (Fraction(15, 16), 8, (1, 0, 1)),  # carries into the whole
        (Fraction(0), 8, (0, 0, 1)),
        (Fraction(5, 2), 1, (3, 0, 1)),  # half to even would give 2
    ],
)
def test_tape_marks(inches: Fraction, denominator: int, mark: tuple[int, int, int]) -> None:
    assert tape_inches(float(inches * Fraction("25.4")), denominator) == mark


@given(mm=lengths, denominator=denominators)
def test_the_mark_is_the_nearest_and_reduced(mm: float, denominator: int) -> None:
    whole, top, bottom = tape_inches(mm, denominator)
    assert 0 <= top < bottom
    assert denominator % bottom == 0
    assert Fraction(top, bottom).denominator == bottom
    off_in = abs(whole + top / bottom - mm / MM_PER_INCH)
    assert off_in <= 0.5 / denominator + 1e-9


@pytest.mark.parametrize("denominator", [0, 3, 5, 10, 128, -8])
def test_no_other_tape(denominator: int) -> None:
    with pytest.raises(BadInput, match="no tape"):
        tape_inches(100, denominator)


@pytest.mark.parametrize("mm", [-0.1, float("nan"), float("inf")])
def test_no_mark_for_what_is_no_length(mm: float) -> None:
    with pytest.raises(BadInput):
        tape_inches(mm)


@pytest.mark.parametrize(
    "mm, inches, cm",
    [
        (215.9, "8 1/2 in", "21.6 cm"),
        (11.1125, "1/2 in", "1.1 cm"),
        (558.8, "22 in", "55.9 cm"),
        (0.0, "0 in", "0 cm"),
        (200.0, "7 7/8 in", "20 cm"),
        (-38.1, "-1 1/2 in", "-3.8 cm"),
        (-0.2, "0 in", "0 cm"),  # never -0
    ],
)
def test_inches_and_centimetres(mm: float, inches: str, cm: str) -> None:
    assert format_inches(mm) == inches
    assert format_cm(mm) == cm
    assert format_length(mm, INCHES) == inches
    assert format_length(mm, CENTIMETRES) == cm
    assert format_both(mm, INCHES) == f"{inches} ({cm})"
    assert format_both(mm, CENTIMETRES) == f"{cm} ({inches})"


def test_finer_tapes() -> None:
    assert format_inches(11.1125, 16) == "7/16 in"
    assert format_both(11.1125, INCHES, denominator=16) == "7/16 in (1.1 cm)"
    assert format_cm(11.1125, places=2) == "1.11 cm"


@pytest.mark.parametrize(
    "mm, text",
    [
        (1066.8, "3 ft 6 in"),
        (914.4, "3 ft"),
        (927.1, "3 ft 1/2 in"),
        (215.9, "8 1/2 in"),
        (304.0, "1 ft"),  # rounds up into the foot
        (-1066.8, "-3 ft 6 in"),
        (0.0, "0 in"),
    ],
)
def test_feet_and_inches(mm: float, text: str) -> None:
    assert format_feet_and_inches(mm) == text


@pytest.mark.parametrize(
    "value, places, text",
    [
        (0.125, 2, "0.13"),
        (2.675, 2, "2.68"),  # the digits as written, not the binary below them
        (2.5, 0, "3"),  # half to even would give 2
        (-2.5, 0, "-3"),
        (1e20, 1, "100000000000000000000"),
        (1e-9, 3, "0"),
        (-1e-9, 3, "0"),
        (20.0, 0, "20"),
    ],
)
def test_numbers(value: float, places: int, text: str) -> None:
    assert format_number(value, places) == text


def test_only_finite_numbers_are_written() -> None:
    for write in (format_number, format_inches, format_cm, format_feet_and_inches):
        with pytest.raises(BadInput):
            write(float("nan"))


@pytest.mark.parametrize(
    "m, metric, imperial",
    [
        (210, "210 m (230 yd)", "230 yd (210 m)"),
        (4.5, "4.5 m (4.9 yd)", "4.9 yd (4.5 m)"),
        (0, "0 m (0 yd)", "0 yd (0 m)"),
    ],
)
def test_yarn_lengths(m: float, metric: str, imperial: str) -> None:
    assert format_yarn_length(m, CENTIMETRES) == metric
    assert format_yarn_length(m, INCHES) == imperial


@pytest.mark.parametrize(
    "g, metric, imperial",
    [
        (100, "100 g (3.5 oz)", "3.5 oz (100 g)"),
        (50, "50 g (1.8 oz)", "1.8 oz (50 g)"),
        (7.25, "7.3 g (0.26 oz)", "0.26 oz (7.3 g)"),
        (1200, "1200 g (42.3 oz)", "42.3 oz (1200 g)"),
    ],
)
def test_masses(g: float, metric: str, imperial: str) -> None:
    assert format_mass(g, CENTIMETRES) == metric
    assert format_mass(g, INCHES) == imperial


@given(mm=st.floats(min_value=-50_000, max_value=50_000), denominator=denominators)
def test_inches_read_back_within_half_a_mark(mm: float, denominator: int) -> None:
    half_mark_mm = MM_PER_INCH / denominator / 2 + 1e-6
    for write in (format_inches, format_feet_and_inches):
        text = write(mm, denominator)
        assert text.isascii()
        assert abs(parse_length_mm(text, allow_negative=True) - mm) <= half_mark_mm


@given(mm=lengths)
def test_centimetres_read_back_within_half_a_millimetre(mm: float) -> None:
    assert abs(parse_length_mm(format_cm(mm)) - mm) <= 0.5 + 1e-6


@given(whole=st.integers(0, 400), top=st.integers(0, 15))
def test_what_is_on_the_tape_reads_back_exactly(whole: int, top: int) -> None:
    mm = float((whole + Fraction(top, 16)) * Fraction("25.4"))
    assert parse_length_mm(format_inches(mm, 16)) == mm


@given(m=st.floats(min_value=10, max_value=10_000))
def test_yarn_lengths_read_back_within_half_a_metre(m: float) -> None:
    metres, yards = format_yarn_length(m, CENTIMETRES).rstrip(")").split(" (")
    assert abs(parse_length_mm(metres) / 1000 - m) <= 0.5 + 1e-6
    assert abs(parse_length_mm(yards) / 1000 - m) <= 0.5 * 0.9144 + 1e-6


@given(g=st.floats(min_value=30, max_value=10_000))
def test_masses_read_back_within_their_last_digit(g: float) -> None:
    ounces, grams = format_mass(g, INCHES).rstrip(")").split(" (")
    assert abs(parse_mass_g(grams) - g) <= 0.5 + 1e-6
    assert abs(parse_mass_g(ounces) - g) <= 0.05 * 28.35


def test_the_other_system() -> None:
    assert INCHES.other is CENTIMETRES
    assert CENTIMETRES.other is INCHES
    assert UnitSystem("inches") is INCHES
