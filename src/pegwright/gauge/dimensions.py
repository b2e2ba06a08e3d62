"""Counts from dimensions and back, with the rounding shown.

A wanted length in mm, over the size of one stitch or row, is seldom a whole number, and a wrap may
ask for a multiple.  The count is rounded **half up** to the nearest that can be worked, and the
words say what was wanted, what it came to, and what the chosen count really measures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from pegwright.errors import BadInput, NotPossible, Place
from pegwright.gauge.fabric_gauge import Gauge
from pegwright.measured import Measured
from pegwright.tongue.said import Said, numeral, say, say_count
from pegwright.units import (
    MM_PER_INCH,
    UnitSystem,
    format_length,
    format_number,
    require_positive,
)

__all__ = ["MOST_COUNT", "Count", "columns_for", "rows_for"]

MOST_COUNT = 1_000_000
"""No piece has more stitches or rows to a side; a larger count is a slip of the pen."""

_HAIR = 1e-9
"""Of a stitch: less than this short of half is half, since floats carry such errors."""


@dataclass(frozen=True, slots=True)
class Count:
    """A whole number of stitches or rows, and how it came about.

    :param number: what is worked.
    :param exact: what the wanted length comes to, before rounding.
    :param finished: what ``number`` measures, in mm.
    :param words: the working in plain words, without a full stop.
    """

    number: int
    exact: float
    finished: Measured
    words: str


@dataclass(frozen=True, slots=True)
class _Rule:
    """Which counts can be worked: plus, plus + multiple …, between least and most."""

    multiple: int
    plus: int
    least: int
    most: int | None

    def __post_init__(self) -> None:
        for field, value, low in (
            ("multiple", self.multiple, 1),
            ("plus", self.plus, 0),
            ("least", self.least, 1),
            ("most", self.least if self.most is None else self.most, self.least),
        ):
            if value < low or value > MOST_COUNT:
                raise BadInput(
                    f"{field} must be a whole number from {low} to {MOST_COUNT}",
                    given=value,
                    place=Place(field=field),
                )

    @property
    def first(self) -> int:
        """The smallest count of all."""
        return self.up(self.least)

    def up(self, number: int) -> int:
        """The smallest count that is no smaller than a number."""
        return self.plus + self.multiple * max(0, -((self.plus - number) // self.multiple))

    def down(self, number: int) -> int | None:
        """The largest count that is no larger than a number; None where there is none."""
        below = number - (number - self.plus) % self.multiple
        return below if below >= self.first else None

    def nearest(self, exact: float) -> int:
        """The nearest count, half up, no smaller than the first."""
        steps = _half_up((exact - self.plus) / self.multiple)
        return max(self.first, self.plus + self.multiple * steps)

    def told(self, number: int) -> Said:
        """A count with what it must be a multiple of."""
        if self.multiple == 1:
            return numeral(number)
        facts = {"number": number, "multiple": self.multiple}
        if not self.plus:
            return say("{number}, a multiple of {multiple}", **facts)
        return say("{number}, a multiple of {multiple} plus {plus}", plus=self.plus, **facts)

    @property
    def words(self) -> str:
        """``, a multiple of 4 plus 2`` or nothing."""
        if self.multiple == 1:
            return ""
        return f", a multiple of {self.multiple}" + (f" plus {self.plus}" if self.plus else "")


@dataclass(frozen=True, slots=True)
class _Thing:
    """What is counted, its size in mm, and its names."""

    size: Measured
    one: str
    many: str

    def name(self, count: float) -> str:
        return self.one if count == 1 else self.many

    def counted(self, count: str) -> Said:
        """So many of them."""
        number = float(count)
        if self.one == "row":
            return say_count("{count} row", "{count} rows", number, count=numeral(count))
        return say_count("{count} stitch", "{count} stitches", number, count=numeral(count))


def columns_for(
    width_mm: float,
    gauge: Gauge,
    multiple: int = 1,
    plus: int = 0,
    least: int = 1,
    most: int | None = None,
    *,
    system: UnitSystem = UnitSystem.INCHES,
) -> Count:
    """How many stitches, counted across one face, make a width.

    :param multiple: the count must be a multiple of this, plus ``plus`` (the wrap's end rule).
    :param least: the fewest that can be worked; a smaller width gets these, and the words say so.
    :param most: the most, such as the pegs of one board; None for no limit.
    :param system: the units of the words.
    :raises BadInput: for a width that is not above zero, or a rule that no count can follow.
    :raises NotPossible: where the count would exceed ``most``, naming what would fit.
    """
    rule = _Rule(multiple, plus, least, most)
    return _count(width_mm, _Thing(gauge.wale, "stitch", "stitches"), rule, system)


def rows_for(
    length_mm: float,
    gauge: Gauge,
    multiple: int = 1,
    plus: int = 0,
    least: int = 1,
    most: int | None = None,
    *,
    system: UnitSystem = UnitSystem.INCHES,
) -> Count:
    """How many rows make a length; as :func:`columns_for`."""
    rule = _Rule(multiple, plus, least, most)
    return _count(length_mm, _Thing(gauge.course, "row", "rows"), rule, system)


def _count(wanted_mm: float, thing: _Thing, rule: _Rule, system: UnitSystem) -> Count:
    require_positive(wanted_mm, "wanted_mm", hint="give a length above zero")
    exact = wanted_mm / thing.size.value
    if exact > MOST_COUNT:
        raise BadInput(
            f"that would be more than {MOST_COUNT} {thing.many}",
            given=format_length(wanted_mm, system),
            hint="check the length and the gauge",
        )
    number = rule.nearest(exact)
    if rule.most is not None and number > rule.most:
        raise _too_many(wanted_mm, number, thing, rule, system)
    finished = thing.size.scale(number)
    return Count(number, exact, finished, _words(wanted_mm, exact, number, thing, rule, system))


def _too_many(
    wanted_mm: float, number: int, thing: _Thing, rule: _Rule, system: UnitSystem
) -> NotPossible:
    most = rule.most or 0
    fits = rule.down(most)
    if fits is None:
        hint = f"no count{rule.words} fits within {most}; choose another wrap or a longer board"
    else:
        measures = format_length(fits * thing.size.value, system)
        hint = (
            f"{fits} {thing.name(fits)} would fit and measure {measures}; or seam panels together"
        )
    return NotPossible(
        f"this needs {number} {thing.name(number)}, and there is room for {most}",
        given=format_length(wanted_mm, system),
        hint=hint,
    )


def _words(
    wanted_mm: float, exact: float, number: int, thing: _Thing, rule: _Rule, system: UnitSystem
) -> Said:
    inches = system is UnitSystem.INCHES
    rate = format_number((MM_PER_INCH if inches else 100.0) / thing.size.value, 2)
    shown = _shown(exact, number, rule)
    facts = {
        "length": format_length(wanted_mm, system),
        "rate": thing.counted(rate),
        "count": thing.counted(shown),
    }
    # NOTE: such as "10 in at 4.5 stitches per inch is 45 stitches"
    wanted = (
        say("{length} at {rate} per inch is {count}", **facts)
        if inches
        else say("{length} at {rate} per 10 cm is {count}", **facts)
    )
    if shown == str(number):
        return wanted
    rounded = {
        "wanted": wanted,
        "number": rule.told(number),
        "measures": format_length(number * thing.size.value, system),
    }
    if number == rule.first and number - exact > rule.multiple / 2:
        return say(
            "{wanted}; the fewest that can be worked is {number}, which measures {measures}",
            **rounded,
        )
    return say("{wanted}; rounded to {number}, which measures {measures}", **rounded)


def _shown(exact: float, number: int, rule: _Rule) -> str:
    """The exact count to one decimal, or to as many as make the rounding plain.

    48.46 to one place is 48.5, from which nobody would round to 48; so it is shown as 48.46.
    """
    exact = round(exact, 9)  # 48.45 as a float may lie a hair below
    shown = format_number(exact, 1)
    for places in range(2, 10):
        if rule.nearest(float(shown)) == number:
            break
        shown = format_number(exact, places)
    return shown


def _half_up(value: float) -> int:
    return math.floor(value + 0.5 + _HAIR)
