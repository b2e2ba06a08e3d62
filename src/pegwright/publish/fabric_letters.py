"""Where the letters of colours stand on a picture of fabric, and which numbers at its edges.

A **patch** is stitches of one colour that hang together along rows and columns.  It carries one
letter if a patch of paper finds room in it, at the widest and tallest place that it has.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby

from pegwright.pattern.fabric_view import FabricView, RulerMark

__all__ = ["MOST_LETTERS", "Letter", "letters", "spaced"]

MOST_LETTERS = 40
"""Most letters on one picture, the largest patches first."""

_ROOM_ACROSS = 22.0
_ROOM_UP = 13.0


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter and the middle of its place, in units from the fabric's top left corner."""

    letter: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Neighbours of one colour in one line: columns ``first`` to ``last``, both included."""

    line: int
    first: int
    last: int
    colour: int


def letters(view: FabricView, edges: Sequence[float], course: float) -> tuple[Letter, ...]:
    """The letters of a view, top left first.

    :param edges: left edge of each column and the right edge of the last, units.
    :param course: height of a line, units.
    """
    stretches = _stretches(view)
    patches = _patches(stretches)
    found: list[tuple[float, Letter]] = []
    for patch in patches:
        area = sum(edges[s.last + 1] - edges[s.first] for s in patch) * course
        if area >= _ROOM_ACROSS * _ROOM_UP:
            spot = _spot(patch, edges, course)
            if spot is not None:
                found.append((area, Letter(view.colours[patch[0].colour].letter, *spot)))
    found.sort(key=lambda f: (-f[0], f[1].y, f[1].x))
    return tuple(sorted((f[1] for f in found[:MOST_LETTERS]), key=lambda s: (s.y, s.x)))


def spaced(
    marks: Sequence[RulerMark],
    place: Callable[[RulerMark], float],
    room: Callable[[RulerMark], float],
) -> tuple[RulerMark, ...]:
    """The marks of a ruler whose words do not touch; the first and the last always stay.

    :param place: the middle of a mark along the ruler; ``room`` is how long its words are.
    """
    kept: list[RulerMark] = []
    for i, mark in enumerate(marks):
        reach = room(mark) / 2 + 2.0

        def clear(other: RulerMark, mark: RulerMark = mark, reach: float = reach) -> bool:
            return abs(place(mark) - place(other)) >= reach + room(other) / 2 + 2.0

        is_end = i in (0, len(marks) - 1)
        if is_end or (clear(kept[-1]) and clear(marks[-1])):
            kept.append(mark)
    return tuple(kept)


def _stretches(view: FabricView) -> list[_Stretch]:
    out = []
    for line, cells in enumerate(view.cells):
        for colour, group in groupby(range(view.columns), key=cells.__getitem__):
            run = list(group)
            if colour >= 0:
                out.append(_Stretch(line, run[0], run[-1], colour))
    return out


def _patches(stretches: list[_Stretch]) -> list[list[_Stretch]]:
    """Stretches that overlap from line to line in one colour, joined (by union and find)."""
    root = list(range(len(stretches)))

    def find(i: int) -> int:
        while root[i] != i:
            root[i] = root[root[i]]
            i = root[i]
        return i

    above: list[int] = []
    now: list[int] = []
    line = -1
    for i, stretch in enumerate(stretches):
        if stretch.line != line:
            above, now = (now if stretch.line == line + 1 else []), []
            line = stretch.line
        for j in above:
            other = stretches[j]
            overlaps = other.first <= stretch.last and stretch.first <= other.last
            if overlaps and other.colour == stretch.colour:
                root[find(i)] = find(j)
        now.append(i)
    patches: dict[int, list[_Stretch]] = {}
    for i, stretch in enumerate(stretches):
        patches.setdefault(find(i), []).append(stretch)
    return list(patches.values())


def _spot(
    patch: list[_Stretch], edges: Sequence[float], course: float
) -> tuple[float, float] | None:
    """The middle of the roomiest stack of lines in a patch, or None where none is roomy enough."""
    need = max(1, round(_ROOM_UP / course + 0.3))
    by_line: dict[int, list[_Stretch]] = {}
    for stretch in patch:
        by_line.setdefault(stretch.line, []).append(stretch)
    best: tuple[float, float, float, float] | None = None
    middle = (min(by_line) + max(by_line)) / 2
    for line in sorted(by_line):
        for left, right in _stack(by_line, line, need):
            across = edges[right + 1] - edges[left]
            if across < _ROOM_ACROSS:
                continue
            centre = line + need / 2
            rank = (min(across, 4 * _ROOM_ACROSS), -abs(centre - middle - 0.5))
            if best is None or rank > best[:2]:
                best = (*rank, (edges[left] + edges[right + 1]) / 2, centre * course)
    return None if best is None else best[2:]


def _stack(by_line: dict[int, list[_Stretch]], line: int, need: int) -> list[tuple[int, int]]:
    """Columns that a patch fills in all of ``need`` lines from a line down."""
    spans = [(s.first, s.last) for s in by_line[line]]
    for lower in range(line + 1, line + need):
        spans = [
            (max(a, s.first), min(b, s.last))
            for a, b in spans
            for s in by_line.get(lower, ())
            if s.first <= b and a <= s.last
        ]
    return spans
