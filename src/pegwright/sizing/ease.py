"""Ease: what a piece measures beyond the body that it goes round.

**Positive** ease hangs loose; **negative** ease makes the piece smaller than the body, so that it
stretches and holds.  It is told as a length (``1 in``) or as a part of the body (``-10 %``): a
length suits a seam or a layer beneath, a part suits stretch, which grows with the body.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from pegwright.errors import BadInput, Place
from pegwright.units import (
    UnitSystem,
    format_length,
    format_number,
    parse_length_mm,
    require_finite,
    require_positive,
)

__all__ = ["MOST_PART", "NO_EASE", "Ease", "ease_between", "parse_ease"]

MOST_PART = 2.0
"""Most ease as a part of the body: three times its size, far above any garment."""

_PART = re.compile(r"\s*([+\-−–]?)\s*([0-9]+(?:[.,][0-9]+)?)\s*(?:%|per\s?cent|percent)\s*", re.I)


@dataclass(frozen=True, slots=True)
class Ease:
    """Ease as a length, or as a part of the body's measurement: one of the two.

    :param length_mm: added in mm; below zero takes away.  None where it is a part.
    :param part: added as a part of the body, -0.1 for 10 % smaller.  None where it is a length.
    :raises BadInput: for both, for neither, or a part that leaves nothing or is beyond belief.
    """

    length_mm: float | None = None
    part: float | None = None

    def __post_init__(self) -> None:
        if (self.length_mm is None) == (self.part is None):
            raise BadInput(
                "ease is a length or a part of the body, one of the two",
                given=f"length {self.length_mm}, part {self.part}",
                hint="write 1 in, or 10 %",
                place=Place(field="ease"),
            )
        if self.length_mm is not None:
            require_finite(self.length_mm, "ease")
        if self.part is not None:
            require_finite(self.part, "ease")
            if not -1 < self.part <= MOST_PART:
                raise BadInput(
                    "ease must leave something of the piece, and no more than three times the body",
                    given=f"{format_number(100 * self.part, 1)} %",
                    hint="10 % is loose, -10 % holds by its stretch",
                    place=Place(field="ease"),
                )

    @property
    def is_negative(self) -> bool:
        """Whether the piece is smaller than the body."""
        return (self.length_mm if self.length_mm is not None else self.part or 0.0) < 0

    def finished_mm(self, body_mm: float) -> float:
        """What the piece measures, in mm, for a body that measures ``body_mm``.

        :raises BadInput: where the ease leaves nothing.
        """
        require_positive(body_mm, "body_mm")
        if self.part is not None:
            return body_mm * (1 + self.part)
        finished = body_mm + (self.length_mm or 0.0)
        if finished <= 0:
            raise BadInput(
                "the negative ease takes the whole measurement away",
                given=f"{self.length_mm:g} mm on {body_mm:g} mm",
                hint="give a smaller one, or a part such as -10 %",
                place=Place(field="ease"),
            )
        return finished

    def body_mm(self, finished_mm: float) -> float:
        """The body, in mm, that a piece fits with this ease; the inverse of :meth:`finished_mm`.

        :raises BadInput: where no body is so small.
        """
        require_positive(finished_mm, "finished_mm")
        if self.part is not None:
            return finished_mm / (1 + self.part)
        body = finished_mm - (self.length_mm or 0.0)
        if body <= 0:
            raise BadInput(
                "the piece is smaller than its own ease",
                given=f"{finished_mm:g} mm with {self.length_mm:g} mm of ease",
                hint="check the two",
                place=Place(field="ease"),
            )
        return body

    def words(self, units: UnitSystem) -> str:
        """The ease in plain words, such as ``1 in smaller than the body``."""
        if self.part is not None:
            size = format_number(100 * abs(self.part), 1)
            amount = "" if size == "0" else f"{size} %"
        else:
            length = abs(self.length_mm or 0.0)
            amount = format_length(length, units) if length else ""
        if not amount:
            return "the same size as the body"
        return f"{amount} {'smaller' if self.is_negative else 'larger'} than the body"


NO_EASE = Ease(length_mm=0.0)
"""The piece measures what the body does."""


def ease_between(body_mm: float, finished_mm: float) -> Ease:
    """The ease, as a length, that a piece has on a body."""
    require_positive(body_mm, "body_mm")
    require_positive(finished_mm, "finished_mm")
    return Ease(length_mm=finished_mm - body_mm)


def parse_ease(text: str, *, default_unit: str | None = None) -> Ease:
    """Ease as a maker writes it: ``1 in``, ``-2.5 cm``, ``10 %``, ``-5 %``.

    :raises BadInput: for all else.
    """
    if match := _PART.fullmatch(text[:64]):
        sign = -1 if match.group(1) in ("-", "−", "–") else 1
        return Ease(part=sign * float(match.group(2).replace(",", ".")) / 100)
    return Ease(length_mm=parse_length_mm(text, default_unit=default_unit, allow_negative=True))
