"""The pages of Publish: which design, and its pattern as it will be printed."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from pegwright.designs.model import Design
from pegwright.library.records import Kind
from pegwright.studio.designs.api import RecordId, entry
from pegwright.studio.pages import page
from pegwright.studio.state import StudioPlace, TheStudio
from pegwright.tongue.catalogues import LANGUAGES

__all__ = ["PLACE", "pages"]

PLACE = StudioPlace("publish", "Publish", "/publish")

pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)


@pages.get("/publish")
def choose(request: Request, studio: TheStudio) -> HTMLResponse:
    """Choose a design."""
    designs = [entry(record) for record in studio.library.list(Kind.DESIGN)]
    return page(request, "publish.html", here="publish", title="Publish", designs=designs)


@pages.get("/publish/{design_id}")
def publish(request: Request, design_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """A design's pattern, how it will be printed, and the files to take away."""
    design = studio.desk.design(design_id)
    with design.lock:
        read, made, problems = design.design, design.made, design.problems
    trouble = ""
    if problems:
        trouble = f"{problems[0]['error']}."
    elif made is not None and not made.proved:
        trouble = design.result.summary if design.result else ""
    return page(
        request,
        "publish_design.html",
        here="publish",
        title=f"Publish {design.record.name}",
        record=entry(design.record),
        sizes=[size.name for size in read.sizes] if read else [],
        units=str(read.units) if read else "inches",
        language=read.language if read else "en",
        languages={**LANGUAGES, **_own_language(read)},
        trouble=trouble[:1].upper() + trouble[1:],
    )


def _own_language(design: Design | None) -> dict[str, str]:
    """The design's own language, where it names a territory too: ``de-AT``."""
    if design is None or design.language in LANGUAGES:
        return {}
    return {design.language: f"{LANGUAGES[design.language[:2]]} ({design.language[3:]})"}
