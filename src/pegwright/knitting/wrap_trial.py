"""A wrap test as it is done: which wrap, over how many pegs, with which yarn and whose hand.

:mod:`pegwright.loom.wrap_test` knows no wraps; here one is tried on a board.  Columns are pegs
wrapped on each board, from the maker's left.

The **slack** of a maker's own hand is what her board drew over what geometry draws taut.  How far
it varies she learns by wrapping again: the usual spread counts as one degree of freedom beside her
own (as makers do in :mod:`pegwright.testknit.hands`), so that two lucky readings do not make her
sure.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, variance

from pegwright.errors import BadInput, Place
from pegwright.knitting.wraps import SHIPPED, Wrap
from pegwright.loom.board import Loom
from pegwright.loom.nearest import check_spec
from pegwright.loom.plan import spec_for_wrap
from pegwright.loom.spacers import Stack
from pegwright.loom.spec import BoardSpec
from pegwright.loom.visit import Visit
from pegwright.loom.wrap_test import (
    LEAST_SLACK,
    MOST_SLACK,
    GapAnswer,
    Suitability,
    WrapReading,
    check_board,
    compare,
    gap_for,
    measure,
    reading,
)
from pegwright.measured import Measured
from pegwright.units import UnitSystem, format_both

__all__ = [
    "USUAL_SLACK_SD",
    "WRAP_TEST_PAIRS",
    "WrapTrial",
    "columns_for",
    "comes_back",
    "gap_words",
    "own_slack",
    "spec_that_draws",
    "stack_words",
    "trial",
    "usual_wrap",
]

WRAP_TEST_PAIRS = 15
"""Pegs that are wrapped on each board (common practice, no source)."""

USUAL_SLACK_SD = 0.05
"""How far a hand's slack varies where nothing is known of it (an assumption, no source)."""


@dataclass(frozen=True, slots=True)
class WrapTrial:
    """A wrap on a board with a yarn.

    :param slack: drawn over taut length of the hand that wraps.
    :param columns: pegs wrapped on each board.
    :param closed: a course ends at the column where it began.
    """

    loom: Loom
    wrap: Wrap
    diameter_mm: float
    slack: float
    columns: int
    closed: bool

    def order(self, loom: Loom) -> tuple[Visit, ...]:
        """The visits of one course on a loom."""
        return self.wrap.visits(loom, 1, self.columns)

    def drawn(self, slack: float | None = None) -> WrapReading:
        """What it draws.

        :param slack: of another hand; 1 for taut yarn.
        """
        return measure(
            self.loom,
            self.order(self.loom),
            self.diameter_mm,
            self.slack if slack is None else slack,
            self.closed,
        )

    def gap_for(self, wanted_mm: float) -> GapAnswer:
        """The gap at which it draws a wanted length; see :func:`loom.wrap_test.gap_for`."""
        return gap_for(self.loom, self.order, self.diameter_mm, wanted_mm, self.slack, self.closed)

    def words(self, units: UnitSystem) -> str:
        """What it draws, in a sentence."""
        both = " on both boards" if self.wrap.boards == 2 else ""
        slack = "drawn taut" if self.slack == 1 else f"with a slack of {self.slack:g}"
        drawn = self.drawn()
        return (
            f"{self.wrap.name.capitalize()} over {self.columns} pegs{both} draws"
            f" {format_both(drawn.length_mm, units)} of yarn, {slack}:"
            f" {format_both(drawn.per_loop_mm, units, denominator=32)} a loop."
        )

    def as_data(self) -> dict[str, object]:
        """What it draws as plain data; lengths in mm."""
        drawn = self.drawn()
        return {
            "wrap": self.wrap.name,
            "over": self.columns,
            "closed": self.closed,
            "yarn_diameter_mm": self.diameter_mm,
            "slack": self.slack,
            "length_mm": drawn.length_mm,
            "per_loop_mm": drawn.per_loop_mm,
            "loops": drawn.loops,
        }

    def reading_of(self, length_mm: float) -> WrapReading:
        """The reading of a length that was unwound and measured."""
        return reading(length_mm, self.drawn().loops, closed=self.closed)

    def compared(self, length_mm: float, units: UnitSystem) -> Suitability:
        """A length that was drawn against what is predicted here."""
        return compare(self.drawn(), self.reading_of(length_mm), system=units)

    def matched(self, wanted_mm: float, units: UnitSystem) -> Suitability:
        """What is predicted here against a length that is wanted, with the gap that mends it."""
        return self._checked(self.loom, self.reading_of(wanted_mm), units)

    def how(self) -> tuple[str, ...]:
        """How to do it at the board, a step to each sentence or two."""
        boards = " of both boards" if self.wrap.boards == 2 else ""
        out = ", out and back to where you began" if self.closed else ", from the first to the last"
        return (
            f"Wrap pegs 1 to {self.columns}{boards} once, snugly, in {self.wrap.name}{out}."
            f" {self.wrap.words}",
            "Mark the yarn where the wrap begins and where it ends.",
            "Unwind it, lay it straight beside a tape without stretching it, and measure from mark"
            " to mark.",
            "Wrap it afresh and measure again, twice or more: so you see how far your hand varies.",
        )

    def board_compared(self, board: Loom, units: UnitSystem) -> Suitability:
        """Another board, not yet measured, against what is predicted here."""
        self.wrap.fits(board, self.columns)
        return self._checked(board, self.drawn(), units)

    def _checked(self, board: Loom, wanted: WrapReading, units: UnitSystem) -> Suitability:
        return check_board(
            board,
            self.order,
            self.diameter_mm,
            wanted,
            system=units,
            slack=self.slack,
            closed=self.closed,
        )


def trial(
    loom: Loom, wrap: Wrap, diameter_mm: float, slack: float = 1.0, columns: int | None = None
) -> WrapTrial:
    """A wrap test; over fifteen pegs, or the nearest number below that the wrap takes.

    :raises NotPossible: where the wrap does not work on so many columns of the board.
    """
    number = columns_for(wrap, loom, columns)
    return WrapTrial(
        loom, wrap, diameter_mm, slack, number, comes_back(loom, wrap.visits(loom, 1, number))
    )


def gap_words(answer: GapAnswer, units: UnitSystem) -> str:
    """How to set the rows, in a sentence."""
    return (
        f"To draw {format_both(answer.reading.length_mm, units)}, set the rows"
        f" {format_both(answer.gap_mm, units, denominator=32)} apart, centre to centre."
    )


def stack_words(stack: Stack, units: UnitSystem) -> str:
    """Which spacers to take, in a sentence."""
    pieces = " + ".join(format_both(piece, units, denominator=32) for piece in stack.pieces)
    over = "exactly" if abs(stack.error_mm) < 0.005 else f"{stack.error_mm:+.2f} mm from it"
    return f"Spacers at each end: {pieces or 'none'} ({over})."


def columns_for(
    wrap: Wrap, loom: Loom, asked: int | None = None, most: int = WRAP_TEST_PAIRS
) -> int:
    """So many columns as were asked for, or ``most``, or the nearest below that the wrap takes.

    :raises NotPossible: where the wrap does not work on so many columns of the board.
    """
    columns = asked
    if columns is None:
        columns = max(min(most, loom.pegs), wrap.least)
        columns = max(columns - (columns - wrap.plus) % wrap.multiple, wrap.least)
    wrap.fits(loom, columns)
    return columns


def spec_that_draws(
    spec: BoardSpec, wrap: Wrap, columns: int | None, wanted_mm: float, slack: float = 1.0
) -> BoardSpec:
    """A board to build with the gap at which the wrap test draws a wanted length.

    :raises BoardNotPossible: for a board that cannot be built, before the gap is looked for, so
        that slips are told in their own words.
    :raises NotPossible: where no gap draws so much.
    """
    check_spec(spec)
    over = columns_for(wrap, spec.loom(), columns)
    return spec_for_wrap(spec, lambda loom: wrap.visits(loom, 1, over), wanted_mm, slack)


def usual_wrap(*, double: bool) -> Wrap:
    """The first of the shipped wraps for two rows of pegs, or for one."""
    return next(wrap for wrap in SHIPPED if (wrap.boards == 2) == double)


def comes_back(loom: Loom, visits: Sequence[Visit]) -> bool:
    """Whether a course ends at the column where it began."""
    return loom.number(visits[0].peg) == loom.number(visits[-1].peg)


def own_slack(lengths_mm: Sequence[float], taut_mm: float) -> Measured:
    """A maker's own slack, and how far it varies, from what her board drew.

    :param lengths_mm: one for each time that she wrapped.
    :param taut_mm: what the same wrap draws taut.
    :raises BadInput: for none, for a length that is not above zero, or a slack below 0.5 or above
        3, which no hand has.
    """
    slacks = [length / taut_mm for length in lengths_mm if math.isfinite(length) and length > 0]
    if not slacks or len(slacks) < len(lengths_mm):
        raise BadInput(
            "the yarn of a wrap test must be a length above zero",
            hint="mark the yarn where the wrap begins and ends, unwind it and measure",
            place=Place(field="measured"),
        )
    mean = fmean(slacks)
    if not LEAST_SLACK <= mean <= MOST_SLACK:
        raise BadInput(
            "no hand draws so much more or less than taut yarn",
            given=f"{mean:.2f} times as much",
            hint="see that board, yarn, wrap and pegs are those that you wrapped",
            place=Place(field="measured"),
        )
    n = len(slacks)
    spread = variance(slacks) if n > 1 else 0.0
    return Measured(mean, math.sqrt((USUAL_SLACK_SD**2 + (n - 1) * spread) / n))
