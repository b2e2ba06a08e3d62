"""A finished pattern, written in English, said anew in another tongue.

Every text of a pattern that was made with :func:`pegwright.tongue.said.say` is said anew; what the
maker wrote herself (titles, names of sizes, yarns and colours) stays as it is.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

from pegwright.pattern.model import Pattern
from pegwright.tongue.tongue import Tongue

__all__ = ["said_in", "spoken"]

Value = TypeVar("Value")


def spoken(pattern: Pattern, tongue: Tongue) -> Pattern:
    """The pattern in a tongue."""
    return replace(said_in(pattern, tongue), language=tongue.language, tongue=tongue)


def said_in(value: Value, tongue: Tongue) -> Value:
    """A value of the document with all its texts in a tongue; what holds no text is the same."""
    return _said(value, tongue)  # type: ignore[no-any-return]


def _said(value: Any, tongue: Tongue) -> Any:
    if isinstance(value, str):
        return tongue.speak(value) if type(value) is not str else value
    if isinstance(value, tuple):
        if value and isinstance(value[0], int | float):
            return value
        if hasattr(value, "_fields"):
            return value  # a visit or a point: numbers
        told = tuple(_said(part, tongue) for part in value)
        return value if all(a is b for a, b in zip(told, value, strict=True)) else told
    if is_dataclass(value) and not isinstance(value, type | Tongue):
        changed = {}
        for one in fields(value):
            before = getattr(value, one.name)
            after = _said(before, tongue)
            if after is not before:
                changed[one.name] = after
        return replace(value, **changed) if changed else value
    return value
