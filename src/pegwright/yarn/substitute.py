"""Which yarns of the stash can stand in for another, and in what they differ.

This is the yarn's side only: thickness, weight category, metres per 100 g, fibre, and whether there
is enough.  What a stand-in does to the fabric on a given board is told by
:mod:`pegwright.planning.substitute`.

Words used here:

* a **stand-in** is one yarn of the stash, two strands of it, or one strand each of two yarns held
  together (:mod:`pegwright.yarn.plied`);
* **thickness** is the wrapped diameter: it decides how the yarn lies round the pegs.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import IntEnum
from statistics import NormalDist

from pegwright.errors import BadInput
from pegwright.measured import Measured
from pegwright.units import UnitSystem, format_yarn_length, require_positive
from pegwright.yarn.category import category
from pegwright.yarn.plied import held_together
from pegwright.yarn.stash import StashYarn
from pegwright.yarn.telling import (
    SURE,
    chance_at_least,
    chance_words,
    change_words,
    measured_data,
    percent,
)
from pegwright.yarn.yarn import DiameterSource, Yarn

__all__ = ["Fit", "StandIn", "StandIns", "shorter", "stand_ins"]

_CLOSE_DIAMETER = 0.10
"""Difference of thickness up to which a yarn is close (an assumption, no source).  Yarns of one
category change the width by about 3 % (common practice, no source)."""

_NEAR_DIAMETER = 0.25
"""The same for near: a category up or down is about so much."""

_MOST_PAIRS = 60

_ALIKE = 0.02
"""Yarns whose metres per 100 g differ by less are called as long as each other."""


class Fit(IntEnum):
    """How near a stand-in comes, the nearest first."""

    CLOSE = 1  # same weight category, as thick within a tenth
    NEAR = 2  # a category up or down at most, as thick within a quarter
    FAR = 3  # another yarn altogether

    @property
    def words(self) -> str:
        """The fit as a word."""
        return self.name.lower()


@dataclass(frozen=True, slots=True)
class StandIn:
    """A yarn, or two strands together, that may stand in.

    :param yarn: what it is as one yarn.
    :param strands: the stash yarns that it is made of, one for each strand.
    :param have: metres that there are; of two strands, as far as the shorter reaches.
    :param category_step: categories thicker than what was wanted; below zero for finer.
    :param thickness_part: how much thicker, as a part: 0.08 for 8 %.
    :param length_part: how many more metres in 100 g, as a part.
    :param chance: probability that there is enough; None where no need was given.
    :param reasons: in words, the weightiest first.
    """

    yarn: Yarn
    strands: tuple[StashYarn, ...]
    have: Measured
    fit: Fit
    category_step: int
    thickness_part: float
    length_part: float
    chance: float | None
    reasons: tuple[str, ...]

    @property
    def label(self) -> str:
        """What a maker calls it."""
        return self.yarn.label

    def as_data(self) -> dict[str, object]:
        """The same as plain data."""
        return {
            "yarn": self.label,
            "strands": [strand.yarn.label for strand in self.strands],
            "fit": self.fit.words,
            "category": self.yarn.category,
            "category_step": self.category_step,
            "thickness_part": self.thickness_part,
            "length_part": self.length_part,
            "metres": measured_data(self.have),
            "chance": self.chance,
            "reasons": list(self.reasons),
        }


@dataclass(frozen=True, slots=True)
class StandIns:
    """Every stand-in, the best first.

    :param need: metres that are needed, if that was given.
    """

    wanted: Yarn
    need: Measured | None
    found: tuple[StandIn, ...]

    @property
    def best(self) -> StandIn | None:
        """The first that is not far off and may well be enough, or None."""
        return next(
            (s for s in self.found if s.fit < Fit.FAR and (s.chance is None or s.chance >= 0.5)),
            None,
        )

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """A line for each stand-in with its reasons."""
        need = "" if self.need is None else f" ({format_yarn_length(self.need.value, units)})"
        lines = [f"In place of {self.wanted.label}{need}, the best first:"]
        for number, one in enumerate(self.found, 1):
            have = format_yarn_length(one.have.value, units)
            lines.append(
                f"{number}. {one.label}, {one.fit.words}, {have}: {'; '.join(one.reasons)}."
            )
        if self.best is None:
            lines.append("Nothing in the stash comes near enough.")
        return tuple(lines)

    def as_data(self) -> dict[str, object]:
        """The same as plain data."""
        return {
            "wanted": self.wanted.label,
            "need_m": None if self.need is None else measured_data(self.need),
            "found": [one.as_data() for one in self.found],
        }


def stand_ins(
    wanted: Yarn,
    stash: Sequence[StashYarn],
    need: Measured | None = None,
    *,
    together: bool = True,
    most: int = 20,
) -> StandIns:
    """Which yarns of the stash can stand in, ranked.

    First those that are near enough and of which there is likely enough, then by fit, then by how
    far thickness and metres per 100 g lie off.

    :param need: metres needed, to tell whether there is enough.
    :param together: look at two strands held together as well, where that is near.
    :param most: no more than this many are returned.
    :raises BadInput: for an empty stash, or a need that is not above zero.
    """
    if not stash:
        raise BadInput("there is no yarn in the stash", hint="add a [[yarns]] table for each yarn")
    if need is not None:
        require_positive(need.value, "need")
    found = [_judged(wanted, own.yarn, (own,), own.metres, need) for own in stash]
    if together:
        found += [s for s in _doubled(wanted, stash, need) if s.fit < Fit.FAR]
    return StandIns(wanted, need, tuple(sorted(found, key=_rank)[:most]))


def shorter(one: Measured, other: Measured) -> Measured:
    """The lesser of two independent lengths, as a measurement: as far as both strands reach.

    First two moments of the minimum of two normal values (Clark 1961, from memory).
    """
    spread = math.hypot(one.sd, other.sd)
    if spread == 0:
        return min(one, other, key=lambda m: m.value)
    normal = NormalDist()
    apart = (other.value - one.value) / spread
    first, hump = normal.cdf(apart), normal.pdf(apart)
    mean = one.value * first + other.value * (1 - first) - spread * hump
    square = (
        (one.value**2 + one.sd**2) * first
        + (other.value**2 + other.sd**2) * (1 - first)
        - (one.value + other.value) * spread * hump
    )
    return Measured(mean, math.sqrt(max(square - mean**2, 0.0)))


def _doubled(wanted: Yarn, stash: Sequence[StashYarn], need: Measured | None) -> Iterator[StandIn]:
    for one, other in _promising(wanted, stash, need):
        have = one.metres.scale(0.5) if one is other else shorter(one.metres, other.metres)
        yarn = held_together((one.yarn, other.yarn)).yarn
        yield _judged(wanted, yarn, (one, other), have, need)


def _promising(
    wanted: Yarn, stash: Sequence[StashYarn], need: Measured | None
) -> list[tuple[StashYarn, StashYarn]]:
    """The pairs worth a closer look, as there are very many: no more than :data:`_MOST_PAIRS`.

    By the rules of :mod:`pegwright.yarn.plied` and plain figures, without uncertainties.
    """
    plain = [(y.yarn.wrapped_diameter_mm, y.yarn.tex, y.metres.value) for y in stash]
    need_m = 0.0 if need is None else need.value
    ranked: list[tuple[bool, float, int, int]] = []
    for i, (one_mm, one_tex, one_m) in enumerate(plain):
        for k, (other_mm, other_tex, other_m) in enumerate(plain[i:], i):
            thicker = math.hypot(one_mm, other_mm) / wanted.wrapped_diameter_mm
            if abs(thicker - 1) <= _NEAR_DIAMETER:
                heavier = (one_tex + other_tex) / wanted.tex
                have_m = one_m / 2 if i == k else min(one_m, other_m)
                off = abs(math.log(thicker)) + abs(math.log(heavier))
                ranked.append((have_m < need_m, off, i, k))
    return [(stash[i], stash[k]) for *_, i, k in heapq.nsmallest(_MOST_PAIRS, ranked)]


def _judged(
    wanted: Yarn,
    yarn: Yarn,
    strands: tuple[StashYarn, ...],
    have: Measured,
    need: Measured | None,
) -> StandIn:
    thicker = yarn.wrapped_diameter_mm / wanted.wrapped_diameter_mm - 1
    longer = yarn.metres_per_100g / wanted.metres_per_100g - 1
    step = yarn.category - wanted.category
    chance = None if need is None else chance_at_least(have, need)
    return StandIn(
        yarn,
        strands,
        have,
        _fit(step, thicker),
        step,
        thicker,
        longer,
        chance,
        tuple(_reasons(wanted, yarn, step, thicker, longer, chance)),
    )


def _fit(step: int, thicker: float) -> Fit:
    off = abs(thicker)
    if step == 0 and off <= _CLOSE_DIAMETER:
        return Fit.CLOSE
    return Fit.NEAR if abs(step) <= 1 and off <= _NEAR_DIAMETER else Fit.FAR


def _rank(one: StandIn) -> tuple[bool, bool, int, float, str]:
    off = abs(math.log1p(one.thickness_part)) + abs(math.log1p(one.length_part))
    short = one.chance is not None and one.chance < 0.5
    return (one.fit is Fit.FAR, short, int(one.fit), off, one.label)


def _reasons(
    wanted: Yarn, yarn: Yarn, step: int, thicker: float, longer: float, chance: float | None
) -> Iterator[str]:
    if chance is not None:
        enough = "there is enough" if chance >= SURE else "there is enough only"
        yield (
            f"{enough} {chance_words(chance)}"
            if chance >= 0.5
            else (f"there is too little: it reaches {chance_words(chance)}")
        )
    yield _category_words(wanted, yarn, step)
    lies = change_words(thicker, "thicker", "thinner")
    cloth = "firmer" if thicker > 0 else "more open"
    then = f", so the fabric is {cloth} on the same pegs" if abs(thicker) > _CLOSE_DIAMETER else ""
    yield "it lies as thick" if lies == "the same" else f"it lies {lies}{then}"
    if abs(longer) >= _ALIKE:
        weighs = "lighter" if longer > 0 else "heavier"
        yield f"a length of it is {percent(abs(1 / (1 + longer) - 1))} {weighs}"
    if wanted.fibre and yarn.fibre and _fibre(wanted) != _fibre(yarn):
        yield f"it is {yarn.fibre}, not {wanted.fibre}, so it stretches and washes otherwise"
    if DiameterSource.CATEGORY in (yarn.diameter_source, wanted.diameter_source):
        yield "its thickness or the other's is only typical of the category, so count the wraps"


def _fibre(yarn: Yarn) -> list[str]:
    """The fibre's words; carded or combed, wool is wool."""
    return [w for w in yarn.fibre.casefold().split() if w not in ("carded", "combed")]


def _category_words(wanted: Yarn, yarn: Yarn, step: int) -> str:
    if step == 0:
        return f"it is of the same weight category ({category(yarn.category)})"
    size = "one category" if abs(step) == 1 else f"{abs(step)} categories"
    side = "thicker" if step > 0 else "finer"
    return f"it is {size} {side} ({category(yarn.category)}, not {category(wanted.category)})"
