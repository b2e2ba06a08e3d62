"""How exactly to drill: sensitivities against geometry, and chance against both."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pegwright.errors import BadInput
from pegwright.knitting.wraps import shipped
from pegwright.loom.board import Arrangement, Loom, centres
from pegwright.loom.tolerance import _Wrap, loop_sensitivity, tolerance
from pegwright.loom.visit import Turn, Visit

BOATHOUSE = Loom(Arrangement.OPPOSED, 44, 11.1125, 25.4, 4.7625)
COURSE = shipped("double-board stockinette").visits(BOATHOUSE, 1, 44)
BELT = Loom(Arrangement.OPPOSED, 1, 10.0, 30.0, 4.0)
ROUND_TWO = (Visit(0, Turn.LEFT), Visit(1, Turn.LEFT))


def test_a_belt_round_two_pegs() -> None:
    """Each loop is half a round and one straight run as long as the gap, so moving either peg away
    by 1 mm lengthens it by 1 mm, and moving it sideways by nothing (geometry)."""
    found = loop_sensitivity(BELT, ROUND_TWO, 2.0)
    assert found.drawn_mm == pytest.approx((30 + math.pi * 3, 30 + math.pi * 3))
    assert found.per_mm == pytest.approx((math.sqrt(2), math.sqrt(2)), abs=1e-5)
    assert found.gap_per_mm == pytest.approx(2.0, abs=1e-6)


def test_many_boards_at_once_are_each_alone() -> None:
    places = np.array(centres(BOATHOUSE))
    chance = np.random.default_rng(7).normal(0, 0.2, (5, *places.shape))
    wrap = _Wrap(BOATHOUSE, COURSE, 2.4, closed=True)
    together = wrap.drawn_many(places + chance)
    for one, jittered in zip(together, places + chance, strict=True):
        assert one == pytest.approx(wrap.drawn(jittered), abs=1e-6)


@pytest.mark.parametrize(
    ("name", "arrangement", "gap", "closed"),
    [
        ("double-board stockinette", Arrangement.OPPOSED, 25.4, True),
        ("double-board stockinette", Arrangement.OFFSET, 25.4, True),
        ("figure eight", Arrangement.OPPOSED, 25.4, False),
        ("e-wrap", Arrangement.SINGLE, 0.0, False),
    ],
)
def test_sensitivity_and_chance_agree(
    name: str, arrangement: Arrangement, gap: float, closed: bool
) -> None:
    loom = Loom(arrangement, 24, 11.1125, gap, 4.7625)
    found = tolerance(loom, shipped(name).visits(loom, 1, 24), 2.4, closed=closed)
    assert found.sampled_sd_mm == pytest.approx(found.linear_sd_mm, rel=0.25)
    assert found.drilling_mm == pytest.approx(2 * found.sd_mm)
    assert (found.meet_sd_mm is None) == (arrangement is Arrangement.SINGLE)


def test_at_the_told_sd_boards_are_right_as_often_as_promised() -> None:
    """Boards of another seed, their pairs and loops looked at one by one."""
    found = tolerance(BOATHOUSE, COURSE, 2.4, confidence=0.9)
    assert found.meet_mm is not None
    assert found.meet_sd_mm is not None
    rng = np.random.default_rng(99)
    sd = found.meet_sd_mm
    off = rng.normal(0, sd, (4000, 44)) - rng.normal(0, sd, (4000, 44))
    assert (np.abs(off).max(axis=1) <= found.meet_mm).mean() == pytest.approx(0.9, abs=0.02)
    wrap = _Wrap(BOATHOUSE, COURSE, 2.4, closed=True)
    places = np.array(centres(BOATHOUSE))
    drawn = wrap.drawn_many(places + rng.normal(0, found.sampled_sd_mm, (400, *places.shape)))
    right = (np.abs(drawn / wrap.drawn(places) - 1).max(axis=1) <= found.part).mean()
    assert right == pytest.approx(0.9, abs=0.06)


def test_the_boathouse_board_wants_half_a_millimetre() -> None:
    found = tolerance(BOATHOUSE, COURSE, 2.4)
    assert 0.3 < found.drilling_mm < 0.6
    assert found.gap_mm is not None
    wider = Loom(Arrangement.OPPOSED, 44, 11.1125, 25.4 + found.gap_mm, 4.7625)
    change = sum(loop_sensitivity(wider, COURSE, 2.4).drawn_mm) / sum(
        loop_sensitivity(BOATHOUSE, COURSE, 2.4).drawn_mm
    )
    assert change - 1 == pytest.approx(0.03, rel=0.02)


def test_more_is_allowed_where_more_may_differ() -> None:
    strict, easy = (tolerance(BOATHOUSE, COURSE, 2.4, part=p, boards=60) for p in (0.02, 0.04))
    assert easy.linear_sd_mm == pytest.approx(2 * strict.linear_sd_mm)
    assert easy.sampled_sd_mm > 1.7 * strict.sampled_sd_mm
    surer = tolerance(BOATHOUSE, COURSE, 2.4, confidence=0.99, boards=60)
    assert surer.sd_mm < strict.sd_mm * 1.5


def test_the_same_seed_gives_the_same_answer() -> None:
    one, two, other = (tolerance(BOATHOUSE, COURSE, 2.4, boards=40, seed=s) for s in (3, 3, 4))
    assert one == two
    assert one != other


@pytest.mark.parametrize(
    "wrong",
    [
        {"part": 0.0},
        {"part": 0.6},
        {"confidence": 1.0},
        {"confidence": float("nan")},
        {"meet_mm": 0.0},
        {"boards": 5},
    ],
)
def test_values_out_of_range(wrong: dict[str, float]) -> None:
    with pytest.raises(BadInput):
        tolerance(BOATHOUSE, COURSE, 2.4, **wrong)  # type: ignore[arg-type]


def test_yarn_that_cannot_pass_is_refused() -> None:
    with pytest.raises(BadInput):
        tolerance(BOATHOUSE, COURSE, 9.0)
