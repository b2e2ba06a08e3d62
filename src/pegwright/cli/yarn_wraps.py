"""``pegwright yarn wraps``: wraps per inch from turns counted on a ruler."""

from __future__ import annotations

import argparse

from pegwright.cli import screen
from pegwright.cli.reading import add_units, at_options, chosen_units, length_option

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "wraps"
WORDS = "wraps per inch, thickness and likely weight category from turns round a ruler"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "counts",
        metavar="COUNT",
        type=float,
        nargs="+",
        help="turns that lie side by side; wind afresh and count again for each further one",
    )
    parser.add_argument(
        "--over", metavar="LENGTH", default="1 in", help="counted over so much (default: 1 in)"
    )
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Reckon it."""
    from pegwright.yarn.wraps_per_inch import wraps_count

    over_mm = length_option(options.over, "--over")
    with at_options({"counts": "COUNT"}):
        found = wraps_count(options.counts, over_mm)
    units = chosen_units(options)
    screen.say_result(found, units, as_json=options.json, findings=found.findings)
    return 0
