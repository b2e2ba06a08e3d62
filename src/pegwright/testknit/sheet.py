"""What a test-knitter of one size is asked: the sheet, before it is printed or written as a file.

Words used here:

* a **tester** knits one size of a pattern as it is written, measures and weighs, and says so;
* the **sheet** is what she is asked; it carries what was predicted too, to hold her answers
  against, but the printed form and the file never show that, so that no tape is read with the
  wished-for figure in mind;
* her **answers** are the sheet filled in (:mod:`pegwright.testknit.answers`).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from pegwright.making import Made
from pegwright.measured import Measured
from pegwright.pattern.model import Pattern, PatternStep, StepBlock
from pegwright.pattern.source import ProvedSize
from pegwright.units import UnitSystem, format_both

__all__ = ["AskedMeasure", "AskedPiece", "TesterSheet", "sheets"]


@dataclass(frozen=True, slots=True)
class AskedMeasure:
    """A finished measurement, and what it was predicted to be, in mm."""

    name: str
    predicted: Measured


@dataclass(frozen=True, slots=True)
class AskedPiece:
    """A piece measured flat before it is made up.

    :param width: what was predicted, in mm; None where it is asked as a finished measurement.
    :param length: likewise.
    """

    name: str
    width: Measured | None
    length: Measured | None


@dataclass(frozen=True, slots=True)
class TesterSheet:
    """Everything that the tester of one size is asked.

    :param key: the design's, the stem of file names; ``digest`` says which pattern it was.
    :param version: the pattern's own version; "" where the design gives none.
    :param wrap_test_pegs: pegs on each board that the wrap test is taken over; None for one row.
    :param wrap_test_mm: what it was predicted to draw.
    :param double: two rows of pegs, so that there is a gap to be measured.
    :param loops: all loops of the work.
    :param yarns: names of the yarns that this size draws.
    """

    key: str
    title: str
    version: str
    digest: str
    size: str
    units: UnitSystem
    double: bool
    wrap_test_pegs: int | None
    wrap_test_mm: float | None
    measures: tuple[AskedMeasure, ...]
    pieces: tuple[AskedPiece, ...]
    yarns: tuple[str, ...]
    loops: int
    steps: tuple[tuple[int, str], ...]

    @property
    def heading(self) -> str:
        """Title, version and size in one line."""
        version = f", version {self.version}" if self.version else ""
        return f"{self.title}{version}, size {self.size}"

    @property
    def wrap_test_words(self) -> str:
        """How the wrap test is taken; nothing where there is none."""
        if self.wrap_test_pegs is None:
            return ""
        return (
            f"Wrap pegs 1 to {self.wrap_test_pegs} of both boards once, snugly, out and back to "
            "where you began; mark the yarn, unwind it and measure."
        )

    def step_title(self, number: int) -> str:
        """The title of a step."""
        return dict(self.steps)[number]

    def predicted_words(self, name: str) -> str:
        """What a finished measurement was predicted to be, in both units."""
        found = next(m for m in self.measures if m.name == name)
        return format_both(found.predicted.value, self.units)


def sheets(made: Made, pattern: Pattern) -> dict[str, TesterSheet]:
    """The sheet of every size, by the size's name and in the design's order."""
    steps = _steps_by_size(made, pattern)
    return {size.name: _sheet(made, pattern, size, steps[size.name]) for size in made.sizes}


def _sheet(
    made: Made, pattern: Pattern, size: ProvedSize, steps: tuple[PatternStep, ...]
) -> TesterSheet:
    design, test = made.design, made.wrap_test
    finished = tuple(AskedMeasure(name, m) for name, m in size.plan.finished.items())
    return TesterSheet(
        key=design.key,
        title=design.title,
        version=design.version,
        digest=pattern.proof.digest,
        size=size.name,
        units=design.units,
        double=design.loom.is_double,
        wrap_test_pegs=None if test is None else test.columns,
        wrap_test_mm=None if test is None else test.reading.length_mm,
        measures=finished,
        pieces=_pieces(size),
        yarns=tuple(need.yarn.name for need in size.needs),
        loops=size.run.fabric.loops,
        steps=tuple((step.number, step.title) for step in steps),
    )


def _pieces(size: ProvedSize) -> tuple[AskedPiece, ...]:
    """Pieces with the sizes that no finished measurement asks for already.

    Pieces that are planned alike are asked for once, under the first one's name.
    """
    asked = set(size.plan.finished.values())
    found: list[AskedPiece] = []
    for piece in size.plan.pieces:
        width = None if piece.width in asked else piece.width
        length = None if piece.length in asked else piece.length
        alike = any(p.width == width and p.length == length for p in found)
        if not alike and (width is not None or length is not None):
            found.append(AskedPiece(piece.name, width, length))
    return tuple(found)


def _steps_by_size(made: Made, pattern: Pattern) -> dict[str, tuple[PatternStep, ...]]:
    """The written steps that each size follows: sizes of one group share theirs."""
    blocks = [block for block in pattern.blocks() if isinstance(block, StepBlock)]
    groups = [list(sizes) for _, sizes in groupby(made.sizes, lambda s: s.plan.group)]
    return {
        size.name: block.steps
        for sizes, block in zip(groups, blocks, strict=True)
        for size in sizes
    }
