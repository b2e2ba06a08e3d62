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
from pegwright.tongue.said import Said, capital, joined, say, word

__all__ = ["SHAPED", "chart", "chart_figures"]

SHAPED = {"shape-increase": "chart-increase", "shape-decrease": "chart-decrease"}
"""Steps that a chart is drawn for, and the chart's key."""

_SHOWN_ROWS = 16
_SHOWN_COLUMNS = 16

_WORDS: dict[ChartCell, Said] = {
    ChartCell.KNIT: say("knit (k): wrap the peg and knit over"),
    ChartCell.PURL: say("purl (p)"),
    ChartCell.INCREASE: say(
        "increase (inc): the loop below the neighbour's stitch, on an empty peg"
    ),
    ChartCell.DECREASE_RIGHT: say(
        "decrease (dec): the stitch at the left is moved here, and both are knitted over as one; "
        "it leans to the right"
    ),
    ChartCell.DECREASE_LEFT: say(
        "decrease (dec): the stitch at the right is moved here, and both are knitted over as one; "
        "it leans to the left"
    ),
    ChartCell.MOVED: say("knit (k), after the stitch was moved along by one peg"),
    ChartCell.TURN: say("turn: the yarn goes round this peg, and the row turns back"),
    ChartCell.WAITING: say("not worked in this row; the stitch waits on its peg"),
    ChartCell.NO_STITCH: say("no stitch here"),
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
    alt = [
        say(
            "A chart of pegs {left} to {right}, seen from the right side, row {first} at the "
            "bottom.",
            left=drawn.pegs[0],
            right=drawn.pegs[-1],
            first=first,
        ),
        _row_words(drawn),
    ]
    if size.plan.script.loom.is_double:
        alt.append(say("The back board is worked in the same way."))
    facts = {"first": first, "last": last}
    caption = (
        say("Chart of the increases: rows {first} to {last}", **facts)
        if step.key == "shape-increase"
        else say("Chart of the decreases: rows {first} to {last}", **facts)
    )
    if several:
        caption = say("{caption}, size {size}", caption=caption, size=size.name)
    if last < int(worked.max()):
        caption = say("{caption}; go on in the same way", caption=caption)
    return Figure(key, caption, joined(alt), drawn)


def _trimmed(drawn: ChartDrawing) -> ChartDrawing:
    """The columns at the right, where there are more than can be read."""
    start = max(0, len(drawn.pegs) - _SHOWN_COLUMNS)
    cells = tuple(line[start:] for line in drawn.cells)
    present = {cell for line in cells for cell in line}
    key = tuple(row for row in drawn.key if row[0] in present)
    return ChartDrawing(cells, drawn.rows, drawn.pegs[start:], key)


def _row_words(drawn: ChartDrawing) -> Said:
    """The shaping of every row in words."""
    told = []
    for row, line in zip(drawn.rows, drawn.cells, strict=True):
        for peg, cell in zip(drawn.pegs, line, strict=True):
            if cell in _NAMES:
                told.append(say("row {row}: {what} at {peg}", row=row, what=_NAMES[cell], peg=peg))
    if not told:
        return say("All is plain.")
    return say("{shaping}. All else is plain.", shaping=capital(joined(told, "; ")))


_NAMES = {
    ChartCell.INCREASE: word("chart", "increase"),
    ChartCell.DECREASE_LEFT: word("chart", "decrease"),
    ChartCell.DECREASE_RIGHT: word("chart", "decrease"),
    ChartCell.TURN: word("chart", "turn"),
    ChartCell.MOVED: word("chart", "moved stitch"),
    ChartCell.WAITING: word("chart", "waiting stitch"),
    ChartCell.PURL: word("chart", "purl"),
}
