"""The picture of coloured fabric: stitches as loops of yarn, to the fabric's own proportions.

Small pieces are drawn stitch by stitch, each kind once as a symbol that is used wherever it stands.
Pieces of more than :data:`MOST_DRAWN` stitches are painted (see ``publish.fabric_raster``) and the
painting is set into the same frame of rulers and key.

On the knit face a stitch is a V whose feet come up through the V below, so rows are drawn from the
bottom up; on the purl face it is a bump; a twisted stitch crosses its feet.  In a rib the purl
columns lie deeper and are darker.  Every patch of colour that has room carries its letter, so that
the picture can be read in black and white.
"""

from __future__ import annotations

import base64
from dataclasses import dataclass
from html import escape
from itertools import accumulate, groupby, pairwise

from pegwright.pattern.fabric_view import FabricView, Stitch, ViewColour
from pegwright.publish.drawing import ON_PAPER, SvgStyle, number, text_width, visible
from pegwright.publish.fabric_grain import DRAWN, MOST_DRAWN, ON_SCREEN, PRINTED, Grain
from pegwright.publish.fabric_letters import Letter, letters, spaced
from pegwright.publish.fabric_loops import CURVES, DEEP_PART, Curve, thickness
from pegwright.publish.figure_marks import SHEET
from pegwright.tongue.said import numeral
from pegwright.tongue.tongue import ENGLISH, Tongue

__all__ = [
    "DRAWN",
    "MOST_DRAWN",
    "ON_SCREEN",
    "PRINTED",
    "Grain",
    "fabric_picture",
    "fabric_sheet",
]

_LEFT = 30.0
_RIGHT = 12.0
_TOP = 30.0
_TOP_BARE = 8.0
_RULER = 20.0
_LABEL = 11.0
_KEY_TEXT = 13.0
_KEY_LINE = 27.0
_WIDEST_WALE = 26.0
_TALLEST = 1500.0
_TOGETHER = 8  # stitches alike that are drawn as one bunch
_FINE = 7.0  # wales narrower than this are drawn without the plies of the yarn


@dataclass(frozen=True, slots=True)
class _Layout:
    """Where the fabric stands on the sheet, in units."""

    left: float
    top: float
    wale: float
    course: float
    edges: tuple[float, ...]  # left edge of each column and the right edge of the last, from 0

    @property
    def width(self) -> float:
        return self.edges[-1]


def fabric_picture(
    view: FabricView,
    *,
    style: SvgStyle = ON_PAPER,
    lettered: bool = True,
    titled: bool = True,
    grain: Grain = DRAWN,
    tongue: Tongue = ENGLISH,
) -> bytes:
    """The view as an SVG document; the same view gives the same bytes.

    :param lettered: write the colours' letters on the fabric where there is room.
    :param titled: write the title above it; where a caption says it already, leave it out.
    :param grain: how many stitches are drawn before they are painted, and how finely then.
    """
    return fabric_sheet(
        view, style=style, lettered=lettered, titled=titled, grain=grain, tongue=tongue
    )[0]


def fabric_sheet(
    view: FabricView,
    *,
    style: SvgStyle = ON_PAPER,
    lettered: bool = True,
    titled: bool = True,
    grain: Grain = DRAWN,
    tongue: Tongue = ENGLISH,
) -> tuple[bytes, float]:
    """As :func:`fabric_picture`, and how high the sheet is for its width."""
    layout = _layout(view, _TOP if titled else _TOP_BARE)
    tall = view.lines * layout.course
    painted = view.lines * view.columns > grain.most_drawn
    fabric = _painted(view, layout, grain, style) if painted else _drawn(view, layout)
    spots = letters(view, layout.edges, layout.course) if lettered else ()
    foot = layout.top + tall
    key, height = _key(view, foot + _RULER + 14.0, style, bool(spots) or not lettered, tongue)
    name = escape(visible(view.key))
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(SHEET)} {number(height)}" '
        f'width="{number(SHEET)}" height="{number(height)}" role="img" '
        f'aria-labelledby="{name}-title {name}-desc" '
        f'font-family="{escape(style.font, quote=False)}" fill="none" stroke-linecap="round" '
        'stroke-linejoin="round">',
        f'<title id="{name}-title">{escape(visible(view.title))}</title>',
        f'<desc id="{name}-desc">{escape(visible(" ".join(_words(view, tongue))))}</desc>',
        _text(SHEET / 2, 18.0, view.title, style.ink, 14.0, bold=True) if titled else "",
        f'<g transform="translate({number(layout.left)} {number(layout.top)})">',
        fabric,
        _furrows(view, layout),
        *(_letter(spot, style) for spot in spots),
        "</g>",
        _rulers(view, layout, style),
        key,
        "</svg>\n",
    ]
    return "\n".join(line for line in lines if line).encode("utf-8"), height / SHEET


def _words(view: FabricView, tongue: Tongue) -> tuple[str, ...]:
    key = "; ".join(
        tongue.say(
            "{letter} is {colour}, {percent}% of the stitches",
            letter=c.letter,
            colour=c.name,
            percent=numeral(f"{100 * c.share:.0f}"),
        )
        for c in view.colours
    )
    return (view.desc, tongue.say("Colours: {key}.", key=key))


def _layout(view: FabricView, top: float) -> _Layout:
    right = _LEFT if view.rows_right else _RIGHT
    room = SHEET - _LEFT - right
    wales = sum(view.column_parts)
    tall = view.course_mm / view.wale_mm
    wale = min(room / wales, _WIDEST_WALE, _TALLEST / (tall * view.lines))
    left = _LEFT + (room - wale * wales) / 2
    edges = tuple(accumulate((part * wale for part in view.column_parts), initial=0.0))
    return _Layout(left, top, wale, wale * tall, edges)


# --- stitches -----------------------------------------------------------------------------------


_Kind = tuple[int, float, bool]
"""What makes two stitches look alike: the stitch, its width in wales, and whether it is turned."""


def _drawn(view: FabricView, layout: _Layout) -> str:
    """Every stitch as a use of its symbol: first the ground behind all, then row upon row."""
    widths = tuple(round(part, 6) for part in view.column_parts)
    rows = [tuple(zip(kinds, widths, view.turned, strict=True)) for kinds in view.stitches]
    kinds = sorted({kind for row in rows for kind in row if kind[0]})
    ids = {kind: f"{view.key}-{i}" for i, kind in enumerate(kinds)}
    defs = []
    for kind in kinds:
        wide = layout.wale * kind[1]
        defs.append(_symbol(ids[kind], kind, wide, layout.course, layout.wale))
        many = "".join(
            f'<use href="#{ids[kind]}" x="{number(i * wide)}"/>' for i in range(_TOGETHER)
        )
        defs.append(f'<g id="{ids[kind]}m">{many}</g>')
    ground = [_ground(view, layout, line) for line in range(view.lines)]
    drawn = [_row(view, layout, line, rows[line], ids) for line in reversed(range(view.lines))]
    return "\n".join(["<defs>", *defs, "</defs>", *filter(None, ground), *filter(None, drawn)])


def _ground(view: FabricView, layout: _Layout, line: int) -> str:
    """The dark of the yarn behind a row, one rectangle a run of colour."""
    top, tall = number(line * layout.course), number(layout.course + 0.3)
    parts = []
    for colour, group in groupby(range(view.columns), key=lambda i: view.cells[line][i]):
        run = list(group)
        if colour >= 0:
            x0, x1 = layout.edges[run[0]], layout.edges[run[-1] + 1]
            parts.append(
                f'<rect x="{number(x0)}" y="{top}" width="{number(x1 - x0)}" height="{tall}" '
                f'fill="{_darker(view.colours[colour].hex)}"/>'
            )
    return "".join(parts)


def _row(
    view: FabricView, layout: _Layout, line: int, row: tuple[_Kind, ...], ids: dict[_Kind, str]
) -> str:
    """The stitches of one line, a group for each stretch of colour, likes by the bunch."""
    cells = view.cells[line]
    parts = []
    for (colour, kind), group in groupby(range(view.columns), key=lambda i: (cells[i], row[i])):
        run = list(group)
        if colour < 0 or not kind[0]:
            continue
        uses, at = [], 0
        while at < len(run):
            bunch = _TOGETHER if len(run) - at >= _TOGETHER else 1
            name = ids[kind] + ("m" if bunch > 1 else "")
            uses.append(f'<use href="#{name}" x="{number(layout.edges[run[at]])}"/>')
            at += bunch
        parts.append(f'<g color="{view.colours[colour].hex}">{"".join(uses)}</g>')
    if not parts:
        return ""
    return f'<g transform="translate(0 {number(line * layout.course)})">{"".join(parts)}</g>'


def _symbol(name: str, kind: _Kind, width: float, height: float, wale: float) -> str:
    """One stitch in its own box, in the colour that it is used with."""
    stitch, part, turned = kind
    ways = [_way(curve, width, height) for curve in CURVES[Stitch(stitch)]]
    thick = thickness(Stitch(stitch), width, height)
    strokes = []
    for way in ways:
        strokes.append(_stroke(way, "#000", thick + max(0.07 * wale, 0.5), 0.42))
        strokes.append(f'<path d="{way}" stroke="currentColor" stroke-width="{number(thick)}"/>')
        strokes.append(_stroke(way, "#fff", thick * 0.42, 0.16))
        strokes.append(_stroke(way, "#fff", thick * 0.16, 0.20))
    if wale >= _FINE:
        strokes += _plies(Stitch(stitch), width, height, thick)
    if part < DEEP_PART:
        strokes += [_stroke(way, "#000", thick, 0.24) for way in ways]
    inner = "".join(strokes)
    if turned:
        spin = f"rotate(180 {number(width / 2)} {number(height / 2)})"
        inner = f'<g transform="{spin}">{inner}</g>'
    return f'<g id="{name}">{inner}</g>'


def _stroke(way: str, colour: str, width: float, opacity: float) -> str:
    return (
        f'<path d="{way}" stroke="{colour}" stroke-width="{number(width)}" '
        f'stroke-opacity="{number(opacity)}"/>'
    )


def _way(curve: Curve, w: float, h: float) -> str:
    """The centre line of a yarn in a box w by h."""
    flat = [number(v) for x, y in curve for v in (x * w, y * h)]
    text = f"M{flat[0]} {flat[1]}"
    for at in range(2, len(flat), 6):
        text += "C" + " ".join(flat[at : at + 6])
    return text


def _plies(stitch: Stitch, w: float, h: float, thick: float) -> list[str]:
    """Short strokes across the yarn, as plies lie."""
    reach = thick * 0.34
    if stitch == Stitch.PURL:
        spots = [(0.36, 0.36), (0.5, 0.30), (0.64, 0.36)]
        lean = [(0.5, -1.0)] * 3
    else:
        spots = [(0.22, 0.30), (0.28, 0.56), (0.36, 0.82)]
        lean = [(1.0, -0.35)] * 3
        if stitch == Stitch.KNIT:
            spots += [(1 - x, y) for x, y in spots]
            lean += [(1.0, 0.35)] * 3
    marks = []
    for (x, y), (dx, dy) in zip(spots, lean, strict=True):
        x0, y0 = x * w - dx * reach, y * h - dy * reach
        marks.append(
            f"M{number(x0)} {number(y0)}l{number(2 * dx * reach)} {number(2 * dy * reach)}"
        )
    return [_stroke("".join(marks), "#000", max(thick * 0.07, 0.3), 0.28)]


def _furrows(view: FabricView, layout: _Layout) -> str:
    tall = number(view.lines * layout.course)
    return "".join(
        f'<path d="M{number(layout.edges[f + 1])} 0V{tall}" stroke="#000" '
        f'stroke-width="{number(layout.wale * 0.26)}" stroke-opacity=".34" '
        'stroke-linecap="butt"/>'
        for f in view.furrows
    )


def _painted(view: FabricView, layout: _Layout, grain: Grain, style: SvgStyle) -> str:
    """The fabric as a painting set into the sheet, three dots a unit at most."""
    from pegwright.publish.fabric_raster import paint, png

    dots = paint(view, width_px=round(layout.width * min(3.0, grain.dots / layout.wale)))
    data = base64.b64encode(png(dots)).decode("ascii")
    return (
        f'<image width="{number(layout.width)}" height="{number(view.lines * layout.course)}" '
        f'preserveAspectRatio="none" href="data:image/png;base64,{data}"/>'
        + _openings(view, layout, style)
    )


def _openings(view: FabricView, layout: _Layout, style: SvgStyle) -> str:
    """Paper where there is no stitch: a painting knows only white, and the paper may be dark."""
    found: dict[tuple[int, int], list[int]] = {}
    for line, cells in enumerate(view.cells):
        for empty, group in groupby(range(view.columns), key=lambda i: cells[i] < 0):
            if empty:
                run = list(group)
                found.setdefault((run[0], run[-1] + 1), []).append(line)
    parts = []
    for (first, last), lines in found.items():
        x0, x1 = layout.edges[first], layout.edges[last]
        for _, near in groupby(enumerate(lines), key=lambda pair: pair[1] - pair[0]):
            at = [line for _, line in near]
            top, tall = at[0] * layout.course - 0.6, len(at) * layout.course + 1.2  # no white rim
            parts.append(
                f'<rect x="{number(x0)}" y="{number(top)}" width="{number(x1 - x0)}" '
                f'height="{number(tall)}" fill="{style.paper}"/>'
            )
    return "".join(parts)


# --- the frame ----------------------------------------------------------------------------------


def _text(
    x: float,
    y: float,
    words: str,
    colour: str,
    size: float,
    *,
    anchor: str = "middle",
    bold: bool = False,
) -> str:
    weight = ' font-weight="700"' if bold else ""
    return (
        f'<text x="{number(x)}" y="{number(y)}" font-size="{number(size)}" '
        f'text-anchor="{anchor}" fill="{colour}"{weight}>{escape(visible(words))}</text>'
    )


def _rulers(view: FabricView, layout: _Layout, style: SvgStyle) -> str:
    """Rows at the sides and pegs below, each number with a tick at its own stitch."""
    parts, ticks = [], []
    left, right = layout.left, layout.left + layout.width
    for marks, edge, way in ((view.rows_left, left, -1), (view.rows_right, right, 1)):
        for mark in spaced(marks, lambda m: m.at * layout.course, lambda _: _LABEL):
            y = layout.top + (mark.at + 0.5) * layout.course
            ticks.append(f"M{number(edge + 2 * way)} {number(y)}h{4 * way}")
            anchor = "end" if way < 0 else "start"
            x = edge + 8 * way
            parts.append(_text(x, y + 4, mark.label, style.quiet, _LABEL, anchor=anchor))
    foot = layout.top + view.lines * layout.course
    middles = [(a + b) / 2 for a, b in pairwise(layout.edges)]
    for mark in spaced(view.pegs, lambda m: middles[m.at], lambda m: text_width(m.label, _LABEL)):
        x = left + middles[mark.at]
        ticks.append(f"M{number(x)} {number(foot + 2)}v4")
        parts.append(_text(x, foot + 17, mark.label, style.quiet, _LABEL))
    path = f'<path d="{"".join(ticks)}" stroke="{style.quiet}" stroke-width="1"/>'
    return "\n".join([path, *parts])


def _letter(spot: Letter, style: SvgStyle) -> str:
    """A letter on a patch of paper, in the middle of its colour."""
    reach = 7.0 if len(spot.letter) == 1 else 9.5
    return (
        f'<circle cx="{number(spot.x)}" cy="{number(spot.y)}" r="{number(reach)}" '
        f'fill="{style.paper}" fill-opacity=".92" stroke="{style.ink}" stroke-width=".8"/>'
        + _text(spot.x, spot.y + 3.7, spot.letter, style.ink, 10.5, bold=True)
    )


def _key(
    view: FabricView, top: float, style: SvgStyle, lettered: bool, tongue: Tongue
) -> tuple[str, float]:
    """The key: a swatch, a letter, a name and a part for each colour; and where the sheet ends."""
    parts: list[str] = []
    x, y = _LEFT, top
    for colour in view.colours:
        words = f"{colour.name}, {_percent(colour.share, tongue)}"
        wide = 34.0 + text_width(words, _KEY_TEXT) + 14.0
        if x > _LEFT and x + wide > SHEET - 6:
            x, y = _LEFT, y + _KEY_LINE
        parts.append(_swatch(colour, x, y, style))
        parts.append(_text(x + 34, y + 15, words, style.ink, _KEY_TEXT, anchor="start"))
        x += wide
    if not lettered and len(view.colours) > 1:
        y += _KEY_LINE
        words = tongue.say("The colours change too often to be lettered in the picture.")
        parts.append(_text(_LEFT, y + 13, words, style.quiet, 11.5, anchor="start"))
    return "\n".join(parts), y + _KEY_LINE + 6


def _swatch(colour: ViewColour, x: float, y: float, style: SvgStyle) -> str:
    ink = "#ffffff" if _luminance(colour.hex) < 0.179 else "#111111"
    return (
        f'<rect x="{number(x)}" y="{number(y)}" width="28" height="21" rx="5" '
        f'fill="{colour.hex}" stroke="{style.ink}" stroke-width="1"/>'
        + _text(x + 14, y + 15, colour.letter, ink, 12.5, bold=True)
    )


def _percent(share: float, tongue: Tongue) -> str:
    if 0 < share < 0.01:
        return tongue.say("under 1 %")
    return tongue.say("{percent} %", percent=numeral(f"{share * 100:.0f}"))


def _channels(hex_: str) -> tuple[int, int, int]:
    return int(hex_[1:3], 16), int(hex_[3:5], 16), int(hex_[5:7], 16)


def _darker(hex_: str) -> str:
    return "#" + "".join(f"{round(c * 0.52):02x}" for c in _channels(hex_))


def _luminance(hex_: str) -> float:
    """Relative luminance, 0 to 1 (W3C WCAG 2.2); white letters suit what is below 0.179."""
    parts = [c / 255 for c in _channels(hex_)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
