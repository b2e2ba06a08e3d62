"""The published JSON Schema of design files (draft 2020-12).

It is generated from the form and from what each garment says of its measures and options, so it
cannot fall behind them.  It checks the data that a TOML reader gives.
"""

from __future__ import annotations

import json
from typing import Any

from pegwright.designs.form import DesignForm
from pegwright.garments.base import Garment, Measure, OptionKind, OptionSpec
from pegwright.garments.registry import garments, takes_stripes
from pegwright.units import UnitSystem, format_both

__all__ = ["design_schema", "schema_text"]

_DIALECT = "https://json-schema.org/draft/2020-12/schema"
_LENGTH = {"type": "string", "minLength": 2, "maxLength": 64}


def schema_text() -> str:
    """The schema as JSON text, the same on every machine."""
    return json.dumps(design_schema(), indent=2, ensure_ascii=False) + "\n"


def design_schema() -> dict[str, Any]:
    """The schema as plain data."""
    schema = DesignForm.model_json_schema(mode="validation")
    _tidy(schema)
    definitions = schema.pop("$defs")
    kinds = garments()
    table = definitions["DesignTable"]["properties"]
    table["garment"]["examples"] = list(kinds)
    return {
        "$schema": _DIALECT,
        "title": "Pegwright design",
        **{key: value for key, value in schema.items() if key != "title"},
        "allOf": [_for_garment(kind, definitions["SizeForm"]) for kind in kinds.values()],
        "$defs": definitions,
    }


def _for_garment(kind: Garment, size: dict[str, Any]) -> dict[str, Any]:
    """What holds where the design's garment is this one."""
    chosen = {"properties": {"garment": {"const": kind.name}}, "required": ["garment"]}
    options = {spec.name: _option(spec) for spec in kind.options}
    measures = {measure.name: _measure(measure) for measure in kind.measures}
    parts = {part: {"type": "string"} for part in kind.yarn_parts}
    required = [measure.name for measure in kind.measures if measure.required]
    sizes = {
        "properties": {**dict.fromkeys(size["properties"], True), **measures},
        "additionalProperties": False,
        # A size that is like another may take its measures from there.
        "anyOf": [{"required": required}, {"required": ["like"]}],
    }
    then: dict[str, Any] = {
        "garment": {"properties": options, "additionalProperties": False},
        "sizes": {"items": sizes},
        "use": {"properties": parts, "additionalProperties": False},
    }
    if not takes_stripes(kind):
        then["stripes"] = {"maxItems": 0}
    return {
        "if": {"properties": {"design": chosen}, "required": ["design"]},
        "then": {"properties": then},
    }


def _measure(measure: Measure) -> dict[str, Any]:
    low, high = (format_both(mm, UnitSystem.INCHES) for mm in (measure.least_mm, measure.most_mm))
    return {**_LENGTH, "description": f"{measure.words}: a length from {low} to {high}"}


def _option(spec: OptionSpec) -> dict[str, Any]:
    words: dict[str, Any] = {"description": spec.words}
    match spec.kind:
        case OptionKind.CHOICE:
            return {"enum": list(spec.choices), **words}
        case OptionKind.FLAG:
            return {"type": "boolean", **words}
        case OptionKind.COUNT:
            return {
                "type": "integer",
                "minimum": int(spec.least),
                "maximum": int(spec.most),
                **words,
            }
        case OptionKind.LENGTH:
            return {**_LENGTH, **words}


def _tidy(node: object) -> None:
    """Drop titles that only repeat a key, choices with null (TOML has none), and their defaults."""
    if isinstance(node, list):
        for part in node:
            _tidy(part)
    if not isinstance(node, dict):
        return
    properties = node.get("properties")
    if isinstance(properties, dict):
        for name, value in properties.items():
            if isinstance(value, dict):
                value.pop("title", None)
                properties[name] = _without_null(value)
    for value in node.values():
        _tidy(value)


def _without_null(value: dict[str, Any]) -> dict[str, Any]:
    choices = value.get("anyOf", [])
    others = [choice for choice in choices if choice != {"type": "null"}]
    if len(others) != 1 or len(choices) == 1:
        return value
    rest = {k: v for k, v in value.items() if k != "anyOf"}
    if rest.get("default", ...) is None:
        del rest["default"]
    return {**others[0], **rest}
