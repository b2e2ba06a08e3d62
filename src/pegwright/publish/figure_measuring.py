"""Where to measure: a head, a hand or a foot in plain outline, and on it where each tape runs.

Tapes are dashed, with a dot at either end of those that end; the far side of a tape that goes round
is dotted.  Each has a letter, and the letters are told below.  The piece itself lies on the body as
a grey shape where a measure is its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from string import ascii_uppercase

from pegwright.errors import BadInput
from pegwright.pattern.model import MeasuredOn, MeasuringDrawing
from pegwright.publish.drawing import (
    Anchor,
    Circle,
    Drawing,
    Fill,
    Line,
    LineKind,
    Mark,
    Path,
    Text,
    text_width,
)
from pegwright.publish.figure_marks import LABEL, SHEET, badge
from pegwright.tongue.tongue import ENGLISH, Tongue

__all__ = ["draw_measuring"]

_TAPE = Path(LineKind.YARN_SECOND, width=2.2, halo=1.4)
_FAR = Path(LineKind.GUIDE)
_SKIN = Path(LineKind.OUTLINE, Fill.PAPER, width=1.7)
_FEATURE = Path(LineKind.OUTLINE, width=1.2)
_PIECE = Path(LineKind.DIMENSION, Fill.SOFT)

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Tape:
    """Where one tape runs: its near side, its far side, and where its letter stands.

    ``ends`` are the points between which it is held; none where it goes round.
    """

    near: Path
    letter: Point
    ends: tuple[Point, ...] = ()
    far: Path | None = None
    reach: tuple[tuple[Point, Point], ...] = ()
    """Thin lines from the body to a tape that is drawn beside it."""


def draw_measuring(shown: MeasuringDrawing, tongue: Tongue = ENGLISH) -> Drawing:  # noqa: ARG001
    """The body with its tapes, and under it what each letter means.

    :raises BadInput: for a mark that has no place on that body.
    """
    tapes = [_tape(shown.body, mark) for mark in shown.marks]
    high, body = _BODIES[shown.body]
    marks: list[Mark] = [*body]
    for tape in tapes:
        marks += _laid(tape)
    for letter, tape in zip(ascii_uppercase, tapes, strict=False):
        marks += badge(*tape.letter, letter)
    key, deep = _key(shown.labels, high + 22)
    return Drawing(SHEET, high + 22 + deep, (*marks, *key))


def _tape(body: MeasuredOn, mark: str) -> _Tape:
    places = _TAPES[body]
    if mark not in places:
        raise BadInput(
            f"no tape runs there on a {body}",
            given=mark,
            hint=f"one of: {', '.join(places)}",
        )
    return places[mark]


def _laid(tape: _Tape) -> Iterable[Mark]:
    if tape.far is not None:
        yield tape.far
    for (x1, y1), (x2, y2) in tape.reach:
        yield Line(x1, y1, x2, y2, LineKind.DIMENSION)
    yield tape.near
    for x, y in tape.ends:
        yield Circle(x, y, 3.6, None, Fill.PAPER)
        yield Circle(x, y, 2.8, None, Fill.YARN_SECOND)


def _key(labels: tuple[str, ...], top: float) -> tuple[list[Mark], float]:
    """What each letter means, in as many columns as the widest label allows; and how deep it is."""
    widest = max((text_width(label) for label in labels), default=0.0) + 30
    columns = max(1, min(len(labels), 3, int((SHEET - 16) // (widest + 12))))
    if len(labels) == 4 and columns == 3:
        columns = 2
    room = min((SHEET - 16) / columns, widest + 28)
    left = (SHEET - room * columns + room - widest) / 2
    marks: list[Mark] = []
    for i, label in enumerate(labels):
        x, y = left + room * (i % columns) + 11, top + 13 + 28 * (i // columns)
        marks += badge(x, y, ascii_uppercase[i])
        marks.append(Text(x + 18, y + LABEL * 0.36, label, anchor=Anchor.START))
    return marks, 28.0 * math.ceil(len(labels) / columns) + 6


def _round(x1: float, y1: float, x2: float, y2: float, sag: float) -> tuple[Path, Path]:
    """A tape round the body as it is seen from the side: its near and its far half."""
    near = _TAPE.move(x1, y1).curve(x1 + 4, y1 + sag, x2 - 4, y2 + sag, x2, y2)
    far = _FAR.move(x1, y1).curve(x1 + 4, y1 - sag * 0.7, x2 - 4, y2 - sag * 0.7, x2, y2)
    return near, far


def _straight(*ends: Point) -> Path:
    return _TAPE.move(*ends[0]).line(*ends[1])


# --- a head from the side, the face to the right -------------------------------------------------


def _head() -> tuple[Mark, ...]:
    """A head that is nobody's, with neck and shoulders."""
    outline = (
        _SKIN.move(84, 286)
        .curve(88, 262, 122, 258, 133, 238)
        .curve(142, 220, 138, 200, 130, 184)
        .curve(120, 164, 97, 148, 98, 112)
        .curve(101, 62, 140, 32, 180, 32)
        .curve(218, 32, 246, 56, 250, 92)
        .curve(251, 102, 250, 108, 249, 114)
        .curve(252, 126, 262, 138, 266, 147)
        .curve(267, 152, 262, 154, 256, 155)
        .curve(258, 160, 260, 163, 259, 167)
        .curve(257, 169, 256, 170, 257, 172)
        .curve(260, 176, 257, 179, 254, 181)
        .curve(252, 186, 258, 191, 256, 198)
        .curve(253, 209, 243, 212, 230, 209)
        .curve(218, 207, 208, 203, 203, 206)
        .curve(198, 216, 200, 234, 205, 245)
        .curve(214, 258, 246, 262, 262, 286)
    )
    ear = (
        _FEATURE.move(172, 146)
        .curve(160, 136, 158, 114, 174, 112)
        .curve(190, 111, 191, 130, 183, 140)
        .curve(180, 146, 181, 155, 174, 156)
        .curve(169, 156, 167, 152, 168, 148)
    )
    jaw = _FEATURE.move(178, 168).curve(182, 186, 192, 198, 208, 204)
    brow = _FEATURE.move(228, 113).curve(234, 108, 241, 108, 246, 111)
    eye = _FEATURE.move(232, 124).curve(236, 127, 241, 127, 244, 124)
    return (outline, ear, jaw, brow, eye)


def _band() -> Mark:
    """A headband round the head."""
    return (
        _PIECE.move(103, 88)
        .curve(130, 94, 222, 86, 242, 66)
        .curve(247, 74, 250, 84, 251, 94)
        .curve(226, 116, 128, 132, 99, 124)
        .curve(97, 112, 99, 98, 103, 88)
        .close()
    )


def _collar() -> Mark:
    """A cowl round the neck."""
    return (
        _PIECE.move(122, 190)
        .curve(150, 204, 190, 204, 223, 202)
        .curve(230, 224, 232, 246, 230, 262)
        .curve(196, 278, 128, 274, 104, 256)
        .curve(106, 232, 112, 208, 122, 190)
        .close()
    )


_HEAD_NEAR, _HEAD_FAR = _round(100, 100, 249, 86, 17)
_NECK_NEAR, _NECK_FAR = _round(138, 224, 200, 226, 13)
_COLLAR_NEAR, _COLLAR_FAR = _round(108, 226, 228, 232, 22)
_HEAD_TAPE = _Tape(_HEAD_NEAR, (278, 80), far=_HEAD_FAR)

_ON_HEAD = {
    "head": _HEAD_TAPE,
    "height": _Tape(
        _TAPE.move(166, 240).curve(160, 200, 164, 90, 180, 32),
        (160, 14),
        ((166, 240), (180, 32)),
    ),
    "depth": _Tape(_straight((98, 126), (226, 126)), (76, 126), ((98, 126), (226, 126))),
    "neck": _Tape(_NECK_NEAR, (222, 228), far=_NECK_FAR),
    "crown": _Tape(
        _TAPE.move(186, 23).curve(224, 24, 257, 52, 259, 98),
        (250, 34),
        ((186, 23), (259, 98)),
    ),
}
_ON_BAND = {
    "head": _Tape(_round(99, 108, 249, 82, 15)[0], (276, 80)),
    "height": _Tape(_straight((90, 88), (86, 124)), (68, 104), ((90, 88), (86, 124))),
}
_ON_COLLAR = {
    "neck": _Tape(_COLLAR_NEAR, (252, 234)),
    "height": _Tape(_straight((112, 194), (94, 256)), (82, 220), ((112, 194), (94, 256))),
    "head": _HEAD_TAPE,
}


# --- an open hand, the thumb to the right --------------------------------------------------------

_FINGERS = (  # root, length from there to the tip's middle, half its width, degrees off upright
    (131.0, 150.0, 58.0, 10.0, -14.0),
    (152.5, 138.0, 82.0, 11.0, -5.0),
    (176.0, 135.0, 91.0, 11.5, 2.0),
    (199.0, 141.0, 80.0, 11.0, 9.5),
)


def _hand() -> tuple[Mark, ...]:
    """An open hand with its wrist, seen from its back."""
    path = (
        _SKIN.move(140, 306).curve(140, 264, 132, 248, 127, 226).curve(122, 200, 118, 176, 121, 156)
    )
    for x, y, length, half, lean_deg in _FINGERS:
        lean = math.radians(lean_deg)
        along, across = (math.sin(lean), -math.cos(lean)), (math.cos(lean), math.sin(lean))
        for side in (-1, 1):
            root = (x + side * half * across[0], y + side * half * across[1])
            tip = (root[0] + length * along[0], root[1] + length * along[1])
            if side < 0:
                path = path.line(*root).line(*tip)
            else:
                path = path.arc(half, *tip, large=False, clockwise=True).line(*root)
    path = (
        path.curve(210, 164, 211, 176, 214, 184)
        .curve(226, 172, 236, 156, 245, 141)
        .curve(253, 129, 270, 138, 265, 152)
        .curve(256, 182, 240, 214, 222, 232)
        .curve(206, 250, 200, 264, 200, 306)
    )
    return (path,)


def _mitt() -> Mark:
    """A mitt without fingers on the hand, its thumb gap open."""
    return (
        _PIECE.move(134, 284)
        .curve(133, 258, 124, 244, 119, 222)
        .curve(114, 196, 113, 164, 116, 138)
        .curve(146, 131, 184, 131, 214, 138)
        .curve(215, 152, 215, 166, 216, 182)
        .curve(210, 196, 210, 212, 221, 234)
        .curve(208, 252, 206, 264, 206, 284)
        .close()
    )


# --- a foot from the side, the toes to the right -------------------------------------------------


def _foot() -> tuple[Mark, ...]:
    """A foot with its ankle."""
    outline = (
        _SKIN.move(92, 24)
        .curve(92, 70, 96, 96, 86, 122)
        .curve(78, 140, 62, 152, 66, 176)
        .curve(69, 190, 86, 192, 104, 190)
        .curve(130, 186, 150, 176, 176, 180)
        .curve(200, 184, 220, 192, 248, 192)
        .curve(272, 193, 302, 194, 302, 178)
        .curve(302, 166, 288, 162, 272, 158)
        .curve(240, 148, 206, 128, 178, 104)
        .curve(160, 88, 156, 62, 158, 24)
    )
    ankle = _FEATURE.move(112, 122).curve(114, 112, 128, 110, 132, 120)
    toe = _FEATURE.move(284, 170).curve(288, 168, 293, 168, 296, 170)
    return (outline, ankle, toe)


def _slipper() -> Mark:
    """A slipper on the foot, open round the ankle."""
    return (
        _PIECE.move(84, 118)
        .curve(108, 146, 146, 138, 180, 102)
        .curve(208, 126, 242, 144, 274, 154)
        .curve(292, 159, 307, 164, 307, 180)
        .curve(307, 199, 272, 197, 248, 197)
        .curve(200, 197, 130, 198, 96, 196)
        .curve(72, 195, 61, 188, 61, 172)
        .curve(60, 150, 76, 138, 84, 118)
        .close()
    )


_ON_HAND = {
    "hand": _Tape(_round(114, 160, 215, 156, 11)[0], (92, 162)),
    "length": _Tape(
        _straight((62, 138), (62, 284)),
        (62, 212),
        ((62, 138), (62, 284)),
        reach=(((66, 138), (112, 138)), ((66, 284), (131, 284))),
    ),
    "thumb": _Tape(
        _TAPE.move(216, 182).curve(208, 196, 209, 214, 221, 234),
        (190, 206),
        ((216, 182), (221, 234)),
    ),
    "wrist": _Tape(
        _straight((254, 234), (254, 284)),
        (276, 259),
        ((254, 234), (254, 284)),
        reach=(((225, 234), (250, 234)), ((210, 284), (250, 284))),
    ),
}
_ON_FOOT = {
    "length": _Tape(
        _straight((65, 216), (302, 216)),
        (184, 216),
        ((65, 216), (302, 216)),
        reach=(((65, 201), (65, 212)), ((302, 200), (302, 212))),
    ),
    "round": _Tape(
        _TAPE.move(247, 146).curve(231, 160, 228, 182, 238, 197),
        (209, 166),
        far=_FAR.move(247, 146).curve(256, 162, 252, 184, 238, 197),
    ),
    "front": _Tape(
        _TAPE.move(303, 156).curve(262, 146, 222, 130, 186, 100),
        (232, 108),
        ((303, 156), (186, 100)),
    ),
}

_TAPES = {
    MeasuredOn.HEAD: _ON_HEAD,
    MeasuredOn.BAND: _ON_BAND,
    MeasuredOn.COLLAR: _ON_COLLAR,
    MeasuredOn.HAND: _ON_HAND,
    MeasuredOn.FOOT: _ON_FOOT,
}
_BODIES: dict[MeasuredOn, tuple[float, tuple[Mark, ...]]] = {
    MeasuredOn.HEAD: (286, _head()),
    MeasuredOn.BAND: (286, (*_head(), _band())),
    MeasuredOn.COLLAR: (286, (*_head(), _collar())),
    MeasuredOn.HAND: (306, (*_hand(), _mitt())),
    MeasuredOn.FOOT: (232, (*_foot(), _slipper())),
}
"""How high each body stands on its sheet, and its marks."""
