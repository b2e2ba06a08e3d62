"""How well colours can be told apart: by usual sight, by colour-blind eyes, in black and white.

Differences are CIEDE2000 (CIE 142-2001; Sharma, Wu and Dalal 2005), and colour-blind sight is
simulated for someone who lacks one kind of cone altogether; both are computed by the ``coloraide``
library.  About 1 is the least that trained eyes see side by side (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

from pegwright.errors import BadInput, Finding, Place, Severity
from pegwright.tongue.said import joined, numeral, say
from pegwright.units import UnitSystem
from pegwright.yarn.colour import Colour

__all__ = [
    "CLOSE",
    "MOST_COMPARED",
    "ColourPair",
    "SightCheck",
    "Vision",
    "check_sight",
    "difference",
    "seen_as",
    "sight_findings",
]

CLOSE = 10.0
"""Below this difference two colours of stitches may be taken for one (an assumption, no source)."""

MOST_COMPARED = 60
"""Most colours that are compared with one another."""


class Vision(StrEnum):
    """Whose eyes, or which print."""

    USUAL = "usual sight"
    PROTAN = "red-blind sight"
    DEUTAN = "green-blind sight"
    TRITAN = "blue-blind sight"
    GREY = "black-and-white print"


_FILTERS = {
    Vision.PROTAN: "protan",
    Vision.DEUTAN: "deutan",
    Vision.TRITAN: "tritan",
    Vision.GREY: "grayscale",
}


_SIGHTS = {
    Vision.USUAL: say("usual sight"),
    Vision.PROTAN: say("red-blind sight"),
    Vision.DEUTAN: say("green-blind sight"),
    Vision.TRITAN: say("blue-blind sight"),
    Vision.GREY: say("black-and-white print"),
}

_PLACES = {
    Vision.USUAL: say("To usual sight"),
    Vision.PROTAN: say("To red-blind sight"),
    Vision.DEUTAN: say("To green-blind sight"),
    Vision.TRITAN: say("To blue-blind sight"),
    Vision.GREY: say("In black-and-white print"),
}


@dataclass(frozen=True, slots=True)
class ColourPair:
    """Two colours and how far apart they look (CIEDE2000)."""

    vision: Vision
    first: Colour
    second: Colour
    difference: float

    @property
    def close(self) -> bool:
        """Whether they may be taken for one."""
        return self.difference < CLOSE


@dataclass(frozen=True, slots=True)
class SightCheck:
    """For each kind of sight, the pair that is hardest to tell apart.

    ``worst`` is empty for fewer than two colours.
    """

    colours: tuple[Colour, ...]
    worst: tuple[ColourPair, ...]

    @property
    def close(self) -> tuple[ColourPair, ...]:
        """The kinds of sight in which a pair may be taken for one colour."""
        return tuple(pair for pair in self.worst if pair.close)

    def of(self, vision: Vision) -> ColourPair:
        """The worst pair in one kind of sight."""
        return next(pair for pair in self.worst if pair.vision is vision)

    def words(self, units: UnitSystem = UnitSystem.CENTIMETRES) -> tuple[str, ...]:
        """What was found, a sentence for each kind of sight that makes trouble."""
        del units  # no lengths here; every result is asked in the same way
        if not self.worst:
            return (say("There is only one colour."),)
        if not self.close:
            least = min(self.worst, key=lambda pair: pair.difference)
            return (
                say(
                    "All {count} colours can be told apart by every kind of sight and in black and "
                    "white; the closest are {first} and {second} ({sight}, difference "
                    "{difference}).",
                    count=len(self.colours),
                    first=least.first.name,
                    second=least.second.name,
                    sight=_SIGHTS[least.vision],
                    difference=numeral(f"{least.difference:.0f}"),
                ),
            )
        return tuple(
            say(
                "{place}, {first} and {second} may be taken for one colour (difference "
                "{difference}; {safe} or more is safe).",
                place=_PLACES[pair.vision],
                first=pair.first.name,
                second=pair.second.name,
                difference=numeral(f"{pair.difference:.1f}"),
                safe=numeral(f"{CLOSE:.0f}"),
            )
            for pair in self.close
        )

    def as_data(self) -> dict[str, object]:
        """The check as plain data for JSON."""
        return {
            "close_below": CLOSE,
            "worst": [
                {
                    "vision": str(pair.vision),
                    "first": pair.first.name,
                    "second": pair.second.name,
                    "difference": round(pair.difference, 3),
                    "close": pair.close,
                }
                for pair in self.worst
            ],
        }


def difference(one: str, other: str) -> float:
    """How far apart two colours ``#rrggbb`` look (CIEDE2000); 0 for the same."""
    from coloraide import Color

    return float(Color(one).delta_e(other, method="2000"))


def seen_as(hex_: str, vision: Vision) -> str:
    """The colour ``#rrggbb`` as it looks in a kind of sight, as ``#rrggbb``."""
    from coloraide import Color

    if vision is Vision.USUAL:
        return hex_.lower()
    seen = Color(hex_).filter(_FILTERS[vision]).convert("srgb").clip()
    return str(seen.to_string(hex=True))[:7]


def check_sight(colours: Sequence[Colour]) -> SightCheck:
    """Look for colours that may be confused, in every kind of sight.

    :raises BadInput: for more than 60 colours.
    """
    known = tuple(dict.fromkeys(colours))
    if len(known) > MOST_COMPARED:
        raise BadInput(
            f"at most {MOST_COMPARED} colours are compared",
            given=len(known),
            place=Place(field="colours"),
        )
    if len(known) < 2:
        return SightCheck(known, ())
    return SightCheck(known, tuple(_worst(known, vision) for vision in Vision))


def sight_findings(check: SightCheck) -> tuple[Finding, ...]:
    """A note where colours of one piece may be taken for one another by somebody."""
    if not check.close:
        return ()
    return (
        Finding(
            "colours-close",
            Severity.NOTE,
            joined(check.words()),
            say(
                "Take colours that differ in how light they are, or look at the picture in black "
                "and white and keep it if it pleases you."
            ),
        ),
    )


def _worst(colours: tuple[Colour, ...], vision: Vision) -> ColourPair:
    seen = {c: seen_as(c.hex, vision) for c in colours}
    pairs = (
        ColourPair(vision, a, b, difference(seen[a], seen[b])) for a, b in combinations(colours, 2)
    )
    return min(pairs, key=lambda pair: pair.difference)
