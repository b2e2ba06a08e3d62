"""A record in one line, for lists and search."""

from __future__ import annotations

from pegwright.library.records import (
    Body,
    DesignText,
    Making,
    OwnBoard,
    OwnPerson,
    OwnSwatch,
    OwnYarn,
)
from pegwright.units import UnitSystem, format_both, format_mass, format_number
from pegwright.yarn.category import category

__all__ = ["record_words"]


def record_words(body: Body) -> str:
    """What a record is, in a few words."""
    match body:
        case OwnBoard(loom=loom):
            words = f"{loom.pegs} pegs" + (" a side" if loom.is_double else "")
            words += f", {_length(loom.pitch_mm)} apart"
            return words + (f", gap {_length(loom.gap_mm)}" if loom.is_double else "")
        case OwnYarn(yarn=yarn):
            grams = format_mass(yarn.ball_g, UnitSystem.INCHES)
            return (
                f"{category(yarn.category).name}, {format_number(yarn.metres_per_100g)} m in "
                f"100 g, balls of {grams}"
            )
        case OwnSwatch(swatch=swatch):
            washed = "washed" if swatch.washed else "not washed"
            return (
                f"{swatch.stitches} stitches in {_length(swatch.width.value)}, {swatch.rows} rows "
                f"in {_length(swatch.length.value)}, {washed}"
            )
        case OwnPerson(person=person):
            measures = ", ".join(f"{name} {_length(mm)}" for name, mm in person.measures.items())
            return person.wearer + (f": {measures}" if measures else "")
        case Making(size=size, stage=stage):
            return f"size {size}, {stage}"
        case DesignText(garment=garment):
            return garment.replace("-", " ")


def _length(mm: float) -> str:
    return format_both(mm, UnitSystem.INCHES, denominator=16)
