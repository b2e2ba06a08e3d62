"""Slips of the hand in work that was right: each is found where it was made, and nothing else is.

Columns 1 and 2 of the hood are moved onto column 3 before the last row is threaded, and its seam
runs along the right edge; what is expected at those pegs follows from that.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.garments.blocks import alternating, free_end_pegs
from pegwright.knitting.faults import Fault
from pegwright.knitting.operations import (
    DrawUp,
    Edge,
    KnitOver,
    LayAnchor,
    LiftOff,
    Move,
    Repeat,
    SeamEdges,
    ThreadLive,
)
from pegwright.knitting.run import execute
from pegwright.knitting.script import Work
from pegwright.knitting.unravel import holds_together, pull_ends
from pegwright.knitting.wraps import SHIPPED, Cloth, Wrap
from pegwright.loom.board import Loom
from tests.knitting.scripts import (
    STOCKINETTE,
    Told,
    board,
    faults,
    field_of,
    hood,
    panel,
    told,
    with_row,
    with_work,
    without_knit,
    without_visit,
    work_of,
)

HARMLESS = frozenset({10, 11})
"""Steps of the hood without which no loop is lost: the seam (the back stays open), drawing up."""

EDGES = (("strip", Edge.LIVE), ("strip", Edge.CAST_ON))
KNITTED = [w for w in SHIPPED if not w.purl and w.cloth is not Cloth.CORD]


@st.composite
def slips(draw: st.DrawFn) -> tuple[int, int, int, int, bool]:
    """Pegs a side, rows, the row and the peg of the slip, and whether repeats are kept."""
    pegs = draw(st.integers(5, 10))
    count = 2 * draw(st.integers(3, 10))
    row = draw(st.integers(2, count))
    return pegs, count, row, draw(st.integers(0, 2 * pegs - 1)), draw(st.booleans())


def at_the_end(loom: Loom, peg: int) -> str:
    """Where the stitch of a peg of the hood sits when the last row is threaded."""
    third = loom.back(3) if loom.is_back(peg) else loom.front(3)
    return loom.address(peg if loom.number(peg) > 2 else third)


def seam_fault(loom: Loom, peg: int, row: int) -> set[Told]:
    """The seam meets a break where the slip is on an end peg of the right edge."""
    if loom.number(peg) != loom.pegs:
        return set()
    return {(Fault.EDGE_NOT_CHAIN, row, loom.address(peg), 10)}


# --- slips in the rows ---------------------------------------------------------------------------


@given(slips())
def test_a_peg_not_wrapped_is_found(slip: tuple[int, int, int, int, bool]) -> None:
    pegs, count, row, peg, repeats = slip
    field = field_of(STOCKINETTE, pegs)
    script = with_row(
        hood(pegs, count), field, row, lambda w: without_visit(w, peg), repeats=repeats
    )
    where = field.loom.address(peg)
    assert faults(execute(script)) == {
        (Fault.TOO_FEW_LOOPS, row, where, 3),
        (Fault.UNWRAPPED_PEG, row, where, 3),
        *seam_fault(field.loom, peg, row),
    }


@given(slips())
def test_a_peg_not_knitted_over_is_found(slip: tuple[int, int, int, int, bool]) -> None:
    pegs, count, row, peg, repeats = slip
    field = field_of(STOCKINETTE, pegs)
    loom = field.loom
    script = with_row(
        hood(pegs, count), field, row, lambda w: without_knit(w, peg), repeats=repeats
    )
    where = loom.address(peg)
    expected = {
        (Fault.MISSED_PEG, row, where, 3),
        # The loop that was not lifted over stays below, to the end.
        (Fault.UNHELD_LOOP, count, at_the_end(loom, peg), 7),
        (Fault.CORD_DRAWN_EARLY, count, None, 11),
        *seam_fault(loom, peg, row),
    }
    if row < count:
        expected.add((Fault.TOO_MANY_LOOPS, row + 1, where, 3))
    run = execute(script)
    assert faults(run) == expected
    assert not holds_together(run.fabric.arrays())


@given(slips(), st.sampled_from(KNITTED))
def test_a_peg_not_wrapped_is_found_in_every_wrap(
    slip: tuple[int, int, int, int, bool], wrap: Wrap
) -> None:
    columns, count, row, peg, repeats = slip
    columns -= (columns - wrap.plus) % wrap.multiple
    columns = max(columns, wrap.least)
    field = field_of(wrap, columns)
    peg %= field.loom.peg_count
    script = with_row(
        panel(field, count), field, row, lambda w: without_visit(w, peg), repeats=repeats
    )
    where = field.loom.address(peg)
    assert faults(execute(script)) == {
        (Fault.TOO_FEW_LOOPS, row, where, 3),
        (Fault.UNWRAPPED_PEG, row, where, 3),
    }


@given(st.integers(2, 9), st.integers(2, 12), st.data(), st.booleans())
def test_a_peg_not_purled_is_found(
    pegs: int, count: int, data: st.DataObject, repeats: bool
) -> None:
    field = field_of(next(w for w in SHIPPED if w.purl), pegs)
    row, peg = data.draw(st.integers(2, count)), data.draw(st.integers(0, pegs - 1))
    script = with_row(
        panel(field, count), field, row, lambda w: without_visit(w, peg), repeats=repeats
    )
    assert faults(execute(script)) == {(Fault.UNWRAPPED_PEG, row, field.loom.address(peg), 3)}


@given(slips())
def test_two_loops_lifted_where_there_is_one_too_few(
    slip: tuple[int, int, int, int, bool],
) -> None:
    pegs, count, row, peg, repeats = slip
    field = field_of(STOCKINETTE, pegs)

    def change(work: Work) -> Work:
        return (*without_knit(work, peg), KnitOver((peg,), lift=2))

    script = with_row(hood(pegs, count), field, row, change, repeats=repeats)
    where = field.loom.address(peg)
    found = faults(execute(script))
    assert {(Fault.TOO_FEW_LOOPS, row, where, 3), (Fault.MISSED_PEG, row, where, 3)} <= found


@pytest.mark.parametrize(
    ("slip", "names"),
    [
        (without_visit, [Fault.TOO_FEW_LOOPS, Fault.UNWRAPPED_PEG]),
        (without_knit, [Fault.MISSED_PEG]),
    ],
)
def test_a_slip_in_every_row_of_a_repeat_is_told_once(
    slip: Callable[[Work, int], Work], names: list[Fault]
) -> None:
    script = hood(6, 200)
    (repeat,) = work_of(script, 3)
    assert isinstance(repeat, Repeat)
    broken = with_work(script, 3, (Repeat(slip(repeat.body, 3), repeat.times),))
    told_here = [told(f) for f in execute(broken).findings if f.spot.step == 3]
    assert told_here == [(name, 2, "F4", 3) for name in names]


# --- slips in the finishing ----------------------------------------------------------------------


@given(st.integers(4, 12), st.integers(2, 20), st.sampled_from(["front", "back", "both"]))
def test_end_stitches_freed_in_the_wrong_order(pegs: int, half: int, boards: str) -> None:
    # Right:  2 onto 3, then 1 onto 3; from the top of F3 then 1, 2, 3.   Wrong:  1 onto 3, then 2.
    loom, count = board(pegs), 2 * half
    (front_2, front_1, back_2, back_1), _ = free_end_pegs(loom, 1, 1)
    front = (front_2, front_1) if boards == "back" else (front_1, front_2)
    back = (back_2, back_1) if boards == "front" else (back_1, back_2)
    expected = {
        "front": {(Fault.LOOPS_OUT_OF_ORDER, count, "F3", 7)},
        "back": {(Fault.LOOPS_OUT_OF_ORDER, count, "B3", 7)},
    }
    expected["both"] = expected["front"] | expected["back"]
    script = with_work(hood(pegs, count), 5, (*front, *back))
    assert faults(execute(script)) == expected[boards]


def test_end_stitches_moved_step_by_step_cross() -> None:
    # 1 onto 2, then both onto 3: on F3, from the bottom, 3, 2, 1.  That is right again.
    loom = board(6)
    work = tuple(
        move
        for peg in (loom.front, loom.back)
        for move in (Move(peg(1), peg(2)), Move(peg(2), peg(3)))
    )
    assert faults(execute(with_work(hood(6, 8), 5, work))) == set()


@given(st.integers(4, 12), st.integers(2, 20))
def test_the_anchor_pulled_before_the_cord_goes_through(pegs: int, half: int) -> None:
    script = hood(pegs, 2 * half)
    knot = script.loom.address(field_of(STOCKINETTE, pegs).knot.peg)
    broken = with_work(script, 9, work_of(script, 9)[::-1])
    assert faults(execute(broken)) == {(Fault.ANCHOR_PULLED_EARLY, 0, knot, 9)}


@given(st.integers(4, 12), st.integers(2, 20), st.data())
def test_a_live_loop_missed_by_the_cord_drops_a_ladder(
    pegs: int, half: int, data: st.DataObject
) -> None:
    script, count = hood(pegs, 2 * half), 2 * half
    loom = script.loom
    peg = data.draw(st.sampled_from([p for p in range(2 * pegs) if loom.number(p) > 3]))
    thread, lift_off = work_of(script, 7)
    assert isinstance(thread, ThreadLive)
    missed = replace(thread, pegs=tuple(p for p in thread.pegs if p != peg))
    run = execute(with_work(script, 7, (missed, lift_off)))
    assert faults(run) == {
        (Fault.UNHELD_LOOP, count, loom.address(peg), 7),
        (Fault.CORD_DRAWN_EARLY, count, None, 11),
    }
    arrays = run.fabric.arrays()
    lost = pull_ends(arrays)
    # The whole wale, down to where the cord runs through the cast-on.
    assert set(arrays.peg[lost].tolist()) == {peg}
    assert arrays.row[lost].tolist() == list(range(1, count + 1))


@given(st.integers(4, 12), st.integers(2, 20))
def test_the_last_column_left_on_the_loom(pegs: int, half: int) -> None:
    script, count = hood(pegs, 2 * half), 2 * half
    _, stacked = free_end_pegs(script.loom, 1, 1)
    thread = ThreadLive("cord", alternating(script.loom, 1, pegs - 1, stacked))
    found = faults(execute(with_work(script, 7, (thread, LiftOff("strip")))))
    assert {(Fault.UNHELD_LOOP, count, f"{b}{pegs}", 7) for b in "FB"} <= found


@pytest.mark.parametrize(
    ("step", "row"),
    [
        (5, 8),  # neither edge: there is no cord yet
        (7, 0),  # the cord does not run through the cast-on
        (8, 0),
    ],
)
def test_the_cord_drawn_up_before_both_edges(step: int, row: int) -> None:
    script = hood(6, 8)
    broken = with_work(script, step, (*work_of(script, step), DrawUp("cord", EDGES)))
    name = Fault.CORD_NOT_READY if step == 5 else Fault.CORD_DRAWN_EARLY
    assert faults(execute(broken)) == {(name, row, None, step)}


@given(st.integers(4, 12), st.integers(3, 20), st.data())
def test_uneven_seams(pegs: int, half: int, data: st.DataObject) -> None:
    script, count = hood(pegs, 2 * half), 2 * half
    short = data.draw(st.integers(1, half - 1))
    take, seam, fasten = work_of(script, 10)
    assert isinstance(seam, SeamEdges)
    uneven = replace(seam, other=("strip", Edge.RIGHT, count, count - short + 1))
    found = faults(execute(with_work(script, 10, (take, uneven, fasten))))
    assert found == {(Fault.SEAM_UNEVEN, count, None, 10)}


@given(st.integers(4, 12), st.integers(2, 20))
def test_no_anchor(pegs: int, half: int) -> None:
    script, count = hood(pegs, 2 * half), 2 * half
    without = tuple(op for op in work_of(script, 1) if not isinstance(op, LayAnchor))
    assert faults(execute(with_work(script, 1, without))) == {
        (Fault.NO_ANCHOR, 1, None, 2),  # at the first knit-over
        (Fault.NO_ANCHOR, count, None, 9),  # there is none to draw out
    }


@given(st.integers(4, 10), st.integers(2, 8), st.integers(1, 11))
def test_a_step_left_out_is_never_proved(pegs: int, half: int, left_out: int) -> None:
    script = hood(pegs, 2 * half)
    broken = with_work(script, left_out, ())
    run = execute(broken)
    assert not run.proved or left_out in HARMLESS
    if run.proved:
        assert holds_together(run.fabric.arrays())


@given(st.integers(4, 10), st.integers(2, 8), st.booleans())
def test_rows_written_out_among_repeats_change_nothing(pegs: int, half: int, repeats: bool) -> None:
    script, field = hood(pegs, 2 * half), field_of(STOCKINETTE, pegs)
    run = execute(with_row(script, field, half + 1, lambda work: work, repeats=repeats))
    assert run.proved
    assert holds_together(run.fabric.arrays())
    assert run.movements == execute(script).movements
