"""The gathered-top hat: a tube whose upper edge is drawn together.

There are three ways to the tube.  On a **ring** of pegs it is knitted in the round, and every peg
is in use.  Flat and **bottom-up**, a strip as wide as the hat is round is sewn at the side.  Flat
and **sideways**, a strip as wide as the hat is deep is knitted all the way round, and its ends are
joined: this needs a shorter board.

The hat is as deep as crown and brim together.  The brim may be single, or double: then twice the
rows are knitted for it, and it is turned up or sewn down inside.
"""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, Measure, OptionKind, OptionSpec, Plan
from pegwright.garments.gathered_hat_figure import hat_make_up
from pegwright.garments.gathered_hat_steps import ring_steps, sideways_steps, upright_steps
from pegwright.garments.hat_shape import CROWN_OF_HEAD, HatShape, Worked, hat_shape, round_fits
from pegwright.garments.ring import COUNT_OPTIONS, check_cloth
from pegwright.garments.strip import Steps
from pegwright.knitting.script import PieceSpec, Script
from pegwright.loom.board import Arrangement
from pegwright.tongue.said import say

__all__ = ["CROWN_OF_HEAD", "GATHERED_HAT", "GatheredHat"]

EASE_PER_CENT = -8
"""A hat is a little smaller than the head, stretches and holds (an assumption, no source)."""


@dataclass(frozen=True, slots=True)
class GatheredHat:
    """The gathered-top hat as a garment; see the module."""

    name: str = "gathered-hat"
    title: str = "Gathered-top hat"
    words: str = "A tube drawn together at the top, knitted on a ring of pegs or flat and sewn."
    measures: tuple[Measure, ...] = (
        Measure(
            "head", say("round the head above the brows and over the ears"), True, 250.0, 750.0
        ),
        Measure("crown", say("from the middle of the crown down to the brow"), False, 50.0, 350.0),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec(
            "worked",
            OptionKind.CHOICE,
            "how a flat hat is knitted: bottom-up where the board is long enough, or as you say",
            "as the board allows",
            ("as the board allows", "bottom-up", "sideways"),
        ),
        OptionSpec(
            "ease_part",
            OptionKind.COUNT,
            "ease in per cent of the head; below zero the hat is smaller, stretches and holds",
            EASE_PER_CENT,
            least=-20,
            most=20,
        ),
        OptionSpec(
            "brim",
            OptionKind.LENGTH,
            "how far the brim reaches below the brow; 0 for none",
            least=0.0,
            most=250.0,
        ),
        OptionSpec(
            "fold",
            OptionKind.CHOICE,
            "the brim: single, double and turned up, or double and sewn down inside",
            "single",
            ("single", "turned", "sewn"),
        ),
        *COUNT_OPTIONS,
    )
    wraps: tuple[str, ...] = ()
    yarn_parts: tuple[str, ...] = ("body", "seam")

    def plan(self, brief: Brief) -> Plan:
        """Work one size out.

        :raises NotPossible: where the board is too short, the ring makes a hat that cannot fit, the
            wrap does not fit, or the brim cannot be worked so.
        """
        check_cloth(brief, "a hat")
        asked = brief.options.get("ease_part")
        ease_part = int(EASE_PER_CENT if asked is None else asked) / 100
        worked = _worked(brief, ease_part)
        shape = hat_shape(brief, worked, ease_part)
        steps = _STEPS[worked](brief, shape)
        return Plan(
            garment=self.name,
            size=brief.size,
            wearer=brief.wearer,
            group=f"{worked} {shape.fold if shape.brim_rows else 'no brim'}",
            script=_script(brief, shape, steps),
            wrap=shape.strip.field.wrap,
            pieces=(shape.strip.piece,),
            finished=shape.finished,
            facts=shape.facts,
            choices=shape.choices,
            parts=tuple(dict.fromkeys(s.part for s in steps.made)),
            body={"round": brief.measures["head"]},
            make_up=hat_make_up(brief, shape),
        )


GATHERED_HAT = GatheredHat()

_STEPS = {
    Worked.RING: ring_steps,
    Worked.BOTTOM_UP: upright_steps,
    Worked.SIDEWAYS: sideways_steps,
}


def _worked(brief: Brief, ease_part: float) -> Worked:
    """The way that is asked for, or the first that the board allows."""
    asked = str(brief.options.get("worked") or "as the board allows")
    if brief.loom.arrangement is Arrangement.RING:
        if asked == "sideways":
            raise NotPossible(
                "a hat on a ring is knitted in the round",
                given=f'worked = "{asked}"',
                hint="leave that out, or use a board",
            )
        return Worked.RING
    if asked != "as the board allows":
        return Worked(asked)
    long_enough = brief.options.get("pegs") is not None or round_fits(brief, ease_part)
    return Worked.BOTTOM_UP if long_enough else Worked.SIDEWAYS


def _script(brief: Brief, shape: HatShape, steps: Steps) -> Script:
    piece = PieceSpec(shape.piece_name, brief.wrap.cloth)
    return Script(brief.loom, (piece,), tuple(steps.made), brief.size)
