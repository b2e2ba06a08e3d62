"""What a page says you should see is what you see: its sessions are run from top to bottom."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest

from pegwright.cli.main import main
from tests.docs.docs_pages import DOCS, blocks, edited, sessions

PAGES = sorted(
    file.name
    for file in DOCS.glob("*.md")
    if any(b.language == "console" for b in blocks(file.name))
)


def agrees(shown: list[str], seen: list[str]) -> bool:
    """Whether the lines seen are those shown, where ``…`` stands for any lines, or for none."""
    if not shown:
        return not seen
    if shown[0] == "…":
        return any(agrees(shown[1:], seen[at:]) for at in range(len(seen) + 1))
    return bool(seen) and seen[0].rstrip() == shown[0].rstrip() and agrees(shown[1:], seen[1:])


@pytest.mark.parametrize(
    ("shown", "seen", "same"),
    [
        (["a", "b"], ["a", "b"], True),
        (["a", "…", "c"], ["a", "b", "b", "c"], True),
        (["…", "b"], ["b"], True),
        (["a"], ["a", "b"], False),  # a line that is not shown
        (["a", "…", "c"], ["a", "b"], False),  # a line that is not there
    ],
)
def test_dots_stand_for_lines_left_out(shown: list[str], seen: list[str], same: bool) -> None:
    assert agrees(shown, seen) is same


def test_the_first_lessons_are_among_them() -> None:
    assert {"index.md", "learn-a-scarf.md"} <= set(PAGES)


@pytest.mark.parametrize("page", PAGES)
def test_a_page_shows_what_is_seen(
    page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    code = 0
    for block in blocks(page):
        if block.language == "toml":
            edited(tmp_path, block.text)
        if block.language != "console":
            continue
        for command, shown in sessions(block):
            if command == "echo $?":
                assert shown == [str(code)]
                continue
            code = main(shlex.split(command)[1:])
            seen = capsys.readouterr()
            lines = (seen.out + seen.err).rstrip().splitlines()
            assert agrees(shown, lines), (command, lines)
            if "echo $?" not in block.text:
                assert code == 0, command


def test_the_scarf_is_written_in_the_end(tmp_path: Path) -> None:
    """Every change that the lesson makes is a change of its one file."""
    for block in blocks("learn-a-scarf.md"):
        if block.language == "toml":
            edited(tmp_path, block.text)
    assert [file.name for file in tmp_path.iterdir()] == ["my-scarf.toml"]
    assert (tmp_path / "my-scarf.toml").read_text().count("available") == 1
