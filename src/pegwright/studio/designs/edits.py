"""Changes to a design's text that leave everything else in it as its maker wrote it.

A **path** names a value as refusals do: dotted keys, places in a list counted from 1, such as
``sizes[2].head``.  Remarks, order and spacing stay; a value that is set anew keeps the remark
beside it, and one that stands there already is left as it is written.  Nothing here knows what fits
a design: a value that does not is written all the same, and the reader says what is wrong with it.

Where a table's keys are the maker's own words (:mod:`pegwright.studio.designs.entries`), its
entries are counted like rows: ``cost.others[2].name`` and ``cost.others[2].amount``.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import tomlkit
from tomlkit.container import OutOfOrderTableProxy
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, InlineTable, Table
from tomlkit.toml_document import TOMLDocument

from pegwright.designs.outline import dotted
from pegwright.designs.writer import toml_value
from pegwright.errors import BadInput, Place
from pegwright.studio.designs import entries

__all__ = ["Change", "Deed", "Value", "changed", "path_of"]

Value = str | int | float | bool | list[Any] | None

_TABLES = (TOMLDocument, Table, InlineTable, OutOfOrderTableProxy)
_PART = re.compile(r"([A-Za-z0-9_-]+|\"[^\"\n]*\")((?:\[\d{1,5}\])*)")
_CROWDED = re.compile(
    r"^((?!#).*\S.*\n)(\[{1,2}[A-Za-z0-9_-]+\]{1,2}[ \t]*(?:#.*)?$)", re.MULTILINE
)
_ORDER = ("pegwright", "design", "loom", "yarns", "use", "swatches", "garment", "stripes", "sizes",
          "wraps", "cost")  # fmt: skip
"""Groups in the order in which a design is usually written."""

_NEEDED = frozenset({("design",), ("loom",)})
"""Tables that stay when nothing is left in them."""


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
    :param value: SET: the value, None to take the key out; ADD: the row, where it is a list itself.
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
                _add(document, change.path, change.row or {}, change.value)
            case Deed.REMOVE:
                _remove(document, change.path)
            case Deed.MOVE:
                _move(document, change.path, change.to - 1)
    made = tomlkit.dumps(document)
    regrouped = made.count("[") != text.count("[") or any(c.deed is Deed.MOVE for c in changes)
    if not regrouped:
        return made
    if not text.endswith("\n\n"):
        made = made.rstrip("\n") + "\n"
    return _parted(made)


def _parted(text: str) -> str:
    """The text with a blank line before every group, where that changes nothing else."""
    parted = _CROWDED.sub(r"\1\n\2", text)
    return parted if tomllib.loads(parted) == tomllib.loads(text) else text


# --- one change ----------------------------------------------------------------------------------


def _set(document: TOMLDocument, path: tuple[str | int, ...], value: Value) -> None:
    *way, key = path
    if not isinstance(key, str):
        raise _nowhere(path)
    if entries.is_entry(path):
        _set_entry(document, path, value)
        return
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
            _tidy(document, tuple(way))
            _drop_if_empty(document, tuple(way))
    elif key not in holder:
        _append(holder, key, _item(value))
        _tidy(document, tuple(way))
    elif not _same(holder[key], value):
        holder[key] = _item(value)


def _same(there: Any, value: Value) -> bool:
    """Whether a value says already what it is to say, so that its writing can stay."""
    known = there.unwrap() if hasattr(there, "unwrap") else there
    return any(type(known) is type(new) and known == new for new in (value, _whole(value)))


def _whole(value: Value) -> Value:
    """A whole number without its point, as a design writes it."""
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return int(value)
    return value


def _item(value: Any) -> Any:
    """A value as it is written: courses of a wrap a line each, all else on one line."""
    value = _whole(value)
    if not isinstance(value, list):
        return tomlkit.item(value)
    text = toml_value(value)
    if value and all(isinstance(part, list) for part in value):
        text = "[\n" + "".join(f"  {toml_value(part)},\n" for part in value) + "]"
    return tomlkit.parse(f"x = {text}")["x"]


def _set_entry(document: TOMLDocument, path: tuple[str | int, ...], value: Value) -> None:
    table = _found(document, path[:-2])
    if not isinstance(table, _TABLES):
        raise _nowhere(path)
    place = path[-2]
    keys = list(table.keys())
    if not isinstance(place, int) or place >= len(keys) or path[-1] not in entries.FIELDS:
        raise _nowhere(path)
    if path[-1] == entries.NAME:
        entries.rename(table, keys[place], value, dotted(path))
    elif not _same(table[keys[place]], value):
        table[keys[place]] = _item("" if value is None else value)


def _tidy(document: TOMLDocument, path: tuple[str | int, ...]) -> None:
    """The inline table at a path, that gained or lost a key, with its blanks as usual."""
    table = _found(document, path)
    if not isinstance(table, InlineTable):
        return
    pairs = [(key, value) for key, value in table.value.body if key is not None]
    if not pairs or any(key.is_dotted() for key, _ in pairs):
        return
    written = table.as_string()
    blank = "" if written[1] not in " \n" and len(pairs) > 1 else " "
    inside = ", ".join(f"{key.as_string()}{key.sep}{value.as_string()}" for key, value in pairs)
    _found(document, path[:-1])[path[-1]] = tomlkit.parse(f"x = {{{blank}{inside}{blank}}}")["x"]


def _tidy_list(document: TOMLDocument, path: tuple[str | int, ...]) -> None:
    """A list on one line that lost a row without the comma that it left behind."""
    rows = _found(document, path)
    if not isinstance(rows, Array) or "\n" in (written := rows.as_string()):
        return
    blank = " " if written[1] == " " else ""
    inside = ", ".join(row.as_string() for row in rows)
    _found(document, path[:-1])[path[-1]] = tomlkit.parse(f"x = [{blank}{inside}{blank}]")["x"]


def _drop_if_empty(document: TOMLDocument, path: tuple[str | int, ...]) -> None:
    """Take out a table in which nothing is left, not even a remark; a row stays."""
    if not path or not isinstance(path[-1], str) or path in _NEEDED:
        return
    table = _found(document, path)
    if not isinstance(table, Table | InlineTable) or len(table) or "#" in table.as_string():
        return
    around = _found(document, path[:-1])
    del around[path[-1]]
    _tidy(document, path[:-1])
    _drop_if_empty(document, path[:-1])


def _append(holder: Any, key: str, value: Any) -> None:
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
    holder.value._insert_after(last, key, value)


def _new_table(
    document: TOMLDocument, way: Sequence[str | int], path: tuple[str | int, ...]
) -> Any:
    """The table that a new key goes into: one group at the top, or one inside a row or a group."""
    if len(way) == 1 and isinstance(way[0], str):
        _put_group(document, way[0], tomlkit.table())
        return document[way[0]]
    if way and isinstance(way[-1], str):
        around = _found(document, way[:-1])
        if around is None and len(way) > 1:
            around = _new_table(document, way[:-1], path)
        if isinstance(around, _TABLES):
            _append(around, way[-1], tomlkit.inline_table())
            return around[way[-1]]
    raise _nowhere(path)


def _add(
    document: TOMLDocument, path: tuple[str | int, ...], row: Mapping[str, Value], listed: Value
) -> None:
    rows = _found(document, path)
    given = {key: value for key, value in row.items() if value is not None}
    if path in entries.TABLES:
        table = _new_table(document, path, path) if rows is None else rows
        if not isinstance(table, _TABLES):
            raise _nowhere(path)
        name, amount = entries.new(table, given, dotted(path))
        _append(table, name, _item(amount))
        _tidy(document, path)
    elif rows is None and len(path) == 1 and isinstance(path[0], str):
        rows = tomlkit.aot()
        rows.append(_table(given))
        _put_group(document, path[0], rows)
    elif rows is None and isinstance(listed, list):
        _set(document, path, [listed])
    elif isinstance(rows, AoT) and not isinstance(listed, list):
        rows.append(_table(given))
    elif isinstance(rows, Array):
        rows.append(_item(listed) if isinstance(listed, list) else _inline(given))
    else:
        raise _nowhere(path)


def _table(row: Mapping[str, Value]) -> Table:
    table = tomlkit.table()
    for key, value in row.items():
        table.add(key, _item(value))
    return table


def _inline(row: Mapping[str, Any]) -> Any:
    return tomlkit.parse(f"x = {toml_value(dict(row))}")["x"]


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
    """Take out a row, and with the last one its list; a list in a list is a row itself."""
    *way, place = path
    if tuple(way) in entries.TABLES and isinstance(place, int):
        table = _found(document, way)
        keys = list(table.keys()) if isinstance(table, _TABLES) else []
        if place >= len(keys):
            raise _nowhere(path)
        del table[keys[place]]
        _tidy(document, tuple(way))
        _drop_if_empty(document, tuple(way))
        return
    rows, place = _row(document, path)
    del rows[place]
    if len(rows):
        _tidy_list(document, tuple(way))
        return
    if isinstance(way[-1], int):
        _remove(document, tuple(way))
    else:
        holder = _found(document, way[:-1])
        del holder[way[-1]]


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
    return BadInput(
        "the design has no such place",
        given=dotted(tuple(path)),
        hint="reload the page",
        place=Place(field=dotted(tuple(path))),
    )
