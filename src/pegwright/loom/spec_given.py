"""A board to build from the measures that somebody gives, each by its name; the rest is as usual.

The names are those of the command's options: ``peg_height``, ``wood_width``, ``bolt_from_end``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from pegwright.loom.board import Arrangement
from pegwright.loom.spec import BoardSpec, Join, PegKind, PegStock, Wood

__all__ = ["LENGTHS", "NAMES", "SpecGiven", "measures_of", "spec_of"]

_PEG = {
    "peg_diameter": "diameter_mm",
    "peg_height": "height_mm",
    "seat": "seat_mm",
    "drill": "hole_mm",
    "rod": "rod_mm",
}
_WOOD = {
    "wood_thickness": "thickness_mm",
    "wood_width": "width_mm",
    "wood_length": "length_mm",
    "kerf": "kerf_mm",
}
_BOARD = {
    "row_offset": "row_offset_mm",
    "end_margin": "end_margin_mm",
    "board_width": "board_width_mm",
    "bolt": "bolt_mm",
    "bolt_from_end": "bolt_from_end_mm",
}

LENGTHS: tuple[str, ...] = (*_PEG, *_WOOD, *_BOARD)
"""The lengths that may be given beside pitch and gap, by name."""

NAMES: Mapping[str, str] = {
    **{f"peg.{inner}": name for name, inner in _PEG.items()},
    **{f"wood.{inner}": name for name, inner in _WOOD.items()},
    **{inner: name for name, inner in _BOARD.items()},
    "pitch_mm": "pitch",
    "gap_mm": "gap",
    "spacers_mm": "spacers",
}
"""What a field of a specification is called when it is given: ``peg.hole_mm`` is ``drill``."""

_SHEET_MM = {"width_mm": 600.0, "length_mm": 600.0}  # of wood for a ring, where none is named


@dataclass(frozen=True, slots=True)
class SpecGiven:
    """What is said of a board to build.

    :param lengths_mm: by the names of :data:`LENGTHS`; what is left out is usual.
    :param wood: what it is; hardwood where nothing is said, and plywood for a ring.
    :param gaps_mm: more gaps to have spacers for; ``spacers_mm`` are their thicknesses.
    :param yarn_mm: thickness of the yarn; 0 where none is known.
    """

    arrangement: Arrangement
    pegs: int
    pitch_mm: float
    gap_mm: float
    lengths_mm: Mapping[str, float]
    peg: PegKind = PegKind.DOWEL
    peg_material: str = ""
    wood: str = ""
    join: Join = Join.BOLT
    gaps_mm: tuple[float, ...] = ()
    spacers_mm: tuple[float, ...] = ()
    yarn_mm: float = 0.0
    name: str = "board"


def spec_of(given: SpecGiven) -> BoardSpec:
    """The board that is asked for.

    :raises BadInput: naming the field of the specification, for a measure that cannot be.
    """
    ring = given.arrangement is Arrangement.RING
    double = given.arrangement in (Arrangement.OPPOSED, Arrangement.OFFSET)
    sheet = _SHEET_MM if ring else {}
    wood = Wood(
        name=given.wood or ("plywood" if ring else "hardwood"), **{**sheet, **_said(given, _WOOD)}
    )
    spec = BoardSpec(
        arrangement=given.arrangement,
        pegs=given.pegs,
        pitch_mm=given.pitch_mm,
        gap_mm=given.gap_mm,
        peg=PegStock(given.peg, material=given.peg_material, **_said(given, _PEG)),
        wood=wood,
        other_gaps_mm=given.gaps_mm if double else (),
        join=given.join,
        yarn_mm=given.yarn_mm,
        name=given.name,
        **_said(given, _BOARD),
    )
    return replace(spec, spacers_mm=given.spacers_mm) if given.spacers_mm else spec


def measures_of(spec: BoardSpec) -> dict[str, float]:
    """Every length of a specification by the name that it is given with, and pitch and gap."""
    found = {name: getattr(spec.peg, inner) for name, inner in _PEG.items()}
    found |= {name: getattr(spec.wood, inner) for name, inner in _WOOD.items()}
    found |= {name: getattr(spec, inner) for name, inner in _BOARD.items()}
    found["pitch"], found["gap"] = spec.pitch_mm, spec.gap_mm
    return {name: mm for name, mm in found.items() if mm is not None}


def _said(given: SpecGiven, names: Mapping[str, str]) -> dict[str, Any]:
    lengths = given.lengths_mm
    return {inner: lengths[name] for name, inner in names.items() if name in lengths}
