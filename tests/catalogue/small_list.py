"""A small catalogue that the tests share: three boards, two yarns, two sizes."""

from __future__ import annotations

from dataclasses import replace

from pegwright.designs.files import read_any
from pegwright.designs.model import Design, SizeRequest
from pegwright.garments.base import Wearer
from pegwright.loom.board import Arrangement, Loom
from pegwright.yarn.yarn import Yarn

__all__ = ["BOARDS", "YARNS", "small_design"]

BOARDS = tuple(
    Loom(Arrangement.OPPOSED, pegs, 11.1125, gap_mm, 4.7625, name=name)
    for name, pegs, gap_mm in (("short", 20, 25.4), ("long", 44, 25.4), ("narrow", 44, 18.0))
)

YARNS = (
    Yarn("Slipway worsted", 4, 175.0, invented=True),
    Yarn("Hawser", 6, 60.0, invented=True),
)


def small_design() -> Design:
    """The Tern Point hood in two sizes, small enough to be worked out in a moment."""
    sizes = tuple(
        SizeRequest(name, Wearer.ADULT, {"head": head_mm, "height": 120.0, "depth": 90.0})
        for name, head_mm in (("doll", 250.0), ("bear", 270.0))
    )
    large = SizeRequest("coach", Wearer.ADULT, {"head": 590.0})
    design = read_any("tern-point-hood")
    return replace(design, sizes=(*sizes, large), options={**design.options, "cord_ends": 75.0})
