"""Measurements of what is printed for teaching and building."""

from __future__ import annotations

from bench.harness import Row, median_seconds
from pegwright.loom.plan import plan_board
from pegwright.loom.spec import BoardSpec
from pegwright.pattern.board_plan import board_document
from pegwright.publish.board_dxf import board_dxf
from pegwright.publish.board_plan import board_pdf, board_svgs
from pegwright.units import UnitSystem

__all__ = ["rows"]


def rows() -> list[Row]:
    """The area's rows."""
    return [_template()]


def _template() -> Row:
    """The whole plan of a board of 60 pegs a side: worked out, as PDF, SVG and DXF."""
    return Row("lesson.template_60_pegs_s", median_seconds(_plan), "s", 1)


def _plan() -> None:
    document = board_document(plan_board(BoardSpec(pegs=60)), UnitSystem.INCHES)
    board_pdf(document)
    board_svgs(document)
    board_dxf(document.plan)
