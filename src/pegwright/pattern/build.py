"""From proved sizes to the document: every section, in reading order.

Sizes that share their steps are written together, ``small (medium, large)``; where they differ (a
cord for adults, a drawn neck for children) each group has its own run of steps.
"""

from __future__ import annotations

from itertools import groupby

from pegwright.gauge.fabric_gauge import explain
from pegwright.pattern.figures import (
    fold_figure,
    knit_over_figure,
    schematic_figure,
    set_up_figure,
    wrap_figure,
)
from pegwright.pattern.graded import Graded, in_sizes
from pegwright.pattern.materials import material_block, need_tables
from pegwright.pattern.model import (
    Block,
    CautionBlock,
    Facts,
    Paragraph,
    Pattern,
    PatternStep,
    Section,
    StepBlock,
    TableBlock,
)
from pegwright.pattern.phrases import Context, phrase
from pegwright.pattern.proof import proof_statement
from pegwright.pattern.source import ProvedSize, Source, WrapTest
from pegwright.safety.cautions import cautions_for
from pegwright.units import UnitSystem, format_both, format_number

__all__ = ["build"]

_ABBREVIATIONS = (
    ("F, B", "front board (near you), back board; pegs are numbered from your left: F1, B1 …"),
    ("course", "the passes after which every peg in use has one new loop"),
    ("knit over", "lift the lower loop over the upper one and off the peg"),
    ("row", "wrap a course, then knit over every peg"),
    ("pass", "one way of the yarn along the board"),
    ("anchor cord", "a smooth cord laid over the cast-on wraps"),
    ("chain", "the column of linked stitches along a side edge"),
)


def build(source: Source) -> Pattern:
    """The pattern of a design whose every size was proved."""
    groups = _groups(source)
    sections = [
        _sizes(source),
        Section("gauge", "Gauge", (_gauge(source),)),
        Section("board", "Set up the board", _board(source)),
        Section("materials", "Materials and tools", (material_block(source), *need_tables(source))),
        Section("words", "Words used", (Facts(_words(source)),)),
        Section("wrap", "The wrap", (wrap_figure(source), knit_over_figure())),
        *_work(source, groups),
        Section(
            "cautions",
            "Cautions",
            (CautionBlock(cautions_for(s.plan for s in source.sizes)),),
        ),
        _how(source),
    ]
    minutes = max(s.minutes for s in source.sizes)
    return Pattern(
        key=source.key,
        title=source.title,
        subtitle=_subtitle(source),
        summary=source.summary,
        sizes=tuple(s.name for s in source.sizes),
        sections=tuple(sections),
        proof=proof_statement(source),
        minutes=minutes,
    )


def _subtitle(source: Source) -> str:
    board = "a double board" if source.loom.is_double else "one row of pegs"
    return f"knitted on {board} in {source.wrap.name}"


def _groups(source: Source) -> list[tuple[ProvedSize, ...]]:
    """Sizes with the same steps, kept in the design's order."""
    return [tuple(sizes) for _, sizes in groupby(source.sizes, lambda s: s.plan.group)]


def graded_facts(sizes: tuple[ProvedSize, ...], units: UnitSystem) -> dict[str, Graded]:
    """The facts of several sizes, each name with one number a size."""
    names = sizes[0].plan.facts
    return {name: Graded(tuple(s.plan.facts[name] for s in sizes), units) for name in names}


def _sizes(source: Source) -> Section:
    """What each size fits and measures when finished, with its counts."""
    first = source.sizes[0]
    units = source.units
    body = [n for n in source.measure_words if all(n in s.measures for s in source.sizes)]
    finished = [n for n in first.plan.finished if all(n in s.plan.finished for s in source.sizes)]
    header = ("", *(s.name for s in source.sizes))
    rows = [
        (f"to fit: {name}", *(format_both(s.measures[name], units) for s in source.sizes))
        for name in body
    ]
    rows += [
        (
            f"finished: {name}",
            *(format_both(s.plan.finished[name].value, units) for s in source.sizes),
        )
        for name in finished
    ]
    pegs = "pegs a side" if source.loom.is_double else "pegs"
    pieces = [s.plan.pieces[0] for s in source.sizes]
    rows.append((pegs, *(format_number(p.columns) for p in pieces)))
    rows.append(("rows", *(format_number(p.rows) for p in pieces)))
    blocks: list[Block] = [
        TableBlock("To fit and finished measurements", header, tuple(rows)),
    ]
    if body:
        words = "; ".join(f"{name}: {source.measure_words[name]}" for name in body)
        blocks.append(Paragraph(f"Where to measure. {words[0].upper()}{words[1:]}."))
    blocks.append(schematic_figure(source))
    return Section("sizes", "Sizes", tuple(blocks))


def _gauge(source: Source) -> Facts:
    per_4in, per_10cm = source.gauge.per_4in(), source.gauge.per_10cm()
    rows = (
        ("4 in", f"{per_4in.stitches.value:.1f} stitches, {per_4in.rows.value:.1f} rows"),
        ("10 cm", f"{per_10cm.stitches.value:.1f} stitches, {per_10cm.rows.value:.1f} rows"),
    )
    ordered = rows if source.units is UnitSystem.INCHES else rows[::-1]
    sure, *source_words = explain(source.gauge, source.units)[1:]
    return Facts((*ordered, ("how sure", sure), ("where from", " ".join(source_words))))


def _board(source: Source) -> tuple[Block, ...]:
    loom, units = source.loom, source.units
    columns = Graded(tuple(s.plan.pieces[0].columns for s in source.sizes), units).counts()

    def fine(length_mm: float) -> str:
        return format_both(length_mm, units, denominator=16)

    rows = [
        ("pegs in use", f"{columns} of {loom.pegs}" + (" on each board" if loom.is_double else "")),
        ("pitch", f"{fine(loom.pitch_mm)}, centre to centre along the row"),
    ]
    if loom.is_double:
        rows.append(("gap", f"{fine(loom.gap_mm)}, centre to centre from row to row"))
        rows.append(("pegs", "must stand exactly opposite each other"))
    rows.append(("peg", f"{fine(loom.peg_diameter_mm)} thick"))
    blocks: list[Block] = [set_up_figure(source), Facts(tuple(rows))]
    if source.wrap_test is not None:
        blocks.append(Paragraph(_wrap_test_words(source.wrap_test, units)))
    return tuple(blocks)


def _wrap_test_words(test: WrapTest, units: UnitSystem) -> str:
    length = format_both(test.reading.length_mm, units)
    return (
        f"Wrap test. Wrap pegs 1 to {test.columns} of both boards once, snugly, out and back to "
        f"where you began; mark the yarn, unwind it and measure. It should draw about {length}. "
        "More yarn means larger stitches and a larger piece, less yarn a smaller one: change the "
        "gap until it agrees."
    )


def _words(source: Source) -> tuple[tuple[str, str], ...]:
    if source.loom.is_double:
        return _ABBREVIATIONS
    return tuple(row for row in _ABBREVIATIONS if row[0] != "F, B")


def _work(source: Source, groups: list[tuple[ProvedSize, ...]]) -> list[Section]:
    sections = []
    for i, sizes in enumerate(groups):
        title = "Knit and make up"
        key = "steps"
        if len(groups) > 1:
            title = f"{title}: {', '.join(s.name for s in sizes)}"
            key = f"steps-{i + 1}"
        blocks: list[Block] = []
        if len(sizes) > 1:
            named = in_sizes([s.name for s in sizes])
            blocks.append(Paragraph(f"Numbers are given for {named}; one number stands for all."))
        fold = fold_figure(sizes, "" if len(groups) == 1 else f"-{i + 1}")
        blocks.append(StepBlock(tuple(_steps(source, sizes, fold.key if fold else ""))))
        if fold is not None:
            blocks.append(fold)
        sections.append(Section(key, title, tuple(blocks)))
    return sections


def _steps(source: Source, sizes: tuple[ProvedSize, ...], fold: str) -> list[PatternStep]:
    facts = graded_facts(sizes, source.units)
    steps = []
    for same in zip(*(s.plan.script.steps for s in sizes), strict=True):
        context = Context(source.wrap, source.loom, source.units, same, facts, fold)
        said = phrase(context)
        steps.append(PatternStep(same[0].number, said.title, said.text, said.tally, said.figure))
    return steps


def _sentence(words: str) -> str:
    """Words with a capital and a full stop."""
    return f"{words[0].upper()}{words[1:]}" + ("" if words.endswith(".") else ".")


def _how(source: Source) -> Section:
    """How the counts were chosen, with the rounding shown."""
    rows = tuple((s.name, " ".join(_sentence(c) for c in s.plan.choices)) for s in source.sizes)
    return Section("counts", "How the counts were chosen", (Facts(rows),))
