"""Reads the options of a garment, which each garment names itself."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pegwright.designs.form import LEAST_MM, MOST_ROWS
from pegwright.designs.problems import Problems, nearest
from pegwright.errors import BadInput
from pegwright.garments.base import Garment, OptionKind, OptionSpec, OptionValue
from pegwright.units import UnitSystem, format_both, parse_length_mm

__all__ = ["read_options"]


def read_options(
    given: Mapping[str, Any], kind: Garment | None, problems: Problems
) -> dict[str, OptionValue]:
    """The options that the maker gave, lengths in mm; what cannot be goes to ``problems``."""
    options: dict[str, OptionValue] = {}
    if kind is None:
        return options
    specs = {spec.name: spec for spec in kind.options}
    for name, value in given.items():
        path = ("garment", name)
        if name not in specs:
            problems.refuse(
                path,
                f"the garment “{kind.name}” has no option “{name[:80]}”",
                given=name,
                hint=nearest(name, specs),
            )
            continue
        with problems.catch(path):
            options[name] = _value(value, specs[name])
    return options


def _value(value: object, spec: OptionSpec) -> OptionValue:
    match spec.kind:
        case OptionKind.CHOICE:
            return _choice(value, spec)
        case OptionKind.FLAG:
            if not isinstance(value, bool):
                raise _wrong("true or false is needed here", value, spec)
            return value
        case OptionKind.COUNT:
            return _count(value, spec)
        case OptionKind.LENGTH:
            return _length(value, spec)


def _choice(value: object, spec: OptionSpec) -> str:
    if not isinstance(value, str) or value not in spec.choices:
        raise BadInput(
            f"“{spec.name}” has no such choice",
            given=_shown(value),
            hint=nearest(_shown(value), spec.choices),
        )
    return value


def _count(value: object, spec: OptionSpec) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise _wrong("a whole number is needed here", value, spec)
    most = min(spec.most, MOST_ROWS)
    if not spec.least <= value <= most:
        raise _wrong(f"“{spec.name}” is a number from {spec.least:g} to {most:g}", value, spec)
    return value


def _length(value: object, spec: OptionSpec) -> float:
    if not isinstance(value, str):
        raise _wrong("a length with its unit is needed here, in quotes", value, spec)
    mm = parse_length_mm(value, allow_negative=spec.least < 0)
    if not spec.least <= mm <= spec.most or 0 < abs(mm) < LEAST_MM:
        low, high = (format_both(end, UnitSystem.INCHES) for end in (spec.least, spec.most))
        raise _wrong(f"“{spec.name}” is a length from {low} to {high}", value, spec)
    return mm


def _wrong(what: str, value: object, spec: OptionSpec) -> BadInput:
    return BadInput(what, given=_shown(value), hint=f"{spec.name}: {spec.words}")


def _shown(value: object) -> str:
    if isinstance(value, Mapping | list):
        return "a table" if isinstance(value, Mapping) else "a list"
    try:
        return str(value)
    except ValueError:  # a whole number with thousands of digits
        return "a number of thousands of digits"
