"""A maker's pace, and the time that a piece takes."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.measured import Measured
from pegwright.planning.pace import (
    DAY_RELATIVE_SD,
    LOOPS_PER_MINUTE,
    UNHURRIED,
    Pace,
    Sitting,
    duration,
    pace_from_rows,
    work_time,
)
from pegwright.units import UnitSystem


def test_one_sitting_by_hand() -> None:
    pace = pace_from_rows(50, [Sitting(rows=12, minutes=30)])
    assert pace.loops_per_minute.value == 20  # 600 loops in 30 minutes
    assert pace.sittings == 1
    clock = 1 / math.sqrt(12) / 30  # read to the minute
    assert pace.loops_per_minute.relative == pytest.approx(math.hypot(DAY_RELATIVE_SD, clock))


def test_a_long_sitting_counts_for_more() -> None:
    pace = pace_from_rows(60, [Sitting(10, 20), Sitting(1, 4)])
    assert pace.loops_per_minute.value == 660 / 24  # not the mean of 30 and 15


def test_more_sittings_narrow_it() -> None:
    sds = [
        pace_from_rows(60, [Sitting(10, 20), Sitting(10, 22)] * n).loops_per_minute.sd
        for n in (1, 2, 4, 8)
    ]
    assert sds == sorted(sds, reverse=True)
    agreeing = pace_from_rows(60, [Sitting(10, 20)] * 3).loops_per_minute
    assert agreeing.relative > DAY_RELATIVE_SD / 4  # agreeing by chance is not certainty


def test_the_interval_covers_the_true_pace() -> None:
    """A maker whose sittings scatter by 10 % about 25 loops a minute."""
    rng = np.random.default_rng(13)
    inside = 0
    for _ in range(1000):
        sittings = [
            Sitting(rows=float(25 * rng.normal(1, 0.1) * m / 50), minutes=float(m))
            for m in rng.integers(15, 60, 6)
        ]
        low, high = pace_from_rows(50, sittings).loops_per_minute.interval()
        inside += low <= 25 <= high
    assert 0.85 < inside / 1000 < 0.97


def test_hours_agree_with_monte_carlo() -> None:
    rng = np.random.default_rng(19)
    time = work_time(6000, Pace(Measured(25, 1.5), 4), Measured(45, 10))
    hours = (6000 / rng.normal(25, 1.5, 300_000) + rng.normal(45, 10, 300_000)) / 60
    assert time.hours.value == pytest.approx(4.75)
    assert time.hours.value == pytest.approx(float(hours.mean()), rel=0.01)
    assert time.hours.sd == pytest.approx(float(hours.std()), rel=0.03)


@given(st.integers(0, 100_000), st.integers(1, 10_000))
def test_more_loops_take_longer(loops: int, more: int) -> None:
    assert work_time(loops).hours.value < work_time(loops + more).hours.value


def test_where_none_was_timed() -> None:
    assert UNHURRIED.loops_per_minute.value == LOOPS_PER_MINUTE
    assert "assumed" in UNHURRIED.words(UnitSystem.INCHES)[0]
    (words,) = pace_from_rows(50, [Sitting(12, 30), Sitting(12, 31)]).words(UnitSystem.INCHES)
    assert "timed over 2 sittings" in words


@pytest.mark.parametrize(
    "hours, words",
    [
        (0.25, "15 min"),
        (1.0, "1 h"),
        (3.42, "3 h 25 min"),
        (1.99, "2 h"),  # to the next five minutes
        (0.0, "0 min"),
    ],
)
def test_durations_in_words(hours: float, words: str) -> None:
    assert duration(hours) == words


def test_words_and_data() -> None:
    time = work_time(3000, Pace(Measured(25, 1), 3), Measured(30, 0))
    first, pace = time.words(UnitSystem.INCHES)
    assert first.startswith("About 2 h 30 min for 3000 loops and making up; nine times in ten")
    assert pace == "25 loops a minute (timed over 3 sittings), nine times in ten between 23 and 27."
    assert json.loads(json.dumps(time.as_data()))["hours"] == 2.5


@pytest.mark.parametrize(
    "loops, rows, minutes, field",
    [
        (0, 1, 1, "loops_per_row"),
        (-50, 1, 1, "loops_per_row"),
        (50, 0, 10, "rows"),
        (50, 10, 0, "minutes"),
        (50, 10, -5, "minutes"),
        (50, 10, math.nan, "minutes"),
    ],
)
def test_sittings_that_cannot_be(loops: float, rows: float, minutes: float, field: str) -> None:
    with pytest.raises(BadInput) as caught:
        pace_from_rows(loops, [Sitting(rows, minutes)])
    assert caught.value.place is not None
    assert caught.value.place.field == field


def test_other_refusals() -> None:
    with pytest.raises(BadInput, match="at least one sitting"):
        pace_from_rows(50, [])
    with pytest.raises(BadInput, match="loops"):
        work_time(-1)
    with pytest.raises(BadInput, match="loops_per_minute"):
        Pace(Measured(0))
