"""A number with its uncertainty.

Everything that is measured (a swatch, a ball on a kitchen scale, a wrap test) or forecast from
such measurements is a :class:`Measured`: a value and a **standard deviation** that says how far off
it may well be.  An **interval** is read from it with the normal distribution; a *coverage* of 0.9
means that the true value lies inside nine times out of ten.

Arithmetic carries the standard deviation on to first order and takes both sides to be
**independent** (JCGM 100:2008, 5.1.2, from memory).  So ``x + x`` is wrong for one and the same
measurement: write ``x.scale(2)``.  For measurements that share one source of error, such as parts
of a piece drawn with the same calibration, use :func:`total` with ``shared_error``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import NormalDist, fmean, stdev

from pegwright.errors import BadInput, Place
from pegwright.units import require_finite, require_positive, require_zero_or_more

__all__ = ["Measured", "pooled", "resolution_sd", "total"]


@dataclass(frozen=True, slots=True)
class Measured:
    """A value and its standard deviation, both in the same unit.

    :param value: any finite number.
    :param sd: zero for an exact number, otherwise above it.
    :raises BadInput: where the value is not finite, or the sd not finite or below zero; also from
        arithmetic that leaves the finite numbers.
    """

    value: float
    sd: float = 0.0

    def __post_init__(self) -> None:
        require_finite(self.value, "value")
        require_zero_or_more(self.sd, "sd", hint="a standard deviation is zero or more")

    @classmethod
    def from_readings(cls, readings: Sequence[float]) -> Measured:
        """The mean of repeated readings, and the standard deviation of that mean.

        :param readings: two or more readings of one quantity.
        :raises BadInput: for fewer than two, since one reading says nothing of its spread.
        """
        if len(readings) < 2:
            raise BadInput(
                "a spread needs two readings or more",
                given=f"{len(readings)} readings",
                hint="measure it again, or give the uncertainty yourself",
                place=Place(field="readings"),
            )
        for reading in readings:
            require_finite(reading, "readings")
        return cls(fmean(readings), stdev(readings) / math.sqrt(len(readings)))

    @property
    def relative(self) -> float:
        """The standard deviation as a part of the value, as 0.03 for 3 %.

        :raises BadInput: where the value is zero.
        """
        if self.value == 0:
            raise BadInput("a value of zero has no relative spread", given=str(self))
        return self.sd / abs(self.value)

    def interval(self, coverage: float = 0.9) -> tuple[float, float]:
        """The bounds, lower first, between which the true value lies with this probability.

        :param coverage: above 0 and below 1; half of the rest lies on each side.
        """
        if not 0 < coverage < 1:
            raise BadInput(
                "coverage must lie between 0 and 1",
                given=coverage,
                hint="use 0.9 for nine times out of ten",
                place=Place(field="coverage"),
            )
        reach = -NormalDist().inv_cdf((1 - coverage) / 2) * self.sd
        return self.value - reach, self.value + reach

    def scale(self, factor: float) -> Measured:
        """The value times an exact number."""
        return Measured(self.value * factor, self.sd * abs(factor))

    def __add__(self, other: Measured | float) -> Measured:
        right = _measured(other)
        return Measured(self.value + right.value, math.hypot(self.sd, right.sd))

    def __radd__(self, other: float) -> Measured:
        return self + other

    def __neg__(self) -> Measured:
        return Measured(-self.value, self.sd)

    def __sub__(self, other: Measured | float) -> Measured:
        return self + -_measured(other)

    def __rsub__(self, other: float) -> Measured:
        return -self + other

    def __mul__(self, other: Measured | float) -> Measured:
        right = _measured(other)
        sd = math.hypot(right.value * self.sd, self.value * right.sd)
        return Measured(self.value * right.value, sd)

    def __rmul__(self, other: float) -> Measured:
        return self * other

    def __truediv__(self, other: Measured | float) -> Measured:
        right = _measured(other)
        if right.value == 0:
            raise BadInput("cannot divide by a measurement of zero", given=str(right))
        quotient = self.value / right.value
        sd = math.hypot(self.sd / right.value, quotient * right.sd / right.value)
        return Measured(quotient, sd)

    def __rtruediv__(self, other: float) -> Measured:
        return _measured(other) / self

    def __str__(self) -> str:
        return f"{self.value:g} ± {self.sd:.2g}"


def total(items: Iterable[Measured], *, shared_error: bool = False) -> Measured:
    """The sum of measurements; of none it is an exact zero.

    :param shared_error: their errors come from one source and all point the same way, so the
        standard deviations are added.  Otherwise they are independent, and the squares are.
    """
    parts = tuple(items)
    value = math.fsum(part.value for part in parts)
    if shared_error:
        return Measured(value, math.fsum(part.sd for part in parts))
    return Measured(value, math.hypot(*(part.sd for part in parts)))


def pooled(items: Iterable[Measured]) -> Measured:
    """One estimate from several independent measurements of the same quantity.

    Each weighs by the inverse of its variance.  Where they lie further apart than their own
    standard deviations allow, the result's is widened by the Birge ratio, the root of chi-squared
    over (n - 1) (Birge 1932, from memory), so that swatches which disagree do not look certain.
    Exact measurements outweigh all others.

    :raises BadInput: for no measurements, or exact ones that contradict each other.
    """
    parts = tuple(items)
    if not parts:
        raise BadInput("nothing to pool", hint="give at least one measurement")
    exact = {part.value for part in parts if part.sd == 0}
    if len(exact) > 1:
        raise BadInput(
            "two measurements that are said to be exact differ",
            given=", ".join(f"{value:g}" for value in sorted(exact)),
            hint="give each its uncertainty",
            place=Place(field="sd"),
        )
    if exact:
        return Measured(exact.pop())
    finest = min(part.sd for part in parts)
    weights = [(finest / part.sd) ** 2 for part in parts]
    weight = math.fsum(weights)
    mean = math.fsum(w * part.value for w, part in zip(weights, parts, strict=True)) / weight
    sd = finest / math.sqrt(weight)
    if len(parts) > 1:
        root_chi_squared = math.hypot(*((part.value - mean) / part.sd for part in parts))
        sd *= max(1.0, root_chi_squared / math.sqrt(len(parts) - 1))
    return Measured(mean, sd)


def resolution_sd(step: float) -> float:
    """The standard deviation that reading to the nearest ``step`` brings, as on a kitchen scale.

    Any value within half a step is equally likely: step / sqrt(12) (JCGM 100:2008, F.2.2.1, from
    memory).

    :param step: the smallest difference shown, in any unit, above zero.
    """
    require_positive(step, "step")
    return step / math.sqrt(12)


def _measured(value: Measured | float) -> Measured:
    return value if isinstance(value, Measured) else Measured(value)
