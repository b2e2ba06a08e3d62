"""What changes with a design's garment: what the new one does not know goes, what it needs comes.

The measures that a size needs and does not have are those of a new design of that garment, so that
there is something to see at once.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from pegwright.designs.form import SizeForm
from pegwright.designs.starter import starter_text
from pegwright.garments.base import Garment
from pegwright.garments.registry import garment, takes_stripes
from pegwright.studio.designs.edits import Change, Deed
from pegwright.units import UnitSystem

__all__ = ["regarmented"]


def regarmented(data: Mapping[str, Any], name: str) -> list[Change]:
    """The changes that turn a design's data into one of this garment.

    :raises BadInput: for a garment that is not there.
    """
    kind = garment(name)
    return [Change(Deed.SET, ("design", "garment"), name), *_changes(data, kind)]


def _changes(data: Mapping[str, Any], kind: Garment) -> Iterator[Change]:
    design = _mapping(data.get("design"))
    if kind.wraps and design.get("wrap") not in (None, *kind.wraps, *_own_wraps(data)):
        yield Change(Deed.SET, ("design", "wrap"))
    options = {spec.name for spec in kind.options}
    for name in _mapping(data.get("garment")):
        if name not in options:
            yield Change(Deed.SET, ("garment", name))
    for part in _mapping(data.get("use")):
        if part not in kind.yarn_parts:
            yield Change(Deed.SET, ("use", part))
    if not takes_stripes(kind) and "stripes" in data:
        yield Change(Deed.SET, ("stripes",))
    yield from _measures(data, kind)


def _measures(data: Mapping[str, Any], kind: Garment) -> Iterator[Change]:
    known = {measure.name for measure in kind.measures}
    units = UnitSystem.INCHES
    if _mapping(data.get("design")).get("units") == "centimetres":
        units = UnitSystem.CENTIMETRES
    usual = tomllib.loads(starter_text(kind.name, units))["sizes"][0]
    sizes = data.get("sizes")
    for index, size in enumerate(sizes if isinstance(sizes, list) else []):
        given = _mapping(size)
        for name in given:
            if name not in known and name not in SizeForm.model_fields:
                yield Change(Deed.SET, ("sizes", index, name))
        for measure in kind.measures:
            if measure.required and measure.name not in given and "like" not in given:
                yield Change(Deed.SET, ("sizes", index, measure.name), usual[measure.name])


def _own_wraps(data: Mapping[str, Any]) -> list[object]:
    wraps = data.get("wraps")
    return [_mapping(w).get("name") for w in wraps] if isinstance(wraps, list) else []


def _mapping(value: object) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}
