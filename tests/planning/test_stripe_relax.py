"""Where no stripes keep the limits, the right limit is named, and its change is the least."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pegwright.errors import BadInput, ExitCode
from pegwright.measured import Measured
from pegwright.planning.stripe_relax import NoStripes, Relaxation
from pegwright.planning.stripe_solver import plan_stripes
from pegwright.planning.stripes import Aim, StripeProblem
from tests.planning.stripe_tables import best_by_trying, problem


def refusal(asked: StripeProblem) -> NoStripes:
    with pytest.raises(NoStripes) as caught:
        plan_stripes(asked)
    return caught.value


def mended(asked: StripeProblem, way: tuple[Relaxation, ...]) -> StripeProblem:
    """The problem with a way out taken, each change by its amount."""
    for change in way:
        if change.limit == "yarns":
            asked = replace(
                asked,
                yarns=tuple(
                    replace(y, have_g=Measured(y.have_g.value + change.amount))
                    if y.yarn.name == change.yarn
                    else y
                    for y in asked.yarns
                ),
            )
        elif change.limit == "mirror":
            asked = replace(asked, mirror=False)
        elif change.limit == "match_ends":
            asked = replace(asked, match_ends=False)
        elif change.limit == "multiple":
            asked = replace(asked, multiple=1)
        elif change.limit == "rows":
            rows = int(change.words.split()[2])
            assert asked.rows is not None
            assert abs(rows - asked.rows) == change.amount
            asked = replace(asked, rows=rows)
        else:
            sign = -1 if change.limit == "least_rows" else 1
            number = getattr(asked, change.limit) + sign * int(change.amount)
            changed: dict[str, Any] = {change.limit: number}
            asked = replace(asked, **changed)
    return asked


CASES: list[tuple[str, list[float], dict[str, Any], dict[str, float]]] = [
    (
        "too little yarn: fewer rows, or more grams",
        [6, 6],
        {"rows": 15, "most_rows": 6},
        {"rows": 3, "yarns": 3},
    ),
    (
        "one yarn cannot follow itself: wider, or fewer rows",
        [30],
        {"rows": 12, "most_rows": 8},
        {"rows": 4, "most_rows": 4},
    ),
    (
        "wide stripes do not add up: narrower, wider, or other rows",
        [50, 50],
        {"rows": 11, "least_rows": 4, "most_rows": 4},
        {"rows": 1, "most_rows": 2, "least_rows": 1},
    ),
    (
        "a mirror image of two equal halves has no middle",
        [50, 50],
        {"rows": 16, "least_rows": 8, "most_rows": 8, "mirror": True},
        {"rows": 8, "mirror": 1, "least_rows": 3, "most_rows": 8},
    ),
    (
        "two stripes cannot be alike at the ends",
        [50, 50],
        {"rows": 16, "least_rows": 8, "most_rows": 8, "match_ends": True},
        {"rows": 8, "match_ends": 1, "least_rows": 3, "most_rows": 8},
    ),
    (
        "a yarn that is used up so early stands between too few of the other",
        [40, 5],
        {"rows": 24, "most_rows": 6, "least_rows": 3},
        {"rows": 7, "yarns": 1, "least_rows": 2, "most_rows": 4},
    ),
    (
        "nothing is wide enough",
        [5, 4],
        {"least_rows": 6, "most_rows": 8},
        {"yarns": 1, "least_rows": 1},
    ),
    (
        "three rows are never a multiple of two",
        [5],
        {"least_rows": 3, "most_rows": 3, "multiple": 2},
        {"multiple": 1, "least_rows": 1, "most_rows": 1},
    ),
]


@pytest.mark.parametrize(("reason", "metres", "limits", "named"), CASES, ids=[c[0] for c in CASES])
def test_the_right_limits_are_named(
    reason: str, metres: list[float], limits: dict[str, Any], named: dict[str, float]
) -> None:
    aim = Aim.EVEN if "rows" in limits else Aim.MOST
    asked = problem(metres, aim=aim, **limits)
    wrong = refusal(asked)
    assert wrong.exit_code is ExitCode.NOT_POSSIBLE
    found = {way[0].limit: sum(change.amount for change in way) for way in wrong.ways}
    assert found == named
    for way in wrong.ways:
        assert plan_stripes(mended(asked, way)).stripes
        for change in way:
            assert change.words in str(wrong)


def test_too_few_stripes_are_named() -> None:
    """Of 9 rows of each yarn, three stripes of three hold 9 rows in all, not 12."""
    asked = problem([9, 9], aim=Aim.EVEN, rows=12, least_rows=3, most_rows=4, most_stripes=3)
    assert plan_stripes(asked).rows == 12  # 4 + 4 + 4
    less = problem([6, 6], aim=Aim.EVEN, rows=12, least_rows=3, most_rows=4, most_stripes=3)
    ways = {way[0].limit: way[0].amount for way in refusal(less).ways}
    assert ways["most_stripes"] == 1


def test_where_no_single_change_does_a_combination_is_named() -> None:
    """One yarn with a row too few, in one stripe too wide: neither more of it nor wider alone."""
    asked = problem([2.5], aim=Aim.EVEN, rows=9, least_rows=3, most_rows=4, most_stripes=4)
    (way,) = refusal(asked).ways
    assert len(way) > 1
    assert plan_stripes(mended(asked, way)).stripes
    for change in way:
        with pytest.raises((NoStripes, BadInput)):
            plan_stripes(mended(asked, (change,)))


def test_the_data_names_every_way() -> None:
    wrong = refusal(problem([6, 6], aim=Aim.EVEN, rows=15, most_rows=6))
    data = wrong.as_data()
    assert data["ways"] == [[change.as_data() for change in way] for way in wrong.ways]
    assert wrong.ways[0][0].as_data() == {
        "limit": "rows",
        "amount": 3,
        "words": "ask for 12 rows instead of 15",
        "yarn": None,
    }
    more = [change for change in wrong.ways[1] if change.limit == "yarns"]
    assert {change.words for change in more} == {
        f"have {change.amount:g} g more of {change.yarn}" for change in more
    }


@settings(max_examples=40)
@given(
    metres=st.lists(st.integers(2, 8).map(float), min_size=1, max_size=2),
    rows=st.integers(4, 14),
    least=st.integers(1, 4),
    form=st.sampled_from([{}, {"mirror": True}, {"match_ends": True}]),
)
def test_every_way_out_leads_out(
    metres: list[float], rows: int, least: int, form: dict[str, Any]
) -> None:
    asked = problem(
        metres, aim=Aim.EVEN, rows=rows, least_rows=least, most_rows=4, most_stripes=5, **form
    )
    assume(best_by_trying(asked) is None)
    ways = refusal(asked).ways
    assert ways
    for way in ways:
        assert plan_stripes(mended(asked, way)).stripes
        one = way[0]
        if len(way) == 1 and one.limit in ("most_rows", "least_rows", "most_stripes"):
            nearly = replace(one, amount=one.amount - 1)
            with pytest.raises(NoStripes):  # a little less does not do
                plan_stripes(mended(asked, (nearly,)))
