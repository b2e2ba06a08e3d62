"""Backups: dated copies of the whole library, made by SQLite's own backup while it is in use.

One a day is made of itself; the last fourteen are kept, and of every month the last one besides.
A backup is a library file like any other.  Bringing one back first makes a backup of what is there.
"""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from pegwright.errors import Place
from pegwright.library.database import SIDES, only_read, refusal
from pegwright.library.records import Clock, utc_now
from pegwright.library.refusals import LibraryDamaged, NoLibrary
from pegwright.library.store import Library

__all__ = [
    "KEEP_LAST",
    "Backup",
    "back_up",
    "back_up_if_due",
    "bring_back",
    "list_backups",
    "set_aside",
    "to_remove",
]

KEEP_LAST = 14
_STEM = "library-"
_NAME = re.compile(r"library-(\d{8}T\d{6}Z)\.sqlite")
_FORM = "%Y%m%dT%H%M%SZ"


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup: its file, when it was made (UTC), and its size in bytes."""

    path: Path
    at: datetime
    size: int


def list_backups(folder: Path) -> tuple[Backup, ...]:
    """The backups in a folder, the latest first."""
    found: list[Backup] = []
    if folder.is_dir():
        for path in folder.iterdir():
            if match := _NAME.fullmatch(path.name):
                try:
                    at = datetime.strptime(match[1], _FORM).replace(tzinfo=UTC)
                except ValueError:
                    continue
                found.append(Backup(path, at, path.stat().st_size))
    return tuple(sorted(found, key=lambda b: b.at, reverse=True))


def to_remove(times: Iterable[datetime], keep_last: int = KEEP_LAST) -> frozenset[datetime]:
    """Of backups made at these times, those that need not be kept."""
    latest_first = sorted(set(times), reverse=True)
    kept = set(latest_first[:keep_last])
    months: set[tuple[int, int]] = set()
    for at in latest_first:
        if (at.year, at.month) not in months:
            months.add((at.year, at.month))
            kept.add(at)
    return frozenset(latest_first) - kept


def back_up_if_due(library: Library, folder: Path) -> Backup | None:
    """Make today's backup, where there is none yet, and remove those that need not be kept."""
    now = library.clock().astimezone(UTC)
    if any(known.at.date() == now.date() for known in list_backups(folder)):
        return None
    made = back_up(library, folder)
    known = list_backups(folder)
    gone = to_remove(b.at for b in known)
    for backup in known:
        if backup.at in gone:
            backup.path.unlink(missing_ok=True)
    return made


def back_up(library: Library, folder: Path) -> Backup:
    """Make a backup now; it is checked, and on the disk, before it gets its name.

    :raises LibraryDamaged: where the library does not hold together; older backups stay.
    """
    at = library.clock().astimezone(UTC).replace(microsecond=0)
    while (path := folder / f"{_STEM}{at.strftime(_FORM)}.sqlite").exists():
        at += timedelta(seconds=1)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with library.database.alone() as connection:
            _copy(connection, path)
    except (sqlite3.Error, OSError) as wrong:
        raise refusal(path, wrong) from wrong
    return Backup(path, at, path.stat().st_size)


def bring_back(backup: Path, path: Path, folder: Path, clock: Clock = utc_now) -> Path | None:
    """Put a backup in the place of the library.

    Programs that have the library open see the backup's contents from then on.

    :param backup: a backup, or any library file.
    :param path: the library's file, there or not, sound or damaged.
    :param folder: where the backups are; what was in the library goes there first.
    :returns: the copy of what was in the library before; None where there was none.
    :raises PegwrightError: where the backup is no sound library; nothing is changed then.
    """
    with only_read(backup) as source:
        before = _put_by(path, folder, clock)
        if before is not None and _NAME.fullmatch(before.name):
            with Library.open(path, clock) as library, library.database.alone() as target:
                source.backup(target)
        else:
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
                for side in SIDES:
                    Path(f"{path}{side}").unlink(missing_ok=True)
                _copy(source, path)
            except (sqlite3.Error, OSError) as wrong:
                raise refusal(path, wrong) from wrong
    Library.open(path, clock).close()  # brings an older one up to date
    return before


def _put_by(path: Path, folder: Path, clock: Clock) -> Path | None:
    """A copy of what is in the library: a backup, or where it is damaged, its bytes set aside."""
    try:
        with Library.open(path, clock, create=False) as library:
            return back_up(library, folder).path
    except NoLibrary:
        return None
    except LibraryDamaged:
        return set_aside(path, folder, clock)


def set_aside(path: Path, folder: Path, clock: Clock = utc_now) -> Path:
    """Copy a library file, damaged or not, with what lies beside it; nothing of it is changed."""
    stem = f"set-aside-{clock().astimezone(UTC).strftime(_FORM)}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        number, target = 1, folder / f"{stem}.sqlite"
        while target.exists():
            number += 1
            target = folder / f"{stem}-{number}.sqlite"
        for side in ("", *SIDES):
            if Path(f"{path}{side}").is_file():
                shutil.copy2(f"{path}{side}", f"{target}{side}")
    except OSError as wrong:
        raise refusal(path, wrong) from wrong
    return target


def _copy(source: sqlite3.Connection, path: Path) -> None:
    """Copy a database into a file of this name: whole and checked, or not at all."""
    half = path.with_name(f".{path.name}.{os.getpid()}.half")
    try:
        with closing(sqlite3.connect(half, isolation_level=None)) as target:
            source.backup(target)
            target.execute("PRAGMA journal_mode = DELETE")
            found = [row[0] for row in target.execute("PRAGMA integrity_check(3)")]
        if found != ["ok"]:
            raise LibraryDamaged(
                "the library is damaged, and no backup was made of it",
                given="; ".join(found),
                hint="bring back an older backup: pegwright library restore FILE",
                place=Place(str(path)),
            )
        with half.open("rb+") as file:
            os.fsync(file.fileno())
        half.replace(path)
        _sync_folder(path.parent)
    finally:
        for side in ("", *SIDES):
            Path(f"{half}{side}").unlink(missing_ok=True)


def _sync_folder(folder: Path) -> None:
    """Put the new name on the disk too, where the system can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
