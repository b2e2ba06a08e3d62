"""Coloured fabric as it is seen: each face of each piece, flat, and a hood with its strip folded.

A **grid** holds one stitch a cell, in picture order: its first line is the top of the picture, its
first column the left.  Knitting grows upwards, so the cast-on lies at the bottom.

* The **front face** is the one towards the maker on the loom: pegs F (or P), column 1 at the left.
* The **back face** is seen after turning the fabric over about its length: pegs B on a double
  board, the highest column at the left.  One row of pegs shows the backs of its stitches there.
* A **rib** shows the other board's stitches too, as purl columns between the knit ones.
* A **cord** is unrolled: every wale once, side by side.
* A **hood** is the strip folded at its crown, front face outside.  Its left edge is the back seam
  and its right edge frames the face, so the rows up to the fold are the wearer's right side; the
  others, seen the other way up, are the left.

How looms hold fabric is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import IntEnum, StrEnum
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from pegwright.errors import BadInput, NotPossible, Place
from pegwright.knitting.fabric import LoopKind
from pegwright.knitting.run import Run
from pegwright.knitting.wraps import Cloth, Laid, Structure, Wrap
from pegwright.planning.colour import StitchColours
from pegwright.tongue.said import capital, joined, say, say_count, word
from pegwright.units import UnitSystem
from pegwright.yarn.colour import Colour

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = [
    "ColourGrid",
    "Face",
    "HoodSide",
    "Stitch",
    "all_grids",
    "face_grid",
    "face_named",
    "hood_grid",
]

Scalar = TypeVar("Scalar", bound=np.generic)

_HIDDEN = frozenset({"KNOT", "TURN"})
"""Kinds of loops that are no stitch of their own: the slip loop, a wrap at a short row's end."""

_SHOWN_PART = 3
"""The front and back of a hood show this part (a third) of each side."""


class Face(StrEnum):
    """Which face of the fabric."""

    FRONT = "front face"
    BACK = "back face"


class HoodSide(StrEnum):
    """From where a hood is looked at; left and right are the wearer's."""

    FRONT = "front"
    LEFT = "left side"
    RIGHT = "right side"
    BACK = "back"


class Stitch(IntEnum):
    """What a stitch looks like from this side."""

    NONE = 0
    KNIT = 1
    PURL = 2
    TWISTED = 3


_PIECES = {str(name): name for name in (word("piece", "strip"), word("piece", "cord"))}

_VIEWS = {
    str(view): view
    for view in (
        say("front face"),
        say("back face"),
        say("unrolled"),
        say("hood, front"),
        say("hood, left side"),
        say("hood, right side"),
        say("hood, back"),
    )
}


@dataclass(frozen=True, slots=True, eq=False)
class ColourGrid:
    """A view of one piece; arrays are (lines, columns) in picture order.

    :param view: what is seen, as ``front face`` or ``hood, left side``.
    :param colours: the palette that ``index`` points into.
    :param index: colour of each stitch, -1 where there is none.
    :param fraction: the part of the stitch's yarn that has it.
    :param stitch: a :class:`Stitch` each.
    :param rows: the row of each line at the left edge; ``rows_right`` at the right edge.
    :param pegs: the peg of each column, empty where a column shows nothing.
    :param turned: for each column, whether its stitches are seen the other way up.
    :param furrows: columns with a furrow (of a rib, or a seam) at their right.
    """

    piece: str
    view: str
    colours: tuple[Colour, ...]
    index: NDArray[np.int16]
    fraction: NDArray[np.float32]
    stitch: NDArray[np.int8]
    rows: tuple[int, ...]
    rows_right: tuple[int, ...]
    pegs: tuple[str, ...]
    turned: tuple[bool, ...]
    furrows: tuple[int, ...] = ()
    rib: bool = False

    @property
    def lines(self) -> int:
        """How many lines of stitches."""
        return int(self.index.shape[0])

    @property
    def columns(self) -> int:
        """How many columns of stitches."""
        return int(self.index.shape[1])

    @property
    def name(self) -> str:
        """What is seen, as a heading: ``Strip, front face`` or ``Hood, left side``."""
        if self.view.startswith("hood"):
            return capital(_VIEWS.get(self.view, self.view))
        piece, view = _PIECES.get(self.piece, self.piece), _VIEWS.get(self.view, self.view)
        return capital(joined((piece, view), ", "))

    def words(self, units: UnitSystem = UnitSystem.CENTIMETRES) -> tuple[str, ...]:
        """What is seen, and which colours in which rows, from the bottom up."""
        del units  # counts only; every result is asked in the same way
        head = say(
            "{view}: {rows} rows of {stitches} stitches.",
            view=self.name,
            rows=self.lines,
            stitches=self.columns,
        )
        return (head, *_bands(self))

    def as_data(self) -> dict[str, object]:
        """The grid as plain data for JSON, lines from the top."""
        return {
            "piece": self.piece,
            "view": self.view,
            "colours": [{"colour": c.name, "hex": c.hex} for c in self.colours],
            "rows": list(self.rows),
            "rows_right": list(self.rows_right),
            "pegs": list(self.pegs),
            "turned": list(self.turned),
            "lines": self.index.tolist(),
            "stitches": self.stitch.tolist(),
        }


def face_grid(
    run: Run,
    colours: StitchColours,
    piece: str,
    face: Face = Face.FRONT,
    *,
    wrap: Wrap | None = None,
    cast_on: bool = False,
) -> ColourGrid:
    """One face of a piece, flat.

    :param wrap: the wrap that the piece is knitted in, which tells ribs and twisted stitches;
        without it all stitches are plain.
    :param cast_on: show the cast-on loops as a line of their own at the bottom.
    :raises BadInput: where there is no such piece.
    :raises NotPossible: where the piece has no rows.
    """
    number = colours.piece_index(piece)
    cloth = run.script.pieces[number].cloth
    own, other = _boards(run, colours, number, face)
    if cloth is Cloth.CORD:
        order, wrap = own + other[::-1], None
    elif wrap is not None and wrap.structure is Structure.RIB and wrap.boards == 2:
        order = [peg for pair in zip(own, other, strict=True) for peg in pair]
    else:
        order = own
    rib = len(order) > len(own) and cloth is not Cloth.CORD
    index, fraction, stitch, top = _fill(run, colours, number, order, cast_on=cast_on)
    seen_behind = set(other) if cloth is not Cloth.CORD else set()
    if face is Face.BACK and not run.script.loom.is_double and cloth is not Cloth.CORD:
        seen_behind = set(order)
    _look(stitch, [peg in seen_behind for peg in order], wrap)
    rows = tuple(range(top, top - index.shape[0], -1))
    return ColourGrid(
        piece=piece,
        view="unrolled" if cloth is Cloth.CORD else str(face),
        colours=colours.colours,
        index=index,
        fraction=fraction,
        stitch=stitch,
        rows=rows,
        rows_right=rows,
        pegs=tuple(run.script.loom.address(peg) for peg in order),
        turned=(False,) * len(order),
        furrows=_furrows(run, wrap, order) if not rib else (),
        rib=rib,
    )


def hood_grid(
    run: Run,
    colours: StitchColours,
    side: HoodSide,
    *,
    piece: str = "strip",
    wrap: Wrap | None = None,
) -> ColourGrid:
    """A hood made of a folded strip, its front face outside; see the module.

    From the front and from behind a third of each side is seen; the face opening shows nothing.

    :raises NotPossible: where the piece was not folded.
    """
    flat = face_grid(run, colours, piece, wrap=wrap)
    fold = run.piece(piece).folded
    if fold is None or not 0 < fold < flat.lines:
        raise NotPossible(
            f"the {piece} is not folded, so it makes no hood",
            given=run.script.size,
            hint="look at its faces instead",
        )
    right = _lines(flat, slice(flat.lines - fold, flat.lines))
    left = _half_turn(_lines(flat, slice(0, flat.lines - fold)))
    view = f"hood, {side}"
    if side is HoodSide.RIGHT:
        return _named(right, view)
    if side is HoodSide.LEFT:
        return _named(left, view)
    part = max(1, flat.columns // _SHOWN_PART)
    if side is HoodSide.FRONT:
        opening = max(2, part)
        return _beside(_columns(right, -part), _columns(left, part), view, opening)
    return _beside(_columns(left, -part), _columns(right, part), view, 0)


def all_grids(
    run: Run,
    colours: StitchColours,
    *,
    wrap: Wrap | None = None,
    cast_on: bool = False,
    hood: bool = False,
) -> tuple[ColourGrid, ...]:
    """Every view there is of a run: both faces of each piece, and cords.

    :param hood: a folded strip is a hood: show it from its four sides too.
    """
    grids = []
    for spec, done in zip(run.script.pieces, run.pieces, strict=True):
        if not done.rows:
            continue
        faces = (Face.FRONT,) if spec.cloth is Cloth.CORD else tuple(Face)
        grids += [
            face_grid(run, colours, spec.name, face, wrap=wrap, cast_on=cast_on) for face in faces
        ]
        if hood and done.folded is not None and 0 < done.folded < done.rows:
            grids += [hood_grid(run, colours, s, piece=spec.name, wrap=wrap) for s in HoodSide]
    return tuple(grids)


# --- filling a grid -----------------------------------------------------------------------------


def _boards(
    run: Run, colours: StitchColours, piece: int, face: Face
) -> tuple[list[int], list[int]]:
    """The piece's pegs on the board that this face shows, left to right, and on the other board."""
    loom = run.script.loom
    pegs = np.unique(colours.loops.peg[colours.loops.piece == piece])
    if not pegs.size:
        raise NotPossible("this piece has no stitches", given=colours.pieces[piece])
    numbers = pegs % loom.pegs
    columns = range(int(numbers.min()), int(numbers.max()) + 1)
    if face is Face.BACK:
        columns = columns[::-1]
    front = list(columns)
    if not loom.is_double:
        return front, []
    back = [c + loom.pegs for c in columns]
    return (front, back) if face is Face.FRONT else (back, front)


def _fill(
    run: Run, colours: StitchColours, piece: int, order: list[int], *, cast_on: bool
) -> tuple[NDArray[np.int16], NDArray[np.float32], NDArray[np.int8], int]:
    """The arrays of a grid (stitches as their loops are made), and the row of its top line.

    Where a peg was wrapped more than once in a row, the newest loop shows.
    """
    loops = colours.loops
    column = np.full(run.script.loom.peg_count, -1, np.int32)
    column[order] = np.arange(len(order))
    lowest = 0 if cast_on else 1
    hidden = np.isin(loops.kind, [kind for kind in LoopKind if kind.name in _HIDDEN])
    mine = (loops.piece == piece) & ~hidden & (loops.row >= lowest)
    at = np.flatnonzero(mine & (column[loops.peg] >= 0))
    if not at.size:
        raise NotPossible("this piece has no rows", given=colours.pieces[piece])
    top = int(loops.row[at].max())
    shape = (top - lowest + 1, len(order))
    index = np.full(shape, -1, np.int16)
    fraction = np.zeros(shape, np.float32)
    stitch = np.zeros(shape, np.int8)
    cell = (top - loops.row[at], column[loops.peg[at]])
    index[cell] = colours.index[at]
    fraction[cell] = colours.fraction[at]
    stitch[cell] = np.where(loops.kind[at] == LoopKind.PURL, Stitch.PURL, Stitch.KNIT)
    return index, fraction, stitch, top


def _look(stitch: NDArray[np.int8], behind: list[bool], wrap: Wrap | None) -> None:
    """Turn stitches as made into stitches as seen, in place."""
    away = np.array(behind, bool)[None, :] & (stitch != Stitch.NONE)
    stitch[away] = Stitch.KNIT + Stitch.PURL - stitch[away]
    if wrap is not None and wrap.laid is Laid.ROUND:
        stitch[stitch == Stitch.KNIT] = Stitch.TWISTED


def _furrows(run: Run, wrap: Wrap | None, order: list[int]) -> tuple[int, ...]:
    """Columns at whose right a rib's furrow lies: where broad ribs of one pass meet the next's."""
    loom = run.script.loom
    numbers = [loom.number(peg) for peg in order]
    if wrap is None or wrap.boards != 2 or len(numbers) < 2:
        return ()
    passes = wrap.course(loom, min(numbers), max(numbers))
    made_in = {visit.peg: i for i, one in enumerate(passes) for visit in one}
    ribs = [made_in.get(peg, 0) for peg in order]
    changes = [i for i in range(len(ribs) - 1) if ribs[i] != ribs[i + 1]]
    return tuple(changes) if 2 * len(changes) <= len(ribs) else ()


# --- putting grids together ---------------------------------------------------------------------


def _made(grid: ColourGrid, pick: tuple[slice, slice], *, turn: bool = False) -> ColourGrid:
    """Part of a grid, turned half a round where ``turn`` says so."""
    lines, columns = pick
    numbers = range(grid.columns)[columns]
    furrows = [numbers.index(f) for f in grid.furrows if f in numbers and f + 1 in numbers]
    way = -1 if turn else 1
    if turn:
        furrows = [len(numbers) - 2 - f for f in reversed(furrows)]

    def part(values: NDArray[Scalar]) -> NDArray[Scalar]:
        return values[pick][::way, ::way]

    return ColourGrid(
        piece=grid.piece,
        view=grid.view,
        colours=grid.colours,
        index=part(grid.index),
        fraction=part(grid.fraction),
        stitch=part(grid.stitch),
        rows=grid.rows[lines][::way],
        rows_right=grid.rows_right[lines][::way],
        pegs=grid.pegs[columns][::way],
        turned=tuple(t != turn for t in grid.turned[columns][::way]),
        furrows=tuple(furrows),
        rib=grid.rib,
    )


def _lines(grid: ColourGrid, lines: slice) -> ColourGrid:
    return _made(grid, (lines, slice(None)))


def _columns(grid: ColourGrid, count: int) -> ColourGrid:
    """The first ``count`` columns, or the last where it is below zero."""
    return _made(grid, (slice(None), slice(0, count) if count > 0 else slice(count, None)))


def _half_turn(grid: ColourGrid) -> ColourGrid:
    return _made(grid, (slice(None), slice(None)), turn=True)


def _named(grid: ColourGrid, view: str) -> ColourGrid:
    return replace(grid, view=view)


def _beside(one: ColourGrid, other: ColourGrid, view: str, opening: int) -> ColourGrid:
    """Two grids side by side, their tops level, with an opening between; without one, a seam."""
    lines = max(one.lines, other.lines)

    def joined(a: NDArray[Scalar], b: NDArray[Scalar], none: int) -> NDArray[Scalar]:
        out = np.full((lines, a.shape[1] + opening + b.shape[1]), none, a.dtype)
        out[: a.shape[0], : a.shape[1]] = a
        out[: b.shape[0], a.shape[1] + opening :] = b
        return out

    shift = one.columns + opening
    furrows = (*one.furrows, *(f + shift for f in other.furrows))
    return ColourGrid(
        piece=one.piece,
        view=view,
        colours=one.colours,
        index=joined(one.index, other.index, -1),
        fraction=joined(one.fraction, other.fraction, 0),
        stitch=joined(one.stitch, other.stitch, Stitch.NONE),
        rows=one.rows,
        rows_right=other.rows_right,
        pegs=(*one.pegs, *("",) * opening, *other.pegs),
        turned=(*one.turned, *(False,) * opening, *other.turned),
        furrows=furrows if opening else tuple(sorted((*furrows, one.columns - 1))),
        rib=one.rib,
    )


# --- words --------------------------------------------------------------------------------------


def _bands(grid: ColourGrid, most: int = 12) -> tuple[str, ...]:
    """Rows that share their main colour, from the bottom up, as sentences."""
    mains: list[tuple[int, int, str]] = []
    for line in range(grid.lines - 1, -1, -1):
        row = grid.rows[min(line, len(grid.rows) - 1)]
        main = _main_colour(grid, grid.index[line])
        if mains and mains[-1][2] == main:
            mains[-1] = (mains[-1][0], row, main)
        else:
            mains.append((row, row, main))
    shown: Sequence[tuple[int, int, str]] = mains[:most]
    lines = [
        say("Row {row}: {colour}.", row=a, colour=main)
        if a == b
        else say("Rows {first} to {last}: {colour}.", first=a, last=b, colour=main)
        for a, b, main in shown
        if main
    ]
    if len(mains) > most:
        lines.append(
            say_count(
                "{count} more band of colour follows.",
                "{count} more bands of colour follow.",
                len(mains) - most,
            )
        )
    return tuple(lines)


def _main_colour(grid: ColourGrid, line: NDArray[np.int16]) -> str:
    counts = np.bincount(line[line >= 0], minlength=len(grid.colours))
    if not counts.sum():
        return ""
    main = int(counts.argmax())
    share = counts[main] / counts.sum()
    name = grid.colours[main].name
    if share > 0.995:
        return name
    if share >= 0.6:
        return say("mostly {colour}", colour=name)
    return say("mixed, {colour} the most", colour=name)


def face_named(name: str) -> Face:
    """The face of that name, ``front`` or ``back``.

    :raises BadInput: for another name; the field is ``face``.
    """
    for face in Face:
        if name.strip().lower() in (face.value, face.value.split()[0]):
            return face
    raise BadInput("no such face", given=name, hint="say front or back", place=Place(field="face"))
