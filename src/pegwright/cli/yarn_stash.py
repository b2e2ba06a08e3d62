"""``pegwright yarn stash``: what there is of every yarn."""

from __future__ import annotations

import argparse
from pathlib import Path

from pegwright.cli import screen
from pegwright.cli.reading import add_units, at_options, chosen_units

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "stash"
WORDS = "take stock of a stash file: grams and metres of every yarn, and how sure they are"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "stash",
        metavar="FILE",
        type=Path,
        help="a stash file, or tern-point-leftovers, which comes with Pegwright",
    )
    parser.add_argument(
        "--sure",
        type=float,
        default=0.9,
        metavar="N",
        help="how often the figure lies between the two told (default: 0.9)",
    )
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Take stock."""
    from pegwright.designs.stash import read_stash_file
    from pegwright.yarn.stash import take_stock

    stash = read_stash_file(options.stash)
    with at_options({"coverage": "--sure"}):
        stock = take_stock(stash, options.sure)
    screen.say_result(stock, chosen_units(options), as_json=options.json)
    return 0
