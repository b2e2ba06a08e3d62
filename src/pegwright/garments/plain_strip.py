"""The plain strip: a scarf, or a square to learn on."""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.garments.base import Brief, Measure, OptionKind, OptionSpec, Plan
from pegwright.garments.blocks import alternating, towards_yarn
from pegwright.garments.strip import TAIL_MM, Steps, Strip, choose_strip, strip_steps
from pegwright.knitting.operations import (
    BindOffOver,
    DrawThrough,
    FastenOff,
    LiftOff,
    Operation,
    Part,
    PullAnchor,
    TakeLength,
    ThreadCastOn,
    ThreadLive,
    WeaveIn,
)
from pegwright.knitting.script import PieceSpec, Script
from pegwright.knitting.wraps import FirstRow
from pegwright.tongue.said import say

__all__ = ["PLAIN_STRIP", "PlainStrip"]

_EDGE_PASSES = 2.0
"""Yarn run twice through an edge, so that it stays as wide as the strip (common practice)."""


@dataclass(frozen=True, slots=True)
class PlainStrip:
    """The strip as a garment; see the module."""

    name: str = "plain-strip"
    title: str = "Plain strip or scarf"
    words: str = "A straight strip with both ends finished: a scarf, a panel or a sampler."
    measures: tuple[Measure, ...] = (
        Measure("width", say("across the strip"), True, 20.0, 3_000.0),
        Measure("length", say("from end to end"), True, 40.0, 20_000.0),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec(
            "bind_off",
            OptionKind.CHOICE,
            "how the last row is finished: each loop lifted over the next, or yarn sewn through",
            "over",
            ("over", "sewn"),
        ),
        OptionSpec("pegs", OptionKind.COUNT, "pegs a side, instead of by gauge", least=2, most=500),
        OptionSpec("rows", OptionKind.COUNT, "rows, instead of by gauge", least=2, most=100_000),
    )
    wraps: tuple[str, ...] = ()
    yarn_parts: tuple[str, ...] = ("body",)
    takes_stripes: bool = True

    def plan(self, brief: Brief) -> Plan:
        """Work one size out.

        :raises NotPossible: where the board is too short or the wrap does not fit.
        """
        width_mm, length_mm = brief.measures["width"], brief.measures["length"]
        strip = choose_strip(brief, width_mm, length_mm, even_rows=False)
        sewn = brief.options.get("bind_off", "over") == "sewn"
        steps = Steps()
        strip_steps(steps, strip, brief.yarn("body").name)
        _finish(brief, steps, strip, sewn)
        return Plan(
            garment=self.name,
            size=brief.size,
            wearer=brief.wearer,
            group="sewn" if sewn else "over",
            script=Script(
                brief.loom,
                (PieceSpec("strip", brief.wrap.cloth),),
                tuple(steps.made),
                brief.size,
            ),
            wrap=brief.wrap,
            pieces=(strip.piece,),
            finished={"width": strip.piece.width, "length": strip.piece.length},
            facts={
                "columns": strip.field.last,
                "rows": strip.rows,
                "more_rows": strip.rows - 1,
                "strip_width_mm": strip.piece.width.value,
                "strip_length_mm": strip.piece.length.value,
            },
            choices=strip.choices,
            parts=tuple(dict.fromkeys(s.part for s in steps.made)),
        )


PLAIN_STRIP = PlainStrip()


def _finish(brief: Brief, steps: Steps, strip: Strip, sewn: bool) -> None:
    """Bind off or sew the last row, then close the cast-on edge where it is open."""
    yarn = brief.yarn("body").name
    pegs = alternating(brief.loom, 1, strip.field.last)
    run_mm = _EDGE_PASSES * strip.piece.width.value + 2 * TAIL_MM
    if sewn:
        steps.add(
            "bind-off-sewn",
            "strip",
            Part.BIND_OFF,
            TakeLength("finishing yarn", yarn, run_mm, Part.BIND_OFF),
            ThreadLive("finishing yarn", pegs),
            FastenOff("finishing yarn"),
            LiftOff("strip"),
        )
    else:
        along = towards_yarn(strip.field, strip.rows)
        over: tuple[Operation, ...] = (BindOffOver(along), DrawThrough(along[-1]), LiftOff("strip"))
        steps.add("bind-off-over", "strip", Part.BIND_OFF, *over)
    if brief.wrap.first_row is FirstRow.ANCHORED:
        steps.add(
            "close-cast-on",
            "strip",
            Part.BIND_OFF,
            TakeLength("edge yarn", yarn, run_mm, Part.BIND_OFF),
            ThreadCastOn("edge yarn", "strip", pegs),
            FastenOff("edge yarn"),
            PullAnchor(),
        )
    steps.add("finish", "strip", Part.TAILS, WeaveIn("strip"))
