"""The whole library as one file, and back: a zip of JSON lines and photos with a manifest.

* The same library gives the same bytes: members in order, no clock inside.
* Reading believes nothing: names, sizes and sums are checked against the manifest and against
  limits while the members are read; nothing is ever unpacked to the disk by its name.
* Restoring writes nothing over: what is there already stays, what differs is kept beside it under
  a name that says so, and restoring the same archive once more adds nothing.
"""

from __future__ import annotations

import hashlib
import os
import re
import zipfile
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import IO, TypeVar

from pegwright.errors import BadInput, NotPossible, Place
from pegwright.library import logs, photos, versions
from pegwright.library.codecs import record_data, record_from, weighing_data, weighing_from
from pegwright.library.fields import Fields, json_text, parsed
from pegwright.library.making import Event, event_data, event_from
from pegwright.library.photos import MOST_PHOTO_BYTES, Photo, PhotoType, sniffed
from pegwright.library.records import (
    MOST_NAME,
    DesignText,
    Record,
    Weighing,
    checked_text,
    checked_time,
)
from pegwright.library.rows import Rows
from pegwright.library.store import Library
from pegwright.library.versions import Version

__all__ = ["FORMAT", "Contents", "export", "export_bytes", "export_file", "photo_of", "read"]

T = TypeVar("T")

FORMAT = 1
_NAME = "pegwright-library"
_MANIFEST = "manifest.json"
_LINES = ("records", "versions", "weighings", "events", "photos")
_PHOTO_NAME = re.compile(r"photos/([0-9a-f]{64})\.(jpg|png|webp)")
_MOST_LINES_BYTES = 256_000_000
_MOST_BYTES = 8_000_000_000
_MOST_MEMBERS = 100_000
_BEFORE_ALL = (1980, 1, 1, 0, 0, 0)


# --- writing -------------------------------------------------------------------------------------


def export(library: Library, stream: IO[bytes]) -> None:
    """Write everything in the library, deleted records and old versions too."""
    with library.database.read() as db:
        rows = Rows(db, full_text=library.database.full_text)
        records = tuple(rows.every())
        attached = photos.attached(db)
        lines: dict[str, list[object]] = {name: [] for name in _LINES}
        for record in records:
            of = {"of": record.id}
            saved = versions.all_versions(db, record.id)
            lines["records"].append(record_data(record))
            lines["versions"] += [_version_data(v) | of for v in saved]
            lines["weighings"] += [weighing_data(w) | of for w in logs.all_weighings(db, record.id)]
            lines["events"] += [event_data(e) | of for e in logs.all_events(db, record.id)]
        lines["photos"] += [_photo_data(photo) for photo in attached]
        members = {f"{name}.jsonl": _jsonl(data) for name, data in lines.items()}
        if sum(map(len, members.values())) > _MOST_LINES_BYTES:
            raise NotPossible(
                "the library holds too much text for one archive",
                hint="use a backup instead: pegwright library backup",
            )
        kept = {photo.sha256: photo for photo in attached}
        sums = {name: hashlib.sha256(data).hexdigest() for name, data in members.items()}
        manifest = {"format": _NAME, "version": FORMAT, "records": len(records), "sha256": sums}
        with zipfile.ZipFile(stream, "w") as archive:
            _add(archive, _MANIFEST, json_text(manifest).encode())
            for name, data in members.items():
                _add(archive, name, data)
            for sha256, photo in sorted(kept.items()):
                _, data = photos.photo_bytes(db, sha256)
                _add(archive, f"photos/{sha256}.{photo.type.ending}", data, packed=False)


def export_bytes(library: Library) -> bytes:
    """The archive as bytes."""
    stream = BytesIO()
    export(library, stream)
    return stream.getvalue()


def export_file(library: Library, path: Path) -> None:
    """Write the archive to a file that is not there yet: whole, or not at all.

    :raises BadInput: where there is one already, or it cannot be written.
    """
    half = path.with_name(f".{path.name}.{os.getpid()}.half")
    try:
        if path.exists():
            raise FileExistsError
        with half.open("xb") as file:
            export(library, file)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            raise FileExistsError
        half.replace(path)
    except FileExistsError:
        raise BadInput(
            "there is a file of this name already, and it stays as it is",
            given=str(path),
            hint="choose another name",
            place=Place(str(path)),
        ) from None
    except OSError as wrong:
        raise BadInput(
            "the archive cannot be written",
            given=wrong.strerror or str(wrong),
            hint="choose a folder that you may write to",
            place=Place(str(path)),
        ) from None
    finally:
        half.unlink(missing_ok=True)


def _jsonl(lines: list[object]) -> bytes:
    return "".join(f"{json_text(line)}\n" for line in lines).encode()


def _add(archive: zipfile.ZipFile, name: str, data: bytes, *, packed: bool = True) -> None:
    member = zipfile.ZipInfo(name, _BEFORE_ALL)
    member.create_system = 3  # the same on every system
    member.external_attr = 0o644 << 16
    member.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
    archive.writestr(member, data, compresslevel=9)


def _version_data(version: Version) -> dict[str, object]:
    return {
        "number": version.number,
        "title": version.text.title,
        "garment": version.text.garment,
        "toml": version.text.toml,
        "name": version.name,
        "autosaved": version.autosaved,
        "started": version.started,
        "saved": version.saved,
    }


def _version_from(data: Fields) -> Version:
    return Version(
        data.whole("number"),
        DesignText(data.text("title"), data.text("garment"), data.text("toml")),
        checked_text(data.text("name"), "version name", MOST_NAME, one_line=True),
        data.flag("autosaved"),
        checked_time(data.text("started"), "started"),
        checked_time(data.text("saved"), "saved"),
    )


def _photo_data(photo: Photo) -> dict[str, object]:
    return {
        "of": photo.record,
        "sha256": photo.sha256,
        "type": str(photo.type),
        "words": photo.words,
        "added": photo.added,
    }


# --- reading -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Contents:
    """An archive, read and checked, by record id; photos stay in the zip until they are wanted."""

    records: Mapping[str, Record]
    versions: Mapping[str, tuple[Version, ...]]
    weighings: Mapping[str, tuple[Weighing, ...]]
    events: Mapping[str, tuple[Event, ...]]
    photos: Mapping[str, tuple[Photo, ...]]


def read(archive: zipfile.ZipFile, name: str) -> Contents:
    """What an archive holds.

    :param name: what refusals call it, usually the file's name.
    :raises BadInput: for anything that :func:`export` did not write.
    """
    members = _members(archive, name)
    if _MANIFEST not in members:
        raise _refused(name, "this zip is no archive of a library")
    manifest = parsed(_content(archive, members[_MANIFEST], 1_000_000, name))
    if manifest.text("format", "") != _NAME:
        raise _refused(name, "this zip is no archive of a library")
    if manifest.whole("version") > FORMAT:
        raise _refused(
            name,
            "the archive was written by a later Pegwright",
            f"version {manifest.whole('version')}",
        )
    lines = _lines(archive, members, manifest.under("sha256"), name)
    records = {record.id: record for record in map(record_from, lines["records"])}
    if len(records) != len(lines["records"]):
        raise _refused(name, "two records of the archive have one id")
    held = {match[1] for match in map(_PHOTO_NAME.fullmatch, members) if match}
    attached = _grouped(lines["photos"], _photo_from)
    for photo in (photo for group in attached.values() for photo in group):
        if photo.sha256 not in held:
            raise _refused(name, "a photo of the archive is missing", photo.sha256)
    contents = Contents(
        records,
        _grouped(lines["versions"], _version_from),
        _grouped(lines["weighings"], weighing_from),
        _grouped(lines["events"], event_from),
        attached,
    )
    _check_owners(contents, name)
    return contents


def photo_of(archive: zipfile.ZipFile, photo: Photo, name: str) -> bytes:
    """The bytes of a photo, which must be what its name says."""
    info = archive.getinfo(f"photos/{photo.sha256}.{photo.type.ending}")
    data = _content(archive, info, MOST_PHOTO_BYTES, name)
    if hashlib.sha256(data).hexdigest() != photo.sha256 or sniffed(data) is not photo.type:
        raise _refused(name, "a photo of the archive is not as it was written", photo.sha256)
    return data


def _members(archive: zipfile.ZipFile, name: str) -> dict[str, zipfile.ZipInfo]:
    """The members by name; refuses any that a library's archive never has."""
    infos = archive.infolist()
    if len(infos) > _MOST_MEMBERS:
        raise _refused(name, "the archive has too many parts", len(infos))
    known: dict[str, zipfile.ZipInfo] = {}
    own = {_MANIFEST, *(f"{part}.jsonl" for part in _LINES)}
    total = 0
    text = 0
    for info in infos:
        if info.filename not in own and _PHOTO_NAME.fullmatch(info.filename) is None:
            raise _refused(name, "the archive holds what does not belong there", info.filename)
        if info.filename in known or info.flag_bits & 1:
            raise _refused(name, "a part is there twice, or locked", info.filename)
        total += info.file_size
        text += info.file_size if info.filename in own else 0
        if total > _MOST_BYTES or text > _MOST_LINES_BYTES + 1_000_000:
            raise _refused(name, "the archive would unpack to far too much", info.filename)
        known[info.filename] = info
    return known


def _lines(
    archive: zipfile.ZipFile, members: Mapping[str, zipfile.ZipInfo], sums: Fields, name: str
) -> dict[str, tuple[Fields, ...]]:
    lines: dict[str, tuple[Fields, ...]] = {}
    for part in _LINES:
        file = f"{part}.jsonl"
        if file not in members:
            raise _refused(name, "a part of the archive is missing", file)
        data = _content(archive, members[file], _MOST_LINES_BYTES, name)
        if hashlib.sha256(data).hexdigest() != sums.text(file):
            raise _refused(name, "a part of the archive is not as it was written", file)
        lines[part] = tuple(parsed(line) for line in data.split(b"\n") if line)
    return lines


def _content(archive: zipfile.ZipFile, info: zipfile.ZipInfo, most: int, name: str) -> bytes:
    """A member's bytes, never more than ``most``, whatever the zip says of itself."""
    try:
        with archive.open(info) as member:
            data = member.read(most + 1)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as wrong:
        given = f"{info.filename}: {wrong}"
        raise _refused(name, "a part of the archive cannot be read", given) from None
    if len(data) > most:
        raise _refused(name, "a part of the archive is far too large", info.filename)
    return data


def _grouped(
    lines: tuple[Fields, ...], read_one: Callable[[Fields], T]
) -> dict[str, tuple[T, ...]]:
    groups: dict[str, list[T]] = {}
    for line in lines:
        groups.setdefault(line.text("of"), []).append(read_one(line))
    return {of: tuple(group) for of, group in groups.items()}


def _check_owners(contents: Contents, name: str) -> None:
    """Everything must hang on a record, and a design must have its text among its versions."""
    for group in (contents.versions, contents.weighings, contents.events, contents.photos):
        for of in group:
            if of not in contents.records:
                raise _refused(name, "a part of the archive hangs on no record", of)
    for record in contents.records.values():
        own = contents.versions.get(record.id, ())
        numbers = [version.number for version in own]
        is_design = isinstance(record.body, DesignText)
        if len(set(numbers)) != len(numbers) or any(not 1 <= n < 2**53 for n in numbers):
            raise _refused(name, "versions of a design are not numbered as they should", record.id)
        if bool(own) != is_design or (own and own[-1].text != record.body):
            raise _refused(name, "a design's text is not its last version", record.id)


def _photo_from(data: Fields) -> Photo:
    sha256 = data.text("sha256")
    if re.fullmatch("[0-9a-f]{64}", sha256) is None:
        raise BadInput("not the sum of a photo", given=sha256, place=Place(field="sha256"))
    return Photo(
        data.text("of"),
        sha256,
        data.choice("type", PhotoType),
        0,
        checked_text(data.text("words"), "words", 2000),
        checked_time(data.text("added"), "added"),
    )


def _refused(name: str, what: str, given: object = None) -> BadInput:
    return BadInput(
        what,
        given=given,
        hint="use the file as “pegwright library export” wrote it; nothing was changed",
        place=Place(name),
    )
