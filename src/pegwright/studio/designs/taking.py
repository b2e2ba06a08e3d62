"""Between a design and the library: a record is taken in, or part of the design is kept there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pegwright.designs.form import YarnForm
from pegwright.designs.model import Design
from pegwright.designs.writer import length_text, yarn_values
from pegwright.errors import BadInput, PegwrightError
from pegwright.garments.registry import garment
from pegwright.library.records import Body, OwnBoard, OwnPerson, OwnSwatch, OwnYarn, Record
from pegwright.measured import Measured
from pegwright.sizing.people import Person
from pegwright.studio.designs.edits import Change, Deed, Value
from pegwright.units import UnitSystem
from pegwright.yarn.colour import ColourRun
from pegwright.yarn.yarn import Yarn

__all__ = ["body_kept", "renamed", "taken", "yarn_in_place"]


def taken(data: Mapping[str, Any], record: Record, row: int | None = None) -> list[Change]:
    """The changes that take a record into a design.

    :param row: for a yarn, the yarn that it takes the place of, from 1; None adds it.
    :raises BadInput: for a record that no design has a place for.
    """
    design = data.get("design")
    units = UnitSystem.INCHES
    if isinstance(design, Mapping) and design.get("units") == str(UnitSystem.CENTIMETRES):
        units = UnitSystem.CENTIMETRES
    match record.body:
        case OwnBoard():
            return _set(("loom",), _board(record.body, units))
        case OwnYarn(yarn=yarn, colour_run=run):
            return yarn_in_place(data, yarn, units, row, run)
        case OwnPerson():
            return [_person(data, record.body, units)]
        case OwnSwatch():
            return [Change(Deed.ADD, ("swatches",), row=_swatch(record.body, units))]
    raise BadInput(f"a {record.kind} has no place in a design", given=record.name)


def body_kept(design: Design, part: str, row: int = 1) -> Body:
    """Part of a design as the body of a record.

    :param part: the group's key; ``row`` is which of its rows, from 1.
    :raises BadInput: where there is no such row.
    """
    yarns = list(design.yarns.values())
    rows = {"loom": 1, "yarns": len(yarns), "sizes": len(design.sizes)}
    if row > rows.get(part, len(design.swatches)):
        raise BadInput("the design has no such row", given=f"{part}[{row}]", hint="reload the page")
    match part:
        case "loom":
            usual = design.slack == Measured(1.0, 0.05)  # what holds where the design says nothing
            return OwnBoard(design.loom, None if usual else design.slack)
        case "yarns":
            return OwnYarn(yarns[row - 1])
        case "sizes":
            size = design.sizes[row - 1]
            return OwnPerson(Person(size.name, str(size.wearer), size.measures))
    return OwnSwatch(design.swatches[row - 1], wrap=design.wrap.name)


def _set(path: tuple[str | int, ...], values: Mapping[str, Value]) -> list[Change]:
    return [Change(Deed.SET, (*path, key), value) for key, value in values.items()]


def _board(own: OwnBoard, units: UnitSystem) -> dict[str, Value]:
    loom = own.loom
    return {
        "name": loom.name,
        "arrangement": str(loom.arrangement),
        "pegs": loom.pegs,
        "pitch": length_text(loom.pitch_mm, units),
        "gap": length_text(loom.gap_mm, units) if loom.is_double else None,
        "peg_diameter": length_text(loom.peg_diameter_mm, units),
        "peg_height": length_text(loom.peg_height_mm, units),
        "slack": None if own.slack is None else own.slack.value,
        "slack_sd": None if own.slack is None else own.slack.sd,
    }


def yarn_in_place(
    data: Mapping[str, Any],
    yarn: Yarn,
    units: UnitSystem,
    row: int | None,
    colour_run: ColourRun | None = None,
) -> list[Change]:
    """The changes that put a yarn in the place of another, from 1; None adds it.

    All that the design said of the old yarn goes with it: how much there is, its price, its sample.
    """
    values: dict[str, Value] = dict.fromkeys(YarnForm.model_fields)
    written = yarn_values(yarn, units, colour_run).items()
    values |= {key: value for key, value in written if isinstance(value, str | int | float)}
    yarns = data.get("yarns")
    if row is None or not isinstance(yarns, list) or row > len(yarns):
        return [Change(Deed.ADD, ("yarns",), row=values)]
    old = yarns[row - 1]
    changes = _set(("yarns", row - 1), values)
    if isinstance(old, Mapping):
        changes += renamed(data, old.get("name"), yarn.name)
    return changes


def renamed(data: Mapping[str, Any], old: object, new: Value) -> list[Change]:
    """Wherever the old yarn was named, the new one is."""
    use, stripes = data.get("use"), data.get("stripes")
    parts = use.items() if isinstance(use, Mapping) else ()
    changes = [Change(Deed.SET, ("use", part), new) for part, name in parts if name == old]
    for index, stripe in enumerate(stripes if isinstance(stripes, list) else ()):
        if isinstance(stripe, Mapping) and stripe.get("yarn") == old:
            changes.append(Change(Deed.SET, ("stripes", index, "yarn"), new))
    return changes


def _person(data: Mapping[str, Any], own: OwnPerson, units: UnitSystem) -> Change:
    person = own.person
    design = data.get("design")
    try:
        kind = garment(str(design.get("garment")) if isinstance(design, Mapping) else "")
        wanted = {measure.name for measure in kind.measures}
    except PegwrightError:
        wanted = set(person.measures)
    row: dict[str, Value] = {"name": person.name, "wearer": person.wearer}
    for name, mm in person.measures.items():
        if name in wanted:
            row[name] = length_text(mm, units)
    return Change(Deed.ADD, ("sizes",), row=row)


def _swatch(own: OwnSwatch, units: UnitSystem) -> dict[str, Value]:
    swatch = own.swatch
    return {
        "stitches": swatch.stitches,
        "width": length_text(swatch.width.value, units),
        "rows": swatch.rows,
        "length": length_text(swatch.length.value, units),
        "washed": swatch.washed,
        "note": swatch.note or None,
        "width_sd": length_text(swatch.width.sd, units) if swatch.width.sd else None,
        "length_sd": length_text(swatch.length.sd, units) if swatch.length.sd else None,
    }
