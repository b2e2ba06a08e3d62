"""The headband: a strip joined to a ring, smaller than the head, that holds by its stretch."""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.garments.base import Brief, Measure, OptionKind, OptionSpec, Plan
from pegwright.garments.edges import COUNT_OPTIONS
from pegwright.garments.ring import JOIN, Ring, plan_ring
from pegwright.sizing.ease import Ease
from pegwright.tongue.said import say

__all__ = ["HEADBAND", "HEIGHT_OF_HEAD", "Headband"]

HEIGHT_OF_HEAD = 0.16
"""Height of a band that covers the ears, over head circumference (common practice, no source)."""

EASE_PER_CENT = -10
"""A band is about a tenth smaller than the head (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Headband:
    """The headband as a garment; see the module."""

    name: str = "headband"
    title: str = "Headband"
    words: str = "A band joined to a ring, a little smaller than the head, that covers the ears."
    measures: tuple[Measure, ...] = (
        Measure(
            "head", say("round the head above the brows and over the ears"), True, 250.0, 750.0
        ),
        Measure("height", say("from the lower to the upper edge of the band"), False, 30.0, 200.0),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec(
            "ease_part",
            OptionKind.COUNT,
            "ease in per cent of the head; below zero the band is smaller, stretches and holds",
            EASE_PER_CENT,
            least=-30,
            most=20,
        ),
        JOIN,
        *COUNT_OPTIONS,
    )
    wraps: tuple[str, ...] = ()
    yarn_parts: tuple[str, ...] = ("body", "seam")
    takes_stripes: bool = True

    def plan(self, brief: Brief) -> Plan:
        """Work one size out.

        :raises NotPossible: where the board is too short or the wrap does not fit.
        """
        head_mm = brief.measures["head"]
        asked = brief.options.get("ease_part")
        ease = Ease(part=int(EASE_PER_CENT if asked is None else asked) / 100)
        height_mm = brief.measures.get("height", HEIGHT_OF_HEAD * head_mm)
        join = str(brief.options.get("join") or "ends")
        ring = Ring(ease.finished_mm(head_mm), height_mm, join, {"round": head_mm})
        return plan_ring(self.name, brief, ring)


HEADBAND = Headband()
