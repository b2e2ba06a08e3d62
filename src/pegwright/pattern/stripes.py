"""Stripes in print: their words at the board, and the table of all of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pegwright.knitting.operations import CutYarn, JoinYarn, Repeat
from pegwright.knitting.script import Script, Work, flatten
from pegwright.knitting.stripes import STRIPED_STEPS, Stripe, rows_in, stripes_of
from pegwright.pattern.graded import in_sizes
from pegwright.pattern.model import Section, TableBlock
from pegwright.pattern.phrase import Context, Phrase
from pegwright.pattern.source import ProvedSize, Source

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


def row_span(first: int, count: int) -> str:
    """Rows as ``Row 9`` or ``Rows 9–16``."""
    return f"Row {first}" if count == 1 else f"Rows {first}–{first + count - 1}"


# --- at the board --------------------------------------------------------------------------------


def _stripe(context: Context) -> Phrase:
    step = context.steps[0]
    rows = [rows_in(s.work) for s in context.steps]
    spans = [row_span(done + 1, count) for done, count in zip(context.done, rows, strict=True)]
    ends = in_sizes([str(done + count) for done, count in zip(context.done, rows, strict=True)])
    tally = f"{ends} rows in all."
    span = in_sizes(spans)
    joined = [o.yarn for o in flatten(step.work) if isinstance(o, JoinYarn)]
    if not joined:
        return Phrase(f"{span}: on with the first stripe", _first_rows(rows), tally)
    tail = context.length(
        [next(o.tail_mm for o in flatten(s.work) if isinstance(o, CutYarn)) for s in context.steps]
    )
    first = step.work[0]
    if isinstance(first, Repeat):
        return _recurring(context, first, span, tail, tally)
    label = context.label(joined[0])
    count = in_sizes([_counted(n) for n in rows])
    text = (
        f"Cut the yarn, leaving a tail of {tail}, and join {label} with a tail as long.",
        f"Work {count}.",
    )
    return Phrase(f"{span}: {label}", text, tally)


def _first_rows(rows: list[int]) -> tuple[str, ...]:
    more = in_sizes([f"{n} more {'row' if n == 1 else 'rows'}" for n in rows])
    return (
        f"Wrap and knit over as before, one over one on every peg, for {more}.",
        "Pull the cloth down between the boards after every few rows, and count rows along the "
        "chain at the edge.",
    )


def _recurring(context: Context, repeat: Repeat, span: str, tail: str, tally: str) -> Phrase:
    said = "; ".join(
        f"{_counted(stripe.rows)} in {context.label(stripe.yarn)}"
        for stripe in _stripes(repeat.body)
    )
    text = (
        f"Work these stripes {repeat.times} times, one after another: {said}.",
        f"At every change cut the yarn, leaving a tail of {tail}, and join the next with a tail as "
        "long.",
    )
    return Phrase(f"{span}: stripes that recur, {repeat.times} times", text, tally)


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


def _counted(rows: int) -> str:
    return "1 row" if rows == 1 else f"{rows} rows"


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
        "Stripes",
        tuple(_table(source, stripes, sizes, len(tables)) for stripes, sizes in tables.items()),
    )


def _table(
    source: Source, stripes: tuple[Stripe, ...], sizes: list[ProvedSize], tables: int
) -> TableBlock:
    caption = "The stripes, from the cast-on"
    if tables > 1:
        caption = f"{caption}: {', '.join(size.name for size in sizes)}"
    rows, done = [], 0
    for stripe in stripes:
        label = source.yarns[stripe.yarn].label
        rows.append((row_span(done + 1, stripe.rows), label, str(stripe.rows)))
        done += stripe.rows
    return TableBlock(caption, ("", "yarn", "rows"), tuple(rows))
