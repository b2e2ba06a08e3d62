"""The text of a new design, with a comment at every line that a maker will want to change."""

from __future__ import annotations

from pegwright.designs.form import FORMAT
from pegwright.designs.writer import length_text, toml_value
from pegwright.garments.base import Garment, Measure, OptionKind, OptionSpec
from pegwright.garments.registry import garment
from pegwright.knitting.wraps import SHIPPED
from pegwright.units import UnitSystem

__all__ = ["starter_text"]

_COMMON_MM = {"head": 560.0, "width": 200.0, "length": 1500.0}
"""Measures to start from, by their usual names; a measure of another name starts half-way."""

_USUAL_COUNT = 32
"""A count of pegs or rows to start from, where the garment would work one out."""


def starter_text(name: str, units: UnitSystem = UnitSystem.INCHES) -> str:
    """A design of a garment that can be made as it stands, and changed line by line.

    :raises BadInput: for a garment that is not there.
    """
    kind = garment(name)
    blocks = (
        _design(kind, units),
        _LOOM,
        _YARN,
        _swatch(units),
        _options(kind, units),
        _size(kind, units),
    )
    return "\n".join(blocks)


def _design(kind: Garment, units: UnitSystem) -> str:
    wrap = kind.wraps[0] if kind.wraps else SHIPPED[0].name
    return f"""\
# {kind.title}. {kind.words}
# Lines that begin with # are remarks. All that a design may hold: docs/design-files.md
pegwright = {FORMAT}

[design]
title = {toml_value(f"My {kind.title.lower()}")}
summary = "One or two sentences on what it is."
garment = {toml_value(kind.name)}
wrap = {toml_value(wrap)}   # others: pegwright list wraps
units = {toml_value(str(units))}   # which come first in print: inches or centimetres
"""


_LOOM = """\
[loom]   # measure your own board, centre to centre
name = "my board"
arrangement = "opposed"   # two facing rows; or offset, single, ring
pegs = 44                 # in one row
pitch = "7/16 in"         # from peg to peg
gap = "1 in"              # from row to row
peg_diameter = "3/16 in"
peg_height = "1 in"
"""

_YARN = """\
[[yarns]]   # the first yarn is the body's
name = "My yarn"
category = 4              # 0 (lace) to 7 (jumbo): pegwright list yarn-weights
metres_per_100g = 175     # see the ball band
ball = "100 g"
wraps_per_inch = 10       # wind it round a ruler, side by side
fibre = "wool"
colour = "grey"
colour_hex = "#8c8c8c"
# available = "250 g"     # how much you have
"""


def _swatch(units: UnitSystem) -> str:
    width, length = (length_text(mm, units) for mm in (158.75, 101.6))
    return f"""\
# Without a swatch the gauge is predicted, with a wide margin. Knit one, and take the # away:
# [[swatches]]
# stitches = 20             # counted across one face
# width = {toml_value(width)}
# rows = 24
# length = {toml_value(length)}
# washed = true
"""


def _options(kind: Garment, units: UnitSystem) -> str:
    lines = [f"# {line}" for spec in kind.options for line in (_option(spec, units),)]
    return "\n".join(["[garment]   # take a # away to choose for yourself", *lines, ""])


def _option(spec: OptionSpec, units: UnitSystem) -> str:
    words = spec.words
    if spec.kind is OptionKind.CHOICE:
        words = f"{words} ({', '.join(spec.choices)})"
        return f"{spec.name} = {toml_value(str(spec.default or spec.choices[0]))}   # {words}"
    if spec.kind is OptionKind.FLAG:
        return f"{spec.name} = {toml_value(bool(spec.default))}   # {words}"
    number = _usual_number(spec) if spec.default is None else float(spec.default)
    if spec.kind is OptionKind.LENGTH:
        return f"{spec.name} = {toml_value(length_text(number, units))}   # {words}"
    return f"{spec.name} = {int(number)}   # {words}"


def _usual_number(spec: OptionSpec) -> float:
    return min(max(_USUAL_COUNT, spec.least), spec.most)


def _size(kind: Garment, units: UnitSystem) -> str:
    lines = ["[[sizes]]", 'name = "one size"', 'wearer = "adult"   # adult, child or infant']
    for measure in kind.measures:
        mark = "" if measure.required else "# "
        text = toml_value(length_text(_usual_mm(measure), units))
        lines.append(f"{mark}{measure.name} = {text}   # {measure.words}")
    return "\n".join([*lines, ""])


def _usual_mm(measure: Measure) -> float:
    mm = _COMMON_MM.get(measure.name, 0.0)
    if measure.least_mm <= mm <= measure.most_mm:
        return mm
    return float(round((measure.least_mm + measure.most_mm) / 2))
