"""What the design page shows of a design: counts, finished sizes, yarn, figures, faults, cautions.

Everything is taken from the proved design, ready worded; the page lays it out and adds nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from pydantic import BaseModel, Field

from pegwright import making
from pegwright.errors import Finding, PegwrightError, Severity
from pegwright.gauge.fabric_gauge import explain
from pegwright.making import Made
from pegwright.pattern.figures import (
    fold_figure,
    make_up_figure,
    schematic_figure,
    set_up_figure,
    wrap_figure,
)
from pegwright.pattern.model import Figure
from pegwright.pattern.source import ProvedSize
from pegwright.publish.drawing import ON_PAGE
from pegwright.publish.figures import figure_svg
from pegwright.publish.words import SEVERITY, time_words
from pegwright.safety.cautions import cautions_for
from pegwright.units import (
    UnitSystem,
    format_both,
    format_mass,
    format_number,
    format_yarn_length,
)

__all__ = [
    "FigureView",
    "FindingView",
    "NamedWords",
    "Result",
    "SizeView",
    "finding_views",
    "problems_of",
    "result_of",
]


_HOLD = "\N{NO-BREAK SPACE}"


class NamedWords(BaseModel):
    """A name, and what is said under it."""

    name: str
    words: str


class SizeView(BaseModel):
    """One size: what it is made of and how large it comes out."""

    name: str
    wearer: str
    counts: list[NamedWords]
    finished: list[NamedWords]
    yarn: list[NamedWords]
    minutes: int
    time: str
    choices: list[str]


class RefusedSize(BaseModel):
    """A size that cannot be made, and why."""

    name: str
    error: str
    hint: str = Field(default="", alias="try", serialization_alias="try")


class FindingView(BaseModel):
    """One thing noticed; where it was noticed in several places, all of them."""

    name: str
    severity: str
    label: str
    what: str
    mend: str
    where: list[str]
    spots: list[dict[str, Any]]


class CautionView(BaseModel):
    """Something that could hurt someone, and what to do about it."""

    title: str
    text: str
    source: str


class FigureView(BaseModel):
    """A figure: its drawing as SVG, its caption, and its words."""

    key: str
    caption: str
    alt: str
    svg: str


class Result(BaseModel):
    """A design worked out.

    ``proved`` says that every size was executed without a fault; ``summary`` says the whole in one
    sentence, for those who hear the page.
    """

    proved: bool
    summary: str
    loops: int
    gauge: list[str]
    wrap_test: str
    sizes: list[SizeView]
    refused: list[RefusedSize]
    findings: list[FindingView]
    cautions: list[CautionView]
    figures: list[FigureView]


def result_of(made: Made) -> Result:
    """The whole of a made design, in its own units."""
    units = made.design.units
    sizes = [_size(size, units, double=made.design.loom.is_double) for size in made.sizes]
    loops = sum(size.run.fabric.loops for size in made.sizes)
    return Result(
        proved=made.proved,
        summary=_summary(made, sizes),
        loops=loops,
        gauge=list(explain(made.gauge, units)),
        wrap_test=_wrap_test(made, units),
        sizes=sizes,
        refused=[
            RefusedSize.model_validate({"name": one.name, "error": one.error.what,
                                        "try": one.error.hint or ""})
            for one in made.refused
        ],
        findings=list(finding_views(made.findings)),
        cautions=[
            CautionView(title=c.title, text=c.text, source=c.source)
            for c in (cautions_for(size.plan for size in made.sizes) if made.sizes else ())
        ],
        figures=list(_figures(made)) if made.sizes else [],
    )  # fmt: skip


def _summary(made: Made, sizes: list[SizeView]) -> str:
    if made.refused:
        names = ", ".join(one.name for one in made.refused)
        return f"Cannot be made in size {names}: {made.refused[0].error.what}."
    faults = sum(finding.severity is Severity.FAULT for finding in made.findings)
    if faults:
        return f"{faults} {'fault' if faults == 1 else 'faults'} found: this is not to be knitted."
    parts = [f"{size.name}: {', '.join(c.words for c in size.counts)}" for size in sizes]
    return f"Proved in {len(sizes)} {'size' if len(sizes) == 1 else 'sizes'}. {'; '.join(parts)}."


def _size(size: ProvedSize, units: UnitSystem, *, double: bool) -> SizeView:
    pegs = "pegs a side" if double else "pegs"
    return SizeView(
        name=size.name,
        wearer=str(size.plan.wearer),
        counts=[
            NamedWords(
                name=piece.name,
                words=f"{format_number(piece.columns)}{_HOLD}{pegs}, "
                f"{format_number(piece.rows)}{_HOLD}rows",
            )
            for piece in size.plan.pieces
        ],
        finished=[
            NamedWords(name=name, words=format_both(length.value, units))
            for name, length in size.plan.finished.items()
        ],
        yarn=[
            NamedWords(
                name=need.yarn.label,
                words=f"{format_yarn_length(need.metres.value, units)}, "
                f"{format_mass(need.grams.value, units)}; have "
                f"{'1 ball' if need.balls == 1 else f'{need.balls} balls'} of "
                f"{format_mass(need.yarn.ball_g, units)}",
            )
            for need in size.needs
        ],
        minutes=size.minutes,
        time=time_words(size.minutes),
        choices=list(size.plan.choices),
    )


def _wrap_test(made: Made, units: UnitSystem) -> str:
    test = made.wrap_test
    if test is None:
        return ""
    length = format_both(test.reading.length_mm, units)
    return f"Pegs 1 to {test.columns} of both boards, wrapped once, draw about {length}."


def finding_views(findings: Iterable[Finding]) -> Iterator[FindingView]:
    """Findings that say the same are told once, with all their places; the gravest first."""
    order = list(Severity)
    grouped: dict[tuple[str, str, str], list[Finding]] = {}
    for finding in sorted(findings, key=lambda f: order.index(f.severity)):
        grouped.setdefault((finding.name, finding.what, finding.mend), []).append(finding)
    for (name, what, mend), alike in grouped.items():
        severity = alike[0].severity
        spots = [f.spot for f in alike]
        yield FindingView(
            name=name,
            severity=str(severity),
            label=SEVERITY[severity],
            what=what,
            mend=mend,
            where=[str(spot) for spot in spots if str(spot)],
            spots=[
                {"size": s.size, "piece": s.piece, "row": s.row, "peg": s.peg, "step": s.step}
                for s in spots
            ],
        )


def _figures(made: Made) -> Iterator[FigureView]:
    source = making.source_of(made)
    groups: dict[str, list[ProvedSize]] = {}
    for size in made.sizes:
        groups.setdefault(size.plan.group, []).append(size)
    figures: list[Figure | None] = [schematic_figure(source)]
    for number, sizes in enumerate(groups.values(), 1):
        suffix = "" if len(groups) == 1 else f"-{number}"
        alike = tuple(sizes)
        figures.append(make_up_figure(alike, suffix) or fold_figure(alike, suffix))
    figures += [wrap_figure(source), set_up_figure(source)]
    for figure in figures:
        if figure is not None:
            svg = figure_svg(figure, ON_PAGE).decode("utf-8")
            yield FigureView(key=figure.key, caption=figure.caption, alt=figure.alt, svg=svg)


def problems_of(error: PegwrightError) -> list[dict[str, object]]:
    """A refusal and the further ones that it carries, each in the one shape."""
    data = error.as_data()
    more = data.pop("more", [])
    return [data, *(more if isinstance(more, list) else [])]
