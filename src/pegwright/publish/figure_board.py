"""The two figures of a board seen from above: setting it up, and the yarn's way round its pegs."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

from pegwright.loom.board import Arrangement
from pegwright.pattern.model import SetUpDrawing, WrapDrawing
from pegwright.publish.board_view import BoardView, board_view
from pegwright.publish.drawing import (
    Anchor,
    Circle,
    Drawing,
    Fill,
    LineKind,
    Mark,
    Path,
    Text,
    text_width,
)
from pegwright.publish.figure_marks import (
    LABEL,
    SHEET,
    arrowhead,
    dimension,
    line_sample,
    peg_from_above,
    wrapped,
)
from pegwright.tongue.tongue import ENGLISH, Tongue

__all__ = ["draw_set_up", "draw_wrap"]

_ADDRESS = 20.0  # from a board's edge to its addresses, units
_KINDS = (LineKind.YARN_FIRST, LineKind.YARN_SECOND)
_FILLS = (Fill.YARN_FIRST, Fill.YARN_SECOND)


# --- setting up ----------------------------------------------------------------------------------


def draw_set_up(shown: SetUpDrawing, tongue: Tongue = ENGLISH) -> Drawing:
    """The board from above: pegs in use filled, the others open, pitch and gap measured."""
    loom = shown.loom
    turns = _changes(shown)
    view = board_view(loom, 58.0 if loom.is_double else 40.0, turns)
    reach = view.half_board + 11.0
    marks: list[Mark] = [*view.boards()]
    marks += view.peg_marks(shown.used)
    marks += view.addresses(view.columns_by_weight(turns), reach)
    marks += _board_names(view, reach, tongue)
    marks += _gap(view, shown.gap_label, tongue)
    y = view.bottom + reach + (34.0 if not view.is_ring else 30.0)
    pitch, y = _pitch(view, shown.pitch_label, y, tongue)
    key, y = _peg_key(shown, y, tongue)
    return Drawing(SHEET, y, (*marks, *pitch, *key))


def _changes(shown: SetUpDrawing) -> tuple[int, ...]:
    """The columns after which the pegs in use begin or end."""
    loom = shown.loom
    rows = [loom.front] + ([loom.back] if loom.is_double else [])
    in_use = [any(make(n) in shown.used for make in rows) for n in range(1, loom.pegs + 1)]
    return tuple(n for n, (a, b) in enumerate(pairwise(in_use), start=1) if a != b)


def _board_names(view: BoardView, reach: float, tongue: Tongue) -> Iterable[Mark]:
    say, pegs = tongue.say, view.loom.pegs
    if view.is_ring:
        cy = view.top + view.depth / 2
        yield Text(view.left, cy, say("ring of {pegs} pegs", pegs=pegs), italic=True)
        yield Text(view.left, cy + 17, say("you sit below"), italic=True)
        return
    x = view.left - view.half_board
    if view.loom.is_double:
        y = view.top - reach - 14
        back = say("back board, {pegs} pegs", pegs=pegs)
        yield Text(x, y, back, anchor=Anchor.START, italic=True)
        words = say("front board, {pegs} pegs, nearest you", pegs=pegs)
    else:
        words = say("board, {pegs} pegs, nearest you", pegs=pegs)
    yield Text(x, view.bottom + reach + 22, words, anchor=Anchor.START, italic=True)


def _gap(view: BoardView, label: str, tongue: Tongue) -> Iterable[Mark]:
    if not view.loom.is_double:
        return ()
    column = 2 if view.runs[0][1] >= 3 else 1
    x = view.at(view.loom.front(column))[0] + view.loom.pitch_mm * view.scale / 2
    top, bottom = view.at(view.loom.back(column))[1], view.bottom
    words = label if view.to_scale else tongue.say("{length} (drawn shorter)", length=label)
    at = (x + 9, (top + bottom) / 2 + LABEL * 0.36)
    return dimension(x, top, x, bottom, words, at=at, anchor=Anchor.START)


def _pitch(view: BoardView, label: str, y: float, tongue: Tongue) -> tuple[tuple[Mark, ...], float]:
    if view.loom.pegs < 2:
        return (), y
    x1, x2 = view.at(view.loom.front(1))[0], view.at(view.loom.front(2))[0]
    if view.is_ring:
        words = tongue.say("{length}, from peg to peg", length=label)
        return (Text(view.left, y, words),), y + LABEL * 1.8
    y += 6
    at = (x2 + 9, y + LABEL * 0.36)
    return dimension(x1, y, x2, y, label, at=at, anchor=Anchor.START), y + LABEL * 2.1


def _peg_key(shown: SetUpDrawing, y: float, tongue: Tongue) -> tuple[tuple[Mark, ...], float]:
    used, empty = tongue.say("peg in use"), tongue.say("peg left empty")
    x = 30.0
    marks: list[Mark] = []
    every = set(range(shown.loom.peg_count))
    for filled, words in ((True, used), (False, empty)):
        if not (shown.used & every if filled else every - shown.used):
            continue
        marks += peg_from_above(x, y - LABEL * 0.34, 5.0, filled=filled)
        marks.append(Text(x + 12, y, words, anchor=Anchor.START))
        x += max(120.0, text_width(words) + 36)
    return tuple(marks), y + 14


# --- wrapping ------------------------------------------------------------------------------------


def draw_wrap(shown: WrapDrawing, tongue: Tongue = ENGLISH) -> Drawing:
    """The yarn's taut way round the pegs, its passes told apart by dashes and numbered in order."""
    top = 44.0 if shown.loom.arrangement is Arrangement.SINGLE else 72.0
    view = board_view(shown.loom, top)
    visits = tuple(visit for one in shown.passes for visit in one)
    marks: list[Mark] = [*view.boards()]
    for p in view.pegs():
        marks += peg_from_above(*view.at(p), view.peg_radius, filled=False)
    if visits:
        marks += _yarn(view, shown)
        marks += _numbers(view, shown)
    say = tongue.say
    ends = {visits[0].peg: say("start"), visits[-1].peg: say("end")} if visits else {}
    if visits and visits[0].peg == visits[-1].peg:
        ends = {visits[0].peg: say("start, end")}
    columns = view.columns_by_weight(view.loom.number(p) for p in ends)
    reach = view.half_board + _ADDRESS + (14 if view.is_ring else 6)
    marks += view.addresses(columns, reach, ends)
    y = view.bottom + view.half_board + _ADDRESS + 46
    for i, (words, one) in enumerate(zip(shown.pass_labels, shown.passes, strict=False)):
        if not one:
            continue
        lines = wrapped(words, SHEET - 90)
        marks += line_sample(24, y, _KINDS[i % 2], lines[0] if lines else "")
        for line in lines[1:]:
            y += LABEL * 1.3
            marks.append(Text(66, y, line, anchor=Anchor.START))
        y += LABEL * 1.6
    return Drawing(SHEET, y - 4, tuple(marks))


def _yarn(view: BoardView, shown: WrapDrawing) -> Iterable[Mark]:
    from pegwright.loom.taut import circles_for, taut_path

    visits = tuple(visit for one in shown.passes for visit in one)
    # Where the course ends beside its beginning, the next one follows at once: both end pegs are
    # drawn with the yarn round them, as they are when row follows row.
    closed = view.loom.number(visits[0].peg) == view.loom.number(visits[-1].peg)
    path = taut_path(circles_for(view.loom, visits, shown.yarn_diameter_mm), closed)
    pens = [_Pen(view, _KINDS[i % 2], _FILLS[i % 2]) for i in range(len(shown.passes))]
    which = [i for i, one in enumerate(shown.passes) for _ in one]
    starts, ends = path.start_mm.tolist(), path.end_mm.tolist()
    rows = zip(visits, starts, ends, path.heading.tolist(), path.arc.tolist(), strict=True)
    for i, (visit, start, end, heading, arc) in enumerate(rows):
        pen = pens[which[i]]
        if i:
            pen.straight(start, end)
        if visit.encircled and not closed and i in (0, len(visits) - 1):
            arc = 2 * math.pi  # the taut path has no arc at its ends; the yarn goes round there too
        pen.round(visit.peg, float(visit.turn), heading, arc, float(path.circles.r[i]))
    last = len(visits) - 1
    in_heading, out_heading = float(path.heading[0]), float(path.heading[0 if closed else last])
    out = starts[0] if closed else ends[last]
    start = _tail(view, visits[0].peg, ends[0], in_heading + math.pi, _KINDS[0])
    end = _tail(view, visits[last].peg, out, out_heading, _KINDS[which[last] % 2])
    yield from (*start[:1], *end[:1])
    for pen in pens:
        yield from pen.lines()
    for pen in pens:
        yield from pen.arrows
    if start:
        yield Circle(*start[1], 3.6, _KINDS[0], Fill.PAPER)
    if end:
        angle = math.degrees(-out_heading)
        yield arrowhead(*end[1], angle, 11.0, _FILLS[which[last] % 2])


class _Pen:
    """Draws one pass on a view, breaking its lines where the view is broken."""

    def __init__(self, view: BoardView, kind: LineKind, fill: Fill) -> None:
        self.view, self.fill = view, fill
        self.path = Path(kind, halo=1.6)
        self.where: tuple[float, float] | None = None
        self.arrows: list[Mark] = []

    def _to(self, point: tuple[float, float]) -> None:
        if self.where is None or math.dist(self.where, point) > 0.05:
            self.path = self.path.move(*point)
        self.where = point

    def straight(self, start: list[float], end: list[float]) -> None:
        """A straight run of yarn between two points, mm."""
        for run in range(len(self.view.runs)):
            piece = _clipped(start, end, *self.view.span_mm(run))
            if piece is None:
                continue
            a, b = (self.view.place(x, y, run) for x, y in piece)
            self._to(a)
            self.path, self.where = self.path.line(*b), b
            if math.dist(a, b) > 24:
                angle = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
                part = 0.3 + 4 / math.dist(a, b)  # clear of the middle, where passes cross
                tip = a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part
                self.arrows.append(arrowhead(*tip, angle, 10.0, self.fill))

    def round(self, peg: int, turn: float, heading: float, arc: float, r_mm: float) -> None:
        """A run round a peg: heading and arc in radians, anticlockwise positive."""
        run = 0 if self.view.is_ring else self.view.run_of(peg)
        if run is None or arc <= 0:
            return
        cx, cy = self.view.loom.centre(peg)
        begin = heading - turn * math.pi / 2
        pieces = max(1, math.ceil(arc / 2.0))

        def at(part: float) -> tuple[float, float]:
            angle = begin + turn * arc * part
            return self.view.place(cx + r_mm * math.cos(angle), cy + r_mm * math.sin(angle), run)

        self._to(at(0.0))
        for k in range(1, pieces + 1):
            point = at(k / pieces)
            radius = r_mm * self.view.scale
            self.path = self.path.arc(radius, *point, large=False, clockwise=turn < 0)
            self.where = point

    def lines(self) -> tuple[Mark, ...]:
        """The pass without its arrowheads."""
        return (self.path,) if self.path.steps else ()


def _clipped(
    start: list[float], end: list[float], low: float, high: float
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The part of a line between two values of x, mm, or None."""
    (x0, y0), (x1, y1) = start, end
    if x0 == x1:
        return ((x0, y0), (x1, y1)) if low <= x0 <= high else None
    parts = sorted(((low - x0) / (x1 - x0), (high - x0) / (x1 - x0)))
    a, b = max(0.0, parts[0]), min(1.0, parts[1])
    if a >= b:
        return None
    return (
        (x0 + a * (x1 - x0), y0 + a * (y1 - y0)),
        (x0 + b * (x1 - x0), y0 + b * (y1 - y0)),
    )


def _tail(
    view: BoardView, peg: int, point: list[float], heading: float, kind: LineKind
) -> tuple[()] | tuple[Path, tuple[float, float]]:
    """A short end of yarn from a point (mm) along a heading (radians), and where it ends."""
    run = 0 if view.is_ring else view.run_of(peg)
    if run is None:
        return ()
    x, y = view.place(point[0], point[1], run)
    length = view.half_board + 3
    tip = x + math.cos(heading) * length, y - math.sin(heading) * length
    return Path(kind, halo=1.6).move(x, y).line(*tip), tip


def _numbers(view: BoardView, shown: WrapDrawing) -> Iterable[Mark]:
    """Order numbers beside the pegs, several at one peg joined by a comma."""
    at_peg: dict[int, list[str]] = {}
    order = 0
    for one in shown.passes:
        for visit in one:
            order += 1
            at_peg.setdefault(visit.peg, []).append(str(order))
    for peg, numbers in at_peg.items():
        if not view.is_ring and view.run_of(peg) is None:
            continue
        x, y = view.outwards(peg, view.half_board + (17 if view.is_ring else 9))
        size = 12.5 if len(numbers) == 1 else 11.0
        yield Text(x, y + 4.5, ", ".join(numbers), size=size, bold=True)
