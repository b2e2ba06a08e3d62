"""Shaping executed: decreases, increases and short rows prove, and their loops can be counted.

Counts are closed forms, worked out by hand from what each shaping does: a row has one loop on every
peg in use, a turn is one loop more, and nothing else makes a loop.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput, NotPossible
from pegwright.garments.blocks import Field, alternating, cast_on, first_row
from pegwright.garments.shaping import (
    Shaped,
    decrease_body,
    decrease_edge,
    increase_body,
    increase_edge,
    plain_rows,
    short_rows,
)
from pegwright.knitting.fabric import LoopKind
from pegwright.knitting.faults import Fault
from pegwright.knitting.operations import (
    CutYarn,
    DrawUp,
    Edge,
    FastenOff,
    KnitOver,
    LiftOff,
    Operation,
    Part,
    PullAnchor,
    SeamEdges,
    TakeLength,
    ThreadCastOn,
    ThreadEdge,
    ThreadLive,
    WeaveIn,
    WrapAndTurn,
)
from pegwright.knitting.run import Run, execute
from pegwright.knitting.script import PieceSpec, Script, Step, Work
from pegwright.knitting.unravel import holds_together
from pegwright.knitting.wraps import FirstRow, Wrap, shipped
from pegwright.loom.board import Arrangement
from pegwright.loom.visit import Turn, Visit
from tests.knitting.scripts import GATHER, YARN, board, loom_for, told, unrolled

DOUBLE = ("double-board stockinette", "double-board rib 1 by 1", "figure eight")
SINGLE = ("e-wrap", "u-wrap", "flat", "purl")
WRAPS = [shipped(name) for name in (*DOUBLE, *SINGLE)]
EDGES = (Edge.LEFT, Edge.RIGHT)

Shape = Callable[[Field, int], Shaped]


def faces(field: Field) -> int:
    return 2 if field.loom.is_double else 1


def start(wrap: Wrap, columns: int = 6, room: int = 12) -> Field:
    """A field in the middle of a board, with pegs free at both sides."""
    first = (room - columns) // 2 + 1
    return Field(loom_for(wrap, room), wrap, first, first + columns - 1)


def shaped(field: Field, *shapes: Shape, then: int = 2) -> Shaped:
    """Row 1, two plain rows, the shapings in turn, and plain rows at the end."""
    at = plain_rows(field, 1, 2)
    work = list(at.work)
    for shape in shapes:
        at = shape(at.field, at.done)
        work += at.work
    at = plain_rows(at.field, at.done, then)
    return Shaped((*work, *at.work), at.field, at.done)


def whole(field: Field, made: Shaped, *after: Operation) -> Script:
    """A piece from the cast-on to both ends run through and fastened; ``after`` is done then."""
    threaded = alternating(field.loom, field.first, field.last)
    live = alternating(field.loom, made.field.first, made.field.last)
    anchor = (PullAnchor(),) if field.wrap.first_row is FirstRow.ANCHORED else ()
    edges = (("strip", Edge.LIVE), ("strip", Edge.CAST_ON))
    works: tuple[Work, ...] = (
        cast_on(field, YARN, 150.0, 30.0),
        first_row(field),
        made.work,
        (CutYarn(150.0), TakeLength(GATHER, YARN, 600.0), ThreadLive(GATHER, live)),
        (LiftOff("strip"), ThreadCastOn(GATHER, "strip", threaded), *anchor),
        (DrawUp(GATHER, edges), FastenOff(GATHER), *after, WeaveIn("strip")),
    )
    steps = tuple(Step(i, "x", "strip", Part.BODY, work) for i, work in enumerate(works, 1))
    return Script(field.loom, (PieceSpec("strip", field.wrap.cloth),), steps)


def proved(field: Field, made: Shaped, *after: Operation) -> Run:
    script = whole(field, made, *after)
    run = execute(script)
    assert run.findings == ()
    assert run.piece("strip").rows == made.done
    assert holds_together(run.fabric.arrays())
    assert execute(unrolled(script)).fabric.loops == run.fabric.loops
    return run


def in_rows(run: Run) -> list[int]:
    """Loops of every row, from row 1; the loops of turns are left out."""
    arrays = run.fabric.arrays()
    rows = arrays.row[arrays.kind != LoopKind.TURN]
    return [int((rows == r).sum()) for r in range(1, int(rows.max()) + 1)]


SHAPES: dict[str, tuple[Callable[[Edge], Shape], int]] = {
    "decrease at an edge": (lambda e: lambda f, d: decrease_edge(f, d, e), -1),
    "increase at an edge": (lambda e: lambda f, d: increase_edge(f, d, e), 1),
    "decrease in the body": (lambda e: lambda f, d: decrease_body(f, d, f.first + 2, e), -1),
    "increase in the body": (lambda e: lambda f, d: increase_body(f, d, f.first + 2, e), 1),
}


@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("wrap", WRAPS, ids=lambda w: w.name)
def test_every_shaping_proves_in_every_wrap_at_both_edges(
    wrap: Wrap, name: str, edge: Edge
) -> None:
    make, more = SHAPES[name]
    field = start(wrap)
    run = proved(field, shaped(field, make(edge), make(edge)))
    columns = [6, 6, 6, 6 + more, 6 + 2 * more, 6 + 2 * more, 6 + 2 * more]
    assert in_rows(run) == [c * faces(field) for c in columns]


@given(
    wrap=st.sampled_from(WRAPS),
    tips=st.integers(3, 5),
    grown=st.integers(1, 6),
    every=st.integers(1, 4),
    edge=st.sampled_from(EDGES),
)
def test_a_triangle_has_the_loops_of_its_area(
    wrap: Wrap, tips: int, grown: int, every: int, edge: Edge
) -> None:
    """Cast-on c, one stitch more every n rows, k times: rows 1, then n each of c + 1 … c + k."""
    first = 7 if edge is Edge.LEFT else 1
    field = Field(loom_for(wrap, 12), wrap, first, first + tips - 1)
    at, work = Shaped((), field, 1), list[Operation]()
    for _ in range(grown):
        at = increase_edge(at.field, at.done, edge)
        work += at.work  # type: ignore[arg-type]
        at = plain_rows(at.field, at.done, every - 1)
        work += at.work  # type: ignore[arg-type]
    run = proved(field, Shaped(tuple(work), at.field, at.done))
    stitches = 2 * tips + every * (grown * tips + grown * (grown + 1) // 2)
    assert run.fabric.loops == 1 + faces(field) * stitches


def test_what_was_increased_and_decreased_again_is_as_wide_as_before() -> None:
    field = start(shipped("double-board stockinette"))
    made = shaped(
        field,
        lambda f, d: increase_body(f, d, f.first + 1, Edge.RIGHT),
        lambda f, d: decrease_body(f, d, f.first + 1, Edge.RIGHT),
    )
    assert made.field == field
    proved(field, made)


# --- chains --------------------------------------------------------------------------------------


def chained(edge: Edge, first: int, last: int) -> tuple[Operation, ...]:
    """Yarn through the chains of an edge."""
    through = ThreadEdge("edge yarn", "strip", edge, first, last)
    return (TakeLength("edge yarn", YARN, 500.0), through, FastenOff("edge yarn"))


@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize("wrap", WRAPS, ids=lambda w: w.name)
def test_a_decreased_edge_is_still_a_chain(wrap: Wrap, edge: Edge) -> None:
    field = start(wrap)
    made = shaped(field, lambda f, d: decrease_edge(f, d, edge))
    proved(field, made, *chained(edge, 1, made.done))


@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize("wrap", WRAPS, ids=lambda w: w.name)
def test_an_increase_leaves_its_row_out_of_the_chain(wrap: Wrap, edge: Edge) -> None:
    """The new edge stitch of row 4 comes out of row 2, so row 3 has no link; the rest has."""
    field = start(wrap)
    made = shaped(field, lambda f, d: increase_edge(f, d, edge))
    run = execute(whole(field, made, *chained(edge, 1, made.done)))
    assert {(f.name, f.spot.row) for f in run.findings} == {(Fault.EDGE_NOT_CHAIN, 3)}
    proved(field, made, *chained(edge, 4, made.done))
    other = Edge.LEFT if edge is Edge.RIGHT else Edge.RIGHT
    proved(field, made, *chained(other, 1, made.done))


def test_a_break_is_found_when_the_row_was_closed_before_the_increase() -> None:
    from pegwright.knitting.operations import JoinYarn

    field = start(shipped("e-wrap"))
    plain = plain_rows(field, 1, 2)
    wide = increase_edge(plain.field, plain.done, Edge.RIGHT)
    work = (*plain.work, CutYarn(), JoinYarn(YARN), *wide.work)
    made = Shaped(work, wide.field, wide.done)
    run = execute(whole(field, made, *chained(Edge.RIGHT, 1, 4)))
    assert {(f.name, f.spot.row) for f in run.findings} == {(Fault.EDGE_NOT_CHAIN, 3)}


def test_a_body_increase_does_not_touch_the_chains() -> None:
    field = start(shipped("u-wrap"))
    made = shaped(field, lambda f, d: increase_body(f, d, f.first + 2, Edge.RIGHT))
    proved(field, made, *chained(Edge.RIGHT, 1, made.done))


# --- short rows ----------------------------------------------------------------------------------


@pytest.mark.parametrize("leave", [(1,), (2,), (1, 2, 3), (3, 2, 1), (2, 2)])
@pytest.mark.parametrize("wrap", WRAPS, ids=lambda w: w.name)
def test_short_rows_prove_and_every_turn_is_one_loop(wrap: Wrap, leave: tuple[int, ...]) -> None:
    field = start(wrap, 7)
    made = shaped(field, lambda f, d: short_rows(f, d, Edge.RIGHT, leave))
    run = proved(field, made)
    turned = 1 if len(wrap.courses) == 1 else 2  # rows that a turn out and back counts for
    short = [c for k in leave for c in [7 - k] * turned]
    assert in_rows(run) == [c * faces(field) for c in [7, 7, 7, *short, 7, 7, 7]]
    arrays = run.fabric.arrays()
    assert int((arrays.kind == LoopKind.TURN).sum()) == len(leave) * faces(field)


def test_a_turn_is_knitted_together_with_its_stitch() -> None:
    # row 5 (whole)  F1 F2 F3 F4(2 over 1) F5
    # row 4 (back)   F1 F2 F3
    # row 4 (out)    F1 F2 F3 turn at F4
    field = Field(board(5, Arrangement.SINGLE), shipped("flat"), 1, 5)
    made = shaped(field, lambda f, d: short_rows(f, d, Edge.RIGHT, (2,)))
    arrays = proved(field, made).fabric.arrays()
    turn = int((arrays.kind == LoopKind.TURN).nonzero()[0][0])
    child = [c for p, c in arrays.ties.tolist() if p == turn]
    assert [(int(arrays.row[c]), int(arrays.peg[c])) for c in child] == [(6, 3)]
    others = [p for p, c in arrays.ties.tolist() if c == child[0] and p != turn]
    assert [(int(arrays.row[p]), int(arrays.peg[p])) for p in others] == [(3, 3)]


def test_a_turn_that_is_not_picked_up_leaves_a_loop_too_many() -> None:
    field = Field(board(5, Arrangement.SINGLE), shipped("flat"), 1, 5)
    made = shaped(field, lambda f, d: short_rows(f, d, Edge.RIGHT, (2,)))
    slipped = tuple(
        KnitOver(op.pegs) if isinstance(op, KnitOver) and op.lift == 2 else op for op in made.work
    )
    run = execute(whole(field, Shaped(slipped, made.field, made.done)))
    assert (Fault.TOO_MANY_LOOPS, 6, "F4", 3) in {told(f) for f in run.findings}


def test_a_turn_needs_a_stitch_to_go_round() -> None:
    field = Field(board(6, Arrangement.SINGLE), shipped("flat"), 1, 5)
    turn = WrapAndTurn(Visit(5, Turn.LEFT))
    run = execute(whole(field, Shaped((turn,), field, 1)))
    assert (Fault.TOO_FEW_LOOPS, 1, "F6", 3) in {told(f) for f in run.findings}


def test_no_seam_runs_over_rows_that_wait() -> None:
    field = Field(board(5, Arrangement.SINGLE), shipped("flat"), 1, 5)
    made = shaped(field, lambda f, d: short_rows(f, d, Edge.RIGHT, (2,)))
    broken = {
        row
        for row in range(1, made.done + 1)
        if execute(whole(field, made, *chained(Edge.RIGHT, row, row))).findings
    }
    assert broken == {4, 5, 6}  # the edge waits in rows 4 and 5; row 6 comes out of row 3
    proved(field, made, *chained(Edge.LEFT, 1, made.done))


# --- what cannot be ------------------------------------------------------------------------------


def test_there_must_be_a_peg_to_increase_onto() -> None:
    field = Field(board(6), shipped("double-board stockinette"), 1, 6)
    for edge in EDGES:
        with pytest.raises(NotPossible, match="no peg beyond"):
            increase_edge(field, 3, edge)
    with pytest.raises(NotPossible):
        decrease_edge(Field(field.loom, field.wrap, 1, 2), 3, Edge.RIGHT)


def test_a_wrap_that_needs_a_multiple_is_not_shaped_by_one() -> None:
    field = start(shipped("double-board rib 2 by 2"))
    with pytest.raises(NotPossible, match="multiple of 4"):
        increase_edge(field, 3, Edge.RIGHT)


def test_shaping_names_columns_and_edges_that_are_there() -> None:
    field = start(shipped("e-wrap"))
    with pytest.raises(BadInput, match="no such column"):
        decrease_body(field, 3, field.last, Edge.RIGHT)
    with pytest.raises(BadInput, match="no such column"):
        increase_body(field, 3, field.last + 1, Edge.RIGHT)
    with pytest.raises(BadInput, match="side edge"):
        increase_edge(field, 3, Edge.LIVE)


def test_short_rows_begin_where_the_yarn_hangs() -> None:
    field = start(shipped("e-wrap"))
    with pytest.raises(BadInput, match="yarn hangs"):
        short_rows(field, 3, Edge.LEFT, (2,))
    with pytest.raises(BadInput, match="leaves one column"):
        short_rows(field, 3, Edge.RIGHT, (4,))
    ring = Field(board(6, Arrangement.RING), shipped("e-wrap").in_the_round(), 1, 6)
    with pytest.raises(NotPossible, match="same way round"):
        short_rows(ring, 3, Edge.RIGHT, (2,))


# --- threading and joining finished pieces -------------------------------------------------------


def test_an_edge_is_threaded_off_the_loom_only() -> None:
    field = Field(board(5, Arrangement.SINGLE), shipped("flat"), 1, 5)
    made = shaped(field)
    early = (TakeLength("edge yarn", YARN, 1.0), ThreadEdge("edge yarn", "strip", Edge.LEFT, 1, 3))
    run = execute(whole(field, Shaped((*made.work, *early), made.field, made.done)))
    assert Fault.SEAM_TOO_SOON in {f.name for f in run.findings}


def test_an_edge_to_be_drawn_up_must_be_threaded() -> None:
    field = Field(board(5, Arrangement.SINGLE), shipped("flat"), 1, 5)
    made = shaped(field)
    gather = DrawUp("edge yarn", (("strip", Edge.LEFT),))
    proved(field, made, *chained(Edge.LEFT, 1, 5)[:2], gather, FastenOff("edge yarn"))
    run = execute(
        whole(field, made, *chained(Edge.RIGHT, 1, 5)[:2], gather, FastenOff("edge yarn"))
    )
    assert [f.name for f in run.findings] == [Fault.CORD_DRAWN_EARLY]


def test_a_shaped_piece_seams_edge_to_edge_where_its_chains_are_whole() -> None:
    field = start(shipped("double-board stockinette"))
    made = shaped(field, lambda f, d: decrease_edge(f, d, Edge.RIGHT))
    seam = SeamEdges("s", ("strip", Edge.LEFT, 1, made.done), ("strip", Edge.RIGHT, 1, made.done))
    proved(field, made, TakeLength("s", YARN, 500.0, Part.SEAM), seam, FastenOff("s"))
