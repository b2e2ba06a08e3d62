"""Changes to a design's text that leave everything else in it as its maker wrote it.

A **path** names a value as refusals do: dotted keys, places in a list counted from 1, such as
``sizes[2].head``.  Remarks, order and spacing stay; a value that is set anew keeps the remark
beside it.  Nothing here knows what fits a design: a value that does not is written all the same,
and the reader says what is wrong with it.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, InlineTable, Table
from tomlkit.toml_document import TOMLDocument

from pegwright.errors import BadInput, Place

__all__ = ["Change", "Deed", "Value", "changed", "path_of"]

Value = str | int | float | bool | None

_TABLES = (TOMLDocument, Table, InlineTable)
_PART = re.compile(r"([A-Za-z0-9_-]+|\"[^\"\n]*\")((?:\[\d{1,5}\])*)")
_CROWDED = re.compile(
    r"^((?!#).*\S.*\n)(\[{1,2}[A-Za-z0-9_-]+\]{1,2}[ \t]*(?:#.*)?$)", re.MULTILINE
)
_ORDER = ("pegwright", "design", "loom", "yarns", "use", "swatches", "garment", "stripes", "sizes",
          "wraps")  # fmt: skip
"""Groups in the order in which a design is usually written."""


class Deed(StrEnum):
    """What a change does."""

    SET = "set"  # a value; none takes the key out
    ADD = "add"  # a new row at the end of a list, with the values given
    REMOVE = "remove"  # a row of a list
    MOVE = "move"  # a row of a list to another place


@dataclass(frozen=True, slots=True)
class Change:
    """One change.

    :param path: of the value for SET, of the list for ADD, of the row for REMOVE and MOVE.
    :param value: SET: the value, None to take the key out.
    :param row: ADD: the values of the new row.
    :param to: MOVE: the new place, from 1.
    """

    deed: Deed
    path: tuple[str | int, ...]
    value: Value = None
    row: Mapping[str, Value] | None = None
    to: int = 0


def path_of(dotted: str) -> tuple[str | int, ...]:
    """A path from its text; lists are counted from 1 there and from 0 here.

    :raises BadInput: for what is no path.
    """
    path: list[str | int] = []
    at = 0
    while at < len(dotted):
        if at and dotted[at] != ".":
            break
        match = _PART.match(dotted, at + bool(at))
        if match is None:
            break
        path.append(match[1].strip('"'))
        path += [int(number) - 1 for number in re.findall(r"\d+", match[2])]
        at = match.end()
    if not path or at < len(dotted) or any(isinstance(p, int) and p < 0 for p in path):
        raise BadInput(
            "this does not name a part of a design", given=dotted, hint="as sizes[2].head"
        )
    return tuple(path)


def changed(text: str, changes: Sequence[Change]) -> str:
    """The text with the changes made, one after another.

    :raises BadInput: where the text is no TOML, or a change names a place that is not there.
    """
    try:
        document = tomlkit.parse(text)
    except (TOMLKitError, ValueError) as wrong:
        raise BadInput(
            "the text cannot be read, so the form cannot change it",
            given=str(wrong),
            hint="mend it under Text first",
        ) from None
    for change in changes:
        match change.deed:
            case Deed.SET:
                _set(document, change.path, change.value)
            case Deed.ADD:
                _add(document, change.path, change.row or {})
            case Deed.REMOVE:
                _remove(document, change.path)
            case Deed.MOVE:
                _move(document, change.path, change.to - 1)
    made = tomlkit.dumps(document)
    regrouped = made.count("[") != text.count("[") or any(c.deed is Deed.MOVE for c in changes)
    return _parted(made) if regrouped else made


def _parted(text: str) -> str:
    """The text with a blank line before every group, where that changes nothing else."""
    parted = _CROWDED.sub(r"\1\n\2", text)
    return parted if tomllib.loads(parted) == tomllib.loads(text) else text


# --- one change ----------------------------------------------------------------------------------


def _set(document: TOMLDocument, path: tuple[str | int, ...], value: Value) -> None:
    *way, key = path
    if not isinstance(key, str):
        raise _nowhere(path)
    holder = _found(document, way)
    if holder is None and value is not None:
        holder = _new_table(document, way, path)
    if holder is None:
        return
    if not isinstance(holder, _TABLES):
        raise _nowhere(path)
    if value is None:
        if key in holder:
            del holder[key]
    elif key in holder:
        holder[key] = value
    else:
        _append(holder, key, value)


def _append(holder: Any, key: str, value: Value) -> None:
    """A new key after the last one of a table, before what blank lines and remarks follow it."""
    if not isinstance(holder, Table):
        holder[key] = value
        return
    last = next(
        (k for k in reversed(list(holder.keys())) if not isinstance(holder[k], Table)), None
    )
    if last is None:
        holder[key] = value
        return
    holder.value._insert_after(last, key, tomlkit.item(value))


def _new_table(
    document: TOMLDocument, way: Sequence[str | int], path: tuple[str | int, ...]
) -> Any:
    """The table that a new key goes into: one group at the top, or one inside a row."""
    if len(way) == 1 and isinstance(way[0], str):
        _put_group(document, way[0], tomlkit.table())
        return document[way[0]]
    if way and isinstance(way[-1], str):
        around = _found(document, way[:-1])
        if isinstance(around, _TABLES):
            _append(around, way[-1], tomlkit.inline_table())  # type: ignore[arg-type]
            return around[way[-1]]
    raise _nowhere(path)


def _add(document: TOMLDocument, path: tuple[str | int, ...], row: Mapping[str, Value]) -> None:
    rows = _found(document, path)
    given = {key: value for key, value in row.items() if value is not None}
    if rows is None:
        if len(path) != 1 or not isinstance(path[0], str):
            raise _nowhere(path)
        rows = tomlkit.aot()
        rows.append(_table(given))
        _put_group(document, path[0], rows)
        return
    if isinstance(rows, AoT):
        rows.append(_table(given))
    elif isinstance(rows, Array):
        inline = tomlkit.inline_table()
        inline.update(given)
        rows.append(inline)
    else:
        raise _nowhere(path)


def _table(row: Mapping[str, Value]) -> Table:
    table = tomlkit.table()
    for key, value in row.items():
        table.add(key, value)
    return table


def _put_group(document: TOMLDocument, name: str, group: Table | AoT) -> None:
    """A new group, in its usual place where the file keeps the usual order, else at the end."""
    before = _ORDER[: _ORDER.index(name)] if name in _ORDER else _ORDER
    after = next((key for key in reversed(before) if key in document), None)
    keys = list(document.keys())
    if after is None or after == keys[-1] or not isinstance(document[after], Table | AoT):
        document.add(name, group)
        return
    document._insert_after(after, name, group)


def _remove(document: TOMLDocument, path: tuple[str | int, ...]) -> None:
    rows, place = _row(document, path)
    del rows[place]
    if not len(rows):
        _drop(document, path[:-1])


def _drop(document: TOMLDocument, path: tuple[str | int, ...]) -> None:
    holder = _found(document, path[:-1])
    if holder is not None and path[-1] in holder:
        del holder[path[-1]]


def _move(document: TOMLDocument, path: tuple[str | int, ...], to: int) -> None:
    rows, place = _row(document, path)
    if not 0 <= to < len(rows):
        raise _nowhere((*path[:-1], to))
    row = rows[place]
    del rows[place]
    rows.insert(to, row)


def _row(document: TOMLDocument, path: tuple[str | int, ...]) -> tuple[Any, int]:
    rows, place = _found(document, path[:-1]), path[-1]
    if not isinstance(rows, AoT | Array) or not isinstance(place, int) or place >= len(rows):
        raise _nowhere(path)
    return rows, place


def _found(document: TOMLDocument, path: Sequence[str | int]) -> Any:
    """What stands at a path, or None."""
    here: Any = document
    for part in path:
        if isinstance(part, int):
            if not isinstance(here, AoT | Array) or part >= len(here):
                return None
        elif not isinstance(here, _TABLES) or part not in here:
            return None
        here = here[part]
    return here


def _nowhere(path: Sequence[str | int]) -> BadInput:
    from pegwright.designs.outline import dotted

    return BadInput(
        "the design has no such place",
        given=dotted(tuple(path)),
        hint="reload the page",
        place=Place(field=dotted(tuple(path))),
    )
