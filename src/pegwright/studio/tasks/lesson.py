"""The lesson of a design: read through on the page first, then made as a pack to film it with.

The read-through is there in a moment and draws no dots.  The pack is long work: it is made in
memory by a job, is the same as the command's byte for byte, and leaves nothing where it is stopped.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import PurePath
from typing import Annotated, Literal

from fastapi import APIRouter, File, UploadFile
from pydantic import BaseModel, Field
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from pegwright import making
from pegwright.designs.reader import MOST_BYTES, decoded
from pegwright.lesson.card_layout import Shape
from pegwright.lesson.cue_page import row_words, step_words, summary_words, time_told
from pegwright.lesson.cue_sheet import Cue
from pegwright.lesson.describe import clock
from pegwright.lesson.pack import lesson_sheet
from pegwright.lesson.raster import missing, needs
from pegwright.lesson.read_through import NamedCard, cards_at, read_through
from pegwright.lesson.template import Template
from pegwright.making import Made
from pegwright.pattern.model import Pattern
from pegwright.publish.pdf import Paper
from pegwright.publish.words import held_together
from pegwright.studio.answers import NOTHING_ELSE, file_answer, zipped
from pegwright.studio.designs.api import RecordId
from pegwright.studio.designs.sheet import SheetGroup
from pegwright.studio.designs.view import FindingView, finding_views
from pegwright.studio.jobs import FileResult, Job, JobView, TheJobs
from pegwright.studio.publish.api import proved_pattern
from pegwright.studio.refusals import ANSWERS, TooLarge
from pegwright.studio.shapes import Asked
from pegwright.studio.state import DesignTask, Studio, TheStudio
from pegwright.studio.tasks.lesson_words import said_file, template_of, words_file, words_sheet
from pegwright.studio.tasks.task import task_page
from pegwright.units import UnitSystem

__all__ = ["TASK", "pages", "router"]

TASK = DesignTask(
    "lesson",
    "Lesson",
    "Read through what you would film, shot by shot; then make the pack: cards, moving pictures, "
    "cue sheet, captions and a hand-out.",
)

pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)
router = APIRouter(prefix="/api/lesson", tags=["lesson"], responses=ANSWERS)

_SHAPES = {shape.label: shape for shape in Shape}

ValuePath = Annotated[str, Field(pattern=r"^(words|colours|speed)\.[a-z_]{1,40}$")]
Values = Annotated[
    dict[ValuePath, Annotated[str, Field(max_length=2000)]],
    Field(default_factory=dict, max_length=60),
]


class WordsAsked(Asked):
    """The maker's own words and colours: values by path, as ``words.opening``."""

    values: Values


class LessonAsked(WordsAsked):
    """Which lesson: the first size and the design's own units where none are named."""

    size: Annotated[str, Field(min_length=1, max_length=120)] | None = None
    units: Literal["inches", "centimetres"] | None = None


class ReadAsked(LessonAsked):
    """A lesson to read through, its cards for one shape of screen."""

    shape: Literal["wide", "square", "tall"] = "wide"


class PackAsked(LessonAsked):
    """A pack to make."""

    paper: Literal["a4", "us-letter"] = "a4"
    films: bool = True


class CardView(BaseModel):
    """A card: the stem of its files in the pack, its drawing, and its words."""

    key: str
    name: str
    svg: str
    alt: str


class Told(BaseModel):
    """A figure, and what it is of."""

    figure: str
    words: str


class CueView(BaseModel):
    """A shot.  ``cards`` are the keys of the cards that may be laid over it."""

    number: int
    title: str
    chapter: str
    steps: str
    start: str
    times: list[Told]
    rows: list[Told]
    board: str
    ready: str
    camera: str
    camera_words: str
    narration: list[str]
    cards: list[str]


class LessonView(BaseModel):
    """A lesson to read through."""

    summary: str
    cues: list[CueView]
    cards: list[CardView]
    findings: list[FindingView]


@pages.get("/designs/{design_id}/lesson")
def lesson(request: Request, design_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """The page."""
    on_desk = studio.desk.design(design_id)
    with on_desk.lock:
        made, result = on_desk.made, on_desk.result
    faulty = made is not None and not made.proved and result is not None
    return task_page(
        request,
        studio,
        "task_lesson.html",
        TASK,
        design_id,
        faults=result.summary if faulty and result else "",
        missing=missing(),
    )


# --- her own words and colours -------------------------------------------------------------------


@router.get("/words")
def usual_words() -> list[SheetGroup]:
    """The form of words and colours with the usual ones in it."""
    return words_sheet({})


@router.post("/words")
def read_words(file: Annotated[UploadFile, File()]) -> list[SheetGroup]:
    """The same form with what a template file says; the file itself is not kept."""
    name = PurePath(file.filename or "template").name[-120:]
    data = file.file.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise TooLarge("the file is too large to be a template", given=name)
    return said_file(decoded(data, name), name)


@router.post("/words/file", response_class=Response)
def write_words(asked: WordsAsked) -> Response:
    """What the form holds as a template file, where it can be used."""
    template_of(asked.values)
    data = words_file(asked.values).encode()
    return file_answer(data, "application/toml", "lesson-words.toml", policy=NOTHING_ELSE)


# --- the lesson ----------------------------------------------------------------------------------


@router.post("/{design_id}/read")
def read(design_id: RecordId, asked: ReadAsked, studio: TheStudio) -> LessonView:
    """The lesson to read through: every shot, what is said in it, and every card."""
    template = template_of(asked.values)
    made, pattern = _proved(studio, design_id, asked.units)
    found = read_through(
        making.source_of(made),
        pattern,
        template,
        size=asked.size,
        shape=_SHAPES[asked.shape],
    )
    return LessonView(
        summary=summary_words(found.sheet),
        cues=[_cue(cue, found.cards) for cue in found.sheet.cues],
        cards=[_card(card) for card in found.cards],
        findings=list(finding_views(template.findings)),
    )


@router.post("/{design_id}/pack", status_code=202)
def pack(design_id: RecordId, asked: PackAsked, studio: TheStudio, jobs: TheJobs) -> JobView:
    """Begin to make the pack; what cannot be made is refused at once."""
    template = template_of(asked.values)
    made, pattern = _proved(studio, design_id, asked.units)
    lesson_sheet(making.source_of(made), template, asked.size)
    for library in missing(films=asked.films):
        raise needs(library)

    def work(job: Job) -> FileResult:
        return _packed(made, pattern, template, asked, job)

    return jobs.start(work)


def _packed(
    made: Made, pattern: Pattern, template: Template, asked: PackAsked, job: Job
) -> FileResult:
    """The pack as one zip; being stopped, it leaves nothing."""
    whole = making.lesson_of(
        made,
        pattern,
        template,
        size=asked.size,
        paper=Paper(asked.paper),
        films=asked.films,
        progress=job.tell,
    )
    return FileResult(zipped(whole.files), "application/zip", f"{pattern.key}-lesson.zip")


def _proved(studio: Studio, design_id: str, units: str | None) -> tuple[Made, Pattern]:
    design = studio.desk.readable(design_id)
    return proved_pattern(replace(design, units=UnitSystem(units) if units else design.units))


def _card(card: NamedCard) -> CardView:
    svg = card.page.svg.decode("utf-8")
    return CardView(key=card.page.key, name=card.name, svg=svg, alt=card.page.alt.strip())


def _cue(cue: Cue, cards: tuple[NamedCard, ...]) -> CueView:
    return CueView(
        number=cue.number,
        title=cue.title,
        chapter=cue.chapter,
        steps=step_words(cue),
        start=clock(cue.start_s),
        times=[Told(figure=figure, words=words.strip()) for figure, words in time_told(cue)],
        rows=[Told(figure=figure, words=words.strip()) for figure, words in row_words(cue)],
        board=cue.board,
        ready=cue.ready,
        camera=cue.camera.place,
        camera_words=cue.camera.words,
        narration=[held_together(sentence) for sentence in cue.narration],
        cards=[card.page.key for card in cards_at(cue, cards)],
    )
