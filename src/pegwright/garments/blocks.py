"""Stretches of work that garments share, written as operations.

Columns are counted from 1 at the maker's left, both ends included.  Nothing here decides a size.
"""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.errors import BadInput, NotPossible
from pegwright.knitting.operations import (
    CutYarn,
    DrawThrough,
    HangKnot,
    JoinYarn,
    KnitOver,
    LayAnchor,
    LiftOff,
    Move,
    Operation,
    Purl,
    Repeat,
    WrapKind,
    WrapPegs,
)
from pegwright.knitting.script import Work
from pegwright.knitting.wraps import FirstRow, Wrap, shipped
from pegwright.loom.board import Loom
from pegwright.loom.visit import Turn, Visit

__all__ = [
    "Field",
    "alternating",
    "cast_on",
    "cord",
    "first_row",
    "free_end_pegs",
    "rows",
    "towards_yarn",
]


@dataclass(frozen=True, slots=True)
class Field:
    """The pegs that a piece is worked on: columns ``first`` to ``last`` with a wrap."""

    loom: Loom
    wrap: Wrap
    first: int
    last: int

    @property
    def columns(self) -> int:
        """How many columns the piece has."""
        return self.last - self.first + 1

    def course(self, number: int) -> tuple[Visit, ...]:
        """The visits of a course; course 1 is the cast-on."""
        return self.wrap.visits(self.loom, self.first, self.last, number)

    @property
    def knot(self) -> Visit:
        """Where the slip loop hangs.

        On the peg that the cast-on wraps last (row 1 knits it first) where the cast-on ends beside
        its beginning; else, so that no yarn spans the board, on the peg that it wraps first.
        """
        course = self.course(1)
        first, last = course[0], course[-1]
        beside = self.loom.number(first.peg) == self.loom.number(last.peg)
        return last if beside else first


def cast_on(field: Field, yarn: str, tail_mm: float, knot_mm: float) -> Work:
    """Join the yarn, hang the slip loop, wrap once, and lay an anchor where the loops are open."""
    work: list[Operation] = [
        JoinYarn(yarn, tail_mm),
        HangKnot(field.knot.peg, knot_mm, field.knot.turn),
        WrapPegs(field.course(1), WrapKind.CAST_ON),
    ]
    if field.wrap.first_row is FirstRow.ANCHORED:
        work.append(LayAnchor())
    return tuple(work)


def _row(field: Field, course: int) -> Work:
    """One row: wrap, then knit over from the peg wrapped last."""
    visits = field.course(course)
    if field.wrap.purl:
        return (Purl(visits),)
    order = tuple(dict.fromkeys(v.peg for v in reversed(visits)))
    return (WrapPegs(visits), KnitOver(order))


def first_row(field: Field) -> Work:
    """Row 1: as every row, but the peg with the slip loop is knitted two over one.

    :raises NotPossible: where the wrap's second course does not come to that peg.
    """
    visits = field.course(2)
    knot = field.knot.peg
    if field.wrap.purl:
        return (Purl(visits),)
    order = tuple(dict.fromkeys(v.peg for v in reversed(visits)))
    if knot not in order:
        raise NotPossible(
            f"row 1 of the wrap “{field.wrap.name}” does not come to the peg with the slip loop",
            given=field.loom.address(knot),
            hint="lay down the wrap so that every course visits every peg",
        )
    before = order[: order.index(knot)]
    after = order[order.index(knot) + 1 :]
    overs = [KnitOver(before)] if before else []
    return (WrapPegs(visits), *overs, KnitOver((knot,), lift=2), KnitOver(after))


def rows(field: Field, count: int, done: int = 1) -> Work:
    """``count`` more rows after ``done`` rows, as a repeat of the wrap's courses."""
    if count < 0:
        raise BadInput("a piece cannot have fewer than one row", given=count + done)
    period = len(field.wrap.courses)
    start = done + 2
    body = tuple(op for i in range(period) for op in _row(field, start + i))
    whole, rest = divmod(count, period)
    tail = tuple(op for i in range(rest) for op in _row(field, start + i))
    return (Repeat(body, whole), *tail) if whole else tail


def alternating(
    loom: Loom, first: int, last: int, stacked: dict[int, int] | None = None
) -> tuple[int, ...]:
    """Pegs board to board in turn, column by column from ``first`` to ``last`` (either way).

    :param stacked: how many loops sit on the pegs of a column where there are more than one.
    """
    step = 1 if last >= first else -1
    pegs: list[int] = []
    for column in range(first, last + step, step):
        pair = (loom.front(column), loom.back(column)) if loom.is_double else (loom.front(column),)
        pegs.extend(pair * (stacked or {}).get(column, 1))
    return tuple(pegs)


def towards_yarn(field: Field, rows_done: int) -> tuple[int, ...]:
    """Every peg of a piece, board to board in turn, so that the last is the one wrapped last.

    :param rows_done: rows knitted, which tell where the yarn is.
    """
    loom, end = field.loom, field.course(rows_done + 1)[-1].peg
    near = loom.number(end) - field.first < field.last - loom.number(end)
    first, last = (field.last, field.first) if near else (field.first, field.last)
    pegs = alternating(loom, first, last)
    if pegs[-1] == end or not loom.is_double:
        return pegs
    return tuple(loom.across(peg) for peg in pegs)


def free_end_pegs(loom: Loom, end: int, way: int) -> tuple[Work, dict[int, int]]:
    """Free the two end columns by moving their stitches onto the third, the inner ones first.

    :param end: the end column; ``way`` is +1 where the piece lies to the right of it, else −1.
    :returns: the moves, and how many loops sit on the columns then.
    """
    onto = end + 2 * way
    work = tuple(
        Move(peg(column), peg(onto))
        for peg in (loom.front, loom.back)
        for column in (end + way, end)
    )
    return work, {end: 0, end + way: 0, onto: 3}


def cord(
    loom: Loom, column: int, yarn: str, rounds: int, slim_rows: int, tail_mm: float, knot_mm: float
) -> Work:
    """A two-peg cord on the pair at ``column``, ended slim, cut and drawn through.

    :param rounds: rows of figure eight; ``slim_rows`` rows on one peg follow for a slim end.
    """
    wrap = shipped("two-peg cord")
    field = Field(loom, wrap, column, column)
    front, back = loom.front(column), loom.back(column)
    round_ = (WrapPegs(field.course(2)), KnitOver((front, back)))
    slim = (WrapPegs((Visit(front, Turn.LEFT),)), KnitOver((front,)))
    return (
        JoinYarn(yarn, tail_mm),
        HangKnot(front, knot_mm),
        WrapPegs(field.course(1), WrapKind.CAST_ON),
        WrapPegs(field.course(2)),
        KnitOver((front,), lift=2),
        KnitOver((back,)),
        Repeat(round_, rounds - 1),
        Move(back, front),
        WrapPegs((Visit(front, Turn.LEFT),)),
        KnitOver((front,), lift=2),
        Repeat(slim, slim_rows - 1),
        CutYarn(tail_mm),
        DrawThrough(front),
        LiftOff("cord"),
    )
