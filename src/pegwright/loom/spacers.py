"""Spacers: the pieces that hold two boards apart, and the stack that comes nearest to a height.

A maker has spacers of a few thicknesses, as many of each as she likes, and stacks them at both ends
of a double board.  The **gap** (row to row, centre to centre) is larger than the stack by the
**offset**: from each row of pegs to the inner edge of its board, both boards together.  Measure it
once: the gap with no spacers in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

from pegwright.errors import BadInput, NotPossible

__all__ = ["MOST_PIECES", "MOST_THICKNESSES", "Stack", "spacer_stack", "stack_for_gap"]

MOST_PIECES = 8
"""Most pieces in one stack: a higher one would not stand."""

MOST_THICKNESSES = 12
"""Most different thicknesses: with these two limits every stack can be tried."""

_SAME_MM = 1e-9


@dataclass(frozen=True, slots=True)
class Stack:
    """A stack of spacers.

    :param pieces: thicknesses in mm, thickest first; empty where the boards lie directly together.
    :param total_mm: height of the stack.
    :param error_mm: height of the stack less the height wanted: above zero, it is too high.
    """

    pieces: tuple[float, ...]
    total_mm: float
    error_mm: float


def spacer_stack(height_mm: float, thicknesses_mm: Sequence[float], most: int = 6) -> Stack:
    """The stack nearest to a height, every stack of at most ``most`` pieces compared.

    Of stacks equally near the one of fewest pieces is taken, then the higher one, then the one
    with the thickest piece.

    :param height_mm: the height wanted, zero or more.
    :param thicknesses_mm: the thicknesses the maker has; each may be used again and again.
    :param most: most pieces in the stack, 1 to :data:`MOST_PIECES`.
    :raises BadInput: for a height below zero, no thicknesses, thicknesses not above zero, or more
        of them than :data:`MOST_THICKNESSES`.
    """
    if not (math.isfinite(height_mm) and height_mm >= 0):
        raise BadInput("a stack of spacers has a height of zero or more", given=f"{height_mm} mm")
    have = sorted(set(map(float, thicknesses_mm)), reverse=True)
    if not 1 <= len(have) <= MOST_THICKNESSES:
        raise BadInput(
            f"name between 1 and {MOST_THICKNESSES} thicknesses of spacer",
            given=len(have),
            hint="list each thickness once; it may be used again and again",
        )
    if not all(math.isfinite(t) and t > 0 for t in have):
        raise BadInput("a spacer needs a thickness above zero", given=f"{min(have)} mm")
    if not 1 <= most <= MOST_PIECES:
        raise BadInput(f"a stack has between 1 and {MOST_PIECES} pieces", given=most)
    best = Stack((), 0.0, -height_mm)
    for count in range(1, most + 1):
        for pieces in combinations_with_replacement(have, count):
            total = math.fsum(pieces)
            gain = abs(best.error_mm) - abs(total - height_mm)
            same_size = len(best.pieces) == count
            if gain > _SAME_MM or (
                same_size and gain > -_SAME_MM and total > best.total_mm + _SAME_MM
            ):
                best = Stack(pieces, total, total - height_mm)
    return best


def stack_for_gap(
    gap_mm: float, thicknesses_mm: Sequence[float], *, gap_offset_mm: float, most: int = 6
) -> Stack:
    """The stack that sets the rows as near as can be to a gap.

    :param gap_mm: the gap wanted, row to row, centre to centre.
    :param gap_offset_mm: the gap less the thickness of the spacers: the gap with no spacers in.
    :raises BadInput: as :func:`spacer_stack`, and for an offset below zero.
    :raises NotPossible: where the gap is narrower than the boards stand with no spacers in.
    """
    if not (math.isfinite(gap_offset_mm) and gap_offset_mm >= 0):
        raise BadInput(
            "the offset must be a length of zero or more",
            given=f"{gap_offset_mm} mm",
            hint="measure row to row, centre to centre, with no spacers between the boards",
        )
    if gap_mm < gap_offset_mm - _SAME_MM:
        raise NotPossible(
            "the boards cannot stand so near: the gap is narrower than with no spacers at all",
            given=f"gap {gap_mm:g} mm; with no spacers {gap_offset_mm:g} mm",
            hint="plane the inner edges of the boards, or set the pegs nearer to the edges",
        )
    return spacer_stack(max(gap_mm - gap_offset_mm, 0.0), thicknesses_mm, most)
