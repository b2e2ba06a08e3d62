"""All that is wrong with a design, collected so that a maker can mend it in one go."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from types import TracebackType

from pegwright.designs.outline import Outline, Path
from pegwright.errors import BadInput, PegwrightError, Place

__all__ = ["DesignRefused", "Problems", "nearest"]

_KEY_OF_FIELD = {
    "ball_g": "ball",
    "wrapped_diameter_mm": "diameter",
    "stretches": "colours",
    "length_m": "colours",
    "offset_m": "colour_offset",
    "drift": "colour_drift",
}
"""Keys of the file that have another name inside."""


class DesignRefused(BadInput):
    """A design with one or more problems: the first in the file, and the others behind it."""

    def __init__(self, first: PegwrightError, others: Iterable[PegwrightError] = ()) -> None:
        self.others = tuple(others)
        super().__init__(first.what, given=first.given, hint=first.hint, place=first.place)

    def __str__(self) -> str:
        text = super().__str__()
        if not self.others:
            return text
        return f"{text}\n  and {len(self.others)} more"

    def as_data(self) -> dict[str, object]:
        """As every error's, with ``more``: the further problems in the same shape."""
        return {**super().as_data(), "more": [other.as_data() for other in self.others]}


class Problems:
    """Collects refusals, each with the path of what it is about."""

    def __init__(self, outline: Outline) -> None:
        self._outline = outline
        self._found: list[PegwrightError] = []

    def __len__(self) -> int:
        return len(self._found)

    def add(self, path: Path, error: PegwrightError) -> None:
        """Keep a refusal; a field that it names itself is looked for beneath ``path``."""
        named = error.place.field if error.place else None
        if named:
            below = (*path, _KEY_OF_FIELD.get(named, named))
            if self._outline.line(below) != self._outline.line(path):
                path = below
        error.place = self._outline.place(path)
        self._found.append(error)

    def refuse(self, path: Path, what: str, given: object = None, hint: str | None = None) -> None:
        """Keep a refusal in these words."""
        self.add(path, BadInput(what, given=given, hint=hint))

    def catch(self, path: Path) -> _Catch:
        """Keep the refusal that the block raises, if it does."""
        return _Catch(self, path)

    def raise_if_any(self) -> None:
        """End here where anything was found.

        :raises DesignRefused: with the problem that stands first in the file at its head.
        """
        if not self._found:
            return
        first, *others = sorted(self._found, key=_line)
        raise DesignRefused(first, others)


class _Catch:
    """Swallows a refusal into a collection; anything else goes on its way."""

    def __init__(self, problems: Problems, path: Path) -> None:
        self._problems = problems
        self._path = path

    def __enter__(self) -> None:
        return None

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> bool:
        if not isinstance(error, PegwrightError):
            return False
        self._problems.add(self._path, error)
        return True


def _line(error: PegwrightError) -> int:
    return (error.place.line if error.place else None) or 0


def check_size(name: str, known: Iterable[str], field: str = "size") -> None:
    """See that a design has a size of that name.

    :raises BadInput: at the field, with the nearest name that it has.
    """
    names = list(known)
    if name not in names:
        raise BadInput(
            "the design has no such size",
            given=name,
            hint=nearest(name, names),
            place=Place(field=field),
        )


def nearest(word: str, known: Iterable[str], otherwise: str = "one of") -> str:
    """A hint: the known word that is nearest, or all of them."""
    names = list(known)
    near = difflib.get_close_matches(word[:80], names, n=1, cutoff=0.5)
    if near:
        return f"did you mean “{near[0]}”?"
    return f"{otherwise}: {', '.join(names)}" if names else "leave it out"
