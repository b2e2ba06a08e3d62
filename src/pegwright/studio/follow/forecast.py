"""The forecast at the loom: what the weighings of a making say of its yarns.

A weighing is an event; at which row it was taken follows from the rows that were counted before it.
A yarn may knit several pieces one after another (two mitts, the panels of a blanket): they are then
forecast as one long piece, in the order in which they are knitted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pegwright.errors import BadInput
from pegwright.knitting.operations import Part
from pegwright.library.making import Event, EventKind, merged
from pegwright.measured import Measured
from pegwright.planning.forecast import forecast
from pegwright.planning.promised import prior_for, reserve_for
from pegwright.planning.weighings import ROW_SCATTER, Prior, Weighing
from pegwright.studio.follow.document import Followed, rounds_of, rows_of
from pegwright.units import UnitSystem

__all__ = ["Promise", "YarnForecast", "forecasts", "promises", "rows_at"]


@dataclass(frozen=True, slots=True)
class Promise:
    """What the run promises of a yarn.

    :param pieces: the pieces of the body and their rows, in the order of the work.
    """

    key: str
    label: str
    prior: Prior
    reserve: Measured
    pieces: tuple[tuple[str, int], ...]

    @property
    def rows(self) -> int:
        """Rows of all pieces together."""
        return sum(rows for _, rows in self.pieces)


@dataclass(frozen=True, slots=True)
class YarnForecast:
    """The forecast of one yarn as of its last weighing.

    :param at: when that was; ``row`` is how many rows were done then, of ``rows_total``.
    :param words: the forecast in whole sentences, the advice last; or what is wrong.
    :param rows_left_low: further rows in 9 of 10 makings; None where there is no forecast.
    """

    yarn: str
    label: str
    at: str
    row: int
    rows_total: int
    grams: float
    words: tuple[str, ...]
    advice: str | None = None
    chance: float | None = None
    rows_left_low: int | None = None
    rows_left_high: int | None = None


def promises(work: Followed) -> tuple[Promise, ...]:
    """What the run promises of every yarn that knits rows of the body."""
    script = work.size.plan.script
    pieces: dict[str, int] = {}
    for step in script.steps:
        rows = rows_of(rounds_of(step.work))
        if step.part is Part.BODY and rows:
            pieces[step.piece] = pieces.get(step.piece, 0) + rows
    return tuple(
        Promise(
            yarn.key,
            yarn.label,
            _prior(work, yarn.name, pieces),
            _reserve(work, yarn.name),
            tuple(pieces.items()),
        )
        for yarn in work.document.yarns
        if yarn.forecast
    )


def _prior(work: Followed, name: str, pieces: Mapping[str, int]) -> Prior:
    """One prior for all pieces that a yarn knits, each row's share told beside the first's mean."""
    run, design = work.size.run, work.design
    priors: list[Prior | None] = []
    for piece in pieces:
        try:
            priors.append(prior_for(run, design.yarns, name, design.slack, piece=piece))
        except BadInput:  # it knits nothing of this piece
            priors.append(None)
    first = next(prior for prior in priors if prior is not None)
    mean = first.grams_per_row.value
    shares: list[float] = []
    for prior, rows in zip(priors, pieces.values(), strict=True):
        if prior is None:
            shares += [0.0] * rows
        else:
            shares += [share * prior.grams_per_row.value / mean for share in prior.shares]
    return Prior(first.grams_per_row, ROW_SCATTER, tuple(shares))


def _reserve(work: Followed, name: str) -> Measured:
    yarn = work.design.yarns[name]
    return next((reserve_for(n) for n in work.size.needs if n.yarn == yarn), Measured(0.0))


def rows_at(promise: Promise, events: Iterable[Event], until: Event | None = None) -> int:
    """Rows of the body that were done at a moment: those counted up to the event ``until``."""
    known = merged(events)
    undone = {e.undoes for e in known if e.kind is EventKind.UNDO}
    counted: dict[str, int] = {}
    for event in known:
        if event == until:
            break
        if event.kind is EventKind.ROW and event.id not in undone:
            counted[event.piece] = counted.get(event.piece, 0) + event.rows
    return sum(min(max(counted.get(name, 0), 0), rows) for name, rows in promise.pieces)


def forecasts(
    known: Iterable[Promise],
    events: Iterable[Event],
    *,
    units: UnitSystem,
    scale_g: Mapping[str, float],
) -> tuple[YarnForecast, ...]:
    """A forecast for every yarn that was weighed.

    :param scale_g: what the maker's scale reads to, by the yarn's key; 1 g otherwise.
    """
    every = merged(events)
    undone = {e.undoes for e in every if e.kind is EventKind.UNDO}
    weighed = [e for e in every if e.kind is EventKind.WEIGH and e.id not in undone]
    found = []
    for promise in known:
        own = [event for event in weighed if event.yarn == promise.key]
        if own:
            found.append(_one(promise, own, every, units, scale_g.get(promise.key, 1.0)))
    return tuple(found)


def _one(
    promise: Promise, own: list[Event], every: tuple[Event, ...], units: UnitSystem, scale_g: float
) -> YarnForecast:

    last = own[-1]
    weighings = [Weighing(rows_at(promise, every, event), event.grams) for event in own]
    head = (
        promise.key,
        promise.label,
        last.at,
        weighings[-1].row,
        promise.rows,
        last.grams,
    )
    try:
        seen = forecast(promise.prior, weighings, promise.rows, promise.reserve, scale_g=scale_g)
    except BadInput as refused:
        return YarnForecast(
            *head,
            (
                f"{refused.what[:1].upper()}{refused.what[1:]}.",
                *((f"{refused.hint[:1].upper()}{refused.hint[1:]}.",) if refused.hint else ()),
            ),
        )
    low, high = seen.rows_left_interval
    surprises = tuple(f"{f.what[:1].upper()}{f.what[1:]}: {f.mend}." for f in seen.findings)
    return YarnForecast(
        *head,
        words=(*surprises, *seen.words(units)),
        advice=str(seen.switch.advice),
        chance=seen.chance_of_finishing,
        rows_left_low=int(low),
        rows_left_high=int(high),
    )
