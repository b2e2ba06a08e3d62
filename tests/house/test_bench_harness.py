"""The harness tells the truth about limits, times and memory."""

from __future__ import annotations

import json
import sys

import pytest

from bench.harness import (
    Row,
    Sense,
    as_json,
    as_table,
    median_seconds,
    peak_mb,
    ratio_row,
    run_quietly,
)


@pytest.mark.parametrize(
    ("value", "limit", "sense", "holds"),
    [
        (150.0, 150.0, Sense.AT_MOST, True),  # the limit itself is kept
        (150.1, 150.0, Sense.AT_MOST, False),
        (20.0, 20.0, Sense.AT_LEAST, True),
        (19.9, 20.0, Sense.AT_LEAST, False),
        (1e9, None, Sense.AT_MOST, True),  # nothing to miss
    ],
)
def test_a_row_knows_whether_it_holds(
    value: float, limit: float | None, sense: Sense, holds: bool
) -> None:
    assert Row("core.some", value, "ms", limit, sense).holds is holds


@pytest.mark.parametrize("name", ["help_ms", "kitchen.help_ms", "core.", "core.Help", "core.a b"])
def test_a_name_without_a_known_area_is_refused(name: str) -> None:
    with pytest.raises(ValueError, match="area"):
        Row(name, 1.0, "ms")


def test_a_value_that_is_no_number_is_refused() -> None:
    with pytest.raises(ValueError, match="not measured"):
        Row("core.some", float("nan"), "ms")


def test_table_and_json_say_when_a_limit_is_missed() -> None:
    rows = [Row("core.slow", 2.0, "s", 1.0), Row("yarn.fast", 0.5, "s", 1.0)]
    slow, fast = as_table(rows).splitlines()
    assert slow.endswith("LIMIT MISSED")
    assert fast.endswith("holds")
    assert [(r["name"], r["limit"], r["holds"]) for r in json.loads(as_json(rows))] == [
        ("core.slow", 1.0, False),
        ("yarn.fast", 1.0, True),
    ]


def test_the_median_counts_timed_calls_only() -> None:
    calls: list[None] = []
    assert median_seconds(lambda: calls.append(None), repeats=4, warm_ups=2) >= 0
    assert len(calls) == 6


def test_a_ratio_is_how_many_times_faster_ours_is() -> None:
    row = ratio_row(
        "core.speedup",
        lambda: sum(range(1_000)),
        lambda: sum(range(1_000_000)),
        at_least=20,
        repeats=3,
    )
    assert row.holds, row
    assert row.sense is Sense.AT_LEAST


def test_peak_memory_is_the_childs_and_not_its_parents() -> None:
    burden = bytearray(200_000_000)
    burden[::4096] = b"x" * len(burden[::4096])  # touched, so that it is really held
    small = peak_mb([sys.executable, "-I", "-S", "-c", "pass"])
    large = peak_mb([sys.executable, "-I", "-S", "-c", "b = b'x' * 100_000_000"])
    assert small < 50
    assert 100 <= large < 150
    assert len(burden) == 200_000_000


def test_a_command_that_fails_is_no_measurement() -> None:
    with pytest.raises(RuntimeError, match="ended with 3"):
        peak_mb([sys.executable, "-c", "raise SystemExit(3)"])
    with pytest.raises(Exception, match="exit status 3"):
        run_quietly([sys.executable, "-c", "raise SystemExit(3)"])
