"""What the hands do, in words: one sentence for an operation, and one for each of its motions.

A motion's sentence holds ``{0}`` and, where two pegs are named, ``{1}``; the page puts the
addresses of the motion's pegs there.
"""

from __future__ import annotations

from collections.abc import Sequence

from pegwright.knitting import operations as o
from pegwright.knitting.replay import Frame
from pegwright.loom.board import Loom

__all__ = ["motion_words", "operation_words"]

_COUNTS = {1: "the lower loop", 2: "the lower two loops", 3: "the lower three loops"}
_UPPER = {1: "the upper one", 2: "the upper two", 3: "the upper three"}
_ENDS = {
    o.Edge.CAST_ON: "cast-on edge",
    o.Edge.LIVE: "last row",
    o.Edge.LEFT: "left edge",
    o.Edge.RIGHT: "right edge",
}


def operation_words(loom: Loom, frame: Frame) -> str:
    """What is done, in one sentence."""
    name = _Names(loom)
    match frame.operation:
        case o.HangKnot(peg):
            return f"Hang a slip loop on {name(peg)}."
        case o.WrapPegs(visits, kind):
            way = name.way([v.peg for v in visits])
            begin = {
                o.WrapKind.CAST_ON: "Cast on: wrap",
                o.WrapKind.ROW: f"Row {frame.row}: wrap",
                o.WrapKind.GO_ON: f"Row {frame.row}: go on wrapping",
                o.WrapKind.EXTRA: "Wrap once more",
            }[kind]
            return f"{begin} {way}."
        case o.WrapAndTurn(visit):
            return f"Take the yarn round {name(visit.peg)} under its stitch, and turn."
        case o.KnitOver(pegs, lift, over):
            return f"Knit over, {lift} over {over}: {name.way(pegs)}."
        case o.Purl(visits):
            return f"Row {frame.row}: purl {name.way([v.peg for v in visits])}."
        case o.Skip(pegs):
            return f"Leave {name.list(pegs)} unworked."
        case o.Move(source, target):
            return f"Move the loop of {name(source)} onto {name(target)}."
        case o.Increase(peg, beside):
            return f"Hang the loop below the stitch of {name(beside)} on {name(peg)}."
        case o.BindOffOver(pegs):
            return f"Bind off {name.way(pegs)}."
        case o.DrawThrough(peg):
            return f"Draw the tail through the last loop, on {name(peg)}, and take it off."
        case o.ThreadLive(carrier, pegs):
            return f"Take the {carrier} through the live loops and lift them off: {name.way(pegs)}."
        case o.Graft(carrier, _, pegs):
            return f"Graft the last row to the cast-on with the {carrier}: {name.way(pegs)}."
    return _off_the_pegs(frame.operation)


def _off_the_pegs(operation: o.Operation) -> str:
    """What is done beside the pegs."""
    match operation:
        case o.LayAnchor(cord):
            return f"Lay the {cord} over the cast-on wraps and tie it below."
        case o.PullAnchor(cord):
            return f"Draw out the {cord}."
        case o.JoinYarn(yarn):
            return f"Join the {yarn}."
        case o.CutYarn():
            return "Cut the yarn, leaving a tail."
        case o.TakeLength(length, yarn):
            return f"Cut a length of {yarn}: the {length}."
        case o.ThreadCastOn(carrier, piece):
            return f"Take the {carrier} through the cast-on loops of the {piece}."
        case o.DrawUp(carrier):
            return f"Draw the {carrier} up."
        case o.FastenOff(carrier):
            return f"Fasten both ends of the {carrier}."
        case o.LiftOff(piece):
            return f"Take the {piece} off the loom."
        case o.Fold(piece, row):
            return f"Fold the {piece} at row {row}."
        case o.SeamEdges(carrier, one, other):
            ends = f"the {_ENDS[one[1]]} of the {one[0]} to the {_ENDS[other[1]]} of the {other[0]}"
            return f"Seam {ends} with the {carrier}."
        case o.SeamEnds(carrier, one, other):
            ends = f"the {_ENDS[one[1]]} of the {one[0]} to the {_ENDS[other[1]]} of the {other[0]}"
            return f"Sew {ends} with the {carrier}."
        case o.ThreadEdge(carrier, piece, edge):
            return f"Take the {carrier} through the chains of the {_ENDS[edge]} of the {piece}."
        case o.SeamCastOn(carrier, piece):
            return f"Fold the cast-on edge of the {piece} and sew it with the {carrier}."
        case o.HemEdge(carrier, piece, edge, rows):
            return f"Fold the {_ENDS[edge]} of the {piece} over by {rows} rows and sew it down."
        case o.ThreadChannel(carrier, piece, edge):
            return f"Draw the {carrier} through the channel at the {_ENDS[edge]} of the {piece}."
        case o.WeaveIn(piece):
            return f"Weave in every tail of the {piece}."
    return "Go on."


def motion_words(operation: o.Operation) -> str:
    """What one motion of an operation does; empty where the operation is a single motion."""
    match operation:
        case o.WrapPegs(_, o.WrapKind.EXTRA):
            return "Wrap {0} once more."
        case o.WrapPegs():
            return "Take the yarn round {0}."
        case o.KnitOver(_, lift, over):
            loops = _COUNTS.get(lift, f"the lower {lift} loops")
            upper = _UPPER.get(over, f"the upper {over}")
            return f"On {{0}}, lift {loops} over {upper} and off."
        case o.Purl():
            return "Draw a new loop up through the loop of {0}; let the old one go."
        case o.BindOffOver():
            return "Lift the loop of {0} over the loop of {1}."
        case o.ThreadLive(carrier) | o.Graft(carrier):
            return f"Take the {carrier} through the loop of {{0}} and lift it off."
    return ""


class _Names:
    """Pegs by their addresses; pegs that the loom does not have by their numbers."""

    def __init__(self, loom: Loom) -> None:
        self._loom = loom

    def __call__(self, peg: int) -> str:
        known = 0 <= peg < self._loom.peg_count
        return self._loom.address(peg) if known else f"peg {peg + 1}"

    def list(self, pegs: Sequence[int]) -> str:
        """Each of them where they are few, else how many."""
        if len(pegs) > 6:
            return f"{len(pegs)} pegs"
        names = [self(peg) for peg in pegs]
        return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

    def way(self, pegs: Sequence[int]) -> str:
        """Pegs that are worked in order."""
        if len(pegs) < 2:
            return self.list(pegs) if pegs else "no peg"
        return f"{len(pegs)} pegs, from {self(pegs[0])} to {self(pegs[-1])}"
