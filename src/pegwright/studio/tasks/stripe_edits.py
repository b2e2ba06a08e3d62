"""Stripes as changes to a design's text, so that the rest of it stays as its maker wrote it."""

from __future__ import annotations

from collections.abc import Iterator

from pegwright.designs.form import YarnForm
from pegwright.designs.model import Design
from pegwright.designs.writer import digits, yarn_values
from pegwright.studio.designs.edits import Change, Deed, Value

__all__ = ["stripe_changes"]

_STAYS = frozenset({"price"})
"""What a design says of a yarn that no weighing changes."""


def stripe_changes(before: Design, after: Design) -> list[Change]:
    """The changes that turn one design into the other, which has other stripes and yarns.

    :param after: as :func:`pegwright.designs.striping.with_stripes` gives it.
    """
    changes = [change for name in after.yarns for change in _yarn(before, after, name)]
    if "rows" in before.options:
        changes.append(Change(Deed.SET, ("garment", "rows")))
    changes.append(Change(Deed.SET, ("stripes",)))
    changes += [
        Change(Deed.ADD, ("stripes",), row={"yarn": stripe.yarn, "rows": stripe.rows})
        for stripe in after.stripes
    ]
    return changes


def _yarn(before: Design, after: Design, name: str) -> Iterator[Change]:
    values = _values(after, name)
    if name not in before.yarns:
        yield Change(Deed.ADD, ("yarns",), row=values)
        return
    path = ("yarns", list(before.yarns).index(name))
    if before.yarns[name] != after.yarns[name] or (
        before.colour_runs.get(name) != after.colour_runs.get(name)
    ):
        for key in YarnForm.model_fields:
            if key not in _STAYS:
                yield Change(Deed.SET, (*path, key), values.get(key))
    elif before.available_g.get(name) != after.available_g.get(name):
        yield Change(Deed.SET, (*path, "available"), values["available"])


def _values(design: Design, name: str) -> dict[str, Value]:
    found = yarn_values(design.yarns[name], design.units, design.colour_runs.get(name))
    values: dict[str, Value] = {
        key: value for key, value in found.items() if isinstance(value, str | int | float)
    }
    if (grams := design.available_g.get(name)) is not None:
        values["available"] = f"{digits(grams)} g"
    return values
