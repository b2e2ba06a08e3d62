"""Shaping: stitches taken away, added or left waiting, written as operations.

Words used here:

* a **decrease** moves a stitch onto its neighbour; both are knitted over together in the next row;
* an **increase** hangs the loop below a neighbour's stitch on an empty peg;
* at an **edge**, one is worked on the outermost pegs; in the **body**, the stitches between it and
  the edge move along by one peg;
* a **short row** is worked over a part of the pegs; it ends with a turn round the next peg, and
  the pegs beyond wait.

Each function writes the shaping together with the row that follows it, in which it is knitted, and
gives the pegs that the piece has then.  On a double board both boards are shaped alike.

A decrease at an edge leaves the chain there whole, one link a row.  An increase does not: the new
edge stitch comes out of the row before, so that row has no link of its own and no seam may run over
it.  Neither has an edge a link where a short row does not reach it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from pegwright.errors import BadInput, NotPossible
from pegwright.garments.blocks import Field, rows
from pegwright.knitting.operations import (
    Edge,
    Increase,
    KnitOver,
    Move,
    Onto,
    Operation,
    Purl,
    Repeat,
    Skip,
    WrapAndTurn,
    WrapKind,
    WrapPegs,
)
from pegwright.knitting.script import Work
from pegwright.knitting.wraps import Way
from pegwright.loom.board import Loom

__all__ = [
    "Shaped",
    "decrease_body",
    "decrease_edge",
    "increase_body",
    "increase_edge",
    "plain_rows",
    "shaped_row",
    "short_rows",
]

_LEAST_SHORT = 3
"""Columns of the shortest short row: on fewer, a double cloth has no crossing within it."""


@dataclass(frozen=True, slots=True)
class Shaped:
    """Work with shaping in it: ``field`` is where the piece is then, ``done`` its rows so far."""

    work: Work
    field: Field
    done: int


def shaped_row(field: Field, done: int, lifts: Mapping[int, int] | None = None) -> Work:
    """One row after ``done`` rows.

    :param lifts: how many loops go over on a peg, where it is more than one.
    """
    visits = field.course(done + 2)
    if field.wrap.purl:
        return (Purl(visits),)  # every loop that a peg holds is purled through together
    order = tuple(dict.fromkeys(v.peg for v in reversed(visits)))
    return (WrapPegs(visits), *_over(order, lifts or {}))


def plain_rows(field: Field, done: int, count: int) -> Shaped:
    """``count`` rows without shaping."""
    return Shaped(rows(field, count, done), field, done + count)


def decrease_edge(field: Field, done: int, edge: Edge) -> Shaped:
    """Take a stitch away at a side edge: it joins its neighbour, and a row follows.

    :raises NotPossible: where the wrap does not work on one column fewer.
    """
    outer, way = _outer(field, edge)
    narrow = _resized(field, edge, -1)
    peg = _rows_of(field.loom)
    moves = tuple(Move(p(outer), p(outer - way)) for p in peg)
    lifts = {p(outer - way): 2 for p in peg}
    return Shaped((*moves, *shaped_row(narrow, done, lifts)), narrow, done + 1)


def increase_edge(field: Field, done: int, edge: Edge) -> Shaped:
    """Add a stitch beyond a side edge, and a row follows.

    :raises NotPossible: where the board has no peg there, or the wrap does not work on one more.
    """
    outer, way = _outer(field, edge)
    wide = _resized(field, edge, 1)
    new = tuple(Increase(p(outer + way), p(outer)) for p in _rows_of(field.loom))
    return Shaped((*new, *shaped_row(wide, done)), wide, done + 1)


def decrease_body(field: Field, done: int, column: int, edge: Edge) -> Shaped:
    """Take a stitch away within the piece.

    The stitch beside ``column``, on the side of ``edge``, joins it; the stitches from there to the
    edge move in by one peg.

    :raises NotPossible: as :func:`decrease_edge`.
    :raises BadInput: where no stitch lies between the column and the edge.
    """
    outer, way = _outer(field, edge)
    _within(field, column, column + way)
    narrow = _resized(field, edge, -1)
    peg = _rows_of(field.loom)
    moves: list[Operation] = []
    for p in peg:
        moves.append(Move(p(column + way), p(column)))
        moves += [Move(p(c), p(c - way), Onto.EMPTY) for c in _along(column + 2 * way, outer, way)]
    lifts = {p(column): 2 for p in peg}
    return Shaped((*moves, *shaped_row(narrow, done, lifts)), narrow, done + 1)


def increase_body(field: Field, done: int, column: int, edge: Edge) -> Shaped:
    """Add a stitch within the piece, beside ``column`` on the side of ``edge``.

    The stitches from there to the edge move out by one peg, the outermost first.

    :raises NotPossible: as :func:`increase_edge`.
    :raises BadInput: where the piece has no such column.
    """
    outer, way = _outer(field, edge)
    _within(field, column)
    wide = _resized(field, edge, 1)
    new: list[Operation] = []
    for p in _rows_of(field.loom):
        new += [Move(p(c), p(c + way), Onto.EMPTY) for c in _along(outer, column + way, -way)]
        new.append(Increase(p(column + way), p(column)))
    return Shaped((*new, *shaped_row(wide, done)), wide, done + 1)


def short_rows(field: Field, done: int, edge: Edge, leave: tuple[int, ...]) -> Shaped:
    """Short rows, each out and back, and then a whole row that knits every turn together.

    :param edge: where pegs wait; the yarn must hang at the other side.
    :param leave: for each short row, how many columns wait at that edge, the turned one among them.
    :raises NotPossible: where the wrap does not work on so few columns.
    :raises BadInput: where the yarn hangs at the wrong side, or a row would leave no column or too
        few to work.
    """
    _check_way(field, done, edge)
    work: list[Operation | Repeat] = []
    waiting: Counter[int] = Counter()
    for columns in leave:
        if not 1 <= columns <= field.columns - _LEAST_SHORT:
            raise BadInput(
                "a short row leaves one column or more, and works three or more",
                given=f"{columns} of {field.columns} columns left",
                hint=f"leave between 1 and {field.columns - _LEAST_SHORT}",
            )
        short = _resized(field, edge, -columns)
        work += _out(field, short, done, edge, waiting)
        done += 1
        if len(field.wrap.courses) > 1:
            work += (_skip(field, short), *shaped_row(short, done))
            done += 1
    lifts = {peg: 1 + turns for peg, turns in waiting.items() if turns}
    return Shaped((*work, *shaped_row(field, done, lifts)), field, done + 1)


def _out(field: Field, short: Field, done: int, edge: Edge, waiting: Counter[int]) -> Work:
    """A short row to the turn, and back where the wrap comes back in the same row.

    ``waiting`` counts the turns round each peg; those that this row knits are taken from it.
    """
    outer, way = _outer(short, edge)
    passes = short.wrap.course(short.loom, short.first, short.last, done + 2)
    turned = short.wrap.visits(short.loom, outer + way, outer + way, done + 2)
    order = tuple(dict.fromkeys(v.peg for one in reversed(passes) for v in reversed(one)))
    lifts = {peg: 1 + waiting.pop(peg) for peg in order if waiting[peg]}
    turns = tuple(WrapAndTurn(visit) for visit in turned)
    waiting.update(v.peg for v in turned)
    if short.wrap.purl:
        return (_skip(field, short), Purl(passes[0]), *turns)
    back = tuple(WrapPegs(one, WrapKind.GO_ON) for one in passes[1:])
    return (_skip(field, short), WrapPegs(passes[0]), *turns, *back, *_over(order, lifts))


def _skip(field: Field, short: Field) -> Skip:
    """The pegs of a piece that a short row leaves out."""
    columns = [c for c in range(field.first, field.last + 1) if not short.first <= c <= short.last]
    return Skip(tuple(p(c) for p in _rows_of(field.loom) for c in columns))


def _over(order: tuple[int, ...], lifts: Mapping[int, int]) -> tuple[KnitOver, ...]:
    """Knit over in order, in runs of pegs that lift alike."""
    runs: list[tuple[int, list[int]]] = []
    for peg in order:
        lift = lifts.get(peg, 1)
        if runs and runs[-1][0] == lift:
            runs[-1][1].append(peg)
        else:
            runs.append((lift, [peg]))
    return tuple(KnitOver(tuple(pegs), lift) for lift, pegs in runs)


def _rows_of(loom: Loom) -> tuple[Callable[[int], int], ...]:
    """The rows of pegs: for each, from a column's number to its peg."""
    return (loom.front, loom.back) if loom.is_double else (loom.front,)


def _outer(field: Field, edge: Edge) -> tuple[int, int]:
    """The outermost column at a side edge, and which way is out (+1 to the right)."""
    if edge is Edge.RIGHT:
        return field.last, 1
    if edge is Edge.LEFT:
        return field.first, -1
    raise BadInput("shaping is worked at a side edge", given=edge, hint="say left or right")


def _along(start: int, end: int, way: int) -> range:
    """Columns from one to another, both included; none where they lie the other way."""
    return range(start, end + way, way)


def _resized(field: Field, edge: Edge, more: int) -> Field:
    """The field with so many columns more at an edge (below zero: fewer)."""
    first = field.first - more if edge is Edge.LEFT else field.first
    last = field.last + more if edge is Edge.RIGHT else field.last
    if first < 1 or last > field.loom.pegs:
        raise NotPossible(
            f"there is no peg beyond the {edge} edge to increase onto",
            given=f"pegs {field.first} to {field.last} of {field.loom.pegs}",
            hint="work the piece further along the board, or use a longer board",
        )
    field.wrap.fits(field.loom, last - first + 1)
    return Field(field.loom, field.wrap, first, last)


def _within(field: Field, *columns: int) -> None:
    for column in columns:
        if not field.first <= column <= field.last:
            raise BadInput(
                "the piece has no such column",
                given=column,
                hint=f"it is on pegs {field.first} to {field.last}",
            )


def _check_way(field: Field, done: int, edge: Edge) -> None:
    """A short row must begin at the other edge."""
    courses = field.wrap.courses
    if len(courses) == 1 and len(courses[0]) == 1:
        raise NotPossible(
            "short rows turn back, and this wrap always goes the same way round",
            given=field.wrap.name,
            hint="choose a wrap that works to and fro",
        )
    one = courses[(done + 1) % len(courses)][0]
    if (one.way is Way.RIGHT) != (edge is Edge.RIGHT):
        raise BadInput(
            f"the yarn hangs at the {edge} edge, where the short rows should leave pegs waiting",
            given=f"after {done} rows",
            hint="work one row more, or leave the pegs at the other edge",
        )
