"""``pegwright gauge``: convert a gauge, or explain a design's."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.reading import add_units, chosen_units, read_design

if TYPE_CHECKING:
    from pegwright.gauge.fabric_gauge import Gauge

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "gauge"
WORDS = "convert a gauge, or explain the gauge of a design and how sure it is"

_STITCHES = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:sts?|stitch(?:es)?)\b\.?", re.IGNORECASE)
_ROWS = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:rows?|r)\b\.?", re.IGNORECASE)
_SPAN = re.compile(r"(?:=|\b(?:to|over|per|in)\b|/)\s*(.+)$", re.IGNORECASE)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "design",
        metavar="DESIGN|GAUGE",
        help='a design, or a gauge such as "18 sts 24 rows = 4 in"',
    )
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Convert or explain."""
    if _is_gauge(options.design):
        _convert(options)
    else:
        _explain(options)
    return 0


def _is_gauge(text: str) -> bool:
    counted = _STITCHES.search(text) or _ROWS.search(text)
    return bool(counted and (_SPAN.search(text) or text.rstrip().endswith("each")))


# --- converting ----------------------------------------------------------------------------------


def _convert(options: argparse.Namespace) -> None:
    sizes = _sizes_mm(options.design)
    from pegwright.gauge.convert import GaugeUnit, convert, format_gauge
    from pegwright.units import UnitSystem

    inches_first = chosen_units(options) is UnitSystem.INCHES
    units = [GaugeUnit.PER_4IN, GaugeUnit.PER_INCH, GaugeUnit.PER_10CM, GaugeUnit.MM_EACH]
    if not inches_first:
        units = [*units[2:], *units[:2]]
    if options.json:
        screen.say_json(
            {
                things: {
                    "per_4in": convert(mm, GaugeUnit.MM_EACH, GaugeUnit.PER_4IN),
                    "per_10cm": convert(mm, GaugeUnit.MM_EACH, GaugeUnit.PER_10CM),
                    "per_inch": convert(mm, GaugeUnit.MM_EACH, GaugeUnit.PER_INCH),
                    "mm_each": mm,
                }
                for things, mm in sizes.items()
            }
        )
        return
    for things, mm in sizes.items():
        words = ", ".join(format_gauge(mm, unit, things) for unit in units)
        screen.say(f"{things.capitalize()}: {words}")


def _sizes_mm(text: str) -> dict[str, float]:
    """The size of a stitch and of a row in mm, of those that the text names."""
    from pegwright.gauge.convert import parse_gauge_mm

    span = _SPAN.search(text)
    if span is None:  # so many mm each
        return {"stitches": parse_gauge_mm(text)}
    sizes = {}
    for things, pattern in (("stitches", _STITCHES), ("rows", _ROWS)):
        if match := pattern.search(text):
            sizes[things] = parse_gauge_mm(f"{match.group(1)} {things} to {span.group(1)}")
    return sizes


# --- explaining ----------------------------------------------------------------------------------


def _explain(options: argparse.Namespace) -> None:
    from pegwright.gauge.fabric_gauge import explain
    from pegwright.making import design_gauge

    design = read_design(options)
    gauge, loop_mm = design_gauge(design)
    if options.json:
        screen.say_json(_data(gauge, loop_mm))
        return
    for sentence in explain(gauge, design.units):
        screen.say(sentence)
    findings = screen.findings_text(gauge.findings)
    if findings:
        screen.say(f"\n{findings}")


def _data(gauge: Gauge, loop_mm: float) -> dict[str, object]:
    return {
        "source": str(gauge.source),
        "loop_mm": loop_mm,
        "wale_mm": _measured(gauge.wale.value, gauge.wale.sd, gauge.wale.interval()),
        "course_mm": _measured(gauge.course.value, gauge.course.sd, gauge.course.interval()),
        "words": list(gauge.words),
        "findings": [finding.as_data() for finding in gauge.findings],
    }


def _measured(value: float, sd: float, interval: tuple[float, float]) -> dict[str, object]:
    return {"value": value, "sd": sd, "interval_90": list(interval)}
