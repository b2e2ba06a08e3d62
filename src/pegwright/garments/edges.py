"""Ends and side edges finished and joined: stretches of making up that garments share.

Each function adds steps; nothing here decides a size.  Lengths of yarn are from geometry: what goes
along an edge, and two yarn diameters for every crossing.
"""

from __future__ import annotations

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, OptionKind, OptionSpec
from pegwright.garments.blocks import alternating, towards_yarn
from pegwright.garments.strip import TAIL_MM, Steps, Strip, seam_yarn_mm
from pegwright.knitting.operations import (
    BindOffOver,
    DrawThrough,
    Edge,
    FastenOff,
    Graft,
    LiftOff,
    Operation,
    Part,
    PullAnchor,
    SeamEdges,
    TakeLength,
    ThreadCastOn,
)
from pegwright.knitting.wraps import Cloth, FirstRow

__all__ = [
    "COUNT_OPTIONS",
    "SEAM_YARN",
    "bind_off",
    "chain_seam",
    "check_cloth",
    "close_cast_on",
    "edge_pegs",
    "edge_yarn_mm",
    "graft_ends",
    "graft_yarn_mm",
    "is_anchored",
    "pull_anchor",
    "strip_facts",
]

COUNT_OPTIONS = (
    OptionSpec("pegs", OptionKind.COUNT, "pegs a side, instead of by gauge", least=2, most=500),
    OptionSpec("rows", OptionKind.COUNT, "rows, instead of by gauge", least=4, most=20_000),
)
"""Counts that a design may give instead of the gauge's."""

SEAM_YARN = "seam yarn"

_EDGE_PASSES = 2.0
"""Yarn run twice through an edge, so that it stays as wide as the piece (common practice)."""


def check_cloth(brief: Brief, what: str) -> None:
    """Refuse wraps that knit a cord where a flat piece is wanted.

    :raises NotPossible: for a cord's wrap.
    """
    if brief.wrap.cloth is Cloth.CORD:
        raise NotPossible(
            f"{what} is knitted flat, and this wrap knits a cord",
            given=brief.wrap.name,
            hint="choose another wrap (see: pegwright list wraps)",
        )


def edge_pegs(brief: Brief, strip: Strip) -> tuple[int, ...]:
    """Every peg of a strip, column by column from the left."""
    return alternating(brief.loom, 1, strip.field.last)


def is_anchored(brief: Brief) -> bool:
    """Whether the cast-on loops are open and held by an anchor cord."""
    return brief.wrap.first_row is FirstRow.ANCHORED


def bind_off(steps: Steps, strip: Strip) -> None:
    """Bind the last row off, each loop lifted over the next."""
    along = towards_yarn(strip.field, strip.rows)
    off = (BindOffOver(along), DrawThrough(along[-1]), LiftOff("strip"))
    steps.add("bind-off-over", "strip", Part.BIND_OFF, *off)


def edge_yarn_mm(strip: Strip) -> float:
    """Yarn run through a strip's last row or cast-on edge, with its two tails."""
    return _EDGE_PASSES * strip.piece.width.value + 2 * TAIL_MM


def close_cast_on(steps: Steps, brief: Brief, strip: Strip) -> None:
    """Run yarn through open cast-on loops and draw the anchor out; closed ones need none."""
    if not is_anchored(brief):
        return
    steps.add(
        "close-cast-on",
        "strip",
        Part.BIND_OFF,
        TakeLength("edge yarn", brief.yarn("body").name, edge_yarn_mm(strip), Part.BIND_OFF),
        ThreadCastOn("edge yarn", "strip", edge_pegs(brief, strip)),
        FastenOff("edge yarn"),
        PullAnchor(),
    )


def pull_anchor(steps: Steps, brief: Brief) -> None:
    """Draw the anchor out, where there is one."""
    if is_anchored(brief):
        steps.add("pull-anchor", "strip", Part.BODY, PullAnchor())


def graft_yarn_mm(loops: int, wale_mm: float, yarn_diameter_mm: float) -> float:
    """Yarn for joining two ends loop to loop: across and into each stitch of both ends.

    Each pair of loops takes two stitch widths of yarn and two crossings of two diameters.  Two
    tails come on top.  From geometry.
    """
    return loops * 2 * (wale_mm + 2 * yarn_diameter_mm) + 2 * TAIL_MM


def graft_ends(steps: Steps, brief: Brief, strip: Strip) -> None:
    """Join the last row to the cast-on edge, loop to loop, so that the strip becomes a ring."""
    pegs = edge_pegs(brief, strip)
    yarn = brief.yarn("seam")
    length_mm = graft_yarn_mm(len(pegs), brief.gauge.wale.value, yarn.wrapped_diameter_mm)
    work: tuple[Operation, ...] = (
        TakeLength(SEAM_YARN, yarn.name, length_mm, Part.SEAM),
        Graft(SEAM_YARN, "strip", pegs),
        FastenOff(SEAM_YARN),
        LiftOff("strip"),
    )
    steps.add("graft-ends", "strip", Part.SEAM, *work)


def chain_seam(
    steps: Steps,
    brief: Brief,
    key: str,
    one: tuple[Edge, int, int],
    other: tuple[Edge, int, int],
    carrier: str = SEAM_YARN,
) -> None:
    """Sew two stretches of side edge of the strip together, chain to chain.

    :param one: an edge with its first and last row, from where the seam begins.
    """
    chains = abs(one[2] - one[1]) + 1
    yarn = brief.yarn("seam")
    seam_mm = seam_yarn_mm(chains, brief.gauge.course.value, yarn.wrapped_diameter_mm)
    steps.add(
        key,
        "strip",
        Part.SEAM,
        TakeLength(carrier, yarn.name, seam_mm, Part.SEAM),
        SeamEdges(carrier, ("strip", *one), ("strip", *other)),
        FastenOff(carrier),
    )


def strip_facts(strip: Strip) -> dict[str, float]:
    """The numbers that the steps of every strip name."""
    return {
        "columns": strip.field.last,
        "rows": strip.rows,
        "more_rows": strip.rows - 1,
        "strip_width_mm": strip.piece.width.value,
        "strip_length_mm": strip.piece.length.value,
    }
