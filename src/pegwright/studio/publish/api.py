"""Publishing: the PDF, the page and the pack of a design, as the maker chooses them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import APIRouter, Depends, Query
from starlette.responses import Response

from pegwright import making
from pegwright.designs.model import Design
from pegwright.designs.problems import check_size
from pegwright.errors import NotPossible, Severity
from pegwright.making import Made
from pegwright.pattern.model import Pattern
from pegwright.publish.pdf import Paper, PrintStyle
from pegwright.studio.answers import NOTHING_ELSE, file_answer, zipped
from pegwright.studio.designs.api import RecordId
from pegwright.studio.refusals import ANSWERS
from pegwright.studio.state import Studio, TheStudio
from pegwright.units import UnitSystem

__all__ = ["PAGE_POLICY", "proved_pattern", "router"]

router = APIRouter(prefix="/api/publish", tags=["publish"], responses=ANSWERS)

PAGE_POLICY = (
    "sandbox; default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:; "
    "frame-ancestors 'self'"
)
"""A published page carries its own style; it is shown in a sandbox, apart from the studio."""

PDF_POLICY = "frame-ancestors 'self'"
"""A PDF is shown by the browser's own viewer, which a stricter policy would stop."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """How a pattern is wanted: in which language, which units first, which sizes, what paper."""

    language: str | None
    units: UnitSystem | None
    sizes: tuple[str, ...]
    style: PrintStyle


def _wanted(
    language: Annotated[str | None, Query(max_length=12)] = None,
    units: Annotated[UnitSystem | None, Query()] = None,
    size: Annotated[list[str] | None, Query(max_length=100)] = None,
    paper: Annotated[Paper, Query()] = Paper.A4,
    large_print: Annotated[bool, Query()] = False,
) -> Wanted:
    return Wanted(language, units, tuple(size or ()), PrintStyle(paper, large_print))


TheWanted = Annotated[Wanted, Depends(_wanted)]


@router.get("/{design_id}/pdf", response_class=Response)
def pdf(
    design_id: RecordId, studio: TheStudio, wanted: TheWanted, download: bool = False
) -> Response:
    """The printed pattern as a PDF."""
    from pegwright.publish.pdf import pattern_pdf

    pattern = _pattern(studio, design_id, wanted)
    data = pattern_pdf(pattern, wanted.style)
    return file_answer(
        data, "application/pdf", f"{pattern.key}.pdf", download=download, policy=PDF_POLICY
    )


@router.get("/{design_id}/page", response_class=Response)
def one_page(
    design_id: RecordId, studio: TheStudio, wanted: TheWanted, download: bool = False
) -> Response:
    """The pattern as one web page with nothing to fetch."""
    from pegwright.publish.page import pattern_page

    pattern = _pattern(studio, design_id, wanted)
    data = pattern_page(pattern)
    return file_answer(
        data,
        "text/html; charset=utf-8",
        f"{pattern.key}.html",
        download=download,
        policy=PAGE_POLICY,
    )


@router.get("/{design_id}/pack", response_class=Response)
def pack(design_id: RecordId, studio: TheStudio, wanted: TheWanted) -> Response:
    """All that is printed of a design, as one zip: PDF, page, figures, proof, design file."""
    design = _design(studio, design_id, wanted)
    pattern = _pattern(studio, design_id, wanted)
    files = {**making.files(pattern, wanted.style), f"{pattern.key}.toml": design.source.encode()}
    return file_answer(zipped(files), "application/zip", f"{pattern.key}.zip", policy=NOTHING_ELSE)


# --- inside --------------------------------------------------------------------------------------


def _design(studio: Studio, design_id: str, wanted: Wanted) -> Design:
    """The design as it is wanted.

    :raises NotPossible: where its text does not read; BadInput for a size that it has not.
    """
    design = studio.desk.readable(design_id)
    for name in wanted.sizes:
        check_size(name, (size.name for size in design.sizes))
    if wanted.sizes:
        kept = tuple(size for size in design.sizes if size.name in wanted.sizes)
        design = replace(design, sizes=kept)
    if wanted.language is not None:
        design = design.in_language(wanted.language)
    return replace(design, units=wanted.units or design.units)


def _pattern(studio: Studio, design_id: str, wanted: Wanted) -> Pattern:
    return proved_pattern(_design(studio, design_id, wanted))[1]


def proved_pattern(design: Design) -> tuple[Made, Pattern]:
    """A design made, and its pattern.

    :raises NotPossible: where it has faults, with the first of them.
    """
    made, pattern = making.make(design)
    if pattern is None:
        fault = next((f for f in made.findings if f.severity is Severity.FAULT), None)
        raise NotPossible(
            "the design has faults, and an unproved pattern is never printed",
            given=fault.what if fault else None,
            hint="mend the faults first",
        )
    return made, pattern
