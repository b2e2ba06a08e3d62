"""Trims and joins: how much yarn tassels, pompoms, fringes, seams, tails and knots take.

Every formula is geometry over habits of the trade (common practice, no source) and stands in its
function.  What hands do differs, so each figure has :data:`BESIDE_RELATIVE_SD`.

Words used here:

* a **turn** is once round a card or board; cut open, it gives a strand of twice the card's height;
* the **bundle** is all strands of a tassel or knot side by side: round, as close as round strands
  can lie, so n strands of diameter d are d · sqrt(n / 0.9069) thick (0.9069 = pi / sqrt(12), the
  densest packing of equal circles).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pegwright.errors import BadInput, Place
from pegwright.garments.strip import TAIL_MM, seam_yarn_mm
from pegwright.measured import Measured, total
from pegwright.planning.needs import BESIDE_RELATIVE_SD
from pegwright.units import (
    MM_PER_INCH,
    UnitSystem,
    format_yarn_length,
    require_positive,
    require_zero_or_more,
)
from pegwright.yarn.need import Part
from pegwright.yarn.telling import counted, measured_data

__all__ = [
    "MOST_COUNT",
    "TRIMMING_MM",
    "Trim",
    "Trims",
    "fringe",
    "pompom",
    "seam",
    "tails",
    "tassel",
    "tied_joins",
    "trims",
]

MOST_COUNT = 100_000
"""Most turns, strands or knots: beyond is a slip of the keyboard."""

TRIMMING_MM = MM_PER_INCH / 4
"""Cut off each end to even it: a quarter of an inch (common practice, no source)."""

_PACKING = math.pi / math.sqrt(12)


@dataclass(frozen=True, slots=True)
class Trim:
    """The yarn of one kind of trim or join.

    :param name: what it is, as in the list of what yarn is needed for.
    :param number: how many of them.
    :param each: metres that one takes.
    :param how: how that comes about, in plain words.
    """

    name: str
    number: int
    each: Measured
    how: str

    @property
    def metres(self) -> Measured:
        """All of them, in metres; one pair of hands makes them, so they are off together."""
        return self.each.scale(self.number)

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """How much, and how that comes about."""
        name, in_all = self.name.capitalize(), format_yarn_length(self.metres.value, units)
        if self.number == 1:
            return (f"{name}: {in_all} for {self.how}.",)
        each = format_yarn_length(self.each.value, units)
        return (f"{name}: {self.number} at {each} each, {in_all} in all; one takes {self.how}.",)

    def as_data(self) -> dict[str, object]:
        """The same as plain data, in metres."""
        return {
            "name": self.name,
            "number": self.number,
            "each_m": measured_data(self.each),
            "metres": measured_data(self.metres),
            "how": self.how,
        }


@dataclass(frozen=True, slots=True)
class Trims:
    """Several kinds of trim together."""

    items: tuple[Trim, ...]

    @property
    def metres(self) -> Measured:
        """All of them, in metres; the errors point the same way."""
        return total((item.metres for item in self.items), shared_error=True)

    @property
    def parts(self) -> tuple[Part, ...]:
        """As parts of a yarn's need; trims of one name are added together."""
        names = dict.fromkeys(item.name for item in self.items)
        return tuple(
            Part(
                name,
                total((i.metres for i in self.items if i.name == name), shared_error=True),
            )
            for name in names
        )

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """Each kind, and all together."""
        lines = [line for item in self.items for line in item.words(units)]
        if len(self.items) > 1:
            lines.append(f"In all {format_yarn_length(self.metres.value, units)}.")
        return tuple(lines)

    def as_data(self) -> dict[str, object]:
        """The same as plain data."""
        return {
            "trims": [item.as_data() for item in self.items],
            "metres": measured_data(self.metres),
        }


def trims(items: Sequence[Trim]) -> Trims:
    """Several kinds of trim together, in the order given."""
    return Trims(tuple(items))


# --- trims ---------------------------------------------------------------------------------------


def tassel(
    length_mm: float,
    strands: int,
    yarn_diameter_mm: float,
    *,
    neck_wraps: int = 6,
    loop_mm: float = 2 * TAIL_MM,
    number: int = 1,
) -> Trim:
    """Yarn for tassels: strands · 2 · (length + trimming) + wraps round the neck + hanging loop.

    Each turn round the card hangs doubled.  A wrap round the neck goes along the outside of the
    bundle: pi · (bundle of 2 · strands + one yarn).

    :param length_mm: from the top to the trimmed end, in mm.
    :param strands: turns round the card.
    :param loop_mm: yarn for the hanging loop with its two ends, in mm; two tails, unless given.
    :raises BadInput: naming the field, for a length or count that is not above zero.
    """
    require_positive(length_mm, "length_mm")
    require_positive(yarn_diameter_mm, "yarn_diameter_mm")
    require_zero_or_more(loop_mm, "loop_mm")
    _count(strands, "strands")
    _count(neck_wraps, "neck_wraps", least=0)
    neck_mm = math.pi * (_bundle_mm(2 * strands, yarn_diameter_mm) + yarn_diameter_mm)
    mm = strands * 2 * (length_mm + TRIMMING_MM) + neck_wraps * neck_mm + loop_mm
    how = (
        f"{counted(strands, 'turn')} of twice the length with its trimming,"
        f" {counted(neck_wraps, 'wrap')} round the neck, and the hanging loop"
    )
    return _trim("tassel", number, mm, how)


def pompom(
    diameter_mm: float, winds: int, *, core_mm: float | None = None, number: int = 1
) -> Trim:
    """Yarn for pompoms wound on a ring: winds · pi · depth of the ring + the tie.

    The depth is (rim − core) / 2.  The first wind lies flat round the ring, 2 · depth; as it fills,
    the section grows round, pi · depth, which is taken for all of them.  The tie goes twice round
    the core and leaves two tails.

    :param diameter_mm: of the ring's rim, about what the pompom has when trimmed.
    :param winds: winds round the ring.
    :param core_mm: of the hole; a third of the rim unless given (common practice, no source).
    :raises BadInput: naming the field, for a size or count that is not above zero, or a hole that
        is no smaller than the rim.
    """
    require_positive(diameter_mm, "diameter_mm")
    hole_mm = diameter_mm / 3 if core_mm is None else core_mm
    require_positive(hole_mm, "core_mm")
    if hole_mm >= diameter_mm:
        raise BadInput(
            "the hole must be smaller than the ring",
            given=f"hole {hole_mm:g} mm, ring {diameter_mm:g} mm",
            hint="a hole of a third of the ring is usual",
            place=Place(field="core_mm"),
        )
    _count(winds, "winds")
    mm = winds * math.pi * (diameter_mm - hole_mm) / 2 + 2 * math.pi * hole_mm + 2 * TAIL_MM
    how = f"{counted(winds, 'wind')} round the ring, and the tie with its two ends"
    return _trim("pompom", number, mm, how)


def fringe(knots: int, strands: int, length_mm: float, yarn_diameter_mm: float) -> Trim:
    """Yarn for a fringe: knots · strands · (2 · (length + trimming) + the knot).

    Each strand is folded and drawn through the edge; its ends go through the fold.  The knot takes
    once round the bundle: pi · (bundle of 2 · strands + one yarn).

    :param knots: along all edges that have a fringe.
    :param strands: in each knot, before they are folded.
    :param length_mm: hanging below the edge when trimmed.
    :raises BadInput: naming the field, for a length or count that is not above zero.
    """
    require_positive(length_mm, "length_mm")
    require_positive(yarn_diameter_mm, "yarn_diameter_mm")
    _count(knots, "knots")
    _count(strands, "strands")
    knot_mm = math.pi * (_bundle_mm(2 * strands, yarn_diameter_mm) + yarn_diameter_mm)
    mm = strands * (2 * (length_mm + TRIMMING_MM) + knot_mm)
    how = f"{counted(strands, 'strand')} of twice the length with its trimming, and the knot"
    return _trim("fringe", knots, mm, how)


# --- joins ---------------------------------------------------------------------------------------


def seam(chains: int, course_mm: float, yarn_diameter_mm: float, *, number: int = 1) -> Trim:
    """Yarn for chain-edge seams; see :func:`pegwright.garments.strip.seam_yarn_mm`.

    :param chains: chains of one edge.
    :param course_mm: length of one row.
    """
    require_positive(course_mm, "course_mm")
    require_positive(yarn_diameter_mm, "yarn_diameter_mm")
    _count(chains, "chains")
    how = (
        f"{counted(chains, 'chain')} of each edge, the crossings between them, and two ends to"
        " weave in"
    )
    return _trim("seam", number, seam_yarn_mm(chains, course_mm, yarn_diameter_mm), how)


def tails(ends: int) -> Trim:
    """Yarn for ends to weave in: one tail each."""
    return _trim("tails", ends, TAIL_MM, "one tail to weave in")


def tied_joins(joins: int, yarn_diameter_mm: float) -> Trim:
    """Yarn for joins of one yarn to the next by a reef knot: two tails and the knot.

    A reef knot is two half knots, in each of which both ends go once round each other, centre
    lines a yarn apart: 2 · 2 · pi · diameter.
    """
    require_positive(yarn_diameter_mm, "yarn_diameter_mm")
    mm = 2 * TAIL_MM + 4 * math.pi * yarn_diameter_mm
    return _trim("joins", joins, mm, "two tails to weave in, and the knot")


def _trim(name: str, number: int, mm: float, how: str) -> Trim:
    _count(number, "number")
    metres = mm / 1000
    return Trim(name, number, Measured(metres, BESIDE_RELATIVE_SD * metres), how)


def _bundle_mm(strands: int, yarn_diameter_mm: float) -> float:
    return yarn_diameter_mm * math.sqrt(strands / _PACKING)


def _is_whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _count(value: int, field: str, least: int = 1) -> None:
    if not _is_whole(value) or not least <= value <= MOST_COUNT:
        raise BadInput(
            f"{field} must be a whole number from {least} to {MOST_COUNT}",
            given=value,
            hint="count again",
            place=Place(field=field),
        )
