"""Heads: circumference by age from published tables, and how people differ.

Words used here:

* **circumference** is the greatest one, above the brows and round the back of the head;
* a **percentile** is the part of people whose head is no larger, as 0.9 for nine in ten.

These are heads.  The craft trade's chart of hat sizes is in :mod:`pegwright.sizing.hats`; the two
are of different types, so that one can never be taken for the other by mistake.

Children: World Health Organization, child growth standards, head circumference for age.  In them
head circumference is normally distributed at every age (the L of their L, M, S is 1), so the median
is the mean and SD = M * S.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist

from pegwright.errors import BadInput, Place
from pegwright.measured import Measured
from pegwright.units import require_finite, require_positive

__all__ = [
    "OLDEST_MONTHS",
    "HeadSize",
    "Mark",
    "Sex",
    "adult_head",
    "head_for_age",
    "mixed_heads",
    "part_up_to",
    "percentile",
]

OLDEST_MONTHS = 60.0
"""The children's table ends here, at five years."""


class Sex(StrEnum):
    """Which table is read; None, where it is asked for, takes both together."""

    FEMALE = "female"
    MALE = "male"


class Mark(StrEnum):
    """How well a figure is vouched for."""

    READ = "read in the published table"
    MEMORY = "from memory"


@dataclass(frozen=True, slots=True)
class HeadSize:
    """The heads of a group of people.

    :param name: the group, in words.
    :param circumference: mm; its standard deviation tells how **people differ**, not how sure the
        figure is.
    :param source: the table.
    :param skew: the L of the table's L, M, S; 1 where heads are normally distributed.
    """

    name: str
    circumference: Measured
    source: str
    mark: Mark
    skew: float = 1.0

    def __post_init__(self) -> None:
        require_positive(self.circumference.value, "circumference")
        require_positive(self.circumference.sd, "circumference.sd")

    def percentile_mm(self, part: float) -> float:
        """The circumference in mm that so large a part of the group does not exceed.

        :param part: above 0 and below 1: 0.5 is the median.
        """
        if not 0 < part < 1:
            raise BadInput(
                "a percentile lies between 0 and 1",
                given=part,
                hint="use 0.9 for the head that nine in ten do not exceed",
                place=Place(field="percentile"),
            )
        return percentile(self.circumference, part, self.skew)

    def part_up_to(self, circumference_mm: float) -> float:
        """The part of the group whose head is no larger: the inverse of :meth:`percentile_mm`."""
        require_positive(circumference_mm, "circumference_mm")
        return part_up_to(self.circumference, circumference_mm, self.skew)

    def range_mm(self, part: float = 0.9) -> tuple[float, float]:
        """The bounds in mm, lower first, within which the middle part of the group lies."""
        rest = (1 - part) / 2
        return self.percentile_mm(rest), self.percentile_mm(1 - rest)


_NO_SKEW = 1e-9


def percentile(size: Measured, part: float, skew: float = 1.0) -> float:
    """What so large a part of a group does not exceed: M (1 + L S z)^(1/L), with M S the sd.

    :param skew: L; 1 is the normal distribution, 0 that of logarithms.
    """
    z = NormalDist().inv_cdf(part)
    if abs(skew) < _NO_SKEW:
        return size.value * math.exp(size.relative * z)
    whole: float = size.value * (1 + skew * size.relative * z) ** (1 / skew)
    return whole


def part_up_to(size: Measured, value: float, skew: float = 1.0) -> float:
    """The part of a group that is no larger: the inverse of :func:`percentile`."""
    if abs(skew) < _NO_SKEW:
        return NormalDist().cdf(math.log(value / size.value) / size.relative)
    z: float = ((value / size.value) ** skew - 1) / (skew * size.relative)
    return NormalDist().cdf(z)


_WHO = "WHO child growth standards, head circumference for age"
_ANSUR = "ANSUR II, NATICK/TR-15/007"

# Months: (median, SD) in cm.  Months 1, 2, 4 and 9 (M and M * S of the L, M, S table) stand here
# because the curve bends most in the first year: straight lines between the listed months stay
# within 0.2 cm of the daily table.
_CHILDREN: dict[Sex, dict[int, tuple[float, float]]] = {
    Sex.MALE: {
        0: (34.46, 1.27),
        1: (37.28, 1.17),
        2: (39.13, 1.17),
        3: (40.51, 1.18),
        4: (41.63, 1.19),
        6: (43.33, 1.22),
        9: (45.00, 1.26),
        12: (46.07, 1.28),
        18: (47.37, 1.33),
        24: (48.25, 1.36),
        36: (49.46, 1.42),
        48: (50.21, 1.46),
        60: (50.74, 1.49),
    },
    Sex.FEMALE: {
        0: (33.88, 1.18),
        1: (36.55, 1.17),
        2: (38.25, 1.21),
        3: (39.53, 1.24),
        4: (40.58, 1.27),
        6: (42.20, 1.30),
        9: (43.83, 1.34),
        12: (44.90, 1.36),
        18: (46.24, 1.38),
        24: (47.18, 1.40),
        36: (48.51, 1.41),
        48: (49.33, 1.42),
        60: (49.92, 1.42),
    },
}

_ADULTS = {Sex.MALE: Measured(574.0, 16.0), Sex.FEMALE: Measured(561.0, 19.0)}

_CHILD_NAMES = {Sex.MALE: "boys", Sex.FEMALE: "girls", None: "children"}
_ADULT_NAMES = {Sex.MALE: "men", Sex.FEMALE: "women", None: "adults"}


def head_for_age(months: float, sex: Sex | None = None) -> HeadSize:
    """Children's heads at an age, by straight lines between the listed months.

    :param months: completed months and parts of them, 0 to 60.
    :param sex: None takes girls and boys in equal parts.
    :raises BadInput: for an age outside the table.
    """
    require_finite(months, "age_months")
    if not 0 <= months <= OLDEST_MONTHS:
        raise BadInput(
            "the head table runs from birth to five years",
            given=f"{months:g} months",
            hint="measure the head, or use an adult's size",
            place=Place(field="age_months"),
        )
    sizes = [_child(months, each) for each in ((sex,) if sex else tuple(Sex))]
    name = f"{_CHILD_NAMES[sex]} of {months:g} months"
    return HeadSize(name, _mixed(sizes), _WHO, Mark.READ)


def mixed_heads(name: str, heads: list[HeadSize], source: str, mark: Mark) -> HeadSize:
    """Groups of one table taken together in equal parts."""
    skew = math.fsum(head.skew for head in heads) / len(heads)
    return HeadSize(name, _mixed([head.circumference for head in heads]), source, mark, skew)


def adult_head(sex: Sex | None = None) -> HeadSize:
    """Grown people's heads; None takes women and men in equal parts.

    Mean and SD of soldiers in service, from memory: other people will differ.
    """
    sizes = [_ADULTS[each] for each in ((sex,) if sex else tuple(Sex))]
    return HeadSize(_ADULT_NAMES[sex], _mixed(sizes), _ANSUR, Mark.MEMORY)


def _child(months: float, sex: Sex) -> Measured:
    table = _CHILDREN[sex]
    listed = list(table)
    after = min(bisect_right(listed, months), len(listed) - 1)
    low, high = listed[after - 1], listed[after]
    part = (months - low) / (high - low)
    median, sd = (10 * (a + part * (b - a)) for a, b in zip(table[low], table[high], strict=True))
    return Measured(median, sd)


def _mixed(sizes: list[Measured]) -> Measured:
    """Mean and SD of groups taken together in equal parts; nearly normal where they lie close."""
    mean = math.fsum(size.value for size in sizes) / len(sizes)
    squares = math.fsum(size.sd**2 + (size.value - mean) ** 2 for size in sizes)
    return Measured(mean, math.sqrt(squares / len(sizes)))
