"""How the panels of a blanket lie and in which order they are sewn."""

from __future__ import annotations

from itertools import accumulate

from pegwright.garments.base import Brief
from pegwright.garments.make_up import Edge, EdgeRole, Inner, MakeUp, Outline, Stage, rectangle
from pegwright.tongue.said import Said, joined, numeral, say, say_count

__all__ = ["blanket_make_up"]

_APART = 0.06
"""How far apart panels are drawn before they are sewn, of the blanket's width."""


def blanket_make_up(brief: Brief, columns: tuple[int, ...], along: int, rows: int) -> MakeUp:
    """The panels apart, numbered; and joined, with the seams numbered."""
    gauge = brief.gauge
    widths = [gauge.width(c).value for c in columns]
    length = gauge.length(rows).value
    stages = [_apart(widths, along, length)]
    if len(columns) * along > 1:
        stages.append(_joined(widths, along, length))
    sides = say("side edges, to be sewn") if len(columns) > 1 else say("side edges")
    return MakeUp(say("The panels and their seams"), tuple(stages), sides=sides)


def _apart(widths: list[float], along: int, length: float) -> Stage:
    gap = _APART * sum(widths)
    outlines, number = [], 0
    for column, left in enumerate(accumulate(widths[:-1], initial=0.0)):
        for place in range(along):
            number += 1
            at = (left + column * gap, place * (length + gap))
            middle = (at[0] + widths[column] / 2, at[1] + length / 2)
            name = Inner(middle, middle, Edge(EdgeRole.PLAIN, str(number)))
            outlines.append(rectangle(widths[column], length, at=at, inner=(name,)))
    words = say("The panel.")
    if number > 1:
        words = say(
            "The {count} panels laid out, numbered up each column and the columns from the left.",
            count=number,
        )
    return Stage(tuple(outlines), say("Panels, as they lie"), words)


def _joined(widths: list[float], along: int, length: float) -> Stage:
    lefts = list(accumulate(widths, initial=0.0))
    tall = along * length
    lines, number = [], 0
    for column, left in enumerate(lefts[:-1]):
        for place in range(1, along):
            number += 1
            y = place * length
            lines.append(Inner((left, y), (lefts[column + 1], y), Edge(EdgeRole.SEAM, str(number))))
    first_side = number + 1
    for left in lefts[1:-1]:
        number += 1
        at = (left, 0.5 * length)  # beside no end seam
        lines.append(Inner((left, 0.0), (left, tall), Edge(EdgeRole.SEAM)))
        lines.append(Inner(at, at, Edge(EdgeRole.PLAIN, str(number))))
    whole: Outline = rectangle(lefts[-1], tall, inner=tuple(lines))
    return Stage((whole,), say("Joined; seams in order"), _words(first_side, number))


def _words(first_side: int, last: int) -> Said:
    """The seams in their order."""
    whole = say("The blanket in one piece.")
    ends = say_count(
        "Seam {seams} joins panels end to end.",
        "Seams {seams} join panels end to end.",
        first_side - 1,
        seams=_span(1, first_side - 1),
    )
    sides = say_count(
        "Seam {seams} joins the columns.",
        "Seams {seams} join the columns, from left to right.",
        last - first_side + 1,
        seams=_span(first_side, last),
    )
    if first_side == 1:
        return joined((whole, sides))
    if first_side > last:
        return joined((whole, ends))
    return joined((whole, ends, sides))


def _span(first: int, last: int) -> Said:
    return say("{first} to {last}", first=first, last=last) if last > first else numeral(first)
