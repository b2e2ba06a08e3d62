"""Fit: what a body measures, what the finished piece measures, and the ease between the two.

A garment says what each of its finished measurements goes with (:attr:`Plan.body`); a measure that
a size gives under the same name counts too.  **Ease** is finished less body: above zero the piece
is larger.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pegwright.errors import Finding, Severity, Spot
from pegwright.measured import Measured
from pegwright.pattern.source import ProvedSize
from pegwright.pattern.vocabulary import measure_name
from pegwright.tongue.said import say

__all__ = ["FitRow", "fit_rows", "sizes_in_order"]

_HAIR_MM = 1e-6


@dataclass(frozen=True, slots=True)
class FitRow:
    """One measurement of one size.

    :param body_mm: what the body measures there, given or worked out from a given measure.
    :param given: the size gives this measure itself.
    :param finished: what the piece measures, in mm.
    """

    size: str
    name: str
    body_mm: float
    given: bool
    finished: Measured

    @property
    def ease(self) -> Measured:
        """Finished less body, in mm; below zero the piece stretches to fit."""
        return self.finished - self.body_mm


def fit_rows(sizes: Iterable[ProvedSize]) -> tuple[FitRow, ...]:
    """The fit of every size, in the order of the sizes and of their finished measurements."""
    return tuple(
        FitRow(size.name, name, body[name], name in size.measures, finished)
        for size in sizes
        for body in ({**size.plan.body, **size.measures},)
        for name, finished in size.plan.finished.items()
        if name in body
    )


def sizes_in_order(sizes: Sequence[ProvedSize]) -> tuple[Finding, ...]:
    """A note for each size that stands out of order.

    Two sizes can be held against each other where no measure of the one is larger than the other's
    and at least one is smaller.  Neighbours should then stand with the smaller first; and of any
    two, the one for the larger body should not come out smaller anywhere.
    """
    found = [_listed(a, b) for a, b in pairwise(sizes) if _smaller(b, a)]
    for i, one in enumerate(sizes):
        for other in sizes[i + 1 :]:
            low, high = (other, one) if _smaller(other, one) else (one, other)
            if _smaller(low, high):
                found += [_shrunk(low, high, name) for name in _falling(low, high)]
    return tuple(found)


def _smaller(one: ProvedSize, other: ProvedSize) -> bool:
    """Whether a size is for a smaller body, as far as both give the same measures."""
    common = one.measures.keys() & other.measures.keys()
    differences = [other.measures[n] - one.measures[n] for n in common]
    return bool(differences) and min(differences) >= 0 and max(differences) > 0


def _falling(low: ProvedSize, high: ProvedSize) -> list[str]:
    """Finished measurements that are smaller in the size for the larger body."""
    big = high.plan.finished
    return [
        name
        for name, finished in low.plan.finished.items()
        if name in big and big[name].value < finished.value - _HAIR_MM
    ]


def _listed(before: ProvedSize, after: ProvedSize) -> Finding:
    return Finding(
        "sizes-not-in-order",
        Severity.NOTE,
        say(
            "{after} is for a smaller body than {before}, which stands before it",
            after=after.name,
            before=before.name,
        ),
        say("list the sizes from the smallest to the largest, so that a reader finds hers at once"),
        Spot(size=after.name),
    )


def _shrunk(low: ProvedSize, high: ProvedSize, name: str) -> Finding:
    return Finding(
        "sizes-not-in-order",
        Severity.NOTE,
        say(
            "{high} is for a larger body than {low}, but comes out smaller in {measure}",
            high=high.name,
            low=low.name,
            measure=measure_name(name),
        ),
        say("check the measures of both sizes, and any that only one of them gives"),
        Spot(size=high.name),
    )
