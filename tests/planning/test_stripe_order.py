"""An order exists exactly where the counts say so, and the one that is found is one."""

from __future__ import annotations

from itertools import pairwise, permutations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.planning.stripe_order import FREE, has_order, order, shared_out


def any_order(counts: tuple[int, ...], left: int, right: int) -> bool:
    """By trying every order."""
    laid = [yarn for yarn, count in enumerate(counts) for _ in range(count)]
    return any(fits(way, left, right) for way in set(permutations(laid)))


def fits(way: tuple[int, ...], left: int, right: int) -> bool:
    whole = ([left] if left != FREE else []) + list(way) + ([right] if right != FREE else [])
    return all(a != b for a, b in pairwise(whole))


@pytest.mark.parametrize("left", [FREE, 0, 1])
@pytest.mark.parametrize("right", [FREE, 0, 2])
def test_the_counts_decide(left: int, right: int) -> None:
    """Every choice of counts of three yarns with seven places or fewer, against all orders."""
    seen = set()
    for counts in product(range(5), repeat=3):
        if sum(counts) <= 7:
            expected = any_order(counts, left, right)
            assert has_order(counts, left, right) == expected, (counts, left, right)
            if expected:
                way = order(counts, left, right)
                assert fits(way, left, right), (counts, left, right, way)
                assert [way.count(y) for y in range(3)] == list(counts)
            else:
                with pytest.raises(ValueError):
                    order(counts, left, right)
            seen.add(expected)
    assert seen == {True, False}


@given(
    counts=st.lists(st.integers(0, 40), min_size=2, max_size=12),
    left=st.integers(-1, 11),
    right=st.integers(-1, 11),
)
def test_long_orders_are_orders(counts: list[int], left: int, right: int) -> None:
    left, right = (end if end < len(counts) else FREE for end in (left, right))
    if has_order(counts, left, right):
        way = order(counts, left, right)
        assert fits(way, left, right)
        assert [way.count(y) for y in range(len(counts))] == counts


@given(least=st.integers(1, 9), more=st.integers(0, 9), data=st.data())
def test_shared_rows_keep_the_limits(least: int, more: int, data: st.DataObject) -> None:
    stripes = data.draw(st.integers(1, 30))
    rows = data.draw(st.integers(least * stripes, (least + more) * stripes))
    widths = shared_out(rows, stripes)
    assert (sum(widths), len(widths)) == (rows, stripes)
    assert least <= min(widths) <= max(widths) <= least + more
    assert max(widths) - min(widths) <= 1
