"""Knitting over, in three stages: loops on a peg, the lower lifted over the upper, what is left.

The peg is seen from the maker's side.  The loop that stays is drawn dark, the loops that go over
and off are drawn light.
"""

from __future__ import annotations

from collections.abc import Iterable

from pegwright.pattern.model import KnitOverDrawing
from pegwright.publish.drawing import Anchor, Drawing, Fill, LineKind, Mark, Path, Rect, Text
from pegwright.publish.figure_marks import LABEL, SHEET, arrowhead, badge, paragraph, wrapped
from pegwright.tongue.said import say
from pegwright.tongue.tongue import ENGLISH, Tongue

__all__ = ["draw_knit_over"]

_CELL = SHEET / 3
_STEP = 19.0  # from loop to loop up the peg
_HALF_PEG = 9.0
_REACH = 24.0  # from the peg's middle to the side of a loop
_SAG = 7.5
_LOOPS = {2: say("Two loops on the peg"), 3: say("Three loops on the peg")}


def draw_knit_over(shown: KnitOverDrawing, tongue: Tongue = ENGLISH) -> Drawing:
    """Three stages side by side, numbered, each with its caption."""
    lift, over = shown.lift, shown.over
    base = 78.0 + (lift + over) * _STEP + 18.0
    top = 62.0
    stages = (_before, _lifting, _after)
    captions = _captions(lift, over, tongue)
    marks: list[Mark] = []
    deepest = 0
    for i, (stage, words) in enumerate(zip(stages, captions, strict=True)):
        middle = _CELL * (i + 0.5) - (12.0 if i == 0 else 0.0)
        marks += stage(middle, base, top, lift, over)
        marks += _names(middle, base, lift, over, tongue) if i == 0 else ()
        left = _CELL * i + 8.0
        marks += badge(left + 11, base + 38, str(i + 1))
        lines = wrapped(words, _CELL - 36)
        marks += paragraph(left + 27, base + 42.5, lines)
        deepest = max(deepest, len(lines))
    return Drawing(SHEET, base + 46 + deepest * LABEL * 1.25, tuple(marks))


def _captions(lift: int, over: int, tongue: Tongue) -> tuple[str, str, str]:
    say = tongue.say
    loops = tongue.speak(_LOOPS[lift + over]) if lift + over in _LOOPS else ""
    on_peg = loops or say("{count} loops on the peg", count=lift + over)
    if (lift, over) == (1, 1):
        lifted = say("Lift the lower loop over the upper one and off")
    elif (lift, over) == (2, 1):
        lifted = say("Lift the lower two loops over the upper one and off")
    elif (lift, over) == (1, 2):
        lifted = say("Lift the lower loop over the upper two and off")
    else:
        facts = {"lift": lift, "over": over}
        lifted = say("Lift the lower {lift} loops over the upper {over} and off", **facts)
    if over == 1:
        return on_peg, lifted, say("One loop is left")
    if over == 2:
        return on_peg, lifted, say("Two loops are left")
    return on_peg, lifted, say("{count} loops are left", count=over)


def _level(base: float, index: int) -> float:
    return base - 20.0 - index * _STEP


def _before(x: float, base: float, top: float, lift: int, over: int) -> Iterable[Mark]:
    levels = [_level(base, i) for i in range(lift + over)]
    for i, y in enumerate(levels):
        yield from _back(x, y, Fill.PAPER if i < lift else Fill.YARN_FIRST)
    yield from _peg(x, base, top)
    for i, y in enumerate(levels):
        yield from _front(x, y, Fill.PAPER if i < lift else Fill.YARN_FIRST)


def _names(x: float, base: float, lift: int, over: int, tongue: Tongue) -> Iterable[Mark]:
    """Which loops are the upper and which the lower ones."""
    levels = [_level(base, i) for i in range(lift + over)]
    upper, lower = tongue.say("upper"), tongue.say("lower")
    side = x + _REACH + 7
    yield Text(side, sum(levels[lift:]) / over + 7, upper, size=12.0, anchor=Anchor.START)
    yield Text(side, sum(levels[:lift]) / lift + 7, lower, size=12.0, anchor=Anchor.START)


def _lifting(x: float, base: float, top: float, lift: int, over: int) -> Iterable[Mark]:
    uppers = [_level(base, i) for i in range(lift, lift + over)]
    for i in range(lift):
        yield from _back(x, _level(base, i), Fill.PAPER)
    for y in uppers:
        yield from _back(x, y, Fill.YARN_FIRST)
    yield from _peg(x, base, top)
    for y in uppers:
        yield from _front(x, y, Fill.YARN_FIRST)
    for i in range(lift):
        yield from _arch(x, _level(base, i), top - 14 - i * 8)
    high = top - 14 - (lift - 1) * 8
    yield from _tool(x, high)
    yield (
        Path(LineKind.OUTLINE)
        .move(x - 30, high + 2)
        .curve(x - 30, high - 26, x + 18, high - 34, x + 30, high - 10)
    )
    yield arrowhead(x + 33.5, high - 2, 68.0, 9.0)


def _after(x: float, base: float, top: float, lift: int, over: int) -> Iterable[Mark]:
    levels = [_level(base, i) for i in range(over)]
    for i in range(lift):
        yield from _dropped(x, levels[-1] - 9 - i * 9)
    for y in levels:
        yield from _back(x, y, Fill.YARN_FIRST)
    yield from _peg(x, base, top)
    for y in levels:
        yield from _front(x, y, Fill.YARN_FIRST)


def _peg(x: float, base: float, top: float) -> Iterable[Mark]:
    yield (
        Path(LineKind.OUTLINE, Fill.SOFT)
        .move(x - _HALF_PEG, base)
        .line(x - _HALF_PEG, top + _HALF_PEG)
        .arc(_HALF_PEG, x + _HALF_PEG, top + _HALF_PEG, large=False, clockwise=True)
        .line(x + _HALF_PEG, base)
    )
    yield Rect(x - 46, base, 92, 15, LineKind.OUTLINE, Fill.SOFT, 2)


def _tube(path: Path, fill: Fill) -> Iterable[Mark]:
    """Yarn as a tube: a dark line, and for light yarn a narrower line of paper upon it."""
    yield Path(LineKind.OUTLINE, width=8.4, halo=1.2, steps=path.steps)
    if fill is Fill.PAPER:
        # The halo of a hair line is the line of paper.
        yield Path(LineKind.OUTLINE, width=0.01, halo=2.7, steps=path.steps)


def _back(x: float, y: float, fill: Fill) -> Iterable[Mark]:
    path = Path().move(x - _REACH, y)
    path = path.curve(x - _REACH, y - _SAG * 1.3, x + _REACH, y - _SAG * 1.3, x + _REACH, y)
    yield from _tube(path, fill)


def _front(x: float, y: float, fill: Fill) -> Iterable[Mark]:
    path = Path().move(x - _REACH, y)
    path = path.curve(x - _REACH, y + _SAG * 1.5, x + _REACH, y + _SAG * 1.5, x + _REACH, y)
    yield from _tube(path, fill)


def _arch(x: float, y: float, high: float) -> Iterable[Mark]:
    path = (
        Path()
        .move(x - _REACH, y)
        .curve(x - _REACH - 6, y - 20, x - 22, high, x, high)
        .curve(x + 22, high, x + _REACH + 6, y - 20, x + _REACH, y)
    )
    yield from _tube(path, Fill.PAPER)


def _dropped(x: float, y: float) -> Iterable[Mark]:
    path = (
        Path()
        .move(x - _REACH + 2, y + 9)
        .curve(x - _REACH - 2, y - 10, x + _REACH + 2, y - 10, x + _REACH - 2, y + 9)
    )
    yield from _tube(path, Fill.PAPER)


def _tool(x: float, high: float) -> Iterable[Mark]:
    """A lifting hook whose bent tip holds the loop's highest point."""
    path = (
        Path(LineKind.OUTLINE, width=3.4)
        .move(x - 52, high + 42)
        .line(x - 8, high + 6)
        .curve(x - 1, high, x + 6, high - 1, x + 5, high - 8)
    )
    yield path
    yield (Path(LineKind.OUTLINE, width=8.0).move(x - 54, high + 43.5).line(x - 40, high + 32))
