"""At the loom: starting a making, following it, and bringing devices together.

``shared`` is what a paired phone may use as well (:mod:`pegwright.studio.phones.lan`); ``router``
is that and what only the studio itself may do.  ``install_pages`` is what a phone installs the page
by, before anybody is asked who she is: a browser asks for it without its cookies.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from importlib.resources import files
from typing import Annotated

from fastapi import APIRouter, Depends, Query
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, RedirectResponse, Response

from pegwright.designs.model import slug
from pegwright.designs.reader import read_text
from pegwright.errors import PegwrightError
from pegwright.library.making import event_data, missing, state_of
from pegwright.library.records import DesignText, Kind, Making, Record, Stage
from pegwright.studio.answers import file_answer
from pegwright.studio.follow.keeping import Follower
from pegwright.studio.follow.shapes import (
    DeviceId,
    FollowView,
    MakingEntry,
    SizesEntry,
    StageAsked,
    StartAsked,
    SyncAnswer,
    SyncAsked,
    event_of,
)
from pegwright.studio.follow.yarns import check_yarns, choices
from pegwright.studio.pages import page
from pegwright.studio.refusals import ANSWERS, NotThere
from pegwright.studio.state import StudioPlace, TheStudio, studio_of

__all__ = [
    "PLACE",
    "follower_of",
    "install_pages",
    "pages",
    "router",
    "shared",
    "shared_pages",
]

PLACE = StudioPlace("follow", "At the loom", "/follow/")

shared = APIRouter(prefix="/api/follow", tags=["follow"], responses=ANSWERS)
router = APIRouter()
_studio = APIRouter(prefix="/api/follow", tags=["follow"], responses=ANSWERS)
install_pages = APIRouter(include_in_schema=False)
shared_pages = APIRouter(include_in_schema=False)
pages = APIRouter(include_in_schema=False)


def follower_of(request: Request) -> Follower:
    """What this run of the studio knows of the makings that are followed."""
    state = request.app.state
    if not hasattr(state, "follower"):
        state.follower = Follower(studio_of(request).library)
    follower: Follower = state.follower
    return follower


TheFollower = Annotated[Follower, Depends(follower_of)]


# --- what a phone may do as well -----------------------------------------------------------------


@shared.get("/makings")
def list_makings(
    studio: TheStudio, follower: TheFollower, finished: Annotated[bool, Query()] = False
) -> list[MakingEntry]:
    """The makings, those under way first; finished ones only where they are asked for."""
    order = list(Stage)
    found = [
        _entry(record, record.body, follower)
        for record in studio.library.list(Kind.MAKING)
        if isinstance(record.body, Making) and (finished or record.body.stage is not Stage.FINISHED)
    ]
    return sorted(found, key=lambda one: order.index(Stage(one.stage)))


@shared.get("/makings/{making_id}")
def get_making(making_id: DeviceId, follower: TheFollower) -> FollowView:
    """A making with all that is followed: steps, rows, repeats, stripes and figures."""
    record, body = follower.making(making_id)
    return FollowView(
        id=record.id,
        name=record.name,
        design=body.design,
        version=body.version,
        stage=str(body.stage),
        document=follower.work(body).followed.document,
        own_yarns={key: own.name for key, own in follower.own_yarns(body).items()},
    )


@shared.post("/makings/{making_id}/sync", response_model=SyncAnswer)
def sync(making_id: DeviceId, asked: SyncAsked, follower: TheFollower) -> Response:
    """Take a device's events, and give it those that it lacks.

    It is answered when its own are on the disk, so what was answered is never lost.
    """
    _, body = follower.making(making_id)
    known = follower.add(making_id, body, [event_of(event) for event in asked.events])
    answer = {
        "upto": dict(known.upto),
        "total": len(known.events),
        "events": [event_data(event) for event in missing(known.events, asked.upto)],
        "forecasts": [
            _forecast_data(found) for found in follower.forecasts(making_id, body, known)
        ],
        "stage": str(body.stage),
    }
    return JSONResponse(answer, headers={"cache-control": "no-store"})


@shared.get("/makings/{making_id}/file", response_class=HTMLResponse)
def offline_file(making_id: DeviceId, request: Request, follower: TheFollower) -> Response:
    """The page at the loom as one file that needs no network at all."""
    from pegwright.studio.follow.file import follow_file

    view = get_making(making_id, follower)
    events = [event_data(event) for event in follower.known(making_id).events]
    address = f"{request.url.scheme}://{request.url.netloc}"
    data = follow_file(view.model_dump(mode="json"), events, address=address)
    name = f"{slug(view.document.title)}-at-the-loom.html"
    return file_answer(data, "text/html", name)


# --- what only the studio may do -----------------------------------------------------------------


@_studio.get("/designs/{design_id}/sizes")
def sizes(design_id: DeviceId, studio: TheStudio) -> SizesEntry:
    """The sizes in which a design can be knitted."""
    record, text = _design(studio.library.get(design_id))
    design = read_text(text.toml, "design")
    return SizesEntry(
        design=record.id,
        title=record.name,
        version=studio.library.versions(design_id)[-1].number,
        sizes=[size.name for size in design.sizes],
        yarns=choices(design.yarns.values(), studio.library.list(Kind.YARN)),
    )


@_studio.post("/makings", status_code=201)
def start(asked: StartAsked, studio: TheStudio, follower: TheFollower) -> MakingEntry:
    """Start a making; a design with a fault is refused, since it is not to be knitted."""
    _design(studio.library.get(asked.design))
    check_yarns(studio.library, asked.yarns)
    version = asked.version or studio.library.versions(asked.design)[-1].number
    body = Making(asked.design, version, asked.size, tuple(asked.yarns))
    title = follower.work(body).followed.document.title
    name = asked.name.strip() or f"{title}, {asked.size}"[:200]
    made = studio.library.put(body, name=name)
    return _entry(made, body, follower)


@_studio.post("/makings/{making_id}/stage")
def set_stage(
    making_id: DeviceId, asked: StageAsked, studio: TheStudio, follower: TheFollower
) -> MakingEntry:
    """Lay a making aside, take it up again, or finish it."""
    record, body = follower.making(making_id)
    changed = Making(body.design, body.version, body.size, body.yarns, Stage(asked.stage))
    record = studio.library.put(changed, record_id=making_id, expected=record.revision)
    return _entry(record, changed, follower)


router.include_router(shared)
router.include_router(_studio)


def _design(record: Record) -> tuple[Record, DesignText]:
    if not isinstance(record.body, DesignText) or record.deleted:
        raise NotThere("no such design is in the library", given=record.id)
    return record, record.body


def _entry(record: Record, body: Making, follower: Follower) -> MakingEntry:
    title, total = record.name, None
    try:
        document = follower.work(body).followed.document
        title, total = document.title, sum(piece.rows for piece in document.pieces)
    except PegwrightError:
        pass  # the list is shown all the same; the making itself says what is wrong
    return MakingEntry(
        id=record.id,
        name=record.name,
        design=body.design,
        title=title,
        size=body.size,
        version=body.version,
        stage=str(body.stage),
        changed=record.changed,
        rows=state_of(follower.known(record.id).events).rows_in_all,
        rows_total=total,
    )


def _forecast_data(found: object) -> dict[str, object]:
    from dataclasses import asdict

    return asdict(found)  # type: ignore[call-overload, no-any-return]


# --- pages ---------------------------------------------------------------------------------------


@install_pages.get("/follow/manifest.webmanifest")
def manifest() -> Response:
    """What a phone installs the page by (W3C Web Application Manifest)."""
    data = {
        "name": "Pegwright at the loom",
        "short_name": "At the loom",
        "description": "Count rows and follow the steps while knitting.",
        "id": "/follow/",
        "start_url": "/follow/",
        "scope": "/follow/",
        "display": "standalone",
        "background_color": "#fdfdfb",
        "theme_color": "#0b4f6c",
        "icons": [
            {"src": "/static/follow-icon.svg", "sizes": "any", "type": "image/svg+xml"},
            *(
                {
                    "src": f"/static/follow-icon-{size}.png",
                    "sizes": f"{size}x{size}",
                    "type": "image/png",
                    "purpose": purpose,
                }
                for size, purpose in ((192, "any"), (512, "any"), (512, "maskable"))
            ),
        ],
    }
    return Response(json.dumps(data), media_type="application/manifest+json")


@install_pages.get("/follow/worker.js")
def worker() -> Response:
    """The service worker; it stands here so that its scope is /follow/."""
    path = str(files("pegwright.studio").joinpath("static", "follow-worker.js"))
    headers = {"cache-control": "no-cache"}
    return FileResponse(path, media_type="text/javascript", headers=headers)


@shared_pages.get("/follow")
def without_slash() -> Response:
    """To the page that the installed app opens."""
    return RedirectResponse("/follow/")


@shared_pages.get("/follow/shell.html")
def shell(request: Request) -> HTMLResponse:
    """The page at the loom without a making: what the service worker keeps for all of them."""
    return page(request, "follow_making.html", here="follow", title="At the loom")


@shared_pages.get("/follow/{making_id}")
def follow_page(making_id: DeviceId, request: Request, follower: TheFollower) -> HTMLResponse:
    """The page at the loom; its script asks for the making, or has it from before."""
    record, _ = follower.making(making_id)
    return page(request, "follow_making.html", here="follow", title=record.name)


@pages.get("/follow/")
def follow_list(
    request: Request,
    studio: TheStudio,
    follower: TheFollower,
    design: Annotated[str, Query(max_length=64)] = "",
) -> HTMLResponse:
    """The makings, starting one, and local sharing."""
    return page(
        request,
        "follow.html",
        here="follow",
        title="At the loom",
        makings=list_makings(studio, follower, finished=True),
        designs=_named(studio.library.list(Kind.DESIGN)),
        chosen=design,
    )


pages.include_router(install_pages)
pages.include_router(shared_pages)


def _named(records: Iterable[Record]) -> list[dict[str, str]]:
    return [{"id": record.id, "name": record.name} for record in records]
