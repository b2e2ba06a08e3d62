"""Changes as a design's form asks for them, made into changes of its text.

Values come in the types of their fields.  Some changes bring others along: another garment its own
fields (:mod:`pegwright.studio.designs.regarment`), another name of a yarn, a size or a wrap all
places that call it so, and a new wrap everything that the wrap in use has.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Any, Literal

from pydantic import Field

from pegwright.designs.form import WrapForm
from pegwright.designs.writer import wrap_values
from pegwright.knitting.wraps import SHIPPED
from pegwright.studio.designs.edits import Change, Deed, Value, path_of
from pegwright.studio.designs.regarment import regarmented
from pegwright.studio.designs.sheet import SheetGroup, all_fields, kind_at, kind_in_new_row, sheet
from pegwright.studio.shapes import Asked
from pegwright.studio.typed import typed_value

__all__ = ["ChangeAsked", "changes_of"]

_Path = tuple[str | int, ...]


class ChangeAsked(Asked):
    """One change: a value to set, or a row to add, remove or move."""

    do: Literal["set", "add", "remove", "move"] = "set"
    path: Annotated[str, Field(min_length=1, max_length=200)]
    value: str | bool | int | float | None = None
    row: dict[str, str | bool | int | float | None] | None = Field(default=None, max_length=40)
    to: Annotated[int, Field(ge=1, le=2000)] = 1


def changes_of(data: Mapping[str, Any], asked: Sequence[ChangeAsked]) -> list[Change]:
    """The changes of a design's text that were asked for, one after another.

    :param data: what the text says now.
    :raises BadInput: for what names no part of a design, or no garment.
    """
    groups = sheet(data)
    changes: list[Change] = []
    for one in asked:
        changes += _changes(data, groups, one)
    return changes


def _changes(
    data: Mapping[str, Any], groups: Sequence[SheetGroup], asked: ChangeAsked
) -> Iterator[Change]:
    path = path_of(asked.path)
    if asked.do == "set" and path == ("design", "garment") and isinstance(asked.value, str):
        yield from regarmented(data, asked.value)
    elif asked.do == "add":
        yield _added(data, groups, asked, path)
    else:
        value = _typed(groups, asked, path)
        yield Change(Deed(asked.do), path, value, to=asked.to)
        if asked.do == "set":
            yield from _followed(data, path, value)


def _typed(groups: Sequence[SheetGroup], asked: ChangeAsked, path: _Path) -> Value:
    """The value in the type of its field; an emptied field goes, but for a text that must be."""
    field = next((field for field in all_fields(groups) if field.path == asked.path), None)
    if field is None:  # in a row that is added together with it
        return typed_value(asked.value, kind_in_new_row(path[:-1], str(path[-1])))
    value = typed_value(asked.value, field.kind)
    return None if value == "" and not field.required else value


# --- new rows ------------------------------------------------------------------------------------


def _added(
    data: Mapping[str, Any], groups: Sequence[SheetGroup], asked: ChangeAsked, path: _Path
) -> Change:
    row: dict[str, Value] = {}
    for key, value in (asked.row or {}).items():
        kind = kind_at(groups, f"{asked.path}[1].{key}") or kind_in_new_row(path, key)
        row[key] = typed_value(value, kind)
    if path == ("wraps",):
        return Change(Deed.ADD, path, row={**_wrap_in_use(data), **row})
    if len(path) == 3 and path[0] == "wraps" and path[2] == "courses":  # a course is its passes
        return Change(Deed.ADD, path, value=[row])
    return Change(Deed.ADD, path, row=row)


def _wrap_in_use(data: Mapping[str, Any]) -> Mapping[str, Any]:
    """The wrap that the design names, of the maker's own or of those that come along."""
    design = data.get("design")
    table = design if isinstance(design, Mapping) else {}
    wanted = table.get("wrap") or _usual_wrap(table.get("garment"))
    for own in _rows(data, "wraps"):
        if own.get("name") == wanted:
            return own
    known = next((wrap for wrap in SHIPPED if wrap.name == wanted), SHIPPED[0])
    fields = WrapForm.model_fields
    values = wrap_values(known).items()
    return {key: value for key, value in values if value != fields[key].default}


def _usual_wrap(name: object) -> str:
    from pegwright.errors import PegwrightError
    from pegwright.garments.registry import garment

    try:
        return next(iter(garment(str(name)).wraps), "")
    except PegwrightError:
        return ""


# --- names that are used elsewhere ---------------------------------------------------------------


def _followed(data: Mapping[str, Any], path: _Path, name: Value) -> Iterator[Change]:
    """The places that call a yarn, a size or a wrap by the name that it had."""
    if len(path) != 3 or path[2] != "name" or not isinstance(path[1], int) or not name:
        return
    group = str(path[0])
    names = [row.get("name") for row in _rows(data, group)]
    before = names[path[1]] if path[1] < len(names) else None
    if not isinstance(before, str) or names.count(before) != 1 or name in names:
        return
    for place, called in _calls(data, group):
        if called == before:
            yield Change(Deed.SET, place, name)


def _calls(data: Mapping[str, Any], group: str) -> Iterator[tuple[_Path, object]]:
    """Every place of a design that calls a row of this group by its name, and what stands there."""
    match group:
        case "yarns":
            use = data.get("use")
            for part, called in use.items() if isinstance(use, Mapping) else ():
                yield ("use", part), called
            for index, stripe in enumerate(_rows(data, "stripes")):
                yield ("stripes", index, "yarn"), stripe.get("yarn")
        case "sizes":
            for index, size in enumerate(_rows(data, "sizes")):
                yield ("sizes", index, "like"), size.get("like")
        case "wraps":
            design = data.get("design")
            yield (
                ("design", "wrap"),
                design.get("wrap") if isinstance(design, Mapping) else None,
            )


def _rows(data: Mapping[str, Any], name: str) -> list[Mapping[str, Any]]:
    """The rows of a list, each in its place; what is no row counts as an empty one."""
    rows = data.get(name)
    listed = rows if isinstance(rows, list) else []
    return [row if isinstance(row, Mapping) else {} for row in listed]
