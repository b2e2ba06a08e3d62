"""Keeping safe: photos on records, the whole library as one file, and its backups."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, File, Form, Path, UploadFile
from pydantic import BaseModel
from starlette.responses import Response

from pegwright.library.archive import export_bytes
from pegwright.library.backups import back_up, bring_back, list_backups
from pegwright.library.photos import MOST_PHOTO_BYTES
from pegwright.library.restoring import restore
from pegwright.studio.answers import file_answer
from pegwright.studio.designs.api import RecordId
from pegwright.studio.refusals import ANSWERS, NotThere, TooLarge
from pegwright.studio.state import TheStudio

__all__ = ["PHOTO_POLICY", "router"]

router = APIRouter(prefix="/api/library", tags=["library"], responses=ANSWERS)

PHOTO_POLICY = "default-src 'none'; sandbox"

Sha256 = Annotated[str, Path(pattern="^[0-9a-f]{64}$")]


class PhotoEntry(BaseModel):
    """A photo on a record, with its words for people who cannot see it."""

    sha256: str
    words: str
    added: str
    size: int


class Restoring(BaseModel):
    """What restoring an archive added."""

    added: int
    same: int
    beside: int
    weighings: int
    events: int
    photos: int


class BackupEntry(BaseModel):
    """A dated backup."""

    name: str
    at: str
    size: int


# --- photos --------------------------------------------------------------------------------------


@router.get("/records/{record_id}/photos")
def photos(record_id: RecordId, studio: TheStudio) -> list[PhotoEntry]:
    """The photos of a record, the first that was added first."""
    studio.library.get(record_id)
    return [
        PhotoEntry(sha256=p.sha256, words=p.words, added=p.added, size=p.size)
        for p in studio.library.photos(record_id)
    ]


@router.post("/records/{record_id}/photos", status_code=201)
def attach(
    record_id: RecordId,
    studio: TheStudio,
    photo: Annotated[UploadFile, File()],
    words: Annotated[str, Form(max_length=2000)] = "",
) -> list[PhotoEntry]:
    """Hang a photo on a record.  What it is is read from its bytes; its name does not count."""
    data = photo.file.read(MOST_PHOTO_BYTES + 1)
    if len(data) > MOST_PHOTO_BYTES:
        raise TooLarge("the photo is too large", given=f"more than {MOST_PHOTO_BYTES // 10**6} MB")
    studio.library.attach(record_id, data, words.strip())
    return photos(record_id, studio)


@router.delete("/records/{record_id}/photos/{sha256}")
def detach(record_id: RecordId, sha256: Sha256, studio: TheStudio) -> list[PhotoEntry]:
    """Take a photo off a record."""
    studio.library.detach(record_id, sha256)
    return photos(record_id, studio)


@router.get("/photos/{sha256}", response_class=Response)
def photo(sha256: Sha256, studio: TheStudio) -> Response:
    """A photo's bytes, under its own type."""
    kind, data = studio.library.photo_bytes(sha256)
    headers = {
        "content-security-policy": PHOTO_POLICY,
        "content-disposition": f'inline; filename="photo-{sha256[:12]}.{kind.ending}"',
        "cache-control": "private, max-age=31536000, immutable",
    }
    return Response(data, media_type=str(kind), headers=headers)


# --- the whole library ---------------------------------------------------------------------------


@router.get("/archive", response_class=Response)
def archive(studio: TheStudio) -> Response:
    """Everything in the library as one file."""
    return file_answer(export_bytes(studio.library), "application/zip", "pegwright-library.zip")


@router.post("/restore")
def restore_archive(studio: TheStudio, file: Annotated[UploadFile, File()]) -> Restoring:
    """Bring an archive's contents back; nothing that is there is written over."""
    name = (file.filename or "archive")[-120:]
    found = restore(studio.library, file.file, name)
    return Restoring(
        added=len(found.added),
        same=len(found.same),
        beside=len(found.beside),
        weighings=found.weighings,
        events=found.events,
        photos=found.photos,
    )


@router.get("/backups")
def backups(studio: TheStudio) -> list[BackupEntry]:
    """The dated backups beside the library, the latest first."""
    return [
        BackupEntry(name=b.path.name, at=b.at.isoformat(), size=b.size)
        for b in list_backups(studio.settings.backups)
    ]


@router.post("/backups", status_code=201)
def back_up_now(studio: TheStudio) -> list[BackupEntry]:
    """Make a backup now."""
    back_up(studio.library, studio.settings.backups)
    return backups(studio)


@router.post("/backups/{name}/restore")
def restore_backup(
    name: Annotated[str, Path(max_length=60)], studio: TheStudio
) -> list[BackupEntry]:
    """Put a backup in the library's place; what is in the library now becomes a backup first."""
    for backup in list_backups(studio.settings.backups):
        if backup.path.name == name:
            bring_back(backup.path, studio.library.path, studio.settings.backups)
            return backups(studio)
    raise NotThere("no such backup", given=name, hint="see the list of backups")
