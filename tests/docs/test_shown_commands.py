"""Every command that a page shows runs as it stands, among files such as the page speaks of."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest

from pegwright.cli.main import main
from pegwright.designs.files import shipped_text
from pegwright.library.records import OwnYarn
from pegwright.library.store import Library
from pegwright.yarn.yarn import Yarn
from tests.docs.docs_pages import DOCS, blocks, commands

# These pages have tests of their own that run every command of them.
ELSEWHERE = {"odds-and-ends.md", "test-knitting.md", "index.md", "learn-a-scarf.md"}

SHOWN = [
    pytest.param(line, id=f"{page.removesuffix('.md')}-{at}")
    for page in sorted({file.name for file in DOCS.glob("*.md")} - ELSEWHERE)
    for at, line in enumerate(commands(page))
]

YARN = Yarn(
    "Slipway worsted", 4, 175.0, 5.0, 100.0, None, 10.0, "wool", "rust", "#a4482c", invented=True
)

# Commands whose page shows what happens where something cannot be made: exit code 4.
REFUSED = {
    "pegwright refit tern-point-hood --pegs 26 --spacers '1/4 in, 1/8 in' --bare-gap '1/2 in'",
}

# Work that takes long is cut short; what the command does is the same.
SHORTER = {"lesson": ["--no-films"], "stripes": ["--time-limit", "2"]}


def texts(page: str) -> list[str]:
    return [block.text for block in blocks(page) if block.language == "toml"]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the files that the commands name."""
    version, stroke, coach = texts("test-knitting.md")
    hood = shipped_text("tern-point-hood")
    first = hood.replace("[design]\n", version, 1)
    mended = first.replace('"1.0"', '"1.1"').replace('head = "59 cm"', 'head = "60 cm"')
    files = {
        "my-hood.toml": hood,
        "my-hood-1.0.toml": first,
        "my-hood-1.1.toml": mended,
        "stroke.toml": stroke,
        "coach.toml": coach,
        "leftovers.toml": texts("odds-and-ends.md")[0],
        "my-words.toml": texts("lesson.md")[0],
        "boards-and-yarns.toml": texts("catalogue.md")[0],
    }
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PEGWRIGHT_LIBRARY", str(tmp_path / "library.sqlite"))
    with Library.open(tmp_path / "library.sqlite") as library:
        library.put(OwnYarn(YARN))
    return tmp_path


def prepared(words: list[str], folder: Path) -> list[str]:
    """The words of a command, with what it needs to be there put there first."""
    if words == ["library", "restore", "BACKUP.sqlite"]:
        assert main(["library", "backup"]) == 0
        (copy,) = (folder / "library-backups").iterdir()
        return [*words[:2], str(copy)]
    if words[:2] == ["library", "restore"]:
        assert main(["library", "export", words[2]]) == 0
    if "|" in words:
        words = words[: words.index("|")]
    return words + SHORTER.get(words[0], [])


def test_there_are_commands_to_run() -> None:
    assert len(SHOWN) > 40


@pytest.mark.parametrize("line", SHOWN)
def test_a_command_runs(line: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = prepared(shlex.split(line)[1:], folder)
    code = main(words)
    seen = capsys.readouterr()
    assert code == (4 if line in REFUSED else 0), seen.err or seen.out
    assert seen.out.strip()
