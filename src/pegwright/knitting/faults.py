"""The faults that the simulated loom can find: stable names, and how each is mended."""

from __future__ import annotations

from enum import StrEnum

from pegwright.errors import Finding, Severity, Spot

__all__ = ["Fault", "finding"]


class Fault(StrEnum):
    """Names of findings made while executing a script.  They never change their meaning."""

    UNHELD_LOOP = "unheld-loop"
    TOO_FEW_LOOPS = "too-few-loops"
    TOO_MANY_LOOPS = "too-many-loops"
    MISSED_PEG = "missed-peg"
    UNWRAPPED_PEG = "unwrapped-peg"
    NOTHING_TO_MOVE = "nothing-to-move"
    MOVED_ONTO_NOTHING = "moved-onto-nothing"
    PEG_OCCUPIED = "peg-occupied"
    LOOPS_OUT_OF_ORDER = "loops-out-of-order"
    NOTHING_TO_INCREASE = "nothing-to-increase"
    NO_ANCHOR = "no-anchor"
    ANCHOR_PULLED_EARLY = "anchor-pulled-early"
    ANCHOR_LEFT = "anchor-left"
    CORD_NOT_READY = "cord-not-ready"
    CORD_DRAWN_EARLY = "cord-drawn-early"
    EDGE_LOOP_MISSED = "edge-loop-missed"
    CAST_ON_OPEN = "cast-on-open"
    GATHER_NOT_FASTENED = "gather-not-fastened"
    FACES_NOT_JOINED = "faces-not-joined"
    EDGE_NOT_CHAIN = "edge-not-chain"
    SEAM_UNEVEN = "seam-uneven"
    SEAM_TOO_SOON = "seam-too-soon"
    LEFT_ON_LOOM = "left-on-loom"
    NO_YARN = "no-yarn"
    YARN_NOT_CUT = "yarn-not-cut"
    NO_SUCH_PEG = "no-such-peg"
    YARN_SHORT = "yarn-short"
    KNIT_ORDER = "knit-order"
    TAIL_LOOSE = "tail-loose"


_CAUTIONS = frozenset({Fault.KNIT_ORDER, Fault.TAIL_LOOSE})

_MENDS: dict[Fault, str] = {
    Fault.UNHELD_LOOP: (
        "hold the loop before it leaves the peg: knit it over, thread it or bind it off"
    ),
    Fault.TOO_FEW_LOOPS: "wrap the peg first, so that it holds a lower and an upper loop",
    Fault.TOO_MANY_LOOPS: "lift more loops over on this peg, so that one is left",
    Fault.MISSED_PEG: "knit this peg over before the next row, or skip it on purpose",
    Fault.UNWRAPPED_PEG: "wrap this peg in the row, or skip it on purpose",
    Fault.NOTHING_TO_MOVE: "name a peg that holds a loop",
    Fault.MOVED_ONTO_NOTHING: (
        "move the loop onto a peg that holds one, or say that the peg is empty"
    ),
    Fault.PEG_OCCUPIED: "move the peg's own loop along first",
    Fault.LOOPS_OUT_OF_ORDER: (
        "move the inner stitch first, and take the loops off from the edge inwards"
    ),
    Fault.NOTHING_TO_INCREASE: (
        "work a row first: the increase hangs the loop below a neighbour's stitch"
    ),
    Fault.NO_ANCHOR: "lay an anchor cord over the cast-on wraps before the first knit-over",
    Fault.ANCHOR_PULLED_EARLY: (
        "take the cord through every cast-on loop before drawing the anchor out"
    ),
    Fault.ANCHOR_LEFT: "draw the anchor cord out when the cast-on loops are held",
    Fault.CORD_NOT_READY: "finish the cord and take it off the loom first",
    Fault.CORD_DRAWN_EARLY: "take the cord through both edges before drawing it up",
    Fault.EDGE_LOOP_MISSED: "go back and take the cord through this loop",
    Fault.CAST_ON_OPEN: "thread, bind or close the cast-on edge",
    Fault.GATHER_NOT_FASTENED: "fasten both ends of the gathering yarn",
    Fault.FACES_NOT_JOINED: "let the yarn cross between the boards within the row",
    Fault.EDGE_NOT_CHAIN: "wrap and knit the end pegs in every row",
    Fault.SEAM_UNEVEN: "fold at the middle row, or seam as many chains on both sides",
    Fault.SEAM_TOO_SOON: "take the piece off the loom, and fold it, before the seam",
    Fault.LEFT_ON_LOOM: "bind off or thread the loops, and lift the piece off",
    Fault.NO_YARN: "join a yarn first",
    Fault.YARN_NOT_CUT: "cut the yarn, leaving a tail, before the next yarn or the end",
    Fault.NO_SUCH_PEG: "use the pegs that the board has",
    Fault.YARN_SHORT: "have more of this yarn, knit fewer rows, or join another yarn at this row",
    Fault.KNIT_ORDER: "knit first the peg that was wrapped last, so that the yarn cannot slip",
    Fault.TAIL_LOOSE: "weave in every tail",
}


def finding(fault: Fault, what: str, spot: Spot, mend: str | None = None) -> Finding:
    """A finding of that name with its own severity and mend."""
    severity = Severity.CAUTION if fault in _CAUTIONS else Severity.FAULT
    return Finding(str(fault), severity, what, mend or _MENDS[fault], spot)
