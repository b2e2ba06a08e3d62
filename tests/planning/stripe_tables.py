"""Small problems of stripes, and the plain way to solve them: try every sequence there is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pegwright.knitting.stripes import Stripe
from pegwright.measured import Measured
from pegwright.planning.stripes import Aim, StripeProblem, StripeYarn, breaches
from pegwright.yarn.yarn import Yarn

NAMES = ("rust", "slate", "hemp", "white", "teak", "red")


def problem(metres: list[float], row_m: list[float] | None = None, **limits: Any) -> StripeProblem:
    """Yarns of so many metres each, exactly known; a row draws 1 m where nothing is said."""
    rows = row_m or [1.0] * len(metres)
    yarns = tuple(
        StripeYarn(
            Yarn(name, 4, 100.0, 0.0, colour="", invented=True),
            Measured(have),  # 100 m in 100 g: a gram is a metre
            Measured(row),
        )
        for name, have, row in zip(NAMES, metres, rows, strict=False)
    )
    limits = {"join_m": 0.0, "cast_on_rows": 0.0, "least_rows": 1, **limits}
    return StripeProblem(yarns, **limits)


def sequences(problem: StripeProblem) -> Iterator[tuple[Stripe, ...]]:
    """Every sequence of stripes within the limits of width and number."""
    names = [given.yarn.name for given in problem.yarns]

    def longer(before: tuple[Stripe, ...]) -> Iterator[tuple[Stripe, ...]]:
        if problem.rows is not None and sum(s.rows for s in before) > problem.rows:
            return
        if before:
            yield before
        if len(before) == problem.most_stripes:
            return
        for name in names:
            for rows in range(problem.least_rows, problem.most_rows + 1):
                stripes = (*before, Stripe(name, rows))
                index = names.index(name)
                if problem.cost_m(index, stripes) <= problem.usable_m(index) + 1e-6:
                    yield from longer(stripes)

    yield from longer(())


def best_by_trying(problem: StripeProblem) -> float | None:
    """Most rows, or the smallest spread, of all sequences; None where no sequence will do."""
    values = [
        float(sum(s.rows for s in stripes)) if problem.aim is Aim.MOST else problem.spread(stripes)
        for stripes in sequences(problem)
        if not breaches(problem, stripes)
    ]
    if not values:
        return None
    return max(values) if problem.aim is Aim.MOST else min(values)
