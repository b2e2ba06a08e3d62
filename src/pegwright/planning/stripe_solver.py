"""Finds stripes: solves the model of counts, and tells what is proved of the answer.

The model and why it loses nothing: :mod:`pegwright.planning.stripe_model`.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from pegwright.errors import NotPossible
from pegwright.planning.stripe_model import Goal, Model
from pegwright.planning.stripe_relax import no_stripes
from pegwright.planning.stripe_search import Progress, SolverMissing, StripeProgress, solve
from pegwright.planning.stripes import EVEN_TOLERANCE, Aim, StripePlan, StripeProblem, planned

__all__ = ["Progress", "SolverMissing", "StripeProgress", "plan_stripes"]

_TIDY_SHARE = 0.25
"""Part of the time that may be spent on fewer joins once the best plan is known."""

_TIDY_NODES = 3000
"""Most branches looked at for fewer joins, so that a slow machine finds the same as a fast one."""


_TIDY_SPREAD = 0.9 * EVEN_TOLERANCE
"""How far the spread may stay from the proved bound for the sake of fewer joins."""


def plan_stripes(
    problem: StripeProblem,
    *,
    time_limit_s: float = 30.0,
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> StripePlan:
    """The best stripes within the limits, with what is proved of them.

    :param time_limit_s: after so many seconds the best plan so far is given, with its gap.
    :param progress: told from time to time how far the search has come.
    :param cancelled: asked from time to time; where it says True, the best plan so far is given.
    :raises NoStripes: where no plan keeps the limits; it names the limits to change, and by how
        much (see :mod:`pegwright.planning.stripe_relax`).
    :raises NotPossible: where it was stopped before any plan was found.
    :raises SolverMissing: where the solver is not installed.
    """
    end = time.perf_counter() + time_limit_s
    model = Model(problem)
    best = solve(model, time_limit_s, progress, cancelled)
    if best.infeasible:
        raise no_stripes(problem)
    if best.counts is None:
        raise NotPossible(
            "the search was stopped before a plan was found",
            given=f"{time_limit_s:g} s",
            hint="give it longer",
        )
    plan = planned(problem, model.stripes(best.counts), best.bound)
    left_s = min(end - time.perf_counter(), _TIDY_SHARE * time_limit_s)
    if left_s <= 0 or (cancelled is not None and cancelled()):
        return plan
    return _tidied(problem, plan, left_s, cancelled)


def _tidied(
    problem: StripeProblem,
    plan: StripePlan,
    seconds: float,
    cancelled: Callable[[], bool] | None,
) -> StripePlan:
    """The same plan, or one as good with fewer joins."""
    kept = plan.value
    if problem.aim is Aim.EVEN:
        kept = max(kept, plan.bound + _TIDY_SPREAD)
    model = Model(problem, Goal.FEWEST, kept)
    found = solve(model, seconds, None, cancelled, nodes=_TIDY_NODES)
    if found.counts is None:
        return plan
    tidy = planned(problem, model.stripes(found.counts), plan.bound)
    return tidy if tidy.status is plan.status and tidy.joins < plan.joins else plan
