"""Stripes from odds and ends: what is asked, and what is answered.

Words used here:

* a **join** is where one yarn is cut and the next begins; two tails are left there to weave in;
* a yarn is **usable** as far as it lies at the bottom of its interval and is not reserved for
  seams, cords and edges;
* a **row costs** what it draws at the top of its interval, with the margin added; so a plan holds
  even where both guesses are off against the maker, each as far as the coverage says.  What is
  told of a plan afterwards (metres, grams, what is left) is the likely value with its spread;
* the **part used** of a yarn is what a plan costs of it over what is usable of it;
* the **spread** of a plan is the largest part used less the smallest.

The plan itself is found in :mod:`pegwright.planning.stripe_solver`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from pegwright.errors import BadInput, Place
from pegwright.knitting.stripes import Stripe
from pegwright.measured import Measured
from pegwright.units import (
    UnitSystem,
    format_mass,
    format_number,
    format_yarn_length,
    require_positive,
    require_zero_or_more,
)
from pegwright.yarn.yarn import Yarn

__all__ = [
    "EVEN_TOLERANCE",
    "JOIN_M",
    "MOST_STRIPES",
    "MOST_YARNS",
    "Aim",
    "Status",
    "StripePlan",
    "StripeProblem",
    "StripeYarn",
    "YarnUse",
    "breaches",
    "planned",
]

EVEN_TOLERANCE = 0.005
"""Spreads are told apart to half a hundredth of a yarn: 1 g of 200 g, as a kitchen scale shows."""

JOIN_M = 0.3048
"""Both tails of a join, 6 in each (common practice, no source)."""

MOST_YARNS = 200
"""Most yarns that a plan is made from."""

MOST_STRIPES = 1000
"""Most stripes that a plan may be asked for."""

_CLOSE_M = 1e-5
"""A hundredth of a millimetre of yarn: what rounding of floats may hide, far below any stitch."""


class Aim(StrEnum):
    """What a plan is to be best at."""

    MOST = "most"  # as many rows as the yarns give
    EVEN = "even"  # a given number of rows, and about the same part used of every yarn


class Status(StrEnum):
    """How much is proved of a plan."""

    OPTIMAL = "optimal"  # no plan within the limits is better
    GAP = "gap"  # a better plan is possible, by no more than the gap


@dataclass(frozen=True, slots=True)
class StripeYarn:
    """A yarn that is at hand.

    :param have_g: grams at hand.
    :param row_m: metres in one row of a piece of width 1.
    :param reserve_m: metres to keep for seams, cords and edges; never put into a stripe.
    """

    yarn: Yarn
    have_g: Measured
    row_m: Measured
    reserve_m: float = 0.0


@dataclass(frozen=True, slots=True)
class StripeProblem:
    """What is asked.

    :param rows: rows in all, wanted exactly; needed for :attr:`Aim.EVEN`, and only there.
    :param multiple: rows in all are a multiple of this; 2 for a strip that is folded.
    :param least_rows: fewest rows of a stripe, ``most_rows`` likewise.
    :param most_stripes: most stripes.
    :param mirror: the stripes read the same from either end.
    :param match_ends: the first and the last stripe are alike in yarn and rows.
    :param join_m: metres in the two tails of a join, one of each yarn.  The tails at the very
        beginning and end are one join's more, so every stripe costs this once.
    :param cast_on_rows: what the cast-on takes of the first stripe's yarn, in rows.
    :param pieces: widths of the pieces that all get these stripes, 1 being the width that metres
        per row are given for.  Joins are needed in each.
    :param coverage: see :meth:`pegwright.measured.Measured.interval`.
    :param margin: added to what rows and joins cost, as a fraction.
    :raises BadInput: naming the field to change.
    """

    yarns: tuple[StripeYarn, ...]
    aim: Aim = Aim.MOST
    rows: int | None = None
    multiple: int = 1
    least_rows: int = 2
    most_rows: int = 20
    most_stripes: int = 60
    mirror: bool = False
    match_ends: bool = False
    join_m: float = JOIN_M
    cast_on_rows: float = 1.0
    pieces: tuple[float, ...] = (1.0,)
    coverage: float = 0.9
    margin: float = 0.0

    def __post_init__(self) -> None:
        _check_numbers(self)
        _check_limits(self)
        _check_yarns(self)

    def usable_m(self, index: int) -> float:
        """Metres of a yarn that stripes may take."""
        given = self.yarns[index]
        low_m, _ = given.yarn.length(given.have_g).interval(self.coverage)
        return low_m - given.reserve_m

    def row_cost_m(self, index: int) -> float:
        """Metres of a yarn that a row of all pieces costs."""
        _, high_m = self.yarns[index].row_m.interval(self.coverage)
        return high_m * sum(self.pieces) * (1 + self.margin)

    @property
    def stripe_cost_m(self) -> float:
        """Metres of its yarn that every stripe costs beside its rows."""
        return self.join_m * len(self.pieces) * (1 + self.margin)

    def cost_m(self, index: int, stripes: tuple[Stripe, ...]) -> float:
        """Metres that stripes cost of a yarn, cast-on and tails among them."""
        name = self.yarns[index].yarn.name
        mine = [stripe.rows for stripe in stripes if stripe.yarn == name]
        first = bool(stripes) and stripes[0].yarn == name
        rows = sum(mine) + (self.cast_on_rows if first else 0.0)
        return rows * self.row_cost_m(index) + len(mine) * self.stripe_cost_m

    def parts_used(self, stripes: tuple[Stripe, ...]) -> tuple[float, ...]:
        """The part used of every yarn, 0 to 1."""
        return tuple(
            self.cost_m(index, stripes) / self.usable_m(index) for index in range(len(self.yarns))
        )

    def spread(self, stripes: tuple[Stripe, ...]) -> float:
        """The largest part used less the smallest."""
        used = self.parts_used(stripes)
        return max(used) - min(used)


def _refuse(field: str, what: str, given: object, hint: str) -> BadInput:
    return BadInput(what, given=given, hint=hint, place=Place(field=field))


def _check_numbers(problem: StripeProblem) -> None:
    for field in ("multiple", "least_rows", "most_rows", "most_stripes"):
        number = getattr(problem, field)
        if number < 1:
            raise _refuse(field, "this is a number from 1", number, "use 1 or more")
    if problem.most_stripes > MOST_STRIPES:
        what, hint = "so many stripes cannot be planned", f"use {MOST_STRIPES} or fewer"
        raise _refuse("most_stripes", what, problem.most_stripes, hint)
    for field in ("join_m", "cast_on_rows", "margin"):
        require_zero_or_more(getattr(problem, field), field)
    if problem.margin > 1:
        what = "the margin is a fraction between 0 and 1"
        raise _refuse("margin", what, problem.margin, "write 0.1 for 10 %")
    if not problem.pieces:
        raise _refuse("pieces", "stripes need a piece to lie in", "none", "give one width, as 1")
    for width in problem.pieces:
        require_positive(width, "pieces", hint="give widths in parts of the first, as 1 and 0.5")
    Measured(0.0).interval(problem.coverage)  # refuses a coverage that cannot be


def _check_limits(problem: StripeProblem) -> None:
    least, most, rows = problem.least_rows, problem.most_rows, problem.rows
    if least > most:
        what, given = "the narrowest stripe is wider than the widest", f"{least} to {most} rows"
        raise _refuse("least_rows", what, given, "swap the two limits")
    if rows is None:
        if problem.aim is Aim.EVEN:
            hint = "say how many rows there are in all, or ask for the most"
            raise _refuse("rows", "an even use needs the number of rows", "none", hint)
        return
    if problem.aim is Aim.MOST:
        what = "the most rows and a given number of rows cannot both be asked for"
        hint = "leave the rows out, or ask for an even use"
        raise _refuse("rows", what, f"{rows} rows", hint)
    if rows < least:
        given = f"{rows} rows, stripes of {least} or more"
        hint = f"ask for {least} rows or more, or narrower stripes"
        raise _refuse("rows", "not even one stripe fits into so few rows", given, hint)
    if rows % problem.multiple:
        near = problem.multiple * max(1, round(rows / problem.multiple))
        given = f"{rows} rows, a multiple of {problem.multiple}"
        what = "the rows are not the multiple that they must be"
        raise _refuse("rows", what, given, f"ask for {near} rows")
    if rows > most * problem.most_stripes:
        given = f"{rows} rows in {problem.most_stripes} stripes of up to {most}"
        hint = f"allow {math.ceil(rows / most)} stripes, or wider ones"
        raise _refuse("most_stripes", "so few stripes cannot hold so many rows", given, hint)


def _check_yarns(problem: StripeProblem) -> None:
    if not problem.yarns:
        raise _refuse("yarns", "stripes need a yarn", "none", "give two or more")
    if len(problem.yarns) > MOST_YARNS:
        count = f"{len(problem.yarns)} yarns"
        raise _refuse("yarns", "so many yarns cannot be planned", count, f"give {MOST_YARNS}")
    seen: set[str] = set()
    for index, given in enumerate(problem.yarns):
        name, field = given.yarn.name, f"yarns[{index + 1}]"
        if name in seen:
            raise _refuse(f"{field}.name", "two yarns have the same name", name, "name them apart")
        seen.add(name)
        if given.have_g.value <= 0:
            what, had = f"there must be some of {name}", f"{given.have_g.value:g} g"
            raise _refuse(f"{field}.available", what, had, "weigh it, or leave it out")
        if given.row_m.value <= 0:
            what, row = f"a row of {name} has no length", f"{given.row_m.value:g} m"
            raise _refuse(f"{field}.row_m", what, row, "measure what a row draws")
        require_zero_or_more(given.reserve_m, f"{field}.reserve_m")
        if problem.usable_m(index) <= 0:
            surely_m = problem.usable_m(index) + given.reserve_m
            what = f"nothing of {name} is left for stripes"
            kept = f"{given.reserve_m:g} m reserved, {max(0.0, surely_m):.1f} m surely there"
            raise _refuse(f"{field}.reserve_m", what, kept, "reserve less, or have more of it")


# --- the answer ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class YarnUse:
    """What a plan takes of a yarn: the likely values with their spread.

    :param part_used: see the module; counted at the bounds, as the plan was made.
    """

    yarn: Yarn
    stripes: int
    rows: int
    metres: Measured
    grams: Measured
    left_g: Measured
    part_used: float

    def as_data(self) -> dict[str, object]:
        """As plain data for JSON."""
        return {
            "yarn": self.yarn.name,
            "stripes": self.stripes,
            "rows": self.rows,
            "m": _data(self.metres),
            "g": _data(self.grams),
            "left_g": _data(self.left_g),
            "part_used": self.part_used,
        }


@dataclass(frozen=True, slots=True)
class StripePlan:
    """The stripes of a plan, in order from the cast-on, and what is proved of it.

    :param value: rows in all where the most were asked for, the spread where an even use was.
    :param bound: no plan within the limits does better than this.
    """

    problem: StripeProblem
    stripes: tuple[Stripe, ...]
    uses: tuple[YarnUse, ...]
    value: float
    bound: float
    status: Status

    @property
    def rows(self) -> int:
        """Rows in all."""
        return sum(stripe.rows for stripe in self.stripes)

    @property
    def joins(self) -> int:
        """How often one yarn is cut and another begun, in one piece."""
        return len(self.stripes) - 1

    @property
    def gap(self) -> float:
        """How much better a plan might still be, as a fraction of the rows, or of a yarn."""
        if self.status is Status.OPTIMAL:
            return 0.0
        if self.problem.aim is Aim.EVEN:
            return self.value - self.bound
        return (self.bound - self.value) / self.value

    def words(self, first: UnitSystem) -> str:
        """The plan in lines: what it is, what is proved, every stripe, every yarn."""
        lines = [self.head, self.proof, ""]
        labels = {given.yarn.name: given.yarn.label for given in self.problem.yarns}
        row = 0
        for stripe in self.stripes:
            span = f"{row + 1}" if stripe.rows == 1 else f"{row + 1}–{row + stripe.rows}"
            rows = "Row" if stripe.rows == 1 else "Rows"
            lines.append(f"{rows} {span}: {labels[stripe.yarn]}")
            row += stripe.rows
        lines.append("")
        lines += [_use_words(use, first) for use in self.uses]
        return "\n".join(lines)

    @property
    def head(self) -> str:
        """What it is, in a sentence."""
        joins = {0: "no join", 1: "1 join"}.get(self.joins, f"{self.joins} joins")
        stripes = "1 stripe" if len(self.stripes) == 1 else f"{len(self.stripes)} stripes"
        return f"{stripes}, {self.rows} rows, {joins}."

    @property
    def proof(self) -> str:
        """What is proved of it, in a sentence."""
        used = self.problem.parts_used(self.stripes)
        low, high = (format_number(100 * part, 1) for part in (min(used), max(used)))
        if self.problem.aim is Aim.EVEN:
            text = f"Between {low} and {high} % is used of every yarn; "
            if self.status is Status.OPTIMAL:
                return text + "proved: no plan within the limits is more even."
            return text + (
                f"not proved: the spread of {format_number(100 * self.value, 1)} % might come down "
                f"to {format_number(100 * self.bound, 1)} %."
            )
        if self.status is Status.OPTIMAL:
            return "Proved: no plan within the limits has more rows."
        if not math.isfinite(self.bound):
            return "Not proved: it is not known how many rows there might be."
        return f"Not proved: there might be a plan of up to {format_number(self.bound)} rows."

    def as_data(self) -> dict[str, object]:
        """As plain data for JSON; lengths in m, masses in g."""
        return {
            "aim": str(self.problem.aim),
            "status": str(self.status),
            "value": self.value,
            "bound": self.bound if math.isfinite(self.bound) else None,
            "gap": self.gap if math.isfinite(self.gap) else None,
            "rows": self.rows,
            "joins": self.joins,
            "stripes": [{"yarn": s.yarn, "rows": s.rows} for s in self.stripes],
            "yarns": [use.as_data() for use in self.uses],
        }


def planned(problem: StripeProblem, stripes: tuple[Stripe, ...], bound: float) -> StripePlan:
    """A plan of these stripes, with what it takes of every yarn.

    :param bound: what was proved: most rows, or smallest spread, of any plan within the limits.
    """
    uses = tuple(_use(problem, index, stripes) for index in range(len(problem.yarns)))
    rows = sum(stripe.rows for stripe in stripes)
    if problem.aim is Aim.MOST:
        value, best = float(rows), rows >= bound - 0.5
    else:
        value = problem.spread(stripes)
        best = value <= bound + EVEN_TOLERANCE
    status = Status.OPTIMAL if best else Status.GAP
    return StripePlan(problem, stripes, uses, value, bound, status)


def _use(problem: StripeProblem, index: int, stripes: tuple[Stripe, ...]) -> YarnUse:
    given = problem.yarns[index]
    mine = [stripe.rows for stripe in stripes if stripe.yarn == given.yarn.name]
    first = bool(stripes) and stripes[0].yarn == given.yarn.name
    drawn_rows = sum(mine) + (problem.cast_on_rows if first else 0.0)
    rows_m = given.row_m.scale(drawn_rows * sum(problem.pieces))
    tails_m = len(mine) * problem.join_m * len(problem.pieces)
    metres = Measured(rows_m.value + tails_m, rows_m.sd)
    grams = given.yarn.mass(metres)
    return YarnUse(
        given.yarn,
        len(mine),
        sum(mine),
        metres,
        grams,
        given.have_g - grams,
        problem.cost_m(index, stripes) / problem.usable_m(index),
    )


def breaches(problem: StripeProblem, stripes: tuple[Stripe, ...]) -> tuple[str, ...]:
    """Every limit that stripes break, in words; none where they are a plan."""
    found: list[str] = []
    names = {given.yarn.name for given in problem.yarns}
    total = sum(stripe.rows for stripe in stripes)
    ends = [(s.yarn, s.rows) for s in stripes]
    checks = (
        (bool(stripes), "there is no stripe"),
        (all(s.yarn in names for s in stripes), "a stripe has an unknown yarn"),
        (all(s.rows >= problem.least_rows for s in stripes), "a stripe is too narrow"),
        (all(s.rows <= problem.most_rows for s in stripes), "a stripe is too wide"),
        (len(stripes) <= problem.most_stripes, "there are too many stripes"),
        (all(a != b for (a, _), (b, _) in pairwise(ends)), "two neighbours are alike"),
        (not problem.mirror or ends == ends[::-1], "the stripes are no mirror image"),
        (not problem.match_ends or ends[:1] == ends[-1:], "the ends do not match"),
        (total % problem.multiple == 0, "the rows are not the multiple that they must be"),
        (problem.rows in (None, total), "the rows are not those that were asked for"),
    )
    found += [words for holds, words in checks if not holds]
    for index, given in enumerate(problem.yarns):
        if problem.cost_m(index, stripes) > problem.usable_m(index) + _CLOSE_M:
            found.append(f"there is too little {given.yarn.name}")
    return tuple(found)


def _use_words(use: YarnUse, first: UnitSystem) -> str:
    if not use.stripes:
        return f"{use.yarn.label}: not used."
    stripes = "1 stripe" if use.stripes == 1 else f"{use.stripes} stripes"
    low_g = max(0.0, use.left_g.interval()[0])
    return (
        f"{use.yarn.label}: {stripes}, {use.rows} rows, "
        f"{format_yarn_length(use.metres.value, first)}, {format_mass(use.grams.value, first)}; "
        f"about {format_mass(max(0.0, use.left_g.value), first)} left, "
        f"hardly less than {format_mass(low_g, first)}."
    )


def _data(value: Measured) -> dict[str, float]:
    return {"value": value.value, "sd": value.sd}
