"""Gauge as it is written, and converted."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.gauge.convert import GaugeUnit, convert, format_gauge, parse_gauge_mm


@pytest.mark.parametrize(
    ("value", "given_as", "wanted", "result"),
    [
        (20, GaugeUnit.PER_4IN, GaugeUnit.MM_EACH, 5.08),
        (20, GaugeUnit.PER_10CM, GaugeUnit.MM_EACH, 5.0),
        (20, GaugeUnit.PER_10CM, GaugeUnit.PER_4IN, 20.32),
        (5, GaugeUnit.PER_INCH, GaugeUnit.PER_4IN, 20),
        (5.08, GaugeUnit.MM_EACH, GaugeUnit.PER_INCH, 5),
        (20, GaugeUnit.PER_4IN, GaugeUnit.PER_4IN, 20),
    ],
)
def test_by_hand(value: float, given_as: GaugeUnit, wanted: GaugeUnit, result: float) -> None:
    assert convert(value, given_as, wanted) == pytest.approx(result)


@given(st.floats(0.1, 200), st.sampled_from(GaugeUnit), st.sampled_from(GaugeUnit))
def test_there_and_back(value: float, one: GaugeUnit, other: GaugeUnit) -> None:
    assert convert(convert(value, one, other), other, one) == pytest.approx(value)


@pytest.mark.parametrize("value", [0, -1, float("nan"), float("inf")])
def test_no_gauge_is_zero(value: float) -> None:
    with pytest.raises(BadInput):
        convert(value, GaugeUnit.PER_4IN, GaugeUnit.MM_EACH)


@pytest.mark.parametrize(
    ("text", "each_mm"),
    [
        ("20 stitches to 4 in", 5.08),
        ("20 sts over 4 inches", 5.08),
        ('20/4"', 5.08),
        ("20 to 10 cm", 5.0),
        ("28 rows = 10 cm", 100 / 28),
        ("22,5 sts in 10 cm", 100 / 22.5),
        ("5 per inch", 5.08),
        ("5 stitches to the inch", 5.08),
        ("2.5 rows per cm", 4.0),
        ("5.1 mm each", 5.1),
        ("1/4 in per stitch", 6.35),
    ],
)
def test_reading(text: str, each_mm: float) -> None:
    assert parse_gauge_mm(text) == pytest.approx(each_mm)


@pytest.mark.parametrize(
    "text", ["", "20", "20 stitches", "20 to 4", "0 to 4 in", "20 to 0 in", "4 in to 20", "x" * 99]
)
def test_what_is_no_gauge(text: str) -> None:
    with pytest.raises(BadInput):
        parse_gauge_mm(text)


def test_writing() -> None:
    assert format_gauge(5.08, GaugeUnit.PER_4IN) == "20 stitches to 4 in"
    assert format_gauge(3.5, GaugeUnit.PER_10CM, "rows") == "28.6 rows to 10 cm"
    assert format_gauge(5.08, GaugeUnit.MM_EACH) == "5.08 mm each"


@given(st.floats(1, 20), st.sampled_from(GaugeUnit))
def test_what_is_written_can_be_read(each_mm: float, unit: GaugeUnit) -> None:
    # Written with one decimal of a count (two of mm): read back to within that.
    again = parse_gauge_mm(format_gauge(each_mm, unit))
    shown = convert(each_mm, GaugeUnit.MM_EACH, unit)
    assert convert(again, GaugeUnit.MM_EACH, unit) == pytest.approx(shown, abs=0.0501)
