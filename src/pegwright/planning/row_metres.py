"""What a row draws of any yarn, and what a piece draws beside its rows.

Metres of a row are taut geometry times the slack, over the wrap's courses in their steady state, as
the run itself counts them.
"""

from __future__ import annotations

from collections.abc import Sequence

from pegwright.knitting.drawn import course_loop_mm
from pegwright.knitting.operations import Part
from pegwright.knitting.wraps import Wrap
from pegwright.loom.board import Loom
from pegwright.measured import Measured
from pegwright.yarn.need import YarnNeed
from pegwright.yarn.yarn import Yarn

__all__ = ["reserved_m", "row_metres", "rows_of_cast_on"]

_IN_ROWS = frozenset({str(Part.CAST_ON), str(Part.BODY), str(Part.TAILS)})
"""Parts that stripes count themselves: the cast-on, the rows, and two tails a stripe."""


def row_metres(loom: Loom, wrap: Wrap, columns: int, yarn: Yarn, slack: Measured) -> Measured:
    """Metres that one row on so many columns draws of a yarn, slack included."""
    courses = range(1, len(wrap.courses) + 1)
    visits = tuple(v for c in courses for v in wrap.visits(loom, 1, columns, c))
    taut_mm = course_loop_mm(loom, visits, yarn.wrapped_diameter_mm) * len(visits)
    return slack.scale(taut_mm / len(wrap.courses) / 1000)


def reserved_m(needs: Sequence[YarnNeed], body: str) -> dict[str, float]:
    """Metres that a piece draws of each yarn beside what its stripes count, at the upper bound.

    :param needs: of the piece made in the body's yarn alone.
    :param body: that yarn's name; its two tails are the stripes' own.
    """
    kept: dict[str, float] = {}
    for need in needs:
        parts = [p.metres for p in need.parts if p.name not in _IN_ROWS]
        if need.yarn.name != body:
            parts += [p.metres for p in need.parts if p.name in _IN_ROWS]
        kept[need.yarn.name] = sum(m.interval(need.coverage)[1] for m in parts)
    return kept


def rows_of_cast_on(needs: Sequence[YarnNeed], row_m: Measured) -> float:
    """What the cast-on takes of its yarn, slip loop included, in rows."""
    cast_on = sum(p.metres.value for n in needs for p in n.parts if p.name == str(Part.CAST_ON))
    return cast_on / row_m.value
