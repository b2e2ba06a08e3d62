"""Numbers of several sizes in the trade's form: ``small (medium, large)``.

A :class:`Graded` holds one number a size and formats itself inside a sentence template:
``{columns}`` gives ``32 (34, 36)``, ``{strip_mm:length}`` gives both units, ``{n:+1}`` adds one.
Where all sizes agree, one number stands for all.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pegwright.errors import BadUse
from pegwright.units import (
    UnitSystem,
    format_cm,
    format_inches,
    format_mass,
    format_number,
    format_yarn_length,
)

__all__ = ["Graded", "in_sizes"]

_CM = " cm"
_INCHES = " in"


def in_sizes(texts: Sequence[str]) -> str:
    """Texts of all sizes in one: the first, and the others in brackets; one where all agree."""
    if len(set(texts)) <= 1:
        return texts[0] if texts else ""
    return f"{texts[0]} ({', '.join(texts[1:])})"


@dataclass(frozen=True, slots=True)
class Graded:
    """One number a size; lengths in mm."""

    values: tuple[float, ...]
    units: UnitSystem

    def counts(self, add: int = 0) -> str:
        """The numbers as whole counts."""
        return in_sizes([format_number(v + add) for v in self.values])

    def length(self) -> str:
        """The numbers as lengths in both units, the maker's own first."""
        inches = self._unit(format_inches, _INCHES)
        metric = self._unit(format_cm, _CM)
        if self.units is UnitSystem.INCHES:
            return f"{inches} [{metric}]" if len(set(self.values)) > 1 else f"{inches} ({metric})"
        return f"{metric} [{inches}]" if len(set(self.values)) > 1 else f"{metric} ({inches})"

    def _unit(self, form: Callable[[float], str], unit: str) -> str:
        """All sizes in one unit, the unit's name said once."""
        return in_sizes([form(v).removesuffix(unit) for v in self.values]) + unit

    def mass(self) -> str:
        """The numbers as grams (or ounces first)."""
        return in_sizes([format_mass(v, self.units) for v in self.values])

    def yarn(self) -> str:
        """The numbers, in metres, as yarn lengths in both units."""
        return in_sizes([format_yarn_length(v, self.units) for v in self.values])

    def __format__(self, spec: str) -> str:
        if spec == "":
            return self.counts()
        if spec == "length":
            return self.length()
        if spec[0] in "+-" and spec[1:].isdigit():
            return self.counts(int(spec))
        raise BadUse("no such form of a graded number", given=spec, hint="use length, or +1")
