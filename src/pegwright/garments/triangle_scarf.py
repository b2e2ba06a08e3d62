"""The triangle scarf: worked from tip to tip, one edge straight, the other out to a point and back.

It begins on a few pegs.  One edge grows by a stitch every so many rows until the piece is as deep
as it is to be, and then shrinks in the same way.  The other edge stays straight: it is the long
edge of the scarf, an unbroken chain.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, Measure, OptionKind, OptionSpec, Plan, PlannedPiece
from pegwright.garments.blocks import Field
from pegwright.garments.make_up import Edge, EdgeRole, Inner, MakeUp, Outline, Stage
from pegwright.garments.pieces import begin_piece, bind_off_piece, close_piece, cut_piece
from pegwright.garments.ring import check_cloth
from pegwright.garments.shaping import Shaped, decrease_edge, increase_edge, plain_rows
from pegwright.garments.strip import Steps
from pegwright.gauge.dimensions import Count, columns_for
from pegwright.knitting import operations
from pegwright.knitting.operations import Part, WeaveIn
from pegwright.knitting.script import PieceSpec, Script, Work
from pegwright.tongue.said import listed, say
from pegwright.units import format_length

__all__ = ["TRIANGLE_SCARF", "TriangleScarf", "rate"]

DEPTH_OF_EDGE = 0.5
"""Depth over the long edge where the depth is not given: a right angle at the point, from
geometry."""

TIP = 3
"""Pegs that the scarf begins and ends on (common practice, no source)."""

_MOST_BY_TURNS = 4
"""Most different intervals that are worked by turns."""

_SHORT_BY = 0.95
"""How much of the rows that are needed there must be: a twentieth more edge is let pass."""

_PIECE = "triangle"


def rate(rows_per_stitch: float) -> tuple[int, ...]:
    """Whole intervals, worked by turns, whose mean comes nearest to a number of rows.

    At most four, and no more than are needed; 1.5 gives (1, 2): a stitch after one row, the next
    after two, and so on.
    """
    best: tuple[float, int, int] = (float("inf"), 1, 1)
    for count in range(1, _MOST_BY_TURNS + 1):
        total = max(count, round(rows_per_stitch * count))
        best = min(best, (round(abs(total / count - rows_per_stitch), 9), count, total))
    _, count, total = best
    return tuple((i + 1) * total // count - i * total // count for i in range(count))


@dataclass(frozen=True, slots=True)
class _Shape:
    """The triangle in counts: pegs at the tip and at the point, and the rows between stitches."""

    tip: int
    deepest: int
    turns: tuple[int, ...]

    @property
    def intervals(self) -> tuple[int, ...]:
        """Rows from each increase to the next, the last one to the first decrease."""
        return tuple(self.turns[i % len(self.turns)] for i in range(self.deepest - self.tip))

    @property
    def half(self) -> int:
        """Rows of each slanted half."""
        return sum(self.intervals)

    @property
    def rows(self) -> int:
        """All rows: the first, and both halves."""
        return 1 + 2 * self.half


@dataclass(frozen=True, slots=True)
class TriangleScarf:
    """The triangle scarf as a garment; see the module."""

    name: str = "triangle-scarf"
    title: str = "Triangle scarf or kerchief"
    words: str = "A triangle worked from tip to tip, one edge straight and the other to a point."
    measures: tuple[Measure, ...] = (
        Measure("edge", say("along the long straight edge, from tip to tip"), True, 200.0, 2_000.0),
        Measure("depth", say("from the long edge to the point"), False, 60.0, 900.0),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec(
            "tip", OptionKind.COUNT, "pegs a side that it begins and ends on", TIP, least=3, most=40
        ),
        OptionSpec(
            "every",
            OptionKind.COUNT,
            "rows from one shaped stitch to the next, instead of by the long edge",
            least=1,
            most=40,
        ),
        OptionSpec(
            "pegs",
            OptionKind.COUNT,
            "pegs a side at the point, instead of by gauge",
            least=3,
            most=500,
        ),
    )
    wraps: tuple[str, ...] = (
        "double-board stockinette",
        "double-board rib 1 by 1",
        "figure eight",
        "e-wrap",
        "u-wrap",
        "flat",
        "purl",
    )
    yarn_parts: tuple[str, ...] = ("body",)

    def plan(self, brief: Brief) -> Plan:
        """Work one size out.

        :raises NotPossible: where the board is too short, the wrap cannot grow by one stitch, or
            the long edge has too few rows for the depth.
        """
        check_cloth(brief, "a triangle scarf")
        _check_wrap(brief)
        depth = _depth(brief)
        shape = _shape(brief, depth)
        gauge = brief.gauge
        piece = PlannedPiece(
            _PIECE, shape.deepest, shape.rows, gauge.width(shape.deepest), gauge.length(shape.rows)
        )
        steps = _steps(brief, shape)
        return Plan(
            garment=self.name,
            size=brief.size,
            wearer=brief.wearer,
            group=f"{len(shape.turns)} by turns",
            script=Script(
                brief.loom, (PieceSpec(_PIECE, brief.wrap.cloth),), tuple(steps.made), brief.size
            ),
            wrap=brief.wrap,
            pieces=(piece,),
            finished={"edge": piece.length, "depth": piece.width},
            facts=_facts(brief, shape),
            choices=(depth.words, _rate_words(brief, shape)),
            parts=tuple(dict.fromkeys(s.part for s in steps.made)),
            make_up=_make_up(brief, shape),
        )


TRIANGLE_SCARF = TriangleScarf()


def _check_wrap(brief: Brief) -> None:
    if brief.wrap.multiple > 1:
        raise NotPossible(
            "a triangle grows one stitch at a time, and this wrap needs a multiple",
            given=f"{brief.wrap.name}, a multiple of {brief.wrap.multiple}",
            hint="choose double-board stockinette, or another wrap that works on any number",
        )


def _depth(brief: Brief) -> Count:
    """Pegs at the point."""
    asked = brief.options.get("pegs")
    if asked is not None:
        number = int(asked)
        width = brief.gauge.width(number)
        words = say("{pegs} pegs, as the design asks", pegs=number)
        return Count(number, float(number), width, words)
    asked_mm = brief.measures.get("depth")
    if asked_mm is not None:
        return columns_for(asked_mm, brief.gauge, most=brief.loom.pegs, system=brief.units)
    half_mm = DEPTH_OF_EDGE * brief.measures["edge"]
    whole_mm = brief.gauge.width(brief.loom.pegs).value
    count = columns_for(
        min(half_mm, whole_mm), brief.gauge, most=brief.loom.pegs, system=brief.units
    )
    half = format_length(half_mm, brief.units)
    words = say(
        "{count}, as the board is too short for half the long edge, {length}",
        count=count.words,
        length=half,
    )
    return replace(count, words=words) if whole_mm < half_mm else count


def _shape(brief: Brief, depth: Count) -> _Shape:
    tip = max(int(brief.options.get("tip") or TIP), brief.wrap.least)
    grown = depth.number - tip
    if grown < 1:
        raise NotPossible(
            "the triangle is no deeper than its tip",
            given=f"{depth.number} pegs at the point, {tip} at the tip",
            hint="ask for more depth, or say a smaller tip",
        )
    brief.wrap.fits(brief.loom, depth.number)
    every = brief.options.get("every")
    if every is not None:
        return _Shape(tip, depth.number, (int(every),))
    rows = (brief.measures["edge"] / brief.gauge.course.value - 1) / 2
    if rows < _SHORT_BY * grown:  # even a stitch in every row grows too slowly
        fits = format_length(brief.gauge.width(tip + int(rows)).value, brief.units)
        raise NotPossible(
            "the long edge has too few rows for such a depth: it grows by a stitch a row at most",
            given=f"{grown} stitches to grow in {rows:.0f} rows",
            hint=f"a depth of {fits} would do, or a longer edge",
        )
    return _Shape(tip, depth.number, rate(rows / grown))


def _steps(brief: Brief, shape: _Shape) -> Steps:
    steps = Steps()
    start = Field(brief.loom, brief.wrap, 1, shape.tip)
    begin_piece(steps, brief, _PIECE, start)
    grown = _grow(start, shape)
    steps.add("shape-increase", _PIECE, Part.BODY, *grown.work)
    ended = _shrink(grown, shape)
    steps.add("shape-decrease", _PIECE, Part.BODY, *ended.work)
    cut_piece(steps, _PIECE)
    bind_off_piece(steps, _PIECE, ended.field, ended.done)
    close_piece(steps, brief, _PIECE, start)
    steps.add("finish", _PIECE, Part.TAILS, WeaveIn(_PIECE))
    return steps


def _grow(start: Field, shape: _Shape) -> Shaped:
    """An increase at the right edge, then plain rows to the next."""
    at, work = Shaped((), start, 1), []
    for rows in shape.intervals:
        at = increase_edge(at.field, at.done, operations.Edge.RIGHT)
        work.append(at.work)
        at = plain_rows(at.field, at.done, rows - 1)
        work.append(at.work)
    return replace(at, work=_joined(work))


def _shrink(grown: Shaped, shape: _Shape) -> Shaped:
    """The same the other way round: a decrease at the right edge, then plain rows."""
    at, work = grown, []
    for rows in reversed(shape.intervals):
        at = decrease_edge(at.field, at.done, operations.Edge.RIGHT)
        work.append(at.work)
        at = plain_rows(at.field, at.done, rows - 1)
        work.append(at.work)
    return replace(at, work=_joined(work))


def _joined(parts: list[Work]) -> Work:
    return tuple(op for part in parts for op in part)


def _facts(brief: Brief, shape: _Shape) -> dict[str, float]:
    gauge = brief.gauge
    return {
        "columns": shape.tip,
        "deepest": shape.deepest,
        "grown": shape.deepest - shape.tip,
        "rows": shape.rows,
        "half_row": 1 + shape.half,
        "depth_mm": gauge.width(shape.deepest).value,
        "edge_mm": gauge.length(shape.rows).value,
        **{f"turn_{i}": rows for i, rows in enumerate(shape.turns, start=1)},
        "turns": len(shape.turns),
    }


def _rate_words(brief: Brief, shape: _Shape) -> str:
    grown = shape.deepest - shape.tip
    if shape.turns == (1,):
        how = say("one every row")
    elif len(shape.turns) == 1:
        how = say("one every {rows} rows", rows=shape.turns[0])
    else:
        # NOTE: the numbers are a list, as in "one every 1 and 2 rows by turns"
        how = say("one every {numbers} rows by turns", numbers=listed(map(str, shape.turns)))
    return say(
        "From {tip} to {deepest} stitches are {grown} increases; {how} gives {half} rows for each "
        "half and {rows} in all, which measure {length}; the long edge asked for is {wanted}",
        tip=shape.tip,
        deepest=shape.deepest,
        grown=grown,
        how=how,
        half=shape.half,
        rows=shape.rows,
        length=format_length(brief.gauge.length(shape.rows).value, brief.units),
        wanted=format_length(brief.measures["edge"], brief.units),
    )


def _make_up(brief: Brief, shape: _Shape) -> MakeUp:
    wale, course = brief.gauge.wale.value, brief.gauge.course.value
    tip, deep = shape.tip * wale, shape.deepest * wale
    length, last = shape.rows * course, shape.intervals[-1]
    low, high = (1 + shape.half - last) * course, (1 + shape.half) * course
    slant = Edge(label=say("slanted edge"))
    outline = Outline(
        ((0.0, 0.0), (tip, 0.0), (deep, low), (deep, high), (tip, length), (0.0, length)),
        (Edge(), slant, Edge(), slant, Edge(), Edge(label=say("long edge"))),
        inner=(Inner((0.0, high), (deep, high), Edge(EdgeRole.PLAIN)),),
    )
    words = say(
        "A triangle that lies on its long straight edge, at the left. It begins at the lower tip, "
        "grows at the right edge to its point half way up, and shrinks again to the upper tip; a "
        "line crosses it where the increases end."
    )
    return MakeUp(
        say("The triangle as it is knitted"),
        (Stage((outline,), say("From tip to tip"), words),),
        bottom=say("cast-on edge, the first tip"),
        top=say("last row, the second tip"),
        sides=say("slanted edge"),
    )
