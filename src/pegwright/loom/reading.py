"""Measuring a board that is there: readings with a tape or rule, and what they tell.

How to read, so that few errors come in: the distance **over n pegs** is read from one peg's left
side to the left side of the nth, so that the pegs' thickness drops out; the longer the distance,
the surer the pitch.  The **gap** is read at both ends.  The **peg's diameter** is read on several
pegs.  Each reading is to the nearest mark of the tape, which is its *resolution*: both ends of a
length are read, so each reading carries √2 of one mark's own standard deviation (step / √12; see
``pegwright.measured.resolution_sd``).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import fmean, stdev

from pegwright.errors import BadInput, Finding, Place, Severity
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured, pooled, resolution_sd
from pegwright.units import format_number, require_positive

__all__ = ["BoardReading", "GapRead", "Readings", "Span", "loom_toml", "read_board"]

_SURE = 2.0  # so many sd part a difference from chance: about nineteen times in twenty
_MOST_SKEW = 0.03
_MOST_UNEVEN = 0.05
_MOST_PITCH_UNEVEN = 0.02
_COARSE = 0.02


class GapRead(StrEnum):
    """Between which points of two facing pegs the gap was read."""

    CENTRES = "centres"
    INSIDE = "inside"  # the clear space between them
    OUTSIDE = "outside"  # over both


@dataclass(frozen=True, slots=True)
class Span:
    """One distance along a row: from the first of ``pegs`` pegs to the last, same side of each."""

    pegs: int
    distance_mm: float

    def __post_init__(self) -> None:
        if isinstance(self.pegs, bool) or self.pegs < 2:
            raise BadInput(
                "a distance along the row takes in two pegs or more",
                given=self.pegs,
                hint="count the pegs from the first to the last, both of them too",
                place=Place(field="over"),
            )
        require_positive(self.distance_mm, "over")

    @property
    def pitch_mm(self) -> float:
        """Centre to centre: there is one space fewer than there are pegs."""
        return self.distance_mm / (self.pegs - 1)


@dataclass(frozen=True, slots=True)
class Readings:
    """What was read on a board; lengths are mm.

    :param pegs: pegs a side.
    :param spans: one or more.
    :param left_gap_mm: gaps read at the left end, one or more; none on a single row.
    :param right_gap_mm: the same at the right end.
    :param diameters_mm: one or more.
    :param resolution_mm: the tape's finest mark.
    :param ends_apart_mm: from the left reading of the gap to the right one; the whole row's length
        where it is left out.
    """

    pegs: int
    spans: tuple[Span, ...]
    diameters_mm: tuple[float, ...]
    resolution_mm: float
    left_gap_mm: tuple[float, ...] = ()
    right_gap_mm: tuple[float, ...] = ()
    gap_read: GapRead = GapRead.CENTRES
    arrangement: Arrangement = Arrangement.OPPOSED
    peg_height_mm: float = 25.4
    ends_apart_mm: float | None = None
    name: str = "measured board"

    @property
    def is_double(self) -> bool:
        """Whether two boards face each other."""
        return self.arrangement in (Arrangement.OPPOSED, Arrangement.OFFSET)

    def __post_init__(self) -> None:
        require_positive(self.resolution_mm, "resolution_mm", hint="the tape's finest mark")
        if not self.spans or not self.diameters_mm:
            raise BadInput(
                "pitch and peg must be measured at least once",
                hint="give a distance over several pegs, and a peg's diameter",
                place=Place(field="over" if not self.spans else "peg_diameter"),
            )
        if self.is_double and not (self.left_gap_mm and self.right_gap_mm):
            raise BadInput(
                "the gap must be measured at both ends",
                hint="measure at the first pair of pegs and at the last",
                place=Place(field="gap"),
            )
        for value in (*self.diameters_mm, *self.left_gap_mm, *self.right_gap_mm):
            require_positive(value, "reading")
        if self.ends_apart_mm is not None:
            require_positive(self.ends_apart_mm, "ends_apart_mm")


@dataclass(frozen=True, slots=True)
class BoardReading:
    """What readings tell of a board; measures are mm with their standard deviations.

    :param gap: in the middle; None on a single row.
    :param skew: gap at the right end less gap at the left; None on a single row.
    :param skew_degrees: the angle between the two rows.
    :param diameter_spread_mm: largest diameter less smallest.
    :param pitch_spread_mm: largest pitch less smallest, of the distances that were read.
    :param fit: nothing was found that a maker must mend first.
    :param loom: the loom to use in a design.
    """

    pitch: Measured
    gap: Measured | None
    diameter: Measured
    skew: Measured | None
    skew_degrees: float
    diameter_spread_mm: float
    pitch_spread_mm: float
    findings: tuple[Finding, ...]
    loom: Loom

    @property
    def fit(self) -> bool:
        """Whether the board can be used as it is."""
        return all(finding.severity is Severity.NOTE for finding in self.findings)

    def as_data(self) -> dict[str, object]:
        """The same as plain data."""
        return {
            "pitch_mm": _measured_data(self.pitch),
            "gap_mm": _measured_data(self.gap),
            "peg_diameter_mm": _measured_data(self.diameter),
            "skew_mm": _measured_data(self.skew),
            "skew_degrees": self.skew_degrees,
            "pitch_spread_mm": self.pitch_spread_mm,
            "peg_diameter_spread_mm": self.diameter_spread_mm,
            "fit": self.fit,
            "findings": [finding.as_data() for finding in self.findings],
            "loom": loom_toml(self.loom),
        }


def _measured_data(value: Measured | None) -> dict[str, float] | None:
    return None if value is None else {"value": value.value, "sd": value.sd}


def read_board(readings: Readings) -> BoardReading:
    """What the readings tell.

    :raises BadInput: for readings that no board can have.
    """
    one = resolution_sd(readings.resolution_mm) * math.sqrt(2)
    pitch = pooled(Measured(s.pitch_mm, one / (s.pegs - 1)) for s in readings.spans)
    diameter = _mean(readings.diameters_mm, one)
    gap, skew = _gap(readings, diameter, one)
    apart = readings.ends_apart_mm or max((readings.pegs - 1) * pitch.value, pitch.value)
    pitches = [s.pitch_mm for s in readings.spans]
    found = (
        *_skew_findings(gap, skew),
        *_peg_findings(readings, diameter, one),
        *_pitch_findings(readings, pitch, one),
        *_tape_findings(pitch, gap),
    )
    loom = Loom(
        readings.arrangement,
        readings.pegs,
        round(pitch.value, 3),
        round(gap.value, 2) if gap else 0.0,
        round(diameter.value, 2),
        readings.peg_height_mm,
        readings.name,
    )
    return BoardReading(
        pitch,
        gap,
        diameter,
        skew,
        math.degrees(math.atan2(skew.value, apart)) if skew else 0.0,
        max(readings.diameters_mm) - min(readings.diameters_mm),
        max(pitches) - min(pitches),
        found,
        loom,
    )


def loom_toml(loom: Loom) -> str:
    """The loom as the table ``[loom]`` of a design file."""
    lines = [
        "[loom]",
        f"name = {_quoted(loom.name)}",
        f'arrangement = "{loom.arrangement.value}"',
        f"pegs = {loom.pegs}",
        f'pitch = "{format_number(loom.pitch_mm, 4)} mm"',
    ]
    if loom.is_double:
        lines.append(f'gap = "{format_number(loom.gap_mm, 4)} mm"')
    lines += [
        f'peg_diameter = "{format_number(loom.peg_diameter_mm, 4)} mm"',
        f'peg_height = "{format_number(loom.peg_height_mm, 4)} mm"',
    ]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    """A TOML basic string."""
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in plain) + '"'


def _mean(values: Sequence[float], one_sd: float) -> Measured:
    """The mean of readings; its sd is no smaller than the tape's own allows."""
    tape = one_sd / math.sqrt(len(values))
    seen = stdev(values) / math.sqrt(len(values)) if len(values) > 1 else 0.0
    return Measured(fmean(values), max(tape, seen))


def _gap(
    readings: Readings, diameter: Measured, one_sd: float
) -> tuple[Measured | None, Measured | None]:
    if not readings.is_double:
        return None, None
    left, right = _mean(readings.left_gap_mm, one_sd), _mean(readings.right_gap_mm, one_sd)
    middle = (left + right).scale(0.5)
    if readings.gap_read is GapRead.INSIDE:
        middle = middle + diameter
    elif readings.gap_read is GapRead.OUTSIDE:
        middle = middle - diameter
    if middle.value <= diameter.value:
        raise BadInput(
            "the gap is no wider than a peg",
            given=f"gap {middle.value:.2f} mm from centre to centre, peg {diameter.value:.2f} mm",
            hint="say whether it was read between the pegs' insides, outsides or centres",
            place=Place(field="gap"),
        )
    return middle, right - left


def _skew_findings(gap: Measured | None, skew: Measured | None) -> tuple[Finding, ...]:
    if gap is None or skew is None or abs(skew.value) <= _SURE * skew.sd:
        return ()
    part = abs(skew.value) / gap.value
    wider = "right" if skew.value > 0 else "left"
    words = f"the gap is {abs(skew.value):.2f} mm wider at the {wider} end: the boards are skew"
    mend = f"take as much out of the spacers at the {wider} end, and measure again"
    weight = Severity.CAUTION if part > _MOST_SKEW else Severity.NOTE
    return (Finding("boards-skew", weight, words, mend),)


def _peg_findings(readings: Readings, diameter: Measured, one_sd: float) -> tuple[Finding, ...]:
    spread = max(readings.diameters_mm) - min(readings.diameters_mm)
    if spread <= max(_MOST_UNEVEN * diameter.value, _SURE * one_sd * math.sqrt(2)):
        return ()
    words = f"the pegs' diameters differ by {spread:.2f} mm"
    mend = "sand the thick ones or replace the thin ones, and measure again"
    return (Finding("pegs-uneven", Severity.CAUTION, words, mend),)


def _pitch_findings(readings: Readings, pitch: Measured, one_sd: float) -> tuple[Finding, ...]:
    off = [
        span
        for span in readings.spans
        if abs(span.pitch_mm - pitch.value)
        > max(_MOST_PITCH_UNEVEN * pitch.value, _SURE * one_sd / (span.pegs - 1))
    ]
    if not off:
        return ()
    words = f"over {off[0].pegs} pegs the pitch is {off[0].pitch_mm:.2f} mm, on the whole"
    words += f" {pitch.value:.2f} mm: the pegs are not evenly spaced"
    mend = "measure this stretch again; if it is so, keep pieces off it or drill the row anew"
    return (Finding("pitch-uneven", Severity.CAUTION, words, mend),)


def _tape_findings(pitch: Measured, gap: Measured | None) -> tuple[Finding, ...]:
    coarse = [
        name
        for name, value in (("pitch", pitch), ("gap", gap))
        if value is not None and value.relative > _COARSE
    ]
    if not coarse:
        return ()
    words = f"the tape is too coarse to know the {' and the '.join(coarse)} to within 2 %"
    mend = "measure over more pegs, measure again, or take a rule with finer marks"
    return (Finding("tape-too-coarse", Severity.NOTE, words, mend),)
