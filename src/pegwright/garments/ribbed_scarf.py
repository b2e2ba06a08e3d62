"""The ribbed scarf: a strip in rib, both ends finished, with a fringe if it is wanted."""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, Measure, OptionKind, OptionSpec, Plan
from pegwright.garments.edges import bind_off, check_cloth, close_cast_on, strip_facts
from pegwright.garments.strip import Steps, Strip, choose_strip, strip_steps
from pegwright.knitting.operations import Part, TakeLength, WeaveIn
from pegwright.knitting.script import PieceSpec, Script
from pegwright.measured import Measured
from pegwright.tongue.said import say
from pegwright.units import format_length

__all__ = ["RIBBED_SCARF", "RibbedScarf", "fringe_yarn_mm"]

FRINGE_KNOT_DIAMETERS = 12.0
"""Yarn that each strand loses in the knot of a fringe, in yarn diameters: twice round a bundle that
is about two strands thick, from geometry; an assumption, no source."""


@dataclass(frozen=True, slots=True)
class _Fringe:
    """A fringe: knots along each end, strands in a knot, and the length of each cut strand."""

    knots: int
    strands: int
    cut_mm: float
    hangs_mm: float

    @property
    def pieces(self) -> int:
        """Strands to cut for both ends."""
        return 2 * self.knots * self.strands


def fringe_yarn_mm(hangs_mm: float, yarn_diameter_mm: float) -> float:
    """The length to cut a strand, which is folded in half, for a fringe that hangs so long."""
    return 2 * hangs_mm + FRINGE_KNOT_DIAMETERS * yarn_diameter_mm


@dataclass(frozen=True, slots=True)
class RibbedScarf:
    """The ribbed scarf as a garment; see the module."""

    name: str = "ribbed-scarf"
    title: str = "Ribbed scarf"
    words: str = "A straight scarf in rib, with a knotted fringe at both ends if it is wanted."
    measures: tuple[Measure, ...] = (
        Measure("width", say("across the scarf"), True, 40.0, 800.0),
        Measure("length", say("from end to end, without the fringe"), True, 200.0, 5_000.0),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec(
            "fringe",
            OptionKind.LENGTH,
            "how long the fringe hangs at both ends; leave it out for none",
            least=20.0,
            most=400.0,
        ),
        OptionSpec("fringe_strands", OptionKind.COUNT, "strands in each knot", 2, least=1, most=12),
        OptionSpec(
            "fringe_every", OptionKind.COUNT, "stitches from knot to knot", 2, least=1, most=20
        ),
        OptionSpec("pegs", OptionKind.COUNT, "pegs a side, instead of by gauge", least=2, most=500),
        OptionSpec("rows", OptionKind.COUNT, "rows, instead of by gauge", least=4, most=100_000),
    )
    wraps: tuple[str, ...] = (
        "double-board rib 1 by 1",
        "double-board rib 2 by 2",
        "double-board stockinette",
    )
    yarn_parts: tuple[str, ...] = ("body", "trim")
    takes_stripes: bool = True

    def plan(self, brief: Brief) -> Plan:
        """Work one size out.

        :raises NotPossible: where the board is too short or the wrap does not fit.
        """
        check_cloth(brief, "the ribbed scarf")
        width_mm, length_mm = brief.measures["width"], brief.measures["length"]
        strip = choose_strip(brief, width_mm, length_mm, even_rows=False)
        fringe = _fringe(brief, strip)
        steps = Steps()
        strip_steps(steps, strip, brief.yarn("body").name)
        bind_off(steps, strip)
        close_cast_on(steps, brief, strip)
        steps.add("finish", "strip", Part.TAILS, WeaveIn("strip"))
        finished = {"width": strip.piece.width, "length": strip.piece.length}
        facts = strip_facts(strip)
        choices = strip.choices
        if fringe is not None:
            total_mm = fringe.pieces * fringe.cut_mm
            cut = TakeLength("fringe", brief.yarn("trim").name, total_mm, Part.TRIM)
            steps.add("fringe", "strip", Part.TRIM, cut)
            finished["fringe"] = Measured(fringe.hangs_mm)
            facts |= _fringe_facts(fringe)
            choices += (_fringe_words(brief, fringe),)
        return Plan(
            garment=self.name,
            size=brief.size,
            wearer=brief.wearer,
            group="plain" if fringe is None else "fringed",
            script=Script(
                brief.loom, (PieceSpec("strip", brief.wrap.cloth),), tuple(steps.made), brief.size
            ),
            wrap=brief.wrap,
            pieces=(strip.piece,),
            finished=finished,
            facts=facts,
            choices=choices,
            parts=tuple(dict.fromkeys(s.part for s in steps.made)),
        )


RIBBED_SCARF = RibbedScarf()


def _fringe(brief: Brief, strip: Strip) -> _Fringe | None:
    hangs = brief.options.get("fringe")
    if hangs is None:
        return None
    every = int(brief.options.get("fringe_every") or 2)
    strands = int(brief.options.get("fringe_strands") or 2)
    columns = strip.field.last
    if every >= columns:
        raise NotPossible(
            "the knots of the fringe stand further apart than the scarf is wide",
            given=f"every {every} stitches on {columns} stitches",
            hint=f"say fringe_every = {max(1, columns // 4)}",
        )
    knots = (columns - 1) // every + 1
    cut_mm = fringe_yarn_mm(float(hangs), brief.yarn("trim").wrapped_diameter_mm)
    return _Fringe(knots, strands, cut_mm, float(hangs))


def _fringe_facts(fringe: _Fringe) -> dict[str, float]:
    return {
        "fringe_knots": fringe.knots,
        "fringe_strands": fringe.strands,
        "fringe_pieces": fringe.pieces,
        "fringe_cut_mm": fringe.cut_mm,
        "fringe_mm": fringe.hangs_mm,
    }


def _fringe_words(brief: Brief, fringe: _Fringe) -> str:
    cut = format_length(fringe.cut_mm, brief.units)
    hangs = format_length(fringe.hangs_mm, brief.units)
    return say(
        "For a fringe that hangs {hangs}, each strand is cut {cut} long and folded in half; "
        "{knots} knots of {strands} at each end make {pieces} strands.",
        hangs=hangs,
        cut=cut,
        knots=fringe.knots,
        strands=fringe.strands,
        pieces=fringe.pieces,
    )
