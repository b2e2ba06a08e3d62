"""How pieces are made up, in numbered stages: outlines whose edges are told apart by their lines.

A plain edge is a whole line; a fold is dashes and dots; a seam carries chain stitches; live loops
stand along their edge; a gathered edge is wavy with the yarn through it; an opening shows the far
layer behind the near one.  A key under the stages names every kind that occurs.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from pegwright.pattern.model import Edge, EdgeRole, Outline, Stage, StagesDrawing
from pegwright.publish.drawing import (
    Anchor,
    Circle,
    Drawing,
    Fill,
    Group,
    Line,
    LineKind,
    Mark,
    Path,
    Text,
)
from pegwright.publish.figure_marks import (
    LABEL,
    SHEET,
    arrowhead,
    badge,
    haloed,
    paragraph,
    wrapped,
)
from pegwright.tongue.said import say
from pegwright.tongue.tongue import ENGLISH, Tongue

__all__ = ["draw_stages"]

_CELL = SHEET / 2
_WIDEST = 102.0
_TALLEST = 178.0
_LINE = LABEL * 1.2
_CAPTION = LABEL * 1.25
_ROOM = 12.0  # from an edge to its name
_LEVEL = 0.98  # an edge whose normal points so far one way lies level or stands upright
_BEHIND = 5.0  # how far a second layer peeps out

_KEY = {
    EdgeRole.SEAM: say("sewn"),
    EdgeRole.FOLD: say("fold"),
    EdgeRole.GATHER: say("gathered"),
    EdgeRole.OPENING: say("open"),
    EdgeRole.LIVE: say("open loops"),
}

Point = tuple[float, float]


# --- the sheet -----------------------------------------------------------------------------------


def draw_stages(shown: StagesDrawing, tongue: Tongue = ENGLISH) -> Drawing:
    """The stages two by two, all to one scale, with the key of their edges."""
    scale = _scale(shown.stages)
    marks: list[Mark] = []
    y, number = 0.0, 0
    for first in range(0, len(shown.stages), 2):
        row = shown.stages[first : first + 2]
        frames = [_Frame.of(stage, scale) for stage in row]
        captions = [wrapped(stage.caption, _CELL - 44) for stage in row]
        above = max(f.above for f in frames)
        tall = max(f.height for f in frames)
        base = y + above + tall
        lowest = base + max(f.below for f in frames)
        for column, (stage, frame) in enumerate(zip(row, frames, strict=True)):
            number += 1
            middle = SHEET / 2 if len(shown.stages) == 1 else _CELL * (column + 0.5)
            sunk = (tall - frame.height) / 2
            marks.append(Group(tuple(_stage(stage, frame)), middle, base - sunk))
            left = middle - _CELL / 2
            marks += badge(left + 16, lowest + 16, str(number))
            marks += paragraph(left + 33, lowest + 20.5, captions[column])
        y = lowest + 34 + max(len(c) for c in captions) * _CAPTION
    key = tuple(_key(shown.stages, y + 8, tongue))
    rows = (len(_roles(shown.stages)) + 1) // 2
    return Drawing(SHEET, y + 12 + rows * 24, (*marks, *key))


def _roles(stages: Iterable[Stage]) -> list[EdgeRole]:
    """The kinds of edge that are drawn and want a key, in the order of the key."""
    used = {
        edge.role
        for stage in stages
        for outline in stage.outlines
        for edge in (*outline.edges, *(line.edge for line in outline.inner))
    }
    return [role for role in _KEY if role in used]


def _key(stages: tuple[Stage, ...], top: float, tongue: Tongue) -> Iterable[Mark]:
    for i, role in enumerate(_roles(stages)):
        x, y = 24 + _CELL * (i % 2), top + 8 + 24 * (i // 2)
        yield from _edge((x, y), (x + 40, y), Edge(role), (0.0, -1.0))
        yield Text(x + 52, y + LABEL * 0.36, tongue.speak(_KEY[role]), anchor=Anchor.START)


def _scale(stages: Iterable[Stage]) -> float:
    """Units to a millimetre, the same in every stage."""
    points = [[p for o in s.outlines for p in o.points] for s in stages]
    widest = max(max(x for x, _ in ps) - min(x for x, _ in ps) for ps in points)
    tallest = max(max(y for _, y in ps) - min(y for _, y in ps) for ps in points)
    return min(_WIDEST / max(widest, 1e-6), _TALLEST / max(tallest, 1e-6))


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where a stage stands: its scale, its middle and its foot in mm, and the room it takes."""

    scale: float
    middle_mm: float
    foot_mm: float
    height: float
    above: float
    below: float

    @classmethod
    def of(cls, stage: Stage, scale: float) -> _Frame:
        points = [p for o in stage.outlines for p in o.points]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        foot, head = min(ys), max(ys)
        flat = [
            (edge, a, b)
            for outline in stage.outlines
            for edge, a, b in _edges(outline)
            if edge.label and abs(b[1] - a[1]) < abs(b[0] - a[0])
        ]
        over = [len(_flat_lines(e)) for e, a, b in flat if (a[1] + b[1]) / 2 > (foot + head) / 2]
        under = [len(_flat_lines(e)) for e, a, b in flat if (a[1] + b[1]) / 2 <= (foot + head) / 2]
        drop = 44.0 if any(y < (foot + head) / 2 for o in stage.outlines for _, y in o.ends) else 8
        return cls(
            scale,
            (min(xs) + max(xs)) / 2,
            foot,
            (head - foot) * scale,
            18.0 + max(over, default=0) * _LINE,
            max(drop, 14.0 + max(under, default=0) * _LINE),
        )

    def at(self, point: Point) -> Point:
        """A point of the piece on the sheet, y downwards."""
        x, y = point
        return (x - self.middle_mm) * self.scale, (self.foot_mm - y) * self.scale


def _edges(outline: Outline) -> Iterable[tuple[Edge, Point, Point]]:
    ahead = (*outline.points[1:], outline.points[0])
    return zip(outline.edges, outline.points, ahead, strict=True)


# --- a stage -------------------------------------------------------------------------------------


def _stage(stage: Stage, frame: _Frame) -> Iterable[Mark]:
    for outline in stage.outlines:
        yield from _outline(outline, frame)
    for arrow in stage.arrows:
        yield from _arrow(frame.at(arrow.start), frame.at(arrow.end))


def _outline(outline: Outline, frame: _Frame) -> Iterable[Mark]:
    points = [frame.at(p) for p in outline.points]
    doubled = _shows_behind(outline)
    if doubled:
        behind = [(x + _BEHIND, y - _BEHIND) for x, y in points]
        yield _polygon(behind, LineKind.OUTLINE, Fill.PAPER)
    yield _polygon(points, None, Fill.SOFT)
    drawn = sorted(_edges(outline), key=lambda e: e[0].role is EdgeRole.OPENING)
    for edge, a, b in drawn:
        start, end = frame.at(a), frame.at(b)
        yield from _edge(start, end, edge, _outwards(start, end))
    for line in outline.inner:
        yield from _inner(frame.at(line.start), frame.at(line.end), line.edge)
    for edge, a, b in _edges(outline):
        start, end = frame.at(a), frame.at(b)
        out = _outwards(start, end)
        past = _BEHIND + 1 if doubled and (out[0] > _LEVEL or out[1] < -_LEVEL) else 0.0
        yield from _label(start, end, edge, out, past)
    for i, point in enumerate(outline.ends):
        yield from _cord_end(frame.at(point), i)


def _shows_behind(outline: Outline) -> bool:
    """Whether a second layer peeps out; an opening or a gathered edge shows the layers itself."""
    roles = {edge.role for edge in outline.edges}
    return outline.layers > 1 and not roles & {EdgeRole.OPENING, EdgeRole.GATHER}


def _polygon(points: list[Point], kind: LineKind | None, fill: Fill) -> Path:
    path = Path(kind, fill).move(*points[0])
    for point in points[1:]:
        path = path.line(*point)
    return path.close()


def _outwards(start: Point, end: Point) -> Point:
    """The unit normal that points out of an outline, as drawn (its corners run anticlockwise)."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = math.hypot(dx, dy) or 1.0
    return -dy / length, dx / length


# --- edges ---------------------------------------------------------------------------------------


def _edge(start: Point, end: Point, edge: Edge, out: Point) -> Iterable[Mark]:
    match edge.role:
        case EdgeRole.PLAIN:
            yield Line(*start, *end)
        case EdgeRole.FOLD:
            yield Line(*start, *end, LineKind.FOLD, 1.8)
        case EdgeRole.SEAM:
            yield Line(*start, *end)
            yield from _chain(start, end)
        case EdgeRole.GATHER:
            yield from _gathered(start, end, out)
        case EdgeRole.OPENING:
            yield _lens(start, end, out)
        case EdgeRole.LIVE:
            yield Line(*start, *end, width=0.9)
            yield from _loops(start, end, out)


def _along(start: Point, end: Point, part: float, across: float, out: Point) -> Point:
    x = start[0] + (end[0] - start[0]) * part + out[0] * across
    return x, start[1] + (end[1] - start[1]) * part + out[1] * across


def _chain(start: Point, end: Point) -> Iterable[Mark]:
    """Chain stitches along a line: links, each out of the one before."""
    length = math.dist(start, end)
    count = max(2, round(length / 9.5))
    side = _outwards(start, end)
    for i in range(count):
        a, b = i / count, (i + 1.12) / count
        near = a + 0.3 / count

        def at(part: float, across: float) -> Point:
            return _along(start, end, part, across, side)

        yield (
            Path(LineKind.OUTLINE, Fill.PAPER, width=1.5)
            .move(*at(a, 0))
            .curve(*at(near, 5.2), *at(b, 4.6), *at(b, 0))
            .curve(*at(b, -4.6), *at(near, -5.2), *at(a, 0))
        )


def _gathered(start: Point, end: Point, out: Point) -> Iterable[Mark]:
    """A frill of cloth beyond the yarn, and the yarn with its knot."""
    count = max(3, round(math.dist(start, end) / 9))
    frill = Path(LineKind.OUTLINE, Fill.SOFT).move(*start)
    for i in range(count):
        a, b = i / count, (i + 1) / count
        frill = frill.curve(
            *_along(start, end, a + 0.15 / count, 9.0, out),
            *_along(start, end, b - 0.15 / count, 9.0, out),
            *_along(start, end, b, 3.0 if i + 1 < count else 0.0, out),
        )
    yield frill
    yield Path(LineKind.YARN_FIRST, halo=1.0).move(*start).line(*end)


def _lens(start: Point, end: Point, out: Point) -> Path:
    """An opening: the near edge curves inwards and the far one outwards."""
    deep = min(9.0, 0.14 * math.dist(start, end))
    return (
        Path(LineKind.OUTLINE, Fill.PAPER)
        .move(*start)
        .curve(*_along(start, end, 0.25, deep, out), *_along(start, end, 0.75, deep, out), *end)
        .curve(*_along(start, end, 0.75, -deep, out), *_along(start, end, 0.25, -deep, out), *start)
        .close()
    )


def _loops(start: Point, end: Point, out: Point) -> Iterable[Mark]:
    """Loops that stand open along an edge."""
    count = max(3, round(math.dist(start, end) / 8))
    path = Path(LineKind.OUTLINE, width=1.3)
    for i in range(count):
        a, b = (i + 0.2) / count, (i + 0.8) / count
        path = path.move(*_along(start, end, a, 0, out)).curve(
            *_along(start, end, a - 0.15 / count, 8.5, out),
            *_along(start, end, b + 0.15 / count, 8.5, out),
            *_along(start, end, b, 0, out),
        )
    yield path


def _inner(start: Point, end: Point, edge: Edge) -> Iterable[Mark]:
    side = _outwards(start, end)
    if edge.role is EdgeRole.FOLD:
        beyond = 8.0 / (math.dist(start, end) or 1.0)
        a, b = _along(start, end, -beyond, 0, side), _along(start, end, 1 + beyond, 0, side)
        yield Line(*a, *b, LineKind.FOLD)
    elif edge.role is EdgeRole.PLAIN:
        yield Line(*start, *end, LineKind.GUIDE)
    else:
        yield from _edge(start, end, edge, side)
    if edge.label:
        x, y = _along(start, end, 0.5, 0, side)
        upright = abs(end[1] - start[1]) > abs(end[0] - start[0])
        yield from haloed(x, y, edge.label, turn_deg=-90 if upright else 0)


# --- names, arrows, cords ------------------------------------------------------------------------


_BULGE = {EdgeRole.LIVE: 6.0, EdgeRole.GATHER: 6.0, EdgeRole.OPENING: 4.0, EdgeRole.SEAM: 3.0}


def _flat_lines(edge: Edge) -> tuple[str, ...]:
    return wrapped(edge.label, _CELL - 24)


def _label(start: Point, end: Point, edge: Edge, out: Point, past: float) -> Iterable[Mark]:
    """An edge's name beside it: above or below, turned at the sides, running outwards on a slant.

    ``past`` is how far the layer behind reaches out there.
    """
    if not edge.label:
        return
    away = _ROOM + _BULGE.get(edge.role, 0.0) + past
    x, y = _along(start, end, 0.5, away, out)
    if abs(out[1]) > _LEVEL:
        lines = _flat_lines(edge)
        first = y + LABEL * 0.7 if out[1] > 0 else y - (len(lines) - 1) * _LINE + 3
        yield from paragraph(x, first, lines, anchor=Anchor.MIDDLE)
    elif abs(out[0]) > _LEVEL:
        lines = wrapped(edge.label, max(math.dist(start, end) + 30, 70))
        for i, words in enumerate(lines):
            shift = i * _LINE + LABEL * 0.7 if out[0] > 0 else (i - len(lines) + 1) * _LINE
            yield Text(x + shift, y, words, turn_deg=-90)
    else:
        anchor = Anchor.START if out[0] > 0 else Anchor.END
        yield from paragraph(x, y + LABEL * 0.36, (edge.label,), anchor=anchor)


def _arrow(start: Point, end: Point) -> Iterable[Mark]:
    """A bent arrow: what lies at its tail comes to lie at its head."""
    side = _outwards(start, end)
    if side[0] < 0:
        side = -side[0], -side[1]
    bend = 0.1 * math.dist(start, end)
    one, two = _along(start, end, 0.25, bend, side), _along(start, end, 0.75, bend, side)
    angle = math.degrees(math.atan2(end[1] - two[1], end[0] - two[0]))
    yield Path(LineKind.OUTLINE, width=2.2, halo=2.0).move(*start).curve(*one, *two, *end)
    yield arrowhead(*end, angle, size=11)


def _cord_end(point: Point, number: int) -> Iterable[Mark]:
    """A free end of a cord with its knot; every second one hangs beside the first."""
    x, y = point
    dx, drop = (30.0, 34.0) if number % 2 == 0 else (44.0, 27.0)
    yield (
        Path(LineKind.YARN_FIRST, halo=1.2)
        .move(x, y)
        .curve(x + dx * 0.7, y - 3, x + dx + 2, y + 8, x + dx - 1, y + drop)
    )
    yield Circle(x + dx - 1, y + drop, 3.2, LineKind.OUTLINE, Fill.YARN_FIRST)
