"""The plan of a board as a page shows it: its sections as plain data, laid out by the script."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel

from pegwright.pattern.board_plan import BoardDocument
from pegwright.pattern.model import (
    Block,
    CautionBlock,
    Facts,
    Figure,
    Paragraph,
    StepBlock,
    TableBlock,
)
from pegwright.publish.board_end_view import draw_end_view
from pegwright.publish.drawing import ON_PAGE, svg
from pegwright.studio.designs.view import CautionView, FigureView, NamedWords
from pegwright.studio.records.board_forms import figure_view

__all__ = ["DocumentView", "document_view"]


class StepView(BaseModel):
    """One step: what is done, and what is right when it is done."""

    title: str
    text: list[str]
    tally: str


class BlockView(BaseModel):
    """One block of a section; only what its kind has is filled."""

    kind: Literal["text", "facts", "table", "steps", "cautions", "figure"]
    text: str = ""
    facts: list[NamedWords] = []
    caption: str = ""
    header: list[str] = []
    rows: list[list[str]] = []
    steps: list[StepView] = []
    cautions: list[CautionView] = []
    figure: FigureView | None = None


class SectionView(BaseModel):
    """A titled part of the plan."""

    key: str
    title: str
    blocks: list[BlockView]


class DocumentView(BaseModel):
    """The plan in words and figures."""

    title: str
    subtitle: str
    sections: list[SectionView]


def document_view(document: BoardDocument) -> DocumentView:
    """All that a plan says, in its order; the view from the end stands with the overview."""
    sections = [
        SectionView(key=s.key, title=s.title, blocks=[v for b in s.blocks for v in _block(b)])
        for s in document.sections
    ]
    if (view := document.end_view) is not None:
        drawn = svg(
            draw_end_view(view, document.plan),
            key="end",
            title=view.caption,
            desc=view.words,
            style=ON_PAGE,
        )
        figure = FigureView(
            key="end", caption=view.caption, alt=view.words, svg=drawn.decode("utf-8")
        )
        sections[0].blocks.insert(1, BlockView(kind="figure", figure=figure))
    return DocumentView(title=document.title, subtitle=document.subtitle, sections=sections)


def _block(block: Block) -> list[BlockView]:
    match block:
        case Paragraph():
            return [BlockView(kind="text", text=block.text)]
        case Facts():
            facts = [NamedWords(name=name, words=words) for name, words in block.rows]
            return [BlockView(kind="facts", facts=facts)]
        case TableBlock():
            rows = [list(row) for row in block.rows]
            header = list(block.header)
            return [BlockView(kind="table", caption=block.caption, header=header, rows=rows)]
        case StepBlock():
            steps = [StepView(title=s.title, text=list(s.text), tally=s.tally) for s in block.steps]
            return [BlockView(kind="steps", steps=steps)]
        case CautionBlock():
            cautions = [
                CautionView(title=c.title, text=c.text, source=c.source) for c in block.cautions
            ]
            return [BlockView(kind="cautions", cautions=cautions)]
        case Figure():
            return [BlockView(kind="figure", figure=figure_view(block))]
    return []
