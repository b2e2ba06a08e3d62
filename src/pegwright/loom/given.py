"""A board as somebody gives it: only what she says of it, the rest as on a board that is known.

A reader of a pattern has a board that is like the pattern's in most things; she says
what is other.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from pegwright.errors import BadInput, Place
from pegwright.loom.board import Arrangement, Loom

__all__ = ["GivenBoard"]

_PEG_HEIGHT_MM = 25.0  # where nothing says it: nothing but the height of a board depends on it


@dataclass(frozen=True, slots=True)
class GivenBoard:
    """What was said of a board; None for what was left out."""

    arrangement: Arrangement | None = None
    pegs: int | None = None
    pitch_mm: float | None = None
    gap_mm: float | None = None
    peg_diameter_mm: float | None = None

    @property
    def is_empty(self) -> bool:
        """Whether nothing was said."""
        return all(getattr(self, field.name) is None for field in fields(self))

    def lacking(self, base: Loom | None) -> str | None:
        """What neither this nor ``base`` says: ``pegs``, ``pitch``, ``gap``, ``peg_diameter``."""
        known = base is not None
        wanted = (
            ("pegs", self.pegs is not None or known),
            ("pitch", self.pitch_mm is not None or known),
            ("gap", not self._is_double(base) or self._gap_mm(base) is not None),
            ("peg_diameter", self.peg_diameter_mm is not None or known),
        )
        return next((name for name, is_said in wanted if not is_said), None)

    def on(self, base: Loom | None) -> Loom:
        """The board; what was left out is as on ``base``.

        :raises BadInput: for a measure that neither gives, or a board that cannot be.
        """
        if (name := self.lacking(base)) is not None:
            raise BadInput(
                f"the {name.replace('_', ' ')} is missing",
                hint="measure it on the board, centre to centre",
                place=Place(field=name),
            )

        def said(name: str) -> Any:
            own = getattr(self, name)
            return own if own is not None else getattr(base, name)

        return Loom(
            self._arrangement(base),
            said("pegs"),
            said("pitch_mm"),
            (self._gap_mm(base) if self._is_double(base) else None) or 0.0,
            said("peg_diameter_mm"),
            base.peg_height_mm if base is not None else _PEG_HEIGHT_MM,
            "your board",
        )

    def _arrangement(self, base: Loom | None) -> Arrangement:
        return self.arrangement or (base.arrangement if base else Arrangement.OPPOSED)

    def _is_double(self, base: Loom | None) -> bool:
        return self._arrangement(base) in (Arrangement.OPPOSED, Arrangement.OFFSET)

    def _gap_mm(self, base: Loom | None) -> float | None:
        if self.gap_mm is not None:
            return self.gap_mm
        return (base.gap_mm or None) if base is not None else None
