"""The journal: nothing done is lost, and nothing is done twice."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from pegwright.catalogue import workers
from pegwright.catalogue.catalogue import catalogue
from pegwright.catalogue.job import Job, work
from pegwright.catalogue.journal import Journal
from pegwright.catalogue.row import Row, rows_json
from pegwright.errors import BadInput
from tests.catalogue.small_list import BOARDS, YARNS, small_design

ROW = Row("board", "yarn", "size", True, pegs=(3,), finished_mm={"depth": 1 / 3}).as_data()


def lines(path: Path) -> list[str]:
    return path.read_text(encoding="utf-8").splitlines()


def test_what_was_added_is_there_when_it_is_opened_again(tmp_path: Path) -> None:
    path = tmp_path / "run.jsonl"
    with Journal(path) as journal:
        assert journal.done("a") is None
        added = journal.add("a", [ROW])
    with Journal(path) as again:
        assert again.done("a") == added
        assert again.done("a") == (Row(**{**ROW, "pegs": (3,), "rows": (), "faults": ()}),)
        again.add("b", [])
    assert [json.loads(line)["key"] for line in lines(path)] == ["a", "b"]


@pytest.mark.parametrize("cut", [1, 10, 60])
def test_a_last_line_that_was_cut_off_is_dropped(tmp_path: Path, cut: int) -> None:
    path = tmp_path / "run.jsonl"
    with Journal(path) as journal:
        journal.add("a", [ROW])
        journal.add("b", [ROW])
    path.write_bytes(path.read_bytes()[:-cut])
    with Journal(path) as again:
        assert again.done("a") is not None
        assert again.done("b") is None
        again.add("c", [ROW])
    with Journal(path) as third:
        assert third.done("a") == third.done("c")
    assert len(lines(path)) == 2


@pytest.mark.parametrize("text", ["no json\n", "[1]\n", '{"key": 1}\n', '{"key":"a","rows":[7]}\n'])
def test_another_file_is_refused_and_left_as_it_is(tmp_path: Path, text: str) -> None:
    path = tmp_path / "letter.txt"
    path.write_text(text)
    with pytest.raises(BadInput, match="journal") as refused, Journal(path):
        pass
    assert refused.value.place is not None
    assert refused.value.place.line == 1
    assert path.read_text() == text


def test_a_place_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="journal"), Journal(tmp_path / "no folder" / "run.jsonl"):
        pass


def test_a_resumed_run_does_only_what_is_missing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "run.jsonl"
    whole = catalogue(small_design(), BOARDS, YARNS)
    catalogue(small_design(), BOARDS[:2], YARNS[:1], resume=path)
    worked: list[tuple[str, str]] = []

    def watched(job: Job) -> list[dict[str, Any]]:
        worked.append((job.board.name, job.yarn.name))
        return work(job)

    monkeypatch.setattr(workers, "work", watched)
    told: list[tuple[str, int, int]] = []
    resumed = catalogue(
        small_design(),
        BOARDS,
        YARNS,
        resume=path,
        progress=lambda *each: told.append(each),
    )
    assert rows_json(resumed) == rows_json(whole)
    assert len(worked) == 4
    assert ("short", YARNS[0].name) not in worked
    assert [done for _, done, _ in told] == [2, 3, 4, 5, 6]
    assert len(lines(path)) == 6
    assert rows_json(catalogue(small_design(), BOARDS, YARNS, resume=path)) == rows_json(whole)
    assert len(worked) == 4


def test_a_change_of_the_design_is_worked_out_anew(tmp_path: Path) -> None:
    path = tmp_path / "run.jsonl"
    catalogue(small_design(), BOARDS[:1], YARNS[:1], resume=path)
    wider = replace(small_design(), margin=0.5)
    found = catalogue(wider, BOARDS[:1], YARNS[:1], resume=path)
    assert rows_json(found) == rows_json(catalogue(wider, BOARDS[:1], YARNS[:1]))
    assert len(lines(path)) == 2


# --- killed --------------------------------------------------------------------------------------

_SCRIPT = """
import sys, time
from pathlib import Path
from pegwright.catalogue import job
from pegwright.catalogue.catalogue import catalogue
from tests.catalogue.small_list import BOARDS, YARNS, small_design

if __name__ == "__main__":
    def slowly(what, done, of):
        print(done, flush=True)
        time.sleep(0.4)  # so that the run is killed in the midst of it
    catalogue(small_design(), BOARDS, YARNS, workers=2, resume=Path(sys.argv[1]), progress=slowly)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="kills as POSIX systems do")
def test_a_run_that_is_killed_is_resumed_to_the_same_result(tmp_path: Path, repo: Path) -> None:
    script, path = tmp_path / "run.py", tmp_path / "run.jsonl"
    script.write_text(_SCRIPT)
    environment = {**os.environ, "PYTHONPATH": f"{repo / 'src'}{os.pathsep}{repo}"}
    with subprocess.Popen(
        [sys.executable, str(script), str(path)],
        env=environment,
        stdout=subprocess.PIPE,
        text=True,
    ) as running:
        assert running.stdout is not None
        for line in running.stdout:
            if int(line) >= 2:
                break
        helpers = children(running.pid)
        running.send_signal(signal.SIGKILL)
        running.wait()
    done = len(lines(path))
    assert 2 <= done < 6
    with path.open("ab") as torn:
        torn.write(b'{"key": "half a li')
    resumed = catalogue(small_design(), BOARDS, YARNS, workers=1, resume=path)
    assert rows_json(resumed) == rows_json(catalogue(small_design(), BOARDS, YARNS))
    assert len(lines(path)) == 6
    assert gone(helpers), "workers outlived the run that started them"


def children(pid: int) -> list[int]:
    """Processes that a process started; none where the system does not tell."""
    listed = Path(f"/proc/{pid}/task/{pid}/children")
    return [int(word) for word in listed.read_text().split()] if listed.exists() else []


def gone(pids: list[int], patience_s: float = 10.0) -> bool:
    """Whether processes end within a while; one that only waits to be counted has ended."""
    until = time.monotonic() + patience_s
    while any(alive(pid) for pid in pids):
        if time.monotonic() > until:
            return False
        time.sleep(0.05)
    return True


def alive(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state not in ("Z", "X")
