"""How a board's measures are written: for a workshop, where a tenth of a millimetre counts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pegwright.units import MM_PER_INCH, UnitSystem, format_inches, format_number, tape_inches

if TYPE_CHECKING:
    from pegwright.loom.reading import BoardReading
    from pegwright.loom.tolerance import Tolerance
    from pegwright.measured import Measured

__all__ = ["reading_words", "tolerance_words", "workshop"]

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


def reading_words(found: BoardReading, units: UnitSystem) -> tuple[str, ...]:
    """What readings tell of a board, a measure with its uncertainty to each line."""
    lines = [_line("Pitch", found.pitch, units)]
    if found.gap is not None:
        lines.append(_line("Gap, centre to centre", found.gap, units))
    lines.append(_line("Peg diameter", found.diameter, units))
    if found.skew is not None:
        turned = f"{abs(found.skew_degrees):.2f}° between the rows"
        lines.append(f"Gap at the right end less gap at the left: {found.skew.value:+.2f} mm"
                     f" ± {found.skew.sd:.2f}, {turned}")  # fmt: skip
    lines.append(
        f"Spread of what was read: pitch {found.pitch_spread_mm:.2f} mm,"
        f" peg diameter {found.diameter_spread_mm:.2f} mm"
    )
    return tuple(lines)


def _line(name: str, value: Measured, units: UnitSystem) -> str:
    return f"{name}: {workshop(value.value, units)}, ± {value.sd:.2g} mm"


def tolerance_words(found: Tolerance, wrap: str) -> tuple[str, ...]:
    """How exactly to drill, a sentence or two to each line."""
    often = f"{found.confidence * 100:.0f} boards in 100"
    lines = [
        f"Drill every hole within {found.drilling_mm:.2f} mm of its mark, along the row and across"
        f" it (two standard deviations): then {often} are right in every loop and every pair."
    ]
    lines.append(
        f"Loops of {wrap}: no loop differs by more than {found.part * 100:g} % at"
        f" {2 * found.linear_sd_mm:.2f} mm by sensitivity, {2 * found.sampled_sd_mm:.2f} mm on"
        f" {found.boards} boards drawn by chance; {found.worst} is the most sensitive."
    )
    if found.meet_sd_mm is not None and found.meet_mm is not None:
        lines.append(
            f"Pairs: none mis-meets by more than {found.meet_mm:.2f} mm at"
            f" {2 * found.meet_sd_mm:.2f} mm."
        )
    if found.gap_mm is not None:
        lines.append(
            f"The gap as a whole may be off by {found.gap_mm:.2f} mm before every loop differs by"
            f" {found.part * 100:g} %."
        )
    return tuple(lines)
