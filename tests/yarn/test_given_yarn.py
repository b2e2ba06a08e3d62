"""A yarn said in part takes over what still holds of the known one."""

from __future__ import annotations

import pytest

from pegwright.errors import BadInput
from pegwright.yarn.given import GivenYarn
from pegwright.yarn.yarn import DiameterSource, Yarn

KNOWN = Yarn("Slipway worsted", 4, 175, ball_g=50, wraps_per_inch=10, colour="slate")


def test_metres_alone_leave_the_thickness() -> None:
    yarn = GivenYarn(metres_per_100g=200).like(KNOWN)
    assert (yarn.category, yarn.metres_per_100g) == (4, 200)
    assert yarn.wrapped_diameter_mm == pytest.approx(2.54)  # an inch over ten wraps
    assert yarn.name == "your yarn"
    assert yarn.ball_g == 100  # a ball of another yarn may weigh anything


def test_wraps_that_were_counted_win_over_the_known_thickness() -> None:
    yarn = GivenYarn(wraps_per_inch=8).like(KNOWN)
    assert yarn.wrapped_diameter_mm == pytest.approx(25.4 / 8)
    assert yarn.diameter_source is DiameterSource.WRAPS
    assert yarn.metres_per_100g == 175


def test_another_category_has_a_thickness_and_a_length_of_its_own() -> None:
    assert GivenYarn(category=5).lacking(KNOWN) == "metres_per_100g"
    yarn = GivenYarn(category=5, metres_per_100g=110).like(KNOWN)
    assert yarn.diameter_source is DiameterSource.CATEGORY
    assert yarn.wrapped_diameter_mm > KNOWN.wrapped_diameter_mm


@pytest.mark.parametrize(
    ("given", "field"),
    [
        (GivenYarn(metres_per_100g=175), "category"),  # nobody says it
        (GivenYarn(category=4), "metres_per_100g"),
    ],
)
def test_without_a_known_yarn_both_are_needed(given: GivenYarn, field: str) -> None:
    with pytest.raises(BadInput) as refused:
        given.like(None)
    assert refused.value.place is not None
    assert refused.value.place.field == field


def test_nothing_said_is_told_from_something() -> None:
    assert GivenYarn().is_empty
    assert not GivenYarn(category=0).is_empty  # lace
