"""Finds stripes: a small exact model of counts, then an order for them.

Whether a plan exists, and how good it is, depends only on how many stripes and how many rows each
yarn has, which yarn lies at the ends, and (mirrored) which in the middle:

* what a yarn costs is a sum over its rows, its stripes and the cast-on;
* an order without neighbours alike exists under conditions on the counts alone, which are proved
  in :mod:`pegwright.planning.stripe_order`;
* rows between ``least × stripes`` and ``most × stripes`` can always be shared out over the stripes
  within the limits.

So the model has a handful of whole numbers a yarn instead of sixty places for every yarn, and loses
nothing: each of its answers is worked out to stripes, and every plan has its counts in the model.

**Plain.**  The first stripe's yarn f is chosen for the cast-on; the other end is free.
**Matching ends.**  Both ends are of yarn f and e rows; the stripes between them are counted.
**Mirrored.**  Pairs of stripes are counted, from the middle stripe of yarn m out to the outermost
pair of yarn f.  There is always a middle: without one, two alike would meet.
A plan of one stripe alone fits neither of the last two, so it has numbers of its own.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING, Any

from pegwright.errors import NotPossible, PegwrightError
from pegwright.knitting.stripes import Stripe
from pegwright.planning.stripe_order import FREE, order, shared_out
from pegwright.planning.stripes import (
    EVEN_TOLERANCE,
    MOST_STRIPES,
    Aim,
    StripePlan,
    StripeProblem,
    planned,
)

if TYPE_CHECKING:
    import highspy

__all__ = [
    "Found",
    "Goal",
    "Model",
    "Progress",
    "Slack",
    "SolverMissing",
    "StripeProgress",
    "plan_stripes",
    "solve",
]

_TIDY_SHARE = 0.25
"""Part of the time that may be spent on fewer joins once the best plan is known."""

_TIDY_NODES = 3000
"""Most branches looked at for fewer joins, so that a slow machine finds the same as a fast one."""


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


_FAR_ROWS = 20_000
"""More rows than any piece has, for limits that may give way."""

_TIDY_SPREAD = 0.9 * EVEN_TOLERANCE
"""How far the spread may stay from the proved bound for the sake of fewer joins."""

Progress = Callable[[StripeProgress], None]

Terms = list[tuple[int, float]]


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
        from pegwright.planning.stripe_relax import no_stripes

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


# --- the model -----------------------------------------------------------------------------------


@dataclass(slots=True)
class _YarnVars:
    """A yarn's numbers: places of its variables in the model; −1 where the form has none."""

    stripes: int = -1
    rows: int = -1
    first: int = -1
    end_rows: int = -1
    middle: int = -1
    middle_rows: int = -1
    single: int = -1
    single_rows: int = -1
    cost: Terms = field(default_factory=list)
    all_rows: Terms = field(default_factory=list)
    all_stripes: Terms = field(default_factory=list)


class Goal(Enum):
    """What a model is to be solved for."""

    BEST = "best"  # what the problem asks for
    FEWEST = "fewest"  # fewest stripes, of plans that are as good as a given value
    ANY = "any"  # any plan at all
    MENDED = "mended"  # the least change of the limits that may give way


@dataclass(frozen=True, slots=True)
class Slack:
    """A limit that may give way: the variable of how far, and its price a unit."""

    name: str
    column: int
    yarn: int = -1


class Model:
    """The model as columns and rows of numbers, ready for the solver.

    :param as_good_as: for fewest stripes, the value to keep: rows, or the spread.
    :param relax: for mending, the limits that may give way, each at a price: ``rows``, ``yarn``,
        ``least_rows``, ``most_rows``, ``most_stripes``.
    """

    def __init__(
        self,
        problem: StripeProblem,
        goal: Goal = Goal.BEST,
        as_good_as: float = 0.0,
        relax: frozenset[str] = frozenset(),
    ) -> None:
        self.problem = problem
        self.goal = goal
        self.relax = relax
        self.lower: list[float] = []
        self.upper: list[float] = []
        self.whole: list[bool] = []
        self.objective: list[float] = []
        self.constraints: list[tuple[float, float, Terms]] = []
        self.slacks: list[Slack] = []
        self.maximise = problem.aim is Aim.MOST and goal is Goal.BEST
        self._most = MOST_STRIPES if "most_stripes" in relax else problem.most_stripes
        self.yarns = [_YarnVars() for _ in problem.yarns]
        if problem.mirror:
            self._mirrored()
        elif problem.match_ends:
            self._matching()
        else:
            self._plain()
        self._together(as_good_as)

    # -- building blocks --------------------------------------------------------------------------

    def variable(self, low: float, high: float, *, whole: bool = True, price: float = 0.0) -> int:
        """A new variable; gives its place."""
        self.lower.append(low)
        self.upper.append(high)
        self.whole.append(whole)
        self.objective.append(price)
        return len(self.lower) - 1

    def require(self, low: float, terms: Terms, high: float) -> None:
        """A sum must lie between two bounds, both included."""
        self.constraints.append((low, high, terms))

    def at_most(self, terms: Terms, high: float = 0.0) -> None:
        """A sum must not go beyond a bound."""
        self.require(-math.inf, terms, high)

    def _slack(self, name: str, price: float, most: float, *, whole: bool = True, yarn: int = -1
               ) -> int:  # fmt: skip
        column = self.variable(0, most, whole=whole, price=price)
        self.slacks.append(Slack(name, column, yarn))
        return column

    def _rows_of(self, stripes: int, most_stripes: int) -> int:
        """Rows of so many stripes, each within the limits of width."""
        least, most = self.problem.least_rows, self.problem.most_rows
        relaxed = self.relax & {"least_rows", "most_rows"}
        top = max(most_stripes * most, _FAR_ROWS if relaxed else 0)
        rows = self.variable(0, top)
        under: Terms = [(stripes, least), (rows, -1)]
        over: Terms = [(rows, 1), (stripes, -most)]
        if "least_rows" in self.relax:
            under.append((self._slack("least_rows", 1.0, top), -1))
            self.at_most([(stripes, 1), (rows, -1)])  # a stripe still has a row
        if "most_rows" in self.relax:
            over.append((self._slack("most_rows", 1.0, top), -1))
            self.at_most([(rows, 1), (stripes, -top)])  # and rows need a stripe
        self.at_most(under)
        self.at_most(over)
        return rows

    def _choice(self) -> tuple[int, int]:
        """Whether something is chosen, and its rows, within the limits of width."""
        chosen = self.variable(0, 1)
        return chosen, self._rows_of(chosen, 1)

    def _halved(self, terms: Terms, add: float, most: int) -> tuple[int, int]:
        """Whole q and odd o with terms + add = 2 q + o."""
        q, o = self.variable(0, most), self.variable(0, 1)
        self.require(-add, [*terms, (q, -2), (o, -1)], -add)
        return q, o

    def _add(self, yarn: _YarnVars, rows: int, times: int, stripes: int) -> None:
        yarn.all_rows.append((rows, times))
        yarn.all_stripes.append((stripes, times))

    # -- the three forms --------------------------------------------------------------------------

    def _plain(self) -> None:
        most = self._most
        for yarn in self.yarns:
            yarn.stripes = self.variable(0, (most + 1) // 2)
            yarn.rows = self._rows_of(yarn.stripes, (most + 1) // 2)
            yarn.first = self.variable(0, 1)
            self._add(yarn, yarn.rows, 1, yarn.stripes)
            self.at_most([(yarn.first, 1), (yarn.stripes, -1)])
        self._one([(y.first, 1) for y in self.yarns])
        # After the first stripe, N = n − 1 = 2 q + o places, the right end free.
        q, o = self._halved([(y.stripes, 1) for y in self.yarns], -1, most)
        for yarn in self.yarns:
            self.at_most([(yarn.stripes, 1), (q, -1)], 1)
            self.at_most([(yarn.stripes, 1), (q, -1), (o, -1), (yarn.first, -1)])

    def _one(self, terms: Terms) -> None:
        self.require(1, terms, 1)

    def _single(self) -> Terms:
        """A plan of a single stripe; gives the terms of whether there is one."""
        for yarn in self.yarns:
            yarn.single, yarn.single_rows = self._choice()
            self._add(yarn, yarn.single_rows, 1, yarn.single)
        return [(y.single, 1) for y in self.yarns]

    def _matching(self) -> None:
        most = self._most
        single = self._single()
        for yarn in self.yarns:
            yarn.stripes = self.variable(0, most // 2)
            yarn.rows = self._rows_of(yarn.stripes, most // 2)
            yarn.first, yarn.end_rows = self._choice()
            self._add(yarn, yarn.rows, 1, yarn.stripes)
            self._add(yarn, yarn.end_rows, 2, yarn.first)
        self._one([*((y.first, 1) for y in self.yarns), *single])
        # Between the ends, N = 2 q + o places; with a single stripe there are none.
        between: Terms = [(y.stripes, 1) for y in self.yarns]
        q, o = self._halved(between, 0, most)
        self.require(1, [*between, *single], math.inf)
        self.at_most([*between, *((s, most) for s, _ in single)], most)
        for yarn in self.yarns:
            self.at_most([(yarn.stripes, 1), (q, -1), (o, -1), (yarn.first, 1)])

    def _mirrored(self) -> None:
        most = self._most // 2
        single = self._single()
        for yarn in self.yarns:
            yarn.stripes = self.variable(0, most)
            yarn.rows = self._rows_of(yarn.stripes, most)
            yarn.first = self.variable(0, 1)
            yarn.middle, yarn.middle_rows = self._choice()
            self._add(yarn, yarn.rows, 2, yarn.stripes)
            self._add(yarn, yarn.middle_rows, 1, yarn.middle)
            self.at_most([(yarn.first, 1), (yarn.stripes, -1)])
        self._one([*((y.first, 1) for y in self.yarns), *single])
        self._one([*((y.middle, 1) for y in self.yarns), *single])
        # From the middle to the outermost pair, N = h − 1 = 2 q + o places for h pairs.
        pairs: Terms = [(y.stripes, 1) for y in self.yarns]
        self.at_most([*pairs, *((s, most) for s, _ in single)], most)
        q, o = self._halved([*pairs, *single], -1, most)
        for y in self.yarns:
            # d = pairs less the outermost.  Bounds of pairs: q + o where y is neither or both, q
            # where it is the middle, q + 1 where it is outermost; see the module of orders.
            self.at_most([(y.stripes, 1), (q, -1)], 1)
            self.at_most([(y.stripes, 1), (q, -1), (o, -1), (y.first, -1)])
            self.at_most([(y.stripes, 1), (q, -1), (y.middle, 1), (y.first, -1)], 1)
            self.at_most([(y.stripes, 1), (q, -1), (o, -1), (y.middle, 1)], 1)

    # -- limits and aims --------------------------------------------------------------------------

    def _together(self, as_good_as: float) -> None:
        problem = self.problem
        stripes = [term for y in self.yarns for term in y.all_stripes]
        rows = [term for y in self.yarns for term in y.all_rows]
        limit = list(stripes)
        if "most_stripes" in self.relax:
            limit.append((self._slack("most_stripes", 1.0, self._most), -1))
        self.at_most(limit, problem.most_stripes)
        self._row_limits(rows)
        for index, yarn in enumerate(self.yarns):
            self._usable(index, yarn)
        if self.goal is Goal.FEWEST:
            self._count(stripes)
        if self.goal in (Goal.ANY, Goal.MENDED):
            return
        if problem.aim is Aim.EVEN:
            self._even(as_good_as)
        elif self.goal is Goal.FEWEST:
            self.require(as_good_as, rows, math.inf)
        else:
            self._count(rows)

    def _count(self, terms: Terms) -> None:
        """Make a sum part of what is made small, or large."""
        for column, times in terms:
            self.objective[column] += times

    def _row_limits(self, rows: Terms) -> None:
        problem = self.problem
        multiple = problem.multiple
        if problem.rows is None:
            if multiple > 1:
                times = self.variable(0, 1_000_000)
                self.require(0, [*rows, (times, -multiple)], 0)
            return
        wanted = list(rows)
        if "rows" in self.relax:
            fewer = self._slack("rows", float(multiple), problem.rows // multiple)
            more = self._slack("more_rows", float(multiple), problem.rows // multiple)
            wanted += [(fewer, multiple), (more, -multiple)]
        self.require(problem.rows, wanted, problem.rows)

    def _usable(self, index: int, yarn: _YarnVars) -> None:
        problem = self.problem
        row_m, stripe_m = problem.row_cost_m(index), problem.stripe_cost_m
        first_m = problem.cast_on_rows * row_m
        yarn.cost = [
            *((column, times * row_m) for column, times in yarn.all_rows),
            *((column, times * stripe_m) for column, times in yarn.all_stripes),
        ]
        yarn.cost += [(c, first_m) for c in (yarn.first, yarn.single) if c >= 0]
        terms = list(yarn.cost)
        if "yarn" in self.relax:
            price = 100.0 / problem.yarns[index].yarn.metres_per_100g  # grams count, not metres
            terms.append((self._slack("yarn", price, 1e6, whole=False, yarn=index), -1))
        self.at_most(terms, problem.usable_m(index))

    def _even(self, as_good_as: float) -> None:
        """The parts used lie between two bounds; their distance is made small, or kept."""
        price = 1.0 if self.goal is Goal.BEST else 0.0
        low = self.variable(0, 1, whole=False, price=-price)
        high = self.variable(0, 1, whole=False, price=price)
        for index, yarn in enumerate(self.yarns):
            usable = self.problem.usable_m(index)
            part = [(column, metres / usable) for column, metres in yarn.cost]
            self.at_most([(low, 1), *((c, -v) for c, v in part)])
            self.at_most([*part, (high, -1)])
        self.at_most([(low, 1), (high, -1)])
        if self.goal is Goal.FEWEST:
            self.at_most([(high, 1), (low, -1)], as_good_as)

    # -- back to stripes --------------------------------------------------------------------------

    def stripes(self, values: list[int]) -> tuple[Stripe, ...]:
        """The stripes of an answer: an order for its counts, and its rows shared out."""

        def at(column: int) -> int:
            return values[column] if column >= 0 else 0

        names = [given.yarn.name for given in self.problem.yarns]
        for name, yarn in zip(names, self.yarns, strict=True):
            if at(yarn.single):
                return (Stripe(name, at(yarn.single_rows)),)
        counts = [at(yarn.stripes) for yarn in self.yarns]
        first = next(i for i, yarn in enumerate(self.yarns) if at(yarn.first))
        widths = [
            list(shared_out(at(y.rows), n)) if n else []
            for y, n in zip(self.yarns, counts, strict=True)
        ]

        def laid(yarns: tuple[int, ...]) -> tuple[Stripe, ...]:
            return tuple(Stripe(names[y], widths[y].pop(0)) for y in yarns)

        if self.problem.mirror:
            middle = next(i for i, yarn in enumerate(self.yarns) if at(yarn.middle))
            counts[first] -= 1
            half = laid((*order(counts, middle, first), first))
            centre = Stripe(names[middle], at(self.yarns[middle].middle_rows))
            return (*reversed(half), centre, *half)
        if self.problem.match_ends:
            end = Stripe(names[first], at(self.yarns[first].end_rows))
            return (end, *laid(order(counts, first, first)), end)
        counts[first] -= 1
        return laid((first, *order(counts, first, FREE)))


# --- the solver ----------------------------------------------------------------------------------


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
