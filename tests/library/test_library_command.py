"""``pegwright library`` as a maker meets it."""

from __future__ import annotations

from pathlib import Path

import pytest

from pegwright.cli import library as command
from pegwright.errors import ExitCode
from pegwright.library.records import Kind
from pegwright.library.store import Library
from tests.cli.ran import Run, runner
from tests.library.shelf import BOARD, COX, HOOD, YARN


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "tern" / "library.sqlite"
    monkeypatch.setenv("PEGWRIGHT_LIBRARY", str(path))
    return path


@pytest.fixture
def run(path: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Commands on the library at ``path``."""
    return runner(capsys, "library")


@pytest.fixture
def kept(path: Path) -> None:
    with Library.open(path) as library:
        for body in (BOARD, YARN, COX, HOOD):
            library.put(body)
        library.delete(library.search("boathouse")[0].id)


def test_the_kinds_are_those_of_the_library() -> None:
    assert tuple(Kind) == command.KINDS


@pytest.mark.parametrize("action", ["list", "backup", "check", "search", "export"])
def test_no_library_is_made_by_looking_for_one(run: Run, path: Path, action: str) -> None:
    words = [] if action not in ("search", "export") else ["x"]
    ran = run(action, *words)
    assert ran.code == ExitCode.BAD_INPUT
    assert "no library here yet" in ran.err
    assert not path.parent.exists()


@pytest.mark.usefixtures("kept")
def test_list_and_search(run: Run) -> None:
    listed = run("list")
    assert listed.code == 0
    assert [line.split()[0] for line in listed.out.splitlines()] == [
        "kind",
        "design",
        "person",
        "yarn",
    ]
    assert [r["name"] for r in run("list", "--deleted", "--json").data] == ["boathouse board"]
    assert [r["kind"] for r in run("list", "--kind", "yarn", "--json").data] == ["yarn"]
    assert [r["name"] for r in run("search", "tern", "hood", "--json").data] == ["Tern Point hood"]
    assert run("search", "hood", "--kind", "yarn").out == "Nothing found.\n"


@pytest.mark.usefixtures("kept")
def test_export_and_restore(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "tern.zip"
    assert "with 4 records" in run("export", file).out
    assert run("export", file).code == ExitCode.BAD_INPUT
    assert run("export", tmp_path / "again.zip", "--json").data["records"] == 4
    assert run("restore", file).out == "0 records added, 4 there already.\n"
    new = tmp_path / "new.sqlite"
    assert len(run("restore", file, "--library", new, "--json").data["added"]) == 4
    with Library.open(new) as library:
        (yarn,) = library.list(Kind.YARN)
        library.put(yarn.body, record_id=yarn.id, expected=1, notes="theirs")
    assert (
        "both are kept: Slipway worsted, rust (from the archive)"
        in run("restore", file, "--library", new).out
    )


@pytest.mark.usefixtures("kept")
def test_backup_and_restore(run: Run, path: Path) -> None:
    made = run("backup", "--json").data["made"]
    with Library.open(path) as library:
        library.put(COX, name="bow")
    assert run("backup").out.count("-backups") == 3  # what was made, and the list of both
    ran = run("restore", made)
    assert ran.code == 0
    assert "kept in" in ran.out
    with Library.open(path) as library:
        assert library.search("bow") == ()
    assert run("restore", made, "--json").data["before"]


@pytest.mark.usefixtures("kept")
def test_check(run: Run, path: Path) -> None:
    assert "is sound: 1 yarn, 1 person, 1 design." in run("check").out
    assert run("check", "--json").data["sound"] is True
    data = path.read_bytes()
    path.write_bytes(data[:-8192])
    ran = run("check")
    assert ran.code == ExitCode.BAD_INPUT
    assert "damaged" in ran.err
    assert path.read_bytes() == data[:-8192]


@pytest.mark.parametrize(
    "words", [["search"], ["export"], ["restore"], ["list", "x"], ["export", "a", "b"], ["show"]]
)
def test_a_slip_in_the_words(run: Run, words: list[str]) -> None:
    ran = run(*words)
    assert (ran.code, ran.out) == (ExitCode.USAGE, "")
    assert "try:" in ran.err
    assert set(run(*words, "--json").data) == {"error", "given", "try", "file", "line", "field"}


def test_a_file_that_is_not_there(run: Run, tmp_path: Path) -> None:
    assert "cannot be opened" in run("restore", tmp_path / "nothing.zip").err
