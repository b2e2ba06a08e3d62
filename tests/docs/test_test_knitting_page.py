"""docs/test-knitting.md: its files are read, and its commands run as they stand."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from pegwright.cli.main import main
from pegwright.designs.files import shipped_text
from pegwright.gauge.fabric_gauge import HAND_RELATIVE_SD, TAPE_SD_MM
from pegwright.planning.needs import BESIDE_RELATIVE_SD
from pegwright.testknit.basis import (
    PACE_RELATIVE_SD,
    WRAP_TEST_SD_MM,
)

PAGE = Path(__file__).resolve().parents[2] / "docs" / "test-knitting.md"
TEXT = PAGE.read_text(encoding="utf-8")
COMMANDS = re.findall(r"^pegwright .*$", TEXT, re.MULTILINE)
BLOCKS = re.findall(r"^```toml\n(.*?)^```", TEXT, re.MULTILINE | re.DOTALL)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder that the page speaks of."""
    version, stroke, coach = BLOCKS
    design = shipped_text("tern-point-hood").replace("[design]\n", version, 1)
    (tmp_path / "hood-1.0.toml").write_text(design, encoding="utf-8")
    mended = design.replace('"1.0"', '"1.1"').replace('head = "59 cm"', 'head = "60 cm"')
    (tmp_path / "hood-1.1.toml").write_text(mended, encoding="utf-8")
    (tmp_path / "stroke.toml").write_text(stroke, encoding="utf-8")
    (tmp_path / "coach.toml").write_text(coach, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_page_goes_the_whole_way() -> None:
    assert {line.split()[2] for line in COMMANDS} == {"form", "compare", "errata"}


@pytest.mark.parametrize("line", COMMANDS, ids=range(len(COMMANDS)))
def test_every_command_runs(line: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(shlex.split(line)[1:]) == 0, capsys.readouterr().err
    assert capsys.readouterr().out.strip()


def test_the_answers_say_what_the_page_is_about(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["test-knit", "compare", "hood-1.0.toml", "stroke.toml", "coach.toml"]) == 0
    out = capsys.readouterr().out
    assert "2 testers had trouble with step 7" in out
    assert out.count("[[swatches]]") == 2
    assert "[cost]" in out


def test_the_spreads_are_those_of_the_code() -> None:
    assert f"hands, {100 * HAND_RELATIVE_SD:g} %; the tape, {TAPE_SD_MM:g} mm" in TEXT
    assert f"tails and seams, {100 * BESIDE_RELATIVE_SD:g} %" in TEXT
    assert f"makers' paces differ by {100 * PACE_RELATIVE_SD:g} %" in TEXT
    assert pytest.approx(25.4 / 4, abs=0.5) == WRAP_TEST_SD_MM
