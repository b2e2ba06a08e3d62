"""Scripts for tests: boards, whole pieces in every wrap, and slips of the hand.

Boards are drawn in the tests from above, the back board on top, columns from the maker's left::

    B1  B2  B3  B4      back  (far)
    F1  F2  F3  F4      front (near)
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from pegwright.errors import Finding, Severity
from pegwright.garments.blocks import (
    Field,
    alternating,
    cast_on,
    cord,
    first_row,
    free_end_pegs,
    rows,
)
from pegwright.knitting.operations import (
    CutYarn,
    DrawUp,
    Edge,
    FastenOff,
    Fold,
    KnitOver,
    LiftOff,
    Operation,
    Part,
    PullAnchor,
    Purl,
    Repeat,
    SeamEdges,
    TakeLength,
    ThreadCastOn,
    ThreadLive,
    WeaveIn,
    WrapPegs,
)
from pegwright.knitting.run import Run
from pegwright.knitting.script import PieceSpec, Script, Step, Work, flatten
from pegwright.knitting.wraps import Cloth, FirstRow, Wrap, shipped
from pegwright.loom.board import Arrangement, Loom

YARN = "rowing blue"
GATHER = "gathering yarn"
STOCKINETTE = shipped("double-board stockinette")
CORD_ROUNDS, SLIM_ROWS = 20, 6

Told = tuple[str, int | None, str | None, int | None]
"""What a finding says: its name, row, peg and step."""


def board(pegs: int, arrangement: Arrangement = Arrangement.OPPOSED) -> Loom:
    """A board (or ring) with so many pegs in a row, 3/8 in apart."""
    gap_mm = 25.4 if arrangement in (Arrangement.OPPOSED, Arrangement.OFFSET) else 0.0
    return Loom(arrangement, pegs, 9.525, gap_mm, 4.0)


def loom_for(wrap: Wrap, pegs: int) -> Loom:
    """The smallest board on which a wrap is worked over so many columns."""
    return board(pegs, Arrangement.OPPOSED if wrap.boards == 2 else Arrangement.SINGLE)


def field_of(wrap: Wrap, pegs: int, loom: Loom | None = None) -> Field:
    """All columns of a board, worked in a wrap."""
    return Field(loom or loom_for(wrap, pegs), wrap, 1, pegs)


def every_peg(field: Field) -> tuple[int, ...]:
    """Every peg in use, board to board in turn, from the left."""
    return alternating(field.loom, field.first, field.last)


# --- whole pieces --------------------------------------------------------------------------------


def panel(field: Field, count: int, body: Work | None = None) -> Script:
    """A strip of ``count`` rows, both edges run through by one length of yarn and drawn up.

    Steps: 1 cast on, 2 first row, 3 the other rows, 4 cut, 5 thread the last row, 6 thread the
    cast-on, 7 draw up, 8 weave in.  ``body`` takes the place of the other rows.
    """
    pegs = every_peg(field)
    hem: list[Operation] = [ThreadCastOn(GATHER, "strip", pegs)]
    if field.wrap.first_row is FirstRow.ANCHORED:
        hem.append(PullAnchor())
    edges = (("strip", Edge.LIVE), ("strip", Edge.CAST_ON))
    works: tuple[tuple[str, Part, Work], ...] = (
        ("cast-on", Part.CAST_ON, cast_on(field, YARN, 150.0, 30.0)),
        ("first-row", Part.BODY, first_row(field)),
        ("rows", Part.BODY, rows(field, count - 1) if body is None else body),
        ("cut", Part.TAILS, (CutYarn(150.0),)),
        (
            "thread-live",
            Part.GATHER,
            (TakeLength(GATHER, YARN, 600.0), ThreadLive(GATHER, pegs), LiftOff("strip")),
        ),
        ("thread-cast-on", Part.GATHER, tuple(hem)),
        ("draw-up", Part.GATHER, (DrawUp(GATHER, edges), FastenOff(GATHER))),
        ("finish", Part.TAILS, (WeaveIn("strip"),)),
    )
    return script_of(field.loom, works, field.wrap.cloth)


def script_of(
    loom: Loom, works: Iterable[tuple[str, Part, Work]], cloth: Cloth = Cloth.DOUBLE
) -> Script:
    """A script of one piece, ``strip``, its steps numbered from 1."""
    steps = (Step(i, key, "strip", part, work) for i, (key, part, work) in enumerate(works, 1))
    return Script(loom, (PieceSpec("strip", cloth),), tuple(steps))


def hood(pegs: int, count: int) -> Script:
    """The folded-strip hood with a cord: ``count`` rows (even) on so many pegs a side.

    Steps: 1 cast on, 2 first row, 3 the other rows, 4 cut, 5 free the end pegs, 6 knit the cord,
    7 thread the last row, 8 fold, 9 thread the cast-on, 10 seam, 11 draw up.
    """
    loom = board(pegs)
    field = Field(loom, STOCKINETTE, 1, pegs)
    half = count // 2
    moves, stacked = free_end_pegs(loom, 1, 1)
    seam = SeamEdges(
        "seam yarn", ("strip", Edge.RIGHT, 1, half), ("strip", Edge.RIGHT, count, half + 1)
    )
    draw = DrawUp("cord", (("strip", Edge.LIVE), ("strip", Edge.CAST_ON)))
    steps = (
        Step(1, "cast-on", "strip", Part.CAST_ON, cast_on(field, YARN, 150.0, 30.0)),
        Step(2, "first-row", "strip", Part.BODY, first_row(field)),
        Step(3, "rows", "strip", Part.BODY, rows(field, count - 1)),
        Step(4, "cut", "strip", Part.TAILS, (CutYarn(200.0),)),
        Step(5, "free-pegs", "strip", Part.BODY, moves),
        Step(6, "cord", "cord", Part.CORD, hood_cord(loom)),
        Step(
            7,
            "thread-live",
            "strip",
            Part.GATHER,
            (ThreadLive("cord", alternating(loom, 1, pegs, stacked)), LiftOff("strip")),
        ),
        Step(8, "fold", "strip", Part.BODY, (Fold("strip", half),)),
        Step(
            9,
            "thread-cast-on",
            "strip",
            Part.GATHER,
            (ThreadCastOn("cord", "strip", alternating(loom, 1, pegs)), PullAnchor()),
        ),
        Step(
            10,
            "seam",
            "strip",
            Part.SEAM,
            (TakeLength("seam yarn", YARN, 700.0, Part.SEAM), seam, FastenOff("seam yarn")),
        ),
        Step(11, "draw-up", "strip", Part.GATHER, (draw, WeaveIn("strip"), WeaveIn("cord"))),
    )
    return Script(loom, (PieceSpec("strip"), PieceSpec("cord", Cloth.CORD)), steps)


def hood_cord(loom: Loom) -> Work:
    """The hood's cord, on the first pair of pegs."""
    return cord(loom, 1, YARN, CORD_ROUNDS, SLIM_ROWS, 150.0, 30.0)


# --- changing a script ---------------------------------------------------------------------------


def work_of(script: Script, number: int) -> Work:
    """The work of a step."""
    return next(s.work for s in script.steps if s.number == number)


def with_work(script: Script, number: int, work: Work) -> Script:
    """The script with another work in one step."""
    return replace(
        script,
        steps=tuple(replace(s, work=work) if s.number == number else s for s in script.steps),
    )


def unrolled(script: Script) -> Script:
    """The script with every repeat written out."""
    return replace(script, steps=tuple(replace(s, work=flatten(s.work)) for s in script.steps))


def with_row(
    script: Script, field: Field, row: int, change: Callable[[Work], Work], *, repeats: bool
) -> Script:
    """The script with one row (2 or later, knitted in step 3) written out and changed.

    :param repeats: the rows before and after it stay repeats, otherwise they are written out too.
    """
    count = 1 + len(flatten(work_of(script, 3))) // len(flatten(rows(field, 1)))
    literal = change(flatten(rows(field, 1, done=row - 1)))
    work = (
        *rows(field, row - 2),
        *literal,
        *rows(field, count - row, done=row),
    )
    return with_work(script, 3, work if repeats else flatten(work))


def without_visit(work: Work, peg: int) -> Work:
    """A slip: one peg is passed by when the row is wrapped (or purled)."""
    changed: list[Operation | Repeat] = []
    for op in work:
        if isinstance(op, WrapPegs | Purl):
            op = replace(op, visits=tuple(v for v in op.visits if v.peg != peg))
        changed.append(op)
    return tuple(changed)


def without_knit(work: Work, peg: int) -> Work:
    """A slip: one peg is not knitted over."""
    return tuple(
        replace(op, pegs=tuple(p for p in op.pegs if p != peg)) if isinstance(op, KnitOver) else op
        for op in work
    )


# --- reading a run -------------------------------------------------------------------------------


def told(finding: Finding) -> Told:
    """A finding's name, row, peg and step."""
    spot = finding.spot
    return (finding.name, spot.row, spot.peg, spot.step)


def faults(run: Run) -> set[Told]:
    """Every fault of a run (cautions left out)."""
    return {told(f) for f in run.findings if f.severity is Severity.FAULT}
