"""The solver of stripe models: how it is asked, listened to and read.

The search is one of mixed integers, by branch and bound; the bound is what proves an answer.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pegwright.errors import PegwrightError
from pegwright.planning.stripe_model import Goal, Model
from pegwright.planning.stripes import EVEN_TOLERANCE, Aim

if TYPE_CHECKING:
    import highspy

__all__ = ["Found", "Progress", "SolverMissing", "StripeProgress", "solve"]


class SolverMissing(PegwrightError):
    """The solver is not installed."""


@dataclass(frozen=True, slots=True)
class StripeProgress:
    """How far the search has come.

    :param value: the best plan so far (rows, or spread), or None where none is found yet.
    :param bound: no plan is better than this, as far as is proved.
    """

    seconds: float
    value: float | None
    bound: float | None

    def words(self, aim: Aim) -> str:
        """The best so far, and what no plan is better than; empty where there is none yet."""
        if self.value is None:
            return ""
        if aim is Aim.MOST:
            words = f"{self.value:.0f} rows so far"
            return words + ("" if self.bound is None else f", at most {self.bound:.0f}")
        words = f"a spread of {100 * self.value:.1f} % so far"
        if self.bound is None:
            return words
        return f"{words}, at least {100 * max(0.0, self.bound):.1f} %"


Progress = Callable[[StripeProgress], None]


@dataclass(frozen=True, slots=True)
class Found:
    """What the solver gives: the values of all variables, or None; its bound; how it ended."""

    counts: list[int] | None
    exact: list[float] | None
    bound: float
    infeasible: bool


def solve(
    model: Model,
    seconds: float,
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
    nodes: int | None = None,
) -> Found:
    """Solve a model within so many seconds."""
    highs, solver = _solver()
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("random_seed", 0)
    highs.setOptionValue("time_limit", max(seconds, 0.0))
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_abs_gap", _abs_gap(model))
    if nodes is not None:
        highs.setOptionValue("mip_max_nodes", nodes)
    _fill(highs, solver, model)
    _listen(highs, progress, cancelled, time.perf_counter())
    highs.run()
    return _found(highs, solver, model)


def _solver() -> tuple[Any, Any]:
    """A solver that says nothing on the screen, and the module of its words."""
    try:
        import highspy
    except ImportError:
        raise SolverMissing(
            "planning stripes needs a solver that is not installed",
            hint='pip install "pegwright[plan]"',
        ) from None

    class Quiet(highspy.Highs):
        """Says nothing: it would greet while it is made, before it can be told not to."""

        def enableCallbacks(self) -> None:  # noqa: N802 - the solver's own name
            self.setOptionValue("output_flag", False)
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    return Quiet(), highspy  # type: ignore[no-untyped-call]


def _abs_gap(model: Model) -> float:
    """How near the bound must come for a plan to be proved."""
    if model.goal is Goal.BEST and not model.maximise:
        return EVEN_TOLERANCE / 2
    return 1e-4 if model.goal is Goal.MENDED else 0.5


def _fill(highs: Any, solver: Any, model: Model) -> None:
    import numpy as np

    lp = solver.HighsLp()
    lp.num_col_, lp.num_row_ = len(model.lower), len(model.constraints)
    lp.col_cost_ = np.array(model.objective)
    lp.col_lower_, lp.col_upper_ = np.array(model.lower), np.array(model.upper)
    lp.row_lower_ = np.array([low for low, _, _ in model.constraints])
    lp.row_upper_ = np.array([high for _, high, _ in model.constraints])
    lp.a_matrix_.format_ = solver.MatrixFormat.kRowwise
    starts, index, value = [0], [], []
    for _, _, terms in model.constraints:
        whole: dict[int, float] = {}
        for column, times in terms:
            whole[column] = whole.get(column, 0.0) + times
        index += list(whole)
        value += list(whole.values())
        starts.append(len(index))
    lp.a_matrix_.start_ = np.array(starts)
    lp.a_matrix_.index_ = np.array(index)
    lp.a_matrix_.value_ = np.array(value, dtype=float)
    kinds = (solver.HighsVarType.kContinuous, solver.HighsVarType.kInteger)
    lp.integrality_ = [kinds[whole] for whole in model.whole]
    lp.sense_ = solver.ObjSense.kMaximize if model.maximise else solver.ObjSense.kMinimize
    highs.passModel(lp)


def _listen(
    highs: Any,
    progress: Progress | None,
    cancelled: Callable[[], bool] | None,
    start: float,
) -> None:
    """Ask and tell while the solver works."""
    if progress is None and cancelled is None:
        return
    told = [0.0]

    def asked(event: highspy.highs.HighsCallbackEvent) -> None:
        if cancelled is not None and cancelled():
            event.interrupt()
        now = time.perf_counter()
        if progress is not None and now - told[0] >= 0.1:
            told[0] = now
            value, bound = event.data_out.mip_primal_bound, event.data_out.mip_dual_bound
            progress(StripeProgress(now - start, _sure(value), _sure(bound)))

    highs.cbMipInterrupt += asked
    highs.cbSimplexInterrupt += asked


def _sure(value: float) -> float | None:
    return value if abs(value) < 1e15 else None


def _found(highs: Any, solver: Any, model: Model) -> Found:
    status, info = highs.getModelStatus(), highs.getInfo()
    infeasible = status in (
        solver.HighsModelStatus.kInfeasible,
        solver.HighsModelStatus.kUnboundedOrInfeasible,
    )
    has_one = info.primal_solution_status == solver.SolutionStatus.kSolutionStatusFeasible
    bound = float(info.mip_dual_bound)
    if model.maximise:
        bound = float(math.floor(bound + 1e-6)) if math.isfinite(bound) else math.inf
    else:
        bound = max(0.0, bound)
    if infeasible or not has_one:
        return Found(None, None, bound, infeasible)
    exact = [float(value) for value in highs.getSolution().col_value]
    return Found([round(value) for value in exact], exact, bound, infeasible)
