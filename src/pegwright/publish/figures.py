"""One figure, one drawing: what a pattern's figure shows, laid out as lines, circles and words."""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.errors import BadInput
from pegwright.pattern.model import (
    ChartDrawing,
    FabricDrawing,
    Figure,
    FoldDrawing,
    KnitOverDrawing,
    MeasuringDrawing,
    SchematicDrawing,
    SetUpDrawing,
    StagesDrawing,
    WrapDrawing,
)
from pegwright.publish.drawing import ON_PAPER, Drawing, SvgStyle, svg
from pegwright.publish.fabric_grain import DRAWN, Grain
from pegwright.publish.figure_board import draw_set_up, draw_wrap
from pegwright.publish.figure_chart import draw_chart
from pegwright.publish.figure_knit_over import draw_knit_over
from pegwright.publish.figure_make_up import draw_fold, draw_schematic
from pegwright.publish.figure_measuring import draw_measuring
from pegwright.publish.figure_stages import draw_stages
from pegwright.tongue.tongue import ENGLISH, Tongue

__all__ = ["Picture", "draw", "figure_svg", "picture"]


@dataclass(frozen=True, slots=True)
class Picture:
    """A figure as an SVG document, and its height over its width."""

    svg: bytes
    ratio: float


def draw(figure: Figure, tongue: Tongue = ENGLISH) -> Drawing:
    """The figure's drawing, 360 units wide.

    :raises BadInput: for fabric, which is shown stitch by stitch and is no drawing of lines.
    """
    match figure.drawing:
        case SetUpDrawing():
            return draw_set_up(figure.drawing, tongue)
        case WrapDrawing():
            return draw_wrap(figure.drawing, tongue)
        case KnitOverDrawing():
            return draw_knit_over(figure.drawing, tongue)
        case SchematicDrawing():
            return draw_schematic(figure.drawing, tongue)
        case FoldDrawing():
            return draw_fold(figure.drawing, tongue)
        case StagesDrawing():
            return draw_stages(figure.drawing, tongue)
        case ChartDrawing():
            return draw_chart(figure.drawing, tongue)
        case MeasuringDrawing():
            return draw_measuring(figure.drawing, tongue)
        case FabricDrawing():
            raise BadInput("fabric is a picture, not a drawing", given=figure.key)


def figure_svg(figure: Figure, style: SvgStyle = ON_PAPER, tongue: Tongue = ENGLISH) -> bytes:
    """The figure as an SVG document; see :func:`picture`."""
    return picture(figure, style, tongue=tongue).svg


def picture(
    figure: Figure,
    style: SvgStyle = ON_PAPER,
    *,
    grain: Grain = DRAWN,
    tongue: Tongue = ENGLISH,
) -> Picture:
    """The figure as an SVG document, its caption as title and its words as description.

    :param grain: how finely fabric is shown.
    :param tongue: what the words that the drawing adds are written in.
    :raises BadInput: where the figure has no caption or no words for people who cannot see it.
    """
    if not figure.caption.strip() or not figure.alt.strip():
        raise BadInput(
            "a figure needs a caption and words for people who cannot see it",
            given=figure.key,
            hint="say in one or two sentences what the figure shows",
        )
    if isinstance(figure.drawing, FabricDrawing):
        from pegwright.publish.fabric_picture import fabric_sheet

        sheet = fabric_sheet(
            figure.drawing.view, style=style, titled=False, grain=grain, tongue=tongue
        )
        return Picture(*sheet)
    drawing = draw(figure, tongue)
    made = svg(drawing, key=figure.key, title=figure.caption, desc=figure.alt, style=style)
    return Picture(made, drawing.height / drawing.width)
