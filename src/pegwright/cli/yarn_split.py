"""``pegwright yarn split``: a ball parted on a kitchen scale."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.one_size import add_size, prove_size
from pegwright.cli.reading import add_units, at_options, chosen_units, mass_option
from pegwright.cli.which_yarn import add_which_yarn, which_yarn

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.measured import Measured
    from pegwright.yarn.yarn import Yarn

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "split"
WORDS = "part a ball evenly, or in given shares, by weighing what remains"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("whole", metavar="MASS", help='what the whole ball weighs, as "85 g"')
    how = parser.add_mutually_exclusive_group(required=True)
    how.add_argument("--into", type=int, metavar="N", help="so many equal parts")
    how.add_argument("--shares", metavar="SHARES", help='each part of the whole: "1/2, 1/4, 1/4"')
    parser.add_argument(
        "--scale", metavar="MASS", default="1 g", help="what the scale shows (default: 1 g)"
    )
    add_size(parser)
    add_which_yarn(parser)
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Part it; with a design, how even the parts are is told in rows too."""
    from pegwright.yarn.split import shares_of, split_ball

    ball_g = mass_option(options.whole, "MASS")
    scale_g = mass_option(options.scale, "--scale")
    yarn, design = which_yarn(options)
    way = "--shares" if options.into is None else "--into"
    with at_options({"parts": way, "ball_g": "MASS", "scale_g": "--scale"}):
        parts = options.into if options.into is not None else shares_of(options.shares)
        split = split_ball(yarn, ball_g, parts, scale_g, _row_m(options, design, yarn))
    units = chosen_units(options, design.units if design else None)
    screen.say_result(split, units, as_json=options.json, findings=split.findings)
    return 0


def _row_m(options: argparse.Namespace, design: Design | None, yarn: Yarn) -> Measured | None:
    """Metres of a row of the design's first piece, where a design was named."""
    if design is None:
        return None
    from pegwright.planning.row_metres import row_metres

    _, size = prove_size(design, options.size)
    columns = size.plan.pieces[0].columns
    return row_metres(design.loom, design.wrap, columns, yarn, design.slack)
