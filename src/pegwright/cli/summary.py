"""What was made, in short: counts, finished sizes, yarn and findings, as text and as data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.units import UnitSystem, format_length, format_mass, format_yarn_length

if TYPE_CHECKING:
    from pegwright.making import Made
    from pegwright.pattern.source import ProvedSize

__all__ = ["made_data", "made_text"]


def made_text(made: Made) -> str:
    """A short report for the screen."""
    design = made.design
    state = "proved" if made.proved else "NOT proved"
    loops = sum(size.run.fabric.loops for size in made.sizes)
    count = "1 size" if len(made.sizes) == 1 else f"{len(made.sizes)} sizes"
    lines = [f"{design.title}: {state} ({count}, {loops:,} loops made and followed)"]
    header = ("size", "pegs a side", "rows", "finished", "time")
    rows = [_row(size, design.units) for size in made.sizes]
    lines += ["", screen.table(header, rows), "", "Yarn:", *_yarn_lines(made)]
    findings = screen.findings_text(made.findings)
    lines += ["", findings] if findings else []
    for one in made.refused:
        lines += ["", f"size {one.name} cannot be made: {one.error}"]
    return "\n".join(lines)


def made_data(made: Made) -> dict[str, object]:
    """The same and more as plain data: lengths in mm, yarn in m and g, times in minutes."""
    design = made.design
    return {
        "title": design.title,
        "garment": design.garment,
        "proved": made.proved,
        "gauge": {
            "source": str(made.gauge.source),
            "wale_mm": _measured(made.gauge.wale.value, made.gauge.wale.sd),
            "course_mm": _measured(made.gauge.course.value, made.gauge.course.sd),
        },
        "loop_mm": made.loop_mm,
        "operations": sum(size.run.operations for size in made.sizes),
        "loops": sum(size.run.fabric.loops for size in made.sizes),
        "sizes": [_size_data(size) for size in made.sizes],
        "refused": [{"size": one.name, **one.error.as_data()} for one in made.refused],
        "findings": [finding.as_data() for finding in made.findings],
    }


def _row(size: ProvedSize, units: UnitSystem) -> tuple[str, ...]:
    pieces = size.plan.pieces
    finished = ", ".join(
        f"{name} {format_length(length.value, units)}"
        for name, length in size.plan.finished.items()
    )
    hours, minutes = divmod(size.minutes, 60)
    return (
        size.name,
        " + ".join(str(piece.columns) for piece in pieces),
        " + ".join(str(piece.rows) for piece in pieces),
        finished,
        f"{hours} h {minutes:02d} min",
    )


def _yarn_lines(made: Made) -> Iterator[str]:
    units = made.design.units
    for size in made.sizes:
        for need in size.needs:
            balls = "1 ball" if need.balls == 1 else f"{need.balls} balls"
            yield (
                f"  {size.name}: {need.yarn.label}, {format_yarn_length(need.metres.value, units)},"
                f" {format_mass(need.grams.value, units)}; have {balls} of"
                f" {format_mass(need.yarn.ball_g, units)}"
            )


def _size_data(size: ProvedSize) -> dict[str, object]:
    plan = size.plan
    return {
        "name": size.name,
        "wearer": str(plan.wearer),
        "measures_mm": dict(size.measures),
        "pieces": [
            {
                "name": piece.name,
                "columns": piece.columns,
                "rows": piece.rows,
                "width_mm": _measured(piece.width.value, piece.width.sd),
                "length_mm": _measured(piece.length.value, piece.length.sd),
            }
            for piece in plan.pieces
        ],
        "finished_mm": {
            name: _measured(length.value, length.sd) for name, length in plan.finished.items()
        },
        "choices": list(plan.choices),
        "yarn": [
            {
                "name": need.yarn.name,
                "m": _measured(need.metres.value, need.metres.sd),
                "g": _measured(need.grams.value, need.grams.sd),
                "g_to_have": need.grams_to_have,
                "balls": need.balls,
            }
            for need in size.needs
        ],
        "minutes": size.minutes,
    }


def _measured(value: float, sd: float) -> dict[str, float]:
    return {"value": value, "sd": sd}
