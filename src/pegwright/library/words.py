"""Finding records by words: what is searched, and how a query is read.

Letters are compared without case and accents, and a word that is typed finds every word that begins
with it.  All words of a query must be found, in name, notes or body.  With SQLite's full-text
search (FTS5) the best come first; without it the same records are found, the latest first.
"""

from __future__ import annotations

import re
import sqlite3
import unicodedata
from collections.abc import Iterable, Iterator

from pegwright.library.codecs import body_data
from pegwright.library.records import Record, references

__all__ = [
    "INDEX",
    "body_words",
    "folded",
    "has_index",
    "make_index",
    "match_terms",
    "put_in_index",
    "query_words",
]

INDEX = "record_words"
"""The full-text table; it is made anew from the records whenever it is missing or out of date."""

_WORD = re.compile(r"[^\W_]+")
_MOST_QUERY_WORDS = 16
_MOST_LETTERS = 200_000


def folded(text: str) -> str:
    """The words of a text without case and accents, parted by single spaces."""
    plain = unicodedata.normalize("NFKD", text[:_MOST_LETTERS])
    bare = "".join(c for c in plain if not unicodedata.combining(c))
    return " ".join(_WORD.findall(bare.casefold()))


def query_words(query: str) -> tuple[str, ...]:
    """The words of a query, each once."""
    return tuple(dict.fromkeys(folded(query[:2000]).split()))[:_MOST_QUERY_WORDS]


def body_words(record: Record) -> str:
    """The words of a record's body, without the ids of other records."""
    others = references(record.body)
    return folded(" ".join(t for t in _texts(body_data(record.body)) if t not in others))


def _texts(data: object) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for value in data.values():
            yield from _texts(value)
    elif isinstance(data, list):
        for value in data:
            yield from _texts(value)


# --- the full-text table -------------------------------------------------------------------------


def make_index(db: sqlite3.Connection) -> None:
    """Make the full-text table if need be, empty."""
    db.execute(f"DROP TABLE IF EXISTS {INDEX}")
    db.execute(f"CREATE VIRTUAL TABLE {INDEX} USING fts5(name, notes, body)")


def has_index(db: sqlite3.Connection) -> bool:
    """Whether the full-text table is there."""
    found = db.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (INDEX,)).fetchone()
    return found is not None


def put_in_index(db: sqlite3.Connection, number: int, record: Record, words: str) -> None:
    """Enter a record in the full-text table, in place of what was there."""
    db.execute(f"DELETE FROM {INDEX} WHERE rowid = ?", (number,))
    db.execute(
        f"INSERT INTO {INDEX} (rowid, name, notes, body) VALUES (?, ?, ?, ?)",
        (number, folded(record.name), folded(record.notes), words),
    )


def match_terms(words: Iterable[str]) -> str:
    """A full-text query: every word, each as a beginning."""
    return " ".join(f'"{word}"*' for word in words)
