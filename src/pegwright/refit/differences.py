"""What a refit changes, side by side: counts, finished sizes, yarn, and the board itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from pegwright.making import Made
from pegwright.measured import Measured, total
from pegwright.pattern.source import ProvedSize
from pegwright.refit.reader import nearest_size
from pegwright.units import UnitSystem, format_both, format_mass, format_number, format_yarn_length

__all__ = ["Difference", "differences"]

_COVERAGE = 0.9  # the words say: 9 in 10

_Read = Callable[[ProvedSize], Measured | float | None]


@dataclass(frozen=True, slots=True)
class Difference:
    """One figure before and after.

    :param name: what it is, such as ``finished depth``; ``size`` is "" for what all sizes share.
    :param unit: of both figures: ``mm``, ``m``, ``g``, or "" for a count.
    :param before: None where the original has no such figure; ``after`` likewise.
    :param was: the figure before as the maker reads it; ``now`` the one after.
    :param interval: how far the one after may be off, in words; "" where it is sure.
    """

    name: str
    size: str
    unit: str
    before: float | None
    after: float | None
    was: str
    now: str
    interval: str = ""

    @property
    def words(self) -> str:
        """Both as the maker reads them, with the interval of what is not sure."""
        return "; ".join(part for part in (f"{self.was} → {self.now}", self.interval) if part)

    @property
    def same(self) -> bool:
        """Whether nothing changed."""
        return self.before == self.after


@dataclass(frozen=True, slots=True)
class _Figure:
    """A figure to be compared: where it is read, and how it is written."""

    name: str
    unit: str
    read: _Read
    write: Callable[[float], str]


def differences(before: Made, after: Made) -> tuple[Difference, ...]:
    """Every figure of ``after`` beside that of ``before``.

    A size is held against the one of its name, or else against the one for the nearest body.
    """
    units = after.design.units
    rows = list(_board(before, after, units))
    by_name = {size.name: size for size in before.sizes}
    for size in after.sizes:
        was = by_name.get(size.name)
        if was is None and by_name:
            near = nearest_size(before.design, size.measures).name
            was = by_name.get(near)
        rows += [_row(figure, size.name, was, size) for figure in _figures(size, units)]
    return tuple(rows)


def _figures(size: ProvedSize, units: UnitSystem) -> Iterator[_Figure]:
    for piece in size.plan.pieces:
        yield _Figure(f"{piece.name} pegs", "", _count(piece.name, "columns"), format_number)
        yield _Figure(f"{piece.name} rows", "", _count(piece.name, "rows"), format_number)
    for name in size.plan.finished:
        yield _Figure(f"finished {name}", "mm", _finished(name), lambda mm: format_both(mm, units))
    yield _Figure("yarn", "m", _metres, lambda m: format_yarn_length(m, units))
    yield _Figure("weight", "g", _grams, lambda g: format_mass(g, units))
    yield _Figure("balls", "", lambda s: float(sum(n.balls for n in s.needs)), format_number)


def _count(piece: str, what: str) -> _Read:
    def read(size: ProvedSize) -> float | None:
        found = next((p for p in size.plan.pieces if p.name == piece), None)
        return None if found is None else float(getattr(found, what))

    return read


def _finished(name: str) -> _Read:
    return lambda size: size.plan.finished.get(name)


def _metres(size: ProvedSize) -> Measured:
    return total((need.metres for need in size.needs), shared_error=True)


def _grams(size: ProvedSize) -> Measured:
    return total((need.grams for need in size.needs), shared_error=True)


def _row(figure: _Figure, size: str, was: ProvedSize | None, now: ProvedSize) -> Difference:
    before = _value(figure.read(was)) if was is not None else None
    found = figure.read(now)
    after = _value(found)
    interval = ""
    if isinstance(found, Measured) and found.sd > 0:
        low, high = found.interval(_COVERAGE)
        interval = f"9 in 10 come out from {figure.write(max(low, 0.0))} to {figure.write(high)}"
    said = (_said(before, figure.write), _said(after, figure.write))
    return Difference(figure.name, size, figure.unit, before, after, *said, interval)


def _board(before: Made, after: Made, units: UnitSystem) -> Iterator[Difference]:
    """What all sizes share: the board and its wrap test, and the gauge."""

    def length(mm: float) -> str:
        return format_both(mm, units, denominator=32)

    def rate(count: float) -> str:
        return format_number(count, 1)

    one, other = before.design.loom, after.design.loom
    yield _shared("pegs of the board", "", one.pegs, other.pegs, format_number)
    yield _shared("pitch", "mm", one.pitch_mm, other.pitch_mm, length)
    yield _shared("gap", "mm", one.gap_mm or None, other.gap_mm or None, length)
    tests = (before.wrap_test, after.wrap_test)
    if tests[0] and tests[1] and tests[0].columns == tests[1].columns:
        drawn = (tests[0].reading.length_mm, tests[1].reading.length_mm)
        yield _shared(f"wrap test over {tests[0].columns} pegs", "mm", drawn[0], drawn[1], length)
    loops = [m.loop_mm * m.design.slack.value for m in (before, after)]
    yield _shared("yarn in a loop", "mm", loops[0], loops[1], length)
    was, now = before.gauge.per_10cm(), after.gauge.per_10cm()
    yield _shared("stitches to 10 cm", "", was.stitches.value, now.stitches.value, rate)
    yield _shared("rows to 10 cm", "", was.rows.value, now.rows.value, rate)


def _shared(
    name: str, unit: str, before: float | None, after: float | None, write: Callable[[float], str]
) -> Difference:
    return Difference(name, "", unit, before, after, _said(before, write), _said(after, write))


def _said(value: float | None, write: Callable[[float], str]) -> str:
    return "–" if value is None else write(value)


def _value(figure: Measured | float | None) -> float | None:
    return figure.value if isinstance(figure, Measured) else figure
