"""Photos: JPEG, PNG or WebP, kept once each by the SHA-256 of their bytes.

What a photo is, is read from its first bytes; what its name or its sender says does not count.
"""

from __future__ import annotations

import hashlib
import sqlite3
from dataclasses import dataclass
from enum import StrEnum

from pegwright.errors import BadInput, Place
from pegwright.library.records import checked_text
from pegwright.library.refusals import NoSuchRecord

__all__ = ["MOST_PHOTO_BYTES", "Photo", "PhotoType", "sniffed"]

MOST_PHOTO_BYTES = 25_000_000
"""The largest photo: more than a telephone's camera writes."""

_MOST_WORDS = 2000


class PhotoType(StrEnum):
    """What a photo may be, by its media type."""

    JPEG = "image/jpeg"
    PNG = "image/png"
    WEBP = "image/webp"

    @property
    def ending(self) -> str:
        """The ending of such a file's name."""
        return {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}[self.value]


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo that hangs on a record.

    :param size: bytes.
    :param words: what it shows, for people who cannot see it.
    """

    record: str
    sha256: str
    type: PhotoType
    size: int
    words: str
    added: str


def sniffed(data: bytes) -> PhotoType:
    """What the bytes of a photo are.

    :raises BadInput: for anything but JPEG, PNG and WebP, or too large a file.
    """
    if len(data) > MOST_PHOTO_BYTES:
        raise BadInput(
            "the photo is too large",
            given=f"{len(data) / 1e6:.0f} MB",
            hint=f"at most {MOST_PHOTO_BYTES // 1_000_000} MB are kept; save it smaller",
            place=Place(field="photo"),
        )
    if data.startswith(b"\xff\xd8\xff"):
        return PhotoType.JPEG
    if data.startswith(b"\x89PNG\r\n\x1a\n") and data[12:16] == b"IHDR":
        return PhotoType.PNG
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP" and data[12:15] == b"VP8":
        return PhotoType.WEBP
    raise BadInput(
        "this is no photo that can be kept",
        given=f"a file that begins with {data[:12].hex(' ')}" if data else "an empty file",
        hint="save it as JPEG, PNG or WebP",
        place=Place(field="photo"),
    )


def attach(db: sqlite3.Connection, record: str, data: bytes, words: str, now: str) -> Photo:
    """Hang a photo on a record; one that hangs there already gets these words."""
    checked_text(words, "words", _MOST_WORDS)
    kind = sniffed(data)
    sha256 = hashlib.sha256(data).hexdigest()
    db.execute("INSERT OR IGNORE INTO photo VALUES (?, ?, ?)", (sha256, str(kind), data))
    db.execute("INSERT OR IGNORE INTO attachment VALUES (?, ?, ?, ?)", (record, sha256, words, now))
    db.execute(
        "UPDATE attachment SET words = ? WHERE record = ? AND sha256 = ?", (words, record, sha256)
    )
    return next(p for p in attached(db, record) if p.sha256 == sha256)


def attached(db: sqlite3.Connection, record: str | None = None) -> tuple[Photo, ...]:
    """The photos of a record, or of all records (None), the first that was added first."""
    rows = db.execute(
        "SELECT a.record, a.sha256, p.type, length(p.bytes), a.words, a.added"
        " FROM attachment a JOIN photo p ON p.sha256 = a.sha256"
        " WHERE ?1 IS NULL OR a.record = ?1 ORDER BY a.record, a.added, a.sha256",
        (record,),
    )
    return tuple(
        Photo(owner, sha256, PhotoType(kind), size, words, added)
        for owner, sha256, kind, size, words, added in rows
    )


def photo_bytes(db: sqlite3.Connection, sha256: str) -> tuple[PhotoType, bytes]:
    """A photo's type and bytes.

    :raises NoSuchRecord: where there is none.
    """
    row = db.execute("SELECT type, bytes FROM photo WHERE sha256 = ?", (sha256,)).fetchone()
    if row is None:
        raise NoSuchRecord("no such photo is in the library", sha256)
    return PhotoType(row[0]), bytes(row[1])


def detach(db: sqlite3.Connection, record: str, sha256: str) -> None:
    """Take a photo off a record; one that hangs nowhere any more is gone."""
    gone = db.execute(
        "DELETE FROM attachment WHERE record = ? AND sha256 = ?", (record, sha256)
    ).rowcount
    if not gone:
        raise NoSuchRecord("no such photo hangs on this record", sha256)
    sweep(db)


def sweep(db: sqlite3.Connection) -> None:
    """Take out photos that hang on no record."""
    db.execute("DELETE FROM photo WHERE sha256 NOT IN (SELECT sha256 FROM attachment)")
