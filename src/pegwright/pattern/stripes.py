"""Stripes in print: their words at the board, and the table of all of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pegwright.knitting.operations import CutYarn, JoinYarn, Repeat
from pegwright.knitting.script import Script, Work, flatten
from pegwright.knitting.stripes import STRIPED_STEPS, Stripe, rows_in, stripes_of
from pegwright.pattern.graded import in_sizes
from pegwright.pattern.model import Section, TableBlock
from pegwright.pattern.phrase import Context, Phrase
from pegwright.pattern.phrases_knit import as_before, pull_down
from pegwright.pattern.source import ProvedSize, Source
from pegwright.tongue.said import Said, joined, say, say_count, word

__all__ = ["PHRASES", "row_span", "rows_before", "stripe_section", "stripes_in"]


def rows_before(script: Script) -> tuple[int, ...]:
    """For every step, how many rows of the first piece are knitted when it begins."""
    piece = script.pieces[0].name
    done, found = 0, []
    for step in script.steps:
        found.append(done)
        if step.piece == piece and step.key in STRIPED_STEPS:
            done += rows_in(step.work)
    return tuple(found)


def row_span(first: int, count: int) -> Said:
    """Rows as ``Row 9`` or ``Rows 9–16``."""
    if count == 1:
        return say("Row {number}", number=first)
    return say("Rows {first}–{last}", first=first, last=first + count - 1)


# --- at the board --------------------------------------------------------------------------------


def _stripe(context: Context) -> Phrase:
    step = context.steps[0]
    rows = [rows_in(s.work) for s in context.steps]
    spans = [row_span(done + 1, count) for done, count in zip(context.done, rows, strict=True)]
    ends = in_sizes([str(done + count) for done, count in zip(context.done, rows, strict=True)])
    tally = say("{rows} rows in all.", rows=ends)
    span = in_sizes(spans)
    joined = [o.yarn for o in flatten(step.work) if isinstance(o, JoinYarn)]
    if not joined:
        title = say("{rows}: on with the first stripe", rows=span)
        return Phrase(title, _first_rows(context, rows), tally)
    tail = context.length(
        [next(o.tail_mm for o in flatten(s.work) if isinstance(o, CutYarn)) for s in context.steps]
    )
    first = step.work[0]
    if isinstance(first, Repeat):
        return _recurring(context, first, span, tail, tally)
    label = context.label(joined[0])
    count = in_sizes([_counted(n) for n in rows])
    text = (
        say(
            "Cut the yarn, leaving a tail of {tail}, and join {yarn} with a tail as long.",
            tail=tail,
            yarn=label,
        ),
        say("Work {rows}.", rows=count),
    )
    return Phrase(say("{rows}: {yarn}", rows=span, yarn=label), text, tally)


def _first_rows(context: Context, rows: list[int]) -> tuple[Said, ...]:
    more = in_sizes([say_count("{count} more row", "{count} more rows", n) for n in rows])
    on = say("{as_before}, for {rows}.", as_before=as_before(context), rows=more)
    return (on, pull_down(context))


def _recurring(context: Context, repeat: Repeat, span: Said, tail: Said, tally: Said) -> Phrase:
    said = joined(
        (
            say("{rows} in {yarn}", rows=_counted(stripe.rows), yarn=context.label(stripe.yarn))
            for stripe in _stripes(repeat.body)
        ),
        "; ",
    )
    text = (
        say(
            "Work these stripes {times} times, one after another: {stripes}.",
            times=repeat.times,
            stripes=said,
        ),
        say(
            "At every change cut the yarn, leaving a tail of {tail}, and join the next with a tail "
            "as long.",
            tail=tail,
        ),
    )
    title = say("{rows}: stripes that recur, {times} times", rows=span, times=repeat.times)
    return Phrase(title, text, tally)


def _stripes(work: Work) -> tuple[Stripe, ...]:
    """The stripes of a stretch of work in which every stripe begins with a join."""
    found: list[Stripe] = []
    yarn, count = "", 0
    for item in (*work, JoinYarn("")):
        if isinstance(item, JoinYarn):
            if count:
                found.append(Stripe(yarn, count))
            yarn, count = item.yarn, 0
        else:
            count += rows_in((item,))
    return tuple(found)


def _counted(rows: int) -> Said:
    return say_count("{count} row", "{count} rows", rows)


PHRASES: Mapping[str, Callable[[Context], Phrase]] = {"stripe": _stripe}


# --- the table -----------------------------------------------------------------------------------


def stripes_in(size: ProvedSize) -> tuple[Stripe, ...]:
    """The stripes that a size was knitted in; none where it is all of one yarn."""
    script = size.plan.script
    return stripes_of(script) if any(step.key == "stripe" for step in script.steps) else ()


def stripe_section(source: Source) -> Section | None:
    """Every stripe with its rows and its yarn, or None where there are none.

    Sizes with the same stripes share a table.
    """
    tables: dict[tuple[Stripe, ...], list[ProvedSize]] = {}
    for size in source.sizes:
        if stripes := stripes_in(size):
            tables.setdefault(stripes, []).append(size)
    if not tables:
        return None
    return Section(
        "stripes",
        say("Stripes"),
        tuple(_table(source, stripes, sizes, len(tables)) for stripes, sizes in tables.items()),
    )


def _table(
    source: Source, stripes: tuple[Stripe, ...], sizes: list[ProvedSize], tables: int
) -> TableBlock:
    caption = say("The stripes, from the cast-on")
    if tables > 1:
        named = joined((size.name for size in sizes), ", ")
        caption = say("{caption}: {sizes}", caption=caption, sizes=named)
    rows, done = [], 0
    for stripe in stripes:
        label = source.yarns[stripe.yarn].label
        rows.append((row_span(done + 1, stripe.rows), label, str(stripe.rows)))
        done += stripe.rows
    return TableBlock(caption, ("", word("stripes", "yarn"), word("stripes", "rows")), tuple(rows))
