"""Yarn in trims and joins, by their geometry.  The formulas are common practice, no source."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.garments.strip import TAIL_MM, seam_yarn_mm
from pegwright.measured import Measured
from pegwright.planning.needs import BESIDE_RELATIVE_SD
from pegwright.planning.trims import (
    TRIMMING_MM,
    Trim,
    fringe,
    pompom,
    seam,
    tails,
    tassel,
    tied_joins,
    trims,
)
from pegwright.units import UnitSystem
from pegwright.yarn.need import YarnNeed
from pegwright.yarn.yarn import Yarn


def mm(trim: Trim) -> float:
    return 1000 * trim.metres.value


def test_a_tassel_by_hand() -> None:
    # 20 turns of 2 × (100 + 6.35) mm; no neck, no loop.
    assert mm(tassel(100, 20, 2, neck_wraps=0, loop_mm=0)) == pytest.approx(20 * 2 * 106.35)
    # One wrap round two strands of 2 mm: a bundle of 2 · sqrt(2 / 0.9069), and the wrap's own yarn.
    neck = math.pi * (2 * math.sqrt(2 / 0.9069) + 2)
    one = tassel(100, 1, 2, neck_wraps=1, loop_mm=300)
    assert mm(one) == pytest.approx(212.7 + neck + 300, abs=0.01)
    assert mm(tassel(100, 1, 2, neck_wraps=1, loop_mm=300, number=4)) == pytest.approx(4 * mm(one))


def test_a_pompom_by_hand() -> None:
    # A ring of 60 mm with a hole of 20 mm is 20 mm deep: each wind is 20 pi mm.
    tie = 2 * math.pi * 20 + 2 * TAIL_MM
    assert mm(pompom(60, 100, core_mm=20)) == pytest.approx(100 * 20 * math.pi + tie)
    assert mm(pompom(60, 100)) == pytest.approx(mm(pompom(60, 100, core_mm=20)))  # a third


def test_a_fringe_by_hand() -> None:
    knot = math.pi * (2 * math.sqrt(2 / 0.9069) + 2)
    assert mm(fringe(30, 1, 120, 2)) == pytest.approx(30 * (2 * (120 + 6.35) + knot), rel=1e-5)
    assert pytest.approx(6.35) == TRIMMING_MM


def test_joins_by_hand() -> None:
    assert mm(tails(4)) == pytest.approx(4 * 152.4)  # 6 in each
    assert mm(tied_joins(2, 2.5)) == pytest.approx(2 * (2 * 152.4 + 4 * math.pi * 2.5))
    assert mm(seam(50, 6.5, 2.5)) == pytest.approx(seam_yarn_mm(50, 6.5, 2.5))
    assert mm(seam(50, 6.5, 2.5)) == pytest.approx(50 * 2 * (6.5 + 5) + 2 * 152.4)


def test_a_strand_of_a_tassel_is_no_shorter_than_its_card() -> None:
    """Unfolded, a tassel's strands alone are already more than strands × 2 × length."""
    made = tassel(80, 25, 2.5)
    assert mm(made) > 25 * 2 * 80
    assert made.metres.relative == pytest.approx(BESIDE_RELATIVE_SD)


@given(st.floats(5, 300), st.integers(1, 200), st.floats(0.5, 8), st.floats(1, 100))
def test_more_of_anything_takes_more(
    length: float, count: int, diameter: float, more: float
) -> None:
    for smaller, larger in (
        (tassel(length, count, diameter), tassel(length + more, count, diameter)),
        (tassel(length, count, diameter), tassel(length, count + 1, diameter)),
        (fringe(count, 2, length, diameter), fringe(count, 2, length + more, diameter)),
        (fringe(count, 2, length, diameter), fringe(count, 3, length, diameter)),
        (pompom(length, count), pompom(length + more, count)),
        (pompom(length, count), pompom(length, count + 1)),
        (seam(count, 6, diameter), seam(count + 1, 6, diameter)),
        (tied_joins(count, diameter), tied_joins(count, diameter + more)),
    ):
        assert smaller.metres.value < larger.metres.value


def test_together_they_are_parts_of_a_need() -> None:
    both = trims([tails(4), pompom(60, 100), tails(2)])
    assert both.metres.value == pytest.approx(sum(i.metres.value for i in both.items))
    assert both.metres.sd == pytest.approx(
        sum(i.metres.sd for i in both.items)
    )  # one pair of hands
    assert [p.name for p in both.parts] == ["tails", "pompom"]
    need = YarnNeed(Yarn("Slipway", 4, 200), both.parts)
    assert need.part("tails").value == pytest.approx(6 * 0.1524)
    assert need.metres.value == pytest.approx(both.metres.value)
    assert trims([]).metres == Measured(0.0)


def test_words_and_data() -> None:
    both = trims([tassel(100, 30, 2.5, number=2), pompom(60, 120)])
    first, second, last = both.words(UnitSystem.CENTIMETRES)
    assert first.startswith("Tassel: 2 at 7.1 m (7.8 yd) each, 14 m (16 yd) in all; one takes 30")
    assert second.startswith("Pompom: 8 m (8.7 yd) for 120 winds round the ring")
    assert last.startswith("In all 22 m")
    assert len(json.loads(json.dumps(both.as_data()))["trims"]) == 2


@pytest.mark.parametrize(
    "make, given_values, field",
    [
        (tassel, (0, 20, 2), "length_mm"),
        (tassel, (-10, 20, 2), "length_mm"),
        (tassel, (100, 0, 2), "strands"),
        (tassel, (100, 2.5, 2), "strands"),
        (tassel, (100, True, 2), "strands"),
        (tassel, (100, 20, 0), "yarn_diameter_mm"),
        (pompom, (0, 100), "diameter_mm"),
        (pompom, (60, -1), "winds"),
        (pompom, (math.inf, 10), "diameter_mm"),
        (fringe, (0, 1, 100, 2), "knots"),
        (fringe, (3, 0, 100, 2), "strands"),
        (fringe, (3, 1, math.nan, 2), "length_mm"),
        (seam, (0, 6, 2), "chains"),
        (seam, (10, -6, 2), "course_mm"),
        (tails, (0,), "number"),
        (tied_joins, (10**9, 2), "number"),
    ],
)
def test_trims_that_cannot_be(make: Any, given_values: tuple[Any, ...], field: str) -> None:
    with pytest.raises(BadInput) as caught:
        make(*given_values)
    assert caught.value.place is not None
    assert caught.value.place.field == field


def test_a_hole_as_large_as_its_ring() -> None:
    with pytest.raises(BadInput, match="hole"):
        pompom(60, 100, core_mm=60)
