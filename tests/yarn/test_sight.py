"""Colours that may be confused: by eyes of every kind and in black and white."""

from __future__ import annotations

import pytest
from coloraide import Color

from pegwright.errors import BadInput, Severity
from pegwright.yarn.colour import Colour
from pegwright.yarn.sight import (
    CLOSE,
    Vision,
    check_sight,
    difference,
    seen_as,
    sight_findings,
)


def test_the_library_gives_the_published_differences() -> None:
    # Sharma, Wu and Dalal 2005, "The CIEDE2000 color-difference formula", table 1, pairs 1, 7 and
    # 17 (from memory): L, a, b of both colours and their difference.
    table = [
        ((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
        ((50, 0, 0), (50, -1, 2), 2.3669),
        ((50, 2.5, 0), (73, 25, -18), 27.1492),
    ]
    for one, other, wanted in table:
        found = Color("lab-d65", one).delta_e(Color("lab-d65", other), method="2000")
        assert found == pytest.approx(wanted, abs=5e-5)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("#a4482c", "#1d6e73"),
        ("#f2ead8", "#cfe8dd"),
        ("#000080", "#101060"),
        ("#777777", "#787878"),
    ],
)
def test_a_difference_is_the_library_s(one: str, other: str) -> None:
    assert difference(one, other) == pytest.approx(Color(one).delta_e(other, method="2000"))
    assert difference(one, other) == pytest.approx(difference(other, one))
    assert difference(one, one) == 0


def test_black_and_white_are_a_hundred_apart() -> None:
    # Lightness runs from 0 to 100 and the formula's weight at L = 50 is 1.
    assert difference("#000000", "#ffffff") == pytest.approx(100, abs=0.01)


def test_grey_print_has_no_hue() -> None:
    for hex_ in ("#a4482c", "#1d6e73", "#336699"):
        red, green, blue = (seen_as(hex_, Vision.GREY)[i : i + 2] for i in (1, 3, 5))
        assert red == green == blue
    assert seen_as("#A4482C", Vision.USUAL) == "#a4482c"


def test_red_and_green_of_one_lightness_are_confused_by_red_blind_eyes() -> None:
    leaf, brick = Colour("leaf", "#6b7a2e"), Colour("brick", "#a8602e")
    check = check_sight([leaf, brick])
    usual, red_blind = check.of(Vision.USUAL), check.of(Vision.DEUTAN)
    assert not usual.close
    assert red_blind.close
    assert red_blind.difference < usual.difference / 3
    assert any("leaf and brick may be taken for one" in line for line in check.words())


def test_the_worst_pair_of_many_is_named() -> None:
    colours = [
        Colour(n, h) for n, h in (("ink", "#101418"), ("coal", "#15191d"), ("sun", "#ffd24a"))
    ]
    check = check_sight([*colours, colours[0]])
    assert len(check.colours) == 3
    for pair in check.worst:
        assert {pair.first.name, pair.second.name} == {"ink", "coal"}
        assert pair.difference < CLOSE
    assert len(check.words()) == len(Vision)
    data = check.as_data()["worst"]
    assert isinstance(data, list)
    assert {row["vision"] for row in data} == {str(v) for v in Vision}


def test_colours_that_all_can_tell() -> None:
    check = check_sight([Colour("black", "#000000"), Colour("white", "#ffffff")])
    assert not check.close
    assert check.words()[0].startswith("All 2 colours can be told apart")


def test_one_colour_and_too_many() -> None:
    assert check_sight([Colour("ink", "#101418")]).words() == ("There is only one colour.",)
    many = [Colour(f"grey {i}", f"#{i:06x}") for i in range(61)]
    with pytest.raises(BadInput, match="at most 60"):
        check_sight(many)


def test_colours_that_are_close_are_one_note() -> None:
    close = check_sight([Colour("ink", "#101418"), Colour("coal", "#111519")])
    (found,) = sight_findings(close)
    assert (found.name, found.severity) == ("colours-close", Severity.NOTE)
    assert "ink and coal" in found.what
    apart = check_sight([Colour("black", "#000000"), Colour("white", "#ffffff")])
    assert sight_findings(apart) == ()
