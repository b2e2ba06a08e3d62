"""A yarn's colours on a strip as garments begin one: searched for, and seen stitch by stitch.

The search itself, and what its words mean: :mod:`pegwright.planning.colour_search`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from pegwright.garments.strip import KNOT_TURNS, TAIL_MM
from pegwright.knitting.wraps import Laid, Wrap
from pegwright.loom.board import Loom
from pegwright.planning.colour_search import (
    ColourSearch,
    Effect,
    placement_grid,
    row_layout,
    search_colours,
)
from pegwright.planning.colour_views import ColourGrid, Face, Stitch
from pegwright.yarn.colour import ColourRun
from pegwright.yarn.yarn import Yarn

__all__ = ["placed_strip", "search_strip"]


def search_strip(
    loom: Loom, wraps: Sequence[Wrap], yarn: Yarn, run: ColourRun, effect: Effect, **wishes: Any
) -> ColourSearch:
    """Peg counts and starts at which a strip of this yarn has an effect.

    :param run: the yarn's colours; neither where it begins in them nor its drift is looked at.
    :param wishes: as of :func:`pegwright.planning.colour_search.search_colours`.
    """
    return search_colours(
        loom,
        wraps,
        yarn.wrapped_diameter_mm,
        run,
        effect,
        tail_mm=TAIL_MM,
        knot_mm=_knot_mm(loom),
        **wishes,
    )


def placed_strip(
    loom: Loom,
    wrap: Wrap,
    pegs: int,
    yarn: Yarn,
    run: ColourRun,
    *,
    offset_m: float,
    rows: int,
    slack: float = 1.0,
) -> ColourGrid:
    """The front face of a strip, its yarn begun so far into its repeat.

    Of a rib, the stitches of the front board alone.
    """
    layout = row_layout(
        loom,
        wrap,
        pegs,
        yarn.wrapped_diameter_mm,
        slack=slack,
        tail_mm=TAIL_MM,
        knot_mm=_knot_mm(loom),
    )
    index = placement_grid(layout, run, rows, offset_m)[::-1]
    columns = index.shape[1]
    stitch = (
        Stitch.TWISTED if wrap.laid is Laid.ROUND else Stitch.PURL if wrap.purl else Stitch.KNIT
    )
    lines = tuple(range(rows, 0, -1))
    return ColourGrid(
        piece="strip",
        view=str(Face.FRONT),
        colours=run.colours,
        index=index,
        fraction=np.ones(index.shape, np.float32),
        stitch=np.full(index.shape, stitch, np.int8),
        rows=lines,
        rows_right=lines,
        pegs=tuple(loom.address(peg) if columns == pegs else "" for peg in range(columns)),
        turned=(False,) * columns,
    )


def _knot_mm(loom: Loom) -> float:
    """Yarn in the slip loop that a strip begins with."""
    return KNOT_TURNS * math.pi * loom.peg_diameter_mm
