"""Bodies: one way to ask every published table, and a maker's own people before any of them.

:func:`lookup` gives a measurement of somebody: of a person who was measured, else of children of an
age or of grown people from a published table, with how people differ.  Only heads are in published
tables here; everything else must be measured, and :func:`what_to_measure` says how.

The craft trade's chart of hat sizes is listed as well (:data:`HAT_CHART`), but no lookup ever
answers from it: a hat size is not a head (see :mod:`pegwright.sizing.hats`).

What leads from a body to a piece stands in :mod:`pegwright.sizing.allowances`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from pegwright.errors import BadInput, NotPossible, Place
from pegwright.measured import Measured
from pegwright.sizing.cdc_heads import cdc_head
from pegwright.sizing.hats import HAT_SIZES
from pegwright.sizing.heads import (
    OLDEST_MONTHS,
    HeadSize,
    Mark,
    Sex,
    adult_head,
    head_for_age,
    part_up_to,
    percentile,
)
from pegwright.sizing.people import MEASUREMENTS, Person, measurement
from pegwright.units import UnitSystem, format_both, require_finite, require_positive

__all__ = [
    "BODY_TABLES",
    "GROWN_MONTHS",
    "HAT_CHART",
    "BodyEntry",
    "BodySize",
    "BodyTable",
    "ChildTable",
    "TableMark",
    "lookup",
    "what_to_measure",
]

GROWN_MONTHS = 216.0
"""From 18 years on the table of grown people is taken (common practice, no source)."""

_PRACTICE = "common practice, no source"


class ChildTable(StrEnum):
    """Which published table children are looked up in."""

    WHO = "who"  # the World Health Organization's standards, to five years
    CDC = "cdc"  # the United States' growth charts, to three years


class TableMark(StrEnum):
    """How well a figure is vouched for."""

    READ = Mark.READ.value
    MEMORY = Mark.MEMORY.value
    TRADE = _PRACTICE
    OWN = "measured by the maker"


# --- tables --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class BodyEntry:
    """One line of a table.

    :param size: mm; its sd tells how people differ, 0 where the table does not say.
    :param age_months: completed months, None for grown people and hat sizes.
    """

    name: str
    size: Measured
    age_months: float | None = None
    sex: Sex | None = None


@dataclass(frozen=True, slots=True)
class BodyTable:
    """A table as it was published.

    :param measure: what its entries are, by the name that :func:`lookup` takes.
    """

    name: str
    measure: str
    source: str
    mark: TableMark
    entries: tuple[BodyEntry, ...]

    def as_data(self) -> dict[str, object]:
        """The table as plain data for JSON, lengths in mm."""
        return {
            "name": self.name,
            "measure": self.measure,
            "source": self.source,
            "mark": str(self.mark),
            "entries": [
                {
                    "name": entry.name,
                    "mm": entry.size.value,
                    "sd_mm": entry.size.sd or None,
                    "age_months": entry.age_months,
                    "sex": entry.sex and str(entry.sex),
                }
                for entry in self.entries
            ],
        }


def _entry(head: HeadSize, sex: Sex, age_months: float | None = None) -> BodyEntry:
    return BodyEntry(head.name, head.circumference, age_months, sex)


def _table(name: str, like: HeadSize, entries: tuple[BodyEntry, ...]) -> BodyTable:
    return BodyTable(name, "head", like.source, TableMark(like.mark.value), entries)


_MONTHS = (0, 3, 6, 12, 18, 24, 36, 48, 60)

BODY_TABLES: tuple[BodyTable, ...] = (
    _table(
        "heads of children to five years",
        head_for_age(0),
        tuple(_entry(head_for_age(m, sex), sex, m) for sex in Sex for m in _MONTHS),
    ),
    _table(
        "heads of children to three years, United States",
        cdc_head(0),
        tuple(_entry(cdc_head(m, sex), sex, m) for sex in Sex for m in _MONTHS if m <= 36),
    ),
    _table(
        "heads of grown people",
        adult_head(),
        tuple(_entry(adult_head(sex), sex) for sex in Sex),
    ),
)
"""Every published table that :func:`lookup` answers from."""

HAT_CHART = BodyTable(
    "hat sizes of the craft trade",
    "hat",
    _PRACTICE,
    TableMark.TRADE,
    tuple(BodyEntry(size.name, Measured(size.round_mm)) for size in HAT_SIZES),
)
"""Round the finished hat, not the head; no lookup answers from it."""


# --- asking --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class BodySize:
    """A measurement of a person, or of a group of people.

    :param name: the person or the group, in words.
    :param size: mm; its sd tells how people of the group differ, 0 for one person.
    :param skew: the L of a table of L, M, S; 1 where people are normally distributed.
    """

    name: str
    measure: str
    size: Measured
    source: str
    mark: TableMark
    skew: float = 1.0

    def percentile_mm(self, part: float) -> float:
        """The size in mm that so large a part of the group does not exceed: 0.5 is the median.

        :raises BadInput: for a part outside 0 and 1, or one person.
        """
        if not 0 < part < 1:
            raise BadInput(
                "a percentile lies between 0 and 1",
                given=part,
                hint="use 0.9 for the size that nine in ten do not exceed",
                place=Place(field="percentile"),
            )
        return percentile(self._spread(), part, self.skew)

    def part_up_to(self, mm: float) -> float:
        """The part of the group that is no larger: the inverse of :meth:`percentile_mm`."""
        require_positive(mm, "size")
        return part_up_to(self._spread(), mm, self.skew)

    def range_mm(self, part: float = 0.9) -> tuple[float, float]:
        """The bounds in mm, lower first, within which the middle part of the group lies."""
        rest = (1 - part) / 2
        return self.percentile_mm(rest), self.percentile_mm(1 - rest)

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """The size and where it comes from, in whole sentences."""
        text = f"{self.measure.capitalize()} of {self.name}: {format_both(self.size.value, units)}"
        if self.size.sd > 0:
            low, high = (format_both(bound, units) for bound in self.range_mm())
            text += f"; nine in ten lie between {low} and {high}"
        return (f"{text}.", f"Source: {self.source} ({self.mark}).")

    def as_data(self) -> dict[str, object]:
        """The size as plain data for JSON."""
        return {
            "name": self.name,
            "measure": self.measure,
            "mm": self.size.value,
            "sd_mm": self.size.sd or None,
            "source": self.source,
            "mark": str(self.mark),
        }

    def _spread(self) -> Measured:
        if self.size.sd == 0:
            raise BadInput(
                "one person has no percentiles",
                given=f"{self.name}, {self.measure}",
                hint="ask for the table of an age or of grown people",
            )
        return self.size


def lookup(
    measure: str = "head",
    *,
    age_months: float | None = None,
    sex: Sex | None = None,
    person: Person | None = None,
    table: ChildTable = ChildTable.WHO,
) -> BodySize:
    """A measurement: the person's own where she was measured, else from a published table.

    :param measure: its name, as ``head``.
    :param age_months: completed months; None for grown people, or for a person who is one.
    :param sex: None takes women and men, or girls and boys, in equal parts.
    :param table: where children are looked up.
    :raises BadInput: for no such measurement, an age that no table holds, or a child whose age is
        not said.
    :raises NotPossible: for a measurement that is in no published table.
    """
    known = measurement(measure)
    if person is not None and measure in person.measures:
        own = Measured(person.measures[measure])
        return BodySize(person.name, measure, own, f"measured on {person.name}", TableMark.OWN)
    if measure != "head":
        if known is None:
            raise _no_such(measure)
        raise NotPossible(
            f"no published table here holds {known.what}",
            given=measure,
            hint=f"measure it: {known.how}",
        )
    head = _head(age_months, sex, person, table)
    mark = TableMark(head.mark.value)
    return BodySize(head.name, measure, head.circumference, head.source, mark, head.skew)


def _head(
    age_months: float | None, sex: Sex | None, person: Person | None, table: ChildTable
) -> HeadSize:
    if age_months is None:
        if person is not None and person.wearer != "adult":
            raise BadInput(
                "a child's size is looked up by age",
                given=f"{person.name}, {person.wearer}",
                hint="say how many months old, or measure the head",
                place=Place(field="age_months"),
            )
        return adult_head(sex)
    require_finite(age_months, "age_months")
    if age_months >= GROWN_MONTHS:
        return adult_head(sex)
    if age_months > OLDEST_MONTHS:
        five, grown = head_for_age(OLDEST_MONTHS, sex), adult_head(sex)
        raise BadInput(
            "no table here holds heads between five and eighteen years",
            given=f"{age_months:g} months",
            hint="measure the head; between the tables lie "
            f"{format_both(five.circumference.value, UnitSystem.CENTIMETRES)} at five years and "
            f"{format_both(grown.circumference.value, UnitSystem.CENTIMETRES)} when grown",
            place=Place(field="age_months"),
        )
    return cdc_head(age_months, sex) if table is ChildTable.CDC else head_for_age(age_months, sex)


def what_to_measure(measure: str) -> str:
    """What a measurement is and how it is taken, in whole sentences.

    :raises BadInput: for no such measurement.
    """
    known = measurement(measure)
    if known is None:
        raise _no_such(measure)
    return f"{known.what[0].upper()}{known.what[1:]}. {known.how}"


def _no_such(measure: str) -> BadInput:
    hint = f"use one of {', '.join(each.name for each in MEASUREMENTS)}"
    if measure.strip().casefold() in ("hat", "hat size"):
        hint = "a hat size is not a head: ask for the head, or choose from the chart of hat sizes"
    return BadInput("no such measurement", given=measure, hint=hint, place=Place(field="measure"))
