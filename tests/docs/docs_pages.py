"""What the tests of the docs read from the pages: commands, samples and files that they show."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

__all__ = ["DOCS", "Block", "blocks", "commands", "edited", "sessions"]

DOCS = Path(__file__).resolve().parents[2] / "docs"

_FENCE = re.compile(r"^```([a-z]*)\n(.*?)^```", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Block:
    """A fenced block of a page: its language, which may be empty, and its text."""

    language: str
    text: str


def blocks(page: str) -> list[Block]:
    """The fenced blocks of a page, in order."""
    text = (DOCS / page).read_text(encoding="utf-8")
    return [Block(language, body) for language, body in _FENCE.findall(text)]


def commands(page: str) -> list[str]:
    """Every command of Pegwright that a page shows, each on one line and without its remark."""
    shown = []
    for block in blocks(page):
        if block.language in ("", "sh", "console"):
            text = block.text.replace("\\\n", " ")
            shown += re.findall(r"^(?:\$ )?(pegwright .*)$", text, re.MULTILINE)
    return [shlex.join(shlex.split(line, comments=True)) for line in shown]


def sessions(block: Block) -> Iterator[tuple[str, list[str]]]:
    """The commands of a console block, each with the lines that are shown below it."""
    for part in re.split(r"^\$ ", block.text, flags=re.MULTILINE)[1:]:
        command, _, shown = part.partition("\n")
        yield command, shown.splitlines()


def edited(folder: Path, text: str) -> None:
    """Do in a folder what the first line of a ``toml`` block says: write, add to or change a file.

    :raises ValueError: where the line to be changed does not stand in the file exactly once.
    """
    first, _, rest = text.partition("\n")
    if name := re.fullmatch(r"# (\S+\.toml)", first):
        (folder / name[1]).write_text(text, encoding="utf-8")
        return
    if name := re.fullmatch(r"# add to (\S+\.toml)", first):
        file = folder / name[1]
        file.write_text(file.read_text(encoding="utf-8") + "\n" + rest, encoding="utf-8")
        return
    change = re.fullmatch(r"# in (\S+\.toml), (after|instead of): (.+)", first)
    if change is None:
        raise ValueError(f"what is to be done with this block is not said: {first}")
    file, line = folder / change[1], change[3] + "\n"
    whole = file.read_text(encoding="utf-8")
    if whole.count(line) != 1:
        raise ValueError(f"{line!r} does not stand in {file.name} once")
    kept = line if change[2] == "after" else ""
    file.write_text(whole.replace(line, kept + rest), encoding="utf-8")
