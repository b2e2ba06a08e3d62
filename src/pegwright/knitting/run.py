"""The simulated loom: execute a script, return the fabric and every fault.

Repeats stay repeats.  A body is worked until the loom's state recurs (loops named by their age,
rows by their distance): from then on the same operations must do the same, shifted, so the
remaining rounds are written down as one :class:`~pegwright.knitting.fabric.Tile` and the state
leaps ahead.  The cost grows with the script, not with the rows.  Where a state never recurs, every
round is worked.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pegwright.errors import BadInput, Finding, NotPossible, Severity
from pegwright.knitting import assembly, hands, operations
from pegwright.knitting.fabric import Block, Fabric, Tile
from pegwright.knitting.operations import Operation, Repeat
from pegwright.knitting.rows import finish
from pegwright.knitting.script import Script, Work
from pegwright.knitting.state import LoomState

__all__ = [
    "MOST_ROUNDS",
    "MOST_TIMES",
    "MOST_WORKED",
    "PieceResult",
    "Run",
    "execute",
    "operate",
    "work_through",
]

MOST_TIMES = 10_000_000
"""Most rounds of one repeat."""

MOST_WORKED = 400_000
"""Most loops that a repeat may make while its state does not recur."""

MOST_ROUNDS = 20_000
"""Most rounds of a repeat that are worked one by one while its state does not recur."""

_HANDS: dict[type, Callable[[LoomState, Any], None]] = {
    operations.HangKnot: hands.hang_knot,
    operations.WrapPegs: hands.wrap_pegs,
    operations.WrapAndTurn: hands.wrap_and_turn,
    operations.KnitOver: hands.knit_over,
    operations.Purl: hands.purl,
    operations.Skip: hands.skip,
    operations.Move: hands.move,
    operations.Increase: hands.increase,
    operations.JoinYarn: hands.join_yarn,
    operations.CutYarn: hands.cut_yarn,
    operations.DrawThrough: hands.draw_through,
    operations.BindOffOver: hands.bind_off_over,
    operations.LayAnchor: assembly.lay_anchor,
    operations.PullAnchor: assembly.pull_anchor,
    operations.TakeLength: assembly.take_length,
    operations.ThreadLive: assembly.thread_live,
    operations.ThreadCastOn: assembly.thread_cast_on,
    operations.DrawUp: assembly.draw_up,
    operations.FastenOff: assembly.fasten_off,
    operations.LiftOff: assembly.lift_off,
    operations.Fold: assembly.fold,
    operations.SeamEdges: assembly.seam_edges,
    operations.SeamEnds: assembly.seam_ends,
    operations.ThreadEdge: assembly.thread_edge,
    operations.Graft: assembly.graft,
    operations.SeamCastOn: assembly.seam_cast_on,
    operations.HemEdge: assembly.hem_edge,
    operations.ThreadChannel: assembly.thread_channel,
    operations.WeaveIn: assembly.weave_in,
}


@dataclass(frozen=True, slots=True)
class PieceResult:
    """What became of a piece: its rows (cast-on not counted) and its cast-on loops."""

    name: str
    rows: int
    cast_on: int
    folded: int | None


@dataclass(frozen=True, slots=True)
class Run:
    """The result of executing a script.

    ``operations`` counts operations with every repeat written out; ``movements`` counts single
    wraps and lifts of the maker's hands.
    """

    script: Script
    fabric: Fabric
    findings: tuple[Finding, ...]
    pieces: tuple[PieceResult, ...]
    operations: int
    movements: int

    @property
    def proved(self) -> bool:
        """Whether no fault was found."""
        return not any(f.severity is Severity.FAULT for f in self.findings)

    def piece(self, name: str) -> PieceResult:
        """The result for a piece."""
        return next(p for p in self.pieces if p.name == name)


def execute(script: Script) -> Run:
    """Execute every step of a script on an empty loom.

    :returns: the fabric and all findings; faults do not raise.
    :raises BadInput: for a repeat that is no repeat.
    :raises NotPossible: where a repeat neither settles nor ends within :data:`MOST_WORKED` loops
        and :data:`MOST_ROUNDS` rounds.
    """
    state = LoomState(script)
    for step in script.steps:
        state.begin(step)
        work_through(state, step.work)
    finish(state)
    record = state.record
    record.seal()
    fabric = Fabric(
        tuple(record.blocks),
        tuple(p.name for p in state.pieces),
        tuple(state.strands),
        tuple(record.holders),
    )
    pieces = tuple(PieceResult(p.name, p.row, len(p.cast_on), p.folded) for p in state.pieces)
    return Run(script, fabric, tuple(record.findings), pieces, record.operations, record.moves)


def work_through(state: LoomState, work: Work) -> None:
    """Carry work out on a loom, repeats leapt where they settle."""
    for item in work:
        if isinstance(item, Repeat):
            _repeat(state, item)
        else:
            operate(state, item)


def operate(state: LoomState, operation: Operation) -> None:
    """Carry one operation out on a loom."""
    _HANDS[type(operation)](state, operation)
    state.record.operations += 1


@dataclass(frozen=True, slots=True)
class _Mark:
    """How far things had come when a round of a repeat ended."""

    blocks: int
    loops: int
    row: int
    operations: int
    moves: int
    breaks: int


def _mark(state: LoomState) -> _Mark:
    record = state.record
    record.seal()
    return _Mark(
        len(record.blocks),
        record.next_loop,
        state.piece.row,
        record.operations,
        record.moves,
        len(state.piece.breaks),
    )


def _repeat(state: LoomState, repeat: Repeat) -> None:
    """Work a repeat, leaping ahead as soon as the state is one that was met before.

    The state is held against one earlier state, which is replaced after 1, 2, 4, 8 … rounds, so
    that a recurrence of any length is found and only one state is kept (Brent's way of finding
    cycles: R. P. Brent, BIT 20, 1980; from memory).
    """
    if not 0 <= repeat.times <= MOST_TIMES:
        raise BadInput(f"a repeat is worked between 0 and {MOST_TIMES:,} times", given=repeat.times)
    start, laid = state.record.next_loop, state.record.laid
    mark, seen, met = _mark(state), state.outline(), state.canonical(start)
    patience, since, done, worked = 1, 0, 0, 0
    while done < repeat.times:
        work_through(state, repeat.body)
        done, since, worked = done + 1, since + 1, worked + 1
        rounds = (repeat.times - done) // since
        recurs = rounds and state.outline() == seen and state.canonical(start) == met
        if recurs and _leap(state, mark, start, rounds):
            done += rounds * since
        if since == patience:
            mark, seen, met = _mark(state), state.outline(), state.canonical(start)
            since, patience = 0, 2 * patience
        too_long = state.record.laid - laid > MOST_WORKED or worked > MOST_ROUNDS
        if too_long and done < repeat.times:
            raise NotPossible(
                "this repeat does not settle, so it cannot be proved without working every row",
                given=f"{repeat.times:,} times",
                hint="look for a peg whose loops pile up, or repeat fewer times",
            )


def _leap(state: LoomState, since: _Mark, start: int, rounds: int) -> bool:
    """Write the rounds still to come as a tile of the blocks made since a mark."""
    record = state.record
    record.seal()
    blocks = tuple(record.blocks[since.blocks :])
    if not _within(blocks, start):
        return False
    loops = record.next_loop - since.loops
    rows = state.piece.row - since.row
    if blocks:
        record.blocks[since.blocks :] = [Tile(blocks, rounds + 1, loops, rows)]
    record.operations += rounds * (record.operations - since.operations)
    record.moves += rounds * (record.moves - since.moves)
    if rows:
        breaks = state.piece.breaks
        breaks[since.breaks :] = [
            b._replace(laps=(*b.laps, (rows, rounds + 1))) for b in breaks[since.breaks :]
        ]
    state.leap(start, rounds * loops, rounds * rows)
    return True


def _within(blocks: tuple[Block | Tile, ...], start: int) -> bool:
    """Whether blocks refer only to loops made since ``start``."""
    for block in blocks:
        if isinstance(block, Tile):
            if not _within(block.blocks, start):
                return False
        elif any(p < start or c < start for p, c in block.ties) or any(
            n < start for _, n in block.holds
        ):
            return False
    return True
