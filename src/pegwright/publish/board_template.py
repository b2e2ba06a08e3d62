"""The drilling template drawn: at true scale, whole or one tile of it, in black on white.

A drawing unit is a CSS pixel, 1/96 in, so that a file opened in a browser or a drawing program has
its true size.  On it are the outline, the row's centre line, every hole as a circle with a cross
through its middle, its number and its distance from the left end in mm, the bolts' lines, a rule
along the edge, and the marks at the joints of sheets.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from pegwright.loom.plan import Template, TemplateHole
from pegwright.publish.board_tiles import SQUARE_MM, Joint, Layout, Tile
from pegwright.publish.drawing import (
    Anchor,
    Circle,
    Drawing,
    Fill,
    Line,
    LineKind,
    Mark,
    Rect,
    SvgStyle,
    Text,
    text_width,
)

__all__ = ["IN_BLACK", "UNITS_PER_MM", "draw_map", "draw_square", "draw_tile", "draw_whole"]

UNITS_PER_MM = 96 / 25.4
"""Drawing units in a millimetre (CSS Values and Units: 96 px to the inch)."""

IN_BLACK = SvgStyle(
    ink="#000000",
    paper="#ffffff",
    soft="#e4e4e4",
    quiet="#000000",
    yarn_first="#000000",
    yarn_second="#000000",
)
"""Black on white: what every printer prints sharply."""

_FINE = 0.6  # width of lines through the middle of a hole, units
_MARK_R_MM = 2.5
_MARK_ARM_MM = 4.5
_LARGE, _SMALL = 9.5, 7.5  # sizes of letters, units


@dataclass(frozen=True, slots=True)
class _Window:
    """A part of the template's plane as a drawing."""

    template: Template
    left: float
    bottom: float
    right: float
    top: float

    def at(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """A place of the plane in units, y down."""
        return (x_mm - self.left) * UNITS_PER_MM, (self.top - y_mm) * UNITS_PER_MM

    def line(
        self, x1: float, y1: float, x2: float, y2: float, kind: LineKind, width: float | None = None
    ) -> Iterator[Line]:
        """A straight line, as much of it as lies in the window."""
        kept = _clipped((x1, y1), (x2, y2), (self.left, self.bottom), (self.right, self.top))
        if kept is not None:
            yield Line(*self.at(*kept[0]), *self.at(*kept[1]), kind, width)

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float = _LARGE,
        anchor: Anchor = Anchor.MIDDLE,
        *,
        bold: bool = False,
        turn_deg: float = 0.0,
    ) -> Iterator[Text]:
        """Words on a baseline, left out where they would not lie wholly in the window."""
        wide = text_width(words, size) / UNITS_PER_MM
        before = {Anchor.START: 0.0, Anchor.MIDDLE: wide / 2, Anchor.END: wide}[anchor]
        if turn_deg:
            inside = self.left + 2 < x < self.right - 2
        else:
            inside = self.left <= x - before and x - before + wide <= self.right
        if inside and self.bottom <= y <= self.top:
            yield Text(*self.at(x, y), words, size, anchor, bold=bold, turn_deg=turn_deg)

    def sees(self, x: float, y: float, reach: float) -> bool:
        """Whether a place with so much around it lies in the window."""
        return (
            self.left <= x - reach
            and x + reach <= self.right
            and self.bottom <= y - reach
            and y + reach <= self.top
        )

    def drawing(self, marks: Iterator[Mark]) -> Drawing:
        """The marks on a sheet as large as the window."""
        wide, high = self.right - self.left, self.top - self.bottom
        return Drawing(wide * UNITS_PER_MM, high * UNITS_PER_MM, tuple(marks))


def draw_whole(layout: Layout, template: Template) -> Drawing:
    """The whole template at true scale, with no joints."""
    return _Window(template, *layout.plane).drawing(_content(_Window(template, *layout.plane)))


def draw_tile(layout: Layout, template: Template, tile: Tile) -> Drawing:
    """One tile at true scale, with its joints and registration marks."""
    window = _Window(template, tile.left_mm, tile.bottom_mm, tile.right_mm, tile.top_mm)

    def marks() -> Iterator[Mark]:
        yield from _content(window)
        for joint in tile.joins:
            yield from _joint(window, joint, "next sheet", waste=False)
        for joint in tile.cuts:
            yield from _joint(window, joint, "cut here", waste=True)
        for x, y in layout.marks:
            if tile.holds(x, y, _MARK_ARM_MM):
                yield from _registration(window, x, y)

    return window.drawing(marks())


def draw_square() -> Drawing:
    """The square that shows whether the print is at true scale, marked every 10 mm."""
    side, room = SQUARE_MM * UNITS_PER_MM, 1.0 * UNITS_PER_MM
    marks: list[Mark] = [Rect(room, room, side, side, LineKind.OUTLINE)]
    for i in range(1, 5):
        at, tick = room + i * side / 5, 2 * UNITS_PER_MM
        marks += [
            Line(at, room, at, room + tick, LineKind.DIMENSION),
            Line(room, at, room + tick, at, LineKind.DIMENSION),
        ]
    words = (f"{SQUARE_MM:g} mm", "each side,", "or print again", "at 100 %")
    for i, line in enumerate(words):
        size = 15.0 if i == 0 else 11.0
        y = room + side * 0.42 + i * 15
        marks.append(Text(room + side / 2, y, line, size, bold=i == 0))
    return Drawing(side + 2 * room, side + 2 * room, tuple(marks))


def draw_map(layout: Layout, template: Template, shown: Tile) -> Drawing:
    """Every sheet in its place, the one shown filled, with the outline of the board."""
    left, bottom, right, top = layout.plane
    scale = min(300.0 / (right - left), 150.0 / (top - bottom))

    def at(x: float, y: float) -> tuple[float, float]:
        return (x - left) * scale + 2, (top - y) * scale + 2

    marks: list[Mark] = []
    for tile in sorted(layout.tiles, key=lambda t: t.number == shown.number):
        x, y = at(tile.left_mm, tile.top_mm)
        here = tile.number == shown.number
        box = (x, y, tile.width_mm * scale, tile.height_mm * scale)
        marks.append(Rect(*box, LineKind.OUTLINE if here else LineKind.DIMENSION,
                          Fill.SOFT if here else Fill.NONE))  # fmt: skip
    marks += _map_outline(template, at, scale)
    for tile in layout.tiles:
        low = max([tile.left_mm, *(j.at_mm for j in tile.cuts if j.along_x)])
        high = min([tile.right_mm, *(j.at_mm for j in tile.joins if j.along_x)])
        x, y = at((low + high) / 2, (tile.top_mm + tile.bottom_mm) / 2)
        here = tile.number == shown.number
        marks.append(Circle(x, y, 8.5, LineKind.DIMENSION, Fill.INK if here else Fill.PAPER))
        ink = Fill.PAPER if here else Fill.INK
        marks.append(Text(x, y + 3.8, f"{tile.number}", 11.0, bold=here, fill=ink))
    return Drawing((right - left) * scale + 4, (top - bottom) * scale + 4, tuple(marks))


def _map_outline(
    template: Template, at: Callable[[float, float], tuple[float, float]], scale: float
) -> list[Mark]:
    if template.radii_mm:
        middle = at(*template.centre_mm)
        return [Circle(*middle, r * scale, LineKind.OUTLINE) for r in template.radii_mm[::2]]
    x, y = at(0.0, template.width_mm)
    return [Rect(x, y, template.length_mm * scale, template.width_mm * scale, LineKind.OUTLINE)]


# --- what is on it -------------------------------------------------------------------------------


def _content(window: _Window) -> Iterator[Mark]:
    template = window.template
    yield from _outline(window)
    if template.radii_mm:
        yield from _ring_lines(window)
    else:
        yield from _row_line(window)
        yield from _edges(window)
    for x in template.bolts_x_mm:
        yield from _bolt(window, x)
    for hole in template.holes:
        if window.sees(hole.x_mm, hole.y_mm, hole.diameter_mm / 2):
            yield from _hole(window, hole)
    yield from _rule(window)


def _outline(window: _Window) -> Iterator[Mark]:
    t = window.template
    corners = ((0.0, 0.0), (t.length_mm, 0.0), (t.length_mm, t.width_mm), (0.0, t.width_mm))
    kind = LineKind.GUIDE if t.radii_mm else LineKind.OUTLINE
    for (x1, y1), (x2, y2) in zip(corners, (*corners[1:], corners[0]), strict=True):
        yield from window.line(x1, y1, x2, y2, kind)


def _row_line(window: _Window) -> Iterator[Mark]:
    t = window.template
    y = t.row_y_mm or 0.0
    yield from window.line(-6, y, t.length_mm + 6, y, LineKind.FOLD, 0.7)


def _ring_lines(window: _Window) -> Iterator[Mark]:
    t = window.template
    cx, cy = t.centre_mm
    for radius, kind in zip(
        t.radii_mm, (LineKind.OUTLINE, LineKind.FOLD, LineKind.OUTLINE), strict=True
    ):
        yield from _round(window, cx, cy, radius, kind)
    rim = t.radii_mm[2]
    for dx, dy in ((1, 0), (0, 1)):  # the middle, and where its lines meet the rim
        for low, high in ((-12.0, 12.0), (rim, rim + 5), (-rim - 5, -rim)):
            yield from window.line(
                cx + low * dx, cy + low * dy, cx + high * dx, cy + high * dy, LineKind.DIMENSION
            )


def _round(window: _Window, cx: float, cy: float, radius: float, kind: LineKind) -> Iterator[Mark]:
    """A circle, or those parts of it that lie in the window, as short straight lines."""
    if window.sees(cx, cy, radius):
        yield Circle(*window.at(cx, cy), radius * UNITS_PER_MM, kind)
        return
    # A chord of 1 mm leaves the circle by 1/(8 r) mm: 0.0025 mm at a radius of 50 mm.
    count = max(64, math.ceil(2 * math.pi * radius))
    if kind is LineKind.FOLD:
        kind = LineKind.DIMENSION  # dashes would begin anew on every chord
    turns = [2 * math.pi * i / count for i in range(count + 1)]
    points = [(cx + radius * math.cos(t), cy + radius * math.sin(t)) for t in turns]
    for (x1, y1), (x2, y2) in pairwise(points):
        yield from window.line(x1, y1, x2, y2, kind)


def _edges(window: _Window) -> Iterator[Mark]:
    """What each edge is, in words on the outer side of it."""
    t = window.template
    double = len(t.boards) == 2
    middle = min(max((window.left + window.right) / 2, 0.0), t.length_mm)
    above = "inner edge: it faces the other board" if double else "far edge"
    yield from window.text(middle, t.width_mm + 2.2, above, bold=double)
    below = "outer edge" if double else "near edge"
    yield from window.text(middle, 2.0, below)
    for x, words, dx in ((0.0, "left end", -2.2), (t.length_mm, "right end", 4.4)):
        yield from window.text(x + dx, t.width_mm / 2, words, _SMALL, turn_deg=-90)


def _bolt(window: _Window, x: float) -> Iterator[Mark]:
    t = window.template
    yield from window.line(x, -3, x, t.width_mm + 3, LineKind.FOLD, 0.7)
    words = "bolt, edge to edge"
    yield from window.text(x - 1.2, t.width_mm / 2, words, _SMALL, turn_deg=-90)


def _hole(window: _Window, hole: TemplateHole) -> Iterator[Mark]:
    t = window.template
    x, y, r = hole.x_mm, hole.y_mm, hole.diameter_mm / 2
    yield Circle(*window.at(x, y), r * UNITS_PER_MM, LineKind.DIMENSION)
    arm = r + 1.3
    yield from window.line(x - arm, y, x + arm, y, LineKind.DIMENSION, _FINE)
    yield from window.line(x, y - arm, x, y + arm, LineKind.DIMENSION, _FINE)
    fifth = hole.number % 5 == 0 or hole.number in (1, len(t.holes))
    size = min(_LARGE, max(5.0, _pitch(t) * 1.05))
    if t.radii_mm:
        cx, cy = t.centre_mm
        far = math.hypot(x - cx, y - cy) or 1.0
        out = r + 4.2
        nx, ny = x + (x - cx) / far * out, y + (y - cy) / far * out
        yield from window.text(nx, ny - 0.9, f"{hole.number}", size, bold=fifth)
        return
    yield from window.text(x, y + arm + 0.8, f"{hole.number}", size, bold=fifth)
    if _pitch(t) >= 3.5 and y - arm > 9.0:
        words = f"{round(x + 1e-9, 1):.1f}"
        down = y - arm - 0.8
        yield from window.text(x + 0.95, down, words, _SMALL, Anchor.END, turn_deg=-90)


def _pitch(t: Template) -> float:
    if len(t.holes) < 2:
        return 20.0
    a, b = t.holes[:2]
    return math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)


def _rule(window: _Window) -> Iterator[Mark]:
    """A rule below the board, in mm from its left end."""
    t = window.template
    y = -4.0
    yield from window.line(0, y, t.length_mm, y, LineKind.DIMENSION)
    for mm in range(0, math.floor(t.length_mm) + 1, 5):
        tall = 2.6 if mm % 50 == 0 else 1.8 if mm % 10 == 0 else 1.0
        yield from window.line(mm, y, mm, y - tall, LineKind.DIMENSION)
        if mm % 50 == 0:
            yield from window.text(mm, y - 5.4, f"{mm}", _SMALL)
    yield from window.text(t.length_mm, y - 8.6, "mm from the left end", _SMALL, Anchor.END)


def _joint(window: _Window, joint: Joint, words: str, *, waste: bool) -> Iterator[Mark]:
    """The joint as a dotted line; its words stand on paper that is cut off or covered."""
    at = joint.at_mm
    if joint.along_x:
        yield from window.line(at, window.bottom, at, window.top, LineKind.GUIDE, 1.2)
        x, anchor = (at - 1.5, Anchor.END) if waste else (at + 1.5, Anchor.START)
        yield from window.text(x, window.top - 12.6, words, _SMALL, anchor)
        return
    yield from window.line(window.left, at, window.right, at, LineKind.GUIDE, 1.2)
    y = at - 3.2 if waste else at + 1.4
    yield from window.text((window.left + 2 * window.right) / 3, y, words, _SMALL)


def _registration(window: _Window, x: float, y: float) -> Iterator[Mark]:
    yield Circle(*window.at(x, y), _MARK_R_MM * UNITS_PER_MM, LineKind.DIMENSION)
    yield from window.line(x - _MARK_ARM_MM, y, x + _MARK_ARM_MM, y, LineKind.DIMENSION)
    yield from window.line(x, y - _MARK_ARM_MM, x, y + _MARK_ARM_MM, LineKind.DIMENSION)


_Point = tuple[float, float]


def _clipped(a: _Point, b: _Point, low: _Point, high: _Point) -> tuple[_Point, _Point] | None:
    """The part of a segment that lies in a box, or None (Liang and Barsky 1984, from memory)."""
    first, last = 0.0, 1.0
    for axis in (0, 1):
        step = b[axis] - a[axis]
        for edge, sign in ((low[axis], 1.0), (high[axis], -1.0)):
            inside = sign * (a[axis] - edge)
            slope = sign * step
            if slope == 0:
                if inside < 0:
                    return None
            elif slope > 0:
                first = max(first, -inside / slope)
            else:
                last = min(last, -inside / slope)
    if first > last:
        return None
    return _between(a, b, first), _between(a, b, last)


def _between(a: _Point, b: _Point, part: float) -> _Point:
    return a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])
