"""Gauge: how wide a stitch and how long a row comes out, and how sure that is.

Words used here:

* a **swatch** is a piece knitted to be measured; its stitches are counted across **one face** and
  its rows along it;
* a **wale** is one column of stitches, and its width is that of one stitch; a **course** is one
  row, and its length is that of one row.  Both are in millimetres here;
* **washed** means washed and dried as the finished piece will be.

A gauge comes from swatches, from a prediction out of the loop length, or from both.  Its standard
deviations say how far the *true* gauge of the piece may well be from the figure.  All stitches of a
piece share that one error, so a width is the wale **scaled**, never many wales added in quadrature.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from pegwright.errors import BadInput, Finding, Place, Severity
from pegwright.gauge.constants import JAMMING_RATIO, Mark, constants_for
from pegwright.gauge.pooling import disagreement, pooled_random
from pegwright.knitting.wraps import Structure
from pegwright.measured import Measured
from pegwright.tongue.said import Said, numeral, say, say_count
from pegwright.units import UnitSystem, format_length, format_number, require_positive

__all__ = [
    "HAND_RELATIVE_SD",
    "TAPE_SD_MM",
    "Counts",
    "Gauge",
    "GaugeSource",
    "Swatch",
    "combined",
    "explain",
    "from_swatches",
    "jamming",
    "predict",
]

TAPE_SD_MM = 1.5
"""How far a tape laid on a soft swatch may well be off, in mm: where a reading brings no
uncertainty of its own.  An assumption, no source: a sixteenth of an inch, about, for the eye that
finds the edge of a stitch and the hand that lays the cloth flat."""

HAND_RELATIVE_SD = 0.02
"""How far one swatch may well differ from the next of the same hand, yarn and board: 2 %.

An assumption, no source.  Where swatches differ by more, their own spread takes over."""

_DISAGREE = 0.05
"""Swatches disagree where so small a part of honest sets would lie so far apart."""

_IN_WIDTH, _IN_LENGTH = say("The swatches differ in width"), say("The swatches differ in length")
_ONE_STITCH, _ONE_ROW = say("One stitch"), say("One row")

_FAR_SDS = 2.5
"""A swatch lies far from its prediction beyond so many standard deviations."""


class GaugeSource(StrEnum):
    """What a gauge rests on."""

    SWATCH = "swatch"  # measured
    PREDICTED = "predicted"  # from the loop length and published constants
    BOTH = "both"  # a prediction, corrected by swatches


class Counts(NamedTuple):
    """Stitches and rows to a length."""

    stitches: Measured
    rows: Measured


@dataclass(frozen=True, slots=True)
class Swatch:
    """One measured swatch.

    :param stitches: counted across one face, within ``width``.
    :param width: mm; a reading without a standard deviation is taken to have :data:`TAPE_SD_MM`.
    :param rows: counted along it, within ``length``.
    :param length: mm, likewise.
    :param washed: washed and dried as the finished piece will be.
    :raises BadInput: naming the field, for a count below one or a length that is not above zero.
    """

    stitches: int
    width: Measured
    rows: int
    length: Measured
    washed: bool = True
    note: str = ""

    def __post_init__(self) -> None:
        for field, count in (("stitches", self.stitches), ("rows", self.rows)):
            if not _is_count(count):
                raise BadInput(
                    f"a swatch has one or more whole {field}",
                    given=count,
                    hint="count between two pins, stitches across one face only",
                    place=Place(field=field),
                )
        require_positive(self.width.value, "width", hint="measure between the pins")
        require_positive(self.length.value, "length", hint="measure between the pins")

    @property
    def wale(self) -> Measured:
        """Width of one stitch in mm, as far as this swatch's own tape reading goes."""
        return _reading(self.width).scale(1 / self.stitches)

    @property
    def course(self) -> Measured:
        """Length of one row in mm, as far as this swatch's own tape reading goes."""
        return _reading(self.length).scale(1 / self.rows)


@dataclass(frozen=True, slots=True)
class Gauge:
    """The size of a stitch.

    :param wale: width of one column in mm.
    :param course: length of one row in mm.
    :param words: where it comes from, in whole sentences.
    :param findings: what was noticed on the way; see docs/findings.md.
    :raises BadInput: naming the field, for a size that is not above zero.
    """

    wale: Measured
    course: Measured
    source: GaugeSource
    words: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()

    def __post_init__(self) -> None:
        require_positive(self.wale.value, "wale")
        require_positive(self.course.value, "course")

    def width(self, columns: float) -> Measured:
        """How wide so many columns are, in mm; one shared error, so the spread grows as they do."""
        return self.wale.scale(columns)

    def length(self, rows: float) -> Measured:
        """How long so many rows are, in mm; one shared error, so the spread grows as they do."""
        return self.course.scale(rows)

    def per_4in(self) -> Counts:
        """Stitches and rows to 4 inches."""
        return self._per(101.6)

    def per_10cm(self) -> Counts:
        """Stitches and rows to 10 centimetres."""
        return self._per(100.0)

    def _per(self, mm: float) -> Counts:
        return Counts(mm / self.wale, mm / self.course)


# --- from swatches -------------------------------------------------------------------------------


def from_swatches(swatches: Sequence[Swatch]) -> Gauge:
    """The gauge of one or more swatches of the same yarn, wrap and board.

    Each counts by its tape reading's spread and by how swatches of one hand differ
    (:data:`HAND_RELATIVE_SD`); they pool by inverse variance with a random-effects term
    (:func:`pegwright.gauge.pooling.pooled_random`).  Where washed and unwashed ones are mixed, only
    the washed ones are used.

    Findings: ``swatches-mixed-washing``, ``swatches-unwashed``, ``swatches-disagree``.

    :raises BadInput: for no swatches.
    """
    if not swatches:
        raise BadInput(
            "a gauge needs at least one swatch",
            hint="knit and measure one, or let the gauge be predicted from the loop length",
            place=Place(field="swatches"),
        )
    findings = list(_washing(swatches))
    used = [s for s in swatches if s.washed] or list(swatches)
    wales = [_with_hand(s.wale) for s in used]
    courses = [_with_hand(s.course) for s in used]
    for what, sizes in ((_IN_WIDTH, wales), (_IN_LENGTH, courses)):
        findings.extend(_disagreeing(what, sizes))
    many = len(used)
    washed = (
        say_count("Measured on one swatch, washed.", "Measured on {count} swatches, washed.", many)
        if used[0].washed
        else say_count(
            "Measured on one swatch, not washed.", "Measured on {count} swatches, not washed.", many
        )
    )
    return Gauge(
        pooled_random(wales),
        pooled_random(courses),
        GaugeSource.SWATCH,
        (washed,),
        tuple(findings),
    )


def _washing(swatches: Sequence[Swatch]) -> Sequence[Finding]:
    washed = sum(s.washed for s in swatches)
    if washed == len(swatches):
        return ()
    if washed:
        return (
            Finding(
                "swatches-mixed-washing",
                Severity.CAUTION,
                say(
                    "Of {count} swatches {washed} were washed and the others not; only the washed "
                    "ones are used, since washing changes the size of a stitch.",
                    count=len(swatches),
                    washed=washed,
                ),
                say("Wash and dry the others as the piece will be, and measure them again."),
            ),
        )
    return (
        Finding(
            "swatches-unwashed",
            Severity.NOTE,
            say("No swatch was washed, so the piece may change its size at its first wash."),
            say("Wash and dry a swatch as the piece will be, and measure it again."),
        ),
    )


def _disagreeing(what: Said, sizes: Sequence[Measured]) -> Sequence[Finding]:
    if len(sizes) < 2 or disagreement(sizes) >= _DISAGREE:
        return ()
    least = min(size.value for size in sizes)
    most = max(size.value for size in sizes)
    return (
        Finding(
            "swatches-disagree",
            Severity.CAUTION,
            say(
                "{differ} by more than measuring explains: one stitch or row is {least} to {most} "
                "mm.",
                differ=what,
                least=format_number(least, 2),
                most=format_number(most, 2),
            ),
            say(
                "Check that the same yarn, wrap and board gap were used, count once more, or knit"
                " another swatch; until then the sizes have a wider interval."
            ),
        ),
    )


def _is_count(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value >= 1


def _reading(length: Measured) -> Measured:
    return length if length.sd else Measured(length.value, TAPE_SD_MM)


def _with_hand(size: Measured) -> Measured:
    return Measured(size.value, math.hypot(size.sd, HAND_RELATIVE_SD * size.value))


# --- predicted -----------------------------------------------------------------------------------


def predict(
    loop_length: Measured, structure: Structure, *, solid_diameter_mm: float | None = None
) -> Gauge:
    """The gauge that a loop length leads to in relaxed cloth: course = l / k_c, wale = l / k_w.

    See :mod:`pegwright.gauge.constants` for the constants, their sources and their spread.

    :param loop_length: mm of yarn in one loop.
    :param solid_diameter_mm: the yarn's solid diameter, to look for jamming; None to leave that.
    :raises BadInput: for a loop length that is not above zero.
    """
    require_positive(loop_length.value, "loop_length", hint="take it from the wrap test")
    constants = constants_for(structure)
    wide = format_number(100 * constants.relative_sd)
    words = [
        say(
            "Predicted from {length} mm of yarn in each loop.",
            length=format_number(loop_length.value, 1),
        ),
        constants.words,
        say(
            "They were found on machine cloth; hand work may well lie {percent} % to either side, "
            "so knit a swatch before anything that must fit.",
            percent=wide,
        ),
    ]
    if structure is Structure.INTERLOCK:
        words.append(
            say(
                "The abstract does not say whether its loop length is of one loop or of a whole "
                "cell; one loop is taken here."
            )
        )
    if constants.mark is Mark.STAND_IN:
        words.append(
            say("No constants are known for this structure, so the interval is wider still.")
        )
    found = () if solid_diameter_mm is None else jamming(loop_length.value, solid_diameter_mm)
    return Gauge(
        loop_length / constants.wales,
        loop_length / constants.courses,
        GaugeSource.PREDICTED,
        tuple(words),
        found,
    )


def jamming(loop_length_mm: float, solid_diameter_mm: float) -> tuple[Finding, ...]:
    """Whether loops are so short for their yarn that machine cloth would jam.

    Never more than a note (``loops-near-jamming``): the limit is that of machine cloth, and it must
    not send a maker away from hand work that is merely firm.

    :param solid_diameter_mm: the **solid** diameter
        (:func:`pegwright.yarn.count.solid_diameter_mm`).  With the wrapped one, three times as
        thick, nearly all hand work would seem jammed.
    :raises BadInput: for a length that is not above zero.
    """
    require_positive(loop_length_mm, "loop_length_mm")
    require_positive(solid_diameter_mm, "solid_diameter_mm")
    ratio = loop_length_mm / solid_diameter_mm
    if ratio >= JAMMING_RATIO:
        return ()
    return (
        Finding(
            "loops-near-jamming",
            Severity.NOTE,
            say(
                "A loop is only {ratio} times as long as its yarn is thick; machine cloth jams "
                "below about {limit}.  Hand work need not keep to that limit, but the loops will "
                "be hard to lift over and the predicted gauge is less sure.",
                ratio=format_number(ratio, 1),
                limit=numeral(f"{JAMMING_RATIO:g}"),
            ),
            say("Try a few pegs first; a wider gap, a larger pitch or a thinner yarn loosens it."),
        ),
    )


def combined(predicted: Gauge, swatches: Sequence[Swatch]) -> Gauge:
    """A prediction corrected by swatches; with no swatches, the prediction as it is.

    Prediction and swatches are two normal estimates of one size, each weighing by the inverse of
    its variance: the normal-normal rule of Bayes (Gelman et al., Bayesian Data Analysis, 2.5, from
    memory).  The more certain side tells, which is nearly always the swatches'.

    Finding besides those of both: ``swatch-far-from-prediction``.
    """
    if not swatches:
        return predicted
    measured = from_swatches(swatches)
    findings = [*predicted.findings, *measured.findings]
    for what, prior, seen in (
        (_ONE_STITCH, predicted.wale, measured.wale),
        (_ONE_ROW, predicted.course, measured.course),
    ):
        findings.extend(_far(what, prior, seen))
    return Gauge(
        _updated(predicted.wale, measured.wale),
        _updated(predicted.course, measured.course),
        GaugeSource.BOTH,
        (*measured.words, say("Weighed together with the prediction:"), *predicted.words),
        tuple(findings),
    )


def _updated(prior: Measured, seen: Measured) -> Measured:
    """The precision-weighted mean; an exact side wins outright."""
    if not prior.sd or not seen.sd:
        return seen if not seen.sd else prior
    share = prior.sd**2 / (prior.sd**2 + seen.sd**2)
    sd = prior.sd * seen.sd / math.hypot(prior.sd, seen.sd)
    return Measured(prior.value + share * (seen.value - prior.value), sd)


def _far(what: Said, prior: Measured, seen: Measured) -> Sequence[Finding]:
    if abs(seen.value - prior.value) <= _FAR_SDS * math.hypot(prior.sd, seen.sd):
        return ()
    return (
        Finding(
            "swatch-far-from-prediction",
            Severity.CAUTION,
            say(
                "{one} of the swatch measures {seen} mm, but {predicted} mm was predicted from the "
                "loop length.",
                one=what,
                seen=format_number(seen.value, 2),
                predicted=format_number(prior.value, 2),
            ),
            say(
                "Check that the stitches were counted across one face only, and that board, gap and"
                " wrap are those of the swatch."
            ),
        ),
    )


# --- in words ------------------------------------------------------------------------------------


def explain(gauge: Gauge, units: UnitSystem) -> tuple[str, ...]:
    """The gauge in plain sentences: the figures in both systems, how sure they are, where from."""
    inches = say("{counts} to 4 in", counts=_counts(gauge.per_4in()))
    metric = say("{counts} to 10 cm", counts=_counts(gauge.per_10cm()))
    first, second = (inches, metric) if units is UnitSystem.INCHES else (metric, inches)
    return (
        say("Gauge: {first} ({second}).", first=first, second=second),
        say(
            "Nine times out of ten a width that is planned as {length} comes out within {stitch} % "
            "of it, and a length within {row} %.",
            length=format_length(254.0, units),
            stitch=_within(gauge.wale),
            row=_within(gauge.course),
        ),
        *gauge.words,
    )


def _counts(of: Counts) -> Said:
    stitches, rows = (format_number(c.value, 1) for c in of)
    return say("{stitches} stitches and {rows} rows", stitches=stitches, rows=rows)


def _within(size: Measured) -> str:
    _, high = size.interval(0.9)
    return format_number(100 * (high - size.value) / size.value)
