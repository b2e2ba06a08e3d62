"""The garments there are: those that come with Pegwright and those that makers plug in."""

from __future__ import annotations

import difflib
from importlib.metadata import entry_points

from pegwright.errors import BadInput
from pegwright.garments.base import Garment

__all__ = ["GROUP", "garment", "garments"]

GROUP = "pegwright.garments"


def garments() -> dict[str, Garment]:
    """Every garment by name, the shipped ones first.

    :raises BadInput: where a plug-in does not give a garment.
    """
    from pegwright.garments.folded_strip_hood import FOLDED_STRIP_HOOD
    from pegwright.garments.plain_strip import PLAIN_STRIP

    found: dict[str, Garment] = {g.name: g for g in (FOLDED_STRIP_HOOD, PLAIN_STRIP)}
    for point in entry_points(group=GROUP):
        loaded = point.load()
        if not isinstance(loaded, Garment):
            raise BadInput(
                "a plug-in does not give a garment",
                given=f"{point.name} = {point.value}",
                hint="see docs/garments.md for what a garment object holds",
            )
        found.setdefault(loaded.name, loaded)
    return found


def garment(name: str) -> Garment:
    """The garment of that name.

    :raises BadInput: where there is none, with the nearest name.
    """
    known = garments()
    if name in known:
        return known[name]
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.4)
    raise BadInput(
        "no such garment",
        given=name,
        hint=f"did you mean “{near[0]}”?" if near else f"one of: {', '.join(known)}",
    )
