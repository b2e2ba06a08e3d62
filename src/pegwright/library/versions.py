"""Versions of a design: every save keeps the text of before, and what changed is told in words.

Words used here:

* a **version** is the design's text as it was saved, numbered from 1; it may have a name of the
  maker's own;
* an **autosave** is written while she types.  Autosaves within a minute make one version, unless
  it was named, or a making knits it; a save that she asked for is always a version of its own.
"""

from __future__ import annotations

import difflib
import re
import sqlite3
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from pegwright.library.fields import parsed
from pegwright.library.records import MOST_NAME, DesignText, Kind, checked_text
from pegwright.library.refusals import NoSuchRecord

__all__ = [
    "AUTOSAVE_WINDOW",
    "Change",
    "ChangeKind",
    "Version",
    "all_versions",
    "keep",
    "rename",
    "version",
    "what_changed",
]

AUTOSAVE_WINDOW = timedelta(minutes=1)

_HEADING = re.compile(r"\s*(\[\[?[^\[\]]+\]?\])\s*(?:#.*)?")
_KEY = re.compile(r"""\s*([A-Za-z0-9_.'"-]+)\s*=""")


@dataclass(frozen=True, slots=True)
class Version:
    """A design as it was saved.

    :param started: when its first save was; ``saved`` is its last, later only for autosaves.
    """

    number: int
    text: DesignText
    name: str
    autosaved: bool
    started: str
    saved: str


def all_versions(db: sqlite3.Connection, design: str) -> tuple[Version, ...]:
    """The versions of a design, the first one first."""
    rows = db.execute(
        "SELECT number, title, garment, toml, name, autosaved, started, saved"
        " FROM design_version WHERE design = ? ORDER BY number",
        (design,),
    )
    return tuple(
        Version(number, DesignText(title, garment, toml), name, bool(autosaved), started, saved)
        for number, title, garment, toml, name, autosaved, started, saved in rows
    )


def version(db: sqlite3.Connection, design: str, number: int) -> Version:
    """One version of a design.

    :raises NoSuchRecord: where there is none of that number.
    """
    for known in all_versions(db, design):
        if known.number == number:
            return known
    raise NoSuchRecord("the design has no such version", number, "look at its list of versions")


def keep(
    db: sqlite3.Connection, design: str, text: DesignText, now: str, *, name: str, autosave: bool
) -> Version:
    """Keep a text that is being saved; gives the version that it is.

    A text that is the last version's already makes none; a name given with it becomes that one's.
    """
    checked_text(name, "version name", MOST_NAME, one_line=True)
    known = all_versions(db, design)
    last = known[-1] if known else None
    if last is not None and last.text == text:
        return rename(db, design, last.number, name) if name else last
    if (
        last is not None
        and autosave
        and not name
        and _is_open(last, now)
        and not _is_knitted(db, design, last.number)
    ):
        saved = replace(last, text=text, saved=now)
        db.execute(
            "DELETE FROM design_version WHERE design = ? AND number = ?", (design, last.number)
        )
    else:
        number = 1 if last is None else last.number + 1
        saved = Version(number, text, name, autosave, now, now)
    write(db, design, saved)
    return saved


def write(db: sqlite3.Connection, design: str, saved: Version) -> None:
    """Write a version that is not there yet."""
    text = saved.text
    db.execute(
        "INSERT INTO design_version (design, number, title, garment, toml, name, autosaved,"
        " started, saved) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            design,
            saved.number,
            text.title,
            text.garment,
            text.toml,
            saved.name,
            int(saved.autosaved),
            saved.started,
            saved.saved,
        ),
    )


def rename(db: sqlite3.Connection, design: str, number: int, name: str) -> Version:
    """Give a version a name; an empty one takes it away."""
    checked_text(name, "version name", MOST_NAME, one_line=True)
    known = version(db, design, number)
    db.execute(
        "UPDATE design_version SET name = ? WHERE design = ? AND number = ?",
        (name, design, number),
    )
    return replace(known, name=name)


def _is_open(last: Version, now: str) -> bool:
    """Whether an autosave may still become part of the last version."""
    since = datetime.fromisoformat(now) - datetime.fromisoformat(last.started)
    return last.autosaved and not last.name and timedelta() <= since < AUTOSAVE_WINDOW


def _is_knitted(db: sqlite3.Connection, design: str, number: int) -> bool:
    """Whether a making knits this version, so that its text must stay."""
    rows = db.execute("SELECT body FROM record WHERE kind = ?", (str(Kind.MAKING),))
    return any(
        body.text("design") == design and body.whole("version") == number
        for body in (parsed(row[0]) for row in rows)
    )


# --- what changed, in words ----------------------------------------------------------------------


class ChangeKind(StrEnum):
    """What became of a line."""

    ADDED = "added"
    REMOVED = "removed"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class Change:
    """A line that is not as it was.

    :param old_line: its number in the old text, counted from 1, and ``new_line`` in the new; None
        where it is not there.
    :param under: the heading that it stands under, such as ``[loom]``, or empty.
    """

    kind: ChangeKind
    under: str
    old_line: int | None = None
    old: str = ""
    new_line: int | None = None
    new: str = ""

    def __str__(self) -> str:
        place = f" under {self.under}" if self.under else ""
        match self.kind:
            case ChangeKind.ADDED:
                return f"Line {self.new_line} is new{place}: {self.new.strip()}"
            case ChangeKind.REMOVED:
                return f"Line {self.old_line} is gone{place}: {self.old.strip()}"
            case ChangeKind.CHANGED:
                was, now = self.old.strip(), self.new.strip()
                return f"Line {self.new_line} was changed{place}: {was} became {now}"


def what_changed(old: str, new: str) -> tuple[Change, ...]:
    """How the lines of one text differ from another's, in the order of the new text.

    Empty lines and blanks at the ends of lines are not looked at.  A line that is replaced by one
    with the same key before its ``=`` is told as changed.
    """
    before, after = _lines(old), _lines(new)
    head = 0
    while head < min(len(before), len(after)) and before[head][1] == after[head][1]:
        head += 1
    tail = 0
    room = min(len(before), len(after)) - head
    while tail < room and before[-1 - tail][1] == after[-1 - tail][1]:
        tail += 1
    old_middle = before[head : len(before) - tail]
    new_middle = after[head : len(after) - tail]
    matcher = difflib.SequenceMatcher(
        None, [text for _, text, _ in old_middle], [text for _, text, _ in new_middle]
    )
    changes: list[Change] = []
    for tag, i1, i2, j1, j2 in matcher.get_opcodes():
        if tag != "equal":
            changes += _replaced(old_middle[i1:i2], new_middle[j1:j2])
    return tuple(changes)


_Line = tuple[int, str, str]


def _lines(text: str) -> list[_Line]:
    """Number, text and heading of every line that is not empty."""
    found: list[_Line] = []
    under = ""
    for number, line in enumerate(text.splitlines(), 1):
        if heading := _HEADING.fullmatch(line):
            under = heading.group(1)
        if line.strip():
            found.append((number, line.rstrip(), "" if heading else under))
    return found


def _replaced(old: Sequence[_Line], new: Sequence[_Line]) -> Iterator[Change]:
    by_key: dict[tuple[str, str], deque[_Line]] = {}
    for line in old:
        if (key := _key(line)) is not None:
            by_key.setdefault(key, deque()).append(line)
    told: set[int] = set()
    for number, text, under in new:
        key = _key((number, text, under))
        same = by_key.get(key) if key is not None else None
        if same:
            old_number, old_text, _ = same.popleft()
            told.add(old_number)
            yield Change(ChangeKind.CHANGED, under, old_number, old_text, number, text)
        else:
            yield Change(ChangeKind.ADDED, under, new_line=number, new=text)
    for number, text, under in old:
        if number not in told:
            yield Change(ChangeKind.REMOVED, under, old_line=number, old=text)


def _key(line: _Line) -> tuple[str, str] | None:
    """Heading and key of a line that sets one."""
    match = _KEY.match(line[1])
    return (line[2], match.group(1)) if match else None
