"""Opening a library: new, old, somebody else's, damaged, from the future, in use."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from pegwright.library.backups import set_aside
from pegwright.library.database import APPLICATION_ID, Database
from pegwright.library.migrations import MIGRATIONS, Migration
from pegwright.library.refusals import (
    LibraryBusy,
    LibraryDamaged,
    LibraryTooNew,
    LibraryUnwritable,
    NoLibrary,
    NotALibrary,
)
from pegwright.library.store import Library
from tests.library.shelf import COX, SetClock


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "shelf" / "library.sqlite"


def filled(path: Path, people: int = 60) -> bytes:
    """A library with so many records, closed; its bytes."""
    with Library.open(path) as library:
        for number in range(people):
            library.put(COX, name=f"cox {number}", notes="rows and rows " * 20)
    return path.read_bytes()


@contextmanager
def raw(path: Path) -> Iterator[sqlite3.Connection]:
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        yield connection


def test_a_new_library_is_made_with_its_folder(path: Path) -> None:
    with Library.open(path) as library:
        assert library.list() == ()
        assert library.check() == ()
        assert library.path == path
    with raw(path) as db:
        pragmas = ("application_id", "user_version", "journal_mode")
        values = [db.execute(f"PRAGMA {name}").fetchone()[0] for name in pragmas]
    assert values == [APPLICATION_ID, len(MIGRATIONS), "wal"]


def test_the_connection_writes_through_to_the_disk(path: Path) -> None:
    with Library.open(path) as library, library.database.alone() as db:
        assert db.execute("PRAGMA synchronous").fetchone() == (2,)  # FULL
        assert db.execute("PRAGMA foreign_keys").fetchone() == (1,)


def test_no_library_is_made_where_none_was_asked_for(path: Path) -> None:
    with pytest.raises(NoLibrary) as caught:
        Library.open(path, create=False)
    assert caught.value.hint
    assert not path.parent.exists()


@pytest.mark.parametrize(
    "contents",
    [
        b"pegwright = 1\n",
        b"SQLite format 3\x00",  # cut short
        bytes(5000),
        b"PK\x03\x04" + bytes(200),
    ],
)
def test_a_file_that_is_no_library_is_left_alone(path: Path, contents: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(contents)
    with pytest.raises(NotALibrary) as caught:
        Library.open(path)
    assert str(path) in str(caught.value)
    assert path.read_bytes() == contents
    assert list(path.parent.iterdir()) == [path]


def test_another_programs_database_is_left_alone(path: Path) -> None:
    path.parent.mkdir()
    with raw(path) as db:
        db.execute("CREATE TABLE record (id)")
    before = path.read_bytes()
    with pytest.raises(NotALibrary):
        Library.open(path)
    assert path.read_bytes() == before


def test_a_folder_is_no_library(path: Path) -> None:
    path.mkdir(parents=True)
    with pytest.raises(NotALibrary):
        Library.open(path)


def test_an_empty_file_becomes_a_library(path: Path) -> None:
    path.parent.mkdir()
    path.touch()  # as a making that was killed at its very start leaves it
    with Library.open(path) as library:
        assert library.check() == ()


def test_a_later_library_is_left_alone(path: Path) -> None:
    filled(path, 1)
    with raw(path) as db:
        db.execute("PRAGMA user_version = 99")
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    before = path.read_bytes()
    with pytest.raises(LibraryTooNew) as caught:
        Library.open(path)
    assert "99" in str(caught.value)
    assert path.read_bytes() == before


def test_a_later_version_that_is_still_in_the_log_is_seen(path: Path) -> None:
    filled(path, 1)
    with raw(path) as db:
        db.execute("PRAGMA user_version = 99")  # not yet in the file itself
        with pytest.raises(LibraryTooNew):
            Library.open(path)


@pytest.mark.parametrize("where", [0.3, 0.5, 0.8])
def test_a_damaged_library_is_left_alone(path: Path, where: float) -> None:
    data = bytearray(filled(path))
    at = int(len(data) * where) // 4096 * 4096
    data[at : at + 4096] = b"\xa5" * 4096
    path.write_bytes(data)
    with pytest.raises(LibraryDamaged) as caught:
        Library.open(path)
    assert "restore" in str(caught.value.hint)
    assert path.read_bytes() == data


def test_a_library_that_was_cut_off_is_left_alone(path: Path) -> None:
    data = filled(path)[:-8192]
    path.write_bytes(data)
    with pytest.raises(LibraryDamaged):
        Library.open(path)
    assert path.read_bytes() == data


def test_damage_that_shows_only_later_is_told_in_plain_words(path: Path) -> None:
    data = bytearray(filled(path))
    data[4096:] = b"\xa5" * (len(data) - 4096)
    path.write_bytes(data)
    with pytest.raises(LibraryDamaged):
        Library.open(path, verify=False)
    assert path.read_bytes()[4096:] == data[4096:]


def test_a_damaged_library_is_copied_aside_on_request(path: Path, tmp_path: Path) -> None:
    data = filled(path)[:-8192]
    path.write_bytes(data)
    Path(f"{path}-wal").write_bytes(b"the log")
    copies = [set_aside(path, tmp_path / "aside", SetClock()) for _ in range(2)]
    assert [copy.name for copy in copies] == [
        "set-aside-20261125T093000Z.sqlite",
        "set-aside-20261125T093000Z-2.sqlite",
    ]
    assert all(copy.read_bytes() == data for copy in copies)
    assert Path(f"{copies[0]}-wal").read_bytes() == b"the log"
    assert path.read_bytes() == data


# --- from version to version ---------------------------------------------------------------------

NEXT = Migration("boats", ("CREATE TABLE boat (name TEXT)", "INSERT INTO boat VALUES ('Tern')"))
BROKEN = Migration("broken", ("CREATE TABLE oar (name TEXT)", "INSERT INTO nowhere VALUES (1)"))


def test_an_old_library_is_brought_up_to_date(path: Path) -> None:
    filled(path, 3)
    newer = (*MIGRATIONS, NEXT)
    for _ in range(2):  # once more does nothing
        with closing(Database.open(path, migrations=newer)) as database, database.read() as db:
            assert db.execute("SELECT name FROM boat").fetchall() == [("Tern",)]
            assert db.execute("SELECT count(*) FROM record").fetchone() == (3,)
    with pytest.raises(LibraryTooNew):
        Library.open(path)


def test_a_step_that_fails_leaves_the_library_as_it_was(path: Path) -> None:
    filled(path, 3)
    with pytest.raises(LibraryUnwritable):
        Database.open(path, migrations=(*MIGRATIONS, NEXT, BROKEN))
    with Library.open(path) as library:
        assert len(library.list()) == 3
    with raw(path) as db:
        tables = {row[0] for row in db.execute("SELECT name FROM sqlite_master")}
        assert not tables & {"boat", "oar"}
        assert db.execute("PRAGMA user_version").fetchone() == (len(MIGRATIONS),)


# --- others at the same file ---------------------------------------------------------------------


def test_another_program_that_holds_the_library_is_told_of(path: Path) -> None:
    filled(path, 1)
    with closing(Database.open(path, busy_seconds=0.05)) as database, raw(path) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LibraryBusy) as caught, database.change():
            pass
        assert caught.value.hint
        with database.read() as db:  # readers do not wait
            assert db.execute("SELECT count(*) FROM record").fetchone() == (1,)
        other.execute("ROLLBACK")
        with database.change():
            pass


def test_opening_does_not_wait_for_a_writer(path: Path) -> None:
    filled(path, 1)
    with (
        Library.open(path) as library,
        library.database.change(),
        closing(Database.open(path, busy_seconds=0.05)) as other,
        other.read() as db,
    ):
        assert db.execute("SELECT count(*) FROM record").fetchone() == (1,)


def test_a_making_that_was_cut_short_before_its_log_is_finished(path: Path) -> None:
    filled(path, 1)
    with raw(path) as db:
        db.execute("PRAGMA journal_mode = DELETE")
    Library.open(path).close()
    with raw(path) as db:
        assert db.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_several_at_once_make_one_new_library(path: Path) -> None:
    wrong: list[Exception] = []
    start = threading.Barrier(4)

    def work(number: int) -> None:
        start.wait()
        try:
            with Library.open(path) as library:
                for turn in range(5):
                    library.put(COX, name=f"crew{number} seat{turn}")
        except Exception as error:  # noqa: BLE001 - told of below
            wrong.append(error)

    threads = [threading.Thread(target=work, args=(n,)) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []
    with Library.open(path) as library:
        assert len(library.list()) == 20
        assert len(library.search("Crew3 seat4")) == 1


def test_threads_share_one_library(path: Path) -> None:
    with Library.open(path) as library:
        threads = [
            threading.Thread(target=lambda: [library.put(COX) for _ in range(10)]) for _ in range(4)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(library.list()) == 40
        assert library.check() == ()


def half_way(library: Library) -> None:
    with library.database.change() as db:
        db.execute("INSERT INTO meta VALUES ('half', 'way')")
        with library.database.change():
            raise ZeroDivisionError


def test_a_change_that_fails_half_way_leaves_nothing(path: Path) -> None:
    with Library.open(path) as library:
        with pytest.raises(ZeroDivisionError):
            half_way(library)
        with library.database.read() as db:
            assert db.execute("SELECT * FROM meta WHERE key = 'half'").fetchone() is None
        library.close()
        library.close()  # twice is no harm
