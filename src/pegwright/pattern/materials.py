"""What to have at hand: yarn with its interval and margin, and tools."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pegwright.knitting.operations import LayAnchor
from pegwright.knitting.script import flatten
from pegwright.pattern.graded import Graded
from pegwright.pattern.model import Item, MaterialBlock, TableBlock
from pegwright.pattern.source import Source
from pegwright.pattern.vocabulary import category_name, part_name
from pegwright.tongue.said import say
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

MOST_COLUMNS = 4
"""Yarns side by side in one table: as many as have room on a sheet in large print."""


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
    # NOTE: a yarn weight category, such as medium or bulky
    note = say(
        "{category} weight, {metres} m per 100 g",
        category=category_name(kind.name),
        metres=format_number(yarn.metres_per_100g),
    )
    if yarn.invented:
        note = say("{yarn}; an invented make", yarn=note)
    return Item(
        f"{yarn.name}, {yarn.colour}" if yarn.colour else yarn.name,
        say("{balls} × {grams} g", balls=balls.counts(), grams=format_number(yarn.ball_g)),
        note,
    )


def need_tables(source: Source) -> tuple[TableBlock, ...]:
    """What each yarn is needed for, part by part, with its interval and its margin.

    A table for each yarn with a column for each size; in one size, one table with a column for each
    yarn.
    """
    yarns = _used(source)
    if len(source.sizes) == 1 and len(yarns) > 1:
        (size,) = source.sizes
        each = [(yarn.name, _need(size.needs, yarn)) for yarn in yarns]
        parts = [each[at : at + MOST_COLUMNS] for at in range(0, len(each), MOST_COLUMNS)]
        caption = say("How much of each yarn is drawn, and for what")
        return tuple(_need_table(source, caption, columns) for columns in parts)
    return tuple(
        _need_table(
            source,
            say("How much {yarn} is drawn, and for what", yarn=yarn.name),
            [(size.name, _need(size.needs, yarn)) for size in source.sizes],
        )
        for yarn in yarns
    )


def _need_table(
    source: Source, caption: str, columns: Sequence[tuple[str, YarnNeed | None]]
) -> TableBlock:
    needs = [need for _, need in columns]
    names = dict.fromkeys(p.name for n in needs if n for p in n.parts)

    def row(label: str, form: Callable[[YarnNeed], str]) -> tuple[str, ...]:
        return (label, *(form(n) if n else "–" for n in needs))

    def part(name: str) -> Callable[[YarnNeed], str]:
        return lambda n: next(
            (
                say("{number} m", number=format_number(p.metres.value, 1))
                for p in n.parts
                if p.name == name
            ),
            "–",
        )

    def between(n: YarnNeed) -> str:
        low, high = n.metres_interval
        return say("{low} to {high} m", low=format_number(low), high=format_number(high))

    rows = (
        *(row(part_name(name), part(name)) for name in names),
        row(say("in all"), lambda n: format_yarn_length(n.metres.value, source.units)),
        row(say("weight"), lambda n: format_mass(n.grams.value, source.units)),
        row(say("9 in 10 draw"), between),
        row(
            say("have, {percent} % over", percent=format_number(100 * source.margin)),
            lambda n: say("{number} g", number=format_number(n.grams_to_have)),
        ),
    )
    return TableBlock(caption, ("", *(name for name, _ in columns)), rows)


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
    return Item(
        say("anchor cord"),
        say("about {length}", length=length),
        say("smooth and of another colour"),
    )


def _tools(source: Source) -> tuple[Item, ...]:
    loom, units = source.loom, source.units
    most = max(s.plan.pieces[0].columns for s in source.sizes)
    pitch = format_length(loom.pitch_mm, units, denominator=16)
    if loom.is_double:
        gap = format_length(loom.gap_mm, units, denominator=16)
        board = Item(
            say("double peg board"),
            say("at least {count} pegs a side", count=most),
            say("pitch {pitch}, gap {gap}, pegs exactly opposed", pitch=pitch, gap=gap),
        )
    else:
        board = Item(
            say("peg board or ring"),
            say("at least {count} pegs", count=most),
            say("pitch {pitch}", pitch=pitch),
        )
    inches = units is UnitSystem.INCHES
    tape = say("tape measure, inches") if inches else say("tape measure, centimetres")
    return (
        board,
        Item(say("knitting hook or pick"), "1", say("blunt-ended")),
        Item(say("large-eyed needle"), "1", say("blunt-ended, for the seam and the tails")),
        Item(say("scissors"), "1"),
        Item(tape, "1"),
        Item(say("kitchen scale"), "1", say("to weigh what is left")),
    )
