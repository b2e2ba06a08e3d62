"""What a maker's hands do, one frozen value each.

An operation names pegs by their whole numbers and never carries loops: which loops it meets is
found when the simulated loom executes it.  ``yarn_mm`` on an operation is yarn that it draws beside
the wraps (a knot, a tail, a seam), known from geometry by whoever writes the script.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from pegwright.loom.visit import Turn, Visit

__all__ = [
    "BindOffOver",
    "CutYarn",
    "DrawThrough",
    "DrawUp",
    "Edge",
    "FastenOff",
    "Fold",
    "Graft",
    "HangKnot",
    "HemEdge",
    "Increase",
    "JoinYarn",
    "KnitOver",
    "LayAnchor",
    "LiftOff",
    "Move",
    "Onto",
    "Operation",
    "Part",
    "PullAnchor",
    "Purl",
    "Repeat",
    "SeamCastOn",
    "SeamEdges",
    "SeamEnds",
    "Skip",
    "TakeLength",
    "ThreadCastOn",
    "ThreadChannel",
    "ThreadEdge",
    "ThreadLive",
    "WeaveIn",
    "WrapAndTurn",
    "WrapKind",
    "WrapPegs",
]


class WrapKind(StrEnum):
    """What a wrap starts."""

    CAST_ON = "cast-on"  # the first loops of a piece; not knitted over by themselves
    ROW = "row"  # a new row
    GO_ON = "go-on"  # the row that was begun, after a turn within it
    EXTRA = "extra"  # more loops within the row, such as on a freed peg


class Onto(StrEnum):
    """What a moved loop must land on."""

    LOOP = "loop"  # a peg that holds a loop: a decrease, or stitches kept together
    EMPTY = "empty"  # an empty peg: stitches moved along


class Edge(StrEnum):
    """An edge of a piece, as it lies on the loom with the cast-on below."""

    CAST_ON = "cast-on"
    LIVE = "live"
    LEFT = "left"
    RIGHT = "right"


class Part(StrEnum):
    """What a length of yarn is for."""

    CAST_ON = "cast-on"
    BODY = "body"
    CORD = "cord"
    BIND_OFF = "bind-off"
    SEAM = "seam"
    GATHER = "gathering"
    TAILS = "tails"
    TRIM = "trim"


@dataclass(frozen=True, slots=True)
class HangKnot:
    """Hang a slip loop on a peg; its yarn goes on round the peg in the sense of ``turn``."""

    peg: int
    yarn_mm: float = 0.0
    turn: Turn = Turn.RIGHT


@dataclass(frozen=True, slots=True)
class WrapPegs:
    """Take the yarn round pegs, in order: one new loop a visit, on top of what the peg holds."""

    visits: tuple[Visit, ...]
    kind: WrapKind = WrapKind.ROW


@dataclass(frozen=True, slots=True)
class WrapAndTurn:
    """Take the yarn round a peg below its stitch, knit nothing there, and turn: a short row's end.

    The peg then holds the stitch and, under it, the loop of the turn.  When it is next knitted both
    go over the new loop together, two over one, which closes the hole at the turn.  The pegs beyond
    it are left out of the row with :class:`Skip`.
    """

    visit: Visit


@dataclass(frozen=True, slots=True)
class KnitOver:
    """On each peg, in order, lift the lower ``lift`` loops over the upper ``over`` and off."""

    pegs: tuple[int, ...]
    lift: int = 1
    over: int = 1


@dataclass(frozen=True, slots=True)
class Purl:
    """At each visit, draw a new loop up through the peg's loop from below; the old one goes off."""

    visits: tuple[Visit, ...]


@dataclass(frozen=True, slots=True)
class Skip:
    """Leave pegs unworked, on purpose, until the end of this row.

    Where every peg of the row has been worked, the pegs are left unworked in the next row.
    """

    pegs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Move:
    """Move a peg's loops (the top ``count``, or all) together onto another peg, on top."""

    source: int
    target: int
    onto: Onto = Onto.LOOP
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Increase:
    """Hang the loop below a neighbour's stitch on an empty peg, ready to be knitted."""

    peg: int
    beside: int


@dataclass(frozen=True, slots=True)
class LayAnchor:
    """Lay an anchor cord over the cast-on wraps between the boards and tie it below."""

    name: str = "anchor cord"


@dataclass(frozen=True, slots=True)
class PullAnchor:
    """Draw the anchor cord out of the cast-on loops."""

    name: str = "anchor cord"


@dataclass(frozen=True, slots=True)
class JoinYarn:
    """Begin to knit with a yarn: a new end hangs at the start."""

    yarn: str
    tail_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class CutYarn:
    """Cut the working yarn, leaving a tail."""

    tail_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class DrawThrough:
    """Draw the cut tail through the last loop on a peg and take it off: the end is fast."""

    peg: int


@dataclass(frozen=True, slots=True)
class TakeLength:
    """Cut a length of yarn to thread or sew with, under a name of its own."""

    name: str
    yarn: str
    yarn_mm: float
    part: Part = Part.GATHER


@dataclass(frozen=True, slots=True)
class ThreadLive:
    """Take ``carrier`` (a finished cord, or a length of yarn) through live loops.

    The top loop of each peg is lifted off, in the order of ``pegs``; a peg that holds several is
    named several times.
    """

    carrier: str
    pegs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ThreadCastOn:
    """Take ``carrier`` through the cast-on loops of a piece, in the order of the pegs they had."""

    carrier: str
    piece: str
    pegs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class DrawUp:
    """Draw ``carrier`` up, so that the edges it runs through gather."""

    carrier: str
    edges: tuple[tuple[str, Edge], ...]


@dataclass(frozen=True, slots=True)
class FastenOff:
    """Knot or sew both ends of ``carrier`` fast: no free ends remain."""

    carrier: str


@dataclass(frozen=True, slots=True)
class BindOffOver:
    """Bind off along ``pegs``: each loop is moved onto the next peg's and that one lifted over it.

    Ends with one loop on the last peg, through which the tail is drawn.
    """

    pegs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class LiftOff:
    """Take a piece off the loom."""

    piece: str


@dataclass(frozen=True, slots=True)
class Fold:
    """Fold a piece without twist, so that the parts of each side edge meet.

    ``row`` is the row at the fold.
    """

    piece: str
    row: int


@dataclass(frozen=True, slots=True)
class SeamEdges:
    """Join two stretches of side edge, chain to chain, with ``carrier``.

    Each side is (piece, edge, first row, last row); the rows run from where the seam begins, so a
    folded strip's second side counts downwards.
    """

    carrier: str
    one: tuple[str, Edge, int, int]
    other: tuple[str, Edge, int, int]


@dataclass(frozen=True, slots=True)
class ThreadEdge:
    """Take ``carrier`` through the chains of a side edge, from row ``first`` to row ``last``."""

    carrier: str
    piece: str
    edge: Edge
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class SeamEnds:
    """Join a finished end of a piece to a finished end of another with ``carrier``.

    Each side is (piece, edge): its cast-on edge, or its last row, bound off.
    """

    carrier: str
    one: tuple[str, Edge]
    other: tuple[str, Edge]


@dataclass(frozen=True, slots=True)
class Graft:
    """Join a piece's last row to its own cast-on edge with ``carrier``, loop to loop.

    In the order of ``pegs``, each peg's top loop is lifted off and joined to the cast-on loops that
    were made on the same peg.
    """

    carrier: str
    piece: str
    pegs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class SeamCastOn:
    """Fold the cast-on edge of a piece and sew one part of its loops to the other with ``carrier``.

    The cast-on loops made on the first of ``one`` meet those made on the first of ``other``, and so
    on.  A loop that lies on the fold may be named on both sides.
    """

    carrier: str
    piece: str
    one: tuple[int, ...]
    other: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class HemEdge:
    """Fold a finished end of a piece over by ``rows`` and sew it down with ``carrier``: a channel.

    ``edge`` is the cast-on or the last row; the cloth is double over ``rows`` rows.
    """

    carrier: str
    piece: str
    edge: Edge
    rows: int


@dataclass(frozen=True, slots=True)
class ThreadChannel:
    """Draw ``carrier`` through the channel along an end of a piece."""

    carrier: str
    piece: str
    edge: Edge


@dataclass(frozen=True, slots=True)
class WeaveIn:
    """Weave every tail of a piece into the fabric."""

    piece: str


Operation = (
    HangKnot
    | WrapPegs
    | WrapAndTurn
    | KnitOver
    | Purl
    | Skip
    | Move
    | Increase
    | LayAnchor
    | PullAnchor
    | JoinYarn
    | CutYarn
    | DrawThrough
    | TakeLength
    | ThreadLive
    | ThreadCastOn
    | DrawUp
    | FastenOff
    | BindOffOver
    | LiftOff
    | Fold
    | SeamEdges
    | SeamEnds
    | ThreadEdge
    | Graft
    | SeamCastOn
    | HemEdge
    | ThreadChannel
    | WeaveIn
)


@dataclass(frozen=True, slots=True)
class Repeat:
    """A body worked ``times`` times.  Bodies may hold further repeats."""

    body: tuple[Operation | Repeat, ...]
    times: int
