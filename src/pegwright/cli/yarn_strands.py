"""``pegwright yarn strands``: strands held together and knitted as one."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.reading import add_units, at_options, chosen_units
from pegwright.cli.which_yarn import add_sources, known_yarns, named_yarn

if TYPE_CHECKING:
    from pegwright.yarn.yarn import Yarn

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "strands"
WORDS = "what two strands or more equal when they are held together"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "yarns",
        metavar="YARN",
        nargs="+",
        help="a yarn of the stash or design for each strand, or CATEGORY:METRES in 100 g, as 3:220",
    )
    add_sources(parser)
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Hold them together."""
    from pegwright.yarn.plied import held_together

    yarns, _ = known_yarns(options)
    strands = [_strand(given, yarns) for given in options.yarns]
    with at_options({"strands": "YARN"}):
        together = held_together(strands)
    screen.say_result(together, chosen_units(options), as_json=options.json)
    return 0


def _strand(given: str, yarns: Sequence[Yarn]) -> Yarn:
    from pegwright.errors import BadUse
    from pegwright.yarn.yarn import Yarn

    category, colon, metres = given.partition(":")
    if not colon or given in {name for yarn in yarns for name in (yarn.name, yarn.label)}:
        if not yarns:
            raise BadUse(
                "YARN: whose yarn is it?",
                given=given,
                hint="add --stash FILE or --design DESIGN, or write CATEGORY:METRES, as 3:220",
            )
        return named_yarn(given, yarns, "YARN")
    try:
        length_m = float(metres)
    except ValueError:
        hint = "write CATEGORY:METRES in 100 g, as 3:220"
        raise BadUse("YARN: these are no metres in 100 g", given=given, hint=hint) from None
    with at_options({"metres_per_100g": "YARN", "category": "YARN"}):
        return Yarn(f"category {category.strip()} at {metres.strip()} m", category, length_m)
