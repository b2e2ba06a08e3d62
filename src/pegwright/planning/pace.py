"""How long it takes: loops at a pace.

Words used here:

* a **pace** is loops wrapped and knitted over in a minute, of one maker on one kind of work;
* a **sitting** is a stretch of knitting that was timed: so many rows in so many minutes;
* **making up** is what comes after the last row: seam, cord, tails.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pegwright.errors import BadInput, Place
from pegwright.knitting.run import Run
from pegwright.measured import Measured, resolution_sd
from pegwright.units import UnitSystem, format_number, require_positive, require_zero_or_more

__all__ = [
    "DAY_RELATIVE_SD",
    "LOOPS_PER_MINUTE",
    "MAKING_UP",
    "UNHURRIED",
    "Pace",
    "Sitting",
    "WorkTime",
    "duration",
    "loops_in_row",
    "minutes",
    "own_pace",
    "pace_from_rows",
    "work_time",
]

LOOPS_PER_MINUTE = 25.0
"""Loops wrapped and knitted over in a minute by an unhurried maker (an assumption, no source)."""

SLOWEST_PER_MINUTE = 0.001
"""A slower pace is a slip of the keyboard: a loop would take most of a day."""

DAY_RELATIVE_SD = 0.15
"""How far a maker's pace may well differ from one sitting to the next: 15 %.

An assumption, no source.  It counts as one sitting's worth of knowledge beside those timed."""

_MAKING_UP_MINUTES = 45.0

MAKING_UP = Measured(_MAKING_UP_MINUTES, 15.0)
"""Minutes of making up (an assumption, no source)."""


@dataclass(frozen=True, slots=True)
class Sitting:
    """Rows knitted in one sitting, and its minutes, read to the whole minute.

    :raises BadInput: naming the field, for rows or minutes that are not above zero.
    """

    rows: float
    minutes: float

    def __post_init__(self) -> None:
        require_positive(self.rows, "rows", hint="count the rows of one sitting")
        require_positive(self.minutes, "minutes", hint="time one sitting by the clock")


@dataclass(frozen=True, slots=True)
class Pace:
    """A maker's pace.

    :param loops_per_minute: with its uncertainty.
    :param sittings: how many it was timed over; 0 for one that is assumed.
    :raises BadInput: naming the field, for a pace that is not above zero.
    """

    loops_per_minute: Measured
    sittings: int = 0

    def __post_init__(self) -> None:
        value = self.loops_per_minute.value
        require_positive(value, "loops_per_minute")
        if value < SLOWEST_PER_MINUTE:
            raise BadInput(
                "loops_per_minute is slower than anybody knits",
                given=value,
                hint="time one sitting by the clock",
                place=Place(field="loops_per_minute"),
            )

    def hours(self, loops: float) -> Measured:
        """How long so many loops take, in hours.

        :raises BadInput: for fewer loops than none.
        """
        require_zero_or_more(loops, "loops")
        return (loops / self.loops_per_minute).scale(1 / 60)

    def words(self, units: UnitSystem) -> tuple[str, ...]:  # noqa: ARG002 - one call for all
        """The pace in a sentence."""
        low, high = (format_number(max(end, 0.0)) for end in self.loops_per_minute.interval())
        timed = "assumed" if not self.sittings else f"timed over {self.sittings}"
        sitting = "" if not self.sittings else " sitting" + "s" * (self.sittings > 1)
        value = format_number(self.loops_per_minute.value, 1)
        return (
            f"{value} loops a minute ({timed}{sitting}), nine times in ten between {low} and"
            f" {high}.",
        )

    def as_data(self) -> dict[str, object]:
        """The same as plain data."""
        low, high = self.loops_per_minute.interval()
        return {
            "loops_per_minute": self.loops_per_minute.value,
            "sd": self.loops_per_minute.sd,
            "low": max(low, 0.0),
            "high": high,
            "sittings": self.sittings,
        }


UNHURRIED = Pace(Measured(LOOPS_PER_MINUTE, 0.3 * LOOPS_PER_MINUTE))
"""The pace where a maker has timed none: makers differ by a third (an assumption, no source)."""


def own_pace(loops_per_minute: float | None) -> Pace:
    """The pace that a maker gives as her own, as sure as one sitting; unhurried where she has none.

    :raises BadInput: for a pace that is not above zero.
    """
    if loops_per_minute is None:
        return UNHURRIED
    return Pace(Measured(loops_per_minute, DAY_RELATIVE_SD * abs(loops_per_minute)))


def loops_in_row(run: Run, piece: str, rows: int) -> float:
    """Loops in a row of a piece, on average over its rows; the cast-on is no row.

    :param rows: how many the piece has.
    """
    loops = run.fabric.arrays()
    number = run.fabric.pieces.index(piece)
    return float(((loops.piece == number) & (loops.row > 0)).sum()) / rows


def pace_from_rows(loops_per_row: float, sittings: Sequence[Sitting]) -> Pace:
    """A maker's own pace from sittings that she timed.

    All loops over all minutes, so that a long sitting counts for more; the variance between
    sittings is that of a ratio of two sums (Cochran, Sampling Techniques, 6.3, from memory).  A few
    sittings that agree by chance must not look certain, so :data:`DAY_RELATIVE_SD` is pooled with
    them as one degree of freedom, and stands alone where there is one sitting.  Reading the clock
    to the minute is added.

    :param loops_per_row: loops in one row: twice the pegs of one board on a double board.
    :raises BadInput: naming the field, for no sittings or loops that are not above zero.
    """
    require_positive(loops_per_row, "loops_per_row", hint="count the pegs that a row wraps")
    if not sittings:
        raise BadInput(
            "a pace needs at least one sitting that was timed",
            hint="give rows and minutes, as 12 rows in 40 minutes",
            place=Place(field="sittings"),
        )
    n = len(sittings)
    loops = loops_per_row * math.fsum(s.rows for s in sittings)
    time = math.fsum(s.minutes for s in sittings)
    pace = loops / time
    off = math.hypot(*(loops_per_row * s.rows - pace * s.minutes for s in sittings))
    between = (off * n / loops) ** 2  # (n - 1) times the relative variance of one sitting
    spread = math.sqrt((between + DAY_RELATIVE_SD**2) / n / n)
    clock = resolution_sd(1) * math.sqrt(n) / time
    return Pace(Measured(pace, pace * math.hypot(spread, clock)), n)


@dataclass(frozen=True, slots=True)
class WorkTime:
    """How long a piece takes.

    :param making_up: minutes after the last row.
    """

    loops: int
    pace: Pace
    making_up: Measured = MAKING_UP

    @property
    def hours(self) -> Measured:
        """Knitting and making up, in hours."""
        return self.pace.hours(self.loops) + self.making_up.scale(1 / 60)

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """How long, at which pace."""
        low, high = (duration(max(end, 0.0)) for end in self.hours.interval())
        return (
            f"About {duration(self.hours.value)} for {self.loops} loops and making up; nine times"
            f" in ten between {low} and {high}.",
            *self.pace.words(units),
        )

    def as_data(self) -> dict[str, object]:
        """The same as plain data."""
        low, high = self.hours.interval()
        return {
            "loops": self.loops,
            "pace": self.pace.as_data(),
            "making_up_minutes": self.making_up.value,
            "hours": self.hours.value,
            "hours_sd": self.hours.sd,
            "hours_low": max(low, 0.0),
            "hours_high": high,
        }


def work_time(loops: int, pace: Pace = UNHURRIED, making_up: Measured = MAKING_UP) -> WorkTime:
    """How long so many loops take at a pace, making up included.

    :param loops: every loop of the work, as ``run.fabric.loops``.
    :raises BadInput: naming the field, for fewer loops or minutes than none.
    """
    require_zero_or_more(loops, "loops")
    require_zero_or_more(making_up.value, "making_up")
    return WorkTime(loops, pace, making_up)


def duration(hours: float) -> str:
    """A time as a maker says it, to the next five minutes: ``3 h 25 min``."""
    whole, rest = divmod(5 * math.floor(hours * 12 + 0.5), 60)
    if not whole:
        return f"{rest} min"
    return f"{whole} h {rest} min" if rest else f"{whole} h"


def minutes(run: Run, loops_per_minute: float = LOOPS_PER_MINUTE) -> int:
    """Minutes for the whole work, making up included, to the next five."""
    worked = run.fabric.loops / loops_per_minute + _MAKING_UP_MINUTES
    return 5 * round(worked / 5)
