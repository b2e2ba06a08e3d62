"""Reads plain data that came from a file: each field with its type, or a refusal that names it.

JSON is written in one way only (keys in order, no spaces), so that equal things have equal text.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import NoReturn, TypeVar

from pegwright.errors import BadInput, Place

__all__ = ["Fields", "json_text", "parsed"]

T = TypeVar("T")
Choice = TypeVar("Choice", bound=StrEnum)


def json_text(data: object) -> str:
    """Data as JSON, the same data always as the same text.

    :raises BadInput: for text that UTF-8 cannot write.
    """
    text = json.dumps(
        data, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False
    )
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise BadInput(
            "a text holds half a letter, which cannot be kept", hint="write it anew"
        ) from None
    return text


def parsed(text: str | bytes) -> Fields:
    """The object that a JSON text holds.

    :raises BadInput: where it holds none.
    """
    try:
        data = json.loads(text, parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise BadInput("this cannot be read as a record", given=str(text[:60])) from None
    return Fields(data)


class Fields:
    """An object of plain data, read field by field.

    :param data: what ought to be an object.
    :param path: the dotted path of the object, for refusals.
    """

    def __init__(self, data: object, path: str = "") -> None:
        if not isinstance(data, Mapping):
            raise BadInput(
                "fields are missing here", given=_shown(data), place=Place(field=path or None)
            )
        self.data: Mapping[str, object] = data
        self._path = path

    def text(self, name: str, default: str | None = None) -> str:
        """A text; ``default`` where the field is missing."""
        value = self.data.get(name, default)
        return value if isinstance(value, str) else self._wrong(name, "a text", value)

    def text_or_none(self, name: str) -> str | None:
        """A text, or None."""
        return None if self.data.get(name) is None else self.text(name)

    def number(self, name: str) -> float:
        """A finite number; whole ones stay whole."""
        value = self.data.get(name)
        if isinstance(value, bool) or not isinstance(value, int | float):
            return self._wrong(name, "a number", value)
        return value if _finite(value) else self._wrong(name, "a number", value)

    def number_or_none(self, name: str) -> float | None:
        """A finite number, or None."""
        return None if self.data.get(name) is None else self.number(name)

    def whole(self, name: str) -> int:
        """A whole number."""
        value = self.data.get(name)
        if isinstance(value, bool) or not isinstance(value, int) or abs(value) >= 2**53:
            return self._wrong(name, "a whole number", value)
        return value

    def flag(self, name: str) -> bool:
        """True or false."""
        value = self.data.get(name)
        return value if isinstance(value, bool) else self._wrong(name, "true or false", value)

    def choice(self, name: str, of: type[Choice]) -> Choice:
        """One of a few words."""
        value = self.text(name)
        try:
            return of(value)
        except ValueError:
            return self._wrong(name, f"one of {', '.join(of)}", value)

    def under(self, name: str) -> Fields:
        """The object in a field."""
        return Fields(self.data.get(name), self._at(name))

    def under_or_none(self, name: str, read: Callable[[Fields], T]) -> T | None:
        """What ``read`` makes of the object in a field, or None."""
        return None if self.data.get(name) is None else read(self.under(name))

    def each(self, name: str) -> tuple[Fields, ...]:
        """The objects of a list."""
        path = self._at(name)
        return tuple(Fields(one, f"{path}[{n}]") for n, one in enumerate(self._list(name), 1))

    def numbers(self, name: str) -> tuple[float, ...]:
        """A list of numbers."""
        listed = Fields(dict(_named(self._list(name))), self._at(name))
        return tuple(listed.number(key) for key in listed.data)

    def texts(self, name: str) -> tuple[str, ...]:
        """A list of texts."""
        listed = Fields(dict(_named(self._list(name))), self._at(name))
        return tuple(listed.text(key) for key in listed.data)

    def _list(self, name: str) -> list[object]:
        value = self.data.get(name)
        return value if isinstance(value, list) else self._wrong(name, "a list", value)

    def _at(self, name: str) -> str:
        return f"{self._path}.{name}" if self._path else name

    def _wrong(self, name: str, wanted: str, value: object) -> NoReturn:
        raise BadInput(
            f"{wanted} belongs here",
            given="nothing" if value is None else _shown(value),
            place=Place(field=self._at(name)),
        )


def _named(values: list[object]) -> list[tuple[str, object]]:
    return [(str(number), value) for number, value in enumerate(values, 1)]


def _finite(value: float) -> bool:
    try:
        return math.isfinite(value)
    except OverflowError:
        return False


def _shown(value: object) -> str:
    return ascii(value)[:60]


def _no_number(name: str) -> object:
    raise ValueError(name)
