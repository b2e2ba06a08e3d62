"""The taut centre-line of yarn round round pegs: tangents and arcs, exactly.

A *circle* here is the way of the yarn's centre round one peg: its radius is half of peg and yarn
together, (peg diameter + yarn diameter) / 2.  Between two visits the yarn runs straight along the
common tangent that suits both turn senses: an *outer* tangent where both turn the same way, an
*inner* (crossing) tangent where they turn opposite ways.  On the circle it follows an *arc* from
where it arrives to where it departs.  Slack is no part of this; see ``pegwright.loom.wrap_test``.

How it is found: seen along the direction d of the tangent, a circle of turn s (+1 left, -1 right)
and radius r has its centre s·r to the left of the line.  So with D from one centre to the next and
k = s₂r₂ - s₁r₁, in complex numbers D = d · (L + ik): the tangent's length is L = √(|D|² - k²)
and its direction d = D / (L + ik).  One formula serves both kinds of tangent and all radii
(elementary geometry; no constant is taken from elsewhere).

Rules for the edges of the matter:

* an ordinary visit turns by less than one round, [0, 2π); a turn within 1e-9 of a whole round is
  rounding noise and counts as none.  An encircled visit turns by [π, 3π);
* an open path starts and ends at a tangent point: its first and last visit have no arc;
* the same peg twice in a row in the same sense is one more full round, 2πr, and nothing else: the
  full rounds come first, the ordinary arc belongs to the last of such visits;
* the same peg twice in a row in opposite senses is refused: nothing holds the yarn between them;
* circles that overlap too far for the tangent asked of them are refused.

Arrays are of float64, one entry a visit; lengths are in mm, angles in radians, anticlockwise
positive, x to the maker's right and y away from her.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pegwright.errors import BadInput, NotPossible
from pegwright.loom.board import Loom, centres
from pegwright.loom.visit import Visit

__all__ = [
    "MOST_POINTS",
    "Arc",
    "Circles",
    "Line",
    "TautPath",
    "check_yarn_passes",
    "circles_at",
    "circles_for",
    "taut_path",
]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Bools = NDArray[np.bool_]
Scalar = TypeVar("Scalar", bound=np.generic)

MOST_POINTS = 5_000_000
"""Most points that :meth:`TautPath.polyline` will make."""

_FULL = 2.0 * np.pi
_SNAP = 1e-9  # radians; also mm for "the same place" and relative for touching circles
_FARTHEST_MM = 1e6  # one kilometre: farther out is a slip of the keyboard


class Line(NamedTuple):
    """A straight run of yarn, in mm."""

    x0: float
    y0: float
    x1: float
    y1: float


class Arc(NamedTuple):
    """A run of yarn round a peg: centre and radius in mm, angles in radians.

    ``start`` is the angle, seen from the centre, at which the yarn arrives; ``sweep`` is signed,
    positive for a left (anticlockwise) turn, and may be more than a full round.
    """

    cx: float
    cy: float
    r: float
    start: float
    sweep: float


@dataclass(frozen=True, slots=True, eq=False)
class Circles:
    """The circles of a path in visiting order, one entry a visit; read-only arrays, shape (n,).

    :param x: centre, mm.
    :param y: centre, mm.
    :param r: radius of the yarn's centre-line, mm; 0 is a pin.
    :param turn: +1 left (anticlockwise), -1 right (clockwise).
    :param encircled: the yarn goes right round the peg and crosses itself.
    :raises BadInput: for arrays of different lengths, none at all, values that are no numbers,
        negative radii, or turns other than +1 and -1.
    """

    x: Floats
    y: Floats
    r: Floats
    turn: Floats
    encircled: Bools

    def __post_init__(self) -> None:
        for name in ("x", "y", "r", "turn"):
            object.__setattr__(self, name, _read_only(getattr(self, name), np.float64))
        object.__setattr__(self, "encircled", _read_only(self.encircled, np.bool_))
        shapes = {getattr(self, name).shape for name in ("x", "y", "r", "turn", "encircled")}
        if len(shapes) != 1 or self.x.ndim != 1:
            raise BadInput(
                "every visit needs one centre, one radius, one turn and one mark of encircling",
                given=", ".join(map(str, sorted(shapes))),
                hint="give five rows of numbers of the same length",
            )
        if self.x.size == 0:
            raise BadInput("a yarn path needs at least one visit", hint="name the first peg")
        for name in ("x", "y", "r"):
            values = getattr(self, name)
            # Written so that a value that is not a number fails as well.
            bad = ~(np.abs(values) <= _FARTHEST_MM)
            if bad.any():
                raise BadInput(
                    "a centre or radius of the yarn path is no usable length",
                    given=f"{name} = {values[bad][0]} mm at visit {int(np.argmax(bad)) + 1}",
                    hint="give plain lengths in millimetres, none above one kilometre",
                )
        if (self.r < 0).any():
            raise BadInput("a radius is below zero", given=f"{self.r.min():g} mm")
        if not (np.abs(self.turn) == 1.0).all():
            raise BadInput("a turn is neither left (+1) nor right (-1)", hint="use Turn")

    def __len__(self) -> int:
        return int(self.x.size)


@dataclass(frozen=True, slots=True, eq=False)
class TautPath:
    """The taut centre-line.  Every array has one entry a visit.

    :param circles: what it goes round.
    :param closed: whether the last visit is joined to the first.
    :param start_mm: shape (n, 2): where the tangent that arrives at visit i leaves the visit
        before it.
    :param end_mm: shape (n, 2): where that tangent arrives on visit i.  In an open path the first
        entry of both is the point at which the yarn starts.
    :param tangent_mm: length of that tangent; 0 for the first visit of an open path.
    :param heading: its direction, radians.
    :param arc: the turning on visit i, radians, never negative.
    :param drawn_mm: yarn drawn to lay visit i: the arc on the visit before and the tangent from it.
        The first entry of an open path is 0; of a closed one it is the arc on the last visit and
        the closing tangent.
    """

    circles: Circles
    closed: bool
    start_mm: Floats
    end_mm: Floats
    tangent_mm: Floats
    heading: Floats
    arc: Floats
    drawn_mm: Floats

    @property
    def length_mm(self) -> float:
        """The whole length, mm; the sum of ``drawn_mm``."""
        return float(self.drawn_mm.sum())

    def segments(self) -> Iterator[Line | Arc]:
        """Lines and arcs in the order in which the yarn runs, those of no length left out.

        A closed path begins with the tangent from the last visit to the first.
        """
        c = self.circles
        starts, ends = self.start_mm.tolist(), self.end_mm.tolist()
        begin = (self.heading - c.turn * (np.pi / 2)).tolist()
        sweep = (c.turn * self.arc).tolist()
        rows = zip(self.tangent_mm.tolist(), c.x.tolist(), c.y.tolist(), c.r.tolist(), strict=True)
        for i, (length, cx, cy, r) in enumerate(rows):
            if length > 0:
                yield Line(*starts[i], *ends[i])
            if r > 0 and sweep[i] != 0:
                yield Arc(cx, cy, r, begin[i], sweep[i])

    def polyline(self, step_mm: float) -> Floats:
        """Points along the path, shape (m, 2), mm, no two neighbours farther apart than the step.

        Distances are measured along the yarn.  Every tangent point is among them; a closed path
        ends where it begins.

        :raises BadInput: for a step that is not a length above zero, or so small that more than
            :data:`MOST_POINTS` points would be needed.
        """
        if not (np.isfinite(step_mm) and step_mm > 0):
            raise BadInput("the step must be a length above zero", given=f"{step_mm} mm")
        c = self.circles
        lengths = np.column_stack((self.tangent_mm, self.arc * c.r)).ravel()
        pieces = np.ceil(lengths / step_mm)
        if pieces.sum() >= MOST_POINTS:
            raise BadInput(
                f"so small a step needs more than {MOST_POINTS:,} points",
                given=f"{step_mm:g} mm",
                hint="take a larger step",
            )
        count = pieces.astype(np.int64)
        which = np.repeat(np.arange(lengths.size), count)
        first = np.cumsum(count) - count
        part = (np.arange(which.size) - first[which] + 1) / count[which]
        visit, on_arc = which // 2, which % 2 == 1
        points = self.start_mm[visit] + part[:, None] * (self.end_mm - self.start_mm)[visit]
        v = visit[on_arc]
        angle = self.heading[v] + c.turn[v] * (part[on_arc] * self.arc[v] - np.pi / 2)
        points[on_arc, 0] = c.x[v] + c.r[v] * np.cos(angle)
        points[on_arc, 1] = c.y[v] + c.r[v] * np.sin(angle)
        return np.concatenate((self.start_mm[:1], points))


def circles_for(loom: Loom, visits: Sequence[Visit], yarn_diameter_mm: float) -> Circles:
    """The circles of visits to a loom's pegs.

    :raises BadInput: for a peg that the loom has not, for yarn of no diameter, or for yarn thicker
        than the clear space between pegs.
    :raises NotPossible: for a peg visited twice in a row in opposite senses.
    """
    n = len(visits)
    return circles_at(
        loom,
        np.fromiter(map(attrgetter("peg"), visits), np.int64, n),
        np.fromiter(map(attrgetter("turn"), visits), np.int64, n),
        np.fromiter(map(attrgetter("encircled"), visits), np.bool_, n),
        yarn_diameter_mm,
    )


def circles_at(
    loom: Loom,
    pegs: ArrayLike,
    turns: ArrayLike,
    encircled: ArrayLike,
    yarn_diameter_mm: float,
) -> Circles:
    """As :func:`circles_for`, from arrays of peg numbers, turns (+1, -1) and marks, each (n,)."""
    check_yarn_passes(loom, yarn_diameter_mm)
    peg = np.asarray(pegs, dtype=np.int64)
    turn = np.asarray(turns, dtype=np.float64)
    wrong = (peg < 0) | (peg >= loom.peg_count)
    if wrong.any():
        loom.address(int(peg[wrong][0]))  # refuses, in the words of the loom
    if peg.shape == turn.shape:
        back = (peg[1:] == peg[:-1]) & (turn[1:] != turn[:-1])
        if back.any():
            at = int(np.argmax(back))
            raise _turns_back(at, loom.address(int(peg[at])))
    table = np.array(centres(loom), dtype=np.float64)
    radius = (loom.peg_diameter_mm + yarn_diameter_mm) / 2
    return Circles(
        table[peg, 0], table[peg, 1], np.full(peg.shape, radius), turn, np.asarray(encircled)
    )


def check_yarn_passes(loom: Loom, yarn_diameter_mm: float) -> None:
    """Refuse yarn that cannot pass between the pegs of a loom.

    The clear space is the pitch less the peg's diameter and, on a double board, the gap less the
    peg's diameter.

    :raises BadInput: for yarn of no diameter, or thicker than the clear space.
    """
    if not (np.isfinite(yarn_diameter_mm) and yarn_diameter_mm > 0):
        raise BadInput(
            "the yarn needs a diameter above zero",
            given=f"{yarn_diameter_mm} mm",
            hint="wind it round a ruler: the diameter is one over the wraps per length",
        )
    spaces = [("pitch", loom.pitch_mm)] if loom.pegs > 1 else []
    if loom.is_double:
        spaces.append(("gap", loom.gap_mm))
    for name, between in spaces:
        # A hair of rounding is allowed, so that a gap of exactly peg and yarn passes.
        if yarn_diameter_mm > (between - loom.peg_diameter_mm) * (1 + _SNAP):
            raise BadInput(
                "yarn thicker than the clear space between pegs",
                given=f"yarn {yarn_diameter_mm:g} mm, {name} {between:g} mm,"
                f" peg {loom.peg_diameter_mm:g} mm",
                hint=f"take thinner yarn, thinner pegs or a board with a wider {name}",
            )


def taut_path(circles: Circles, closed: bool = False) -> TautPath:
    """The taut path round circles in their order.

    :param circles: what the yarn goes round.
    :param closed: join the last visit to the first: the steady state of a course repeated.
    :raises NotPossible: where neighbouring circles overlap too far for the tangent between them
        (nearer than the sum of radii for a crossing one, one within the other for an outer one), or
        where one place is visited twice in a row with different turns or radii.
    """
    centre = circles.x + 1j * circles.y
    signed = circles.turn * circles.r
    step = centre - _before(centre)
    lean = signed - _before(signed)
    repeat = _repeats(circles, step, lean, closed)
    length_sq = step.real**2 + step.imag**2 - lean**2
    tangent = np.sqrt(np.maximum(length_sq, 0.0))
    real = ~repeat
    if not closed:
        real[0] = False
    tangent[~real] = 0.0
    heading = _headings(step, tangent + 1j * lean, real, closed)
    start = centre - step - (signed - lean) * (1j * heading)
    end = centre - signed * (1j * heading)
    if not closed:
        start[0] = end[0]
    arc = _arcs(circles, heading, real, closed)
    drawn = _before(arc * circles.r) + tangent
    if not closed:
        drawn[0] = 0.0
    return TautPath(
        circles=circles,
        closed=closed,
        start_mm=_pairs(start),
        end_mm=_pairs(end),
        tangent_mm=_locked(tangent),
        heading=_locked(np.angle(heading)),
        arc=_locked(arc),
        drawn_mm=_locked(drawn),
    )


def _repeats(circles: Circles, step: Complexes, lean: Floats, closed: bool) -> Bools:
    """Where a visit repeats the one before it; refuses neighbours that no tangent joins."""
    distance = np.abs(step)
    same = distance < _SNAP
    other_turn = circles.turn != _before(circles.turn)
    turned = same & other_turn
    nested = same & ~other_turn & (np.abs(lean) > _SNAP)
    overlap = ~same & (distance < np.abs(lean) * (1 - _SNAP))
    refused = turned | nested | overlap
    if not closed:
        refused[0] = same[0] = False
    if refused.any():
        at = int(np.argmax(refused))
        place = f"({circles.x[at]:g}, {circles.y[at]:g}) mm"
        if turned[at]:
            raise _turns_back((at - 1) % len(circles), place)
        words = "crossing between" if other_turn[at] else "passing along"
        raise NotPossible(
            f"the yarn cannot run straight {words} two circles that overlap",
            given=f"visits {(at - 1) % len(circles) + 1} and {at + 1},"
            f" {distance[at]:g} mm apart, radii {circles.r[at - 1]:g} and {circles.r[at]:g} mm",
            hint="stand the pegs farther apart, or take thinner pegs or yarn",
        )
    return same


def _turns_back(at: int, peg: str) -> NotPossible:
    return NotPossible(
        "the yarn cannot turn back on the same peg: nothing holds it there",
        given=f"visits {at + 1} and {at + 2}, both at {peg}, in opposite senses",
        hint="visit another peg in between, or give both the same turn for one more full round",
    )


def _headings(step: Complexes, across: Complexes, real: Bools, closed: bool) -> Complexes:
    """Unit direction in which the yarn arrives at each visit.

    Where no tangent arrives (a repeat, the start) the direction is that of the tangent before; at
    the start of an open path, of the tangent after; along x where there is no tangent at all.
    """
    heading = np.ones(step.shape, dtype=np.complex128)
    heading[real] = step[real] / across[real]
    heading[real] /= np.abs(heading[real])
    if real.all() or not real.any():
        return heading
    index = np.where(real, np.arange(real.size), -1)
    source = np.maximum.accumulate(index)
    source[source < 0] = index.max() if closed else int(np.argmax(real))
    return heading[source]


def _arcs(circles: Circles, heading: Complexes, real: Bools, closed: bool) -> Floats:
    """The turning on each visit."""
    turned = np.roll(heading, -1) * heading.conj()
    arc = np.arctan2(circles.turn * turned.imag, turned.real)
    arc[arc < -_SNAP] += _FULL
    np.maximum(arc, 0.0, out=arc)
    if circles.encircled.any():
        arc[circles.encircled & (arc < np.pi - _SNAP)] += _FULL
        np.maximum(arc, np.pi, out=arc, where=circles.encircled)
    arc[np.roll(~real, -1)] = _FULL
    if not closed:
        arc[-1] = 0.0
        arc[int(np.argmax(real)) - 1 if real.any() else -1] = 0.0
    return arc


def _before(values: NDArray[Scalar]) -> NDArray[Scalar]:
    """Each visit's value replaced by that of the visit before it, the last before the first."""
    return np.roll(values, 1)


def _read_only(values: ArrayLike, kind: type[Scalar]) -> NDArray[Scalar]:
    try:
        copy = np.array(values, dtype=kind)
    except (TypeError, ValueError) as wrong:
        raise BadInput("the yarn path needs rows of plain numbers", given=values) from wrong
    copy.setflags(write=False)
    return copy


def _locked(values: Floats) -> Floats:
    values.setflags(write=False)
    return values


def _pairs(points: Complexes) -> Floats:
    return _locked(np.column_stack((points.real, points.imag)))
