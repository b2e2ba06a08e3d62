"""How a board's measures are written: for a workshop, where a tenth of a millimetre counts."""

from __future__ import annotations

from pegwright.units import MM_PER_INCH, UnitSystem, format_inches, format_number, tape_inches

__all__ = ["workshop"]

_MARKS = 64
_EXACT_MM = 0.03


def workshop(mm: float, units: UnitSystem) -> str:
    """A length in both units, such as ``7/16 in (11.11 mm)``.

    Millimetres to two decimals below 100 and one from there; inches to the sixty-fourth, with
    *about* where the mark is more than 0.03 mm off.
    """
    whole, top, bottom = tape_inches(mm, _MARKS)
    off = abs((whole + top / bottom) * MM_PER_INCH - mm)
    inches = ("" if off <= _EXACT_MM else "about ") + format_inches(mm, _MARKS)
    metric = f"{format_number(mm, 2 if mm < 100 else 1)} mm"
    return f"{inches} ({metric})" if units is UnitSystem.INCHES else f"{metric} ({inches})"
