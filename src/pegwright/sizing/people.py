"""People and what to measure on them.

A person is a name (or a role, as *cox* or *bow*) and her measurements in mm.  Garments ask for
measurements by name; the usual ones stand here with what they are and how they are taken.  A
garment may ask for others.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from pegwright.errors import BadInput, Place
from pegwright.units import require_positive

__all__ = ["MEASUREMENTS", "WEARERS", "Measurement", "Person", "measurement", "missing"]

WEARERS = ("adult", "child", "infant")
"""Who someone is, as far as the safety rules ask: a child is under 14, an infant under 3 years."""


@dataclass(frozen=True, slots=True)
class Measurement:
    """One measurement of a body.

    :param name: as garments and design files call it.
    :param what: what it is, in a few words.
    :param how: how to take it, a sentence or two.
    :param least_mm: smallest and largest that is believed, from the smallest newborn to the largest
        grown person with room to spare (no source: bounds against slips such as cm for inches).
    """

    name: str
    what: str
    how: str
    least_mm: float
    most_mm: float


MEASUREMENTS: tuple[Measurement, ...] = (
    Measurement(
        "head",
        "round the head above the brows",
        "Lay the tape above the brows and ears and round the fullest part at the back, and draw it"
        " snug without pressing.",
        250,
        750,
    ),
    Measurement(
        "brow",
        "from the middle of the crown to the brow",
        "Lay the tape on the middle of the crown and bring it down over the forehead to the brows.",
        60,
        300,
    ),
    Measurement(
        "height",
        "from the neck over the ear to the crown",
        "Hold the tape where neck and shoulder meet and bring it up over the ear to the top of the"
        " head, without pulling it into the hollow of the neck.",
        120,
        600,
    ),
    Measurement(
        "depth",
        "from the face edge to the back of the head",
        "Measure level at the temples, from where the edge of the hood shall lie to the furthest"
        " point at the back, along the side of the head.",
        80,
        500,
    ),
    Measurement(
        "neck",
        "round the neck where the piece closes",
        "Lay the tape loosely round the neck, with two fingers beneath it.",
        150,
        700,
    ),
    Measurement(
        "chest",
        "round the chest at its fullest",
        "Lay the tape level under the arms, round the fullest part, and breathe as usual.",
        250,
        1800,
    ),
    Measurement(
        "hand",
        "round the palm without the thumb",
        "Lay the tape round the palm below the fingers, with the hand flat.",
        80,
        350,
    ),
    Measurement(
        "foot",
        "from heel to longest toe",
        "Stand on paper, mark behind the heel and before the longest toe, and measure between.",
        60,
        380,
    ),
)
"""The usual measurements, from the head down (common practice, no source)."""

_BY_NAME = {each.name: each for each in MEASUREMENTS}


def measurement(name: str) -> Measurement | None:
    """The usual measurement of that name, or None for one that only its garment knows."""
    return _BY_NAME.get(name)


@dataclass(frozen=True, slots=True)
class Person:
    """Someone to knit for.

    :param wearer: one of :data:`WEARERS`.
    :param measures: mm by measurement name; kept as a read-only copy.
    :raises BadInput: naming the field, for no name, no such wearer, or a measurement that cannot
        be.
    """

    name: str
    wearer: str = "adult"
    measures: Mapping[str, float] = field(default_factory=dict)
    note: str = ""

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise BadInput(
                "a person needs a name or a role",
                given=repr(self.name),
                hint="write a first name, or what she does, as cox",
                place=Place(field="name"),
            )
        if self.wearer not in WEARERS:
            raise BadInput(
                "no such wearer",
                given=self.wearer,
                hint=f"use {', '.join(WEARERS)}",
                place=Place(field="wearer"),
            )
        for name, mm in self.measures.items():
            _check(name, mm)
        object.__setattr__(self, "measures", MappingProxyType(dict(self.measures)))

    def with_measure(self, name: str, mm: float) -> Person:
        """The same person with one measurement added or taken anew."""
        return Person(self.name, self.wearer, {**self.measures, name: mm}, self.note)


def missing(person: Person, wanted: Iterable[str]) -> tuple[str, ...]:
    """The names of measurements that are wanted and not there, in the order they were asked for."""
    return tuple(name for name in wanted if name not in person.measures)


def _check(name: str, mm: float) -> None:
    place = f"measures.{name}"
    require_positive(mm, place, hint="measure it again, and give its unit")
    known = measurement(name)
    if known is not None and not known.least_mm <= mm <= known.most_mm:
        raise BadInput(
            f"this cannot be {known.what}",
            given=f"{mm:g} mm",
            hint=f"it lies between {known.least_mm:g} and {known.most_mm:g} mm; check the unit",
            place=Place(field=place),
        )
