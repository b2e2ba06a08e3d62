"""A visit: the yarn going round one peg, once, in one sense."""

from __future__ import annotations

from enum import IntEnum
from typing import NamedTuple

__all__ = ["Held", "Turn", "Visit"]


class Turn(IntEnum):
    """The sense in which the yarn turns round a peg, seen from above."""

    LEFT = 1  # anticlockwise
    RIGHT = -1  # clockwise

    @property
    def reversed(self) -> Turn:
        """The other sense."""
        return Turn.RIGHT if self is Turn.LEFT else Turn.LEFT


class Held(IntEnum):
    """Where the yarn is held between two pegs of one row, before it goes round the second."""

    NOWHERE = 0  # it runs straight on
    MIDDLE = 1  # drawn in to the middle line of the row
    INSIDE = 2  # brought to the inner side of the row


class Visit(NamedTuple):
    """One visit of the yarn to a peg.

    :param peg: the peg (a whole number; see :class:`pegwright.loom.board.Loom`).
    :param turn: the sense of the turn.
    :param encircled: the yarn goes right round the peg and crosses itself (as in an e-wrap): the
        arc lies between half a turn and one and a half.  Otherwise it lies between none and one.
    :param held: where the yarn is held between the peg before and this one: by the maker's fingers
        (a u-wrap), or by the loop that is lifted over it (yarn laid flat along one row).
    """

    peg: int
    turn: Turn
    encircled: bool = False
    held: Held = Held.NOWHERE
