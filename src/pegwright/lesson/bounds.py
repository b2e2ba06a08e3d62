"""What room marks take on their sheet, and where a figure may be cut into bands."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from pegwright.publish.drawing import (
    Anchor,
    Arc,
    Circle,
    Drawing,
    Group,
    Line,
    Mark,
    Path,
    Rect,
    Text,
    text_width,
)

__all__ = ["Box", "bands", "bounds"]


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle, units, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def __or__(self, other: Box) -> Box:
        return Box(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )

    def moved(self, dx: float, dy: float) -> Box:
        """The box elsewhere."""
        return Box(self.left + dx, self.top + dy, self.right + dx, self.bottom + dy)

    def wider(self, by: float) -> Box:
        """The box with so much more on every side."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)


def bounds(marks: Iterable[Mark]) -> Box | None:
    """The box round all marks, lines' widths included; None where there are none."""
    whole: Box | None = None
    for mark in marks:
        box = _bounds(mark)
        if box is not None:
            whole = box if whole is None else whole | box
    return whole


def _bounds(mark: Mark) -> Box | None:
    match mark:
        case Line():
            box = _round(((mark.x1, mark.y1), (mark.x2, mark.y2)))
            return box.wider((mark.width or mark.kind.width) / 2)
        case Arc() | Circle():
            r = mark.radius + 1.5
            return Box(mark.cx - r, mark.cy - r, mark.cx + r, mark.cy + r)
        case Rect():
            return Box(mark.x, mark.y, mark.x + mark.width, mark.y + mark.height).wider(1.0)
        case Path():
            points = [p for letter, numbers in mark.steps for p in _points(letter, numbers)]
            width = mark.width or (mark.kind.width if mark.kind else 0.0)
            return _round(points).wider(width / 2 + mark.halo) if points else None
        case Text():
            return _text(mark)
        case Group():
            inner = bounds(mark.marks)
            return None if inner is None else inner.moved(mark.dx, mark.dy)


def _points(letter: str, numbers: tuple[float, ...]) -> list[tuple[float, float]]:
    """The points of a step of a path, its control points among them."""
    if letter == "A":  # part of a circle reaches at most its diameter beyond its ends
        r, x, y = numbers[0], numbers[-2], numbers[-1]
        return [(x - r, y - r), (x + r, y + r)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def _round(points: Iterable[tuple[float, float]]) -> Box:
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def _text(text: Text) -> Box:
    width = text_width(text.words, text.size)
    part = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[text.anchor]
    corners = [
        (-width * part, -text.size),
        (width * (1 - part), text.size * 0.3),
        (width * (1 - part), -text.size),
        (-width * part, text.size * 0.3),
    ]
    turn = math.radians(text.turn_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    return _round([(text.x + x * cos - y * sin, text.y + x * sin + y * cos) for x, y in corners])


def bands(drawing: Drawing, least: float, gap: float = 14.0) -> tuple[tuple[float, float], ...]:
    """Where a drawing may be cut across, as (top, bottom) of bands, nothing lost.

    A cut lies in the middle of a stretch of at least ``gap`` units that is empty from side to side,
    and no band is lower than ``least``.
    """
    spans = sorted(
        (box.top, box.bottom) for mark in drawing.marks if (box := _bounds(mark)) is not None
    )
    cuts, reach = [0.0], 0.0
    for top, bottom in spans:
        if top - reach >= gap and (top + reach) / 2 - cuts[-1] >= least and reach > 0:
            cuts.append((top + reach) / 2)
        reach = max(reach, bottom)
    if drawing.height - cuts[-1] < least and len(cuts) > 1:
        cuts.pop()
    return tuple(zip(cuts, [*cuts[1:], drawing.height], strict=True))
