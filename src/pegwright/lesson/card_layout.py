"""Cards laid out for a shape of screen, each as an SVG document.

Lengths are dots of the finished picture.  Words are large, so that a phone shows them well: no
smaller than :data:`SMALLEST` dots on a picture 1080 dots wide or high.  Nothing hangs on colour
alone.  What does not fit on one card goes on to the next.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from html import escape

from pegwright.lesson.card import Card, Drawn, Entry, Kind, Part, Said, Shown
from pegwright.lesson.scene_svg import markup
from pegwright.publish.drawing import (
    Anchor,
    Fill,
    Group,
    Line,
    LineKind,
    Mark,
    Rect,
    SvgStyle,
    Text,
    number,
    text_width,
    visible,
)
from pegwright.publish.fabric_picture import ON_SCREEN
from pegwright.publish.figure_marks import SHEET
from pegwright.publish.figures import picture
from pegwright.publish.words import held_together, plain_fractions

__all__ = ["SMALLEST", "Page", "Shape", "pages"]

SMALLEST = 40.0
"""Size of the smallest words of a card, dots."""

_BODY = 48.0
_LEADING = 1.34
_GAP = 30.0


class Shape(Enum):
    """Shapes of screens: width and height in dots."""

    WIDE = ("wide", 1920, 1080)
    SQUARE = ("square", 1080, 1080)
    TALL = ("tall", 1080, 1920)

    @property
    def label(self) -> str:
        """Its name in file names."""
        return self.value[0]

    @property
    def width(self) -> int:
        """Dots across."""
        return self.value[1]

    @property
    def height(self) -> int:
        """Dots up."""
        return self.value[2]

    @property
    def margin(self) -> float:
        """Room left free at each edge; more below and above where a phone lays its own marks."""
        return 104.0 if self is Shape.WIDE else 84.0

    @property
    def top(self) -> float:
        """Where the words begin."""
        return 210.0 if self is Shape.TALL else self.margin

    @property
    def bottom(self) -> float:
        """Where they end at the latest."""
        return self.height - (250.0 if self is Shape.TALL else self.margin)


@dataclass(frozen=True, slots=True)
class Page:
    """A card as it is shown: its key, the SVG document, and the words for who cannot see it."""

    key: str
    svg: bytes
    alt: str = ""


@dataclass(slots=True)
class _Sheet:
    """What is laid on one card: marks, and pieces of markup that stand as they are."""

    marks: list[Mark]
    raw: list[str]


def pages(card: Card, shape: Shape, style: SvgStyle) -> tuple[Page, ...]:
    """A card for a shape of screen, on one sheet or more."""
    if card.kind in (Kind.TITLE, Kind.END):
        return (_page(card, shape, style, _centred(card, shape)),)
    # Words are as large as one sheet allows.
    has_figure = any(isinstance(part, Drawn) for part in card.parts)
    for larger in (1.0,) if has_figure else (1.5, 1.35, 1.2, 1.1, 1.0):
        sheets = list(_flowed(card, shape, style, larger))
        if len(sheets) == 1:
            break
    return tuple(
        _page(card, shape, style, sheet, f"-{i}" if len(sheets) > 1 else "")
        for i, sheet in enumerate(sheets, start=1)
    )


def _page(card: Card, shape: Shape, style: SvgStyle, sheet: _Sheet, more: str = "") -> Page:
    key = escape(visible(f"{card.key}{more}"))
    words = " ".join(_words(part) for part in card.parts)
    alt = plain_fractions(visible(f"{card.heading}. {words}"))
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {shape.width} {shape.height}" '
        f'width="{shape.width}" height="{shape.height}" role="img" '
        f'aria-labelledby="{key}-title {key}-desc" '
        f'font-family="{escape(style.font, quote=False)}" fill="none" '
        'stroke-linecap="round" stroke-linejoin="round">',
        f'<title id="{key}-title">{escape(visible(card.heading))}</title>',
        f'<desc id="{key}-desc">{escape(alt)}</desc>',
        f'<rect width="{shape.width}" height="{shape.height}" fill="{style.paper}"/>',
        markup(sheet.marks, style),
        *sheet.raw,
        "</svg>\n",
    ]
    return Page(f"{card.key}{more}", "\n".join(lines).encode("utf-8"), alt)


def _words(part: Part) -> str:
    match part:
        case Entry():
            return f"{part.name}: {part.words}." if part.words else f"{part.name}."
        case Said():
            return part.words
        case Shown():
            return " ".join(", ".join(row) + "." for row in part.rows)
        case Drawn():
            return part.figure.alt


# --- title and end -------------------------------------------------------------------------------


def _centred(card: Card, shape: Shape) -> _Sheet:
    """A heading, a few words and a small line in the middle, on the left edge."""
    width = shape.width - 2 * shape.margin
    size = 132.0 if shape is Shape.WIDE else 104.0
    title = _lines(card.heading, width, size)
    while (len(title) > 3 or _widest(title, size) > width) and size > 60:
        size *= 0.92
        title = _lines(card.heading, width, size)
    blocks: list[tuple[tuple[str, ...], float, bool, Fill]] = [(title, size, True, Fill.YARN_FIRST)]
    for part in card.parts:
        if isinstance(part, Said) and part.words:
            lines = _lines(part.words, width, 60.0)
            blocks.append((lines, 60.0, False, Fill.INK))
    tall = sum(len(lines) * s * 1.22 for lines, s, _, _ in blocks) + 56 * (len(blocks) - 1)
    y = max(shape.top, (shape.height - tall) / 2 - 30)
    marks: list[Mark] = [
        Rect(shape.margin, y - 46, 150, 14, None, Fill.YARN_FIRST, 7),
    ]
    for lines, s, bold, fill in blocks:
        for line in lines:
            y += s * 1.22
            marks.append(
                Text(shape.margin, y - s * 0.22, line, s, Anchor.START, bold=bold, fill=fill)
            )
        y += 56
    marks += _small(card, shape)
    return _Sheet(marks, [])


def _lines(words: str, width: float, size: float) -> tuple[str, ...]:
    """Words broken into lines, numbers and their units kept together; long words stay whole."""
    lines: list[str] = []
    for word in held_together(plain_fractions(words)).split(" "):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, size) <= width:
            lines[-1] = joined
        elif word:
            lines.append(word)
    return tuple(lines)


def _widest(lines: Sequence[str], size: float) -> float:
    return max((text_width(line, size) for line in lines), default=0.0)


def _small(card: Card, shape: Shape) -> Iterator[Mark]:
    """The small line at the foot, on several lines where it is long."""
    lines = _lines(card.small, shape.width - 2 * shape.margin, SMALLEST + 2)
    y = shape.bottom - (len(lines) - 1) * (SMALLEST + 2) * _LEADING
    for i, line in enumerate(lines):
        yield Text(
            shape.margin,
            y + i * (SMALLEST + 2) * _LEADING,
            line,
            SMALLEST + 2,
            Anchor.START,
            fill=Fill.QUIET,
        )


# --- pages that flow -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Piece:
    """A part laid out in its own coordinates: marks, markup, and its height."""

    marks: tuple[Mark, ...]
    raw: str
    height: float


def _flowed(card: Card, shape: Shape, style: SvgStyle, larger: float) -> Iterator[_Sheet]:
    """The parts one under another; on a wide screen a figure stands beside its words."""
    top = shape.top + _head_height(card, shape) + 44
    figure = next((p for p in card.parts if isinstance(p, Drawn)), None)
    others = [p for p in card.parts if not isinstance(p, Drawn)]
    beside = figure is not None and shape is Shape.WIDE and bool(others)
    x, width = shape.margin, shape.width - 2 * shape.margin
    sheet = _Sheet(list(_head(card, shape)), [])
    y = top
    if figure is not None:
        room = 1020.0 if beside else width
        below = 0.0 if beside else sum(_piece(p, width, larger).height + _GAP for p in others)
        room_below = shape.bottom - top
        # Many words go on to a card of their own rather than make the figure small.
        free = room_below - (below if below < 0.3 * room_below else 0.0)
        svg, high = _figure(figure, x, top, room, free, style, beside or not others)
        sheet.raw.append(svg)
        if beside:
            x, width = x + room + 60, width - room - 60
        else:
            y = top + high + _GAP
    columns = 2 if shape is Shape.WIDE and figure is None and _is_list(others) else 1
    wide = (width - 80 * (columns - 1)) / columns
    column, start, last = 0, y, shape.bottom
    for piece in (_piece(p, wide, larger) for p in others):
        if y + piece.height > last and y > top:
            column, y = column + 1, start
            if column == columns:
                yield sheet
                sheet, column = _Sheet(list(_head(card, shape)), []), 0
                # A card that goes on has no figure, and all the room.
                start = y = top
                if figure is not None:
                    x, wide = shape.margin, shape.width - 2 * shape.margin
        left = x + column * (wide + 80)
        sheet.marks += _moved(piece.marks, left, y)
        y += piece.height + _GAP
    yield sheet


def _is_list(parts: Sequence[Part]) -> bool:
    return sum(isinstance(p, Entry) for p in parts) > 3


def _head_lines(card: Card, shape: Shape) -> tuple[tuple[str, ...], float]:
    size = 84.0 if shape is Shape.WIDE else 76.0
    room = shape.width - 2 * shape.margin - (text_width(card.small, SMALLEST) + 40)
    return _lines(card.heading, room, size), size


def _head_height(card: Card, shape: Shape) -> float:
    lines, size = _head_lines(card, shape)
    return len(lines) * size * 1.12 + 26


def _head(card: Card, shape: Shape) -> Iterator[Mark]:
    lines, size = _head_lines(card, shape)
    y = shape.top
    left = shape.margin
    if card.kind == Kind.CAUTION:
        yield from _warning(left, y, size)
        left += size * 1.25
    for line in lines:
        y += size * 1.12
        yield Text(left, y - size * 0.28, line, size, Anchor.START, bold=True, fill=Fill.YARN_FIRST)
    if card.small:
        right = shape.width - shape.margin
        yield Text(
            right, shape.top + size * 0.84, card.small, SMALLEST, Anchor.END, fill=Fill.QUIET
        )
    yield Rect(shape.margin, y + 14, shape.width - 2 * shape.margin, 6, None, Fill.YARN_FIRST)


def _warning(x: float, y: float, size: float) -> Iterator[Mark]:
    """A mark of exclamation in a filled box: seen without colour."""
    yield Rect(x, y + size * 0.06, size, size, None, Fill.INK, 14)
    yield Text(x + size / 2, y + size * 0.84, "!", size * 0.86, bold=True, fill=Fill.PAPER)


def _moved(marks: Sequence[Mark], dx: float, dy: float) -> Iterator[Mark]:
    yield Group(tuple(marks), dx, dy)


# --- parts ---------------------------------------------------------------------------------------


def _piece(part: Part, width: float, larger: float) -> _Piece:
    match part:
        case Entry():
            return _entry(part, width, larger)
        case Said():
            size = (68.0 if part.large else _BODY) * larger
            lines = _lines(part.words, width, size)
            return _Piece(*_set(lines, size, bold=part.large))
        case Shown():
            return _table(part, width, larger)
        case Drawn():
            raise TypeError("figures are laid out with the card")


def _set(
    lines: Sequence[str], size: float, *, bold: bool = False, x: float = 0.0, y: float = 0.0
) -> tuple[tuple[Mark, ...], str, float]:
    marks = tuple(
        Text(x, y + (i + 0.82) * size * _LEADING, line, size, Anchor.START, bold=bold)
        for i, line in enumerate(lines)
    )
    return marks, "", y + len(lines) * size * _LEADING


def _entry(part: Entry, width: float, larger: float) -> _Piece:
    """A name in bold with a dot before it, and its words beside it, or below where it is long."""
    size, small = _BODY * larger, (SMALLEST + 2) * larger
    indent = 44.0
    name = _lines(part.name, width - indent, size)
    marks, _, y = _set(name, size, bold=True, x=indent)
    dot = Rect(0, size * 0.62, 18, 18, None, Fill.YARN_FIRST, 4)
    if not part.words:
        return _Piece((dot, *marks), "", y)
    after = indent + text_width(name[-1], size) + 28
    words = held_together(plain_fractions(part.words))
    if len(name) == 1 and after + text_width(words, small) <= width:
        beside = Text(after, y - size * _LEADING * 0.18, words, small, Anchor.START)
        return _Piece((dot, *marks, beside), "", y)
    below, _, y = _set(_lines(part.words, width - indent, small), small, x=indent, y=y)
    return _Piece((dot, *marks, *below), "", y)


def _table(part: Shown, width: float, larger: float) -> _Piece:
    """A table; where it is too wide, each row becomes a name with its values below."""
    columns = list(zip(part.header, *part.rows, strict=True))
    sizes = (_BODY * share for share in (larger, 1.2, 1.1, 1.0) if share <= larger)
    for size in sizes:
        widths = [max(text_width(c, size) for c in column) + 44 for column in columns]
        if sum(widths) <= width:
            break
    else:
        return _stacked(part, width, larger)
    spare = (width - sum(widths)) / len(widths)
    lefts = [sum(widths[:i]) + spare * i for i in range(len(widths))]
    marks: list[Mark] = []
    y = 0.0
    for r, row in enumerate((part.header, *part.rows)):
        y += size * 1.5
        for i, cell in enumerate(row):
            bold = r == 0 or i == 0
            marks.append(
                Text(lefts[i], y - size * 0.4, plain_fractions(cell), size, Anchor.START, bold=bold)
            )
        kind = LineKind.OUTLINE if r == 0 else LineKind.DIMENSION
        marks.append(Line(0, y + 4, width, y + 4, kind, 3.0 if r == 0 else 1.5))
        y += 14
    return _Piece(tuple(marks), "", y)


def _stacked(part: Shown, width: float, larger: float) -> _Piece:
    marks: list[Mark] = []
    y = 0.0
    for row in part.rows:
        said = ";  ".join(
            f"{name}: {cell}" for name, cell in zip(part.header[1:], row[1:], strict=True)
        )
        piece = _entry(Entry(row[0], said), width, larger)
        marks += _moved(piece.marks, 0.0, y)
        y += piece.height + _GAP * 0.6
    return _Piece(tuple(marks), "", y)


def _figure(
    part: Drawn,
    x: float,
    y: float,
    width: float,
    height: float,
    style: SvgStyle,
    middle: bool,
) -> tuple[str, float]:
    """The figure as large as the room allows, as markup, and its height on the card."""
    made = picture(part.figure, style, grain=ON_SCREEN)
    bottom = SHEET * made.ratio if part.bottom is None else part.bottom
    ratio = (bottom - part.top) / SHEET
    wide = min(width, height / ratio)
    high = wide * ratio
    left = x + (width - wide) / 2
    top = y + max((height - high) / 2, 0.0) * (0.8 if middle else 0.0)
    inner = made.svg.decode("utf-8")
    tag, _, rest = inner.partition(">")
    view = tag.partition('viewBox="')[2].partition('"')[0]
    _, _, own_width, own_height = (float(v) for v in view.split())
    scale = own_width / SHEET
    if part.bottom is None:
        box = f"0 0 {number(own_width)} {number(own_height)}"
    else:
        box = (
            f"0 {number(part.top * scale)} {number(own_width)} "
            f"{number((bottom - part.top) * scale)}"
        )
    # Its titles are those of the card.
    body = rest.split("</desc>", 1)[-1].rsplit("</svg>", 1)[0]
    svg = (
        f'<svg x="{number(left)}" y="{number(top)}" width="{number(wide)}" height="{number(high)}" '
        f'viewBox="{box}" overflow="hidden">{body}</svg>'
    )
    return svg, high + (top - y)
