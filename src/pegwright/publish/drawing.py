"""A small drawing vocabulary without resolution, and its SVG writer.

A drawing is made of marks: lines, arcs, circles, rectangles, paths, texts and groups.  Lengths are
drawing units; x runs to the right and y downwards from the top left corner.  A drawing 360 units
wide is laid out for a phone's width and prints well between 100 and 120 mm.

Marks carry no colours.  They carry a :class:`LineKind` and a :class:`Fill`, which an
:class:`SvgStyle` turns into colours.  Every kind also has its own dashes or width, so that a
drawing can be read in black and white.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum, StrEnum
from html import escape

__all__ = [
    "ON_PAGE",
    "ON_PAPER",
    "Anchor",
    "Arc",
    "Circle",
    "Drawing",
    "Fill",
    "Group",
    "Line",
    "LineKind",
    "Mark",
    "Path",
    "Rect",
    "SvgStyle",
    "Text",
    "number",
    "svg",
    "text_width",
    "visible",
]


class LineKind(Enum):
    """What a line means: its colour role, its width in units and its dashes."""

    OUTLINE = ("ink", 1.4, "")
    YARN_FIRST = ("yarn_first", 2.8, "")
    YARN_SECOND = ("yarn_second", 2.8, "7 4.5")
    DIMENSION = ("quiet", 0.9, "")
    FOLD = ("ink", 1.3, "10 3 2 3")
    GUIDE = ("quiet", 1.0, "1.5 3")

    @property
    def role(self) -> str:
        """The colour role, a field of :class:`SvgStyle`."""
        return self.value[0]

    @property
    def width(self) -> float:
        """Stroke width in drawing units."""
        return self.value[1]

    @property
    def dashes(self) -> str:
        """Dash lengths in drawing units, or nothing for a whole line."""
        return self.value[2]


class Fill(StrEnum):
    """What fills a shape; each is a field of :class:`SvgStyle`, or nothing."""

    NONE = "none"
    PAPER = "paper"
    INK = "ink"
    SOFT = "soft"
    QUIET = "quiet"
    YARN_FIRST = "yarn_first"
    YARN_SECOND = "yarn_second"


class Anchor(StrEnum):
    """Which part of a text stands at its point."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    kind: LineKind = LineKind.OUTLINE
    width: float | None = None


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle from one angle to another, in degrees, clockwise from the x axis as seen."""

    cx: float
    cy: float
    radius: float
    start_deg: float
    end_deg: float
    kind: LineKind = LineKind.OUTLINE
    width: float | None = None


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle."""

    cx: float
    cy: float
    radius: float
    kind: LineKind | None = LineKind.OUTLINE
    fill: Fill = Fill.NONE


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle with its top left corner at (x, y) and corners rounded by ``round``."""

    x: float
    y: float
    width: float
    height: float
    kind: LineKind | None = LineKind.OUTLINE
    fill: Fill = Fill.NONE
    round: float = 0.0


@dataclass(frozen=True, slots=True)
class Path:
    """A path built step by step; each method returns a longer path.

    ``halo`` draws a wider line of paper beneath, so that the path passes over what lies below.
    """

    kind: LineKind | None = LineKind.OUTLINE
    fill: Fill = Fill.NONE
    width: float | None = None
    halo: float = 0.0
    steps: tuple[tuple[str, tuple[float, ...]], ...] = ()

    def _with(self, letter: str, *numbers: float) -> Path:
        steps = (*self.steps, (letter, numbers))
        return Path(self.kind, self.fill, self.width, self.halo, steps)

    def move(self, x: float, y: float) -> Path:
        """Lift the pen to (x, y)."""
        return self._with("M", x, y)

    def line(self, x: float, y: float) -> Path:
        """Draw straight to (x, y)."""
        return self._with("L", x, y)

    def curve(self, x1: float, y1: float, x2: float, y2: float, x: float, y: float) -> Path:
        """Draw a cubic curve to (x, y) with two control points."""
        return self._with("C", x1, y1, x2, y2, x, y)

    def arc(self, radius: float, x: float, y: float, *, large: bool, clockwise: bool) -> Path:
        """Draw part of a circle to (x, y), clockwise as seen or the other way."""
        return self._with("A", radius, radius, 0, int(large), int(clockwise), x, y)

    def close(self) -> Path:
        """Draw back to where the pen was put down."""
        return self._with("Z")


@dataclass(frozen=True, slots=True)
class Text:
    """A short line of text standing on the baseline at (x, y), turned about that point."""

    x: float
    y: float
    words: str
    size: float = 13.0
    anchor: Anchor = Anchor.MIDDLE
    bold: bool = False
    italic: bool = False
    fill: Fill = Fill.INK
    turn_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Group:
    """Marks that belong together, moved by (dx, dy)."""

    marks: tuple[Mark, ...]
    dx: float = 0.0
    dy: float = 0.0


Mark = Line | Arc | Circle | Rect | Path | Text | Group


@dataclass(frozen=True, slots=True)
class Drawing:
    """Marks on a sheet ``width`` by ``height`` units, first mark at the bottom."""

    width: float
    height: float
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class SvgStyle:
    """The colours of a drawing, by role, and its font."""

    ink: str = "#1c2530"
    paper: str = "#ffffff"
    soft: str = "#e6e9ea"
    quiet: str = "#4d5a66"
    yarn_first: str = "#0b4f6c"
    yarn_second: str = "#a33b1f"
    font: str = "'Atkinson Hyperlegible', 'Verdana', sans-serif"


ON_PAPER = SvgStyle()
"""Dark lines on white, for print and for files of their own."""

ON_PAGE = SvgStyle(
    ink="var(--ink)",
    paper="var(--paper)",
    soft="var(--soft)",
    quiet="var(--quiet)",
    yarn_first="var(--yarn-first)",
    yarn_second="var(--yarn-second)",
)
"""Colours taken from the page that the drawing stands in, light or dark."""


def number(value: float) -> str:
    """A number as every drawing writes it: two decimals at most, no idle zeros.

    :raises ValueError: where the number is not finite.
    """
    if not math.isfinite(value):
        raise ValueError(f"a drawing cannot hold {value}")
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


_NARROW = frozenset("iljtfrI.,:;'|!()[]1 ")
_WIDE = frozenset("mwMW@%—")


def text_width(words: str, size: float = 13.0) -> float:
    """About how wide a text stands, in units; on the generous side."""
    total = 0.0
    for letter in words:
        if letter in _NARROW:
            total += 0.36
        elif letter in _WIDE:
            total += 0.88
        elif letter.isupper():
            total += 0.68
        else:
            total += 0.57
    return total * size


def visible(words: str) -> str:
    """The text without the control characters that no XML document may hold."""
    return "".join(c for c in words if c in "\t\n" or _is_xml(ord(c)))


def svg(drawing: Drawing, *, key: str, title: str, desc: str, style: SvgStyle = ON_PAPER) -> bytes:
    """The drawing as an SVG document: the same drawing gives the same bytes.

    ``title`` and ``desc`` are read out in the drawing's place; ``key`` makes their ids unique on a
    page that holds several drawings.
    """
    key = escape(visible(key))
    width, height = number(drawing.width), number(drawing.height)
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" role="img" '
        f'aria-labelledby="{key}-title {key}-desc" '
        f'font-family="{escape(style.font, quote=False)}" fill="none" '
        'stroke-linecap="round" stroke-linejoin="round">',
        f'<title id="{key}-title">{escape(visible(title))}</title>',
        f'<desc id="{key}-desc">{escape(visible(desc))}</desc>',
        *(_mark(mark, style) for mark in drawing.marks),
        "</svg>\n",
    ]
    return "\n".join(lines).encode("utf-8")


def _mark(mark: Mark, style: SvgStyle) -> str:
    match mark:
        case Line():
            ends = _numbers(x1=mark.x1, y1=mark.y1, x2=mark.x2, y2=mark.y2)
            return f"<line {ends}{_stroke(mark.kind, style, mark.width)}/>"
        case Arc():
            return _mark(_arc_path(mark), style)
        case Circle():
            round_ = _numbers(cx=mark.cx, cy=mark.cy, r=mark.radius)
            return f"<circle {round_}{_filled(mark.fill, style)}{_stroke(mark.kind, style)}/>"
        case Rect():
            box = _numbers(x=mark.x, y=mark.y, width=mark.width, height=mark.height)
            corner = f' rx="{number(mark.round)}"' if mark.round else ""
            return f"<rect {box}{corner}{_filled(mark.fill, style)}{_stroke(mark.kind, style)}/>"
        case Path():
            return _path(mark, style)
        case Text():
            return _text(mark, style)
        case Group():
            inner = "\n".join(_mark(m, style) for m in mark.marks)
            move = f' transform="translate({number(mark.dx)} {number(mark.dy)})"'
            return f"<g{move if mark.dx or mark.dy else ''}>\n{inner}\n</g>"


def _path(path: Path, style: SvgStyle) -> str:
    way = " ".join(
        letter + " ".join(number(value) for value in numbers) for letter, numbers in path.steps
    )
    halo = ""
    if path.halo and path.kind is not None:
        width = number((path.width or path.kind.width) + 2 * path.halo)
        halo = f'<path d="{way}" stroke="{style.paper}" stroke-width="{width}"/>\n'
    stroke = _stroke(path.kind, style, path.width)
    return f'{halo}<path d="{way}"{_filled(path.fill, style)}{stroke}/>'


def _arc_path(arc: Arc) -> Path:
    start, end = math.radians(arc.start_deg), math.radians(arc.end_deg)
    path = Path(arc.kind, width=arc.width).move(
        arc.cx + arc.radius * math.cos(start), arc.cy + arc.radius * math.sin(start)
    )
    return path.arc(
        arc.radius,
        arc.cx + arc.radius * math.cos(end),
        arc.cy + arc.radius * math.sin(end),
        large=abs(arc.end_deg - arc.start_deg) > 180,
        clockwise=arc.end_deg > arc.start_deg,
    )


def _text(text: Text, style: SvgStyle) -> str:
    x, y = number(text.x), number(text.y)
    extras = ' font-weight="700"' if text.bold else ""
    extras += ' font-style="italic"' if text.italic else ""
    if text.turn_deg:
        extras += f' transform="rotate({number(text.turn_deg)} {x} {y})"'
    colour = getattr(style, text.fill.value)
    return (
        f'<text x="{x}" y="{y}" font-size="{number(text.size)}" '
        f'text-anchor="{text.anchor.value}" fill="{colour}"{extras}>'
        f"{escape(visible(text.words))}</text>"
    )


def _stroke(kind: LineKind | None, style: SvgStyle, width: float | None = None) -> str:
    if kind is None:
        return ""
    colour = getattr(style, kind.role)
    dashes = f' stroke-dasharray="{kind.dashes}"' if kind.dashes else ""
    cap = ' stroke-linecap="butt"' if kind.dashes else ""
    return f' stroke="{colour}" stroke-width="{number(width or kind.width)}"{dashes}{cap}'


def _filled(fill: Fill, style: SvgStyle) -> str:
    return "" if fill is Fill.NONE else f' fill="{getattr(style, fill.value)}"'


def _numbers(**values: float) -> str:
    return " ".join(f'{name}="{number(value)}"' for name, value in values.items())


def _is_xml(code: int) -> bool:
    """Whether XML 1.0 allows the character (W3C XML 1.0, fifth edition, production 2)."""
    return 0x20 <= code <= 0xD7FF or 0xE000 <= code <= 0xFFFD or code >= 0x10000
