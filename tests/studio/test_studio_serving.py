"""``pegwright studio`` as a process: it starts, answers this computer alone, and stops."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from pegwright.cli.main import main
from pegwright.errors import ExitCode, NotPossible
from pegwright.studio.serving import bound

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="stopped by a signal")


@contextmanager
def started(repo: Path, *words: str) -> Iterator[subprocess.Popen[str]]:
    """The command, running; it is ended however the test ends."""
    process = subprocess.Popen(
        [sys.executable, "-u", "-m", "pegwright", "studio", "--no-browser", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(repo / "src"), "FASTAPI_OTEL_AUTO_CONFIGURE": "true"},
    )
    try:
        yield process
    finally:
        if process.poll() is None:
            process.kill()
        process.communicate(timeout=10)


def test_it_starts_answers_and_stops(repo: Path, tmp_path: Path) -> None:
    library = tmp_path / "mine.sqlite"
    with started(repo, "--port", "0", "--library", str(library)) as process:
        assert process.stdout is not None
        address = re.search(r"http://127\.0\.0\.1:(\d+)/", process.stdout.readline())
        assert address, "it did not say where it is"
        assert str(library) in process.stdout.readline()
        process.stdout.readline()
        with urllib.request.urlopen(address.group(), timeout=10) as answer:
            assert "<h1>Designs</h1>" in answer.read().decode()
        foreign = urllib.request.Request(address.group(), headers={"Host": "evil.example"})
        with pytest.raises(urllib.error.HTTPError, match="403") as refused:
            urllib.request.urlopen(foreign, timeout=10)
        refused.value.close()
        for other in _own_addresses():
            with (
                pytest.raises(OSError),
                socket.create_connection((other, int(address.group(1))), 2),
            ):
                pass
        process.send_signal(signal.SIGINT)
        _, said = process.communicate(timeout=20)
        assert process.returncode in (0, 130)
        assert "Traceback" not in said
    assert library.is_file()


def _own_addresses() -> list[str]:
    """This computer's addresses on its network, where it has any."""
    try:
        found = {str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None)}
    except OSError:
        return []
    return sorted(a for a in found if not a.startswith("127.") and a != "::1")


def test_a_port_that_is_taken_is_told_of(capsys: pytest.CaptureFixture[str]) -> None:
    with bound(0) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(NotPossible, match="in use"):
            bound(port)
        assert main(["studio", "--no-browser", "--port", str(port)]) == ExitCode.NOT_POSSIBLE
    assert "--port 0" in capsys.readouterr().err
    assert main(["studio", "--port", "70000"]) == ExitCode.USAGE


def test_the_usual_port_gives_way_to_a_free_one() -> None:
    with bound(None) as first, bound(None) as second:
        assert first.getsockname() != second.getsockname()


def test_a_broken_library_ends_the_command_and_stays(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    library = tmp_path / "mine.sqlite"
    library.write_bytes(b"SQLite format 3\0" + b"not really" * 100)
    before = library.read_bytes()
    code = main(["studio", "--no-browser", "--port", "0", "--library", str(library)])
    assert code == ExitCode.BAD_INPUT
    assert "left as it is" in capsys.readouterr().err
    assert library.read_bytes() == before
