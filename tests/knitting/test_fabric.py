"""The fabric: what is written in blocks and tiles, and what comes out loop by loop."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import NotPossible
from pegwright.garments.blocks import rows
from pegwright.knitting.fabric import MOST_LOOPS, Block, Fabric, FabricArrays, LoopKind, Tile, Use
from pegwright.knitting.operations import Part, Repeat
from pegwright.knitting.run import execute
from pegwright.knitting.script import Script
from pegwright.knitting.wraps import shipped
from pegwright.loom.visit import Turn, Visit
from tests.knitting.scripts import GATHER, YARN, field_of, hood, panel, work_of

KNIT = LoopKind.KNIT


def block(
    first: int,
    pegs: tuple[int, ...],
    row: int,
    ties: tuple[tuple[int, int], ...] = (),
    holds: tuple[tuple[int, int], ...] = (),
    uses: tuple[Use, ...] = (),
) -> Block:
    visits = tuple(Visit(p, Turn.LEFT) for p in pegs)
    n = len(pegs)
    return Block(first, 3, 0, 0, (), visits, (row,) * n, (KNIT,) * n, ties, holds, uses)


def fabric(*blocks: Block | Tile) -> Fabric:
    return Fabric(blocks, ("strip",), (YARN,), (GATHER,))


def test_loops_of_two_rows_on_two_pegs() -> None:
    # row 2    2   3
    # row 1    0   1        each loop of row 1 is lifted over the one above it
    arrays = fabric(block(0, (0, 1), 1), block(2, (1, 0), 2, ((1, 2), (0, 3)))).arrays()
    assert arrays.peg.tolist() == [0, 1, 1, 0]
    assert arrays.row.tolist() == [1, 1, 2, 2]
    assert arrays.ties.tolist() == [[1, 2], [0, 3]]
    assert arrays.holds.tolist() == []
    assert arrays.step.tolist() == [3] * 4
    assert len(arrays) == 4


def test_a_tile_is_its_blocks_shifted() -> None:
    row = block(2, (0, 1), 2, ((0, 2), (1, 3)), ((0, 3),))
    arrays = fabric(block(0, (0, 1), 1), Tile((row,), 3, 2, 1)).arrays()
    assert arrays.peg.tolist() == [0, 1] * 4
    assert arrays.row.tolist() == [1, 1, 2, 2, 3, 3, 4, 4]
    assert arrays.ties.tolist() == [[0, 2], [1, 3], [2, 4], [3, 5], [4, 6], [5, 7]]
    assert arrays.holds.tolist() == [[0, 3], [0, 5], [0, 7]]  # the holder stays the same


def test_tiles_within_tiles() -> None:
    # Three times (one loop of row 1 on peg 0, then twice a loop on peg 1 a row further on).
    inner = Tile((block(1, (1,), 2, ((0, 1),)),), 2, 1, 1)
    whole = fabric(Tile((block(0, (0,), 1), inner), 3, 3, 3))
    arrays = whole.arrays()
    assert whole.loops == len(arrays) == 9
    assert arrays.peg.tolist() == [0, 1, 1] * 3
    assert arrays.row.tolist() == list(range(1, 10))
    assert arrays.ties.tolist() == [[0, 1], [1, 2], [3, 4], [4, 5], [6, 7], [7, 8]]
    assert [(b.loops, times) for b, times in whole.walk()] == [(1, 3), (1, 6)]


@given(st.integers(1, 6), st.integers(1, 5), st.integers(1, 5))
def test_walking_counts_every_loop(pegs: int, inner: int, outer: int) -> None:
    row = block(0, tuple(range(pegs)), 1)
    tile = Tile((row, Tile((row,), inner, pegs, 1)), outer, pegs * (inner + 1), inner + 1)
    whole = fabric(row, tile)
    walked = sum(b.loops * times for b, times in whole.walk())
    assert walked == whole.loops == len(whole.arrays()) == pegs * (1 + outer * (1 + inner))


def test_no_fabric_has_no_loops() -> None:
    arrays = fabric().arrays()
    assert len(arrays) == 0
    assert arrays.ties.shape == arrays.holds.shape == (0, 2)


@pytest.mark.parametrize("script", [hood(5, 8), panel(field_of(shipped("flat"), 3), 1)])
def test_arrays_have_one_type_each_whatever_they_hold(script: Script) -> None:
    types = {
        "peg": np.int32,
        "row": np.int32,
        "kind": np.int8,
        "step": np.int16,
        "piece": np.int16,
        "strand": np.int16,
        "ties": np.int32,
        "holds": np.int32,
    }
    assert {f.name for f in fields(FabricArrays)} == set(types)
    for arrays in (execute(script).fabric.arrays(), fabric().arrays()):
        for name, wanted in types.items():
            assert getattr(arrays, name).dtype == wanted, name


def test_too_many_loops_are_not_written_out() -> None:
    row = block(0, (0, 1), 1)
    most = fabric(Tile((row,), MOST_LOOPS // 2 + 1, 2, 1))
    assert most.loops == MOST_LOOPS + 2
    with pytest.raises(NotPossible) as caught:
        most.arrays()
    assert "20,000,002 loops" in str(caught.value.given)


def test_a_run_names_its_pieces_strands_and_holders() -> None:
    whole = execute(hood(5, 8)).fabric
    assert whole.pieces == ("strip", "cord")
    assert whole.strands == (YARN, YARN)
    assert whole.holders == ("tail of the cord", "cord")
    arrays = whole.arrays()
    assert set(arrays.strand[arrays.piece == 0].tolist()) == {0}
    assert set(arrays.strand[arrays.piece == 1].tolist()) == {1}


def test_loops_are_numbered_as_the_yarn_makes_them() -> None:
    field = field_of(shipped("double-board stockinette"), 4)
    arrays = execute(panel(field, 3)).fabric.arrays()
    course = [v.peg for v in field.course(1)]
    assert arrays.peg.tolist() == [field.knot.peg] + course * 4
    kinds = [LoopKind.KNOT] + [LoopKind.CAST_ON] * 8 + [LoopKind.KNIT] * 24
    assert arrays.kind.tolist() == kinds


def test_a_loop_is_lifted_over_the_next_loop_of_its_peg() -> None:
    arrays = execute(panel(field_of(shipped("double-board rib 1 by 1"), 4), 6)).fabric.arrays()
    last = dict[int, int]()
    expected = set()
    for loop, (peg, row) in enumerate(zip(arrays.peg, arrays.row, strict=True)):
        if row == 0:
            last[int(peg)] = loop
            continue
        expected.add((last[int(peg)], loop))
        last[int(peg)] = loop
    slip_loop = (0, next(c for p, c in arrays.ties.tolist() if p == 0))
    assert {(p, c) for p, c in arrays.ties.tolist()} == expected | {slip_loop}
    assert arrays.peg[slip_loop[1]] == arrays.peg[0]
    assert arrays.row[slip_loop[1]] == 1


def test_a_block_knows_the_two_visits_before_it() -> None:
    # The taut path of a block's first visit depends on them.
    script = panel(field_of(shipped("flat"), 3), 6)
    strung: list[Visit] = []
    for part in execute(replace(script, steps=script.steps[:3])).fabric.blocks:
        for b in part.blocks if isinstance(part, Tile) else (part,):
            assert isinstance(b, Block)
            assert b.lead == tuple(strung[-2:])
            strung.extend(b.visits)


def test_yarn_drawn_beside_the_wraps_is_written_down_with_its_use() -> None:
    script = hood(5, 8)
    uses = [use for b, _ in execute(script).fabric.walk() for use in b.uses]
    assert [(u.part, u.piece, u.yarn_mm) for u in uses] == [
        (Part.TAILS, 0, 150.0),  # the tail at the cast-on
        (Part.CAST_ON, 0, 30.0),  # the slip loop
        (Part.TAILS, 0, 200.0),
        (Part.TAILS, 1, 150.0),  # the cord's own
        (Part.CORD, 1, 30.0),
        (Part.TAILS, 1, 150.0),
        (Part.SEAM, 0, 700.0),
    ]


def test_rows_of_a_repeat_are_one_tile() -> None:
    field = field_of(shipped("double-board stockinette"), 6)
    script = panel(field, 500)
    (repeat,) = work_of(script, 3)
    assert isinstance(repeat, Repeat)
    assert repeat == rows(field, 499)[0]
    tiles = [b for b in execute(script).fabric.blocks if isinstance(b, Tile)]
    assert len(tiles) == 1
    assert tiles[0].loop_stride == 12
    assert tiles[0].row_stride == 1
    assert tiles[0].times > 490
