"""Grafting, sewing a cast-on edge to itself, hems with a channel: proved, and their faults."""

from __future__ import annotations

import pytest

from pegwright.garments.blocks import Field, cast_on, first_row, rows
from pegwright.knitting.faults import Fault
from pegwright.knitting.operations import (
    BindOffOver,
    CutYarn,
    DrawThrough,
    DrawUp,
    Edge,
    FastenOff,
    Graft,
    HemEdge,
    LiftOff,
    Part,
    PullAnchor,
    SeamCastOn,
    TakeLength,
    ThreadCastOn,
    ThreadChannel,
    WeaveIn,
)
from pegwright.knitting.run import execute
from pegwright.knitting.script import Script, Work
from pegwright.knitting.unravel import holds_together
from pegwright.knitting.wraps import shipped
from tests.knitting.scripts import YARN, Told, every_peg, faults, field_of, script_of

ROWS = 8
#   F1  F2  F3  F4  F5  F6        one row of pegs, laid flat, eight rows
FLAT = field_of(shipped("flat"), 6)
ALL = every_peg(FLAT)
SEW, DRAW = "sewing yarn", "drawing yarn"
TAKE = TakeLength(SEW, YARN, 300.0, Part.SEAM)
ENDS = (FastenOff(SEW), WeaveIn("strip"))


def finished(*works: Work, field: Field = FLAT) -> Script:
    """A strip, its yarn cut (step 1), and what comes after (from step 2)."""
    knitted = (*cast_on(field, YARN, 150.0, 30.0), *first_row(field), *rows(field, ROWS - 1))
    steps = [("knit", Part.BODY, (*knitted, CutYarn(200.0)))]
    steps += [("finish", Part.SEAM, work) for work in works]
    return script_of(field.loom, steps, field.wrap.cloth)


def assert_proved(script: Script) -> None:
    run = execute(script)
    assert [str(f) for f in run.findings] == []
    assert holds_together(run.fabric.arrays())


def found(script: Script) -> set[Told]:
    return faults(execute(script))


# --- grafting ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["flat", "double-board stockinette", "figure eight"])
def test_a_grafted_ring_is_proved(name: str) -> None:
    field = field_of(shipped(name), 6)
    graft = Graft(SEW, "strip", every_peg(field))
    anchor = (PullAnchor(),) if name != "figure eight" else ()
    script = finished((TAKE, graft, LiftOff("strip"), *anchor, *ENDS), field=field)
    assert_proved(script)
    # Each live loop and each cast-on loop is held once, the slip loop too.
    arrays = execute(script).fabric.arrays()
    assert len(arrays.holds) == 2 * field.loom.peg_count + 1


def test_a_loop_missed_by_the_graft() -> None:
    graft = Graft(SEW, "strip", ALL[:-1])
    assert found(finished((TAKE, graft, LiftOff("strip"), PullAnchor(), *ENDS))) == {
        (Fault.EDGE_LOOP_MISSED, 0, "F6", 2),
        (Fault.UNHELD_LOOP, ROWS, "F6", 2),
        (Fault.ANCHOR_PULLED_EARLY, 0, FLAT.loom.address(FLAT.knot.peg), 2),
        (Fault.CAST_ON_OPEN, ROWS, None, 2),
    }


def test_a_graft_needs_its_yarn() -> None:
    graft = Graft(SEW, "strip", ALL)
    assert (Fault.CORD_NOT_READY, ROWS, None, 2) in found(finished((graft, PullAnchor())))


# --- a cast-on edge sewn to itself ---------------------------------------------------------------

BOUND: Work = (BindOffOver(ALL), DrawThrough(ALL[-1]), LiftOff("strip"))


def sewn(one: tuple[int, ...], other: tuple[int, ...]) -> Work:
    return (TAKE, SeamCastOn(SEW, "strip", one, other), PullAnchor(), *ENDS)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ((0, 1, 2), (5, 4, 3)),  # folded between F3 and F4
        ((2, 1, 0), (3, 4, 5)),  # sewn from the fold outwards
    ],
)
def test_a_cast_on_sewn_to_itself_is_proved(one: tuple[int, ...], other: tuple[int, ...]) -> None:
    assert_proved(finished(BOUND, sewn(one, other)))


@pytest.mark.parametrize(
    ("one", "other", "missed"),
    [
        ((0, 1), (5, 4, 3), ["F3"]),  # unlike numbers
        ((0, 1, 2), (3, 4, 5), []),  # side by side, not folded
    ],
)
def test_a_cast_on_that_does_not_meet_itself(
    one: tuple[int, ...], other: tuple[int, ...], missed: list[str]
) -> None:
    said = found(finished(BOUND, sewn(one, other)))
    assert (Fault.SEAM_UNEVEN, 0, None, 3) in said
    assert {t for t in said if t[0] == Fault.EDGE_LOOP_MISSED} == {
        (Fault.EDGE_LOOP_MISSED, 0, peg, 3) for peg in missed
    }


def test_a_cast_on_is_sewn_after_the_piece_is_off() -> None:
    said = found(finished((TAKE, SeamCastOn(SEW, "strip", (0, 1, 2), (5, 4, 3))), BOUND))
    assert (Fault.SEAM_TOO_SOON, 0, None, 2) in said


def test_a_cast_on_is_sewn_at_pegs_that_there_are() -> None:
    said = found(finished(BOUND, sewn((0, 1, 2), (9, 4, 3))))
    assert (Fault.NO_SUCH_PEG, ROWS, "peg 10", 3) in said


# --- hems and channels ---------------------------------------------------------------------------

CLOSED: Work = (TAKE, ThreadCastOn(SEW, "strip", ALL), PullAnchor())


def channel(hem: HemEdge, edge: Edge = Edge.LIVE) -> Work:
    return (
        hem,
        TakeLength(DRAW, YARN, 400.0),
        ThreadChannel(DRAW, "strip", edge),
        DrawUp(DRAW, (("strip", edge),)),
        FastenOff(DRAW),
        *ENDS,
    )


@pytest.mark.parametrize("edge", [Edge.LIVE, Edge.CAST_ON])
@pytest.mark.parametrize("deep", [1, 3, ROWS // 2])
def test_a_hem_with_yarn_drawn_through_is_proved(edge: Edge, deep: int) -> None:
    hem = HemEdge(SEW, "strip", edge, deep)
    assert_proved(finished(BOUND, CLOSED, channel(hem, edge)))


@pytest.mark.parametrize(
    ("works", "place"),
    [
        (
            (CLOSED, channel(HemEdge(SEW, "strip", Edge.LIVE, 3)), BOUND),
            (Fault.SEAM_TOO_SOON, ROWS, None, 3),
        ),
        (
            (BOUND, (TAKE, *channel(HemEdge(SEW, "strip", Edge.CAST_ON, 3), Edge.CAST_ON))),
            (Fault.CAST_ON_OPEN, 0, None, 3),
        ),
        (
            (BOUND, CLOSED, channel(HemEdge(SEW, "strip", Edge.LIVE, ROWS // 2 + 1))),
            (Fault.SEAM_UNEVEN, ROWS, None, 4),
        ),
        (
            (BOUND, CLOSED, channel(HemEdge(SEW, "strip", Edge.LIVE, 0))),
            (Fault.SEAM_UNEVEN, ROWS, None, 4),
        ),
        (
            # The hem is along the other end.
            (BOUND, CLOSED, channel(HemEdge(SEW, "strip", Edge.LIVE, 2), Edge.CAST_ON)),
            (Fault.CORD_DRAWN_EARLY, ROWS, None, 4),
        ),
    ],
)
def test_hems_that_are_none(works: tuple[Work, ...], place: Told) -> None:
    assert place in found(finished(*works))
