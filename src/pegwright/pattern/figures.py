"""The figures of a pattern: what each shows, its caption, and its words."""

from __future__ import annotations

from dataclasses import replace

from pegwright.garments.base import Plan
from pegwright.garments.make_up import MakeUp
from pegwright.pattern.graded import Graded, in_sizes
from pegwright.pattern.model import (
    Dimension,
    Figure,
    FoldDrawing,
    KnitOverDrawing,
    SchematicDrawing,
    SchematicPiece,
    SetUpDrawing,
    StagesDrawing,
    WrapDrawing,
)
from pegwright.pattern.source import ProvedSize, Source
from pegwright.units import format_both

__all__ = [
    "fold_figure",
    "knit_over_figure",
    "make_up_figure",
    "schematic_figure",
    "set_up_figure",
    "wrap_figure",
]

_SHOWN_COLUMNS = 10
"""Columns that a wrap diagram shows, where the wrap allows."""


def set_up_figure(source: Source) -> Figure:
    """The board from above, with the pegs of the largest size in use."""
    loom = source.loom
    most = max(s.plan.pieces[0].columns for s in source.sizes)
    used = {loom.front(c) for c in range(1, most + 1)}
    if loom.is_double:
        used |= {loom.back(c) for c in range(1, most + 1)}
    pitch = format_both(loom.pitch_mm, source.units, denominator=16)
    gap = format_both(loom.gap_mm, source.units, denominator=16)
    rows = f"Two facing rows of {loom.pegs} pegs" if loom.is_double else f"{loom.pegs} pegs"
    alt = f"{rows}, {pitch} apart along the row"
    alt += f", {gap} from row to row. " if loom.is_double else ". "
    alt += f"Pegs 1 to {most} are in use, counted from the maker's left"
    alt += "; the front row is nearest to her." if loom.is_double else "."
    which = "" if len(source.sizes) == 1 else " for the largest size"
    return Figure(
        "board",
        f"The board from above, with the pegs in use{which}",
        alt,
        SetUpDrawing(loom, frozenset(used), pitch, gap),
    )


def wrap_figure(source: Source) -> Figure:
    """One course of the wrap on a short stretch of board."""
    wrap, loom = source.wrap, source.loom
    columns = min(_SHOWN_COLUMNS, loom.pegs)
    columns -= (columns - wrap.plus) % wrap.multiple
    columns = max(columns, wrap.least)
    short = replace(loom, pegs=columns)
    passes = wrap.course(short, 1, columns)
    labels = ("pass out", "pass back") if len(passes) == 2 else ("the pass",)
    orders = "; ".join(
        f"{label}: {', '.join(short.address(v.peg) for v in visits)}"
        for label, visits in zip(labels, passes, strict=False)
    )
    diameter_mm = source.yarns[source.use["body"]].wrapped_diameter_mm
    return Figure(
        "wrap",
        f"One course of {wrap.name}, shown on {columns} pegs a side"
        if loom.is_double
        else f"One course of {wrap.name}, shown on {columns} pegs",
        f"{wrap.words} In order, {orders}.",
        WrapDrawing(short, passes, labels, diameter_mm),
    )


def knit_over_figure() -> Figure:
    """Lifting the lower loop over the upper one."""
    return Figure(
        "knit-over",
        "Knit over",
        "Three views of a peg from the side. It holds two loops; the hook lifts the lower loop "
        "over the upper one; the lower loop is off the peg and one loop is left.",
        KnitOverDrawing(),
    )


def schematic_figure(source: Source) -> Figure:
    """The strip to scale, its dimensions in all sizes."""
    piece = source.sizes[0].plan.pieces[0]
    width = Graded(tuple(s.plan.pieces[0].width.value for s in source.sizes), source.units)
    length = Graded(tuple(s.plan.pieces[0].length.value for s in source.sizes), source.units)
    edges = _piece_edges(source.sizes[0].plan)
    drawn = SchematicPiece(
        piece.name,
        Dimension(piece.width.value, width.length()),
        Dimension(piece.length.value, length.length()),
        edges.bottom,
        edges.top,
        edges.sides,
        edges.fold_at,
        _outline(edges),
    )
    alt = (
        f"A {piece.name}, {width.length()} wide and {length.length()} long. At the bottom: "
        f"{edges.bottom}. At the top: {edges.top}. Sides: {edges.sides}."
    )
    if edges.fold_at is not None:
        alt += " A fold line crosses it half way up."
    caption = f"The {piece.name}, flat and relaxed"
    return Figure(
        "schematic",
        caption,
        alt,
        SchematicDrawing((drawn,), in_sizes([s.name for s in source.sizes])),
    )


def _piece_edges(plan: Plan) -> MakeUp:
    """What the edges of a plan's first piece are."""
    if plan.make_up is not None:
        return plan.make_up
    if "fold_row" not in plan.facts:
        return MakeUp("", ())
    sides = "left: back seam; right: face"
    return MakeUp("", (), "cast-on edge, at the neck", "last row, at the neck", sides, 0.5)


def _outline(edges: MakeUp) -> tuple[tuple[float, float], ...]:
    """The corners of a first piece that is no rectangle, as its first stage shows it alone."""
    if not edges.stages or len(edges.stages[0].outlines) != 1:
        return ()
    points = edges.stages[0].outlines[0].points
    corners = {(x, y) for x in {p[0] for p in points} for y in {p[1] for p in points}}
    return () if set(points) == corners else points


_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")


def make_up_figure(sizes: tuple[ProvedSize, ...], suffix: str) -> Figure | None:
    """How the pieces are made up, or None for what has no stages of its own."""
    make_up = sizes[0].plan.make_up
    if make_up is None or not make_up.stages:
        return None
    count = len(make_up.stages)
    number = _NUMBERS[count] if count < len(_NUMBERS) else str(count)
    stages = " ".join(f"{i}: {stage.words}" for i, stage in enumerate(make_up.stages, start=1))
    alt = f"{number.capitalize()} {'stages' if count > 1 else 'stage'}. {stages}"
    return Figure(f"make-up{suffix}", make_up.title, alt, StagesDrawing(make_up.stages))


def fold_figure(sizes: tuple[ProvedSize, ...], suffix: str) -> Figure | None:
    """How the strip becomes a hood, or None for what is not folded."""
    plan = sizes[0].plan
    if "fold_row" not in plan.facts:
        return None
    closing = "cord" if plan.group == "cord" else "drawn"
    last = (
        "Neck gathered on the cord, two ends in front"
        if closing == "cord"
        else "Neck gathered and the yarn fastened off"
    )
    stages = ("Strip, flat", "Folded at the crown", "Back edges sewn", last)
    alt = (
        "Four stages. A flat strip with the cast-on edge and the last row at its ends. The strip "
        "folded in half so that both neck edges meet, without a twist. The back edges sewn "
        f"together chain to chain up to the fold. {last}."
    )
    return Figure(
        f"fold-and-seam{suffix}",
        "Fold, seam and gather",
        alt,
        FoldDrawing(plan.facts["strip_width_mm"], plan.facts["strip_length_mm"], stages, closing),
    )
