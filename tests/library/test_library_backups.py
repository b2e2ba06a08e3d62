"""Backups: one a day, the right ones kept, and brought back without losing what is there."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.library.backups import (
    KEEP_LAST,
    back_up,
    back_up_if_due,
    bring_back,
    list_backups,
    to_remove,
)
from pegwright.library.places import backup_folder, default_path
from pegwright.library.refusals import LibraryDamaged, NoLibrary, NotALibrary
from pegwright.library.store import Library
from tests.library.shelf import BOARD, COX, START, SetClock, ids


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "library.sqlite"


@pytest.fixture
def folder(path: Path) -> Path:
    return backup_folder(path)


def names(path: Path) -> set[str]:
    with Library.open(path, create=False) as library:
        return {record.name for record in library.list()}


def test_a_backup_is_made_while_the_library_is_in_use(path: Path, folder: Path) -> None:
    with Library.open(path, SetClock(), ids()) as library:
        library.put(COX)
        with closing(sqlite3.connect(path, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")  # half a change of somebody else's
            other.execute("UPDATE record SET name = 'half'")
            backup = back_up(library, folder)
            other.execute("ROLLBACK")
        library.put(BOARD)
    assert backup.path.name == "library-20261125T093000Z.sqlite"
    assert backup.at == START
    assert backup.size == backup.path.stat().st_size
    assert [p.name for p in folder.iterdir()] == [backup.path.name]  # one file, and no halves
    assert names(backup.path) == {"cox"}


def test_one_backup_a_day_of_itself(path: Path, folder: Path) -> None:
    clock = SetClock()
    with Library.open(path, clock, ids()) as library:
        assert back_up_if_due(library, folder) is not None
        clock.move(hours=14)
        assert back_up_if_due(library, folder) is None
        clock.move(hours=1)  # half past midnight
        assert back_up_if_due(library, folder) is not None
        assert len(list_backups(folder)) == 2
        first, second = back_up(library, folder), back_up(library, folder)  # asked for: always
        assert first.path != second.path
        assert len(list_backups(folder)) == 4


def test_a_year_of_days_keeps_fourteen_and_one_a_month(path: Path, folder: Path) -> None:
    clock = SetClock(datetime(2026, 1, 5, 8, tzinfo=UTC))
    with Library.open(path, clock, ids()) as library:
        library.put(COX)
        for _ in range(100):
            back_up_if_due(library, folder)
            clock.move(days=1)
    days = [backup.at.strftime("%m-%d") for backup in list_backups(folder)]
    last = [f"04-{day:02}" for day in range(14, 0, -1)]
    assert days == [*last, "03-31", "02-28", "01-31"]


times = st.lists(st.integers(0, 400 * 24), max_size=80).map(
    lambda hours: [START + timedelta(hours=h) for h in hours]
)


@given(times)
def test_what_is_kept(made: list[datetime]) -> None:
    kept = set(made) - to_remove(made)
    assert set(sorted(made)[-KEEP_LAST:]) <= kept
    for at in made:
        month = [t for t in made if (t.year, t.month) == (at.year, at.month)]
        assert max(month) in kept
    months = {(t.year, t.month) for t in made}
    assert len(kept) <= KEEP_LAST + len(months)
    assert to_remove(kept) == frozenset()


def test_other_files_in_the_folder_are_left_alone(path: Path, folder: Path) -> None:
    folder.mkdir()
    for name in ("library-20269999T093000Z.sqlite", "my own.sqlite", "library-old.sqlite"):
        (folder / name).write_bytes(b"mine")
    assert list_backups(folder) == ()
    assert list_backups(folder / "nothing") == ()
    with Library.open(path, SetClock(), ids()) as library:
        back_up_if_due(library, folder)
    assert len(list(folder.iterdir())) == 4


def test_a_backup_comes_back_and_what_was_there_is_kept(path: Path, folder: Path) -> None:
    clock = SetClock()
    with Library.open(path, clock, ids()) as library:
        library.put(COX, name="then")
        backup = back_up(library, folder)
        library.put(COX, name="since", notes="knitted since")
        bytes_before = backup.path.read_bytes()
        before = bring_back(backup.path, path, folder, clock)  # while it is open here
        assert [r.name for r in library.list()] == ["then"]
        assert library.search("since") == ()
        library.put(COX, name="after")
        assert library.check() == ()
    assert before is not None
    assert before != backup.path
    assert backup.path.read_bytes() == bytes_before
    assert names(path) == {"then", "after"}
    assert names(before) == {"then", "since"}


def test_a_backup_comes_back_where_there_is_no_library(path: Path, folder: Path) -> None:
    with Library.open(path, SetClock(), ids()) as library:
        library.put(COX)
        backup = back_up(library, folder).path
    elsewhere = path.parent / "new" / "library.sqlite"
    assert bring_back(backup, elsewhere, backup_folder(elsewhere), SetClock()) is None
    assert names(elsewhere) == {"cox"}


def test_a_backup_takes_the_place_of_a_damaged_library(path: Path, folder: Path) -> None:
    with Library.open(path, SetClock(), ids()) as library:
        for number in range(30):
            library.put(COX, name=f"cox {number}", notes="rows " * 200)
        backup = back_up(library, folder).path
    damaged = path.read_bytes()[:-8192]
    path.write_bytes(damaged)
    with pytest.raises(LibraryDamaged):
        Library.open(path)
    aside = bring_back(backup, path, folder, SetClock())
    assert aside is not None
    assert aside.read_bytes() == damaged
    assert len(names(path)) == 30


@pytest.mark.parametrize("wrong", [b"", b"not a library", None])
def test_what_is_no_backup_changes_nothing(
    path: Path, folder: Path, tmp_path: Path, wrong: bytes | None
) -> None:
    with Library.open(path, SetClock(), ids()) as library:
        library.put(COX)
    before = path.read_bytes()
    backup = tmp_path / "backup.sqlite"
    if wrong is not None:
        backup.write_bytes(wrong)
    with pytest.raises((NotALibrary, NoLibrary)):
        bring_back(backup, path, folder, SetClock())
    assert path.read_bytes() == before
    assert list_backups(folder) == ()


def test_a_damaged_backup_changes_nothing(path: Path, folder: Path) -> None:
    with Library.open(path, SetClock(), ids()) as library:
        for number in range(30):
            library.put(COX, name=f"cox {number}", notes="rows " * 200)
        backup = back_up(library, folder).path
        library.put(BOARD)
    backup.write_bytes(backup.read_bytes()[:-8192])
    with pytest.raises(LibraryDamaged):
        bring_back(backup, path, folder, SetClock())
    assert len(names(path)) == 31


def test_a_damaged_library_gives_no_backup(path: Path, folder: Path) -> None:
    with Library.open(path, SetClock(), ids()) as library:
        for number in range(30):
            library.put(COX, name=f"cox {number}", notes="rows " * 200)
    path.write_bytes(path.read_bytes()[:-4096] + b"\xa5" * 4096)
    with Library.open(path, SetClock(), verify=False) as library, pytest.raises(LibraryDamaged):
        back_up(library, folder)
    assert list(folder.iterdir()) == []


# --- where it all lies ---------------------------------------------------------------------------

HERE = Path("/somewhere/tern")


@pytest.mark.parametrize(
    ("environment", "platform", "path"),
    [
        ({}, "linux", HERE / ".local/share/pegwright/library.sqlite"),
        ({"XDG_DATA_HOME": "/data"}, "linux", Path("/data/pegwright/library.sqlite")),
        # The XDG specification: a path that is not absolute is not looked at.
        ({"XDG_DATA_HOME": "data"}, "linux", HERE / ".local/share/pegwright/library.sqlite"),
        ({"XDG_DATA_HOME": ""}, "linux", HERE / ".local/share/pegwright/library.sqlite"),
        ({}, "darwin", HERE / "Library/Application Support/Pegwright/library.sqlite"),
        ({}, "win32", HERE / "AppData/Local/Pegwright/library.sqlite"),
        ({"LOCALAPPDATA": "/local"}, "win32", Path("/local/Pegwright/library.sqlite")),
        ({"PEGWRIGHT_LIBRARY": "/own.sqlite", "XDG_DATA_HOME": "/d"}, "linux", Path("/own.sqlite")),
    ],
)
def test_where_the_library_lies(environment: dict[str, str], platform: str, path: Path) -> None:
    assert default_path(environment, platform, HERE) == path


def test_where_the_backups_lie() -> None:
    assert backup_folder(HERE / "our.sqlite") == HERE / "our-backups"
