"""The conductor: a design through every room, in order, to a proved pattern and its files.

``prove`` works a design out and executes every size; ``make`` also writes the pattern, and refuses
where a fault was found: an unproved pattern is never printed.  Nothing here touches a file.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot
from typing import TYPE_CHECKING, Any

from pegwright import __version__
from pegwright.designs.model import Costing, Design, SizeRequest
from pegwright.designs.problems import check_size
from pegwright.errors import BadInput, Finding, NotPossible, PegwrightError, Place, Severity
from pegwright.garments.base import Brief, Garment
from pegwright.garments.registry import garment
from pegwright.gauge.fabric_gauge import Gauge, combined, predict
from pegwright.knitting.drawn import course_loop_mm
from pegwright.knitting.run import execute
from pegwright.knitting.script import digest
from pegwright.knitting.wrap_trial import columns_for
from pegwright.knitting.wraps import Laid
from pegwright.loom.board import Arrangement
from pegwright.loom.wrap_test import measure
from pegwright.measured import Measured, resolution_sd
from pegwright.pattern.build import build
from pegwright.pattern.fit import sizes_in_order
from pegwright.pattern.model import Pattern
from pegwright.pattern.source import ProvedSize, Source, WrapTest
from pegwright.planning.needs import runs_out, yarn_needs
from pegwright.planning.pace import (
    Pace,
    Sitting,
    loops_in_row,
    minutes,
    own_pace,
    pace_from_rows,
)
from pegwright.safety.cords import free_cords, safe_options
from pegwright.tongue.catalogues import tongue_of
from pegwright.yarn.yarn import Yarn

if TYPE_CHECKING:
    from pegwright.lesson.pack import LessonPack
    from pegwright.lesson.template import Template
    from pegwright.planning.cost import Cost, Money, YarnBasis
    from pegwright.planning.stripes import StripeProblem
    from pegwright.planning.substitute import Knitted
    from pegwright.publish.pdf import Paper, PrintStyle
    from pegwright.yarn.stash import StashYarn

__all__ = [
    "Made",
    "Progress",
    "SizeRefused",
    "cost_of",
    "design_gauge",
    "files",
    "knitted_in",
    "lesson_of",
    "make",
    "pace_of",
    "prove",
    "rows_of_length",
    "size_alone",
    "source_of",
    "stripe_problem",
    "wrap_test",
    "wrap_test_columns",
]

HAND_LAID_RELATIVE_SD = 0.3
"""How far a loop may be off, as a part, where the hand and not the pegs sets its length: yarn laid
flat or brought inside along one row (an assumption, no source)."""

_LAID_BY_HAND = Finding(
    "loop-set-by-hand",
    Severity.NOTE,
    "with this wrap the hand, and not the pegs alone, sets how long a loop is, so the gauge "
    "predicted from the pegs may be far off, and is rather too small",
    "knit a swatch before anything that must fit",
)

Progress = Callable[[str, int, int], None]
"""Told what is being done, how many parts are done, and how many there are."""


@dataclass(frozen=True, slots=True)
class SizeRefused:
    """A size that cannot be planned, and the exact reason."""

    name: str
    error: PegwrightError


@dataclass(frozen=True, slots=True)
class Made:
    """A design worked out and executed in every size.

    ``loop_mm`` is the taut length of one loop of the body's wrap; ``wrap_test`` its wrap test on
    this board, or None where the wrap is for one row of pegs.  ``refused`` holds the sizes that
    could not be planned, where :func:`prove` was told to keep going past them.
    """

    design: Design
    gauge: Gauge
    loop_mm: float
    wrap_test: WrapTest | None
    sizes: tuple[ProvedSize, ...]
    findings: tuple[Finding, ...]
    refused: tuple[SizeRefused, ...] = ()

    @property
    def proved(self) -> bool:
        """Whether every size was executed without a fault, none of them refused."""
        return not self.refused and not any(f.severity is Severity.FAULT for f in self.findings)


def design_gauge(design: Design) -> tuple[Gauge, float]:
    """The gauge of the design's body, and the taut length of one loop in mm."""
    yarn = design.yarns[design.use["body"]]
    loop_mm = _loop_mm(design, yarn)
    length = design.slack.scale(loop_mm)
    by_hand = design.wrap.laid in (Laid.INSIDE, Laid.FLAT)
    if by_hand:
        length = Measured(length.value, hypot(length.sd, HAND_LAID_RELATIVE_SD * length.value))
    predicted = predict(length, design.wrap.structure, solid_diameter_mm=yarn.solid_diameter_mm)
    gauge = combined(predicted, design.swatches)
    if by_hand and not design.swatches:
        gauge = replace(gauge, findings=(*gauge.findings, _LAID_BY_HAND))
    return gauge, loop_mm


def _loop_mm(design: Design, yarn: Yarn) -> float:
    """The mean taut loop over the wrap's courses, on as many pegs as a wrap test takes.

    On a ring the wrap goes round and round.
    """
    wrap, loom = design.wrap, design.loom
    if loom.arrangement is Arrangement.RING:
        wrap = wrap.in_the_round()
        visits = wrap.visits(loom, 1, loom.pegs)
        return course_loop_mm(loom, visits, yarn.wrapped_diameter_mm)
    columns = wrap_test_columns(design)
    courses = range(1, len(wrap.courses) + 1)
    visits = tuple(v for c in courses for v in wrap.visits(loom, 1, columns, c))
    return course_loop_mm(loom, visits, yarn.wrapped_diameter_mm)


def wrap_test_columns(design: Design) -> int:
    """Columns of a wrap test: fifteen, or the nearest number below that the wrap works on.

    :raises NotPossible: where the wrap does not work on the board at all.
    """
    return columns_for(design.wrap, design.loom)


def wrap_test(design: Design) -> WrapTest | None:
    """The wrap test of the body's wrap and yarn on its board; None for one row of pegs."""
    if not design.loom.is_double:
        return None
    columns = wrap_test_columns(design)
    yarn = design.yarns[design.use["body"]]
    visits = design.wrap.visits(design.loom, 1, columns)
    closed = design.loom.number(visits[0].peg) == design.loom.number(visits[-1].peg)
    reading = measure(
        design.loom, visits, yarn.wrapped_diameter_mm, slack=design.slack.value, closed=closed
    )
    return WrapTest(columns, reading)


def prove(
    design: Design,
    progress: Progress | None = None,
    *,
    keep_going: bool = False,
    known: Callable[[SizeRequest], ProvedSize | None] | None = None,
) -> Made:
    """Work a design out and execute every size.  Faults are findings of the result.

    :param known: gives a size that was proved before in a design that is otherwise the same, so
        that it is not worked out again; None for one that was not.
    :param keep_going: a size that cannot be planned is kept in ``refused`` with its reason, and
        the others are worked out all the same.
    :raises PegwrightError: where the design cannot be worked out at all; without ``keep_going``
        also where a size cannot be planned, with the size named.
    """
    maker = garment(design.garment)
    gauge, loop_mm = design_gauge(design)
    sizes: list[ProvedSize] = []
    refused: list[SizeRefused] = []
    for i, request in enumerate(design.sizes):
        if progress is not None:
            progress(f"size {request.name}", i, len(design.sizes))
        try:
            before = known(request) if known is not None else None
            sizes.append(before or _size(design, maker, gauge, request))
        except PegwrightError as problem:
            if not keep_going:
                raise
            refused.append(SizeRefused(request.name, problem))
    found = gauge.findings + tuple(f for s in sizes for f in s.findings) + sizes_in_order(sizes)
    found += _colours_close(design)
    tested = wrap_test(design)
    return Made(design, gauge, loop_mm, tested, tuple(sizes), found, tuple(refused))


def _colours_close(design: Design) -> tuple[Finding, ...]:
    """A note where colours of the body may be taken for one another by somebody."""
    from pegwright.planning.colour import colours_of
    from pegwright.yarn.sight import MOST_COMPARED, check_sight, sight_findings

    striped = [stripe.yarn for stripe in design.stripes] or [design.use["body"]]
    colours = colours_of(striped, design.yarns, design.colour_runs)
    if len(colours) > MOST_COMPARED:
        return ()
    return sight_findings(check_sight(colours))


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
        design.stripes,
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
    return made, build(source_of(made)) if made.proved else None


def size_alone(
    design: Design, name: str | None = None, *, mend: str = "mend what is wrong with it first"
) -> tuple[Made, ProvedSize]:
    """A design proved with one size only, and that size; how much yarn there is, is not looked at.

    :param name: which size; the first where none is named.
    :param mend: what to try where it has faults.
    :raises BadInput: where there is no such size.
    :raises NotPossible: where the size has faults.
    """
    names = [size.name for size in design.sizes]
    if name is not None:
        check_size(name, names)
    request = design.sizes[0 if name is None else names.index(name)]
    made = prove(replace(design, sizes=(request,), available_g={}))
    if not made.proved:
        raise NotPossible(
            f"the size {request.name} has faults, so nothing can be reckoned from it",
            given=design.title,
            hint=mend,
        )
    return made, made.sizes[0]


def knitted_in(made: Made, size: ProvedSize, yarn: str | None = None) -> Knitted:
    """What a yarn of a proved size is knitted into, as where another is to stand in for it.

    :param yarn: its name in the design; the body's where none is named.
    :raises BadInput: for a name that is not among the yarns.
    """
    from pegwright.planning.substitute import Knitted

    design, piece = made.design, size.plan.pieces[0]
    return Knitted(
        size.run,
        design.yarns,
        design.use["body"] if yarn is None else yarn,
        size.plan.wrap,
        piece.columns,
        piece.rows,
        made.gauge,
        design.slack,
        design.margin,
    )


def source_of(made: Made) -> Source:
    """What the pattern of a made design says, before it is put into words."""
    design = made.design
    maker = garment(design.garment)
    return Source(
        key=design.key,
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
        colour_runs=design.colour_runs,
        slack=design.slack.value,
        edition=design.version,
        tongue=tongue_of(design.language),
    )


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
        made[f"{pattern.key}-{figure.key}.svg"] = figure_svg(figure, tongue=pattern.tongue)
    return made


def lesson_of(
    made: Made,
    pattern: Pattern,
    template: Template | None = None,
    *,
    size: str | None = None,
    paper: Paper | None = None,
    films: bool = True,
    progress: Progress | None = None,
) -> LessonPack:
    """The lesson pack of a proved pattern; see :func:`pegwright.lesson.pack.lesson_pack`."""
    from pegwright.lesson.pack import lesson_pack
    from pegwright.lesson.template import USUAL
    from pegwright.publish.pdf import Paper

    return lesson_pack(
        source_of(made),
        pattern,
        template or USUAL,
        size=size,
        paper=paper or Paper.A4,
        films=films,
        progress=progress,
    )


def pace_of(
    size: ProvedSize, loops_per_minute: float | None, sittings: Sequence[Sitting] = ()
) -> Pace:
    """A maker's pace: from sittings in which she knitted this size, or as she gives it.

    :param sittings: rows of the first piece of the size.
    :raises BadInput: for a pace that is not above zero.
    """
    if not sittings:
        return own_pace(loops_per_minute)
    piece = size.plan.pieces[0]
    return pace_from_rows(loops_in_row(size.run, piece.name, piece.rows), sittings)


def cost_of(
    design: Design,
    size: ProvedSize,
    hours: Measured,
    *,
    rate: Money | None = None,
    margin: float | None = None,
    currency: str | None = None,
    others: Mapping[str, Money] | None = None,
    prices: Mapping[str, Money] | None = None,
    basis: YarnBasis | None = None,
) -> Cost:
    """What a size costs: as the design says, or as it is given instead or besides.

    :param prices: of a ball, by the yarn's name.
    :param basis: whole balls where it is not given.
    :raises BadInput: where nobody says what an hour is worth, and for a yarn without a price; see
        :func:`pegwright.planning.cost.cost`.
    """
    from pegwright.planning.cost import Price, YarnBasis, cost

    own = design.costing or Costing()
    rate = own.rate if rate is None else rate
    if rate is None:
        raise BadInput(
            "what is an hour of work worth?",
            hint="0 to count no work",
            place=Place(field="rate"),
        )
    amounts: dict[str, Money] = {**design.prices, **(prices or {})}
    return cost(
        size.needs,
        {name: Price(amount) for name, amount in amounts.items()},
        hours,
        rate,
        own.margin if margin is None else margin,
        others={**own.others, **(others or {})},
        basis=basis or YarnBasis.BOUGHT,
        currency=own.currency if currency is None else currency,
    )


def stripe_problem(
    design: Design,
    size: str | None = None,
    stash: tuple[StashYarn, ...] = (),
    reserve_m: Mapping[str, float] | None = None,
    **limits: Any,
) -> StripeProblem:
    """What is asked where a size of a design is to be striped from the yarns at hand.

    The size is first made in the body's yarn alone.  That tells how wide it is, what its cast-on
    takes, and what is drawn beside its rows (edges, seams, cords), which is reserved; so is a join
    for every further ball of a yarn of the stash.

    :param size: which size; the first where none is named.
    :param stash: the yarns at hand; where there are none, the design's own yarns with grams.
    :param reserve_m: metres to keep besides, by the yarn's name.
    :param limits: limits of :class:`pegwright.planning.stripes.StripeProblem`; where an even use is
        asked for and no rows, the rows that the design has.
    :raises BadInput: where there is no such size or yarn, or a yarn's grams are missing.
    """
    from pegwright.planning.row_metres import reserved_m, row_metres, rows_of_cast_on
    from pegwright.planning.stripes import JOIN_M, Aim, StripeProblem, StripeYarn

    names = [request.name for request in design.sizes]
    if size is not None:
        check_size(size, names)
    request = design.sizes[names.index(size) if size is not None else 0]
    plain = replace(design, sizes=(request,), stripes=(), available_g={})
    made = prove(plain).sizes[0]
    columns = made.plan.pieces[0].columns
    at_hand = {own.yarn.name: (own.yarn, own.grams) for own in stash} or _weighed(design)
    kept = reserved_m(made.needs, design.body_yarn.name)
    join_m = limits.get("join_m", JOIN_M) * len(limits.get("pieces", (1.0,)))
    for own in stash:  # where a ball ends within a stripe, the next is joined
        more = (len(own.balls) - 1) * join_m
        kept[own.yarn.name] = kept.get(own.yarn.name, 0.0) + more
    for name, metres in (reserve_m or {}).items():
        if name not in at_hand:
            known = ", ".join(at_hand)
            raise BadInput("no yarn of this name to reserve from", given=name, hint=known)
        kept[name] = kept.get(name, 0.0) + metres

    def row_m(yarn: Yarn) -> Measured:
        return row_metres(design.loom, design.wrap, columns, yarn, design.slack)

    yarns = tuple(
        StripeYarn(yarn, grams, row_m(yarn), kept.get(name, 0.0))
        for name, (yarn, grams) in at_hand.items()
    )
    limits.setdefault("margin", design.margin)
    limits.setdefault("cast_on_rows", rows_of_cast_on(made.needs, row_m(design.body_yarn)))
    if limits.get("aim") is Aim.EVEN and limits.get("rows") is None:
        limits["rows"] = made.plan.pieces[0].rows
    return StripeProblem(yarns, **limits)


def rows_of_length(design: Design, length_mm: float, multiple: int = 1) -> int:
    """Rows of the design's body that come to a length, the nearest such multiple."""
    from pegwright.gauge.dimensions import rows_for

    return rows_for(length_mm, design_gauge(design)[0], multiple=max(1, multiple)).number


def _weighed(design: Design) -> dict[str, tuple[Yarn, Measured]]:
    """A design's yarns with grams at hand, weighed on a scale that shows whole grams."""
    found = {
        name: (design.yarns[name], Measured(grams, resolution_sd(1.0)))
        for name, grams in design.available_g.items()
    }
    if not found:
        raise BadInput(
            "the design does not say how much there is of any yarn",
            hint='weigh them, and add to each of the yarns: available = "85 g"',
            place=Place(field="yarns[1].available"),
        )
    return found
