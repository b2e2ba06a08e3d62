"""How the library's file came to be as it is: each step from one version to the next.

A library carries its version in SQLite's ``user_version``.  Opening it brings it up to the newest
version known here, each step whole or not at all; steps are only ever added at the end.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from pegwright.library.refusals import LibraryTooNew

__all__ = ["MIGRATIONS", "Migration", "migrate", "version_of"]


@dataclass(frozen=True, slots=True)
class Migration:
    """One step: what it brings, and its statements in order."""

    words: str
    statements: tuple[str, ...]


MIGRATIONS: tuple[Migration, ...] = (
    Migration(
        "records, design versions, photos, weighings and events",
        (
            """CREATE TABLE meta (
                key TEXT PRIMARY KEY,
                value TEXT NOT NULL
            )""",
            """CREATE TABLE record (
                number INTEGER PRIMARY KEY,
                id TEXT NOT NULL UNIQUE,
                kind TEXT NOT NULL,
                name TEXT NOT NULL,
                notes TEXT NOT NULL,
                body TEXT NOT NULL,
                words TEXT NOT NULL,
                created TEXT NOT NULL,
                changed TEXT NOT NULL,
                revision INTEGER NOT NULL CHECK (revision >= 1),
                deleted INTEGER NOT NULL DEFAULT 0 CHECK (deleted IN (0, 1))
            )""",
            "CREATE INDEX record_listed ON record (deleted, kind, changed)",
            """CREATE TABLE design_version (
                design TEXT NOT NULL REFERENCES record (id) ON DELETE CASCADE,
                number INTEGER NOT NULL CHECK (number >= 1),
                title TEXT NOT NULL,
                garment TEXT NOT NULL,
                toml TEXT NOT NULL,
                name TEXT NOT NULL,
                autosaved INTEGER NOT NULL CHECK (autosaved IN (0, 1)),
                started TEXT NOT NULL,
                saved TEXT NOT NULL,
                PRIMARY KEY (design, number)
            )""",
            """CREATE TABLE photo (
                sha256 TEXT PRIMARY KEY,
                type TEXT NOT NULL,
                bytes BLOB NOT NULL
            )""",
            """CREATE TABLE attachment (
                record TEXT NOT NULL REFERENCES record (id) ON DELETE CASCADE,
                sha256 TEXT NOT NULL REFERENCES photo (sha256),
                words TEXT NOT NULL,
                added TEXT NOT NULL,
                PRIMARY KEY (record, sha256)
            )""",
            "CREATE INDEX attachment_of_photo ON attachment (sha256)",
            """CREATE TABLE weighing (
                yarn TEXT NOT NULL REFERENCES record (id) ON DELETE CASCADE,
                id TEXT NOT NULL,
                at TEXT NOT NULL,
                data TEXT NOT NULL,
                PRIMARY KEY (yarn, id)
            )""",
            """CREATE TABLE event (
                making TEXT NOT NULL REFERENCES record (id) ON DELETE CASCADE,
                id TEXT NOT NULL,
                device TEXT NOT NULL,
                counter INTEGER NOT NULL CHECK (counter >= 1),
                at TEXT NOT NULL,
                data TEXT NOT NULL,
                PRIMARY KEY (making, id, data)
            )""",
        ),
    ),
    Migration(
        "changes of a design that can be taken back, or made again",
        (
            """CREATE TABLE step (
                design TEXT NOT NULL REFERENCES record (id) ON DELETE CASCADE,
                side TEXT NOT NULL CHECK (side IN ('back', 'again')),
                number INTEGER NOT NULL CHECK (number >= 1),
                title TEXT NOT NULL,
                garment TEXT NOT NULL,
                toml TEXT NOT NULL,
                PRIMARY KEY (design, side, number)
            )""",
        ),
    ),
)


def version_of(connection: sqlite3.Connection) -> int:
    """The version of the library's file."""
    (number,) = connection.execute("PRAGMA user_version").fetchone()
    return int(number)


def migrate(
    connection: sqlite3.Connection, path: str, migrations: Sequence[Migration] = MIGRATIONS
) -> None:
    """Bring a library up to date, inside the transaction that is open on the connection.

    :raises LibraryTooNew: where it was written by a later Pegwright.
    """
    newest = len(migrations)
    current = version_of(connection)
    if current > newest:
        raise too_new(path, current, newest)
    for number, step in enumerate(migrations[current:], current + 1):
        for statement in step.statements:
            connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {number}")


def too_new(path: str, current: int, newest: int) -> LibraryTooNew:
    """The refusal of a library of a later version."""
    return LibraryTooNew(
        "this library was written by a later Pegwright",
        given=f"{path}: library version {current}; this Pegwright knows versions up to {newest}",
        hint="use the later Pegwright; the library was left as it is",
    )
