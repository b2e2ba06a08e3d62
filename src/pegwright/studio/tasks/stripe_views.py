"""What the page of stripes shows of a plan: stripes and yarns in words, and how it comes out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pydantic import BaseModel

from pegwright import making
from pegwright.designs.model import Design
from pegwright.errors import Finding, PegwrightError, Severity
from pegwright.making import Made
from pegwright.planning.stripe_relax import NoStripes, Relaxation
from pegwright.planning.stripes import Status, StripePlan, YarnUse
from pegwright.studio.designs.fabric import MOST_LOOPS, seen_size
from pegwright.studio.refusals import ErrorShape
from pegwright.units import UnitSystem, format_both, format_mass, format_number, format_yarn_length

__all__ = ["PlanView", "StripesFound", "WayOut", "no_plan", "plan_view"]


class StripeEntry(BaseModel):
    """A stripe: its rows counted from the cast-on."""

    yarn: str
    label: str
    hex: str
    rows: int
    words: str


class UseEntry(BaseModel):
    """What a plan takes of a yarn, and what is left of it: about, and hardly less than."""

    label: str
    hex: str
    stripes: int
    rows: int
    drawn: list[str]
    left: list[str]
    part: str


class PlanPicture(BaseModel):
    """The fabric from one side, as SVG; ``caption`` is how large it is, ``words`` tell it all."""

    key: str
    title: str
    caption: str
    words: str
    svg: str


class SizeOutcome(BaseModel):
    """How a size comes out: its finished measures, or why it cannot be made so."""

    name: str
    words: str
    trouble: list[str]


class PlanView(BaseModel):
    """A plan.

    :param head: what it is; ``proof`` what is proved of it, each in a sentence.
    :param sizes: every size of the design as it comes out with these stripes.
    """

    head: str
    proof: str
    best: bool
    rows: int
    stripes: list[StripeEntry]
    yarns: list[UseEntry]
    sizes: list[SizeOutcome]
    pictures: list[PlanPicture]


class WayOut(BaseModel):
    """What to change where no stripes keep the limits.

    :param changes: fields of the form with what they become; empty where no field can do it.
    """

    words: str
    changes: dict[str, int | bool]


class StripesFound(BaseModel):
    """What was found: a plan, or why there is none with the ways out.

    :param revision: of the design that it was planned for.
    :param stopped: the maker took the best so far.
    """

    revision: int
    stopped: bool = False
    plan: PlanView | None = None
    refused: ErrorShape | None = None
    ways: list[WayOut] = []


def no_plan(refused: NoStripes, revision: int) -> StripesFound:
    """What is shown where no stripes keep the limits."""
    return StripesFound(
        revision=revision,
        refused=ErrorShape.model_validate(refused.as_data()),
        ways=[_way(changes) for changes in refused.ways],
    )


def plan_view(plan: StripePlan, striped: Design, size: str) -> PlanView:
    """A plan with how the design comes out with it.

    :param striped: the design with these stripes and yarns; it is knitted on the simulated loom.
    :param size: the size that was planned for, of which the pictures are.
    """
    units = striped.units
    sizes, pictures = _outcome(striped, size)
    return PlanView(
        head=plan.head,
        proof=plan.proof,
        best=plan.status is Status.OPTIMAL,
        rows=plan.rows,
        stripes=list(_stripes(plan)),
        yarns=[_use(use, units) for use in plan.uses],
        sizes=sizes,
        pictures=pictures,
    )


# --- inside --------------------------------------------------------------------------------------


def _way(changes: tuple[Relaxation, ...]) -> WayOut:
    fields: dict[str, int | bool] = {}
    for change in changes:
        if change.limit in ("mirror", "match_ends"):
            fields[change.limit] = False
        elif change.to is not None:
            fields[change.limit] = change.to
    whole = len(fields) == len(changes)
    words = " and ".join(change.words for change in changes)
    return WayOut(words=words[:1].upper() + words[1:], changes=fields if whole else {})


def _stripes(plan: StripePlan) -> Iterator[StripeEntry]:
    yarns = {given.yarn.name: given.yarn for given in plan.problem.yarns}
    row = 0
    for stripe in plan.stripes:
        yarn = yarns[stripe.yarn]
        last = row + stripe.rows
        words = f"Row {last}" if stripe.rows == 1 else f"Rows {row + 1}–{last}"
        row = last
        yield StripeEntry(
            yarn=stripe.yarn,
            label=yarn.label,
            hex=yarn.colour_hex,
            rows=stripe.rows,
            words=words,
        )


def _use(use: YarnUse, units: UnitSystem) -> UseEntry:
    left_g, low_g = use.left_g.value, use.left_g.interval()[0]
    return UseEntry(
        label=use.yarn.label,
        hex=use.yarn.colour_hex,
        stripes=use.stripes,
        rows=use.rows,
        drawn=[
            format_yarn_length(use.metres.value, units),
            format_mass(use.grams.value, units),
        ],
        left=[
            f"about {format_mass(max(0.0, left_g), units)}",
            f"hardly less than {format_mass(max(0.0, low_g), units)}",
        ],
        part=f"{format_number(100 * use.part_used, 0)}\N{NO-BREAK SPACE}%",
    )


def _outcome(striped: Design, size: str) -> tuple[list[SizeOutcome], list[PlanPicture]]:
    try:
        made = making.prove(striped, keep_going=True)
    except PegwrightError as refused:
        return [SizeOutcome(name=size, words="", trouble=[_sentence(refused)])], []
    outcomes = {one.name: [_sentence(one.error)] for one in made.refused}
    sizes = []
    for request in striped.sizes:
        proved = next((s for s in made.sizes if s.name == request.name), None)
        finished = {} if proved is None else proved.plan.finished
        sizes.append(
            SizeOutcome(
                name=request.name,
                words=", ".join(
                    f"{name} {format_both(length.value, striped.units)}"
                    for name, length in finished.items()
                ),
                trouble=outcomes.get(request.name, [])
                + _faults(() if proved is None else proved.findings),
            )
        )
    return sizes, list(_pictures(made, size))


def _faults(findings: Iterable[Finding]) -> list[str]:
    said = (
        f"{f.what[:1].upper()}{f.what[1:]}. To mend it: {f.mend}."
        for f in findings
        if f.severity is Severity.FAULT
    )
    return list(dict.fromkeys(said))


def _pictures(made: Made, size: str) -> Iterator[PlanPicture]:
    from pegwright.publish.fabric_picture import fabric_picture

    named = next((s for s in made.sizes if s.name == size), None)
    if named is None or named.run.fabric.loops > MOST_LOOPS:
        return
    try:
        views = seen_size(made, size).views
    except PegwrightError:
        return
    for view in views:
        words = view.words(made.design.units)
        yield PlanPicture(
            key=view.key,
            title=view.title,
            caption=words[0],
            words=" ".join(words),
            svg=fabric_picture(view, titled=False).decode("utf-8"),
        )


def _sentence(error: PegwrightError) -> str:
    given = f" ({error.given})" if error.given else ""
    hint = f" Try: {error.hint}." if error.hint else ""
    return f"{error.what[:1].upper()}{error.what[1:]}{given}.{hint}"
