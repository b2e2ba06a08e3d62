"""Builds a design out of a form that was checked: the domain's own values, and what fits what."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import TypeVar

from pegwright.designs.form import (
    CostTable,
    DesignForm,
    LoomTable,
    SwatchForm,
    WrapForm,
    YarnForm,
)
from pegwright.designs.model import Costing, Design, usual_units
from pegwright.designs.options import read_options
from pegwright.designs.outline import Outline, Path
from pegwright.designs.problems import Problems, nearest
from pegwright.designs.sizes import read_sizes
from pegwright.errors import BadInput, Place
from pegwright.garments.base import Garment
from pegwright.garments.registry import garment, takes_stripes
from pegwright.gauge.fabric_gauge import Swatch
from pegwright.knitting.stripes import Stripe
from pegwright.knitting.wraps import SHIPPED, Pass, Wrap
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured, resolution_sd
from pegwright.yarn.colour import ColourRun, parse_colour_run
from pegwright.yarn.yarn import Yarn, from_sample

__all__ = ["build", "colour_run_of", "loom_of", "yarn_of"]

Value = TypeVar("Value")

_SAMPLE_READ_TO_M = 0.01
"""A sample of yarn is laid along a tape and read to the centimetre (an assumption, no source)."""


def build(form: DesignForm, source: str, outline: Outline) -> Design:
    """The design that a form describes.

    :param source: the text that the form was read from; ``outline`` knows its lines.
    :raises DesignRefused: with everything that does not go together.
    """
    problems = Problems(outline)
    kind = _garment(form, problems)
    loom = loom_of(form.loom, problems)
    wrap = _wrap(form, kind, problems)
    yarns = _yarns(form, problems)
    runs = _colour_runs(form, problems)
    use = _use(form, kind, problems)
    swatches = tuple(_swatch(s) for s in form.swatches)
    options = read_options(form.garment, kind, problems)
    stripes = _stripes(form, kind, problems)
    sizes = read_sizes(form.sizes, kind, problems)
    _check_together(form, loom, wrap, yarns, problems)
    problems.raise_if_any()
    assert loom is not None  # or there was a problem
    assert wrap is not None
    return Design(
        title=form.design.title,
        summary=form.design.summary,
        garment=form.design.garment,
        units=form.design.units or usual_units(form.design.language),
        loom=loom,
        wrap=wrap,
        yarns=MappingProxyType(yarns),
        use=MappingProxyType(use),
        swatches=swatches,
        options=MappingProxyType(options),
        sizes=sizes,
        slack=Measured(form.loom.slack, form.loom.slack_sd),
        margin=form.design.margin,
        available_g=MappingProxyType(
            {y.name: y.available for y in form.yarns if y.available is not None}
        ),
        stripes=stripes,
        colour_runs=MappingProxyType(runs),
        prices=MappingProxyType({y.name: y.price for y in form.yarns if y.price is not None}),
        costing=None if form.cost is None else _costing(form.cost),
        version=form.design.version or "",
        language=form.design.language,
        own_units=form.design.units is not None,
        source=source,
    )


def _garment(form: DesignForm, problems: Problems) -> Garment | None:
    with problems.catch(("design", "garment")):
        return garment(form.design.garment)
    return None


# --- the loom and the wrap -----------------------------------------------------------------------


def loom_of(form: LoomTable, problems: Problems, path: Path = ("loom",)) -> Loom | None:
    """The loom of a table at ``path``; None where it has problems, which are kept."""
    double = form.arrangement in (Arrangement.OPPOSED, Arrangement.OFFSET)
    if double and form.gap is None:
        problems.refuse(
            path,
            "“gap” is missing",
            hint="gap: from row to row, centre to centre",
        )
        return None
    if not double and form.gap is not None:
        problems.refuse(
            (*path, "gap"),
            f"a loom with the arrangement “{form.arrangement}” has no gap",
            hint="leave it out, or say opposed or offset",
        )
        return None
    if form.pegs > 1 and form.pitch <= form.peg_diameter:
        path = (*path, "pitch")
    elif form.gap is not None and form.gap <= form.peg_diameter:
        path = (*path, "gap")
    with problems.catch(path):
        return Loom(
            arrangement=form.arrangement,
            pegs=form.pegs,
            pitch_mm=form.pitch,
            gap_mm=form.gap or 0.0,
            peg_diameter_mm=form.peg_diameter,
            peg_height_mm=form.peg_height,
            name=form.name,
        )
    return None


def _wrap(form: DesignForm, kind: Garment | None, problems: Problems) -> Wrap | None:
    shipped = {wrap.name: wrap for wrap in SHIPPED}
    _refuse_twice([w.name for w in form.wraps], "wraps", problems)
    own: dict[str, Wrap] = {}
    for index, given in enumerate(form.wraps):
        if given.name in shipped:
            problems.refuse(
                ("wraps", index, "name"),
                "a wrap of this name comes with Pegwright",
                given=given.name,
                hint="give your own another name",
            )
        with problems.catch(("wraps", index)):
            own.setdefault(given.name, _own_wrap(given))
    usual = kind.wraps[0] if kind and kind.wraps else SHIPPED[0].name
    name = form.design.wrap or usual
    known = shipped | own
    if name not in known:
        if name not in {w.name for w in form.wraps}:  # else its own refusal is told already
            problems.refuse(
                ("design", "wrap"), "no such wrap", given=name, hint=nearest(name, known)
            )
        return None
    return known[name]


def _own_wrap(form: WrapForm) -> Wrap:
    return Wrap(
        name=form.name,
        boards=form.boards,
        structure=form.structure,
        courses=tuple(
            tuple(Pass(p.way, tuple(p.columns)) for p in course) for course in form.courses
        ),
        laid=form.laid,
        first_row=form.first_row,
        cloth=form.cloth,
        purl=form.purl,
        multiple=form.multiple,
        plus=form.plus,
        least=form.least,
        words=form.words,
    )


# --- yarns and swatches --------------------------------------------------------------------------


def _yarns(form: DesignForm, problems: Problems) -> dict[str, Yarn]:
    _refuse_twice([y.name for y in form.yarns], "yarns", problems)
    yarns: dict[str, Yarn] = {}
    for index, given in enumerate(form.yarns):
        with problems.catch(("yarns", index)):
            yarns.setdefault(given.name, yarn_of(given))
    return yarns


def yarn_of(form: YarnForm) -> Yarn:
    """The yarn of a form.

    :raises BadInput: naming the field, for what no yarn is.
    """
    grist, sd = _grist(form)
    return Yarn(
        name=form.name,
        category=form.category,
        metres_per_100g=grist,
        metres_per_100g_sd=sd,
        ball_g=form.ball,
        wrapped_diameter_mm=form.diameter,
        wraps_per_inch=form.wraps_per_inch,
        fibre=form.fibre,
        colour=form.colour,
        colour_hex=form.colour_hex,
        invented=form.invented,
    )


def colour_run_of(form: YarnForm) -> ColourRun | None:
    """The colours along the yarn of a form; None where it does not change colour.

    :raises BadInput: naming the field, for what cannot be read as colours.
    """
    if form.colours is None:
        for name, given in (
            ("colour_offset", form.colour_offset),
            ("colour_drift", form.colour_drift),
        ):
            if given is not None:
                raise BadInput(
                    f"“{name}” is for a yarn that changes colour",
                    given=f"{given:g}",
                    hint='add colours = "rust 30 cm, cream 12 in", or leave it out',
                    place=Place(field=name),
                )
        return None
    offset_m = (form.colour_offset or 0.0) / 1000
    return parse_colour_run(form.colours, offset_m=offset_m, drift=form.colour_drift or 0.0)


def _colour_runs(form: DesignForm, problems: Problems) -> dict[str, ColourRun]:
    runs: dict[str, ColourRun] = {}
    for index, given in enumerate(form.yarns):
        with problems.catch(("yarns", index)):
            run = colour_run_of(given)
            if run is not None:
                runs.setdefault(given.name, run)
    return runs


def _costing(form: CostTable) -> Costing:
    return Costing(
        form.rate, form.currency, form.margin, form.pace, MappingProxyType(dict(form.others))
    )


def _grist(form: YarnForm) -> tuple[float, float | None]:
    """Metres per 100 g and, where it is known, its standard deviation."""
    if (form.metres_per_100g is None) == (form.sample is None):
        raise BadInput(
            "a yarn needs either metres_per_100g or a sample, and not both",
            given="both" if form.sample else "neither",
            hint='see the ball band; or: sample = { length = "11 m", weight = "5 g" }',
        )
    if form.sample is None:
        assert form.metres_per_100g is not None
        return form.metres_per_100g, form.metres_per_100g_sd
    grist = from_sample(
        form.sample.length / 1000,
        form.sample.weight,
        resolution_sd(_SAMPLE_READ_TO_M),
        resolution_sd(form.sample.scale),
    )
    return grist.value, grist.sd


def _use(form: DesignForm, kind: Garment | None, problems: Problems) -> dict[str, str]:
    names = [yarn.name for yarn in form.yarns]
    parts = kind.yarn_parts if kind else ()
    use = {"body": names[0]}
    for part, name in form.use.items():
        if kind and part not in parts:
            problems.refuse(
                ("use", part),
                f"the garment has no part “{part[:80]}” that is knitted",
                given=part,
                hint=nearest(part, parts),
            )
        if name not in names:
            problems.refuse(
                ("use", part), "no yarn of this name", given=name, hint=nearest(name, names)
            )
        use[part] = name
    return use


def _stripes(form: DesignForm, kind: Garment | None, problems: Problems) -> tuple[Stripe, ...]:
    """The stripes; their yarns must be there, and their rows add up where rows are asked for."""
    if form.stripes and kind and not takes_stripes(kind):
        problems.refuse(
            ("stripes", 0),
            f"the garment “{kind.name}” takes no stripes",
            given=f"{len(form.stripes)} stripes",
            hint="leave them out, or choose a garment that is made of one strip",
        )
    names = [yarn.name for yarn in form.yarns]
    for index, stripe in enumerate(form.stripes):
        path: Path = ("stripes", index, "yarn")
        if stripe.yarn not in names:
            hint = nearest(stripe.yarn, names)
            problems.refuse(path, "no yarn of this name", given=stripe.yarn, hint=hint)
        elif index and stripe.yarn == form.stripes[index - 1].yarn:
            hint = "add its rows to the stripe before"
            problems.refuse(path, "the stripe before is of the same yarn", stripe.yarn, hint)
    total, asked = sum(stripe.rows for stripe in form.stripes), form.garment.get("rows")
    if form.stripes and isinstance(asked, int) and asked != total:
        problems.refuse(
            ("garment", "rows"),
            "the stripes do not add up to these rows",
            given=f"{asked} rows, {total} rows of stripes",
            hint="leave the rows out, or change a stripe",
        )
    return tuple(Stripe(stripe.yarn, stripe.rows) for stripe in form.stripes)


def _swatch(form: SwatchForm) -> Swatch:
    return Swatch(
        stitches=form.stitches,
        width=Measured(form.width, form.width_sd or 0.0),
        rows=form.rows,
        length=Measured(form.length, form.length_sd or 0.0),
        washed=form.washed,
        note=form.note,
    )


# --- together ------------------------------------------------------------------------------------


def _check_together(
    form: DesignForm,
    loom: Loom | None,
    wrap: Wrap | None,
    yarns: Mapping[str, Yarn],
    problems: Problems,
) -> None:
    if loom is None:
        return
    if wrap is not None and (wrap.boards == 2) != loom.is_double:
        problems.refuse(
            ("design", "wrap") if form.design.wrap else ("loom", "arrangement"),
            f"the wrap “{wrap.name}” needs {'two rows' if wrap.boards == 2 else 'one row'} of pegs",
            given=f"{loom.name} ({loom.arrangement})",
            hint="choose another wrap (see: pegwright list wraps) or another board",
        )
    from pegwright.loom.taut import check_yarn_passes

    for index, given in enumerate(form.yarns):
        yarn = yarns.get(given.name)
        if yarn is not None:
            key = "diameter" if given.diameter is not None else "wraps_per_inch"
            with problems.catch(("yarns", index, key)):
                check_yarn_passes(loom, yarn.wrapped_diameter_mm)


def _refuse_twice(names: Sequence[str], table: str, problems: Problems) -> None:
    seen: set[str] = set()
    for index, name in enumerate(names):
        if name in seen:
            problems.refuse(
                (table, index, "name"),
                f"two of the {table} have the same name",
                given=name,
                hint="name them apart",
            )
        seen.add(name)
