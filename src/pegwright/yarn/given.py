"""A yarn as somebody gives it: only what she says of it, the rest as of a yarn that is known."""

from __future__ import annotations

from dataclasses import dataclass, fields

from pegwright.errors import BadInput, Place
from pegwright.yarn.yarn import Yarn

__all__ = ["GivenYarn"]

_BALL_G = 100.0


@dataclass(frozen=True, slots=True)
class GivenYarn:
    """What was said of a yarn; None for what was left out.

    :param category: the number of its weight category.
    """

    category: int | None = None
    metres_per_100g: float | None = None
    wraps_per_inch: float | None = None
    wrapped_diameter_mm: float | None = None
    ball_g: float | None = None

    @property
    def is_empty(self) -> bool:
        """Whether nothing was said."""
        return all(getattr(self, field.name) is None for field in fields(self))

    def lacking(self, base: Yarn | None) -> str | None:
        """What neither this nor ``base`` says: ``category`` or ``metres_per_100g``."""
        if self._category(base) is None:
            return "category"
        return "metres_per_100g" if self._metres(base) is None else None

    def like(self, base: Yarn | None) -> Yarn:
        """The yarn; what was left out is as of ``base``.

        But another category has its own thickness and length, which are not taken over.

        :raises BadInput: where neither says how long a gram is, or for a figure that cannot be.
        """
        number, metres = self._category(base), self._metres(base)
        if number is None or metres is None:
            raise BadInput(
                "a yarn needs its weight category and its metres in 100 g",
                hint="see the ball band",
                place=Place(field=self.lacking(base)),
            )
        alike = self._alike(base)
        said = self.wrapped_diameter_mm is not None or self.wraps_per_inch is not None
        thick_mm = alike.wrapped_diameter_mm if alike and not said else self.wrapped_diameter_mm
        return Yarn(
            "your yarn",
            number,
            metres,
            ball_g=_BALL_G if self.ball_g is None else self.ball_g,
            wrapped_diameter_mm=thick_mm,
            wraps_per_inch=self.wraps_per_inch,
        )

    def _category(self, base: Yarn | None) -> int | None:
        return self.category if self.category is not None else base.category if base else None

    def _alike(self, base: Yarn | None) -> Yarn | None:
        return base if base is not None and base.category == self._category(base) else None

    def _metres(self, base: Yarn | None) -> float | None:
        alike = self._alike(base)
        return self.metres_per_100g or (alike.metres_per_100g if alike else None)
