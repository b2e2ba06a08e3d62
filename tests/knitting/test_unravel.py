"""Pulling the ends: what slips, held against a graph library that knows nothing of knitting."""

from __future__ import annotations

import time
from dataclasses import replace

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from pegwright.garments.blocks import Field, rows
from pegwright.knitting.fabric import FabricArrays
from pegwright.knitting.operations import CutYarn, JoinYarn
from pegwright.knitting.run import execute
from pegwright.knitting.unravel import holds_together, pull_ends
from pegwright.knitting.wraps import SHIPPED, Wrap, shipped
from pegwright.loom.board import Arrangement
from tests.knitting.scripts import board, field_of, hood, panel


def lost_by_networkx(arrays: FabricArrays) -> set[int]:
    """Loops to which no chain of loops leads from anything that holds one."""
    graph: nx.DiGraph[object] = nx.DiGraph()
    graph.add_nodes_from(range(len(arrays)))
    graph.add_edges_from((child, parent) for parent, child in arrays.ties.tolist())
    holders = {("holder", holder) for holder in arrays.holds[:, 0].tolist()}
    graph.add_edges_from((("holder", holder), loop) for holder, loop in arrays.holds.tolist())
    kept = set().union(*(nx.descendants(graph, holder) for holder in holders), set())
    return set(range(len(arrays))) - kept


def fabric(
    loops: int,
    ties: list[tuple[int, int]],
    holds: list[int] | None = None,
    strand: list[int] | None = None,
) -> FabricArrays:
    zeros = np.zeros(loops, np.int16)
    return FabricArrays(
        peg=np.zeros(loops, np.int32),
        row=np.zeros(loops, np.int32),
        kind=np.zeros(loops, np.int8),
        step=zeros,
        piece=zeros,
        strand=zeros if strand is None else np.array(strand, np.int16),
        ties=np.array(ties, np.int32).reshape(-1, 2),
        holds=np.array([(0, n) for n in holds or []], np.int32).reshape(-1, 2),
    )


def lost(arrays: FabricArrays, strands: set[int] | None = None) -> list[int]:
    return [int(loop) for loop in pull_ends(arrays, strands)]


# --- by hand -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ties", "holds", "gone"),
    [
        # A chain: each loop runs through the one before it.
        ([(0, 1), (1, 2)], [2], []),
        ([(0, 1), (1, 2)], [], [0, 1, 2]),
        ([(0, 1), (1, 2)], [1], [2]),  # what lies beyond the cord is not held by it
        ([(0, 1), (1, 2)], [0], [1, 2]),
        # Two wales side by side, one of them held: the other drops a ladder.
        #   2  3
        #   0  1
        ([(0, 2), (1, 3)], [2], [1, 3]),
        # A decrease: 0 and 1 are both lifted over 2.
        ([(0, 2), (1, 2)], [2], []),
        ([(0, 2), (1, 2)], [], [0, 1, 2]),
        # An increase: 1 and 2 both run through 0; either of them keeps it.
        ([(0, 1), (0, 2)], [2], [1]),
        ([(0, 1), (0, 2)], [], [0, 1, 2]),
        # Two loops through each other lock.
        ([(0, 1), (1, 0)], [], [2]),
        # Held twice.
        ([(0, 1), (1, 2)], [2, 2], []),
    ],
)
def test_small_fabrics(ties: list[tuple[int, int]], holds: list[int], gone: list[int]) -> None:
    loops = 1 + max(2 if (1, 0) in ties else 0, *(max(pair) for pair in ties))
    assert lost(fabric(loops, ties, holds)) == gone
    assert holds_together(fabric(loops, ties, holds)) == (not gone)


def test_no_fabric_loses_nothing() -> None:
    assert lost(fabric(0, [])) == []
    assert holds_together(fabric(0, []))


def test_a_loose_loop_slips() -> None:
    assert lost(fabric(1, [])) == [0]


def test_a_strand_that_is_not_pulled_stays_and_holds() -> None:
    # Loop 1 is of another yarn and runs through loop 0; nothing runs through it.
    arrays = fabric(2, [(0, 1)], strand=[0, 1])
    assert lost(arrays, {0}) == []
    assert lost(arrays, {1}) == [1]
    assert lost(arrays, {0, 1}) == lost(arrays) == [0, 1]
    assert lost(arrays, set()) == []
    assert holds_together(arrays, {0})
    assert not holds_together(arrays, {1})


# --- knitted -------------------------------------------------------------------------------------


@pytest.mark.parametrize("wrap", SHIPPED, ids=lambda w: w.name)
def test_a_panel_holds_while_it_is_gathered_and_runs_down_when_it_is_not(wrap: Wrap) -> None:
    field = field_of(wrap, max(wrap.least, 2))
    arrays = execute(panel(field, 7)).fabric.arrays()
    assert holds_together(arrays)
    # The cord drawn out again: everything comes undone, wale by wale, down to the cast-on.
    assert lost(replace(arrays, holds=arrays.holds[:0])) == list(range(len(arrays)))


def test_a_cut_stitch_drops_the_ladder_below_it() -> None:
    # The tie between rows 4 and 5 on F3 is cut: rows 1 to 4 of that wale (and the cast-on) go, the
    # rows above stay, and so does every other wale.
    #     row 5    x
    #     row 4    |   the loop of row 5 no longer runs through it
    field = field_of(shipped("flat"), 5)
    arrays = execute(panel(field, 9)).fabric.arrays()
    live_only = arrays.holds[arrays.row[arrays.holds[:, 1]] > 0]
    child, parent = arrays.ties[:, 1], arrays.ties[:, 0]
    cut = (arrays.peg[child] == 2) & (arrays.row[child] == 5) & (arrays.row[parent] == 4)
    assert cut.sum() == 1
    broken = replace(arrays, ties=arrays.ties[~cut], holds=live_only)
    gone = pull_ends(broken)
    assert set(arrays.peg[gone].tolist()) == {2}
    assert sorted(set(arrays.row[gone].tolist())) == [0, 1, 2, 3, 4]


def test_a_stripe_is_held_by_the_next() -> None:
    field = field_of(shipped("flat"), 4)
    body = (*rows(field, 1), CutYarn(9.0), JoinYarn("harbour white", 9.0), *rows(field, 2, 2))
    arrays = execute(panel(field, 2, body)).fabric.arrays()
    open_end = replace(arrays, holds=arrays.holds[:0])
    # The first yarn's loops have the second's through them; pulled by itself it stays.
    assert lost(open_end, {0}) == []
    # The second runs out as far as the first, which is not pulled and stays where it is.
    assert lost(open_end, {1}) == np.flatnonzero(arrays.strand == 1).tolist()


@pytest.mark.parametrize(("pegs", "count"), [(4, 4), (9, 14), (24, 40)])
def test_hoods_lose_nothing_by_either_reckoning(pegs: int, count: int) -> None:
    arrays = execute(hood(pegs, count)).fabric.arrays()
    assert lost(arrays) == []
    assert lost_by_networkx(arrays) == set()


# --- against the graph library -------------------------------------------------------------------


def torn(arrays: FabricArrays, share: float, seed: int) -> FabricArrays:
    """The fabric with a share of its ties and holds gone."""
    random = np.random.default_rng(seed)

    def kept(pairs: NDArray[np.int32]) -> NDArray[np.int32]:
        return pairs[random.random(len(pairs)) >= share]

    return replace(arrays, ties=kept(arrays.ties), holds=kept(arrays.holds))


FIELDS = [
    field_of(shipped("double-board stockinette"), 5),
    field_of(shipped("flat"), 4),
    Field(board(5, Arrangement.RING), shipped("e-wrap").in_the_round(), 1, 5),
]


@settings(max_examples=80)
@given(st.sampled_from(FIELDS), st.integers(1, 9), st.floats(0, 0.6), st.integers(0, 2**32 - 1))
def test_torn_panels(field: Field, count: int, share: float, seed: int) -> None:
    broken = torn(execute(panel(field, count)).fabric.arrays(), share, seed)
    gone = pull_ends(broken)
    assert set(gone.tolist()) == lost_by_networkx(broken)
    assert gone.tolist() == sorted(set(gone.tolist()))


@settings(max_examples=30)
@given(st.integers(4, 8), st.integers(2, 6), st.floats(0, 0.1), st.integers(0, 2**32 - 1))
def test_torn_hoods(pegs: int, half: int, share: float, seed: int) -> None:
    broken = torn(execute(hood(pegs, 2 * half)).fabric.arrays(), share, seed)
    assert set(lost(broken)) == lost_by_networkx(broken)


@given(st.integers(0, 40), st.data())
def test_any_ties_whatever(loops: int, data: st.DataObject) -> None:
    # Any ties in which the child is the younger loop, whether hands could make them or not.
    loop = st.integers(0, max(0, loops - 1))
    pairs = data.draw(st.lists(st.tuples(loop, loop), max_size=80)) if loops else []
    holds = data.draw(st.lists(loop, max_size=5)) if loops else []
    arrays = fabric(loops, [(a, b) for a, b in pairs if a < b], holds)
    assert set(lost(arrays)) == lost_by_networkx(arrays)


def test_a_blanket_comes_undone_in_a_few_seconds() -> None:
    field = field_of(shipped("double-board stockinette"), 100)
    arrays = execute(panel(field, 1600)).fabric.arrays()
    open_end = replace(arrays, holds=arrays.holds[:0])
    start = time.process_time()
    assert holds_together(arrays)
    gone = pull_ends(open_end)
    assert time.process_time() - start < 3.0
    assert len(gone) == len(arrays) == 1 + 200 * 1601


def test_a_long_cord_comes_undone_loop_by_loop() -> None:
    # One loop at a time: a work-list that looked at the whole fabric for each would never end.
    count = 300_000
    chain = np.column_stack((np.arange(count - 1), np.arange(1, count))).astype(np.int32)
    arrays = replace(fabric(count, []), ties=chain)
    start = time.process_time()
    assert len(pull_ends(arrays)) == count
    assert time.process_time() - start < 3.0
