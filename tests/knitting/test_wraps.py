"""Wraps: what they visit, which way round, and on how many pegs they can be worked."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput, NotPossible
from pegwright.knitting.drawn import course_loop_mm
from pegwright.knitting.wraps import SHIPPED, Laid, Pass, Structure, Way, Wrap, shipped
from pegwright.loom.board import Arrangement, Loom
from pegwright.loom.visit import Held, Turn, Visit
from tests.knitting.scripts import STOCKINETTE, board, loom_for

DOUBLE = [w for w in SHIPPED if w.boards == 2]


def by_name(wrap: Wrap) -> str:
    return wrap.name


def counts(wrap: Wrap, most: int = 15) -> list[int]:
    """Numbers of columns on which a wrap can be worked."""
    return [n for n in range(wrap.least, most) if (n - wrap.plus) % wrap.multiple == 0]


def stops(loom: Loom, visits: tuple[Visit, ...]) -> str:
    return " ".join(loom.address(v.peg) for v in visits)


# --- the order of visits -------------------------------------------------------------------------


def test_the_zigzag_takes_ten_pairs_in_the_known_order() -> None:
    # Near board odd, far board even, so that pair i is 2i - 1 and 2i (common practice, no source):
    #   far    2   4   6   8  10  12  14  16  18  20
    #   near   1   3   5   7   9  11  13  15  17  19
    loom = board(10)
    out, home = STOCKINETTE.course(loom, 1, 10)

    def pair_number(visit: Visit) -> int:
        return 2 * loom.number(visit.peg) - (0 if loom.is_back(visit.peg) else 1)

    assert [pair_number(v) for v in out] == [2, 3, 6, 7, 10, 11, 14, 15, 18, 19]
    assert [pair_number(v) for v in home] == [20, 17, 16, 13, 12, 9, 8, 5, 4, 1]


@pytest.mark.parametrize(
    ("name", "pegs", "number", "passes"),
    [
        ("double-board stockinette", 4, 1, ["B1 F2 B3 F4", "B4 F3 B2 F1"]),
        ("double-board stockinette", 3, 1, ["B1 F2 B3", "F3 B2 F1"]),  # an odd count crosses too
        ("double-board stockinette", 4, 2, ["B1 F2 B3 F4", "B4 F3 B2 F1"]),  # every course alike
        ("double-board rib 1 by 1", 3, 1, ["F1 B1 F2 B2 F3 B3"]),
        ("double-board rib 1 by 1", 3, 2, ["F3 B3 F2 B2 F1 B1"]),
        ("double-board rib 1 by 1", 3, 3, ["F1 B1 F2 B2 F3 B3"]),
        ("double-board rib 2 by 2", 6, 1, ["B1 B2 F3 F4 B5 B6", "F6 F5 B4 B3 F2 F1"]),
        ("figure eight", 2, 1, ["F1 B1 F2 B2"]),
        ("e-wrap", 3, 1, ["F1 F2 F3"]),
        ("e-wrap", 3, 2, ["F3 F2 F1"]),
        ("two-peg cord", 1, 1, ["B1 F1"]),
        ("three-peg cord", 3, 1, ["F1 F2 F3"]),
        ("three-peg cord", 3, 2, ["F1 F2 F3"]),  # always from the same side
    ],
)
def test_a_course_visits_the_pegs_in_order(
    name: str, pegs: int, number: int, passes: list[str]
) -> None:
    wrap = shipped(name)
    loom = loom_for(wrap, pegs)
    assert [stops(loom, p) for p in wrap.course(loom, 1, pegs, number)] == passes


def test_columns_of_a_pass_are_counted_from_the_first_in_use() -> None:
    loom = board(10)
    assert stops(loom, STOCKINETTE.visits(loom, 4, 6)) == "B4 F5 B6 F6 B5 F4"


@pytest.mark.parametrize("wrap", SHIPPED, ids=by_name)
def test_each_course_leaves_one_new_loop_on_each_peg_in_use(wrap: Wrap) -> None:
    for pegs in counts(wrap):
        loom = loom_for(wrap, pegs)
        for number in range(1, len(wrap.courses) + 1):
            new = Counter(v.peg for v in wrap.visits(loom, 1, pegs, number))
            assert new == dict.fromkeys(range(loom.peg_count), 1), (pegs, number)


@pytest.mark.parametrize("pegs", range(2, 15))
def test_stockinette_never_takes_facing_pegs_in_one_pass(pegs: int) -> None:
    loom = board(pegs)
    for visits in STOCKINETTE.course(loom, 1, pegs):
        taken = {v.peg for v in visits}
        assert len(taken) == pegs
        assert not any(loom.across(peg) in taken for peg in taken)


# --- turns ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("way", "stop", "turn"),
    [
        # The yarn lies outside the pegs, away from the gap; seen from above, going right along the
        # near side of a front peg is anticlockwise.
        (Way.RIGHT, "F", Turn.LEFT),
        (Way.RIGHT, "B", Turn.RIGHT),
        (Way.LEFT, "F", Turn.RIGHT),
        (Way.LEFT, "B", Turn.LEFT),
    ],
)
def test_the_turn_follows_from_the_board_and_the_way(way: Way, stop: str, turn: Turn) -> None:
    wrap = Wrap("one stop", 2, Structure.RIB, ((Pass(way, (stop,)),),))
    assert {v.turn for v in wrap.visits(board(4), 1, 4)} == {turn}


@pytest.mark.parametrize("wrap", DOUBLE, ids=by_name)
def test_no_peg_is_turned_both_ways_in_a_row(wrap: Wrap) -> None:
    # Turned one way and then straight back the other, the yarn would slip off the peg.  Courses are
    # taken three times over, so that every join from course to course is met.
    for pegs in counts(wrap):
        loom = loom_for(wrap, pegs)
        visits = [
            v for c in range(3 * len(wrap.courses)) for v in wrap.visits(loom, 1, pegs, c + 1)
        ]
        for before, after in pairwise(visits):
            assert before.peg != after.peg or before.turn is after.turn, (pegs, before, after)


@pytest.mark.parametrize("wrap", SHIPPED, ids=by_name)
def test_visits_say_how_the_yarn_is_laid(wrap: Wrap) -> None:
    pegs = counts(wrap)[0]
    for visit in wrap.visits(loom_for(wrap, pegs), 1, pegs):
        assert visit.encircled == (wrap.laid is Laid.ROUND)
        assert (visit.held is Held.INSIDE) == (wrap.laid is Laid.INSIDE)
        assert (visit.held is Held.MIDDLE) == (wrap.laid is Laid.FLAT)


def test_looseness_of_single_board_wraps() -> None:
    """Most to least: e-wrap, u-wrap, flat (common practice, no source)."""
    row = board(20, Arrangement.SINGLE)
    loops = [
        course_loop_mm(row, shipped(name).visits(row, 1, 20), 2.0)
        for name in ("e-wrap", "u-wrap", "flat")
    ]
    assert loops == sorted(loops, reverse=True)
    assert len(set(loops)) == 3


def test_in_the_round_the_yarn_always_goes_the_same_way() -> None:
    ring = board(6, Arrangement.RING)
    wrap = shipped("e-wrap").in_the_round()
    assert wrap.visits(ring, 1, 6, 1) == wrap.visits(ring, 1, 6, 2)
    assert stops(ring, wrap.visits(ring, 1, 6, 2)) == "P1 P2 P3 P4 P5 P6"


# --- where a wrap fits ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "loom", "columns", "hint"),
    [
        ("double-board rib 2 by 2", board(20), 12, "try 10 or 14"),
        ("double-board rib 2 by 2", board(20), 7, "try 6 or 10"),
        ("double-board rib 2 by 2", board(20), 9, "try 6 or 10"),
        ("double-board rib 2 by 2", board(13), 12, "try 10"),  # 14 pegs are not on the board
        ("double-board rib 2 by 2", board(5), 5, "longer board"),
        ("double-board stockinette", board(20), 1, "use fewer pegs"),
        ("double-board stockinette", board(20), 21, "longer board"),
        ("double-board stockinette", board(20, Arrangement.SINGLE), 10, "another board"),
        ("e-wrap", board(20), 10, "another board"),
    ],
)
def test_a_wrap_that_does_not_fit_names_what_would(
    name: str, loom: Loom, columns: int, hint: str
) -> None:
    with pytest.raises(NotPossible) as caught:
        shipped(name).fits(loom, columns)
    assert hint in str(caught.value.hint)
    if hint.startswith("try"):
        assert caught.value.hint == hint


@given(st.sampled_from(SHIPPED), st.integers(1, 30), st.integers(1, 30))
def test_what_a_refusal_suggests_fits(wrap: Wrap, pegs: int, columns: int) -> None:
    loom = loom_for(wrap, pegs)
    try:
        wrap.fits(loom, columns)
    except NotPossible as refused:
        for number in str(refused.hint).removeprefix("try ").split(" or "):
            if number.isdigit():
                wrap.fits(loom, int(number))
    else:
        assert columns in counts(wrap, pegs + 1)


@pytest.mark.parametrize("arrangement", [Arrangement.OPPOSED, Arrangement.OFFSET])
def test_double_wraps_fit_both_kinds_of_double_board(arrangement: Arrangement) -> None:
    STOCKINETTE.fits(board(10, arrangement), 10)


def test_single_wraps_fit_a_ring() -> None:
    shipped("e-wrap").fits(board(24, Arrangement.RING), 24)


# --- writing wraps -------------------------------------------------------------------------------


@pytest.mark.parametrize("columns", [(), ("",), ("X",), ("FF",), ("FBF",), ("f",)])
def test_a_pass_is_written_with_board_letters(columns: tuple[str, ...]) -> None:
    with pytest.raises(BadInput):
        Pass(Way.RIGHT, columns)


def test_a_single_board_has_no_back_pegs() -> None:
    with pytest.raises(BadInput, match="back board"):
        Wrap("odd", 1, Structure.PLAIN, ((Pass(Way.RIGHT, ("F", "B")),),))


def test_a_wrap_has_passes() -> None:
    with pytest.raises(BadInput, match="at least one pass"):
        Wrap("empty", 1, Structure.PLAIN, ((),))


def test_an_unknown_wrap_names_the_nearest() -> None:
    with pytest.raises(BadInput) as caught:
        shipped("double board stockinet")
    assert "double-board stockinette" in str(caught.value.hint)


def test_names_are_unlike() -> None:
    assert len({w.name for w in SHIPPED}) == len(SHIPPED)
