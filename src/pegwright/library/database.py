"""The library's file on SQLite: opening it safely, transactions, SQLite's errors in plain words.

* A file is looked at before SQLite may touch it: what is no library of ours, is of a later version
  or does not hold together is refused and stays as it is.
* Every change is one ``BEGIN IMMEDIATE`` transaction that is on the disk when it ends
  (write-ahead log, ``synchronous=FULL``).
* One connection serves all threads of a program, one at a time; other programs may use the file at
  the same time and wait for one another.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from pegwright.errors import PegwrightError, Place
from pegwright.library.migrations import MIGRATIONS, Migration, migrate, too_new, version_of
from pegwright.library.refusals import (
    LibraryBusy,
    LibraryDamaged,
    LibraryUnwritable,
    NoLibrary,
    NotALibrary,
)

__all__ = ["APPLICATION_ID", "SIDES", "Database", "only_read", "refusal"]

APPLICATION_ID = 0x50454757
"""Stands in the header of every library file (``PEGW``)."""

SIDES = ("-wal", "-shm", "-journal")
"""Endings of the files that SQLite keeps beside a database."""

_MAGIC = b"SQLite format 3\x00"
_HEADER = 100
_BUSY_SECONDS = 5.0
_RESTORE = "bring back a backup: pegwright library restore FILE"


class Database:
    """An open library file.

    :param connection: in autocommit mode; transactions are begun here and nowhere else.
    :param full_text: whether SQLite's full-text search (FTS5) is there.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection, *, full_text: bool) -> None:
        self.path = path
        self.full_text = full_text
        self._connection = connection
        self._lock = threading.RLock()

    @classmethod
    def open(
        cls,
        path: Path,
        *,
        create: bool = True,
        verify: bool = True,
        full_text: bool = True,
        busy_seconds: float = _BUSY_SECONDS,
        migrations: Sequence[Migration] = MIGRATIONS,
    ) -> Database:
        """Open a library, or make it.

        :param create: make it (and its folder) where there is none.
        :param verify: look through the whole file first, so that nothing is built on damage.
        :param full_text: False does without full-text search even where it is there.
        :raises NoLibrary, NotALibrary, LibraryDamaged, LibraryTooNew, LibraryBusy,
            LibraryUnwritable: leaving the file as it is.
        """
        with _plain_words(path):
            _look_first(path, create, verify, len(migrations))
            connection = _connect(f"{path.absolute().as_uri()}?mode=rwc", busy_seconds)
            try:
                _prepare(connection, path, migrations)
                return cls(path, connection, full_text=full_text and _has_full_text(connection))
            except BaseException:
                connection.close()
                raise

    @contextmanager
    def change(self) -> Iterator[sqlite3.Connection]:
        """A transaction that writes: all of it or nothing; inside another it is part of that."""
        with self._transaction("BEGIN IMMEDIATE") as connection:
            yield connection

    @contextmanager
    def read(self) -> Iterator[sqlite3.Connection]:
        """A transaction that sees the library as it is at one moment."""
        with self._transaction("BEGIN") as connection:
            yield connection

    @contextmanager
    def alone(self) -> Iterator[sqlite3.Connection]:
        """The bare connection, outside any transaction, for SQLite's backup."""
        with self._lock, _plain_words(self.path):
            yield self._connection

    def integrity(self) -> tuple[str, ...]:
        """What SQLite's full check finds wrong; nothing in a sound library."""
        with self.alone() as connection:
            found = [row[0] for row in connection.execute("PRAGMA integrity_check")]
            broken = connection.execute("PRAGMA foreign_key_check").fetchall()
        words = [line for line in found if line != "ok"]
        return (*words, *(f"a row of {table} refers to nothing" for table, *_ in broken))

    def close(self) -> None:
        """Let go of the file; once more does nothing."""
        with self._lock:
            self._connection.close()

    @contextmanager
    def _transaction(self, begin: str) -> Iterator[sqlite3.Connection]:
        with self._lock, _plain_words(self.path):
            if self._is_busy():
                yield self._connection
                return
            self._connection.execute(begin)
            try:
                yield self._connection
                self._connection.execute("COMMIT")
            except BaseException:
                if self._is_busy():
                    self._connection.execute("ROLLBACK")
                raise

    def _is_busy(self) -> bool:
        return self._connection.in_transaction


@contextmanager
def only_read(path: Path) -> Iterator[sqlite3.Connection]:
    """A library file, looked through and then read without a letter of it being changed.

    :raises: as :meth:`Database.open`.
    """
    with _plain_words(path):
        _look_first(path, create=False, verify=True, newest=len(MIGRATIONS))
        connection = _connect(f"{path.absolute().as_uri()}?mode=ro", _BUSY_SECONDS)
        try:
            yield connection
        finally:
            connection.close()


def refusal(path: Path, wrong: sqlite3.Error | OSError) -> PegwrightError:
    """What SQLite or the system says, in plain words."""
    place = Place(str(path))
    if isinstance(wrong, OSError):
        words = wrong.strerror or str(wrong)
        return LibraryUnwritable("the library cannot be reached", given=words, place=place)
    code = getattr(wrong, "sqlite_errorcode", 0) & 0xFF
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return LibraryBusy(
            "another program is using the library",
            hint="try again in a moment; close other windows of Pegwright if it lasts",
            place=place,
        )
    if code == sqlite3.SQLITE_NOTADB:
        return _not_ours(path)
    if code == sqlite3.SQLITE_CORRUPT:
        return _damaged(path, str(wrong))
    return LibraryUnwritable(
        "the library cannot be read or written",
        given=str(wrong),
        hint="see whether the disk is full, and whether you may write to that folder",
        place=place,
    )


# --- looking before touching ---------------------------------------------------------------------


def _look_first(path: Path, create: bool, verify: bool, newest: int) -> None:
    """Refuse what must not be opened; SQLite writes nothing to the file on the way."""
    if not path.exists() or (path.is_file() and path.stat().st_size == 0):
        if not create:
            raise NoLibrary(
                "there is no library here yet",
                given=str(path),
                hint="start the studio, or bring back an archive: pegwright library restore FILE",
                place=Place(str(path)),
            )
        path.parent.mkdir(parents=True, exist_ok=True)
        return
    if not path.is_file():
        raise NotALibrary("this is no plain file", given=str(path), place=Place(str(path)))
    if Path(f"{path}-journal").exists():
        return  # its making was cut short: SQLite undoes that, and the checks come after
    _check_header(path, newest)
    if verify:
        _check_pages(path)


def _check_header(path: Path, newest: int) -> None:
    """The mark and the version stand at fixed places (SQLite's file format, 1.3)."""
    with path.open("rb") as file:
        header = file.read(_HEADER)
    if len(header) < _HEADER or not header.startswith(_MAGIC):
        raise _not_ours(path)
    if int.from_bytes(header[68:72], "big") != APPLICATION_ID:
        raise _not_ours(path)
    version = int.from_bytes(header[60:64], "big")
    if version > newest:
        raise too_new(str(path), version, newest)


def _check_pages(path: Path) -> None:
    connection = _connect(f"{path.absolute().as_uri()}?mode=ro", _BUSY_SECONDS)
    try:
        found = [row[0] for row in connection.execute("PRAGMA quick_check(3)")]
    except sqlite3.OperationalError:
        raise
    except sqlite3.DatabaseError as wrong:
        raise _damaged(path, str(wrong)) from None
    finally:
        connection.close()
    if found != ["ok"]:
        raise _damaged(path, "; ".join(found))


def _connect(uri: str, busy_seconds: float) -> sqlite3.Connection:
    return sqlite3.connect(
        uri, uri=True, timeout=busy_seconds, isolation_level=None, check_same_thread=False
    )


def _prepare(connection: sqlite3.Connection, path: Path, migrations: Sequence[Migration]) -> None:
    """Mark a new file, bring an old one up to date, and set how this connection works."""
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA foreign_keys = ON")
    if _is_ours(connection) and version_of(connection) == len(migrations):
        connection.execute("PRAGMA journal_mode = WAL")  # where its making was cut short before it
        return  # nothing to write, so nobody who is writing has to be waited for
    connection.execute("BEGIN IMMEDIATE")
    try:
        empty = connection.execute("SELECT count(*) FROM sqlite_master").fetchone() == (0,)
        if empty and not _is_ours(connection):
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        if not _is_ours(connection):
            raise _not_ours(path)
        before = version_of(connection)
        migrate(connection, str(path), migrations)
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
    connection.execute("PRAGMA journal_mode = WAL")
    if version_of(connection) != before:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")  # the version stands in the header


def _is_ours(connection: sqlite3.Connection) -> bool:
    """Whether a database carries our mark."""
    (number,) = connection.execute("PRAGMA application_id").fetchone()
    return bool(number == APPLICATION_ID)


def _has_full_text(connection: sqlite3.Connection) -> bool:
    return any(row[0] == "fts5" for row in connection.execute("PRAGMA module_list"))


# --- in plain words ------------------------------------------------------------------------------


@contextmanager
def _plain_words(path: Path) -> Iterator[None]:
    try:
        yield
    except (sqlite3.Error, OSError) as wrong:
        raise refusal(path, wrong) from wrong


def _not_ours(path: Path) -> NotALibrary:
    return NotALibrary(
        "this file is no library of Pegwright's, and it was left as it is",
        given=str(path),
        hint="choose another file name for the library",
        place=Place(str(path)),
    )


def _damaged(path: Path, words: str) -> LibraryDamaged:
    return LibraryDamaged(
        "the library is damaged, and it was left as it is",
        given=words,
        hint=_RESTORE,
        place=Place(str(path)),
    )
