"""What can be knitted on a board with a yarn, and starting a design of it."""

from __future__ import annotations

import tomllib
from typing import Annotated

from fastapi import APIRouter
from pydantic import BaseModel, Field

from pegwright.designs.starter import starter_text
from pegwright.designs.writer import length_text
from pegwright.errors import BadInput, Place
from pegwright.garments.base import Garment
from pegwright.garments.registry import garment, garments
from pegwright.knitting.wraps import SHIPPED
from pegwright.library.records import Kind, Record
from pegwright.loom.taut import check_yarn_passes
from pegwright.refit.fits import Fit, Trial, standard_sizes, trials, tried
from pegwright.studio.designs.api import DesignEntry, RecordId, entry
from pegwright.studio.designs.desk import text_body
from pegwright.studio.designs.edits import Change, Deed, changed
from pegwright.studio.designs.sheet import Choice, SheetField, SheetGroup
from pegwright.studio.designs.taking import taken
from pegwright.studio.jobs import Job, JobView, TheJobs
from pegwright.studio.library.record_bodies import FormValues
from pegwright.studio.library.record_sheets import record_choices
from pegwright.studio.records.board_forms import own_yarn
from pegwright.studio.records.tasks import (
    Typed,
    at_field,
    board_record,
    units_asked,
    units_field,
    yarn_record,
)
from pegwright.studio.refusals import ANSWERS
from pegwright.studio.shapes import Asked
from pegwright.studio.state import TheStudio
from pegwright.units import UnitSystem

__all__ = ["router"]

router = APIRouter(prefix="/api/boards", tags=["boards"], responses=ANSWERS)

_WRAPS = frozenset(wrap.name for wrap in SHIPPED)


class FitsAsked(Asked):
    """With which yarn, and which garment alone where one is named."""

    yarn: Typed = ""
    garment: Typed = ""
    units: Typed = ""


class StartAsked(Asked):
    """A design to start: a garment, and the size and wrap in which it fits."""

    yarn: RecordId
    garment: Annotated[str, Field(min_length=1, max_length=120)]
    size: Annotated[str, Field(max_length=200)] = ""
    wrap: Annotated[str, Field(max_length=120)] = ""
    units: Typed = ""


class FitView(BaseModel):
    """One garment in one size, tried.

    :param title: what the garment is called; ``size`` is empty where no standard size is known.
    :param fits: None where nothing was tried.
    :param why: how many pegs it takes, or why it cannot be and what would do.
    :param pegs: of each piece, and ``rows``; empty where it does not fit.
    """

    garment: str
    title: str
    size: str
    wrap: str
    fits: bool | None
    why: str
    pegs: list[int]
    rows: list[int]


class FitsView(BaseModel):
    """Everything that was tried; ``stopped`` says that there would have been more."""

    yarn: str
    units: str
    summary: str
    stopped: bool
    fits: list[FitView]


@router.get("/{board_id}/fits/form")
def fits_form(board_id: RecordId, studio: TheStudio) -> list[SheetGroup]:
    """The form: which yarn, and which garment."""
    board_record(studio, board_id)
    yarns = record_choices(studio.library, Kind.YARN)
    kinds = [Choice(value=kind.name, label=kind.title) for kind in garments().values()]
    return [
        SheetGroup(
            key="fits",
            title="What to try",
            fields=[
                SheetField(path="yarn", label="Yarn", kind="choice", required=True, choices=yarns,
                           value=yarns[0].value if yarns else "", help="Of your library."),
                SheetField(path="garment", label="Garment", kind="choice", usual="all",
                           choices=kinds),
                units_field(),
            ],
        )
    ]  # fmt: skip


@router.post("/{board_id}/fits", status_code=202)
def try_all(board_id: RecordId, asked: FitsAsked, studio: TheStudio, jobs: TheJobs) -> JobView:
    """Begin to try everything; what was tried when it is stopped is given all the same."""
    _, own = board_record(studio, board_id)
    read = FormValues(asked.model_dump())
    yarn = own_yarn(studio.library, read.text("yarn", required=True)).yarn
    with at_field("garment"):
        only = read.as_("garment", lambda name: garment(name).name)
    units = units_asked(read)
    with at_field("yarn"):
        check_yarn_passes(own.loom, yarn.wrapped_diameter_mm)
    wanted = trials(units, only)

    def work(job: Job) -> FitsView:
        found: list[FitView] = []
        for number, one in enumerate(wanted):
            if job.stopping():
                break
            job.tell(_telling(one), number, len(wanted))
            found.append(_view(tried(one, own.loom, yarn, units, own.slack), one.kind))
        return FitsView(
            yarn=yarn.label,
            units=str(units),
            summary=_summary(found),
            stopped=len(found) < len(wanted),
            fits=found,
        )

    return jobs.start(work)


@router.post("/{board_id}/start", status_code=201)
def start(board_id: RecordId, asked: StartAsked, studio: TheStudio) -> DesignEntry:
    """Start a design with this board and a yarn taken in."""
    board, _ = board_record(studio, board_id)
    yarn, _ = yarn_record(studio, asked.yarn)
    read = FormValues({"units": asked.units})
    text = _started(board, yarn, asked, units_asked(read))
    return entry(studio.library.put(text_body(text)))


# --- inside --------------------------------------------------------------------------------------


def _telling(one: Trial) -> str:
    return f"{one.kind.title}{f', {one.size.name}' if one.size else ''}"


def _view(fit: Fit, kind: Garment) -> FitView:
    data = fit.as_data()
    return FitView.model_validate(
        {**data, "title": kind.title, "size": fit.size, "wrap": fit.wrap, "why": fit.why}
    )


def _summary(found: list[FitView]) -> str:
    fits = sum(bool(fit.fits) for fit in found)
    sizes = sum(fit.fits is not None for fit in found)
    return f"{fits} of {sizes} sizes can be knitted on this board with this yarn."


def _started(board: Record, yarn: Record, asked: StartAsked, units: UnitSystem) -> str:
    """The text of a new design that has the board, the yarn, the wrap and the size."""
    kind = garment(asked.garment)
    text = starter_text(kind.name, units)
    data = tomllib.loads(text)
    changes = [*taken(data, board), *taken(data, yarn, 1), *_size(kind, asked.size, units)]
    if asked.wrap:
        if asked.wrap not in _WRAPS:
            raise BadInput("no such wrap", given=asked.wrap, place=Place(field="wrap"))
        changes.append(Change(Deed.SET, ("design", "wrap"), asked.wrap))
    return changed(text, changes)


def _size(kind: Garment, name: str, units: UnitSystem) -> list[Change]:
    """The changes that make the design's size a standard one; none where it keeps its own.

    :raises BadInput: where the garment has no standard size of that name.
    """
    if not name:
        return []
    for size in standard_sizes(kind, units):
        if size.name == name:
            short = name.partition(",")[0]  # what comes after it is the measure itself
            values = {"name": short, "wearer": str(size.wearer)}
            values |= {measure: length_text(mm, units) for measure, mm in size.measures.items()}
            return [Change(Deed.SET, ("sizes", 0, key), value) for key, value in values.items()]
    raise BadInput(
        "this is no standard size of it",
        given=name,
        hint="see what fits anew",
        place=Place(field="size"),
    )
