"""The stripes that are found: as good as the best of all sequences, and within every limit."""

from __future__ import annotations

import builtins
import math
import random
import sys
import time
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pegwright.errors import BadInput, NotPossible
from pegwright.knitting.stripes import Stripe
from pegwright.measured import Measured
from pegwright.planning.stripe_relax import NoStripes
from pegwright.planning.stripe_solver import SolverMissing, StripeProgress, plan_stripes
from pegwright.planning.stripes import (
    EVEN_TOLERANCE,
    Aim,
    Status,
    StripePlan,
    StripeProblem,
    StripeYarn,
    breaches,
    planned,
)
from pegwright.units import UnitSystem
from pegwright.yarn.yarn import Yarn
from tests.planning.stripe_tables import best_by_trying, problem


def as_good_as_trying(asked: StripeProblem) -> StripePlan | None:
    """The plan, held against every sequence; None where there is none."""
    best = best_by_trying(asked)
    if best is None:
        with pytest.raises(NoStripes):
            plan_stripes(asked)
        return None
    plan = plan_stripes(asked)
    assert breaches(asked, plan.stripes) == ()
    assert plan.status is Status.OPTIMAL
    if asked.aim is Aim.MOST:
        assert (plan.rows, plan.bound) == (best, best)
    else:
        assert plan.bound - 1e-6 <= best <= plan.value + 1e-6
        assert plan.value <= best + EVEN_TOLERANCE
    return plan


SMALL: list[tuple[str, list[float], dict[str, Any]]] = [
    ("a single yarn is one stripe", [9], {"most_rows": 5}),
    ("a yarn of which there is much is held back by its neighbours", [20, 3], {"most_rows": 3}),
    ("joins cost yarn", [6, 6], {"most_rows": 2, "join_m": 0.7, "most_stripes": 6}),
    ("the cast-on costs yarn", [4, 4], {"most_rows": 2, "cast_on_rows": 1.0}),
    ("the cast-on and joins, one stripe", [4.2], {"most_rows": 9, "cast_on_rows": 1, "join_m": 1}),
    ("narrowest stripes", [7, 5], {"least_rows": 3, "most_rows": 4}),
    ("mirrored", [7, 5], {"most_rows": 3, "mirror": True}),
    ("mirrored, with a cast-on", [6, 5, 4], {"most_rows": 2, "mirror": True, "cast_on_rows": 1.0}),
    ("mirrored, one yarn", [7], {"most_rows": 3, "mirror": True}),
    ("mirrored, the middle decides", [2, 9], {"most_rows": 3, "mirror": True}),
    ("ends match", [7, 4], {"most_rows": 3, "match_ends": True}),
    ("ends match, with a cast-on", [5, 4, 3], {"most_rows": 2, "match_ends": True, "join_m": 0.2,
                                               "cast_on_rows": 1.0}),
    ("ends match, one yarn", [7], {"most_rows": 3, "match_ends": True}),
    ("ends match, of equal yarns", [3, 3], {"most_rows": 3, "match_ends": True}),
    ("a multiple", [5, 4], {"most_rows": 3, "multiple": 4}),
    ("few stripes", [9, 9, 9], {"most_rows": 3, "most_stripes": 4}),
    ("nothing is possible", [2, 2], {"least_rows": 3, "most_rows": 4}),
    ("a multiple is not possible", [3.0], {"least_rows": 3, "most_rows": 3, "multiple": 2}),
]  # fmt: skip


@pytest.mark.parametrize(("reason", "metres", "limits"), SMALL, ids=[s[0] for s in SMALL])
def test_the_most_rows_of_all_sequences(
    reason: str, metres: list[float], limits: dict[str, Any]
) -> None:
    as_good_as_trying(problem(metres, **{"most_stripes": 5, **limits}))


EVEN: list[tuple[str, list[float], dict[str, Any]]] = [
    ("two yarns", [10, 6], {"rows": 8, "most_rows": 4}),
    ("three yarns", [8, 6, 4], {"rows": 9, "most_rows": 4}),
    ("with joins", [9, 6], {"rows": 9, "most_rows": 4, "join_m": 0.4}),
    ("with a cast-on", [9, 6], {"rows": 9, "most_rows": 4, "cast_on_rows": 1.0}),
    ("mirrored", [8, 5], {"rows": 9, "most_rows": 3, "mirror": True}),
    ("ends match", [8, 5, 5], {"rows": 9, "most_rows": 3, "match_ends": True}),
    ("a multiple", [8, 5], {"rows": 8, "most_rows": 3, "multiple": 4}),
    ("one yarn is too short to be used at all", [12, 0.5], {"rows": 4, "most_rows": 4}),
    ("too few rows to go round", [9, 9, 9], {"rows": 2, "most_rows": 4}),
    ("not enough yarn", [3, 3], {"rows": 8, "most_rows": 3}),
    ("one yarn and no neighbour", [30], {"rows": 8, "most_rows": 4}),
]


@pytest.mark.parametrize(("reason", "metres", "limits"), EVEN, ids=[s[0] for s in EVEN])
def test_the_most_even_use_of_all_sequences(
    reason: str, metres: list[float], limits: dict[str, Any]
) -> None:
    as_good_as_trying(problem(metres, aim=Aim.EVEN, **{"most_stripes": 5, **limits}))


@st.composite
def small_problems(draw: st.DrawFn) -> StripeProblem:
    count = draw(st.integers(1, 3))
    metres = draw(st.lists(st.integers(2, 9).map(float), min_size=count, max_size=count))
    row_m = draw(st.lists(st.sampled_from([0.75, 1.0, 1.5]), min_size=count, max_size=count))
    least = draw(st.integers(1, 3))
    limits: dict[str, Any] = {
        "least_rows": least,
        "most_rows": least + draw(st.integers(0, 2)),
        "most_stripes": draw(st.integers(1, 5)),
        "multiple": draw(st.sampled_from([1, 1, 2, 3])),
        "mirror": draw(st.booleans()),
        "match_ends": draw(st.booleans()),
        "join_m": draw(st.sampled_from([0.0, 0.25, 0.5])),
        "cast_on_rows": draw(st.sampled_from([0.0, 1.0])),
        "pieces": draw(st.sampled_from([(1.0,), (1.0, 0.5)])),
    }
    if draw(st.booleans()):
        multiple = limits["multiple"]
        most = limits["most_rows"] * limits["most_stripes"]
        low, high = math.ceil(least / multiple), most // multiple
        if low <= high:
            rows = multiple * draw(st.integers(low, high))
            return problem(metres, row_m, aim=Aim.EVEN, rows=rows, **limits)
    return problem(metres, row_m, **limits)


@settings(max_examples=150)
@given(asked=small_problems())
def test_no_sequence_is_better_than_the_plan(asked: StripeProblem) -> None:
    as_good_as_trying(asked)


# --- larger ones ---------------------------------------------------------------------------------


def leftovers(seed: int, count: int = 12, **limits: Any) -> StripeProblem:
    numbers = random.Random(seed)
    yarns = tuple(
        StripeYarn(
            Yarn(f"leftover {i}", 4, numbers.uniform(140, 220), invented=True),
            Measured(numbers.uniform(15, 90), 0.3),
            Measured(numbers.uniform(1.5, 2.2), 0.05),
        )
        for i in range(count)
    )
    return StripeProblem(yarns, **{"most_rows": 10, **limits})


@pytest.mark.parametrize("form", [{}, {"mirror": True}, {"match_ends": True}])
def test_twelve_yarns_over_sixty_stripes_are_proved(form: dict[str, Any]) -> None:
    asked = leftovers(1, **form)
    start = time.perf_counter()
    plan = plan_stripes(asked)
    assert plan.status is Status.OPTIMAL
    assert plan.gap == 0
    assert breaches(asked, plan.stripes) == ()
    even = leftovers(1, aim=Aim.EVEN, rows=round(0.8 * plan.rows), **form)
    found = plan_stripes(even)
    assert found.gap <= 0.01
    assert breaches(even, found.stripes) == ()
    assert time.perf_counter() - start < 20


def test_the_bound_is_no_worse_than_all_yarn_together() -> None:
    """Rows can never be more than each yarn alone gives."""
    asked = leftovers(3)
    plan = plan_stripes(asked)
    each = sum(int(asked.usable_m(i) / asked.row_cost_m(i)) for i in range(len(asked.yarns)))
    assert plan.rows <= min(each, asked.most_rows * asked.most_stripes)


def test_the_same_problem_gives_the_same_stripes() -> None:
    asked = leftovers(4, aim=Aim.EVEN, rows=300)
    assert plan_stripes(asked).stripes == plan_stripes(asked).stripes


def test_uses_add_up() -> None:
    plan = plan_stripes(leftovers(2, mirror=True))
    assert sum(use.rows for use in plan.uses) == plan.rows
    assert sum(use.stripes for use in plan.uses) == len(plan.stripes) == plan.joins + 1
    for use, given_ in zip(plan.uses, plan.problem.yarns, strict=True):
        assert use.left_g.value == pytest.approx(given_.have_g.value - use.grams.value)
        assert use.part_used <= 1 + 1e-9
        low, _ = use.left_g.interval(0.5)
        assert low > 0  # the margins were kept


def test_reserve_margin_and_coverage_leave_fewer_rows() -> None:
    base = leftovers(5, count=3, most_stripes=200)
    kept = tuple(replace(y, reserve_m=8.0) for y in base.yarns)
    rows = plan_stripes(base).rows
    assert plan_stripes(replace(base, yarns=kept)).rows < rows
    assert plan_stripes(replace(base, margin=0.2)).rows < rows
    assert plan_stripes(replace(base, coverage=0.999)).rows < rows
    assert plan_stripes(replace(base, pieces=(1.0, 1.0))).rows < 0.6 * rows


# --- while it runs -------------------------------------------------------------------------------


def hard() -> StripeProblem:
    """Many whole numbers and a small spread: not proved at once."""
    return leftovers(9, count=40, aim=Aim.EVEN, rows=700, most_stripes=120, mirror=True)


def test_a_search_that_is_stopped_gives_the_best_so_far() -> None:
    told: list[StripeProgress] = []
    stop_at = [math.inf]

    def progress(now: StripeProgress) -> None:
        told.append(now)
        if now.value is not None:
            stop_at[0] = min(stop_at[0], time.perf_counter() + 0.3)

    start = time.perf_counter()
    asked = hard()
    plan = plan_stripes(
        asked,
        time_limit_s=60,
        progress=progress,
        cancelled=lambda: time.perf_counter() > stop_at[0],
    )
    assert time.perf_counter() - start < 30
    assert told
    assert breaches(asked, plan.stripes) == ()
    assert plan.bound <= plan.value
    if plan.status is Status.GAP:
        assert plan.gap == pytest.approx(plan.value - plan.bound)
        assert "not proved" in plan.words(UnitSystem.INCHES)


def test_a_search_that_may_not_begin_says_so() -> None:
    with pytest.raises(NotPossible, match="stopped before a plan was found") as caught:
        plan_stripes(hard(), cancelled=lambda: True)
    assert not isinstance(caught.value, NoStripes)


def test_without_the_solver_it_is_said_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def missing(name: str, *args: Any, **kwargs: Any) -> Any:
        if name == "highspy":
            raise ImportError(name)
        return real(name, *args, **kwargs)

    monkeypatch.delitem(sys.modules, "highspy", raising=False)
    monkeypatch.setattr(builtins, "__import__", missing)
    with pytest.raises(SolverMissing) as caught:
        plan_stripes(problem([5, 5]))
    assert 'pip install "pegwright[plan]"' in str(caught.value)


def test_the_solver_says_nothing_on_the_screen(capfd: pytest.CaptureFixture[str]) -> None:
    plan_stripes(problem([5, 5]))
    assert capfd.readouterr() == ("", "")


# --- what is told of a plan ----------------------------------------------------------------------


def test_a_plan_by_hand() -> None:
    """4 rows and a cast-on of rust: 5 m and two tails of 0.5 m twice; 3 of slate: 3 m and tails."""
    asked = problem([10, 10], join_m=0.5, cast_on_rows=1.0)
    stripes = (Stripe("rust", 2), Stripe("slate", 3), Stripe("rust", 2))
    plan = planned(asked, stripes, 8.0)
    rust, slate = plan.uses
    assert rust.metres.value == 6.0
    assert slate.metres.value == 3.5
    assert (rust.grams.value, rust.left_g.value) == (6.0, 4.0)
    assert rust.part_used == pytest.approx(0.6)
    assert slate.part_used == pytest.approx(0.35)
    assert (plan.value, plan.status) == (7.0, Status.GAP)
    assert plan.gap == pytest.approx(1 / 7)
    words = plan.words(UnitSystem.CENTIMETRES)
    assert words.startswith("3 stripes, 7 rows, 2 joins.\nNot proved: there might be a plan of up")
    assert "Rows 3–5: slate" in words
    assert plan.as_data()["stripes"] == [
        {"yarn": "rust", "rows": 2},
        {"yarn": "slate", "rows": 3},
        {"yarn": "rust", "rows": 2},
    ]


def test_a_bound_that_is_not_known_is_no_number_in_data() -> None:
    plan = planned(problem([10]), (Stripe("rust", 2),), math.inf)
    assert plan.as_data()["bound"] is None
    assert plan.as_data()["gap"] is None
    assert "not known" in plan.words(UnitSystem.INCHES)


@pytest.mark.parametrize(
    ("stripes", "breach"),
    [
        ([], "no stripe"),
        ([("teak", 2)], "unknown yarn"),
        ([("rust", 1)], "too narrow"),
        ([("rust", 5)], "too wide"),
        ([("rust", 2), ("rust", 2)], "alike"),
        ([("rust", 2), ("slate", 2)], "mirror"),
        ([("rust", 2), ("slate", 2)], "ends"),
        ([("rust", 2), ("slate", 2), ("rust", 2), ("slate", 2)], "too many"),
        ([("rust", 3)], "multiple"),
        ([("slate", 4)], "too little slate"),
    ],
)
def test_every_broken_limit_is_told(stripes: list[tuple[str, int]], breach: str) -> None:
    asked = problem(
        [9, 3], least_rows=2, most_rows=4, most_stripes=3, mirror=True, match_ends=True, multiple=2
    )
    told = breaches(asked, tuple(Stripe(yarn, rows) for yarn, rows in stripes))
    assert any(breach in words for words in told), told


# --- bad input -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("limits", "field"),
    [
        ({"least_rows": 5, "most_rows": 4}, "least_rows"),
        ({"least_rows": 0}, "least_rows"),
        ({"most_stripes": 0}, "most_stripes"),
        ({"most_stripes": 10_000}, "most_stripes"),
        ({"multiple": 0}, "multiple"),
        ({"join_m": -1.0}, "join_m"),
        ({"join_m": math.nan}, "join_m"),
        ({"cast_on_rows": -1.0}, "cast_on_rows"),
        ({"margin": 1.5}, "margin"),
        ({"pieces": ()}, "pieces"),
        ({"pieces": (1.0, 0.0)}, "pieces"),
        ({"coverage": 1.0}, "coverage"),
        ({"aim": Aim.EVEN}, "rows"),
        ({"rows": 8}, "rows"),  # and the most rows besides
        ({"aim": Aim.EVEN, "rows": 2, "least_rows": 3}, "rows"),
        ({"aim": Aim.EVEN, "rows": 9, "multiple": 2}, "rows"),
        ({"aim": Aim.EVEN, "rows": 90, "most_stripes": 4}, "most_stripes"),
    ],
)
def test_a_limit_that_cannot_be_is_named(limits: dict[str, Any], field: str) -> None:
    with pytest.raises(BadInput) as caught:
        problem([30, 30], **limits)
    assert caught.value.place is not None
    assert caught.value.place.field == field


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"have_g": Measured(-4.0)}, "yarns[2].available"),
        ({"have_g": Measured(0.0)}, "yarns[2].available"),
        ({"row_m": Measured(0.0)}, "yarns[2].row_m"),
        ({"reserve_m": -1.0}, "yarns[2].reserve_m"),
        ({"reserve_m": 40.0}, "yarns[2].reserve_m"),
        ({"yarn": Yarn("rust", 4, 100.0)}, "yarns[2].name"),
    ],
)
def test_a_yarn_that_cannot_be_is_named(change: dict[str, Any], field: str) -> None:
    asked = problem([30, 30])
    with pytest.raises(BadInput) as caught:
        replace(asked, yarns=(asked.yarns[0], replace(asked.yarns[1], **change)))
    assert caught.value.place is not None
    assert caught.value.place.field == field


def test_no_yarn_is_refused() -> None:
    with pytest.raises(BadInput, match="stripes need a yarn"):
        StripeProblem(())
