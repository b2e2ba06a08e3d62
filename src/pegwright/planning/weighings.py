"""Weighings while knitting, and what they say of the grams that a row takes.

Words used here:

* a **weighing** is the yarn that is left, on a kitchen scale, when a row is done; row 0 is the
  cast-on;
* **grams per row** is the mean over many rows of one maker's hands with one yarn: the run promises
  it, the weighings correct it;
* **scatter** is how far single rows lie from that mean, as a part of it.

The model.  True grams left at a row are x, grams per row are m.  Over a stretch of n rows

    x becomes x - n m - e,   e normal with variance n (scatter * m)²,

and a reading is x plus an error that is normal with the variance of the scale's resolution
(step² / 12 a ball) and of moisture (a part of the reading).  The prior of m is normal, that of x is
flat: the first weighing sets it.  Given the scatter all of this is normal, so that the update is
exact and in closed form (the recursion of Kalman 1960, from memory).  The scatter itself is not
known; five levels of it are carried side by side, each weighed by how likely it makes the readings.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate, pairwise

from pegwright.errors import BadInput, Place
from pegwright.measured import Measured, resolution_sd
from pegwright.units import require_finite, require_positive, require_zero_or_more

__all__ = [
    "MOISTURE_PART",
    "MOST_ROWS",
    "ROW_SCATTER",
    "Level",
    "Prior",
    "Scale",
    "Weighing",
    "check_weighings",
    "posterior",
]

ROW_SCATTER = 0.05
"""How far single rows lie from the mean row, as a part of it (an assumption, no source)."""

MOISTURE_PART = 0.005
"""How far a reading is off because yarn takes up and gives off water, as a part of it: 0.5 %.

An assumption, no source.  Commercial regain (17 % for carded wool, EU 1007/2011) bounds it."""

MOST_ROWS = 1_000_000
"""Most rows of a piece that is forecast: above any knitted, low enough to keep a slip cheap."""

_LEVELS = (0.25, 0.5, 1.0, 2.0, 4.0)
"""Scatters looked at, as multiples of the usual one; their prior is log-normal, one doubling wide.
"""

_RISE_SDS = 3.0
"""Readings may rise by so many standard deviations of their own error before they are refused."""


@dataclass(frozen=True, slots=True)
class Prior:
    """What is known before the first weighing.

    :param grams_per_row: of one mean row, in g; its sd holds slack and the yarn's own uncertainty.
    :param scatter: usual scatter of single rows, as a part of the mean row.
    :param shares: what each row takes beside the mean row, row 1 first: 1 for a mean row, 0 for a
        row in another colour.  Empty where all rows are alike.
    :raises BadInput: for grams or a scatter not above zero, or shares below zero.
    """

    grams_per_row: Measured
    scatter: float = ROW_SCATTER
    shares: tuple[float, ...] = ()
    _sums: tuple[float, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        require_positive(self.grams_per_row.value, "grams_per_row")
        require_positive(self.scatter, "scatter", hint="0.05 for 5 % of a row")
        for share in self.shares:
            require_zero_or_more(share, "shares")
        object.__setattr__(self, "_sums", tuple(accumulate(self.shares, initial=0.0)))

    def amount(self, first: int, last: int) -> float:
        """How many mean rows there are from row ``first`` (done) to row ``last`` (done)."""
        if not self.shares:
            return float(last - first)
        return self._sums[last] - self._sums[first]

    def rows(self, first: int, amount: float) -> float:
        """The rows after row ``first`` that ``amount`` mean rows reach; the inverse of `amount`.

        Past the last row, mean rows follow.
        """
        if not self.shares:
            return amount
        wanted = self._sums[first] + amount
        last = len(self.shares)
        at = bisect_right(self._sums, wanted) - 1
        if at >= last:
            return last - first + wanted - self._sums[last]
        return at - first + (wanted - self._sums[at]) / self.shares[at]


@dataclass(frozen=True, slots=True)
class Weighing:
    """One weighing: all the yarn of one kind that is left when ``row`` is done.

    Checked together with its fellows by :func:`check_weighings`, so that an error can name the
    entry.

    :param row: rows done; 0 is after the cast-on.
    :param left_g: grams left, all balls together.
    :param balls: balls that were laid on the scale one by one; each brings its own resolution.
    """

    row: int
    left_g: float
    balls: int = 1


@dataclass(frozen=True, slots=True)
class Scale:
    """A kitchen scale, and the air that the yarn lies in.

    :param step_g: the smallest difference that the scale shows.
    :param moisture_part: see :data:`MOISTURE_PART`.
    """

    step_g: float = 1.0
    moisture_part: float = MOISTURE_PART

    def __post_init__(self) -> None:
        require_positive(self.step_g, "scale_g", hint="see what the scale shows: 1 g, 5 g or 0.1 g")
        require_zero_or_more(self.moisture_part, "moisture_part")

    def error_sd(self, weighing: Weighing) -> float:
        """The standard deviation of a reading, in g."""
        resolution = resolution_sd(self.step_g) * math.sqrt(weighing.balls)
        return math.hypot(resolution, self.moisture_part * weighing.left_g)


@dataclass(frozen=True, slots=True)
class Level:
    """What is known at the last weighing, given one level of scatter; weights of all sum to 1.

    :param left_g: mean of the grams left; ``row_g`` of the grams per row.
    :param left_var: variance of the first, g²; ``row_var`` of the second; ``both_cov`` their
        covariance.
    :param scatter_g: standard deviation of a single row, g.
    :param surprise: the largest distance of a reading from what was expected, in standard
        deviations, and which reading that was, counted from 1.
    """

    weight: float
    left_g: float
    row_g: float
    left_var: float
    row_var: float
    both_cov: float
    scatter_g: float
    surprise: tuple[float, int]

    def after(self, amount: float, reserve: Measured) -> tuple[float, float]:
        """Mean and sd of the grams left after so many more mean rows, the reserve taken away."""
        mean = self.left_g - amount * self.row_g - reserve.value
        variance = self.left_var - 2 * amount * self.both_cov + amount**2 * self.row_var
        return mean, math.sqrt(max(variance, 0.0) + amount * self.scatter_g**2 + reserve.sd**2)


def check_weighings(weighings: Sequence[Weighing], rows_total: int, scale: Scale) -> None:
    """Refuse weighings that cannot be.

    :raises BadInput: naming the entry: no weighing at all, a row that is no row of the piece or
        comes before that of the entry above, grams below zero, no balls, or a weight that rises by
        more than the scale and the air explain.
    """
    if not weighings:
        raise BadInput(
            "a forecast needs at least one weighing",
            hint="weigh what is left of the yarn now, and say how many rows are done",
            place=Place(field="weighings"),
        )
    for number, weighing in enumerate(weighings, 1):
        _check_one(number, weighing, rows_total)
    for number, (before, after) in enumerate(pairwise(weighings), 2):
        if after.row < before.row:
            raise _refusal(
                number,
                after,
                f"comes after row {before.row}: the rows are out of order",
                "list the weighings in the order in which the rows were knitted",
            )
        error = math.hypot(scale.error_sd(before), scale.error_sd(after))
        if after.left_g - before.left_g > _RISE_SDS * error:
            raise _refusal(
                number,
                after,
                f"is heavier than the one before, {before.left_g:g} g: yarn does not grow",
                "weigh every ball of this yarn each time; where a ball was added, begin with the "
                "first weighing after it",
            )


def _check_one(number: int, weighing: Weighing, rows_total: int) -> None:
    place = f"weighings.{number}"
    row, grams = weighing.row, weighing.left_g
    require_finite(row, f"{place}.row")
    require_finite(grams, f"{place}.left_g")
    if row % 1 != 0 or not 0 <= row <= rows_total:
        raise _refusal(
            number,
            weighing,
            f"is at no row of this piece, which has {rows_total}",
            f"count the rows that are done: 0 (cast on) to {rows_total}",
        )
    if grams < 0:
        raise _refusal(
            number, weighing, "is below zero", "set the scale to zero with nothing on it"
        )
    if weighing.balls < 1:
        raise _refusal(number, weighing, "has no ball", "count the balls that were weighed")


def _refusal(number: int, weighing: Weighing, what: str, hint: str) -> BadInput:
    return BadInput(
        f"weighing {number} {what}",
        given=f"row {weighing.row}, {weighing.left_g:g} g",
        hint=hint,
        place=Place(field=f"weighings.{number}"),
    )


def posterior(prior: Prior, weighings: Sequence[Weighing], scale: Scale) -> tuple[Level, ...]:
    """What is known after the last weighing; the weighings are taken to be checked."""
    found = [_filtered(prior, weighings, scale, factor) for factor in _LEVELS]
    highest = max(log_weight for log_weight, _ in found)
    weights = [math.exp(log_weight - highest) for log_weight, _ in found]
    whole = math.fsum(weights)
    return tuple(
        replace(level, weight=weight / whole)
        for weight, (_, level) in zip(weights, found, strict=True)
    )


def _filtered(
    prior: Prior, weighings: Sequence[Weighing], scale: Scale, factor: float
) -> tuple[float, Level]:
    """The update at one level of scatter: its log weight (up to a constant), and what it gives."""
    scatter_g = prior.scatter * factor * prior.grams_per_row.value
    first = weighings[0]
    x, m = first.left_g, prior.grams_per_row.value
    xx, mm, xm = scale.error_sd(first) ** 2, prior.grams_per_row.sd**2, 0.0
    log_weight = -0.5 * (math.log(factor) / math.log(2)) ** 2
    surprise = (0.0, 1)
    for number, (before, now) in enumerate(pairwise(weighings), 2):
        n = prior.amount(before.row, now.row)
        x -= n * m
        xx += n * (n * mm - 2 * xm + scatter_g**2)
        xm -= n * mm
        total = xx + scale.error_sd(now) ** 2
        off = now.left_g - x
        log_weight -= 0.5 * (math.log(total) + off * off / total)
        surprise = max(surprise, (abs(off) / math.sqrt(total), number))
        x, m = x + off * xx / total, m + off * xm / total
        mm -= xm * xm / total
        xm -= xm * xx / total
        xx -= xx * xx / total
    return log_weight, Level(1.0, x, m, xx, mm, xm, scatter_g, surprise)
