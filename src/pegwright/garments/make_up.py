"""What happens to the pieces when they are made up: shapes and edges in millimetres, no layout.

Words used here:

* a **stage** is the work at one moment: one or more outlines, and a sentence that says what was
  done to come there;
* an **outline** is a piece (or several that are joined) lying flat, as a polygon; x runs to the
  right and y upwards, the first row below;
* an **edge** runs from one point of the outline to the next, and its **role** says what it is at
  that moment.

Whoever draws the stages tells the roles apart by kinds of line and by their labels.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from pegwright.errors import BadInput
from pegwright.tongue.said import say

__all__ = ["PLAIN", "Arrow", "Edge", "EdgeRole", "Inner", "MakeUp", "Outline", "Stage", "rectangle"]

Point = tuple[float, float]


class EdgeRole(StrEnum):
    """What an edge is at one moment of the making up."""

    PLAIN = "plain"  # an edge that nothing is done to
    SEAM = "seam"  # two edges sewn together
    FOLD = "fold"  # the cloth is folded here and goes on behind
    GATHER = "gather"  # drawn up on a cord or a length of yarn
    OPENING = "opening"  # two layers that are not joined: a hand, a foot or a head goes in
    LIVE = "live"  # loops that nothing holds for good yet


@dataclass(frozen=True, slots=True)
class Edge:
    """An edge: what it is, and its name, if it is to be named in the drawing."""

    role: EdgeRole = EdgeRole.PLAIN
    label: str = ""


PLAIN = Edge()
"""An edge that nothing is done to and that needs no name."""


@dataclass(frozen=True, slots=True)
class Inner:
    """A line across a piece, such as a fold still to come or a seam that lies inside."""

    start: Point
    end: Point
    edge: Edge


@dataclass(frozen=True, slots=True)
class Arrow:
    """What is moved where: the cloth at ``start`` comes to lie at ``end``."""

    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Outline:
    """A piece lying flat.

    :param points: its corners in mm, anticlockwise, each once.
    :param edges: from each corner to the next, the last back to the first.
    :param layers: layers of cloth, one on the other.
    :param ends: where free ends of a cord come out, in mm.
    :raises BadInput: where corners and edges do not match, or run clockwise.
    """

    points: tuple[Point, ...]
    edges: tuple[Edge, ...]
    layers: int = 1
    inner: tuple[Inner, ...] = ()
    ends: tuple[Point, ...] = ()

    def __post_init__(self) -> None:
        if len(self.points) < 3 or len(self.points) != len(self.edges):
            raise BadInput(
                "an outline has three corners or more, and an edge for each",
                given=f"{len(self.points)} corners, {len(self.edges)} edges",
            )
        if self.area_mm2 <= 0:
            raise BadInput("an outline's corners run anticlockwise", given=list(self.points))

    @property
    def area_mm2(self) -> float:
        """What it covers, in square mm; below zero where the corners run clockwise."""
        ahead = (*self.points[1:], self.points[0])
        return sum(x * y2 - x2 * y for (x, y), (x2, y2) in zip(self.points, ahead, strict=True)) / 2


@dataclass(frozen=True, slots=True)
class Stage:
    """The work at one moment.

    :param caption: a few words under the drawing.
    :param words: what is to be seen, in whole sentences, for people who cannot see it.
    """

    outlines: tuple[Outline, ...]
    caption: str
    words: str
    arrows: tuple[Arrow, ...] = ()


@dataclass(frozen=True, slots=True)
class MakeUp:
    """How pieces become a garment, in stages, and what the edges of the first piece are.

    :param title: what the stages show, as a caption.
    :param bottom: what the cast-on edge is; ``top``, the last row; ``sides``, the side edges.
    :param fold_at: where the piece is folded across, as a part of its length from the cast-on.
    """

    title: str
    stages: tuple[Stage, ...]
    bottom: str = say("cast-on edge")
    top: str = say("last row")
    sides: str = say("side edges")
    fold_at: float | None = None


def rectangle(
    width_mm: float,
    height_mm: float,
    *,
    bottom: Edge = PLAIN,
    right: Edge = PLAIN,
    top: Edge = PLAIN,
    left: Edge = PLAIN,
    layers: int = 1,
    inner: tuple[Inner, ...] = (),
    ends: tuple[Point, ...] = (),
    at: Point = (0.0, 0.0),
) -> Outline:
    """A rectangle with its lower left corner at ``at``."""
    x, y = at
    points = (
        (x, y),
        (x + width_mm, y),
        (x + width_mm, y + height_mm),
        (x, y + height_mm),
    )
    return Outline(points, (bottom, right, top, left), layers, inner, ends)
