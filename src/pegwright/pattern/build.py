"""From proved sizes to the document: every section, in reading order.

Sizes that share their steps are written together, ``small (medium, large)``; where they differ (a
cord for adults, a drawn neck for children) each group has its own run of steps.
"""

from __future__ import annotations

from itertools import groupby

from pegwright.gauge.fabric_gauge import Counts, explain
from pegwright.knitting.wraps import FirstRow
from pegwright.loom.board import Arrangement
from pegwright.pattern.abbreviations import used
from pegwright.pattern.chart import chart_figures
from pegwright.pattern.figures import (
    fold_figure,
    knit_over_figure,
    make_up_figure,
    measuring_figure,
    schematic_figure,
    set_up_figure,
    wrap_figure,
)
from pegwright.pattern.fit import fit_rows
from pegwright.pattern.graded import Graded, in_sizes
from pegwright.pattern.look import look_section
from pegwright.pattern.materials import material_block, need_tables
from pegwright.pattern.model import (
    Block,
    CautionBlock,
    ChartDrawing,
    Facts,
    Figure,
    Paragraph,
    Pattern,
    PatternStep,
    Section,
    StepBlock,
    TableBlock,
)
from pegwright.pattern.phrases import Context, phrase
from pegwright.pattern.phrases_blanket import seam_table
from pegwright.pattern.proof import proof_statement
from pegwright.pattern.source import ProvedSize, Source, WrapTest
from pegwright.pattern.spoken import spoken
from pegwright.pattern.stripes import rows_before, stripe_section, stripes_in
from pegwright.pattern.vocabulary import measure_name, wrap_name
from pegwright.safety.cautions import cautions_for
from pegwright.tongue.said import Said, capital, joined, numeral, say, word
from pegwright.units import UnitSystem, format_both, format_number

__all__ = ["build"]

_EASE_SHOWN_MM = 1.6  # half a tape mark

# NOTE: F and B are painted on the boards and stand in every peg's address: keep the letters
_ABBREVIATIONS = (
    (
        word("short form", "P"),
        say("peg of the ring; the pegs are numbered from the one nearest you, to your right: P1 …"),
    ),
    (
        word("short form", "F, B"),
        say("front board (near you), back board; pegs are numbered from your left: F1, B1 …"),
    ),
    (say("course"), say("the passes after which every peg in use has one new loop")),
    (say("knit over"), say("lift the lower loop over the upper one and off the peg")),
    (say("row"), say("wrap a course, then knit over every peg")),
    (say("pass"), say("one way of the yarn along the board")),
    (say("anchor cord"), say("a smooth cord laid over the cast-on wraps")),
    (say("chain"), say("the column of linked stitches along a side edge")),
)


def build(source: Source) -> Pattern:
    """The pattern of a design whose every size was proved."""
    groups = _groups(source)
    work = _work(source, groups)
    stripes = stripe_section(source)
    look = look_section(source)
    sections = [
        _sizes(source),
        *((look,) if look else ()),
        Section("gauge", say("Gauge"), (_gauge(source),)),
        Section("board", say("Set up the board"), _board(source)),
        Section(
            "materials",
            say("Materials and tools"),
            (material_block(source), *need_tables(source)),
        ),
        Section("words", say("Words used"), (Facts(_words(source, work)),)),
        Section("wrap", say("The wrap"), (wrap_figure(source), knit_over_figure())),
        *((stripes,) if stripes else ()),
        *work,
        Section(
            "cautions",
            say("Cautions"),
            (CautionBlock(cautions_for(s.plan for s in source.sizes)),),
        ),
        _how(source),
    ]
    minutes = max(s.minutes for s in source.sizes)
    pattern = Pattern(
        key=source.key,
        title=source.title,
        subtitle=_subtitle(source),
        summary=source.summary,
        sizes=tuple(s.name for s in source.sizes),
        sections=tuple(sections),
        proof=proof_statement(source),
        minutes=minutes,
    )
    return spoken(pattern, source.tongue)


def _subtitle(source: Source) -> Said:
    wrap = wrap_name(source.wrap.name)
    if source.loom.arrangement is Arrangement.RING:
        made = say("knitted on a ring of pegs in {wrap}", wrap=wrap)
    elif source.loom.is_double:
        made = say("knitted on a double board in {wrap}", wrap=wrap)
    else:
        made = say("knitted on one row of pegs in {wrap}", wrap=wrap)
    if not source.edition:
        return made
    return say("{made}; version {version}", made=made, version=source.edition)


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
    rows: list[tuple[str, ...]] = [
        (
            say("to fit: {measure}", measure=measure_name(name)),
            *(format_both(s.measures[name], units) for s in source.sizes),
        )
        for name in body
    ]
    rows += [
        (
            say("finished: {measure}", measure=measure_name(name)),
            *(format_both(s.plan.finished[name].value, units) for s in source.sizes),
        )
        for name in finished
    ]
    rows += _ease_rows(source)
    pegs = say("pegs a side") if source.loom.is_double else say("pegs")
    pieces = [s.plan.pieces[0] for s in source.sizes]
    rows.append((pegs, *(format_number(p.columns) for p in pieces)))
    rows.append((say("rows"), *(format_number(p.rows) for p in pieces)))
    blocks: list[Block] = [
        TableBlock(say("To fit and finished measurements"), header, tuple(rows)),
    ]
    if body:
        words = joined(
            (
                say("{name}: {words}", name=measure_name(name), words=source.measure_words[name])
                for name in body
            ),
            "; ",
        )
        blocks.append(Paragraph(say("Where to measure. {words}.", words=capital(words))))
    measuring = measuring_figure(source)
    if measuring is not None:
        blocks.append(measuring)
    blocks.append(schematic_figure(source))
    return Section("sizes", say("Sizes"), tuple(blocks))


def _ease_rows(source: Source) -> list[tuple[str, ...]]:
    """Finished less body, for what goes round or along the body and is made looser or tighter."""
    fits = {(row.name, row.size): row for row in fit_rows(source.sizes)}
    found: list[tuple[str, ...]] = []
    for name in dict.fromkeys(n for s in source.sizes for n in s.plan.body):
        ease = [fits.get((name, size.name)) for size in source.sizes]
        eases_mm = [row.ease.value for row in ease if row is not None]
        if len(eases_mm) == len(ease) and any(abs(mm) >= _EASE_SHOWN_MM for mm in eases_mm):
            cells = (_signed(mm, source.units) for mm in eases_mm)
            found.append((say("ease: {measure}", measure=measure_name(name)), *cells))
    return found


def _signed(length_mm: float, units: UnitSystem) -> Said:
    """A length with its sign; none for what no tape can show."""
    words = format_both(abs(length_mm), units)
    if abs(length_mm) < _EASE_SHOWN_MM:
        return words
    if length_mm > 0:
        return say("+{length}", length=words)
    return say("−{length}", length=words)


def _gauge(source: Source) -> Facts:
    per_4in, per_10cm = source.gauge.per_4in(), source.gauge.per_10cm()
    rows = (
        (say("4 in"), _counts(per_4in)),
        (say("10 cm"), _counts(per_10cm)),
    )
    ordered = rows if source.units is UnitSystem.INCHES else rows[::-1]
    sure, *source_words = explain(source.gauge, source.units)[1:]
    sure_and_source = ((say("how sure"), sure), (say("where from"), joined(source_words)))
    return Facts((*ordered, *sure_and_source))


def _counts(counts: Counts) -> Said:
    return say(
        "{stitches} stitches, {rows} rows",
        stitches=numeral(f"{counts.stitches.value:.1f}"),
        rows=numeral(f"{counts.rows.value:.1f}"),
    )


def _board(source: Source) -> tuple[Block, ...]:
    loom, units = source.loom, source.units
    columns = Graded(tuple(s.plan.pieces[0].columns for s in source.sizes), units).counts()

    def fine(length_mm: float) -> Said:
        return format_both(length_mm, units, denominator=16)

    in_use = say("{used} of {pegs}", used=columns, pegs=loom.pegs)
    if loom.is_double:
        in_use = say("{used} of {pegs} on each board", used=columns, pegs=loom.pegs)
    rows = [
        (say("pegs in use"), in_use),
        (
            say("pitch"),
            say("{length}, centre to centre along the row", length=fine(loom.pitch_mm)),
        ),
    ]
    if loom.is_double:
        gap = say("{length}, centre to centre from row to row", length=fine(loom.gap_mm))
        rows.append((say("gap"), gap))
        rows.append((say("pegs"), say("must stand exactly opposite each other")))
    rows.append((say("peg"), say("{length} thick", length=fine(loom.peg_diameter_mm))))
    blocks: list[Block] = [set_up_figure(source), Facts(tuple(rows))]
    if source.wrap_test is not None:
        blocks.append(Paragraph(_wrap_test_words(source.wrap_test, units)))
    return tuple(blocks)


def _wrap_test_words(test: WrapTest, units: UnitSystem) -> Said:
    return say(
        "Wrap test. Wrap pegs 1 to {columns} of both boards once, snugly, out and back to where "
        "you began; mark the yarn, unwind it and measure. It should draw about {length}. More yarn "
        "means larger stitches and a larger piece, less yarn a smaller one: change the gap until "
        "it agrees.",
        columns=test.columns,
        length=format_both(test.reading.length_mm, units),
    )


def _words(source: Source, work: list[Section]) -> tuple[tuple[str, str], ...]:
    """The words that are used on this board, and the short forms that stand in the steps."""
    ring = source.loom.arrangement is Arrangement.RING
    left_out = {
        "P": not ring,
        "F, B": not source.loom.is_double,
        "chain": ring,
        "anchor cord": source.wrap.first_row is FirstRow.CLOSED,
    }
    kept = tuple(row for row in _ABBREVIATIONS if not left_out.get(row[0], False))
    return (*kept, *used(_step_texts(work)))


def _step_texts(work: list[Section]) -> list[str]:
    """All that the steps and the keys of the charts say."""
    blocks = [block for section in work for block in section.blocks]
    steps = [step for block in blocks if isinstance(block, StepBlock) for step in block.steps]
    texts = [text for step in steps for text in (*step.text, step.tally)]
    charts = [b.drawing for b in blocks if isinstance(b, Figure)]
    keys = [row for drawn in charts if isinstance(drawn, ChartDrawing) for row in drawn.key]
    return [*texts, *(words for _, words in keys)]


def _work(source: Source, groups: list[tuple[ProvedSize, ...]]) -> list[Section]:
    sections = []
    for i, sizes in enumerate(groups):
        title = say("Knit and make up")
        key = "steps"
        if len(groups) > 1:
            named = joined((s.name for s in sizes), ", ")
            title = say("Knit and make up: {sizes}", sizes=named)
            key = f"steps-{i + 1}"
        blocks: list[Block] = []
        if len(sizes) > 1:
            words = say(
                "Numbers are given for {sizes}; one number stands for all.",
                sizes=in_sizes([s.name for s in sizes]),
            )
            blocks.append(Paragraph(words))
        suffix = "" if len(groups) == 1 else f"-{i + 1}"
        fold = make_up_figure(sizes, suffix) or fold_figure(sizes, suffix)
        blocks.append(StepBlock(tuple(_steps(source, sizes, fold.key if fold else ""))))
        if fold is not None:
            blocks.append(fold)
        blocks += chart_figures(sizes, suffix)
        table = seam_table(sizes)
        if table is not None:
            blocks.append(table)
        sections.append(Section(key, title, tuple(blocks)))
    return sections


def _steps(source: Source, sizes: tuple[ProvedSize, ...], fold: str) -> list[PatternStep]:
    facts = graded_facts(sizes, source.units)
    steps = []
    striped = stripes_in(sizes[0])
    done = zip(*(rows_before(s.plan.script) for s in sizes), strict=True)
    for same, before in zip(
        zip(*(s.plan.script.steps for s in sizes), strict=True), done, strict=True
    ):
        context = Context(
            source.wrap,
            source.loom,
            source.units,
            same,
            facts,
            fold,
            yarns=source.yarns,
            stripes=striped,
            done=before,
        )
        said = phrase(context)
        steps.append(PatternStep(same[0].number, said.title, said.text, said.tally, said.figure))
    return steps


def _sentence(words: str) -> Said:
    """Words with a capital and a full stop."""
    if words.endswith("."):
        return capital(words)
    return say("{sentence}.", sentence=capital(words))


def _how(source: Source) -> Section:
    """How the counts were chosen, with the rounding shown."""
    rows = tuple((s.name, joined(_sentence(c) for c in s.plan.choices)) for s in source.sizes)
    return Section("counts", say("How the counts were chosen"), (Facts(rows),))
