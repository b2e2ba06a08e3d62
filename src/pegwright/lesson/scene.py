"""A moving picture as data: what is drawn when, in seconds, without resolution.

Words used here:

* a **stroke** is a line that is drawn from its start to its end while time goes on, as yarn is;
* a **pop** is something that is there from one moment on (and gone from another);
* a **pose** is one picture of a flip-book: it takes the place of the pose before it.

A scene ends where it began and may be shown again and again.  Its **still** is the moment that is
shown where nothing may move.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import accumulate, pairwise

from pegwright.publish.drawing import LineKind, Mark, Path

__all__ = ["Pop", "Pose", "Scene", "Stroke", "part_of"]

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line drawn from ``start_s`` to ``end_s`` at an even speed, in drawing units.

    :param over: strokes of a higher number lie on those of a lower one.
    """

    points: tuple[Point, ...]
    kind: LineKind
    start_s: float
    end_s: float
    over: int = 0
    halo: float = 0.8

    def path(self, points: tuple[Point, ...] | None = None) -> Path:
        """The whole line, or other points in its manner."""
        first, *rest = self.points if points is None else points
        path = Path(self.kind, width=self.width, halo=self.halo).move(*first)
        steps = (*path.steps, *(("L", point) for point in rest))
        return Path(self.kind, width=self.width, halo=self.halo, steps=steps)

    @property
    def width(self) -> float:
        """Its width, units."""
        return self.kind.width * 1.15


@dataclass(frozen=True, slots=True)
class Pop:
    """Marks that are there from ``start_s`` to ``end_s`` (to the end where that is None)."""

    marks: tuple[Mark, ...]
    start_s: float
    end_s: float | None = None


@dataclass(frozen=True, slots=True)
class Pose:
    """One picture of the flip-book, there until the next one takes its place."""

    marks: tuple[Mark, ...]
    start_s: float


@dataclass(frozen=True, slots=True)
class Scene:
    """A moving picture.

    :param width: and ``height``: of the sheet, units.
    :param ground: what is there all the time.
    :param still_s: the moment that is shown where nothing may move.
    """

    key: str
    title: str
    words: str
    width: float
    height: float
    seconds: float
    ground: tuple[Mark, ...]
    strokes: tuple[Stroke, ...] = ()
    pops: tuple[Pop, ...] = ()
    poses: tuple[Pose, ...] = ()
    still_s: float = 0.0

    def pose_at(self, at_s: float) -> int | None:
        """Which pose is shown, or None before the first."""
        shown = [i for i, pose in enumerate(self.poses) if pose.start_s <= at_s]
        return shown[-1] if shown else None

    def marks_at(self, at_s: float) -> tuple[Mark, ...]:
        """Everything that is to be seen at one moment."""
        marks = list(self.ground)
        for stroke in sorted(self.strokes, key=lambda s: s.over):
            span = stroke.end_s - stroke.start_s
            part = (at_s - stroke.start_s) / span if span > 0 else float(at_s >= stroke.start_s)
            points = part_of(stroke.points, part)
            if len(points) > 1:
                marks.append(stroke.path(points))
        for pop in self.pops:
            if pop.start_s <= at_s and (pop.end_s is None or at_s < pop.end_s):
                marks += pop.marks
        pose = self.pose_at(at_s)
        if pose is not None:
            marks += self.poses[pose].marks
        return tuple(marks)


def part_of(points: tuple[Point, ...], part: float) -> tuple[Point, ...]:
    """The first part of a line, measured along it; nothing for no part, all of it from 1 on."""
    if part <= 0:
        return ()
    if part >= 1:
        return points
    lengths = [math.dist(a, b) for a, b in pairwise(points)]
    reach = part * sum(lengths)
    for i, (done, length) in enumerate(
        zip(accumulate(lengths, initial=0.0), lengths, strict=False)
    ):
        if done + length >= reach and length > 0:
            (ax, ay), (bx, by) = points[i], points[i + 1]
            t = (reach - done) / length
            return (*points[: i + 1], (ax + (bx - ax) * t, ay + (by - ay) * t))
    return points
