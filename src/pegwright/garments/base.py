"""What a garment is: measurements in; pieces, script and assembly out.

A garment is one module with one object that follows :class:`Garment`.  It says which measurements
and options it takes, so that the reader of design files, the command line and the studio can check
and explain them without knowing the garment.  A maker adds her own garment through the entry-point
group ``pegwright.garments``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Protocol, runtime_checkable

from pegwright.errors import Finding
from pegwright.garments.make_up import MakeUp
from pegwright.gauge.fabric_gauge import Gauge
from pegwright.knitting.operations import Part
from pegwright.knitting.script import Script
from pegwright.knitting.stripes import Stripe
from pegwright.knitting.wraps import Wrap
from pegwright.loom.board import Loom
from pegwright.measured import Measured
from pegwright.units import UnitSystem
from pegwright.yarn.yarn import Yarn

__all__ = [
    "Brief",
    "Garment",
    "Measure",
    "OptionKind",
    "OptionSpec",
    "OptionValue",
    "Plan",
    "PlannedPiece",
    "Wearer",
]

OptionValue = str | float | int | bool


class Wearer(StrEnum):
    """Who will wear it, as far as the safety rules ask."""

    ADULT = "adult"
    CHILD = "child"  # under 14 years
    INFANT = "infant"  # under 3 years


class OptionKind(StrEnum):
    """What kind of value an option takes."""

    CHOICE = "choice"
    LENGTH = "length"  # millimetres inside; the maker writes a length with its unit
    COUNT = "count"
    FLAG = "flag"


@dataclass(frozen=True, slots=True)
class OptionSpec:
    """An option of a garment.

    :param default: None where the garment works it out when the maker says nothing.
    :param choices: for a choice, its values with the default first.
    :param least: smallest count or length (mm); ``most`` likewise.
    """

    name: str
    kind: OptionKind
    words: str
    default: OptionValue | None = None
    choices: tuple[str, ...] = ()
    least: float = 0.0
    most: float = 1_000_000.0


@dataclass(frozen=True, slots=True)
class Measure:
    """A measurement that a size gives: its name, what it is, and whether it must be given."""

    name: str
    words: str
    required: bool
    least_mm: float
    most_mm: float


@dataclass(frozen=True, slots=True)
class Brief:
    """Everything that one size of a garment is planned from.

    :param measures: millimetres by measure name; optional ones may be missing.
    :param options: every option of the garment by name; None where it is to be worked out.
    :param yarns: the yarn for each part that knits (``body``, ``cord`` …); ``body`` is always there
        and stands in for the others.
    :param stripes: the body's stripes from the cast-on, where it has any; their rows are the rows.
    """

    size: str
    wearer: Wearer
    measures: Mapping[str, float]
    options: Mapping[str, OptionValue | None]
    loom: Loom
    wrap: Wrap
    gauge: Gauge
    yarns: Mapping[str, Yarn]
    units: UnitSystem = UnitSystem.INCHES
    stripes: tuple[Stripe, ...] = ()

    def yarn(self, part: str) -> Yarn:
        """The yarn for a part, or the body's."""
        return self.yarns.get(part, self.yarns["body"])


@dataclass(frozen=True, slots=True)
class PlannedPiece:
    """A piece with its counts and its finished size (mm)."""

    name: str
    columns: int
    rows: int
    width: Measured
    length: Measured


@dataclass(frozen=True, slots=True)
class Plan:
    """One size, worked out.

    :param group: sizes of one design with the same group share their steps and are written together
        (for the hood: its closing).
    :param finished: the finished measurements by name, in mm.
    :param facts: numbers that the written steps name, by name (counts, rows, lengths in mm).
    :param choices: how each count was chosen, in whole sentences, with the rounding shown.
    :param parts: the yarn parts in use.
    :param body: what the body measures where the piece goes, in mm by the name of the finished
        measurement that goes there; given by the size or worked out from what it gives.
    :param make_up: how the pieces are made up, where that is to be drawn.
    """

    garment: str
    size: str
    wearer: Wearer
    group: str
    script: Script
    wrap: Wrap
    pieces: tuple[PlannedPiece, ...]
    finished: Mapping[str, Measured]
    facts: Mapping[str, float]
    choices: tuple[str, ...]
    parts: tuple[Part, ...]
    findings: tuple[Finding, ...] = ()
    body: Mapping[str, float] = field(default_factory=dict)
    make_up: MakeUp | None = None

    def piece(self, name: str) -> PlannedPiece:
        """The planned piece of that name."""
        return next(p for p in self.pieces if p.name == name)


@runtime_checkable
class Garment(Protocol):
    """A garment, as every part of Pegwright sees it."""

    @property
    def name(self) -> str:
        """Its name in design files, lower case and hyphens."""
        ...

    @property
    def title(self) -> str:
        """Its name in print."""
        ...

    @property
    def words(self) -> str:
        """What it is, in a sentence."""
        ...

    @property
    def measures(self) -> tuple[Measure, ...]:
        """The measurements that a size gives."""
        ...

    @property
    def options(self) -> tuple[OptionSpec, ...]:
        """The options that a design may set."""
        ...

    @property
    def wraps(self) -> tuple[str, ...]:
        """Wraps that suit it, the usual one first; empty where any does."""
        ...

    @property
    def yarn_parts(self) -> tuple[str, ...]:
        """Parts that may have a yarn of their own, ``body`` first."""
        ...

    def plan(self, brief: Brief) -> Plan:
        """Work one size out.

        :raises NotPossible: where it cannot be made so, with the nearest that can.
        """
        ...
