"""The cowl, or neck tube: a strip closed to a ring that goes over the head and lies at the neck."""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.garments.base import Brief, Measure, OptionKind, OptionSpec, Plan
from pegwright.garments.edges import COUNT_OPTIONS
from pegwright.garments.ring import JOIN, Ring, plan_ring
from pegwright.tongue.said import say

__all__ = ["COWL", "OVER_HEAD", "Cowl"]

OVER_HEAD = 0.92
"""Smallest ring over the head that it must pass, as a part of it: two-faced cloth gives some 8 %
when it is pulled (an assumption, no source)."""


@dataclass(frozen=True, slots=True)
class Cowl:
    """The cowl as a garment; see the module."""

    name: str = "cowl"
    title: str = "Cowl or neck tube"
    words: str = "A strip joined to a ring: it goes over the head and has no ends that hang loose."
    measures: tuple[Measure, ...] = (
        Measure("neck", say("round the neck where the cowl will lie"), True, 150.0, 900.0),
        Measure("height", say("from the lower to the upper edge of the cowl"), True, 60.0, 700.0),
        Measure("head", say("round the head above the brows, to go over it"), False, 250.0, 750.0),
    )
    options: tuple[OptionSpec, ...] = (
        JOIN,
        OptionSpec("ease", OptionKind.LENGTH, "added to the neck", 120.0, most=900.0),
        *COUNT_OPTIONS,
    )
    wraps: tuple[str, ...] = ()
    yarn_parts: tuple[str, ...] = ("body", "seam")
    takes_stripes: bool = True

    def plan(self, brief: Brief) -> Plan:
        """Work one size out; where the head is given, the ring is never too small to go over it.

        :raises NotPossible: where the board is too short or the wrap does not fit.
        """
        neck_mm = brief.measures["neck"]
        ease = brief.options.get("ease")
        round_mm = neck_mm + float(120.0 if ease is None else ease)
        round_mm = max(round_mm, OVER_HEAD * brief.measures.get("head", 0.0))
        ring = Ring(
            round_mm,
            brief.measures["height"],
            str(brief.options.get("join") or "ends"),
            {"round": neck_mm},
        )
        return plan_ring(self.name, brief, ring)


COWL = Cowl()
