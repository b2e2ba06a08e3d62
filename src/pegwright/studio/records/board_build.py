"""Building a board: its plan, the files to take to the workshop, and how exactly to drill."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import BaseModel
from starlette.responses import Response

from pegwright.designs.writer import length_text
from pegwright.errors import BadInput, NotPossible, Place
from pegwright.knitting.wrap_trial import columns_for, comes_back
from pegwright.loom.nearest import BoardNotPossible
from pegwright.loom.plan import BoardPlan, plan_board
from pegwright.loom.spec import BoardSpec
from pegwright.loom.spec_given import measures_of
from pegwright.loom.tolerance import Tolerance, tolerance
from pegwright.pattern.board_plan import BoardDocument, WrapFact, board_document, wrap_fact
from pegwright.pattern.board_words import tolerance_words
from pegwright.publish.board_pack import board_files
from pegwright.publish.board_plan import board_pdf, board_svgs, cut_list_json
from pegwright.studio.answers import file_answer, zipped
from pegwright.studio.designs.api import RecordId
from pegwright.studio.designs.sheet import SheetGroup
from pegwright.studio.jobs import Job, JobView, TheJobs
from pegwright.studio.publish.api import PDF_POLICY
from pegwright.studio.records.board_build_form import (
    Building,
    PlanAsked,
    PlanFileAsked,
    build_sheet,
    building_of,
)
from pegwright.studio.records.board_plan_view import DocumentView, document_view
from pegwright.studio.records.tasks import at_field, board_record
from pegwright.studio.refusals import ANSWERS
from pegwright.studio.state import Studio, TheStudio
from pegwright.units import UnitSystem

__all__ = ["router"]

router = APIRouter(prefix="/api/boards", tags=["boards"], responses=ANSWERS)

_SVG_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'self'"
_DATA_POLICY = "default-src 'none'"


class PlanFile(StrEnum):
    """A file of a plan."""

    PDF = "pdf"
    SVG = "svg"
    DXF = "dxf"
    CUT_LIST = "cut-list"
    PACK = "pack"


class ProblemView(BaseModel):
    """Why a board cannot be built, and what to do."""

    what: str
    given: str
    mend: str


class PlanView(BaseModel):
    """A plan, or why there is none.

    :param nearest: where it cannot be built: the fields to change for the nearest board that can.
    :param template: the whole drilling template at true scale, as SVG.
    :param drills: a yarn is known, so that it can be told how exactly to drill.
    """

    problems: list[ProblemView]
    nearest: dict[str, str]
    plan: DocumentView | None
    template: str
    drills: bool


class ToleranceView(BaseModel):
    """How exactly to drill; in mm, and in words."""

    drilling_mm: float
    sd_mm: float
    linear_sd_mm: float
    sampled_sd_mm: float
    meet_sd_mm: float | None
    gap_mm: float | None
    words: list[str]


TheAsked = Annotated[PlanAsked, Query()]


@router.get("/{board_id}/plan/form")
def plan_form(board_id: RecordId, studio: TheStudio) -> list[SheetGroup]:
    """The form of a plan, filled with the board."""
    _, own = board_record(studio, board_id)
    return build_sheet(own, studio.library)


@router.get("/{board_id}/plan")
def plan(board_id: RecordId, studio: TheStudio, asked: TheAsked) -> PlanView:
    """The plan of a board; what cannot be built comes back with why, and the nearest that can."""
    spec: BoardSpec | None = None
    try:
        building = _building(studio, board_id, asked)
        spec = building.spec
        document = _document(building)
    except BoardNotPossible as error:
        problems = [ProblemView(what=p.what, given=p.given, mend=p.mend) for p in error.problems]
        nearest = _nearest(error, spec)
        return PlanView(problems=problems, nearest=nearest, plan=None, template="", drills=False)
    whole = next(iter(board_svgs(document, building.paper).values()))
    return PlanView(
        problems=[],
        nearest={},
        plan=document_view(document),
        template=whole.decode("utf-8"),
        drills=building.spec.yarn_mm > 0,
    )


@router.get("/{board_id}/plan/files/{which}", response_class=Response)
def plan_file(
    board_id: RecordId,
    which: PlanFile,
    studio: TheStudio,
    asked: Annotated[PlanFileAsked, Query()],
) -> Response:
    """A file of the plan: printed, as a drawing, for a machine, or all of them as one zip."""
    building = _building(studio, board_id, asked)
    document = _document(building)
    make, kind, policy, end = _FILES[which]
    data = make(document, building)
    return file_answer(
        data, kind, f"{document.key}{end}", download=asked.download == "true", policy=policy
    )


@router.post("/{board_id}/tolerance", status_code=202)
def how_exactly(board_id: RecordId, asked: PlanAsked, studio: TheStudio, jobs: TheJobs) -> JobView:
    """Begin to work out how exactly to drill."""
    building = _building(studio, board_id, asked)
    if not building.spec.yarn_mm:
        raise BadInput(
            "the yarn's thickness is needed",
            hint="choose a yarn, or say its category",
            place=Place(field="yarn"),
        )
    loom = plan_board(building.spec).loom

    def work(job: Job) -> ToleranceView:
        columns = columns_for(building.wrap, loom, building.over, loom.pegs)
        visits = building.wrap.visits(loom, 1, columns)
        found = tolerance(
            loom,
            visits,
            building.spec.yarn_mm,
            part=building.part,
            meet_mm=building.meet_mm,
            confidence=building.sure,
            closed=comes_back(loom, visits),
            progress=lambda: job.tell("Boards are drilled by chance and wrapped"),
        )
        return _tolerance_view(found, building.wrap.name)

    return jobs.start(work)


# --- inside --------------------------------------------------------------------------------------


def _building(studio: Studio, board_id: str, asked: PlanAsked) -> Building:
    _, own = board_record(studio, board_id)
    return building_of(asked, own, studio.library)


def _document(building: Building) -> BoardDocument:
    made = plan_board(building.spec)
    return board_document(made, building.units, _wrap(building, made))


def _wrap(building: Building, made: BoardPlan) -> WrapFact | None:
    """What a wrap test will draw; None where no yarn is known."""
    if not building.spec.yarn_mm:
        return None
    with at_field("wrap" if building.over is None else "over"):
        over = columns_for(building.wrap, made.loom, building.over)
        return wrap_fact(made, building.wrap, over, building.slack)


def _nearest(error: BoardNotPossible, spec: BoardSpec | None) -> dict[str, str]:
    """The fields to change; nothing where the board that was asked for is not known."""
    near = error.nearest
    if spec is None:
        return {}
    before, after = measures_of(spec), measures_of(near)
    changed = {
        name: length_text(mm, UnitSystem.INCHES)
        for name, mm in after.items()
        if abs(before.get(name, 0.0) - mm) > 1e-6
    }
    if near.pegs != spec.pegs:
        changed["pegs"] = str(near.pegs)
    if near.join is not spec.join:
        changed["join"] = str(near.join)
    return changed


def _tolerance_view(found: Tolerance, wrap: str) -> ToleranceView:
    return ToleranceView(
        drilling_mm=found.drilling_mm,
        sd_mm=found.sd_mm,
        linear_sd_mm=found.linear_sd_mm,
        sampled_sd_mm=found.sampled_sd_mm,
        meet_sd_mm=found.meet_sd_mm,
        gap_mm=found.gap_mm,
        words=list(tolerance_words(found, wrap)),
    )


# --- files ---------------------------------------------------------------------------------------


def _pdf(document: BoardDocument, building: Building) -> bytes:
    return board_pdf(document, building.paper)


def _svg(document: BoardDocument, building: Building) -> bytes:
    return next(iter(board_svgs(document, building.paper).values()))


def _dxf(document: BoardDocument, _: Building) -> bytes:
    from pegwright.publish.board_dxf import board_dxf

    try:
        return board_dxf(document.plan)
    except NotPossible as error:
        error.hint = "take the SVG, which is at true scale too"
        raise


def _cut_list(document: BoardDocument, _: Building) -> bytes:
    return cut_list_json(document)


def _pack(document: BoardDocument, building: Building) -> bytes:
    return zipped(board_files(document, building.paper)[0])


_FILES: dict[PlanFile, tuple[Callable[[BoardDocument, Building], bytes], str, str, str]] = {
    PlanFile.PDF: (_pdf, "application/pdf", PDF_POLICY, ".pdf"),
    PlanFile.SVG: (_svg, "image/svg+xml", _SVG_POLICY, "-template.svg"),
    PlanFile.DXF: (_dxf, "image/vnd.dxf", _DATA_POLICY, ".dxf"),
    PlanFile.CUT_LIST: (_cut_list, "application/json", _DATA_POLICY, "-cut-list.json"),
    PlanFile.PACK: (_pack, "application/zip", _DATA_POLICY, ".zip"),
}
"""How each file is made, its media type, its policy, and how its name ends."""
