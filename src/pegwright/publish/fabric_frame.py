"""Rulers and key round a painted fabric, in dots.

The letters are capitals and figures of five by seven dots, drawn for this frame, so that a painting
needs no font; other characters are shown without their accents or as a dash.
"""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

import numpy as np

from pegwright.pattern.fabric_view import FabricView
from pegwright.publish.fabric_letters import spaced

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["framed"]

_INK = (28, 37, 48)
_PAPER = 255
_WIDE, _TALL, _NEXT = 5, 7, 6

# Each character is seven rows of five bits, the top row first.
_DOTS = {
    "0": "0e11131519110e", "1": "040c040404040e", "2": "0e11010204081f", "3": "1f02040201110e",
    "4": "02060a121f0202", "5": "1f101e0101110e", "6": "0608101e11110e", "7": "1f010204080808",
    "8": "0e11110e11110e", "9": "0e11110f01020c", "A": "0e11111f111111", "B": "1e11111e11111e",
    "C": "0e11101010110e", "D": "1e11111111111e", "E": "1f10101e10101f", "F": "1f10101e101010",
    "G": "0e11101711110f", "H": "1111111f111111", "I": "0e04040404040e", "J": "0702020202120c",
    "K": "11121418141211", "L": "1010101010101f", "M": "111b1515111111", "N": "11191513111111",
    "O": "0e11111111110e", "P": "1e11111e101010", "Q": "0e11111115120d", "R": "1e11111e141211",
    "S": "0f10100e01011e", "T": "1f040404040404", "U": "1111111111110e", "V": "11111111110a04",
    "W": "1111111515150a", "X": "11110a040a1111", "Y": "11110a04040404", "Z": "1f01020408101f",
    "%": "18190204081303", ",": "000000000c0408", ".": "00000000000c0c", "-": "0000001f000000",
    "'": "0c040800000000", "(": "02040808080402", ")": "08040202020408", " ": "00000000000000",
}  # fmt: skip


def framed(view: FabricView, dots: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The painting with row numbers at its sides, pegs below it and the key at the foot."""
    height, width = dots.shape[:2]
    size = max(1, round(width / 360))
    line = _NEXT * size
    label = max((len(m.label) for m in (*view.rows_left, *view.rows_right)), default=1)
    side = (label + 2) * line
    right = side if view.rows_right else 3 * line
    keys = _key_lines(view, size, max(width + side + right - 4 * line, 24 * line))
    top = 3 * line
    foot = top + height + 5 * line
    sheet = np.full(
        (foot + len(keys) * 4 * line + 2 * line, max(width + side + right, 26 * line), 3),
        _PAPER,
        np.uint8,
    )
    sheet[top : top + height, side : side + width] = dots
    _side_marks(view, sheet, (top, side, height, width), size)
    for i, key in enumerate(keys):
        x = 2 * line
        for letter, words, colour in key:
            y = foot + i * 4 * line
            _swatch(sheet, x, y, letter, colour, size)
            x += 6 * line
            _write(sheet, x, y + line // 2, words, size)
            x += (len(words) + 3) * line
    return sheet


def _side_marks(
    view: FabricView, sheet: NDArray[np.uint8], box: tuple[int, int, int, int], size: int
) -> None:
    top, side, height, width = box
    line, half = _NEXT * size, _TALL * size // 2
    course = height / view.lines
    for mark in spaced(view.rows_left, lambda m: m.at * course, lambda _: 1.5 * line):
        y = round(top + (mark.at + 0.5) * course)
        sheet[y : y + size, side - line : side - size] = _INK
        _write(sheet, side - line - len(mark.label) * line - size, y - half, mark.label, size)
    for mark in spaced(view.rows_right, lambda m: m.at * course, lambda _: 1.5 * line):
        y = round(top + (mark.at + 0.5) * course)
        sheet[y : y + size, side + width + size : side + width + line] = _INK
        _write(sheet, side + width + line + 2 * size, y - half, mark.label, size)
    parts = np.concatenate(([0.0], np.cumsum(view.column_parts)))
    parts *= width / parts[-1]
    for mark in spaced(
        view.pegs,
        lambda m: float(parts[m.at] + parts[m.at + 1]) / 2,
        lambda m: float(len(m.label) * line),
    ):
        x = round(side + (parts[mark.at] + parts[mark.at + 1]) / 2)
        y = top + height
        sheet[y + size : y + line, x : x + size] = _INK
        _write(sheet, x - len(mark.label) * line // 2, y + line + 2 * size, mark.label, size)


def _key_lines(
    view: FabricView, size: int, room: int
) -> list[list[tuple[str, str, tuple[int, ...]]]]:
    """Letter, words and colour of each entry of the key, broken into lines."""
    line = _NEXT * size
    out: list[list[tuple[str, str, tuple[int, ...]]]] = [[]]
    used = 0
    for colour in view.colours:
        words = f"{_plain(colour.name)} {colour.share * 100:.0f}%"
        wide = (len(words) + 9) * line
        if out[-1] and used + wide > room:
            out.append([])
            used = 0
        value = tuple(int(colour.hex[i : i + 2], 16) for i in (1, 3, 5))
        out[-1].append((colour.letter, words, value))
        used += wide
    return out


def _swatch(
    sheet: NDArray[np.uint8], x: int, y: int, letter: str, colour: tuple[int, ...], size: int
) -> None:
    line, edge = _NEXT * size, max(1, size)
    wide, tall = (len(letter) + 2) * line + line // 2, 2 * line
    sheet[y - edge : y + tall + edge, x - edge : x + wide + edge] = _INK
    sheet[y : y + tall, x : x + wide] = colour
    light = 0.299 * colour[0] + 0.587 * colour[1] + 0.114 * colour[2] > 125
    start = x + (wide - len(letter) * line + size) // 2
    _write(sheet, start, y + line // 2, letter, size, (17, 17, 17) if light else (255, 255, 255))


def _plain(words: str) -> str:
    """The words in the capitals that this frame has."""
    text = unicodedata.normalize("NFKD", words.upper())
    bare = "".join(c for c in text if not unicodedata.combining(c))
    return "".join(c if c in _DOTS else "-" for c in bare)


def _write(
    sheet: NDArray[np.uint8],
    x: int,
    y: int,
    words: str,
    size: int,
    ink: tuple[int, int, int] = _INK,
) -> None:
    """Words with their top left corner at (x, y); what lies beyond the sheet is cut off."""
    for i, letter in enumerate(_plain(words)):
        code = bytes.fromhex(_DOTS[letter])
        rows = np.unpackbits(np.frombuffer(code, np.uint8)[:, None], axis=1)[:, -_WIDE:]
        stamp = np.kron(rows, np.ones((size, size), np.uint8)).astype(bool)
        left = x + i * _NEXT * size
        place = sheet[max(y, 0) : y + stamp.shape[0], max(left, 0) : left + stamp.shape[1]]
        stamp = stamp[max(-y, 0) :, max(-left, 0) :][: place.shape[0], : place.shape[1]]
        place[stamp] = ink
