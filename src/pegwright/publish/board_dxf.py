"""The boards as DXF, in millimetres, for a machine or another drawing program.

Both boards lie as they are used, at the gap of the plan, seen from above: x runs from the left end,
y from the front board's outer edge.  Each kind of line has its layer: OUTLINE, HOLES, CENTRE-LINES,
REGISTRATION and TEXT.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from pegwright.errors import NotPossible
from pegwright.loom.plan import Board, BoardPlan
from pegwright.publish.board_tiles import SQUARE_MM

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

__all__ = ["LAYERS", "board_dxf"]

LAYERS = ("OUTLINE", "HOLES", "CENTRE-LINES", "REGISTRATION", "TEXT")
"""The layers, one a kind of line."""

_CROSS_MM = 5.0
_LETTER_MM = 2.5
_BESIDE_MM = 12.0


def board_dxf(plan: BoardPlan) -> bytes:
    """The boards as a DXF file (R2010); the same plan gives the same bytes.

    :raises NotPossible: where the library for it is not installed.
    """
    try:
        from ezdxf import units
        from ezdxf._options import options
        from ezdxf.filemanagement import new
    except ImportError:
        raise NotPossible(
            "DXF files need a library that is not installed",
            given="ezdxf",
            hint='pip install "pegwright[board]"',
        ) from None
    # Times and random identities would make every file another one.
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        document = new("R2010", setup=["linetypes"])
        document.units = units.MM
        for layer in LAYERS:
            document.layers.add(layer, color=7)
        document.layers.get("CENTRE-LINES").dxf.linetype = "CENTER"
        _draw(document.modelspace(), plan)
        stream = io.StringIO()
        document.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = before
    return stream.getvalue().encode(document.output_encoding, errors="dxfreplace")


def _draw(space: Modelspace, plan: BoardPlan) -> None:
    spec = plan.spec
    if spec.is_ring:
        _ring(space, plan)
    for board, low, inner_up in _placed(plan):
        if not spec.is_ring:
            _rectangle(space, 0.0, low, board.length_mm, low + board.width_mm, "OUTLINE")
            row = low + (board.width_mm - spec.row_offset_mm if inner_up else spec.row_offset_mm)
            ends = ((-6.0, row), (board.length_mm + 6.0, row))
            space.add_line(*ends, dxfattribs={"layer": "CENTRE-LINES"})
        for hole in board.holes:
            y = low + (board.width_mm - hole.y_mm if inner_up else hole.y_mm)
            circle = {"layer": "HOLES"}
            space.add_circle((hole.x_mm, y), hole.diameter_mm / 2, dxfattribs=circle)
            _text(space, hole.address, hole.x_mm, y + hole.diameter_mm / 2 + 1.0)
        words = f"{board.name}: drill {spec.peg.drill_mm:.2f} mm, depth {spec.depth_mm:.2f} mm"
        _text(space, words, board.length_mm / 2, low + 1.5)
    for x in plan.template.bolts_x_mm:
        top = max(low + board.width_mm for board, low, _ in _placed(plan))
        ends = ((x, -4.0), (x, top + 4.0))
        space.add_line(*ends, dxfattribs={"layer": "CENTRE-LINES"})
    _registration(space, plan)


def _placed(plan: BoardPlan) -> list[tuple[Board, float, bool]]:
    """Each board, its lower side's y, and whether its inner edge is its upper one."""
    if len(plan.boards) == 1:
        return [(plan.boards[0], 0.0, False)]
    front, back = plan.boards
    between = plan.spec.gap_mm - plan.spec.bare_gap_mm
    return [(front, 0.0, True), (back, front.width_mm + between, False)]


def _ring(space: Modelspace, plan: BoardPlan) -> None:
    middle = plan.template.centre_mm
    layers = ("OUTLINE", "CENTRE-LINES", "OUTLINE")
    for radius, layer in zip(plan.template.radii_mm, layers, strict=True):
        space.add_circle(middle, radius, dxfattribs={"layer": layer})


def _registration(space: Modelspace, plan: BoardPlan) -> None:
    """A cross beyond each corner, and a square to check the scale by, below the board."""
    placed = _placed(plan)
    high = max(low + board.width_mm for board, low, _ in placed)
    long = plan.boards[0].length_mm
    layer = {"layer": "REGISTRATION"}
    for x in (-_BESIDE_MM, long + _BESIDE_MM):
        for y in (-_BESIDE_MM, high + _BESIDE_MM):
            space.add_line((x - _CROSS_MM, y), (x + _CROSS_MM, y), dxfattribs=layer)
            space.add_line((x, y - _CROSS_MM), (x, y + _CROSS_MM), dxfattribs=layer)
    low = -2 * _BESIDE_MM - SQUARE_MM
    _rectangle(space, 0.0, low, SQUARE_MM, low + SQUARE_MM, "REGISTRATION")
    _text(space, f"{SQUARE_MM:g} mm", SQUARE_MM / 2, low + SQUARE_MM / 2)


def _rectangle(
    space: Modelspace, left: float, bottom: float, right: float, top: float, layer: str
) -> None:
    corners = [(left, bottom), (right, bottom), (right, top), (left, top)]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})


def _text(space: Modelspace, words: str, x: float, y: float) -> None:
    from ezdxf.enums import TextEntityAlignment

    made = space.add_text(words, height=_LETTER_MM, dxfattribs={"layer": "TEXT"})
    made.set_placement((x, y), align=TextEntityAlignment.BOTTOM_CENTER)
