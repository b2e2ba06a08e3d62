"""Colours: how they fall on every face of a size, and the pegs at which they fall as wished."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Annotated, Literal

from fastapi import APIRouter, Query
from pydantic import BaseModel, Field
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from pegwright.designs.model import Design, slug
from pegwright.designs.problems import check_size
from pegwright.errors import BadInput, Place
from pegwright.knitting.wraps import Wrap
from pegwright.making import Made
from pegwright.pattern.fabric_view import FabricView, fabric_view
from pegwright.planning.colour import Joining
from pegwright.planning.colour_search import ColourSearch, Effect, Placement, Scores
from pegwright.planning.strip_colours import placed_strip, search_strip
from pegwright.studio.answers import file_answer
from pegwright.studio.designs.api import RecordId, Revision
from pegwright.studio.designs.fabric import SeenSize, seen_size
from pegwright.studio.jobs import Job, JobView, TheJobs
from pegwright.studio.refusals import ANSWERS
from pegwright.studio.shapes import Asked
from pegwright.studio.state import DesignTask, Studio, TheStudio
from pegwright.studio.tasks.colour_writing import (
    gauge_in,
    known_wraps,
    measured_offset_m,
    writing_of,
)
from pegwright.studio.tasks.task import task_page
from pegwright.studio.tasks.writing import Written, write_changes
from pegwright.units import format_both
from pegwright.yarn.colour import ColourRun, parse_colour_run
from pegwright.yarn.sight import MOST_COMPARED, check_sight
from pegwright.yarn.yarn import Yarn

__all__ = ["TASK", "pages", "router"]

TASK = DesignTask(
    "colours",
    "Colours",
    "See how the colours fall on every face, stitch by stitch, and find the pegs and the start at "
    "which a yarn that changes colour falls as you wish.",
)

pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)
router = APIRouter(prefix="/api/colours", tags=["colours"], responses=ANSWERS)

MOST_ROWS_DRAWN = 120
_FIELDS = {"run": "colours", "pegs": "pegs_from"}
"""Fields of the search by their names on the page."""

_PICTURE_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"

Count = Annotated[int, Field(ge=0, le=100_000)]
YarnName = Annotated[str, Field(max_length=200)]
Colours = Annotated[str, Field(max_length=2000)]
SizeName = Annotated[str, Query(max_length=200)]


class FaceView(BaseModel):
    """A side that there is a picture of, and its words."""

    key: str
    title: str
    words: str


class FacesView(BaseModel):
    """How the colours of a size fall.

    :param words: each piece's colours; ``sight`` how well they can be told apart.
    :param faces: the sides that there are pictures of.
    """

    size: str
    words: list[str]
    sight: list[str]
    faces: list[FaceView]


class SearchAsked(Asked):
    """What is looked for.

    :param yarn: the body's where none is named.
    :param colours: one repeat as it is typed, in place of the design's.
    :param pegs_from: from 4 where it is left out, to all of the board.
    :param wraps: the design's where none is named.
    """

    effect: Effect = Field(default=Effect.STRIPES, strict=False)
    yarn: YarnName = ""
    colours: Colours = ""
    pegs_from: Count | None = None
    pegs_to: Count | None = None
    wraps: list[Annotated[str, Field(max_length=200)]] = Field(default_factory=list, max_length=40)
    rows: Count = 60
    starts: Count = 64
    best: Annotated[int, Field(ge=0, le=20)] = 5


class PlacedAsked(Asked):
    """A placement to write into the design, and what it was found for."""

    revision: Revision
    yarn: YarnName = ""
    colours: Colours = ""
    pegs: Annotated[int, Field(ge=1, le=2000)]
    wrap: Annotated[str, Field(min_length=1, max_length=200)]
    offset_m: Annotated[float, Field(ge=0, le=1e6)]


class PlacementView(BaseModel):
    """A placement: in words, as a picture, and what of it can be written into the design."""

    pegs: int
    wrap: str
    offset_m: float
    words: str
    width: str
    writes: list[str]
    mind: list[str]
    caption: str
    told: str
    svg: str


class ColoursFound(BaseModel):
    """The best placements, the best first.

    :param revision: of the design that they were looked for.
    :param unseen: how many peg counts were not looked at, where it was stopped.
    """

    revision: int
    words: list[str]
    best: list[PlacementView]
    unseen: int


# --- the page ------------------------------------------------------------------------------------


@pages.get("/designs/{design_id}/colours")
def colours_page(request: Request, design_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """Where colours are looked at and looked for."""
    on_desk = studio.desk.design(design_id)
    with on_desk.lock:
        design, made = on_desk.design, on_desk.made
    runs = [] if design is None else [name for name in design.yarns if name in design.colour_runs]
    body = "" if design is None else design.use["body"]
    counts = [size.plan.pieces[0].columns for size in made.sizes] if made else []
    return task_page(
        request,
        studio,
        "task_colours.html",
        TASK,
        design_id,
        yarns=list(design.yarns.values()) if design else [],
        runs=runs,
        chosen=body if body in runs or not runs else runs[0],
        wraps=list(known_wraps(design)) if design else [],
        pegs=(max(4, min(counts) - 3), min(design.loom.pegs, max(counts) + 3))
        if design and counts
        else ("", ""),
        board=design.loom.pegs if design else 0,
    )


# --- how they fall -------------------------------------------------------------------------------


@router.get("/{design_id}")
def faces(
    design_id: RecordId, studio: TheStudio, size: SizeName = "", anew: bool = False
) -> FacesView:
    """How the colours of a size fall; ``anew`` where a yarn that is joined again begins anew."""
    made, seen = _seen(studio, design_id, size, anew)
    units, palette = made.design.units, seen.colours.colours
    sight = check_sight(palette).words(units) if len(palette) <= MOST_COMPARED else ()
    return FacesView(
        size=seen.size.name,
        words=list(seen.colours.words(units)),
        sight=list(sight),
        faces=[
            FaceView(key=v.key, title=v.title, words=" ".join(v.words(units))) for v in seen.views
        ],
    )


@router.get("/{design_id}/picture", response_class=Response)
def picture(
    design_id: RecordId,
    studio: TheStudio,
    size: SizeName = "",
    face: Annotated[str, Query(max_length=200)] = "",
    anew: bool = False,
    form: Literal["drawn", "painted"] = "drawn",
    download: bool = False,
) -> Response:
    """The picture of a side: drawn as SVG, or painted as PNG."""
    from pegwright.publish.fabric_picture import fabric_picture
    from pegwright.publish.fabric_raster import fabric_png

    made, seen = _seen(studio, design_id, size, anew)
    view = seen.view(face)
    drawn = form == "drawn"
    data = fabric_picture(view, titled=download) if drawn else fabric_png(view)
    stem = f"{made.design.key}-{slug(seen.size.name)}-{view.key.removeprefix('look-')}"
    kind, end = ("image/svg+xml", "svg") if drawn else ("image/png", "png")
    return file_answer(data, kind, f"{stem}.{end}", download=download, policy=_PICTURE_POLICY)


# --- the search ----------------------------------------------------------------------------------


@router.post("/{design_id}/search", status_code=202)
def search(design_id: RecordId, asked: SearchAsked, studio: TheStudio, jobs: TheJobs) -> JobView:
    """Begin to look for pegs and starts; a stop gives the best so far."""
    revision = studio.desk.design(design_id).revision
    made = studio.desk.worked_out(design_id)
    design = made.design
    yarn = _yarn(design, asked.yarn)
    run = _run(design, yarn, asked.colours)
    wraps = [_wrap(design, name) for name in dict.fromkeys(asked.wraps)] or [design.wrap]
    pegs = _pegs(design, asked)
    looked = [0, 0]

    def work(job: Job) -> ColoursFound:
        def tell(done: int, of: int) -> None:
            looked[:] = done + 1, of
            job.say("peg counts looked at", done, of)

        try:
            found = search_strip(
                design.loom, wraps, yarn, run, asked.effect, pegs=pegs, starts=asked.starts,
                rows=asked.rows, best=asked.best, slack=design.slack.value, progress=tell,
                cancelled=job.stopping,
            )  # fmt: skip
        except BadInput as error:
            field = (error.place.field if error.place else None) or ""
            error.place = Place(field=_FIELDS.get(field, field))
            raise
        job.say("Drawing the best …")
        return ColoursFound(
            revision=revision,
            words=_heads(found, design),
            best=list(_placed(made, yarn, asked.colours, found)),
            unseen=looked[1] - looked[0],
        )

    return jobs.start(work)


@router.post("/{design_id}/use")
def use(design_id: RecordId, asked: PlacedAsked, studio: TheStudio) -> Written:
    """Write into the design what can be written of a placement."""
    made = studio.desk.worked_out(design_id)
    yarn = _yarn(made.design, asked.yarn)
    _run(made.design, yarn, asked.colours)
    _wrap(made.design, asked.wrap).fits(made.design.loom, asked.pegs)
    scores = Scores(0.0, 0.0, 0.0)
    placement = Placement(asked.wrap, asked.pegs, asked.offset_m, 0.0, scores, 0.0, 0.0)
    changes = writing_of(made, yarn, placement, asked.colours).changes
    version = f"Colours: {asked.pegs} pegs, {asked.wrap}"
    return write_changes(studio, design_id, changes, asked.revision, version)


# --- inside --------------------------------------------------------------------------------------


def _seen(studio: Studio, design_id: str, size: str, anew: bool) -> tuple[Made, SeenSize]:
    made = studio.desk.worked_out(design_id)
    if size:
        check_size(size, (one.name for one in made.sizes))
    return made, seen_size(made, size, Joining.ANEW if anew else Joining.CARRY_ON)


def _yarn(design: Design, name: str) -> Yarn:
    if not name:
        return design.body_yarn
    if name not in design.yarns:
        hint = f"one of: {', '.join(design.yarns)}"
        raise BadInput("no such yarn", given=name, hint=hint, place=Place(field="yarn"))
    return design.yarns[name]


def _run(design: Design, yarn: Yarn, colours: str) -> ColourRun:
    """One repeat: as it was typed, or the design's own; how much it drifts is not looked at.

    :raises BadInput: at the field ``colours``, where there is none or it cannot be read.
    """
    if colours.strip():
        return parse_colour_run(colours)
    run = design.colour_runs.get(yarn.name)
    if run is None:
        raise BadInput(
            "the yarn has one colour, so there is nothing to place",
            given=yarn.label,
            hint="say how it changes: rust 30 cm, cream 12 in",
            place=Place(field="colours"),
        )
    return replace(run, drift=0.0)


def _wrap(design: Design, name: str) -> Wrap:
    known = known_wraps(design)
    if name not in known:
        hint = f"one of: {', '.join(known)}"
        place = Place(field="wraps")
        raise BadInput("no such wrap for this board", given=name, hint=hint, place=place)
    return known[name]


def _pegs(design: Design, asked: SearchAsked) -> range | None:
    """The peg counts to look at; None for all that there are."""
    if asked.pegs_from is None and asked.pegs_to is None:
        return None
    first = 4 if asked.pegs_from is None else asked.pegs_from
    last = design.loom.pegs if asked.pegs_to is None else min(asked.pegs_to, design.loom.pegs)
    if not 1 <= first <= last:
        raise BadInput(
            "there are no such peg counts on this board",
            given=f"{first} to {last}",
            hint=f"from 1 to {design.loom.pegs}, the smaller number first",
            place=Place(field="pegs_from"),
        )
    return range(first, last + 1)


def _heads(found: ColourSearch, design: Design) -> list[str]:
    """What is said of the search as a whole."""
    lines = found.words(design.units)
    return [lines[0], *lines[1 + len(found.best) :]]


def _placed(made: Made, yarn: Yarn, colours: str, found: ColourSearch) -> Iterator[PlacementView]:
    from pegwright.publish.fabric_picture import fabric_picture

    units = made.design.units
    for number, one in enumerate(found.best, 1):
        placement = replace(one, offset_m=measured_offset_m(one.offset_m))
        wrap = known_wraps(made.design)[one.wrap]
        view, width = _picture(made.design, wrap, yarn, placement, found, f"placed-{number}")
        writing = writing_of(made, yarn, placement, colours)
        words = view.words(units)
        yield PlacementView(
            pegs=one.pegs,
            wrap=one.wrap,
            offset_m=placement.offset_m,
            words=" ".join(placement.words(units)),
            width=width,
            writes=list(writing.writes),
            mind=list(writing.mind),
            caption=f"The front face; {view.lines} rows.",
            told=" ".join(words),
            svg=fabric_picture(view, titled=False).decode("utf-8"),
        )


def _picture(
    design: Design, wrap: Wrap, yarn: Yarn, placement: Placement, found: ColourSearch, key: str
) -> tuple[FabricView, str]:
    """The front face of a placed strip, and how wide it is in words."""
    grid = placed_strip(
        design.loom, wrap, placement.pegs, yarn, found.run, offset_m=placement.offset_m,
        rows=min(found.rows, MOST_ROWS_DRAWN), slack=design.slack.value,
    )  # fmt: skip
    gauge = gauge_in(design, wrap, yarn)
    wale_mm, course_mm = gauge.width(100).value / 100, gauge.length(100).value / 100
    view = fabric_view(grid, wale_mm=wale_mm, course_mm=course_mm, key=key)
    return view, f"about {format_both(gauge.width(placement.pegs).value, design.units)} across"
