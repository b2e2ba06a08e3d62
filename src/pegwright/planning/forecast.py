"""The forecast while knitting: will this yarn reach, and where to change to another.

A maker weighs the yarn that is left as rows are done.  The run has promised how many grams a row
takes (:mod:`pegwright.planning.promised`); each weighing corrects that for her own hands, yarn and
scale, and the forecast narrows.  How the weighings are weighed up is told in
:mod:`pegwright.planning.weighings`.

A **chance** is the probability, given the model and its assumptions; an **interval** holds the true
value in so many of 100 makings.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist

from pegwright.errors import BadInput, Finding, Place, Severity, Spot
from pegwright.measured import Measured
from pegwright.planning.weighings import (
    MOISTURE_PART,
    MOST_ROWS,
    Level,
    Prior,
    Scale,
    Weighing,
    check_weighings,
    posterior,
)
from pegwright.units import UnitSystem, format_mass, format_number, require_zero_or_more
from pegwright.yarn.telling import chance_words, counted, measured_data

__all__ = [
    "COVERAGE",
    "SWITCH_CONFIDENCE",
    "Advice",
    "Forecast",
    "Prior",
    "Switch",
    "Weighing",
    "forecast",
    "narrowing",
]

COVERAGE = 0.9
"""Intervals hold the true value nine times out of ten."""

SWITCH_CONFIDENCE = 0.95
"""A row counts as sure when its chance of being finished is at least this."""

_SURPRISE_SDS = 4.0
"""A reading so many standard deviations from what was expected is worth a second look."""

_NORMAL = NormalDist()


class Advice(StrEnum):
    """What to do about the yarn."""

    KEEP_GOING = "keep going"  # it reaches to the end
    CHANGE_LATER = "change later"  # at a row still to come
    CHANGE_NOW = "change now"  # not one more row is sure
    RESERVE_AT_RISK = "reserve at risk"  # what is left may not do for cord, seam and tails


@dataclass(frozen=True, slots=True)
class Switch:
    """When to change to another yarn.

    :param row: the last row that can be finished with confidence, the reserve kept; None where the
        reserve itself is not sure.
    :param row_without_reserve: the same where cord, seam and tails come from other yarn.
    """

    advice: Advice
    row: int | None
    row_without_reserve: int
    confidence: float = SWITCH_CONFIDENCE


@dataclass(frozen=True, slots=True)
class Forecast:
    """What the yarn will do, from the last weighing on.

    :param row: rows done at the last weighing, of ``rows_total``.
    :param left: grams left then, all readings taken together.
    :param promised_per_row: grams per row before any weighing; ``grams_per_row`` after all.
    :param scatter: how far single rows lie from the mean row, as a part of it.
    :param needed: grams for the rows still to knit, the reserve not counted.
    :param reserve: grams to keep for cord, seam and tails.
    :param rows_left: further rows that the yarn can knit with the reserve kept; the interval is the
        better guide, since its sides are seldom equal.
    :param grams_at_end: what is left when all rows are knitted and the reserve is used; below zero
        is what is missing.
    :param chance_of_finishing: that all rows can be knitted and the reserve is there.
    :param findings: readings that are hard to believe.
    """

    row: int
    rows_total: int
    left: Measured
    promised_per_row: Measured
    grams_per_row: Measured
    scatter: float
    needed: Measured
    reserve: Measured
    rows_left: Measured
    rows_left_interval: tuple[float, float]
    grams_at_end: Measured
    grams_at_end_interval: tuple[float, float]
    chance_of_finishing: float
    switch: Switch
    findings: tuple[Finding, ...] = ()
    coverage: float = COVERAGE

    @property
    def rows_to_come(self) -> int:
        """Rows still to knit."""
        return self.rows_total - self.row

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """The forecast in whole sentences, the advice last."""
        return (*_state_words(self, units), *_outlook_words(self, units), _advice(self))

    def as_data(self) -> dict[str, object]:
        """The forecast as plain data for JSON; grams and rows."""
        return {
            "row": self.row,
            "rows_total": self.rows_total,
            "rows_to_come": self.rows_to_come,
            "left_g": measured_data(self.left),
            "promised_grams_per_row": measured_data(self.promised_per_row),
            "grams_per_row": measured_data(self.grams_per_row),
            "scatter": self.scatter,
            "needed_g": measured_data(self.needed),
            "reserve_g": measured_data(self.reserve),
            "rows_left": _data(self.rows_left, self.rows_left_interval),
            "grams_at_end": _data(self.grams_at_end, self.grams_at_end_interval),
            "coverage": self.coverage,
            "chance_of_finishing": self.chance_of_finishing,
            "advice": str(self.switch.advice),
            "switch_row": self.switch.row,
            "switch_row_without_reserve": self.switch.row_without_reserve,
            "switch_confidence": self.switch.confidence,
            "findings": [finding.as_data() for finding in self.findings],
        }


# --- the forecast --------------------------------------------------------------------------------


def forecast(
    prior: Prior,
    weighings: Sequence[Weighing],
    rows_total: int,
    reserve_g: Measured | float = 0.0,
    *,
    scale_g: float = 1.0,
    moisture_part: float = MOISTURE_PART,
    confidence: float = SWITCH_CONFIDENCE,
) -> Forecast:
    """The forecast from all weighings so far, the first of which may be at any row.

    :param weighings: in the order of rows.  One alone leaves the grams per row as promised.
    :param rows_total: rows of the whole piece, the cast-on not counted.
    :param reserve_g: grams to keep for cord, seam and tails.
    :param scale_g: what the scale reads to, such as 1 or 5 g.
    :param confidence: a row counts as sure from this chance on.
    :raises BadInput: for weighings, rows or numbers that cannot be; an entry is named.
    """
    scale = Scale(scale_g, moisture_part)
    reserve = reserve_g if isinstance(reserve_g, Measured) else Measured(reserve_g)
    _check(prior, rows_total, reserve, confidence)
    check_weighings(weighings, rows_total, scale)
    levels = posterior(prior, weighings, scale)
    row = weighings[-1].row
    to_come = prior.amount(row, rows_total)

    def reaches(amount: float, kept: Measured = reserve) -> float:
        """The chance that so many more mean rows can be knitted and the reserve is kept."""
        return _chance_above_zero(levels, amount, kept)

    rows_left = [
        prior.rows(row, _last(reaches, chance))
        for chance in (0.5, (1 + COVERAGE) / 2, (1 - COVERAGE) / 2)
    ]
    middle, low, high = rows_left
    spread = (high - low) / (2 * _NORMAL.inv_cdf((1 + COVERAGE) / 2))
    return Forecast(
        row=row,
        rows_total=rows_total,
        left=_moments(levels, [(v.left_g, math.sqrt(v.left_var)) for v in levels]),
        promised_per_row=prior.grams_per_row,
        grams_per_row=_moments(levels, [(v.row_g, math.sqrt(v.row_var)) for v in levels]),
        scatter=math.fsum(v.weight * v.scatter_g for v in levels) / prior.grams_per_row.value,
        needed=_moments(levels, [_needed(v, to_come) for v in levels]),
        reserve=reserve,
        rows_left=Measured(middle, spread),
        rows_left_interval=(low, high),
        grams_at_end=_moments(levels, [v.after(to_come, reserve) for v in levels]),
        grams_at_end_interval=_interval(levels, to_come, reserve),
        chance_of_finishing=reaches(to_come),
        switch=_switch(prior, row, rows_total, reserve, levels, confidence),
        findings=_surprises(levels, weighings),
    )


def narrowing(
    prior: Prior,
    weighings: Sequence[Weighing],
    rows_total: int,
    reserve_g: Measured | float = 0.0,
    *,
    scale_g: float = 1.0,
    moisture_part: float = MOISTURE_PART,
) -> tuple[Forecast, ...]:
    """The forecast as it stood after each weighing, the first one first."""
    return tuple(
        forecast(
            prior,
            weighings[: n + 1],
            rows_total,
            reserve_g,
            scale_g=scale_g,
            moisture_part=moisture_part,
        )
        for n in range(len(weighings))
    )


def _check(prior: Prior, rows_total: int, reserve: Measured, confidence: float) -> None:
    if not 1 <= rows_total <= MOST_ROWS:
        raise BadInput(
            f"a piece has between 1 and {MOST_ROWS:,} rows",
            given=rows_total,
            hint="count the rows of the whole piece, the cast-on not among them",
            place=Place(field="rows_total"),
        )
    if prior.shares and len(prior.shares) != rows_total:
        raise BadInput(
            "the run has another number of rows than the piece",
            given=f"{rows_total} rows, the run {len(prior.shares)}",
            hint="use the rows of the run, or run the design anew",
            place=Place(field="rows_total"),
        )
    require_zero_or_more(reserve.value, "reserve_g")
    if not 0.5 <= confidence < 1:
        raise BadInput(
            "the confidence lies between 0.5 and 1",
            given=confidence,
            hint="use 0.95",
            place=Place(field="confidence"),
        )


def _chance_above_zero(levels: tuple[Level, ...], amount: float, reserve: Measured) -> float:
    chance = 0.0
    for level in levels:
        mean, sd = level.after(amount, reserve)
        above = _NORMAL.cdf(mean / sd) if sd > 0 else float(mean >= 0)
        chance += level.weight * above
    return min(chance, 1.0)


def _last(reaches: Callable[[float], float], chance: float) -> float:
    """The most mean rows that are reached with this chance; none where the reserve is not."""
    if reaches(0.0) < chance:
        return 0.0
    low, high = 0.0, 1.0
    while reaches(high) >= chance:
        low, high = high, 2 * high
        if low > MOST_ROWS:
            return float(MOST_ROWS)
    while high - low > 1e-6 * (1 + low):
        middle = (low + high) / 2
        low, high = (middle, high) if reaches(middle) >= chance else (low, middle)
    return low


def _interval(
    levels: tuple[Level, ...], amount: float, reserve: Measured, coverage: float = COVERAGE
) -> tuple[float, float]:
    """The bounds of the grams left after so many mean rows: quantiles of the levels together."""
    parts = [level.after(amount, reserve) for level in levels]
    reach = _NORMAL.inv_cdf((1 + coverage) / 2)
    lowest = min(mean - reach * sd for mean, sd in parts)
    highest = max(mean + reach * sd for mean, sd in parts)

    def quantile(part: float) -> float:
        low, high = lowest, highest
        while high - low > 1e-6 * (1 + abs(low)):
            middle = (low + high) / 2
            below = 1 - _chance_above_zero(levels, amount, reserve + middle)
            low, high = (middle, high) if below < part else (low, middle)
        return (low + high) / 2

    return quantile((1 - coverage) / 2), quantile((1 + coverage) / 2)


def _needed(level: Level, amount: float) -> tuple[float, float]:
    sd = math.sqrt(amount**2 * level.row_var + amount * level.scatter_g**2)
    return amount * level.row_g, sd


def _moments(levels: tuple[Level, ...], parts: list[tuple[float, float]]) -> Measured:
    """Mean and sd of all levels together."""
    pairs = list(zip((level.weight for level in levels), parts, strict=True))
    mean = math.fsum(weight * value for weight, (value, _) in pairs)
    variance = math.fsum(weight * (sd**2 + (value - mean) ** 2) for weight, (value, sd) in pairs)
    return Measured(mean, math.sqrt(variance))


def _switch(
    prior: Prior,
    row: int,
    rows_total: int,
    reserve: Measured,
    levels: tuple[Level, ...],
    confidence: float,
) -> Switch:
    def last_sure(kept: Measured) -> int | None:
        """The last row that is reached with confidence; None where not even this one is."""

        def sure(at: int) -> bool:
            return _chance_above_zero(levels, prior.amount(row, at), kept) >= confidence

        if not sure(row):
            return None
        low, high = row, rows_total
        while low < high:
            middle = (low + high + 1) // 2
            low, high = (middle, high) if sure(middle) else (low, middle - 1)
        return low

    with_reserve, without = last_sure(reserve), last_sure(Measured(0.0))
    if with_reserve is None:
        advice = Advice.RESERVE_AT_RISK
    elif with_reserve == rows_total:
        advice = Advice.KEEP_GOING
    else:
        advice = Advice.CHANGE_NOW if with_reserve == row else Advice.CHANGE_LATER
    return Switch(advice, with_reserve, row if without is None else without, confidence)


def _surprises(levels: tuple[Level, ...], weighings: Sequence[Weighing]) -> tuple[Finding, ...]:
    """A caution where even the widest scatter does not explain a reading."""
    distance, number = min(level.surprise for level in levels)
    if distance <= _SURPRISE_SDS:
        return ()
    odd = weighings[number - 1]
    return (
        Finding(
            "weighing-hard-to-believe",
            Severity.CAUTION,
            f"weighing {number} (row {odd.row}, {odd.left_g:g} g) is far from what the run and the "
            "weighings before it lead one to expect",
            "count the rows and weigh again; see that it is this yarn, on this board, and all of "
            "it that is left",
            Spot(row=odd.row),
        ),
    )


# --- words ---------------------------------------------------------------------------------------


def _state_words(found: Forecast, units: UnitSystem) -> tuple[str, ...]:
    promised, now = found.promised_per_row, found.grams_per_row
    learnt = f"The run promised {_per_row(promised)} a row"
    if now.sd < promised.sd or now.value != promised.value:
        learnt += f"; with your weighings it is {_per_row(now)}"
    return (
        f"{counted(found.row, 'row')} of {found.rows_total} done, "
        f"{format_mass(max(found.left.value, 0.0), units)} left.",
        f"{learnt}.",
    )


def _outlook_words(found: Forecast, units: UnitSystem) -> tuple[str, ...]:
    if not found.rows_to_come:
        return _ending_words(found, units)
    low, high = (math.floor(bound) for bound in found.rows_left_interval)
    span = counted(low, "row") if low == high else f"between {low} and {counted(high, 'row')}"
    kept = ""
    if found.reserve.value > 0:
        kept = f", with {format_mass(found.reserve.value, units)} kept for cord, seam and tails"
    in_100 = format_number(100 * found.coverage)
    end = found.grams_at_end.value
    at_end = f"About {format_mass(abs(end), units)} will be {'left' if end >= 0 else 'missing'}."
    return (
        f"The yarn does for {span} more in {in_100} of 100 makings{kept}; "
        f"{counted(found.rows_to_come, 'row is', 'rows are')} to come.",
        f"It reaches to the end {chance_words(found.chance_of_finishing)}.",
        at_end,
    )


def _ending_words(found: Forecast, units: UnitSystem) -> tuple[str, ...]:
    if found.reserve.value == 0:
        return ()
    return (
        f"Cord, seam and tails want {format_mass(found.reserve.value, units)}, and it is there "
        f"{chance_words(found.chance_of_finishing)}.",
    )


def _advice(found: Forecast) -> str:
    switch = found.switch
    sure = f"{format_number(100 * switch.confidence)} in 100"
    if switch.advice is Advice.KEEP_GOING:
        return "Keep going." if found.rows_to_come else "All rows are done."
    if switch.advice is Advice.CHANGE_LATER:
        text = f"Row {switch.row} is the last that is sure ({sure}): change to another yarn there"
    elif switch.advice is Advice.CHANGE_NOW:
        text = f"Not one more row is sure ({sure}): change to another yarn now"
    else:
        return (
            f"What is left may not do for cord, seam and tails ({sure} is not reached): have more "
            "of this yarn, or keep other yarn for them."
        )
    if found.reserve.value > 0 and switch.row_without_reserve != switch.row:
        text += (
            f", or after row {switch.row_without_reserve} if cord, seam and tails are to come from "
            "other yarn"
        )
    return f"{text}."


def _per_row(grams: Measured) -> str:
    places = min(max(0, -math.floor(math.log10(grams.sd))), 3) if grams.sd > 0 else 3
    return f"{format_number(grams.value, places)} ± {format_number(grams.sd, places)} g"


def _data(found: Measured, interval: tuple[float, float]) -> dict[str, float]:
    return {"value": found.value, "sd": found.sd, "low": interval[0], "high": interval[1]}
