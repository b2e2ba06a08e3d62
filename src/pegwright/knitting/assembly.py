"""What each operation off the pegs does: anchors, cords through loops, folds, seams, ends."""

from __future__ import annotations

from pegwright.knitting.fabric import Use
from pegwright.knitting.faults import Fault
from pegwright.knitting.operations import (
    DrawUp,
    Edge,
    FastenOff,
    Fold,
    Graft,
    HemEdge,
    LayAnchor,
    LiftOff,
    PullAnchor,
    SeamCastOn,
    SeamEdges,
    SeamEnds,
    TakeLength,
    ThreadCastOn,
    ThreadChannel,
    ThreadEdge,
    ThreadLive,
    WeaveIn,
)
from pegwright.knitting.rows import close_row
from pegwright.knitting.state import Carrier, LoomState

__all__ = [
    "draw_up",
    "fasten_off",
    "fold",
    "graft",
    "hem_edge",
    "lay_anchor",
    "lift_off",
    "pull_anchor",
    "seam_cast_on",
    "seam_edges",
    "seam_ends",
    "take_length",
    "thread_cast_on",
    "thread_channel",
    "thread_edge",
    "thread_live",
    "weave_in",
]

_EASED_ROWS = 1
"""How many rows a seam may ease in where a fold does not lie between two rows."""


def lay_anchor(state: LoomState, op: LayAnchor) -> None:
    """Lay an anchor over the cast-on loops of the piece in work."""
    if not state.piece.cast_on:
        state.fault(Fault.NO_ANCHOR, "an anchor is laid where there are no cast-on loops")
        return
    state.piece.anchor = op.name


def pull_anchor(state: LoomState, op: PullAnchor) -> None:
    """Draw the anchor out; the cast-on loops must be held by then."""
    piece = state.piece
    if piece.anchor != op.name:
        state.fault(Fault.NO_ANCHOR, f"there is no {op.name} in the {piece.name} to draw out")
        return
    if not piece.cast_on_held:
        what = f"the {op.name} is drawn out while nothing else holds the cast-on loops"
        state.fault(Fault.ANCHOR_PULLED_EARLY, what, piece.cast_on[0][1], row=0)
    piece.anchor = None


def take_length(state: LoomState, op: TakeLength) -> None:
    """Cut a length to thread or sew with."""
    state.carriers[op.name] = Carrier(None)
    state.record.uses.append(Use(op.yarn, op.part, state.piece_index, op.yarn_mm))


def _carrier(state: LoomState, name: str) -> Carrier | None:
    """The carrier of that name; a finished cord becomes one when it is first used."""
    if name in state.carriers:
        return state.carriers[name]
    index = state.index.get(name)
    if index is None:
        state.fault(Fault.CORD_NOT_READY, f"there is no {name} to thread or sew with")
        return None
    if not state.pieces[index].off:
        state.fault(Fault.CORD_NOT_READY, f"the {name} is not finished and off the loom")
        return None
    state.carriers[name] = Carrier(index)
    return state.carriers[name]


def thread_live(state: LoomState, op: ThreadLive) -> None:
    """Take a carrier through live loops, lifting each off."""
    close_row(state, state.piece_index)
    carrier = _carrier(state, op.carrier)
    if carrier is None:
        return
    holder = state.record.holder(op.carrier)
    piece = state.piece
    piece.end_pegs = max(piece.end_pegs, len(state.pegs_of(state.piece_index)))
    last: dict[bool, int] = {}
    way = _way(state, op.pegs)
    for peg in op.pegs:
        if not state.on_loom(peg):
            continue
        if not state.stacks[peg]:
            what = f"there is no loop for the {op.carrier} to go through"
            state.fault(Fault.TOO_FEW_LOOPS, what, peg)
            continue
        loop = state.stacks[peg].pop()
        home = state.live.pop(loop).home
        state.record.holds.append((holder, loop))
        state.record.moves += 1
        way = _check_way(state, peg, home, last, way)
    if not state.pegs_of(state.piece_index):
        carrier.through.add((state.piece_index, Edge.LIVE))


def _way(state: LoomState, pegs: tuple[int, ...]) -> int:
    """Which way along the board pegs are named: 1 to the right, -1 to the left, 0 where neither."""
    numbers = [state.numbers[p] for p in pegs if 0 <= p < state.loom.peg_count]
    return (numbers[-1] > numbers[0]) - (numbers[-1] < numbers[0]) if numbers else 0


def _check_way(state: LoomState, peg: int, home: int, last: dict[bool, int], way: int) -> int:
    """Loops must come off in the order of their wales, all the way along; gives that way."""
    back = home >= state.loom.pegs and state.loom.is_double
    number = state.numbers[home]
    if back in last and number != last[back]:
        step = 1 if number > last[back] else -1
        way = way or step
        if step != way:
            what = (
                f"the loop made on {state.address(home)} comes off out of its order, "
                "so two stitches cross"
            )
            state.fault(Fault.LOOPS_OUT_OF_ORDER, what, peg)
    last[back] = number
    return way


def thread_cast_on(state: LoomState, op: ThreadCastOn) -> None:
    """Take a carrier through the cast-on loops of a piece."""
    carrier = _carrier(state, op.carrier)
    index = state.index.get(op.piece)
    if carrier is None or index is None:
        return
    piece = state.pieces[index]
    holder = state.record.holder(op.carrier)
    pegs = set(op.pegs)
    missed = [peg for _, peg in piece.cast_on if peg not in pegs]
    for loop, peg in piece.cast_on:
        if peg in pegs:
            state.record.holds.append((holder, loop))
    state.record.moves += len(op.pegs)
    for peg in missed:
        what = f"the {op.carrier} passes by a cast-on loop of the {op.piece}"
        state.fault(Fault.EDGE_LOOP_MISSED, what, peg, row=0, piece=index)
    if piece.cast_on and not missed:
        piece.cast_on_held = True
        carrier.through.add((index, Edge.CAST_ON))


def draw_up(state: LoomState, op: DrawUp) -> None:
    """Draw a carrier up; it must run through every edge named."""
    carrier = _carrier(state, op.carrier)
    if carrier is None:
        return
    for name, edge in op.edges:
        index = state.index.get(name)
        if index is None or (index, edge) not in carrier.through:
            words = "last row" if edge is Edge.LIVE else f"{edge} edge"
            whole = f"the whole {words} of the {name}"
            what = f"the {op.carrier} is drawn up before it runs through {whole}"
            row = 0 if edge is Edge.CAST_ON else None
            state.fault(Fault.CORD_DRAWN_EARLY, what, row=row, piece=index)


def fasten_off(state: LoomState, op: FastenOff) -> None:
    """Fasten both ends of a carrier."""
    carrier = _carrier(state, op.carrier)
    if carrier is not None:
        carrier.fastened = True


def lift_off(state: LoomState, op: LiftOff) -> None:
    """Take a piece off; any loop still on a peg is then held by nothing."""
    index = state.index.get(op.piece)
    if index is None:
        state.fault(Fault.LEFT_ON_LOOM, f"there is no {op.piece} to take off")
        return
    close_row(state, index)
    for peg in state.pegs_of(index):
        stack = state.stacks[peg]
        for loop in [n for n in stack if state.live[n].piece == index]:
            what = f"the {op.piece} comes off the loom, and nothing holds the loop on this peg"
            state.fault(Fault.UNHELD_LOOP, what, peg, piece=index)
            stack.remove(loop)
            state.live.pop(loop)
    state.pieces[index].off = True


def fold(state: LoomState, op: Fold) -> None:
    """Fold a piece that is off the loom."""
    index = state.index.get(op.piece)
    if index is None or not state.pieces[index].off:
        what = f"the {op.piece} is folded while it is on the loom"
        state.fault(Fault.SEAM_TOO_SOON, what, piece=index)
        return
    state.pieces[index].folded = op.row


def seam_edges(state: LoomState, op: SeamEdges) -> None:
    """Join two stretches of edge chain to chain."""
    carrier = _carrier(state, op.carrier)
    if carrier is None:
        return
    lengths = []
    for name, edge, first, last in (op.one, op.other):
        index = state.index.get(name)
        if index is None or not state.pieces[index].off:
            what = f"the {name} is seamed while it is on the loom"
            state.fault(Fault.SEAM_TOO_SOON, what, piece=index)
            return
        _check_chain(state, index, edge, first, last)
        lengths.append(abs(last - first) + 1)
    if op.one[:2] == op.other[:2]:
        _check_fold(state, op)
    if lengths[0] != lengths[1]:
        what = f"the seam joins {lengths[0]} chains to {lengths[1]}"
        state.fault(Fault.SEAM_UNEVEN, what)
    carrier.through.add((state.index[op.one[0]], op.one[1]))
    carrier.through.add((state.index[op.other[0]], op.other[1]))
    state.record.moves += lengths[0] + lengths[1]


def _check_fold(state: LoomState, op: SeamEdges) -> None:
    """An edge seamed to itself must be folded so that the first rows of both stretches meet."""
    name, _, row, _ = op.one
    index, meets = state.index[name], op.other[2]
    folded = state.pieces[index].folded
    if folded is None:
        what = f"the {name} is seamed before it is folded"
        state.fault(Fault.SEAM_TOO_SOON, what, piece=index)
    elif abs(row + meets - (2 * folded + 1)) > _EASED_ROWS:
        what = f"the {name} is folded at row {folded}, where row {row} does not meet row {meets}"
        state.fault(Fault.SEAM_UNEVEN, what, row=folded, piece=index)


def _check_chain(state: LoomState, index: int, edge: Edge, first: int, last: int) -> None:
    piece = state.pieces[index]
    low, high = min(first, last), max(first, last)
    if low < 1 or high > piece.row:
        what = f"the seam runs over rows {low} to {high}, but the {piece.name} has {piece.row} rows"
        state.fault(Fault.SEAM_UNEVEN, what, piece=index)
    rows = ((b.first_within(low, high), b.peg) for b in piece.breaks if b.edge is edge)
    for row, peg in sorted((row, peg) for row, peg in rows if row is not None):
        what = f"the {edge} edge of the {piece.name} is no continuous chain at this row"
        state.fault(Fault.EDGE_NOT_CHAIN, what, peg, row=row, piece=index)


def thread_edge(state: LoomState, op: ThreadEdge) -> None:
    """Take a carrier through the chains of a side edge."""
    carrier = _carrier(state, op.carrier)
    index = state.index.get(op.piece)
    if carrier is None or index is None:
        return
    if not state.pieces[index].off:
        what = f"an edge of the {op.piece} is threaded while it is on the loom"
        state.fault(Fault.SEAM_TOO_SOON, what, piece=index)
        return
    _check_chain(state, index, op.edge, op.first, op.last)
    carrier.through.add((index, op.edge))
    state.record.moves += abs(op.last - op.first) + 1


def seam_ends(state: LoomState, op: SeamEnds) -> None:
    """Join two finished ends, stitch to stitch."""
    carrier = _carrier(state, op.carrier)
    if carrier is None:
        return
    stitches = []
    for name, edge in (op.one, op.other):
        index = state.index.get(name)
        if index is None or not state.pieces[index].off:
            what = f"an end of the {name} is seamed while it is on the loom"
            state.fault(Fault.SEAM_TOO_SOON, what, piece=index)
            return
        piece = state.pieces[index]
        if edge is Edge.CAST_ON and piece.cast_on_open and not piece.cast_on_held:
            what = f"the cast-on edge of the {name} is seamed while its loops are open"
            state.fault(Fault.CAST_ON_OPEN, what, row=0, piece=index)
        stitches.append(piece.end_pegs if edge is Edge.LIVE else len({p for _, p in piece.cast_on}))
        carrier.through.add((index, edge))
    if stitches[0] != stitches[1]:
        what = f"the seam joins {stitches[0]} stitches to {stitches[1]}"
        state.fault(Fault.SEAM_UNEVEN, what)
    state.record.moves += sum(stitches)


def graft(state: LoomState, op: Graft) -> None:
    """Join the last row to the cast-on edge, each live loop with the cast-on loops of its peg."""
    thread_live(state, ThreadLive(op.carrier, op.pegs))
    thread_cast_on(state, ThreadCastOn(op.carrier, op.piece, op.pegs))


def seam_cast_on(state: LoomState, op: SeamCastOn) -> None:
    """Sew the cast-on edge to itself; every cast-on loop must be in the seam."""
    index = state.index.get(op.piece)
    if index is None or not state.pieces[index].off:
        what = f"the cast-on edge of the {op.piece} is sewn while it is on the loom"
        state.fault(Fault.SEAM_TOO_SOON, what, row=0, piece=index)
        return
    on = [p for p in (*op.one, *op.other) if state.on_loom(p)]
    if len(on) < len(op.one) + len(op.other):
        return
    meets = {state.numbers[a] + state.numbers[b] for a, b in zip(op.one, op.other, strict=False)}
    if len(op.one) != len(op.other):
        what = f"the seam joins {len(op.one)} cast-on loops to {len(op.other)}"
        state.fault(Fault.SEAM_UNEVEN, what, row=0, piece=index)
    elif len(meets) > 1:
        what = f"the two parts of the cast-on edge of the {op.piece} do not meet at one fold"
        state.fault(Fault.SEAM_UNEVEN, what, row=0, piece=index)
    both = tuple(dict.fromkeys((*op.one, *op.other)))
    thread_cast_on(state, ThreadCastOn(op.carrier, op.piece, both))


def hem_edge(state: LoomState, op: HemEdge) -> None:
    """Fold a finished end over and sew it down."""
    carrier = _carrier(state, op.carrier)
    index = state.index.get(op.piece)
    if carrier is None or index is None:
        return
    piece = state.pieces[index]
    end = 0 if op.edge is Edge.CAST_ON else piece.row
    if not piece.off:
        what = f"an edge of the {piece.name} is folded over while it is on the loom"
        state.fault(Fault.SEAM_TOO_SOON, what, row=end, piece=index)
    elif op.edge is Edge.CAST_ON and piece.cast_on_open and not piece.cast_on_held:
        what = f"the cast-on edge of the {piece.name} is folded over while its loops are open"
        state.fault(Fault.CAST_ON_OPEN, what, row=0, piece=index)
    elif not 0 < 2 * op.rows <= piece.row:
        what = f"{op.rows} rows cannot be folded over in a {piece.name} of {piece.row} rows"
        state.fault(Fault.SEAM_UNEVEN, what, row=end, piece=index)
    else:
        piece.channels.add(op.edge)
        carrier.through.add((index, op.edge))
        state.record.moves += len(piece.cast_on)


def thread_channel(state: LoomState, op: ThreadChannel) -> None:
    """Draw a carrier through a channel that was sewn."""
    carrier = _carrier(state, op.carrier)
    index = state.index.get(op.piece)
    if carrier is None or index is None:
        return
    if op.edge not in state.pieces[index].channels:
        what = f"there is no channel along the {op.edge} edge of the {op.piece}"
        mend = "fold the edge over and sew it down first"
        state.fault(Fault.CORD_DRAWN_EARLY, what, piece=index, mend=mend)
        return
    carrier.through.add((index, op.edge))
    state.record.moves += 1


def weave_in(state: LoomState, op: WeaveIn) -> None:
    """Weave in every tail of a piece."""
    index = state.index.get(op.piece)
    if index is not None:
        state.pieces[index].tails = 0
