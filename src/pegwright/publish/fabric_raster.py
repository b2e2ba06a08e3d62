"""Fabric painted in dots, for pieces too large to draw stitch by stitch, and the PNG of it.

Each kind of stitch is painted once, as a **tile**: for every dot of a stitch's box, how much of it
shows the yarn of this row, of the row above (whose feet reach down) and of the row below (whose
shoulders reach up), and how much light lies on it.  A fabric is then the colours of its stitches
times their tiles, all at once.
"""

from __future__ import annotations

import struct
import zlib
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from pegwright.errors import BadInput, Place
from pegwright.pattern.fabric_view import FabricView, Stitch
from pegwright.publish.fabric_loops import CURVES, DEEP_PART, Curve, thickness

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["MOST_DOTS", "fabric_png", "paint", "png"]

MOST_DOTS = 30_000_000
"""Most dots of one painting."""

_WIDEST = 96  # dots across a stitch; larger ones say nothing more
_AT_ONCE = 1_000_000  # dots that are dyed at one time

_FINE = 4  # each dot is the mean of so many by so many
_OUTLINE = 0.16  # dark edge of the yarn, as a part of its radius
_GROUND = 0.52
_PAPER = 255


@dataclass(frozen=True, slots=True, eq=False)
class _Tile:
    """Weights of one stitch's box, each (height, width): of the yarn above, own, below; light."""

    above: NDArray[np.float32]
    own: NDArray[np.float32]
    below: NDArray[np.float32]
    light: NDArray[np.float32]


def paint(view: FabricView, *, width_px: int = 1080) -> NDArray[np.uint8]:
    """The fabric alone, in dots: (height, width, 3), about ``width_px`` wide.

    Every stitch is a whole number of dots, two or more, so the width is met as nearly as that
    allows; a fabric that is long for its width is painted smaller, to :data:`MOST_DOTS`.

    :raises BadInput: for a width that is not above zero, or a fabric that is too large at two dots.
    """
    wale, course = _size(view, width_px)
    cells = np.array(view.cells, np.int16)
    kinds = np.array(view.stitches, np.int8)
    palette = np.array(
        [[int(c.hex[i : i + 2], 16) for i in (1, 3, 5)] for c in view.colours] or [[0, 0, 0]],
        np.float32,
    )
    above = np.vstack((cells[:1], cells[:-1]))
    below = np.vstack((cells[1:], cells[-1:]))
    above, below = (np.where(other < 0, cells, other) for other in (above, below))
    widths = [max(1, round(part * wale)) for part in view.column_parts]
    edges = np.concatenate(([0], np.cumsum(widths)))
    out = np.full((view.lines, course, int(edges[-1]), 3), _PAPER, np.uint8)
    groups: dict[tuple[int, bool, bool], list[int]] = {}
    for i, (wide, part, turned) in enumerate(
        zip(widths, view.column_parts, view.turned, strict=True)
    ):
        groups.setdefault((wide, part < DEEP_PART, turned), []).append(i)
    for (wide, deep, turned), columns in groups.items():
        dots = edges[columns][:, None] + np.arange(wide)
        for kind in Stitch:
            if kind is Stitch.NONE or not (kinds[:, columns] == kind).any():
                continue
            tile = _tile(kind, wide, course, deep, turned)
            many = max(1, _AT_ONCE // (course * wide * len(columns)))
            for low in range(0, view.lines, many):
                some = slice(low, low + many)
                pick = np.ix_(range(*some.indices(view.lines)), columns)
                show = (kinds[pick] == kind) & (cells[pick] >= 0)
                dyed = _dye(tile, palette, above[pick], cells[pick], below[pick])
                target = out[some][:, :, dots]
                out[some][:, :, dots] = np.where(show[:, None, :, None, None], dyed, target)
    _groove(out, view, edges, wale)
    return out.reshape(view.lines * course, -1, 3)


def _size(view: FabricView, width_px: int) -> tuple[int, int]:
    """Dots across a wale and up a course."""
    if not 1 <= width_px <= 20_000:
        raise BadInput(
            "a picture is between 1 and 20 000 dots wide",
            given=width_px,
            place=Place(field="width_px"),
        )
    wales = sum(view.column_parts)
    tall = view.course_mm / view.wale_mm
    most = (MOST_DOTS / (wales * view.lines * tall)) ** 0.5
    wale = max(2, int(min(round(width_px / wales), most, _WIDEST)))
    course = max(2, round(wale * tall))
    if wale * wales * course * view.lines > 1.5 * MOST_DOTS:
        raise BadInput(
            "this fabric is too large for one picture",
            given=f"{view.lines} rows of {view.columns} stitches",
            hint="show some of its rows",
            place=Place(field="cells"),
        )
    return wale, course


def _dye(
    tile: _Tile,
    palette: NDArray[np.float32],
    above: NDArray[np.int16],
    own: NDArray[np.int16],
    below: NDArray[np.int16],
) -> NDArray[np.uint8]:
    """Stitches in their colours: (lines, course, columns, wale, 3)."""
    total = (255 * tile.light)[None, :, None, :, None] + np.zeros(
        (own.shape[0], 1, own.shape[1], 1, 3), np.float32
    )
    for weight, cells in ((tile.above, above), (tile.own, own), (tile.below, below)):
        total += weight[None, :, None, :, None] * palette[cells][:, None, :, None, :]
    return np.asarray(np.clip(np.rint(total), 0, 255), np.uint8)


def _groove(out: NDArray[np.uint8], view: FabricView, edges: NDArray[np.int64], wale: int) -> None:
    """Darken the dots beside each furrow, in place."""
    reach = max(1, round(wale * 0.13))
    for furrow in view.furrows:
        at = int(edges[furrow + 1])
        dots = out[:, :, max(at - reach, 0) : at + reach]
        dots[...] = np.rint(dots * 0.66).astype(np.uint8)


@lru_cache(maxsize=64)
def _tile(stitch: Stitch, wide: int, tall: int, deep: bool, turned: bool) -> _Tile:
    """One stitch's box, each dot the mean of finer ones."""
    w, h = wide * _FINE, tall * _FINE
    y, x = np.mgrid[0:h, 0:w] + 0.5
    radius = thickness(stitch, w, h) / 2
    free = np.ones((h, w), bool)
    weights = []
    light = np.zeros((h, w))
    dull = 0.76 if deep else 1.0
    for up in (1, 0, -1):
        shade = np.zeros((h, w))
        for curve in reversed(CURVES[stitch]):
            d = _distance(curve, x, y + up * h, w, h) / radius
            inside = free & (d < 1 + _OUTLINE)
            round_ = np.sqrt(np.clip(1 - d * d, 0, 1))
            tone = np.where(d < 1, 0.66 + 0.34 * round_, 0.45) * dull
            shade = np.where(inside, tone, shade)
            gleam = 0.20 * dull * np.clip(1 - 1.6 * d, 0, 1)
            light = np.where(inside, gleam, light)
            shade = np.where(inside, shade * (1 - gleam), shade)
            free &= ~inside
        weights.append(shade)
    weights[1] = np.where(free, _GROUND, weights[1])
    parts = [_mean(part, wide, tall) for part in (*weights, light)]
    if turned:
        parts = [part[::-1, ::-1] for part in (parts[2], parts[1], parts[0], parts[3])]
    return _Tile(*parts)


def _mean(fine: NDArray[np.float64], wide: int, tall: int) -> NDArray[np.float32]:
    return np.asarray(fine.reshape(tall, _FINE, wide, _FINE).mean(axis=(1, 3)), np.float32)


def _distance(
    curve: Curve, x: NDArray[np.float64], y: NDArray[np.float64], w: int, h: int
) -> NDArray[np.float64]:
    """How far dots lie from a curve in a box w by h, found along 24 points of each cubic."""
    t = np.linspace(0, 1, 24)[:, None]
    points = np.array(curve) * (w, h)
    nearest = np.full(x.shape, np.inf)
    for at in range(0, len(points) - 1, 3):
        a, b, c, d = points[at : at + 4]
        for px, py in (
            (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d
        ):
            np.minimum(nearest, (x - px) ** 2 + (y - py) ** 2, out=nearest)
    return np.asarray(np.sqrt(nearest), np.float64)


def fabric_png(view: FabricView, *, width_px: int = 1080) -> bytes:
    """The view as a PNG with its rulers and key; title and description are in the file as text.

    :param width_px: about how wide the fabric itself is, in dots.
    :raises BadInput: as :func:`paint`.
    """
    from pegwright.publish.fabric_frame import framed

    dots = paint(view, width_px=width_px)
    text = {"Title": view.title, "Description": view.desc}
    return png(framed(view, dots), text)


def png(dots: NDArray[np.uint8], text: dict[str, str] | None = None) -> bytes:
    """Dots (height, width, 3) as a PNG file; ``text`` is kept in it by keyword.

    Form: W3C Portable Network Graphics (PNG) specification: signature, IHDR, iTXt, IDAT, IEND.
    """
    height, width = dots.shape[:2]
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    lines = np.zeros((height, 1 + 3 * width), np.uint8)
    lines[:, 1:] = dots.reshape(height, -1)
    parts = [_chunk(b"IHDR", head)]
    for name, words in (text or {}).items():
        parts.append(
            _chunk(b"iTXt", name.encode("latin-1") + b"\0\0\0\0\0" + words.encode("utf-8"))
        )
    parts.append(_chunk(b"IDAT", zlib.compress(lines.tobytes(), 6)))
    parts.append(_chunk(b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def _chunk(kind: bytes, data: bytes) -> bytes:
    check = zlib.crc32(kind + data)
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", check)
