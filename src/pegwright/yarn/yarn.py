"""A yarn: how long a gram of it is, how thick it lies, and what it looks like.

Words used here:

* **metres per 100 g** is the figure of a ball band, or of a sample that was measured and weighed;
* the **wrapped diameter** is the room that the yarn takes up beside its neighbour (an inch over the
  wraps per inch); the **solid diameter** is that of fibre and held air, about a third of it.  See
  :mod:`pegwright.yarn.count` for both.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from pegwright.errors import BadInput, Place
from pegwright.measured import Measured
from pegwright.units import require_positive, require_zero_or_more
from pegwright.yarn import category as categories
from pegwright.yarn import count

__all__ = ["BAND_RELATIVE_SD", "DiameterSource", "Yarn", "from_sample", "wrapped_diameter"]

BAND_RELATIVE_SD = 0.03
"""How far a ball band's metres per 100 g may well be off, as a part of it: 3 %.

An assumption, no source: it stands for the ball's moisture and its maker's tolerance.  A yarn that
was measured and weighed brings its own figure (:func:`from_sample`)."""

_HEX = re.compile(r"#[0-9a-fA-F]{6}")


class DiameterSource(StrEnum):
    """Where a yarn's wrapped diameter comes from, the best first."""

    GIVEN = "given"  # measured by the maker
    WRAPS = "wraps per inch"  # counted on a ruler
    CATEGORY = "weight category"  # typical of its category, may be off by a third


def wrapped_diameter(
    category: int, *, given_mm: float | None = None, wraps_per_inch: float | None = None
) -> tuple[float, DiameterSource]:
    """The wrapped diameter in mm by the best source there is: given, wraps per inch, category.

    :raises BadInput: for a diameter or count that is not above zero, or no such category.
    """
    if given_mm is not None:
        require_positive(given_mm, "wrapped_diameter_mm")
        return given_mm, DiameterSource.GIVEN
    if wraps_per_inch is not None:
        return count.wrapped_diameter_mm(wraps_per_inch), DiameterSource.WRAPS
    return categories.category(category).wrapped_diameter_mm, DiameterSource.CATEGORY


@dataclass(frozen=True, slots=True, init=False)
class Yarn:
    """One yarn in one colour.

    :param name: the make, as it stands in the materials.
    :param category: weight category, 0 to 7; its name (``medium``) is taken and kept as number.
    :param metres_per_100g: metres in 100 g.
    :param metres_per_100g_sd: its standard deviation in the same unit; where it is not given,
        :data:`BAND_RELATIVE_SD` of the value.
    :param ball_g: grams in one ball or skein, as it is bought.
    :param wrapped_diameter_mm: see :func:`wrapped_diameter` for what is taken where it is not
        given; ``diameter_source`` says which it was.
    :param wraps_per_inch: turns in an inch, if they were counted.
    :param fibre: what it is spun from, as on the ball band.
    :param colour: the colour's name, in words.
    :param colour_hex: the colour for figures, ``#rrggbb``.
    :param invented: the yarn is made up, as all of the demonstration's are.
    :raises BadInput: naming the field, for a value that cannot be.
    """

    name: str
    category: int
    metres_per_100g: float
    metres_per_100g_sd: float
    ball_g: float
    wrapped_diameter_mm: float
    wraps_per_inch: float | None
    fibre: str
    colour: str
    colour_hex: str
    invented: bool
    diameter_source: DiameterSource

    def __init__(
        self,
        name: str,
        category: int | str,
        metres_per_100g: float,
        metres_per_100g_sd: float | None = None,
        ball_g: float = 100.0,
        wrapped_diameter_mm: float | None = None,
        wraps_per_inch: float | None = None,
        fibre: str = "",
        colour: str = "",
        colour_hex: str = "#8c8c8c",
        invented: bool = False,
        diameter_source: DiameterSource | None = None,
    ) -> None:
        if not name.strip():
            raise BadInput(
                "a yarn needs a name",
                given=repr(name),
                hint="write what the ball band says",
                place=Place(field="name"),
            )
        require_positive(metres_per_100g, "metres_per_100g", hint="see the ball band, as 210")
        if metres_per_100g_sd is None:
            metres_per_100g_sd = BAND_RELATIVE_SD * metres_per_100g
        require_zero_or_more(metres_per_100g_sd, "metres_per_100g_sd")
        require_positive(ball_g, "ball_g", hint="see the ball band, as 50 or 100")
        if _HEX.fullmatch(colour_hex) is None:
            raise BadInput(
                "not a colour",
                given=colour_hex,
                hint="write # and six hexadecimal digits, as #1f4e79",
                place=Place(field="colour_hex"),
            )
        if wraps_per_inch is not None:
            require_positive(wraps_per_inch, "wraps_per_inch")
        number = categories.category(category).number
        diameter_mm, source = wrapped_diameter(
            number, given_mm=wrapped_diameter_mm, wraps_per_inch=wraps_per_inch
        )
        values = {
            "name": name,
            "category": number,
            "metres_per_100g": metres_per_100g,
            "metres_per_100g_sd": metres_per_100g_sd,
            "ball_g": ball_g,
            "wrapped_diameter_mm": diameter_mm,
            "wraps_per_inch": wraps_per_inch,
            "fibre": fibre,
            "colour": colour,
            "colour_hex": colour_hex.lower(),
            "invented": invented,
            "diameter_source": diameter_source or source,
        }
        for field, value in values.items():
            object.__setattr__(self, field, value)

    @property
    def grist(self) -> Measured:
        """Metres per 100 g with its uncertainty."""
        return Measured(self.metres_per_100g, self.metres_per_100g_sd)

    @property
    def tex(self) -> float:
        """Grams per 1000 m."""
        return count.to_tex(self.metres_per_100g, count.CountSystem.METRES_PER_100G)

    @property
    def solid_diameter_mm(self) -> float:
        """The solid diameter in mm, as cotton; never to be used for yarn round pegs."""
        return count.solid_diameter_mm(self.tex)

    @property
    def ball_m(self) -> float:
        """Metres in one ball."""
        return self.length_m(self.ball_g)

    @property
    def label(self) -> str:
        """Name and colour, as ``Slipway, rust``; a name that ends with its colour is enough."""
        if not self.colour or self.name.endswith(f", {self.colour}"):
            return self.name
        return f"{self.name}, {self.colour}"

    def mass_g(self, length_m: float) -> float:
        """What a length weighs.  Takes metres of zero or more, gives grams."""
        require_zero_or_more(length_m, "length_m")
        return 100 * length_m / self.metres_per_100g

    def length_m(self, mass_g: float) -> float:
        """How long a mass is.  Takes grams of zero or more, gives metres."""
        require_zero_or_more(mass_g, "mass_g")
        return mass_g * self.metres_per_100g / 100

    def mass(self, length: Measured) -> Measured:
        """What a length weighs, in grams, with the yarn's own uncertainty added to the length's."""
        return length.scale(100) / self.grist

    def length(self, mass: Measured) -> Measured:
        """How long a mass is, in metres, with the yarn's own uncertainty added to the mass's."""
        return mass.scale(0.01) * self.grist


def from_sample(
    length_m: float, mass_g: float, length_sd: float = 0.0, mass_sd: float = 0.0
) -> Measured:
    """Metres per 100 g from a sample that was measured and weighed.

    The standard deviation is carried on to first order, length and mass independent.  For a scale
    that shows whole grams, ``mass_sd`` is at least ``pegwright.measured.resolution_sd(1)``.

    :param length_m: the sample's length in metres, ``length_sd`` in the same.
    :param mass_g: its mass in grams, ``mass_sd`` in the same.
    :raises BadInput: naming the field, for a length or mass that is not above zero, or an sd below.
    """
    require_positive(length_m, "length_m")
    require_positive(mass_g, "mass_g", hint="weigh a longer sample")
    require_zero_or_more(length_sd, "length_sd")
    require_zero_or_more(mass_sd, "mass_sd")
    return Measured(length_m, length_sd).scale(100) / Measured(mass_g, mass_sd)
