"""The model that stripes are found with: counts, not places.

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
from dataclasses import dataclass, field
from enum import Enum

from pegwright.knitting.stripes import Stripe
from pegwright.planning.stripe_order import FREE, order, shared_out
from pegwright.planning.stripes import MOST_STRIPES, Aim, StripeProblem

__all__ = ["Goal", "Model", "Slack", "Terms"]

_FAR_ROWS = 20_000
"""More rows than any piece has, for limits that may give way."""

Terms = list[tuple[int, float]]
"""A sum: variables by their places, and how often each counts."""


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
