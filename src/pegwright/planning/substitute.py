"""What changes when another yarn is knitted by the same pattern on the same board.

The pattern's script is run as it stands, pegs and rows unchanged, with the stand-in's thickness:

* the **loop length** follows from the board and the yarn's wrapped diameter, exactly;
* in relaxed cloth the width of a stitch and the length of a row are loop length over a constant of
  the structure (:mod:`pegwright.gauge.constants`).  The structure is the same, so the constant
  drops out, and **width and length change as the loop does**.  How another yarn relaxes is not
  known beforehand: :data:`YARN_RELATIVE_SD` for each of the two, and as much again for every weight
  category between them;
* **metres** are those that the same run draws with the new thickness, tails and seams included, and
  **grams** follow from the stand-in's own metres per 100 g.

The pure yarn's side (category, thickness, fibre) is :mod:`pegwright.yarn.substitute`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from pegwright.errors import BadInput, Place
from pegwright.gauge.fabric_gauge import Gauge
from pegwright.knitting.drawn import course_loop_mm
from pegwright.knitting.run import Run
from pegwright.knitting.wraps import Wrap
from pegwright.loom.taut import check_yarn_passes
from pegwright.measured import Measured
from pegwright.planning.needs import yarn_needs
from pegwright.units import (
    UnitSystem,
    format_both,
    format_mass,
    format_yarn_length,
    require_positive,
)
from pegwright.yarn.need import YarnNeed
from pegwright.yarn.stash import StashYarn
from pegwright.yarn.substitute import Fit, StandIn, stand_ins
from pegwright.yarn.telling import (
    SURE,
    chance_at_least,
    chance_words,
    change_words,
    counted,
    measured_data,
)
from pegwright.yarn.yarn import Yarn

__all__ = ["YARN_RELATIVE_SD", "Change", "Knitted", "Substitution", "Unsuited", "substitutes"]

YARN_RELATIVE_SD = 0.03
"""How far two yarns of one category may well differ in width on one board: about 3 % (common
practice, no source)."""

_SHORT_M = 0.1  # less is not worth a word

_SAME_SIZE = 0.03
"""A change of size below this is no more than yarns of one category bring."""


@dataclass(frozen=True, slots=True)
class Knitted:
    """What the wanted yarn is knitted into.

    :param run: the size as executed.
    :param yarns: every yarn of the design by name.
    :param name: the yarn that is to be replaced.
    :param wrap: the wrap that it is knitted in, over so many columns and rows.
    :param gauge: with the wanted yarn.
    :param slack: drawn length over taut length.
    :param margin: yarn to have beyond the upper bound.
    :raises BadInput: naming the field, for a name that is not among the yarns.
    """

    run: Run
    yarns: Mapping[str, Yarn]
    name: str
    wrap: Wrap
    columns: int
    rows: int
    gauge: Gauge
    slack: Measured
    margin: float = 0.1

    def __post_init__(self) -> None:
        require_positive(self.columns, "columns")
        require_positive(self.rows, "rows")
        if self.name not in self.yarns:
            raise BadInput(
                "the design has no yarn of this name",
                given=self.name,
                hint=f"use one of {', '.join(self.yarns)}",
                place=Place(field="name"),
            )

    @property
    def wanted(self) -> Yarn:
        """The yarn that is to be replaced."""
        return self.yarns[self.name]

    def loop_mm(self, yarn: Yarn) -> float:
        """The taut length of one loop of a yarn in mm: the mean over the wrap's courses."""
        loom = self.run.script.loom
        courses = range(1, len(self.wrap.courses) + 1)
        visits = tuple(v for c in courses for v in self.wrap.visits(loom, 1, self.columns, c))
        return course_loop_mm(loom, visits, yarn.wrapped_diameter_mm)

    def need(self, yarn: Yarn) -> YarnNeed:
        """What the same run needs of another yarn in this one's place.

        :raises BadInput: where the run knits nothing with it.
        """
        # Under a name of its own, since the design may use the stand-in elsewhere already.
        stand_in = replace(yarn, name=f"{yarn.name} in place of {self.name}")
        swapped = {**self.yarns, self.name: stand_in}
        for need in yarn_needs(self.run, swapped, self.slack, self.margin):
            if need.yarn == stand_in:
                return replace(need, yarn=yarn)
        raise BadInput(
            "nothing is knitted with this yarn", given=self.name, place=Place(field="name")
        )


@dataclass(frozen=True, slots=True)
class Change:
    """What one stand-in changes, at the same pegs and rows.

    :param loop_mm: taut length of one loop.
    :param size_part: how much wider and longer, as a part: 0.04 for 4 %.
    :param width: mm, with the uncertainty of gauge and yarn; ``length`` likewise.
    :param need: metres and grams of the stand-in.
    :param columns_to_keep: pegs for the wanted width, before the wrap's own multiple is looked at.
    :param rows_to_keep: rows for the wanted length.
    :param chance: probability that there is enough.
    """

    stand_in: StandIn
    loop_mm: float
    size_part: Measured
    width: Measured
    length: Measured
    need: YarnNeed
    columns_to_keep: int
    rows_to_keep: int
    chance: float

    @property
    def missing_m(self) -> float:
        """Metres short of what is likely needed; 0 where there is as much."""
        return max(self.need.metres.value - self.stand_in.have.value, 0.0)

    def as_data(self) -> dict[str, object]:
        """The same as plain data."""
        return {
            **self.stand_in.as_data(),
            "loop_mm": self.loop_mm,
            "size_part": measured_data(self.size_part),
            "width_mm": measured_data(self.width),
            "length_mm": measured_data(self.length),
            "need_m": measured_data(self.need.metres),
            "need_g": measured_data(self.need.grams),
            "have_m": measured_data(self.stand_in.have),
            "missing_m": self.missing_m,
            "columns_to_keep": self.columns_to_keep,
            "rows_to_keep": self.rows_to_keep,
            "chance": self.chance,
        }


@dataclass(frozen=True, slots=True)
class Unsuited:
    """A yarn of the stash that this board cannot take, and why."""

    label: str
    why: str


@dataclass(frozen=True, slots=True)
class Substitution:
    """Every stand-in with what it changes, the best first.

    :param width: of the piece with the wanted yarn, mm; ``length`` likewise.
    :param need: of the wanted yarn.
    """

    wanted: Yarn
    columns: int
    rows: int
    width: Measured
    length: Measured
    need: YarnNeed
    changes: tuple[Change, ...]
    unsuited: tuple[Unsuited, ...]

    @property
    def best(self) -> Change | None:
        """The first that is not far off and may well be enough, or None."""
        return next((c for c in self.changes if c.stand_in.fit < Fit.FAR and c.chance >= 0.5), None)

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """What each stand-in changes, and which the board cannot take."""
        size = f"{format_both(self.width.value, units)} by {format_both(self.length.value, units)}"
        lines = [
            f"With {self.wanted.label}: {self.columns} pegs and {self.rows} rows come to {size}"
            f" and draw {format_yarn_length(self.need.metres.value, units)}."
        ]
        for number, change in enumerate(self.changes, 1):
            stand_in = change.stand_in
            told = self.words_of(change, units)
            lines.append(f"{number}. {stand_in.label}, {stand_in.fit.words}: {told}")
        lines += [f"Not {one.label}: {one.why}." for one in self.unsuited]
        if self.best is None:
            lines.append("Nothing in the stash comes near enough and reaches.")
        return tuple(lines)

    def words_of(self, change: Change, units: UnitSystem) -> str:
        """What one stand-in changes, without its name."""
        return " ".join(_change_words(self, change, units))

    def as_data(self) -> dict[str, object]:
        """The same as plain data."""
        return {
            "wanted": self.wanted.label,
            "columns": self.columns,
            "rows": self.rows,
            "width_mm": measured_data(self.width),
            "length_mm": measured_data(self.length),
            "need_m": measured_data(self.need.metres),
            "need_g": measured_data(self.need.grams),
            "changes": [change.as_data() for change in self.changes],
            "unsuited": [{"yarn": u.label, "why": u.why} for u in self.unsuited],
        }


def substitutes(
    knitted: Knitted, stash: Sequence[StashYarn], *, together: bool = True, most: int = 12
) -> Substitution:
    """Which yarns of the stash can stand in for a design's yarn, and what each changes.

    First those that are near enough and of which there is likely enough, then by fit, then by how
    far the size is off.

    :param together: look at two strands held together as well, where that is near.
    :param most: no more than this many are worked out.
    :raises BadInput: for an empty stash, or a yarn that nothing is knitted with.
    """
    need = knitted.need(knitted.wanted)
    loop_mm = knitted.loop_mm(knitted.wanted)
    changes: list[Change] = []
    unsuited: list[Unsuited] = []
    found = stand_ins(knitted.wanted, stash, need.metres, together=together, most=most).found
    for stand_in in found:
        try:
            check_yarn_passes(knitted.run.script.loom, stand_in.yarn.wrapped_diameter_mm)
        except BadInput as refused:
            unsuited.append(Unsuited(stand_in.label, refused.what))
        else:
            changes.append(_change(knitted, stand_in, loop_mm))
    return Substitution(
        knitted.wanted,
        knitted.columns,
        knitted.rows,
        knitted.gauge.width(knitted.columns),
        knitted.gauge.length(knitted.rows),
        need,
        tuple(sorted(changes, key=_rank)),
        tuple(unsuited),
    )


def _change(knitted: Knitted, stand_in: StandIn, wanted_loop_mm: float) -> Change:
    loop_mm = knitted.loop_mm(stand_in.yarn)
    factor = loop_mm / wanted_loop_mm
    same = stand_in.yarn == knitted.wanted
    sd = 0.0 if same else YARN_RELATIVE_SD * (1 + abs(stand_in.category_step))
    ratio = Measured(factor, sd)
    need = knitted.need(stand_in.yarn)
    return Change(
        stand_in,
        loop_mm,
        ratio - 1,
        knitted.gauge.width(knitted.columns) * ratio,
        knitted.gauge.length(knitted.rows) * ratio,
        need,
        _to_keep(knitted.columns, factor),
        _to_keep(knitted.rows, factor),
        chance_at_least(stand_in.have, need.metres),
    )


def _size_words(part: float) -> str:
    return change_words(part, "larger", "smaller")


def _to_keep(count: int, factor: float) -> int:
    return max(math.floor(count / factor + 0.5), 1)


def _rank(change: Change) -> tuple[bool, bool, int, float, str]:
    fit = change.stand_in.fit
    off = abs(change.size_part.value) + abs(change.stand_in.thickness_part)
    return (fit is Fit.FAR, change.chance < 0.5, int(fit), off, change.stand_in.label)


def _change_words(all_of: Substitution, change: Change, units: UnitSystem) -> Iterator[str]:
    size = _size_words(change.size_part.value)
    width, length = (format_both(m.value, units) for m in (change.width, change.length))
    low, high = (_size_words(end) for end in change.size_part.interval())
    if size == "the same":
        yield f"the size stays, {width} by {length};"
    else:
        yield f"it comes out {size}, {width} by {length} (nine times in ten {low} to {high});"
    draws = format_yarn_length(change.need.metres.value, units)
    yield f"it draws {draws}, {format_mass(change.need.grams.value, units)};"
    have = format_yarn_length(change.stand_in.have.value, units)
    if change.chance >= SURE:
        yield f"you have {have}, enough {chance_words(change.chance)}."
    else:
        missing = format_yarn_length(change.missing_m, units)
        short = f", {missing} short" if change.missing_m >= _SHORT_M else ""
        yield f"you have {have}{short}: it reaches {chance_words(change.chance)}."
    if abs(change.size_part.value) >= _SAME_SIZE:
        yield (
            f"To keep the size, take about {counted(change.columns_to_keep, 'peg')} and"
            f" {counted(change.rows_to_keep, 'row')} instead of {all_of.columns} and {all_of.rows}."
        )
    # What the stash said of enough was for the wanted yarn's metres.
    reasons = [r for r in change.stand_in.reasons if not r.startswith("there is ")]
    if reasons:
        told = "; ".join(reasons)
        yield f"{told[0].upper()}{told[1:]}."
