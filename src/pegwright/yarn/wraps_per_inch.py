"""Wraps per inch from turns counted on a ruler, and the weight categories that they point to.

Wind the yarn round a ruler, turns side by side, touching and not stretched; count the turns over an
inch or two; wind it afresh and count again.  A count is of **whole turns**, so it is off by up to
half a turn whatever the care: that part is not lessened by counting again.

The two published charts of wraps per inch differ (see :mod:`pegwright.yarn.category`).  They are
printed in whole turns, so each range is taken half a turn wider on both sides.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import fmean, stdev

from pegwright.errors import BadInput, Finding, Place, Severity
from pegwright.measured import Measured, resolution_sd
from pegwright.units import MM_PER_INCH, UnitSystem, format_number, require_positive
from pegwright.yarn.category import CATEGORIES, Category, Span
from pegwright.yarn.telling import measured_data

__all__ = ["ONE_COUNT_RELATIVE_SD", "WrapsCount", "charted", "wraps_count"]

ONE_COUNT_RELATIVE_SD = 0.08
"""How far one winding may well differ from the next, where it was counted only once: 8 %.

An assumption, no source: how close turns are pushed together is a matter of the hand."""

_UNEVEN = 0.15
"""Counts whose ends lie further apart than this part of their mean were wound unevenly."""


@dataclass(frozen=True, slots=True)
class WrapsCount:
    """Wraps per inch, and what follows.

    :param counts: turns as counted, each over ``over_mm`` of ruler.
    :param wraps_per_inch: their mean with its uncertainty.
    :param older: the categories of the older chart that have it, finest first; ``newer`` likewise.
    :param findings: ``wraps-charts-disagree``, ``wraps-counted-once``, ``wraps-uneven``.
    """

    counts: tuple[float, ...]
    over_mm: float
    wraps_per_inch: Measured
    older: tuple[Category, ...]
    newer: tuple[Category, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def diameter_mm(self) -> Measured:
        """The wrapped diameter in mm; not the solid one."""
        return MM_PER_INCH / self.wraps_per_inch

    @property
    def likely(self) -> tuple[Category, ...]:
        """The categories of both charts; where they have none in common, those of either."""
        both = tuple(c for c in self.older if c in self.newer)
        return both or tuple(c for c in CATEGORIES if c in (*self.older, *self.newer))

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """What was found, a sentence each."""
        wraps = self.wraps_per_inch
        low, high = (format_number(end, 1) for end in wraps.interval())
        thick = format_number(self.diameter_mm.value, 1)
        first, second = f"{format_number(wraps.value, 1)} to the inch", f"{thick} mm thick"
        if units is UnitSystem.CENTIMETRES:
            first, second = second, first
        likely = _either(self.likely) if self.likely else "none of the charts'"
        return (
            f"The yarn lies {first} ({second}); nine times in ten between {low} and {high} wraps"
            " to the inch.",
            f"Likely weight category: {likely}.",
            *(f.what for f in self.findings),
        )

    def as_data(self) -> dict[str, object]:
        """The same as plain data."""
        return {
            "counts": list(self.counts),
            "over_mm": self.over_mm,
            "wraps_per_inch": measured_data(self.wraps_per_inch),
            "diameter_mm": measured_data(self.diameter_mm),
            "likely": [c.number for c in self.likely],
            "older_chart": [c.number for c in self.older],
            "newer_chart": [c.number for c in self.newer],
            "findings": [f.as_data() for f in self.findings],
        }


def wraps_count(counts: Sequence[float], over_mm: float = MM_PER_INCH) -> WrapsCount:
    """Wraps per inch from several counts over one length of ruler.

    The standard deviation holds the spread of the windings, lessened by their number, and that of
    counting whole turns, which is not.

    :param counts: turns counted, one for each winding.
    :param over_mm: the length of ruler that each was counted over, in mm.
    :raises BadInput: naming the field, for no counts, or a count or length that is not above zero.
    """
    require_positive(over_mm, "over_mm", hint="count over an inch or two of ruler")
    if not counts:
        raise BadInput(
            "no turns were counted",
            hint="wind the yarn round a ruler and count the turns over 1 or 2 in",
            place=Place(field="counts"),
        )
    for number, count in enumerate(counts, 1):
        require_positive(count, f"counts[{number}]", hint="count the turns that lie side by side")
    wraps = _wraps(counts, over_mm / MM_PER_INCH)
    older, newer = charted(wraps.value)
    return WrapsCount(
        tuple(counts),
        over_mm,
        wraps,
        older,
        newer,
        tuple(_findings(counts, wraps.value, older, newer)),
    )


def charted(wraps_per_inch: float) -> tuple[tuple[Category, ...], tuple[Category, ...]]:
    """The categories of the older chart and those of the newer that have this count.

    Each range is taken half a turn wider; see the module.
    """
    require_positive(wraps_per_inch, "wraps_per_inch")
    older = tuple(
        c for c in CATEGORIES if c.wraps_older is not None and _in(c.wraps_older, wraps_per_inch)
    )
    return older, tuple(c for c in CATEGORIES if _in(c.wraps_newer, wraps_per_inch))


def _wraps(counts: Sequence[float], inches: float) -> Measured:
    mean = fmean(counts)
    if len(counts) > 1:
        spread = stdev(counts) / math.sqrt(len(counts))
    else:
        spread = ONE_COUNT_RELATIVE_SD * mean
    return Measured(mean / inches, math.hypot(spread, resolution_sd(1)) / inches)


def _in(span: Span, value: float) -> bool:
    return any(value + shift in span for shift in (-0.5, 0.0, 0.5))


def _findings(
    counts: Sequence[float],
    wraps: float,
    older: tuple[Category, ...],
    newer: tuple[Category, ...],
) -> Iterator[Finding]:
    if not set(older) & set(newer):
        yield Finding(
            "wraps-charts-disagree",
            Severity.NOTE,
            f"The two published charts do not agree on {format_number(wraps, 1)} wraps to the inch:"
            f" {_either(older) or 'none'} in the older one,"
            f" {_either(newer) or 'none'} in the newer.",
            "Go by metres per 100 g as well, or knit a swatch.",
        )
    if len(counts) == 1:
        yield Finding(
            "wraps-counted-once",
            Severity.NOTE,
            "The turns were counted once, so their spread is only assumed.",
            "Wind the yarn afresh and count again, twice or more.",
        )
    elif (max(counts) - min(counts)) > _UNEVEN * fmean(counts):
        yield Finding(
            "wraps-uneven",
            Severity.NOTE,
            f"The counts run from {format_number(min(counts), 1)} to"
            f" {format_number(max(counts), 1)}: wound more tightly once than another time.",
            "Let the turns just touch, do not stretch the yarn, and count again.",
        )


def _either(categories: tuple[Category, ...]) -> str:
    return " or ".join(map(str, categories))
