"""The reader of a pattern: her board, yarn, hand and measures, and the design set up for them.

A **reader** has a pattern and something else than it was written for.  Whatever she does not say is
taken to be as in the design.  Of a board she may know everything, or only what a **wrap test** on
it draws: then the gap is found that draws so much, on a board otherwise like the design's.

The design's swatches were knitted on its own board.  They hold hers too, as far as stitches grow
with the yarn in a loop (Munden 1959): so they are carried over by the ratio of the loops, with an
uncertainty that grows with the change.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from pegwright.designs.model import Design, SizeRequest
from pegwright.errors import BadInput, Place
from pegwright.garments.base import Wearer
from pegwright.garments.registry import garment
from pegwright.gauge.fabric_gauge import TAPE_SD_MM, Swatch
from pegwright.knitting.stripes import Stripe
from pegwright.loom.board import Loom
from pegwright.loom.taut import check_yarn_passes
from pegwright.loom.visit import Visit
from pegwright.loom.wrap_test import WrapReading, gap_for, measure
from pegwright.making import design_gauge, wrap_test_columns
from pegwright.measured import Measured
from pegwright.yarn.yarn import Yarn

__all__ = [
    "YOUR_SIZE",
    "OwnWrapTest",
    "Reader",
    "Spacers",
    "carried",
    "nearest_size",
    "set_up",
    "sizes_for",
    "with_yarn",
    "wrap_drawn",
]

YOUR_SIZE = "your size"
"""What the size of a reader's own measures is called."""

_CHANGE_SHARE = 0.5
"""How much of a change of loop length may be wrong in a carried swatch: half (an assumption, no
source)."""

_OTHER_YARN_SD = 0.03
"""How far another yarn of the same category may change a stitch's width: about 3 % (common
practice, no source)."""


@dataclass(frozen=True, slots=True)
class OwnWrapTest:
    """A wrap test that the reader measured: one course over so many columns.

    :param columns: pegs wrapped on each board.
    :param length_mm: the yarn it drew.
    """

    columns: int
    length_mm: float


@dataclass(frozen=True, slots=True)
class Spacers:
    """Spacers that the reader has; see :mod:`pegwright.loom.spacers`."""

    thicknesses_mm: tuple[float, ...]
    bare_gap_mm: float


@dataclass(frozen=True, slots=True)
class Reader:
    """What a reader has.  None, or nothing, is as in the design.

    :param board: her board.  With a wrap test beside it, the test tells her slack.
    :param wrap_test: what her board drew; without ``board`` it tells the gap.
    :param yarn: takes the place of the body's yarn, in every part that was knitted with it.
    :param measures: of the body that it is for, mm by the garment's measure names.
    :param wearer: whom those measures are of; as the design's nearest size where it is None.
    :param swatches: her own, knitted on this board with this yarn.
    :param slack: drawn over taut length of her own hand.
    :param spacers: to reach another gap with.
    :param available_g: yarn at hand, in grams by name, in place of the design's.
    """

    board: Loom | None = None
    wrap_test: OwnWrapTest | None = None
    yarn: Yarn | None = None
    measures: Mapping[str, float] | None = None
    wearer: Wearer | None = None
    swatches: tuple[Swatch, ...] = ()
    slack: Measured | None = None
    spacers: Spacers | None = None
    available_g: Mapping[str, float] | None = None


def set_up(design: Design, reader: Reader) -> Design:
    """The design as it stands on the reader's board, with her yarn, hand and measures.

    :raises NotPossible: where the wrap does not work on her board, or no gap draws what she
        measured.
    :raises BadInput: where the yarn does not pass between her pegs, or a measure is missing.
    """
    changed = replace(
        with_yarn(design, reader),
        loom=reader.board or design.loom,
        slack=reader.slack or design.slack,
        sizes=sizes_for(design, reader),
    )
    check_yarn_passes(changed.loom, changed.body_yarn.wrapped_diameter_mm)
    if reader.wrap_test is not None:
        changed = _tested(changed, reader.wrap_test, board_known=reader.board is not None)
    wrap_test_columns(changed)
    changed = replace(changed, swatches=reader.swatches or carried(design, changed))
    return replace(changed, stripes=_stripes(design, changed)) if changed.stripes else changed


def wrap_drawn(design: Design, columns: int) -> WrapReading:
    """What the first course of the design's wrap draws over so many columns of its board."""
    order = design.wrap.visits(design.loom, 1, columns)
    diameter_mm = design.body_yarn.wrapped_diameter_mm
    closed = _comes_back(design.loom, order)
    return measure(design.loom, order, diameter_mm, design.slack.value, closed)


def carried(design: Design, onto: Design) -> tuple[Swatch, ...]:
    """The design's swatches as they hold for another setting of it; none for another wrap."""
    alike = design.wrap == onto.wrap and design.body_yarn.category == onto.body_yarn.category
    if not design.swatches or not alike:
        return ()
    ratio = _loop_mm(onto) / _loop_mm(design)
    same_yarn = _thickness(onto.body_yarn) == _thickness(design.body_yarn)
    if ratio == 1 and same_yarn:
        return design.swatches
    part = math.hypot(_CHANGE_SHARE * (ratio - 1), 0.0 if same_yarn else _OTHER_YARN_SD)
    return tuple(_scaled(swatch, ratio, part) for swatch in design.swatches)


def nearest_size(design: Design, measures: Mapping[str, float]) -> SizeRequest:
    """The design's size whose measures lie nearest, by the sum of their relative differences."""

    def off(size: SizeRequest) -> tuple[int, float]:
        common = size.measures.keys() & measures.keys()
        return -len(common), sum(abs(math.log(size.measures[n] / measures[n])) for n in common)

    return min(design.sizes, key=off)


def _thickness(yarn: Yarn) -> tuple[float, float]:
    """What of a yarn bears on the size of a stitch: its thickness and its tex."""
    return yarn.wrapped_diameter_mm, yarn.tex


# --- the parts of a setting ----------------------------------------------------------------------


def with_yarn(design: Design, reader: Reader) -> Design:
    """The design with the reader's yarn wherever the body's was used."""
    available = design.available_g if reader.available_g is None else reader.available_g
    yarn, old = reader.yarn, design.use["body"]
    if yarn is not None and yarn != design.body_yarn:
        use = {part: yarn.name if name == old else name for part, name in design.use.items()}
        kept = {name: each for name, each in design.yarns.items() if name != old}
        if yarn.name in kept:
            raise BadInput(
                "another yarn of the design has this name",
                given=yarn.name,
                hint="name the colour too",
                place=Place(field="yarn"),
            )
        if reader.available_g is None:
            available = {name: g for name, g in available.items() if name != old}
        stripes = tuple(replace(s, yarn=yarn.name) if s.yarn == old else s for s in design.stripes)
        design = replace(
            design,
            yarns={yarn.name: yarn, **kept},
            use=use,
            stripes=stripes,
            colour_runs={name: run for name, run in design.colour_runs.items() if name in kept},
            prices={name: price for name, price in design.prices.items() if name in kept},
        )
    known = {name: g for name, g in available.items() if name in design.yarns}
    return replace(design, available_g=known)


def sizes_for(design: Design, reader: Reader) -> tuple[SizeRequest, ...]:
    """The sizes to be made: the reader's own, or the design's.

    :raises BadInput: for a measure that is missing or cannot be.
    """
    if reader.measures is None:
        return design.sizes
    for measure_ in garment(design.garment).measures:
        given = reader.measures.get(measure_.name)
        if given is None and measure_.required:
            raise BadInput(
                f"“{measure_.name}” is missing: {measure_.words}",
                hint="measure it, with the tape snug and not tight",
                place=Place(field=measure_.name),
            )
        if given is not None and not measure_.least_mm <= given <= measure_.most_mm:
            raise BadInput(
                f"this cannot be “{measure_.name}”: {measure_.words}",
                given=f"{given:g} mm",
                hint=f"it lies between {measure_.least_mm:g} and {measure_.most_mm:g} mm",
                place=Place(field=measure_.name),
            )
    near = nearest_size(design, reader.measures)
    wearer = reader.wearer or near.wearer
    return (SizeRequest(YOUR_SIZE, wearer, dict(reader.measures)),)


def _tested(design: Design, test: OwnWrapTest, *, board_known: bool) -> Design:
    """The design with what a wrap test tells: the gap, or on a known board the slack."""
    loom = design.loom
    if not board_known and test.columns > loom.pegs:
        loom = replace(loom, pegs=test.columns)
        design = replace(design, loom=loom)
    design.wrap.fits(loom, test.columns)
    if not (math.isfinite(test.length_mm) and test.length_mm > 0):
        raise BadInput(
            "the yarn of a wrap test must be a length above zero",
            given=f"{test.length_mm} mm",
            hint="mark the yarn where the wrap begins and ends, unwind it and measure",
            place=Place(field="wrap_test"),
        )
    if board_known or not loom.is_double:
        drawn_mm = wrap_drawn(design, test.columns).length_mm
        factor = test.length_mm / drawn_mm
        return replace(design, slack=design.slack.scale(factor))
    if math.isclose(wrap_drawn(design, test.columns).length_mm, test.length_mm, rel_tol=1e-9):
        return design

    def order(board: Loom) -> tuple[Visit, ...]:
        return design.wrap.visits(board, 1, test.columns)

    answer = gap_for(
        loom,
        order,
        design.body_yarn.wrapped_diameter_mm,
        test.length_mm,
        design.slack.value,
        _comes_back(loom, order(loom)),
    )
    return replace(design, loom=replace(loom, gap_mm=answer.gap_mm))


def _stripes(design: Design, changed: Design) -> tuple[Stripe, ...]:
    """The stripes as wide as the design's at another gauge, each in whole rows.

    Each is rounded by itself, so that stripes that were alike stay so.  Where the rows of all
    together were even, as for a fold, they stay even: the middle stripe takes one more.
    """
    ratio = design_gauge(design)[0].course.value / design_gauge(changed)[0].course.value
    rows = [max(1, math.floor(stripe.rows * ratio + 0.5)) for stripe in changed.stripes]
    if sum(stripe.rows for stripe in changed.stripes) % 2 == 0 and sum(rows) % 2:
        rows[len(rows) // 2] += 1
    return tuple(replace(s, rows=n) for s, n in zip(changed.stripes, rows, strict=True))


def _comes_back(loom: Loom, order: tuple[Visit, ...]) -> bool:
    return loom.number(order[0].peg) == loom.number(order[-1].peg)


def _loop_mm(design: Design) -> float:
    return design_gauge(replace(design, swatches=()))[1] * design.slack.value


def _scaled(swatch: Swatch, ratio: float, part: float) -> Swatch:
    return replace(
        swatch, width=_length(swatch.width, ratio, part), length=_length(swatch.length, ratio, part)
    )


def _length(read: Measured, ratio: float, part: float) -> Measured:
    sd = read.sd or TAPE_SD_MM
    return Measured(read.value * ratio, ratio * math.hypot(sd, part * read.value))
