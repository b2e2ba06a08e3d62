"""Design files are opened in one place, and nothing but a plain file gets through it."""

from __future__ import annotations

import io
import os
from pathlib import Path

import pytest

from pegwright.designs.files import read_any, read_file, read_stdin, shipped_text
from pegwright.errors import BadInput

HOOD = shipped_text("tern-point-hood")


def refusal(given: str) -> BadInput:
    with pytest.raises(BadInput) as caught:
        read_any(given)
    return caught.value


def test_a_file_is_read(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(HOOD, encoding="utf-8")
    assert read_any(str(path)) == read_file(path) == read_any("tern-point-hood")


def test_a_file_comes_before_a_shipped_design(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tern-point-hood").write_text(HOOD.replace("Tern Point", "My"), encoding="utf-8")
    assert read_any("tern-point-hood").title == "My hood"


def test_a_folder_does_not_hide_a_shipped_design(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tern-point-hood").mkdir()
    assert read_any("tern-point-hood").title == "Tern Point hood"


def test_an_error_names_the_file(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(HOOD.replace("pegs = 44", "pegs = 0"), encoding="utf-8")
    place = refusal(str(path)).place
    assert place is not None
    assert (place.file, place.field) == (str(path), "loom.pegs")


def test_what_is_no_file(tmp_path: Path) -> None:
    assert "folder" in refusal(str(tmp_path)).what
    assert "no such file" in refusal(str(tmp_path / "nothing.toml")).what
    assert "tern-point-hood" in (refusal("tern-point-hod").hint or "")
    assert "cannot be opened" in refusal("a\0b.toml").what
    assert "cannot be opened" in refusal("x" * 5000 + ".toml").what


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names on this system")
def test_a_pipe_with_a_name_does_not_hang(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    assert "no plain file" in refusal(str(tmp_path / "pipe.toml")).what


def test_no_more_is_read_than_a_design_may_hold(tmp_path: Path) -> None:
    path = tmp_path / "large.toml"
    with path.open("wb") as file:
        file.truncate(3_000_000_000)  # takes no room on disk
    assert "too large" in refusal(str(path)).what


def test_what_is_piped_in() -> None:
    assert read_stdin(io.BytesIO(HOOD.encode())).title == "Tern Point hood"
    with pytest.raises(BadInput, match="nothing was piped in"):
        read_stdin(io.BytesIO(b" \n"))
    with pytest.raises(BadInput, match="too large"):
        read_stdin(io.BytesIO(b"#" * 2_000_000))


@pytest.mark.parametrize("name", ["../reader", "/etc/passwd", "tern-point-hood.toml", ""])
def test_a_shipped_name_never_leads_elsewhere(name: str) -> None:
    with pytest.raises(BadInput, match="no such design"):
        shipped_text(name)
