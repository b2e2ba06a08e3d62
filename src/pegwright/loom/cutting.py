"""Cutting parts from lengths of wood: how many lengths to buy, and what is cut from which.

The wood is ripped into **lanes** first (strips as wide as a part, side by side in the width of the
stock), and the lanes are cut across.  Every cut takes a kerf.  Parts go longest first into the
first lane that has room (first fit, decreasing); for parts of one length, which boards and pegs
are, no way of cutting needs fewer lanes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pegwright.errors import BadInput, NotPossible

__all__ = ["CutPlan", "cut_plan"]

_SAME_MM = 1e-6


@dataclass(frozen=True, slots=True)
class CutPlan:
    """How parts are cut.

    :param lanes: lengths cut from each lane, mm, in order.
    :param across: lanes side by side in one length of stock.
    :param lengths: lengths of stock to buy.
    :param shortest_mm: the least length of stock that holds all parts, where wood is sold by the
        length wanted; longer than one length of stock where several are needed.
    """

    lanes: tuple[tuple[float, ...], ...]
    across: int
    lengths: int
    shortest_mm: float


def cut_plan(
    parts_mm: Sequence[float],
    *,
    stock_mm: float,
    kerf_mm: float,
    part_width_mm: float = 1.0,
    stock_width_mm: float = 1.0,
) -> CutPlan:
    """Lay parts out in lengths of stock.

    :param parts_mm: length of every part, one entry each.
    :param stock_mm: length of the stock as it is bought.
    :raises BadInput: for no parts, or a length that is not above zero.
    :raises NotPossible: for a part longer or wider than the stock.
    """
    if not parts_mm or not all(math.isfinite(p) and p > 0 for p in parts_mm):
        raise BadInput("parts to be cut have lengths above zero", given=list(parts_mm)[:5])
    longest = max(parts_mm)
    if longest > stock_mm + _SAME_MM or part_width_mm > stock_width_mm + _SAME_MM:
        raise NotPossible(
            "a part is larger than the stock that it is cut from",
            given=f"{longest:g} by {part_width_mm:g} mm from {stock_mm:g} by {stock_width_mm:g} mm",
            hint="take longer or wider stock",
        )
    across = max(1, math.floor((stock_width_mm + kerf_mm) / (part_width_mm + kerf_mm) + _SAME_MM))
    lanes: list[list[float]] = []
    for part in sorted(parts_mm, reverse=True):
        for lane in lanes:
            if _used(lane, kerf_mm) + kerf_mm + part <= stock_mm + _SAME_MM:
                lane.append(part)
                break
        else:
            lanes.append([part])
    return CutPlan(
        tuple(map(tuple, lanes)),
        across,
        math.ceil(len(lanes) / across),
        _shortest(parts_mm, across, kerf_mm),
    )


def _used(lane: Sequence[float], kerf_mm: float) -> float:
    return math.fsum(lane) + kerf_mm * (len(lane) - 1)


def _shortest(parts_mm: Sequence[float], across: int, kerf_mm: float) -> float:
    """Each part to the lane that is shortest so far; the last cut of each lane is counted too."""
    filled = [0.0] * across
    for part in sorted(parts_mm, reverse=True):
        at = filled.index(min(filled))
        filled[at] += part + kerf_mm
    return max(filled)
