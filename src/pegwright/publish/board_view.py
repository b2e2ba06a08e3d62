"""A board or ring seen from above: which columns are shown, and where its pegs stand on the sheet.

Long boards are broken: runs of columns are drawn, with a break mark between them, so that numbers
stay legible at a phone's width.  The maker sits below the drawing, as she does at the loom.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from pegwright.loom.board import Arrangement, Loom
from pegwright.publish.drawing import Circle, Fill, LineKind, Mark, Path, Rect, Text, text_width
from pegwright.publish.figure_marks import SHEET, peg_from_above

__all__ = ["MOST_COLUMNS", "BoardView", "board_view", "shown_columns"]

MOST_COLUMNS = 12
"""Most columns drawn of one board; more are broken."""

_MARGIN = 24.0
_BREAK = 26.0
_WIDEST_PITCH = 34.0
_NARROWEST_PITCH = 17.0
_TALLEST_GAP = 190.0
_RING_ACROSS = 250.0
_ADDRESS_SIZE = 11.5


@dataclass(frozen=True, slots=True)
class BoardView:
    """Where a loom's pegs stand on the sheet.

    :param loom: the loom as drawn (its gap shortened where ``to_scale`` is false).
    :param runs: runs of columns shown, first and last number, from 1.
    :param scale: units a millimetre.
    :param left: x of the first column, units.
    :param top: y of the farthest row (or of a ring's farthest point), units.
    :param to_scale: whether the gap is drawn to scale with the pitch.
    """

    loom: Loom
    runs: tuple[tuple[int, int], ...]
    scale: float
    left: float
    top: float
    to_scale: bool = True

    @property
    def is_ring(self) -> bool:
        """Whether the pegs stand in a ring."""
        return self.loom.arrangement is Arrangement.RING

    @property
    def depth(self) -> float:
        """From the farthest row to the nearest, units."""
        if self.is_ring:
            return self.loom.pitch_mm * self.scale / math.sin(math.pi / self.loom.pegs)
        return self.loom.gap_mm * self.scale if self.loom.is_double else 0.0

    @property
    def bottom(self) -> float:
        """The y of the nearest row, units."""
        return self.top + self.depth

    @property
    def peg_radius(self) -> float:
        """Radius of a peg, units."""
        return max(self.loom.peg_diameter_mm / 2 * self.scale, 1.4)

    @property
    def half_board(self) -> float:
        """From a row's centre line to the edge of its board, units."""
        return self.peg_radius + 7.0

    def pegs(self) -> tuple[int, ...]:
        """The pegs shown, front row first."""
        return tuple(
            p
            for p in range(self.loom.peg_count)
            if self.is_ring or any(a <= self.loom.number(p) <= b for a, b in self.runs)
        )

    def run_of(self, peg: int) -> int | None:
        """Which run shows a peg, or None."""
        number = self.loom.number(peg)
        return next((i for i, (a, b) in enumerate(self.runs) if a <= number <= b), None)

    def span_mm(self, run: int) -> tuple[float, float]:
        """The part of the loom's x axis that a run shows, mm; outer runs have no outer end."""
        a, b = self.runs[run]
        pitch = self.loom.pitch_mm
        shift = pitch / 4 if self.loom.arrangement is Arrangement.OFFSET else 0.0
        low = -math.inf if run == 0 else (a - 1.5) * pitch + shift
        high = math.inf if run == len(self.runs) - 1 else (b - 0.5) * pitch + shift
        return low, high

    def place(self, x_mm: float, y_mm: float, run: int = 0) -> tuple[float, float]:
        """A point of the loom on the sheet, units, as the given run shows it."""
        if self.is_ring:
            return self.left + x_mm * self.scale, self.bottom - y_mm * self.scale
        before = sum(b - a for a, b in self.runs[:run]) * self.loom.pitch_mm * self.scale
        start = (self.runs[run][0] - 1) * self.loom.pitch_mm
        x = self.left + before + run * self.break_width + (x_mm - start) * self.scale
        return x, self.bottom - y_mm * self.scale

    @property
    def break_width(self) -> float:
        """From the last column of a run to the first of the next, units."""
        return self.loom.pitch_mm * self.scale + _BREAK

    def at(self, peg: int) -> tuple[float, float]:
        """Where a peg that is shown stands on the sheet, units."""
        return self.place(*self.loom.centre(peg), self.run_of(peg) or 0)

    def outwards(self, peg: int, distance: float) -> tuple[float, float]:
        """A point beside a peg, away from the middle of the loom, units."""
        x, y = self.at(peg)
        if self.is_ring:
            cx, cy = self.left, self.top + self.depth / 2
            far = math.hypot(x - cx, y - cy) or 1.0
            return x + (x - cx) / far * distance, y + (y - cy) / far * distance
        return x, y - distance if self.loom.is_back(peg) else y + distance

    def boards(self) -> tuple[Mark, ...]:
        """The wood under the pegs, with break marks."""
        if self.is_ring:
            centre = self.left, self.top + self.depth / 2
            outer = Circle(*centre, self.depth / 2 + self.half_board, LineKind.GUIDE, Fill.SOFT)
            inner = Circle(*centre, self.depth / 2 - self.half_board, LineKind.GUIDE, Fill.PAPER)
            return (outer, inner) if self.depth / 2 > self.half_board else (outer,)
        rows = (False, True) if self.loom.is_double else (False,)
        return tuple(mark for back in rows for mark in self._wood(back))

    def _wood(self, back: bool) -> Iterable[Mark]:
        half, reach = self.half_board, max(self.half_board, self.loom.pitch_mm * self.scale * 0.5)
        for i, (a, b) in enumerate(self.runs):
            make = self.loom.back if back else self.loom.front
            (x1, y), (x2, _) = self.at(make(a)), self.at(make(b))
            yield Rect(x1 - reach, y - half, x2 - x1 + 2 * reach, 2 * half, None, Fill.SOFT, 3)
            if i:
                yield from self._break(x1 - self.break_width / 2, y, half)

    def _break(self, x: float, y: float, half: float) -> Iterable[Mark]:
        for dx in (-4.0, 4.0):
            yield (
                Path(LineKind.DIMENSION)
                .move(x + dx - 3, y + half + 3)
                .curve(x + dx + 6, y + half / 3, x + dx - 6, y - half / 3, x + dx + 3, y - half - 3)
            )

    def peg_marks(self, filled: frozenset[int]) -> tuple[Mark, ...]:
        """The pegs shown, those in ``filled`` filled and the others open."""
        return tuple(
            mark
            for p in self.pegs()
            for mark in peg_from_above(*self.at(p), self.peg_radius, filled=p in filled)
        )

    def addresses(
        self,
        wanted: Iterable[int],
        distance: float,
        words_at: Mapping[int, str] = MappingProxyType({}),
    ) -> tuple[Mark, ...]:
        """Addresses beside the pegs of the wanted columns, leaving out any that would touch.

        ``wanted`` holds numbers in order of weight; ``words_at`` holds words that follow the
        address of a peg, and which are never left out.
        """
        rows = [self.loom.front] + ([self.loom.back] if self.loom.is_double else [])
        pegs = [*words_at, *(make(number) for make in rows for number in wanted)]
        taken: list[tuple[float, float, float]] = []
        marks: list[Mark] = []
        for peg in dict.fromkeys(pegs):
            if not self.is_ring and self.run_of(peg) is None:
                continue
            words = f"{self.loom.address(peg)} {words_at.get(peg, '')}".strip()
            half = text_width(words, _ADDRESS_SIZE) / 2 + 2
            x, y = self.outwards(peg, distance)
            x = min(max(x, half), SHEET - half)
            touching = any(abs(x - tx) < half + th and abs(y - ty) < 13 for tx, ty, th in taken)
            if touching and peg not in words_at:
                continue
            if touching:
                y += 14.0
            taken.append((x, y, half))
            special = peg in words_at
            fill = Fill.INK if special else Fill.QUIET
            marks.append(Text(x, y + 4, words, size=_ADDRESS_SIZE, fill=fill, bold=special))
        return tuple(marks)

    def columns_by_weight(self, also: Iterable[int] = ()) -> tuple[int, ...]:
        """Column numbers worth an address: first, last, ``also``, then every fifth."""
        fifths = range(5, self.loom.pegs, 5)
        return tuple(dict.fromkeys((1, self.loom.pegs, *also, *fifths)))


def shown_columns(pegs: int, turns: Iterable[int] = ()) -> tuple[tuple[int, int], ...]:
    """Runs of columns to draw of a row of ``pegs``.

    ``turns`` are columns after which something changes (the end of the pegs in use); a short run is
    shown about each of the first two of them, where the ends would leave them out.
    """
    if pegs <= MOST_COLUMNS:
        return ((1, pegs),)
    hidden = [t for t in sorted(set(turns)) if 7 < t < pegs - 3][:2]
    if not hidden:
        return ((1, 8), (pegs - 3, pegs))
    wanted = {*range(1, 5), *range(pegs - 2, pegs + 1)}
    for turn in hidden:
        wanted |= {turn - 1, turn, turn + 1}
    runs: list[tuple[int, int]] = []
    for number in sorted(wanted):
        # A break must hide at least two columns, or it hides nothing worth a break.
        if runs and number - runs[-1][1] <= 2:
            runs[-1] = runs[-1][0], number
        else:
            runs.append((number, number))
    return tuple(runs)


def board_view(loom: Loom, top: float, turns: Iterable[int] = ()) -> BoardView:
    """The loom laid out on a sheet, its farthest row at ``top``."""
    if loom.arrangement is Arrangement.RING:
        across_mm = loom.pitch_mm / math.sin(math.pi / loom.pegs)
        return BoardView(loom, ((1, loom.pegs),), _RING_ACROSS / across_mm, SHEET / 2, top)
    runs = shown_columns(loom.pegs, turns)
    steps = sum(b - a + 1 for a, b in runs) - 1
    if loom.arrangement is Arrangement.OFFSET:
        steps += 1
    room = SHEET - 2 * _MARGIN - (len(runs) - 1) * _BREAK
    pitch = min(room / max(steps, 1), _WIDEST_PITCH)
    if loom.is_double:
        tall = _TALLEST_GAP / loom.gap_mm * loom.pitch_mm
        pitch = min(pitch, max(tall, _NARROWEST_PITCH))
    scale = pitch / loom.pitch_mm
    to_scale = not loom.is_double or loom.gap_mm * scale <= _TALLEST_GAP * 1.001
    if not to_scale:
        loom = replace(loom, gap_mm=_TALLEST_GAP / scale)
    width = steps * pitch + (len(runs) - 1) * _BREAK
    return BoardView(loom, runs, scale, (SHEET - width) / 2, top, to_scale)
