"""``refit``, ``what-fits`` and ``catalogue`` as a maker meets them."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from pegwright.cli.main import main

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    def command(*words: object) -> tuple[int, str, str]:
        capsys.readouterr()
        code = main([str(word) for word in words])
        return code, *capsys.readouterr()

    return command


def data(run: Run, *words: object) -> Any:
    code, out, err = run(*words, "--json")
    assert err == ""
    return code, json.loads(out)


# --- refit ---------------------------------------------------------------------------------------


def test_a_refit_of_nothing_changes_nothing(run: Run) -> None:
    code, out, _ = run("refit", "tern-point-hood")
    assert code == 0
    assert "can be made as asked" in out
    assert "Nothing changes" in out


def test_a_refit_shows_both_side_by_side(run: Run) -> None:
    code, out, _ = run("refit", "tern-point-hood", "--gap", "1 1/4 in")
    assert code == 0
    assert "28 → 24" in out
    assert "1 in (2.5 cm) → 1 1/4 in (3.2 cm)" in out
    code, found = data(run, "refit", "tern-point-hood", "--gap", "1 1/4 in")
    pegs = [d for d in found["differences"] if d["name"] == "strip pegs"]
    assert [(d["before"], d["after"]) for d in pegs] == [(28, 24), (29, 25), (30, 25)]
    assert found["made"]["proved"] is True


def test_what_cannot_be_says_why_and_offers_the_nearest(run: Run) -> None:
    code, found = data(run, "refit", "tern-point-hood", "--pegs", 28)
    assert code == 4
    assert found["way"] == "fewer pegs"
    assert [r["size"] for r in found["refused"]] == ["bow", "coach"]
    assert "there is room for 28" in found["refused"][0]["error"]
    ways = {offer["way"]: offer["possible"] for offer in found["offers"]}
    assert ways["fewer pegs"]
    assert not ways["another gap"]


def test_a_wrap_test_and_a_head_of_her_own_are_written(run: Run, tmp_path: Path) -> None:
    code, out, _ = run(
        "refit", "tern-point-hood", "--measured", "48 in", "--measure", "head=60cm",
        "--category", 5, "--metres", 110, "--out", tmp_path,
    )  # fmt: skip
    assert code == 0
    assert "your size" in out
    assert (tmp_path / "tern-point-hood.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["--measure", "head"], "head=57cm"),
        (["--measure", "head=5cm"], "between 250 and 750 mm"),
        (["--slack", "9"], "1 is taut"),
        (["--spacers", "1/4 in"], "--bare-gap"),
        (["--category", "5"], "--metres 175"),
        (["--pitch", "1 mm"], "choose a thinner peg"),
    ],
)
def test_slips_are_told_with_what_to_try(run: Run, words: list[str], hint: str) -> None:
    code, out, err = run("refit", "tern-point-hood", *words)
    assert code in (2, 3)
    assert out == ""
    assert hint in err


# --- what-fits -----------------------------------------------------------------------------------


def test_what_fits_on_a_board_without_a_design(run: Run) -> None:
    words = ("--pegs", 30, "--pitch", "7/16 in", "--gap", "1 in", "--peg-diameter", "3/16 in")
    code, found = data(run, "what-fits", *words, "--category", 4, "--metres", 175)
    assert code == 0
    assert {row["fits"] for row in found} == {True, False, None}
    adult = next(
        r for r in found if r["garment"] == "folded-strip-hood" and "adults" in r["size"]
    )  # fmt: skip
    assert adult["fits"]
    assert adult["pegs"] == [29]


def test_nothing_fits_on_a_stub_of_a_board(run: Run) -> None:
    code, out, _ = run(
        "what-fits", "tern-point-hood", "--pegs", 3, "--garment", "folded-strip-hood"
    )
    assert code == 4
    assert "yes" not in out
    assert "In one piece it takes a board of" in out


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["--category", "4"], "--pitch"),
        (["tern-point-hood", "--garment", "hod"], "folded-strip-hood"),
    ],
)
def test_slips_in_what_fits(run: Run, words: list[str], hint: str) -> None:
    code, _, err = run("what-fits", *words)
    assert code in (2, 3)
    assert hint in err


# --- catalogue -----------------------------------------------------------------------------------


@pytest.fixture
def winter(repo: Path, tmp_path: Path) -> Path:
    """The list of docs/catalogue.md."""
    page = (repo / "docs" / "catalogue.md").read_text(encoding="utf-8")
    path = tmp_path / "winter.toml"
    path.write_text(page.partition("```toml\n")[2].partition("```")[0], encoding="utf-8")
    return path


def test_the_list_of_the_documents_is_worked_out(run: Run, winter: Path, tmp_path: Path) -> None:
    out, journal = tmp_path / "out", tmp_path / "run.jsonl"
    code, text, err = run("catalogue", winter, "--out", out, "--resume", journal)
    assert (code, err) == (0, "")
    assert text.startswith("4 rows: ")
    rows = json.loads((out / "catalogue.json").read_text(encoding="utf-8"))
    assert [(r["board"], r["size"]) for r in rows] == [
        (board, size) for board in ("boathouse board", "slipway board") for size in ("cox", "coach")
    ]
    with (out / "catalogue.csv").open(encoding="utf-8", newline="") as file:
        assert len(list(csv.DictReader(file))) == 4
    before = (out / "catalogue.csv").read_bytes()
    kept = journal.read_bytes()
    code, found = data(run, "catalogue", winter, "--out", out, "--resume", journal)
    assert found == rows
    assert (out / "catalogue.csv").read_bytes() == before
    assert journal.read_bytes() == kept


def test_a_list_that_is_no_list_is_refused_with_its_line(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text("pegwright = 1\n[catalogue]\ndesign = 3\n")
    code, found = data(run, "catalogue", path)
    assert code == 3
    assert found["file"] == str(path)


@pytest.mark.slow
def test_a_cluster_that_does_not_answer_is_told(run: Run, winter: Path, tmp_path: Path) -> None:
    pytest.importorskip("distributed")
    code, _, err = run("catalogue", winter, "--out", tmp_path, "--cluster", "nowhere://x")
    assert code == 2
    assert "no cluster answers" in err
