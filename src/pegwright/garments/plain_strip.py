"""The plain strip: a scarf, or a square to learn on."""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.garments.base import Brief, Measure, OptionKind, OptionSpec, Plan
from pegwright.garments.edges import (
    bind_off,
    close_cast_on,
    edge_pegs,
    edge_yarn_mm,
    strip_facts,
)
from pegwright.garments.strip import Steps, Strip, choose_strip, strip_steps
from pegwright.knitting.operations import FastenOff, LiftOff, Part, TakeLength, ThreadLive, WeaveIn
from pegwright.knitting.script import PieceSpec, Script
from pegwright.tongue.said import say

__all__ = ["PLAIN_STRIP", "PlainStrip"]


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
        if sewn:
            _sew_off(steps, brief, strip)
        else:
            bind_off(steps, strip)
        close_cast_on(steps, brief, strip)
        steps.add("finish", "strip", Part.TAILS, WeaveIn("strip"))
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
            facts=strip_facts(strip),
            choices=strip.choices,
            parts=tuple(dict.fromkeys(s.part for s in steps.made)),
        )


PLAIN_STRIP = PlainStrip()


def _sew_off(steps: Steps, brief: Brief, strip: Strip) -> None:
    """Sew the last row off with a length of yarn."""
    yarn = "finishing yarn"
    steps.add(
        "bind-off-sewn",
        "strip",
        Part.BIND_OFF,
        TakeLength(yarn, brief.yarn("body").name, edge_yarn_mm(strip), Part.BIND_OFF),
        ThreadLive(yarn, edge_pegs(brief, strip)),
        FastenOff(yarn),
        LiftOff("strip"),
    )
