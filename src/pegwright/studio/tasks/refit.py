"""A design for what a reader has instead: her board, yarn, hand or body, and an answer to her."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import BaseModel, Field
from starlette.requests import Request
from starlette.responses import HTMLResponse

from pegwright import making
from pegwright.designs.model import Design
from pegwright.designs.writer import write_text
from pegwright.errors import NotPossible
from pegwright.library.records import Kind
from pegwright.library.store import Library
from pegwright.refit.differences import Difference
from pegwright.refit.refit import Refit, refit
from pegwright.refit.told import UNCHANGED, answer, changed, headline, of_size
from pegwright.studio.answers import zipped
from pegwright.studio.designs.api import DesignEntry, RecordId, entry
from pegwright.studio.designs.desk import text_body
from pegwright.studio.designs.sheet import SheetGroup
from pegwright.studio.designs.view import Result, result_of
from pegwright.studio.jobs import FileResult, Job, JobView, TheJobs
from pegwright.studio.publish.api import proved_pattern
from pegwright.studio.refusals import ANSWERS
from pegwright.studio.shapes import Asked
from pegwright.studio.state import DesignTask, Studio, TheStudio
from pegwright.studio.tasks.refit_form import (
    Chosen,
    at_form,
    chosen_of,
    given_of,
    names_of,
    reader_asked,
    refit_sheet,
)
from pegwright.studio.tasks.task import task_page

__all__ = ["TASK", "pages", "router"]

TASK = DesignTask(
    "refit",
    "Refit",
    "Work the design out for another board, another yarn or another body, beside the original: for"
    " yourself, or to answer a reader.",
)

pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)
router = APIRouter(prefix="/api/refit", tags=["refit"], responses=ANSWERS)

_MOST_TITLE = 100

_Values = Annotated[
    dict[Annotated[str, Field(max_length=120)], Annotated[str, Field(max_length=200)]],
    Field(max_length=40),
]
_Chosen = Annotated[str, Query(pattern="^[A-Za-z0-9-]{0,64}$")]


class RefitAsked(Asked):
    """What the reader has: the values of the form by field; what is empty is as in the design."""

    values: _Values


class RefusedView(BaseModel):
    """A size that cannot be made as asked, and why."""

    size: str
    error: str
    given: str | None
    hint: str | None = Field(alias="try", serialization_alias="try")


class OfferView(BaseModel):
    """Something else that was tried; ``taken`` is the one that is shown."""

    way: str
    possible: bool
    taken: bool
    words: str


class FigureRow(BaseModel):
    """A figure before and now; ``interval`` says how far it may be off."""

    name: str
    was: str
    now: str
    interval: str


class FiguresView(BaseModel):
    """The figures of a size that change, and the names of those that do not.

    :param title: which size, or what all sizes share: the board and the gauge.
    """

    title: str
    changed: list[FigureRow]
    same: list[str]


class RefitView(BaseModel):
    """A refitted design beside the original.

    :param remarks: advice that neither the refusals nor the offers say already.
    :param answer: the whole as plain text, to send to a reader.
    :param title: what the refitted design is called where it is kept; empty where there is none.
    :param sizes: the sizes that it then has.
    :param result: what the refitted design comes to.
    """

    as_asked: bool
    headline: str
    unchanged: str
    remarks: list[str]
    refused: list[RefusedView]
    offers: list[OfferView]
    figures: list[FiguresView]
    answer: str
    title: str
    sizes: list[str]
    result: Result | None


@dataclass(frozen=True, slots=True)
class _Refitted:
    """A refit with the title that its design is kept under."""

    refit: Refit
    title: str

    @property
    def design(self) -> Design:
        """The refitted design.

        :raises NotPossible: where there is none.
        """
        if self.refit.design is None:
            raise NotPossible(
                "there is nothing to keep or to print",
                given=headline(self.refit),
                hint="change what is asked for",
            )
        return self.refit.design


@pages.get("/designs/{design_id}/refit")
def refit_page(request: Request, design_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """Where a design is refitted."""
    return task_page(request, studio, "task_refit.html", TASK, design_id)


@router.get("/{design_id}/form")
def form(
    design_id: RecordId,
    studio: TheStudio,
    board: _Chosen = "",
    yarn: _Chosen = "",
    person: _Chosen = "",
) -> list[SheetGroup]:
    """The form of what a reader has; ``usual`` is what holds where a field is left empty."""
    design = studio.desk.readable(design_id)
    chosen = chosen_of({"board": board, "yarn": yarn, "person": person}, studio.library)
    return refit_sheet(design, studio.library, chosen)


@router.post("/{design_id}")
def refitted(design_id: RecordId, asked: RefitAsked, studio: TheStudio) -> RefitView:
    """The design worked out for what the reader has; what cannot be made comes back with why."""
    return _view(_refitted(studio, design_id, asked))


@router.post("/{design_id}/keep", status_code=201)
def keep(design_id: RecordId, asked: RefitAsked, studio: TheStudio) -> DesignEntry:
    """Keep what can be made as a new design."""
    found = _refitted(studio, design_id, asked)
    text = write_text(replace(found.design, title=found.title))
    return entry(studio.library.put(text_body(text)))


@router.post("/{design_id}/pack", status_code=202)
def pack(design_id: RecordId, asked: RefitAsked, studio: TheStudio, jobs: TheJobs) -> JobView:
    """Begin to print the pattern of what can be made: one zip, as ``pegwright refit --out``."""
    design = _refitted(studio, design_id, asked).design

    def work(job: Job) -> FileResult:
        job.tell("working the pattern out")
        _, pattern = proved_pattern(design)
        job.tell("printing it")
        return FileResult(zipped(making.files(pattern)), "application/zip", f"{pattern.key}.zip")

    return jobs.start(work)


# --- inside --------------------------------------------------------------------------------------


def _refitted(studio: Studio, design_id: str, asked: RefitAsked) -> _Refitted:
    design = studio.desk.readable(design_id)
    chosen = chosen_of(asked.values, studio.library)
    given = given_of(asked.values, design, chosen)
    reader = reader_asked(design, given)
    with at_form(design):
        found = refit(design, reader)
    return _Refitted(found, _title(design, chosen, studio.library))


def _title(design: Design, chosen: Chosen, library: Library) -> str:
    """The design's title with what it was refitted to; with a number where that is there too."""
    told = ", ".join(names_of(chosen)) or "refitted"
    title = f"{design.title[: _MOST_TITLE // 2]} ({told[: _MOST_TITLE // 2]})"
    there = {record.name for record in library.list(Kind.DESIGN)}
    number, tried = 1, title
    while tried in there:
        number += 1
        tried = f"{title} {number}"
    return tried


def _view(found: _Refitted) -> RefitView:
    result = found.refit
    return RefitView(
        as_asked=result.as_asked,
        headline=headline(result),
        unchanged=UNCHANGED if result.made is not None and not changed(result) else "",
        remarks=list(result.remarks),
        refused=[
            RefusedView.model_validate({"size": each.name, **_said(each.error.as_data())})
            for each in result.refused
        ],
        offers=[
            OfferView(
                way=str(offer.way),
                possible=offer.possible,
                taken=offer.way is result.way,
                words=offer.words[:1].upper() + offer.words[1:],
            )
            for offer in result.offers
        ],
        figures=_figures(result.differences),
        answer=answer(result),
        title=found.title if result.design is not None else "",
        sizes=[] if result.design is None else [size.name for size in result.design.sizes],
        result=None if result.made is None else result_of(result.made),
    )


def _said(error: dict[str, object]) -> dict[str, object]:
    return {key: error[key] for key in ("error", "given", "try")}


def _figures(differences: tuple[Difference, ...]) -> list[FiguresView]:
    """The figures size by size; what all sizes share comes last."""
    sizes = sorted(dict.fromkeys(each.size for each in differences), key=lambda size: not size)
    return [
        FiguresView(
            title=of_size(size),
            changed=[
                FigureRow(name=each.name, was=each.was, now=each.now, interval=each.interval)
                for each in differences
                if each.size == size and not each.same
            ],
            same=[each.name for each in differences if each.size == size and each.same],
        )
        for size in sizes
    ]
