"""How thick a yarn lies by the best that is given."""

from __future__ import annotations

import pytest

from pegwright.errors import BadInput
from pegwright.yarn.category import category
from pegwright.yarn.thickness import Thickness, thickness_of


def test_the_best_that_is_given_is_taken() -> None:
    usual_mm = category(4).wrapped_diameter_mm
    assert thickness_of() is None
    assert thickness_of("medium") == Thickness(usual_mm, 4)
    assert thickness_of("4", 8) == Thickness(25.4 / 8, 4)
    assert thickness_of("4", 8, 2.0) == Thickness(2.0, 4)
    assert thickness_of(diameter_mm=2.0) == Thickness(2.0)


def test_wraps_point_to_a_category() -> None:
    """10 in the older chart is medium, 12 fine in the newer one and light in the older."""
    found = [thickness_of(wraps_per_inch=wraps) for wraps in (10, 12)]
    assert [each.category if each else None for each in found] == [4, 2]


@pytest.mark.parametrize(
    ("number", "wraps", "mm"), [("9", None, None), (None, 0.0, None), (None, None, -1.0)]
)
def test_what_cannot_be_is_refused(
    number: str | None, wraps: float | None, mm: float | None
) -> None:
    with pytest.raises(BadInput):
        thickness_of(number, wraps, mm)
