"""How far pegs may stand off their places before it shows in the fabric.

Each peg's centre is taken to be off by chance, alike in every direction and independent of the
others, with a standard deviation (sd) along each axis.  Two things can go wrong:

* **pairs mis-meet**: a peg and its partner across (on an offset board, a peg and the middle between
  two across) differ along the row by more than an allowed length;
* **loops differ**: the taut yarn drawn for one loop differs from the plan's by more than an allowed
  part of it.

For both the largest sd is found at which a whole board is still right with a given probability.  It
is found twice for the loops: by **linear sensitivity** (how the length of each loop changes with
each of its pegs, to first order) and by **drawing boards by chance** with a fixed seed, every loop
of every board computed exactly by ``pegwright.loom.taut``.  The drilling error that is told is two
sd: nineteen holes in twenty lie nearer (normal distribution).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from pegwright.errors import BadInput, NotPossible, Place
from pegwright.loom.board import Loom, centres
from pegwright.loom.taut import Circles, check_yarn_passes, taut_path
from pegwright.loom.visit import Visit

__all__ = ["LoopSensitivity", "Tolerance", "loop_sensitivity", "tolerance"]

Floats = NDArray[np.float64]

_STEP_MM = 1e-4  # of the differences that sensitivities are taken from
_FARTHEST_MM = 900_000.0  # boards of one long path lie within this, far from one another
_MOST_BOARDS = 400
_SD_FINE = 1e-3  # relative


@dataclass(frozen=True, slots=True)
class LoopSensitivity:
    """How the loops of a wrap change with their pegs.

    :param drawn_mm: yarn of each loop as planned, in visiting order; the first is the one whose
        run comes from the last visit, as in a course repeated.
    :param per_mm: sd of each loop's length, in mm, for each mm of the pegs' sd.
    :param gap_per_mm: how much the whole wrap changes for each mm that the gap is wider; 0 on a
        single row.
    """

    drawn_mm: tuple[float, ...]
    per_mm: tuple[float, ...]
    gap_per_mm: float

    @property
    def parts_per_mm(self) -> tuple[float, ...]:
        """The same as parts of each loop."""
        return tuple(s / d for s, d in zip(self.per_mm, self.drawn_mm, strict=True))


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far off pegs may stand; every sd is along one axis, mm.

    :param part: the part of its length by which a loop may differ.
    :param meet_mm: how far along the row a pair may mis-meet; None on a single row.
    :param confidence: how often a whole board is right at these sd.
    :param meet_sd_mm: largest sd for which pairs meet.
    :param linear_sd_mm: largest sd for the loops, by linear sensitivity.
    :param sampled_sd_mm: the same from boards drawn by chance.
    :param worst: address of the peg whose loop is the most sensitive.
    :param gap_mm: how far the whole gap may be off before every loop differs by so much, together;
        None on a single row.
    :param boards: how many boards were drawn by chance.
    """

    part: float
    meet_mm: float | None
    confidence: float
    meet_sd_mm: float | None
    linear_sd_mm: float
    sampled_sd_mm: float
    worst: str
    gap_mm: float | None
    boards: int

    @property
    def sd_mm(self) -> float:
        """The largest sd at which all is right: the least of those found."""
        found = [self.linear_sd_mm, self.sampled_sd_mm]
        return min([*found, self.meet_sd_mm] if self.meet_sd_mm is not None else found)

    @property
    def drilling_mm(self) -> float:
        """The allowed drilling error along each axis: two sd."""
        return 2 * self.sd_mm

    def as_data(self) -> dict[str, object]:
        """The same as plain data."""
        return {
            "drilling_mm": self.drilling_mm,
            "sd_mm": self.sd_mm,
            "part": self.part,
            "confidence": self.confidence,
            "linear_sd_mm": self.linear_sd_mm,
            "sampled_sd_mm": self.sampled_sd_mm,
            "boards": self.boards,
            "meet_mm": self.meet_mm,
            "meet_sd_mm": self.meet_sd_mm,
            "gap_mm": self.gap_mm,
            "worst": self.worst,
        }


def tolerance(
    loom: Loom,
    visits: Sequence[Visit],
    yarn_diameter_mm: float,
    *,
    part: float = 0.03,
    meet_mm: float | None = None,
    confidence: float = 0.9,
    boards: int = 200,
    seed: int = 1,
    closed: bool = True,
    progress: Callable[[], None] | None = None,
) -> Tolerance:
    """How far off the pegs of a loom may stand.

    :param visits: one course of a wrap.
    :param part: the part of its length by which a loop may differ, above 0 and to 0.5.
    :param meet_mm: how far along the row a pair may mis-meet; a tenth of the pitch where it is left
        out (common practice, no source).
    :param confidence: how often a whole board must be right, above 0 and below 1.
    :param boards: boards drawn by chance, 20 to 400.
    :param closed: the course comes back to where it began.  Of an open one the first two loops are
        left out, which are not whole.
    :param progress: called before all the boards are tried anew; what it raises ends the work.
    :raises BadInput: for values out of their range, or yarn that cannot pass.
    """
    _check(part, meet_mm, confidence, boards)
    check_yarn_passes(loom, yarn_diameter_mm)
    wrap = _Wrap(loom, visits, yarn_diameter_mm, closed)
    sensitivity = _sensitivity(loom, wrap)
    parts = sensitivity.parts_per_mm
    reach = _reach(confidence, len(parts))
    allowed_meet = None
    if loom.is_double:
        allowed_meet = loom.pitch_mm / 10 if meet_mm is None else meet_mm
    linear = part / (reach * max(parts))
    worst = max(range(len(parts)), key=parts.__getitem__)
    gap = sensitivity.gap_per_mm
    whole = math.fsum(sensitivity.drawn_mm)
    return Tolerance(
        part=part,
        meet_mm=allowed_meet,
        confidence=confidence,
        meet_sd_mm=None if allowed_meet is None else _meet_sd(allowed_meet, confidence, loom.pegs),
        linear_sd_mm=linear,
        sampled_sd_mm=_sampled(loom, wrap, part, confidence, boards, seed, linear, progress),
        worst=loom.address(visits[worst + wrap.skipped].peg),
        gap_mm=part * whole / gap if gap > 0 else None,
        boards=boards,
    )


def loop_sensitivity(
    loom: Loom, visits: Sequence[Visit], yarn_diameter_mm: float, closed: bool = True
) -> LoopSensitivity:
    """How each loop of a course changes with the places of its pegs.

    Central differences: every peg is moved both ways along both axes, one path each.

    :param closed: as for :func:`tolerance`.
    """
    return _sensitivity(loom, _Wrap(loom, visits, yarn_diameter_mm, closed))


def _sensitivity(loom: Loom, wrap: _Wrap) -> LoopSensitivity:
    places = np.array(centres(loom), dtype=np.float64)
    plain = wrap.drawn(places)
    squares = np.zeros_like(plain)
    for peg in wrap.pegs:
        for axis in (0, 1):
            step = np.zeros_like(places)
            step[peg, axis] = _STEP_MM
            slope = (wrap.drawn(places + step) - wrap.drawn(places - step)) / (2 * _STEP_MM)
            squares += slope**2
    gap = 0.0
    if loom.is_double:
        step = np.zeros_like(places)
        step[loom.pegs :, 1] = _STEP_MM
        change = wrap.drawn(places + step).sum() - wrap.drawn(places - step).sum()
        gap = float(change) / (2 * _STEP_MM)
    return LoopSensitivity(tuple(plain.tolist()), tuple(np.sqrt(squares).tolist()), gap)


class _Wrap:
    """A course whose pegs may be moved about."""

    def __init__(
        self, loom: Loom, visits: Sequence[Visit], yarn_diameter_mm: float, closed: bool
    ) -> None:
        self.closed = closed
        self.skipped = 0 if closed else 2
        if len(visits) < 2 + self.skipped:
            raise BadInput(
                f"a course of a wrap visits {2 + self.skipped} pegs or more", given=len(visits)
            )
        self.pegs = sorted({v.peg for v in visits})
        self._peg = np.array([v.peg for v in visits])
        self._turn = np.array([float(v.turn) for v in visits])
        self._round = np.array([v.encircled for v in visits])
        self._radius = (loom.peg_diameter_mm + yarn_diameter_mm) / 2

    def drawn(self, places: Floats) -> Floats:
        """Yarn of each loop, mm, a closed course joined to itself; places (pegs, 2)."""
        at = places[self._peg]
        path = taut_path(self._circles(at[:, 0], at[:, 1], self._turn, self._round), self.closed)
        return path.drawn_mm[self.skipped :]

    def drawn_many(self, places: Floats) -> Floats:
        """The same for many boards at once: places (boards, pegs, 2) give (boards, loops).

        The boards lie far apart in one long path.  A closed course begins with its last two visits,
        so that every loop has its neighbours.
        """
        n = len(self._peg)
        order = np.arange(n)
        if self.closed:
            order = np.concatenate(([n - 2, n - 1], order))
        at = places[:, self._peg[order], :].copy()
        at[:, :, 0] += np.arange(len(places))[:, None] * (_FARTHEST_MM / len(places))
        boards = len(places)
        circles = self._circles(
            at[:, :, 0].ravel(),
            at[:, :, 1].ravel(),
            np.tile(self._turn[order], boards),
            np.tile(self._round[order], boards),
        )
        kept: Floats = taut_path(circles).drawn_mm.reshape(boards, len(order))[:, 2:]
        return kept

    def _circles(self, x: Floats, y: Floats, turn: Floats, encircled: NDArray[np.bool_]) -> Circles:
        return Circles(x, y, np.full(x.shape, self._radius), turn, encircled)


def _sampled(
    loom: Loom,
    wrap: _Wrap,
    part: float,
    confidence: float,
    boards: int,
    seed: int,
    start_mm: float,
    progress: Callable[[], None] | None,
) -> float:
    """The largest sd at which the share of boards with every loop in order is the confidence.

    The same chance is used for every sd, so that the answer is found by halving.
    """
    places = np.array(centres(loom), dtype=np.float64)
    plain = wrap.drawn(places)
    chance = np.random.default_rng(seed).standard_normal((boards, *places.shape))

    def holds(sd_mm: float) -> bool:
        if progress is not None:
            progress()
        try:
            drawn = wrap.drawn_many(places + sd_mm * chance)
        except NotPossible:  # pegs so far off that they lie in one another
            return False
        worst = np.abs(drawn / plain - 1).max(axis=1)
        return bool((worst <= part).mean() >= confidence)

    low, high = 0.0, start_mm
    while holds(high) and high < loom.pitch_mm:
        low, high = high, high * 2
    while high - low > _SD_FINE * high:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def _meet_sd(meet_mm: float, confidence: float, pairs: int) -> float:
    """The difference of two pegs along the row has √2 of one peg's sd."""
    return meet_mm / (_reach(confidence, pairs) * math.sqrt(2))


def _reach(confidence: float, count: int) -> float:
    """How many sd lie between the middle and the farthest of so many, so often as the confidence.

    They are taken to be independent; where neighbours share a peg, this is on the safe side
    (Šidák 1967, from memory).
    """
    each = confidence ** (1 / count)
    return NormalDist().inv_cdf((1 + each) / 2)


def _check(part: float, meet_mm: float | None, confidence: float, boards: int) -> None:
    for value, low, high, name in (
        (part, 0.0, 0.5, "part"),
        (confidence, 0.0, 0.9999, "confidence"),
    ):
        if not (math.isfinite(value) and low < value <= high):
            raise BadInput(
                f"{name} lies above {low:g} and to {high:g}",
                given=value,
                hint="0.03 is three hundredths",
                place=Place(field=name),
            )
    if meet_mm is not None and not (math.isfinite(meet_mm) and meet_mm > 0):
        raise BadInput(
            "how far a pair may mis-meet is a length above zero",
            given=f"{meet_mm} mm",
            place=Place(field="meet_mm"),
        )
    if not 20 <= boards <= _MOST_BOARDS:
        raise BadInput(
            f"draw between 20 and {_MOST_BOARDS} boards",
            given=boards,
            place=Place(field="boards"),
        )
