"""``pegwright wrap-test``: what a wrap test draws, the gap that gives a wanted length, and whether
a board suits a design.
"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.board import add_board, add_spacers, board_of, names_a_board, spacers_of
from pegwright.cli.reading import add_design, add_units, at_options, chosen_units, length_option

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.knitting.wrap_trial import WrapTrial
    from pegwright.loom.spacers import Stack
    from pegwright.loom.wrap_test import GapAnswer, Suitability
    from pegwright.units import UnitSystem

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "wrap-test"
WORDS = "say how much yarn a wrap test draws, or which gap gives a wanted length"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser, optional=True)
    add_board(parser, "instead of a design's, or beside it to be compared with it")
    yarn = parser.add_argument_group("your yarn")
    yarn.add_argument("--yarn-diameter", metavar="LENGTH", help="thickness as it lies")
    yarn.add_argument("--wraps-per-inch", type=float, metavar="N", help="turns round a ruler")
    yarn.add_argument("--category", metavar="N", help="weight category: list yarn-weights")
    test = parser.add_argument_group("the test")
    test.add_argument("--wrap", metavar="NAME", help="which wrap: list wraps")
    test.add_argument("--over", type=int, metavar="N", help="pegs on each board (default: 15)")
    test.add_argument("--slack", type=float, metavar="N", help="drawn over taut, 1 for taut")
    asked = test.add_mutually_exclusive_group()
    asked.add_argument("--wanted", metavar="LENGTH", help="find the gap that draws so much")
    asked.add_argument("--measured", metavar="LENGTH", help="what your own board drew")
    add_spacers(test)
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Predict, and look for the gap or compare where that is asked for."""
    test, design = _trial(options)
    units = design.units if design else chosen_units(options)
    gap = suits = None
    if options.wanted is not None:
        gap = test.gap_for(length_option(options.wanted, "--wanted"))
    if options.measured is not None:
        suits = test.compared(length_option(options.measured, "--measured"), units)
    elif design is not None and names_a_board(options):
        suits = test.board_compared(board_of(options, test.loom), units)
    stack = _stack(gap, suits, options)
    if options.json:
        screen.say_json(_data(test, gap, suits, stack))
    else:
        screen.say("\n".join(_words(test, units, gap, suits, stack)))
    return 0


# --- what is tested ------------------------------------------------------------------------------


def _trial(options: argparse.Namespace) -> tuple[WrapTrial, Design | None]:
    from pegwright.cli.reading import read_design
    from pegwright.knitting.wrap_trial import WRAP_TEST_PAIRS, trial
    from pegwright.knitting.wraps import SHIPPED, shipped

    design = None
    if options.design is not None:
        design = read_design(options)
    wrap = design.wrap if design else SHIPPED[0]
    if options.wrap is not None:
        wrap = shipped(options.wrap)
    pegs = max(options.over or WRAP_TEST_PAIRS, 3)
    loom = design.loom if design else board_of(options, None, pegs)
    slack = _slack(options, design)
    return trial(loom, wrap, _diameter_mm(options, design), slack, options.over), design


def _slack(options: argparse.Namespace, design: Design | None) -> float:
    from pegwright.loom.wrap_test import check_slack

    if options.slack is None:
        return design.slack.value if design else 1.0
    with at_options({"slack": "--slack"}):
        return check_slack(float(options.slack))


def _diameter_mm(options: argparse.Namespace, design: Design | None) -> float:
    from pegwright.cli.reading import thickness_option
    from pegwright.errors import BadUse

    found = thickness_option(options)
    if found is not None:
        return found.mm
    if design is None:
        raise BadUse(
            "the yarn's thickness is needed where no design is named",
            hint="--category 4, --wraps-per-inch 10 or --yarn-diameter 2.4mm",
        )
    return design.body_yarn.wrapped_diameter_mm


# --- what is asked -------------------------------------------------------------------------------


def _stack(
    gap: GapAnswer | None,
    suits: Suitability | None,
    options: argparse.Namespace,
) -> Stack | None:
    """The spacers for the gap that was found; None where none are asked for or needed."""
    from pegwright.errors import BadUse
    from pegwright.loom.spacers import stack_for_gap

    if options.spacers is None:
        return None
    gap_mm = gap.gap_mm if gap else suits.gap_mm if suits else None
    if gap is None and suits is None:
        raise BadUse("--spacers needs a length to reach", hint="add --wanted LENGTH")
    if gap_mm is None:
        return None
    spacers = spacers_of(options)
    return stack_for_gap(gap_mm, spacers[0], gap_offset_mm=spacers[1])


# --- what is said --------------------------------------------------------------------------------


def _words(
    test: WrapTrial,
    units: UnitSystem,
    gap: GapAnswer | None,
    suits: Suitability | None,
    stack: Stack | None,
) -> list[str]:
    from pegwright.knitting.wrap_trial import gap_words, stack_words

    lines = [test.words(units)]
    if gap is not None:
        lines.append(gap_words(gap, units))
    if suits is not None:
        lines += suits.advice
    if stack is not None:
        lines.append(stack_words(stack, units))
    return lines


def _data(
    test: WrapTrial,
    gap: GapAnswer | None,
    suits: Suitability | None,
    stack: Stack | None,
) -> dict[str, object]:
    data = test.as_data()
    if gap is not None:
        data["gap_mm"] = gap.gap_mm
    if suits is not None:
        data["suits"] = suits.suits
        data["ratio"] = suits.ratio
        data["gap_mm"] = suits.gap_mm
        data["advice"] = list(suits.advice)
    if stack is not None:
        data["spacers_mm"] = list(stack.pieces)
        data["spacers_error_mm"] = stack.error_mm
    return data
