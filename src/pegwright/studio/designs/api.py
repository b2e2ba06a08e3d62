"""The designs: finding, starting, changing, undoing, versions, and taking from the library."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, File, Query, UploadFile
from pydantic import BaseModel, Field
from starlette.responses import Response

from pegwright.designs.files import shipped_designs, shipped_text
from pegwright.designs.model import slug
from pegwright.designs.reader import MOST_BYTES, read_bytes
from pegwright.designs.starter import starter_text
from pegwright.errors import BadInput, NotPossible
from pegwright.library.records import DesignText, Kind, Record
from pegwright.studio.answers import file_answer
from pegwright.studio.designs.asking import ChangeAsked, changes_of
from pegwright.studio.designs.desk import DesignView, DeskDesign, text_body
from pegwright.studio.designs.fabric import FabricPicture, fabric_of
from pegwright.studio.designs.taking import body_kept, taken
from pegwright.studio.refusals import ANSWERS, NotThere, TooLarge
from pegwright.studio.shapes import Asked
from pegwright.studio.state import TheStudio
from pegwright.units import UnitSystem

__all__ = ["RecordId", "Revision", "entry", "list_designs", "router"]

router = APIRouter(prefix="/api/designs", tags=["designs"], responses=ANSWERS)

RecordId = Annotated[str, Field(pattern="^[A-Za-z0-9-]{1,64}$")]
Revision = Annotated[int, Field(ge=1, le=2**53 - 1)]


class DesignEntry(BaseModel):
    """A design in the list."""

    id: str
    name: str
    garment: str
    changed: str
    revision: int
    deleted: bool


class NewDesign(Asked):
    """A design to start: from a garment, or from one that comes with Pegwright."""

    garment: Annotated[str, Field(max_length=120)] | None = None
    example: Annotated[str, Field(max_length=120)] | None = None
    units: Literal["inches", "centimetres"] = "inches"


class ChangesAsked(Asked):
    """Changes to the revision that was read; ``typing`` where more of the same field may follow."""

    revision: Revision
    typing: bool = False
    changes: Annotated[list[ChangeAsked], Field(min_length=1, max_length=200)]


class TextAsked(Asked):
    """The whole text anew."""

    revision: Revision
    text: Annotated[str, Field(max_length=MOST_BYTES)]


class RevisionAsked(Asked):
    """The revision that was read."""

    revision: Revision


class NameAsked(Asked):
    """A name for the version that is now."""

    revision: Revision
    name: Annotated[str, Field(min_length=1, max_length=200)]


class TakeAsked(Asked):
    """A record of the library to take in; ``row`` is the yarn that it takes the place of."""

    revision: Revision
    record: RecordId
    row: Annotated[int, Field(ge=1, le=100)] | None = None


class KeepAsked(Asked):
    """Part of a design to keep in the library: its board, or a row of its yarns or sizes."""

    part: Literal["loom", "yarns", "sizes", "swatches"]
    row: Annotated[int, Field(ge=1, le=1000)] = 1


class Kept(BaseModel):
    """A record that was made."""

    id: str
    kind: str
    name: str


class VersionEntry(BaseModel):
    """A version, and how it differs from the one before."""

    number: int
    name: str
    saved: str
    autosaved: bool
    changes: list[str]


def entry(record: Record) -> DesignEntry:
    """A design record as the list shows it."""
    body = record.body
    assert isinstance(body, DesignText)
    return DesignEntry(
        id=record.id,
        name=record.name,
        garment=body.garment,
        changed=record.changed,
        revision=record.revision,
        deleted=record.deleted,
    )


# --- the list ------------------------------------------------------------------------------------


@router.get("")
def list_designs(
    studio: TheStudio,
    query: Annotated[str, Query(max_length=200)] = "",
    deleted: bool = False,
) -> list[DesignEntry]:
    """Designs, the latest change first, or those that hold every word of a query."""
    if query.strip() and not deleted:
        found = studio.library.search(query, Kind.DESIGN)
    else:
        found = studio.library.list(Kind.DESIGN, deleted=deleted)
    return [entry(record) for record in found]


@router.post("", status_code=201)
def new_design(asked: NewDesign, studio: TheStudio) -> DesignEntry:
    """Start a design."""
    if (asked.garment is None) == (asked.example is None):
        raise BadInput("name either a garment or an example", hint="garment or example")
    if asked.example is not None:
        if asked.example not in shipped_designs():
            raise NotThere("no such example", given=asked.example)
        text = shipped_text(asked.example)
    else:
        text = starter_text(asked.garment or "", UnitSystem(asked.units))
    return entry(studio.library.put(text_body(text)))


@router.post("/import", status_code=201)
def import_design(file: Annotated[UploadFile, File()], studio: TheStudio) -> DesignEntry:
    """Take in a design file as it is, remarks and all."""
    data = file.file.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise TooLarge("the file is too large to be a design", given=file.filename)
    design = read_bytes(data, (file.filename or "design")[-120:])
    return entry(studio.library.put(text_body(design.source)))


# --- one design ----------------------------------------------------------------------------------


@router.get("/{design_id}")
def get_design(design_id: RecordId, studio: TheStudio) -> DesignView:
    """A design with everything that it comes to."""
    return studio.desk.view(design_id)


@router.patch("/{design_id}/fields")
def change_fields(design_id: RecordId, asked: ChangesAsked, studio: TheStudio) -> DesignView:
    """Change values and rows; the rest of the text stays as it was written."""

    def deed(design: DeskDesign) -> None:
        changes = changes_of(design.data() or {}, asked.changes)
        design.change(changes, asked.revision, typing=asked.typing)

    return studio.desk.work(design_id, deed)


@router.put("/{design_id}/text")
def set_text(design_id: RecordId, asked: TextAsked, studio: TheStudio) -> DesignView:
    """Write the whole text anew."""
    return studio.desk.work(design_id, lambda d: d.set_text(asked.text, asked.revision))


@router.post("/{design_id}/undo")
def undo(design_id: RecordId, asked: RevisionAsked, studio: TheStudio) -> DesignView:
    """Take the last change back."""
    return studio.desk.work(design_id, lambda design: design.undo(asked.revision))


@router.post("/{design_id}/redo")
def redo(design_id: RecordId, asked: RevisionAsked, studio: TheStudio) -> DesignView:
    """Make the change again that was taken back last."""
    return studio.desk.work(design_id, lambda design: design.redo(asked.revision))


@router.post("/{design_id}/take")
def take(design_id: RecordId, asked: TakeAsked, studio: TheStudio) -> DesignView:
    """Take a board, yarn, swatch or person of the library into the design."""
    record = studio.library.get(asked.record)

    def deed(design: DeskDesign) -> None:
        data = design.data()
        if data is None:
            raise BadInput("the text cannot be read", hint="mend it under Text first")
        design.change(taken(data, record, asked.row), asked.revision)

    return studio.desk.work(design_id, deed)


@router.post("/{design_id}/keep", status_code=201)
def keep(design_id: RecordId, asked: KeepAsked, studio: TheStudio) -> Kept:
    """Keep the design's board, or a yarn, size or swatch of it, in the library."""
    on_desk = studio.desk.design(design_id)
    with on_desk.lock:
        design = on_desk.design
    if design is None:
        raise NotPossible("the design cannot be read yet", hint="mend what is wrong first")
    record = studio.library.put(body_kept(design, asked.part, asked.row))
    return Kept(id=record.id, kind=str(record.kind), name=record.name)


@router.post("/{design_id}/duplicate", status_code=201)
def duplicate(design_id: RecordId, studio: TheStudio) -> DesignEntry:
    """A second design with the same text."""
    _check_design(studio, design_id)
    return entry(studio.library.duplicate(design_id))


@router.delete("/{design_id}")
def delete(design_id: RecordId, studio: TheStudio) -> DesignEntry:
    """Set a design aside; it can be brought back."""
    _check_design(studio, design_id)
    return entry(studio.library.delete(design_id))


@router.post("/{design_id}/undelete")
def undelete(design_id: RecordId, studio: TheStudio) -> DesignEntry:
    """Bring a deleted design back."""
    _check_design(studio, design_id)
    return entry(studio.library.undelete(design_id))


@router.get("/{design_id}/toml", response_class=Response)
def export(design_id: RecordId, studio: TheStudio) -> Response:
    """The design's file."""
    body = _check_design(studio, design_id)
    name = f"{slug(body.title)}.toml"
    return file_answer(body.toml.encode("utf-8"), "application/toml", name)


@router.get("/{design_id}/fabric")
def fabric(
    design_id: RecordId,
    studio: TheStudio,
    size: Annotated[str, Query(max_length=120)] = "",
    view: Annotated[str, Query(max_length=200)] = "",
) -> FabricPicture:
    """The picture of a size's fabric, seen as asked, or as it is seen first."""
    design = studio.desk.design(design_id)
    with design.lock:
        made = design.made
    if made is None:
        raise NotPossible("the design was not worked out yet", hint="mend what is wrong with it")
    return fabric_of(made, size, view)


# --- versions ------------------------------------------------------------------------------------


@router.get("/{design_id}/versions")
def versions(design_id: RecordId, studio: TheStudio) -> list[VersionEntry]:
    """The versions, the latest first, each with what it changed."""
    from pegwright.library.versions import what_changed

    known = studio.library.versions(design_id)
    entries = []
    for before, version in zip((None, *known), known, strict=False):
        changes = [] if before is None else what_changed(before.text.toml, version.text.toml)
        entries.append(
            VersionEntry(
                number=version.number,
                name=version.name,
                saved=version.saved,
                autosaved=version.autosaved,
                changes=[str(change) for change in changes[:40]],
            )
        )
    return entries[::-1]


@router.post("/{design_id}/versions")
def name_version(design_id: RecordId, asked: NameAsked, studio: TheStudio) -> DesignView:
    """Keep the design as it is now under a name."""
    return studio.desk.work(design_id, lambda d: d.name_version(asked.name, asked.revision))


@router.post("/{design_id}/versions/{number}/restore")
def restore_version(
    design_id: RecordId,
    number: Annotated[int, Field(ge=1, le=2**31)],
    asked: RevisionAsked,
    studio: TheStudio,
) -> DesignView:
    """Make an old version the design's text again; the text of now stays as a version."""
    old = studio.library.version(design_id, number)
    return studio.desk.work(design_id, lambda d: d.set_text(old.text.toml, asked.revision))


# --- inside --------------------------------------------------------------------------------------


def _check_design(studio: Any, design_id: str) -> DesignText:
    record = studio.library.get(design_id)
    if not isinstance(record.body, DesignText):
        raise NotThere("no such design is in the library", given=design_id)
    return record.body
