"""The wrap, as a moving picture: one row of the run, the yarn drawn along its taut way.

The row is one that the run really has (row 3, where every row is like the next), on the pegs that
it uses; only the columns hidden by a break of a long board are passed over.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, cos, dist, pi, sin
from typing import TYPE_CHECKING

from pegwright.knitting.drawn import circles_with_pins
from pegwright.knitting.operations import KnitOver, Purl, WrapPegs
from pegwright.knitting.replay import Replay
from pegwright.knitting.wraps import Wrap
from pegwright.lesson.scene import Pop, Scene, Stroke
from pegwright.loom.board import Arrangement, Loom
from pegwright.loom.taut import TautPath, taut_path
from pegwright.loom.visit import Visit
from pegwright.pattern.source import Source
from pegwright.publish.board_view import BoardView, board_view
from pegwright.publish.drawing import Anchor, Fill, Group, LineKind, Mark, Text
from pegwright.publish.figure_marks import SHEET, line_sample, peg_from_above

if TYPE_CHECKING:
    from pegwright.knitting.script import Script

__all__ = [
    "ROW",
    "Row",
    "board_marks",
    "heading",
    "row_of",
    "short_loom",
    "tenths",
    "wide_sheet",
    "wrap_scene",
]

ROW = 3
"""The row that is shown, where there are so many."""

_KINDS = (LineKind.YARN_FIRST, LineKind.YARN_SECOND)
_FILLS = (Fill.YARN_FIRST, Fill.YARN_SECOND)
_FAR = 12  # operations to look ahead and back for a whole row
_LEAD_S, _HOLD_S = 0.8, 2.4
_UNITS_A_SECOND = 210.0
_SHORTEST_S, _LONGEST_S = 6.0, 16.0
_MOST_NUMBERED = 26
_TOP = 86.0

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the run: its number, its wraps, and the pegs knitted over in their order.

    ``before`` are the last two wraps of the row before, ``after`` the first of the row that
    follows: the yarn comes from there and goes there.
    """

    number: int
    before: tuple[Visit, ...]
    visits: tuple[Visit, ...]
    after: tuple[Visit, ...]
    knitted: tuple[int, ...]
    lift: int
    over: int


def row_of(script: Script, number: int = ROW) -> Row:
    """A row of the first piece, as the run works it; the last one where it has fewer."""
    replay = Replay(script)
    piece = script.pieces[0].name
    number = min(number, max(_rows(replay, piece), 1))
    start = replay.row_start(piece, number)
    visits: list[Visit] = []
    after: list[Visit] = []
    knitted: list[KnitOver] = []
    for frame in replay.frames(start, _FAR)[1]:
        if frame.piece != piece:
            break
        operation = frame.operation
        if isinstance(operation, KnitOver):
            if not after:
                knitted.append(operation)
        elif isinstance(operation, WrapPegs | Purl):
            (after if frame.row > number else visits).extend(operation.visits)
    before = [
        visit
        for index in range(max(start - _FAR, 0), start)
        for visit in getattr(replay.locate(index).operation, "visits", ())
        if replay.locate(index).step.piece == piece
    ]
    return Row(
        number,
        tuple(before[-2:]),
        tuple(visits),
        tuple(after[:1]),
        tuple(peg for one in knitted for peg in one.pegs),
        knitted[0].lift if knitted else 1,
        knitted[0].over if knitted else 1,
    )


def _rows(replay: Replay, piece: str) -> int:
    """Rows of a piece when all is done."""
    for index in range(replay.operations - 1, -1, -1):
        if replay.locate(index).step.piece == piece:
            return replay.frames(index, 1)[1][0].row
    return 0


def short_loom(loom: Loom, visits: Sequence[Visit]) -> Loom:
    """The loom without its last pegs that nothing visits."""
    if loom.arrangement is Arrangement.RING:
        return loom
    return replace(loom, pegs=max(loom.number(v.peg) for v in visits))


def on_short(loom: Loom, short: Loom, peg: int) -> int:
    """The peg of the shortened loom that has the same address."""
    back = loom.is_double and loom.is_back(peg)
    return peg - loom.pegs + short.pegs if back else peg


def wide_sheet(height: float, width: float = SHEET) -> tuple[float, float]:
    """A sheet of 16 to 9 that holds so much."""
    wide = max(width, height * 16 / 9)
    return wide, wide * 9 / 16


def wrap_scene(source: Source, key: str = "wrap") -> Scene:
    """The scene of a row of the first size's first piece."""
    size = source.sizes[0]
    row = row_of(size.plan.script)
    loom = short_loom(source.loom, (*row.before, *row.visits, *row.after))
    before, visits, after = (
        tuple(v._replace(peg=on_short(source.loom, loom, v.peg)) for v in some)
        for some in (row.before, row.visits, row.after)
    )
    view = board_view(loom, _TOP)
    passes = _passes(source.wrap, len(visits), row.number, loom, visits)
    diameter_mm = source.yarns[source.use["body"]].wrapped_diameter_mm
    pieces = list(_pieces(view, before, visits, after, passes, diameter_mm))
    whole = sum(_length(points) for points, _, _ in pieces)
    span = min(max(whole / _UNITS_A_SECOND, _SHORTEST_S), _LONGEST_S)
    clock = _Clock(_LEAD_S, span / max(whole, 1e-9))
    strokes: list[Stroke] = []
    arrive: dict[int, float] = {}
    for points, which, visit in pieces:
        start, end = clock.take(_length(points))
        if len(points) > 1:
            strokes.append(Stroke(points, _KINDS[which % 2], start, end, which))
        arrive[visit] = end
    strokes = list(_joined(strokes))
    legend = view.bottom + view.half_board + 62.0
    low = legend + 20.0
    wide, high = wide_sheet(low)
    dx = (wide - SHEET) / 2
    ends = clock.now
    seconds = tenths(ends + _HOLD_S)
    ground = (
        *heading(wide, f"The wrap, row {row.number}", source.wrap.name),
        Group((*board_marks(view, _ends(visits)), *_legend(passes, legend)), dx, 0.0),
    )
    pops = tuple(_numbers(view, visits, arrive, dx))
    words = (
        f"The yarn goes round the pegs one after another, seen from above: "
        f"{', '.join(loom.address(v.peg) for v in visits)}."
    )
    moved = tuple(replace(s, points=tuple((x + dx, y) for x, y in s.points)) for s in strokes)
    title = f"{source.wrap.name[0].upper()}{source.wrap.name[1:]}: row {row.number} being wrapped"
    return Scene(key, title, words, wide, high, seconds, ground, moved, pops, still_s=ends + 0.01)


def tenths(seconds: float) -> float:
    """The next longer whole number of tenths, so that every rate of frames ends on one."""
    return ceil(seconds * 5 - 1e-9) / 5


@dataclass(slots=True)
class _Clock:
    """Gives each piece of the yarn its time."""

    now: float
    per_unit: float

    def take(self, length: float) -> tuple[float, float]:
        """The times between which so much yarn is drawn."""
        start = self.now
        self.now += length * self.per_unit
        return start, self.now


def _passes(
    wrap: Wrap, count: int, number: int, loom: Loom, visits: tuple[Visit, ...]
) -> tuple[int, ...]:
    """Which pass each visit belongs to."""
    columns = sorted(loom.number(v.peg) for v in visits)
    course = wrap.course(loom, columns[0], columns[-1], number)
    if sum(map(len, course)) != count:
        return (0,) * count
    return tuple(i for i, one in enumerate(course) for _ in one)


def _pieces(
    view: BoardView,
    before: tuple[Visit, ...],
    visits: tuple[Visit, ...],
    after: tuple[Visit, ...],
    passes: tuple[int, ...],
    diameter_mm: float,
) -> Iterator[tuple[tuple[Point, ...], int, int]]:
    """The visible pieces of the taut way: points on the sheet, their pass, and their visit."""
    circles, owner = circles_with_pins(view.loom, (*before, *visits, *after), diameter_mm)
    path = taut_path(circles)
    for i, whole in enumerate(owner.tolist()):
        visit = whole - len(before)
        if not 0 <= visit < len(visits):
            continue
        for line in (_straight(path, i), _round(path, i)):
            for run in range(len(view.runs)):
                low, high = (-1e9, 1e9) if view.is_ring else view.span_mm(run)
                for part in _within(line, low, high):
                    yield tuple(view.place(x, y, run) for x, y in part), passes[visit], visit


def _straight(path: TautPath, i: int) -> list[Point]:
    if path.tangent_mm[i] <= 0:
        return []
    (ax, ay), (bx, by) = path.start_mm[i].tolist(), path.end_mm[i].tolist()
    return [(ax, ay), (bx, by)]


def _round(path: TautPath, i: int) -> list[Point]:
    c = path.circles
    arc, r, turn = float(path.arc[i]), float(c.r[i]), float(c.turn[i])
    if arc <= 0 or r <= 0:
        return []
    begin = float(path.heading[i]) - turn * pi / 2
    count = max(2, ceil(arc / 0.2))
    angles = [begin + turn * arc * k / count for k in range(count + 1)]
    x, y = float(c.x[i]), float(c.y[i])
    return [(x + r * cos(a), y + r * sin(a)) for a in angles]


def _within(line: Sequence[Point], low: float, high: float) -> Iterator[list[Point]]:
    """The parts of a line between two values of x, mm."""
    part: list[Point] = []
    for a, b in pairwise(line):
        clipped = _clipped(a, b, low, high)
        if clipped is None:
            if part:
                yield part
            part = []
            continue
        start, end = clipped
        if part and dist(part[-1], start) < 1e-6:
            part.append(end)
        else:
            if part:
                yield part
            part = [start, end]
    if part:
        yield part


def _clipped(a: Point, b: Point, low: float, high: float) -> tuple[Point, Point] | None:
    (x0, y0), (x1, y1) = a, b
    if x0 == x1:
        return (a, b) if low <= x0 <= high else None
    ends = sorted(((low - x0) / (x1 - x0), (high - x0) / (x1 - x0)))
    t0, t1 = max(0.0, ends[0]), min(1.0, ends[1])
    if t0 >= t1:
        return None
    at = [(x0 + t * (x1 - x0), y0 + t * (y1 - y0)) for t in (t0, t1)]
    return at[0], at[1]


def _joined(strokes: list[Stroke]) -> Iterator[Stroke]:
    """Strokes of one pass that go on from one another as one stroke, so that dashes run on."""
    held: Stroke | None = None
    for stroke in strokes:
        if (
            held is not None
            and held.over == stroke.over
            and dist(held.points[-1], stroke.points[0]) < 0.05
        ):
            held = replace(held, points=held.points + stroke.points[1:], end_s=stroke.end_s)
            continue
        if held is not None:
            yield held
        held = stroke
    if held is not None:
        yield held


def _length(points: Sequence[Point]) -> float:
    return sum(dist(a, b) for a, b in pairwise(points))


# --- what stands still ---------------------------------------------------------------------------


def heading(wide: float, title: str, words: str) -> tuple[Mark, ...]:
    """The head of a scene: its title, and a few words at the other side; as large on any sheet."""
    size = wide / 25
    y = 1.65 * size
    return (
        Text(size, y, title, size=size, bold=True, anchor=Anchor.START, fill=Fill.YARN_FIRST),
        Text(wide - size, y, words, size=0.74 * size, anchor=Anchor.END, fill=Fill.QUIET),
    )


def board_marks(view: BoardView, ends: Mapping[int, str]) -> tuple[Mark, ...]:
    """Boards, pegs and addresses.

    ``ends`` are words at the pegs where the row begins and ends.
    """
    marks: list[Mark] = [*view.boards()]
    for peg in view.pegs():
        marks += peg_from_above(*view.at(peg), view.peg_radius, filled=False)
    reach = view.half_board + (34 if view.is_ring else 26)
    crowded = view.is_ring and view.loom.pegs > _MOST_NUMBERED
    if crowded:
        cy = view.top + view.depth / 2
        marks += [
            Text(view.left, cy + 30.0 * (i - 0.5), f"{view.loom.address(peg)}: {words}", size=22)
            for i, (peg, words) in enumerate(ends.items())
        ]
        return tuple(marks)
    marks += view.addresses(view.columns_by_weight(map(view.loom.number, ends)), reach, ends)
    return tuple(marks)


def _ends(visits: tuple[Visit, ...]) -> dict[int, str]:
    first, last = visits[0].peg, visits[-1].peg
    return {first: "start, end"} if first == last else {first: "start", last: "end"}


def _legend(passes: tuple[int, ...], y: float) -> tuple[Mark, ...]:
    names = ("pass out", "pass back") if max(passes) == 1 else ("the yarn",)
    return tuple(
        mark
        for i, name in enumerate(names)
        for mark in line_sample(24 + 150 * i, y, _KINDS[i], name)
    )


def _numbers(
    view: BoardView, visits: tuple[Visit, ...], arrive: dict[int, float], dx: float
) -> Iterator[Pop]:
    """The order of the pegs: each number is there when the yarn is."""
    told: dict[int, int] = {}
    for i, visit in enumerate(visits):
        if visit.peg in told or (not view.is_ring and view.run_of(visit.peg) is None):
            continue
        told[visit.peg] = i
        # The numbers of a long ring would touch one another.
        crowded = view.is_ring and view.loom.pegs > _MOST_NUMBERED
        skipped = (i + 1) % 5 or i > len(visits) - 4
        if i not in arrive or (crowded and i and skipped):
            continue
        x, y = view.outwards(visit.peg, view.half_board + (17 if view.is_ring else 9))
        size = 17.0 if view.is_ring and view.loom.pegs > _MOST_NUMBERED else 12.5
        words = Text(x + dx, y + size * 0.36, str(i + 1), size=size, bold=True)
        yield Pop((words,), arrive[i])
