"""Stripes as values: what recurs is kept together, and what a script knits is read back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.knitting.operations import (
    CutYarn,
    JoinYarn,
    KnitOver,
    Part,
    Purl,
    Repeat,
    WrapKind,
    WrapPegs,
)
from pegwright.knitting.script import PieceSpec, Script, Step
from pegwright.knitting.stripes import Block, Stripe, blocks, merged, rows_in, stripes_of
from pegwright.loom.board import Arrangement, Loom
from pegwright.loom.visit import Turn, Visit

A, B, C = Stripe("rust", 8), Stripe("slate", 3), Stripe("hemp", 1)
ROW = (WrapPegs((Visit(0, Turn.LEFT),)), KnitOver((0,)))


def written_out(found: tuple[Block, ...]) -> tuple[Stripe, ...]:
    return tuple(stripe for block in found for stripe in block.stripes * block.times)


@pytest.mark.parametrize(
    ("stripes", "expected"),
    [
        ((), ()),
        ((A,), (Block((A,)),)),
        ((A, B), (Block((A,)), Block((B,)))),
        ((A, B, A, B), (Block((A, B), 2),)),
        ((A, B, A, B, A), (Block((A, B), 2), Block((A,)))),
        ((C, A, B, A, B, A, B), (Block((C,)), Block((A, B), 3))),
        ((A, B, C, A, B, C), (Block((A, B, C), 2),)),
    ],
)
def test_what_recurs_is_kept_together(
    stripes: tuple[Stripe, ...], expected: tuple[Block, ...]
) -> None:
    assert blocks(stripes) == expected


@given(st.lists(st.sampled_from([A, B, C]), max_size=40).map(tuple))
def test_blocks_written_out_are_the_stripes(stripes: tuple[Stripe, ...]) -> None:
    found = blocks(stripes)
    assert written_out(found) == stripes
    assert sum(block.rows for block in found) == sum(stripe.rows for stripe in stripes)


def test_neighbours_of_one_yarn_are_told_as_one() -> None:
    assert merged([A, A, B, C, C]) == (Stripe("rust", 16), B, Stripe("hemp", 2))


def test_a_stripe_has_a_row() -> None:
    with pytest.raises(BadInput, match="one row or more"):
        Stripe("rust", 0)


def test_rows_are_counted_through_repeats() -> None:
    cast_on = WrapPegs((Visit(0, Turn.LEFT),), WrapKind.CAST_ON)
    assert rows_in((cast_on, *ROW, Repeat((*ROW, Repeat(ROW, 3)), 2))) == 1 + 2 * (1 + 3)
    assert rows_in((Purl((Visit(0, Turn.LEFT),)),)) == 1


def test_stripes_are_read_from_what_is_worked() -> None:
    steps = (
        Step(1, "cast-on", "strip", Part.CAST_ON, (JoinYarn("rust"),)),
        Step(2, "first-row", "strip", Part.BODY, ROW),
        Step(3, "stripe", "strip", Part.BODY, (Repeat(ROW, 7),)),
        Step(4, "stripe", "strip", Part.BODY,
             (Repeat((CutYarn(), JoinYarn("slate"), Repeat(ROW, 3), CutYarn(), JoinYarn("hemp"),
                      *ROW), 2),)),
        Step(5, "cord", "cord", Part.CORD, (JoinYarn("teak"), *ROW)),
    )  # fmt: skip
    loom = Loom(Arrangement.SINGLE, 4, 10.0)
    script = Script(loom, (PieceSpec("strip"), PieceSpec("cord")), steps)
    assert stripes_of(script) == (A, B, C, B, C)
