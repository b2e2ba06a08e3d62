"""A visit: the yarn going round one peg, once, in one sense."""

from __future__ import annotations

from enum import IntEnum
from typing import NamedTuple

__all__ = ["Turn", "Visit"]


class Turn(IntEnum):
    """The sense in which the yarn turns round a peg, seen from above."""

    LEFT = 1  # anticlockwise
    RIGHT = -1  # clockwise

    @property
    def reversed(self) -> Turn:
        """The other sense."""
        return Turn.RIGHT if self is Turn.LEFT else Turn.LEFT


class Visit(NamedTuple):
    """One visit of the yarn to a peg.

    :param peg: the peg (a whole number; see :class:`pegwright.loom.board.Loom`).
    :param turn: the sense of the turn.
    :param encircled: the yarn goes right round the peg and crosses itself (as in an e-wrap): the
        arc lies between half a turn and one and a half.  Otherwise it lies between none and one.
    :param inside: the yarn is brought to the inner side of the row before and after this peg (as in
        a u-wrap), held there by the maker's fingers.
    """

    peg: int
    turn: Turn
    encircled: bool = False
    inside: bool = False
