"""The shots of a lesson: which moments of the work are filmed, and what is done before each.

Words used here:

* a **shot** is one stretch of filming; it shows operations ``first`` up to ``last`` of the run;
* the work **before** a shot is what is knitted with the camera off, since the shot before it;
* a **chapter** is a part of the lesson that a watcher may want to go to; shots that follow one
  another in the same chapter belong together.

Shots follow from the script: a step is a shot of its own; a long run of rows is shown at its start
and at its last row; of steps of one kind that follow one another (stripes, panels) the first two
and the last are shown.  What lies on the board comes from playing the script back.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from pegwright.knitting.operations import (
    BindOffOver,
    CutYarn,
    Fold,
    JoinYarn,
    KnitOver,
    LiftOff,
    Move,
    Part,
    PullAnchor,
    Purl,
    SeamCastOn,
    SeamEdges,
    SeamEnds,
    WrapPegs,
)
from pegwright.knitting.replay import Replay
from pegwright.knitting.script import Script, Step, flatten
from pegwright.lesson.on_board import anchored_before, board_words
from pegwright.planning.pace import MAKING_UP

__all__ = ["FEW_ROWS", "Camera", "Shot", "Work", "shots_of"]

FEW_ROWS = 2
"""Rows that are shown of a run of rows, before the camera is turned off."""

_AT_ONCE = 0.2
_QUICK = frozenset({CutYarn, Fold, JoinYarn, Move, PullAnchor})
"""What is done at once takes a fifth of the time of needlework (an assumption, no source)."""


@dataclass(frozen=True, slots=True)
class Camera:
    """Where the camera stands: ``from above`` or ``close``, and why, in words."""

    place: str
    words: str


ABOVE = Camera("from above", "The whole row of pegs in the frame, the maker's hands from below.")
CLOSE = Camera("close", "Three or four pegs fill the frame, a little from the maker's left.")
TABLE = Camera("from above", "The piece lies flat on a plain table, all of it in the frame.")
STITCHES = Camera("close", "Needle and edge fill the frame, so that each stitch can be followed.")


@dataclass(frozen=True, slots=True)
class Work:
    """What is filmed of a step: operations from ``first`` up to ``last``, not with it."""

    step: Step
    first: int
    last: int
    part: str
    """``whole``, ``few rows``, ``last row`` or ``finished``: which part of the step it is."""


@dataclass(frozen=True, slots=True)
class Shot:
    """One shot of the work.

    :param steps: numbers of the written steps it belongs to, those done before it included.
    :param rows_before: rows of the piece that are done when filming starts, and that must be
        knitted before.
    :param rows_after: rows of the piece that are done when it ends.
    :param loops_before: loops that are made with the camera off since the shot before.
    :param loops: loops that are made before the camera.
    :param before_minutes: minutes of that work off camera; ``minutes`` of the work filmed.
    """

    work: Work
    steps: tuple[int, ...]
    piece: str
    rows_before: int
    rows_after: int
    board: str
    board_loops: int
    loops_before: int
    loops: int
    before_minutes: float
    minutes: float
    camera: Camera


def shots_of(script: Script, loops_per_minute: float) -> tuple[Shot, ...]:
    """The shots of a script, in order.

    Loops take their time by the maker's pace; making up (seams, cords through loops, ends) shares
    the minutes that :mod:`pegwright.planning.pace` gives it.
    """
    replay = Replay(script)
    works = list(_works(replay))
    loopless = [w for w in works if _loops_at(replay, w.first) == _loops_at(replay, w.last)]
    share = MAKING_UP.value / max(sum(map(_weight, loopless)), 1e-9)
    shots, at, done = [], 0, -1
    for work in works:
        begun = replay.moment(work.first)
        loops_before = begun.next_loop - _loops_at(replay, at)
        loops = _loops_at(replay, work.last) - begun.next_loop
        steps = tuple(s.number for s in script.steps if done < s.number <= work.step.number)
        shots.append(
            Shot(
                work,
                steps or (work.step.number,),
                work.step.piece,
                _rows(replay, work.step.piece, work.first),
                _rows(replay, work.step.piece, work.last),
                board_words(script.loom, begun, anchored_before(replay, work.first)),
                sum(len(stack) for _, stack in begun.stacks),
                loops_before,
                loops,
                loops_before / loops_per_minute,
                loops / loops_per_minute + (0.0 if loops else share * _weight(work)),
                _camera(work),
            )
        )
        at, done = work.last, work.step.number
    return tuple(shots)


def _weight(work: Work) -> float:
    """How much of the making up a shot takes: one for needlework, less for what is done at once."""
    kinds = {type(o) for o in flatten(work.step.work)}
    return _AT_ONCE if work.part == "finished" or kinds <= _QUICK else 1.0


def _loops_at(replay: Replay, index: int) -> int:
    return replay.moment(index).next_loop


def _rows(replay: Replay, piece: str, index: int) -> int:
    """Rows of a piece that are done before an operation."""
    for before in range(index - 1, -1, -1):
        if replay.locate(before).step.piece == piece:
            return replay.frames(before, 1)[1][0].row
    return 0


# --- which moments -------------------------------------------------------------------------------


def _works(replay: Replay) -> Iterator[Work]:
    """The works that are filmed, in order."""
    for _, alike in groupby(replay.script.steps, lambda s: s.key):
        steps = list(alike)
        for i, step in enumerate(steps):
            last = i == len(steps) - 1
            if len(steps) > 3 and 1 < i < len(steps) - 1:
                continue
            if len(steps) > 3 and last:
                yield from _ending(replay, step)
            else:
                yield from _of_step(replay, step)


def _span(replay: Replay, step: Step) -> tuple[int, int]:
    first = replay.first_of(step.number)
    return first, first + len(flatten(step.work))


def _of_step(replay: Replay, step: Step) -> Iterator[Work]:
    first, last = _span(replay, step)
    if _makes_whole_piece(replay, step):
        yield Work(step, last, last, "finished")
        return
    rows = _row_starts(step, first)
    if len(rows) <= FEW_ROWS + 2 or _has_own_end(step):
        yield Work(step, first, last, "whole")
        return
    yield Work(step, first, rows[FEW_ROWS], "few rows")
    yield Work(step, rows[-1], last, "last row")


def _ending(replay: Replay, step: Step) -> Iterator[Work]:
    """The end of the last of many steps alike."""
    first, last = _span(replay, step)
    if _makes_whole_piece(replay, step):
        yield Work(step, last, last, "finished")
        return
    rows = _row_starts(step, first)
    yield Work(step, rows[-1] if rows else first, last, "last row" if rows else "whole")


def _row_starts(step: Step, first: int) -> list[int]:
    """Where rows begin: the first wrap after each knitting over."""
    starts, open_row = [], False
    for index, operation in enumerate(flatten(step.work), start=first):
        if isinstance(operation, WrapPegs) and not open_row:
            starts.append(index)
            open_row = True
        elif isinstance(operation, KnitOver | Purl):
            open_row = False
    return starts


def _makes_whole_piece(replay: Replay, step: Step) -> bool:
    """Whether a step knits a further piece as one before it was knitted, and takes it off."""
    kinds = {type(o) for o in flatten(step.work)}
    further = step.piece != replay.script.pieces[0].name and step.part is not Part.CORD
    return further and LiftOff in kinds and WrapPegs in kinds


def _has_own_end(step: Step) -> bool:
    """Whether a step begins and ends something by itself, as a cord, and is shown whole."""
    return any(isinstance(o, LiftOff) for o in flatten(step.work))


# --- the camera ----------------------------------------------------------------------------------


def _camera(work: Work) -> Camera:
    kinds = {type(o) for o in flatten(work.step.work)}
    if work.part == "finished" or Fold in kinds:
        return TABLE
    if kinds & {SeamEdges, SeamEnds, SeamCastOn}:
        return STITCHES
    if work.part in ("few rows", "last row"):
        return ABOVE
    if WrapPegs in kinds and KnitOver not in kinds:
        return ABOVE
    if kinds & {KnitOver, Purl, BindOffOver, WrapPegs}:
        return CLOSE
    return CLOSE if kinds else TABLE
