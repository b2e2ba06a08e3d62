"""Records as rows of the database: found, listed, searched, written, erased.

Every function works inside a transaction that its caller has begun.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator

from pegwright.library import words as search_words
from pegwright.library.codecs import body_data, body_from
from pegwright.library.fields import json_text, parsed
from pegwright.library.records import Kind, Record
from pegwright.library.refusals import NoSuchRecord, StaleRevision

__all__ = ["Rows", "require_revision"]

_COLUMNS = "r.id, r.kind, r.name, r.body, r.notes, r.created, r.changed, r.revision, r.deleted"
_STALE = "index"


class Rows:
    """The rows of records on a connection.

    :param full_text: whether the full-text table is kept in step and used.
    """

    def __init__(self, db: sqlite3.Connection, *, full_text: bool) -> None:
        self._db = db
        self._full_text = full_text

    def find(self, record_id: str) -> Record | None:
        """The record of that id, deleted or not, or None."""
        row = self._db.execute(
            f"SELECT {_COLUMNS} FROM record r WHERE r.id = ?", (record_id,)
        ).fetchone()
        return None if row is None else _record(row)

    def get(self, record_id: str) -> Record:
        """The record of that id, deleted or not.

        :raises NoSuchRecord: where there is none.
        """
        record = self.find(record_id)
        if record is None:
            raise NoSuchRecord("no such record is in the library", record_id)
        return record

    def get_kind(self, record_id: str, kind: Kind) -> Record:
        """The record of that id, which must be of this kind."""
        record = self.get(record_id)
        if record.kind is not kind:
            raise NoSuchRecord(f"this record is no {kind}", record.name, f"it is a {record.kind}")
        return record

    def listed(
        self, kind: Kind | None, deleted: bool | None, limit: int, offset: int = 0
    ) -> tuple[Record, ...]:
        """Records, the latest change first; deleted ones only, others only, or (None) all."""
        rows = self._db.execute(
            f"SELECT {_COLUMNS} FROM record r WHERE (?1 IS NULL OR r.kind = ?1)"
            " AND (?2 IS NULL OR r.deleted = ?2)"
            " ORDER BY r.changed DESC, r.id LIMIT ?3 OFFSET ?4",
            (kind, deleted, limit, offset),
        )
        return tuple(_record(row) for row in rows)

    def every(self) -> Iterator[Record]:
        """All records, deleted ones too, in the order of their ids."""
        for row in self._db.execute(f"SELECT {_COLUMNS} FROM record r ORDER BY r.id"):
            yield _record(row)

    def search(self, query: str, kind: Kind | None, limit: int) -> tuple[Record, ...]:
        """Records that hold every word of the query; see :mod:`pegwright.library.words`."""
        terms = search_words.query_words(query)
        if not terms:
            return ()
        where = " AND r.deleted = 0 AND (? IS NULL OR r.kind = ?) ORDER BY "
        latest = "r.changed DESC, r.id LIMIT ?"
        if self._full_text:
            index = search_words.INDEX
            rows = self._db.execute(
                f"SELECT {_COLUMNS} FROM {index} JOIN record r ON r.number = {index}.rowid"
                f" WHERE {index} MATCH ?{where} bm25({index}, 10.0, 3.0, 1.0), {latest}",
                (search_words.match_terms(terms), kind, kind, limit),
            )
        else:
            # Words hold letters and digits only, so nothing in them means anything to LIKE.
            each = " AND ".join("r.words LIKE ?" for _ in terms)
            rows = self._db.execute(
                f"SELECT {_COLUMNS} FROM record r WHERE {each}{where}{latest}",
                (*(f"% {word}%" for word in terms), kind, kind, limit),
            )
        return tuple(_record(row) for row in rows)

    def insert(self, record: Record) -> None:
        """Write a new record."""
        words = search_words.body_words(record)
        row = self._db.execute(
            "INSERT INTO record (id, kind, name, body, notes, created, changed, revision, deleted,"
            " words) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (*_values(record), _all_words(record, words)),
        )
        self._index(int(row.lastrowid or 0), record, words)

    def update(self, record: Record) -> None:
        """Write a record in place of what it was."""
        words = search_words.body_words(record)
        self._db.execute(
            "UPDATE record SET kind = ?2, name = ?3, body = ?4, notes = ?5, created = ?6,"
            " changed = ?7, revision = ?8, deleted = ?9, words = ?10 WHERE id = ?1",
            (*_values(record), _all_words(record, words)),
        )
        self._index(self._number(record.id), record, words)

    def erase(self, record_id: str) -> None:
        """Take a record out for good, with all that hangs on it."""
        if self._full_text:
            number = self._number(record_id)
            self._db.execute(f"DELETE FROM {search_words.INDEX} WHERE rowid = ?", (number,))
        else:
            self._set_stale(True)
        self._db.execute("DELETE FROM record WHERE id = ?", (record_id,))

    def index_is_fresh(self) -> bool:
        """Whether the full-text table is there and has all records."""
        stale = self._db.execute("SELECT 1 FROM meta WHERE key = ?", (_STALE,)).fetchone()
        return stale is None and search_words.has_index(self._db)

    def index_anew(self) -> None:
        """Make the full-text table out of the records."""
        search_words.make_index(self._db)
        for number, *row in self._db.execute(f"SELECT r.number, {_COLUMNS} FROM record r"):
            record = _record(row)
            search_words.put_in_index(self._db, number, record, search_words.body_words(record))
        self._set_stale(False)

    def _index(self, number: int, record: Record, words: str) -> None:
        if self._full_text:
            search_words.put_in_index(self._db, number, record, words)
        else:
            self._set_stale(True)

    def _set_stale(self, stale: bool) -> None:
        if stale:
            self._db.execute("INSERT OR REPLACE INTO meta VALUES (?, 'stale')", (_STALE,))
        else:
            self._db.execute("DELETE FROM meta WHERE key = ?", (_STALE,))

    def _number(self, record_id: str) -> int:
        (number,) = self._db.execute(
            "SELECT number FROM record WHERE id = ?", (record_id,)
        ).fetchone()
        return int(number)


def require_revision(record: Record, expected: int | None) -> None:
    """Refuse a change that was made to another revision than the last.

    :raises StaleRevision: naming both.
    """
    if record.revision != expected:
        raise StaleRevision(record.name, expected, record.revision)


def _values(record: Record) -> tuple[object, ...]:
    return (
        record.id,
        str(record.kind),
        record.name,
        json_text(body_data(record.body)),
        record.notes,
        record.created,
        record.changed,
        record.revision,
        int(record.deleted),
    )


def _all_words(record: Record, words: str) -> str:
    named = search_words.folded(f"{record.name} {record.notes}")
    return f" {named} {words} "


def _record(row: tuple[object, ...] | list[object]) -> Record:
    record_id, kind, name, body, notes, created, changed, revision, deleted = row
    known = Kind(str(kind))
    return Record(
        str(record_id),
        known,
        str(name),
        body_from(known, parsed(str(body))),
        str(notes),
        str(created),
        str(changed),
        int(str(revision)),
        bool(deleted),
    )
