"""Numbers of several sizes in the trade's form: ``small (medium, large)``.

A :class:`Graded` holds one number a size and says itself inside a sentence's template:
``{columns}`` gives ``32 (34, 36)``, ``{strip_mm:length}`` gives both units, ``{n:+1}`` adds one.
Where all sizes agree, one number stands for all.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pegwright.errors import BadUse
from pegwright.tongue.said import Said, say, separator_of
from pegwright.tongue.tongue import Tongue
from pegwright.units import (
    UnitSystem,
    centimetres,
    format_mass,
    format_number,
    format_yarn_length,
    inches_on_tape,
)

__all__ = ["Graded", "in_sizes"]


class _InSizes(Said):
    """Texts of all sizes in one."""

    texts: tuple[str, ...]

    def spoken(self, tongue: Tongue, spec: str = "") -> str:  # noqa: ARG002
        return _bracketed([tongue.speak(text) for text in self.texts])


def in_sizes(texts: Sequence[str]) -> Said:
    """Texts of all sizes in one: the first, and the others in brackets; one where all agree."""
    made = _InSizes(_bracketed(texts))
    made.texts = tuple(texts)
    return made


def _bracketed(texts: Sequence[str]) -> str:
    if len(set(texts)) <= 1:
        return texts[0] if texts else ""
    return f"{texts[0]} ({separator_of(texts).join(texts[1:])})"


@dataclass(frozen=True, slots=True)
class Graded:
    """One number a size; lengths in mm."""

    values: tuple[float, ...]
    units: UnitSystem

    def counts(self, add: int = 0) -> Said:
        """The numbers as whole counts."""
        return in_sizes([format_number(v + add) for v in self.values])

    def length(self) -> Said:
        """The numbers as lengths in both units, the maker's own first."""
        inches = say("{number} in", number=self._each(inches_on_tape))
        metric = say("{number} cm", number=self._each(centimetres))
        first, second = inches, metric
        if self.units is not UnitSystem.INCHES:
            first, second = metric, inches
        if len(set(self.values)) > 1:
            # NOTE: lengths of several sizes in two units, such as 10 (11) in [25.4 (27.9) cm]
            return say("{first} [{second}]", first=first, second=second)
        return say("{first} ({second})", first=first, second=second)

    def _each(self, form: Callable[[float], str]) -> Said:
        """All sizes in one unit, whose name is said once after them."""
        return in_sizes([form(v) for v in self.values])

    def mass(self) -> Said:
        """The numbers as grams (or ounces first)."""
        return in_sizes([format_mass(v, self.units) for v in self.values])

    def yarn(self) -> Said:
        """The numbers, in metres, as yarn lengths in both units."""
        return in_sizes([format_yarn_length(v, self.units) for v in self.values])

    def spoken(self, tongue: Tongue, spec: str = "") -> str:
        """The numbers in a tongue, in the form that a field asks for."""
        return tongue.speak(self._said(spec))

    def __format__(self, spec: str) -> str:
        return str(self._said(spec))

    def _said(self, spec: str) -> Said:
        if spec == "":
            return self.counts()
        if spec == "length":
            return self.length()
        if spec[0] in "+-" and spec[1:].isdigit():
            return self.counts(int(spec))
        raise BadUse("no such form of a graded number", given=spec, hint="use length, or +1")
