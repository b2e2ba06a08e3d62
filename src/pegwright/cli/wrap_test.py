"""``pegwright wrap-test``: what a wrap test draws, the gap that gives a wanted length, and whether
a board suits a design.
"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, NamedTuple

from pegwright.cli import screen
from pegwright.cli.board import add_board, add_spacers, board_of, names_a_board, spacers_of
from pegwright.cli.reading import add_design, add_units, chosen_units, length_option

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.knitting.wraps import Wrap
    from pegwright.loom.board import Loom
    from pegwright.loom.spacers import Stack
    from pegwright.loom.visit import Visit
    from pegwright.loom.wrap_test import GapAnswer, Suitability, WrapReading
    from pegwright.units import UnitSystem

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "wrap-test"
WORDS = "say how much yarn a wrap test draws, or which gap gives a wanted length"

_OVER = 15
"""Pegs that are wrapped on each board (common practice, no source)."""


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


class _Test(NamedTuple):
    """A wrap on a board with a yarn."""

    loom: Loom
    wrap: Wrap
    diameter_mm: float
    slack: float
    over: int
    closed: bool
    units: UnitSystem

    def order(self, loom: Loom) -> tuple[Visit, ...]:
        """The visits on a loom."""
        return self.wrap.visits(loom, 1, self.over)


def run(options: argparse.Namespace) -> int:
    """Predict, and look for the gap or compare where that is asked for."""
    from pegwright.loom.wrap_test import measure

    test, design = _test(options)
    reading = measure(
        test.loom,
        test.order(test.loom),
        test.diameter_mm,
        test.slack,
        test.closed,
    )
    gap = suits = None
    if options.wanted is not None:
        gap = _gap(test, options)
    if options.measured is not None:
        suits = _compared(reading, options, test)
    elif design is not None and names_a_board(options):
        suits = _other_board(test, reading, options)
    stack = _stack(gap, suits, options)
    if options.json:
        screen.say_json(_data(test, reading, gap, suits, stack))
    else:
        screen.say("\n".join(_words(test, reading, gap, suits, stack)))
    return 0


# --- what is tested ------------------------------------------------------------------------------


def _test(options: argparse.Namespace) -> tuple[_Test, Design | None]:
    from pegwright.cli.reading import read_design
    from pegwright.knitting.wraps import SHIPPED, shipped

    design = None
    if options.design is not None:
        design = read_design(options)
    wrap = design.wrap if design else SHIPPED[0]
    if options.wrap is not None:
        wrap = shipped(options.wrap)
    loom = design.loom if design else board_of(options, None, max(options.over or _OVER, 3))
    over = _columns(wrap, loom, options.over)
    return (
        _Test(
            loom,
            wrap,
            _diameter_mm(options, design),
            _slack(options, design),
            over,
            _comes_back(wrap, loom, over),
            design.units if design else chosen_units(options),
        ),
        design,
    )


def _slack(options: argparse.Namespace, design: Design | None) -> float:
    from pegwright.errors import BadUse

    if options.slack is None:
        return design.slack.value if design else 1.0
    slack = float(options.slack)
    if not 0.5 <= slack <= 3:
        raise BadUse("--slack is a factor from 0.5 to 3", given=options.slack, hint="1 is taut")
    return slack


def _diameter_mm(options: argparse.Namespace, design: Design | None) -> float:
    from pegwright.errors import BadUse
    from pegwright.yarn.category import category
    from pegwright.yarn.count import wrapped_diameter_mm

    if options.yarn_diameter is not None:
        return length_option(options.yarn_diameter, "--yarn-diameter")
    if options.wraps_per_inch is not None:
        return wrapped_diameter_mm(options.wraps_per_inch)
    if options.category is not None:
        return category(options.category).wrapped_diameter_mm
    if design is None:
        raise BadUse(
            "the yarn's thickness is needed where no design is named",
            hint="--category 4, --wraps-per-inch 10 or --yarn-diameter 2.4mm",
        )
    return design.body_yarn.wrapped_diameter_mm


def _columns(wrap: Wrap, loom: Loom, asked: int | None) -> int:
    """So many columns as were asked for, or fifteen, or the nearest below that the wrap takes."""
    if asked is not None:
        wrap.fits(loom, asked)
        return asked
    columns = max(min(_OVER, loom.pegs), wrap.least)
    columns = max(columns - (columns - wrap.plus) % wrap.multiple, wrap.least)
    wrap.fits(loom, columns)
    return columns


def _comes_back(wrap: Wrap, loom: Loom, columns: int) -> bool:
    """Whether one course ends at the column where it began."""
    visits = wrap.visits(loom, 1, columns)
    return loom.number(visits[0].peg) == loom.number(visits[-1].peg)


# --- what is asked -------------------------------------------------------------------------------


def _gap(test: _Test, options: argparse.Namespace) -> GapAnswer:
    from pegwright.loom.wrap_test import gap_for

    return gap_for(
        test.loom,
        test.order,
        test.diameter_mm,
        length_option(options.wanted, "--wanted"),
        test.slack,
        test.closed,
    )


def _compared(reading: WrapReading, options: argparse.Namespace, test: _Test) -> Suitability:
    """A reader's own length against what is predicted; with her board, also the gap that mends."""
    from pegwright.loom.wrap_test import compare
    from pegwright.loom.wrap_test import reading as as_reading

    found = as_reading(
        length_option(options.measured, "--measured"), reading.loops, closed=test.closed
    )
    return compare(reading, found, system=test.units)


def _other_board(test: _Test, wanted: WrapReading, options: argparse.Namespace) -> Suitability:
    from pegwright.loom.wrap_test import check_board

    board = board_of(options, test.loom)
    test.wrap.fits(board, test.over)
    return check_board(
        board,
        test.order,
        test.diameter_mm,
        wanted,
        system=test.units,
        slack=test.slack,
        closed=test.closed,
    )


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
    test: _Test,
    reading: WrapReading,
    gap: GapAnswer | None,
    suits: Suitability | None,
    stack: Stack | None,
) -> list[str]:
    from pegwright.units import format_both

    both = " on both boards" if test.wrap.boards == 2 else ""
    slack = "drawn taut" if test.slack == 1 else f"with a slack of {test.slack:g}"
    lines = [
        f"{test.wrap.name.capitalize()} over {test.over} pegs{both} draws"
        f" {format_both(reading.length_mm, test.units)} of yarn, {slack}:"
        f" {format_both(reading.per_loop_mm, test.units, denominator=32)} a loop."
    ]
    if gap is not None:
        lines.append(
            f"To draw {format_both(gap.reading.length_mm, test.units)}, set the rows"
            f" {format_both(gap.gap_mm, test.units, denominator=32)} apart, centre to centre."
        )
    if suits is not None:
        lines += suits.advice
    if stack is not None:
        pieces = " + ".join(format_both(p, test.units, denominator=32) for p in stack.pieces)
        over = "exactly" if abs(stack.error_mm) < 0.005 else f"{stack.error_mm:+.2f} mm from it"
        lines.append(f"Spacers at each end: {pieces or 'none'} ({over}).")
    return lines


def _data(
    test: _Test,
    reading: WrapReading,
    gap: GapAnswer | None,
    suits: Suitability | None,
    stack: Stack | None,
) -> dict[str, object]:
    data: dict[str, object] = {
        "wrap": test.wrap.name,
        "over": test.over,
        "closed": test.closed,
        "yarn_diameter_mm": test.diameter_mm,
        "slack": test.slack,
        "length_mm": reading.length_mm,
        "per_loop_mm": reading.per_loop_mm,
        "loops": reading.loops,
    }
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
