"""Weight categories and pegs.

The table is the Craft Yarn Council's, Standards & Guidelines, read in reproduced charts; metres are
converted from yards per pound that a magazine added.  Peg pitches: common practice, no source; the
categories beside them: from memory.
"""

from __future__ import annotations

import pytest

from pegwright.errors import BadInput
from pegwright.yarn.category import (
    CATEGORIES,
    PITCHES,
    Span,
    categories_for_pitch,
    categories_for_stitches,
    categories_for_wraps_per_inch,
    category,
    category_for_metres_per_100g,
    pitch_class,
    pitches_for,
)

IN = 25.4


@pytest.mark.parametrize(
    "number, name, low, high",
    [
        (0, "lace", 33, 40),
        (1, "super fine", 27, 32),
        (2, "fine", 23, 26),
        (3, "light", 21, 24),
        (4, "medium", 16, 20),
        (5, "bulky", 12, 15),
        (6, "super bulky", 7, 11),
        (7, "jumbo", None, 6),  # from memory
    ],
)
def test_published_rows(number: int, name: str, low: int | None, high: int) -> None:
    row = category(number)
    assert row.number == number
    assert row.name == name
    assert (row.stitches_per_4in.low, row.stitches_per_4in.high) == (low, high)
    assert category(name) is row
    assert category(str(number)) is row
    assert category(f" {number}  {name.upper()} ") is row


def test_words_of_the_trade() -> None:
    assert category("worsted").number == 4
    assert category("DK").number == 3


@pytest.mark.parametrize("wrong", [8, -1, True, "heavy", "", 4.5, None])
def test_no_other_category(wrong: object) -> None:
    with pytest.raises(BadInput) as caught:
        category(wrong)  # type: ignore[arg-type]
    assert caught.value.place is not None
    assert caught.value.place.field == "category"
    assert "4 medium" in (caught.value.hint or "")


@pytest.mark.parametrize(
    "metres, number",
    [
        (900, 0),
        (484, 0),  # the shared bound goes to the finer
        (483.9, 1),
        (400, 1),
        (383, 1),
        (300, 2),
        (242, 2),
        (210, 3),
        (182, 3),
        (181.6, 3),  # in the gap, nearer 182
        (181.4, 4),  # in the gap, nearer 181
        (181, 4),
        (150, 4),
        (121, 4),
        (120.9, 5),
        (81, 5),
        (80.9, 6),
        (10, 6),  # jumbo has no published length
    ],
)
def test_category_by_length(metres: float, number: int) -> None:
    assert category_for_metres_per_100g(metres).number == number


@pytest.mark.parametrize("wrong", [0, -5, float("nan"), float("inf")])
def test_lengths_that_cannot_be(wrong: float) -> None:
    with pytest.raises(BadInput, match="metres_per_100g"):
        category_for_metres_per_100g(wrong)


def test_every_length_range_finds_its_own_category() -> None:
    for row in CATEGORIES[:7]:
        assert row.metres_per_100g is not None
        low = row.metres_per_100g.low or 1.0
        high = row.metres_per_100g.high or 2 * low
        assert category_for_metres_per_100g((low + high) / 2) is row


@pytest.mark.parametrize(
    "wraps, numbers",
    [(10, [4]), (12, [2, 3, 4]), (8, [5]), (45, [0]), (18, [0, 1, 2]), (3, [6, 7]), (5, [6])],
)
def test_category_by_wraps(wraps: float, numbers: list[int]) -> None:
    """Super bulky is "7 or fewer" in the older chart, so it answers to 3 as well."""
    assert [row.number for row in categories_for_wraps_per_inch(wraps)] == numbers


def test_category_by_stitches() -> None:
    assert [row.number for row in categories_for_stitches(24)] == [2, 3]  # the ranges overlap
    assert [row.number for row in categories_for_stitches(18)] == [4]
    assert categories_for_stitches(50) == ()


def test_wrapped_diameters() -> None:
    """About 2.4 mm for a medium yarn: 10 to 11 wraps in one chart, 9 to 12 in the other."""
    assert category(4).wraps_per_inch == 10.5
    assert category(4).wrapped_diameter_mm == pytest.approx(2.42, abs=0.005)
    assert category(4).wrapped_diameter_range_mm == pytest.approx((25.4 / 12, 25.4 / 9))
    typical = [row.wrapped_diameter_mm for row in CATEGORIES]
    assert typical == sorted(typical)
    for row in CATEGORIES:
        thin, thick = row.wrapped_diameter_range_mm
        assert thin <= row.wrapped_diameter_mm <= thick


def test_spans() -> None:
    assert 45 in Span(30, 40, or_more=True)
    assert 45 not in Span(30, 40)
    assert -3 in Span(None, 6)
    assert Span(18, None).middle is None
    assert Span(30, 40).middle == 35


@pytest.mark.parametrize(
    "pitch_in, name, numbers",
    [
        (3 / 16, "extra fine", [1, 2]),
        (1 / 4, "fine", [2, 3]),
        (5 / 16, "fine", [2, 3]),
        (3 / 8, "small", [3, 4]),
        (7 / 16, "regular", [4, 5]),
        (1 / 2, "regular", [4, 5]),
        (9 / 16, "regular", [4, 5]),
        (5 / 8, "large", [5, 6]),
        (3 / 4, "large", [5, 6]),
        (13 / 16, "extra large", [6, 7]),
        (2, "extra large", [6, 7]),  # the open end
        (1 / 16, "extra fine", [1, 2]),  # finer than any: the finest
        (0.40, "small", [3, 4]),  # between two, nearer 3/8
        (0.41, "regular", [4, 5]),  # between two, nearer 7/16
        (7 / 32, "fine", [2, 3]),  # half-way: the larger
    ],
)
def test_pitch_rows(pitch_in: float, name: str, numbers: list[int]) -> None:
    assert pitch_class(pitch_in * IN).name == name
    assert [row.number for row in categories_for_pitch(pitch_in * IN)] == numbers


def test_pitches_for_a_category() -> None:
    assert [pitch.name for pitch in pitches_for("medium")] == ["small", "regular"]
    assert [pitch.name for pitch in pitches_for(7)] == ["extra large"]
    assert pitches_for(0) == ()
    for pitch in PITCHES:
        for row in pitch.categories:
            assert pitch in pitches_for(row.number)


def test_pitches_that_cannot_be() -> None:
    with pytest.raises(BadInput, match="pitch_mm"):
        categories_for_pitch(0)
