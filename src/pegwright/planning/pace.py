"""How long it takes: loops at a pace."""

from __future__ import annotations

from pegwright.knitting.run import Run

__all__ = ["LOOPS_PER_MINUTE", "minutes"]

LOOPS_PER_MINUTE = 25.0
"""Loops wrapped and knitted over in a minute by an unhurried maker (an assumption, no source)."""

_MAKING_UP_MINUTES = 45.0


def minutes(run: Run, loops_per_minute: float = LOOPS_PER_MINUTE) -> int:
    """Minutes for the whole work, making up included, to the next five."""
    worked = run.fabric.loops / loops_per_minute + _MAKING_UP_MINUTES
    return 5 * round(worked / 5)
