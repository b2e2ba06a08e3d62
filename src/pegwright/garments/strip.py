"""The strip that most garments start from: counts chosen, knitted, and its edges finished."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, PlannedPiece
from pegwright.garments.blocks import Field, cast_on, first_row, rows
from pegwright.gauge.dimensions import Count, columns_for, rows_for
from pegwright.knitting.operations import CutYarn, JoinYarn, Operation, Part, Repeat
from pegwright.knitting.script import Step, Work
from pegwright.knitting.stripes import Block, Stripe, blocks
from pegwright.tongue.said import say
from pegwright.units import MM_PER_INCH, format_both

__all__ = ["KNOT_TURNS", "TAIL_MM", "Steps", "Strip", "choose_strip", "seam_yarn_mm", "strip_steps"]

TAIL_MM = 6 * MM_PER_INCH
"""A tail long enough to weave in: 6 in (common practice, no source)."""

KNOT_TURNS = 4.0
"""Yarn in a slip knot, in turns round the peg (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip's counts and where it is worked; ``choices`` says how the counts came about.

    ``stripes`` are its stripes from the cast-on; none where it is all of one yarn.
    """

    field: Field
    rows: int
    piece: PlannedPiece
    choices: tuple[str, ...]
    stripes: tuple[Stripe, ...] = ()

    @property
    def knot_mm(self) -> float:
        """Yarn in the slip loop."""
        return KNOT_TURNS * math.pi * self.field.loom.peg_diameter_mm


class Steps:
    """Numbers steps as they are added."""

    def __init__(self) -> None:
        self.made: list[Step] = []

    def add(self, key: str, piece: str, part: Part, *work: Operation | Repeat) -> None:
        """Add a step with the next number."""
        self.made.append(Step(len(self.made) + 1, key, piece, part, tuple(work)))


def choose_strip(brief: Brief, width_mm: float, length_mm: float, *, even_rows: bool) -> Strip:
    """Choose a strip's pegs and rows; the options ``pegs`` and ``rows`` override the gauge.

    Where the brief has stripes, the strip is as long as they are.

    :param even_rows: the rows must halve evenly, for a fold.
    :raises NotPossible: where the board is too short or the wrap does not fit.
    """
    columns = _columns(brief, width_mm)
    period = len(brief.wrap.courses)
    count = _rows(brief, length_mm, 2 if even_rows else 1)
    brief.wrap.fits(brief.loom, columns.number)
    field = Field(brief.loom, brief.wrap, 1, columns.number)
    if count.number < 2 * period:
        raise NotPossible(
            "this is too short to knit", given=f"{count.number} rows", hint="ask for more length"
        )
    piece = PlannedPiece(
        "strip",
        columns.number,
        count.number,
        brief.gauge.width(columns.number),
        brief.gauge.length(count.number),
    )
    return Strip(field, count.number, piece, (columns.words, count.words), brief.stripes)


def _columns(brief: Brief, width_mm: float) -> Count:
    wrap = brief.wrap
    asked = brief.options.get("pegs")
    if asked is not None:
        number = int(asked)
        return Count(
            number,
            float(number),
            brief.gauge.width(number),
            say("{pegs} pegs, as the design asks", pegs=number),
        )
    return columns_for(
        width_mm,
        brief.gauge,
        multiple=wrap.multiple,
        plus=wrap.plus,
        least=wrap.least,
        most=brief.loom.pegs,
        system=brief.units,
    )


def _rows(brief: Brief, length_mm: float, multiple: int) -> Count:
    asked = brief.options.get("rows")
    if brief.stripes:
        return _striped_rows(brief, length_mm, multiple)
    if asked is None:
        return rows_for(length_mm, brief.gauge, multiple=multiple, system=brief.units)
    number = int(asked)
    if number % multiple:
        raise NotPossible(
            "the rows must halve evenly for the fold",
            given=f"{number} rows",
            hint=f"ask for {number + 1} rows",
        )
    return Count(
        number,
        float(number),
        brief.gauge.length(number),
        say("{rows} rows, as the design asks", rows=number),
    )


def _striped_rows(brief: Brief, length_mm: float, multiple: int) -> Count:
    """As many rows as the stripes have together.

    :raises NotPossible: where the option ``rows`` says otherwise, or they cannot be halved.
    """
    asked = brief.options.get("rows")
    number = sum(stripe.rows for stripe in brief.stripes)
    if asked is not None and int(asked) != number:
        raise NotPossible(
            "the stripes do not add up to the rows that are asked for",
            given=f"{number} rows of stripes, {int(asked)} rows",
            hint="leave the rows out, or change a stripe",
        )
    if number % multiple:
        raise NotPossible(
            "the stripes must add up to rows that halve evenly for the fold",
            given=f"{number} rows",
            hint="add a row to one stripe; an odd stripe in the middle keeps the edges matching",
        )
    length = brief.gauge.length(number)
    told = format_both(length_mm, brief.units)
    words = say(
        "{rows} rows, as many as the stripes add up to; the length asked for is {length}",
        rows=number,
        length=told,
    )
    return Count(number, float(number), length, words)


def strip_steps(steps: Steps, strip: Strip, yarn: str) -> None:
    """Add the steps that cast a strip on, knit it and cut its yarn.

    :param yarn: the body's yarn; where the strip has stripes, their yarns are used instead.
    """
    field = strip.field
    stripes = strip.stripes
    first = stripes[0].yarn if stripes else yarn
    work: Work = cast_on(field, first, TAIL_MM, strip.knot_mm)
    steps.add("cast-on", "strip", Part.CAST_ON, *work)
    steps.add("first-row", "strip", Part.BODY, *first_row(field))
    if len(stripes) > 1:
        _stripe_steps(steps, field, stripes)
    else:
        steps.add("rows", "strip", Part.BODY, *rows(field, strip.rows - 1))
    steps.add("cut", "strip", Part.BODY, CutYarn(TAIL_MM))


def _stripe_steps(steps: Steps, field: Field, stripes: tuple[Stripe, ...]) -> None:
    """The first stripe's other rows; then a step a stripe, and one for stripes that recur."""
    done = stripes[0].rows
    if done > 1:
        steps.add("stripe", "strip", Part.BODY, *rows(field, done - 1))
    for block in blocks(stripes[1:]):
        for part in _alike(block, len(field.wrap.courses)):
            work = _stripe_work(field, part, done)
            steps.add("stripe", "strip", Part.BODY, *work)
            done += part.rows


def _alike(block: Block, period: int) -> tuple[Block, ...]:
    """A block as blocks whose every round begins with the same course of the wrap."""
    rounds = period // math.gcd(period, block.rows // block.times)
    whole, rest = divmod(block.times, rounds)
    if whole < 2:
        return tuple(Block((stripe,)) for stripe in block.stripes * block.times)
    singles = tuple(Block((stripe,)) for stripe in block.stripes * rest)
    return (Block(block.stripes * rounds, whole), *singles)


def _stripe_work(field: Field, block: Block, done: int) -> Work:
    """Each stripe: the yarn before is cut, its own joined, and its rows are worked."""
    work: list[Operation | Repeat] = []
    for stripe in block.stripes:
        work += [CutYarn(TAIL_MM), JoinYarn(stripe.yarn, TAIL_MM), *rows(field, stripe.rows, done)]
        done += stripe.rows
    return (Repeat(tuple(work), block.times),) if block.times > 1 else tuple(work)


def seam_yarn_mm(chains: int, course_mm: float, yarn_diameter_mm: float) -> float:
    """Yarn for a chain-edge seam: under one chain of each edge and across, a row at a time.

    Each chain takes the length of its row; each crossing two diameters of yarn.  Two tails come on
    top.  From geometry.
    """
    return chains * 2 * (course_mm + 2 * yarn_diameter_mm) + 2 * TAIL_MM
