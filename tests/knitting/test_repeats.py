"""Repeats kept as repeats: what is written in one tile is what working every round gives."""

from __future__ import annotations

import time
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pegwright.errors import NotPossible
from pegwright.garments.blocks import Field, rows
from pegwright.knitting.fabric import Tile
from pegwright.knitting.faults import Fault
from pegwright.knitting.operations import (
    BindOffOver,
    CutYarn,
    Edge,
    FastenOff,
    Fold,
    Increase,
    JoinYarn,
    KnitOver,
    LayAnchor,
    LiftOff,
    Move,
    Onto,
    Operation,
    Part,
    PullAnchor,
    Purl,
    Repeat,
    SeamEdges,
    Skip,
    TakeLength,
    ThreadCastOn,
    ThreadLive,
    WeaveIn,
    WrapKind,
    WrapPegs,
)
from pegwright.knitting.run import MOST_WORKED, Run, execute
from pegwright.knitting.script import PieceSpec, Script, Step, Work
from pegwright.knitting.unravel import holds_together
from pegwright.knitting.wraps import SHIPPED, Cloth, Wrap, shipped
from pegwright.loom.board import Arrangement
from pegwright.loom.visit import Turn, Visit
from tests.knitting.scripts import (
    YARN,
    board,
    field_of,
    hood,
    panel,
    script_of,
    told,
    unrolled,
    without_knit,
    without_visit,
)


def assert_alike(kept: Run, written_out: Run) -> None:
    """Two runs of the same work: everything but how repeats are kept."""
    assert kept.findings == written_out.findings
    assert kept.pieces == written_out.pieces
    assert kept.operations == written_out.operations
    assert kept.movements == written_out.movements
    assert kept.fabric.loops == written_out.fabric.loops
    for name in ("pieces", "strands", "holders"):
        assert getattr(kept.fabric, name) == getattr(written_out.fabric, name)
    ours, theirs = kept.fabric.arrays(), written_out.fabric.arrays()
    for f in fields(ours):
        one, other = getattr(ours, f.name), getattr(theirs, f.name)
        assert one.dtype == other.dtype
        np.testing.assert_array_equal(one, other, err_msg=f.name)
    assert yarn_beside(kept) == pytest.approx(yarn_beside(written_out))


def yarn_beside(run: Run) -> dict[tuple[str, str, int], float]:
    sums: dict[tuple[str, str, int], float] = {}
    for block, times in run.fabric.walk():
        for use in block.uses:
            key = (use.yarn, str(use.part), use.piece)
            sums[key] = sums.get(key, 0.0) + use.yarn_mm * times
    return sums


def check(script: Script) -> Run:
    """Execute with repeats kept and with repeats written out; both must tell the same.

    What is proved must hold together too.
    """
    kept = execute(script)
    assert_alike(kept, execute(unrolled(script)))
    assert holds_together(kept.fabric.arrays()) or not kept.proved
    return kept


# --- good work -----------------------------------------------------------------------------------


@settings(max_examples=60)
@given(st.sampled_from(SHIPPED), st.integers(2, 8), st.integers(1, 12))
def test_panels_in_every_wrap(wrap: Wrap, columns: int, count: int) -> None:
    columns = max(wrap.least, columns - (columns - wrap.plus) % wrap.multiple)
    check(panel(field_of(wrap, columns), count))


@pytest.mark.parametrize(("pegs", "count"), [(4, 4), (7, 12), (12, 60)])
def test_hoods(pegs: int, count: int) -> None:
    run = check(hood(pegs, count))
    assert run.proved
    assert any(isinstance(b, Tile) for b in run.fabric.blocks)


@pytest.mark.parametrize("times", range(12))
def test_a_pattern_of_several_rows_within_a_pattern(times: int) -> None:
    # Twice (3 rows flat, then a block of 2 ridges worked three times), over and over.
    flat, purl = field_of(shipped("flat"), 4), field_of(shipped("purl"), 4)
    ridge = Repeat((Purl(purl.course(3)), Purl(purl.course(4))), 3)
    body = (*rows(flat, 3), ridge, *rows(flat, 3, 4), ridge)
    run = check(panel(flat, 2, (Repeat(body, times),)))
    assert run.piece("strip").rows == 1 + 18 * times


# --- work with slips -----------------------------------------------------------------------------


@settings(max_examples=150)
@given(st.data())
def test_panels_with_slips_in_their_repeats(data: st.DataObject) -> None:
    wrap = data.draw(st.sampled_from([w for w in SHIPPED if w.cloth is not Cloth.CORD]))
    columns = data.draw(st.integers(2, 8))
    columns = max(wrap.least, columns - (columns - wrap.plus) % wrap.multiple)
    field = field_of(wrap, columns)
    check(slipped(panel(field, 2, broken_rows(data, field)), field))


def broken_rows(data: st.DataObject, field: Field) -> Work:
    """Rows as a repeat, in a repeat, each with a slip or two."""
    peg = st.integers(0, field.loom.peg_count - 1)
    (repeat,) = rows(field, len(field.wrap.courses))
    assert isinstance(repeat, Repeat)

    def slip(work: Work) -> Work:
        kind = data.draw(st.sampled_from(["none", "visit", "knit", "move", "skip", "extra"]))
        at, other = data.draw(peg), data.draw(peg)
        if kind == "visit":
            return without_visit(work, at)
        if kind == "knit":
            return without_knit(work, at)
        added: dict[str, Operation] = {
            "move": Move(at, other),
            "skip": Skip((at,)),
            "extra": WrapPegs((Visit(at, Turn.LEFT),), WrapKind.EXTRA),
        }
        if kind not in added:
            return work
        place = data.draw(st.integers(0, len(work)))
        return (*work[:place], added[kind], *work[place:])

    inner = Repeat(slip(repeat.body), data.draw(st.integers(0, 12)))
    outer = slip((inner, *slip(repeat.body)))
    return (Repeat(outer, data.draw(st.integers(0, 4))), Repeat(repeat.body, 2))


def slipped(script: Script, field: Field) -> Script:
    """The panel with its right edge seamed over stretches of rows, so that breaks are looked at."""
    seams = tuple(
        SeamEdges("seam yarn", ("strip", Edge.RIGHT, a, b), ("strip", Edge.LEFT, a, b))
        for a, b in ((1, 4), (3, 3), (6, 7), (8, 60))
    )
    step = script.steps[-1]
    sewn = tuple(Step(100 + i, "seam", "strip", Part.SEAM, (seam,)) for i, seam in enumerate(seams))
    take = Step(99, "take", "strip", Part.SEAM, (TakeLength("seam yarn", YARN, 90.0, Part.SEAM),))
    return replace(script, steps=(*script.steps, take, *sewn, replace(step, number=200)))


PEGS = st.integers(0, 6)  # one more than the small board below has


def visits(draw: st.DrawFn) -> tuple[Visit, ...]:
    turn = draw(st.sampled_from(Turn))
    return tuple(Visit(p, turn) for p in draw(st.lists(PEGS, min_size=1, max_size=6)))


@st.composite
def operations(draw: st.DrawFn) -> Operation:
    """Anything that a hand may do to a small board, sense or no sense."""
    kind = draw(st.integers(0, 19))
    peg, other = draw(PEGS), draw(PEGS)
    if kind < 4:
        return WrapPegs(visits(draw), draw(st.sampled_from(WrapKind)))
    if kind < 8:
        pegs = tuple(draw(st.lists(PEGS, max_size=6)))
        return KnitOver(pegs, draw(st.integers(1, 2)), draw(st.integers(1, 2)))
    if kind == 8:
        return Purl(visits(draw))
    if kind == 19:
        return TakeLength(draw(st.sampled_from("ab")), YARN, 10.0)
    ends: list[Operation] = [JoinYarn("harbour white", 5.0), CutYarn(5.0), WeaveIn("strip")]
    anchors: list[Operation] = [LayAnchor(), PullAnchor()]
    off: list[Operation] = [LiftOff("strip"), LiftOff("cord"), Fold("strip", 2)]
    rest: tuple[Operation, ...] = (
        Skip((peg, other)),
        Move(peg, other, draw(st.sampled_from(Onto)), draw(st.sampled_from([None, 1]))),
        Increase(peg, other),
        draw(st.sampled_from(ends)),
        BindOffOver((peg, other)),
        ThreadLive(draw(st.sampled_from("ab")), (peg, other)),
        ThreadCastOn("a", "strip", tuple(range(6))),
        draw(st.sampled_from(anchors)),
        FastenOff(draw(st.sampled_from("ab"))),
        draw(st.sampled_from(off)),
    )
    return rest[kind - 9]


BODIES = st.recursive(
    st.lists(operations(), min_size=1, max_size=5).map(tuple),
    lambda inner: st.lists(
        st.one_of(
            operations(),
            st.builds(Repeat, inner, st.integers(0, 9)),
        ),
        min_size=1,
        max_size=4,
    ).map(tuple),
    max_leaves=3,
)


@settings(max_examples=300)
@given(BODIES, st.integers(0, 12), st.sampled_from([Cloth.DOUBLE, Cloth.SINGLE]))
def test_any_work_at_all(body: Work, times: int, cloth: Cloth) -> None:
    loom = board(3)
    every = tuple(Visit(p, Turn.LEFT) for p in range(6))
    seam = SeamEdges("a", ("strip", Edge.RIGHT, 2, 9), ("strip", Edge.LEFT, 4, 5))
    steps = (
        Step(
            1,
            "cast-on",
            "strip",
            Part.CAST_ON,
            (JoinYarn(YARN), WrapPegs(every, WrapKind.CAST_ON), LayAnchor()),
        ),
        Step(2, "rows", "strip", Part.BODY, (Repeat(body, times),)),
        Step(3, "seam", "strip", Part.SEAM, (LiftOff("strip"), TakeLength("a", YARN, 9.0), seam)),
    )
    check(Script(loom, (PieceSpec("strip", cloth), PieceSpec("cord", Cloth.CORD)), steps))


def test_breaks_of_an_edge_are_kept_row_by_row() -> None:
    # The right edge is skipped in every other row; a seam over one of the other rows is sound.
    field = field_of(shipped("flat"), 3)
    whole, short = field.course(3), tuple(v for v in field.course(4) if v.peg != 2)
    body = (
        WrapPegs(whole),
        KnitOver((2, 1, 0)),
        WrapPegs(short),
        Skip((2,)),
        KnitOver((0, 1)),
    )
    rows_of_breaks = set(range(3, 400, 2))
    for low, high in ((100, 100), (101, 101), (102, 104), (398, 398), (399, 399)):
        script = panel(field, 2, (Repeat(body, 199),))
        seam = SeamEdges("s", ("strip", Edge.RIGHT, low, high), ("strip", Edge.LEFT, low, high))
        sewn = (TakeLength("s", YARN, 90.0, Part.SEAM), seam, FastenOff("s"))
        steps = (*script.steps, Step(9, "seam", "strip", Part.SEAM, sewn))
        run = check(replace(script, steps=steps))
        broken = [f.spot.row for f in run.findings if f.name == Fault.EDGE_NOT_CHAIN]
        assert broken == sorted(rows_of_breaks & set(range(low, high + 1)))[:1]


def test_a_strand_joined_in_every_round_is_a_strand_of_its_own() -> None:
    field = field_of(shipped("flat"), 3)
    (row,) = rows(field, 2)
    assert isinstance(row, Repeat)
    stripe = (*row.body, CutYarn(9.0), WeaveIn("strip"), JoinYarn(YARN, 9.0))
    run = check(panel(field, 2, (Repeat(stripe, 12),)))
    assert run.proved
    assert len(run.fabric.strands) == 13


def test_a_strand_cut_in_every_round_is_a_strand_of_its_own() -> None:
    # No yarn is in hand when a round ends, and every tail is woven in.
    field = field_of(shipped("flat"), 3)
    (row,) = rows(field, 2)
    assert isinstance(row, Repeat)
    stripe = (JoinYarn("harbour white", 9.0), *row.body, CutYarn(9.0), WeaveIn("strip"))
    body = (CutYarn(9.0), WeaveIn("strip"), Repeat(stripe, 12), JoinYarn(YARN, 9.0))
    run = check(panel(field, 1, body))
    assert run.proved
    assert len(run.fabric.strands) == 14


# --- what it costs -------------------------------------------------------------------------------


def test_a_million_rows_take_no_longer_than_a_few() -> None:
    field = field_of(shipped("double-board stockinette"), 20)
    script = panel(field, 1_000_001)
    start = time.process_time()
    run = execute(script)
    assert time.process_time() - start < 1.0
    assert run.proved
    assert run.piece("strip").rows == 1_000_001
    assert run.fabric.loops == 1 + 40 * 1_000_002


def test_a_slip_in_the_last_of_a_million_rows_is_found_there() -> None:
    field = field_of(shipped("flat"), 5)
    last = without_knit(rows(field, 1, 1_000_000), 1)
    run = execute(panel(field, 2, (*rows(field, 999_999), *last)))
    assert (Fault.MISSED_PEG, 1_000_001, "F2", 3) in {told(f) for f in run.findings}


@pytest.mark.parametrize("body", [(), (Skip((0,)),), (Move(1, 0),)])
def test_a_repeat_that_makes_nothing_costs_nothing(body: Work) -> None:
    script = script_of(board(3), [("rows", Part.BODY, (Repeat(body, 9_999_999),))])
    start = time.process_time()
    run = execute(script)
    assert time.process_time() - start < 1.0
    assert run.operations == 9_999_999 * len(body)
    assert run.fabric.loops == 0


@pytest.mark.parametrize("left_over", range(4))
def test_rounds_left_over_after_a_long_recurrence(left_over: int) -> None:
    # Four loops that are never knitted wander round four pegs, so that the state recurs after four
    # rounds of two rows; the rounds that are left over are then worked one by one.
    #   F1 F2 | F3 F4 F5 F6 .         F6 to F7, F5 to F6 ... and F7 back to F3
    loom = board(7, Arrangement.SINGLE)
    field = Field(loom, shipped("e-wrap"), 1, 6)
    along = ((5, 6), (4, 5), (3, 4), (2, 3), (6, 2))
    turn = tuple(Move(source, target, Onto.EMPTY) for source, target in along)
    (row,) = rows(Field(loom, field.wrap, 1, 2), 2)
    assert isinstance(row, Repeat)
    aside = Skip((2, 3, 4, 5))
    wrap_1, knit_1, wrap_2, knit_2 = row.body
    body = (*turn, wrap_1, aside, knit_1, wrap_2, aside, knit_2)
    times = 1_000_000 + left_over
    run = execute(panel(field, 2, (Repeat(body, times),)))
    assert run.piece("strip").rows == 1 + 2 * times
    assert run.operations == execute(panel(field, 2, ())).operations + times * len(body)
    homes = execute(panel(field, 2, (Repeat(body, 400 + left_over),)))
    assert {told(f)[0] for f in run.findings} == {told(f)[0] for f in homes.findings}


def test_stripes_of_a_great_many_rows_are_not_refused() -> None:
    # A round never recurs, as each has a strand of its own; what it holds is still leapt over.
    field = field_of(shipped("flat"), 50)
    stripe = (*rows(field, 20_000), CutYarn(9.0), JoinYarn("harbour white", 9.0))
    run = execute(panel(field, 2, (Repeat(stripe, 6),)))
    assert run.proved
    assert run.fabric.loops > 10 * MOST_WORKED


@pytest.mark.parametrize(
    "body",
    [
        (WrapPegs((Visit(0, Turn.LEFT),), WrapKind.EXTRA),),  # loops pile up
        (JoinYarn(YARN), CutYarn()),  # a tail more in every round
    ],
)
def test_a_repeat_that_never_settles_is_refused(body: Work) -> None:
    start = (JoinYarn(YARN), WrapPegs((Visit(0, Turn.LEFT),), WrapKind.CAST_ON))
    script = script_of(board(2), [("rows", Part.BODY, (*start, Repeat(body, 9_000_000)))])
    with pytest.raises(NotPossible, match="does not settle") as caught:
        execute(script)
    assert caught.value.given == "9,000,000 times"
