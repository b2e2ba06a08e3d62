"""A scene's frames as dots, quickly: few pictures are painted, and uncovered bit by bit.

Each layer of strokes is painted whole, once.  For every dot that it changes, the moment at which
the yarn arrives there is worked out; a frame then uncovers the dots whose moment has come.  Pops
and poses are painted once each.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from pegwright.lesson.bounds import Box, bounds
from pegwright.lesson.raster import svg_dots
from pegwright.lesson.scene import Scene, Stroke
from pegwright.publish.drawing import Drawing, Group, Mark, SvgStyle, svg

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["frame_count", "frames"]


def frame_count(scene: Scene, fps: int) -> int:
    """How many frames the scene has."""
    return round(scene.seconds * fps)


def frames(
    scene: Scene, style: SvgStyle, *, width_px: int, fps: int
) -> Iterator[NDArray[np.uint8]]:
    """The frames in order, each (height, width, 3); the next one is written over the last.

    :raises NotPossible: where a library for it is not installed.
    """
    painter = _Painter(scene, style, width_px)
    canvas, layers = painter.layers()
    window, poses = _pose_dots(painter, scene)
    still = canvas.copy()
    before = -1.0
    for i in range(frame_count(scene, fps)):
        now = i / fps
        for moments, order, dots in layers:
            low, high = np.searchsorted(moments, (before, now), side="right")
            some = order[low:high]
            still.reshape(-1, 3)[some] = dots.reshape(-1, 3)[some]
        before = now
        pose = scene.pose_at(now)
        if pose is None:
            yield still
            continue
        out = still.copy()
        rows = slice(window.top, window.top + window.height)
        out[rows, window.left : window.left + window.width] = poses[pose]
        yield out


_Layer = tuple["NDArray[np.float64]", "NDArray[np.int64]", "NDArray[np.uint8]"]


class _Window(NamedTuple):
    """Part of a picture, in dots."""

    left: int
    top: int
    width: int
    height: int


class _Painter:
    """Paints a scene's marks."""

    def __init__(self, scene: Scene, style: SvgStyle, width_px: int) -> None:
        self.scene, self.style, self.width_px = scene, style, width_px
        self.scale = width_px / scene.width

    def paint(self, marks: tuple[Mark, ...], box: _Window | None = None) -> NDArray[np.uint8]:
        """The marks on paper; only a window of them where one is given."""
        if box is None:
            box = _Window(0, 0, self.width_px, round(self.scene.height * self.scale))
        moved = Group(marks, -box.left / self.scale, -box.top / self.scale)
        # A dot or two more below: the height is rounded when it is painted.
        high = (box.height + 2) / self.scale
        drawing = Drawing(box.width / self.scale, high, (moved,))
        made = svg(drawing, key="frame", title="", desc="", style=self.style)
        return svg_dots(made, box.width, self.style.paper)[: box.height]

    def layers(self) -> tuple[NDArray[np.uint8], list[_Layer]]:
        """The ground, and what is uncovered on it."""
        marks = self.scene.ground
        ground = self.paint(marks)
        layers: list[_Layer] = []
        below = ground
        for over in sorted({s.over for s in self.scene.strokes}):
            strokes = [s for s in self.scene.strokes if s.over == over]
            marks = (*marks, *(s.path() for s in strokes))
            dots = self.paint(marks)
            moments = np.full(dots.shape[:2], np.inf)
            for stroke in strokes:
                self._stamp(moments, stroke)
            layers.append(_sorted(moments, dots, below))
            below = dots
        if self.scene.pops:
            layers += self._pops(marks, below)
        return ground, layers

    def _pops(self, under: tuple[Mark, ...], below: NDArray[np.uint8]) -> list[_Layer]:
        """Pops stand apart from one another, so that all are painted at once."""
        pops = self.scene.pops
        dots = self.paint((*under, *(mark for pop in pops for mark in pop.marks)))
        starts = np.full(dots.shape[:2], np.inf)
        ends = np.full(dots.shape[:2], np.inf)
        for pop in pops:
            box = bounds(pop.marks)
            if box is None:
                continue
            window = self.window(box)
            where = (
                slice(window.top, window.top + window.height),
                slice(window.left, window.left + window.width),
            )
            starts[where] = pop.start_s
            ends[where] = np.inf if pop.end_s is None else pop.end_s
        layers = [_sorted(starts, dots, below)]
        if np.isfinite(ends).any():
            layers.append(_sorted(ends, below, dots))
        return layers

    def window(self, box: Box) -> _Window:
        """The dots that a box lies on."""
        high = round(self.scene.height * self.scale)
        left, top = (max(0, math.floor(v * self.scale) - 1) for v in (box.left, box.top))
        right = min(self.width_px, math.ceil(box.right * self.scale) + 1)
        bottom = min(high, math.ceil(box.bottom * self.scale) + 1)
        return _Window(left, top, max(right - left, 1), max(bottom - top, 1))

    def _stamp(self, moments: NDArray[np.float64], stroke: Stroke) -> None:
        """Write when the stroke arrives at each dot within its width."""
        radius = (stroke.width / 2 + stroke.halo) * self.scale + 1.5
        reach = math.ceil(radius)
        offsets = np.arange(-reach, reach + 1)
        disc = np.hypot(offsets[:, None], offsets[None, :]) <= radius
        dy, dx = (o - reach for o in np.nonzero(disc))
        height, width = moments.shape
        for x, y, at in _even(stroke, self.scale):
            rows, columns = round(y) + dy, round(x) + dx
            inside = (rows >= 0) & (rows < height) & (columns >= 0) & (columns < width)
            where = rows[inside], columns[inside]
            moments[where] = np.minimum(moments[where], at)


def _even(stroke: Stroke, scale: float) -> Iterator[tuple[float, float, float]]:
    """Points along a stroke two dots apart, in dots, with the moment of each."""
    lengths = [math.dist(a, b) for a, b in pairwise(stroke.points)]
    whole = sum(lengths) or 1.0
    done = 0.0
    for (a, b), length in zip(pairwise(stroke.points), lengths, strict=True):
        count = max(1, math.ceil(length * scale / 2))
        for k in range(count + 1):
            part = k / count
            at = stroke.start_s + (stroke.end_s - stroke.start_s) * (done + length * part) / whole
            yield (
                (a[0] + (b[0] - a[0]) * part) * scale,
                (a[1] + (b[1] - a[1]) * part) * scale,
                at,
            )
        done += length


def _sorted(
    moments: NDArray[np.float64], dots: NDArray[np.uint8], below: NDArray[np.uint8]
) -> _Layer:
    """The dots that a layer changes, in the order of their moments."""
    changed = (dots != below).any(axis=2) & np.isfinite(moments)
    where = np.flatnonzero(changed)
    at = moments.ravel()[where]
    order = np.argsort(at, kind="stable")
    return at[order], where[order], dots


def _pose_dots(painter: _Painter, scene: Scene) -> tuple[_Window, list[NDArray[np.uint8]]]:
    """The window that the poses take, and each painted in it; poses alike are painted once."""
    box = bounds(mark for pose in scene.poses for mark in pose.marks)
    if box is None:
        return _Window(0, 0, 1, 1), []
    window = painter.window(box)
    known: dict[tuple[Mark, ...], NDArray[np.uint8]] = {}
    for pose in scene.poses:
        if pose.marks not in known:
            known[pose.marks] = painter.paint((*scene.ground, *pose.marks), window)
    return window, [known[pose.marks] for pose in scene.poses]
