"""The whole fabric, a byte a stitch, for a picture that can be moved about in.

A **sheet** is one side of a piece.  Its cells run line by line from the top of the picture; each is
``stitch × 64 + colour``, the stitch a :class:`~pegwright.planning.colour_views.Stitch`, and a cell
without a stitch is 0.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from pydantic import BaseModel

from pegwright.errors import NotPossible
from pegwright.pattern.source import ProvedSize
from pegwright.planning.colour import StitchColours
from pegwright.planning.colour_views import ColourGrid, Stitch, all_grids
from pegwright.units import UnitSystem

__all__ = ["FabricSheet", "SheetColour", "SheetView", "fabric_sheets"]

_MOST_COLOURS = 64


class SheetColour(BaseModel):
    """A colour of the sheet and the part of its stitches that have it."""

    name: str
    hex: str
    share: float


class SheetView(BaseModel):
    """A side of a piece, all but its cells.

    :param row_at_top: the row of the first line at the left; each further line adds ``row_step``.
        ``row_at_top_right`` and ``row_step_right`` tell the same of the right edge.
    :param wale_mm: the width of a column; ``course_mm`` the height of a line.
    :param turned: for each column, whether its stitches stand on their heads.
    """

    key: str
    title: str
    words: str
    lines: int
    columns: int
    colours: list[SheetColour]
    pegs: list[str]
    row_at_top: int
    row_step: int
    row_at_top_right: int
    row_step_right: int
    wale_mm: float
    course_mm: float
    turned: list[bool]


@dataclass(frozen=True, slots=True)
class FabricSheet:
    """A side of a piece with its cells."""

    view: SheetView
    cells: bytes


def fabric_sheets(
    size: ProvedSize, colours: StitchColours, units: UnitSystem
) -> tuple[FabricSheet, ...]:
    """Every side of every planned piece of a size; a folded strip is a hood too.

    :raises NotPossible: for more colours than a cell can name.
    """
    planned = {piece.name: piece for piece in size.plan.pieces}
    hood = "fold_row" in size.plan.facts
    sheets = []
    for grid in all_grids(size.run, colours, wrap=size.plan.wrap, hood=hood):
        piece = planned.get(grid.piece)
        if piece is not None:
            wale_mm = piece.width.value / piece.columns / (2 if grid.rib else 1)
            sheets.append(_sheet(grid, wale_mm, piece.length.value / piece.rows, units))
    return tuple(sheets)


def _sheet(grid: ColourGrid, wale_mm: float, course_mm: float, units: UnitSystem) -> FabricSheet:
    present = np.bincount(grid.index[grid.index >= 0], minlength=len(grid.colours))
    shown = np.flatnonzero(present)
    if len(shown) > _MOST_COLOURS:
        raise NotPossible("too many colours to show", given=f"{len(shown)} colours")
    renamed = np.zeros(len(grid.colours) + 1, np.uint8)
    renamed[shown] = np.arange(len(shown))
    some = (grid.index >= 0) & (grid.stitch != Stitch.NONE)
    cells = np.where(some, grid.stitch.astype(np.uint8) * 64 + renamed[grid.index], 0)
    total = max(int(present.sum()), 1)
    view = SheetView(
        key="-".join("".join(c if c.isalnum() else " " for c in grid.name.lower()).split()),
        title=grid.name,
        words=" ".join(grid.words(units)),
        lines=grid.lines,
        columns=grid.columns,
        colours=[
            SheetColour(
                name=grid.colours[i].name,
                hex=grid.colours[i].hex,
                share=round(float(present[i]) / total, 4),
            )
            for i in shown.tolist()
        ],
        pegs=list(grid.pegs),
        row_at_top=grid.rows[0],
        row_step=_step(grid.rows),
        row_at_top_right=grid.rows_right[0],
        row_step_right=_step(grid.rows_right),
        wale_mm=wale_mm,
        course_mm=course_mm,
        turned=list(grid.turned),
    )
    return FabricSheet(view, cells.astype(np.uint8).tobytes())


def _step(rows: tuple[int, ...]) -> int:
    return rows[1] - rows[0] if len(rows) > 1 else -1
