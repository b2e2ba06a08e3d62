"""Looms: addresses, centres, and the looms that cannot be."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.loom.board import MOST_PEGS, Arrangement, Loom
from pegwright.loom.visit import Turn

OPPOSED, OFFSET = Arrangement.OPPOSED, Arrangement.OFFSET
SINGLE, RING = Arrangement.SINGLE, Arrangement.RING


def loom(arrangement: Arrangement, pegs: int = 12) -> Loom:
    return Loom(arrangement, pegs, pitch_mm=10.0, gap_mm=30.0)


@given(st.sampled_from(Arrangement), st.integers(3, 40))
def test_every_peg_is_found_at_its_address(arrangement: Arrangement, pegs: int) -> None:
    one = loom(arrangement, pegs)
    addresses = [one.address(peg) for peg in range(one.peg_count)]
    assert len(set(addresses)) == one.peg_count
    for peg, address in enumerate(addresses):
        assert one.peg(address) == one.peg(f" {address.lower()} ") == peg


@pytest.mark.parametrize(
    ("arrangement", "address", "peg"),
    [
        (OPPOSED, "F1", 0),
        (OPPOSED, "F12", 11),
        (OPPOSED, "B1", 12),
        (OFFSET, "B12", 23),
        (SINGLE, "F12", 11),
        (RING, "P1", 0),
        (OPPOSED, "f01", 0),
    ],
)
def test_addresses(arrangement: Arrangement, address: str, peg: int) -> None:
    assert loom(arrangement).peg(address) == peg


@pytest.mark.parametrize(
    ("arrangement", "address"),
    [
        (OPPOSED, "F0"),  # pegs are counted from 1
        (OPPOSED, "F13"),
        (OPPOSED, "P1"),  # that is a ring's
        (RING, "F1"),
        (SINGLE, "B1"),  # a single row has no back board
        (OPPOSED, "12"),
        (OPPOSED, "F-1"),
        (OPPOSED, "F1.5"),
        (OPPOSED, "F 1"),
        (OPPOSED, ""),
    ],
)
def test_addresses_of_no_peg_are_refused(arrangement: Arrangement, address: str) -> None:
    with pytest.raises(BadInput) as caught:
        loom(arrangement).peg(address)
    assert caught.value.hint is not None
    assert "has pegs" in caught.value.hint


@pytest.mark.parametrize("peg", [-1, 24])
def test_pegs_without_an_address_are_refused(peg: int) -> None:
    with pytest.raises(BadInput, match="no such peg"):
        loom(OPPOSED).address(peg)


def test_both_boards() -> None:
    one = loom(OPPOSED)
    assert (one.front(3), one.back(3)) == (2, 14)
    assert one.number(2) == one.number(14) == 3
    assert one.across(2) == 14
    assert one.across(14) == 2
    assert not one.is_back(11)
    assert one.is_back(12)
    for number in (0, 13):
        with pytest.raises(BadInput):
            one.front(number)
        with pytest.raises(BadInput):
            one.back(number)


@pytest.mark.parametrize("arrangement", [SINGLE, RING])
def test_one_row_has_nothing_across(arrangement: Arrangement) -> None:
    one = loom(arrangement)
    assert one.peg_count == 12
    with pytest.raises(BadInput):
        one.back(1)
    with pytest.raises(BadInput):
        one.across(0)


@pytest.mark.parametrize(
    ("arrangement", "address", "centre"),
    [
        (OPPOSED, "F1", (0, 0)),
        (OPPOSED, "F3", (20, 0)),
        (OPPOSED, "B3", (20, 30)),
        (OFFSET, "F3", (20, 0)),
        (OFFSET, "B3", (25, 30)),  # half a pitch to the right
        (SINGLE, "F3", (20, 0)),
        (RING, "P1", (0, 0)),  # nearest the maker
    ],
)
def test_centres(arrangement: Arrangement, address: str, centre: tuple[float, float]) -> None:
    one = loom(arrangement)
    assert one.centre(one.peg(address)) == pytest.approx(centre, abs=1e-12)


@given(st.integers(3, 60))
def test_a_ring_is_round_and_its_pitch_is_straight(pegs: int) -> None:
    one = loom(RING, pegs)
    at = [complex(*one.centre(peg)) for peg in range(pegs)]
    middle = sum(at) / pegs
    radius = 10.0 / (2 * math.sin(math.pi / pegs))
    assert [abs(p - middle) for p in at] == pytest.approx([radius] * pegs)
    assert [abs(at[i] - at[i - 1]) for i in range(pegs)] == pytest.approx([10.0] * pegs)
    assert at[1].real > 0  # anticlockwise from the peg nearest the maker
    assert min(p.imag for p in at) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"pegs": 0}, "between 1 and"),
        ({"pegs": MOST_PEGS + 1}, "between 1 and"),
        ({"pitch_mm": -1.0}, "pitch"),
        ({"pitch_mm": math.nan}, "pitch"),
        ({"pitch_mm": math.inf}, "pitch"),
        ({"gap_mm": math.nan}, "gap"),
        ({"peg_height_mm": -0.1}, "height"),
        ({"peg_diameter_mm": 0.0}, "diameter above zero"),
        ({"pitch_mm": 4.0}, "pegs would touch"),  # exactly the peg's diameter
        ({"gap_mm": 4.0}, "two rows would touch"),
        ({"gap_mm": 0.0}, "two rows would touch"),
        ({"arrangement": RING, "pegs": 2}, "at least three"),
    ],
)
def test_looms_that_cannot_be_are_refused(changes: dict[str, float], words: str) -> None:
    with pytest.raises(BadInput, match=words):
        replace(loom(OPPOSED), **changes)  # type: ignore[arg-type]


def test_looms_at_the_edge_of_what_can_be() -> None:
    assert Loom(SINGLE, 1, pitch_mm=0.0).peg_count == 1  # one peg has no pitch
    assert Loom(RING, 3, pitch_mm=9.0).peg_count == 3  # nor has a ring a gap
    assert Loom(OPPOSED, MOST_PEGS, pitch_mm=4.1, gap_mm=4.1).peg_count == 2 * MOST_PEGS


def test_turns_reverse() -> None:
    assert Turn.LEFT.reversed is Turn.RIGHT
    assert Turn.RIGHT.reversed is Turn.LEFT
    assert Turn.LEFT == -Turn.RIGHT == 1
