"""What the cards of a lesson say, before anything is laid out.

A **card** is a picture that is laid over the film, or shown between two shots.  Its parts are kept
as meaning; :mod:`pegwright.lesson.card_layout` sets them for each shape of screen, on as many cards
as they need.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pegwright.lesson.bounds import bands
from pegwright.lesson.template import Template
from pegwright.pattern.model import (
    CautionBlock,
    ChartDrawing,
    FabricDrawing,
    Facts,
    Figure,
    FoldDrawing,
    Item,
    KnitOverDrawing,
    MaterialBlock,
    MeasuringDrawing,
    Pattern,
    SchematicDrawing,
    SetUpDrawing,
    StagesDrawing,
    TableBlock,
    WrapDrawing,
)
from pegwright.pattern.source import Source
from pegwright.publish.drawing import Circle, Drawing, Fill
from pegwright.publish.figures import draw
from pegwright.publish.words import sizes_words, time_words
from pegwright.units import format_both

__all__ = ["Card", "Drawn", "Entry", "Kind", "Part", "Said", "Shown", "cards_of"]


@dataclass(frozen=True, slots=True)
class Entry:
    """A thing and what is said of it: a name in bold, and words beside or below."""

    name: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class Said:
    """A few whole sentences; ``large`` where they are what the card is about."""

    words: str
    large: bool = False


@dataclass(frozen=True, slots=True)
class Shown:
    """A table: its header and rows, the first column naming the row."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A figure, or a band of it from ``top`` to ``bottom`` (units of the figure's sheet)."""

    figure: Figure
    top: float = 0.0
    bottom: float | None = None


Part = Entry | Said | Shown | Drawn


class Kind:
    """Kinds of cards, by which they are laid out."""

    TITLE = "title"
    PAGE = "page"
    CAUTION = "caution"
    END = "end"


@dataclass(frozen=True, slots=True)
class Card:
    """One card.

    :param key: a stable name, in lower case and hyphens.
    :param small: a line of small words, such as the size or the channel.
    """

    key: str
    heading: str
    parts: tuple[Part, ...]
    kind: str = Kind.PAGE
    small: str = ""


def cards_of(source: Source, pattern: Pattern, template: Template) -> tuple[Card, ...]:
    """Every card of a lesson, in order.

    :param source: with every size, as ``pattern`` has.
    """
    words = template.words
    time = time_words(pattern.minutes)
    cards = [
        Card(
            "title",
            pattern.title,
            (Said(pattern.summary, large=True),),
            Kind.TITLE,
            "  ·  ".join(p for p in (sizes_words(pattern.sizes), time, words.channel) if p),
        ),
        *_materials(pattern, template),
        *_yarn(pattern, template),
        *_board(pattern, template),
        *_wrap_test(source, template),
        *_figures(pattern, template),
        *_cautions(pattern, template),
        Card(
            "end",
            words.fill(words.end, pattern.title),
            (Said(words.fill(words.end_line, pattern.title), large=True),),
            Kind.END,
            words.channel,
        ),
    ]
    return tuple(cards)


def _materials(pattern: Pattern, template: Template) -> Iterator[Card]:
    for block in pattern.blocks():
        if isinstance(block, MaterialBlock):
            things = tuple(_thing(item) for item in (*block.supplies, *block.tools))
            yield Card("materials", template.words.materials, things)


def _thing(item: Item) -> Entry:
    amount = "" if item.amount == "1" else item.amount
    return Entry(item.name, ", ".join(p for p in (amount, item.note) if p))


def _yarn(pattern: Pattern, template: Template) -> Iterator[Card]:
    """How much in all, in weight, and to have, for every size; a list where yarns are many."""
    section = next((s for s in pattern.sections if s.key == "materials"), None)
    tables = [b for b in section.blocks if isinstance(b, TableBlock)] if section else []
    sizes = tuple(pattern.sizes)
    named = [one for table in tables for one in _by_yarn(table, sizes)]
    if len(named) == 1:
        (name, rows), header = named[0], tables[0].header
        yield Card("yarn", template.words.yarn, (Said(name), Shown(header, rows)))
    elif named:
        entries = tuple(Entry(name, _at_a_glance(rows, sizes)) for name, rows in named)
        yield Card("yarn", template.words.yarn, entries)


def _by_yarn(
    table: TableBlock, sizes: tuple[str, ...]
) -> Iterator[tuple[str, tuple[tuple[str, ...], ...]]]:
    """Yarns with their rows: a table is of one yarn in every size, or of several in one size."""
    rows = _needs(table)
    if table.header[1:] == sizes:
        yield _yarn_name(table), rows
        return
    for column, name in enumerate(table.header[1:], start=1):
        yield name, tuple((row[0], row[column]) for row in rows)


def _yarn_name(table: TableBlock) -> str:
    return table.caption.removeprefix("How much ").partition(" is drawn")[0]


def _needs(table: TableBlock) -> tuple[tuple[str, ...], ...]:
    """How much in all, its weight, and what to have."""
    return tuple(
        row for row in table.rows if row[0] in ("in all", "weight") or row[0].startswith("have")
    )


def _at_a_glance(rows: tuple[tuple[str, ...], ...], sizes: tuple[str, ...]) -> str:
    """What to have of one yarn of several; for one size, what is drawn of it too."""
    if len(sizes) == 1:
        return "; ".join(
            f"{row[0].partition(',')[0]} {row[1]}" if row[0].startswith("have") else row[1]
            for row in rows
        )
    have = next(row for row in rows if row[0].startswith("have"))
    return "have " + "; ".join(f"{size} {cell}" for size, cell in zip(sizes, have[1:], strict=True))


def _board(pattern: Pattern, template: Template) -> Iterator[Card]:
    section = next((s for s in pattern.sections if s.key == "board"), None)
    if section is None:
        return
    figure = next((b for b in section.blocks if isinstance(b, Figure)), None)
    facts = [row for b in section.blocks if isinstance(b, Facts) for row in b.rows]
    # The figure says from where to where a length is measured.
    parts = tuple(Entry(name, value.partition(", centre")[0]) for name, value in facts)
    shown = (Drawn(figure),) if figure is not None else ()
    yield Card("board", template.words.board, (*shown, *parts))


def _wrap_test(source: Source, template: Template) -> Iterator[Card]:
    if source.wrap_test is None:
        return
    length = format_both(source.wrap_test.reading.length_mm, source.units)
    yield Card(
        "wrap-test",
        template.words.wrap_test,
        (
            Said(length, large=True),
            Said(
                f"Wrap pegs 1 to {source.wrap_test.columns} of both boards once, snugly, out and"
                " back. Mark the yarn, unwind it and measure."
            ),
            Said("More yarn: make the gap smaller. Less yarn: make it wider."),
        ),
    )


def _figures(pattern: Pattern, template: Template) -> Iterator[Card]:
    """A card for each figure but the board's; figures in bands have one for each band."""
    for figure in pattern.figures():
        if isinstance(figure.drawing, SetUpDrawing):
            continue
        heading = _heading(figure, template)
        if not isinstance(figure.drawing, StagesDrawing | FoldDrawing):
            yield Card(figure.key, heading, (Drawn(figure), *_beside(figure, heading)))
            continue
        cut = _stages(draw(figure))
        for i, (top, bottom) in enumerate(cut, start=1):
            key = figure.key if len(cut) == 1 else f"{figure.key}-{i}"
            count = "" if len(cut) == 1 else f"{i} of {len(cut)}"
            yield Card(key, heading, (Drawn(figure, top, bottom),), small=count)


def _beside(figure: Figure, heading: str) -> tuple[Part, ...]:
    """What stands beside a figure: its caption, or the measurements, whose labels are small."""
    drawing = figure.drawing
    if isinstance(drawing, SchematicDrawing):
        named = (Said(f"Size {drawing.size}"),)
        sizes = (
            Entry(f"{piece.name}, {way}", measured.label)
            for piece in drawing.pieces
            for way, measured in (("width", piece.width), ("length", piece.length))
        )
        return (*named, *sizes)
    return () if figure.caption == heading else (Said(figure.caption),)


def _stages(drawing: Drawing) -> tuple[tuple[float, float], ...]:
    """Bands of a drawing of numbered stages, each with the numbers of its stages."""
    badges = [
        mark.cy
        for mark in drawing.marks
        if isinstance(mark, Circle) and mark.kind is None and mark.fill is Fill.INK
    ]
    whole: list[tuple[float, float]] = []
    begun = 0.0
    for top, bottom in bands(drawing, 0.0):
        if any(top <= y < bottom for y in badges):
            whole.append((begun, bottom))
            begun = bottom
    if not whole:
        return ((0.0, drawing.height),)
    return (*whole[:-1], (whole[-1][0], drawing.height))


def _heading(figure: Figure, template: Template) -> str:
    words = template.words
    match figure.drawing:
        case WrapDrawing():
            return words.wrap
        case KnitOverDrawing():
            return words.knit_over
        case SchematicDrawing():
            return words.pieces
        case FoldDrawing() | StagesDrawing():
            return words.make_up
        case ChartDrawing():
            return "Chart"
        case FabricDrawing():
            return "How it looks"
        case MeasuringDrawing():
            return "Where to measure"
        case SetUpDrawing():
            return words.board


def _cautions(pattern: Pattern, template: Template) -> Iterator[Card]:
    cautions = [c for b in pattern.blocks() if isinstance(b, CautionBlock) for c in b.cautions]
    for i, caution in enumerate(cautions, start=1):
        key = "cautions" if len(cautions) == 1 else f"cautions-{i}"
        yield Card(
            key,
            template.words.cautions,
            (Said(caution.title, large=True), Said(caution.text)),
            Kind.CAUTION,
        )
