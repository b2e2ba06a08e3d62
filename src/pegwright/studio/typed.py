"""Values as a form sends them, in the types that a design file has for them."""

from __future__ import annotations

import re

from pegwright.studio.designs.edits import Value
from pegwright.studio.designs.sheet import FieldKind
from pegwright.studio.designs.sheet_wraps import stops_of

__all__ = ["typed_value"]

_WHOLE = re.compile(r"[+-]?\d{1,15}")


def typed_value(value: Value, kind: FieldKind | None) -> Value:
    """The value for a field of this kind; None, which takes the key out, for an empty one.

    What cannot be a number stays text, and the reader of designs says what is wrong with it.
    """
    if not isinstance(value, str):
        return value
    plain = value.strip()
    if kind not in ("text", "name", "lines", None) and not plain:
        return None
    match kind:
        case "number":
            return _number(plain)
        case "count":
            return int(plain) if _WHOLE.fullmatch(plain) else plain
        case "choice" if _WHOLE.fullmatch(plain):
            return int(plain)
        case "choice" | "flag" if plain in ("true", "false"):
            return plain == "true"
        case "lines":
            return value.replace("\r\n", "\n") if plain else None
        case "stops":
            return stops_of(plain)
        case "sign":
            return value
        case "text" | "name":
            return plain
    return plain if kind is not None else value


def _number(plain: str) -> Value:
    if _WHOLE.fullmatch(plain):
        return int(plain)
    try:
        number = float(plain.replace(",", "."))
    except ValueError:
        return plain
    return number if number - number == 0 else plain
