"""Executing whole pieces: proved where they are right, with the counts that they must have."""

from __future__ import annotations

from itertools import groupby

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.garments.blocks import Field, cast_on, cord, first_row
from pegwright.knitting.fabric import LoopKind
from pegwright.knitting.faults import Fault
from pegwright.knitting.operations import (
    BindOffOver,
    CutYarn,
    DrawThrough,
    Edge,
    FastenOff,
    Increase,
    JoinYarn,
    KnitOver,
    LiftOff,
    Move,
    Operation,
    Part,
    PullAnchor,
    Purl,
    Repeat,
    SeamEdges,
    Skip,
    TakeLength,
    ThreadCastOn,
    ThreadLive,
    WeaveIn,
    WrapKind,
    WrapPegs,
)
from pegwright.knitting.run import Run, execute
from pegwright.knitting.script import PieceSpec, Script, Step, Work
from pegwright.knitting.unravel import holds_together
from pegwright.knitting.wraps import SHIPPED, Cloth, FirstRow, Wrap, shipped
from pegwright.loom.board import Arrangement
from pegwright.loom.visit import Turn, Visit
from tests.knitting.scripts import (
    CORD_ROUNDS,
    GATHER,
    SLIM_ROWS,
    YARN,
    board,
    every_peg,
    field_of,
    hood,
    panel,
    script_of,
    told,
    unrolled,
)

E_WRAP = shipped("e-wrap")


def proved(script: Script) -> Run:
    """Run a script that must be without a finding and must not come undone."""
    run = execute(script)
    assert [str(f) for f in run.findings] == []
    assert run.proved
    assert holds_together(run.fabric.arrays())
    return run


def row(field: Field, number: int, lifts: dict[int, int] | None = None) -> Work:
    """One row, knitted over from the peg wrapped last; ``lifts`` is for pegs that lift more."""
    visits = field.course(number + 1)
    order = [v.peg for v in reversed(visits)]
    grouped = groupby(order, key=lambda peg: (lifts or {}).get(peg, 1))
    return (WrapPegs(visits), *(KnitOver(tuple(pegs), lift) for lift, pegs in grouped))


def gathered(field: Field, body: Work, pegs: tuple[int, ...]) -> Script:
    """A strip of the first row and ``body``, its last loops on ``pegs`` run through by a yarn."""
    anchored = field.wrap.first_row is FirstRow.ANCHORED
    end: Work = (
        CutYarn(150.0),
        TakeLength(GATHER, YARN, 500.0),
        ThreadLive(GATHER, pegs),
        LiftOff("strip"),
        *((ThreadCastOn(GATHER, "strip", every_peg(field)), PullAnchor()) if anchored else ()),
        FastenOff(GATHER),
        WeaveIn("strip"),
    )
    start = (*cast_on(field, YARN, 150.0, 30.0), *first_row(field))
    works = (("first", Part.BODY, start), ("body", Part.BODY, body), ("end", Part.GATHER, end))
    return script_of(field.loom, works, field.wrap.cloth)


# --- the hood ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("pegs", "count"), [(4, 4), (5, 6), (12, 30), (32, 90), (40, 100)])
def test_the_hood_is_proved_and_its_counts_follow_from_its_sizes(pegs: int, count: int) -> None:
    run = proved(hood(pegs, count))
    per_row, rounds, slim = 2 * pegs, CORD_ROUNDS, SLIM_ROWS
    cord_loops = 1 + 2 + 2 * rounds + slim  # slip loop, cast-on, rounds, slim end
    strip_loops = 1 + per_row + per_row * count  # slip loop, cast-on, rows
    arrays = run.fabric.arrays()
    assert run.fabric.loops == len(arrays) == strip_loops + cord_loops
    # Every loop but those of the last row is knitted over once; so is every loop of the cord but
    # the last, through which the tail is drawn.
    assert len(arrays.ties) == (strip_loops - per_row) + (cord_loops - 1)
    # The cord runs through the last row and the cast-on with its slip loop; the tail through one.
    assert len(arrays.holds) == per_row + (per_row + 1) + 1
    strip, knitted_cord = run.pieces
    assert (strip.rows, strip.cast_on, strip.folded) == (count, per_row + 1, count // 2)
    assert (knitted_cord.rows, knitted_cord.cast_on) == (rounds + slim, 3)
    # Wraps and lifts: cast-on, rows, four moves, threading both edges, the seam; the cord.
    moves = per_row + 2 * per_row * count + 4 + 2 * per_row + count
    assert run.movements == moves + (2 + 4 * rounds + 1 + 2 * slim + 1)


def test_operations_are_counted_with_repeats_written_out() -> None:
    script = hood(8, 20)
    flat = unrolled(script)
    assert execute(script).operations == sum(len(step.work) for step in flat.steps)


def test_the_same_script_gives_the_same_run() -> None:
    one, other = execute(hood(6, 10)), execute(hood(6, 10))
    assert one == other
    assert one.script.digest() == other.script.digest()


def test_rows_of_the_hood_are_those_of_the_strip_and_the_cord() -> None:
    arrays = proved(hood(6, 10)).fabric.arrays()
    strip = arrays.row[arrays.piece == 0].tolist()
    assert strip == [0] * 13 + [r for r in range(1, 11) for _ in range(12)]
    cords = arrays.row[arrays.piece == 1].tolist()
    two_a_row = [r for r in range(1, CORD_ROUNDS + 1) for _ in range(2)]
    slim = list(range(CORD_ROUNDS + 1, CORD_ROUNDS + SLIM_ROWS + 1))
    assert cords == [0] * 3 + two_a_row + slim


# --- every wrap ----------------------------------------------------------------------------------


@pytest.mark.parametrize("wrap", SHIPPED, ids=lambda w: w.name)
@pytest.mark.parametrize("count", [1, 2, 3, 8, 21])
def test_a_panel_in_every_wrap_is_proved(wrap: Wrap, count: int) -> None:
    for columns in range(wrap.least, wrap.least + 6):
        if (columns - wrap.plus) % wrap.multiple == 0:
            field = field_of(wrap, columns)
            run = proved(panel(field, count))
            pegs = field.loom.peg_count
            assert run.fabric.loops == 1 + pegs * (count + 1)
            assert run.piece("strip").rows == count


@pytest.mark.parametrize("pegs", [3, 8, 24])
def test_e_wrap_in_the_round_on_a_ring(pegs: int) -> None:
    ring = board(pegs, Arrangement.RING)
    run = proved(panel(Field(ring, E_WRAP.in_the_round(), 1, pegs), 12))
    assert run.fabric.loops == 1 + pegs * 13


def test_figure_eight_needs_no_anchor() -> None:
    field = field_of(shipped("figure eight"), 5)
    script = panel(field, 6)
    assert not any(type(op).__name__ == "LayAnchor" for op in script.steps[0].work)
    proved(script)


def test_a_panel_in_the_middle_of_a_longer_board() -> None:
    field = Field(board(20), shipped("double-board stockinette"), 7, 13)
    assert proved(panel(field, 9)).fabric.loops == 1 + 14 * 10


def test_a_two_peg_cord_by_itself() -> None:
    loom = board(2)
    works = cord(loom, 2, YARN, 30, 4, 150.0, 20.0)
    step = Step(1, "cord", "cord", Part.CORD, (*works, WeaveIn("cord")))
    run = proved(Script(loom, (PieceSpec("cord", Cloth.CORD),), (step,)))
    assert run.fabric.loops == 1 + 2 + 60 + 4
    assert run.piece("cord").rows == 34


def test_a_three_peg_cord_is_worked_from_one_side() -> None:
    field = field_of(shipped("three-peg cord"), 3)
    pegs = proved(panel(field, 5)).fabric.arrays().peg.tolist()
    assert pegs == [field.knot.peg] + [0, 1, 2] * 6


# --- purl rows -----------------------------------------------------------------------------------


def test_purl_rows_between_knitted_rows_on_one_board() -> None:
    # Ridges: two rows laid flat, two rows purled, over and over.
    flat, purl = field_of(shipped("flat"), 5), field_of(shipped("purl"), 5)

    def purled(number: int) -> Operation:
        return Purl(purl.course(number + 1))

    body = (*row(flat, 2), purled(3), purled(4), *row(flat, 5))
    run = proved(panel(flat, 5, body))
    arrays = run.fabric.arrays()
    kinds = {int(r): LoopKind(int(k)) for r, k in zip(arrays.row, arrays.kind, strict=True)}
    knit, purl_kind = LoopKind.KNIT, LoopKind.PURL
    assert kinds == {0: LoopKind.CAST_ON, 1: knit, 2: knit, 3: purl_kind, 4: purl_kind, 5: knit}


def test_knit_and_purl_pegs_in_one_row() -> None:
    # F1 F2 are knitted, then F3 F4 purled: still one row.
    field = field_of(shipped("flat"), 4)
    visits = field.course(1)
    mixed: Work = (WrapPegs(visits[:2]), KnitOver((1, 0)), Purl(visits[2:]))
    run = proved(panel(field, 2, (*mixed, *row(field, 3))))
    assert run.piece("strip").rows == 3


def test_purl_between_the_boards_joins_the_faces() -> None:
    field = field_of(shipped("double-board stockinette"), 4)
    run = proved(panel(field, 2, (Purl(field.course(3)), Purl(field.course(4)))))
    assert run.piece("strip").rows == 3


# --- decreases, increases, more than one loop ----------------------------------------------------


def test_a_decrease_moves_a_stitch_onto_its_neighbour() -> None:
    # row 3    F1  F2  F3(2 over 1)  .
    # row 2    F1  F2  F3 <- F4
    field, narrow = field_of(E_WRAP, 4), Field(board(4, Arrangement.SINGLE), E_WRAP, 1, 3)
    body = (*row(field, 2), Move(3, 2), *row(narrow, 3, {2: 2}), *row(narrow, 4))
    run = proved(gathered(field, body, (0, 1, 2)))
    arrays = run.fabric.arrays()
    assert len(arrays) == 1 + 4 * 3 + 3 * 2
    assert len(arrays.ties) == len(arrays) - 3
    third = [(int(p), int(c)) for p, c in arrays.ties if arrays.row[c] == 3 and arrays.peg[c] == 2]
    assert sorted(int(arrays.peg[p]) for p, _ in third) == [2, 3]
    assert len({c for _, c in third}) == 1


def test_a_decrease_may_be_moved_after_the_row_is_wrapped() -> None:
    field, narrow = field_of(E_WRAP, 4), Field(board(4, Arrangement.SINGLE), E_WRAP, 1, 3)
    # Both loops of F4 go onto F3: three loops are then lifted over the one wrapped last.
    body = (
        WrapPegs(field.course(3)),
        Move(3, 2),
        KnitOver((2,), lift=3),
        KnitOver((1, 0)),
        *row(narrow, 3),
    )
    proved(gathered(field, body, (0, 1, 2)))


def test_an_increase_takes_the_loop_below_a_neighbours_stitch() -> None:
    # row 3    F1  F2  F3  F4
    # row 2    F1  F2  F3--+        the loop below F3's stitch, hung on F4
    loom = board(5, Arrangement.SINGLE)
    field, wide = Field(loom, E_WRAP, 1, 3), Field(loom, E_WRAP, 1, 4)
    body = (*row(field, 2), Increase(3, 2), *row(wide, 3), *row(wide, 4))
    run = proved(gathered(field, body, (0, 1, 2, 3)))
    arrays = run.fabric.arrays()
    assert len(arrays) == 1 + 3 * 3 + 4 * 2
    # One loop is run through twice: by F3's stitch and by the new one.
    assert len(arrays.ties) == len(arrays) - 4 + 1
    children = [c for p, c in arrays.ties.tolist() if arrays.row[p] == 1 and arrays.peg[p] == 2]
    assert [(int(arrays.row[c]), int(arrays.peg[c])) for c in children] == [(2, 2), (3, 3)]


def test_an_increase_that_is_not_wrapped_is_missed() -> None:
    loom = board(5, Arrangement.SINGLE)
    field = Field(loom, E_WRAP, 1, 3)
    body = (*row(field, 2), CutYarn(), JoinYarn(YARN), Increase(3, 2), *row(field, 3))
    run = execute(gathered(field, body, (0, 1, 2, 3)))
    assert (Fault.UNWRAPPED_PEG, 3, "F4", 2) in {told(f) for f in run.findings}


@pytest.mark.parametrize(("lift", "upper"), [(1, 2), (2, 1), (2, 2)])
def test_loops_lifted_over_loops_tie_each_to_each(lift: int, upper: int) -> None:
    # One peg of a strip three wide takes more wraps, and is lifted so that all are worked.
    field = field_of(shipped("flat"), 3)
    extra = [WrapPegs((Visit(1, Turn.LEFT),), WrapKind.EXTRA)] * (lift + upper - 2)
    body: Work = (
        WrapPegs(field.course(3)),
        *extra,
        KnitOver((1,), lift, upper),
        KnitOver((0, 2)),
        *row(field, 3, {1: upper}),
    )
    run = execute(panel(field, 2, body))
    assert run.proved
    arrays = run.fabric.arrays()
    assert holds_together(arrays)
    # From the second row on: lift x upper ties on F2, then upper x 1, and one on each other peg.
    assert len(arrays.ties) == 4 + (2 + lift * upper) + (2 + upper)


def test_a_skipped_peg_is_worked_in_the_next_row() -> None:
    # A slipped stitch: F2 is left out of row 2, on purpose, and knitted in row 3.
    field = field_of(shipped("flat"), 3)
    out = tuple(v for v in field.course(3) if v.peg != 1)
    body: Work = (Skip((1,)), WrapPegs(out), KnitOver((0, 2)), *row(field, 3))
    run = execute(panel(field, 2, body))
    assert run.proved
    assert run.fabric.loops == 1 + 3 * 4 - 1


def test_a_skip_lasts_for_one_row() -> None:
    field = field_of(shipped("flat"), 3)
    without = [tuple(v for v in field.course(n) if v.peg != 1) for n in (3, 4)]
    body: Work = (
        Skip((1,)),
        WrapPegs(without[0]),
        KnitOver((0, 2)),
        WrapPegs(without[1]),
        KnitOver((2, 0)),
    )
    assert {told(f) for f in execute(panel(field, 2, body)).findings} >= {
        (Fault.UNWRAPPED_PEG, 3, "F2", 3)
    }


def test_a_tucked_loop_is_lifted_with_the_next() -> None:
    # F2 is wrapped in row 2 but not knitted, on purpose; row 3 lifts both loops over its own.
    field = field_of(shipped("flat"), 3)
    tuck: Work = (WrapPegs(field.course(3)), Skip((1,)), KnitOver((0, 2)))
    run = execute(panel(field, 2, (*tuck, *row(field, 3, {1: 2}))))
    assert run.proved
    assert len(run.fabric.arrays().ties) == run.fabric.loops - 3


@pytest.mark.parametrize(("skipped", "broken"), [([2], [2]), ([2, 3], [2, 3, 4])])
def test_an_edge_chain_reaches_over_one_row_and_no_more(
    skipped: list[int], broken: list[int]
) -> None:
    # F3 rests in some rows; worked again, its chain reaches back over one row that was left out.
    field = field_of(shipped("flat"), 3)
    body: list[Operation | Repeat] = []
    for number in range(2, 7):
        visits = tuple(v for v in field.course(number + 1) if v.peg != 2 or number not in skipped)
        knitted = KnitOver(tuple(v.peg for v in reversed(visits)))
        body += [WrapPegs(visits), *([Skip((2,))] if number in skipped else []), knitted]
    script = panel(field, 2, tuple(body))
    found = []
    for number in range(1, 7):
        right, left = ("strip", Edge.RIGHT, number, number), ("strip", Edge.LEFT, number, number)
        sewn = (TakeLength("s", YARN, 9.0), SeamEdges("s", right, left), FastenOff("s"))
        step = Step(9, "seam", "strip", Part.SEAM, sewn)
        run = execute(Script(script.loom, script.pieces, (*script.steps, step)))
        found += [f.spot.row for f in run.findings if f.name == Fault.EDGE_NOT_CHAIN]
    assert found == broken


# --- binding off, colours ------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["flat", "double-board stockinette", "figure eight"])
def test_bound_off_and_the_tail_drawn_through(name: str) -> None:
    field = field_of(shipped(name), 4)
    pegs = every_peg(field)
    script = panel(field, 5)
    steps = list(script.steps)
    off: Work = (BindOffOver(pegs), CutYarn(200.0), DrawThrough(pegs[-1]), LiftOff("strip"))
    hem = [op for op in steps[5].work if type(op).__name__ != "ThreadLive"]
    steps[3:5] = [Step(4, "bind-off", "strip", Part.BIND_OFF, off)]
    steps[4] = Step(6, "hem", "strip", Part.GATHER, (TakeLength(GATHER, YARN, 300.0), *hem))
    steps[5] = Step(7, "close", "strip", Part.GATHER, steps[5].work[1:])
    run = proved(Script(script.loom, script.pieces, tuple(steps)))
    arrays = run.fabric.arrays()
    # Every loop is run through by another, but the last, through which the tail is drawn.
    assert len(arrays.ties) == len(arrays) - 1
    tail = run.fabric.holders.index("tail of the strip")
    assert (arrays.holds[:, 0] == tail).sum() == 1


def test_a_bind_off_without_its_tail_comes_undone() -> None:
    field = field_of(shipped("flat"), 4)
    body: Work = (BindOffOver((0, 1, 2, 3)), CutYarn(), LiftOff("strip"))
    run = execute(panel(field, 1, body))
    assert (Fault.UNHELD_LOOP, 1, "F4", 3) in {told(f) for f in run.findings}
    assert not holds_together(run.fabric.arrays())


def test_a_new_yarn_is_a_new_strand() -> None:
    field = field_of(shipped("flat"), 3)
    change: Work = (CutYarn(100.0), JoinYarn("harbour white", 100.0))
    run = proved(panel(field, 1, (*row(field, 2), *change, *row(field, 3))))
    assert run.fabric.strands == (YARN, "harbour white")
    arrays = run.fabric.arrays()
    assert arrays.strand.tolist() == [0] * 10 + [1] * 3


# --- what cannot be used -------------------------------------------------------------------------


@pytest.mark.parametrize("times", [-1, 10_000_001])
def test_a_repeat_has_a_number_of_times(times: int) -> None:
    script = script_of(board(2), [("rows", Part.BODY, (Repeat((Skip((0,)),), times),))])
    with pytest.raises(BadInput, match="repeat"):
        execute(script)


def test_a_step_names_a_piece_of_the_script() -> None:
    with pytest.raises(BadInput, match="unknown piece"):
        Script(board(2), (PieceSpec("strip"),), (Step(1, "x", "sleeve", Part.BODY, ()),))


def test_a_script_without_steps_makes_nothing() -> None:
    run = execute(Script(board(2), (PieceSpec("strip"),), ()))
    assert (run.fabric.loops, run.operations, run.findings) == (0, 0, ())
    assert len(run.fabric.arrays()) == 0


@settings(max_examples=30)
@given(st.integers(4, 12), st.integers(1, 12))
def test_any_hood_is_proved(pegs: int, half: int) -> None:
    proved(hood(pegs, max(4, 2 * half)))
