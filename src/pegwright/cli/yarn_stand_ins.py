"""``pegwright yarn stand-ins``: yarns of the stash in place of a design's."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.one_size import add_size, prove_size
from pegwright.cli.reading import add_design, add_units, read_design
from pegwright.cli.which_yarn import named_yarn

if TYPE_CHECKING:
    from pegwright.designs.model import Design

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "stand-ins"
WORDS = "which yarns of a stash can stand in for a design's, and what each changes"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser)
    parser.add_argument(
        "--stash", metavar="FILE", type=Path, required=True, help="the stash to look in"
    )
    parser.add_argument("--yarn", metavar="NAME", help="in place of which (default: the body's)")
    add_size(parser)
    parser.add_argument("--most", type=int, default=6, metavar="N", help="most told (default: 6)")
    parser.add_argument("--single", action="store_true", help="no two strands held together")
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Look for them; the exit code is 4 where none comes near and reaches."""
    from pegwright.designs.stash import read_stash_file
    from pegwright.errors import BadUse, ExitCode
    from pegwright.making import knitted_in
    from pegwright.planning.substitute import substitutes

    if not 1 <= options.most <= 50:
        raise BadUse("--most is a number from 1 to 50", given=options.most)
    design = read_design(options)
    stash = read_stash_file(options.stash)
    name = _name(options, design)
    made, size = prove_size(design, options.size)
    knitted = knitted_in(made, size, name)
    found = substitutes(knitted, stash, together=not options.single, most=options.most)
    screen.say_result(found, design.units, as_json=options.json)
    return ExitCode.OK if found.best is not None else ExitCode.NOT_POSSIBLE


def _name(options: argparse.Namespace, design: Design) -> str:
    if options.yarn is None:
        return design.use["body"]
    return named_yarn(options.yarn, tuple(design.yarns.values()), "--yarn").name
