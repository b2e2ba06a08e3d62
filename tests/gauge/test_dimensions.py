"""Counts from dimensions and back, and whether the words tell the truth."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput, NotPossible
from pegwright.gauge.dimensions import columns_for, rows_for
from pegwright.gauge.fabric_gauge import Gauge, GaugeSource
from pegwright.measured import Measured
from pegwright.units import UnitSystem, format_length

INCHES, CENTIMETRES = UnitSystem.INCHES, UnitSystem.CENTIMETRES


def gauge(wale: float = 5.0, course: float = 4.0) -> Gauge:
    return Gauge(Measured(wale, 0.02 * wale), Measured(course, 0.03 * course), GaugeSource.SWATCH)


def test_by_hand() -> None:
    # 5 stitches to the inch: 9 5/8 in is 48 1/8 stitches, so 48, which measure 9.6 in.
    count = columns_for(9.625 * 25.4, gauge(5.08))
    assert count.number == 48
    assert count.exact == pytest.approx(48.125)
    assert count.finished.value == pytest.approx(9.6 * 25.4)
    assert count.finished.sd == pytest.approx(0.02 * count.finished.value)
    assert count.words == (
        "9 5/8 in at 5 stitches per inch is 48.1 stitches; rounded to 48, which measures 9 5/8 in"
    )


def test_rows_and_centimetres() -> None:
    count = rows_for(203, gauge(), multiple=2, system=CENTIMETRES)
    # 203 / 4 = 50.75; even counts only: 50 (0.75 away) rather than 52 (1.25 away).
    assert count.number == 50
    assert count.words == (
        "20.3 cm at 25 rows per 10 cm is 50.8 rows; rounded to 50, a multiple of 2, which"
        " measures 20 cm"
    )


def test_a_whole_count_needs_no_rounding() -> None:
    assert columns_for(100, gauge(), system=CENTIMETRES).words == (
        "10 cm at 20 stitches per 10 cm is 20 stitches"
    )


@pytest.mark.parametrize(
    ("exact", "multiple", "plus", "number", "why"),
    [
        (48.5, 1, 0, 49, "half goes up"),
        (47.5, 1, 0, 48, "half goes up, not to even"),
        (48.4999, 1, 0, 48, "below half goes down"),
        (46.0, 4, 0, 48, "halfway between 44 and 48 goes up"),
        (45.9, 4, 0, 44, "nearer to 44"),
        (48.4, 4, 2, 50, "46 is 2.4 away, 50 is 1.6"),
        (48.0, 4, 2, 50, "halfway between 46 and 50 goes up"),
        (0.2, 1, 0, 1, "never none"),
        (1.0, 4, 2, 2, "never below the plus"),
        (3.0, 4, 9, 9, "a plus beyond the multiple"),
    ],
)
def test_rounding(exact: float, multiple: int, plus: int, number: int, why: str) -> None:
    assert columns_for(exact * 5.0, gauge(), multiple, plus).number == number, why


def test_a_tie_that_floats_blur_still_goes_up() -> None:
    for hundredths in range(100, 1200):
        wale = hundredths / 100
        for whole in (7, 20, 48):
            assert columns_for((whole + 0.5) * wale, gauge(wale)).number == whole + 1


def test_the_fewest_are_told() -> None:
    count = columns_for(10, gauge(), 4, 2, least=6)
    assert count.number == 6
    assert "the fewest that can be worked is 6" in count.words


def test_too_many_names_what_would_fit() -> None:
    with pytest.raises(NotPossible) as caught:
        columns_for(250, gauge(), 4, 2, least=6, most=45, system=CENTIMETRES)
    assert "needs 50 stitches" in caught.value.what
    assert "room for 45" in caught.value.what
    assert caught.value.hint is not None
    assert "42 stitches would fit and measure 21 cm" in caught.value.hint
    assert columns_for(250, gauge(), 4, 2, least=6, most=50).number == 50


def test_where_no_count_fits_at_all() -> None:
    with pytest.raises(NotPossible) as caught:
        columns_for(250, gauge(), 10, 9, least=1, most=8)
    assert caught.value.hint is not None
    assert "no count" in caught.value.hint


@pytest.mark.parametrize(
    ("field", "rule"),
    [
        ("multiple", {"multiple": 0}),
        ("plus", {"plus": -1}),
        ("least", {"least": 0}),
        ("most", {"least": 6, "most": 5}),
    ],
)
def test_rules_that_no_count_can_follow(field: str, rule: dict[str, int]) -> None:
    with pytest.raises(BadInput) as caught:
        columns_for(100, gauge(), **rule)  # type: ignore[arg-type]
    assert caught.value.place is not None
    assert caught.value.place.field == field


@pytest.mark.parametrize("width", [0.0, -10.0, float("nan"), float("inf"), 1e300])
def test_what_is_no_width(width: float) -> None:
    with pytest.raises(BadInput):
        columns_for(width, gauge())


_WALES = st.floats(0.5, 30)


@given(st.integers(1, 2000), _WALES)
def test_counts_come_back_from_their_own_size(number: int, wale: float) -> None:
    of = gauge(wale, wale)
    assert columns_for(of.width(number).value, of).number == number
    assert rows_for(of.length(number).value, of).number == number


@given(st.floats(1, 3000), _WALES, st.integers(1, 8), st.integers(0, 10), st.integers(1, 20))
def test_no_count_lies_nearer(
    width: float, wale: float, multiple: int, plus: int, least: int
) -> None:
    count = columns_for(width, gauge(wale), multiple, plus, least)
    top = int(count.exact) + 3 * multiple + plus + least
    allowed = [n for n in range(plus, top + 1, multiple) if n >= least]
    assert count.number in allowed
    nearest = min(abs(n - count.exact) for n in allowed)
    assert abs(count.number - count.exact) <= nearest + 1e-6
    assert count.finished.value == pytest.approx(count.number * wale)


@given(st.floats(1, 3000), st.floats(1, 3000), _WALES, st.integers(1, 6))
def test_more_length_never_means_fewer_rows(
    one: float, other: float, course: float, multiple: int
) -> None:
    low, high = sorted((one, other))
    of = gauge(5, course)
    assert rows_for(low, of, multiple).number <= rows_for(high, of, multiple).number


_SHOWN = re.compile(r" is (?P<exact>[0-9.]+) (?:stitches|stitch)(?P<rest>.*)")


@given(
    st.floats(5, 2000),
    _WALES,
    st.sampled_from([(1, 0), (4, 2), (2, 0)]),
    st.sampled_from(UnitSystem),
)
def test_the_rounding_shown_is_the_rounding_done(
    width: float, wale: float, rule: tuple[int, int], system: UnitSystem
) -> None:
    multiple, plus = rule
    count = columns_for(width, gauge(wale), multiple, plus, system=system)
    match = _SHOWN.search(count.words)
    assert match is not None
    shown = float(match["exact"])
    assert abs(shown - count.exact) <= 0.05 + 1e-6
    # A reader who rounds the shown figure by the same rule gets the same count.
    assert columns_for(shown, gauge(1.0), multiple, plus).number == count.number
    assert count.words.startswith(format_length(width, system))
    if match["rest"]:
        assert count.words.endswith(f"measures {format_length(count.finished.value, system)}")
        assert f" {count.number}" in match["rest"]
    else:
        assert shown == count.number


def test_more_decimals_where_one_would_mislead() -> None:
    count = columns_for(48.46 * 5, gauge())
    assert "is 48.46 stitches; rounded to 48" in count.words
