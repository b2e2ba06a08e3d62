"""People and what is measured on them."""

from __future__ import annotations

import pytest

from pegwright.errors import BadInput
from pegwright.garments.base import Wearer
from pegwright.sizing.heads import Sex, adult_head, head_for_age
from pegwright.sizing.people import MEASUREMENTS, WEARERS, Person, measurement, missing

COX = Person("cox", "adult", {"head": 560.0, "neck": 360.0})


def test_a_person_keeps_a_copy_that_nobody_changes() -> None:
    measures = {"head": 560.0}
    bow = Person("bow", measures=measures)
    measures["head"] = 1.0
    assert bow.measures["head"] == 560.0
    with pytest.raises(TypeError):
        bow.measures["head"] = 1.0  # type: ignore[index]
    assert bow == Person("bow", "adult", {"head": 560.0})


def test_measuring_anew() -> None:
    again = COX.with_measure("head", 565.0)
    assert again.measures == {"head": 565.0, "neck": 360.0}
    assert COX.measures["head"] == 560.0


def test_what_is_missing() -> None:
    assert missing(COX, ["height", "head", "depth"]) == ("height", "depth")
    assert missing(COX, ["neck"]) == ()


@pytest.mark.parametrize(
    ("name", "wearer", "measures", "field"),
    [
        ("", "adult", {}, "name"),
        ("cox", "giant", {}, "wearer"),
        ("cox", "adult", {"head": 0.0}, "measures.head"),
        ("cox", "adult", {"head": 56.0}, "measures.head"),  # cm for mm
        ("cox", "adult", {"neck": 3600.0}, "measures.neck"),
        ("cox", "adult", {"blanket width": -1.0}, "measures.blanket width"),
    ],
)
def test_what_cannot_be(name: str, wearer: str, measures: dict[str, float], field: str) -> None:
    with pytest.raises(BadInput) as caught:
        Person(name, wearer, measures)
    assert caught.value.place is not None
    assert caught.value.place.field == field


def test_a_garment_may_ask_for_more() -> None:
    assert measurement("blanket width") is None
    assert Person("coach", measures={"blanket width": 900.0}).measures["blanket width"] == 900


def test_every_measurement_says_how_it_is_taken() -> None:
    assert len({each.name for each in MEASUREMENTS}) == len(MEASUREMENTS)
    for each in MEASUREMENTS:
        assert each.how.endswith(".")
        assert "tape" in each.how or "easure" in each.how
        assert 0 < each.least_mm < each.most_mm


def test_nearly_all_heads_are_believed() -> None:
    """The bounds hold all but a few in a million, from birth on (WHO; ANSUR II from memory)."""
    head = measurement("head")
    assert head is not None
    for sex in Sex:
        assert head.least_mm < head_for_age(0, sex).percentile_mm(1e-6)
        assert head.most_mm > adult_head(sex).percentile_mm(1 - 1e-6)


def test_wearers_are_those_of_the_garments() -> None:
    assert set(WEARERS) == {str(each) for each in Wearer}
