"""Hat sizes of the craft trade: a maker's table, not a table of heads.

A **hat size** says how large to make a hat when nobody's head is known.  It is not a head: the
table does not say how the heads behind it were measured, what ease is already in it, or how people
differ.  So it is kept apart from :mod:`pegwright.sizing.heads` in a type of its own, which gives no
percentiles and takes no ease; never put one where the other belongs.  Measure the head, or use the
published tables, wherever that can be done.
"""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.errors import BadInput, Place
from pegwright.units import MM_PER_INCH, require_positive

__all__ = ["HAT_SIZES", "HatSize", "hat_size"]


@dataclass(frozen=True, slots=True)
class HatSize:
    """One line of the chart.

    :param round_mm: round the finished hat.
    :param crown_to_brow_mm: from the middle of the crown down to the brow.
    """

    name: str
    round_mm: float
    crown_to_brow_mm: float
    source: str = "common practice, no source"

    def __post_init__(self) -> None:
        require_positive(self.round_mm, "round_mm")
        require_positive(self.crown_to_brow_mm, "crown_to_brow_mm")


def _inches(name: str, around: float, down: float) -> HatSize:
    return HatSize(name, around * MM_PER_INCH, down * MM_PER_INCH)


HAT_SIZES: tuple[HatSize, ...] = (
    _inches("preemie", 12, 3),
    _inches("newborn", 14, 3.5),
    _inches("0–6 months", 16, 4),
    _inches("6–12 months", 17, 4.25),
    _inches("toddler", 19, 4.75),
    _inches("child", 20.5, 5),
    _inches("teen", 21, 5.25),
    _inches("woman", 21, 5.25),
    _inches("man", 22, 5.5),
)
"""The chart, smallest first (common practice, no source)."""


def hat_size(name: str) -> HatSize:
    """The hat size of that name; a hyphen does for the dash of ``0–6 months``.

    :raises BadInput: where there is none, with the names that there are.
    """
    word = name.strip().casefold().replace("-", "–")
    for size in HAT_SIZES:
        if size.name == word:
            return size
    raise BadInput(
        "no such hat size",
        given=name,
        hint=f"use one of {', '.join(size.name for size in HAT_SIZES)}",
        place=Place(field="size"),
    )
