"""Knitting over, as a moving picture: pegs of the run one after another, in the order it has.

On the left the board from above, where each peg is marked when it is done; on the right the peg
that is being knitted over, seen from the maker's side.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pegwright.lesson.scene import Pop, Pose, Scene
from pegwright.lesson.wrap_scene import heading, on_short, row_of, short_loom, tenths, wide_sheet
from pegwright.pattern.source import Source
from pegwright.publish.board_view import BoardView, board_view
from pegwright.publish.drawing import Anchor, Circle, Fill, Group, LineKind, Mark, Path, Rect, Text
from pegwright.publish.figure_marks import SHEET, peg_from_above

__all__ = ["knit_over_scene"]

_SLOWLY = 3  # pegs that are shown slowly, in full
_POSES = 12
_SLOW_S, _QUICK_S, _QUICKLY_S = 2.4, 0.3, 7.0
_LEAD_S, _HOLD_S = 0.6, 2.0
_SIDE = 190.0  # room for the peg seen from the side
_TOP = 128.0

_HALF_PEG = 13.0
_REACH = 36.0
_SAG = 11.0
_STEP = 27.0
_TUBE = 12.0


def knit_over_scene(source: Source, key: str = "knit-over") -> Scene | None:
    """The scene of a row of the first size's first piece; None where it is purled throughout."""
    row = row_of(source.sizes[0].plan.script)
    if not row.knitted:
        return None
    loom = short_loom(source.loom, row.visits)
    pegs = [on_short(source.loom, loom, p) for p in row.knitted]
    view = board_view(loom, _TOP)
    seen = [p for p in pegs if view.is_ring or view.run_of(p) is not None]
    wide, high = wide_sheet(max(view.bottom + 96.0, 260.0), SHEET + _SIDE + 48.0)
    left = (wide - SHEET - _SIDE) / 3
    peg = _Peg(wide - left - _SIDE / 2, high - 62.0, row.lift, row.over)
    poses: list[Pose] = []
    pops: list[Pop] = []
    now = _LEAD_S
    quick_s = min(_QUICK_S, _QUICKLY_S / max(len(seen) - _SLOWLY, 1))
    for i, one in enumerate(seen):
        name = loom.address(one)
        if i < _SLOWLY:
            poses += peg.slowly(name, now)
            now += _SLOW_S
        else:
            poses += peg.quickly(name, now)
            now += quick_s
        x, y = view.at(one)
        pops.append(Pop(tuple(_done(view, x + left, y)), now - 0.1))
    ground = (
        *heading(wide, f"Knit over, row {row.number}", "one peg after another"),
        Group((*view.boards(), *_loaded(view, seen), *_names(view, seen)), left, 0.0),
        *_legend(view, left, row.lift + row.over),
    )
    shown = ", ".join(loom.address(p) for p in pegs)
    words = (
        "Pegs from above, and one of them from the side. On each peg in turn the hook lifts the "
        f"lower {'loop' if row.lift == 1 else 'loops'} over the upper one and off. "
        f"The order of the pegs is {shown}."
    )
    title = f"Knitting over: row {row.number}"
    seconds = tenths(now + _HOLD_S)
    still = _LEAD_S + _SLOW_S * 0.5
    return Scene(
        key, title, words, wide, high, seconds, ground, (), tuple(pops), tuple(poses), still
    )


# --- from above ----------------------------------------------------------------------------------


def _loaded(view: BoardView, seen: list[int]) -> Iterator[Mark]:
    """Pegs with two loops on each."""
    for peg in view.pegs():
        x, y = view.at(peg)
        if peg in seen and not _is_crowded(view):
            yield Circle(x, y, view.peg_radius + 5.4, LineKind.DIMENSION)
            yield Circle(x, y, view.peg_radius + 2.6, LineKind.DIMENSION)
        yield from peg_from_above(x, y, view.peg_radius, filled=False)


def _is_crowded(view: BoardView) -> bool:
    """Whether loops drawn round neighbouring pegs would touch."""
    return view.loom.pitch_mm * view.scale < 2 * (view.peg_radius + 6.2)


def _done(view: BoardView, x: float, y: float) -> Iterator[Mark]:
    """A peg with one loop left: filled, so that it is told from the others without colour."""
    if not _is_crowded(view):
        yield Circle(x, y, view.peg_radius + 6.2, None, Fill.SOFT)
        yield Circle(x, y, view.peg_radius + 2.6, LineKind.DIMENSION)
    yield Circle(x, y, view.peg_radius, None, Fill.YARN_FIRST)


def _names(view: BoardView, seen: list[int]) -> tuple[Mark, ...]:
    first = {seen[0]: "first"}
    columns = [] if view.is_ring else view.columns_by_weight()
    return view.addresses(columns, view.half_board + 16.0, first)


def _legend(view: BoardView, left: float, loops: int) -> Iterator[Mark]:
    y = view.bottom + view.half_board + 62.0
    x = left + 30.0
    r = 5.0
    yield Circle(x, y, r + 5.4, LineKind.DIMENSION)
    yield Circle(x, y, r + 2.6, LineKind.DIMENSION)
    yield from peg_from_above(x, y, r, filled=False)
    count = {2: "two", 3: "three"}.get(loops, str(loops))
    yield Text(x + 18, y + 4.6, f"{count} loops", anchor=Anchor.START)
    x += 120.0
    yield Circle(x, y, r + 2.6, LineKind.DIMENSION)
    yield Circle(x, y, r, None, Fill.YARN_FIRST)
    yield Text(x + 18, y + 4.6, "knitted over", anchor=Anchor.START)


# --- from the side -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Peg:
    """A peg seen from the maker's side: the middle of its foot, and how many loops move."""

    x: float
    base: float
    lift: int
    over: int

    @property
    def top(self) -> float:
        """The peg's tip."""
        return self.base - 34.0 - (self.lift + self.over) * _STEP - 22.0

    def level(self, index: int) -> float:
        """The height of a loop, the lowest first."""
        return self.base - 28.0 - index * _STEP

    def slowly(self, name: str, start_s: float) -> Iterator[Pose]:
        """All poses of one peg."""
        for k in range(_POSES + 1):
            part = k / _POSES
            # The hook waits at the beginning, and the eye rests on the stitch at the end.
            at = start_s + _SLOW_S * (0.16 + 0.62 * part) if k else start_s
            yield Pose(tuple(self.marks(name, part)), at)

    def quickly(self, name: str, start_s: float) -> Iterator[Pose]:
        """One pose of one peg: the stitch."""
        yield Pose(tuple(self.marks(name, 1.0)), start_s)

    def marks(self, name: str, part: float) -> Iterator[Mark]:
        """The peg when so much of the lifting is done, 0 to 1.

        To 0.6 the loop rises before the peg; then it goes down behind it.
        """
        rising, falling = min(part / 0.6, 1.0), max((part - 0.6) / 0.4, 0.0)
        high = self.top - 16.0
        lowers = [self.level(i) for i in range(self.lift)]
        uppers = [self.level(self.lift + i) + falling * self.lift * _STEP for i in range(self.over)]
        for y in lowers:
            if falling:
                drop = high + (y - _SAG - high) * falling
                yield from _loop(self.x, y, drop, _bent(y, drop, high), Fill.PAPER)
            else:
                yield from _loop(self.x, y, y - _SAG, 0.0, Fill.PAPER)
        for y in uppers:
            yield from _loop(self.x, y, y - _SAG, 0.0, Fill.INK)
        yield from self._wood()
        for y in uppers:
            yield from _loop(self.x, y, y + _SAG, 0.0, Fill.INK)
        tip = high
        for y in lowers:
            rise = y + _SAG + (high - y - _SAG) * _eased(rising)
            if not falling:
                yield from _loop(self.x, y, rise, _bent(y, rise, high), Fill.PAPER)
                tip = rise
        if part < 1.0:
            drop = high + (lowers[-1] - _SAG - high) * falling * 0.25 if falling else tip
            yield from _hook(self.x, drop)
        yield from self._words(name, part)

    def _wood(self) -> Iterator[Mark]:
        yield (
            Path(LineKind.OUTLINE, Fill.SOFT, width=1.8)
            .move(self.x - _HALF_PEG, self.base)
            .line(self.x - _HALF_PEG, self.top + _HALF_PEG)
            .arc(_HALF_PEG, self.x + _HALF_PEG, self.top + _HALF_PEG, large=False, clockwise=True)
            .line(self.x + _HALF_PEG, self.base)
        )
        yield Rect(self.x - 66, self.base, 132, 20, LineKind.OUTLINE, Fill.SOFT, 3)

    def _words(self, name: str, part: float) -> Iterator[Mark]:
        y = self.top - 42.0
        if part >= 1.0:
            said = "one loop is left" if self.over == 1 else "done"
        elif part > 0.6:
            said = "and off"
        elif part > 0.0:
            said = "over the upper"
        else:
            said = "lower and upper" if self.lift == 1 else "lower, upper"
        yield Text(self.x, y - 20, name, size=21, bold=True)
        yield Text(self.x, y, said, size=15)


def _eased(part: float) -> float:
    return part * part * (3 - 2 * part)


def _bent(y: float, at: float, high: float) -> float:
    """How much a loop stands up like an arch, from 0 (a ring round the peg) to 1."""
    return min(max((y - at) / (y - high), 0.0), 1.0)


def _loop(x: float, y: float, middle: float, bent: float, fill: Fill) -> Iterator[Mark]:
    """Half a ring of yarn whose sides are at height y and whose middle is at ``middle``."""
    side, wide = _REACH + 8 * bent, _REACH * (0.86 - 0.3 * bent)
    bow = y + (middle - y) * (1.1 - 0.75 * bent)
    path = (
        Path()
        .move(x - _REACH, y)
        .curve(x - side, bow, x - wide, middle, x, middle)
        .curve(x + wide, middle, x + side, bow, x + _REACH, y)
    )
    yield from _tube(path, fill)


def _tube(path: Path, fill: Fill) -> Iterable[Mark]:
    """Yarn: a dark line with a rim of paper, and for light yarn a line of paper upon it."""
    yield Path(LineKind.OUTLINE, width=_TUBE, halo=1.6, steps=path.steps)
    if fill is Fill.PAPER:
        # The halo of a hair line is the line of paper.
        yield Path(LineKind.OUTLINE, width=0.01, halo=_TUBE / 2 - 1.8, steps=path.steps)


def _hook(x: float, high: float) -> Iterator[Mark]:
    """A lifting hook whose bent tip holds the loop at its middle."""
    yield (
        Path(LineKind.OUTLINE, width=4.6, halo=1.2)
        .move(x - 74, high + 52)
        .line(x - 11, high + 7)
        .curve(x - 2, high, x + 8, high - 1, x + 7, high - 11)
    )
    yield Path(LineKind.OUTLINE, width=11.0).move(x - 78, high + 54.5).line(x - 58, high + 40.5)
