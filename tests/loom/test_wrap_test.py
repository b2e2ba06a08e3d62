"""The wrap test: what a maker measures, and the gap that gives what a pattern asks for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pegwright.errors import BadInput, NotPossible
from pegwright.loom.board import Arrangement, Loom
from pegwright.loom.visit import Turn, Visit
from pegwright.loom.wrap_test import (
    WIDEST_GAP_MM,
    WrapReading,
    check_board,
    compare,
    gap_for,
    measure,
    narrowest_gap_mm,
    reading,
)
from pegwright.units import MM_PER_INCH, UnitSystem

INCHES, CM = UnitSystem.INCHES, UnitSystem.CENTIMETRES


def zigzag(loom: Loom) -> Sequence[Visit]:
    """Double-board stockinette: out on alternate pegs, straight across, back on those passed by.

    The yarn goes round the outside of every peg.
    """
    left, right = Turn.LEFT, Turn.RIGHT
    columns = range(1, loom.pegs + 1)
    out = [Visit(loom.back(c), right) if c % 2 else Visit(loom.front(c), left) for c in columns]
    home = [
        Visit(loom.front(c), right) if c % 2 else Visit(loom.back(c), left)
        for c in reversed(columns)
    ]
    return out + home


def board(gap_mm: float = 32.0, pegs: int = 15, **changes: float) -> Loom:
    return replace(
        Loom(Arrangement.OPPOSED, pegs, pitch_mm=11.0, gap_mm=gap_mm, peg_diameter_mm=3.0),
        **changes,  # type: ignore[arg-type]
    )


def test_the_order_of_the_zigzag() -> None:
    # Common practice, no source: ten opposing pairs, near board odd, far board even.
    loom = board(pegs=10)
    pegs = [2 * loom.number(v.peg) - (not loom.is_back(v.peg)) for v in zigzag(loom)]
    assert pegs == [
        *(2, 3, 6, 7, 10, 11, 14, 15, 18, 19),
        *(20, 17, 16, 13, 12, 9, 8, 5, 4, 1),
    ]


@pytest.mark.parametrize("pitch_in", [3 / 8, 7 / 16, 1 / 2])
@pytest.mark.parametrize("radius_in", [0.06, 0.075, 0.09])
def test_fifteen_pegs_draw_about_forty_five_inches(pitch_in: float, radius_in: float) -> None:
    # Common practice, no source: 15 pegs on both boards, rows 1 1/4 in apart, draw about 45 in on a
    # common worsted-gauge board; 44 to 47 in, in whole inches, over its usual pitches and yarns.
    peg, yarn = radius_in * MM_PER_INCH * 1.2, radius_in * MM_PER_INCH * 0.8
    loom = board(1.25 * MM_PER_INCH, pitch_mm=pitch_in * MM_PER_INCH, peg_diameter_mm=peg)
    got = measure(loom, zigzag(loom), yarn)
    assert 44 <= round(got.length_mm / MM_PER_INCH) <= 47
    assert got.loops == 30
    assert got.per_loop_mm == pytest.approx(got.length_mm / 30)


def test_the_ends_of_an_open_wrap_are_no_loops() -> None:
    loom = board(pegs=40)
    once, out_of_it = (measure(loom, zigzag(loom), 2.0, closed=c) for c in (True, False))
    assert out_of_it.length_mm < once.length_mm
    assert out_of_it.per_loop_mm == pytest.approx(out_of_it.length_mm / 79)
    assert out_of_it.per_loop_mm == pytest.approx(once.per_loop_mm, rel=0.005)


def test_a_longer_wrap_adds_loops_alike() -> None:
    # Two pegs more on both boards add the same length each time, whatever the ends do.
    lengths = [measure(board(pegs=n), zigzag(board(pegs=n)), 2.0).length_mm for n in (9, 11, 13)]
    assert lengths[2] - lengths[1] == pytest.approx(lengths[1] - lengths[0])


def test_an_even_and_an_odd_row_of_pegs_end_alike() -> None:
    # The yarn passes the right end straight across, in one sense, for either.
    for n in (14, 15):
        ends = zigzag(board(pegs=n))[n - 1 : n + 1]
        assert ends[0].turn == ends[1].turn
        assert board(pegs=n).across(ends[0].peg) == ends[1].peg
    lengths = [measure(board(pegs=n), zigzag(board(pegs=n)), 2.0).length_mm for n in range(10, 16)]
    steps = [b - a for a, b in pairwise(lengths)]
    assert steps == pytest.approx([steps[0]] * 5)


def test_slack_is_a_plain_factor() -> None:
    taut = measure(board(), zigzag(board()), 2.0)
    slack = measure(board(), zigzag(board()), 2.0, slack=1.25)
    assert slack.length_mm == pytest.approx(1.25 * taut.length_mm)
    assert slack.per_loop_mm == pytest.approx(1.25 * taut.per_loop_mm)


@pytest.mark.parametrize("slack", [0.0, -1.0, math.nan, math.inf])
def test_slack_of_nothing_is_refused(slack: float) -> None:
    with pytest.raises(BadInput, match="slack"):
        measure(board(), zigzag(board()), 2.0, slack=slack)


def test_a_wrap_that_does_not_come_back_is_no_closed_one() -> None:
    loom = Loom(Arrangement.SINGLE, 12, pitch_mm=11.0, peg_diameter_mm=3.0)
    e_wrap = [Visit(peg, Turn.LEFT, encircled=True) for peg in range(12)]
    with pytest.raises(BadInput, match="does not come back") as caught:
        measure(loom, e_wrap, 2.0)
    assert "F12" in str(caught.value.given)
    got = measure(loom, e_wrap, 2.0, closed=False)
    assert got.length_mm == pytest.approx(
        11 * 11.0 + 10 * math.pi * 5.0
    )  # 11 runs, 10 whole rounds


@pytest.mark.parametrize(
    ("length", "loops", "closed"),
    [(0.0, 9, True), (math.nan, 9, True), (9.0, 0, True), (9.0, 1, False)],
)
def test_readings_that_cannot_be_are_refused(length: float, loops: int, closed: bool) -> None:
    with pytest.raises(BadInput):
        reading(length, loops, closed)


# --- the gap ---------------------------------------------------------------------------------

doubles = st.builds(
    Loom,
    st.sampled_from([Arrangement.OPPOSED, Arrangement.OFFSET]),
    st.integers(2, 9),
    pitch_mm=st.floats(8, 25),
    gap_mm=st.floats(8, 140),
    peg_diameter_mm=st.floats(2, 5),
)


@settings(max_examples=40)
@given(doubles, st.floats(0.5, 3), st.floats(0.8, 1.4), st.booleans())
def test_the_gap_comes_back_from_the_length(
    loom: Loom, yarn: float, slack: float, closed: bool
) -> None:
    length = measure(loom, zigzag(loom), yarn, slack, closed).length_mm
    got = gap_for(loom, zigzag, yarn, length, slack, closed)
    assert got.gap_mm == pytest.approx(loom.gap_mm, abs=1e-4)
    assert got.reading.length_mm == pytest.approx(length)


@settings(max_examples=60)
@given(doubles, st.floats(0.5, 3), st.floats(0, 1), st.floats(0.001, 1))
def test_a_wider_gap_draws_more(loom: Loom, yarn: float, at: float, further: float) -> None:
    low = narrowest_gap_mm(loom, yarn)
    first = low + at * (WIDEST_GAP_MM - low)
    narrow, wide = (replace(loom, gap_mm=g) for g in (first, first + further))
    a, b = (measure(one, zigzag(one), yarn).length_mm for one in (narrow, wide))
    assert b > a


@pytest.mark.parametrize(
    ("wanted", "nearest_gap"), [(200.0, "5.0 mm apart"), (9000.0, "150.0 mm apart")]
)
def test_a_length_that_no_gap_gives_is_refused_with_the_nearest(
    wanted: float, nearest_gap: str
) -> None:
    with pytest.raises(NotPossible, match="no gap") as caught:
        gap_for(board(), zigzag, 2.0, wanted)
    assert caught.value.hint is not None
    assert nearest_gap in caught.value.hint


def test_the_limits_themselves_are_found() -> None:
    for gap in (5.0, 150.0):
        length = measure(board(gap), zigzag(board(gap)), 2.0).length_mm
        assert gap_for(board(), zigzag, 2.0, length).gap_mm == pytest.approx(gap, abs=1e-4)
    length = measure(board(60.0), zigzag(board(60.0)), 2.0).length_mm
    with pytest.raises(NotPossible):
        gap_for(board(), zigzag, 2.0, length, widest_mm=59.0)


@pytest.mark.parametrize(
    ("loom", "yarn", "wanted", "widest"),
    [
        (Loom(Arrangement.SINGLE, 9, 11.0), 2.0, 900.0, 150.0),  # a single row has no gap
        (board(), 2.0, 0.0, 150.0),
        (board(), 2.0, math.nan, 150.0),
        (board(), 9.0, 900.0, 150.0),  # too thick for the pitch
        (board(), 2.0, 900.0, 4.0),  # pegs and yarn need 5 mm
        (board(), 2.0, 900.0, math.inf),
        (board(), math.nan, 900.0, 150.0),
    ],
)
def test_searches_that_cannot_be_are_refused(
    loom: Loom, yarn: float, wanted: float, widest: float
) -> None:
    with pytest.raises(BadInput):
        gap_for(loom, zigzag, yarn, wanted, widest_mm=widest)


# --- does a board suit a pattern? ----------------------------------------------------------------


def _reading(length_mm: float) -> WrapReading:
    return reading(length_mm, 30)


@pytest.mark.parametrize(
    ("found", "suits"),
    [
        (1000.0, True),
        (1030.0, True),  # the limit itself
        (970.0, True),
        (1031.0, False),
        (969.0, False),
    ],
)
def test_three_per_cent_is_near_enough(found: float, suits: bool) -> None:
    # Common practice, no source: yarns of one weight category change the width by about 3 %.
    got = compare(_reading(1000.0), _reading(found), system=CM)
    assert got.suits is suits
    assert got.ratio == pytest.approx(found / 1000)
    assert got.width_change == got.length_change == pytest.approx(found / 1000 - 1)
    assert compare(1000.0, _reading(found), system=CM) == got


def test_advice_for_a_board_that_suits() -> None:
    got = compare(1143.0, _reading(1165.0), system=INCHES)
    assert got.advice == (
        "This board suits the pattern: the wrap draws 45 7/8 in (116.5 cm), the pattern asks for"
        " 45 in (114.3 cm).",
        "At the same counts the piece comes out about 2 % wider and longer.",
    )
    same = compare(1143.0, _reading(1143.0), system=INCHES)
    assert same.advice[1] == "At the same counts the piece comes out as the pattern says."


def test_advice_for_a_board_that_does_not_suit() -> None:
    got = compare(1000.0, _reading(800.0), system=CM, gap_mm=42.0)
    assert got.gap_mm == 42.0
    assert got.advice == (
        "This board does not suit the pattern as it stands: the wrap draws 80 cm (31 1/2 in), the"
        " pattern asks for 100 cm (39 3/8 in).",
        "At the same counts the piece comes out about 20 % narrower and shorter.",
        "To match the pattern, set the rows 4.2 cm (1 21/32 in) apart, centre to centre.",
        "To keep the size on the board as it stands, work about 125 stitches and 125 rows for every"
        " 100 of the pattern, and prove it with a swatch.",
    )


def test_a_board_is_mended_by_its_gap() -> None:
    wanted = measure(board(40.0), zigzag(board(40.0)), 2.0)
    got = check_board(board(32.0), zigzag, 2.0, wanted, system=CM)
    assert not got.suits
    assert got.gap_mm == pytest.approx(40.0, abs=1e-6)
    assert any("set the rows 4 cm (1 9/16 in) apart" in line for line in got.advice)
    mended = check_board(board(got.gap_mm or 0.0), zigzag, 2.0, wanted, system=CM)
    assert mended.suits
    assert mended.gap_mm is None
    assert mended.ratio == pytest.approx(1.0)


def test_a_board_that_no_gap_mends_says_how_near_it_comes() -> None:
    got = check_board(board(), zigzag, 2.0, 100.0, system=CM)
    assert not got.suits
    assert got.gap_mm is None
    assert got.advice[-1].startswith("No gap makes this board draw what the pattern asks for")
    assert "rows 0.5 cm (3/16 in) apart" in got.advice[-1]


def test_a_single_row_is_compared_without_a_gap() -> None:
    row = Loom(Arrangement.SINGLE, 9, 11.0)
    order = [Visit(peg, Turn.LEFT, encircled=True) for peg in range(9)]
    got = check_board(row, lambda _: order, 2.0, 100.0, system=CM, closed=False)
    assert not got.suits
    assert got.gap_mm is None
    assert not any("gap" in line for line in got.advice)


def test_slack_counts_in_a_comparison() -> None:
    wanted = measure(board(), zigzag(board()), 2.0, slack=1.2)
    assert not check_board(board(), zigzag, 2.0, wanted, system=CM).suits
    assert check_board(board(), zigzag, 2.0, wanted, system=CM, slack=1.2).suits


@pytest.mark.parametrize(
    ("wanted", "found", "tolerance"),
    [
        (reading(1000.0, 20), _reading(1000.0), 0.03),  # other numbers of pegs
        (0.0, _reading(1000.0), 0.03),
        (math.nan, _reading(1000.0), 0.03),
        (1000.0, WrapReading(0.0, 0.0, 30), 0.03),
        (1000.0, _reading(1000.0), -0.01),
        (1000.0, _reading(1000.0), math.nan),
    ],
)
def test_comparisons_that_say_nothing_are_refused(
    wanted: WrapReading | float, found: WrapReading, tolerance: float
) -> None:
    with pytest.raises(BadInput):
        compare(wanted, found, system=CM, tolerance=tolerance)
