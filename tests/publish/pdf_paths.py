"""Reads the lines of a PDF page back: every path that is painted, in mm from the lower left corner.

Only what these tests need of ISO 32000-1, section 8.5: matrices, paths, forms, no clipping.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pypdf
from pypdf.generic import ContentStream

Matrix = tuple[float, float, float, float, float, float]
Point = tuple[float, float]
_MM = 25.4 / 72
_WITH_NUMBERS = ("cm", "m", "l", "c", "v", "y", "re")


@dataclass(frozen=True)
class Path:
    """A painted path: its points in order, and the letters of the operators that made it."""

    points: tuple[Point, ...]
    operators: str

    @property
    def box(self) -> tuple[float, float, float, float]:
        xs, ys = [p[0] for p in self.points], [p[1] for p in self.points]
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def centre(self) -> Point:
        left, bottom, right, top = self.box
        return (left + right) / 2, (bottom + top) / 2

    @property
    def size(self) -> Point:
        left, bottom, right, top = self.box
        return right - left, top - bottom

    @property
    def is_circle(self) -> bool:
        wide, high = self.size
        if set(self.operators) != set("mch") or not math.isclose(wide, high, abs_tol=0.01):
            return False
        return all(abs(math.dist(self.centre, p) - wide / 2) < 0.01 for p in self.points)


def _times(a: Matrix, b: Matrix) -> Matrix:
    return (
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    )


def paths(page: pypdf.PageObject) -> list[Path]:
    """Every path painted on a page, forms included."""
    contents = page.get_contents()
    assert contents is not None
    start: Matrix = (_MM, 0, 0, _MM, 0, 0)
    return list(_run(contents, page["/Resources"], page.pdf, start))


def _run(stream: Any, resources: Any, pdf: Any, at: Matrix) -> Iterator[Path]:
    stack: list[Matrix] = []
    points: list[Point] = []
    operators = ""
    for operands, operator in ContentStream(stream, pdf).operations:
        word = operator.decode()
        numbers = [float(o) for o in operands] if word in _WITH_NUMBERS else []
        if word == "q":
            stack.append(at)
        elif word == "Q":
            at = stack.pop()
        elif word == "cm":
            at = _times(tuple(numbers), at)  # type: ignore[arg-type]
        elif word == "re":
            x, y, w, h = numbers
            corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
            points += [_place(at, *corner) for corner in corners]
            operators += "mlllh"
        elif word in ("m", "l", "c", "v", "y"):
            # Only a curve's end is kept: the ends of a circle's arcs give its box exactly.
            points.append(_place(at, *numbers[-2:]))
            operators += word
        elif word == "h":
            operators += word
        elif word in ("S", "s", "f", "F", "f*", "B", "B*", "b", "b*"):
            if points:
                yield Path(tuple(points), operators)
            points, operators = [], ""
        elif word == "n":
            points, operators = [], ""
        elif word == "Do":
            form = resources["/XObject"][operands[0]].get_object()
            if form["/Subtype"] == "/Form":
                matrix = tuple(float(v) for v in form.get("/Matrix", (1, 0, 0, 1, 0, 0)))
                inner = form.get("/Resources", resources)
                yield from _run(form, inner, pdf, _times(matrix, at))  # type: ignore[arg-type]


def _place(at: Matrix, x: float, y: float) -> Point:
    return at[0] * x + at[2] * y + at[4], at[1] * x + at[3] * y + at[5]
