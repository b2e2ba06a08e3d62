"""What each operation on the pegs does to the loom: wraps, knit-overs, moves, yarn.

Each function takes the state and one operation.  It changes the state, writes down loops and ties,
and reports faults; where an operation cannot be done it is left undone and the work goes on, so
that one slip does not hide the next.
"""

from __future__ import annotations

from itertools import pairwise

from pegwright.knitting.fabric import LoopKind, Use
from pegwright.knitting.faults import Fault
from pegwright.knitting.operations import (
    BindOffOver,
    CutYarn,
    DrawThrough,
    Edge,
    HangKnot,
    Increase,
    JoinYarn,
    KnitOver,
    Move,
    Onto,
    Part,
    Purl,
    Skip,
    WrapAndTurn,
    WrapKind,
    WrapPegs,
)
from pegwright.knitting.rows import close_row
from pegwright.knitting.state import EdgeBreak, Live, LoomState
from pegwright.knitting.wraps import Cloth
from pegwright.loom.visit import Visit

__all__ = [
    "bind_off_over",
    "cut_yarn",
    "draw_through",
    "hang_knot",
    "increase",
    "join_yarn",
    "knit_over",
    "move",
    "purl",
    "skip",
    "wrap_and_turn",
    "wrap_pegs",
]


def _use(state: LoomState, part: Part, yarn_mm: float) -> None:
    if yarn_mm and state.strand >= 0:
        yarn = state.strands[state.strand]
        state.record.uses.append(Use(yarn, part, state.piece_index, yarn_mm))


def _has_yarn(state: LoomState, peg: int | None) -> bool:
    if state.strand < 0:
        state.fault(Fault.NO_YARN, "there is no yarn to wrap with", peg)
        return False
    return True


def _lay(state: LoomState, visit: Visit, row: int, kind: LoopKind, parent: int = -1) -> int:
    """Make a loop, on top of what its peg holds."""
    loop = state.record.loop(visit, row, kind)
    state.live[loop] = Live(state.piece_index, row, visit.peg, parent)
    state.stacks[visit.peg].append(loop)
    return loop


def _remember(state: LoomState, visits: tuple[Visit, ...]) -> None:
    state.leads[state.strand] = (*state.leads.get(state.strand, ()), *visits)[-2:]


def join_yarn(state: LoomState, op: JoinYarn) -> None:
    """Begin a new strand; the one before must have been cut."""
    if state.strand >= 0:
        what = f"the {state.strands[state.strand]} is not cut before the {op.yarn} is joined"
        state.fault(Fault.YARN_NOT_CUT, what)
    state.strands.append(op.yarn)
    state.strand = len(state.strands) - 1
    state.piece.tails += 1
    state.resume()
    _use(state, Part.TAILS, op.tail_mm)


def cut_yarn(state: LoomState, op: CutYarn) -> None:
    """End the strand in use."""
    close_row(state, state.piece_index)
    if not _has_yarn(state, None):
        return
    _use(state, Part.TAILS, op.tail_mm)
    state.piece.tails += 1
    state.strand = -1
    state.resume()


def hang_knot(state: LoomState, op: HangKnot) -> None:
    """Hang a slip loop; it counts among the cast-on loops."""
    if not (_has_yarn(state, op.peg) and state.on_loom(op.peg)):
        return
    visit = Visit(op.peg, op.turn)
    loop = _lay(state, visit, state.piece.row, LoopKind.KNOT)
    state.piece.cast_on.append((loop, op.peg))
    _remember(state, (visit,))
    _use(state, state.step.part, op.yarn_mm)


_LOOP_KINDS = {
    WrapKind.CAST_ON: LoopKind.CAST_ON,
    WrapKind.ROW: LoopKind.KNIT,
    WrapKind.GO_ON: LoopKind.KNIT,
    WrapKind.EXTRA: LoopKind.EXTRA,
}


def wrap_pegs(state: LoomState, op: WrapPegs) -> None:
    """Wrap: a new loop for every visit."""
    piece = state.piece
    if not _has_yarn(state, None):
        return
    if op.kind is WrapKind.ROW:
        close_row(state, state.piece_index)
        piece.row += 1
        piece.row_open = True
        piece.row_step = state.step.number
    visits = tuple(v for v in op.visits if state.on_loom(v.peg))
    kind = _LOOP_KINDS[op.kind]
    row = piece.row
    lay = state.record.loop
    for visit in visits:
        peg = visit.peg
        loop = lay(visit, row, kind)
        state.live[loop] = Live(state.piece_index, row, peg, -1)
        state.stacks[peg].append(loop)
        if op.kind is WrapKind.CAST_ON:
            piece.cast_on.append((loop, peg))
            if not visit.encircled and piece.cloth is not Cloth.CORD:
                piece.cast_on_open = True
    state.record.moves += len(visits)
    if op.kind in (WrapKind.ROW, WrapKind.GO_ON):
        piece.unworked.update((v.peg, state.step.number) for v in visits)
    piece.visited.update(v.peg for v in visits)
    piece.crossings += _crossings(state, visits)
    if visits:
        piece.last_peg = visits[-1].peg
        _remember(state, visits)


def wrap_and_turn(state: LoomState, op: WrapAndTurn) -> None:
    """Lay a loop under the top stitch of a peg; it is lifted with that stitch later."""
    visit = op.visit
    if not (_has_yarn(state, visit.peg) and state.on_loom(visit.peg)):
        return
    stack = state.stacks[visit.peg]
    if not stack:
        what = "there is no stitch on the peg that the row turns at"
        state.fault(Fault.TOO_FEW_LOOPS, what, visit.peg)
        return
    piece = state.piece
    loop = state.record.loop(visit, piece.row, LoopKind.TURN)
    state.live[loop] = Live(state.piece_index, piece.row, visit.peg, -1)
    stack.insert(len(stack) - 1, loop)
    state.record.moves += 1
    piece.visited.add(visit.peg)
    piece.last_peg = visit.peg
    _remember(state, (visit,))


def _crossings(state: LoomState, visits: tuple[Visit, ...]) -> int:
    """Crossings from board to board that are not straight across at an end."""
    half = state.loom.pegs
    numbers = state.numbers
    if not visits or not state.loom.is_double:
        return 0
    ends = {min(numbers[v.peg] for v in visits), max(numbers[v.peg] for v in visits)}
    return sum(
        (a.peg >= half) != (b.peg >= half)
        and not (numbers[a.peg] in ends and numbers[b.peg] in ends)
        for a, b in pairwise(visits)
    )


def knit_over(state: LoomState, op: KnitOver) -> None:
    """Lift lower loops over upper ones, peg by peg."""
    piece = state.piece
    _check_anchor(state)
    if op.pegs and piece.row_open and len(piece.unworked) == len(piece.visited) > 1:
        _check_order(state, op.pegs[0])
    for peg in op.pegs:
        if state.on_loom(peg):
            _knit_peg(state, peg, op.lift, op.over)
    piece.knitted = True


def _knit_peg(state: LoomState, peg: int, lift: int, over: int) -> None:
    stack = state.stacks[peg]
    if len(stack) < lift + over:
        what = f"knitting over needs {lift + over} loops, and there are {len(stack)}"
        state.fault(Fault.TOO_FEW_LOOPS, what, peg)
        return
    lower, upper, more = stack[:lift], stack[lift : lift + over], stack[lift + over :]
    if more:
        what = f"{len(upper) + len(more)} loops are left after knitting {lift} over {over}"
        state.fault(Fault.TOO_MANY_LOOPS, what, peg)
    _tie(state, peg, lower, upper)
    state.stacks[peg] = upper + more
    state.record.moves += 1


def _tie(state: LoomState, peg: int, lower: list[int], upper: list[int]) -> None:
    """Write down that each lower loop is now held by the upper ones."""
    piece = state.piece
    live = state.live
    ties = state.record.ties
    child = upper[-1]
    for parent in lower:
        ties.extend((parent, loop) for loop in upper)
        below = live.pop(parent)
        if live[child].row - below.row in (1, 2):
            piece.tied.add(peg)
    at = live[child]
    live[child] = Live(at.piece, at.row, at.home, lower[-1])
    piece.unworked.pop(peg, None)


def _check_anchor(state: LoomState) -> None:
    piece = state.piece
    if piece.cast_on_open and not piece.knitted and piece.anchor is None:
        what = "the first knit-over comes with no anchor cord on the open cast-on loops"
        state.fault(Fault.NO_ANCHOR, what)


def _check_order(state: LoomState, first: int) -> None:
    last = state.piece.last_peg
    if first != last:
        begun, wrapped = state.address(first), state.address(last)
        what = f"the row is knitted from {begun}, but {wrapped} was wrapped last"
        state.fault(Fault.KNIT_ORDER, what, first)


def purl(state: LoomState, op: Purl) -> None:
    """Draw new loops up from below, one a visit; the first visit of a row opens it."""
    piece = state.piece
    if not _has_yarn(state, None):
        return
    _check_anchor(state)
    if not piece.row_open or any(v.peg in piece.visited for v in op.visits):
        close_row(state, state.piece_index)
        piece.row += 1
        piece.row_open = True
        piece.row_step = state.step.number
    made: list[Visit] = []
    for visit in op.visits:
        if not state.on_loom(visit.peg):
            continue
        lower = state.stacks[visit.peg]
        if not lower:
            state.fault(Fault.TOO_FEW_LOOPS, "there is no loop to purl through", visit.peg)
            continue
        state.stacks[visit.peg] = []
        loop = _lay(state, visit, piece.row, LoopKind.PURL)
        _tie(state, visit.peg, lower, [loop])
        piece.visited.add(visit.peg)
        piece.last_peg = visit.peg
        state.record.moves += 1
        made.append(visit)
    piece.knitted = True
    piece.crossings += _crossings(state, tuple(made))
    _remember(state, tuple(made))


def skip(state: LoomState, op: Skip) -> None:
    """Leave pegs unworked, on purpose: in this row, or in the next where this one is complete."""
    piece = state.piece
    if piece.row_open and not piece.unworked:
        done = piece.visited | piece.skipped
        if all(peg in done for peg in state.pegs_of(state.piece_index)):
            close_row(state, state.piece_index)
    piece.skipped.update(op.pegs)


def move(state: LoomState, op: Move) -> None:
    """Move loops together onto another peg."""
    if not (state.on_loom(op.source) and state.on_loom(op.target)):
        return
    source, target = state.stacks[op.source], state.stacks[op.target]
    if not source or op.source == op.target:
        what = "there is no loop to move from this peg"
        state.fault(Fault.NOTHING_TO_MOVE, what, op.source)
        return
    if op.onto is Onto.LOOP and not target:
        what = f"a loop is moved onto {state.address(op.target)}, which holds nothing"
        state.fault(Fault.MOVED_ONTO_NOTHING, what, op.source)
    if op.onto is Onto.EMPTY and target:
        what = f"a loop is moved onto {state.address(op.target)}, which is not empty"
        state.fault(Fault.PEG_OCCUPIED, what, op.source)
    count = len(source) if op.count is None else min(op.count, len(source))
    moved = source[len(source) - count :]
    state.stacks[op.source] = source[: len(source) - count]
    state.stacks[op.target] = [*target, *moved]
    piece = state.piece
    for marks in (piece.visited, piece.tied, piece.skipped):
        if op.source in marks:
            marks.add(op.target)
    if op.source in piece.unworked and not state.stacks[op.source]:
        piece.unworked[op.target] = piece.unworked.pop(op.source)
    state.record.moves += 1


def increase(state: LoomState, op: Increase) -> None:
    """Hang the loop below a neighbour's stitch on an empty peg."""
    if not (state.on_loom(op.peg) and state.on_loom(op.beside)):
        return
    beside = state.stacks[op.beside]
    parent = state.live[beside[-1]].parent if beside else -1
    if state.stacks[op.peg]:
        state.fault(Fault.PEG_OCCUPIED, "the peg for the increase is not empty", op.peg)
    elif parent < 0 or parent in state.live:
        what = f"{state.address(op.beside)} has no knitted stitch to take the loop from"
        state.fault(Fault.NOTHING_TO_INCREASE, what, op.peg)
    else:
        at = state.live[beside[-1]]
        state.live[parent] = Live(at.piece, at.row - 1, op.peg, -1)
        state.stacks[op.peg] = [parent]
        _new_edge(state, op.peg)
        state.record.moves += 1


def _new_edge(state: LoomState, peg: int) -> None:
    """Where an increase becomes the edge, this row has no chain of its own in it.

    The next row's edge stitch comes straight out of the row before, so the chain passes this one
    by.  In an open row that is found when the row ends.
    """
    piece = state.piece
    if piece.row_open:
        piece.visited.add(peg)
        piece.tied.discard(peg)
        return
    columns = [state.numbers[p] for p in state.pegs_of(state.piece_index)]
    for edge, column in ((Edge.LEFT, min(columns)), (Edge.RIGHT, max(columns))):
        if state.numbers[peg] == column:
            piece.breaks.append(EdgeBreak(edge, piece.row, peg))


def bind_off_over(state: LoomState, op: BindOffOver) -> None:
    """Lift each peg's loops over the next peg's loop; one loop is left on the last peg."""
    close_row(state, state.piece_index)
    piece = state.piece
    piece.end_pegs = max(piece.end_pegs, len(state.pegs_of(state.piece_index)))
    for here, there in zip(op.pegs, op.pegs[1:], strict=False):
        if not (state.on_loom(here) and state.on_loom(there)):
            continue
        loops, onto = state.stacks[here], state.stacks[there]
        if not loops or not onto:
            what = "there is no loop to bind off"
            state.fault(Fault.TOO_FEW_LOOPS, what, here if not loops else there)
            continue
        for loop in loops:
            state.record.ties.append((loop, onto[-1]))
            state.live.pop(loop)
        state.stacks[here] = []
        state.record.moves += 1


def draw_through(state: LoomState, op: DrawThrough) -> None:
    """Draw the cut tail through the loops left on a peg; they are held by it."""
    if not state.on_loom(op.peg):
        return
    close_row(state, state.piece_index)
    stack = state.stacks[op.peg]
    if not stack:
        state.fault(Fault.TOO_FEW_LOOPS, "there is no loop to draw the tail through", op.peg)
        return
    if state.strand >= 0:
        what = "there is no tail to draw through: the yarn is not cut"
        state.fault(Fault.YARN_NOT_CUT, what, op.peg)
        return
    holder = state.record.holder(f"tail of the {state.piece.name}")
    for loop in stack:
        state.record.holds.append((holder, loop))
        state.live.pop(loop)
    state.stacks[op.peg] = []
    state.record.moves += 1
