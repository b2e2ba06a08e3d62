"""Stripes from odds and ends, for a size of a design: planned, looked at, and written into it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter
from pydantic import Field
from starlette.requests import Request
from starlette.responses import HTMLResponse

from pegwright import making
from pegwright.designs.model import Design
from pegwright.designs.problems import check_size
from pegwright.designs.striping import with_stripes
from pegwright.errors import BadInput, NotPossible, PegwrightError, Place
from pegwright.garments.registry import garment, garments, takes_stripes
from pegwright.knitting.stripes import Stripe
from pegwright.planning.stripe_relax import NoStripes
from pegwright.planning.stripe_solver import StripeProgress, plan_stripes
from pegwright.planning.stripes import MOST_STRIPES, MOST_YARNS, Aim, StripeProblem
from pegwright.studio.designs.api import RecordId, Revision
from pegwright.studio.jobs import Job, JobView, TheJobs
from pegwright.studio.refusals import ANSWERS
from pegwright.studio.shapes import Asked
from pegwright.studio.state import DesignTask, Studio, TheStudio
from pegwright.studio.tasks.stripe_edits import stripe_changes
from pegwright.studio.tasks.stripe_views import StripesFound, no_plan, plan_view
from pegwright.studio.tasks.stripe_yarns import ChosenYarns, YarnAsked, chosen_yarns, yarn_choices
from pegwright.studio.tasks.task import task_page
from pegwright.studio.tasks.writing import Written, write_changes
from pegwright.units import parse_length_mm

__all__ = ["TASK", "pages", "router"]

TASK = DesignTask(
    "stripes",
    "Stripes",
    "Plan stripes from the yarn that you have: which yarns, in which order, and how many rows of "
    "each, so that none runs out.",
)

pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)
router = APIRouter(prefix="/api/stripes", tags=["stripes"], responses=ANSWERS)

_FIELDS = {"join_m": "join", "coverage": "sure", "aim": "rows"}
"""Fields of the problem by their names on the page."""

Count = Annotated[int, Field(ge=0, le=100_000)]


class PlanAsked(Asked):
    """What stripes are asked for; lengths as they are typed.

    :param rows: so many rows in all, or ``length``; the size's own where neither is given and the
        aim is an even use.
    :param margin: more for every row, 0.1 for a tenth; the design's where nothing is given.
    :param seconds: then the best so far is taken.
    """

    size: Annotated[str, Field(max_length=200)] = ""
    yarns: Annotated[list[YarnAsked], Field(min_length=1, max_length=MOST_YARNS)]
    aim: Aim = Field(default=Aim.MOST, strict=False)
    rows: Count | None = None
    length: Annotated[str, Field(max_length=100)] = ""
    least_rows: Count = 2
    most_rows: Count = 20
    most_stripes: Count = 60
    multiple: Count = 1
    pieces: Annotated[int, Field(ge=0, le=100)] = 1
    mirror: bool = False
    match_ends: bool = False
    join: Annotated[str, Field(max_length=100)] = "12 in"
    margin: Annotated[float, Field(ge=0, le=10)] | None = None
    sure: Annotated[float, Field(ge=0.5, lt=1)] = 0.9
    seconds: Annotated[float, Field(ge=1, le=3600)] = 30.0


class StripeAsked(Asked):
    """Rows in one yarn, by the name that the plan has for it."""

    yarn: Annotated[str, Field(min_length=1, max_length=300)]
    rows: Annotated[int, Field(ge=1, le=100_000)]


class UseAsked(Asked):
    """A plan to write into the design, with the yarns that it was planned from."""

    revision: Revision
    yarns: Annotated[list[YarnAsked], Field(min_length=1, max_length=MOST_YARNS)]
    stripes: Annotated[list[StripeAsked], Field(min_length=1, max_length=MOST_STRIPES)]


# --- the page ------------------------------------------------------------------------------------


@pages.get("/designs/{design_id}/stripes")
def stripes_page(request: Request, design_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """Where stripes are planned."""
    on_desk = studio.desk.design(design_id)
    with on_desk.lock:
        design, made = on_desk.design, on_desk.made
    kinds = garments().values()
    folded = made is not None and any("fold_row" in s.plan.facts for s in made.sizes)
    return task_page(
        request,
        studio,
        "task_stripes.html",
        TASK,
        design_id,
        striped=bool(design and design.stripes),
        takes_stripes=design is not None and takes_stripes(garment(design.garment)),
        garment=garment(design.garment).title if design else "",
        takers=[kind.title for kind in kinds if takes_stripes(kind)],
        yarns=yarn_choices(design, studio.library) if design else [],
        multiple=2 if folded else 1,
        pieces=max((len(s.plan.pieces) for s in made.sizes), default=1) if made else 1,
        margin=round(100 * design.margin, 2) if design else 0,
    )


# --- planning ------------------------------------------------------------------------------------


@router.post("/{design_id}/plan", status_code=202)
def plan(design_id: RecordId, asked: PlanAsked, studio: TheStudio, jobs: TheJobs) -> JobView:
    """Begin to look for stripes; a stop gives the best so far."""
    revision = studio.desk.design(design_id).revision
    design = _design(studio, design_id)
    chosen = chosen_yarns(design, studio.library, asked.yarns)
    problem = _problem(design, asked, chosen)
    size = asked.size or design.sizes[0].name

    def tell(job: Job, now: StripeProgress) -> None:
        words = now.words(problem.aim)
        job.say(f"{words[:1].upper()}{words[1:]}." if words else "Looking for a first plan …")

    def work(job: Job) -> StripesFound:
        job.say("Looking for a first plan …")
        try:
            found = plan_stripes(
                problem,
                time_limit_s=asked.seconds,
                progress=lambda now: tell(job, now),
                cancelled=job.stopping,
            )
        except NoStripes as refused:
            return no_plan(refused, revision)
        stopped = job.stopping()
        job.say("Knitting it on the simulated loom …")
        used = chosen.only([stripe.yarn for stripe in found.stripes])
        striped = with_stripes(design, found.stripes, used)
        view = plan_view(found, striped, size)
        return StripesFound(revision=revision, stopped=stopped, plan=view)

    return jobs.start(work)


@router.post("/{design_id}/use")
def use(design_id: RecordId, asked: UseAsked, studio: TheStudio) -> Written:
    """Write stripes into the design; yarns of the library come with them, with their grams."""
    design = _design(studio, design_id)
    chosen = chosen_yarns(design, studio.library, asked.yarns)
    stripes = tuple(Stripe(one.yarn, one.rows) for one in asked.stripes)
    used = chosen.only([stripe.yarn for stripe in stripes])
    changes = stripe_changes(design, with_stripes(design, stripes, used))
    rows = sum(stripe.rows for stripe in stripes)
    version = f"Stripes: {len(stripes)} in {rows} rows"
    return write_changes(studio, design_id, changes, asked.revision, version)


# --- inside --------------------------------------------------------------------------------------


def _design(studio: Studio, design_id: str) -> Design:
    """A design that can be striped.

    :raises NotPossible: where its garment takes no stripes, or it cannot be read.
    """
    design = studio.desk.readable(design_id)
    kind = garment(design.garment)
    if not takes_stripes(kind):
        raise NotPossible(
            "this garment takes no stripes",
            given=kind.title,
            hint="choose a garment that is made of one strip",
        )
    return design


def _problem(design: Design, asked: PlanAsked, chosen: ChosenYarns) -> StripeProblem:
    """What is asked, as the solver takes it.

    :raises PegwrightError: naming the field of the page.
    """
    if asked.size:
        check_size(asked.size, (size.name for size in design.sizes))
    try:
        limits = {} if asked.margin is None else {"margin": asked.margin}
        return making.stripe_problem(
            design,
            asked.size or None,
            chosen.stash,
            chosen.keep_m,
            aim=asked.aim,
            rows=_rows(design, asked),
            multiple=asked.multiple,
            least_rows=asked.least_rows,
            most_rows=asked.most_rows,
            most_stripes=asked.most_stripes,
            mirror=asked.mirror,
            match_ends=asked.match_ends,
            coverage=asked.sure,
            join_m=_length_mm(asked.join, "join") / 1000,
            pieces=(1.0,) * asked.pieces,
            **limits,
        )
    except PegwrightError as error:
        raise _on_page(error) from None


def _rows(design: Design, asked: PlanAsked) -> int | None:
    if not asked.length.strip():
        return asked.rows
    length_mm = _length_mm(asked.length, "length")
    return making.rows_of_length(design, length_mm, asked.multiple)


def _length_mm(text: str, field: str) -> float:
    try:
        length_mm = parse_length_mm(text)
    except BadInput as error:
        raise error.at(Place(field=field)) from None
    if length_mm <= 0:
        raise BadInput("a length above zero is needed", given=text, place=Place(field=field))
    return length_mm


def _on_page(error: PegwrightError) -> PegwrightError:
    """The refusal at the page's own field."""
    field = (error.place.field if error.place else None) or ""
    number, bracket, key = field.partition("].")
    if bracket and number.startswith("yarns["):
        error.place = Place(field=f"{number}].{'keep' if key == 'reserve_m' else 'have'}")
    elif field:
        error.place = Place(field=_FIELDS.get(field, field))
    return error
