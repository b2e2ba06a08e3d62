"""The wrap test: wrap so many pegs on both boards, measure the yarn.

How much yarn a board draws for a loop settles the size of every stitch on it; so two boards suit
one pattern if the same wrap draws the same length.  Here the length is predicted from the loom, the
gap is found that gives a wanted length, and a board is compared with what a pattern asks for.

Which pegs are wrapped in which order is given from outside, as visits; this room knows no wraps.
A *loop* is one visit of the yarn to a peg.  A wrap is *closed* where it comes back to the peg it
began at, as a course repeated: every loop is then whole.  This is what is meant unless
``closed=False`` is given, for a wrap that ends elsewhere (out along a board and not back).

*Slack* is a plain factor on the taut length (1 = as taut as geometry has it): a maker finds hers as
measured length over predicted length.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from pegwright.errors import BadInput, NotPossible, Place
from pegwright.loom.board import Loom
from pegwright.loom.spacers import Stack, spacer_stack, stack_for_gap
from pegwright.loom.taut import check_yarn_passes, circles_for, taut_path
from pegwright.loom.visit import Visit
from pegwright.units import UnitSystem, format_both

__all__ = [
    "LEAST_SLACK",
    "MOST_SLACK",
    "TOLERANCE",
    "WIDEST_GAP_MM",
    "GapAnswer",
    "Stack",
    "Suitability",
    "WrapOrder",
    "WrapReading",
    "check_board",
    "check_slack",
    "compare",
    "gap_for",
    "measure",
    "narrowest_gap_mm",
    "reading",
    "spacer_stack",
    "stack_for_gap",
]

WrapOrder = Callable[[Loom], Sequence[Visit]]
"""Gives the visits of a wrap on a loom."""

LEAST_SLACK, MOST_SLACK = 0.5, 3
"""Drawn over taut length: beyond these no hand draws (an assumption, no source)."""

WIDEST_GAP_MM = 150.0
"""Widest gap that is looked at, unless another is given: a hand must span it."""

TOLERANCE = 0.03
"""How far the drawn length may be off: yarns of one weight category differ in width by about as
much (common practice, no source)."""

_FAR_BACK = 1.5
"""A closing run so many times longer than any other is a wrap that was left open."""

_GAP_FINE_MM = 1e-10
_LENGTH_FINE = 1e-9


@dataclass(frozen=True, slots=True)
class WrapReading:
    """What a wrap test shows; make one from a measured length with :func:`reading`.

    :param length_mm: yarn once round; for an open wrap, from the first peg to the last.
    :param per_loop_mm: mean yarn from one loop to the next.  A closed wrap of n loops has n such
        runs, an open one n - 1, as the first loop has none before it.
    :param loops: visits to pegs.
    """

    length_mm: float
    per_loop_mm: float
    loops: int


@dataclass(frozen=True, slots=True)
class GapAnswer:
    """A gap, and what the wrap test shows at that gap."""

    gap_mm: float
    reading: WrapReading


@dataclass(frozen=True, slots=True)
class Suitability:
    """Whether a board suits a pattern, and what changes if it does not.

    :param suits: the drawn length is within the tolerance.
    :param ratio: yarn drawn on this board over yarn wanted.
    :param width_change: change of the finished width at the same stitch count, 0.05 being 5 %
        wider.
    :param length_change: change of the finished length at the same row count.
    :param gap_mm: the gap that would mend it; None where there is none or none was looked for.
    :param advice: whole sentences for the maker.
    """

    suits: bool
    ratio: float
    width_change: float
    length_change: float
    gap_mm: float | None
    advice: tuple[str, ...]


def reading(length_mm: float, loops: int, closed: bool = True) -> WrapReading:
    """The reading of a wrap of so many loops that drew so much yarn.

    :raises BadInput: for a length that is not above zero or too few loops.
    """
    least = 1 if closed else 2
    if loops < least:
        raise BadInput(f"a wrap test needs at least {least} loops", given=loops)
    if not (math.isfinite(length_mm) and length_mm > 0):
        raise BadInput(
            "the yarn of a wrap test must be a length above zero",
            given=f"{length_mm} mm",
            hint="mark the yarn where the wrap begins and ends, unwind it and measure",
        )
    return WrapReading(length_mm, length_mm / (loops if closed else loops - 1), loops)


def check_slack(slack: float) -> float:
    """The slack, if a hand can have it.

    :raises BadInput: at the field ``slack``.
    """
    if not LEAST_SLACK <= slack <= MOST_SLACK:
        raise BadInput(
            f"a factor from {LEAST_SLACK:g} to {MOST_SLACK:g} is needed",
            given=slack,
            hint="1 is taut",
            place=Place(field="slack"),
        )
    return slack


def measure(
    loom: Loom,
    visits: Sequence[Visit],
    yarn_diameter_mm: float,
    slack: float = 1.0,
    closed: bool = True,
) -> WrapReading:
    """What the wrap test will show on a loom: the taut length times the slack.

    :param slack: measured length over taut length; 1 is taut.
    :param closed: the wrap comes back to where it began.
    :raises BadInput: as :func:`pegwright.loom.taut.circles_for`, for a slack that is not a number
        above zero, and for a wrap called closed whose end lies far from its beginning.
    :raises NotPossible: as :func:`pegwright.loom.taut.taut_path`.
    """
    if not (math.isfinite(slack) and slack > 0):
        raise BadInput("slack is a factor above zero", given=slack, hint="1 means taut")
    path = taut_path(circles_for(loom, visits, yarn_diameter_mm), closed)
    back, others = float(path.tangent_mm[0]), path.tangent_mm[1:]
    if len(visits) > 2 and back > _FAR_BACK * float(others.max()):
        raise BadInput(
            "the wrap does not come back to where it began",
            given=f"it ends {back:.0f} mm away, at {loom.address(visits[-1].peg)}",
            hint="wrap back to the first peg, or say that the wrap is not closed",
        )
    return reading(path.length_mm * slack, len(visits), closed)


def narrowest_gap_mm(loom: Loom, yarn_diameter_mm: float) -> float:
    """The narrowest gap at which the yarn passes between the boards: peg and yarn side by side.

    From here on, the length of a wrap never falls as the gap widens.  (A taut length changes with
    its pegs as the straight runs alone do, for the points of contact are placed where moving them
    changes nothing.  With D, L and k as in ``pegwright.loom.taut``, a run to the other board rises
    by (D_y·L - D_x·k)/|D|² for each mm of gap; as |k| is at most peg + yarn, so at most D_y, L is
    at least |D_x| and the rise cannot be negative.)  Only a wrap that lets the yarn lose touch with
    a peg jumps there, by a whole round of that peg.
    """
    return loom.peg_diameter_mm + yarn_diameter_mm


def gap_for(
    loom: Loom,
    order: WrapOrder,
    yarn_diameter_mm: float,
    wanted_mm: float,
    slack: float = 1.0,
    closed: bool = True,
    widest_mm: float = WIDEST_GAP_MM,
) -> GapAnswer:
    """The gap at which a wrap draws a wanted length.

    Looked for from :func:`narrowest_gap_mm` to ``widest_mm``, by halving.

    :raises BadInput: for a loom that is not double, a length that is not above zero, yarn too
        thick for the pitch, or limits that leave no gap at all.
    :raises NotPossible: where no gap within the limits gives the length; the hint tells the
        nearest length that there is.
    """
    answer, reached = _nearest(loom, order, yarn_diameter_mm, wanted_mm, slack, closed, widest_mm)
    if not reached:
        low = narrowest_gap_mm(loom, yarn_diameter_mm)
        raise NotPossible(
            "no gap makes this board draw so much yarn, and no more",
            given=f"{wanted_mm:.1f} mm; gaps from {low:.1f} to {widest_mm:.1f} mm",
            hint=f"the nearest is {answer.reading.length_mm:.1f} mm, with the rows"
            f" {answer.gap_mm:.1f} mm apart; or take a board of another pitch",
        )
    return answer


def compare(
    wanted: WrapReading | float,
    found: WrapReading,
    *,
    system: UnitSystem,
    tolerance: float = TOLERANCE,
    gap_mm: float | None = None,
) -> Suitability:
    """Whether a board that shows ``found`` suits a pattern that asks for ``wanted``.

    Stitches and rows to a length are as one over the loop's length (the form of all relaxed-fabric
    relations, such as Munden 1959), so at the same counts the finished width and length change by
    the ratio of the loops.

    :param wanted: what the pattern's wrap test shows, or only its length in mm; for the same number
        of loops.
    :param system: the unit that is told first.
    :param gap_mm: the gap that would mend it, if it is known (see :func:`check_board`).
    :raises BadInput: for different numbers of loops, lengths not above zero, or a tolerance below
        zero.
    """
    if isinstance(wanted, WrapReading) and wanted.loops != found.loops:
        raise BadInput(
            "the two wrap tests have different numbers of loops",
            given=f"{wanted.loops} and {found.loops}",
            hint="wrap the same number of pegs as the pattern does",
        )
    wanted_mm = wanted.length_mm if isinstance(wanted, WrapReading) else wanted
    for length in (wanted_mm, found.length_mm):
        if not (math.isfinite(length) and length > 0):
            raise BadInput("a wrap test draws a length above zero", given=f"{length} mm")
    if not (math.isfinite(tolerance) and tolerance >= 0):
        raise BadInput("the tolerance is a part of the length, 0.03 for 3 %", given=tolerance)
    ratio = found.length_mm / wanted_mm
    suits = abs(ratio - 1) <= tolerance + _LENGTH_FINE
    advice = [_verdict(suits, wanted_mm, found.length_mm, system), _size_words(ratio)]
    if not suits:
        if gap_mm is not None:
            advice.append(
                f"To match the pattern, set the rows {_fine(gap_mm, system)} apart, centre to"
                " centre."
            )
        advice.append(
            f"To keep the size on the board as it stands, work about {100 / ratio:.0f} stitches and"
            f" {100 / ratio:.0f} rows for every 100 of the pattern, and prove it with a swatch."
        )
    return Suitability(suits, ratio, ratio - 1, ratio - 1, None if suits else gap_mm, tuple(advice))


def check_board(
    loom: Loom,
    order: WrapOrder,
    yarn_diameter_mm: float,
    wanted: WrapReading | float,
    *,
    system: UnitSystem,
    slack: float = 1.0,
    tolerance: float = TOLERANCE,
    closed: bool = True,
    widest_mm: float = WIDEST_GAP_MM,
) -> Suitability:
    """As :func:`compare`, with the reading predicted for a loom and the mending gap looked for."""
    found = measure(loom, order(loom), yarn_diameter_mm, slack, closed)
    plain = compare(wanted, found, system=system, tolerance=tolerance)
    if plain.suits or not loom.is_double:
        return plain
    wanted_mm = wanted.length_mm if isinstance(wanted, WrapReading) else wanted
    answer, reached = _nearest(loom, order, yarn_diameter_mm, wanted_mm, slack, closed, widest_mm)
    if reached:
        return compare(wanted, found, system=system, tolerance=tolerance, gap_mm=answer.gap_mm)
    words = (
        "No gap makes this board draw what the pattern asks for: the nearest is"
        f" {format_both(answer.reading.length_mm, system)}, with the rows"
        f" {_fine(answer.gap_mm, system)} apart."
    )
    return replace(plain, advice=(*plain.advice, words))


def _nearest(
    loom: Loom,
    order: WrapOrder,
    yarn_diameter_mm: float,
    wanted_mm: float,
    slack: float,
    closed: bool,
    widest_mm: float,
) -> tuple[GapAnswer, bool]:
    """The gap that comes nearest to the wanted length, and whether it gives it."""
    low, high = narrowest_gap_mm(loom, yarn_diameter_mm), widest_mm
    _check_search(loom, yarn_diameter_mm, wanted_mm, low, high)

    def at(gap_mm: float) -> GapAnswer:
        board = replace(loom, gap_mm=gap_mm)
        return GapAnswer(gap_mm, measure(board, order(board), yarn_diameter_mm, slack, closed))

    def miss(answer: GapAnswer) -> float:
        return answer.reading.length_mm - wanted_mm

    below, above = at(low), at(high)
    while miss(below) < 0 < miss(above) and above.gap_mm - below.gap_mm > _GAP_FINE_MM:
        middle = at((below.gap_mm + above.gap_mm) / 2)
        if miss(middle) < 0:
            below = middle
        else:
            above = middle
    best = min(below, above, key=lambda answer: abs(miss(answer)))
    return best, abs(miss(best)) <= _LENGTH_FINE * max(wanted_mm, 1.0)


def _check_search(
    loom: Loom, yarn_diameter_mm: float, wanted_mm: float, low_mm: float, high_mm: float
) -> None:
    if not loom.is_double:
        raise BadInput(
            "a single row has no gap to set", given=loom.name, hint="give a loom of two boards"
        )
    if not (math.isfinite(wanted_mm) and wanted_mm > 0):
        raise BadInput("the wanted length must be above zero", given=f"{wanted_mm} mm")
    if not (math.isfinite(high_mm) and high_mm > low_mm):
        raise BadInput(
            "the widest gap leaves no room for pegs and yarn",
            given=f"{high_mm:g} mm; pegs and yarn need {low_mm:g} mm",
            hint=f"leave it out to look as far as {WIDEST_GAP_MM:g} mm",
        )
    check_yarn_passes(replace(loom, gap_mm=high_mm), yarn_diameter_mm)


def _fine(gap_mm: float, system: UnitSystem) -> str:
    # To a thirty-second: an eighth of an inch in the gap is a tenth of a common loop.
    return format_both(gap_mm, system, denominator=32)


def _verdict(suits: bool, wanted_mm: float, found_mm: float, system: UnitSystem) -> str:
    lengths = (
        f"the wrap draws {format_both(found_mm, system)}, the pattern asks for"
        f" {format_both(wanted_mm, system)}"
    )
    if suits:
        return f"This board suits the pattern: {lengths}."
    return f"This board does not suit the pattern as it stands: {lengths}."


def _size_words(ratio: float) -> str:
    per_cent = round(abs(ratio - 1) * 100)
    if per_cent == 0:
        return "At the same counts the piece comes out as the pattern says."
    words = "wider and longer" if ratio > 1 else "narrower and shorter"
    return f"At the same counts the piece comes out about {per_cent} % {words}."
