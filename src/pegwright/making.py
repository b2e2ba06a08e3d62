"""The conductor: a design through every room, in order, to a proved pattern and its files.

``prove`` works a design out and executes every size; ``make`` also writes the pattern, and refuses
where a fault was found: an unproved pattern is never printed.  Nothing here touches a file.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pegwright import __version__
from pegwright.designs.model import Design, SizeRequest
from pegwright.errors import Finding, NotPossible, Severity
from pegwright.garments.base import Brief, Garment
from pegwright.garments.registry import garment
from pegwright.gauge.fabric_gauge import Gauge, combined, predict
from pegwright.knitting.drawn import course_loop_mm
from pegwright.knitting.run import execute
from pegwright.knitting.script import digest
from pegwright.loom.wrap_test import measure
from pegwright.pattern.build import build
from pegwright.pattern.model import Pattern
from pegwright.pattern.source import ProvedSize, Source, WrapTest
from pegwright.planning.needs import runs_out, yarn_needs
from pegwright.planning.pace import minutes
from pegwright.safety.cords import free_cords, safe_options
from pegwright.yarn.yarn import Yarn

if TYPE_CHECKING:
    from pegwright.publish.pdf import PrintStyle

__all__ = ["Made", "Progress", "design_gauge", "files", "make", "prove", "wrap_test"]

WRAP_TEST_PAIRS = 15
"""Pegs on both boards that a wrap test is taken over, where the board has as many."""

Progress = Callable[[str, int, int], None]
"""Told what is being done, how many parts are done, and how many there are."""


@dataclass(frozen=True, slots=True)
class Made:
    """A design worked out and executed in every size.

    ``loop_mm`` is the taut length of one loop of the body's wrap; ``wrap_test`` its wrap test on
    this board, or None where the wrap is for one row of pegs.
    """

    design: Design
    gauge: Gauge
    loop_mm: float
    wrap_test: WrapTest | None
    sizes: tuple[ProvedSize, ...]
    findings: tuple[Finding, ...]

    @property
    def proved(self) -> bool:
        """Whether every size was executed without a fault."""
        return not any(f.severity is Severity.FAULT for f in self.findings)


def design_gauge(design: Design) -> tuple[Gauge, float]:
    """The gauge of the design's body, and the taut length of one loop in mm."""
    yarn = design.yarns[design.use["body"]]
    loop_mm = _loop_mm(design, yarn)
    length = design.slack.scale(loop_mm)
    predicted = predict(length, design.wrap.structure, solid_diameter_mm=yarn.solid_diameter_mm)
    return combined(predicted, design.swatches), loop_mm


def _loop_mm(design: Design, yarn: Yarn) -> float:
    """The mean taut loop over the wrap's courses, on as many pegs as a wrap test takes."""
    wrap, loom = design.wrap, design.loom
    columns = _test_columns(design)
    courses = range(1, len(wrap.courses) + 1)
    visits = tuple(v for c in courses for v in wrap.visits(loom, 1, columns, c))
    return course_loop_mm(loom, visits, yarn.wrapped_diameter_mm)


def _test_columns(design: Design) -> int:
    """Columns of a wrap test: fifteen, or the nearest number below that the wrap works on."""
    wrap = design.wrap
    columns = max(min(WRAP_TEST_PAIRS, design.loom.pegs), wrap.least)
    columns -= (columns - wrap.plus) % wrap.multiple
    wrap.fits(design.loom, max(columns, wrap.least))
    return max(columns, wrap.least)


def wrap_test(design: Design) -> WrapTest | None:
    """The wrap test of the body's wrap and yarn on its board; None for one row of pegs."""
    if not design.loom.is_double:
        return None
    columns = _test_columns(design)
    yarn = design.yarns[design.use["body"]]
    visits = design.wrap.visits(design.loom, 1, columns)
    closed = design.loom.number(visits[0].peg) == design.loom.number(visits[-1].peg)
    reading = measure(
        design.loom, visits, yarn.wrapped_diameter_mm, slack=design.slack.value, closed=closed
    )
    return WrapTest(columns, reading)


def prove(design: Design, progress: Progress | None = None) -> Made:
    """Work a design out and execute every size.  Faults are findings of the result.

    :raises PegwrightError: where a size cannot be planned at all; the size is named.
    """
    maker = garment(design.garment)
    gauge, loop_mm = design_gauge(design)
    sizes = []
    for i, request in enumerate(design.sizes):
        if progress is not None:
            progress(f"size {request.name}", i, len(design.sizes))
        sizes.append(_size(design, maker, gauge, request))
    found = gauge.findings + tuple(f for s in sizes for f in s.findings)
    return Made(design, gauge, loop_mm, wrap_test(design), tuple(sizes), found)


def _size(design: Design, maker: Garment, gauge: Gauge, request: SizeRequest) -> ProvedSize:
    options = {spec.name: design.options.get(spec.name, spec.default) for spec in maker.options}
    options, refused = safe_options(request.name, request.wearer, options)
    yarns = {part: design.yarns[name] for part, name in design.use.items()}
    brief = Brief(
        request.name,
        request.wearer,
        request.measures,
        options,
        design.loom,
        design.wrap,
        gauge,
        yarns,
        design.units,
    )
    try:
        plan = maker.plan(brief)
    except NotPossible as problem:
        problem.what = f"size {request.name}: {problem.what}"
        raise
    run = execute(plan.script)
    needs = yarn_needs(run, design.yarns, design.slack, design.margin)
    short = runs_out(run, design.yarns, design.slack, design.available_g)
    found = (*refused, *plan.findings, *run.findings, *free_cords(plan), *short)
    return ProvedSize(request.name, request.measures, plan, run, needs, minutes(run), found)


def make(design: Design, progress: Progress | None = None) -> tuple[Made, Pattern | None]:
    """A design made: proved in every size, and its pattern, or None where a fault was found."""
    made = prove(design, progress)
    return made, build(_source(made)) if made.proved else None


def _source(made: Made) -> Source:
    design = made.design
    maker = garment(design.garment)
    return Source(
        key=slug(design.title),
        title=design.title,
        summary=design.summary,
        units=design.units,
        loom=design.loom,
        wrap=design.wrap,
        gauge=made.gauge,
        yarns=design.yarns,
        use=design.use,
        wrap_test=made.wrap_test,
        sizes=made.sizes,
        measure_words={m.name: m.words for m in maker.measures},
        margin=design.margin,
        version=__version__,
        digest=digest(tuple(s.plan.script for s in made.sizes)),
    )


def slug(title: str) -> str:
    """A title as a file name: lower-case letters, digits and hyphens only, never empty."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60].strip("-") or "pattern"


def files(pattern: Pattern, style: PrintStyle | None = None) -> dict[str, bytes]:
    """Everything that is printed of a pattern, by file name: PDF, page, figures, proof report."""
    from pegwright.publish.figures import figure_svg
    from pegwright.publish.page import pattern_page
    from pegwright.publish.pdf import pattern_pdf
    from pegwright.publish.report import report_json, report_text

    made = {
        f"{pattern.key}.pdf": pattern_pdf(pattern, style),
        f"{pattern.key}.html": pattern_page(pattern),
        f"{pattern.key}-proof.json": report_json(pattern),
        f"{pattern.key}-proof.txt": report_text(pattern),
    }
    for figure in pattern.figures():
        made[f"{pattern.key}-{figure.key}.svg"] = figure_svg(figure)
    return made
