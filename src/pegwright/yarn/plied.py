"""Two strands or more held together and knitted as one.

What follows, for strands 1 … n:

* **tex adds**, so metres per 100 g go by their reciprocals: 1 / m = 1 / m1 + 1 / m2 (the strands
  run side by side, each as long as the whole).  Exact;
* the **wrapped diameter** is the root of the sum of squares, d = sqrt(d1² + d2²): the round bundle
  has the room of both.  From geometry, for strands that are as soft together as each is alone; two
  equal strands lie 1.41 times as thick as one.  Strands that lie flat side by side look thicker,
  twisted ones thinner: count the wraps where it matters.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pegwright.errors import BadInput, Place
from pegwright.measured import Measured
from pegwright.units import MM_PER_INCH, UnitSystem, format_number
from pegwright.yarn.category import CATEGORIES, Category, category_for_metres_per_100g
from pegwright.yarn.telling import percent
from pegwright.yarn.wraps_per_inch import charted
from pegwright.yarn.yarn import DiameterSource, Yarn

__all__ = ["MOST_STRANDS", "HeldTogether", "held_together"]

MOST_STRANDS = 8
"""Most strands held together: more will not be caught by one hook."""


@dataclass(frozen=True, slots=True)
class HeldTogether:
    """Strands held together, and the yarn that they equal.

    :param strands: one yarn for each strand; the same yarn twice for two strands of it.
    :param yarn: what they are together.  Its ball is as much as can be knitted before the first of
        the strands' balls ends.
    :param likely: the categories that wraps and length point to, the likelier first.
    """

    strands: tuple[Yarn, ...]
    yarn: Yarn
    likely: tuple[Category, ...]

    @property
    def shares(self) -> tuple[float, ...]:
        """Each strand's part of the mass; each draws the whole length."""
        return tuple(strand.tex / self.yarn.tex for strand in self.strands)

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """What they are together, a sentence each."""
        yarn = self.yarn
        wraps = format_number(MM_PER_INCH / yarn.wrapped_diameter_mm, 1)
        thick = f"{format_number(yarn.wrapped_diameter_mm, 1)} mm"
        lies = f"{wraps} wraps to the inch ({thick})"
        if units is UnitSystem.CENTIMETRES:
            lies = f"{thick} thick ({wraps} wraps to the inch)"
        shares = ", ".join(
            f"{percent(share)} of the weight is {strand.label}"
            for strand, share in zip(self.strands, self.shares, strict=True)
        )
        return (
            f"{yarn.name}: {format_number(yarn.metres_per_100g)} m per 100 g, {lies}.",
            f"Likely weight category: {' or '.join(map(str, self.likely))}.",
            f"Every metre takes a metre of each strand: {shares}.",
        )

    def as_data(self) -> dict[str, object]:
        """The same as plain data."""
        return {
            "strands": [strand.label for strand in self.strands],
            "shares": list(self.shares),
            "metres_per_100g": self.yarn.metres_per_100g,
            "metres_per_100g_sd": self.yarn.metres_per_100g_sd,
            "diameter_mm": self.yarn.wrapped_diameter_mm,
            "wraps_per_inch": MM_PER_INCH / self.yarn.wrapped_diameter_mm,
            "category": self.yarn.category,
            "likely": [c.number for c in self.likely],
        }


def held_together(strands: Sequence[Yarn]) -> HeldTogether:
    """The yarn that strands held together equal; see the module for the rules.

    :param strands: two or more; the same yarn twice for two strands of it, whose uncertainty is
        then one and the same.
    :raises BadInput: for fewer than two strands, or more than :data:`MOST_STRANDS`.
    """
    if not 2 <= len(strands) <= MOST_STRANDS:
        raise BadInput(
            f"2 to {MOST_STRANDS} strands are held together",
            given=len(strands),
            hint="name every strand; the same yarn twice for two strands of it",
            place=Place(field="strands"),
        )
    grist = _grist(strands)
    diameter_mm = math.hypot(*(s.wrapped_diameter_mm for s in strands))
    likely = _likely(grist.value, diameter_mm)
    shortest_m = min(s.ball_m for s in strands)
    yarn = Yarn(
        name=" and ".join(_names(strands)) + " held together",
        category=likely[0].number,
        metres_per_100g=grist.value,
        metres_per_100g_sd=grist.sd,
        ball_g=100 * shortest_m / grist.value,
        wrapped_diameter_mm=diameter_mm,
        fibre=" and ".join(dict.fromkeys(s.fibre for s in strands if s.fibre)),
        colour=" with ".join(dict.fromkeys(s.colour for s in strands if s.colour)),
        colour_hex=strands[0].colour_hex,
        invented=any(s.invented for s in strands),
        diameter_source=max((s.diameter_source for s in strands), key=list(DiameterSource).index),
    )
    return HeldTogether(tuple(strands), yarn, likely)


def _grist(strands: Sequence[Yarn]) -> Measured:
    """Metres per 100 g of all strands, to first order; strands of one yarn share its error."""
    together = 1 / math.fsum(1 / s.metres_per_100g for s in strands)
    own = {strand: strands.count(strand) for strand in strands}
    parts = (
        count * yarn.metres_per_100g_sd * (together / yarn.metres_per_100g) ** 2
        for yarn, count in own.items()
    )
    return Measured(together, math.hypot(*parts))


def _likely(metres_per_100g: float, diameter_mm: float) -> tuple[Category, ...]:
    """The charts' categories for the wraps, the nearest to that of the length first."""
    by_length = category_for_metres_per_100g(metres_per_100g)
    by_wraps = set().union(*charted(MM_PER_INCH / diameter_mm))
    found = by_wraps | ({by_length} if by_length.number < len(CATEGORIES) - 2 else set())
    ranked = sorted(
        found or {by_length}, key=lambda c: (abs(c.number - by_length.number), c.number)
    )
    return tuple(ranked[:3])


def _names(strands: Sequence[Yarn]) -> list[str]:
    counts = {s.name: sum(other.name == s.name for other in strands) for s in strands}
    return [name if many == 1 else f"{many} strands of {name}" for name, many in counts.items()]
