"""One figure, one drawing: what a pattern's figure shows, laid out as lines, circles and words."""

from __future__ import annotations

from pegwright.errors import BadInput
from pegwright.pattern.model import (
    Figure,
    FoldDrawing,
    KnitOverDrawing,
    SchematicDrawing,
    SetUpDrawing,
    WrapDrawing,
)
from pegwright.publish.drawing import ON_PAPER, Drawing, SvgStyle, svg
from pegwright.publish.figure_board import draw_set_up, draw_wrap
from pegwright.publish.figure_knit_over import draw_knit_over
from pegwright.publish.figure_make_up import draw_fold, draw_schematic

__all__ = ["draw", "figure_svg"]


def draw(figure: Figure) -> Drawing:
    """The figure's drawing, 360 units wide."""
    match figure.drawing:
        case SetUpDrawing():
            return draw_set_up(figure.drawing)
        case WrapDrawing():
            return draw_wrap(figure.drawing)
        case KnitOverDrawing():
            return draw_knit_over(figure.drawing)
        case SchematicDrawing():
            return draw_schematic(figure.drawing)
        case FoldDrawing():
            return draw_fold(figure.drawing)


def figure_svg(figure: Figure, style: SvgStyle = ON_PAPER) -> bytes:
    """The figure as an SVG document, its caption as title and its words as description.

    :raises BadInput: where the figure has no caption or no words for people who cannot see it.
    """
    if not figure.caption.strip() or not figure.alt.strip():
        raise BadInput(
            "a figure needs a caption and words for people who cannot see it",
            given=figure.key,
            hint="say in one or two sentences what the figure shows",
        )
    drawing = draw(figure)
    return svg(drawing, key=figure.key, title=figure.caption, desc=figure.alt, style=style)
