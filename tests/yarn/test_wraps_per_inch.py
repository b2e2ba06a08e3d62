"""Wraps per inch from counts on a ruler."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.units import UnitSystem
from pegwright.yarn.wraps_per_inch import charted, wraps_count


def test_by_hand() -> None:
    found = wraps_count([20, 21, 19], over_mm=50.8)
    assert found.wraps_per_inch.value == 10  # 20 turns over 2 in
    # Spread of the mean 1 / sqrt(3) turns, whole turns 1 / sqrt(12), over 2 in.
    assert found.wraps_per_inch.sd == pytest.approx(math.hypot(1 / math.sqrt(3), 12**-0.5) / 2)
    assert found.diameter_mm.value == pytest.approx(2.54)


def test_a_metric_ruler_as_pint_has_it() -> None:
    unit: Any = pint.UnitRegistry()
    expected = (40 / (10 * unit.cm)).to("1/inch").magnitude
    assert wraps_count([40, 40], over_mm=100).wraps_per_inch.value == pytest.approx(expected)


def test_whole_turns_stay_uncertain_however_often_counted() -> None:
    """A true 10.3 turns is counted as 10 every time."""
    assert wraps_count([10] * 50).wraps_per_inch.sd == pytest.approx(12**-0.5)


def test_the_spread_covers_the_truth() -> None:
    """Nine windings in ten lie inside, where turns are read to whole ones."""
    rng = np.random.default_rng(31)
    inside = 0
    for _ in range(1500):
        truth = rng.uniform(8, 14)
        counts = np.maximum(np.rint(rng.normal(truth, 0.8, 4)), 1).tolist()
        low, high = wraps_count(counts).wraps_per_inch.interval()
        inside += low <= truth <= high
    assert 0.83 < inside / 1500 < 0.97


@pytest.mark.parametrize(
    "wraps, older, newer",
    [
        # Craft Yarn Council's charts as reproduced, older and newer; half a turn either side.
        (10, (4,), (4,)),
        (12, (3,), (2, 3, 4)),
        (15, (2,), (1, 2, 3)),
        (13.5, (2, 3), (1, 2, 3)),  # 14 - 1/2 is super fine in the newer
        (20, (0,), (1,)),
        (7, (6,), (5,)),
        (3, (6,), (7,)),
    ],
)
def test_charts(wraps: float, older: tuple[int, ...], newer: tuple[int, ...]) -> None:
    found = charted(wraps)
    assert tuple(c.number for c in found[0]) == older
    assert tuple(c.number for c in found[1]) == newer


@given(st.floats(0.6, 60))
def test_every_count_is_in_some_chart(wraps: float) -> None:
    assert any(charted(wraps))


def test_charts_that_agree_and_that_do_not() -> None:
    agreed = wraps_count([12, 12, 12])
    assert [c.number for c in agreed.likely] == [3]
    assert agreed.findings == ()
    apart = wraps_count([20, 20])
    assert [c.number for c in apart.likely] == [0, 1]
    assert [f.name for f in apart.findings] == ["wraps-charts-disagree"]
    assert apart.findings[0].what in apart.words(UnitSystem.INCHES)


def test_one_count_and_uneven_counts_are_told() -> None:
    once = wraps_count([10])
    assert [f.name for f in once.findings] == ["wraps-counted-once"]
    assert once.wraps_per_inch.sd > wraps_count([10, 10]).wraps_per_inch.sd
    assert [f.name for f in wraps_count([9, 12]).findings] == ["wraps-uneven"]


def test_words_and_data() -> None:
    found = wraps_count([10, 10])
    assert found.words(UnitSystem.INCHES)[0].startswith(
        "The yarn lies 10 to the inch (2.5 mm thick)"
    )
    assert found.words(UnitSystem.CENTIMETRES)[0].startswith(
        "The yarn lies 2.5 mm thick (10 to the inch)"
    )
    assert json.loads(json.dumps(found.as_data()))["likely"] == [4]


@pytest.mark.parametrize(
    "counts, over_mm, field",
    [
        ([], 25.4, "counts"),
        ([10, 0], 25.4, "counts[2]"),
        ([-3], 25.4, "counts[1]"),
        ([math.nan], 25.4, "counts[1]"),
        ([10], 0, "over_mm"),
    ],
)
def test_counts_that_cannot_be(counts: list[float], over_mm: float, field: str) -> None:
    with pytest.raises(BadInput) as caught:
        wraps_count(counts, over_mm)
    assert caught.value.place is not None
    assert caught.value.place.field == field
