"""What a pattern is built from: a design's words, its board and yarns, and every size proved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from pegwright.errors import Finding
from pegwright.garments.base import Plan
from pegwright.gauge.fabric_gauge import Gauge
from pegwright.knitting.run import Run
from pegwright.knitting.wraps import Wrap
from pegwright.loom.board import Loom
from pegwright.loom.wrap_test import WrapReading
from pegwright.tongue.tongue import ENGLISH, Tongue
from pegwright.units import UnitSystem
from pegwright.yarn.colour import ColourRun
from pegwright.yarn.need import YarnNeed
from pegwright.yarn.yarn import Yarn

__all__ = ["ProvedSize", "Source", "WrapTest"]


@dataclass(frozen=True, slots=True)
class ProvedSize:
    """One size: planned, executed, its yarn worked out.

    :param measures: the body measures it was planned from, in mm by name.
    """

    name: str
    measures: Mapping[str, float]
    plan: Plan
    run: Run
    needs: tuple[YarnNeed, ...]
    minutes: int
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class WrapTest:
    """The wrap test of the body's wrap: over how many pegs a side, and what it draws."""

    columns: int
    reading: WrapReading


@dataclass(frozen=True, slots=True)
class Source:
    """Everything that a pattern says, before it is put into words.

    :param use: the yarn's name for each part.
    :param measure_words: what each body measure is, by name.
    :param digest: SHA-256 of what was executed, in hexadecimal.
    :param colour_runs: the colours along a yarn that changes colour, by its name.
    :param edition: the pattern's own version, such as ``1.1``; ``version`` is Pegwright's.
    :param tongue: what the pattern is written in.
    :param slack: yarn really drawn over taut geometry, which tells where such colours fall.
    """

    key: str
    title: str
    summary: str
    units: UnitSystem
    loom: Loom
    wrap: Wrap
    gauge: Gauge
    yarns: Mapping[str, Yarn]
    use: Mapping[str, str]
    wrap_test: WrapTest | None
    sizes: tuple[ProvedSize, ...]
    measure_words: Mapping[str, str]
    margin: float
    version: str
    digest: str
    colour_runs: Mapping[str, ColourRun] = field(default_factory=dict)
    slack: float = 1.0
    edition: str = ""
    tongue: Tongue = ENGLISH
