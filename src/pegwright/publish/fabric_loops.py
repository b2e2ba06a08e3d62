"""How a knitted stitch looks: the centre line of its yarn, as far as it shows, and its thickness.

A stitch stands in a box one wide and one high, x to the right and y downwards; its feet reach a
little below the box, into the stitch that it came through.  Drawn from the look of knitted fabric
(common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from pegwright.pattern.fabric_view import Stitch

__all__ = ["CURVES", "DEEP_PART", "Curve", "thickness"]

Curve = tuple[tuple[float, float], ...]
"""Cubic curves end to end: a start, then two control points and an end for each."""

DEEP_PART = 0.5
"""Columns narrower than this part of a wale lie deep between the others, and are darker."""

_LEFT_LEG: Curve = ((0.215, -0.06), (0.17, 0.36), (0.33, 0.70), (0.415, 1.10))
_CROSSED_LEG: Curve = ((0.20, -0.02), (0.12, 0.50), (0.50, 0.55), (0.68, 1.04))
_BUMP: Curve = (
    (0.0, 0.84),
    (0.20, 0.96),
    (0.13, 0.30),
    (0.50, 0.30),
    (0.87, 0.30),
    (0.80, 0.96),
    (1.0, 0.84),
)


def _mirrored(curve: Curve) -> Curve:
    return tuple((1 - x, y) for x, y in curve)


CURVES: Mapping[Stitch, tuple[Curve, ...]] = MappingProxyType(
    {
        Stitch.KNIT: (_LEFT_LEG, _mirrored(_LEFT_LEG)),
        Stitch.TWISTED: (_mirrored(_CROSSED_LEG), _CROSSED_LEG),
        Stitch.PURL: (_BUMP,),
    }
)
"""Each kind's yarn, what lies underneath first."""


def thickness(stitch: Stitch, width: float, height: float) -> float:
    """How thick the yarn of a stitch is drawn in a box of that size, in the same unit."""
    if stitch is Stitch.PURL:
        return min(0.46 * height, 0.8 * width)
    return min(0.41 * width, 0.7 * height)
