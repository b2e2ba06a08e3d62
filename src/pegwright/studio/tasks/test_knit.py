"""Having a design tried: forms for test-knitters, their answers held against it, and errata.

Answers are read, compared and forgotten; what they teach is taken into the design only where the
maker asks for it.  A file of answers is data: nothing in it is carried out.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, File, Form, Query, UploadFile
from pydantic import BaseModel
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from pegwright.designs.model import Design
from pegwright.designs.reader import MOST_BYTES, read_text
from pegwright.errors import NotPossible, PegwrightError
from pegwright.library.versions import Version
from pegwright.publish.pdf import Paper, PrintStyle
from pegwright.studio.answers import NOTHING_ELSE, file_answer, zipped
from pegwright.studio.designs.api import RecordId, Revision
from pegwright.studio.designs.edits import Change, Deed
from pegwright.studio.refusals import ANSWERS, TooLarge
from pegwright.studio.state import DesignTask, Studio, TheStudio
from pegwright.studio.tasks.task import task_page
from pegwright.studio.tasks.test_knit_view import Group, TrialView, trial_view
from pegwright.studio.tasks.writing import Written, write_changes
from pegwright.testknit.basis import basis
from pegwright.testknit.errata import Errata, errata_between
from pegwright.testknit.errata_print import (
    NOTHING,
    by_topic,
    errata_data,
    errata_html,
    errata_json,
    errata_text,
)
from pegwright.testknit.learned import LearnedTable
from pegwright.testknit.proof import prove_pattern
from pegwright.testknit.sheet import sheets
from pegwright.testknit.trial import Trial, compare_files
from pegwright.units import UnitSystem

__all__ = ["TASK", "pages", "router"]

TASK = DesignTask(
    "test-knit",
    "Test-knit",
    "Have it knitted by others before it is published: the forms that they fill in, what their "
    "answers say and teach, and errata for those who have an old version.",
)

MOST_ANSWERS = 60
"""Most files of answers at a time."""

pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)
router = APIRouter(prefix="/api/test-knit", tags=["test-knit"], responses=ANSWERS)

SizeName = Annotated[str, Query(min_length=1, max_length=120)]
Number = Annotated[int, Query(ge=1, le=2**31)]
AnswerFiles = Annotated[list[UploadFile], File(max_length=MOST_ANSWERS)]


class VersionChoice(BaseModel):
    """A version of the design; ``edition`` is what its own text says it is."""

    number: int
    name: str
    saved: str
    edition: str


class ErrataTopic(BaseModel):
    """Changes of one kind, a sentence each."""

    heading: str
    changes: list[str]


class ErrataView(BaseModel):
    """Errata: ``nothing`` says so where there are none; ``text`` is the whole as plain text."""

    heading: str
    topics: list[ErrataTopic]
    nothing: str
    text: str
    data: dict[str, Any]


@pages.get("/designs/{design_id}/test-knit")
def test_knit(request: Request, design_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """The page."""
    on_desk = studio.desk.design(design_id)
    with on_desk.lock:
        design = None if on_desk.problems else on_desk.design
    faults = ""
    try:
        if design is not None:
            prove_pattern(design)
    except PegwrightError as wrong:
        faults = f"{wrong.what}."
    return task_page(
        request,
        studio,
        "task_test_knit.html",
        TASK,
        design_id,
        faults=faults[:1].upper() + faults[1:],
        edition=design.version if design else "",
    )


# --- forms ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Wanted:
    """How the forms are wanted."""

    size: str | None
    units: UnitSystem | None
    style: PrintStyle


def _wanted(
    size: SizeName | None = None,
    units: Annotated[UnitSystem | None, Query()] = None,
    paper: Annotated[Paper, Query()] = Paper.A4,
    large_print: Annotated[bool, Query()] = False,
) -> _Wanted:
    return _Wanted(size, units, PrintStyle(paper, large_print))


TheWanted = Annotated[_Wanted, Depends(_wanted)]


@router.get("/{design_id}/forms", response_class=Response)
def forms(design_id: RecordId, studio: TheStudio, wanted: TheWanted) -> Response:
    """The forms of every size, or of one, as one zip: a PDF and an answers file for each."""
    from pegwright.testknit.forms import form_files

    design = _in_units(studio.desk.readable(design_id), wanted.units)
    asked = sheets(*prove_pattern(design))
    files = form_files(asked, wanted.style, wanted.size)
    name = f"{design.key}-test-knit.zip"
    return file_answer(zipped(files), "application/zip", name, policy=NOTHING_ELSE)


# --- answers -------------------------------------------------------------------------------------


@router.post("/{design_id}/compare")
def compare(
    design_id: RecordId,
    studio: TheStudio,
    answers: AnswerFiles,
    units: Annotated[UnitSystem | None, Form()] = None,
) -> TrialView:
    """Answers held against the design; the files are not kept."""
    on_desk = studio.desk.design(design_id)
    with on_desk.lock:
        design, revision = studio.desk.readable(design_id), on_desk.revision
    design = _in_units(design, units)
    return trial_view(_trial(design, answers), design, revision)


@router.post("/{design_id}/learn")
def learn(
    design_id: RecordId,
    studio: TheStudio,
    answers: AnswerFiles,
    revision: Annotated[Revision, Form()],
    take: Annotated[list[Group], Form(max_length=3)],
) -> Written:
    """Take what the answers teach into the design: gauge, slack or pace, as asked."""
    design = studio.desk.readable(design_id)
    learned = _trial(design, answers).learned
    before = learned.taught_before(design)
    if before and "swatches" in take:
        raise NotPossible(
            "the design has learned from these answers already",
            given=before[0],
            hint="take that swatch out of the design first, or leave the gauge out",
        )
    tables = [table for table in learned.tables() if table.group in take]
    if not tables:
        raise NotPossible("these answers teach nothing of that", hint="choose what was learned")
    changes = [change for table in tables for change in _changes(table)]
    return write_changes(studio, design_id, changes, revision, "Learned from test-knitters")


def _changes(table: LearnedTable) -> list[Change]:
    """The changes that write lines into their group of the design."""
    if table.is_row:
        return [Change(Deed.ADD, (table.group,), row=table.lines)]
    return [Change(Deed.SET, (table.group, key), value) for key, value in table.lines.items()]


def _trial(design: Design, answers: Sequence[UploadFile]) -> Trial:
    return compare_files(basis(*prove_pattern(design)), list(_read(answers)))


def _read(answers: Sequence[UploadFile]) -> Iterator[tuple[str, bytes]]:
    """Each file's name and bytes.

    :raises TooLarge: for one that is larger than any answers are.
    """
    for number, file in enumerate(answers, 1):
        name = PurePath(file.filename or f"answers {number}").name[-120:]
        data = file.file.read(MOST_BYTES + 1)
        if len(data) > MOST_BYTES:
            raise TooLarge(
                "the file is too large to be a tester's answers",
                given=name,
                hint="choose the text file that came with the form",
            )
        yield name, data


def _in_units(design: Design, units: UnitSystem | None) -> Design:
    return replace(design, units=units or design.units)


# --- errata --------------------------------------------------------------------------------------


@router.get("/{design_id}/versions")
def versions(design_id: RecordId, studio: TheStudio) -> list[VersionChoice]:
    """The versions of the design, the latest first."""
    return [
        VersionChoice(
            number=known.number, name=known.name, saved=known.saved, edition=_edition(known)
        )
        for known in reversed(studio.library.versions(design_id))
    ]


@router.get("/{design_id}/errata")
def errata(design_id: RecordId, studio: TheStudio, old: Number, new: Number) -> ErrataView:
    """What a reader of the old version must change to have the new one."""
    found = _errata(studio, design_id, old, new)
    topics = [
        ErrataTopic(heading=heading, changes=[change.sentence for change in changes])
        for heading, changes in by_topic(found)
    ]
    return ErrataView(
        heading=found.heading,
        topics=topics,
        nothing="" if topics else NOTHING,
        text=errata_text(found),
        data=errata_data(found),
    )


_WRITTEN = {
    "txt": (errata_text, "text/plain; charset=utf-8"),
    "html": (errata_html, "text/html; charset=utf-8"),
    "json": (errata_json, "application/json"),
}


@router.get("/{design_id}/errata/{form}", response_class=Response)
def errata_file(
    design_id: RecordId,
    form: Literal["txt", "html", "json"],
    studio: TheStudio,
    old: Number,
    new: Number,
) -> Response:
    """The same as a file: plain text, a block for a web page, or data."""
    write, kind = _WRITTEN[form]
    data = write(_errata(studio, design_id, old, new)).encode()
    return file_answer(data, kind, f"errata-{old}-to-{new}.{form}", policy=NOTHING_ELSE)


def _errata(studio: Studio, design_id: str, old: int, new: int) -> Errata:
    designs = (_design(studio.library.version(design_id, number)) for number in (old, new))
    return errata_between(*designs)


def _design(version: Version) -> Design:
    return read_text(version.text.toml, f"version {version.number}")


def _edition(version: Version) -> str:
    """What a version's text calls itself; "" where it says nothing, or cannot be read."""
    try:
        table = tomllib.loads(version.text.toml).get("design")
    except (ValueError, RecursionError):
        return ""
    told = table.get("version") if isinstance(table, dict) else None
    return told[:20] if isinstance(told, str) else ""
