"""The kinds of trim and join by name, what each takes, and its yarn from what was said of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from pegwright.errors import BadInput, Place
from pegwright.planning.trims import Trim, fringe, pompom, seam, tails, tassel, tied_joins

__all__ = ["TRIM_KINDS", "TrimAsked", "TrimKind", "trim_of"]


@dataclass(frozen=True, slots=True)
class TrimKind:
    """A kind of trim.

    :param needs: what must be said of it, by the fields of :class:`TrimAsked`.
    :param takes: what may be said besides.
    """

    name: str
    needs: tuple[str, ...] = ()
    takes: tuple[str, ...] = ()


TRIM_KINDS: Mapping[str, TrimKind] = MappingProxyType(
    {
        kind.name: kind
        for kind in (
            TrimKind("tassel", ("length", "strands"), ("neck",)),
            TrimKind("pompom", ("across", "winds"), ("hole",)),
            TrimKind("fringe", ("length", "strands")),
            TrimKind("seam", ("chains", "row")),
            TrimKind("tails"),
            TrimKind("joins"),
        )
    }
)
"""Every kind by its name, in the order in which they are told."""


@dataclass(frozen=True, slots=True)
class TrimAsked:
    """What was said of a trim; lengths in mm, None for what was left out.

    :param number: how many; of a fringe, knots.
    :param length: of a tassel or fringe, trimmed.
    :param strands: turns of a tassel; strands in each knot of a fringe.
    :param neck: wraps round a tassel's neck.
    :param across: a pompom from rim to rim, ``winds`` round its ring, ``hole`` of the ring.
    :param chains: of one edge of a seam, ``row`` the length of one row.
    """

    kind: str
    number: int = 1
    length: float | None = None
    strands: int | None = None
    neck: int | None = None
    across: float | None = None
    winds: int | None = None
    hole: float | None = None
    chains: int | None = None
    row: float | None = None


def trim_of(asked: TrimAsked, yarn_diameter_mm: float) -> Trim:
    """The yarn of a trim.

    :param yarn_diameter_mm: how thick the yarn lies.
    :raises BadInput: naming the field, for a kind that is not known, a figure that is missing, or
        one that cannot be.
    """
    kind = TRIM_KINDS.get(asked.kind)
    if kind is None:
        known = ", ".join(TRIM_KINDS)
        raise BadInput("no such trim", given=asked.kind, hint=known, place=Place(field="kind"))
    for name in kind.needs:
        if getattr(asked, name) is None:
            raise BadInput("this is missing", hint="fill it in", place=Place(field=name))
    given: dict[str, Any] = {name: getattr(asked, name) for name in kind.needs}
    thick_mm, number = yarn_diameter_mm, asked.number
    match kind.name:
        case "tassel":
            wraps = {} if asked.neck is None else {"neck_wraps": asked.neck}
            return tassel(given["length"], given["strands"], thick_mm, number=number, **wraps)
        case "pompom":
            return pompom(given["across"], given["winds"], core_mm=asked.hole, number=number)
        case "fringe":
            return fringe(number, given["strands"], given["length"], thick_mm)
        case "seam":
            return seam(given["chains"], given["row"], thick_mm, number=number)
        case "tails":
            return tails(number)
        case _:
            return tied_joins(number, thick_mm)
