"""Published constants of relaxed knitted cloth, and how far they reach.

In relaxed cloth the number of courses to a length, times the length of yarn in one loop, is nearly
one constant for a structure, whatever the yarn; so is the number of wales to a width times the loop
length (Munden 1959).  Words used here:

* a **wale** is a column of loops, a **course** is a row of them; both are counted on one face;
* **k_c** is courses per cm times loop length in cm, **k_w** wales per cm times loop length in cm;
  both are bare numbers, so the unit of length cancels as long as it is the same one;
* **loop length** is the yarn in one loop, centre line, without what is drawn at the edges.

Every constant was found on machine cloth, most of it cotton or fine wool.  Hand work on pegs is far
slacker for its yarn, is relaxed in a basin rather than tumbled, and is knitted over lower loops by
hand; so the constants come with a wide spread, which a swatch soon narrows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from pegwright.knitting.wraps import Structure
from pegwright.measured import Measured
from pegwright.tongue.said import say
from pegwright.units import require_positive

__all__ = [
    "HAND_WORK_RELATIVE_SD",
    "JAMMING_RATIO",
    "PUBLISHED",
    "STAND_IN_RELATIVE_SD",
    "Constants",
    "Mark",
    "constants_for",
]

HAND_WORK_RELATIVE_SD = 0.12
"""How far hand work may well lie from a published constant of its own structure: 12 %.

An assumption, no source: the published states of one structure differ among themselves by some
10 % (dry to fully relaxed plain), and hand work is a step further from all of them."""

STAND_IN_RELATIVE_SD = 0.2
"""The same where another structure's constant stands in: 20 %, an assumption, no source."""

JAMMING_RATIO = 16.7
"""Loop length over solid yarn diameter at which loops touch all round and no tighter cloth can be.

16.67 and 16.75 in the abstracts of Chamberlain and of Hepworth & Leaf; for machine cloth."""


class Mark(StrEnum):
    """How well a figure is vouched for."""

    READ = "read in the source's abstract"
    MEMORY = "from memory"
    STAND_IN = "stands in for a structure without a published figure"


_MARKS = {
    Mark.READ: say("read in the source's abstract"),
    Mark.MEMORY: say("from memory"),
    Mark.STAND_IN: say("stands in for a structure without a published figure"),
}


@dataclass(frozen=True, slots=True)
class Constants:
    """k_c and k_w of a structure in one state of relaxation.

    :param name: the structure and its state, in words.
    :param relative_sd: how far hand work may well lie from either constant, as a part of it.
    :param source: where the figures are from.
    """

    name: str
    k_c: float
    k_w: float
    relative_sd: float
    source: str
    mark: Mark

    def __post_init__(self) -> None:
        for field in ("k_c", "k_w", "relative_sd"):
            require_positive(getattr(self, field), field)

    @property
    def courses(self) -> Measured:
        """k_c with its uncertainty for hand work."""
        return Measured(self.k_c, self.k_c * self.relative_sd)

    @property
    def wales(self) -> Measured:
        """k_w with its uncertainty for hand work."""
        return Measured(self.k_w, self.k_w * self.relative_sd)

    @property
    def words(self) -> str:
        """One sentence: what they are, where from, how far to trust them."""
        return say(
            "Constants of {name}: {source} ({mark}).",
            name=self.name,
            source=self.source,
            mark=_MARKS[self.mark],
        )


_ROY = "Roy, Varshney & Kothari, Dimensional behavior of interlock knitted cotton fabrics"
_OWN = HAND_WORK_RELATIVE_SD

INTERLOCK = Constants(say("interlock, reference state"), 5.64, 4.0, _OWN, _ROY, Mark.READ)
PLAIN_DRY = Constants(say("plain, dry relaxed"), 5.0, 3.8, _OWN, "Munden 1959", Mark.MEMORY)
PLAIN_WET = Constants(say("plain, wet relaxed"), 5.3, 4.1, _OWN, "Munden 1959", Mark.MEMORY)
PLAIN_FULL = Constants(say("plain, fully relaxed"), 5.5, 4.2, _OWN, "Knapton 1968", Mark.MEMORY)

PUBLISHED: tuple[Constants, ...] = (INTERLOCK, PLAIN_DRY, PLAIN_WET, PLAIN_FULL)
"""Every published set, whether it is used or not."""


def _stand_in(base: Constants, what: str) -> Constants:
    name = say("{name}, in place of {what}", name=base.name, what=what)
    source = say("{source}, for want of a figure of {what}", source=base.source, what=what)
    return Constants(name, base.k_c, base.k_w, STAND_IN_RELATIVE_SD, source, Mark.STAND_IN)


_USED: dict[Structure, Constants] = {
    Structure.INTERLOCK: INTERLOCK,
    # Washed flat and dried is what a maker does: Munden's wet state, not the tumbled one.
    Structure.PLAIN: PLAIN_WET,
    # The same cloth as plain, turned over.
    Structure.PURL: PLAIN_WET,
    Structure.RIB: _stand_in(INTERLOCK, say("rib")),
    Structure.TWISTED: _stand_in(PLAIN_WET, say("twisted stitches")),
    Structure.CORD: _stand_in(PLAIN_WET, say("a cord")),
}


def constants_for(structure: Structure) -> Constants:
    """The constants by which a structure is predicted.

    Interlock: as published.  Plain and purl: Munden's wet relaxed state.  Rib, twisted stitches and
    cords have no figure here: interlock or plain stands in, with a wider spread, and says so.
    """
    return _USED[structure]
