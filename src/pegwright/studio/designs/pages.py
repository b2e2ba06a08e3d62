"""The pages of the designs: the list, a new one, and the page on which a design is changed."""

from __future__ import annotations

import tomllib
from typing import Annotated

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse

from pegwright.designs.files import shipped_designs, shipped_text
from pegwright.garments.registry import garments
from pegwright.library.records import Kind
from pegwright.studio.designs.api import RecordId, entry, list_designs
from pegwright.studio.pages import page
from pegwright.studio.refusals import NotThere
from pegwright.studio.state import StudioPlace, TheStudio

__all__ = ["PLACE", "pages"]

PLACE = StudioPlace("designs", "Designs", "/designs")

pages = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)


@pages.get("/")
def start() -> RedirectResponse:
    """The studio opens at the designs."""
    return RedirectResponse("/designs")


@pages.get("/designs")
def designs(
    request: Request,
    studio: TheStudio,
    query: Annotated[str, Query(max_length=200)] = "",
    deleted: bool = False,
) -> HTMLResponse:
    """The list."""
    found = list_designs(studio, query, deleted)
    titles = {kind.name: kind.title for kind in garments().values()}
    return page(
        request,
        "designs.html",
        here="designs",
        title="Designs",
        designs=found,
        query=query,
        deleted=deleted,
        garments=titles,
    )


@pages.get("/designs/new")
def new(request: Request) -> HTMLResponse:
    """Where a design is started."""
    examples = [
        {"name": name, "title": tomllib.loads(shipped_text(name))["design"]["title"]}
        for name in shipped_designs()
    ]
    return page(
        request,
        "design_new.html",
        here="designs",
        title="New design",
        garments=list(garments().values()),
        examples=examples,
    )


@pages.get("/designs/{design_id}")
def design(request: Request, design_id: RecordId, studio: TheStudio) -> HTMLResponse:
    """Where a design is changed."""
    record = studio.library.get(design_id)
    if record.kind is not Kind.DESIGN:
        raise NotThere("no such design is in the library", given=design_id)
    return page(
        request,
        "design.html",
        here="designs",
        title=record.name,
        record=entry(record),
    )
