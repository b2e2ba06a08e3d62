"""The panel blanket: panels knitted one after another on one board, and sewn at their chain edges.

A blanket wider than the board is made in columns of panels side by side, each as long as the
blanket or, where a shorter piece is handier, of several panels joined end to end.  Panels are
numbered up each column, the columns from left to right, and are knitted in that order; then the
ends are joined, and then the columns, from the left.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, Measure, OptionKind, OptionSpec, Plan, PlannedPiece
from pegwright.garments.blocks import Field
from pegwright.garments.edges import graft_yarn_mm
from pegwright.garments.panel_blanket_figure import blanket_make_up
from pegwright.garments.pieces import bind_off_piece, close_piece, knit_piece
from pegwright.garments.ring import check_cloth
from pegwright.garments.strip import Steps, seam_yarn_mm
from pegwright.gauge.dimensions import Count, columns_for, rows_for
from pegwright.knitting.operations import (
    Edge,
    FastenOff,
    Part,
    SeamEdges,
    SeamEnds,
    TakeLength,
    WeaveIn,
)
from pegwright.knitting.script import PieceSpec, Script
from pegwright.measured import Measured
from pegwright.tongue.said import say
from pegwright.units import format_length

__all__ = ["PANEL_BLANKET", "Layout", "PanelBlanket"]

MOST_PANELS = 60
"""Most panels of one blanket."""


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the panels lie.

    :param columns: stitches of each column of panels, from the left.
    :param along: panels of each column, from the lower edge up.
    :param rows: rows of every panel.
    """

    columns: tuple[int, ...]
    along: int
    rows: int
    choices: tuple[str, ...]

    @property
    def panels(self) -> int:
        """How many panels in all."""
        return len(self.columns) * self.along

    def panel(self, column: int, place: int) -> str:
        """The name of a panel; column and place count from 0, from the left and from below."""
        return f"panel {column * self.along + place + 1}"

    def stitches(self, number: int) -> int:
        """The stitches of a panel, counted from 1."""
        return self.columns[(number - 1) // self.along]


@dataclass(frozen=True, slots=True)
class PanelBlanket:
    """The panel blanket as a garment; see the module."""

    name: str = "panel-blanket"
    title: str = "Panel blanket"
    words: str = "A blanket of any width from panels that the board can make, sewn side by side."
    measures: tuple[Measure, ...] = (
        Measure("width", say("across the blanket, over all panels"), True, 250.0, 3_000.0),
        Measure(
            "length", say("from the lower to the upper edge of the blanket"), True, 250.0, 3_000.0
        ),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec(
            "panels",
            OptionKind.COUNT,
            "panels side by side; as few as the board allows where nothing is said",
            least=1,
            most=MOST_PANELS,
        ),
        OptionSpec(
            "lengths", OptionKind.COUNT, "panels end to end in each column", 1, least=1, most=12
        ),
        OptionSpec(
            "alike",
            OptionKind.FLAG,
            "whether all panels are of one width; if not, some are wider and the whole comes nearer"
            " to its width",
            True,
        ),
        OptionSpec(
            "pegs",
            OptionKind.COUNT,
            "pegs a side for every panel, instead of by gauge",
            least=2,
            most=500,
        ),
        OptionSpec(
            "rows",
            OptionKind.COUNT,
            "rows of every panel, instead of by gauge",
            least=2,
            most=20_000,
        ),
    )
    wraps: tuple[str, ...] = ()
    yarn_parts: tuple[str, ...] = ("body", "seam")

    def plan(self, brief: Brief) -> Plan:
        """Work one size out.

        :raises NotPossible: where the panels that are asked for do not fit the board, or there
            would be too many.
        """
        check_cloth(brief, "a blanket")
        layout = _layout(brief)
        gauge = brief.gauge
        steps = Steps()
        _panels(steps, brief, layout)
        _seams(steps, brief, layout)
        pieces = tuple(
            PlannedPiece(
                f"panel {n}",
                layout.stitches(n),
                layout.rows,
                gauge.width(layout.stitches(n)),
                gauge.length(layout.rows),
            )
            for n in range(1, layout.panels + 1)
        )
        return Plan(
            garment=self.name,
            size=brief.size,
            wearer=brief.wearer,
            group=f"{len(layout.columns)} by {layout.along}",
            script=Script(
                brief.loom,
                tuple(PieceSpec(p.name, brief.wrap.cloth) for p in pieces),
                tuple(steps.made),
                brief.size,
            ),
            wrap=brief.wrap,
            pieces=pieces,
            finished=_finished(brief, layout),
            facts=_facts(brief, layout),
            choices=layout.choices,
            parts=tuple(dict.fromkeys(s.part for s in steps.made)),
            make_up=blanket_make_up(brief, layout.columns, layout.along, layout.rows),
        )


PANEL_BLANKET = PanelBlanket()


# --- counts --------------------------------------------------------------------------------------


def _layout(brief: Brief) -> Layout:
    width_mm, length_mm = brief.measures["width"], brief.measures["length"]
    along = int(brief.options.get("lengths") or 1)
    across = _across(brief, width_mm)
    if across * along > MOST_PANELS:
        raise NotPossible(
            f"a blanket has at most {MOST_PANELS} panels",
            given=f"{across} across, {along} in each column",
            hint="use a longer board, fewer panels end to end, or a smaller blanket",
        )
    each = _each(brief, width_mm / across)
    columns, more = _balanced(brief, width_mm, each, across)
    rows = _rows(brief, length_mm / along)
    told = _told(brief, width_mm, across, columns)
    wide = say("a panel's width: {count}", count=each.words)
    long = say("a panel's length: {count}", count=rows.words)
    if along > 1:
        long = say(
            "a panel's length: {count}; {panels} panels end to end make the length",
            count=rows.words,
            panels=along,
        )
    words = (*told, wide, *more, long)
    return Layout(columns, along, rows.number, words)


def _across(brief: Brief, width_mm: float) -> int:
    """How many panels lie side by side."""
    asked = brief.options.get("panels")
    if asked is not None:
        return int(asked)
    wale_mm, pegs = brief.gauge.wale.value, brief.options.get("pegs")
    if pegs is not None:
        return max(1, round(width_mm / (int(pegs) * wale_mm)))
    wrap = brief.wrap
    most = brief.loom.pegs - (brief.loom.pegs - wrap.plus) % wrap.multiple
    return max(1, math.ceil(width_mm / (max(most, wrap.least) * wale_mm) - 1e-9))


def _each(brief: Brief, width_mm: float) -> Count:
    """The stitches of one panel."""
    wrap, pegs = brief.wrap, brief.options.get("pegs")
    if pegs is not None:
        number = int(pegs)
        wrap.fits(brief.loom, number)
        return Count(
            number,
            float(number),
            brief.gauge.width(number),
            say("{pegs} pegs, as the design asks", pegs=number),
        )
    count = columns_for(
        width_mm,
        brief.gauge,
        multiple=wrap.multiple,
        plus=wrap.plus,
        least=wrap.least,
        most=brief.loom.pegs,
        system=brief.units,
    )
    wrap.fits(brief.loom, count.number)
    return count


def _balanced(
    brief: Brief, width_mm: float, each: Count, across: int
) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """The stitches of every column of panels: alike, or some by one multiple wider or narrower."""
    alike = (each.number,) * across
    if brief.options.get("alike") is not False or brief.options.get("pegs") is not None:
        return alike, ()
    step, wrap = brief.wrap.multiple, brief.wrap
    off = width_mm / brief.gauge.wale.value - each.number * across
    changed = min(across, math.floor(abs(off) / step + 0.5))
    other = each.number + (step if off > 0 else -step)
    if not changed or not wrap.least <= other <= brief.loom.pegs:
        return alike, ()
    wide, narrow = max(each.number, other), min(each.number, other)
    wider = changed if off > 0 else across - changed
    spread = [
        math.ceil((j + 1) * wider / across) - math.ceil(j * wider / across) for j in range(across)
    ]
    columns = tuple(wide if more else narrow for more in spread)
    return columns, (
        say(
            "so that the whole comes nearer to its width, {some} of the {all} columns of panels "
            "are {wide} stitches wide and the rest {narrow}",
            some=wider,
            all=across,
            wide=wide,
            narrow=narrow,
        ),
    )


def _rows(brief: Brief, length_mm: float) -> Count:
    asked = brief.options.get("rows")
    if asked is None:
        return rows_for(length_mm, brief.gauge, least=2, system=brief.units)
    number = int(asked)
    length = brief.gauge.length(number)
    words = say("{rows} rows, as the design asks", rows=number)
    return Count(number, float(number), length, words)


def _told(brief: Brief, width_mm: float, across: int, columns: tuple[int, ...]) -> tuple[str, ...]:
    units, total = brief.units, sum(columns)
    made = format_length(brief.gauge.width(total).value, units)
    wanted = format_length(width_mm, units)
    each = format_length(width_mm / across, units)
    facts = {"wanted": wanted, "each": each, "total": total, "made": made}
    if across == 1:
        return (
            say(
                "{wanted} over one panel is {each} each; {total} stitches in all measure {made}",
                **facts,
            ),
        )
    return (
        say(
            "{wanted} over {panels} panels side by side is {each} each; {total} stitches in all "
            "measure {made}",
            panels=across,
            **facts,
        ),
    )


def _finished(brief: Brief, layout: Layout) -> dict[str, Measured]:
    gauge = brief.gauge
    return {
        "width": gauge.width(sum(layout.columns)),
        "length": gauge.length(layout.rows * layout.along),
    }


def _facts(brief: Brief, layout: Layout) -> dict[str, float]:
    gauge = brief.gauge
    each = {f"stitches_{n}": layout.stitches(n) for n in range(1, layout.panels + 1)}
    return {
        "columns": layout.columns[0],
        "rows": layout.rows,
        "more_rows": layout.rows - 1,
        "piece_length_mm": gauge.length(layout.rows).value,
        "panels": layout.panels,
        "across": len(layout.columns),
        "along": layout.along,
        **each,
    }


# --- steps ---------------------------------------------------------------------------------------


def _panels(steps: Steps, brief: Brief, layout: Layout) -> None:
    """The first panel step by step; each other in one step."""
    for number in range(1, layout.panels + 1):
        panel = f"panel {number}"
        one = steps if number == 1 else Steps()
        field = Field(brief.loom, brief.wrap, 1, layout.stitches(number))
        knit_piece(one, brief, panel, field, layout.rows)
        bind_off_piece(one, panel, field, layout.rows)
        close_piece(one, brief, panel, field)
        if number > 1:
            work = tuple(op for step in one.made for op in step.work)
            steps.add("panel-again", panel, Part.BODY, *work)


def _seams(steps: Steps, brief: Brief, layout: Layout) -> None:
    """The ends in each column, then the columns from the left; each seam with its own yarn."""
    seam = 0
    across = range(len(layout.columns))
    for column in across:
        for place in range(layout.along - 1):
            seam += 1
            lower, upper = layout.panel(column, place), layout.panel(column, place + 1)
            _end_seam(steps, brief, f"yarn of seam {seam}", layout.columns[column], lower, upper)
    for column in across[:-1]:
        seam += 1
        pairs = [
            (layout.panel(column, place), layout.panel(column + 1, place))
            for place in range(layout.along)
        ]
        _side_seam(steps, brief, f"yarn of seam {seam}", layout.rows, pairs)
    weave = (WeaveIn(f"panel {number}") for number in range(1, layout.panels + 1))
    steps.add("finish", "panel 1", Part.TAILS, *weave)


def _end_seam(
    steps: Steps, brief: Brief, carrier: str, stitches: int, lower: str, upper: str
) -> None:
    """The last row of the lower panel to the cast-on edge of the upper one."""
    yarn = brief.yarn("seam")
    length_mm = graft_yarn_mm(stitches, brief.gauge.wale.value, yarn.wrapped_diameter_mm)
    steps.add(
        "panel-end-seam",
        upper,
        Part.SEAM,
        TakeLength(carrier, yarn.name, length_mm, Part.SEAM),
        SeamEnds(carrier, (lower, Edge.LIVE), (upper, Edge.CAST_ON)),
        FastenOff(carrier),
    )


def _side_seam(
    steps: Steps, brief: Brief, carrier: str, rows: int, pairs: list[tuple[str, str]]
) -> None:
    """Two columns, from the lower edge up: right edges to left edges."""
    yarn = brief.yarn("seam")
    chains = rows * len(pairs)
    length_mm = seam_yarn_mm(chains, brief.gauge.course.value, yarn.wrapped_diameter_mm)
    joins = (
        SeamEdges(carrier, (left, Edge.RIGHT, 1, rows), (right, Edge.LEFT, 1, rows))
        for left, right in pairs
    )
    steps.add(
        "panel-side-seam",
        pairs[0][1],
        Part.SEAM,
        TakeLength(carrier, yarn.name, length_mm, Part.SEAM),
        *joins,
        FastenOff(carrier),
    )
