"""Where each key of a design file stands, and limits on how large a file may be.

The library that reads TOML tells the line of a slip in the writing and of nothing else.  This
module walks over the text once, before it is read, and remembers the line of every key, so that
any later refusal can name it.  It stops without a word where it cannot follow: the text is no
TOML there, and the reader itself will stop at the latest there, and say why.

A **path** is the way to a value: texts for keys, whole numbers from 0 for places in a list, such as
``("sizes", 0, "head")``.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from contextlib import suppress
from typing import Final

from pegwright.errors import BadInput, Place

__all__ = ["MOST_ENTRIES", "MOST_KEY_PARTS", "MOST_NESTING", "Outline", "Path", "dotted"]

Path = tuple[str | int, ...]

MOST_ENTRIES: Final = 20_000
"""Most keys and list entries in one file: a hundred times what a rich design holds."""

MOST_KEY_PARTS: Final = 8
"""Most parts of a dotted key.  The reader's time grows with their square."""

MOST_NESTING: Final = 12
"""Most lists and tables inside one another."""

_GAP = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*+")
_BLANK = re.compile(r"[ \t]*+")
_KEY = re.compile(r'([A-Za-z0-9_-]++)|"((?:[^"\\\n]|\\.)*+)"|\'([^\'\n]*+)\'')
_PLAIN = re.compile(r"[^,\]}\n#]+")
_TEXTS = (
    re.compile(r'"""(?:[^"\\]|\\.|"(?!""))*+"""(?:"{0,2})', re.DOTALL),
    re.compile(r"'''(?:[^']|'(?!''))*+'''(?:'{0,2})", re.DOTALL),
    re.compile(r'"(?:[^"\\\n]|\\.)*+"'),
    re.compile(r"'[^'\n]*+'"),
)


class _NotToml(Exception):
    """Never leaves this module."""


class Outline:
    """The lines of all keys of a text.

    :raises BadInput: for a text with more entries, longer keys or deeper nesting than the limits
        of this module.
    """

    def __init__(self, text: str, name: str = "design") -> None:
        self._text = text
        self._name = name
        self._ends = [match.start() for match in re.finditer("\n", text)]
        self._lines: dict[Path, int] = {}
        self._counts: dict[Path, int] = {}
        self._entries = 0
        self._at = 0
        with suppress(_NotToml):
            self._walk()

    def line(self, path: Path) -> int | None:
        """The line of a value, counted from 1; of what is around it where it is absent."""
        for end in range(len(path), 0, -1):
            if (line := self._lines.get(path[:end])) is not None:
                return line
        return None

    def place(self, path: Path) -> Place:
        """A value's place: the file, its line, and the path with lists counted from 1."""
        return Place(self._name, self.line(path), dotted(path) or None)

    # --- the walk --------------------------------------------------------------------------------

    def _walk(self) -> None:
        table: Path = ()
        while True:
            self._skip(_GAP)
            if self._at >= len(self._text):
                return
            start = self._at
            if self._text.startswith("[", start):
                table = self._header()
                self._note(table, start)
            else:
                self._pair(table, 0)

    def _header(self) -> Path:
        is_list = self._text.startswith("[[", self._at)
        self._at += 2 if is_list else 1
        keys = self._keys()
        self._expect("]]" if is_list else "]")
        table: Path = ()
        for number, key in enumerate(keys, 1):
            table += (key,)
            if is_list and number == len(keys):
                self._counts[table] = self._counts.get(table, 0) + 1
            if table in self._counts:
                table += (self._counts[table] - 1,)
        return table

    def _pair(self, table: Path, depth: int) -> None:
        start = self._at
        path = table + self._keys()
        for end in range(len(table) + 1, len(path) + 1):
            self._note(path[:end], start)
        self._expect("=")
        self._skip(_BLANK)
        self._value(path, depth)

    def _keys(self) -> Path:
        keys: list[str] = []
        while True:
            self._skip(_BLANK)
            match = _KEY.match(self._text, self._at)
            if match is None:
                raise _NotToml
            keys.append(next(group for group in match.groups() if group is not None))
            self._at = match.end()
            if len(keys) > MOST_KEY_PARTS:
                raise self._too_much("a key has too many parts", f"more than {MOST_KEY_PARTS}")
            self._skip(_BLANK)
            if not self._text.startswith(".", self._at):
                return tuple(keys)
            self._at += 1

    def _value(self, path: Path, depth: int) -> None:
        if depth > MOST_NESTING:
            raise self._too_much(
                "lists or tables lie too deep inside one another", f"more than {MOST_NESTING}"
            )
        first = self._text[self._at : self._at + 1]
        if first == "[":
            self._list(path, depth)
        elif first == "{":
            self._inline_table(path, depth)
        elif first in ('"', "'") and first:
            self._match(*_TEXTS)
        else:
            self._match(_PLAIN)

    def _list(self, path: Path, depth: int) -> None:
        self._at += 1
        index = 0
        while not self._closed("]"):
            self._note((*path, index), self._at)
            self._value((*path, index), depth + 1)
            index += 1
            self._comma_or("]")

    def _inline_table(self, path: Path, depth: int) -> None:
        self._at += 1
        while not self._closed("}"):
            self._pair(path, depth + 1)
            self._comma_or("}")

    # --- small steps -----------------------------------------------------------------------------

    def _closed(self, mark: str) -> bool:
        self._skip(_GAP)
        if self._text.startswith(mark, self._at):
            self._at += 1
            return True
        return False

    def _comma_or(self, mark: str) -> None:
        self._skip(_GAP)
        if self._text.startswith(",", self._at):
            self._at += 1
        elif not self._text.startswith(mark, self._at):
            raise _NotToml

    def _expect(self, mark: str) -> None:
        if not self._text.startswith(mark, self._at):
            raise _NotToml
        self._at += len(mark)

    def _match(self, *patterns: re.Pattern[str]) -> None:
        for pattern in patterns:
            if match := pattern.match(self._text, self._at):
                self._at = match.end()
                return
        raise _NotToml

    def _skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self._text, self._at)
        self._at = match.end() if match else self._at

    def _note(self, path: Path, start: int) -> None:
        self._entries += 1
        if self._entries > MOST_ENTRIES:
            raise self._too_much("a design has too many entries", f"more than {MOST_ENTRIES}")
        self._lines.setdefault(path, bisect_right(self._ends, start - 1) + 1)

    def _too_much(self, what: str, given: str) -> BadInput:
        line = bisect_right(self._ends, self._at - 1) + 1
        return BadInput(
            what,
            given=given,
            hint="a design is a short file; see docs/design-files.md",
            place=Place(self._name, line),
        )


def dotted(path: Path) -> str:
    """A path as a maker reads it, lists counted from 1: ``sizes[2].head``."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            text += f".{part}" if text else part
    return text
