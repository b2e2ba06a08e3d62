"""Gauge as it is written: so many to 4 inches, to 10 cm, to an inch, or mm for one.

Four inches are 101.6 mm, so a count to 4 in is 1.6 % larger than the same gauge's to 10 cm; the two
are often printed as if they were one.  Here each is converted exactly.
"""

from __future__ import annotations

import re
from enum import StrEnum

from pegwright.errors import BadInput
from pegwright.units import format_number, parse_length_mm, require_positive

__all__ = ["GaugeUnit", "convert", "format_gauge", "parse_gauge_mm"]


class GaugeUnit(StrEnum):
    """Ways to write the size of one stitch or row."""

    PER_4IN = "to 4 in"
    PER_10CM = "to 10 cm"
    PER_INCH = "to the inch"
    MM_EACH = "mm each"


_SPAN_MM = {GaugeUnit.PER_4IN: 101.6, GaugeUnit.PER_10CM: 100.0, GaugeUnit.PER_INCH: 25.4}

_COUNT = re.compile(
    r"(?ix) \s* (?P<count>[0-9]+(?:[.,][0-9]+)?) \s*"
    r"(?: (?:stitches|stitch|sts|st|rows|row|r) \.? )? \s*"
    r"(?: per | to | in | over | = | / ) \s* (?:the\s+|an?\s+|every\s+)? (?P<span>.+?) \s*"
)
_EACH = re.compile(r"(?i)\s*(?P<length>.+?)\s*(?:each|(?:per|a|/)\s*(?:stitch|st|row))\.?\s*")
_MOST_CHARACTERS = 64


def convert(value: float, given: GaugeUnit, wanted: GaugeUnit) -> float:
    """A gauge in one way of writing from that in another.

    :raises BadInput: for a value that is not above zero.
    """
    require_positive(value, "gauge", hint="write it as a count above zero, as 20")
    each_mm = value if given is GaugeUnit.MM_EACH else _SPAN_MM[given] / value
    return each_mm if wanted is GaugeUnit.MM_EACH else _SPAN_MM[wanted] / each_mm


def parse_gauge_mm(text: str) -> float:
    """The size of one stitch or row in mm from what a maker writes.

    Understood are ``20 stitches to 4 in``, ``28 rows = 10 cm``, ``5 per inch``, ``20/4"`` and
    ``5.1 mm each``.

    :raises BadInput: for all else.
    """
    if len(text) <= _MOST_CHARACTERS:
        if match := _EACH.fullmatch(text):
            each_mm = parse_length_mm(match["length"])
            require_positive(each_mm, "gauge")
            return each_mm
        if match := _COUNT.fullmatch(text):
            span = match["span"]
            span_mm = parse_length_mm(span if re.search("[0-9½¼¾]", span) else f"1 {span}")
            count = float(match["count"].replace(",", "."))
            require_positive(count, "gauge", hint="write it as 20 stitches to 4 in")
            require_positive(span_mm, "gauge", hint="write it as 20 stitches to 4 in")
            return span_mm / count
    raise BadInput(
        "this is no gauge",
        given=text,
        hint="write it as 20 stitches to 4 in, 28 rows to 10 cm, or 5.1 mm each",
    )


def format_gauge(each_mm: float, unit: GaugeUnit, things: str = "stitches") -> str:
    """The size of one stitch or row as text: ``20 stitches to 4 in``, ``5.08 mm each``.

    :param things: ``stitches`` or ``rows``; not used for mm each.
    """
    value = convert(each_mm, GaugeUnit.MM_EACH, unit)
    if unit is GaugeUnit.MM_EACH:
        return f"{format_number(value, 2)} {unit}"
    return f"{format_number(value, 1)} {things} {unit}"
