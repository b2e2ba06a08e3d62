"""``pegwright board`` as a maker meets it."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from pegwright.errors import ExitCode, NotPossible
from pegwright.publish import board_dxf
from tests.cli.ran import Run, runner

BOATHOUSE = ("--name", "boathouse board", "--pegs", 44, "--pitch", "7/16 in", "--gap", "1 in")
TAPE = (
    "--pegs", 44, "--over-pegs", "44=18 13/16 in", "--left-gap", "1 in, 1 in",
    "--right-gap", "1 in", "--diameters", "3/16 in, 3/16 in", "--resolution", "1/64 in",
)  # fmt: skip


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(capsys, "board")


def test_a_plan_writes_everything(run: Run, tmp_path: Path) -> None:
    ran = run("plan", *BOATHOUSE, "--category", 4, "--gaps", "1 1/4 in", "--out", tmp_path / "new")
    assert (ran.code, ran.err) == (0, "")
    names = {path.name for path in (tmp_path / "new").iterdir()}
    assert names == {
        "boathouse-board.pdf",
        "boathouse-board.dxf",
        "boathouse-board-cut-list.json",
        "boathouse-board-loom.toml",
        "boathouse-board-template.svg",
        *(f"boathouse-board-template-sheet-{n}.svg" for n in (1, 2, 3)),
    }
    for name in names:
        assert name in ran.out
    for words in ("88 in all", "Wrap test, taut", "1 1/4 in (31.75 mm)", "wing nut"):
        assert words in ran.out
    text = (tmp_path / "new" / "boathouse-board-loom.toml").read_text()
    assert tomllib.loads(text)["loom"]["pitch"] == "11.1125 mm"


def test_a_plan_as_data(run: Run, tmp_path: Path) -> None:
    ran = run("plan", *BOATHOUSE, "--out", tmp_path, "--json")
    assert ran.data["board"] == "boathouse board"
    assert len(ran.data["holes"]) == 88
    assert ran.data["files"] == {p.name: p.stat().st_size for p in tmp_path.iterdir()}
    assert ran.data["missing"] == []


def test_the_gap_from_a_wrap_test(run: Run, tmp_path: Path) -> None:
    ran = run("plan", "--pegs", 44, "--category", 4, "--wanted", "45 in", "--out", tmp_path)
    assert ran.code == 0
    assert "draws 45 in" in ran.out.replace("\u00a0", " ")
    assert "7/16 in (11.11 mm)" in ran.out  # the usual pitch for this yarn


@pytest.mark.parametrize("arrangement", ["offset", "single", "ring"])
def test_other_boards(run: Run, tmp_path: Path, arrangement: str) -> None:
    words = ("--pegs", 40, "--pitch", "1/2 in", "--gap", "1 in", "--arrangement", arrangement)
    ran = run("plan", *words, "--category", 4, "--paper", "letter", "--out", tmp_path)
    assert (ran.code, ran.err) == (0, "")
    assert (tmp_path / "board.pdf").read_bytes().startswith(b"%PDF-")


def test_without_dxf_the_rest_is_written(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing(plan: object) -> bytes:
        raise NotPossible("no library", hint='pip install "pegwright[board]"')

    monkeypatch.setattr(board_dxf, "board_dxf", missing)
    ran = run("plan", *BOATHOUSE, "--out", tmp_path)
    assert ran.code == 0
    assert "No DXF" in ran.out
    assert (tmp_path / "boathouse-board.pdf").exists()


def test_a_board_that_cannot_be_is_refused_with_the_nearest(run: Run, tmp_path: Path) -> None:
    ran = run("plan", *BOATHOUSE[:-1], "4 mm", "--out", tmp_path / "out", "--json")
    assert ran.code == ExitCode.NOT_POSSIBLE
    assert "no wider than a peg" in ran.data["error"]
    assert "10.8 mm" in ran.data["try"]
    assert not (tmp_path / "out").exists()
    again = run("plan", *BOATHOUSE[:-1], "10.8 mm", "--row-offset", "5.4 mm", "--out", tmp_path)
    assert again.code == 0


def test_measuring(run: Run) -> None:
    ran = run("measure", *TAPE)
    assert (ran.code, ran.err) == (0, "")
    assert "7/16 in (11.11 mm)" in ran.out
    assert "can be used as it is" in ran.out
    assert 'pitch = "11.112 mm"' in ran.out
    data = run("measure", *TAPE, "--json").data
    assert data["fit"] is True
    assert data["pitch_mm"]["value"] == pytest.approx(11.1125)
    assert tomllib.loads(data["loom"])["loom"]["pegs"] == 44


def test_measuring_a_skew_board(run: Run) -> None:
    words = [w if w != "1 in" else "1 1/8 in" for w in TAPE]
    ran = run("measure", *words)
    assert "boards are skew" in ran.out
    assert "Mend this first" in ran.out
    assert ran.code == 0
    assert [f["name"] for f in run("measure", *words, "--json").data["findings"]] == ["boards-skew"]


def test_how_exactly_to_drill(run: Run) -> None:
    asked = ("tolerance", *BOATHOUSE, "--category", 4)
    ran = run(*asked)
    assert (ran.code, ran.err) == (0, "")
    assert "Drill every hole within" in ran.out
    data = run(*asked, "--part", 0.02, "--meet", "0.5 mm", "--sure", 0.95, "--json").data
    assert data["drilling_mm"] == pytest.approx(
        2 * min(data["linear_sd_mm"], data["sampled_sd_mm"], data["meet_sd_mm"])
    )
    assert data["meet_mm"] == 0.5
    single = run("tolerance", "--arrangement", "single", "--pegs", 20, "--pitch", "1/2 in",
                 "--category", 5, "--json")  # fmt: skip
    assert single.data["meet_sd_mm"] is None


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (("plan",), "--pitch"),
        (("plan", "--pitch", "1/2 in", "--gap", "1 in"), "--pegs 44"),
        (("plan", "--pegs", 44, "--pitch", "1/2 in"), "--wanted"),
        (("plan", "--pegs", 44, "--pitch", "half", "--gap", "1 in"), "8 1/2 in"),
        (("plan", *BOATHOUSE, "--part", 0.1), "board tolerance"),
        (("plan", *BOATHOUSE, "--wanted", "45 in"), "--category"),
        (("measure", "--pegs", 44), "--over-pegs"),
        (("measure", *TAPE, "--pitch", "1 in"), "--over-pegs"),
        (("measure", *TAPE, "--over-pegs", "1 in"), "44=478mm"),
        (("tolerance", *BOATHOUSE), "--category"),
        (("tolerance", *BOATHOUSE, "--kerf", "1 mm", "--category", 4), "board plan"),
        (("mesure",), "measure"),
    ],
)
def test_slips_are_told_with_what_to_try(run: Run, words: tuple[object, ...], hint: str) -> None:
    ran = run(*words)
    assert ran.code in (ExitCode.USAGE, ExitCode.BAD_INPUT)
    assert ran.out == ""
    assert hint in ran.err.partition("try:")[2]
