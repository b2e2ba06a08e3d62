"""How thick a yarn lies, where no more is known of it than that."""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.units import require_positive
from pegwright.yarn.category import categories_for_wraps_per_inch, category
from pegwright.yarn.count import wrapped_diameter_mm

__all__ = ["Thickness", "thickness_of"]


@dataclass(frozen=True, slots=True)
class Thickness:
    """A wrapped diameter in mm, and the weight category; None where nothing points to one."""

    mm: float
    category: int | None = None


def thickness_of(
    number_or_name: int | str | None = None,
    wraps_per_inch: float | None = None,
    diameter_mm: float | None = None,
) -> Thickness | None:
    """The thickness by the best that is given: a diameter, wraps per inch, a weight category.

    :returns: None where none of them is given.
    :raises BadInput: for a figure that is not above zero, or no such category.
    """
    mm, number = None, None
    if number_or_name is not None:
        known = category(number_or_name)
        mm, number = known.wrapped_diameter_mm, known.number
    if wraps_per_inch is not None:
        mm = wrapped_diameter_mm(wraps_per_inch)
        charted = categories_for_wraps_per_inch(wraps_per_inch)
        number = charted[0].number if number is None and charted else number
    if diameter_mm is not None:
        require_positive(diameter_mm, "diameter_mm")
        mm = diameter_mm
    return None if mm is None else Thickness(mm, number)
