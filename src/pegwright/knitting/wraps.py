"""Wraps as data: in what order, and which way round, the yarn visits the pegs of one course.

Words used here:

* a **column** is a place along the board, counted from 1 at the maker's left; on a double board it
  has one peg on each board;
* a **pass** is one way of the yarn along the board, to the right or to the left;
* a **course** is the set of passes after which every peg in use carries one new loop;
* a **stop** is a board letter at a column: ``F`` front (near) or ``B`` back (far).

The yarn goes round the *outside* of every peg, the side away from the gap, so the sense of each
turn follows from the board and the way of travel and never has to be written down:  travelling
right, a front peg is turned to the left and a back peg to the right; travelling left, the reverse.

A wrap's courses are used in turn, course after course, so a wrap that works out and back as two
separate courses (such as an e-wrap on one board) has two.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from pegwright.errors import BadInput, NotPossible
from pegwright.loom.board import Loom
from pegwright.loom.visit import Held, Turn, Visit
from pegwright.tongue.said import say

__all__ = ["SHIPPED", "Cloth", "FirstRow", "Laid", "Pass", "Structure", "Way", "Wrap", "shipped"]


class Way(StrEnum):
    """The way of a pass along the board."""

    RIGHT = "right"
    LEFT = "left"


class Laid(StrEnum):
    """How the yarn is laid on each peg."""

    OUTSIDE = "outside"  # along the outside of the peg, taut from peg to peg
    ROUND = "round"  # right round the peg, crossing itself: a twisted stitch
    INSIDE = "inside"  # brought to the inner side of the row between pegs (a u-wrap)
    FLAT = "flat"  # along one row, drawn in between the pegs by the loops lifted over it


class Structure(StrEnum):
    """The knitted structure, which picks the published constants of relaxed fabric."""

    INTERLOCK = "interlock"  # alternate pegs in each of two passes: two knit faces, tied
    RIB = "rib"  # pegs of both boards in one pass
    PLAIN = "plain"  # one board
    TWISTED = "twisted"  # loops crossed at their feet
    PURL = "purl"  # reverse face forward
    CORD = "cord"


class Cloth(StrEnum):
    """What a piece is, as far as its proof goes."""

    DOUBLE = "double"  # two faces that must be joined
    SINGLE = "single"
    TUBE = "tube"  # two faces joined at both ends only, and meant to be
    CORD = "cord"


class FirstRow(StrEnum):
    """How the first course is held."""

    ANCHORED = "anchored"  # open loops, held by an anchor cord until something else holds them
    CLOSED = "closed"  # each loop is twisted or tied and needs no anchor


@dataclass(frozen=True, slots=True)
class Pass:
    """One pass: at column c the yarn makes the stops of ``columns[(c - 1) % len(columns)]``.

    An entry is a text of board letters in visiting order: ``F``, ``B``, ``FB``, ``BF`` or empty
    (passed by).
    """

    way: Way
    columns: tuple[str, ...]

    def __post_init__(self) -> None:
        if not self.columns or not any(self.columns):
            raise BadInput("a pass must visit at least one peg", given=list(self.columns))
        for entry in self.columns:
            if set(entry) - {"F", "B"} or len(set(entry)) != len(entry):
                raise BadInput(
                    "a pass is written with the board letters F and B, each once a column",
                    given=entry,
                    hint='for example ["B", "F"], or "" for a column that is passed by',
                )

    def stops(self, first: int, last: int) -> Iterator[tuple[int, str]]:
        """The stops between two columns, in visiting order, as (column, board letter)."""
        columns = range(first, last + 1)
        for column in columns if self.way is Way.RIGHT else reversed(columns):
            for board in self.columns[(column - first) % len(self.columns)]:
                yield column, board


@dataclass(frozen=True, slots=True)
class Wrap:
    """A wrap: what a course of it visits, and how its first row and ends behave.

    :param boards: 1 for one row of pegs (a ring too), 2 for a double board.
    :param courses: the passes of each course, used in turn.
    :param multiple: the columns must be a multiple of this …
    :param plus: … plus this (the end rule).
    :param words: how to work it, a sentence or two for the maker.
    """

    name: str
    boards: int
    structure: Structure
    courses: tuple[tuple[Pass, ...], ...]
    laid: Laid = Laid.OUTSIDE
    first_row: FirstRow = FirstRow.ANCHORED
    cloth: Cloth = Cloth.DOUBLE
    purl: bool = False
    multiple: int = 1
    plus: int = 0
    least: int = 1
    words: str = ""

    def __post_init__(self) -> None:
        if not self.courses or not all(self.courses):
            raise BadInput("a wrap needs at least one pass in every course", given=self.name)
        if self.boards == 1 and any("B" in c for p in self.passes() for c in p.columns):
            raise BadInput(
                "a wrap for one row of pegs cannot visit the back board",
                given=self.name,
                hint="say boards = 2, or use only F",
            )

    def passes(self) -> tuple[Pass, ...]:
        """Every pass of every course, in order."""
        return tuple(p for course in self.courses for p in course)

    def fits(self, loom: Loom, columns: int) -> None:
        """Check that the wrap can be worked on so many columns of a loom.

        :raises NotPossible: where it cannot, with the nearest number that can.
        """
        if (self.boards == 2) != loom.is_double:
            kind = "a double board" if self.boards == 2 else "one row of pegs"
            raise NotPossible(
                f"the wrap “{self.name}” needs {kind}",
                given=f"{loom.name} ({loom.arrangement})",
                hint="choose another wrap (see: pegwright list wraps) or another board",
            )
        if loom.pegs < self.least:
            raise NotPossible(
                f"“{self.name}” needs a board of at least {self.least} pegs",
                given=f"{loom.name} with {loom.pegs}",
                hint="choose another wrap (see: pegwright list wraps) or a longer board",
            )
        if not self.least <= columns <= loom.pegs:
            raise NotPossible(
                f"“{self.name}” works on {self.least} to {loom.pegs} pegs of this board",
                given=columns,
                hint="use fewer pegs, a longer board, or panels joined by a seam",
            )
        if (columns - self.plus) % self.multiple:
            below = columns - (columns - self.plus) % self.multiple
            near = [c for c in (below, below + self.multiple) if self.least <= c <= loom.pegs]
            raise NotPossible(
                f"“{self.name}” needs a multiple of {self.multiple} plus {self.plus} pegs",
                given=columns,
                hint=f"try {' or '.join(map(str, near))}" if near else "use a longer board",
            )

    def in_the_round(self) -> Wrap:
        """The same wrap for a ring or a tube: always the same way round."""
        return replace(self, name=f"{self.name}, in the round", courses=self.courses[:1])

    def course(
        self, loom: Loom, first: int, last: int, number: int = 1
    ) -> tuple[tuple[Visit, ...], ...]:
        """The visits of one course between two columns, a tuple for each pass.

        :param number: which course, counted from 1; the wrap's courses are used in turn.
        """
        passes = self.courses[(number - 1) % len(self.courses)]
        return tuple(
            tuple(self._visit(loom, p.way, column, board) for column, board in p.stops(first, last))
            for p in passes
        )

    def visits(self, loom: Loom, first: int, last: int, number: int = 1) -> tuple[Visit, ...]:
        """The visits of one course in one tuple."""
        return tuple(v for p in self.course(loom, first, last, number) for v in p)

    def _visit(self, loom: Loom, way: Way, column: int, board: str) -> Visit:
        peg = loom.back(column) if board == "B" else loom.front(column)
        turn = Turn.LEFT if (way is Way.RIGHT) == (board == "F") else Turn.RIGHT
        return Visit(peg, turn, self.laid is Laid.ROUND, _HELD.get(self.laid, Held.NOWHERE))


_HELD = {Laid.INSIDE: Held.INSIDE, Laid.FLAT: Held.MIDDLE}


def _out(*columns: str) -> Pass:
    return Pass(Way.RIGHT, columns)


def _home(*columns: str) -> Pass:
    return Pass(Way.LEFT, columns)


SHIPPED: tuple[Wrap, ...] = (
    Wrap(
        "double-board stockinette",
        2,
        Structure.INTERLOCK,
        ((_out("B", "F"), _home("F", "B")),),
        least=2,
        words=(
            say(
                "Zigzag from board to board, each crossing going to the next peg along, so that "
                "the pass out takes every other peg of each board; go straight across at the end "
                "and come back over the pegs passed by."
            )
        ),
    ),
    Wrap(
        "double-board rib 1 by 1",
        2,
        Structure.RIB,
        ((_out("FB"),), (_home("FB"),)),
        least=2,
        words=(
            say(
                "Wrap every peg in one pass, front and back in turn, straight across at each pair "
                "and on to the next; come back the same way on the next row."
            )
        ),
    ),
    Wrap(
        "double-board rib 2 by 2",
        2,
        Structure.INTERLOCK,
        ((_out("B", "B", "F", "F"), _home("F", "F", "B", "B")),),
        multiple=4,
        plus=2,
        least=6,
        words=(
            say(
                "Zigzag by twos: two neighbouring pegs of one board, cross, the next two of the "
                "other; go straight across at the end and come back over the pegs passed by."
            )
        ),
    ),
    Wrap(
        "figure eight",
        2,
        Structure.TWISTED,
        ((_out("FB"),), (_home("FB"),)),
        laid=Laid.ROUND,
        first_row=FirstRow.CLOSED,
        least=2,
        words=(
            say(
                "Wrap right round each peg, front and back in turn, so that the yarn crosses "
                "itself between the boards in a figure eight; every stitch is twisted."
            )
        ),
    ),
    Wrap(
        "e-wrap",
        1,
        Structure.TWISTED,
        ((_out("F"),), (_home("F"),)),
        laid=Laid.ROUND,
        first_row=FirstRow.CLOSED,
        cloth=Cloth.SINGLE,
        least=2,
        words=say("Wrap right round each peg in turn, the yarn crossing itself behind the peg."),
    ),
    Wrap(
        "u-wrap",
        1,
        Structure.PLAIN,
        ((_out("F"),), (_home("F"),)),
        laid=Laid.INSIDE,
        cloth=Cloth.SINGLE,
        least=2,
        words=say("Take the yarn round the front of each peg and back inside before the next."),
    ),
    Wrap(
        "flat",
        1,
        Structure.PLAIN,
        ((_out("F"),), (_home("F"),)),
        laid=Laid.FLAT,
        cloth=Cloth.SINGLE,
        least=2,
        words=say(
            "Lay the yarn along the front of the pegs, above the loops, without going round."
        ),
    ),
    Wrap(
        "purl",
        1,
        Structure.PURL,
        ((_out("F"),), (_home("F"),)),
        laid=Laid.FLAT,
        cloth=Cloth.SINGLE,
        purl=True,
        least=2,
        words=(
            say(
                "Lay the yarn below the loop, draw it up through the loop from below, take the old "
                "loop off and put the new one on the peg."
            )
        ),
    ),
    Wrap(
        "two-peg cord",
        2,
        Structure.CORD,
        ((_out("BF"),),),
        cloth=Cloth.CORD,
        words=say("Wrap a figure eight round the two opposing pegs."),
    ),
    Wrap(
        "three-peg cord",
        1,
        Structure.CORD,
        ((_out("F"),),),
        laid=Laid.ROUND,
        first_row=FirstRow.CLOSED,
        cloth=Cloth.CORD,
        least=3,
        words=say(
            "Wrap the three pegs always from the same side, drawing the yarn across the back."
        ),
    ),
)
"""The wraps that come with Pegwright (common practice, no source)."""


def shipped(name: str) -> Wrap:
    """The shipped wrap of that name.

    :raises BadInput: where there is none, with the nearest name.
    """
    for wrap in SHIPPED:
        if wrap.name == name:
            return wrap
    near = difflib.get_close_matches(name, [w.name for w in SHIPPED], n=1, cutoff=0.4)
    raise BadInput(
        "no such wrap",
        given=name,
        hint=f"did you mean “{near[0]}”?" if near else "see: pegwright list wraps",
    )
