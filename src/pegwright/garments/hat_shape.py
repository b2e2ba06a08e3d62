"""How large a gathered-top hat is, in counts: round, crown and brim, whichever way it is worked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, PlannedPiece
from pegwright.garments.blocks import Field
from pegwright.garments.edges import graft_yarn_mm, strip_facts
from pegwright.garments.strip import TAIL_MM, Strip, choose_strip
from pegwright.gauge.dimensions import Count, columns_for, rows_for
from pegwright.measured import Measured
from pegwright.sizing.ease import Ease
from pegwright.tongue.said import say
from pegwright.units import format_length

__all__ = [
    "CROWN_OF_HEAD",
    "GATHER",
    "MOST_STRETCH",
    "HatShape",
    "Worked",
    "hat_shape",
    "round_fits",
]

CROWN_OF_HEAD = 0.25
"""Crown to brow over the head's circumference: the craft trade's chart of hat sizes has a quarter
throughout (common practice, no source)."""

BRIM_OF_HEAD = 0.08
"""How far a brim reaches below the brow, over the head's circumference: over most of the ear (an
assumption, no source)."""

MOST_STRETCH = 0.25
"""How much more than itself a hat may be stretched to go on a head (an assumption, no source)."""

MOST_LOOSE = 0.05
"""How much larger than the head a hat may be and still stay on, where nothing else is asked for (an
assumption, no source)."""

GATHER = "gathering yarn"

_GATHER_PASSES = 2.0
"""Yarn run twice through the top, so that no stitch can slip (common practice, no source)."""

_LEAST_CROWN_ROWS = 4


class Worked(StrEnum):
    """How the hat's tube comes about."""

    RING = "in the round"
    BOTTOM_UP = "bottom-up"
    SIDEWAYS = "sideways"


@dataclass(frozen=True, slots=True)
class HatShape:
    """A hat in counts.

    ``brim_rows`` are those of one layer (columns, sideways); ``strip`` has everything: the tube
    laid flat, or the whole ring of pegs.
    """

    worked: Worked
    strip: Strip
    fold: str
    brim_rows: int
    around: Measured
    depth: Measured
    brim: Measured
    facts: dict[str, float]
    choices: tuple[str, ...]

    @property
    def piece_name(self) -> str:
        """The piece in the script."""
        return "tube" if self.worked is Worked.RING else "strip"

    @property
    def doubled(self) -> bool:
        """Whether the brim is double."""
        return self.fold != "single" and self.brim_rows > 0

    @property
    def finished(self) -> dict[str, Measured]:
        """The finished measurements."""
        brim = {"brim": self.brim} if self.brim_rows else {}
        return {"round": self.around, "depth": self.depth, **brim}


def round_fits(brief: Brief, ease_part: float) -> bool:
    """Whether the board is long enough for a strip as wide as the hat is round."""
    wrap, round_mm = brief.wrap, Ease(part=ease_part).finished_mm(brief.measures["head"])
    count = columns_for(
        round_mm, brief.gauge, multiple=wrap.multiple, plus=wrap.plus, least=wrap.least
    )
    return count.number <= brief.loom.pegs


def hat_shape(brief: Brief, worked: Worked, ease_part: float) -> HatShape:
    """Choose the counts of a hat.

    :raises NotPossible: where the board or ring does not make it.
    """
    head_mm = brief.measures["head"]
    round_mm = Ease(part=ease_part).finished_mm(head_mm)
    fold = str(brief.options.get("fold") or "single")
    if worked is Worked.SIDEWAYS and fold == "sewn":
        raise NotPossible(
            "a hat knitted sideways has its brim along a side edge, which is not sewn down",
            given='fold = "sewn"',
            hint='say fold = "turned", or knit it bottom-up on a longer board',
        )
    crown_mm = brief.measures.get("crown", CROWN_OF_HEAD * head_mm)
    asked = brief.options.get("brim")
    brim_mm = BRIM_OF_HEAD * head_mm if asked is None else float(asked)
    make = _sideways if worked is Worked.SIDEWAYS else _upright
    shape = make(brief, worked, round_mm, crown_mm, brim_mm, fold)
    _check_head(brief, shape, head_mm, round_mm, ease_part)
    return replace(
        shape,
        facts={**shape.facts, **_facts(brief, shape)},
        choices=(*shape.choices, *_words(brief, crown_mm, brim_mm, shape)),
    )


def _layers(fold: str, brim: int) -> int:
    return brim * (1 if fold == "single" else 2)


def _upright(
    brief: Brief, worked: Worked, round_mm: float, crown_mm: float, brim_mm: float, fold: str
) -> HatShape:
    """A tube whose rows run round the head."""
    gauge = brief.gauge
    brim = _brim(brim_mm, gauge.course.value)
    over = _layers(fold, brim)
    asked = brief.options.get("rows")
    crown = rows_for(crown_mm, gauge, least=_LEAST_CROWN_ROWS, system=brief.units).number
    rows = crown + over if asked is None else int(asked)
    if rows - over < _LEAST_CROWN_ROWS or (fold == "sewn" and 2 * brim > rows):
        raise NotPossible(
            "the brim leaves too few rows for the crown",
            given=f"{rows} rows, {over} of them for the brim",
            hint="give a smaller brim, or more rows",
        )
    strip = _ring_of(brief, rows) if worked is Worked.RING else _strip_of(brief, round_mm, rows)
    depth = gauge.length(rows - over + brim)
    words = say("{rows} rows in all", rows=rows)
    if asked is None:
        words = say(
            "{crown} rows for the crown and {brim} for the brim are {rows} in all",
            crown=crown,
            brim=over,
            rows=rows,
        )
    choices = (strip.choices[0], words)
    return HatShape(
        worked, strip, fold, brim, strip.piece.width, depth, gauge.length(brim), {}, choices
    )


def _brim(brim_mm: float, step_mm: float) -> int:
    """Rows (or columns) of one layer of the brim; none only where none is asked for."""
    return max(1, round(brim_mm / step_mm)) if brim_mm > 0 else 0


def _ring_of(brief: Brief, rows: int) -> Strip:
    """Every peg of the ring, in the round."""
    loom, wrap = brief.loom, brief.wrap.in_the_round()
    wrap.fits(loom, loom.pegs)
    asked = brief.options.get("pegs")
    if asked is not None and int(asked) != loom.pegs:
        raise NotPossible(
            "in the round every peg of the ring is in use",
            given=f"{int(asked)} pegs of {loom.pegs}",
            hint="leave the pegs out, or use another ring",
        )
    gauge = brief.gauge
    piece = PlannedPiece("tube", loom.pegs, rows, gauge.width(loom.pegs), gauge.length(rows))
    around = format_length(piece.width.value, brief.units)
    words = say(
        "the ring has {pegs} pegs, and all are in use: that is {length} round",
        pegs=loom.pegs,
        length=around,
    )
    return Strip(Field(loom, wrap, 1, loom.pegs), rows, piece, (words,))


def _strip_of(brief: Brief, round_mm: float, rows: int) -> Strip:
    """A strip as wide as the hat is round."""
    exact = replace(brief, options={**brief.options, "rows": rows})
    return choose_strip(exact, round_mm, brief.gauge.length(rows).value, even_rows=False)


def _sideways(
    brief: Brief, worked: Worked, round_mm: float, crown_mm: float, brim_mm: float, fold: str
) -> HatShape:
    """A strip as wide as the hat is deep, knitted all the way round."""
    gauge = brief.gauge
    brim = _brim(brim_mm, gauge.wale.value)
    over = _layers(fold, brim)
    strip = choose_strip(brief, crown_mm + over * gauge.wale.value, round_mm, even_rows=False)
    columns = strip.piece.columns
    if columns - over < 2:
        raise NotPossible(
            "the brim leaves too few pegs for the crown",
            given=f"{columns} pegs, {over} of them for the brim",
            hint="give a smaller brim, or more pegs",
        )
    depth = gauge.width(columns - over + brim)
    return HatShape(
        worked, strip, fold, brim, strip.piece.length, depth, gauge.width(brim), {}, strip.choices
    )


def _check_head(
    brief: Brief, shape: HatShape, head_mm: float, round_mm: float, ease_part: float
) -> None:
    """Refuse a hat that misses the head by more than it stretches, where its round is given."""
    ring = shape.worked is Worked.RING
    given = "rows" if shape.worked is Worked.SIDEWAYS else "pegs"
    if not ring and brief.options.get(given) is None:
        return  # chosen for this head
    made_mm = shape.around.value
    loosest = 1 + max(MOST_LOOSE, ease_part)
    if head_mm / (1 + MOST_STRETCH) <= made_mm <= head_mm * loosest:
        return
    small = made_mm < head_mm
    units = brief.units
    what = f"this {'ring' if ring else 'count'} makes a hat that is too "
    what += "small" if small else "large"
    off = abs(head_mm / made_mm - 1 if small else made_mm / head_mm - 1)
    raise NotPossible(
        f"{what} for the head: it would {'have to stretch' if small else 'be loose'} by {off:.0%}",
        given=f"{format_length(made_mm, units)} round, for a head of "
        f"{format_length(head_mm, units)}",
        hint=_would_do(brief, ring, given, round_mm),
    )


def _would_do(brief: Brief, ring: bool, given: str, round_mm: float) -> str:
    gauge, wrap = brief.gauge, brief.wrap
    count: Count = (
        rows_for(round_mm, gauge)
        if given == "rows"
        else columns_for(
            round_mm, gauge, multiple=wrap.multiple, plus=wrap.plus, least=max(wrap.least, 3)
        )
    )
    measures = format_length(count.finished.value, brief.units)
    if ring:
        return (
            f"a ring of {count.number} pegs of this pitch would do: {measures} round; "
            "or knit it flat on a board"
        )
    return f"{count.number} {given} would do: {measures} round; or leave {given} out"


def _facts(brief: Brief, shape: HatShape) -> dict[str, float]:
    strip, seam = shape.strip, brief.yarn("seam").wrapped_diameter_mm
    loops = strip.field.columns * (2 if brief.loom.is_double else 1)
    return {
        **strip_facts(strip),
        "seam_chains": strip.rows,
        "round_mm": shape.around.value,
        "depth_mm": shape.depth.value,
        "brim_mm": shape.brim.value,
        "brim_rows": shape.brim_rows,
        "brim_fold": 2 * shape.brim_rows,
        "brim_all": _layers(shape.fold, shape.brim_rows),
        "gather_mm": _GATHER_PASSES * shape.around.value + 2 * TAIL_MM,
        "graft_mm": graft_yarn_mm(loops, brief.gauge.wale.value, seam),
    }


def _words(brief: Brief, crown_mm: float, brim_mm: float, shape: HatShape) -> tuple[str, ...]:
    units = brief.units
    crown, brim = format_length(crown_mm, units), format_length(brim_mm, units)
    depth = format_length(shape.depth.value, units)
    parts = (
        say("The crown is to be {length}", length=crown)
        if "crown" in brief.measures
        else say("The crown is to be {length}, a quarter of the head", length=crown)
    )
    if not shape.brim_rows:
        return (
            say(
                "{crown}, with no brim below the brow; the hat is {depth} deep",
                crown=parts,
                depth=depth,
            ),
        )
    facts = {"crown": parts, "brim": brim, "depth": depth}
    if not shape.doubled:
        return (say("{crown}, and the brim {brim}; the finished hat is {depth} deep", **facts),)
    return (
        say(
            "{crown}, and the brim {brim}, and again as much for its second layer; the finished "
            "hat is {depth} deep",
            **facts,
        ),
    )
