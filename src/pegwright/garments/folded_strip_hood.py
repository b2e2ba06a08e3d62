"""The folded-strip hood: a strip, folded at the crown, seamed behind, gathered at the neck.

The strip is as wide as the hood is deep (face to back) and twice as long as the hood is high.  Its
left edge, where the yarn begins, becomes the back seam; its right edge frames the face.  The
cast-on and the last row meet at the neck.

Closings: ``cord`` (a knitted two-peg cord runs through both neck edges and ties in front) and
``drawn`` (a length of yarn runs through both, is drawn to the neck's measure and fastened off: no
free ends).  Which of them a wearer may have is not decided here; see ``pegwright.safety``.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, Measure, OptionKind, OptionSpec, Plan
from pegwright.garments.blocks import alternating, cord, free_end_pegs
from pegwright.garments.strip import TAIL_MM, Steps, Strip, choose_strip, seam_yarn_mm, strip_steps
from pegwright.gauge.fabric_gauge import predict
from pegwright.knitting.drawn import course_loop_mm
from pegwright.knitting.operations import (
    DrawUp,
    Edge,
    FastenOff,
    Fold,
    LiftOff,
    Operation,
    Part,
    PullAnchor,
    SeamEdges,
    TakeLength,
    ThreadCastOn,
    ThreadLive,
    WeaveIn,
)
from pegwright.knitting.script import PieceSpec, Script
from pegwright.knitting.wraps import Cloth, FirstRow, Structure, shipped
from pegwright.measured import Measured
from pegwright.units import format_length

__all__ = ["FOLDED_STRIP_HOOD", "FoldedStripHood"]

HEIGHT_OF_HEAD = 0.58
"""Hood height over head circumference, before ease (common practice, no source)."""

DEPTH_OF_HEAD = 0.45
"""Hood depth over head circumference, before ease (common practice, no source)."""

NECK_OF_HEAD = 0.66
"""Neck over head circumference, where no neck is given (common practice, no source)."""

_SHORTEST_CORD_END_MM = 75.0


@dataclass(frozen=True, slots=True)
class _Neck:
    """What closes the neck: the name of its carrier, and the cord's counts where there is one."""

    carrier: str
    gathered_mm: float
    facts: dict[str, float] = field(default_factory=dict)
    finished: dict[str, Measured] = field(default_factory=dict)
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FoldedStripHood:
    """The hood as a garment; see the module."""

    name: str = "folded-strip-hood"
    title: str = "Folded-strip hood"
    words: str = (
        "A strip knitted on a double board, folded at the crown, seamed at the back and gathered "
        "at the neck."
    )
    measures: tuple[Measure, ...] = (
        Measure("head", "round the head above the brows", True, 250.0, 750.0),
        Measure("height", "from the neck over the ear to the crown", False, 120.0, 600.0),
        Measure("depth", "from the face edge to the back of the head", False, 80.0, 500.0),
        Measure("neck", "round the neck where the hood closes", False, 150.0, 700.0),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec(
            "closing",
            OptionKind.CHOICE,
            "how the neck closes: a knitted cord that ties, or yarn drawn up and fastened off",
            "cord",
            ("cord", "drawn"),
        ),
        OptionSpec(
            "cord_ends",
            OptionKind.LENGTH,
            "each free end of the cord, beyond the neck",
            254.0,
            least=_SHORTEST_CORD_END_MM,
            most=600.0,
        ),
        OptionSpec(
            "ease", OptionKind.LENGTH, "added to the height and the depth", 10.0, most=150.0
        ),
        OptionSpec("pegs", OptionKind.COUNT, "pegs a side, instead of by gauge", least=4, most=500),
        OptionSpec("rows", OptionKind.COUNT, "rows, instead of by gauge", least=4, most=20_000),
        OptionSpec(
            "slim_rows", OptionKind.COUNT, "rows of the cord's slim end", 6, least=2, most=40
        ),
    )
    wraps: tuple[str, ...] = (
        "double-board stockinette",
        "double-board rib 1 by 1",
        "double-board rib 2 by 2",
    )
    yarn_parts: tuple[str, ...] = ("body", "cord", "seam")

    def plan(self, brief: Brief) -> Plan:
        """Work one size out.

        :raises NotPossible: on a loom that is no double board, or one that is too short.
        """
        if not brief.loom.is_double:
            raise NotPossible(
                "the folded-strip hood is knitted on a double board",
                given=f"{brief.loom.name} ({brief.loom.arrangement})",
                hint="use a board with two facing rows",
            )
        height_mm, depth_mm, neck_mm = _targets(brief)
        strip = choose_strip(brief, depth_mm, 2 * height_mm, even_rows=True)
        corded = brief.options.get("closing", "cord") == "cord"
        neck = _cord_neck(brief, neck_mm) if corded else _drawn_neck(neck_mm)
        steps = _steps(brief, strip, neck, corded)
        pieces = [PieceSpec("strip", brief.wrap.cloth)]
        if corded:
            pieces.append(PieceSpec("cord", Cloth.CORD))
        return Plan(
            garment=self.name,
            size=brief.size,
            wearer=brief.wearer,
            group="cord" if corded else "drawn",
            script=Script(brief.loom, tuple(pieces), tuple(steps.made), brief.size),
            wrap=brief.wrap,
            pieces=(strip.piece,),
            finished=_finished(strip, neck),
            facts=_facts(strip, neck),
            choices=strip.choices + neck.choices,
            parts=tuple(dict.fromkeys(s.part for s in steps.made)),
        )


FOLDED_STRIP_HOOD = FoldedStripHood()


def _targets(brief: Brief) -> tuple[float, float, float]:
    """Wanted height, depth and neck, in mm."""
    head_mm = brief.measures["head"]
    ease_mm = float(brief.options.get("ease") or 0.0)
    height_mm = brief.measures.get("height", head_mm * HEIGHT_OF_HEAD) + ease_mm
    depth_mm = brief.measures.get("depth", head_mm * DEPTH_OF_HEAD) + ease_mm
    return height_mm, depth_mm, brief.measures.get("neck", head_mm * NECK_OF_HEAD)


def _drawn_neck(neck_mm: float) -> _Neck:
    return _Neck("gathering yarn", neck_mm, {"gather_mm": neck_mm})


def _cord_neck(brief: Brief, neck_mm: float) -> _Neck:
    """The cord: long enough for the neck and two free ends, in whole rows."""
    ends_mm = float(brief.options.get("cord_ends") or _SHORTEST_CORD_END_MM)
    yarn = brief.yarn("cord")
    visits = shipped("two-peg cord").visits(brief.loom, 1, 1)
    loop_mm = course_loop_mm(brief.loom, visits, yarn.wrapped_diameter_mm)
    gauge = predict(Measured(loop_mm, 0.05 * loop_mm), Structure.CORD)
    wanted_mm = neck_mm + 2 * ends_mm
    rows = max(8, round(wanted_mm / gauge.course.value))
    slim = int(brief.options.get("slim_rows") or 6)
    words = (
        f"The cord is to be {format_length(wanted_mm, brief.units)} long: the neck and two ends of "
        f"{format_length(ends_mm, brief.units)}. That is about {rows} rows; measure it as you go."
    )
    facts = {
        "cord_rows": rows,
        "cord_mm": wanted_mm,
        "cord_end_mm": ends_mm,
        "slim_rows": slim,
        "gather_mm": neck_mm,
    }
    return _Neck("cord", neck_mm, facts, {"cord": gauge.length(rows)}, (words,))


def _steps(brief: Brief, strip: Strip, neck: _Neck, corded: bool) -> Steps:
    steps = Steps()
    yarn = brief.yarn("body").name
    strip_steps(steps, strip, yarn)
    stacked: dict[int, int] = {}
    if corded:
        moves, stacked = free_end_pegs(brief.loom, 1, 1)
        steps.add("free-pegs", "strip", Part.BODY, *moves)
        cord_work = cord(
            brief.loom,
            1,
            brief.yarn("cord").name,
            int(neck.facts["cord_rows"]),
            int(neck.facts["slim_rows"]),
            TAIL_MM,
            strip.knot_mm,
        )
        steps.add("cord", "cord", Part.CORD, *cord_work)
    take: list[Operation] = []
    if not corded:
        length_mm = neck.gathered_mm + strip.piece.width.value + 2 * TAIL_MM
        take.append(TakeLength(neck.carrier, yarn, length_mm, Part.GATHER))
    live = ThreadLive(neck.carrier, alternating(brief.loom, 1, strip.field.last, stacked))
    steps.add("thread-live", "strip", Part.GATHER, *take, live, LiftOff("strip"))
    _assemble(brief, steps, strip, neck, corded)
    return steps


def _assemble(brief: Brief, steps: Steps, strip: Strip, neck: _Neck, corded: bool) -> None:
    loom, half = brief.loom, strip.rows // 2
    steps.add("fold", "strip", Part.BODY, Fold("strip", half))
    edge = alternating(loom, 1, strip.field.last)
    steps.add("thread-cast-on", "strip", Part.GATHER, ThreadCastOn(neck.carrier, "strip", edge))
    if brief.wrap.first_row is FirstRow.ANCHORED:
        steps.add("pull-anchor", "strip", Part.BODY, PullAnchor())
    yarn = brief.yarn("seam")
    seam_mm = seam_yarn_mm(half, brief.gauge.course.value, yarn.wrapped_diameter_mm)
    steps.add(
        "seam",
        "strip",
        Part.SEAM,
        TakeLength("seam yarn", yarn.name, seam_mm, Part.SEAM),
        SeamEdges(
            "seam yarn",
            ("strip", Edge.LEFT, 1, half),
            ("strip", Edge.LEFT, strip.rows, half + 1),
        ),
        FastenOff("seam yarn"),
    )
    draw = DrawUp(neck.carrier, (("strip", Edge.LIVE), ("strip", Edge.CAST_ON)))
    fasten = () if corded else (FastenOff(neck.carrier),)
    steps.add("draw-up", "strip", Part.GATHER, draw, *fasten)
    woven = (WeaveIn("strip"), WeaveIn("cord")) if corded else (WeaveIn("strip"),)
    steps.add("finish", "strip", Part.TAILS, *woven)


def _finished(strip: Strip, neck: _Neck) -> dict[str, Measured]:
    return {
        "depth": strip.piece.width,
        "height": strip.piece.length.scale(0.5),
        "neck": Measured(neck.gathered_mm),
        **neck.finished,
    }


def _facts(strip: Strip, neck: _Neck) -> dict[str, float]:
    half = strip.rows // 2
    return {
        "columns": strip.field.last,
        "rows": strip.rows,
        "more_rows": strip.rows - 1,
        "fold_row": half,
        "seam_chains": half,
        "strip_width_mm": strip.piece.width.value,
        "strip_length_mm": strip.piece.length.value,
        **neck.facts,
    }
