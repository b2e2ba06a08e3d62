"""Options that describe a maker's own yarn, for the commands that reckon with its length."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from pegwright.cli.reading import length_option

if TYPE_CHECKING:
    from pegwright.yarn.given import GivenYarn
    from pegwright.yarn.yarn import Yarn

__all__ = ["add_yarn", "yarn_of"]


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
    from pegwright.errors import BadUse

    given = _given(options)
    if given.is_empty:
        return None
    if given.lacking(base) is not None:
        raise BadUse(
            "a yarn needs its weight category and its metres in 100 g",
            hint="--category 4 --metres 175",
        )
    return given.like(base)


def _given(options: argparse.Namespace) -> GivenYarn:
    from pegwright.units import parse_mass_g
    from pegwright.yarn.category import category
    from pegwright.yarn.given import GivenYarn

    diameter = options.yarn_diameter
    return GivenYarn(
        None if options.category is None else category(options.category).number,
        options.metres,
        options.wraps_per_inch,
        None if diameter is None else length_option(diameter, "--yarn-diameter"),
        None if options.ball is None else parse_mass_g(options.ball),
    )
