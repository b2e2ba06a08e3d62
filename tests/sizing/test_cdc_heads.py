"""The United States' growth charts, checked against their own published percentiles."""

from __future__ import annotations

import pytest

from pegwright.errors import BadInput
from pegwright.sizing.bodies import ChildTable, lookup
from pegwright.sizing.cdc_heads import CDC_MONTHS, cdc_head
from pegwright.sizing.heads import Sex, head_for_age

PARTS = (0.03, 0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95, 0.97)

# Percentiles as they are printed beside L, M, S in CDC growth charts, table hcageinf, cm.
PUBLISHED = [
    ("male", 0, (31.4876, 32.1488, 33.0839, 34.4695, 35.8137, 37.0043, 37.9738, 38.5157, 38.8542)),
    (
        "male",
        6.5,
        (41.5311, 41.8474, 42.3333, 43.1420, 44.0361, 44.9255, 45.7223, 46.1974, 46.5052),
    ),
    (
        "male",
        24.5,
        (46.0087, 46.3526, 46.8800, 47.7556, 48.7206, 49.6776, 50.5323, 51.0408, 51.3700),
    ),
    (
        "male",
        35.5,
        (46.4286, 46.8562, 47.5008, 48.5430, 49.6542, 50.7211, 51.6469, 52.1865, 52.5314),
    ),
    (
        "female",
        0,
        (31.9302, 32.2509, 32.7595, 33.6519, 34.7116, 35.8512, 36.9535, 37.6514, 38.1211),
    ),
    (
        "female",
        6.5,
        (40.4338, 40.7057, 41.1317, 41.8643, 42.7103, 43.5921, 44.4181, 44.9280, 45.2656),
    ),
    (
        "female",
        24.5,
        (44.8468, 45.1905, 45.7161, 46.5849, 47.5369, 48.4755, 49.3093, 49.8036, 50.1227),
    ),
    (
        "female",
        35.5,
        (45.5629, 45.9584, 46.5586, 47.5391, 48.5978, 49.6266, 50.5289, 51.0587, 51.3989),
    ),
]


@pytest.mark.parametrize(("sex", "months", "printed"), PUBLISHED)
def test_percentiles_are_those_of_the_table(
    sex: str, months: float, printed: tuple[float, ...]
) -> None:
    head = cdc_head(months, Sex(sex))
    for part, cm in zip(PARTS, printed, strict=True):
        assert head.percentile_mm(part) == pytest.approx(10 * cm, abs=0.02)
        assert head.part_up_to(10 * cm) == pytest.approx(part, abs=1e-3)


def test_heads_grow_and_boys_are_larger() -> None:
    ages = [m / 2 for m in range(int(2 * CDC_MONTHS) + 1)]
    for sex in Sex:
        medians = [cdc_head(age, sex).circumference.value for age in ages]
        assert medians == sorted(medians)
    assert all(
        cdc_head(age, Sex.MALE).circumference.value > cdc_head(age, Sex.FEMALE).circumference.value
        for age in ages
    )


def test_both_tables_agree_within_the_difference_of_their_populations() -> None:
    for months in (3, 6, 12, 24, 36):
        ours, other = cdc_head(months), head_for_age(months)
        assert ours.circumference.value == pytest.approx(other.circumference.value, abs=8.0)


def test_lookup_takes_the_table_that_is_asked_for() -> None:
    who, cdc = (lookup(age_months=12, table=t) for t in ChildTable)
    assert "WHO" in who.source
    assert "CDC" in cdc.source
    assert who.size.value != cdc.size.value


@pytest.mark.parametrize("months", [-1, 36.1, 60])
def test_ages_outside_are_refused(months: float) -> None:
    with pytest.raises(BadInput, match="birth to three years"):
        cdc_head(months)
