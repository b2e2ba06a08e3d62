"""The loom while a script is executed: stacks of loops on pegs, pieces, carriers and the yarn.

This is the only mutable part of the knitting room; it lives inside one call of
:func:`pegwright.knitting.run.execute` and never leaves it.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field
from typing import NamedTuple

from pegwright.errors import Finding, Spot
from pegwright.knitting.fabric import Block, LoopKind, Tile, Use
from pegwright.knitting.faults import Fault, finding
from pegwright.knitting.operations import Edge, Part
from pegwright.knitting.script import Script, Step
from pegwright.knitting.wraps import Cloth
from pegwright.loom.visit import Visit

__all__ = ["Carrier", "EdgeBreak", "Live", "LoomState", "PieceState", "Recorder"]


class Live(NamedTuple):
    """A loop that sits on a peg: its piece, its row, the peg it was made on, the loop below it."""

    piece: int
    row: int
    home: int
    parent: int


class EdgeBreak(NamedTuple):
    """Rows of an edge in which the chain does not run on.

    ``laps`` is empty for the one row ``row``.  Each lap (rows, times), the innermost first, says
    that all of it so far recurs ``times`` times in all, so many rows apart.
    """

    edge: Edge
    row: int
    peg: int
    laps: tuple[tuple[int, int], ...] = ()

    def first_within(self, low: int, high: int) -> int | None:
        """The first of these rows from ``low`` to ``high``, both included, or None."""
        row = _first_from(self.row, self.laps, low)
        return row if row is not None and row <= high else None


def _first_from(row: int, laps: tuple[tuple[int, int], ...], low: int) -> int | None:
    """The first row at or after ``low``; laps do not overlap, as rows only ever grow."""
    if not laps:
        return row if row >= low else None
    rows, times = laps[-1]
    skipped = max(0, (low - row) // rows)
    for lap in range(max(0, skipped - 1), min(times, skipped + 2)):
        found = _first_from(row + lap * rows, laps[:-1], low)
        if found is not None:
            return found
    return None


@dataclass(slots=True)
class Carrier:
    """A finished cord or a length of yarn that runs through loops."""

    cord: int | None
    fastened: bool = False
    through: set[tuple[int, Edge]] = field(default_factory=set)


@dataclass(slots=True)
class PieceState:
    """A piece while it is made.

    ``unworked`` maps pegs wrapped in this row, and not yet knitted, to the step that wrapped them;
    ``visited``, ``tied`` and ``skipped`` are pegs, for this row only.  ``end_pegs`` counts the pegs
    that held its last row when that was bound off or threaded.
    """

    name: str
    cloth: Cloth
    row: int = 0
    row_open: bool = False
    row_step: int = 0
    cast_on: list[tuple[int, int]] = field(default_factory=list)
    cast_on_open: bool = False
    cast_on_held: bool = False
    anchor: str | None = None
    knitted: bool = False
    off: bool = False
    folded: int | None = None
    tails: int = 0
    crossings: int = 0
    end_pegs: int = 0
    last_peg: int = -1
    unworked: dict[int, int] = field(default_factory=dict)
    visited: set[int] = field(default_factory=set)
    tied: set[int] = field(default_factory=set)
    skipped: set[int] = field(default_factory=set)
    breaks: list[EdgeBreak] = field(default_factory=list)
    channels: set[Edge] = field(default_factory=set)


class Recorder:
    """Writes down loops, ties and findings as they come."""

    def __init__(self) -> None:
        self.blocks: list[Block | Tile] = []
        self.next_loop = 0
        self.leapt = 0
        self.moves = 0
        self.operations = 0
        self.findings: list[Finding] = []
        self.holders: list[str] = []
        self._seen: set[tuple[str, str | None, str | None, int | None]] = set()
        self._key = (0, 0, -1)
        self._open(0, 0, -1, ())

    def _open(self, step: int, piece: int, strand: int, lead: tuple[Visit, ...]) -> None:
        self._key = (step, piece, strand)
        self._first = self.next_loop
        self._lead = lead
        self._visits: list[Visit] = []
        self._rows: list[int] = []
        self._kinds: list[int] = []
        self.ties: list[tuple[int, int]] = []
        self.holds: list[tuple[int, int]] = []
        self.uses: list[Use] = []

    def seal(self) -> None:
        """Close the block being written, if it holds anything."""
        step, piece, strand = self._key
        if self._visits or self.ties or self.holds or self.uses:
            self.blocks.append(
                Block(
                    self._first,
                    step,
                    piece,
                    strand,
                    self._lead,
                    tuple(self._visits),
                    tuple(self._rows),
                    tuple(self._kinds),
                    tuple(self.ties),
                    tuple(self.holds),
                    tuple(self.uses),
                )
            )
        self._open(step, piece, strand, (*self._lead, *self._visits)[-2:])

    def turn_to(self, step: int, piece: int, strand: int, lead: tuple[Visit, ...]) -> None:
        """Go on in a block of that step, piece and strand."""
        if self._key != (step, piece, strand):
            self.seal()
            self._open(step, piece, strand, lead)

    def loop(self, visit: Visit, row: int, kind: LoopKind) -> int:
        """Write down a new loop and return its number."""
        number = self.next_loop
        self._visits.append(visit)
        self._rows.append(row)
        self._kinds.append(kind)
        self.next_loop = number + 1
        return number

    def holder(self, name: str) -> int:
        """The index of a holder of that name."""
        if name not in self.holders:
            self.holders.append(name)
        return self.holders.index(name)

    @property
    def laid(self) -> int:
        """How many loops were laid one by one, those of leaps not counted."""
        return self.next_loop - self.leapt

    def report(self, fault: Fault, what: str, spot: Spot, mend: str | None = None) -> None:
        """Write down a finding, once for each fault, piece, peg and step."""
        key = (str(fault), spot.piece, spot.peg, spot.step)
        if key not in self._seen:
            self._seen.add(key)
            self.findings.append(finding(fault, what, spot, mend))


class LoomState:
    """Everything that an operation may look at or change."""

    def __init__(self, script: Script) -> None:
        self.script = script
        self.loom = script.loom
        self.numbers = [self.loom.number(p) for p in range(self.loom.peg_count)]
        self.stacks: list[list[int]] = [[] for _ in range(self.loom.peg_count)]
        self.live: dict[int, Live] = {}
        self.pieces = [PieceState(p.name, p.cloth) for p in script.pieces]
        self.index = {p.name: i for i, p in enumerate(script.pieces)}
        self.carriers: dict[str, Carrier] = {}
        self.strands: list[str] = []
        self.strand = -1
        self.leads: dict[int, tuple[Visit, ...]] = {}
        self.step: Step = script.steps[0] if script.steps else Step(0, "", "", Part.BODY, ())
        self.piece_index = 0
        self.record = Recorder()

    @property
    def piece(self) -> PieceState:
        """The piece that the current step works on."""
        return self.pieces[self.piece_index]

    def begin(self, step: Step) -> None:
        """Turn to the next step."""
        self.step = step
        self.piece_index = self.index[step.piece]
        self.resume()

    def resume(self) -> None:
        """Let the recorder write under the current step, piece and strand."""
        lead = self.leads.get(self.strand, ())
        self.record.turn_to(self.step.number, self.piece_index, self.strand, lead)

    def spot(
        self, peg: int | None = None, row: int | None = None, piece: int | None = None
    ) -> Spot:
        """Where the hands are now; ``piece`` is the piece in work where none is given."""
        at = self.pieces[self.piece_index if piece is None else piece]
        return Spot(
            size=self.script.size,
            piece=at.name,
            row=at.row if row is None else row,
            peg=self.address(peg) if peg is not None else None,
            step=self.step.number,
        )

    def address(self, peg: int) -> str:
        """A peg's address, also for pegs that the loom does not have."""
        return self.loom.address(peg) if 0 <= peg < self.loom.peg_count else f"peg {peg + 1}"

    def fault(
        self,
        fault: Fault,
        what: str,
        peg: int | None = None,
        *,
        row: int | None = None,
        piece: int | None = None,
        mend: str | None = None,
    ) -> None:
        """Report a fault where the hands are now; a mend of its own takes the usual one's place."""
        self.record.report(fault, what, self.spot(peg, row, piece), mend)

    def on_loom(self, peg: int) -> bool:
        """Whether the peg exists; a fault is reported where it does not."""
        if 0 <= peg < self.loom.peg_count:
            return True
        self.fault(Fault.NO_SUCH_PEG, f"the board has no {self.address(peg)}", peg)
        return False

    def pegs_of(self, piece: int) -> list[int]:
        """Pegs that hold a loop of a piece."""
        live = self.live
        return [
            p for p, s in enumerate(self.stacks) if s and any(live[n].piece == piece for n in s)
        ]

    # -- repeats ----------------------------------------------------------------------------------

    def outline(self) -> Hashable:
        """A short look at the state: where two differ, so do their :meth:`canonical` forms."""
        piece = self.piece
        return (len(self.live), self.strand, len(self.strands), piece.tails, len(piece.cast_on))

    def canonical(self, start: int) -> Hashable:
        """The state with loops made since ``start`` named by their age and rows by their distance.

        Two equal values mean that the same operations will do the same again, shifted.
        """
        now = self.record.next_loop
        row = self.piece.row
        piece = self.piece_index

        def name(loop: int) -> tuple[bool, int]:
            return (True, now - loop) if loop >= start else (False, loop)

        def token(loop: int) -> Hashable:
            at = self.live[loop]
            rows = row - at.row if at.piece == piece and loop >= start else at.row
            return (name(loop), at.piece, rows, at.home, name(at.parent))

        me = self.piece
        return (
            tuple(tuple(token(n) for n in stack) for stack in self.stacks),
            self.strand,
            len(self.strands),
            self.leads.get(self.strand, ()),
            piece,
            me.row_open,
            me.last_peg,
            me.knitted,
            me.anchor,
            tuple(sorted(me.unworked)),
            tuple(sorted(me.visited)),
            tuple(sorted(me.tied)),
            tuple(sorted(me.skipped)),
            me.crossings,
            len(me.cast_on),
            me.tails,
            tuple((n, c.fastened, frozenset(c.through)) for n, c in self.carriers.items()),
        )

    def leap(self, start: int, loops: int, rows: int) -> None:
        """Move on as if ``loops`` more loops and ``rows`` more rows had been worked alike."""
        piece = self.piece_index

        def later(loop: int) -> int:
            return loop + loops if loop >= start else loop

        self.stacks = [[later(n) for n in stack] for stack in self.stacks]
        self.live = {
            later(n): Live(
                at.piece,
                at.row + rows if at.piece == piece and n >= start else at.row,
                at.home,
                later(at.parent),
            )
            for n, at in self.live.items()
        }
        self.piece.row += rows
        self.record.next_loop += loops
        self.record.leapt += loops
        self.record.seal()
