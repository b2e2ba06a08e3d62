"""A template larger than a sheet of paper, laid out over several sheets that overlap.

Lengths are millimetres.  The template's x runs right and y up from the lower left corner of the
board; around the board lies a **surround** for words, a rule and the marks at the joints.  A
**tile** is the part of that plane which one sheet shows, at true scale.  Neighbours overlap; in the
middle of the overlap runs the **joint**, and on the joint lie **registration marks** (a circle with
a cross): the later sheet is cut along the joint, and its half marks are laid on those beneath.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product

from pegwright.loom.plan import Template
from pegwright.publish.pdf import Paper

__all__ = [
    "FOOT_MM",
    "HEAD_MM",
    "MARGIN_MM",
    "OVERLAP_MM",
    "SQUARE_MM",
    "Joint",
    "Layout",
    "Tile",
    "lay_out",
    "paper_mm",
]

MARGIN_MM = 10.0
"""Margin of a sheet: what common printers leave white is less (common practice, no source)."""

HEAD_MM = 15.0
"""Height kept for the sheet's heading."""

FOOT_MM = 62.0
"""Height kept for the square, the map of the sheets and the words beside them."""

OVERLAP_MM = 24.0
"""How far neighbouring sheets overlap."""

SQUARE_MM = 50.0
"""Side of the square that shows whether a print is at true scale."""

_LEFT_MM = _RIGHT_MM = 9.0
_ABOVE_MM = 15.0
_BELOW_MM = 18.0
_MARK_IN_MM = 5.5  # from the edge of the plane to a registration mark's middle
_CLEAR_OF_HOLES_MM = 8.0

_PAPERS = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}


@dataclass(frozen=True, slots=True)
class Joint:
    """Where two neighbouring sheets meet.

    :param along_x: the joint is upright (a place in x); otherwise level (a place in y).
    :param at_mm: that place.
    """

    along_x: bool
    at_mm: float


@dataclass(frozen=True, slots=True)
class Tile:
    """What one sheet shows.

    :param number: counted from 1, rows from the bottom, left to right.
    :param left_mm: the template's x at the tile's left side; the others alike.
    :param joins: joints at which a later sheet lies on this one.
    :param cuts: joints along which this sheet is cut, to lie on an earlier one.
    """

    number: int
    left_mm: float
    bottom_mm: float
    right_mm: float
    top_mm: float
    joins: tuple[Joint, ...]
    cuts: tuple[Joint, ...]

    @property
    def width_mm(self) -> float:
        """Width of the part shown."""
        return self.right_mm - self.left_mm

    @property
    def height_mm(self) -> float:
        """Height of the part shown."""
        return self.top_mm - self.bottom_mm

    def holds(self, x_mm: float, y_mm: float, reach_mm: float = 0.0) -> bool:
        """Whether a place, with so much around it, lies wholly on the tile."""
        return (
            self.left_mm <= x_mm - reach_mm
            and x_mm + reach_mm <= self.right_mm
            and self.bottom_mm <= y_mm - reach_mm
            and y_mm + reach_mm <= self.top_mm
        )


@dataclass(frozen=True, slots=True)
class Layout:
    """A template over sheets of paper.

    :param landscape: the sheets lie on their long side.
    :param plane: left, bottom, right and top of the whole plane, the surround included.
    :param marks: middles of all registration marks.
    """

    paper: Paper
    landscape: bool
    columns: int
    rows: int
    plane: tuple[float, float, float, float]
    tiles: tuple[Tile, ...]
    marks: tuple[tuple[float, float], ...]

    @property
    def sheet_mm(self) -> tuple[float, float]:
        """Width and height of a sheet as it lies."""
        return paper_mm(self.paper, landscape=self.landscape)


def paper_mm(paper: Paper, *, landscape: bool = False) -> tuple[float, float]:
    """Width and height of a sheet (ISO 216; 8 1/2 by 11 in)."""
    wide, high = _PAPERS[paper]
    return (high, wide) if landscape else (wide, high)


def lay_out(template: Template, paper: Paper) -> Layout:
    """The template over as few sheets as will do, lying or standing, whichever needs fewer."""
    choices = [_laid(template, paper, landscape) for landscape in (True, False)]
    return min(choices, key=lambda layout: len(layout.tiles))


def _laid(template: Template, paper: Paper, landscape: bool) -> Layout:
    sheet_w, sheet_h = paper_mm(paper, landscape=landscape)
    room_w, room_h = sheet_w - 2 * MARGIN_MM, sheet_h - 2 * MARGIN_MM - HEAD_MM - FOOT_MM
    plane = (
        -_LEFT_MM,
        -_BELOW_MM,
        template.length_mm + _RIGHT_MM,
        template.width_mm + _ABOVE_MM,
    )
    across = _spans(plane[0], plane[2], room_w)
    up = _spans(plane[1], plane[3], room_h)
    tiles = tuple(
        _tile(number, c, r, across, up)
        for number, (r, c) in enumerate(product(range(len(up)), range(len(across))), start=1)
    )
    marks = _marks(template, across, up)
    return Layout(paper, landscape, len(across), len(up), plane, tiles, marks)


def _spans(low: float, high: float, room: float) -> tuple[tuple[float, float], ...]:
    """Overlapping stretches that cover a length, none longer than the room, all alike."""
    count = max(1, math.ceil((high - low - OVERLAP_MM) / (room - OVERLAP_MM) - 1e-9))
    long = (high - low + (count - 1) * OVERLAP_MM) / count
    step = long - OVERLAP_MM
    return tuple((low + i * step, low + i * step + long) for i in range(count))


def _tile(
    number: int,
    column: int,
    row: int,
    across: tuple[tuple[float, float], ...],
    up: tuple[tuple[float, float], ...],
) -> Tile:
    (left, right), (bottom, top) = across[column], up[row]
    half = OVERLAP_MM / 2
    joins, cuts = [], []
    if column + 1 < len(across):
        joins.append(Joint(True, right - half))
    if row + 1 < len(up):
        joins.append(Joint(False, top - half))
    if column:
        cuts.append(Joint(True, left + half))
    if row:
        cuts.append(Joint(False, bottom + half))
    return Tile(number, left, bottom, right, top, tuple(joins), tuple(cuts))


def _marks(
    template: Template,
    across: tuple[tuple[float, float], ...],
    up: tuple[tuple[float, float], ...],
) -> tuple[tuple[float, float], ...]:
    """Two marks on every stretch of a joint, as far apart as the sheet allows, clear of holes."""
    half = OVERLAP_MM / 2
    found = []
    for (_, right), (bottom, top) in product(across[:-1], _single(up)):
        x = right - half
        low = _clear(template, x, bottom + _MARK_IN_MM, 1.0, upright=True)
        high = _clear(template, x, top - _MARK_IN_MM, -1.0, upright=True)
        found += [(x, low), (x, high)]
    for (_, top), (left, right) in product(up[:-1], _single(across)):
        y = top - half
        low = _clear(template, y, left + _MARK_IN_MM, 1.0, upright=False)
        high = _clear(template, y, right - _MARK_IN_MM, -1.0, upright=False)
        found += [(low, y), (high, y)]
    return tuple(found)


def _single(spans: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """The stretches less what they share with a neighbour."""
    last = len(spans) - 1
    return [
        (low + (OVERLAP_MM if i else 0.0), high - (OVERLAP_MM if i < last else 0.0))
        for i, (low, high) in enumerate(spans)
    ]


def _clear(template: Template, fixed: float, start: float, step: float, *, upright: bool) -> float:
    """The first place from ``start`` on at which a mark lies on no hole."""
    at = start
    for _ in range(40):
        x, y = (fixed, at) if upright else (at, fixed)
        if all(math.hypot(h.x_mm - x, h.y_mm - y) > _CLEAR_OF_HOLES_MM for h in template.holes):
            return at
        at += step
    return start
