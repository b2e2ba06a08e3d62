"""A piece of any name cast on, knitted and finished: steps that garments of several pieces share.

:mod:`pegwright.garments.edges` does the same for the one ``strip`` that most garments are made of.
"""

from __future__ import annotations

import math

from pegwright.garments.base import Brief
from pegwright.garments.blocks import Field, alternating, cast_on, first_row, rows, towards_yarn
from pegwright.garments.edges import is_anchored
from pegwright.garments.strip import KNOT_TURNS, TAIL_MM, Steps
from pegwright.knitting.operations import (
    BindOffOver,
    CutYarn,
    DrawThrough,
    FastenOff,
    LiftOff,
    Part,
    PullAnchor,
    TakeLength,
    ThreadCastOn,
)

__all__ = ["begin_piece", "bind_off_piece", "close_piece", "cut_piece", "knit_piece"]

_EDGE_PASSES = 2.0
"""Yarn run twice through an edge, so that it stays as wide as the piece (common practice)."""


def begin_piece(steps: Steps, brief: Brief, piece: str, field: Field) -> None:
    """Cast on and knit the first row."""
    knot_mm = KNOT_TURNS * math.pi * brief.loom.peg_diameter_mm
    steps.add(
        "cast-on", piece, Part.CAST_ON, *cast_on(field, brief.yarn("body").name, TAIL_MM, knot_mm)
    )
    steps.add("first-row", piece, Part.BODY, *first_row(field))


def cut_piece(steps: Steps, piece: str) -> None:
    """Cut the yarn."""
    steps.add("cut", piece, Part.BODY, CutYarn(TAIL_MM))


def knit_piece(
    steps: Steps, brief: Brief, piece: str, field: Field, count: int, key: str = "piece-rows"
) -> None:
    """Cast on, knit ``count`` rows and cut the yarn; ``key`` picks the words of the rows."""
    begin_piece(steps, brief, piece, field)
    steps.add(key, piece, Part.BODY, *rows(field, count - 1))
    cut_piece(steps, piece)


def bind_off_piece(steps: Steps, piece: str, field: Field, done: int) -> None:
    """Bind the last row off, each loop lifted over the next, and take the piece off."""
    along = towards_yarn(field, done)
    off = (BindOffOver(along), DrawThrough(along[-1]), LiftOff(piece))
    steps.add("piece-bind-off", piece, Part.BIND_OFF, *off)


def close_piece(steps: Steps, brief: Brief, piece: str, field: Field) -> None:
    """Run yarn through open cast-on loops and draw the anchor out; nothing where they are closed.

    :param field: the pegs that were cast on.
    """
    if not is_anchored(brief):
        return
    carrier = f"edge yarn of the {piece}"
    run_mm = _EDGE_PASSES * brief.gauge.width(field.columns).value + 2 * TAIL_MM
    steps.add(
        "piece-close-cast-on",
        piece,
        Part.BIND_OFF,
        TakeLength(carrier, brief.yarn("body").name, run_mm, Part.BIND_OFF),
        ThreadCastOn(carrier, piece, alternating(brief.loom, field.first, field.last)),
        FastenOff(carrier),
        PullAnchor(),
    )
