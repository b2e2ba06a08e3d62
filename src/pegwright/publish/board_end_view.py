"""Both boards seen from the left end, to scale: wood cut through, pegs, holes, spacers, bolt."""

from __future__ import annotations

from collections.abc import Iterator

from pegwright.loom.plan import BoardPlan
from pegwright.loom.spec import Join
from pegwright.pattern.board_plan import EndView
from pegwright.publish.drawing import (
    Anchor,
    Drawing,
    Fill,
    Line,
    LineKind,
    Mark,
    Rect,
    Text,
)
from pegwright.publish.figure_marks import SHEET, dimension

__all__ = ["draw_end_view"]

_SIZE = 11.0
_TOP = 40.0
_SIDE = 92.0


def draw_end_view(view: EndView, plan: BoardPlan) -> Drawing:
    """The end view, 360 units wide; the front board is on the left."""
    return _EndDrawing(view, plan).drawing()


class _EndDrawing:
    """Lays the view out; x runs from the front board's outer edge, z up from its underside."""

    def __init__(self, view: EndView, plan: BoardPlan) -> None:
        self.view, self.spec, self.plan = view, plan.spec, plan
        self.double = plan.spec.is_double
        self.stack = plan.stacks[0].stack.total_mm if plan.stacks else 0.0
        self.across = plan.spec.width_mm * (2 if self.double else 1) + self.stack
        self.scale = min((SHEET - 2 * _SIDE) / self.across, 3.2)
        self.left = (SHEET - self.across * self.scale) / 2
        self.ground = _TOP + (self.spec.wood.thickness_mm + self.spec.peg.height_mm) * self.scale

    def x(self, mm: float) -> float:
        return self.left + mm * self.scale

    def z(self, mm: float) -> float:
        return self.ground - mm * self.scale

    def rows(self) -> list[float]:
        """Where the rows of pegs stand."""
        width, offset = self.spec.width_mm, self.spec.row_offset_mm
        if not self.double:
            return [offset]
        return [width - offset, width + self.stack + offset]

    def drawing(self) -> Drawing:
        marks = [*self.wood(), *self.pegs(), *self.bolt(), *self.measures()]
        return Drawing(SHEET, self.ground + 52.0, tuple(marks))

    def wood(self) -> Iterator[Mark]:
        thick, width = self.spec.wood.thickness_mm, self.spec.width_mm
        boards = [(0.0, width)]
        if self.double:
            boards.append((width + self.stack, self.across))
        for a, b in boards:
            box = (self.x(a), self.z(thick), (b - a) * self.scale, thick * self.scale)
            yield Rect(*box, LineKind.OUTLINE, Fill.SOFT)
        at = width
        for piece in self.plan.stacks[0].stack.pieces if self.plan.stacks else ():
            box = (self.x(at), self.z(thick), piece * self.scale, thick * self.scale)
            yield Rect(*box, LineKind.OUTLINE, Fill.PAPER)
            at += piece
        if self.double:
            for words, middle in (("front", width / 2), ("back", self.across - width / 2)):
                # Beside the bolt's line, towards the outer edge.
                shift = -0.22 * width if words == "front" else 0.22 * width
                yield Text(self.x(middle + shift), self.z(thick * 0.14), words, _SIZE, italic=True)

    def pegs(self) -> Iterator[Mark]:
        thick, peg = self.spec.wood.thickness_mm, self.spec.peg
        for row in self.rows():
            for width, low, high, kind in (
                (peg.drill_mm, thick - self.spec.depth_mm, thick, LineKind.DIMENSION),
                (
                    peg.diameter_mm,
                    thick - self.spec.seat_mm,
                    thick + peg.height_mm,
                    LineKind.OUTLINE,
                ),
            ):
                box = (self.x(row - width / 2), self.z(high), width * self.scale,
                       (high - low) * self.scale)  # fmt: skip
                yield Rect(*box, kind, Fill.PAPER, 2.0 if kind is LineKind.OUTLINE else 0.0)
            yield Line(
                self.x(row), self.z(thick + peg.height_mm) - 8, self.x(row), self.z(0) + 8,
                LineKind.FOLD, 0.7,
            )  # fmt: skip

    def bolt(self) -> Iterator[Mark]:
        if not self.double or self.spec.join is not Join.BOLT:
            return
        z = self.z(self.spec.wood.thickness_mm / 2)
        yield Line(self.x(0) - 14, z, self.x(self.across) + 14, z, LineKind.FOLD, 0.7)
        yield Text(self.x(self.across) + 17, z + 4, "bolt", _SIZE, Anchor.START, italic=True)

    def measures(self) -> Iterator[Mark]:
        spec, view = self.spec, self.view
        thick, height = spec.wood.thickness_mm, spec.peg.height_mm
        rows = self.rows()
        left = self.x(0) - 22
        yield from self.up(left, 0, thick, view.thickness)
        yield from self.up(left, thick, thick + height, view.height)
        if self.double:
            y = self.z(thick + height) - 18
            a, b = self.x(rows[0]), self.x(rows[1])
            at = ((a + b) / 2, y - 6)
            yield from dimension(a, y, b, y, f"gap {view.gap}", at=at)
        y = self.z(0) + 18
        a, b = (0.0, spec.width_mm)
        yield from dimension(self.x(a), y, self.x(b), y, "", at=(0, 0))
        yield Text(self.x(a) - 8, y + 4, view.width, _SIZE, Anchor.END)
        y += 20
        edge = spec.width_mm if self.double else 0.0
        ends = sorted((self.x(rows[0]), self.x(edge)))
        yield from dimension(ends[0], y, ends[1], y, "", at=(0, 0))
        words = (
            f"{view.offset}, row to inner edge" if self.double else f"{view.offset}, row to edge"
        )
        yield Text(ends[1] + 8, y + 4, words, _SIZE, Anchor.START)
        if self.double:
            words = f"spacers {view.spacers}"
            yield Text(ends[1] + 8, y - 16, words, _SIZE, Anchor.START)

    def up(self, x: float, low: float, high: float, words: str) -> Iterator[Mark]:
        """An upright measure with its words turned, outside the board."""
        yield from dimension(x, self.z(low), x, self.z(high), "", at=(0, 0))
        parts = words.split(" (")
        for i, line in enumerate([parts[0], *(f"({p}" for p in parts[1:])]):
            yield Text(x - 8, (self.z(low) + self.z(high)) / 2 - 2 + i * 12, line, _SIZE - 1,
                       Anchor.END)  # fmt: skip
