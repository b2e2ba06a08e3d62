"""The loom itself: rows of pegs, their addresses and where they stand.

Words used here:

* a **board** (also called a rake) is one row of pegs; a *double board* has two that face each
  other; a *ring* is a closed row;
* **pitch** is the distance between neighbouring pegs of one row, centre to centre;
* **gap** is the distance between the two rows, centre to centre;
* a **peg** is named by its address: ``F1``, ``F2`` … on the front (near) board and ``B1`` … on the
  back (far) board, numbered from the maker's left as she faces the loom; a ring's pegs are
  ``P1`` ….

Inside, a peg is a whole number: the front board holds 0 … n−1, the back board n … 2n−1 (a ring or
single board just 0 … n−1).  Seen from above, x runs to the maker's right and y away from her, both
in millimetres, with ``F1`` at the origin.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from pegwright.errors import BadInput

__all__ = ["MOST_PEGS", "Arrangement", "Loom"]

MOST_PEGS = 2000
"""Most pegs in one row: far above any board built, low enough to keep a typing slip cheap."""

_ADDRESS = re.compile(r"([FBP])(\d{1,5})", re.IGNORECASE)


class Arrangement(StrEnum):
    """How the pegs stand."""

    OPPOSED = "opposed"  # two rows, each peg straight across from its partner
    OFFSET = "offset"  # two rows, the back one shifted right by half a pitch
    SINGLE = "single"  # one row
    RING = "ring"  # one closed row


@dataclass(frozen=True, slots=True)
class Loom:
    """A peg board or peg ring.

    :param pegs: pegs in one row (in the whole ring for a ring).
    :param pitch_mm: centre to centre along the row.
    :param gap_mm: row to row, centre to centre; ignored (kept at 0) for single boards and rings.
    :param peg_diameter_mm: diameter of a peg where the yarn lies.
    :param peg_height_mm: height above the board's top.
    :raises BadInput: for a loom that cannot be: no pegs, pegs that touch, rows that touch.
    """

    arrangement: Arrangement
    pegs: int
    pitch_mm: float
    gap_mm: float = 0.0
    peg_diameter_mm: float = 4.0
    peg_height_mm: float = 25.0
    name: str = "board"

    def __post_init__(self) -> None:
        for label, value in (
            ("pitch", self.pitch_mm),
            ("gap", self.gap_mm),
            ("peg diameter", self.peg_diameter_mm),
            ("peg height", self.peg_height_mm),
        ):
            if not math.isfinite(value) or value < 0:
                raise BadInput(
                    f"the {label} must be a length of zero or more",
                    given=f"{value} mm",
                    hint=f"measure the {label} on the board, centre to centre for pitch and gap",
                )
        if not 1 <= self.pegs <= MOST_PEGS:
            raise BadInput(
                f"a row has between 1 and {MOST_PEGS} pegs",
                given=self.pegs,
                hint="count the pegs of one board, not both together",
            )
        if self.peg_diameter_mm <= 0:
            raise BadInput("a peg needs a diameter above zero", given=f"{self.peg_diameter_mm} mm")
        if self.pegs > 1 and self.pitch_mm <= self.peg_diameter_mm:
            raise BadInput(
                "pegs would touch: the pitch must be larger than the peg's diameter",
                given=f"pitch {self.pitch_mm:g} mm, peg {self.peg_diameter_mm:g} mm",
                hint="give the pitch centre to centre, or choose a thinner peg",
            )
        if self.is_double and self.gap_mm <= self.peg_diameter_mm:
            raise BadInput(
                "the two rows would touch: the gap must be larger than the peg's diameter",
                given=f"gap {self.gap_mm:g} mm, peg {self.peg_diameter_mm:g} mm",
                hint="give the gap from row to row, centre to centre, or add spacers",
            )
        if self.arrangement is Arrangement.RING and self.pegs < 3:
            raise BadInput("a ring needs at least three pegs", given=self.pegs)

    @property
    def is_double(self) -> bool:
        """Whether two rows face each other."""
        return self.arrangement in (Arrangement.OPPOSED, Arrangement.OFFSET)

    @property
    def peg_count(self) -> int:
        """All pegs of the loom, both rows together."""
        return 2 * self.pegs if self.is_double else self.pegs

    def front(self, number: int) -> int:
        """The front board's (or ring's) peg ``number``, counted from 1."""
        return self._checked(number)

    def back(self, number: int) -> int:
        """The back board's peg ``number``, counted from 1."""
        if not self.is_double:
            raise BadInput("this loom has no back board", given=f"B{number}", hint="use F pegs")
        return self.pegs + self._checked(number)

    def number(self, peg: int) -> int:
        """A peg's number on its board, counted from 1."""
        return peg % self.pegs + 1

    def is_back(self, peg: int) -> bool:
        """Whether the peg stands on the back board."""
        return peg >= self.pegs

    def across(self, peg: int) -> int:
        """The peg of the other board with the same number."""
        if not self.is_double:
            raise BadInput("a single row has no pegs across", given=self.address(peg))
        return peg - self.pegs if self.is_back(peg) else peg + self.pegs

    def address(self, peg: int) -> str:
        """The peg's address, such as ``B7``."""
        if not 0 <= peg < self.peg_count:
            raise BadInput("no such peg on this loom", given=peg, hint=self._range_words())
        letter = "P" if self.arrangement is Arrangement.RING else "B" if self.is_back(peg) else "F"
        return f"{letter}{self.number(peg)}"

    def peg(self, address: str) -> int:
        """The peg at an address.

        :raises BadInput: where the address is not one of this loom.
        """
        match = _ADDRESS.fullmatch(address.strip())
        if match is None:
            raise BadInput("not a peg address", given=address, hint=self._range_words())
        letter, number = match.group(1).upper(), int(match.group(2))
        is_ring = self.arrangement is Arrangement.RING
        if (letter == "P") != is_ring or (letter == "B" and not self.is_double):
            raise BadInput("no such board on this loom", given=address, hint=self._range_words())
        if not 1 <= number <= self.pegs:
            raise BadInput("no such peg on this loom", given=address, hint=self._range_words())
        return self.back(number) if letter == "B" else self.front(number)

    def centre(self, peg: int) -> tuple[float, float]:
        """Where the peg stands, (x, y) in mm, seen from above, ``F1`` at the origin."""
        return centres(self)[peg]

    def _checked(self, number: int) -> int:
        if not 1 <= number <= self.pegs:
            raise BadInput("no such peg on this loom", given=number, hint=self._range_words())
        return number - 1

    def _range_words(self) -> str:
        if self.arrangement is Arrangement.RING:
            return f"this ring has pegs P1 to P{self.pegs}"
        if self.is_double:
            return f"this loom has pegs F1 to F{self.pegs} and B1 to B{self.pegs}"
        return f"this loom has pegs F1 to F{self.pegs}"


@lru_cache(maxsize=64)
def centres(loom: Loom) -> tuple[tuple[float, float], ...]:
    """Every peg's centre in mm, in the order of peg numbers.

    A ring's pegs stand on a circle on which the straight distance between neighbours is the pitch,
    counted anticlockwise from the peg nearest the maker.
    """
    n = loom.pegs
    if loom.arrangement is Arrangement.RING:
        radius = loom.pitch_mm / (2 * math.sin(math.pi / n))
        angles = [2 * math.pi * i / n - math.pi / 2 for i in range(n)]
        return tuple((radius * math.cos(a), radius * (math.sin(a) + 1.0)) for a in angles)
    shift = loom.pitch_mm / 2 if loom.arrangement is Arrangement.OFFSET else 0.0
    front = [(i * loom.pitch_mm, 0.0) for i in range(n)]
    back = [(i * loom.pitch_mm + shift, loom.gap_mm) for i in range(n)] if loom.is_double else []
    return tuple(front + back)
