"""How results about yarn are told: intervals, chances and changes, in words and as plain data."""

from __future__ import annotations

from statistics import NormalDist

from pegwright.measured import Measured
from pegwright.units import format_number

__all__ = [
    "SURE",
    "chance_at_least",
    "chance_words",
    "change_words",
    "counted",
    "measured_data",
    "percent",
]

SURE = 0.95
"""From this chance on yarn is said to be enough (an assumption, no source)."""


def chance_at_least(have: Measured, need: Measured) -> float:
    """The probability that what there is reaches: that ``have`` is at least ``need``.

    Both are normal and independent; two exact numbers give 0 or 1.

    :param have: in the same unit as ``need``.
    """
    over = have - need
    if over.sd == 0:
        return 1.0 if over.value >= 0 else 0.0
    return NormalDist().cdf(over.value / over.sd)


def chance_words(chance: float) -> str:
    """A probability as so many times in 100, never as certain: ``about 93 times in 100``."""
    if chance > 0.99:
        return "more than 99 times in 100"
    if chance < 0.01:
        return "less than once in 100 times"
    return f"about {format_number(100 * chance)} times in 100"


def change_words(part: float, more: str, less: str) -> str:
    """A relative change in words: ``8 % wider``; below half a per cent ``the same``.

    :param part: 0.08 for 8 %.
    :param more: the word for more of it, as ``wider``; ``less`` for less.
    """
    size = percent(abs(part))
    return "the same" if size == "0 %" else f"{size} {more if part > 0 else less}"


def percent(part: float, places: int = 0) -> str:
    """A part of one as a percentage: ``8 %``."""
    return f"{format_number(100 * part, places)} %"


def counted(number: int, one: str, many: str | None = None) -> str:
    """A count with its noun: ``1 ball``, ``3 balls``."""
    return f"{number} {one}" if number == 1 else f"{number} {many or one + 's'}"


def measured_data(value: Measured, coverage: float = 0.9) -> dict[str, float]:
    """A measurement as plain data: its value, standard deviation and interval."""
    low, high = value.interval(coverage)
    return {"value": value.value, "sd": value.sd, "low": low, "high": high}
