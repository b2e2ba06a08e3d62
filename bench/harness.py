"""What a measurement is, and how to take one.

Words used here:

* a **row** is one measured value with its unit and, where there is one, its limit;
* a limit has a **sense**: the value must stay at or under it, or reach at least it;
* the **area** of a row is the part of its name before the point: ``core.help_ms`` lies in
  ``core``.

A missed limit is said plainly and stops nothing: machines differ, and a table of honest figures is
worth more than a run that breaks off on a slow day.
"""

from __future__ import annotations

import json
import math
import os
import re
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

__all__ = [
    "AREAS",
    "REPO",
    "Row",
    "Sense",
    "as_json",
    "as_table",
    "median_seconds",
    "peak_mb",
    "pegwright_command",
    "ratio_row",
    "run_quietly",
]

AREAS = ("core", "yarn", "sizes", "studio", "lesson")
"""Every area that a row may lie in."""

REPO = Path(__file__).resolve().parent.parent
"""The folder that holds ``src`` and ``bench``."""

_NAME = re.compile(rf"(?:{'|'.join(AREAS)})\.[a-z][a-z0-9_]*")

# Started afresh, it is small; it runs the command it is given and prints that child's peak.
_WATCHER = """
import resource, subprocess, sys
code = subprocess.run(sys.argv[1:], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL).returncode
print(code, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""


class Sense(StrEnum):
    """Which side of its limit a value must lie on; the limit itself still holds."""

    AT_MOST = "<="
    AT_LEAST = ">="


@dataclass(frozen=True, slots=True)
class Row:
    """One measured value.

    :param name: area and name, such as ``core.help_ms``; lower case, digits and underscores.
    :param unit: unit of ``value`` and ``limit``: ``ms``, ``s``, ``MB``, ``x`` (times), …
    :param limit: the limit, or None for a value that is only reported.
    :raises ValueError: for a name outside the known areas, or a value that is no number.
    """

    name: str
    value: float
    unit: str
    limit: float | None = None
    sense: Sense = Sense.AT_MOST

    def __post_init__(self) -> None:
        if _NAME.fullmatch(self.name) is None:
            raise ValueError(f"a row's name starts with its area ({', '.join(AREAS)}): {self.name}")
        if not math.isfinite(self.value):
            raise ValueError(f"{self.name} was not measured: {self.value}")

    @property
    def holds(self) -> bool:
        """Whether the limit is kept; always so where there is none."""
        if self.limit is None:
            return True
        if self.sense is Sense.AT_MOST:
            return self.value <= self.limit
        return self.value >= self.limit

    def as_data(self) -> dict[str, object]:
        """The row as plain data for JSON."""
        return {
            "name": self.name,
            "value": self.value,
            "unit": self.unit,
            "limit": self.limit,
            "sense": None if self.limit is None else str(self.sense),
            "holds": self.holds,
        }


def median_seconds(work: Callable[[], object], repeats: int = 5, warm_ups: int = 1) -> float:
    """Median wall time of ``work``, in seconds.

    :param repeats: timed calls, at least 1.
    :param warm_ups: calls made before, untimed, so that caches are filled.
    """
    if repeats < 1:
        raise ValueError(f"at least one repeat is needed: {repeats}")
    for _ in range(warm_ups):
        work()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def ratio_row(
    name: str,
    ours: Callable[[], object],
    other: Callable[[], object],
    *,
    at_least: float,
    repeats: int = 5,
) -> Row:
    """How many times faster ``ours`` is than ``other``, which does the same work."""
    ours_s = median_seconds(ours, repeats)
    other_s = median_seconds(other, repeats)
    return Row(name, other_s / ours_s, "x", at_least, Sense.AT_LEAST)


def pegwright_command(*arguments: str) -> list[str]:
    """The command line that runs this folder's Pegwright with the Python in use."""
    return [sys.executable, "-m", "pegwright", *arguments]


def run_quietly(command: Sequence[str]) -> None:
    """Run a command with this folder's sources, its output thrown away.

    :raises subprocess.CalledProcessError: where it ends with another exit code than 0.
    """
    subprocess.run(
        command,
        check=True,
        cwd=REPO,
        env=_environment(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
    )


def peak_mb(command: Sequence[str]) -> float:
    """Most memory (resident set) that a command held at once, in MB of 10^6 bytes.

    The kernel counts what a child held between fork and exec as well, which is its parent's
    memory.  The command is therefore started by a small Python of its own, whose few MB are below
    any figure of interest.

    :raises RuntimeError: where the command ends with another exit code than 0.
    """
    watched = subprocess.run(
        [sys.executable, "-I", "-S", "-c", _WATCHER, *command],
        check=True,
        cwd=REPO,
        env=_environment(),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
    )
    code, peak = (int(word) for word in watched.stdout.split())
    if code != 0:
        raise RuntimeError(f"the measured command ended with {code}: {watched.stderr.strip()}")
    bytes_per_count = 1 if sys.platform == "darwin" else 1024  # getrusage(2): bytes there, KiB here
    return peak * bytes_per_count / 1e6


def as_table(rows: Sequence[Row]) -> str:
    """The rows as lines of text, one a row, the figures lined up."""
    cells = [
        (
            row.name,
            f"{row.value:.4g} {row.unit}",
            "" if row.limit is None else f"{row.sense} {row.limit:g} {row.unit}",
            "" if row.limit is None else "holds" if row.holds else "LIMIT MISSED",
        )
        for row in rows
    ]
    widths = [max((len(line[i]) for line in cells), default=0) for i in range(3)]
    return "\n".join(
        f"{name:<{widths[0]}}  {value:>{widths[1]}}  {limit:<{widths[2]}}  {word}".rstrip()
        for name, value, limit, word in cells
    )


def as_json(rows: Sequence[Row]) -> str:
    """The rows as a JSON list, one object a row."""
    return json.dumps([row.as_data() for row in rows], indent=2) + "\n"


def _environment() -> dict[str, str]:
    known = os.environ.get("PYTHONPATH")
    paths = [str(REPO / "src"), *([known] if known else [])]
    return {**os.environ, "PYTHONPATH": os.pathsep.join(paths)}
