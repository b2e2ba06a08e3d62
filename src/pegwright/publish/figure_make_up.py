"""Figures of the finished fabric: pieces to scale with their measurements, and folding a hood."""

from __future__ import annotations

from collections.abc import Iterable

from pegwright.pattern.model import FoldDrawing, SchematicDrawing, SchematicPiece
from pegwright.publish.drawing import (
    Circle,
    Drawing,
    Fill,
    Group,
    Line,
    LineKind,
    Mark,
    Path,
    Rect,
    Text,
    text_width,
)
from pegwright.publish.figure_marks import (
    LABEL,
    SHEET,
    badge,
    dimension,
    haloed,
    paragraph,
    wrapped,
)
from pegwright.tongue.tongue import ENGLISH, Tongue

__all__ = ["draw_fold", "draw_schematic"]

_WIDEST = 210.0
_LONGEST = 270.0
_SIDE = 34.0  # room for a measured length and for the name of a side
_NARROWEST = 4.0


# --- pieces to scale -----------------------------------------------------------------------------


def draw_schematic(shown: SchematicDrawing, tongue: Tongue = ENGLISH) -> Drawing:
    """The pieces to one scale, side by side where they fit and in rows where they do not."""
    widest = max((p.width.length_mm for p in shown.pieces), default=1.0)
    longest = max((p.length.length_mm for p in shown.pieces), default=1.0)
    scale = min(_WIDEST / widest, _LONGEST / longest)
    marks: list[Mark] = [
        Text(SHEET / 2, 20, tongue.say("Size {sizes}", sizes=shown.size), size=14, bold=True)
    ]
    y = 34.0
    for row in _rows(shown.pieces, scale):
        x = (SHEET - sum(_room(p, scale) for p in row)) / 2
        tall = max(p.length.length_mm for p in row) * scale
        for piece in row:
            sunk = tall - piece.length.length_mm * scale
            marks.append(Group(tuple(_piece(piece, scale, tongue)), x, y + sunk))
            x += _room(piece, scale)
        y += tall + 108
    return Drawing(SHEET, y, tuple(marks))


def _rows(pieces: tuple[SchematicPiece, ...], scale: float) -> Iterable[list[SchematicPiece]]:
    row: list[SchematicPiece] = []
    used = 0.0
    for piece in pieces:
        room = _room(piece, scale)
        if row and used + room > SHEET - 8:
            yield row
            row, used = [], 0.0
        row.append(piece)
        used += room
    if row:
        yield row


def _drawn_width(piece: SchematicPiece, scale: float) -> float:
    return max(piece.width.length_mm * scale, _NARROWEST)


def _room(piece: SchematicPiece, scale: float) -> float:
    """The width a piece takes with its labels, units."""
    labels = (piece.name, piece.top_edge, piece.bottom_edge, piece.width.label)
    words = max(text_width(label) for label in labels)
    return max(_drawn_width(piece, scale) + 2 * _SIDE, words + 10)


def _piece(piece: SchematicPiece, scale: float, tongue: Tongue) -> Iterable[Mark]:
    """A piece with its labels; the top of its own sheet is 34 units above the fabric."""
    width, length = _drawn_width(piece, scale), piece.length.length_mm * scale
    room = _room(piece, scale)
    left, top = (room - width) / 2, 40.0
    middle, bottom = left + width / 2, top + length
    yield _shape(piece, left, top, width, length, scale)
    yield from dimension(left - 16, top, left - 16, bottom, piece.length.label, turn_deg=-90)
    yield Text(middle, top - 24, piece.name, bold=True)
    yield Text(middle, top - 7, piece.top_edge)
    yield Text(middle, bottom + 16, piece.bottom_edge)
    if piece.side_edges:
        yield Text(left + width + 17, top + length / 2, piece.side_edges, turn_deg=-90)
    y = bottom + 33
    at = (middle, y + 19)
    yield from dimension(left, y, left + width, y, piece.width.label, at=at)
    if piece.fold_at is not None:
        fold = bottom - piece.fold_at * length
        yield Line(left - 6, fold, left + width + 6, fold, LineKind.FOLD)
        if width > 60:
            words = Text(middle, fold - 7, tongue.say("fold"), italic=True)
            yield words


def _shape(
    piece: SchematicPiece, left: float, top: float, width: float, length: float, scale: float
) -> Mark:
    """The piece itself: a rectangle, or the polygon that it is."""
    if not piece.outline:
        return Rect(left, top, width, length, LineKind.OUTLINE, Fill.SOFT)
    points = [(left + x * scale, top + length - y * scale) for x, y in piece.outline]
    path = Path(LineKind.OUTLINE, Fill.SOFT).move(*points[0])
    for point in points[1:]:
        path = path.line(*point)
    return path.close()


# --- folding a hood ------------------------------------------------------------------------------


_HALF = SHEET / 2
_ENDS = 56.0  # room for the words beside the gathered neck


def draw_fold(shown: FoldDrawing, tongue: Tongue = ENGLISH) -> Drawing:
    """Four stages, two by two: the flat strip, folded, its back closed, its neck gathered."""
    ratio = shown.length_mm / shown.width_mm
    length = max(90.0, min(200.0, 84.0 * ratio))
    width = max(34.0, min(length / ratio, 96.0))
    stages = (_flat, _folded, _seamed, _hood)
    captions = [wrapped(words, _HALF - 44) for words in shown.stages]
    marks: list[Mark] = []
    y = 0.0
    for row in (0, 2):
        tall = (length if row == 0 else length / 2) + 44
        for i in (row, row + 1):
            x = _HALF * (i % 2)
            art = tuple(stages[i](width, length, shown.closing, tongue))
            marks.append(Group(art, x + _HALF / 2, y + tall))
            marks += badge(x + 16, y + tall + 50, str(i + 1))
            marks += paragraph(x + 33, y + tall + 54.5, captions[i])
        y += tall + 66 + max(len(captions[row]), len(captions[row + 1])) * LABEL * 1.25
    return Drawing(SHEET, y, tuple(marks))


def _flat(width: float, length: float, _closing: str, tongue: Tongue) -> Iterable[Mark]:
    half = width / 2
    yield Rect(-half, -length, width, length, LineKind.OUTLINE, Fill.SOFT)
    yield Line(-half - 8, -length / 2, half + 8, -length / 2, LineKind.FOLD)
    yield from haloed(0, -length / 2, tongue.say("fold"))
    yield Text(0, -length - 8, tongue.say("neck edge"))
    yield Text(0, 17, tongue.say("neck edge"))
    yield Text(-half - 12, -length / 2, tongue.say("back edge"), turn_deg=-90)
    yield Text(half + 21, -length / 2, tongue.say("face edge"), turn_deg=-90)


def _folded(width: float, length: float, _closing: str, tongue: Tongue) -> Iterable[Mark]:
    yield from _two_layers(width, length / 2)
    half, tall = width / 2, length / 2
    yield Text(0, -tall - 16, tongue.say("crown fold"))
    yield Text(0, 17, tongue.say("neck edges"))
    yield Text(-half - 12, -tall / 2, tongue.say("back edges"), turn_deg=-90)
    yield Text(half + 26, -tall / 2, tongue.say("face edges"), turn_deg=-90)


def _two_layers(width: float, tall: float) -> Iterable[Mark]:
    """The folded strip: the far layer peeps out behind the near one, joined at the crown."""
    half = width / 2
    yield (
        Path(LineKind.OUTLINE, Fill.PAPER)
        .move(-half + 6, -tall - 5)
        .line(half + 6, -tall - 5)
        .line(half + 6, -5)
        .line(-half + 6, -5)
        .close()
    )
    yield (
        Path(LineKind.OUTLINE, Fill.SOFT)
        .move(-half, 0)
        .line(-half, -tall)
        .curve(-half, -tall - 4, -half + 3, -tall - 5, -half + 6, -tall - 5)
        .line(half + 6, -tall - 5)
        .curve(half + 3, -tall - 5, half, -tall - 4, half, -tall)
        .line(half, 0)
        .close()
    )


def _seamed(width: float, length: float, _closing: str, tongue: Tongue) -> Iterable[Mark]:
    half, tall = width / 2, length / 2
    yield from _two_layers(width, tall)
    yield from _chain(-half, -tall + 3, -2.0)
    yield Text(0, -tall - 16, tongue.say("crown fold"))
    yield Text(0, 17, tongue.say("neck edges"))
    yield Text(-half - 14, -tall / 2, tongue.say("back seam"), turn_deg=-90)
    yield Text(half + 26, -tall / 2, tongue.say("face, open"), turn_deg=-90)


def _chain(x: float, top: float, bottom: float) -> Iterable[Mark]:
    """Chain stitches down a line: links, each out of the one above."""
    count = max(3, round((bottom - top) / 11))
    link = (bottom - top) / count
    for i in range(count):
        y = top + i * link
        yield (
            Path(LineKind.OUTLINE, Fill.PAPER, width=1.8)
            .move(x, y)
            .curve(x - 7, y + link * 0.3, x - 6, y + link * 1.12, x, y + link * 1.12)
            .curve(x + 6, y + link * 1.12, x + 7, y + link * 0.3, x, y)
        )


def _hood(width: float, length: float, closing: str, tongue: Tongue) -> Iterable[Mark]:
    half, tall = width / 2, length / 2
    neck = half * 0.62
    yield (
        Path(LineKind.OUTLINE, Fill.PAPER)
        .move(half - 4, -tall - 4)
        .curve(half + 18, -tall * 0.9, half + 18, -tall * 0.35, neck + 4, -10)
        .line(neck - 10, -6)
        .close()
    )
    yield (
        Path(LineKind.OUTLINE, Fill.SOFT)
        .move(-neck, -8)
        .curve(-half - 8, -tall * 0.35, -half - 6, -tall - 2, -half + 10, -tall - 4)
        .line(half - 4, -tall - 4)
        .curve(half + 8, -tall * 0.8, half + 8, -tall * 0.35, neck, -8)
        .close()
    )
    yield from _gathers(neck, tall)
    yield from _skirt(neck)
    yield from _drawn_neck(neck, closing, tongue)
    yield Text(-2, -tall - 14, tongue.say("crown"))
    yield Text(-half - 17, -tall / 2, tongue.say("back"), turn_deg=-90)
    yield Text(half + 32, -tall / 2, tongue.say("face"), turn_deg=-90)


def _gathers(neck: float, tall: float) -> Iterable[Mark]:
    count = 7
    for i in range(1, count):
        x = -neck + 2 * neck * i / count
        high = tall * (0.2 + 0.06 * (i % 3))
        yield (
            Path(LineKind.DIMENSION)
            .move(x, -10)
            .curve(x, -high * 0.6, x * 1.12, -high * 0.8, x * 1.2, -high)
        )


def _skirt(neck: float) -> Iterable[Mark]:
    """The short frill below the gathered line."""
    path = Path(LineKind.OUTLINE, Fill.SOFT).move(-neck, -8).line(-neck - 4, 1)
    folds = 6
    step = (2 * neck + 8) / folds
    for i in range(folds):
        x = -neck - 4 + i * step
        path = path.curve(x + step * 0.3, 5, x + step * 0.7, 5, x + step, 1)
    yield path.line(neck, -8).close()


def _drawn_neck(neck: float, closing: str, tongue: Tongue) -> Iterable[Mark]:
    yield Path(LineKind.YARN_FIRST, halo=1.2).move(-neck - 1, -8).line(neck + 2, -8)
    if closing == "cord":
        for dx, drop in ((6.0, 36.0), (20.0, 31.0)):
            x = neck + dx
            yield (
                Path(LineKind.YARN_FIRST, halo=1.2)
                .move(neck + 2, -8)
                .curve(neck + dx, -6, x + 3, 6, x, drop - 4)
            )
            yield Circle(x, drop - 4, 3.4, LineKind.OUTLINE, Fill.YARN_FIRST)
        lines = wrapped(tongue.say("cord ends"), _ENDS)
        yield from paragraph(neck + 30, 24, lines)
        return
    yield Circle(neck + 3, -8, 4.2, LineKind.OUTLINE, Fill.YARN_FIRST)
    lines = wrapped(tongue.say("yarn fastened"), _ENDS)
    yield from paragraph(neck + 12, 8, lines)
