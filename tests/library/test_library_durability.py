"""Killed at any moment, two hundred times: what was told to be kept is there.

SIGKILL ends the process, not the machine: what a loss of power may do rests on SQLite's
``synchronous=FULL`` and the disk, and is not tried here.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import IO

import pytest

from pegwright.library.store import Library
from tests.library.durable import contents

KILLS = 200
KILLS_OF_ONE_LIBRARY = 20
LONGEST_LIFE_S = 0.12

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and SIGKILL")


@pytest.fixture
def child(tmp_path: Path, repo: Path) -> Iterator[subprocess.Popen[str]]:
    with subprocess.Popen(
        [sys.executable, "-m", "tests.library.durable", str(tmp_path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=repo,
        env={**os.environ, "PYTHONPATH": f"{repo / 'src'}{os.pathsep}{repo}"},
    ) as running:
        yield running
        if running.stdin is not None:
            running.stdin.close()


def one_life(child: subprocess.Popen[str], name: str, seed: int, life_s: float) -> list[list[str]]:
    """Let a writer live so long; what it acknowledged."""
    assert child.stdin is not None
    assert child.stdout is not None
    print(name, seed, file=child.stdin, flush=True)
    pid = int(next_line(child.stdout)[1])
    killer = threading.Timer(life_s, os.kill, (pid, signal.SIGKILL))
    killer.start()
    told: list[list[str]] = []
    while (line := next_line(child.stdout))[0] != "end":
        told.append(line)
    killer.join()
    assert line[1] == str(-signal.SIGKILL), f"the writer ended by itself: {line}"
    return told


def next_line(stream: IO[str]) -> list[str]:
    line = stream.readline()
    assert line.endswith("\n"), "the child is gone"
    return line.split()


class Kept:
    """What was acknowledged of one library, over all lives."""

    def __init__(self) -> None:
        self.revisions: dict[str, int] = {}
        self.rows: dict[str, int] = {}
        self.photos: set[str] = set()
        self.weighings: set[str] = set()

    def hear(self, told: list[list[str]]) -> None:
        for what, of, *rest in told:
            match what:
                case "put":
                    self.revisions[of] = int(rest[0])
                case "row":
                    self.rows[rest[0]] = int(rest[1])
                case "photo":
                    self.photos.add(rest[0])
                case "weigh":
                    self.weighings.add(rest[0])

    def check(self, path: Path) -> None:
        """All of it is there, and of each life at most the one change that was under way."""
        with Library.open(path) as library:
            assert library.check() == ()
            records = {record.id: record for record in library.list()}
            unheard = set(records) - set(self.revisions)
            assert len(unheard) <= 1
            for record_id in unheard:
                assert records[record_id].revision == 1
                self.revisions[record_id] = 1
            for record_id, revision in self.revisions.items():
                record = records[record_id]
                assert revision <= record.revision <= revision + 1, record_id
                assert record.notes == contents(record_id, record.revision)
                self.revisions[record_id] = record.revision
                assert record in library.search(record_id.replace("-", " "))
            if "design" in records:
                texts = [v.text for v in library.versions("design")]
                assert len(texts) == records["design"].revision
                assert texts[-1] == records["design"].body
                assert self.photos <= {p.sha256 for p in library.photos("design")}
            if "making" in records:
                counted = library.making_state("making").rows_by_device
                for device, rows in self.rows.items():
                    assert rows <= counted[device] <= rows + 1
            if "yarn" in records:
                assert self.weighings <= {w.id for w in library.weighings("yarn")}


def test_no_acknowledged_change_is_lost(child: subprocess.Popen[str], tmp_path: Path) -> None:
    chance = random.Random(20261125)
    acknowledged = 0
    silent = 0
    kept = Kept()
    for kill in range(KILLS):
        name = f"library-{kill // KILLS_OF_ONE_LIBRARY}.sqlite"
        if kill % KILLS_OF_ONE_LIBRARY == 0:
            kept = Kept()
        told = one_life(child, name, kill, chance.uniform(0, LONGEST_LIFE_S))
        acknowledged += len(told)
        silent += not told
        kept.hear(told)
        if (tmp_path / name).exists():
            kept.check(tmp_path / name)
        else:
            assert not told
    assert acknowledged > KILLS  # the test would be idle if writers never came to write
    assert 0 < silent < KILLS / 2  # some were killed while they were still opening
