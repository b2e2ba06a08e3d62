"""What changed between two versions of a pattern, as errata: for this read that.

Both patterns are proved, and both are compared as a reader has them before her: section by section,
step by step, sentence by sentence.  So nothing that changed in print is passed by, and nothing is
told that no reader can see.  Only the proof itself (its digest and its counts of movements) is left
out.  Changes stand in the order of the new pattern; what is gone stands where it was.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from enum import StrEnum
from typing import TypeVar

from pegwright.designs.model import Design
from pegwright.pattern.model import (
    Block,
    CautionBlock,
    Facts,
    Figure,
    Item,
    MaterialBlock,
    Paragraph,
    Pattern,
    PatternStep,
    Section,
    StepBlock,
    TableBlock,
)
from pegwright.publish.words import time_words
from pegwright.testknit.proof import prove_pattern

__all__ = ["Change", "Errata", "Topic", "errata", "errata_between"]

Thing = TypeVar("Thing")

_SENTENCE = re.compile(r"(?<=[.?!])\s+(?=[^a-z\s])")


class Topic(StrEnum):
    """What a change is about."""

    SIZES = "sizes"  # which sizes there are, whom they fit, what they measure
    COUNTS = "counts"  # pegs and rows
    GAUGE = "gauge"
    BOARD = "board"
    YARN = "yarn"  # yarn and tools
    STEPS = "steps"
    CAUTIONS = "cautions"
    FIGURES = "figures"
    WORDS = "words"  # all other words


_TOPIC_OF_SECTION = {
    "sizes": Topic.SIZES,
    "gauge": Topic.GAUGE,
    "board": Topic.BOARD,
    "materials": Topic.YARN,
    "cautions": Topic.CAUTIONS,
    "counts": Topic.COUNTS,
}


@dataclass(frozen=True, slots=True)
class Change:
    """One change.

    :param place: where it stands, such as ``Step 3, Knit the strip`` or ``Sizes, bow``.
    :param before: what stood there; None for what is new.
    :param after: what stands there now; None for what is gone.
    """

    topic: Topic
    place: str
    before: str | None
    after: str | None

    @property
    def sentence(self) -> str:
        """The change as errata say it."""
        if self.before is None:
            return f"{self.place}: add “{self.after}”."
        if self.after is None:
            return f"{self.place}: leave out “{self.before}”."
        return f"{self.place}: for “{self.before}” read “{self.after}”."

    def as_data(self) -> dict[str, object]:
        """The change as plain data."""
        return {
            "topic": str(self.topic),
            "place": self.place,
            "before": self.before,
            "after": self.after,
            "sentence": self.sentence,
        }


@dataclass(frozen=True, slots=True)
class Errata:
    """All changes from one version of a pattern to another.

    :param old_version: "" where the design gives none; ``new_version`` likewise.
    :param old_digest: of what was executed; the same where no counts or steps changed.
    """

    title: str
    old_version: str
    new_version: str
    old_digest: str
    new_digest: str
    changes: tuple[Change, ...]

    @property
    def heading(self) -> str:
        """What they are errata of."""
        since = f" from version {self.old_version}" if self.old_version else ""
        upto = f" to {self.new_version}" if since else f" in version {self.new_version}"
        return f"{self.title}: changes{since}{upto if self.new_version else ''}"


def errata(old: Pattern, new: Pattern, *, old_version: str = "", new_version: str = "") -> Errata:
    """What a reader of the old pattern must change to have the new one.

    :param old_version: the patterns' own versions, as their designs give them.
    """
    return Errata(
        title=new.title,
        old_version=old_version,
        new_version=new_version,
        old_digest=old.proof.digest,
        new_digest=new.proof.digest,
        changes=tuple(_pattern(old, new, old_version, new_version)),
    )


def errata_between(old: Design, new: Design) -> Errata:
    """The errata from one version of a design to another, both proved.

    :raises NotPossible: where one of them has faults.
    """
    patterns = (prove_pattern(old)[1], prove_pattern(new)[1])
    return errata(*patterns, old_version=old.version, new_version=new.version)


# --- the whole -----------------------------------------------------------------------------------


def _pattern(old: Pattern, new: Pattern, was: str, now: str) -> Iterator[Change]:
    yield from _one(Topic.WORDS, "Title", old.title, new.title)
    under = (_unversioned(old.subtitle, was), _unversioned(new.subtitle, now))
    yield from _one(Topic.WORDS, "Under the title", *under)
    yield from _words(Topic.WORDS, "Summary", _sentences(old.summary), _sentences(new.summary))
    yield from _one(Topic.SIZES, "Sizes", ", ".join(old.sizes), ", ".join(new.sizes))
    times = (
        (time_words(p.minutes, p.tongue),) if p.minutes is not None else () for p in (old, new)
    )
    yield from _words(Topic.WORDS, "Time", *times)
    for before, after in _aligned(old.sections, new.sections, lambda s: s.key):
        yield from _section(before, after)
    yield from _words(Topic.WORDS, "Notes", old.notes, new.notes)


def _unversioned(subtitle: str, version: str) -> str:
    """The line without the version, which the heading tells."""
    return re.sub(rf"; [^;]*\b{re.escape(version)}$", "", subtitle) if version else subtitle


def _section(old: Section | None, new: Section | None) -> Iterator[Change]:
    one = new or old
    assert one is not None
    topic = Topic.STEPS if one.key.startswith("steps") else _TOPIC_OF_SECTION.get(
        one.key, Topic.WORDS
    )  # fmt: skip
    if old is None or new is None:
        titles = (section.title if section else None for section in (old, new))
        yield Change(topic, "Sections", *titles)
        if new is not None:  # what is gone is told by its title; what is new, in full
            for block in new.blocks:
                yield from _block(topic, new.title, None, block)
        return
    yield from _words(topic, "Section title", (old.title,), (new.title,))
    for before, after in _aligned(old.blocks, new.blocks, _kind):
        yield from _block(topic, new.title, before, after)


def _kind(block: Block) -> str:
    """What makes two blocks of a section the same one."""
    name = type(block).__name__
    if isinstance(block, Figure):
        return f"{name} {block.key}"
    return f"{name} {block.caption}" if isinstance(block, TableBlock) else name


def _block(topic: Topic, title: str, old: Block | None, new: Block | None) -> Iterator[Change]:
    match new or old:
        case Paragraph():
            yield from _words(topic, title, _said(old), _said(new))
        case Facts():
            rows = (_facts(b) for b in (old, new))
            yield from _cells(topic, title, *rows)
        case TableBlock():
            yield from _table(topic, title, _table_or_none(old), _table_or_none(new))
        case MaterialBlock():
            items = (_items(b) for b in (old, new))
            yield from _cells(topic, title, *items)
        case StepBlock():
            steps = (b.steps if isinstance(b, StepBlock) else () for b in (old, new))
            yield from _steps(*steps)
        case CautionBlock():
            yield from _words(topic, title, _cautions(old), _cautions(new))
        case Figure():
            yield from _figure(_figure_or_none(old), _figure_or_none(new))


# --- block by block ------------------------------------------------------------------------------


def _said(block: Block | None) -> tuple[str, ...]:
    return _sentences(block.text) if isinstance(block, Paragraph) else ()


def _table_or_none(block: Block | None) -> TableBlock | None:
    return block if isinstance(block, TableBlock) else None


def _figure_or_none(block: Block | None) -> Figure | None:
    return block if isinstance(block, Figure) else None


def _cautions(block: Block | None) -> tuple[str, ...]:
    if not isinstance(block, CautionBlock):
        return ()
    return tuple(f"{c.title}: {c.text} ({c.source})" for c in block.cautions)


def _facts(block: Block | None) -> dict[str, str]:
    if not isinstance(block, Facts):
        return {}
    names = _apart([name for name, _ in block.rows])
    return {name: row[1] for name, row in zip(names, block.rows, strict=True)}


def _items(block: Block | None) -> dict[str, str]:
    if not isinstance(block, MaterialBlock):
        return {}
    items = (*block.supplies, *block.tools)

    def told(item: Item) -> str:
        return ", ".join(part for part in (item.amount, item.note) if part)

    names = _apart([item.name for item in items])
    return {name: told(item) for name, item in zip(names, items, strict=True)}


def _cells(topic: Topic, place: str, old: dict[str, str], new: dict[str, str]) -> Iterator[Change]:
    """Named values: changed, new, gone."""
    for name in _in_order(list(old), list(new)):
        before, after = old.get(name), new.get(name)
        if before is None or after is None:
            yield from _one(topic, place, _named(name, before), _named(name, after))
        else:
            about = f"{place}, {name}"
            yield from _words(topic, about, _sentences(before), _sentences(after))


def _named(name: str, value: str | None) -> str | None:
    if value is None:
        return None
    return f"{name}: {value}" if value else name


def _table(
    topic: Topic, title: str, old: TableBlock | None, new: TableBlock | None
) -> Iterator[Change]:
    """A table by its columns' heads and its rows' names: each size's own changes together."""
    if old is None or new is None:
        whole = [_table_words(t) if t is not None else None for t in (old, new)]
        yield from _one(topic, title, whole[0], whole[1])
        return
    place = title if topic is Topic.SIZES else new.caption
    yield from _one(topic, f"{place}, head of the first column", old.header[0], new.header[0])
    was, now = _columns(old), _columns(new)
    for size in _in_order(list(was), list(now)):
        if size in was and size in now:
            for row in _in_order(list(was[size]), list(now[size])):
                cells = ({row: c[size][row]} if row in c[size] else {} for c in (was, now))
                yield from _cells(_topic_of_row(topic, row), f"{place}, {size}", *cells)
        else:
            before, after = (_column_words(c, size) for c in (was, now))
            yield from _one(topic, place, before, after)


def _columns(table: TableBlock) -> dict[str, dict[str, str]]:
    """The cells by the column's head and the row's name."""
    heads, names = _apart(table.header[1:]), _apart([row[0] for row in table.rows])
    return {
        head: {name: row[at] for name, row in zip(names, table.rows, strict=True)}
        for at, head in enumerate(heads, 1)
    }


def _column_words(columns: dict[str, dict[str, str]], size: str) -> str | None:
    """A whole column in words, for a size that is new or gone."""
    if size not in columns:
        return None
    return f"{size}: " + "; ".join(f"{row} {cell}" for row, cell in columns[size].items())


def _table_words(table: TableBlock) -> str:
    columns = _columns(table)
    return f"{table.caption}: " + ". ".join(_column_words(columns, c) or "" for c in columns)


def _topic_of_row(topic: Topic, row: str) -> Topic:
    is_count = row in ("pegs", "pegs a side", "rows")
    return Topic.COUNTS if topic is Topic.SIZES and is_count else topic


def _figure(old: Figure | None, new: Figure | None) -> Iterator[Change]:
    if old is None or new is None:
        captions = (figure.caption if figure else None for figure in (old, new))
        yield from _one(Topic.FIGURES, "Figures", *captions)
        return
    place = f"The figure “{new.caption}”"
    yield from _words(Topic.FIGURES, place, _sentences(old.caption), _sentences(new.caption))
    yield from _words(
        Topic.FIGURES, f"{place}, its words", _sentences(old.alt), _sentences(new.alt)
    )
    said = (old.caption, old.alt) == (new.caption, new.alt)
    if said and old.drawing != new.drawing:
        yield Change(Topic.FIGURES, place, "as it was drawn", "as it is drawn now")


# --- step by step --------------------------------------------------------------------------------


def _steps(old: Sequence[PatternStep], new: Sequence[PatternStep]) -> Iterator[Change]:
    pairs = _aligned(old, new, lambda step: step.title, pair=True)
    yield from _renumbered([(a.number, b.number) for a, b in pairs if a and b])
    for before, after in pairs:
        step = after or before
        assert step is not None
        place = f"Step {step.number}, {step.title}"
        if before is None or after is None:
            yield Change(Topic.STEPS, place, _whole(before), _whole(after))
            continue
        yield from _words(Topic.STEPS, f"{place}, its title", (before.title,), (after.title,))
        yield from _words(Topic.STEPS, place, _said_in(before), _said_in(after))
        tallies = ((s.tally,) if s.tally else () for s in (before, after))
        yield from _words(Topic.STEPS, f"{place}, when done", *tallies)
        figures = ((s.figure,) if s.figure else () for s in (before, after))
        yield from _words(Topic.STEPS, f"{place}, the figure to look at", *figures)


def _said_in(step: PatternStep) -> tuple[str, ...]:
    return tuple(sentence for text in step.text for sentence in _sentences(text))


def _whole(step: PatternStep | None) -> str | None:
    if step is None:
        return None
    tally = f" When done: {step.tally}" if step.tally else ""
    return f"{step.title}. {' '.join(step.text)}{tally}"


def _renumbered(pairs: Sequence[tuple[int, int]]) -> Iterator[Change]:
    """Runs of steps that keep their words and change their numbers, told together."""
    run: list[tuple[int, int]] = []

    def told() -> Iterator[Change]:
        if run and run[0][0] != run[0][1]:
            yield Change(Topic.STEPS, "Steps", _span(run, 0), _span(run, 1))

    for old, new in pairs:
        if run and (old, new) != (run[-1][0] + 1, run[-1][1] + 1):
            yield from told()
            run = []
        run.append((old, new))
    yield from told()


def _span(run: Sequence[tuple[int, int]], side: int) -> str:
    first, last = run[0][side], run[-1][side]
    return f"step {first}" if first == last else f"steps {first} to {last}"


# --- words ---------------------------------------------------------------------------------------


def _sentences(text: str) -> tuple[str, ...]:
    """A text's sentences; what cannot be parted stays whole."""
    return tuple(part for part in _SENTENCE.split(text) if part)


def _words(topic: Topic, place: str, old: Sequence[str], new: Sequence[str]) -> Iterator[Change]:
    """Sentences that were changed, added or left out.

    A stretch that has no like is told sentence for sentence where both have as many, else whole.
    """
    for tag, i, j, k, m in _opcodes(old, new):
        if tag == "equal":
            continue
        if j - i == m - k:
            for before, after in zip(old[i:j], new[k:m], strict=True):
                yield Change(topic, place, before, after)
        else:
            stretch = (" ".join(part) or None for part in (old[i:j], new[k:m]))
            yield Change(topic, place, *stretch)


def _one(topic: Topic, place: str, before: str | None, after: str | None) -> Iterator[Change]:
    if before != after:
        yield Change(topic, place, before, after)


# --- side by side --------------------------------------------------------------------------------


def _opcodes(old: Sequence[str], new: Sequence[str]) -> Sequence[tuple[str, int, int, int, int]]:
    return SequenceMatcher(None, old, new, autojunk=False).get_opcodes()


def _apart(names: Sequence[str]) -> list[str]:
    """The names, those that recur told apart: ``row``, ``row (2)``."""
    count: dict[str, int] = {}
    found = []
    for name in names:
        count[name] = count.get(name, 0) + 1
        found.append(name if count[name] == 1 else f"{name} ({count[name]})")
    return found


def _in_order(old: Sequence[str], new: Sequence[str]) -> list[str]:
    """Every name once, in the order of the new; those that are gone stand where they were."""
    kept = [name for name in old if name not in new]
    names: list[str] = []
    for before, after in _aligned(old, new, str):
        names += [n for n in (before if before in kept else None, after) if n is not None]
    return list(dict.fromkeys(names))


def _aligned(
    old: Sequence[Thing], new: Sequence[Thing], key: Callable[[Thing], str], *, pair: bool = False
) -> list[tuple[Thing | None, Thing | None]]:
    """Old and new side by side: those of one key together, the others alone.

    :param pair: a stretch of as many old as new is taken to be the same things under new names.
    """
    pairs: list[tuple[Thing | None, Thing | None]] = []
    for tag, i, j, k, m in _opcodes([key(o) for o in old], [key(n) for n in new]):
        if tag == "equal" or (pair and j - i == m - k):
            pairs += zip(old[i:j], new[k:m], strict=True)
        else:
            pairs += [(each, None) for each in old[i:j]]
            pairs += [(None, each) for each in new[k:m]]
    return pairs
