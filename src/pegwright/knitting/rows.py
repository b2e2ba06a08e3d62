"""What must be true when a row ends, and when the whole work ends."""

from __future__ import annotations

from pegwright.errors import Spot
from pegwright.knitting.faults import Fault
from pegwright.knitting.operations import Edge
from pegwright.knitting.state import EdgeBreak, LoomState, PieceState
from pegwright.knitting.wraps import Cloth

__all__ = ["close_row", "finish"]


def close_row(state: LoomState, piece_index: int) -> None:
    """End a piece's row, if one is open: every peg worked, faces tied, edges chained."""
    piece = state.pieces[piece_index]
    if not piece.row_open:
        return
    pegs = state.pegs_of(piece_index)
    _missed(state, piece)
    for peg in pegs:
        if peg not in piece.visited and peg not in piece.skipped:
            _report(state, piece, Fault.UNWRAPPED_PEG, "a peg is left unwrapped in the row", peg)
    columns = [state.numbers[p] for p in pegs]
    if columns:
        wide = max(columns) - min(columns) + 1
        if piece.cloth is Cloth.DOUBLE and wide > 2 and not piece.crossings:
            what = "nothing joins the two faces in this row: the yarn never crosses the gap"
            _report(state, piece, Fault.FACES_NOT_JOINED, what, None)
        _edges(state, piece, pegs, min(columns), max(columns))
    piece.row_open = False
    piece.unworked = {}
    piece.visited = set()
    piece.tied = set()
    piece.skipped = set()
    piece.crossings = 0


def _missed(state: LoomState, piece: PieceState) -> None:
    for peg in sorted(piece.unworked):
        if peg not in piece.skipped:
            what = "a peg wrapped in this row is not knitted over"
            _report(state, piece, Fault.MISSED_PEG, what, peg)


def _edges(state: LoomState, piece: PieceState, pegs: list[int], left: int, right: int) -> None:
    for peg in pegs:
        if peg in piece.tied:
            continue
        for edge, column in ((Edge.LEFT, left), (Edge.RIGHT, right)):
            if state.numbers[peg] == column:
                piece.breaks.append(EdgeBreak(edge, piece.row, peg))


def _report(state: LoomState, piece: PieceState, fault: Fault, what: str, peg: int | None) -> None:
    spot = Spot(
        size=state.script.size,
        piece=piece.name,
        row=piece.row,
        peg=None if peg is None else state.address(peg),
        step=piece.row_step,
    )
    state.record.report(fault, what, spot)


def finish(state: LoomState) -> None:
    """End the whole work: nothing left on the loom, every edge held, every end fast."""
    for index, piece in enumerate(state.pieces):
        close_row(state, index)
        left = state.pegs_of(index)
        if left:
            count = sum(state.live[n].piece == index for p in left for n in state.stacks[p])
            what = f"{count} loops of the {piece.name} are left on the loom"
            _at_end(state, piece, Fault.LEFT_ON_LOOM, what, left[0])
        if piece.anchor is not None:
            what = f"the {piece.anchor} is left in the {piece.name}"
            _at_end(state, piece, Fault.ANCHOR_LEFT, what)
        elif piece.cast_on_open and not piece.cast_on_held:
            what = f"the cast-on loops of the {piece.name} are open and nothing holds them"
            _at_end(state, piece, Fault.CAST_ON_OPEN, what)
        if piece.tails:
            what = f"{piece.tails} tails of the {piece.name} hang loose"
            _at_end(state, piece, Fault.TAIL_LOOSE, what)
    if state.strand >= 0:
        what = f"the {state.strands[state.strand]} is never cut"
        _at_end(state, state.piece, Fault.YARN_NOT_CUT, what)
    for name, carrier in state.carriers.items():
        if carrier.cord is None and carrier.through and not carrier.fastened:
            piece = state.pieces[min(carrier.through)[0]]
            what = f"the ends of the {name} are not fastened"
            _at_end(state, piece, Fault.GATHER_NOT_FASTENED, what)


def _at_end(
    state: LoomState, piece: PieceState, fault: Fault, what: str, peg: int | None = None
) -> None:
    spot = Spot(
        size=state.script.size,
        piece=piece.name,
        row=piece.row,
        peg=None if peg is None else state.address(peg),
        step=state.step.number,
    )
    state.record.report(fault, what, spot)
