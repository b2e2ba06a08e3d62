"""docs/odds-and-ends.md: its files are read, and its commands run as they stand."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from pegwright.cli.main import main
from pegwright.designs.stash import read_stash_text
from pegwright.designs.weighings import read_weighings_text

PAGE = Path(__file__).resolve().parents[2] / "docs" / "odds-and-ends.md"
TEXT = PAGE.read_text(encoding="utf-8")
COMMANDS = re.findall(r"^pegwright .*$", TEXT, re.MULTILINE)


def test_the_page_goes_the_whole_way() -> None:
    used = {" ".join(line.split()[1:3]) for line in COMMANDS}
    for part in ("stash", "wraps", "strands", "stand-ins", "split", "trims"):
        assert f"yarn {part}" in used
    assert {"colours show", "colours search"} <= used
    assert {line.split()[1] for line in COMMANDS} == {
        "yarn",
        "stripes",
        "colours",
        "forecast",
        "cost",
    }


@pytest.mark.parametrize("line", COMMANDS, ids=range(len(COMMANDS)))
def test_every_command_runs(
    line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    words = shlex.split(line.replace("--time-limit 10", "--time-limit 2"))[1:]
    assert main(words) == 0, capsys.readouterr().err
    assert capsys.readouterr().out.strip()


def test_its_files_are_read() -> None:
    stash, weighings = re.findall(r"^```toml\n(.*?)^```", TEXT, re.MULTILINE | re.DOTALL)
    assert [own.yarn.name for own in read_stash_text(stash)] == ["Slipway worsted", "Ferry sock"]
    assert [(one.row, one.left_g) for one in read_weighings_text(weighings).weighings] == [
        (0, 130),
        (20, 106),
    ]
