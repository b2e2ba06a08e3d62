"""How thick a yarn is by length and mass, and what moisture does to its mass.

Words used here:

* **tex** is the mass in grams of 1000 m of yarn (ISO 1144); larger is thicker;
* a **count** (Ne, Nm) says how much length goes to a given mass; larger is finer;
* the **solid diameter** is that of the fibre and the air held in the twist, from tex and specific
  volume.  It is about a third of the **wrapped diameter** (an inch over wraps per inch) of a soft
  knitting yarn: 500 tex is 0.84 mm solid and about 2.4 mm wrapped.  Geometry of fabric constants
  wants the solid one, yarn lying round pegs the wrapped one; never put one where the other belongs;
* **regain** is the mass of water held per mass of dry fibre.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from pegwright.errors import BadInput, Place
from pegwright.units import (
    GRAMS_PER_POUND,
    METRES_PER_YARD,
    MM_PER_INCH,
    require_positive,
    require_zero_or_more,
)

__all__ = [
    "COTTON_SPECIFIC_VOLUME",
    "REGAINS",
    "CountSystem",
    "Regain",
    "convert",
    "dry_mass_bounds_g",
    "from_tex",
    "mass_at_regain_g",
    "regain",
    "solid_diameter_mm",
    "to_tex",
    "wrapped_diameter_mm",
]

COTTON_SPECIFIC_VOLUME = 1.1
"""Volume of a gram of cotton yarn, air in the twist included, in cm³/g.

As taken in the geometry of plain knitting by Fletcher & Roberts 1952, after Peirce 1947."""

_HANK_M = 840 * METRES_PER_YARD


class CountSystem(StrEnum):
    """Ways to state a yarn's thickness."""

    TEX = "tex"  # g per 1000 m
    DENIER = "denier"  # g per 9000 m
    ENGLISH_COTTON = "Ne"  # hanks of 840 yd per lb
    METRIC = "Nm"  # m per g
    METRES_PER_100G = "m per 100 g"
    YARDS_PER_POUND = "yd per lb"


# Systems in which a larger number is thicker hold tex / number; the others tex * number.
_DIRECT = {CountSystem.TEX: 1.0, CountSystem.DENIER: 1 / 9}
_INDIRECT = {
    CountSystem.ENGLISH_COTTON: 1000 * GRAMS_PER_POUND / _HANK_M,
    CountSystem.METRIC: 1000.0,
    CountSystem.METRES_PER_100G: 100_000.0,
    CountSystem.YARDS_PER_POUND: 1000 * GRAMS_PER_POUND / METRES_PER_YARD,
}


def to_tex(value: float, system: CountSystem) -> float:
    """A yarn's tex from its number in a system (ISO 1144).

    Denier is 9 tex, Ne 590.5 over tex, Nm 1000 over tex, metres per 100 g 100 000 over tex.

    :raises BadInput: where the number is not above zero.
    """
    require_positive(value, system.value)
    return value * _DIRECT[system] if system in _DIRECT else _INDIRECT[system] / value


def from_tex(tex: float, system: CountSystem) -> float:
    """A yarn's number in a system from its tex; the inverse of :func:`to_tex`."""
    require_positive(tex, "tex")
    return tex / _DIRECT[system] if system in _DIRECT else _INDIRECT[system] / tex


def convert(value: float, given: CountSystem, wanted: CountSystem) -> float:
    """A yarn's number in one system from that in another."""
    return from_tex(to_tex(value, given), wanted)


def solid_diameter_mm(
    tex: float, specific_volume_cm3_per_g: float = COTTON_SPECIFIC_VOLUME
) -> float:
    """The solid diameter in mm of a yarn with a round section: d(cm) = sqrt(tex * v) / 280.2.

    The number is the root of pi * 10^5 / 4, since a tex is 10^-5 g/cm.  Not the wrapped diameter;
    see the module.
    """
    require_positive(tex, "tex")
    require_positive(specific_volume_cm3_per_g, "specific_volume_cm3_per_g")
    return 10 * math.sqrt(tex * specific_volume_cm3_per_g) / 280.2


def wrapped_diameter_mm(wraps_per_inch: float) -> float:
    """The wrapped diameter in mm, an inch over the wraps per inch.  Not the solid one."""
    require_positive(wraps_per_inch, "wraps_per_inch")
    return MM_PER_INCH / wraps_per_inch


@dataclass(frozen=True, slots=True)
class Regain:
    """The moisture by which a fibre is traded.

    ``part`` is grams of water per gram of dry fibre.  It is a convention for trade, not the
    moisture of a ball on a kitchen scale (ASTM D1909): use it as a bound.
    """

    fibre: str
    part: float
    source: str


_READ = "EU 1007/2011, Annex IX"
_MEMORY = "EU 1007/2011, Annex IX (from memory)"

REGAINS: tuple[Regain, ...] = (
    Regain("carded wool", 0.17, _READ),
    Regain("combed wool", 0.1825, _MEMORY),
    Regain("cotton", 0.085, _READ),
    Regain("polyamide", 0.0625, _READ),
    Regain("acrylic", 0.02, _MEMORY),
    Regain("polyester", 0.015, _MEMORY),
)
"""Commercial regain by fibre."""


def regain(fibre: str) -> Regain:
    """The regain of a fibre by name, in any case.

    :raises BadInput: for a fibre that is not in :data:`REGAINS`; plain "wool" is not, since carded
        and combed differ.
    """
    word = " ".join(fibre.casefold().split())
    for known in REGAINS:
        if known.fibre == word:
            return known
    raise BadInput(
        "no regain is known for this fibre",
        given=fibre,
        hint=f"use one of {', '.join(known.fibre for known in REGAINS)}",
        place=Place(field="fibre"),
    )


def dry_mass_bounds_g(mass_g: float, fibre: str) -> tuple[float, float]:
    """Least and most dry fibre in a ball that weighs ``mass_g``, in grams.

    The least holds if the ball carries its full commercial regain, the most if it is bone dry.
    """
    require_zero_or_more(mass_g, "mass_g")
    return mass_g / (1 + regain(fibre).part), mass_g


def mass_at_regain_g(dry_g: float, fibre: str) -> float:
    """What dry fibre weighs in trade: its mass with the commercial regain added, in grams."""
    require_zero_or_more(dry_g, "dry_g")
    return dry_g * (1 + regain(fibre).part)
