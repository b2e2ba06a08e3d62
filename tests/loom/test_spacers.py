"""Stacks of spacers, each against every stack there is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput, NotPossible
from pegwright.loom.spacers import Stack, spacer_stack, stack_for_gap


def _every_stack(have: Sequence[float], most: int) -> Iterator[tuple[float, ...]]:
    """All stacks, by adding a piece to the stacks of one piece fewer."""
    layer: set[tuple[float, ...]] = {()}
    for _ in range(most + 1):
        yield from layer
        layer = {tuple(sorted((*stack, piece))) for stack in layer for piece in have}


@given(
    st.floats(0, 60),
    st.lists(st.sampled_from([1.5, 3.0, 4.0, 6.35, 9.5, 12.7]), min_size=1, max_size=3),
    st.integers(1, 4),
)
def test_no_stack_comes_nearer_nor_as_near_with_fewer_pieces(
    height: float, have: list[float], most: int
) -> None:
    got = spacer_stack(height, have, most)
    assert set(got.pieces) <= set(have)
    assert got.total_mm == pytest.approx(math.fsum(got.pieces))
    assert got.error_mm == pytest.approx(got.total_mm - height)
    every = list(_every_stack(have, most))
    least = min(abs(sum(s) - height) for s in every)
    assert abs(got.error_mm) == pytest.approx(least, abs=1e-6)
    fewest = min(len(s) for s in every if abs(sum(s) - height) <= least + 1e-10)
    assert len(got.pieces) <= fewest


@pytest.mark.parametrize(
    ("height", "have", "most", "want"),
    [
        (12.0, [3.0, 6.0, 12.0], 6, Stack((12.0,), 12.0, 0.0)),  # one piece, not 6 + 6
        (18.0, [3.0, 9.0, 12.0], 6, Stack((9.0, 9.0), 18.0, 0.0)),  # the thickest first is worse
        (0.0, [3.0], 6, Stack((), 0.0, 0.0)),  # the boards lie together
        (1.0, [3.0], 6, Stack((), 0.0, -1.0)),  # none is nearer than one
        (100.0, [3.0], 4, Stack((3.0,) * 4, 12.0, -88.0)),  # no more pieces to be had
        (6.0, [5.0, 7.0], 2, Stack((7.0,), 7.0, 1.0)),  # equally near: the higher
        (10.0, [4.0, 5.0, 6.0], 2, Stack((6.0, 4.0), 10.0, 0.0)),  # equal: the thickest piece
    ],
)
def test_ties_are_settled(height: float, have: list[float], most: int, want: Stack) -> None:
    assert spacer_stack(height, have, most) == want
    assert spacer_stack(height, have[::-1] + have, most) == want  # the order of naming is nothing


@pytest.mark.parametrize(
    ("height", "have", "most"),
    [
        (-1.0, [3.0], 6),
        (math.nan, [3.0], 6),
        (math.inf, [3.0], 6),
        (9.0, [], 6),
        (9.0, [0.0], 6),
        (9.0, [3.0, -1.0], 6),
        (9.0, [math.nan], 6),
        (9.0, [3.0], 0),
        (9.0, [3.0], 9),
        (9.0, [float(i) for i in range(1, 14)], 6),
    ],
)
def test_stacks_that_cannot_be_are_refused(height: float, have: list[float], most: int) -> None:
    with pytest.raises(BadInput):
        spacer_stack(height, have, most)


def test_a_gap_is_the_stack_and_the_offset() -> None:
    # Boards whose rows stand 20 mm apart with nothing between them.
    assert stack_for_gap(31.0, [3.0, 5.0], gap_offset_mm=20.0).pieces == (5.0, 3.0, 3.0)
    assert stack_for_gap(20.0, [3.0, 5.0], gap_offset_mm=20.0).pieces == ()
    with pytest.raises(NotPossible, match="no spacers"):
        stack_for_gap(19.0, [3.0, 5.0], gap_offset_mm=20.0)
    for offset in (-1.0, math.nan):
        with pytest.raises(BadInput):
            stack_for_gap(31.0, [3.0], gap_offset_mm=offset)
    with pytest.raises(BadInput):
        stack_for_gap(math.nan, [3.0], gap_offset_mm=20.0)
