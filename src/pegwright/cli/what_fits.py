"""``pegwright what-fits``: what can be knitted on a board with a yarn."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.board import add_board, board_of, names_a_board
from pegwright.cli.own_yarn import add_yarn, yarn_of
from pegwright.cli.reading import add_design, add_units, chosen_units, read_design

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.refit.fits import Fit

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "what-fits"
WORDS = "say what can be knitted on a board with a yarn, in standard sizes"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser, optional=True)
    add_board(parser, "instead of a design's")
    add_yarn(parser)
    parser.add_argument("--garment", metavar="NAME", help="only this one: list garments")
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Try everything; the exit code is 4 where nothing at all fits."""
    from pegwright.errors import BadUse, ExitCode
    from pegwright.garments.registry import garment
    from pegwright.refit.fits import what_fits

    design: Design | None = read_design(options) if options.design is not None else None
    base = design.loom if design else None
    loom = base if base is not None and not names_a_board(options) else board_of(options, base)
    yarn = yarn_of(options, design.body_yarn if design else None)
    if yarn is None:
        yarn = design.body_yarn if design else None
    if yarn is None:
        raise BadUse(
            "the yarn is needed where no design is named",
            hint="--category 4 --metres 175",
        )
    only = None if options.garment is None else garment(options.garment).name
    units = chosen_units(options, design.units if design else None)
    slack = design.slack if design else None
    found = what_fits(loom, yarn, units=units, slack=slack, only=only)
    if options.json:
        screen.say_json([fit.as_data() for fit in found])
    else:
        screen.say(_text(found))
    return ExitCode.OK if any(fit.fits for fit in found) else ExitCode.NOT_POSSIBLE


def _text(found: tuple[Fit, ...]) -> str:
    lines: list[str] = []
    before = ""
    for fit in found:
        if fit.garment != before:
            lines += ["", fit.garment] if lines else [fit.garment]
            before = fit.garment
        if fit.fits is None:
            lines.append(f"  {fit.why}")
            continue
        wrap = f" in {fit.wrap}" if fit.wrap else ""
        lines.append(f"  {'yes' if fit.fits else 'no '}  {fit.size}{wrap}")
        lines.append(f"       {fit.why}")
    return "\n".join(lines)
