"""Measurements of the command line as a maker meets it: every row runs a fresh process."""

from __future__ import annotations

import tempfile

from bench.harness import Row, median_seconds, pegwright_command, run_quietly

__all__ = ["DEMO_DESIGN", "rows"]

DEMO_DESIGN = "tern-point-hood"
"""The shipped design that ``make demo`` makes too."""


def rows() -> list[Row]:
    """The area's rows."""
    return [_help(), _demo_pack()]


def _help() -> Row:
    seconds = median_seconds(lambda: run_quietly(pegwright_command("--help")), repeats=9)
    return Row("core.help_ms", seconds * 1000, "ms", 150)


def _demo_pack() -> Row:
    with tempfile.TemporaryDirectory() as folder:
        command = pegwright_command("make", DEMO_DESIGN, "--out", folder)
        seconds = median_seconds(lambda: run_quietly(command), repeats=3)
    return Row("core.demo_pack_s", seconds, "s", 3)
