"""``pegwright colours search``: pegs and starts at which a yarn's colours fall as wished."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.reading import add_design, add_units, at_options, read_design

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.knitting.wraps import Wrap
    from pegwright.yarn.colour import ColourRun
    from pegwright.yarn.yarn import Yarn

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "search"
WORDS = "find pegs, wraps and a start at which a yarn's colours stripe, stack or speckle"

_OF_FIELD = {
    "colours": "--colours",
    "stretches": "--colours",
    "length_m": "--colours",
    "pegs": "--pegs",
    "rows": "--rows",
    "starts": "--starts",
    "best": "--best",
}
_PEGS = re.compile(r"(\d{1,4})(?:\s*[-–]\s*(\d{1,4}))?")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser)
    parser.add_argument(
        "--effect",
        choices=("stripes", "stacked", "speckle"),
        default="stripes",
        help="rows of one colour, colours over one another, or no order (default: stripes)",
    )
    parser.add_argument("--yarn", metavar="NAME", help="which yarn (default: the body's)")
    parser.add_argument(
        "--colours",
        metavar="COLOURS",
        help='one repeat of its colours, instead of the design\'s: "rust 30 cm, cream 12 in"',
    )
    parser.add_argument("--pegs", metavar="FROM-TO", help="pegs a side (default: 4 to all)")
    parser.add_argument(
        "--wrap", metavar="NAME", action="append", help="which wraps (default: the design's)"
    )
    parser.add_argument("--rows", type=int, default=60, metavar="N", help="rows (default: 60)")
    parser.add_argument(
        "--starts", type=int, default=64, metavar="N", help="starts in a repeat (default: 64)"
    )
    parser.add_argument("--best", type=int, default=5, metavar="N", help="most told (default: 5)")
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Look for them."""
    from pegwright.planning.colour_search import Effect
    from pegwright.planning.strip_colours import search_strip

    design = read_design(options)
    yarn = _yarn(options, design)
    with at_options(_OF_FIELD):
        found = search_strip(
            design.loom,
            _wraps(options, design),
            yarn,
            _colours(options, design, yarn),
            Effect(options.effect),
            pegs=_pegs(options.pegs),
            starts=options.starts,
            rows=options.rows,
            best=options.best,
            slack=design.slack.value,
        )
    screen.say_result(found, design.units, as_json=options.json)
    return 0


def _yarn(options: argparse.Namespace, design: Design) -> Yarn:
    from pegwright.cli.which_yarn import named_yarn

    if options.yarn is None:
        return design.body_yarn
    return named_yarn(options.yarn, tuple(design.yarns.values()), "--yarn")


def _colours(options: argparse.Namespace, design: Design, yarn: Yarn) -> ColourRun:
    from dataclasses import replace

    from pegwright.errors import BadUse
    from pegwright.yarn.colour import parse_colour_run

    if options.colours is not None:
        return parse_colour_run(options.colours)
    run = design.colour_runs.get(yarn.name)
    if run is None:
        raise BadUse(
            "the yarn has one colour, so there is nothing to place",
            given=yarn.label,
            hint='say how it changes: --colours "rust 30 cm, cream 12 in"',
        )
    return replace(run, drift=0.0)


def _wraps(options: argparse.Namespace, design: Design) -> list[Wrap]:
    from pegwright.designs.problems import nearest
    from pegwright.errors import BadUse
    from pegwright.knitting.wraps import SHIPPED

    if not options.wrap:
        return [design.wrap]
    known = {wrap.name: wrap for wrap in (*SHIPPED, design.wrap)}
    for name in options.wrap:
        if name not in known:
            raise BadUse("--wrap: no such wrap", given=name, hint=nearest(name, known))
    return [known[name] for name in dict.fromkeys(options.wrap)]


def _pegs(text: str | None) -> range | None:
    from pegwright.errors import BadUse

    if text is None:
        return None
    match = _PEGS.fullmatch(text.strip())
    first, last = (int(match[1]), int(match[2] or match[1])) if match else (0, 0)
    if not 1 <= first <= last:
        raise BadUse("--pegs takes one number, or two", given=text, hint="--pegs 20-34")
    return range(first, last + 1)
