"""A design as it is worked with inside: read, checked, units resolved to mm and g."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from pegwright.garments.base import OptionValue, Wearer
from pegwright.gauge.fabric_gauge import Swatch
from pegwright.knitting.stripes import Stripe
from pegwright.knitting.wraps import Wrap
from pegwright.loom.board import Loom
from pegwright.measured import Measured
from pegwright.tongue.catalogues import tongue_of
from pegwright.units import UnitSystem
from pegwright.yarn.colour import ColourRun
from pegwright.yarn.yarn import Yarn

__all__ = [
    "DEFAULT_MARGIN",
    "MONTHS_IN_YEAR",
    "Costing",
    "Design",
    "SizeRequest",
    "slug",
    "usual_units",
    "wearer_of_age",
]

DEFAULT_MARGIN = 0.10
"""Yarn to have beyond the need where the design says nothing (common practice, no source)."""

MONTHS_IN_YEAR = 12
_INFANT_BELOW_MONTHS = 3 * MONTHS_IN_YEAR
_CHILD_BELOW_MONTHS = 14 * MONTHS_IN_YEAR

_LONGEST_SLUG = 60
_RESERVED = re.compile(r"(?:con|prn|aux|nul|com[0-9]|lpt[0-9])")


@dataclass(frozen=True, slots=True)
class SizeRequest:
    """One size that the design is to be made in.

    :param measures: millimetres by the garment's measure names.
    :param age_months: the wearer's age in months, where it was given.
    """

    name: str
    wearer: Wearer
    measures: Mapping[str, float]
    age_months: float | None = None


@dataclass(frozen=True, slots=True)
class Costing:
    """What work is worth and what is added; amounts in the maker's own currency.

    :param rate: of an hour of work.
    :param currency: the sign that stands before an amount.
    :param margin: added to the cost, as a part of it.
    :param loops_per_minute: the maker's own pace, where she timed it.
    :param others: what else is bought, by name.
    """

    rate: float | None = None
    currency: str = ""
    margin: float = 0.0
    loops_per_minute: float | None = None
    others: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Design:
    """A whole design.

    :param yarns: every yarn by name, in the order of the file.
    :param use: which yarn each part is knitted with (``body``, ``cord`` …), by yarn name; ``body``
        is always there.
    :param swatches: swatches of the body's yarn, wrap and loom.
    :param wrap: the body's wrap (shipped, or the maker's own).
    :param options: options of the garment that the maker gave, lengths in mm.
    :param slack: drawn length over taut length, a calibration of the maker's own hand.
    :param margin: yarn to have beyond the need, as a part of it.
    :param available_g: grams at hand by yarn name, where given.
    :param stripes: the body's stripes from the cast-on, the same in every size; none where it is
        all of one yarn.
    :param colour_runs: the colours along a yarn that changes colour, by yarn name.
    :param prices: what a ball costs, by yarn name, where given.
    :param costing: what work is worth; None where the design does not say.
    :param version: the pattern's own version as its maker counts, such as ``1.1``; "" for none.
    :param language: what the pattern is written in, a BCP 47 tag.
    :param own_units: the maker chose the units; if not they follow the language.
    :param source: the file's text as read, for the digest; two designs that say the same in other
        words are equal.
    """

    title: str
    summary: str
    garment: str
    units: UnitSystem
    loom: Loom
    wrap: Wrap
    yarns: Mapping[str, Yarn]
    use: Mapping[str, str]
    swatches: tuple[Swatch, ...]
    options: Mapping[str, OptionValue]
    sizes: tuple[SizeRequest, ...]
    slack: Measured
    margin: float
    available_g: Mapping[str, float]
    stripes: tuple[Stripe, ...] = ()
    colour_runs: Mapping[str, ColourRun] = field(default_factory=dict)
    prices: Mapping[str, float] = field(default_factory=dict)
    costing: Costing | None = None
    version: str = ""
    language: str = "en"
    own_units: bool = field(default=True, compare=False)
    source: str = field(default="", compare=False)

    def in_language(self, language: str) -> Design:
        """The same design, written in another language; units follow where none were chosen.

        :raises BadInput: for a language that patterns are not written in.
        """
        tag = tongue_of(language).language
        units = self.units if self.own_units else usual_units(tag)
        return replace(self, language=tag, units=units)

    @property
    def body_yarn(self) -> Yarn:
        """The yarn that the body is knitted with."""
        return self.yarns[self.use["body"]]

    @property
    def key(self) -> str:
        """The title as the stem of file names, such as ``tern-point-hood``."""
        return slug(self.title)


def usual_units(language: str) -> UnitSystem:
    """The units that come first in a language where the maker does not say."""
    inches = tongue_of(language).measures_in_inches
    return UnitSystem.INCHES if inches else UnitSystem.CENTIMETRES


def wearer_of_age(age_months: float) -> Wearer:
    """Whom the safety rules take someone of this age for: infant below 3 years, child below 14."""
    if age_months < _INFANT_BELOW_MONTHS:
        return Wearer.INFANT
    return Wearer.CHILD if age_months < _CHILD_BELOW_MONTHS else Wearer.ADULT


def slug(text: str) -> str:
    """A text as part of a file name: ASCII letters and digits in lower case, and single hyphens.

    Never empty, never with a separator or a dot, never a name that some system keeps for itself.
    """
    parted = unicodedata.normalize("NFKD", text).replace("\N{FRACTION SLASH}", "-")
    plain = parted.encode("ascii", "ignore").decode().lower()
    short = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_LONGEST_SLUG].strip("-") or "design"
    return f"{short}-design" if _RESERVED.fullmatch(short) else short
