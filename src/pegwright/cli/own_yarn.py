"""Options that describe a maker's own yarn, for the commands that reckon with its length."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from pegwright.cli.reading import length_option

if TYPE_CHECKING:
    from pegwright.yarn.yarn import Yarn

__all__ = ["add_yarn", "yarn_of"]

_OPTIONS = ("category", "metres", "wraps_per_inch", "yarn_diameter", "ball")


def add_yarn(parser: argparse.ArgumentParser) -> None:
    """The options of a yarn, in a group of their own."""
    yarn = parser.add_argument_group("your yarn", "instead of the design's")
    yarn.add_argument("--category", metavar="N", help="weight category: list yarn-weights")
    yarn.add_argument(
        "--metres", type=float, metavar="N", help="metres in 100 g, as on the ball band"
    )
    yarn.add_argument("--wraps-per-inch", type=float, metavar="N", help="turns round a ruler")
    yarn.add_argument("--yarn-diameter", metavar="LENGTH", help="thickness as it lies")
    yarn.add_argument("--ball", metavar="MASS", help="what a ball weighs (default: 100 g)")


def yarn_of(options: argparse.Namespace, base: Yarn | None) -> Yarn | None:
    """The yarn of the options; None where none was given.

    What they leave out is as in ``base``; but another category has its own thickness and length.

    :raises BadUse: where neither says how long a gram is.
    """
    if all(getattr(options, name) is None for name in _OPTIONS):
        return None
    from pegwright.errors import BadUse
    from pegwright.units import parse_mass_g
    from pegwright.yarn.category import category
    from pegwright.yarn.yarn import Yarn

    number = base.category if base else None
    if options.category is not None:
        number = category(options.category).number
    alike = base if base is not None and base.category == number else None
    metres = options.metres or (alike.metres_per_100g if alike else None)
    if number is None or metres is None:
        raise BadUse(
            "a yarn needs its weight category and its metres in 100 g",
            hint="--category 4 --metres 175",
        )
    said = options.yarn_diameter is not None or options.wraps_per_inch is not None
    thick_mm = alike.wrapped_diameter_mm if alike and not said else None
    if options.yarn_diameter is not None:
        thick_mm = length_option(options.yarn_diameter, "--yarn-diameter")
    ball_g = 100.0 if options.ball is None else parse_mass_g(options.ball)
    return Yarn(
        "your yarn",
        number,
        metres,
        ball_g=ball_g,
        wrapped_diameter_mm=thick_mm,
        wraps_per_inch=options.wraps_per_inch,
    )
