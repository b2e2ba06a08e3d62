"""Names that the garments use inside, as a reader knows them: pieces, measures, parts, yarns.

A garment names its pieces and measures in plain English, and they are looked up here to be said in
other tongues.  A name that is not known, as of a plug-in's garment, is told as it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from pegwright.knitting.operations import Edge
from pegwright.tongue.said import Said, joined, say, word

__all__ = [
    "category_name",
    "edge_name",
    "measure_name",
    "numbered",
    "part_name",
    "piece_name",
    "wrap_name",
]


def _by_name(names: Iterable[Said]) -> dict[str, Said]:
    return {str(name): name for name in names}


# NOTE: pieces of knitting; these names stand alone, after a verb, or before a colon
_PIECES = _by_name(
    (
        word("piece", "strip"),
        word("piece", "tube"),
        word("piece", "cord"),
        word("piece", "triangle"),
        word("piece", "first mitt"),
        word("piece", "second mitt"),
        word("piece", "first slipper"),
        word("piece", "second slipper"),
        word("piece", "mitt"),
        word("piece", "slipper"),
        word("piece", "panel"),
    )
)

# NOTE: measures of a body or of a finished piece, as the names of rows in a table
_MEASURES = _by_name(
    (
        word("measure", "head"),
        word("measure", "height"),
        word("measure", "depth"),
        word("measure", "neck"),
        word("measure", "round"),
        word("measure", "width"),
        word("measure", "length"),
        word("measure", "hand"),
        word("measure", "thumb"),
        word("measure", "wrist"),
        word("measure", "front"),
        word("measure", "mouth"),
        word("measure", "crown"),
        word("measure", "brim"),
        word("measure", "edge"),
        word("measure", "cord"),
        word("measure", "fringe"),
        word("measure", "opening"),
        word("measure", "channel"),
    )
)

# NOTE: what a length of yarn is for, as the names of rows in a table
_PARTS = _by_name(
    (
        word("part", "cast-on"),
        word("part", "body"),
        word("part", "cord"),
        word("part", "bind-off"),
        word("part", "seam"),
        word("part", "gathering"),
        word("part", "tails"),
        word("part", "trim"),
    )
)

# NOTE: yarn weight categories of the Craft Yarn Council
_CATEGORIES = _by_name(
    (
        word("yarn weight", "lace"),
        word("yarn weight", "super fine"),
        word("yarn weight", "fine"),
        word("yarn weight", "light"),
        word("yarn weight", "medium"),
        word("yarn weight", "bulky"),
        word("yarn weight", "super bulky"),
        word("yarn weight", "jumbo"),
    )
)

# NOTE: ways of wrapping the board
_WRAPS = _by_name(
    (
        word("wrap", "double-board stockinette"),
        word("wrap", "double-board rib 1 by 1"),
        word("wrap", "double-board rib 2 by 2"),
        word("wrap", "figure eight"),
        word("wrap", "e-wrap"),
        word("wrap", "u-wrap"),
        word("wrap", "flat"),
        word("wrap", "purl"),
        word("wrap", "two-peg cord"),
        word("wrap", "three-peg cord"),
    )
)

_EDGES = {
    Edge.CAST_ON: say("cast-on edge"),
    Edge.LIVE: say("last row"),
    Edge.LEFT: say("left edge"),
    Edge.RIGHT: say("right edge"),
}

_IN_THE_ROUND = ", in the round"
_NUMBERED = re.compile(r"panel (\d+)")


def numbered(numbers: str) -> Said:
    """One panel by its number, or several: ``panel 1``, ``panels 1 and 2``."""
    if numbers.isdigit():
        return say("panel {number}", number=numbers)
    return say("panels {numbers}", numbers=numbers)


def piece_name(name: str) -> str:
    """A piece of a script."""
    match = _NUMBERED.fullmatch(name)
    return numbered(match[1]) if match else _PIECES.get(name, name)


def measure_name(name: str) -> str:
    """A measure of a body or of a finished piece."""
    return _MEASURES.get(name, name)


def part_name(name: str) -> str:
    """What a length of yarn is for."""
    return _PARTS.get(name, name)


def category_name(name: str) -> str:
    """A weight category of yarns."""
    return _CATEGORIES.get(name, name)


def edge_name(edge: Edge) -> Said:
    """An edge of a piece."""
    return _EDGES[edge]


def wrap_name(name: str) -> str:
    """A wrap, in the round or to and fro; a maker's own keeps its name."""
    plain = name.removesuffix(_IN_THE_ROUND)
    if plain == name:
        return _WRAPS.get(name, name)
    return joined((_WRAPS.get(plain, plain), say("in the round")), ", ")
