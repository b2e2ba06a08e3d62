"""The strip that most garments start from: counts chosen, knitted, and its edges finished."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, PlannedPiece
from pegwright.garments.blocks import Field, cast_on, first_row, rows
from pegwright.gauge.dimensions import Count, columns_for, rows_for
from pegwright.knitting.operations import CutYarn, Operation, Part, Repeat
from pegwright.knitting.script import Step, Work
from pegwright.units import MM_PER_INCH

__all__ = ["KNOT_TURNS", "TAIL_MM", "Steps", "Strip", "choose_strip", "seam_yarn_mm", "strip_steps"]

TAIL_MM = 6 * MM_PER_INCH
"""A tail long enough to weave in: 6 in (common practice, no source)."""

KNOT_TURNS = 4.0
"""Yarn in a slip knot, in turns round the peg (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip's counts and where it is worked; ``choices`` says how the counts came about."""

    field: Field
    rows: int
    piece: PlannedPiece
    choices: tuple[str, ...]

    @property
    def knot_mm(self) -> float:
        """Yarn in the slip loop."""
        return KNOT_TURNS * math.pi * self.field.loom.peg_diameter_mm


class Steps:
    """Numbers steps as they are added."""

    def __init__(self) -> None:
        self.made: list[Step] = []

    def add(self, key: str, piece: str, part: Part, *work: Operation | Repeat) -> None:
        """Add a step with the next number."""
        self.made.append(Step(len(self.made) + 1, key, piece, part, tuple(work)))


def choose_strip(brief: Brief, width_mm: float, length_mm: float, *, even_rows: bool) -> Strip:
    """Choose a strip's pegs and rows; the options ``pegs`` and ``rows`` override the gauge.

    :param even_rows: the rows must halve evenly, for a fold.
    :raises NotPossible: where the board is too short or the wrap does not fit.
    """
    columns = _columns(brief, width_mm)
    period = len(brief.wrap.courses)
    count = _rows(brief, length_mm, 2 if even_rows else 1)
    brief.wrap.fits(brief.loom, columns.number)
    field = Field(brief.loom, brief.wrap, 1, columns.number)
    if count.number < 2 * period:
        raise NotPossible(
            "this is too short to knit", given=f"{count.number} rows", hint="ask for more length"
        )
    piece = PlannedPiece(
        "strip",
        columns.number,
        count.number,
        brief.gauge.width(columns.number),
        brief.gauge.length(count.number),
    )
    return Strip(field, count.number, piece, (columns.words, count.words))


def _columns(brief: Brief, width_mm: float) -> Count:
    wrap = brief.wrap
    asked = brief.options.get("pegs")
    if asked is not None:
        number = int(asked)
        return Count(
            number, float(number), brief.gauge.width(number), f"{number} pegs, as the design asks"
        )
    return columns_for(
        width_mm,
        brief.gauge,
        multiple=wrap.multiple,
        plus=wrap.plus,
        least=wrap.least,
        most=brief.loom.pegs,
        system=brief.units,
    )


def _rows(brief: Brief, length_mm: float, multiple: int) -> Count:
    asked = brief.options.get("rows")
    if asked is None:
        return rows_for(length_mm, brief.gauge, multiple=multiple, system=brief.units)
    number = int(asked)
    if number % multiple:
        raise NotPossible(
            "the rows must halve evenly for the fold",
            given=f"{number} rows",
            hint=f"ask for {number + 1} rows",
        )
    return Count(
        number, float(number), brief.gauge.length(number), f"{number} rows, as the design asks"
    )


def strip_steps(steps: Steps, strip: Strip, yarn: str) -> None:
    """Add the steps that cast a strip on, knit it and cut its yarn."""
    field = strip.field
    work: Work = cast_on(field, yarn, TAIL_MM, strip.knot_mm)
    steps.add("cast-on", "strip", Part.CAST_ON, *work)
    steps.add("first-row", "strip", Part.BODY, *first_row(field))
    steps.add("rows", "strip", Part.BODY, *rows(field, strip.rows - 1))
    steps.add("cut", "strip", Part.BODY, CutYarn(TAIL_MM))


def seam_yarn_mm(chains: int, course_mm: float, yarn_diameter_mm: float) -> float:
    """Yarn for a chain-edge seam: under one chain of each edge and across, a row at a time.

    Each chain takes the length of its row; each crossing two diameters of yarn.  Two tails come on
    top.  From geometry.
    """
    return chains * 2 * (course_mm + 2 * yarn_diameter_mm) + 2 * TAIL_MM
