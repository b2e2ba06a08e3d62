"""Joining off the pegs: ends grafted, cast-on edges sewn to themselves, channels drawn through.

Every case is a strip of four pairs and ten rows that is right, and the same with one slip.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from pegwright.garments.blocks import alternating, cast_on, first_row, rows, towards_yarn
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
    Operation,
    Part,
    PullAnchor,
    SeamCastOn,
    TakeLength,
    ThreadCastOn,
    ThreadChannel,
    ThreadLive,
    WeaveIn,
)
from pegwright.knitting.run import Run, execute
from pegwright.knitting.script import Work
from pegwright.knitting.unravel import holds_together
from pegwright.knitting.wraps import FirstRow, Wrap, shipped
from tests.knitting.scripts import (
    STOCKINETTE,
    YARN,
    every_peg,
    faults,
    field_of,
    script_of,
)

#   B1  B2  B3  B4
#   F1  F2  F3  F4
PEGS, ROWS = 4, 10
SEAM = "seam yarn"
FIELD = field_of(STOCKINETTE, PEGS)
ALL = every_peg(FIELD)
F1, F2, F3, F4, B1, B2, B3, B4 = range(8)
LEFT_HALF = alternating(FIELD.loom, 1, 2)
RIGHT_HALF = alternating(FIELD.loom, 4, 3)


def knitted(wrap: Wrap = STOCKINETTE, pegs: int = PEGS) -> list[tuple[str, Part, Work]]:
    """A strip that is knitted and still on the loom, its yarn cut: steps 1 to 4."""
    field = field_of(wrap, pegs)
    return [
        ("cast-on", Part.CAST_ON, cast_on(field, YARN, 150.0, 30.0)),
        ("first-row", Part.BODY, first_row(field)),
        ("rows", Part.BODY, rows(field, ROWS - 1)),
        ("cut", Part.TAILS, (CutYarn(150.0),)),
    ]


def made(
    *works: Sequence[Operation], wrap: Wrap = STOCKINETTE, pegs: int = PEGS, tidy: bool = True
) -> Run:
    """A run of the strip with more steps, from step 5 on; tidied up at the end."""
    steps = knitted(wrap, pegs) + [("join", Part.SEAM, tuple(w)) for w in works]
    if tidy:
        steps.append(("finish", Part.TAILS, (WeaveIn("strip"),)))
    return execute(script_of(field_of(wrap, pegs).loom, steps, wrap.cloth))


def take(name: str = SEAM) -> TakeLength:
    return TakeLength(name, YARN, 400.0, Part.SEAM)


def named(run: Run) -> set[str]:
    """The names of its faults."""
    return {name for name, *_ in faults(run)}


# --- ends grafted --------------------------------------------------------------------------------


FLAT = [shipped(name) for name in ("e-wrap", "u-wrap", "flat", "purl")]
DOUBLE = [
    shipped(name)
    for name in ("double-board stockinette", "double-board rib 1 by 1", "figure eight")
]


@pytest.mark.parametrize("wrap", FLAT + DOUBLE, ids=lambda w: w.name)
def test_grafted_ends_hold_every_loop(wrap: Wrap) -> None:
    pegs = every_peg(field_of(wrap, PEGS))
    pull = (PullAnchor(),) if wrap.first_row is FirstRow.ANCHORED else ()
    work = (take(), Graft(SEAM, "strip", pegs), FastenOff(SEAM), LiftOff("strip"), *pull)
    run = made(work, wrap=wrap)
    assert run.findings == ()
    assert holds_together(run.fabric.arrays())


def test_a_graft_holds_each_live_loop_and_each_cast_on_loop_once() -> None:
    """Eight live loops, eight cast-on loops and the slip loop: 17 holds."""
    run = made((take(), Graft(SEAM, "strip", ALL), FastenOff(SEAM), LiftOff("strip"), PullAnchor()))
    held = run.fabric.arrays().holds[:, 1].tolist()
    assert len(held) == len(set(held)) == 17


def test_a_peg_passed_by_in_a_graft_is_found_at_both_ends() -> None:
    without = tuple(p for p in ALL if p != B3)
    work = (take(), Graft(SEAM, "strip", without), FastenOff(SEAM), LiftOff("strip"), PullAnchor())
    found = faults(made(work))
    assert (Fault.EDGE_LOOP_MISSED, 0, "B3", 5) in found
    assert (Fault.UNHELD_LOOP, ROWS, "B3", 5) in found
    assert Fault.ANCHOR_PULLED_EARLY in {f[0] for f in found}


def test_crossed_stitches_in_a_graft_are_found() -> None:
    crossed = (F1, B1, F3, B3, F2, B2, F4, B4)
    work = (take(), Graft(SEAM, "strip", crossed), FastenOff(SEAM), LiftOff("strip"), PullAnchor())
    assert named(made(work)) == {Fault.LOOPS_OUT_OF_ORDER}


def test_the_anchor_stays_until_the_ends_are_joined() -> None:
    early = (PullAnchor(), take(), Graft(SEAM, "strip", ALL), FastenOff(SEAM), LiftOff("strip"))
    assert named(made(early)) == {Fault.ANCHOR_PULLED_EARLY}


def test_a_graft_that_is_not_fastened_is_found() -> None:
    work = (take(), Graft(SEAM, "strip", ALL), LiftOff("strip"), PullAnchor())
    assert named(made(work)) == {Fault.GATHER_NOT_FASTENED}


# --- the cast-on edge sewn to itself -------------------------------------------------------------


def off_on_yarn() -> tuple[Operation, ...]:
    """The last row taken off on yarn that is drawn up and fastened."""
    return (
        take("toe yarn"),
        ThreadLive("toe yarn", ALL),
        LiftOff("strip"),
        DrawUp("toe yarn", (("strip", Edge.LIVE),)),
        FastenOff("toe yarn"),
    )


def heel(one: tuple[int, ...], other: tuple[int, ...]) -> tuple[Operation, ...]:
    return (take(), SeamCastOn(SEAM, "strip", one, other), FastenOff(SEAM), PullAnchor())


def test_a_cast_on_edge_sewn_to_itself_holds() -> None:
    run = made(off_on_yarn(), heel(LEFT_HALF, RIGHT_HALF))
    assert run.findings == ()
    assert holds_together(run.fabric.arrays())


def test_with_an_odd_number_the_middle_loop_is_taken_in_on_the_fold() -> None:
    loom = field_of(STOCKINETTE, 5).loom
    one, other = alternating(loom, 1, 3), alternating(loom, 5, 3)
    off = (
        take("toe yarn"),
        ThreadLive("toe yarn", alternating(loom, 1, 5)),
        LiftOff("strip"),
        FastenOff("toe yarn"),
    )
    assert made(off, heel(one, other), pegs=5).findings == ()


def test_a_middle_loop_left_out_is_found() -> None:
    loom = field_of(STOCKINETTE, 5).loom
    one, other = alternating(loom, 1, 2), alternating(loom, 5, 4)
    off = (
        take("toe yarn"),
        ThreadLive("toe yarn", alternating(loom, 1, 5)),
        LiftOff("strip"),
        FastenOff("toe yarn"),
    )
    found = faults(made(off, heel(one, other), pegs=5))
    assert {(f, peg) for f, _, peg, _ in found if f == Fault.EDGE_LOOP_MISSED} == {
        (Fault.EDGE_LOOP_MISSED, "F3"),
        (Fault.EDGE_LOOP_MISSED, "B3"),
    }


@pytest.mark.parametrize(
    ("one", "other", "why"),
    [
        (LEFT_HALF, RIGHT_HALF[:-1], "seven loops cannot be paired"),
        (LEFT_HALF, tuple(reversed(RIGHT_HALF)), "the halves lie the same way: no fold"),
    ],
)
def test_halves_that_do_not_meet_are_found(
    one: tuple[int, ...], other: tuple[int, ...], why: str
) -> None:
    assert Fault.SEAM_UNEVEN in named(made(off_on_yarn(), heel(one, other))), why


def test_a_cast_on_edge_is_sewn_off_the_loom() -> None:
    found = named(made(heel(LEFT_HALF, RIGHT_HALF), off_on_yarn()))
    assert found >= {Fault.SEAM_TOO_SOON, Fault.CAST_ON_OPEN}


def test_a_peg_that_the_board_does_not_have_is_found() -> None:
    one = (*LEFT_HALF, 99)
    assert Fault.NO_SUCH_PEG in named(made(off_on_yarn(), heel(one, (*RIGHT_HALF, F1))))


# --- channels ------------------------------------------------------------------------------------


def bound() -> tuple[Operation, ...]:
    """Both ends finished flat."""
    along = towards_yarn(FIELD, ROWS)
    return (
        BindOffOver(along),
        DrawThrough(along[-1]),
        LiftOff("strip"),
        take("edge yarn"),
        ThreadCastOn("edge yarn", "strip", ALL),
        FastenOff("edge yarn"),
        PullAnchor(),
    )


def hem(edge: Edge, count: int = 2) -> tuple[Operation, ...]:
    name = f"{edge} hem yarn"
    return take(name), HemEdge(name, "strip", edge, count), FastenOff(name)


def drawn(*edges: Edge) -> tuple[Operation, ...]:
    return (
        take("draw yarn"),
        *(ThreadChannel("draw yarn", "strip", e) for e in edges),
        DrawUp("draw yarn", (("strip", Edge.CAST_ON), ("strip", Edge.LIVE))),
        FastenOff("draw yarn"),
    )


BOTH = (Edge.CAST_ON, Edge.LIVE)


def test_yarn_drawn_through_two_channels_proves() -> None:
    run = made(bound(), (*hem(Edge.CAST_ON), *hem(Edge.LIVE)), drawn(*BOTH))
    assert run.findings == ()
    assert holds_together(run.fabric.arrays())


def test_without_a_hem_there_is_no_channel() -> None:
    run = made(bound(), hem(Edge.CAST_ON), drawn(*BOTH))
    (first, *_) = [f for f in run.findings if f.name == Fault.CORD_DRAWN_EARLY]
    assert "no channel along the live edge" in first.what
    assert first.mend == "fold the edge over and sew it down first"


def test_yarn_through_one_channel_cannot_draw_both_edges() -> None:
    run = made(bound(), (*hem(Edge.CAST_ON), *hem(Edge.LIVE)), drawn(Edge.LIVE))
    assert named(run) == {Fault.CORD_DRAWN_EARLY}


def test_open_loops_cannot_be_folded_over() -> None:
    run = made(off_on_yarn(), hem(Edge.CAST_ON), (PullAnchor(),))
    assert Fault.CAST_ON_OPEN in named(run)


def test_an_edge_is_folded_over_off_the_loom() -> None:
    assert Fault.SEAM_TOO_SOON in named(made(hem(Edge.LIVE), bound()))


@pytest.mark.parametrize(("count", "fits"), [(0, False), (1, True), (5, True), (6, False)])
def test_no_more_is_folded_over_than_there_is_to_lie_on(count: int, fits: bool) -> None:
    """Of ten rows at most five can lie on the other five."""
    found = named(made(bound(), hem(Edge.LIVE, count)))
    assert (Fault.SEAM_UNEVEN not in found) is fits


def test_a_hem_that_is_not_fastened_is_found() -> None:
    run = made(bound(), hem(Edge.LIVE)[:2])
    assert named(run) == {Fault.GATHER_NOT_FASTENED}
