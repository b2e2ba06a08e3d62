"""What testers' answers teach a design: swatches, slack and pace, as lines for its file.

* A finished piece is a large **swatch**: each measure that is so many stitches or rows tells their
  size, by least squares over the tester's own readings, and each tester's piece counts once.  Where
  she measured her piece in one direction only, her swatch counts in its place.
* **Slack** is what a piece drew round the pegs over the same way drawn taut: the grams that went,
  as metres, less what is drawn beside the wraps.
* **Pace** is loops over minutes at the loom.

Slack and pace are hands', so they are pooled as :mod:`pegwright.testknit.hands` tells.  Figures of
a tester on another board, or with another yarn, teach neither gauge nor slack.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from pegwright.designs.model import Costing, Design
from pegwright.designs.writer import length_text, table_text
from pegwright.errors import Finding, Severity, Spot
from pegwright.gauge.fabric_gauge import TAPE_SD_MM, Gauge, Swatch
from pegwright.loom.wrap_test import LEAST_SLACK, MOST_SLACK
from pegwright.making import design_gauge
from pegwright.measured import Measured, resolution_sd
from pegwright.planning.needs import BESIDE_RELATIVE_SD
from pegwright.testknit.answers import Answers
from pegwright.testknit.basis import Axis, Basis, weighed_sd_g
from pegwright.testknit.compare import TesterResult
from pegwright.testknit.hands import Hands, hands
from pegwright.units import UnitSystem, format_number

__all__ = ["Learned", "LearnedTable", "learn", "piece_swatch", "slack_of"]

_CLOCK_MIN = 5.0
"""Time at the loom is noted to five minutes (an assumption, no source)."""

_FINE_MM = 0.1


@dataclass(frozen=True, slots=True)
class LearnedTable:
    """Lines of the design file.

    :param group: the group that they belong to; ``is_row`` where they are a new row of it.
    """

    group: str
    is_row: bool
    lines: Mapping[str, str | int | float | bool]


@dataclass(frozen=True, slots=True)
class Learned:
    """What the answers teach.

    :param swatches: one a tester at most; to be added to the design's.
    :param slack: None where no piece was weighed.
    :param pace: loops a minute; None where nobody timed.
    :param gauge: the design's gauge with swatches and slack as they are learned here.
    :param findings: figures that could not be used.
    """

    swatches: tuple[Swatch, ...]
    slack: Hands | None
    pace: Hands | None
    gauge: Gauge
    design: Design
    findings: tuple[Finding, ...]

    def toml(self) -> str:
        """Lines for the design file; "" where nothing was learned."""
        return "\n".join(table_text(_heading(table), table.lines) for table in self.tables())

    def tables(self) -> tuple[LearnedTable, ...]:
        """The same lines, group by group."""
        return tuple(_tables(self))

    def taught_before(self, before: Design) -> tuple[str, ...]:
        """Notes of those swatches that the design has already: taken in again, they count twice."""
        known = {swatch.note for swatch in before.swatches}
        return tuple(swatch.note for swatch in self.swatches if swatch.note in known)


def learn(basis: Basis, results: Sequence[TesterResult]) -> Learned:
    """What testers' answers teach the design."""
    design = basis.made.design
    taught = [r.answers for r in results if r.on_board]
    swatches = tuple(s for a in taught if (s := _swatch(basis, a)) is not None)
    slacks, shared, findings = _slacks(basis, taught)
    slack = hands(design.slack, slacks, shared) if slacks else None
    paces = [_pace(basis, r.answers, r.answers.knitting_min) for r in results
             if r.answers.knitting_min is not None]  # fmt: skip
    pace = hands(basis.pace, paces) if paces else None
    after = replace(design, swatches=(*design.swatches, *swatches))
    if slack is not None:
        after = replace(after, slack=_rounded(slack.next))
    if pace is not None:
        own = design.costing or Costing()
        after = replace(after, costing=replace(own, loops_per_minute=round(pace.mean.value, 1)))
    return Learned(swatches, slack, pace, design_gauge(after)[0], after, findings)


def _rounded(slack: Measured) -> Measured:
    """The slack as it is written; kept within what a design file takes."""
    value = min(max(slack.value, LEAST_SLACK), MOST_SLACK)
    return Measured(round(value, 3), round(min(slack.sd, 1.0), 3))


# --- the gauge -----------------------------------------------------------------------------------


def _swatch(basis: Basis, answers: Answers) -> Swatch | None:
    """Her piece as a swatch, or else her swatch."""
    whole = piece_swatch(basis, answers)
    if whole is not None or answers.swatch is None:
        return whole
    return replace(answers.swatch, note=f"test knit: {answers.tester}'s swatch")


def piece_swatch(basis: Basis, answers: Answers) -> Swatch | None:
    """A tester's finished piece as a swatch; None where she measured it in one direction only."""
    multiples = basis.sizes[answers.size].multiples
    read: dict[Axis, list[tuple[float, float]]] = {Axis.WALE: [], Axis.COURSE: []}
    for name, mm in _readings(answers):
        multiple = multiples.get(name)
        if multiple is not None:
            read[multiple.axis].append((multiple.count, mm))
    if not all(read.values()):
        return None
    stitches, width = _least_squares(read[Axis.WALE])
    rows, length = _least_squares(read[Axis.COURSE])
    note = f"test knit: {answers.tester}, size {answers.size}"
    return Swatch(stitches, width, rows, length, washed=bool(answers.washed), note=note)


def _readings(answers: Answers) -> Iterator[tuple[str, float]]:
    yield from (answers.measures_mm or {}).items()
    for piece in answers.pieces:
        if piece.width_mm is not None:
            yield f"{piece.name} width", piece.width_mm
        if piece.length_mm is not None:
            yield f"{piece.name} length", piece.length_mm


def _least_squares(read: Sequence[tuple[float, float]]) -> tuple[int, Measured]:
    """A whole count, and how long it is, from readings of several counts with one tape.

    The size u of one stitch that makes the sum of (mm - count u)² least is the sum of count mm over
    the sum of count²; its variance is the tape's over the latter (textbook least squares).  Both
    are rounded to what is written in the file.
    """
    squares = math.fsum(count * count for count, _ in read)
    unit = math.fsum(count * mm for count, mm in read) / squares
    whole = max(1, round(max(count for count, _ in read)))
    sd = TAPE_SD_MM / math.sqrt(squares) * whole
    return whole, Measured(_to(unit * whole, _FINE_MM), max(_to(sd, _FINE_MM), _FINE_MM))


def _to(value: float, step: float) -> float:
    return round(round(value / step) * step, 6)


# --- slack and pace ------------------------------------------------------------------------------


def slack_of(basis: Basis, answers: Answers) -> tuple[Measured, float] | None:
    """A tester's slack with her own error, and the error that the ball bands bring for everyone.

    :returns: None where no yarn of the design was weighed.
    """
    design, shares = basis.made.design, basis.sizes[answers.size].shares
    used = [yarn for yarn in answers.yarns if not yarn.instead]
    wrapped_m = math.fsum(shares[yarn.name].wrapped_m for yarn in used)
    if not wrapped_m:
        return None
    beside_m = math.fsum(shares[yarn.name].beside_m for yarn in used)
    metres, scale_m, band_m = [], [], []
    for yarn in used:
        band = design.yarns[yarn.name].grist
        metres.append(yarn.used_g * band.value / 100)
        scale_m.append(weighed_sd_g(answers.scale_g) * band.value / 100)
        band_m.append(metres[-1] * band.relative)
    slack = (math.fsum(metres) - beside_m) / wrapped_m
    own = math.hypot(*scale_m, BESIDE_RELATIVE_SD * beside_m) / wrapped_m
    return Measured(slack, own), math.hypot(*band_m) / wrapped_m


def _slacks(
    basis: Basis, taught: Sequence[Answers]
) -> tuple[list[Measured], float, tuple[Finding, ...]]:
    """Every tester's slack, the largest part of it that all have in common, and what was left."""
    found: list[Measured] = []
    shared = [0.0]
    findings = []
    for answers in taught:
        read = slack_of(basis, answers)
        if read is None:
            continue
        slack, band = read
        if LEAST_SLACK <= slack.value <= MOST_SLACK:
            found.append(slack)
            shared.append(band / slack.value)
        else:
            findings.append(_unbelievable(answers, slack.value))
    return found, max(shared), tuple(findings)


def _unbelievable(answers: Answers, slack: float) -> Finding:
    return Finding(
        "slack-out-of-range",
        Severity.CAUTION,
        f"{answers.tester}'s yarn would mean a slack of {format_number(slack, 2)}, which no hand"
        " draws; it is left out.",
        "Ask her to weigh again: all of the yarn before, and all that was left, without bands.",
        Spot(size=answers.size),
    )


def _pace(basis: Basis, answers: Answers, minutes: float) -> Measured:
    pace = basis.sizes[answers.size].sheet.loops / minutes
    return Measured(pace, pace * resolution_sd(_CLOCK_MIN) / minutes)


# --- lines for the design file -------------------------------------------------------------------


def _heading(table: LearnedTable) -> str:
    return f"[[{table.group}]]" if table.is_row else f"[{table.group}]"


def _tables(learned: Learned) -> Iterator[LearnedTable]:
    design, units = learned.design, learned.design.units
    if learned.slack is not None:
        slack = design.slack
        yield LearnedTable("loom", False, {"slack": slack.value, "slack_sd": slack.sd})
    if learned.pace is not None and design.costing is not None:
        yield LearnedTable("cost", False, {"pace": design.costing.loops_per_minute or 0.0})
    for swatch in learned.swatches:
        yield LearnedTable("swatches", True, _swatch_lines(swatch, units))


def _swatch_lines(swatch: Swatch, units: UnitSystem) -> Mapping[str, str | int | bool]:
    lines: dict[str, str | int | bool] = {
        "stitches": swatch.stitches,
        "width": length_text(swatch.width.value, units),
        "rows": swatch.rows,
        "length": length_text(swatch.length.value, units),
        "washed": swatch.washed,
        "note": swatch.note,
    }
    if swatch.width.sd:
        lines["width_sd"] = length_text(swatch.width.sd, units)
    if swatch.length.sd:
        lines["length_sd"] = length_text(swatch.length.sd, units)
    return lines
