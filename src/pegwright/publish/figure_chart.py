"""A knitting chart in black and white: a grid of signs, its rows and pegs numbered, a key in words.

Blank is knit and a dot is purl, as most books have it; since no sign is understood everywhere, the
key says each in words.
"""

from __future__ import annotations

from collections.abc import Iterable

from pegwright.pattern.model import ChartCell, ChartDrawing
from pegwright.publish.drawing import (
    Anchor,
    Circle,
    Drawing,
    Fill,
    Line,
    LineKind,
    Mark,
    Path,
    Rect,
    Text,
)
from pegwright.publish.figure_marks import LABEL, SHEET, arrowhead, paragraph, wrapped
from pegwright.tongue.tongue import ENGLISH, Tongue

__all__ = ["draw_chart"]

_SIDE = 34.0  # room for row numbers at each side
_LARGEST, _SMALLEST = 20.0, 6.0
_BOLD = 1.8


def draw_chart(shown: ChartDrawing, tongue: Tongue = ENGLISH) -> Drawing:
    """The grid with row 1 at the bottom, numbers at the sides and below, and the key beneath."""
    columns = max(len(shown.pegs), 1)
    size = max(_SMALLEST, min(_LARGEST, (SHEET - 2 * _SIDE) / columns))
    left = (SHEET - columns * size) / 2
    top, rows = 12.0, len(shown.rows)
    bottom = top + rows * size
    marks: list[Mark] = []
    for i, line in enumerate(shown.cells):
        y = bottom - (i + 1) * size
        for j, cell in enumerate(line):
            marks += _cell(cell, left + j * size, y, size)
    marks.append(Rect(left, top, columns * size, rows * size, LineKind.OUTLINE))
    marks += _row_numbers(shown, left, bottom, size)
    marks += _peg_numbers(shown, left, bottom, size, tongue.say("pegs"))
    y = bottom + 44
    for cell, words in shown.key:
        marks += _cell(cell, 24, y, 18.0)
        lines = wrapped(words, SHEET - 64)
        marks += paragraph(52, y + 13.5, lines)
        y += max(24.0, 10 + len(lines) * LABEL * 1.25)
    return Drawing(SHEET, y + 4, tuple(marks))


def _row_numbers(shown: ChartDrawing, left: float, bottom: float, size: float) -> Iterable[Mark]:
    """Row numbers at both sides; every second or fifth where rows are low."""
    step = 1 if size >= 13 else 2 if size >= 8 else 5
    right = left + len(shown.pegs) * size
    for i, row in enumerate(shown.rows):
        if i and row % step:
            continue
        y = bottom - (i + 0.5) * size + 4.2
        yield Text(left - 7, y, str(row), size=11.5, anchor=Anchor.END)
        yield Text(right + 7, y, str(row), size=11.5, anchor=Anchor.START)


def _peg_numbers(
    shown: ChartDrawing, left: float, bottom: float, size: float, name: str
) -> Iterable[Mark]:
    """The first peg, the last, and every fifth between, where there is room."""
    last = len(shown.pegs) - 1
    for j, peg in enumerate(shown.pegs):
        near = min(j, last - j) * size < 30 and j not in (0, last)
        if j in (0, last) or (int(peg[1:]) % 5 == 0 and not near):
            yield Text(left + (j + 0.5) * size, bottom + 16, peg, size=11.5)
    yield Text(left + (last + 1) * size / 2, bottom + 32, name, size=11.5, italic=True)


def _cell(cell: ChartCell, x: float, y: float, size: float) -> Iterable[Mark]:
    """A square with its sign; x and y are its upper left corner."""
    fill = Fill.SOFT if cell is ChartCell.NO_STITCH else Fill.PAPER
    yield Rect(x, y, size, size, LineKind.DIMENSION, fill)

    def at(across: float, down: float) -> tuple[float, float]:
        return x + across * size, y + down * size

    match cell:
        case ChartCell.PURL:
            yield Circle(*at(0.5, 0.5), size * 0.13, None, Fill.INK)
        case ChartCell.INCREASE:
            yield (
                Path(LineKind.OUTLINE, width=_BOLD)
                .move(*at(0.22, 0.2))
                .line(*at(0.5, 0.55))
                .line(*at(0.78, 0.2))
                .move(*at(0.5, 0.55))
                .line(*at(0.5, 0.85))
            )
        case ChartCell.DECREASE_RIGHT:
            yield Line(*at(0.2, 0.82), *at(0.8, 0.18), width=_BOLD)
        case ChartCell.DECREASE_LEFT:
            yield Line(*at(0.8, 0.82), *at(0.2, 0.18), width=_BOLD)
        case ChartCell.MOVED:
            yield Line(*at(0.28, 0.5), *at(0.72, 0.5), width=1.3)
            yield arrowhead(*at(0.88, 0.5), 0, size * 0.3)
            yield arrowhead(*at(0.12, 0.5), 180, size * 0.3)
        case ChartCell.TURN:
            yield (
                Path(LineKind.OUTLINE, width=1.4)
                .move(*at(0.2, 0.75))
                .line(*at(0.5, 0.75))
                .curve(*at(0.85, 0.75), *at(0.85, 0.28), *at(0.5, 0.28))
                .line(*at(0.36, 0.28))
            )
            yield arrowhead(*at(0.15, 0.28), 180, size * 0.3)
        case ChartCell.WAITING:
            yield Line(*at(0.38, 0.25), *at(0.38, 0.75), width=1.2)
            yield Line(*at(0.62, 0.25), *at(0.62, 0.75), width=1.2)
        case ChartCell.NO_STITCH:
            yield Line(*at(0.36, 0.36), *at(0.64, 0.64), LineKind.DIMENSION)
            yield Line(*at(0.36, 0.64), *at(0.64, 0.36), LineKind.DIMENSION)
        case ChartCell.KNIT:
            return
