"""Tables of a design whose keys are the maker's own words, changed entry by entry.

Such a table holds what else is bought, by name: ``others = { label = 0.40 }``.  Its entries are
counted in the order of the text; each has a **name**, which is its key, and an **amount**.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tomlkit.container import OutOfOrderTableProxy
from tomlkit.items import InlineTable, Item, SingleKey, Table

from pegwright.errors import BadInput, Place

__all__ = ["AMOUNT", "FIELDS", "NAME", "TABLES", "is_entry", "new", "rename"]

TABLES = frozenset({("cost", "others")})
"""The tables that are meant."""

NAME = "name"
AMOUNT = "amount"
FIELDS = frozenset({NAME, AMOUNT})


def is_entry(path: tuple[str | int, ...]) -> bool:
    """Whether a path names a field of an entry."""
    return len(path) > 2 and path[:-2] in TABLES and isinstance(path[-2], int)


def rename(table: Any, key: str, name: object, field: str) -> None:
    """Give an entry another name; its place, its amount and the remark beside it stay.

    :raises BadInput: where the name is empty or that of another entry.
    """
    if name == key:
        return
    fresh = _free_name(table, name, field)
    parts = table._tables if isinstance(table, OutOfOrderTableProxy) else [table]
    for part in parts:  # written with dotted keys, it is a table a line
        if isinstance(part, Table | InlineTable) and key in part:
            known = part.value.item(key)
            assert isinstance(known, Item)  # a number, or what was typed in its place
            part.value._replace(key, _key(part, key, fresh), known)
            return


def _key(part: Table | InlineTable, key: str, fresh: str) -> SingleKey:
    """The new key with the blanks round its equals sign as they were."""
    known = next(k for k, _ in part.value.body if k is not None and k.key == key)
    written = known.as_string()
    return SingleKey(fresh, sep=written[len(written.rstrip()) :] + known.sep)


def new(table: Any, row: Mapping[str, object], field: str) -> tuple[str, object]:
    """The name and the amount of a new entry; nothing to pay where no amount is given.

    :raises BadInput: where the name is empty or that of another entry.
    """
    return _free_name(table, row.get(NAME, ""), field), row.get(AMOUNT, 0)


def _free_name(table: Any, name: object, field: str) -> str:
    plain = " ".join(str(name or "").split())
    if not plain:
        raise BadInput(
            "say what it is",
            hint="give it a name, or remove it",
            place=Place(field=field),
        )
    if plain in table:
        raise BadInput(
            "something of this name is bought already",
            given=plain,
            hint="name them apart",
            place=Place(field=field),
        )
    return plain
