"""A board said in part is the known one with what was said laid over it."""

from __future__ import annotations

import pytest

from pegwright.errors import BadInput
from pegwright.loom.board import Arrangement, Loom
from pegwright.loom.given import GivenBoard

KNOWN = Loom(Arrangement.OPPOSED, 44, 11.1125, 25.4, 4.7625, 30.0, "boathouse board")
ROW = Loom(Arrangement.SINGLE, 24, 10.0, 0.0, 4.0)


def test_what_is_left_out_is_as_on_the_known_board() -> None:
    board = GivenBoard(pegs=30, gap_mm=31.75).on(KNOWN)
    assert board == Loom(Arrangement.OPPOSED, 30, 11.1125, 31.75, 4.7625, 30.0, "your board")


def test_one_row_has_no_gap_whatever_was_said() -> None:
    assert GivenBoard(arrangement=Arrangement.SINGLE, gap_mm=20.0).on(KNOWN).gap_mm == 0.0


@pytest.mark.parametrize(
    ("given", "base", "missing"),
    [
        (GivenBoard(), None, "pegs"),
        (GivenBoard(pegs=20), None, "pitch"),
        (GivenBoard(pegs=20, pitch_mm=10.0), None, "gap"),  # two rows, unless it is said
        (GivenBoard(pegs=20, pitch_mm=10.0, gap_mm=20.0), None, "peg_diameter"),
        (GivenBoard(Arrangement.RING, 20, 10.0), None, "peg_diameter"),  # a ring has no gap
        (GivenBoard(arrangement=Arrangement.OFFSET), ROW, "gap"),  # the row has none to take
        (GivenBoard(), KNOWN, None),
    ],
)
def test_what_nobody_says_is_missing(
    given: GivenBoard, base: Loom | None, missing: str | None
) -> None:
    assert given.lacking(base) == missing
    if missing is not None:
        with pytest.raises(BadInput) as refused:
            given.on(base)
        assert refused.value.place is not None
        assert refused.value.place.field == missing
        assert missing.replace("_", " ") in refused.value.what


def test_nothing_said_is_told_from_something() -> None:
    assert GivenBoard().is_empty
    assert not GivenBoard(gap_mm=0.0).is_empty  # a slip, and not nothing
