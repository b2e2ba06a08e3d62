"""How a folded strip closes where its cast-on and its last row meet: on a cord, or on drawn yarn.

A **cord** has two free ends and ties; **drawn** yarn is drawn up to a measure and fastened off, so
that no free ends remain.  Which of them a wearer may have is not decided here; see
``pegwright.safety``.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, OptionKind, OptionSpec
from pegwright.garments.blocks import alternating, cord, free_end_pegs
from pegwright.garments.strip import TAIL_MM, Steps, Strip
from pegwright.gauge.fabric_gauge import predict
from pegwright.knitting.drawn import course_loop_mm
from pegwright.knitting.operations import (
    LiftOff,
    Operation,
    Part,
    TakeLength,
    ThreadCastOn,
    ThreadLive,
)
from pegwright.knitting.wraps import Structure, shipped
from pegwright.measured import Measured
from pegwright.tongue.said import say
from pegwright.units import format_length

__all__ = [
    "CORD_OPTIONS",
    "Closing",
    "cord_closing",
    "drawn_closing",
    "knit_cord",
    "thread_cast_on_edge",
    "thread_live_edge",
]

_SHORTEST_CORD_END_MM = 75.0

_LEAST_COLUMNS = 5
"""Two end columns whose stitches are moved inward, the one that takes them, and two to spare."""

CORD_OPTIONS = (
    OptionSpec(
        "cord_ends",
        OptionKind.LENGTH,
        "each free end of the cord",
        254.0,
        least=_SHORTEST_CORD_END_MM,
        most=600.0,
    ),
    OptionSpec("slim_rows", OptionKind.COUNT, "rows of the cord's slim end", 6, least=2, most=40),
)
"""What a design may say of a cord."""


@dataclass(frozen=True, slots=True)
class Closing:
    """What closes an edge: the name of its carrier, and the cord's counts where there is one."""

    carrier: str
    gathered_mm: float
    facts: dict[str, float] = field(default_factory=dict)
    finished: dict[str, Measured] = field(default_factory=dict)
    choices: tuple[str, ...] = ()

    @property
    def is_cord(self) -> bool:
        """Whether it is a cord with free ends."""
        return self.carrier == "cord"


def drawn_closing(gathered_mm: float) -> Closing:
    """Yarn drawn up to a measure and fastened off."""
    return Closing("gathering yarn", gathered_mm, {"gather_mm": gathered_mm})


def cord_closing(brief: Brief, round_mm: float, where: str) -> Closing:
    """A cord long enough to go round, with two free ends, in whole rows.

    :param round_mm: what lies within the cloth; ``where`` names it, such as ``the neck``.
    """
    ends_mm = float(brief.options.get("cord_ends") or _SHORTEST_CORD_END_MM)
    yarn = brief.yarn("cord")
    visits = shipped("two-peg cord").visits(brief.loom, 1, 1)
    loop_mm = course_loop_mm(brief.loom, visits, yarn.wrapped_diameter_mm)
    gauge = predict(Measured(loop_mm, 0.05 * loop_mm), Structure.CORD)
    wanted_mm = round_mm + 2 * ends_mm
    rows = max(8, round(wanted_mm / gauge.course.value))
    words = say(
        "The cord is to be {length} long: {where} and two ends of {ends}. That is about {rows} "
        "rows; measure it as you go.",
        length=format_length(wanted_mm, brief.units),
        where=where,
        ends=format_length(ends_mm, brief.units),
        rows=rows,
    )
    facts = {
        "cord_rows": rows,
        "cord_mm": wanted_mm,
        "cord_end_mm": ends_mm,
        "slim_rows": int(brief.options.get("slim_rows") or 6),
        "gather_mm": round_mm,
    }
    return Closing("cord", round_mm, facts, {"cord": gauge.length(rows)}, (words,))


def knit_cord(
    steps: Steps, brief: Brief, strip: Strip, closing: Closing, key: str = "cord"
) -> None:
    """Knit the cord on the pair of pegs at the left end, which must be free."""
    work = cord(
        brief.loom,
        1,
        brief.yarn("cord").name,
        int(closing.facts["cord_rows"]),
        int(closing.facts["slim_rows"]),
        TAIL_MM,
        strip.knot_mm,
    )
    steps.add(key, "cord", Part.CORD, *work)


def thread_live_edge(
    steps: Steps, brief: Brief, strip: Strip, closing: Closing, key: str, yarn_mm: float
) -> None:
    """Take the last row off on the carrier, from the left; a cord is knitted on freed pegs first.

    :param key: the step's words; ``yarn_mm`` is what is cut where there is no cord.
    :raises NotPossible: for a cord on a strip that is too narrow.
    """
    if closing.is_cord and strip.field.last < _LEAST_COLUMNS:
        raise NotPossible(
            "a cord is knitted on the two end columns, and too few are left beside them",
            given=f"{strip.field.last} pegs a side",
            hint=f'use at least {_LEAST_COLUMNS} pegs a side, or say closing = "drawn"',
        )
    stacked: dict[int, int] = {}
    take: list[Operation] = []
    if closing.is_cord:
        moves, stacked = free_end_pegs(brief.loom, 1, 1)
        steps.add("free-pegs", "strip", Part.BODY, *moves)
        knit_cord(steps, brief, strip, closing)
    else:
        yarn = brief.yarn("body").name
        take.append(TakeLength(closing.carrier, yarn, yarn_mm, Part.GATHER))
    live = ThreadLive(closing.carrier, alternating(brief.loom, 1, strip.field.last, stacked))
    steps.add(key, "strip", Part.GATHER, *take, live, LiftOff("strip"))


def thread_cast_on_edge(
    steps: Steps, brief: Brief, strip: Strip, closing: Closing, key: str
) -> None:
    """Take the carrier's other end through the cast-on loops, from the left."""
    pegs = alternating(brief.loom, 1, strip.field.last)
    steps.add(key, "strip", Part.GATHER, ThreadCastOn(closing.carrier, "strip", pegs))
