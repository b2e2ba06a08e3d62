"""How much of each yarn a piece takes: metres, yards, grams and balls.

Words used here:

* a **part** is a share of the yarn with its own name: cast-on, body, cord, seam, tails …;
* the **upper bound** is the top of the interval, which the piece will stay below nearly always;
* the **margin** is what is added to the upper bound for swatches, tangles and second thoughts, as
  a fraction of it; it is always stated, never hidden in the numbers.

The parts' errors are taken to be **shared**: one calibration of slack and one pair of hands stand
behind them all, so their standard deviations add up.  That gives a wider interval than independent
parts would have; running out of yarn is the harm to keep clear of.  The yarn's own uncertainty of
metres per 100 g is independent of theirs.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from pegwright.errors import BadInput, Place
from pegwright.measured import Measured, total
from pegwright.units import (
    METRES_PER_YARD,
    UnitSystem,
    format_mass,
    format_number,
    format_yarn_length,
    require_zero_or_more,
)
from pegwright.yarn.yarn import Yarn

__all__ = ["Part", "YarnNeed", "needs"]

_CLOSE = 1e-9  # of a ball: less than rounding of floats may add, far less than any fibre


@dataclass(frozen=True, slots=True)
class Part:
    """One part's yarn: its name and its metres, zero or more."""

    name: str
    metres: Measured

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise BadInput(
                "a part of the yarn needs a name",
                given=repr(self.name),
                hint="name what it is used for, as cast-on or cord",
                place=Place(field="parts"),
            )
        require_zero_or_more(self.metres.value, f"parts.{self.name}")


@dataclass(frozen=True, slots=True)
class YarnNeed:
    """What one yarn is needed for, and how much to have.

    :param margin: added to the upper bound, as a fraction of it: 0.1 for 10 %.
    :param coverage: probability that the need lies inside the interval.
    :param shared_error: the parts' errors point the same way (see the module).
    :raises BadInput: for a part named twice, a margin outside 0 to 1, a coverage outside 0 and 1.
    """

    yarn: Yarn
    parts: tuple[Part, ...]
    margin: float = 0.1
    coverage: float = 0.9
    shared_error: bool = True

    def __post_init__(self) -> None:
        names = [part.name for part in self.parts]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise BadInput(
                "a part of the yarn is named twice",
                given=", ".join(twice),
                hint="add the two together or name them apart",
                place=Place(field="parts"),
            )
        if not 0 <= self.margin <= 1:
            raise BadInput(
                "the margin is a fraction between 0 and 1",
                given=self.margin,
                hint="write 0.1 for 10 %",
                place=Place(field="margin"),
            )
        Measured(0.0).interval(self.coverage)  # refuses a coverage that cannot be

    @property
    def metres(self) -> Measured:
        """Metres that the piece draws, all parts together, no margin."""
        return total((part.metres for part in self.parts), shared_error=self.shared_error)

    @property
    def yards(self) -> Measured:
        """The same in yards."""
        return self.metres.scale(1 / METRES_PER_YARD)

    @property
    def grams(self) -> Measured:
        """Grams that the piece holds, no margin; with the yarn's own uncertainty."""
        return self.yarn.mass(self.metres)

    @property
    def metres_interval(self) -> tuple[float, float]:
        """Between how many metres the need lies; never below zero."""
        return _from_zero(self.metres.interval(self.coverage))

    @property
    def grams_interval(self) -> tuple[float, float]:
        """Between how many grams the need lies; never below zero."""
        return _from_zero(self.grams.interval(self.coverage))

    @property
    def metres_to_have(self) -> float:
        """The upper bound of metres with the margin added."""
        return self.metres_interval[1] * (1 + self.margin)

    @property
    def grams_to_have(self) -> float:
        """The upper bound of grams with the margin added."""
        return self.grams_interval[1] * (1 + self.margin)

    @property
    def balls(self) -> int:
        """Whole balls to have: the grams to have over a ball's, rounded up; none for no need."""
        return math.ceil(self.grams_to_have / self.yarn.ball_g - _CLOSE)

    def part(self, name: str) -> Measured:
        """The metres of one part.

        :raises BadInput: where there is no such part.
        """
        for part in self.parts:
            if part.name == name:
                return part.metres
        raise BadInput(
            "no such part of the yarn",
            given=name,
            hint=f"use one of {', '.join(part.name for part in self.parts)}",
        )

    def words(self, first: UnitSystem) -> str:
        """The need in a sentence, with its interval and the margin that it holds."""
        low, high = (format_yarn_length(bound, first) for bound in self.metres_interval)
        balls = "1 ball" if self.balls == 1 else f"{self.balls} balls"
        return (
            f"{format_yarn_length(self.metres.value, first)}, "
            f"{format_mass(self.grams.value, first)}; "
            f"between {low} and {high} in {format_number(100 * self.coverage)} of 100 makings; "
            f"have {balls} of {format_mass(self.yarn.ball_g, first)}, "
            f"a margin of {format_number(100 * self.margin, 1)} % included"
        )


def needs(
    parts_by_yarn: Mapping[Yarn, Mapping[str, Measured]],
    margin: float = 0.1,
    coverage: float = 0.9,
) -> tuple[YarnNeed, ...]:
    """The need of every yarn, in the order given.

    :param parts_by_yarn: for each yarn, metres by part.
    :raises BadInput: as :class:`YarnNeed` and :class:`Part`.
    """
    return tuple(
        YarnNeed(
            yarn,
            tuple(Part(name, metres) for name, metres in parts.items()),
            margin=margin,
            coverage=coverage,
        )
        for yarn, parts in parts_by_yarn.items()
    )


def _from_zero(interval: tuple[float, float]) -> tuple[float, float]:
    return max(interval[0], 0.0), max(interval[1], 0.0)
