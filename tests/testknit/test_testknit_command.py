"""``pegwright test-knit`` as a maker meets it."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from pegwright.cli.main import main
from pegwright.designs.files import shipped_text
from pegwright.errors import ExitCode
from tests.testknit.conftest import Fill

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    def command(*words: object) -> tuple[int, str, str]:
        capsys.readouterr()
        code = main([str(word) for word in words])
        return code, *capsys.readouterr()

    return command


def test_alone_it_says_what_it_can_do(run: Run) -> None:
    code, out, _ = run("test-knit")
    assert code == ExitCode.USAGE
    assert all(part in out for part in ("form", "compare", "errata"))


def test_forms_are_written_for_every_size_or_one(run: Run, tmp_path: Path) -> None:
    code, out, _ = run("test-knit", "form", "tern-point-hood", "--out", tmp_path)
    assert code == 0
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == sorted(
        f"tern-point-hood-{size}-test-knit.{ending}"
        for size in ("cox", "bow", "coach")
        for ending in ("pdf", "toml")
    )
    assert out.count("Written: ") == 6
    one = tmp_path / "one"
    code, out, _ = run(
        "test-knit", "form", "tern-point-hood", "--out", one, "--size", "bow", "--json"
    )
    assert json.loads(out)["files"] == sorted(p.name for p in one.iterdir())
    code, _, err = run("test-knit", "form", "tern-point-hood", "--out", one, "--size", "bwo")
    assert code == ExitCode.USAGE
    assert "bow" in err.partition("try:")[2]


def test_sizes_of_one_file_name_are_told_apart(run: Run, tmp_path: Path) -> None:
    text = shipped_text("tern-point-hood").replace('"cox"', '"bow!"')
    (tmp_path / "hood.toml").write_text(text, encoding="utf-8")
    code, _, err = run("test-knit", "form", tmp_path / "hood.toml", "--out", tmp_path / "out")
    assert (code, err) == (0, "")
    assert len(list((tmp_path / "out").iterdir())) == 6


def test_answers_are_compared(run: Run, tmp_path: Path, fill: Fill) -> None:
    text = fill("bow", depth="27 cm", height="35 cm", before="200 g", after="60 g")
    answers = tmp_path / "stroke.toml"
    answers.write_text(text.replace('version = "1.0"', 'version = ""'), encoding="utf-8")
    learned = tmp_path / "learned.toml"
    words = ("test-knit", "compare", "tern-point-hood", answers)
    code, out, err = run(*words, "--learned", learned, "--units", "centimetres")
    assert (code, err) == (0, "")
    assert "depth: 27 cm (10 5/8 in)" in out
    assert str(answers) in out  # she gave no name
    lines = tomllib.loads(learned.read_text(encoding="utf-8"))
    assert set(lines) == {"loom", "swatches"}
    code, _, err = run(*words, "--learned", learned)
    assert code == ExitCode.BAD_INPUT  # it is not written over
    code, out, _ = run(*words, "--json")
    data = json.loads(out)
    assert data["learned"]["toml"] == learned.read_text(encoding="utf-8")
    assert data["testers"][0]["on_the_designs_board_and_yarn"] is True


def test_a_bad_answer_is_told_with_its_file_and_line(run: Run, tmp_path: Path, fill: Fill) -> None:
    answers = tmp_path / "stroke.toml"
    answers.write_text(fill("bow", step="99"), encoding="utf-8")
    words = ("test-knit", "compare", "tern-point-hood", answers)
    code, out, err = run(*words)
    assert (code, out) == (ExitCode.BAD_INPUT, "")
    line = answers.read_text(encoding="utf-8").splitlines().index('step = "99"') + 1
    assert f"{answers}, line {line}, troubles[1].step" in err
    code, out, err = run(*words, "--json")
    assert json.loads(out)["line"] == line


def test_errata_as_text_html_and_data(run: Run) -> None:
    words = ("test-knit", "errata", "tern-point-hood", "tern-point-channel-hood")
    code, text, err = run(*words)
    assert (code, err) == (0, "")
    assert "read “" in text
    _, html, _ = run(*words, "--html")
    assert html.startswith("<section")
    _, data, _ = run(*words, "--json")
    assert len(json.loads(data)["changes"]) == html.count("<li>")
    assert run(*words)[1] == text


def test_a_design_with_faults_has_no_form(run: Run, tmp_path: Path) -> None:
    text = shipped_text("tern-point-hood").replace("pegs = 44", "pegs = 20")
    (tmp_path / "small.toml").write_text(text, encoding="utf-8")
    code, _, err = run("test-knit", "form", tmp_path / "small.toml", "--out", tmp_path / "out")
    assert code == ExitCode.NOT_POSSIBLE
    assert not (tmp_path / "out").exists()
    assert "Traceback" not in err


def test_the_block_for_a_page_holds_no_letters_written_out(run: Run) -> None:
    _, html, _ = run("test-knit", "errata", "tern-point-hood", "tern-point-channel-hood", "--html")
    assert "\N{NO-BREAK SPACE}in" in html  # a figure and its unit are held together
    assert "\\x" not in html
