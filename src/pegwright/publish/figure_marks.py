"""Marks that several figures share: dimension lines, arrowheads, numbers, wrapped words."""

from __future__ import annotations

import math
from collections.abc import Iterable

from pegwright.publish.drawing import (
    Anchor,
    Circle,
    Fill,
    Line,
    LineKind,
    Mark,
    Path,
    Rect,
    Text,
    text_width,
)

__all__ = [
    "LABEL",
    "SHEET",
    "arrowhead",
    "badge",
    "dimension",
    "haloed",
    "line_sample",
    "paragraph",
    "peg_from_above",
    "wrapped",
]

SHEET = 360.0
"""Width of every figure, units: a phone's width, so that labels stay legible there."""

LABEL = 13.0
"""Size of labels, units."""


def arrowhead(
    x: float, y: float, angle_deg: float, size: float = 8.0, fill: Fill = Fill.INK
) -> Path:
    """A filled arrowhead with its tip at (x, y), pointing along an angle (y down)."""
    angle = math.radians(angle_deg)
    back, half = size, size * 0.42
    cos, sin = math.cos(angle), math.sin(angle)

    def at(along: float, across: float) -> tuple[float, float]:
        return x - along * cos - across * sin, y - along * sin + across * cos

    return (
        Path(kind=None, fill=fill)
        .move(x, y)
        .line(*at(back, half))
        .line(*at(back * 0.72, 0.0))
        .line(*at(back, -half))
        .close()
    )


def badge(x: float, y: float, words: str, radius: float = 11.0) -> tuple[Mark, ...]:
    """A number in a filled ring."""
    size = LABEL if len(words) < 3 else LABEL * 0.8
    return (
        Circle(x, y, radius, kind=None, fill=Fill.INK),
        Text(x, y + size * 0.36, words, size=size, bold=True, fill=Fill.PAPER),
    )


def dimension(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    label: str,
    *,
    at: tuple[float, float] | None = None,
    anchor: Anchor = Anchor.MIDDLE,
    turn_deg: float = 0.0,
) -> tuple[Mark, ...]:
    """A dimension line with a tick across each end and its label.

    The label stands in a gap of paper at the middle of the line, or at ``at``.
    """
    angle = math.atan2(y2 - y1, x2 - x1)
    ox, oy = -math.sin(angle) * 5.0, math.cos(angle) * 5.0
    ticks = tuple(
        Line(x - ox, y - oy, x + ox, y + oy, LineKind.DIMENSION) for x, y in ((x1, y1), (x2, y2))
    )
    line = Line(x1, y1, x2, y2, LineKind.DIMENSION)
    if at is None:
        return (line, *ticks, *haloed((x1 + x2) / 2, (y1 + y2) / 2, label, turn_deg=turn_deg))
    return (line, *ticks, Text(*at, label, anchor=anchor, turn_deg=turn_deg))


def haloed(
    x: float, y: float, words: str, *, size: float = LABEL, turn_deg: float = 0.0
) -> tuple[Mark, ...]:
    """Words centred on a point, on a patch of paper that parts the lines beneath them.

    ``turn_deg`` may be 0 or a quarter turn.
    """
    width, height = text_width(words, size) + 8.0, size + 3.0
    if turn_deg:
        patch = Rect(x - height / 2, y - width / 2, height, width, None, Fill.PAPER)
        shift = size * 0.36 if turn_deg > 0 else -size * 0.36
        return patch, Text(x - shift, y, words, size=size, turn_deg=turn_deg)
    patch = Rect(x - width / 2, y - height / 2, width, height, None, Fill.PAPER)
    return patch, Text(x, y + size * 0.36, words, size=size)


def wrapped(words: str, width: float, size: float = LABEL) -> tuple[str, ...]:
    """The words broken into lines no wider than ``width``, units; long words stay whole."""
    lines: list[str] = []
    for word in words.split():
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, size) <= width:
            lines[-1] = joined
        else:
            lines.append(word)
    return tuple(lines)


def paragraph(
    x: float,
    y: float,
    lines: Iterable[str],
    *,
    size: float = LABEL,
    anchor: Anchor = Anchor.START,
    bold: bool = False,
) -> tuple[Mark, ...]:
    """Lines of text one under another, the first on the baseline at y."""
    return tuple(
        Text(x, y + i * size * 1.25, line, size=size, anchor=anchor, bold=bold)
        for i, line in enumerate(lines)
    )


def line_sample(x: float, y: float, kind: LineKind, words: str) -> tuple[Mark, ...]:
    """An entry of a key: a piece of line and what it means, starting at (x, y)."""
    return (
        Line(x, y - LABEL * 0.34, x + 34, y - LABEL * 0.34, kind),
        Text(x + 42, y, words, anchor=Anchor.START),
    )


def peg_from_above(x: float, y: float, radius: float, *, filled: bool) -> tuple[Mark, ...]:
    """A round peg seen from above."""
    if filled:
        return (Circle(x, y, radius, fill=Fill.INK),)
    return (Circle(x, y, radius, fill=Fill.PAPER),)
