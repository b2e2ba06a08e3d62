"""What a design predicts of one tester's piece, with all that makes pieces differ.

Words used here:

* a tester's **own** spread is what makes her piece differ from another tester's: her hand, her
  tape, her scale;
* the **shared** spread is what all testers have in common: how far the gauge or the metres on the
  ball band may be off.  More testers make the first smaller, never the second.

The model.  A finished measure is a count times the true size of a stitch (shared: the gauge's
spread), a piece strays from that as swatches of one hand do
(:data:`pegwright.gauge.fabric_gauge.HAND_RELATIVE_SD`), and a tape on cloth strays too
(:data:`pegwright.gauge.fabric_gauge.TAPE_SD_MM`).  Grams are metres, which stray with the hand's
slack, over the metres in 100 g (shared).  Makers' paces differ by
:data:`PACE_RELATIVE_SD`.  All errors are normal and independent.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from pegwright.gauge.fabric_gauge import HAND_RELATIVE_SD, TAPE_SD_MM, Gauge
from pegwright.knitting.drawn import drawn
from pegwright.making import Made
from pegwright.measured import Measured, resolution_sd
from pegwright.pattern.model import Pattern
from pegwright.pattern.source import ProvedSize
from pegwright.planning.needs import BESIDE_RELATIVE_SD
from pegwright.planning.pace import LOOPS_PER_MINUTE, UNHURRIED
from pegwright.testknit.sheet import TesterSheet, sheets

__all__ = [
    "PACE_RELATIVE_SD",
    "WRAP_TEST_SD_MM",
    "Axis",
    "Basis",
    "Expected",
    "Multiple",
    "Share",
    "SizeBasis",
    "basis",
    "weighed_sd_g",
]

PACE_RELATIVE_SD = UNHURRIED.loops_per_minute.relative
"""How far makers' paces differ, as a part: as for a maker who has timed none (an assumption)."""

WRAP_TEST_SD_MM = 6.0
"""How far the yarn of a wrap test may well be off when it is unwound and measured: about a quarter
of an inch (an assumption, no source)."""

_EXACT = 1e-6


class Axis(StrEnum):
    """Which way a measure runs."""

    WALE = "wale"  # so many stitches wide
    COURSE = "course"  # so many rows long


@dataclass(frozen=True, slots=True)
class Multiple:
    """A measure that is so many stitches or rows: ``count`` may be a half."""

    axis: Axis
    count: float


@dataclass(frozen=True, slots=True)
class Expected:
    """What is expected of one figure of one piece; all in the figure's own unit.

    :param own_sd: the tester's own spread.
    :param shared_sd: the spread that all testers have in common.
    """

    value: float
    own_sd: float
    shared_sd: float

    @property
    def sd(self) -> float:
        """Both together: how far one tester's figure may well lie from the value."""
        return math.hypot(self.own_sd, self.shared_sd)

    @property
    def measured(self) -> Measured:
        """The value with that spread."""
        return Measured(self.value, self.sd)


@dataclass(frozen=True, slots=True)
class Share:
    """What a size draws of one yarn, in m: taut round the pegs, and beside them."""

    wrapped_m: float
    beside_m: float


@dataclass(frozen=True, slots=True)
class SizeBasis:
    """Everything that is predicted of one size.

    :param multiples: finished measures, and pieces' as ``strip width``, that are plain multiples of
        the gauge; only they tell of it.
    :param shares: by the yarn's name.
    """

    sheet: TesterSheet
    multiples: Mapping[str, Multiple]
    shares: Mapping[str, Share]


@dataclass(frozen=True, slots=True)
class Basis:
    """A proved design, ready to hold answers against.

    :param pace: loops a minute that the design reckons with, and how far makers differ.
    """

    made: Made
    sizes: Mapping[str, SizeBasis]
    pace: Measured

    @property
    def sheets(self) -> dict[str, TesterSheet]:
        """The sheet of every size."""
        return {name: size.sheet for name, size in self.sizes.items()}

    def measure(self, predicted: Measured) -> Expected:
        """What is expected of a finished measure or a piece, in mm."""
        own = math.hypot(HAND_RELATIVE_SD * predicted.value, TAPE_SD_MM)
        return Expected(predicted.value, own, predicted.sd)

    def wrap_test(self, size: str) -> Expected | None:
        """What is expected of the wrap test, in mm; None on one row of pegs."""
        mm, slack = self.sizes[size].sheet.wrap_test_mm, self.made.design.slack
        if mm is None:
            return None
        return Expected(mm, math.hypot(mm * slack.relative, WRAP_TEST_SD_MM), 0.0)

    def yarn(self, size: str, name: str, scale_g: float, grist: Measured | None = None) -> Expected:
        """What is expected to be drawn of a yarn, in g.

        :param scale_g: the smallest weight that the tester's scale shows.
        :param grist: metres in 100 g of another yarn in its place.
        """
        design, share = self.made.design, self.sizes[size].shares[name]
        metres = design.slack.value * share.wrapped_m + share.beside_m
        # One hand stands behind wraps and tails: their spreads point the same way.
        hand_m = design.slack.sd * share.wrapped_m + BESIDE_RELATIVE_SD * share.beside_m
        of_band = grist or design.yarns[name].grist
        grams = 100 * metres / of_band.value
        own = math.hypot(100 * hand_m / of_band.value, weighed_sd_g(scale_g))
        return Expected(grams, own, grams * of_band.relative)


def weighed_sd_g(scale_g: float) -> float:
    """The spread of a difference of two weighings on a scale that shows steps of so much."""
    return math.sqrt(2) * resolution_sd(scale_g)


def basis(made: Made, pattern: Pattern) -> Basis:
    """What is needed to hold answers about a proved design against it."""
    asked = sheets(made, pattern)
    sizes = {
        size.name: SizeBasis(
            asked[size.name],
            _multiples(made.gauge, size, asked[size.name]),
            _shares(made, size),
        )
        for size in made.sizes
    }
    costing = made.design.costing
    own = None if costing is None else costing.loops_per_minute
    pace = LOOPS_PER_MINUTE if own is None else own
    return Basis(made, sizes, Measured(pace, PACE_RELATIVE_SD * pace))


def _shares(made: Made, size: ProvedSize) -> dict[str, Share]:
    yarns = made.design.yarns
    parts = drawn(size.run, {name: yarn.wrapped_diameter_mm for name, yarn in yarns.items()})
    return {
        need.yarn.name: Share(
            sum(p.wrapped_mm for p in parts.of(need.yarn.name)) / 1000,
            sum(p.beside_mm for p in parts.of(need.yarn.name)) / 1000,
        )
        for need in size.needs
    }


# --- which measures tell of the gauge ------------------------------------------------------------


def _multiples(gauge: Gauge, size: ProvedSize, sheet: TesterSheet) -> dict[str, Multiple]:
    wide = {piece.width for piece in size.plan.pieces}
    long = {piece.length for piece in size.plan.pieces}
    asked = {measure.name: measure.predicted for measure in sheet.measures}
    for piece in sheet.pieces:
        for key, predicted in (("width", piece.width), ("length", piece.length)):
            if predicted is not None:
                asked[f"{piece.name} {key}"] = predicted
    found: dict[str, Multiple] = {}
    for name, predicted in asked.items():
        fits = {
            axis: count
            for axis, unit in ((Axis.WALE, gauge.wale), (Axis.COURSE, gauge.course))
            if (count := _count(predicted, unit)) is not None
        }
        if len(fits) == 2:  # a hundred stitches may be as wide as so many rows are long
            is_wide, is_long = predicted in wide, predicted in long
            fits = {} if is_wide == is_long else {
                axis: fits[axis] for axis in fits if (axis is Axis.WALE) == is_wide
            }  # fmt: skip
        for axis, count in fits.items():
            found[name] = Multiple(axis, count)
    return found


def _count(measure: Measured, unit: Measured) -> float | None:
    """How many stitches or rows a measure is, in halves; None where it is no plain multiple.

    Its spread must be the same multiple of the unit's: whatever else goes into a measure (ease of
    making up, a gathered edge, a cord of its own) shows there.
    """
    count = round(2 * measure.value / unit.value) / 2
    same = count > 0 and all(
        abs(have - count * one) <= _EXACT * max(abs(have), 1.0)
        for have, one in ((measure.value, unit.value), (measure.sd, unit.sd))
    )
    return count if same else None
