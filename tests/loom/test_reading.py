"""Measuring a board with a tape: what the readings tell, and how sure that is."""

from __future__ import annotations

import math
import random
import tomllib
from dataclasses import replace

import pytest

from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.errors import BadInput
from pegwright.loom.board import Arrangement, Loom
from pegwright.loom.reading import GapRead, Readings, Span, loom_toml, read_board

GOOD = Readings(
    pegs=44,
    spans=(Span(44, 477.8), Span(20, 211.1)),
    diameters_mm=(4.8, 4.7, 4.8, 4.8),
    resolution_mm=0.5,
    left_gap_mm=(25.5, 25.5),
    right_gap_mm=(25.5, 25.0),
    name="boathouse board",
)


def names(readings: Readings) -> dict[str, str]:
    return {f.name: str(f.severity) for f in read_board(readings).findings}


def test_a_good_board() -> None:
    found = read_board(GOOD)
    assert found.fit
    assert found.findings == ()
    assert found.pitch.value == pytest.approx(477.8 / 43, abs=0.01)
    assert found.gap is not None
    assert found.gap.value == pytest.approx(25.375)
    assert found.diameter.value == pytest.approx(4.775)
    assert found.diameter_spread_mm == pytest.approx(0.1)
    assert found.loom.pegs == 44


def test_one_reading_is_as_sure_as_its_tape() -> None:
    """Two ends, each to the nearest mark: step/√12 each (JCGM 100:2008, F.2.2.1, from memory)."""
    one = replace(GOOD, spans=(Span(11, 110.0),), diameters_mm=(4.8,))
    found = read_board(one)
    assert found.pitch.value == 11.0
    assert found.pitch.sd == pytest.approx(math.sqrt(2) * 0.5 / math.sqrt(12) / 10)
    assert found.diameter.sd == pytest.approx(math.sqrt(2) * 0.5 / math.sqrt(12))


def test_true_values_lie_where_they_are_said_to() -> None:
    """A board read with a tape of half millimetres, many times over, from any start."""
    rng = random.Random(5)
    inside = 0
    for _ in range(400):
        pitch = rng.uniform(9, 13)

        def read(true: float) -> float:
            start = rng.uniform(0, 1)
            return round((start + true) * 2) / 2 - round(start * 2) / 2

        found = read_board(
            replace(
                GOOD,
                spans=(Span(44, read(43 * pitch)), Span(30, read(29 * pitch))),
                left_gap_mm=(read(25.4),),
                right_gap_mm=(read(25.4),),
            )
        )
        low, high = found.pitch.interval(0.9)
        inside += low <= pitch <= high
    assert inside / 400 > 0.85


@pytest.mark.parametrize(
    ("gap_read", "read_mm"),
    [(GapRead.CENTRES, 25.4), (GapRead.INSIDE, 20.6), (GapRead.OUTSIDE, 30.2)],
)
def test_the_gap_read_in_three_ways(gap_read: GapRead, read_mm: float) -> None:
    found = read_board(
        replace(
            GOOD,
            gap_read=gap_read,
            left_gap_mm=(read_mm,),
            right_gap_mm=(read_mm,),
            diameters_mm=(4.8,),
        )
    )
    assert found.gap is not None
    assert found.gap.value == pytest.approx(25.4)


def test_what_is_wrong_is_found() -> None:
    assert names(replace(GOOD, right_gap_mm=(28.0,))) == {"boards-skew": "caution"}
    fine = replace(GOOD, resolution_mm=0.1, left_gap_mm=(25.0,), right_gap_mm=(25.4,))
    assert names(fine) == {"boards-skew": "note"}
    assert read_board(fine).fit
    assert names(replace(GOOD, diameters_mm=(4.0, 5.6))) == {"pegs-uneven": "caution"}
    uneven = replace(GOOD, spans=(Span(44, 477.8), Span(11, 116.0)))
    assert names(uneven) == {"pitch-uneven": "caution"}
    assert not read_board(uneven).fit
    coarse = replace(GOOD, resolution_mm=10.0, spans=(Span(5, 44.0),))
    assert names(coarse) == {"tape-too-coarse": "note"}


def test_skew_within_the_tapes_doubt_is_none() -> None:
    assert names(replace(GOOD, left_gap_mm=(25.5,), right_gap_mm=(26.0,))) == {}


def test_the_angle_between_the_rows() -> None:
    found = read_board(
        replace(GOOD, left_gap_mm=(25.0,), right_gap_mm=(30.0,), ends_apart_mm=5 / math.tan(0.02))
    )
    assert found.skew_degrees == pytest.approx(math.degrees(0.02))
    assert found.skew is not None
    assert found.skew.value == 5.0


def test_a_single_row_has_no_gap() -> None:
    found = read_board(
        replace(GOOD, arrangement=Arrangement.SINGLE, left_gap_mm=(), right_gap_mm=())
    )
    assert (found.gap, found.skew, found.skew_degrees) == (None, None, 0.0)
    assert "gap" not in loom_toml(found.loom)


def test_the_snippet_is_read_by_a_design() -> None:
    loom = read_board(replace(GOOD, name='a "board" \\ with marks\n')).loom
    table = tomllib.loads(loom_toml(loom))["loom"]
    assert table["name"] == 'a "board" \\ with marks\n'
    plain = read_board(GOOD).loom
    text = shipped_text("tern-point-hood")
    start, end = text.index("[loom]"), text.index("[[yarns]]")
    design = read_text(text[:start] + loom_toml(plain) + text[end:])
    assert design.loom == plain


@pytest.mark.parametrize(
    "make",
    [
        lambda: Span(1, 10.0),
        lambda: Span(5, 0.0),
        lambda: replace(GOOD, spans=()),
        lambda: replace(GOOD, diameters_mm=()),
        lambda: replace(GOOD, right_gap_mm=()),
        lambda: replace(GOOD, resolution_mm=0.0),
        lambda: replace(GOOD, left_gap_mm=(float("nan"),)),
        lambda: read_board(replace(GOOD, gap_read=GapRead.OUTSIDE, left_gap_mm=(6.0,),
                                   right_gap_mm=(6.0,))),
        lambda: read_board(replace(GOOD, spans=(Span(44, 100.0),))),  # pegs that would touch
    ],
)  # fmt: skip
def test_readings_that_no_board_has(make: object) -> None:
    with pytest.raises(BadInput):
        make()  # type: ignore[operator]


def test_a_loom_survives_its_snippet() -> None:
    loom = Loom(Arrangement.OFFSET, 30, 11.1125, 25.4, 4.7625, 25.4, "offset board")
    table = tomllib.loads(loom_toml(loom))["loom"]
    assert table["pitch"] == "11.1125 mm"
    assert table["peg_diameter"] == "4.7625 mm"
