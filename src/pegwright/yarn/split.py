"""A ball parted on a kitchen scale, and how even the parts come out.

How it is done: the whole ball lies on the scale; yarn is wound off until the scale shows what must
**remain**, then cut.  So part k is what is lost between two readings.

How sure it is: a reading on a scale of step r is off by anything up to r/2, each reading apart from
the others, with a standard deviation of r / sqrt(12).  Part k is M(k−1) − M(k), where M(0) is the
whole ball and M(n) nothing (exact); it should have been s(k) · M(0).  Its error is therefore
e(k−1) − e(k) − s(k) · e(0), in which the first part meets e(0) twice.  Targets are rounded to what
the scale can show, and that rounding is told too, not hidden.

Metres follow from the yarn's metres per 100 g, whose own uncertainty is the same for all parts: it
makes none of them larger than another, and is left out of the error in metres and rows.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from pegwright.errors import BadInput, Finding, NotPossible, Place, Severity
from pegwright.measured import Measured, resolution_sd
from pegwright.units import (
    GRAMS_PER_OUNCE,
    UnitSystem,
    format_mass,
    format_number,
    format_yarn_length,
    require_positive,
)
from pegwright.yarn.telling import measured_data, percent
from pegwright.yarn.yarn import Yarn

__all__ = ["MOST_PARTS", "Split", "SplitPart", "shares_of", "split_ball"]

MOST_PARTS = 200
"""Most parts of one ball."""

_COARSE_PART = 0.1
"""A part that may be off by more than this part of itself is no part worth weighing for."""

_COVERAGE = 0.9
_ADDS = 1e-6
_PLACES = 9  # a float's own noise is cut off: a scale shows 41.9 g, not 41.900000000000006


@dataclass(frozen=True, slots=True)
class SplitPart:
    """One part, in the order of winding off.

    :param number: from 1.
    :param share: what it should be, as a part of the ball.
    :param remain_g: wind off until the scale shows this; 0 for the last part, which is the rest.
    :param grams: what the part weighs.
    :param off_g: how much more than its share it comes to (less, if below zero).
    :param off_m: the same in metres.
    :param off_rows: the same in rows, where the metres of a row are known.
    """

    number: int
    share: float
    remain_g: float
    grams: Measured
    metres: Measured
    off_g: Measured
    off_m: Measured
    off_rows: Measured | None

    @property
    def worst_g(self) -> float:
        """How far off in grams, to either side, nine times in ten."""
        return _worst(self.off_g)

    @property
    def worst_m(self) -> float:
        """How far off in metres, to either side, nine times in ten."""
        return _worst(self.off_m)

    @property
    def worst_rows(self) -> float | None:
        """How far off in rows, to either side, nine times in ten."""
        return None if self.off_rows is None else _worst(self.off_rows)


@dataclass(frozen=True, slots=True)
class Split:
    """A ball parted.

    :param findings: ``scale-too-coarse``.
    """

    yarn: Yarn
    ball_g: float
    scale_g: float
    parts: tuple[SplitPart, ...]
    findings: tuple[Finding, ...] = ()

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """How to do it, a sentence for each part, and how even it comes out."""
        last = len(self.parts)
        start = f"Lay the ball on the scale: {format_mass(self.ball_g, units)}."
        steps = [_step_words(part, last, self.scale_g, units) for part in self.parts]
        return (start, *steps, _even_words(self.parts, units), *(f.what for f in self.findings))

    def as_data(self) -> dict[str, object]:
        """The same as plain data; intervals hold nine times in ten."""
        return {
            "yarn": self.yarn.label,
            "ball_g": self.ball_g,
            "scale_g": self.scale_g,
            "parts": [_part_data(part) for part in self.parts],
            "findings": [f.as_data() for f in self.findings],
        }


def split_ball(
    yarn: Yarn,
    ball_g: float,
    parts: int | Sequence[float],
    scale_g: float = 1.0,
    metres_per_row: Measured | None = None,
) -> Split:
    """Part a ball by weighing what remains.

    :param ball_g: what the scale shows for the whole ball.
    :param parts: how many equal parts; or each part's share of the ball, which add up to 1.
    :param scale_g: the smallest difference that the scale shows.
    :param metres_per_row: metres that one row draws, to tell the error in rows.
    :raises BadInput: naming the field, for a ball or scale of no weight, or shares that do not add
        up.
    :raises NotPossible: where the scale is so coarse that two targets read the same.
    """
    require_positive(ball_g, "ball_g", hint="weigh the ball, without its band")
    require_positive(scale_g, "scale_g", hint="see what the scale shows, as 1 g")
    if metres_per_row is not None:
        require_positive(metres_per_row.value, "metres_per_row")
    shares = _shares(parts)
    remain = _targets(ball_g, shares, scale_g)
    made = tuple(
        _part(yarn, number, shares, remain, ball_g, scale_g, metres_per_row)
        for number in range(1, len(shares) + 1)
    )
    return Split(yarn, ball_g, scale_g, made, _coarse(made, scale_g, ball_g))


def shares_of(text: str) -> list[float]:
    """Shares of a whole as they are written: ``1/2, 1/4, 1/4``.

    :raises BadInput: for what is no share.
    """
    shares = []
    for part in text.split(","):
        try:
            shares.append(float(Fraction("".join(part.split()))))
        except (ValueError, ZeroDivisionError, OverflowError):
            raise BadInput(
                "this is no share",
                given=part.strip(),
                hint='write fractions or decimals that add up to 1: "1/2, 1/4, 1/4"',
                place=Place(field="parts"),
            ) from None
    return shares


def _shares(parts: int | Sequence[float]) -> tuple[float, ...]:
    place = Place(field="parts")
    if isinstance(parts, bool):
        raise BadInput("how many parts?", given=parts, hint="give a whole number", place=place)
    if isinstance(parts, int):
        shares: tuple[float, ...] = (1 / parts,) * min(parts, MOST_PARTS + 1) if parts > 0 else ()
    else:
        shares = tuple(parts)
        for number, share in enumerate(shares, 1):
            require_positive(share, f"parts[{number}]", hint="write 0.25 for a quarter")
    if not 2 <= len(shares) <= MOST_PARTS:
        raise BadInput(
            f"a ball is parted into 2 to {MOST_PARTS}",
            given=parts if isinstance(parts, int) else len(shares),
            hint="give the number of equal parts, or each part's share",
            place=place,
        )
    whole = math.fsum(shares)
    if not isinstance(parts, int) and abs(whole - 1) > _ADDS:
        raise BadInput(
            "the shares do not add up to 1",
            given=f"{' + '.join(f'{s:g}' for s in shares)} = {whole:g}",
            hint="write each as a part of the whole, as 0.5, 0.25, 0.25",
            place=place,
        )
    return shares


def _targets(ball_g: float, shares: tuple[float, ...], scale_g: float) -> tuple[float, ...]:
    """What remains at each stage, from the whole ball to nothing, as the scale can show it."""
    left = [ball_g * math.fsum(shares[k:]) for k in range(1, len(shares))]
    shown = [round(scale_g * math.floor(g / scale_g + 0.5), _PLACES) for g in left]
    targets = (ball_g, *shown, 0.0)
    if any(a <= b for a, b in pairwise(targets)):
        raise NotPossible(
            "the scale is too coarse to part this ball so",
            given=f"{ball_g:g} g in {len(shares)} parts, on a scale that shows"
            f" {scale_g:g} g at a time",
            hint="take a finer scale or fewer parts, or wind the yarn round a board and count"
            " the turns",
        )
    return targets


def _part(
    yarn: Yarn,
    number: int,
    shares: tuple[float, ...],
    remain: tuple[float, ...],
    ball_g: float,
    scale_g: float,
    metres_per_row: Measured | None,
) -> SplitPart:
    share = shares[number - 1]
    weighed_g = remain[number - 1] - remain[number]
    readings = 1 if number == len(shares) else 2
    sd = resolution_sd(scale_g)
    grams = Measured(weighed_g, sd * math.sqrt(readings))
    off_g = Measured(weighed_g - share * ball_g, sd * math.hypot(*_meets(number, shares)))
    off_m = off_g.scale(yarn.metres_per_100g / 100)
    rows = None if metres_per_row is None else off_m / metres_per_row
    return SplitPart(number, share, remain[number], grams, yarn.length(grams), off_g, off_m, rows)


def _meets(number: int, shares: tuple[float, ...]) -> tuple[float, ...]:
    """How often a part's error meets that of the first reading, of the one before it, of its own.

    See the module: e(k−1) − e(k) − s(k) · e(0), and e(n) is nothing.
    """
    own = 0.0 if number == len(shares) else 1.0
    if number == 1:
        return (1 - shares[0], own)
    return (shares[number - 1], 1.0, own)


def _coarse(parts: tuple[SplitPart, ...], scale_g: float, ball_g: float) -> tuple[Finding, ...]:
    worst = max(parts, key=lambda p: p.worst_g / (p.share * ball_g))
    part = worst.worst_g / (worst.share * ball_g)
    rows = max((p.worst_rows for p in parts if p.worst_rows is not None), default=None)
    if part <= _COARSE_PART and (rows is None or rows < 1):
        return ()
    in_rows = "" if rows is None else f", or {_rows_words(rows)} of knitting"
    what = (
        f"The scale shows {_reading(scale_g, scale_g)} at a time: part {worst.number} of"
        f" {format_number(worst.grams.value, 1)} g may be off by"
        f" {format_number(worst.worst_g, 1)} g ({percent(part)}){in_rows}."
    )
    mend = (
        "Take a finer scale, or wind the yarn round a board and give each part the same number of"
        " turns; then weigh only to check."
    )
    return (Finding("scale-too-coarse", Severity.NOTE, what, mend),)


def _reading(g: float, scale_g: float) -> str:
    """What the scale shows, in its own unit: ounces where its step is a round part of one."""
    step_oz = scale_g / GRAMS_PER_OUNCE
    if abs(step_oz * 1000 - round(step_oz * 1000)) < _ADDS:
        return f"{format_number(g / GRAMS_PER_OUNCE, 3)} oz"
    return f"{format_number(g, 2)} g"


def _step_words(part: SplitPart, last: int, scale_g: float, units: UnitSystem) -> str:
    is_about = (
        f"about {format_mass(part.grams.value, units)},"
        f" {format_yarn_length(part.metres.value, units)}"
    )
    if part.number == last:
        return f"Part {part.number} is the rest: {is_about}."
    return (
        f"Wind off until the scale shows {_reading(part.remain_g, scale_g)} and cut:"
        f" part {part.number}, {is_about}."
    )


def _even_words(parts: tuple[SplitPart, ...], units: UnitSystem) -> str:
    worst = max(parts, key=lambda p: p.worst_g)
    rows = "" if worst.worst_rows is None else f", {_rows_words(worst.worst_rows)}"
    return (
        f"Nine times in ten a part is within {format_mass(worst.worst_g, units)} of its share:"
        f" {format_yarn_length(worst.worst_m, units)}{rows}."
    )


def _part_data(part: SplitPart) -> dict[str, object]:
    return {
        "part": part.number,
        "share": part.share,
        "remain_g": part.remain_g,
        "grams": measured_data(part.grams, _COVERAGE),
        "metres": measured_data(part.metres, _COVERAGE),
        "off_g": measured_data(part.off_g, _COVERAGE),
        "off_m": measured_data(part.off_m, _COVERAGE),
        "off_rows": None if part.off_rows is None else measured_data(part.off_rows, _COVERAGE),
    }


def _rows_words(rows: float) -> str:
    number = format_number(rows, 1)
    return f"{number} row" if number == "1" else f"{number} rows"


def _worst(off: Measured) -> float:
    return max(abs(end) for end in off.interval(_COVERAGE))
