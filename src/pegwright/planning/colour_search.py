"""Peg counts and starts at which a yarn's colours stripe, stack or speckle.

Every row of a strip draws the same length of yarn (or, with a wrap of several courses, the same
lengths in turn), so the colours of a whole strip follow from one period of rows: the loop in column
c of row r lies at r row lengths and its own place in the row, modulo the repeat of colour.
Starting the yarn elsewhere in its repeat shifts all of them alike.

A **placement** is scored on the colours of the front face.  Write d for the share of the most
frequent colour of all stitches, and purity for the share of the most frequent colour of one row (or
column), averaged over rows (or columns):

* rows = (row purity - d) / (1 - d): 1 where every row has one colour and the rows differ;
* columns = (column purity - d) / (1 - d): 1 where every column has one colour and they differ;
* change = the share of neighbours, along rows and up columns alike, that differ in colour.

All lie between 0 and 1; a strip of one colour scores 0 throughout.  The effects:

* **stripes** = rows x (1 - columns): whole rows of one colour;
* **stacked** = columns x (1 - rows): colours stand over each other (pooling);
* **speckle** = change x (1 - the greater of rows and columns): colours alternate, in no order.

The scores are Pegwright's own.  Yarn really drawn differs from hand to hand: a stacked effect lives
on rows that are exactly as long as the repeat, and the result says by how much they are not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from pegwright.errors import BadInput, NotPossible, Place
from pegwright.knitting.drawn import circles_with_pins
from pegwright.knitting.wraps import Wrap
from pegwright.loom.board import Loom
from pegwright.loom.taut import taut_path
from pegwright.loom.visit import Visit
from pegwright.units import UnitSystem, require_positive, require_zero_or_more
from pegwright.yarn.colour import ColourRun, along_yarn

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = [
    "MOST_CELLS",
    "ColourSearch",
    "Effect",
    "Placement",
    "RowLayout",
    "Scores",
    "placement_grid",
    "row_layout",
    "search_colours",
]

MOST_CELLS = 2_000_000_000
"""Most stitches, over all peg counts and starts, that one search looks at."""

_MOST_COLOURS = 60
_NM = 1e9
_MM_PER_M = 1000.0


class Effect(StrEnum):
    """What is wanted of the colours; see the module."""

    STRIPES = "stripes"
    STACKED = "stacked"
    SPECKLE = "speckle"


@dataclass(frozen=True, slots=True)
class Scores:
    """The three measures of a grid of colours, each 0 to 1; see the module."""

    rows: float
    columns: float
    change: float

    def of(self, effect: Effect) -> float:
        """The score for an effect."""
        if effect is Effect.STRIPES:
            return self.rows * (1 - self.columns)
        if effect is Effect.STACKED:
            return self.columns * (1 - self.rows)
        return self.change * (1 - max(self.rows, self.columns))


@dataclass(frozen=True, slots=True, eq=False)
class RowLayout:
    """Where the loops of the front face lie along the yarn, from its first end, in metres.

    :param first_m: where the first row begins.
    :param period_m: yarn of one period of rows (one row for each course of the wrap).
    :param middle_m: (rows of a period, columns): the middle of each loop, from the period's start.
    """

    first_m: float
    period_m: float
    middle_m: NDArray[np.float64]

    @property
    def row_m(self) -> float:
        """Yarn of one row, on average over a period."""
        return self.period_m / len(self.middle_m)


@dataclass(frozen=True, slots=True)
class Placement:
    """A peg count, a wrap and a start.

    :param offset_m: where in the repeat the yarn's first end is to lie.
    :param row_m: yarn of one row; ``misses_m`` is how far it is from a whole number of repeats
        (above zero where the row is longer).
    """

    wrap: str
    pegs: int
    offset_m: float
    score: float
    scores: Scores
    row_m: float
    misses_m: float

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """The placement in a sentence or two."""
        start = (
            "Start at the beginning of the repeat"
            if self.offset_m == 0
            else f"Start {along_yarn(self.offset_m, units)} into the repeat"
        )
        return (
            f"{self.pegs} pegs, {self.wrap}: {_verdict(self.score)} ({self.score:.2f}). {start}; "
            f"a row draws {along_yarn(self.row_m, units)}.",
        )


@dataclass(frozen=True, slots=True)
class ColourSearch:
    """The best placements for an effect, the best first: one for each wrap and peg count."""

    effect: Effect
    run: ColourRun
    rows: int
    tried: int
    best: tuple[Placement, ...]

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """What was looked for and what was found, in sentences."""
        lines = [f"Looking for {self.effect} over {self.rows} rows: {self.tried:,} ways tried."]
        lines += [line for placement in self.best for line in placement.words(units)]
        top = self.best[0]
        if self.effect is Effect.STACKED and top.score > 0:
            lines.append(
                f"At {top.pegs} pegs a row is {_misses(top.misses_m, units)}; keep the yarn's "
                "tension even, and let the colours tell you when a row runs long."
            )
        return tuple(lines)

    def as_data(self) -> dict[str, object]:
        """The search as plain data for JSON."""
        return {
            "effect": str(self.effect),
            "rows": self.rows,
            "tried": self.tried,
            "colours": self.run.as_data(),
            "best": [
                {
                    "wrap": p.wrap,
                    "pegs": p.pegs,
                    "offset_m": round(p.offset_m, 6),
                    "score": round(p.score, 6),
                    "rows": round(p.scores.rows, 6),
                    "columns": round(p.scores.columns, 6),
                    "change": round(p.scores.change, 6),
                    "row_m": round(p.row_m, 6),
                    "misses_m": round(p.misses_m, 6),
                }
                for p in self.best
            ],
        }


def row_layout(
    loom: Loom,
    wrap: Wrap,
    pegs: int,
    diameter_mm: float,
    *,
    slack: float = 1.0,
    tail_mm: float = 0.0,
    knot_mm: float = 0.0,
) -> RowLayout:
    """Where the loops of a strip lie along its yarn, as the run of that strip would find them.

    The strip is cast on as garments do: tail, slip loop, one course of cast-on, then rows.

    :param diameter_mm: the yarn's wrapped diameter; ``slack`` is on the wraps alone.
    :raises NotPossible: where the wrap does not fit.
    """
    wrap.fits(loom, pegs)
    courses = len(wrap.courses)
    visits = [wrap.visits(loom, 1, pegs, c + 1) for c in range(courses)]
    # Course 1 is cast on; row 1 is course 2, and so round in turn.
    in_turn = [visits[(r + 1) % courses] for r in range(courses)]
    path = (_knot(loom, visits[0]), *visits[0], *(v for course in in_turn for v in course))
    circles, owner = circles_with_pins(loom, path, diameter_mm)
    lengths = np.bincount(owner, taut_path(circles).drawn_mm, minlength=len(path))
    begin = 1 + len(visits[0])
    drawn_m = lengths[begin:] * (slack / _MM_PER_M)
    middle = np.cumsum(drawn_m) - drawn_m / 2
    place = np.full((courses, pegs), np.nan)
    at = 0
    for row, course in enumerate(in_turn):
        for visit in course:
            if not (loom.is_double and loom.is_back(visit.peg)):
                place[row, loom.number(visit.peg) - 1] = middle[at]
            at += 1
    first_m = (tail_mm + knot_mm + slack * float(lengths[:begin].sum())) / _MM_PER_M
    return RowLayout(first_m, float(drawn_m.sum()), place[:, ~np.isnan(place).any(axis=0)])


def _knot(loom: Loom, cast_on: tuple[Visit, ...]) -> Visit:
    """Where a strip's slip loop hangs; the rule is that of ``garments.blocks.Field.knot``."""
    first, last = cast_on[0], cast_on[-1]
    return last if loom.number(first.peg) == loom.number(last.peg) else first


def placement_grid(
    layout: RowLayout, run: ColourRun, rows: int, offset_m: float
) -> NDArray[np.int16]:
    """The colours of the front face, (rows, columns), row 1 first, for one start."""
    period = layout.middle_m.shape[0]
    row = np.arange(rows)
    at = layout.first_m + (row // period * layout.period_m)[:, None]
    distance = at + layout.middle_m[row % period]
    return run.colours_at(distance + offset_m)


def search_colours(
    loom: Loom,
    wraps: Sequence[Wrap],
    diameter_mm: float,
    run: ColourRun,
    effect: Effect,
    *,
    pegs: Iterable[int] | None = None,
    starts: int = 64,
    rows: int = 60,
    best: int = 5,
    slack: float = 1.0,
    tail_mm: float = 0.0,
    knot_mm: float = 0.0,
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> ColourSearch:
    """Look through peg counts and starts for an effect.

    :param run: the yarn's colours; its own offset is passed over, for starts are what is sought.
    :param wraps: wraps to try; peg counts that one does not fit are passed over.
    :param pegs: peg counts to try; all of the loom from 4 up where none are given.
    :param starts: starts to try, evenly over one repeat.
    :param rows: rows of the strip to look at.
    :param tail_mm: yarn before the slip loop, and in it (``knot_mm``).
    :param progress: told how many peg counts of how many were looked at.
    :param cancelled: asked after each; where it says True, the best of those looked at is given.
    :raises BadInput: naming the field, for a solid or drifting yarn, or counts that cannot be.
    :raises NotPossible: where no peg count fits any wrap, or the search is too large.
    """
    counts = tuple(dict.fromkeys(pegs if pegs is not None else range(4, loom.pegs + 1)))
    _check(run, wraps, counts, starts, rows, best)
    require_positive(slack, "slack")
    require_zero_or_more(tail_mm, "tail_mm")
    require_zero_or_more(knot_mm, "knot_mm")
    fitting = [(wrap, n) for wrap in wraps for n in counts if _fits(wrap, loom, n)]
    if not fitting:
        raise NotPossible(
            "none of these peg counts suits any of these wraps on this board",
            given=f"{', '.join(w.name for w in wraps)} on {loom.name}",
            hint="name other peg counts or wraps",
        )
    if sum(n for _, n in fitting) * starts * rows > MOST_CELLS:
        raise NotPossible(
            "this search is too large", given=f"{len(fitting)} peg counts x {starts} x {rows}"
        )
    table = _Starts(run, starts)
    found: list[Placement] = []
    for wrap, n in fitting:
        if progress is not None:
            progress(len(found), len(fitting))
        layout = row_layout(
            loom, wrap, n, diameter_mm, slack=slack, tail_mm=tail_mm, knot_mm=knot_mm
        )
        found.append(_best_start(table, layout, wrap, n, rows, effect))
        if cancelled is not None and cancelled():
            break
    tried = len(found) * starts
    found.sort(key=lambda p: (-p.score, p.pegs, p.wrap))
    return ColourSearch(effect, run, rows, tried, tuple(found[:best]))


def _check(
    run: ColourRun,
    wraps: Sequence[Wrap],
    pegs: tuple[int, ...],
    starts: int,
    rows: int,
    best: int,
) -> None:
    if run.is_solid:
        raise BadInput("a yarn of one colour makes no effect of colours", place=Place(field="run"))
    if len(run.colours) > _MOST_COLOURS:
        raise BadInput(
            f"a search takes at most {_MOST_COLOURS} colours",
            given=len(run.colours),
            place=Place(field="run"),
        )
    if run.drift:
        raise BadInput(
            "a search needs a yarn that repeats exactly",
            given=f"drift {run.drift:g}",
            hint="search with drift 0, then look at the picture with the drift in",
            place=Place(field="drift"),
        )
    if not wraps:
        raise BadInput("no wrap to try", place=Place(field="wraps"))
    limits = (
        ("starts", starts, 1, 256),
        ("rows", rows, 2, 10_000),
        ("best", best, 1, 1000),
        ("pegs", min(pegs, default=0), 1, 2000),
    )
    for field, value, least, most in limits:
        if not least <= value <= most:
            raise BadInput(
                f"{field} must be a whole number from {least} to {most}",
                given=value,
                place=Place(field=field),
            )


def _fits(wrap: Wrap, loom: Loom, pegs: int) -> bool:
    try:
        wrap.fits(loom, pegs)
    except NotPossible:
        return False
    return True


# --- all starts at once --------------------------------------------------------------------------


class _Starts:
    """The colours at every start, for any place in the repeat, by looking them up.

    With K even starts, a step apart, the colours of one place at all starts are a sequence that
    only depends on the place modulo the step, moved on by whole steps.  Within a step the sequence
    changes at few places (where a stretch ends, modulo the step), so there are few sequences.
    Lengths are nanometres times K: all whole numbers, as in :class:`ColourRun`.
    """

    def __init__(self, run: ColourRun, starts: int) -> None:
        self.starts = starts
        self.repeat = sum(run.stretch_nm)
        self.colours = len(run.colours)
        ends = np.cumsum(np.array(run.stretch_nm, np.int64)) * starts
        step = self.repeat
        self.cuts = np.unique(np.concatenate(([0], ends % step)))
        at = self.cuts[:, None] + np.arange(2 * starts, dtype=np.int64) * step
        which = np.searchsorted(ends, at % (self.repeat * starts), side="right")
        self.sequences = np.array(run.stretch_colours, np.uint16)[which].astype(np.uint8)
        self.table = np.lib.stride_tricks.sliding_window_view(self.sequences, starts, axis=1)

    def at(self, distance_m: NDArray[np.float64]) -> NDArray[np.uint8]:
        """Colours at distances from the first end, with a last axis of all starts."""
        nm = np.rint(distance_m * _NM).astype(np.int64)
        place = (nm % self.repeat) * self.starts
        moved, within = np.divmod(place, self.repeat)
        kind = np.searchsorted(self.cuts, within, side="right") - 1
        return np.asarray(self.table[kind, moved])

    def offset_m(self, start: int) -> float:
        """How far into the repeat a start lies."""
        return start * self.repeat / self.starts / _NM


def _best_start(
    table: _Starts, layout: RowLayout, wrap: Wrap, pegs: int, rows: int, effect: Effect
) -> Placement:
    period = layout.middle_m.shape[0]
    row = np.arange(rows)
    at = layout.first_m + (row // period * layout.period_m)[:, None]
    measures = _measures(table.at(at + layout.middle_m[row % period]), table.colours)
    scores = [Scores(*map(float, m)) for m in measures.T]
    start = max(range(len(scores)), key=lambda i: (scores[i].of(effect), -i))
    repeat_m = table.repeat / _NM
    return Placement(
        wrap.name,
        pegs,
        table.offset_m(start),
        scores[start].of(effect),
        scores[start],
        layout.row_m,
        layout.row_m - max(1, round(layout.row_m / repeat_m)) * repeat_m,
    )


def _measures(grid: NDArray[np.uint8], colours: int) -> NDArray[np.float64]:
    """The measures rows, columns and change of grids (rows, columns, starts): (3, starts)."""
    rows, columns, starts = grid.shape
    in_row = np.zeros((rows, starts), np.int32)
    in_column = np.zeros((columns, starts), np.int32)
    whole = np.zeros(starts, np.int64)
    for colour in range(colours):
        same = (grid == colour).view(np.uint8)
        by_row = _sum(same, 1)
        np.maximum(in_row, by_row, out=in_row)
        np.maximum(in_column, _sum(same, 0), out=in_column)
        np.maximum(whole, by_row.sum(axis=0), out=whole)
    along = _sum((grid[:, 1:] != grid[:, :-1]).view(np.uint8), 1).sum(axis=0)
    up = _sum((grid[1:] != grid[:-1]).view(np.uint8), 0).sum(axis=0)
    pairs = rows * (columns - 1) + (rows - 1) * columns
    most = whole / (rows * columns)
    rest = np.where(most < 1, 1 - most, 1.0)
    return np.array(
        [
            np.clip((in_row.sum(axis=0) / (rows * columns) - most) / rest, 0, 1),
            np.clip((in_column.sum(axis=0) / (rows * columns) - most) / rest, 0, 1),
            (along + up) / max(pairs, 1),
        ]
    )


def _sum(ones: NDArray[np.uint8], axis: int) -> NDArray[np.int32]:
    return np.asarray(np.add.reduce(ones, axis=axis, dtype=np.int32))


# --- words ---------------------------------------------------------------------------------------


def _verdict(score: float) -> str:
    for least, words in ((0.8, "very clear"), (0.6, "clear"), (0.35, "to be seen"), (0.1, "faint")):
        if score >= least:
            return words
    return "hardly there"


def _misses(length_m: float, units: UnitSystem) -> str:
    if abs(length_m) < 0.005:
        return "a whole number of repeats to within half a centimetre"
    way = "longer" if length_m > 0 else "shorter"
    return f"{along_yarn(abs(length_m), units)} {way} than a whole number of repeats"
