"""What a size costs in yarn and work, and what to ask for it, as a sum that adds up by hand.

What the maker types is a change of the design like any other (its table of costs, the prices of its
yarns), made through the designs' own API; here the sum of it is shown.  Which size, which yarn
counts, and sittings that she timed are asked for with the sum and are not kept.
"""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter
from pydantic import BaseModel, Field
from starlette.requests import Request
from starlette.responses import HTMLResponse

from pegwright import making
from pegwright.errors import BadInput, NotPossible, PegwrightError, Place
from pegwright.making import Made
from pegwright.pattern.source import ProvedSize
from pegwright.planning.cost import Cost, CostLine, YarnBasis
from pegwright.planning.pace import WorkTime, work_time
from pegwright.studio.designs.api import RecordId
from pegwright.studio.designs.sheet import SheetGroup
from pegwright.studio.designs.view import problems_of
from pegwright.studio.refusals import ANSWERS
from pegwright.studio.shapes import Asked
from pegwright.studio.state import DesignTask, TheStudio
from pegwright.studio.tasks.price_form import SittingAsked, missing, price_sheet, sittings_of
from pegwright.studio.tasks.task import task_page

__all__ = ["TASK", "pages", "router"]

TASK = DesignTask(
    "price",
    "Price",
    "What a size costs in yarn and work, and what to ask for it: the whole sum, line by line. "
    "No pattern prints it.",
)

pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)
router = APIRouter(prefix="/api/price", tags=["price"], responses=ANSWERS)


class SumAsked(Asked):
    """Which sum: of which size (the first where none is named), by which yarn, at which pace."""

    size: Annotated[str, Field(max_length=200)] = ""
    basis: Annotated[YarnBasis, Field(strict=False)] = YarnBasis.BOUGHT
    sittings: list[SittingAsked] = Field(default_factory=list, max_length=50)


class SumLine(BaseModel):
    """One line of the sum; one that is not counted is there to compare."""

    what: str
    working: str
    amount: str
    counted: bool


class SumView(BaseModel):
    """The sum.

    :param lines: yarn, what else is bought, and work.
    :param sums: the cost, the margin and the price.
    :param likely: between which amounts the price is, in a sentence.
    """

    lines: list[SumLine]
    sums: list[SumLine]
    price: str
    likely: str


class TimeView(BaseModel):
    """How long it takes.

    :param words: the time and the pace, a sentence each.
    :param found: the pace that sittings have told, as it can be kept; None where none did.
    """

    words: list[str]
    found: float | None


class Wanting(BaseModel):
    """Something that the sum needs to be told, and the field in which it is said."""

    field: str
    words: str


class PriceView(BaseModel):
    """All that the page shows.

    :param sheet: the form; ``problems`` name its fields.
    :param stale: the sum is that of the design as it last could be read.
    :param missing: what must be said before there is a sum.
    :param trouble: why there is none, where no field can mend it.
    :param words: time and sum as ``pegwright cost`` says them.
    """

    revision: int
    can_undo: bool
    can_redo: bool
    sizes: list[str]
    size: str
    sheet: list[SheetGroup]
    problems: list[dict[str, Any]]
    stale: bool = False
    missing: list[Wanting] = []
    trouble: str = ""
    time: TimeView | None = None
    total: SumView | None = None
    words: list[str] = []


@pages.get("/designs/{design_id}/price")
def price_page(request: Request, design_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """Where a price is reckoned."""
    return task_page(request, studio, "task_price.html", TASK, design_id)


@router.post("/{design_id}/sum")
def price_sum(design_id: RecordId, asked: SumAsked, studio: TheStudio) -> PriceView:
    """What a size comes to, by the design as it lies on the desk."""
    on_desk = studio.desk.design(design_id)
    with on_desk.lock:
        data, made = on_desk.data(), on_desk.made
        steps = studio.library.steps(design_id)
        view = PriceView(
            revision=on_desk.revision,
            can_undo=steps.back > 0,
            can_redo=steps.again > 0,
            sizes=[size.name for size in made.design.sizes] if made else [],
            size=asked.size,
            sheet=[],
            problems=list(on_desk.problems),
            stale=bool(on_desk.problems),
        )
    size = None
    if made is not None:
        view.size = _size_name(made, asked.size)
        try:
            size = _proved(made, view.size)
        except PegwrightError as refused:
            view.trouble = _sentence(refused)
    else:
        view.trouble = "The design was not worked out yet: mend what is wrong with it first."
    view.sheet = price_sheet(data or {}, made.design if made else None, size, asked.sittings)
    if made is not None and size is not None:
        _reckon(view, made, size, asked)
    return view


def _size_name(made: Made, wanted: str) -> str:
    """The size that is meant; the first where there is none of that name, or no more."""
    names = [size.name for size in made.design.sizes]
    return wanted if wanted in names else names[0]


def _proved(made: Made, name: str) -> ProvedSize:
    """A size as it lies on the desk; where the design has faults, that size alone.

    :raises NotPossible: where that size has faults; how much yarn there is, is not looked at.
    """
    if made.proved:
        return next(size for size in made.sizes if size.name == name)
    return making.size_alone(made.design, name)[1]


def _reckon(view: PriceView, made: Made, size: ProvedSize, asked: SumAsked) -> None:
    """Write time and sum into the view, or what is wrong or missing."""
    design = made.design
    try:
        time = _time(made, size, asked)
    except BadInput as refused:
        view.problems += problems_of(refused)
        return
    found = round(time.pace.loops_per_minute.value, 1) if time.pace.sittings else None
    view.time = TimeView(words=list(time.words(design.units)), found=found or None)
    view.missing = [Wanting(field=field, words=words) for field, words in missing(design, size)]
    if view.missing:
        return
    cost = making.cost_of(design, size, time.hours, basis=asked.basis)
    view.total = _sum(cost)
    view.words = _words(made, size, time, cost)


def _time(made: Made, size: ProvedSize, asked: SumAsked) -> WorkTime:
    """How long a size takes.

    :raises BadInput: naming the field of the page, for what is no sitting or no pace.
    """
    own = made.design.costing.loops_per_minute if made.design.costing else None
    sittings = sittings_of(asked.sittings)
    try:
        pace = making.pace_of(size, own, sittings)
    except BadInput as refused:
        refused.place = Place(field="sittings" if sittings else "cost.pace")
        refused.what = refused.what.replace("loops_per_minute", "the pace")
        raise
    return work_time(size.run.fabric.loops, pace)


def _sum(cost: Cost) -> SumView:
    def line(each: CostLine) -> SumLine:
        amount = cost.shown(each.amount)
        working = "" if each.working == amount else each.working
        return SumLine(what=each.what, working=working, amount=amount, counted=each.counted)

    return SumView(
        lines=[line(each) for each in cost.lines],
        sums=[line(each) for each in cost.sums],
        price=cost.shown(cost.price),
        likely=cost.likely,
    )


def _words(made: Made, size: ProvedSize, time: WorkTime, cost: Cost) -> list[str]:
    units = made.design.units
    head = f"{made.design.title}, size {size.name}"
    return [head, "", *time.words(units), "", *cost.words(units)]


def _sentence(refused: PegwrightError) -> str:
    what = refused.what[:1].upper() + refused.what[1:]
    hint = f" Try: {refused.hint}." if refused.hint and isinstance(refused, NotPossible) else ""
    return f"{what}.{hint}"
