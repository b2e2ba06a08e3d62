"""The figures of a pattern: what each shows, its caption, and its words."""

from __future__ import annotations

from dataclasses import replace
from string import ascii_uppercase

from pegwright.garments.base import Plan
from pegwright.garments.make_up import MakeUp
from pegwright.knitting.wraps import Wrap
from pegwright.loom.board import Loom
from pegwright.pattern.graded import Graded, in_sizes
from pegwright.pattern.model import (
    Dimension,
    Figure,
    FoldDrawing,
    KnitOverDrawing,
    MeasuredOn,
    MeasuringDrawing,
    SchematicDrawing,
    SchematicPiece,
    SetUpDrawing,
    StagesDrawing,
    WrapDrawing,
)
from pegwright.pattern.source import ProvedSize, Source
from pegwright.pattern.vocabulary import measure_name, piece_name, wrap_name
from pegwright.tongue.said import Said, joined, say, say_count
from pegwright.units import UnitSystem, format_both

__all__ = [
    "board_figure",
    "course_figure",
    "fold_figure",
    "knit_over_figure",
    "make_up_figure",
    "measuring_figure",
    "schematic_figure",
    "set_up_figure",
    "wrap_figure",
]

_SHOWN_COLUMNS = 10
"""Columns that a wrap diagram shows, where the wrap allows."""

_MEASURED_ON = {
    "folded-strip-hood": MeasuredOn.HEAD,
    "gathered-hat": MeasuredOn.HEAD,
    "headband": MeasuredOn.BAND,
    "cowl": MeasuredOn.COLLAR,
    "mitt": MeasuredOn.HAND,
    "slipper": MeasuredOn.FOOT,
}
"""Where the measures of each garment are taken; what lies flat, such as a scarf, is not here."""

_BODY_WORDS = {
    MeasuredOn.HEAD: say("A head from the side, with neck and shoulders."),
    MeasuredOn.BAND: say("A head from the side, with a headband above the brows."),
    MeasuredOn.COLLAR: say("A head from the side, with a cowl round the neck."),
    MeasuredOn.HAND: say("An open hand in a mitt without fingers."),
    MeasuredOn.FOOT: say("A foot from the side, in a slipper."),
}


def board_figure(loom: Loom, most: int, units: UnitSystem, caption: Said) -> Figure:
    """A board from above, with pegs 1 to ``most`` in use."""
    used = {loom.front(c) for c in range(1, most + 1)}
    if loom.is_double:
        used |= {loom.back(c) for c in range(1, most + 1)}
    pitch = format_both(loom.pitch_mm, units, denominator=16)
    gap = format_both(loom.gap_mm, units, denominator=16)
    facts = {"pegs": loom.pegs, "pitch": pitch, "gap": gap, "most": most}
    alt = (
        say(
            "Two facing rows of {pegs} pegs, {pitch} apart along the row, {gap} from row to row. "
            "Pegs 1 to {most} are in use, counted from the maker's left; the front row is nearest "
            "to her.",
            **facts,
        )
        if loom.is_double
        else say(
            "{pegs} pegs, {pitch} apart along the row. Pegs 1 to {most} are in use, counted from "
            "the maker's left.",
            **facts,
        )
    )
    return Figure("board", caption, alt, SetUpDrawing(loom, frozenset(used), pitch, gap))


def set_up_figure(source: Source) -> Figure:
    """The board from above, with the pegs of the largest size in use."""
    most = max(s.plan.pieces[0].columns for s in source.sizes)
    caption = (
        say("The board from above, with the pegs in use")
        if len(source.sizes) == 1
        else say("The board from above, with the pegs in use for the largest size")
    )
    return board_figure(source.loom, most, source.units, caption)


def wrap_figure(source: Source) -> Figure:
    """One course of the wrap on a short stretch of board."""
    body = source.yarns[source.use["body"]]
    return course_figure(source.wrap, source.loom, body.wrapped_diameter_mm)


def course_figure(wrap: Wrap, loom: Loom, diameter_mm: float) -> Figure:
    """One course of a wrap with a yarn of that thickness, on a short stretch of board."""
    columns = min(_SHOWN_COLUMNS, loom.pegs)
    columns -= (columns - wrap.plus) % wrap.multiple
    columns = max(columns, wrap.least)
    short = replace(loom, pegs=columns)
    passes = wrap.course(short, 1, columns)
    both = (say("pass out"), say("pass back"))
    labels = both if len(passes) == 2 else (say("the pass"),)
    orders = joined(
        (
            say(
                "{passed}: {pegs}",
                passed=label,
                pegs=joined((short.address(v.peg) for v in visits), ", "),
            )
            for label, visits in zip(labels, passes, strict=False)
        ),
        "; ",
    )
    facts = {"wrap": wrap_name(wrap.name), "columns": columns}
    return Figure(
        "wrap",
        say("One course of {wrap}, shown on {columns} pegs a side", **facts)
        if loom.is_double
        else say("One course of {wrap}, shown on {columns} pegs", **facts),
        say("{words} In order, {pegs}.", words=wrap.words, pegs=orders),
        WrapDrawing(short, passes, labels, diameter_mm),
    )


def knit_over_figure() -> Figure:
    """Lifting the lower loop over the upper one."""
    return Figure(
        "knit-over",
        say("Knit over"),
        say(
            "Three views of a peg from the side. It holds two loops; the hook lifts the lower loop "
            "over the upper one; the lower loop is off the peg and one loop is left."
        ),
        KnitOverDrawing(),
    )


def measuring_figure(source: Source) -> Figure | None:
    """Where each measure is taken, or None for what is measured on no body."""
    body = _MEASURED_ON.get(source.sizes[0].plan.garment)
    names = tuple(n for n in source.measure_words if all(n in s.measures for s in source.sizes))
    if body is None or not names:
        return None
    labels = tuple(measure_name(name) for name in names)
    tapes = joined(
        (
            # NOTE: a letter in a drawing, the measure that it stands for, and where the tape runs
            say("{letter}, {name}: {words}", letter=letter, name=label, words=words)
            for letter, label, words in zip(
                ascii_uppercase,
                labels,
                (source.measure_words[name] for name in names),
                strict=False,
            )
        ),
        "; ",
    )
    alt = say(
        "{body} Dashed lines show where the tape runs. {tapes}.",
        body=_BODY_WORDS[body],
        tapes=tapes,
    )
    return Figure("measuring", say("Where to measure"), alt, MeasuringDrawing(body, names, labels))


def schematic_figure(source: Source) -> Figure:
    """The strip to scale, its dimensions in all sizes."""
    piece = source.sizes[0].plan.pieces[0]
    width = Graded(tuple(s.plan.pieces[0].width.value for s in source.sizes), source.units)
    length = Graded(tuple(s.plan.pieces[0].length.value for s in source.sizes), source.units)
    edges = _piece_edges(source.sizes[0].plan)
    name = piece_name(piece.name)
    drawn = SchematicPiece(
        name,
        Dimension(piece.width.value, width.length()),
        Dimension(piece.length.value, length.length()),
        edges.bottom,
        edges.top,
        edges.sides,
        edges.fold_at,
        _outline(edges),
    )
    alt = say(
        "A {piece}, {width} wide and {length} long. At the bottom: {bottom}. At the top: {top}. "
        "Sides: {sides}.",
        piece=name,
        width=width.length(),
        length=length.length(),
        bottom=edges.bottom,
        top=edges.top,
        sides=edges.sides,
    )
    if edges.fold_at is not None:
        alt = joined((alt, say("A fold line crosses it half way up.")))
    caption = say("The {piece}, flat and relaxed", piece=name)
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
    return MakeUp(
        "",
        (),
        say("cast-on edge, at the neck"),
        say("last row, at the neck"),
        say("left: back seam; right: face"),
        0.5,
    )


def _outline(edges: MakeUp) -> tuple[tuple[float, float], ...]:
    """The corners of a first piece that is no rectangle, as its first stage shows it alone."""
    if not edges.stages or len(edges.stages[0].outlines) != 1:
        return ()
    points = edges.stages[0].outlines[0].points
    corners = {(x, y) for x in {p[0] for p in points} for y in {p[1] for p in points}}
    return () if set(points) == corners else points


def make_up_figure(sizes: tuple[ProvedSize, ...], suffix: str) -> Figure | None:
    """How the pieces are made up, or None for what has no stages of its own."""
    make_up = sizes[0].plan.make_up
    if make_up is None or not make_up.stages:
        return None
    stages = (
        say("{number}: {words}", number=i, words=stage.words)
        for i, stage in enumerate(make_up.stages, start=1)
    )
    head = say_count("One stage.", "{count} stages.", len(make_up.stages))
    alt = joined((head, *stages))
    return Figure(f"make-up{suffix}", make_up.title, alt, StagesDrawing(make_up.stages))


def fold_figure(sizes: tuple[ProvedSize, ...], suffix: str) -> Figure | None:
    """How the strip becomes a hood, or None for what is not folded."""
    plan = sizes[0].plan
    if "fold_row" not in plan.facts:
        return None
    closing = "cord" if plan.group == "cord" else "drawn"
    last = (
        say("Neck gathered on the cord, two ends in front")
        if closing == "cord"
        else say("Neck gathered and the yarn fastened off")
    )
    stages = (say("Strip, flat"), say("Folded at the crown"), say("Back edges sewn"), last)
    alt = say(
        "Four stages. A flat strip with the cast-on edge and the last row at its ends. The strip "
        "folded in half so that both neck edges meet, without a twist. The back edges sewn "
        "together chain to chain up to the fold. {last}.",
        last=last,
    )
    return Figure(
        f"fold-and-seam{suffix}",
        say("Fold, seam and gather"),
        alt,
        FoldDrawing(plan.facts["strip_width_mm"], plan.facts["strip_length_mm"], stages, closing),
    )
