"""The slipper from a rectangle: heel seam behind, toe gathered, front seam over the instep.

The strip is as wide as the foot is round and, but for the toe, as long as the foot.  The cast-on
edge is folded in half and sewn to itself behind the heel; the last row is gathered round the toes;
the side edges are sewn together on top of the foot, from the toe as far as the opening.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, Measure, OptionKind, OptionSpec, Plan
from pegwright.garments.blocks import alternating
from pegwright.garments.edges import (
    COUNT_OPTIONS,
    chain_seam,
    check_cloth,
    edge_pegs,
    graft_yarn_mm,
    pull_anchor,
    strip_facts,
)
from pegwright.garments.make_up import (
    Arrow,
    Edge,
    EdgeRole,
    Inner,
    MakeUp,
    Outline,
    Stage,
    rectangle,
)
from pegwright.garments.pairs import pair_pieces, pair_steps
from pegwright.garments.strip import TAIL_MM, Steps, Strip, choose_strip, strip_steps
from pegwright.knitting import operations
from pegwright.knitting.operations import (
    DrawUp,
    FastenOff,
    LiftOff,
    Part,
    SeamCastOn,
    TakeLength,
    ThreadLive,
    WeaveIn,
)
from pegwright.knitting.script import Script
from pegwright.sizing.ease import Ease
from pegwright.tongue.said import say
from pegwright.units import format_length

__all__ = ["SLIPPER", "Slipper", "toe_mm"]

EASE_PER_CENT = -8
"""A slipper holds by its stretch, round and lengthwise (common practice, no source)."""

FRONT_OF_LENGTH = 0.45
"""Front seam, from the toe, over the strip's length (an assumption, no source)."""

HEEL_YARN = "heel yarn"
TOE_YARN = "toe yarn"

LEAST_OPENING_OF_LENGTH = 0.35
"""An opening shorter than this part of the strip lets no foot in (an assumption, no source)."""


def toe_mm(round_mm: float) -> float:
    """How much of the strip's length its gathered end takes up over the toes, in mm.

    A tube gathered to a point at its end closes with a flat disc of radius round/2π.  Toes are
    flatter than a disc: half of that is taken (an assumption, no source).
    """
    return round_mm / (4 * math.pi)


@dataclass(frozen=True, slots=True)
class Slipper:
    """The slipper as a garment; see the module."""

    name: str = "slipper"
    title: str = "Slippers"
    words: str = "Two rectangles, each sewn behind the heel and on the instep, gathered at the toe."
    measures: tuple[Measure, ...] = (
        Measure("length", say("the foot, from the heel to the longest toe"), True, 80.0, 350.0),
        Measure("round", say("round the foot at its widest, behind the toes"), True, 90.0, 400.0),
        Measure(
            "front", say("along the front seam, from the toe to the opening"), False, 20.0, 250.0
        ),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec(
            "ease_part",
            OptionKind.COUNT,
            "ease in per cent of the foot; below zero the slipper is smaller and holds",
            EASE_PER_CENT,
            least=-25,
            most=25,
        ),
        *COUNT_OPTIONS,
    )
    wraps: tuple[str, ...] = ()
    yarn_parts: tuple[str, ...] = ("body", "seam")
    takes_stripes: bool = True

    def plan(self, brief: Brief) -> Plan:
        """Work one size out.

        :raises NotPossible: where the board is too short, the wrap does not fit, or the front seam
            leaves no opening for the foot.
        """
        check_cloth(brief, "a slipper")
        asked = brief.options.get("ease_part")
        ease = Ease(part=int(EASE_PER_CENT if asked is None else asked) / 100)
        foot_mm, round_mm = brief.measures["length"], brief.measures["round"]
        around_mm = ease.finished_mm(round_mm)
        strip = choose_strip(
            brief, around_mm, ease.finished_mm(foot_mm) + toe_mm(around_mm), even_rows=False
        )
        front = _front_rows(brief, strip)
        steps, facts = pair_steps(_steps(brief, strip, front), "slipper")
        piece = replace(strip.piece, name="first slipper")
        gauge = brief.gauge
        toe = piece.width.scale(toe_mm(1.0))
        return Plan(
            garment=self.name,
            size=brief.size,
            wearer=brief.wearer,
            group="pair",
            script=Script(brief.loom, pair_pieces("slipper", brief.wrap.cloth), steps, brief.size),
            wrap=brief.wrap,
            pieces=(piece, replace(piece, name="second slipper")),
            finished={
                "length": piece.length - toe,
                "round": piece.width,
                "front": gauge.length(front),
                "opening": gauge.length(strip.rows - front),
            },
            facts={**strip_facts(strip), **facts, **_facts(brief, strip, front)},
            choices=(*strip.choices, _front_words(brief, strip, front)),
            parts=tuple(dict.fromkeys(s.part for s in steps)),
            body={"length": foot_mm, "round": round_mm},
            make_up=_make_up(strip, gauge.length(front).value),
        )


SLIPPER = Slipper()


def _facts(brief: Brief, strip: Strip, front: int) -> dict[str, float]:
    return {
        "front_chains": front,
        "front_from": strip.rows,
        "front_to": strip.rows - front + 1,
        "heel_half": strip.field.last // 2,
        "opening_mm": brief.gauge.length(strip.rows - front).value,
    }


def _front_rows(brief: Brief, strip: Strip) -> int:
    """Rows of the front seam."""
    course_mm, length_mm = brief.gauge.course.value, strip.piece.length.value
    wanted_mm = brief.measures.get("front", FRONT_OF_LENGTH * length_mm)
    rows = max(2, round(wanted_mm / course_mm))
    open_rows = math.ceil(LEAST_OPENING_OF_LENGTH * strip.rows)
    if rows > strip.rows - open_rows:
        fits_mm = (strip.rows - open_rows) * course_mm
        raise NotPossible(
            "the front seam leaves no opening for the foot",
            given=f"{format_length(wanted_mm, brief.units)} in a strip "
            f"{format_length(length_mm, brief.units)} long",
            hint=f"a front seam of {format_length(fits_mm, brief.units)} would fit",
        )
    return rows


def _front_words(brief: Brief, strip: Strip, front: int) -> str:
    units, gauge = brief.units, brief.gauge
    seam = format_length(gauge.length(front).value, units)
    opening = format_length(gauge.length(strip.rows - front).value, units)
    return say(
        "The front seam joins {chains} chains, {seam}; the opening is {opening} along each side.",
        chains=front,
        seam=seam,
        opening=opening,
    )


def _steps(brief: Brief, strip: Strip, front: int) -> Steps:
    steps = Steps()
    loom, width_mm = brief.loom, strip.piece.width.value
    strip_steps(steps, strip, brief.yarn("body").name)
    yarn = brief.yarn("seam")
    steps.add(
        "toe-live",
        "strip",
        Part.GATHER,
        TakeLength(TOE_YARN, yarn.name, width_mm + 2 * TAIL_MM, Part.GATHER),
        ThreadLive(TOE_YARN, edge_pegs(brief, strip)),
        LiftOff("strip"),
    )
    last = strip.field.last
    half = (last + 1) // 2
    one, other = alternating(loom, 1, half), alternating(loom, last, last - half + 1)
    heel_mm = graft_yarn_mm(len(one), brief.gauge.wale.value, yarn.wrapped_diameter_mm)
    steps.add(
        "heel-seam",
        "strip",
        Part.SEAM,
        TakeLength(HEEL_YARN, yarn.name, heel_mm, Part.SEAM),
        SeamCastOn(HEEL_YARN, "strip", one, other),
        FastenOff(HEEL_YARN),
    )
    pull_anchor(steps, brief)
    draw = DrawUp(TOE_YARN, (("strip", operations.Edge.LIVE),))
    steps.add("toe-draw-up", "strip", Part.GATHER, draw, FastenOff(TOE_YARN))
    left, right = operations.Edge.LEFT, operations.Edge.RIGHT
    to = strip.rows - front + 1
    chain_seam(steps, brief, "front-seam", (left, strip.rows, to), (right, strip.rows, to))
    steps.add("finish", "strip", Part.TAILS, WeaveIn("strip"))
    return steps


# --- the figure ----------------------------------------------------------------------------------


def _make_up(strip: Strip, front_mm: float) -> MakeUp:
    w, h = strip.piece.width.value, strip.piece.length.value
    return MakeUp(
        say("Heel seam, toe and front seam"),
        (_flat(w, h), _folded(w, h), _slipper(w, h, front_mm)),
        bottom=say("cast-on edge, at the heel"),
        top=say("last row, at the toe"),
        sides=say("side edges, on top of the foot"),
    )


def _flat(w: float, h: float) -> Stage:
    flat = rectangle(
        w,
        h,
        bottom=Edge(label=say("cast-on edge: heel")),
        top=Edge(EdgeRole.LIVE, say("last row: toe")),
        left=Edge(label=say("side edge")),
        right=Edge(label=say("side edge")),
        inner=(Inner((w / 2, 0.0), (w / 2, h), Edge(EdgeRole.FOLD, say("sole"))),),
    )
    return Stage(
        (flat,),
        say("Rectangle; the toe loops on yarn"),
        say(
            "A flat rectangle, the heel below and the loops of the toe above, with a fold line "
            "from heel to toe; an arrow shows the right side edge brought over to the left one."
        ),
        (Arrow((w * 0.92, h * 0.8), (w * 0.08, h * 0.8)),),
    )


def _folded(w: float, h: float) -> Stage:
    folded = rectangle(
        h,
        w / 2,
        bottom=Edge(EdgeRole.FOLD, say("sole")),
        right=Edge(EdgeRole.LIVE, say("toe")),
        top=Edge(label=say("side edges")),
        left=Edge(EdgeRole.SEAM, say("heel seam")),
        layers=2,
    )
    return Stage(
        (folded,),
        say("Folded lengthwise, heel sewn"),
        say(
            "The rectangle folded lengthwise and seen from the side: the sole below, the side "
            "edges above, the halves of the cast-on edge sewn together at the heel on the left."
        ),
    )


def _slipper(w: float, h: float, front: float) -> Stage:
    tall, toe = w / 2, w / (4 * math.pi)
    points = (
        (0.0, 0.0),
        (h - toe, 0.0),
        (h, tall * 0.3),
        (h, tall * 0.62),
        (h - front, tall),
        (0.0, tall),
    )
    outline = Outline(
        points,
        (
            Edge(EdgeRole.FOLD, say("sole")),
            Edge(EdgeRole.FOLD),
            Edge(EdgeRole.GATHER, say("toe")),
            Edge(EdgeRole.SEAM, say("front")),
            Edge(EdgeRole.OPENING, say("opening")),
            Edge(EdgeRole.SEAM, say("heel")),
        ),
        layers=2,
    )
    return Stage(
        (outline,),
        say("Toe gathered, front sewn"),
        say(
            "The slipper from the side: the toe gathered at the right, the front seam from the toe "
            "up over the instep, and the opening from there to the heel seam at the left."
        ),
    )
