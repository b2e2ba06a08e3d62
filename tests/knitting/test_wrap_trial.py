"""A wrap test as it is done: over how many pegs, what it draws, and the slack of a hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from pegwright.errors import BadInput, NotPossible
from pegwright.knitting.wrap_trial import (
    columns_for,
    own_slack,
    spec_that_draws,
    trial,
    usual_wrap,
)
from pegwright.knitting.wraps import SHIPPED, shipped
from pegwright.loom.board import Arrangement, Loom
from pegwright.loom.nearest import BoardNotPossible
from pegwright.loom.spec import BoardSpec
from pegwright.units import UnitSystem

DOUBLE = Loom(Arrangement.OPPOSED, 44, 11.0, 25.0, 4.0)
RING = Loom(Arrangement.RING, 60, 12.0, 0.0, 6.0)
STOCKINETTE = usual_wrap(double=True)


@pytest.mark.parametrize(
    ("wrap", "pegs", "asked", "most", "columns"),
    [
        ("double-board stockinette", 44, None, 15, 15),  # as is usual
        ("double-board stockinette", 9, None, 15, 9),  # a short board
        ("double-board stockinette", 44, 20, 15, 20),  # as was asked
        ("double-board stockinette", 44, None, 44, 44),  # the whole board
        ("double-board rib 2 by 2", 44, None, 15, 14),  # a multiple of 4 plus 2
        ("double-board rib 2 by 2", 44, None, 44, 42),
        ("two-peg cord", 44, None, 15, 15),
    ],
)
def test_over_how_many_pegs(
    wrap: str, pegs: int, asked: int | None, most: int, columns: int
) -> None:
    assert columns_for(shipped(wrap), replace(DOUBLE, pegs=pegs), asked, most) == columns


@pytest.mark.parametrize(("wrap", "asked"), [("e-wrap", None), ("double-board rib 2 by 2", 15)])
def test_what_the_wrap_does_not_take_is_refused(wrap: str, asked: int | None) -> None:
    with pytest.raises(NotPossible):
        columns_for(shipped(wrap), DOUBLE, asked)


def test_the_usual_wrap_suits_the_rows() -> None:
    assert usual_wrap(double=True) is SHIPPED[0]
    assert usual_wrap(double=False).boards == 1


def test_a_looser_hand_draws_so_much_more() -> None:
    taut = trial(DOUBLE, STOCKINETTE, 2.0)
    loose = trial(DOUBLE, STOCKINETTE, 2.0, slack=1.2)
    assert loose.drawn().length_mm == pytest.approx(1.2 * taut.drawn().length_mm)
    assert loose.drawn(1.0) == taut.drawn()
    assert taut.closed, "out and back"
    assert not trial(RING, usual_wrap(double=False), 2.0).closed


def test_a_gap_that_was_found_draws_what_was_wanted() -> None:
    one = trial(DOUBLE, STOCKINETTE, 2.0, slack=1.1)
    answer = one.gap_for(1200.0)
    there = replace(one, loom=replace(DOUBLE, gap_mm=answer.gap_mm))
    assert there.drawn().length_mm == pytest.approx(1200.0)
    matched = there.matched(1200.0, UnitSystem.INCHES)
    assert matched.suits
    assert matched.ratio == pytest.approx(1)


def test_a_board_to_build_draws_what_was_wanted() -> None:
    spec = spec_that_draws(BoardSpec(yarn_mm=2.0), STOCKINETTE, None, 1100.0)
    drawn = trial(spec.loom(), STOCKINETTE, 2.0).drawn()
    assert drawn.length_mm == pytest.approx(1100.0)
    with pytest.raises(BoardNotPossible):
        spec_that_draws(BoardSpec(pitch_mm=3.0), STOCKINETTE, None, 1100.0)


# --- slack ---------------------------------------------------------------------------------------


def test_one_wrap_says_nothing_of_how_far_a_hand_varies() -> None:
    found = own_slack([1100.0], 1000.0)
    assert found.value == pytest.approx(1.1)
    assert found.sd == pytest.approx(0.05)


def test_several_wraps_do() -> None:
    """Variance of 1.0, 1.1, 1.2 is 0.01; the usual 0.05 is one degree of freedom of three."""
    found = own_slack([1000.0, 1100.0, 1200.0], 1000.0)
    assert found.value == pytest.approx(1.1)
    assert found.sd == pytest.approx(math.sqrt((0.05**2 + 2 * 0.01) / 3))
    alike = own_slack([1100.0] * 4, 1000.0)
    assert alike.sd == pytest.approx(0.025), "four that agree halve what is usual"


@pytest.mark.parametrize("lengths", [[], [0.0], [1000.0, -1.0], [math.nan], [400.0], [3100.0]])
def test_what_no_hand_draws_is_refused(lengths: list[float]) -> None:
    with pytest.raises(BadInput) as refused:
        own_slack(lengths, 1000.0)
    assert refused.value.place is not None
    assert refused.value.place.field == "measured"
