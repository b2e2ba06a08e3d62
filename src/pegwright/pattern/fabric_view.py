"""A picture of coloured fabric as a document: which stitch, in which colour, stands where.

Like a figure of a pattern it says what is shown and carries its words; an exporter draws it.
Lines run from the top of the picture, columns from its left.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from pegwright.errors import BadInput, Place
from pegwright.planning.colour_views import ColourGrid, Stitch
from pegwright.tongue.said import joined, numeral, say
from pegwright.units import UnitSystem, format_both, require_positive
from pegwright.yarn.colour import Colour

__all__ = ["MOST_COLOURS", "FabricView", "RulerMark", "Stitch", "ViewColour", "fabric_view"]

MOST_COLOURS = 60
"""Most colours in one picture: more cannot be told apart, nor lettered."""

_KNIT_PART = 0.62
"""In a rib, the part of a wale that its knit column takes; the purl column has the rest."""

_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)


@dataclass(frozen=True, slots=True)
class ViewColour:
    """A colour with the letter that stands for it in black and white, and its part of the view."""

    letter: str
    name: str
    hex: str
    share: float

    def __post_init__(self) -> None:
        Colour(self.name, self.hex)  # refuses what is no colour


@dataclass(frozen=True, slots=True)
class RulerMark:
    """A number at the edge: the line or column it belongs to, from 0, and what it says."""

    at: int
    label: str


@dataclass(frozen=True, slots=True)
class FabricView:
    """A view of knitted fabric.

    :param key: a stable name in lower case and hyphens.
    :param title: what it is; ``desc`` tells the same to people who cannot see it.
    :param cells: for each line, the colour of each stitch: an index, or -1 for no stitch.
    :param stitches: for each line, a :class:`Stitch` each.
    :param wale_mm: width of one stitch; ``course_mm`` height of one row.
    :param column_parts: the width of each column, in wales.
    :param turned: for each column, whether its stitches stand on their heads.
    :param furrows: columns with a furrow at their right.
    """

    key: str
    title: str
    desc: str
    colours: tuple[ViewColour, ...]
    cells: tuple[tuple[int, ...], ...]
    stitches: tuple[tuple[int, ...], ...]
    wale_mm: float
    course_mm: float
    column_parts: tuple[float, ...]
    turned: tuple[bool, ...]
    furrows: tuple[int, ...]
    pegs: tuple[RulerMark, ...]
    rows_left: tuple[RulerMark, ...]
    rows_right: tuple[RulerMark, ...]

    def __post_init__(self) -> None:
        if re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", self.key) is None:
            raise BadInput(
                "a key is words in lower case joined by hyphens",
                given=repr(self.key),
                place=Place(field="key"),
            )
        require_positive(self.wale_mm, "wale_mm")
        require_positive(self.course_mm, "course_mm")
        wide = len(self.column_parts)
        ragged = any(len(line) != wide for line in (*self.cells, *self.stitches))
        if not self.cells or not wide or ragged or len(self.stitches) != len(self.cells):
            raise BadInput(
                "every line of a picture needs as many stitches as there are columns",
                given=f"{len(self.cells)} lines, {wide} columns",
                place=Place(field="cells"),
            )
        highest = max(max(line) for line in self.cells)
        if highest >= len(self.colours) or min(min(line) for line in self.cells) < -1:
            raise BadInput("a stitch names no known colour", place=Place(field="cells"))
        if not {kind for line in self.stitches for kind in line} <= set(Stitch):
            raise BadInput("a stitch is of no known kind", place=Place(field="stitches"))
        if not all(0 < part <= 1 for part in self.column_parts):
            raise BadInput(
                "a column is as wide as a wale or a part of it", place=Place(field="column_parts")
            )
        if len(self.turned) != wide:
            raise BadInput("every column is turned or not", place=Place(field="turned"))

    @property
    def lines(self) -> int:
        """How many rows of stitches."""
        return len(self.cells)

    @property
    def columns(self) -> int:
        """How many columns of stitches."""
        return len(self.column_parts)

    @property
    def width_mm(self) -> float:
        """Width of the fabric."""
        return sum(self.column_parts) * self.wale_mm

    @property
    def height_mm(self) -> float:
        """Height of the fabric."""
        return self.lines * self.course_mm

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """Title, size and description, then the colours with their letters."""
        size = say(
            "{title}: {width} by {height}.",
            title=self.title,
            width=format_both(self.width_mm, units),
            height=format_both(self.height_mm, units),
        )
        key = joined(
            (
                say(
                    "{letter} is {colour}, {percent}%",
                    letter=c.letter,
                    colour=c.name,
                    percent=numeral(f"{100 * c.share:.0f}"),
                )
                for c in self.colours
            ),
            "; ",
        )
        return (size, self.desc, say("Colours: {key}.", key=key))

    def as_data(self) -> dict[str, object]:
        """The view as plain data for JSON."""
        return {
            "key": self.key,
            "title": self.title,
            "desc": self.desc,
            "width_mm": round(self.width_mm, 3),
            "height_mm": round(self.height_mm, 3),
            "colours": [
                {"letter": c.letter, "name": c.name, "hex": c.hex, "share": round(c.share, 6)}
                for c in self.colours
            ],
            "cells": [list(line) for line in self.cells],
            "stitches": [list(line) for line in self.stitches],
        }


def fabric_view(
    grid: ColourGrid, *, wale_mm: float, course_mm: float, key: str = "", title: str = ""
) -> FabricView:
    """A grid of coloured stitches as a view, to the fabric's own gauge.

    :param wale_mm: one stitch of a face across; in a rib, one knit column and the purl beside it.
    :param title: what stands above it, where the grid's own words are not enough.
    :raises BadInput: for a gauge that is not above zero, or more than :data:`MOST_COLOURS` colours.
    """
    present = np.bincount(grid.index[grid.index >= 0], minlength=len(grid.colours))
    if np.count_nonzero(present) > MOST_COLOURS:
        raise BadInput(
            f"a picture shows at most {MOST_COLOURS} colours",
            given=int(np.count_nonzero(present)),
            place=Place(field="colours"),
        )
    shown = np.flatnonzero(present)
    renamed = np.full(len(grid.colours) + 1, -1)
    renamed[shown] = np.arange(len(shown))
    total = max(int(present.sum()), 1)
    colours = tuple(
        ViewColour(_letter(i), grid.colours[at].name, grid.colours[at].hex, present[at] / total)
        for i, at in enumerate(shown.tolist())
    )
    return FabricView(
        key=key or _key(grid.name),
        title=title or grid.name,
        desc=joined(grid.words()),
        colours=colours,
        cells=tuple(map(tuple, renamed[grid.index].tolist())),
        stitches=tuple(map(tuple, grid.stitch.tolist())),
        wale_mm=wale_mm,
        course_mm=course_mm,
        column_parts=_parts(grid),
        turned=grid.turned,
        furrows=grid.furrows,
        pegs=_peg_marks(grid),
        rows_left=_row_marks(grid.rows),
        rows_right=_row_marks(grid.rows_right) if grid.rows_right != grid.rows else (),
    )


def _key(name: str) -> str:
    """A name in lower case with hyphens between its words, fit for ids and file names."""
    return "-".join(re.findall(r"[a-z0-9]+", name.lower())) or "fabric"


def _parts(grid: ColourGrid) -> tuple[float, ...]:
    if not grid.rib:
        return (1.0,) * grid.columns
    purl = (grid.stitch == Stitch.PURL).any(axis=0).tolist()
    return tuple(1 - _KNIT_PART if p else _KNIT_PART for p in purl)


def _letter(number: int) -> str:
    """A, B … Z, then AA, BB …"""
    return chr(ord("A") + number % 26) * (number // 26 + 1)


def _step(count: int, most: int) -> int:
    return next((s for s in _STEPS if count / s <= most), count)


def _row_marks(rows: tuple[int, ...]) -> tuple[RulerMark, ...]:
    """Round numbers, the first row and the last; none so near another that they would touch."""
    step = max(_step(len(rows), 16), 1)
    ends = {rows[0], rows[-1]}
    return tuple(
        RulerMark(i, str(row))
        for i, row in enumerate(rows)
        if row in ends or (row % step == 0 and all(abs(row - e) >= step * 0.6 for e in ends))
    )


def _peg_marks(grid: ColourGrid) -> tuple[RulerMark, ...]:
    """As row marks, by the number in a peg's address; a rib's purl columns are left out."""
    at = [
        (i, int(peg[1:]), peg)
        for i, peg in enumerate(grid.pegs)
        if peg and not (grid.rib and Stitch.PURL in grid.stitch[:, i])
    ]
    if not at:
        return ()
    step = _step(len(at), 8)
    ends = {at[0][0], at[-1][0]}
    far = step * (1.2 if grid.rib else 0.6)
    return tuple(
        RulerMark(i, peg)
        for i, number, peg in at
        if i in ends or (number % step == 0 and all(abs(i - e) >= far for e in ends))
    )
