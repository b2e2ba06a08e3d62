"""``pegwright cost``: what a piece costs, and what to ask for it."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.one_size import add_size, prove_size
from pegwright.cli.reading import add_design, add_units, at_options, named_values, read_design
from pegwright.cli.which_yarn import named_yarn

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.errors import BadInput, PegwrightError
    from pegwright.pattern.source import ProvedSize
    from pegwright.planning.cost import Cost
    from pegwright.planning.pace import Pace, Sitting, WorkTime

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "cost"
WORDS = "what a size of a design costs in yarn and work, and what to ask for it"

_OF_FIELD = {"rate": "--rate", "margin": "--margin", "others": "--other", "price": "--price"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser)
    add_size(parser)
    money = parser.add_argument_group("money", "instead of the design's own, or beside it")
    money.add_argument("--rate", metavar="AMOUNT", help="what an hour of work is worth")
    money.add_argument("--currency", metavar="SIGN", help="stands before every amount")
    money.add_argument(
        "--margin", type=float, metavar="N", help="added to the cost, 0.2 for a fifth more"
    )
    money.add_argument(
        "--price",
        metavar="YARN=AMOUNT",
        action="append",
        default=[],
        help="what a ball of a yarn costs, 0 for yarn that you have; may be given several times",
    )
    money.add_argument(
        "--other",
        metavar="NAME=AMOUNT",
        action="append",
        default=[],
        help="what else is bought; may be given several times",
    )
    money.add_argument(
        "--basis",
        choices=("bought", "used"),
        default="bought",
        help="count whole balls, or the grams in the piece (default: bought)",
    )
    time = parser.add_mutually_exclusive_group()
    time.add_argument("--pace", type=float, metavar="N", help="loops that you knit in a minute")
    time.add_argument(
        "--sitting",
        metavar="ROWS=MINUTES",
        action="append",
        default=[],
        help="so many rows of this size took you so many minutes; may be given several times",
    )
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Reckon it, and show the sum."""
    from pegwright.planning.pace import work_time

    design = read_design(options)
    _, size = prove_size(design, options.size)
    time = work_time(size.run.fabric.loops, _pace(options, design, size))
    found = _cost(options, design, size, time)
    if options.json:
        screen.say_json({**found.as_data(), "size": size.name, "time": time.as_data()})
    else:
        lines = (f"{design.title}, size {size.name}", "", *time.words(design.units), "")
        screen.say("\n".join((*lines, *found.words(design.units))))
    return 0


def _cost(options: argparse.Namespace, design: Design, size: ProvedSize, time: WorkTime) -> Cost:
    from pegwright.errors import BadInput, BadUse
    from pegwright.making import cost_of
    from pegwright.planning.cost import YarnBasis

    if options.rate is None and (design.costing is None or design.costing.rate is None):
        raise BadUse(
            "what is an hour of work worth?",
            hint="--rate 12.50, 0 to count no work; or [cost] rate = 12.50 in the design",
        )
    others = named_values(options.other, "--other", '--other "label=0.40"')
    try:
        with at_options(_OF_FIELD):
            return cost_of(
                design,
                size,
                time.hours,
                rate=options.rate,
                margin=options.margin,
                currency=options.currency,
                others=others,
                prices=_prices(options, design),
                basis=YarnBasis(options.basis),
            )
    except BadInput as error:
        raise _placed(error, options, design) from None


def _prices(options: argparse.Namespace, design: Design) -> dict[str, str]:
    given = named_values(options.price, "--price", '--price "Slipway worsted=7.50"')
    yarns = tuple(design.yarns.values())
    return {named_yarn(name, yarns, "--price").name: amount for name, amount in given.items()}


def _placed(error: BadInput, options: argparse.Namespace, design: Design) -> PegwrightError:
    """A yarn without a price is named at its own lines in the design."""
    from pegwright.designs.outline import Outline

    field = (error.place.field if error.place else None) or ""
    name = field.removeprefix("prices.")
    if field.startswith("prices.") and name in design.yarns and design.source:
        index = list(design.yarns).index(name)
        error.place = Outline(design.source, options.design).place(("yarns", index, "price"))
        error.hint = f'add price = 7.50 there, 0 for yarn that you have; or --price "{name}=7.50"'
    return error


def _pace(options: argparse.Namespace, design: Design, size: ProvedSize) -> Pace:
    from pegwright.making import pace_of

    own = design.costing.loops_per_minute if design.costing else None
    with at_options({"loops_per_minute": "--pace"}):
        return pace_of(
            size,
            own if options.pace is None else options.pace,
            [_sitting(text) for text in options.sitting],
        )


def _sitting(text: str) -> Sitting:
    from pegwright.errors import BadUse
    from pegwright.planning.pace import Sitting

    rows, _, minutes = text.partition("=")
    try:
        with at_options({"rows": "--sitting", "minutes": "--sitting"}):
            return Sitting(float(rows), float(minutes))
    except ValueError:
        hint = "--sitting 12=40"
        raise BadUse("--sitting takes rows and minutes", given=text, hint=hint) from None
