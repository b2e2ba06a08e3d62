"""A script played back: the same loops on the same pegs as execution, from anywhere."""

from __future__ import annotations

import time
from dataclasses import replace
from functools import lru_cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pegwright.designs.files import read_any
from pegwright.errors import BadInput, Finding, Severity, Spot
from pegwright.knitting.motions import atoms
from pegwright.knitting.operations import KnitOver, Operation, Part, Repeat, WrapKind, WrapPegs
from pegwright.knitting.replay import Frame, Lap, Moment, Replay
from pegwright.knitting.run import execute, operate
from pegwright.knitting.script import PieceSpec, Script, Step, Work, flatten
from pegwright.knitting.state import LoomState
from pegwright.knitting.wraps import SHIPPED, Cloth, Wrap
from pegwright.loom.visit import Turn, Visit
from pegwright.making import prove
from tests.knitting.scripts import (
    STOCKINETTE,
    field_of,
    hood,
    panel,
    script_of,
    without_knit,
)

Stacks = dict[int, tuple[int, ...]]


@lru_cache
def _hood() -> Script:
    return hood(8, 20)


def _plainly(script: Script, operations: int) -> LoomState:
    """So many operations worked one by one: no repeat is leapt, no motion taken apart."""
    state = LoomState(script)
    left = operations
    for step in script.steps:
        if left <= 0:
            break
        state.begin(step)
        work = flatten(step.work)[:left]
        for operation in work:
            operate(state, operation)
        left -= len(work)
    return state


def _stacks(state: LoomState) -> Stacks:
    return {peg: tuple(stack) for peg, stack in enumerate(state.stacks) if stack}


def _played(start: Moment, frames: tuple[Frame, ...]) -> Stacks:
    """What the pegs hold after frames, from nothing but the moves; each must fit the one before."""
    held: Stacks = dict(start.stacks)
    for frame in frames:
        for move in frame.moves:
            for change in move.changes:
                assert held.get(change.peg, ()) == change.before
                held[change.peg] = change.after
    return {peg: stack for peg, stack in held.items() if stack}


@pytest.mark.parametrize("wrap", SHIPPED, ids=lambda wrap: wrap.name)
def test_frames_from_the_first_to_the_last_end_where_execution_ends(wrap: Wrap) -> None:
    columns = max(wrap.least, 6)
    columns += (wrap.plus - columns) % wrap.multiple
    script = panel(field_of(wrap, columns), 9)
    run, replay = execute(script), Replay(script)
    assert replay.operations == run.operations
    assert replay.moves == run.movements
    assert replay.loops == run.fabric.loops
    start, frames = replay.frames(0, replay.operations)
    assert len(frames) == run.operations
    assert start.stacks == ()
    assert _played(start, frames) == _stacks(_plainly(script, run.operations))
    laid = [move.loop for frame in frames for move in frame.moves if move.loop >= 0]
    assert laid == list(range(run.fabric.loops))


@pytest.mark.parametrize("name", ["tern-point-hood", "tern-point-kerchief", "tern-point-cap"])
def test_a_shipped_design_plays_to_its_end(name: str) -> None:
    for size in prove(read_any(name)).sizes:
        replay = Replay(size.plan.script)
        start, frames = replay.frames(0, replay.operations)
        assert len(frames) == size.run.operations
        assert _played(start, frames) == {}  # proved: nothing is left on the loom
        assert sum(m.loop >= 0 for f in frames for m in f.moves) == size.run.fabric.loops


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_looking_anywhere_is_playing_to_there(data: st.DataObject) -> None:
    script = _hood()
    replay = data.draw(st.sampled_from([_shared(), Replay(script)]), label="replay")
    index = data.draw(st.integers(0, replay.operations), label="index")
    moment = replay.moment(index)
    state = _plainly(script, index)
    assert dict(moment.stacks) == _stacks(state)
    assert moment.next_loop == state.record.next_loop


@lru_cache
def _shared() -> Replay:
    """Looked at again and again, so that moments kept from other looks are used too."""
    return Replay(_hood())


@settings(max_examples=40, deadline=None)
@given(
    outer=st.integers(1, 6),
    inner=st.integers(0, 7),
    share=st.floats(0, 1),
    count=st.integers(1, 40),
)
def test_nested_repeats_are_found_and_played(
    outer: int, inner: int, share: float, count: int
) -> None:
    field = field_of(STOCKINETTE, 4)
    row = panel(field, 4).steps[2].work  # one repeat of a row
    assert isinstance(row[0], Repeat)
    once = row[0].body
    body: Work = (Repeat((*once, Repeat(once, inner)), outer),)
    script = panel(field, 2, body)
    replay = Replay(script)
    first = round(share * (replay.operations - 1))
    start, frames = replay.frames(first, count)
    assert _played(start, frames) == _stacks(_plainly(script, first + len(frames)))
    flat = [(s.number, o) for s in script.steps for o in flatten(s.work)]
    assert [(f.step, f.operation) for f in frames] == flat[first : first + count]
    for frame in frames:
        for lap in frame.laps:
            assert 1 <= lap.round <= lap.times


def test_laps_name_the_round_of_every_repeat() -> None:
    field = field_of(STOCKINETTE, 4)
    rows = panel(field, 4).steps[2].work[0]
    assert isinstance(rows, Repeat)
    once = rows.body
    script = panel(field, 2, (Repeat((Repeat(once, 3), *once), 5),))
    replay = Replay(script)
    first = replay.first_of(3)
    per = 4 * len(once)
    at = replay.locate(first + 2 * per + 2 * len(once))
    assert at.laps == (Lap(3, 5), Lap(3, 3))
    at = replay.locate(first + 2 * per + 3 * len(once))
    assert at.laps == (Lap(3, 5),)


def test_a_million_rows_are_looked_into_without_working_them() -> None:
    field = field_of(STOCKINETTE, 30)
    script = panel(field, 1_000_001)
    begun = time.perf_counter()
    replay = Replay(script)
    index = replay.row_start("strip", 765_432)
    _, frames = replay.frames(index, 4)
    assert time.perf_counter() - begun < 5  # worked out row by row it takes minutes
    assert [f.row for f in frames] == [765_432, 765_432, 765_433, 765_433]
    assert frames[0].laps == (Lap(765_431, 1_000_000),)
    loops_before = 30 * 2 * 765_432 + 1
    assert frames[0].moves[0].loop == loops_before  # cast-on, slip loop and 765,431 rows


def test_rows_begin_with_their_wrap() -> None:
    script = _hood()
    replay = _shared()
    for row in range(1, 21):
        index = replay.row_start("strip", row)
        _, (frame,) = replay.frames(index, 1)
        assert frame.row == row
        assert isinstance(frame.operation, WrapPegs)
        assert frame.operation.kind is WrapKind.ROW
        assert _plainly(script, index).pieces[0].row == row - 1
    with pytest.raises(BadInput):
        replay.row_start("strip", 21)
    with pytest.raises(BadInput):
        replay.row_start("no such piece", 1)


def test_most_moves_bounds_what_is_given() -> None:
    replay = _shared()
    _, frames = replay.frames(0, 1000, most_moves=60)
    assert 1 < len(frames) < 1000
    assert sum(len(f.moves) for f in frames) <= 60
    _, frames = replay.frames(replay.row_start("strip", 1), 1000, most_moves=1)
    assert len(frames) == 1


@pytest.mark.parametrize("index", [-1, 10**9])
def test_an_index_that_is_not_there_is_refused(index: int) -> None:
    with pytest.raises(BadInput) as refused:
        _shared().moment(index)
    assert refused.value.place is not None
    assert refused.value.place.field == "first"


# --- faults --------------------------------------------------------------------------------------


def test_a_missed_peg_is_placed_before_the_row_that_finds_it() -> None:
    script = panel(field_of(STOCKINETTE, 6), 12)
    rows = script.steps[2].work[0]
    assert isinstance(rows, Repeat)
    wrap, knit = rows.body
    assert isinstance(knit, KnitOver)
    slip = KnitOver(tuple(p for p in knit.pegs if p != 3))
    work = (Repeat((wrap, knit), 4), wrap, slip, Repeat((wrap, knit), 6))
    steps = (*script.steps[:2], replace(script.steps[2], work=work), *script.steps[3:])
    script = replace(script, steps=steps)
    missed = [f for f in execute(script).findings if f.name == "missed-peg"]
    assert [(f.spot.row, f.spot.peg) for f in missed] == [(6, "F4")]
    replay = Replay(script)
    found = replay.place_of(missed[0])
    assert found == (replay.row_start("strip", 7), 0)
    held = dict(replay.moment(found[0]).stacks)
    assert [peg for peg, stack in held.items() if len(stack) > 1] == [3]


def test_too_few_loops_are_placed_at_the_motion_itself() -> None:
    script = script_of(
        field_of(STOCKINETTE, 3).loom,
        [
            ("a", Part.BODY, panel(field_of(STOCKINETTE, 3), 3).steps[0].work),
            ("b", Part.BODY, (KnitOver((0, 3, 1)),)),
        ],
    )
    few = [f for f in execute(script).findings if f.name == "too-few-loops"]
    replay = Replay(script)
    last = replay.operations - 1
    # F1 holds the slip loop and a wrap; B1 and F2 hold one loop each
    assert [replay.place_of(f) for f in few] == [(last, 1), (last, 2)]


def test_what_the_run_does_not_report_is_placed_at_its_row_and_peg() -> None:
    finding = Finding("x", Severity.FAULT, "w", "m", Spot("s", "strip", 5, "B3", 3))
    replay = _shared()
    index, made = replay.place_of(finding) or (-1, -1)
    assert index == replay.row_start("strip", 5)
    _, (frame,) = replay.frames(index, 1)
    assert [replay.script.loom.address(p) for p in frame.moves[made].pegs] == ["B3"]
    assert replay.place_of(Finding("x", Severity.NOTE, "w", "m")) is None


def test_every_finding_of_a_slip_has_a_place() -> None:
    steps = _hood().steps
    slip = replace(steps[1], work=without_knit(steps[1].work, 3))
    script = replace(_hood(), steps=(steps[0], slip, *steps[2:]))
    run = execute(script)
    replay = Replay(script)
    assert run.findings
    for finding in run.findings:
        place = replay.place_of(finding)
        assert place is not None
        assert 0 <= place[0] <= replay.operations


# --- motions -------------------------------------------------------------------------------------


_PEG = st.integers(0, 5)
_VISITS = st.lists(
    st.builds(Visit, _PEG, st.sampled_from(Turn), st.booleans()), min_size=1, max_size=6
).map(tuple)
_ANY: st.SearchStrategy[Operation] = st.one_of(
    st.builds(WrapPegs, _VISITS, st.sampled_from(WrapKind)),
    st.builds(
        KnitOver, st.lists(_PEG, max_size=6).map(tuple), st.integers(1, 2), st.integers(1, 2)
    ),
)


@settings(max_examples=80, deadline=None)
@given(st.lists(_ANY, max_size=12))
def test_motions_leave_the_loops_that_the_operation_leaves(operations: list[Operation]) -> None:
    base = panel(field_of(STOCKINETTE, 3), 3).steps[0].work
    step = Step(1, "a", "strip", Part.BODY, (*base, *operations))
    script = Script(field_of(STOCKINETTE, 3).loom, (PieceSpec("strip", Cloth.DOUBLE),), (step,))
    whole, apart = LoomState(script), LoomState(script)
    whole.begin(step)
    apart.begin(step)
    for operation in flatten(step.work):
        operate(whole, operation)
        for atom in atoms(operation):
            operate(apart, atom)
        assert _stacks(whole) == _stacks(apart)
        assert whole.piece.row == apart.piece.row
        assert whole.record.next_loop == apart.record.next_loop
