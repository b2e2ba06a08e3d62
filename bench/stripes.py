"""Measurements of the stripe planner: twelve yarns over sixty stripes, each form proved."""

from __future__ import annotations

import random
from typing import Any

from bench.harness import Row, median_seconds
from pegwright.measured import Measured
from pegwright.planning.stripe_solver import plan_stripes
from pegwright.planning.stripes import Aim, StripePlan, StripeProblem, StripeYarn
from pegwright.yarn.yarn import Yarn

__all__ = ["rows"]

_FORMS: tuple[dict[str, Any], ...] = ({}, {"mirror": True}, {"match_ends": True})


def rows() -> list[Row]:
    """The area's rows: the slowest of all forms, and the widest gap that is left."""
    plans: list[StripePlan] = []

    def seconds(problem: StripeProblem) -> float:
        return median_seconds(lambda: plans.append(plan_stripes(problem)), repeats=3)

    even = {"aim": Aim.EVEN, "rows": 400}
    slowest = max(seconds(_leftovers(**form, **aim)) for form in _FORMS for aim in ({}, even))
    return [
        Row("yarn.stripes_12x60_s", slowest, "s", 5),
        Row("yarn.stripes_gap_percent", 100 * max(plan.gap for plan in plans), "%", 1),
    ]


def _leftovers(**limits: Any) -> StripeProblem:
    """Twelve leftovers of 15 to 90 g, the same in every run."""
    numbers = random.Random(12)
    yarns = tuple(
        StripeYarn(
            Yarn(f"leftover {i}", 4, numbers.uniform(140, 220), invented=True),
            Measured(numbers.uniform(15, 90), 0.3),
            Measured(numbers.uniform(1.5, 2.2), 0.05),
        )
        for i in range(12)
    )
    return StripeProblem(yarns, most_rows=10, most_stripes=60, **limits)
