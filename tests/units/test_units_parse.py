"""Reading lengths and masses.  The pint library is the outside reference for unit sizes."""

from __future__ import annotations

from collections.abc import Callable

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright import units
from pegwright.errors import BadInput
from pegwright.units import parse_length_mm, parse_mass_g


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry()


# (text, mm, why it is here)
LENGTHS = [
    ("22 in", 558.8, "whole inches"),
    ("22in", 558.8, "no space"),
    ('8 1/2"', 215.9, "straight quote"),
    ("8 1/2”", 215.9, "curly quote"),
    ("8 1/2″", 215.9, "double prime"),
    ("8 1/2''", 215.9, "two apostrophes"),
    ("1¼ in", 31.75, "vulgar fraction against the number: not 11/4"),
    ("1 ¼ in", 31.75, "vulgar fraction after a space"),
    ("1-¼ in", 31.75, "vulgar fraction after a hyphen"),
    ("¾ inch", 19.05, "vulgar fraction alone"),
    ("⅝ in", 15.875, "eighths"),
    ("1-1/4 in", 31.75, "hyphened mixed number"),
    ("1–1/4 in", 31.75, "the same with a dash"),
    ("7/16 in", 11.1125, "fraction alone"),
    ("8 1⁄2 in", 215.9, "fraction slash"),
    ("8¹⁄₂ in", 215.9, "raised and lowered digits"),
    ("8 ⅟₄ in", 209.55, "numerator one"),
    ("¹⁵⁄₁₆ in", 23.8125, "two raised digits"),
    ("7/4 in", 44.45, "improper fraction alone"),
    (".5 in", 12.7, "no digit before the point"),
    ("3' 6\"", 1066.8, "feet and inches with marks"),
    ("3′6″", 1066.8, "primes, no space"),
    ("3’ 6”", 1066.8, "curly marks"),
    ("3 ft 6 in", 1066.8, "feet and inches"),
    ("3 ft., 6 1/2 in.", 1079.5, "points, a comma and a fraction"),
    ("2 yd", 1828.8, "yards"),
    ("2 Yards", 1828.8, "capitals"),
    ("1 yd 1 ft 1 in", 1244.6, "three parts"),
    ("1 m 20 cm", 1200.0, "metric compound"),
    ("46,5 cm", 465.0, "decimal comma"),
    ("0,125 in", 3.175, "three digits after the comma, but no thousands"),
    ("120 mm", 120.0, "the inner unit"),
    ("1.2 m", 1200.0, "metres"),
    ("5 metres", 5000.0, "British"),
    ("5 meters", 5000.0, "American"),
    ("5 centimetre", 50.0, "singular"),
    ("８ ｉｎ", 203.2, "full-width characters"),
    ("8\u00a0in", 203.2, "no-break space"),
    ("0 in", 0.0, "nothing is a length"),
    ("+2 in", 50.8, "a plus sign"),
]


@pytest.mark.parametrize("text, mm, why", LENGTHS, ids=[row[2] for row in LENGTHS])
def test_lengths_are_read(text: str, mm: float, why: str) -> None:
    assert parse_length_mm(text) == mm, why


# (text, part of what the error says, why)
REFUSED = [
    ("", "no length given", "empty"),
    ("   ", "no length given", "blank"),
    ("8", "needs its unit", "bare number"),
    ("in", "number is missing", "bare unit"),
    ("nan", "number is missing", "not a number"),
    ("inf in", "number is missing", "infinite"),
    ("1e3 mm", "no such unit", "exponent"),
    ("1/0 in", "0 below the line", "zero denominator"),
    ("8 1/0 in", "0 below the line", "zero denominator, mixed"),
    ("1 5/4 in", "not below one", "improper fraction after a whole number"),
    ("8-10 in", "range", "a range"),
    ("8 - 1/2 in", "range", "a range or a slip"),
    ("1,250 m", "thousands", "a comma that may be either"),
    ("1,234.5 mm", "cannot be read", "comma and point"),
    ("1.2.3 cm", "cannot be read", "two points"),
    ("1 200 m", "cannot be read", "space between thousands"),
    ("½2 in", "cannot be read", "digits after a fraction"),
    ("8½½ in", "cannot be read", "two fractions"),
    ("8 m²", "no such unit", "an area"),
    ("8 m2", "without its unit", "an area in plain digits"),
    ("7₂ in", "no such unit", "a lowered digit is not the number's last"),
    ("①⑧ in", "number is missing", "circled digits"),
    ("-", "no length given", "a sign alone"),
    ("+ ", "no length given", "a sign and a space"),
    (",", "cannot be read", "a comma alone"),
    (".", "cannot be read", "a point alone"),
    ("3 ft 6", "without its unit", "second unit missing"),
    ("6 in 3 ft", "largest first", "wrong order"),
    ("3 in 4 in", "largest first", "one unit twice"),
    ("1 m 3 in", "do not go together", "two systems"),
    ("50 g", "unit of mass", "a mass"),
    ("8 in wide", "number is missing", "more words"),
    ("8 in?", "not a length", "a mark"),
    ("-3 in", "below zero", "negative"),
    ("−3 in", "below zero", "negative with the minus sign"),
    ("9" * 40 + " in", "larger than", "absurd"),
    ("9" * 65, "too long", "huge text"),
    ("1 " * 5000 + "in", "too long", "huge text with a unit"),
]


@pytest.mark.parametrize("text, what, why", REFUSED, ids=[row[2] for row in REFUSED])
def test_all_else_is_refused_with_an_example(text: str, what: str, why: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse_length_mm(text)
    assert what in caught.value.what, why
    assert caught.value.hint, why


@pytest.mark.parametrize(
    "text, near", [("3 inchs", "inches"), ("3 metrs", "metres"), ("3 yrds", "yards")]
)
def test_an_unknown_unit_names_the_nearest(text: str, near: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse_length_mm(text)
    assert f"did you mean {near}?" in (caught.value.hint or "")


def test_a_unit_like_no_other_lists_them_all() -> None:
    with pytest.raises(BadInput) as caught:
        parse_length_mm("3 furlongs")
    assert "mm, cm, m, in, ft, yd" in (caught.value.hint or "")


def test_bare_numbers_take_the_default_unit() -> None:
    assert parse_length_mm(8.1, default_unit="in") == 205.74  # 8.1 times 25.4, as written
    assert parse_length_mm(3, default_unit="inches") == 76.2
    assert parse_length_mm("8 1/2", default_unit="in") == 215.9
    assert parse_length_mm("8 1/2 cm", default_unit="in") == 85.0  # its own unit wins


_HUGE = pytest.param(10**5000, id="five-thousand-digits")


@pytest.mark.parametrize("value", [8, 8.0])
def test_bare_numbers_need_a_unit(value: float) -> None:
    with pytest.raises(BadInput, match="needs its unit"):
        parse_length_mm(value)


@pytest.mark.parametrize(
    "value",
    [float("nan"), float("inf"), -1.0, True, pytest.param(10**400, id="1e400"), _HUGE, None, [8]],
)
def test_what_is_no_length_is_refused(value: object) -> None:
    with pytest.raises(BadInput):
        parse_length_mm(value, default_unit="in")  # type: ignore[arg-type]


def test_an_unknown_default_unit_is_refused() -> None:
    with pytest.raises(BadInput, match="no such unit"):
        parse_length_mm(8, default_unit="span")


def test_negative_lengths_where_they_are_allowed() -> None:
    assert parse_length_mm("-1 1/2 in", allow_negative=True) == -38.1
    assert parse_length_mm("−3 ft 6 in", allow_negative=True) == -1066.8
    assert parse_length_mm(-2.0, default_unit="cm", allow_negative=True) == -20.0


@pytest.mark.parametrize(
    "text, grams",
    [
        ("50 g", 50.0),
        ("50 grams", 50.0),
        ("1.2 kg", 1200.0),
        ("3 1/2 oz", 99.2233309375),
        ("1 ounce", units.GRAMS_PER_OUNCE),
        ("1 lb", units.GRAMS_PER_POUND),
        ("1 lb 4 oz", 566.9904625),
        ("1,5 kg", 1500.0),
    ],
)
def test_masses_are_read(text: str, grams: float) -> None:
    assert parse_mass_g(text) == grams


@pytest.mark.parametrize(
    "text, what",
    [
        ("", "no mass given"),
        ("50", "needs its unit"),
        ("50 m", "unit of length"),
        ("-5 g", "below zero"),
        ("1 kg 3 oz", "do not go together"),
        ("5 onces", "no such unit"),
        ("1e9 g", "no such unit"),
        ("99999 kg", "larger than"),
    ],
)
def test_other_masses_are_refused(text: str, what: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse_mass_g(text)
    assert what in caught.value.what
    assert caught.value.hint


@given(
    value=st.floats(min_value=0.01, max_value=1000, allow_nan=False),
    unit=st.sampled_from(["mm", "cm", "m", "in", "ft", "yd"]),
)
def test_unit_sizes_agree_with_pint(
    registry: pint.UnitRegistry[float], value: float, unit: str
) -> None:
    name = {"in": "inch", "ft": "foot", "yd": "yard"}.get(unit, unit)
    expected = registry.Quantity(value, name).to("mm").magnitude
    assert parse_length_mm(value, default_unit=unit) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    "unit, name", [("g", "gram"), ("kg", "kilogram"), ("oz", "ounce"), ("lb", "pound")]
)
def test_mass_units_agree_with_pint(
    registry: pint.UnitRegistry[float], unit: str, name: str
) -> None:
    expected = registry.Quantity(1.0, name).to("gram").magnitude
    assert parse_mass_g(1, default_unit=unit) == pytest.approx(expected, rel=1e-12)


_PIECES = st.sampled_from(
    [
        *"0123456789",
        " ",
        "/",
        ".",
        ",",
        "-",
        "½",
        "⁄",
        "¹",
        "₂",
        "in",
        "ft",
        "cm",
        '"',
        "'",
        "″",
        "m",
    ]
)


def _is_read_or_refused(read: Callable[..., float], value: object, unit: str | None) -> bool:
    """Whether a plain finite value comes back, or BadInput with a hint; all else is raised."""
    try:
        result = read(value, default_unit=unit)
    except BadInput as error:
        return bool(error.hint)
    return 0 <= result <= 1e8


@given(st.one_of(st.text(max_size=80), st.lists(_PIECES, max_size=12).map("".join)))
def test_garbage_is_never_anything_but_bad_input(text: str) -> None:
    for unit in (None, "in", "g", text):
        assert _is_read_or_refused(parse_length_mm, text, unit)
        assert _is_read_or_refused(parse_mass_g, text, unit)


@given(st.one_of(st.floats(), st.integers(), st.none(), st.booleans(), st.binary(max_size=8)))
def test_no_other_type_is_anything_but_bad_input(value: object) -> None:
    assert _is_read_or_refused(parse_length_mm, value, "cm")
    assert _is_read_or_refused(parse_mass_g, value, "oz")


@pytest.mark.parametrize("value", [0, -1.0, float("nan"), float("inf"), "3", None, True, _HUGE])
def test_required_numbers_name_their_field(value: object) -> None:
    with pytest.raises(BadInput) as caught:
        units.require_positive(value, "ball_g")  # type: ignore[arg-type]
    assert caught.value.place is not None
    assert caught.value.place.field == "ball_g"


def test_zero_is_enough_where_zero_is_allowed() -> None:
    units.require_zero_or_more(0, "sd")
    units.require_finite(-5.5, "ease_mm")
    with pytest.raises(BadInput, match="sd must be zero"):
        units.require_zero_or_more(-1e-9, "sd")
    with pytest.raises(BadInput, match="ease_mm must be a finite"):
        units.require_finite(float("nan"), "ease_mm")
