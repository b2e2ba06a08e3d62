"""Which limit to change where no stripes keep all of them, and by how much.

Every limit is first let go alone, and the least change of it that makes a plan possible is found.
Whatever suffices alone is named, as one of several ways out.  Where no single change does, the
limits give way together, each at a price (a row, a stripe and a gram cost the same), and the
cheapest combination is named.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from pegwright.errors import NotPossible, Place
from pegwright.planning.stripe_model import Goal, Model
from pegwright.planning.stripe_search import solve
from pegwright.planning.stripes import MOST_STRIPES, Aim, StripeProblem

__all__ = ["NoStripes", "Relaxation", "no_stripes", "ways_out"]

_SECONDS = 4.0
"""Time for one look at whether a plan is possible; each takes milliseconds."""

_WIDEST = 2_000
"""Rows of the widest stripe that is ever proposed."""

_TOGETHER = frozenset({"rows", "yarn", "least_rows", "most_rows", "most_stripes"})


@dataclass(frozen=True, slots=True)
class Relaxation:
    """A change of one limit.

    :param limit: the field of the problem: ``rows``, ``most_stripes``, ``mirror`` …; for grams
        ``yarns``.
    :param amount: by how much it changes: rows, stripes or grams; 1 where it is given up.
    :param words: the change as advice, such as ``ask for 186 rows instead of 200``.
    :param yarn: the yarn's name, where grams are wanted.
    :param to: what the limit becomes, where it is a number.
    """

    limit: str
    amount: float
    words: str
    yarn: str | None = None
    to: int | None = None

    def as_data(self) -> dict[str, object]:
        """As plain data for JSON."""
        return {
            "limit": self.limit,
            "amount": self.amount,
            "words": self.words,
            "yarn": self.yarn,
        }


class NoStripes(NotPossible):
    """No stripes keep the limits.

    ``ways`` are the ways out: every one is a tuple of changes to be made together.
    """

    def __init__(self, ways: tuple[tuple[Relaxation, ...], ...], given: str) -> None:
        self.ways = ways
        said = [" and ".join(change.words for change in way) for way in ways]
        hint = "; or ".join(said) if said else "ask for less"
        field = ways[0][0].limit if ways else None
        super().__init__(
            "no stripes keep all of these limits",
            given=given,
            hint=hint,
            place=Place(field=field) if field else None,
        )

    def as_data(self) -> dict[str, object]:
        """As every error's, with ``ways``: lists of changes that together make it possible."""
        ways = [[change.as_data() for change in way] for way in self.ways]
        return {**super().as_data(), "ways": ways}


def no_stripes(problem: StripeProblem) -> NoStripes:
    """The error for a problem without a plan, with the ways out of it."""
    return NoStripes(ways_out(problem), _given(problem))


def _given(problem: StripeProblem) -> str:
    count = len(problem.yarns)
    parts = [
        "1 yarn" if count == 1 else f"{count} yarns",
        f"{problem.rows} rows" if problem.rows else "the most rows",
        f"up to {problem.most_stripes} stripes of {problem.least_rows} to {problem.most_rows} rows",
    ]
    parts += ["mirrored"] if problem.mirror else []
    parts += ["matching ends"] if problem.match_ends and not problem.mirror else []
    parts += [f"a multiple of {problem.multiple} rows"] if problem.multiple > 1 else []
    return ", ".join(parts)


def ways_out(problem: StripeProblem) -> tuple[tuple[Relaxation, ...], ...]:
    """Every single change that makes a plan possible; else the cheapest combination."""
    alone = tuple(
        way
        for look in (_rows, _grams, _widest, _narrowest, _count, _symmetry)
        for way in look(problem)
    )
    if alone:
        return alone
    together = _mended(problem, _TOGETHER)
    return (together,) if together else ()


def _possible(problem: StripeProblem) -> bool:
    return solve(Model(problem, Goal.ANY), _SECONDS).counts is not None


def _mended(problem: StripeProblem, limits: frozenset[str]) -> tuple[Relaxation, ...]:
    """The cheapest changes of these limits, or none where they do not suffice."""
    model = Model(problem, Goal.MENDED, relax=limits)
    found = solve(model, _SECONDS)
    if found.counts is None or found.exact is None:
        return ()
    whole, exact = found.counts, found.exact
    changes: list[Relaxation] = []
    used = {(s.name, s.yarn): exact[s.column] for s in model.slacks}
    fewer, more = (round(used.get((name, -1), 0)) for name in ("rows", "more_rows"))
    if problem.rows is not None and fewer != more:
        changes.append(_rows_change(problem, problem.rows + problem.multiple * (more - fewer)))
    for (name, index), metres in used.items():
        if name == "yarn" and metres > 1e-4:
            changes.append(_grams_change(problem, index, metres))
    stripes = sum(whole[c] * int(t) for y in model.yarns for c, t in y.all_stripes)
    if stripes > problem.most_stripes:
        changes.append(_count_change(problem, stripes))
    if limits & {"least_rows", "most_rows"}:
        widths = [stripe.rows for stripe in model.stripes(whole)]
        if max(widths) > problem.most_rows:
            changes.append(_widest_change(problem, max(widths)))
        if min(widths) < problem.least_rows:
            changes.append(_narrowest_change(problem, min(widths)))
    return tuple(changes)


# --- one limit at a time -------------------------------------------------------------------------


def _rows(problem: StripeProblem) -> Iterator[tuple[Relaxation, ...]]:
    if problem.rows is not None and (found := _mended(problem, frozenset({"rows"}))):
        yield found


def _grams(problem: StripeProblem) -> Iterator[tuple[Relaxation, ...]]:
    if found := _mended(problem, frozenset({"yarn"})):
        yield found


def _widest(problem: StripeProblem) -> Iterator[tuple[Relaxation, ...]]:
    def wider(rows: int) -> StripeProblem:
        return replace(problem, most_rows=rows)

    rows = _first(problem.most_rows + 1, min(_WIDEST, problem.rows or _WIDEST), wider)
    if rows is not None:
        yield (_widest_change(problem, rows),)


def _narrowest(problem: StripeProblem) -> Iterator[tuple[Relaxation, ...]]:
    def narrower(by: int) -> StripeProblem:
        return replace(problem, least_rows=problem.least_rows - by)

    by = _first(1, problem.least_rows - 1, narrower)
    if by is not None:
        yield (_narrowest_change(problem, problem.least_rows - by),)


def _count(problem: StripeProblem) -> Iterator[tuple[Relaxation, ...]]:
    def more(stripes: int) -> StripeProblem:
        return replace(problem, most_stripes=stripes)

    far = min(MOST_STRIPES, problem.rows or MOST_STRIPES)
    stripes = _first(problem.most_stripes + 1, far, more)
    if stripes is not None:
        yield (_count_change(problem, stripes),)


def _symmetry(problem: StripeProblem) -> Iterator[tuple[Relaxation, ...]]:
    if problem.mirror and _possible(replace(problem, mirror=False)):
        yield (Relaxation("mirror", 1, "let the stripes be no mirror image"),)
    if problem.match_ends and not problem.mirror and _possible(replace(problem, match_ends=False)):
        yield (Relaxation("match_ends", 1, "let the two ends differ"),)
    if problem.multiple > 1 and problem.aim is Aim.MOST:
        free = replace(problem, multiple=1)
        if _possible(free):
            words = f"give up the multiple of {problem.multiple} rows"
            yield (Relaxation("multiple", problem.multiple - 1, words, to=1),)


def _first(low: int, high: int, make: Callable[[int], StripeProblem]) -> int | None:
    """The first number from low to high with a plan, where every later one has a plan too."""
    if low > high or not _possible(make(high)):
        return None
    while low < high:
        middle = (low + high) // 2
        if _possible(make(middle)):
            high = middle
        else:
            low = middle + 1
    return low


# --- in words ------------------------------------------------------------------------------------


def _rows_change(problem: StripeProblem, rows: int) -> Relaxation:
    assert problem.rows is not None
    words = f"ask for {rows} rows instead of {problem.rows}"
    return Relaxation("rows", abs(rows - problem.rows), words, to=rows)


def _grams_change(problem: StripeProblem, index: int, metres: float) -> Relaxation:
    yarn = problem.yarns[index].yarn
    # More grams are also less certain; where the weighing is exact this is just the metres' mass.
    low_m, _ = yarn.grist.interval(problem.coverage)
    grams = math.ceil(100 * metres / max(low_m, 1e-9) - 1e-9)
    return Relaxation("yarns", grams, f"have {grams} g more of {yarn.label}", yarn.name)


def _widest_change(problem: StripeProblem, rows: int) -> Relaxation:
    words = f"let stripes be up to {rows} rows wide (the limit is {problem.most_rows})"
    return Relaxation("most_rows", rows - problem.most_rows, words, to=rows)


def _narrowest_change(problem: StripeProblem, rows: int) -> Relaxation:
    least = problem.least_rows
    words = f"let stripes be as narrow as {rows} {_rows_word(rows)} (the limit is {least})"
    return Relaxation("least_rows", least - rows, words, to=rows)


def _count_change(problem: StripeProblem, stripes: int) -> Relaxation:
    words = f"allow {stripes} stripes (the limit is {problem.most_stripes})"
    return Relaxation("most_stripes", stripes - problem.most_stripes, words, to=stripes)


def _rows_word(rows: int) -> str:
    return "row" if rows == 1 else "rows"
