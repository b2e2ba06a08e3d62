"""A script played back, operation by operation, from any of them.

Words used here:

* an operation's **index** counts operations from 0 with every repeat written out;
* a **frame** is one operation as it is worked: the row, the round of every repeat it lies in, and
  its moves (see :mod:`pegwright.knitting.motions`);
* a **moment** is the loom between two operations.

Nothing is written out row by row.  The loom at an index is found from the nearest moment kept
before it: whole rounds of a repeat are leapt over as in :mod:`pegwright.knitting.run`, and only the
rest of the last round is worked.  The loops carry the numbers that the run's fabric has for them.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise
from typing import NamedTuple

from pegwright.errors import BadInput, Finding, Place
from pegwright.knitting.motions import Moved, atoms, moved, pegs_named
from pegwright.knitting.operations import Operation, Repeat
from pegwright.knitting.run import operate, work_through
from pegwright.knitting.script import Script, Step, Work
from pegwright.knitting.state import Carrier, LoomState

__all__ = ["Frame", "Lap", "Located", "Moment", "Replay"]

_KEPT = 12
"""Moments kept from the latest looks, so that playing on costs no second way there."""

_SPACING = 24
"""Operations outside repeats between two moments that are kept for good."""


class Lap(NamedTuple):
    """The round of a repeat that is worked, from 1, and how many rounds there are."""

    round: int
    times: int


class Located(NamedTuple):
    """An operation of the script: its step, itself, and its rounds, the outermost first."""

    step: Step
    operation: Operation
    laps: tuple[Lap, ...]


@dataclass(frozen=True, slots=True)
class Frame:
    """One operation as it is worked; ``row`` is the piece's row once it is done."""

    index: int
    step: int
    piece: str
    row: int
    operation: Operation
    laps: tuple[Lap, ...]
    moves: tuple[Moved, ...]


@dataclass(frozen=True, slots=True)
class Moment:
    """The loom before the operation at ``index``.

    :param stacks: the loops of every peg that holds any, the lowest first.
    :param next_loop: the number that the next loop will have.
    """

    index: int
    piece: str
    row: int
    stacks: tuple[tuple[int, tuple[int, ...]], ...]
    next_loop: int


class _Counted(NamedTuple):
    """A work with the index of each item's first operation within it."""

    items: Work
    starts: tuple[int, ...]
    inner: tuple[_Counted | None, ...]
    operations: int


class _Mark(NamedTuple):
    """Where an item of a step ends: operation, step, and the row of the step's piece by then."""

    at: int
    step: int
    row: int


def _counted(work: Work) -> _Counted:
    inner: list[_Counted | None] = []
    ends = [0]
    for item in work:
        within = _counted(item.body) if isinstance(item, Repeat) else None
        times = item.times if isinstance(item, Repeat) else 1
        inner.append(within)
        ends.append(ends[-1] + times * (1 if within is None else within.operations))
    return _Counted(work, tuple(ends[:-1]), tuple(inner), ends[-1])


class Replay:
    """A script that can be looked at anywhere.  Not for several threads at once.

    :raises BadInput: for a repeat that is no repeat.
    :raises NotPossible: where the script cannot be executed; see
        :func:`pegwright.knitting.run.execute`.
    """

    def __init__(self, script: Script) -> None:
        self.script = script
        self._works = [_counted(step.work) for step in script.steps]
        self._firsts = list(accumulate((w.operations for w in self._works), initial=0))
        self.operations = self._firsts.pop()
        self._kept: list[tuple[int, LoomState]] = []
        self._marks: list[_Mark] = []
        self._recent: OrderedDict[int, LoomState] = OrderedDict()
        self._look_through()

    def _look_through(self) -> None:
        """Work the whole script once, repeats leapt, and keep moments and rows on the way."""
        state = LoomState(self.script)
        index, loose = 0, _SPACING
        for number, (step, work) in enumerate(zip(self.script.steps, self._works, strict=True)):
            state.begin(step)
            self._kept.append((index, _copied(state)))
            self._marks.append(_Mark(index, number, state.piece.row))
            for item, count in zip(work.items, _lengths(work), strict=True):
                if loose <= 0:
                    self._kept.append((index, _copied(state)))
                    loose = _SPACING
                work_through(state, (item,))
                index += count
                loose -= 1
                self._marks.append(_Mark(index, number, state.piece.row))
        self.moves = state.record.moves
        self.loops = state.record.next_loop

    # --- where is what ---------------------------------------------------------------------------

    def first_of(self, step: int) -> int:
        """The index of a step's first operation, by the step's number.

        :raises BadInput: where there is no such step.
        """
        for first, one in zip(self._firsts, self.script.steps, strict=True):
            if one.number == step:
                return first
        raise BadInput("no such step", given=step, place=Place(field="step"))

    def locate(self, index: int) -> Located:
        """The operation at an index, without working anything.

        :raises BadInput: where the script has no such operation.
        """
        self._check(index, self.operations - 1)
        number = bisect_right(self._firsts, index) - 1
        work, at = self._works[number], index - self._firsts[number]
        laps: list[Lap] = []
        while True:
            i = bisect_right(work.starts, at) - 1
            item, inner = work.items[i], work.inner[i]
            if inner is None:
                assert not isinstance(item, Repeat)
                return Located(self.script.steps[number], item, tuple(laps))
            assert isinstance(item, Repeat)
            done, at = divmod(at - work.starts[i], inner.operations)
            laps.append(Lap(done + 1, item.times))
            work = inner

    def row_start(self, piece: str, row: int, step: int | None = None) -> int:
        """The index of the operation with which a piece's row begins.

        :param step: look in the step of this number only.
        :raises BadInput: where no such row is worked there.
        """
        steps = self.script.steps
        for before, mark in pairwise(self._marks):
            here = steps[mark.step]
            if here.piece != piece or (step is not None and here.number != step):
                continue
            if before.step == mark.step and before.row < row <= mark.row:
                return self._first_with(row, before.at, mark.at)
        raise BadInput(
            "no such row is worked", given=f"row {row} of the {piece}", place=Place(field="row")
        )

    def _first_with(self, row: int, low: int, high: int) -> int:
        """The first operation from ``low`` on after which the row is reached."""
        others = range(low, high - 1)  # where none of them does, the last one does
        return low + bisect_left(others, row, key=lambda i: self._state(i + 1).piece.row)

    def place_of(self, finding: Finding) -> tuple[int, int] | None:
        """Where a finding is seen: the index of an operation, and how many of its moves are made.

        A finding of the run is placed at the very motion at which the simulated loom reported it;
        another at the start of its row or step, or at its peg in it.  None for one that names
        neither row nor step.
        """
        spot = finding.spot
        start = self._start_of(finding)
        if start is None:
            return None
        wanted = (finding.name, spot.row, spot.peg)
        state = _copied(self._state(start))
        for index in range(start, min(self.operations, start + _SPACING * 8)):
            operation = self._begun(state, index).operation
            told = len(state.record.findings)
            for made, atom in enumerate(atoms(operation)):
                operate(state, atom)
                new = state.record.findings[told:]
                if any((f.name, f.spot.row, f.spot.peg) == wanted for f in new):
                    return index, made
            if spot.row is not None and state.piece.row > spot.row:
                break
        return start, self._move_at(start, spot.peg)

    def _start_of(self, finding: Finding) -> int | None:
        spot = finding.spot
        steps = {step.number: step for step in self.script.steps}
        if spot.step is not None and spot.step in steps:
            first = self.first_of(spot.step)
            if spot.row is None or spot.row < 1:
                return first
            try:
                return self.row_start(steps[spot.step].piece, spot.row, spot.step)
            except BadInput:
                return first  # the row was begun in a step before
        if spot.row is None or spot.piece is None:
            return None
        try:
            return self.row_start(spot.piece, max(spot.row, 1))
        except BadInput:
            return None

    def _move_at(self, index: int, peg: str | None) -> int:
        """How many moves of an operation come before the one at a peg."""
        if peg is None or index >= self.operations:
            return 0
        name = self.script.loom.address
        known = range(self.script.loom.peg_count)
        for i, atom in enumerate(atoms(self.locate(index).operation)):
            if any(p in known and name(p) == peg for p in pegs_named(atom)):
                return i
        return 0

    # --- looking ---------------------------------------------------------------------------------

    def moment(self, index: int) -> Moment:
        """The loom before the operation at an index; after the last one for their number.

        :raises BadInput: where the script has no such operation.
        """
        self._check(index, self.operations)
        state = self._state(index)
        return Moment(
            index,
            state.piece.name,
            state.piece.row,
            tuple((p, tuple(s)) for p, s in enumerate(state.stacks) if s),
            state.record.next_loop,
        )

    def frames(
        self, first: int, count: int, most_moves: int | None = None
    ) -> tuple[Moment, tuple[Frame, ...]]:
        """Operations from an index on, and the loom before them.

        :param count: how many, as far as there are so many.
        :param most_moves: stop before an operation that would bring the moves above this; the
            first is always there.
        :raises BadInput: where the script has no such operation.
        """
        start = self.moment(first)
        state = _copied(self._state(first))
        made: list[Frame] = []
        moves = 0
        for index in range(first, min(first + count, self.operations)):
            at = self._begun(state, index)
            parts = atoms(at.operation)
            moves += len(parts)
            if made and most_moves is not None and moves > most_moves:
                break
            done = tuple(moved(state, atom) for atom in parts)
            piece = state.piece
            made.append(
                Frame(index, at.step.number, piece.name, piece.row, at.operation, at.laps, done)
            )
        return start, tuple(made)

    def _begun(self, state: LoomState, index: int) -> Located:
        """The operation at an index, the state turned to its step."""
        at = self.locate(index)
        if state.step is not at.step:
            state.begin(at.step)
        return at

    def _check(self, index: int, highest: int) -> None:
        if not 0 <= index <= highest:
            raise BadInput(
                "no such operation",
                given=index,
                hint=f"the operations are 0 to {self.operations - 1}",
                place=Place(field="first"),
            )

    def _state(self, index: int) -> LoomState:
        """The loom before an operation; not to be changed by whoever asks."""
        known = self._recent.get(index)
        if known is None:
            at, state = self._kept[bisect_right(self._kept, index, key=lambda k: k[0]) - 1]
            for near, recent in self._recent.items():
                if at < near <= index:
                    at, state = near, recent
            known = _copied(state)
            self._run_on(known, at, index)
            self._recent[index] = known
            while len(self._recent) > _KEPT:
                self._recent.popitem(last=False)
        self._recent.move_to_end(index)
        return known

    def _run_on(self, state: LoomState, at: int, to: int) -> None:
        number = max(bisect_right(self._firsts, at) - 1, 0)
        while at < to:
            step, work, first = self.script.steps[number], self._works[number], self._firsts[number]
            if state.step is not step:
                state.begin(step)
            stop = min(to, first + work.operations)
            _advance(state, work, first, at, stop)
            at, number = stop, number + 1


# --- working part of a script -------------------------------------------------------------------


def _lengths(work: _Counted) -> Iterator[int]:
    ends = (*work.starts[1:], work.operations)
    return (b - a for a, b in zip(work.starts, ends, strict=True))


def _advance(state: LoomState, work: _Counted, base: int, at: int, to: int) -> None:
    """Work the operations from ``at`` up to ``to`` of a work whose first has the index ``base``."""
    for i in range(max(bisect_right(work.starts, at - base) - 1, 0), len(work.items)):
        first, item, inner = base + work.starts[i], work.items[i], work.inner[i]
        if first >= to:
            return
        if isinstance(item, Repeat):
            assert inner is not None
            if inner.operations:
                end = min(to, first + inner.operations * item.times)
                _advance_repeat(state, item, inner, first, max(at, first), end)
        elif first >= at:
            operate(state, item)


def _advance_repeat(
    state: LoomState, repeat: Repeat, one: _Counted, first: int, at: int, to: int
) -> None:
    """The rest of a round that was begun, whole rounds at a leap, and the start of the last."""
    into = (at - first) % one.operations
    if into and at < to:
        begun = at - into
        stop = min(to, begun + one.operations)
        _advance(state, one, begun, at, stop)
        at = stop
    rounds = max(to - at, 0) // one.operations
    if rounds:
        work_through(state, (replace(repeat, times=rounds),))
        at += rounds * one.operations
    if at < to:
        _advance(state, one, at, at, to)


def _copied(state: LoomState) -> LoomState:
    """The same loom to work on from here; what was written down before is left behind."""
    new = LoomState(state.script)
    new.stacks = [list(stack) for stack in state.stacks]
    new.live = dict(state.live)
    new.pieces = [
        replace(
            p,
            cast_on=list(p.cast_on),
            unworked=dict(p.unworked),
            visited=set(p.visited),
            tied=set(p.tied),
            skipped=set(p.skipped),
            breaks=list(p.breaks),
            channels=set(p.channels),
        )
        for p in state.pieces
    ]
    new.carriers = {
        name: Carrier(c.cord, c.fastened, set(c.through)) for name, c in state.carriers.items()
    }
    new.strands = list(state.strands)
    new.strand = state.strand
    new.leads = dict(state.leads)
    new.step, new.piece_index = state.step, state.piece_index
    new.record.next_loop = state.record.next_loop
    new.resume()
    return new
