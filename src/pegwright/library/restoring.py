"""An archive brought back: into a new library, or merged into one that is in use.

What is there already stays as it is.  A record that is in both and differs is kept as both, the
archive's under a new id and a name that says so; it keeps its versions, weighings, events and
photos.  The new id is made from the record itself, so that restoring the same archive once more
finds it and adds nothing.  Weighings, events and photos of a record that is the same in both are
put together.
"""

from __future__ import annotations

import hashlib
import sqlite3
import uuid
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import IO

from pegwright.errors import BadInput, PegwrightError, Place
from pegwright.library import archive, logs, versions
from pegwright.library.archive import Contents
from pegwright.library.codecs import body_data
from pegwright.library.fields import json_text
from pegwright.library.photos import Photo
from pegwright.library.records import MOST_NAME, DesignText, Record, references, with_references
from pegwright.library.rows import Rows
from pegwright.library.store import Library

__all__ = ["BESIDE", "Restored", "restore", "restore_file"]

BESIDE = " (from the archive)"
_COPIES = uuid.UUID("5c2a24b4-19b5-4a86-9d3c-0f4c5f0a7d11")


@dataclass(frozen=True, slots=True)
class Restored:
    """What restoring did.

    :param added: records that were not there; ``same`` were, and nothing of them was lost.
    :param beside: records that differ, kept beside the library's own: its id, then the new one's.
    :param weighings: how many weighings were added, and ``events`` and ``photos`` likewise.
    """

    added: tuple[str, ...]
    same: tuple[str, ...]
    beside: tuple[tuple[str, str], ...]
    weighings: int
    events: int
    photos: int

    @property
    def changed_anything(self) -> bool:
        """Whether the library holds more than before."""
        return bool(self.added or self.beside or self.weighings or self.events or self.photos)


def restore_file(library: Library, path: Path) -> Restored:
    """Bring back the archive in a file; see :func:`restore`."""
    try:
        with path.open("rb") as stream:
            return restore(library, stream, str(path))
    except OSError as wrong:
        raise BadInput(
            "the archive cannot be opened",
            given=wrong.strerror or str(wrong),
            hint="check the name",
            place=Place(str(path)),
        ) from None


def restore(library: Library, stream: IO[bytes], name: str = "archive") -> Restored:
    """Bring back an archive: all of it, or nothing where any part is refused.

    :raises BadInput: for what is no archive, or one that was changed or cut.
    """
    try:
        zipped = zipfile.ZipFile(stream)
    except (zipfile.BadZipFile, ValueError, NotImplementedError):
        raise BadInput(
            "this file is no archive of a library, or it was cut short",
            hint="use the file as “pegwright library export” wrote it",
            place=Place(name),
        ) from None
    with zipped:
        try:
            contents = archive.read(zipped, name)
            with library.database.change() as db:
                rows = Rows(db, full_text=library.database.full_text)
                return _Merge(db, rows, contents, zipped, name).run()
        except PegwrightError as refused:
            raise refused.at(Place(name)) from None


class _Merge:
    """One restoring, inside one transaction."""

    def __init__(
        self,
        db: sqlite3.Connection,
        rows: Rows,
        contents: Contents,
        zipped: zipfile.ZipFile,
        name: str,
    ) -> None:
        self._db = db
        self._rows = rows
        self._contents = contents
        self._zipped = zipped
        self._name = name

    def run(self) -> Restored:
        records = self._contents.records
        renamed: dict[str, str] = {}
        moved: dict[str, str] = {}
        # What others refer to comes first, so that it is known under which id it is kept.
        for record in sorted(records.values(), key=lambda r: bool(references(r.body))):
            renamed[record.id] = self._target(record, moved)
            if renamed[record.id] != record.id:
                moved[record.id] = renamed[record.id]
        new = [old for old, target in renamed.items() if self._rows.find(target) is None]
        for old in new:
            self._insert(records[old], renamed[old], moved)
        weighings = events = pictures = 0
        for old, target in renamed.items():
            for weighing in self._contents.weighings.get(old, ()):
                making = weighing.making and moved.get(weighing.making, weighing.making)
                weighing = replace(weighing, making=making)
                weighings += logs.add_weighing(self._db, target, weighing)
            if old in self._contents.events:
                events += logs.add_events(self._db, target, self._contents.events[old])
            pictures += sum(self._attach(p, target) for p in self._contents.photos.get(old, ()))
        return Restored(
            tuple(old for old in new if old not in moved),
            tuple(old for old in records if old not in new),
            tuple((old, moved[old]) for old in new if old in moved),
            weighings,
            events,
            pictures,
        )

    def _target(self, record: Record, moved: Mapping[str, str]) -> str:
        """The id under which the archive's record is, or will be, in the library."""
        here = self._rows.find(record.id)
        if here is None or self._same(here, record, moved):
            return record.id
        history = [_version_data(v) for v in self._contents.versions.get(record.id, ())]
        data = [str(record.kind), record.name, record.notes, body_data(record.body), history]
        digest = hashlib.sha256(json_text(data).encode()).hexdigest()
        return str(uuid.uuid5(_COPIES, f"{record.id} {digest}"))

    def _same(self, here: Record, record: Record, moved: Mapping[str, str]) -> bool:
        """Whether the library's record holds all that the archive's does."""
        words = (here.kind, here.name, here.notes) == (record.kind, record.name, record.notes)
        bodies = (record.body, with_references(record.body, moved))
        alike = words and here.body in bodies
        if not alike or not isinstance(record.body, DesignText):
            return alike
        known = {v.number: v.text for v in versions.all_versions(self._db, here.id)}
        theirs = self._contents.versions.get(record.id, ())
        return all(known.get(v.number) == v.text for v in theirs)

    def _insert(self, record: Record, target: str, moved: Mapping[str, str]) -> None:
        name = record.name
        if target != record.id:
            name = f"{name[: MOST_NAME - len(BESIDE)]}{BESIDE}"
        body = with_references(record.body, moved)
        self._rows.insert(replace(record, id=target, name=name, body=body))
        for version in self._contents.versions.get(record.id, ()):
            versions.write(self._db, target, version)

    def _attach(self, photo: Photo, target: str) -> int:
        """Hang a photo on its record, where it does not hang there already."""
        there = self._db.execute(
            "SELECT 1 FROM attachment WHERE record = ? AND sha256 = ?", (target, photo.sha256)
        ).fetchone()
        if there is not None:
            return 0
        known = self._db.execute("SELECT 1 FROM photo WHERE sha256 = ?", (photo.sha256,))
        if known.fetchone() is None:
            data = archive.photo_of(self._zipped, photo, self._name)
            row = (photo.sha256, str(photo.type), data)
            self._db.execute("INSERT INTO photo VALUES (?, ?, ?)", row)
        hung = (target, photo.sha256, photo.words, photo.added)
        self._db.execute("INSERT INTO attachment VALUES (?, ?, ?, ?)", hung)
        return 1


def _version_data(version: versions.Version) -> list[object]:
    """What tells one version from another."""
    return [version.number, version.text.title, version.text.garment, version.text.toml]
