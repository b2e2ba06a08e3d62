"""A size of a design as the Loom shows it: its board, its steps, and its work to be played back.

A **reel** is made once for a size as it was proved, and kept while the size stays the same; see
:class:`Reels`.  Everything on it comes from the run: nothing about knitting is decided here.
"""

from __future__ import annotations

import json
import threading
from collections import OrderedDict
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel

from pegwright import making
from pegwright.errors import Finding, NotPossible, Severity
from pegwright.knitting.loop_paths import LoopFinder, loop_paths
from pegwright.knitting.replay import Replay
from pegwright.loom.taut import Arc, Line
from pegwright.making import Made
from pegwright.pattern.build import graded_facts
from pegwright.pattern.look import size_colours
from pegwright.pattern.phrases import Context, phrase
from pegwright.pattern.source import ProvedSize, Source
from pegwright.pattern.stripes import rows_before, stripes_in
from pegwright.planning.colour import StitchColours, colours_of
from pegwright.publish.words import SEVERITY
from pegwright.studio.loom.fabric_cells import FabricSheet, fabric_sheets
from pegwright.studio.loom.words import motion_words, operation_words

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = [
    "MOST_COLOURED",
    "Board",
    "LoomColour",
    "LoomFinding",
    "LoomStep",
    "LoomView",
    "LoomWindow",
    "Reel",
    "Reels",
]

MOST_COLOURED = 2_000_000
"""Most loops that are written out one by one, to colour each and to show the whole fabric."""

MOST_OPERATIONS = 64
MOST_MOVES = 6_000
"""Most operations and motions in one answer; a single operation is always given whole."""

_MOST_FINDINGS = 100
_KEPT = 6


class Board(BaseModel):
    """The board from above: each peg's place in mm (x to the right, y away) and its address."""

    arrangement: str
    name: str
    pegs: list[tuple[float, float, str]]
    row: int
    pitch_mm: float
    gap_mm: float
    peg_mm: float


class LoomColour(BaseModel):
    """A colour of yarn."""

    name: str
    hex: str


class LoomStep(BaseModel):
    """A written step, and the operations that it is."""

    number: int
    title: str
    text: list[str]
    piece: str
    first: int
    count: int


class LoomFinding(BaseModel):
    """A finding and where it is seen: an operation and motions made in it, None where nowhere."""

    severity: str
    label: str
    what: str
    mend: str
    where: str
    peg: int | None
    at: int | None
    made: int


class LoomPiece(BaseModel):
    """A piece and its rows."""

    name: str
    rows: int


class LoomView(BaseModel):
    """A size on the loom."""

    id: str
    title: str
    revision: int
    sizes: list[str]
    size: str
    board: Board
    yarn_mm: float
    colours: list[LoomColour]
    operations: int
    moves: int
    loops: int
    steps: list[LoomStep]
    pieces: list[LoomPiece]
    findings: list[LoomFinding]


class LoomFrame(BaseModel):
    """An operation: what is done, and its motions.

    :param say: the words of a motion, with ``{0}`` and ``{1}`` for its pegs.
    :param moves: each [pegs, [[peg, loops before, loops after], …], the loop laid or null].
    """

    at: int
    step: int
    piece: str
    row: int
    laps: list[tuple[int, int]]
    kind: str
    words: str
    say: str
    moves: list[Any]


class LoomWindow(BaseModel):
    """Operations from one on, and the loom before them.

    :param stacks: [peg, loops from the lowest up].
    :param loops: every loop named, by its number: [colour, peg it was made on, path], the path a
        list of lines [x, y, x, y] and arcs [centre x, centre y, radius, start, sweep] in mm and
        radians.
    """

    revision: int
    size: str
    first: int
    next: int
    piece: str
    row: int
    stacks: list[tuple[int, list[int]]]
    loops: dict[str, tuple[int, int, list[list[float]]]]
    frames: list[LoomFrame]


class Reel:
    """One size, ready to be played; ``lock`` is held by whoever looks at it."""

    def __init__(self, made: Made, size: ProvedSize) -> None:
        self.made, self.size = made, size
        self.lock = threading.Lock()
        self.loom = size.plan.script.loom
        self._replay = Replay(size.plan.script)
        self._finder = LoopFinder(size.run.fabric)
        self._source: Source = making.source_of(made)
        yarns = made.design.yarns
        self._diameters = {name: yarn.wrapped_diameter_mm for name, yarn in yarns.items()}
        self._colours: StitchColours | None = None
        self._sheets: tuple[FabricSheet, ...] | None = None
        strands = dict.fromkeys(size.run.fabric.strands)
        self.palette = colours_of(strands, yarns, made.design.colour_runs)
        self._plain = {
            name: self.palette.index(colours_of((name,), yarns, made.design.colour_runs)[0])
            for name in strands
        }

    # --- the whole -------------------------------------------------------------------------------

    def view(self, design_id: str, title: str, revision: int) -> LoomView:
        """The size as the page needs it before anything is played."""
        body = self._diameters.get(self.made.design.use["body"], 2.0)
        findings = sorted(self._findings(), key=lambda f: list(Severity).index(f.severity))
        return LoomView(
            id=design_id,
            title=title,
            revision=revision,
            sizes=[size.name for size in self.made.sizes],
            size=self.size.name,
            board=self._board(),
            yarn_mm=body,
            colours=[LoomColour(name=c.name, hex=c.hex) for c in self.palette],
            operations=self._replay.operations,
            moves=self._replay.moves,
            loops=self._replay.loops,
            steps=self._steps(),
            pieces=[LoomPiece(name=p.name, rows=p.rows) for p in self.size.run.pieces],
            findings=[self._finding(f) for f in findings[:_MOST_FINDINGS]],
        )

    def _board(self) -> Board:
        loom = self.loom
        centres = (loom.centre(peg) for peg in range(loom.peg_count))
        return Board(
            arrangement=str(loom.arrangement),
            name=loom.name,
            pegs=[(round(x, 3), round(y, 3), loom.address(i)) for i, (x, y) in enumerate(centres)],
            row=loom.pegs,
            pitch_mm=loom.pitch_mm,
            gap_mm=loom.gap_mm if loom.is_double else 0.0,
            peg_mm=loom.peg_diameter_mm,
        )

    def _steps(self) -> list[LoomStep]:
        """The steps in the words of the pattern, for this size alone."""
        source, alone = self._source, (self.size,)
        script = self.size.plan.script
        facts = graded_facts(alone, source.units)
        counts = [self._replay.first_of(s.number) for s in script.steps]
        steps = []
        for i, (step, done) in enumerate(zip(script.steps, rows_before(script), strict=True)):
            context = Context(
                source.wrap,
                source.loom,
                source.units,
                (step,),
                facts,
                yarns=source.yarns,
                stripes=stripes_in(self.size),
                done=(done,),
            )
            said = phrase(context)
            end = counts[i + 1] if i + 1 < len(counts) else self._replay.operations
            steps.append(
                LoomStep(
                    number=step.number,
                    title=said.title,
                    text=list(said.text),
                    piece=step.piece,
                    first=counts[i],
                    count=end - counts[i],
                )
            )
        return steps

    def _findings(self) -> Iterable[Finding]:
        own = self.size.findings
        return dict.fromkeys((*own, *(f for f in self.made.findings if f.spot.size is None)))

    def _finding(self, finding: Finding) -> LoomFinding:
        place = self._replay.place_of(finding)
        spot = finding.spot
        addresses = {self.loom.address(p): p for p in range(self.loom.peg_count)}
        return LoomFinding(
            severity=str(finding.severity),
            label=SEVERITY[finding.severity],
            what=finding.what,
            mend=finding.mend,
            where=str(spot),
            peg=addresses.get(spot.peg) if spot.peg else None,
            at=place[0] if place else None,
            made=place[1] if place else 0,
        )

    # --- a part of the work ----------------------------------------------------------------------

    def row_start(self, piece: str, row: int) -> int:
        """The operation with which a row begins.

        :raises BadInput: where there is no such row.
        """
        return self._replay.row_start(piece, row)

    def window(self, revision: int, first: int, count: int) -> bytes:
        """A :class:`LoomWindow` as JSON.

        :raises BadInput: for an operation that is not there.
        """
        start, frames = self._replay.frames(first, min(count, MOST_OPERATIONS), MOST_MOVES)
        named = {loop for _, stack in start.stacks for loop in stack}
        named.update(m.loop for f in frames for m in f.moves if m.loop >= 0)
        named.update(loop for f in frames for m in f.moves for c in m.changes for loop in c.after)
        window = {
            "revision": revision,
            "size": self.size.name,
            "first": first,
            "next": first + len(frames),
            "piece": start.piece,
            "row": start.row,
            "stacks": start.stacks,
            "loops": self._loops(named),
            "frames": [
                {
                    "at": f.index,
                    "step": f.step,
                    "piece": f.piece,
                    "row": f.row,
                    "laps": f.laps,
                    "kind": type(f.operation).__name__,
                    "words": operation_words(self.loom, f),
                    "say": motion_words(f.operation),
                    "moves": [(m.pegs, m.changes, None if m.loop < 0 else m.loop) for m in f.moves],
                }
                for f in frames
            ],
        }
        return json.dumps(window, separators=(",", ":")).encode()

    def _loops(self, numbers: set[int]) -> dict[int, tuple[int, int, list[list[float]]]]:
        paths = loop_paths(self.loom, self._finder, numbers, self._diameters)
        coloured = self._coloured()
        found = {}
        for number in sorted(numbers):
            visit, strand = self._finder.find(number)
            if coloured is not None:
                colour = int(coloured.index[number])
            else:
                colour = self._plain[self.size.run.fabric.strands[strand]]
            found[number] = (colour, visit.peg, [_rounded(part) for part in paths[number]])
        return found

    def _coloured(self) -> StitchColours | None:
        """Every loop's colour; None where there are too many loops, each then in its yarn's."""
        if self._colours is None and self._replay.loops <= MOST_COLOURED and self._replay.loops:
            self._colours = size_colours(self._source, self.size)
        return self._colours

    # --- the fabric ------------------------------------------------------------------------------

    def sheets(self) -> tuple[FabricSheet, ...]:
        """The whole fabric from every side.

        :raises NotPossible: where there are too many loops, or none.
        """
        if self._sheets is None:
            colours = self._coloured()
            if colours is None:
                loops = self._replay.loops
                raise NotPossible(
                    "too many stitches to show one by one" if loops else "there are no stitches",
                    given=f"{loops:,} loops",
                    hint=f"a piece of up to {MOST_COLOURED:,} loops is shown whole",
                )
            self._sheets = fabric_sheets(self.size, colours, self.made.design.units)
        return self._sheets


def _rounded(part: Line | Arc) -> list[float]:
    if isinstance(part, Line):
        return [round(value, 2) for value in part]
    return [
        round(part.cx, 2),
        round(part.cy, 2),
        round(part.r, 2),
        round(part.start, 4),
        round(part.sweep, 4),
    ]


class Reels:
    """The reels in use, the latest kept."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: OrderedDict[tuple[str, str], Reel] = OrderedDict()

    def reel(self, design_id: str, made: Made, name: str) -> Reel:
        """The reel of a size; of the first where none is named, or none is there of that name.

        :raises NotPossible: where no size can be made.
        """
        if not made.sizes:
            raise NotPossible("no size of the design can be made yet", hint="mend the design first")
        size = next((s for s in made.sizes if s.name == name), made.sizes[0])
        key = (design_id, size.name)
        with self._lock:
            known = self._kept.get(key)
            if known is None or known.size is not size or known.made.findings != made.findings:
                known = Reel(made, size)
                self._kept[key] = known
                while len(self._kept) > _KEPT:
                    self._kept.popitem(last=False)
            self._kept.move_to_end(key)
            return known
