"""Charts of shaping, read from the run: what each stitch of a row is, by row and peg.

A chart shows a face as it is seen from its right side, row 1 at the bottom, pegs numbered from the
maker's left.  What a cell holds is found from the loops and what runs through them, so it shows the
fabric that was executed:

* two stitches in one loop are a decrease, which leans the way the moved stitch went;
* a loop that came out of a neighbour's stitch, through which another runs too, is an increase;
* a loop whose one stitch below stands on another peg was moved;
* a loop that was laid where a short row turned is a turn; where a row passes a peg by, the stitch
  waits.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field

from pegwright.knitting.fabric import FabricArrays, LoopKind
from pegwright.knitting.run import Run
from pegwright.knitting.script import Step
from pegwright.pattern.model import ChartCell, ChartDrawing, Figure
from pegwright.pattern.source import ProvedSize

__all__ = ["SHAPED", "chart", "chart_figures"]

SHAPED = {"shape-increase": "chart-increase", "shape-decrease": "chart-decrease"}
"""Steps that a chart is drawn for, and the chart's key."""

_SHOWN_ROWS = 16
_SHOWN_COLUMNS = 16

_WORDS: dict[ChartCell, str] = {
    ChartCell.KNIT: "knit (k): wrap the peg and knit over",
    ChartCell.PURL: "purl (p)",
    ChartCell.INCREASE: "increase (inc): the loop below the neighbour's stitch, on an empty peg",
    ChartCell.DECREASE_RIGHT: "decrease (dec): the stitch at the left is moved here, and both are "
    "knitted over as one; it leans to the right",
    ChartCell.DECREASE_LEFT: "decrease (dec): the stitch at the right is moved here, and both are "
    "knitted over as one; it leans to the left",
    ChartCell.MOVED: "knit (k), after the stitch was moved along by one peg",
    ChartCell.TURN: "turn: the yarn goes round this peg, and the row turns back",
    ChartCell.WAITING: "not worked in this row; the stitch waits on its peg",
    ChartCell.NO_STITCH: "no stitch here",
}
"""The key in words: symbols differ from book to book."""


@dataclass(slots=True)
class _Loops:
    """The loops of one face of a piece: by row and peg, and what runs through what."""

    at: dict[tuple[int, int], int] = field(default_factory=dict)
    turns: set[tuple[int, int]] = field(default_factory=set)
    parents: dict[int, list[int]] = field(default_factory=lambda: defaultdict(list))
    children: dict[int, list[int]] = field(default_factory=lambda: defaultdict(list))


def chart(run: Run, piece: str, first: int, last: int, *, back: bool = False) -> ChartDrawing:
    """The chart of rows ``first`` to ``last`` of a piece.

    :param back: the back board's face, where there is one.
    """
    arrays = run.fabric.arrays()
    loom, index = run.script.loom, run.fabric.pieces.index(piece)
    loops = _read(arrays, index, first, last, lambda peg: loom.is_back(peg) == back)
    rows = range(first, last + 1)
    pegs = sorted({peg for _, peg in loops.at} | {peg for _, peg in loops.turns})
    waiting = _waiting(arrays, loops)
    span = range(pegs[0], pegs[-1] + 1) if pegs else range(0)
    cells = tuple(tuple(_cell(arrays, loops, waiting, row, peg) for peg in span) for row in rows)
    present = {cell for line in cells for cell in line}
    return ChartDrawing(
        cells,
        tuple(rows),
        tuple(loom.address(peg) for peg in span),
        tuple((cell, words) for cell, words in _WORDS.items() if cell in present),
    )


def _read(
    arrays: FabricArrays, piece: int, first: int, last: int, on_face: Callable[[int], bool]
) -> _Loops:
    loops = _Loops()
    pegs, rows, kinds = arrays.peg.tolist(), arrays.row.tolist(), arrays.kind.tolist()
    for loop, of in enumerate(arrays.piece.tolist()):
        place = (rows[loop], pegs[loop])
        if of != piece or not first <= rows[loop] <= last or not on_face(pegs[loop]):
            continue
        if kinds[loop] == LoopKind.TURN:
            loops.turns.add(place)
        elif kinds[loop] not in (LoopKind.KNOT, LoopKind.CAST_ON):
            loops.at[place] = loop
    for parent, child in arrays.ties.tolist():
        loops.parents[child].append(parent)
        loops.children[parent].append(child)
    return loops


def _waiting(arrays: FabricArrays, loops: _Loops) -> set[tuple[int, int]]:
    """Rows and pegs at which a stitch waits between two of its rows."""
    found = set()
    for loop in loops.at.values():
        peg, row = int(arrays.peg[loop]), int(arrays.row[loop])
        for below in loops.parents[loop]:
            if arrays.peg[below] == peg and arrays.kind[below] != LoopKind.TURN:
                found |= {(r, peg) for r in range(int(arrays.row[below]) + 1, row)}
    return found


def _cell(
    arrays: FabricArrays, loops: _Loops, waiting: set[tuple[int, int]], row: int, peg: int
) -> ChartCell:
    if (row, peg) in loops.turns:
        return ChartCell.TURN
    loop = loops.at.get((row, peg))
    if loop is None:
        return ChartCell.WAITING if (row, peg) in waiting else ChartCell.NO_STITCH
    below = [p for p in loops.parents[loop] if arrays.kind[p] != LoopKind.TURN]
    knot = [p for p in below if arrays.kind[p] == LoopKind.KNOT]
    others = [p for p in below if arrays.peg[p] != peg and p not in knot]
    if others and len(below) > 1:
        right = arrays.peg[others[0]] < peg
        return ChartCell.DECREASE_RIGHT if right else ChartCell.DECREASE_LEFT
    if others:
        shared = len(loops.children[others[0]]) > 1
        return ChartCell.INCREASE if shared else ChartCell.MOVED
    return ChartCell.PURL if arrays.kind[loop] == LoopKind.PURL else ChartCell.KNIT


# --- figures -------------------------------------------------------------------------------------


def chart_figures(sizes: tuple[ProvedSize, ...], suffix: str) -> tuple[Figure, ...]:
    """A chart for each step that shapes, in the first size: its first rows, at the shaped edge."""
    size = sizes[0]
    return tuple(
        _figure(size, step, f"{SHAPED[step.key]}{suffix}", len(sizes) > 1)
        for step in size.plan.script.steps
        if step.key in SHAPED
    )


def _figure(size: ProvedSize, step: Step, key: str, several: bool) -> Figure:
    arrays = size.run.fabric.arrays()
    worked = arrays.row[arrays.step == step.number]
    first = max(1, int(worked.min()) - 1)
    last = min(int(worked.max()), first + _SHOWN_ROWS - 1)
    drawn = _trimmed(chart(size.run, step.piece, first, last))
    which = f", size {size.name}" if several else ""
    more = "" if last == int(worked.max()) else "; go on in the same way"
    doing = "increases" if step.key == "shape-increase" else "decreases"
    pegs = f"pegs {drawn.pegs[0]} to {drawn.pegs[-1]}"
    caption = f"Chart of the {doing}: rows {first} to {last}{which}{more}"
    both = " The back board is worked in the same way." if size.plan.script.loom.is_double else ""
    alt = f"A chart of {pegs}, seen from the right side, row {first} at the bottom. "
    return Figure(key, caption, alt + _row_words(drawn) + both, drawn)


def _trimmed(drawn: ChartDrawing) -> ChartDrawing:
    """The columns at the right, where there are more than can be read."""
    start = max(0, len(drawn.pegs) - _SHOWN_COLUMNS)
    cells = tuple(line[start:] for line in drawn.cells)
    present = {cell for line in cells for cell in line}
    key = tuple(row for row in drawn.key if row[0] in present)
    return ChartDrawing(cells, drawn.rows, drawn.pegs[start:], key)


def _row_words(drawn: ChartDrawing) -> str:
    """The shaping of every row in words."""
    told = []
    for row, line in zip(drawn.rows, drawn.cells, strict=True):
        for peg, cell in zip(drawn.pegs, line, strict=True):
            if cell in _NAMES:
                told.append(f"row {row}: {_NAMES[cell]} at {peg}")
    words = "; ".join(told)
    return f"{words[0].upper()}{words[1:]}. All else is plain." if told else "All is plain."


_NAMES = {
    ChartCell.INCREASE: "increase",
    ChartCell.DECREASE_LEFT: "decrease",
    ChartCell.DECREASE_RIGHT: "decrease",
    ChartCell.TURN: "turn",
    ChartCell.MOVED: "moved stitch",
    ChartCell.WAITING: "waiting stitch",
    ChartCell.PURL: "purl",
}
