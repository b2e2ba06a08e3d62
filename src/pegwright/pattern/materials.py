"""What to have at hand: yarn with its interval and margin, and tools."""

from __future__ import annotations

from collections.abc import Callable

from pegwright.knitting.operations import LayAnchor
from pegwright.knitting.script import flatten
from pegwright.pattern.graded import Graded
from pegwright.pattern.model import Item, MaterialBlock, TableBlock
from pegwright.pattern.source import Source
from pegwright.units import (
    UnitSystem,
    format_both,
    format_length,
    format_mass,
    format_number,
    format_yarn_length,
)
from pegwright.yarn.category import category
from pegwright.yarn.need import YarnNeed
from pegwright.yarn.yarn import Yarn

__all__ = ["material_block", "need_tables"]

ANCHOR_BOARD_LENGTHS = 3
"""Length of an anchor cord in board lengths (common practice, no source)."""


def material_block(source: Source) -> MaterialBlock:
    """Supplies and tools for all sizes."""
    supplies = [_yarn_item(source, yarn) for yarn in _used(source)]
    if _anchored(source):
        supplies.append(_anchor_item(source))
    return MaterialBlock(tuple(supplies), _tools(source))


def _used(source: Source) -> list[Yarn]:
    found: dict[str, Yarn] = {}
    for size in source.sizes:
        for need in size.needs:
            found.setdefault(need.yarn.name, need.yarn)
    return list(found.values())


def _need(size_needs: tuple[YarnNeed, ...], yarn: Yarn) -> YarnNeed | None:
    return next((n for n in size_needs if n.yarn.name == yarn.name), None)


def _yarn_item(source: Source, yarn: Yarn) -> Item:
    needs = [_need(s.needs, yarn) for s in source.sizes]
    balls = Graded(tuple(float(n.balls) if n else 0.0 for n in needs), source.units)
    kind = category(yarn.category)
    invented = "; an invented make" if yarn.invented else ""
    return Item(
        f"{yarn.name}, {yarn.colour}" if yarn.colour else yarn.name,
        f"{balls.counts()} × {format_number(yarn.ball_g)} g",
        f"{kind.name} weight, {format_number(yarn.metres_per_100g)} m per 100 g{invented}",
    )


def need_tables(source: Source) -> tuple[TableBlock, ...]:
    """What each yarn is needed for, part by part, with its interval and its margin."""
    return tuple(_need_table(source, yarn) for yarn in _used(source))


def _need_table(source: Source, yarn: Yarn) -> TableBlock:
    needs = [_need(s.needs, yarn) for s in source.sizes]
    names = dict.fromkeys(p.name for n in needs if n for p in n.parts)

    def row(label: str, form: Callable[[YarnNeed], str]) -> tuple[str, ...]:
        return (label, *(form(n) if n else "–" for n in needs))

    def part(name: str) -> Callable[[YarnNeed], str]:
        return lambda n: next(
            (f"{format_number(p.metres.value, 1)} m" for p in n.parts if p.name == name), "–"
        )

    def between(n: YarnNeed) -> str:
        low, high = n.metres_interval
        return f"{format_number(low)} to {format_number(high)} m"

    rows = (
        *(row(name, part(name)) for name in names),
        row("in all", lambda n: format_yarn_length(n.metres.value, source.units)),
        row("weight", lambda n: format_mass(n.grams.value, source.units)),
        row("9 in 10 draw", between),
        row(
            f"have, {format_number(100 * source.margin)} % over",
            lambda n: f"{format_number(n.grams_to_have)} g",
        ),
    )
    caption = f"How much {yarn.name} is drawn, and for what"
    return TableBlock(caption, ("", *(s.name for s in source.sizes)), rows)


def _anchored(source: Source) -> bool:
    return any(
        isinstance(o, LayAnchor)
        for step in source.sizes[0].plan.script.steps
        for o in flatten(step.work)
    )


def _anchor_item(source: Source) -> Item:
    loom = source.loom
    board_mm = (loom.pegs - 1) * loom.pitch_mm
    length = format_both(ANCHOR_BOARD_LENGTHS * board_mm, source.units, denominator=1)
    return Item("anchor cord", f"about {length}", "smooth and of another colour")


def _tools(source: Source) -> tuple[Item, ...]:
    loom, units = source.loom, source.units
    most = max(s.plan.pieces[0].columns for s in source.sizes)
    pitch = format_length(loom.pitch_mm, units, denominator=16)
    if loom.is_double:
        gap = format_length(loom.gap_mm, units, denominator=16)
        board = Item(
            "double peg board",
            f"at least {most} pegs a side",
            f"pitch {pitch}, gap {gap}, pegs exactly opposed",
        )
    else:
        board = Item("peg board or ring", f"at least {most} pegs", f"pitch {pitch}")
    tape = "tape measure, inches" if units is UnitSystem.INCHES else "tape measure, centimetres"
    return (
        board,
        Item("knitting hook or pick", "1", "blunt-ended"),
        Item("large-eyed needle", "1", "blunt-ended, for the seam and the tails"),
        Item("scissors", "1"),
        Item(tape, "1"),
        Item("kitchen scale", "1", "to weigh what is left"),
    )
