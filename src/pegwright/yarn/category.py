"""Yarn weight categories, and the pegs that suit them.

Words used here:

* a **weight category** is one of the Craft Yarn Council's numbers 0 (lace) to 7 (jumbo);
* **wraps per inch** is how many turns of yarn lie side by side, touching, in an inch of a ruler;
* the **wrapped diameter** is an inch divided by that count: the room a soft yarn takes up beside
  its neighbour.  It is about three times the solid diameter of :mod:`pegwright.yarn.count`; never
  put one where the other belongs.

Sources.  Stitches per 4 in and the categories' names: Craft Yarn Council, Standards & Guidelines,
read in reproduced charts.  Wraps per inch differ between two published charts, an older and a newer
one, so both are kept and treated as ranges.  Metres per 100 g are converted from yards per pound
that a magazine added to the chart.  Category 7 is from memory throughout.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from pegwright.errors import BadInput, Place
from pegwright.units import MM_PER_INCH, require_positive

__all__ = [
    "CATEGORIES",
    "PITCHES",
    "Category",
    "PegPitch",
    "Span",
    "categories_for_pitch",
    "categories_for_stitches",
    "categories_for_wraps_per_inch",
    "category",
    "category_for_metres_per_100g",
    "pitch_class",
    "pitches_for",
]


@dataclass(frozen=True, slots=True)
class Span:
    """A published range, both ends included; None is an open end.

    ``or_more`` marks a range printed as "30–40+": it names its ends and yet goes on.
    """

    low: float | None
    high: float | None
    or_more: bool = False

    def __contains__(self, value: float) -> bool:
        above = self.low is None or value >= self.low
        return above and (self.high is None or self.or_more or value <= self.high)

    @property
    def middle(self) -> float | None:
        """Half-way between the named ends; None where an end is open."""
        if self.low is None or self.high is None:
            return None
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class Category:
    """One weight category; see the module for sources.

    :param stitches_per_4in: plain knitting on needles, stitches in 4 in.
    :param wraps_older: wraps per inch in the older chart; None where it has no such row.
    :param wraps_newer: wraps per inch in the newer chart.
    :param metres_per_100g: metres in 100 g; None where no figure is published.
    :param also_called: words of the trade on the same yarns (from memory).
    """

    number: int
    name: str
    stitches_per_4in: Span
    wraps_older: Span | None
    wraps_newer: Span
    metres_per_100g: Span | None
    also_called: tuple[str, ...] = ()

    @property
    def wraps_per_inch(self) -> float:
        """A typical count: the mean of the charts' middles, of those that name both ends."""
        charts = (self.wraps_older, self.wraps_newer)
        middles = [m for chart in charts if chart is not None and (m := chart.middle) is not None]
        return sum(middles) / len(middles)

    @property
    def wrapped_diameter_mm(self) -> float:
        """A typical wrapped diameter in mm, an inch over the typical wraps per inch."""
        return MM_PER_INCH / self.wraps_per_inch

    @property
    def wrapped_diameter_range_mm(self) -> tuple[float, float]:
        """The thinnest and thickest wrapped diameter in mm that either chart names."""
        charts = [chart for chart in (self.wraps_older, self.wraps_newer) if chart is not None]
        ends = [end for c in charts for end in (c.low, c.high) if end is not None]
        return MM_PER_INCH / max(ends), MM_PER_INCH / min(ends)

    def __str__(self) -> str:
        return f"{self.number} {self.name}"


CATEGORIES: tuple[Category, ...] = (
    Category(0, "lace", Span(33, 40), Span(18, None), Span(30, 40, or_more=True), Span(484, None)),
    Category(
        1, "super fine", Span(27, 32), Span(16, 18), Span(14, 30), Span(383, 484),
        ("fingering", "sock", "baby"),
    ),
    Category(2, "fine", Span(23, 26), Span(14, 15), Span(12, 18), Span(242, 383), ("sport",)),
    Category(
        3, "light", Span(21, 24), Span(12, 13), Span(11, 15), Span(182, 242),
        ("dk", "double knitting", "light worsted"),
    ),
    Category(
        4, "medium", Span(16, 20), Span(10, 11), Span(9, 12), Span(121, 181),
        ("worsted", "afghan", "aran"),
    ),
    Category(
        5, "bulky", Span(12, 15), Span(8, 9), Span(6, 9), Span(81, 121),
        ("chunky", "craft", "rug"),
    ),
    Category(6, "super bulky", Span(7, 11), Span(None, 7), Span(5, 6), Span(None, 81)),
    Category(7, "jumbo", Span(None, 6), None, Span(1, 4), None),
)  # fmt: skip
"""The categories by number: ``CATEGORIES[4]`` is medium."""


@dataclass(frozen=True, slots=True)
class PegPitch:
    """A class of boards by pitch, and the categories that suit it.

    Lengths are mm, centre to centre; ``high_mm`` is None for the open end.  The pitches are common
    practice with no source, the categories beside them from memory.
    """

    name: str
    low_mm: float
    high_mm: float | None
    numbers: tuple[int, ...]

    @property
    def categories(self) -> tuple[Category, ...]:
        """The categories that suit it, finest first."""
        return tuple(CATEGORIES[number] for number in self.numbers)


def _inches(low: float, high: float | None) -> tuple[float, float | None]:
    return low * MM_PER_INCH, None if high is None else high * MM_PER_INCH


PITCHES: tuple[PegPitch, ...] = (
    PegPitch("extra fine", *_inches(3 / 16, 3 / 16), (1, 2)),
    PegPitch("fine", *_inches(1 / 4, 5 / 16), (2, 3)),
    PegPitch("small", *_inches(3 / 8, 3 / 8), (3, 4)),
    PegPitch("regular", *_inches(7 / 16, 9 / 16), (4, 5)),
    PegPitch("large", *_inches(5 / 8, 3 / 4), (5, 6)),
    PegPitch("extra large", *_inches(13 / 16, None), (6, 7)),
)
"""Classes of boards, finest first."""


def category(number_or_name: int | str) -> Category:
    """The category with this number or name (``4``, ``medium``, ``worsted``, ``4 medium``).

    :raises BadInput: where there is none.
    """
    if isinstance(number_or_name, str):
        word = " ".join(number_or_name.casefold().split())
        for known in CATEGORIES:
            if word in (known.name, str(known.number), str(known), *known.also_called):
                return known
    elif not isinstance(number_or_name, bool) and number_or_name in range(len(CATEGORIES)):
        return CATEGORIES[number_or_name]
    raise BadInput(
        "no such yarn weight category",
        given=number_or_name,
        hint=f"use one of {', '.join(map(str, CATEGORIES))}",
        place=Place(field="category"),
    )


def category_for_metres_per_100g(metres_per_100g: float) -> Category:
    """The category of a yarn by its length, 0 to 6.

    A length on the bound between two goes to the finer one, and one in the gap between 181 and 182
    to the nearer.  Jumbo has no published length, so nothing is ever sorted there: below 81 m the
    answer is super bulky, and a very thick yarn wants its wraps counted.
    """
    require_positive(metres_per_100g, "metres_per_100g")
    for finer, thicker in pairwise(known for known in CATEGORIES if known.metres_per_100g):
        low = finer.metres_per_100g.low if finer.metres_per_100g else None
        high = thicker.metres_per_100g.high if thicker.metres_per_100g else None
        if low is not None and high is not None and metres_per_100g >= (low + high) / 2:
            return finer
    return CATEGORIES[6]


def categories_for_wraps_per_inch(wraps_per_inch: float) -> tuple[Category, ...]:
    """Every category that has this count in either chart, finest first; empty where none has.

    The charts overlap, so two or three answers are common.
    """
    require_positive(wraps_per_inch, "wraps_per_inch")
    return tuple(
        known
        for known in CATEGORIES
        if wraps_per_inch in known.wraps_newer
        or (known.wraps_older is not None and wraps_per_inch in known.wraps_older)
    )


def categories_for_stitches(stitches_per_4in: float) -> tuple[Category, ...]:
    """Every category whose plain knitting on needles has this many stitches in 4 in."""
    require_positive(stitches_per_4in, "stitches_per_4in")
    return tuple(known for known in CATEGORIES if stitches_per_4in in known.stitches_per_4in)


def pitches_for(number_or_name: int | str) -> tuple[PegPitch, ...]:
    """The classes of boards that suit a category, finest first; lace (0) has none."""
    number = category(number_or_name).number
    return tuple(pitch for pitch in PITCHES if number in pitch.numbers)


def pitch_class(pitch_mm: float) -> PegPitch:
    """The class of a board by its pitch: the nearest range, the larger where two are as near."""
    require_positive(pitch_mm, "pitch_mm", hint="measure the pitch centre to centre")

    def off(pitch: PegPitch) -> float:
        above = 0.0 if pitch.high_mm is None else pitch_mm - pitch.high_mm
        return max(pitch.low_mm - pitch_mm, above, 0.0)

    return min(reversed(PITCHES), key=off)


def categories_for_pitch(pitch_mm: float) -> tuple[Category, ...]:
    """The categories that suit a board of this pitch, finest first; see :func:`pitch_class`."""
    return pitch_class(pitch_mm).categories
