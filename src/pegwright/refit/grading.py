"""The sizes of a design held together: how each fits, and what those need that do not fit."""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.making import Made, SizeRefused
from pegwright.pattern.fit import FitRow, fit_rows
from pegwright.refit.needed import Needed, needed

__all__ = ["FitTable", "Unfit", "fit_table"]


@dataclass(frozen=True, slots=True)
class Unfit:
    """A size that does not fit its board: the exact reason, and what it needs.

    :param needed: a longer board, or panels; None where neither is the remedy.
    """

    refused: SizeRefused
    needed: Needed | None


@dataclass(frozen=True, slots=True)
class FitTable:
    """Body, finished measure and ease of every size that was worked out, and those that were not.

    ``rows`` follow the order of the sizes, and within one that of its finished measurements.
    """

    rows: tuple[FitRow, ...]
    unfit: tuple[Unfit, ...]


def fit_table(made: Made) -> FitTable:
    """The fit of a design's sizes; prove it with ``keep_going`` to see past one that is refused."""
    requests = {size.name: size for size in made.design.sizes}
    unfit = tuple(
        Unfit(refused, needed(made.design, requests[refused.name])) for refused in made.refused
    )
    return FitTable(fit_rows(made.sizes), unfit)
