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

__all__ = ["Change", "Errata", "Topic", "errata"]

Thing = TypeVar("Thing")

_SENTENCE = re.compile(r"(?<=[.:;?!])\s+(?=[^a-z\s])")


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
        old, new = (v or "no version" for v in (self.old_version, self.new_version))
        return f"{self.title}: changes from version {old} to {new}".replace(
            "version no version", "no version"
        )


def errata(
    old: Pattern, new: Pattern, *, old_version: str = "", new_version: str = ""
) -> Errata:
    """What a reader of the old pattern must change to have the new one.

    :param old_version: the patterns' own versions, as their designs give them.
    """
    return Errata(
        title=new.title,
        old_version=old_version,
        new_version=new_version,
        old_digest=old.proof.digest,
        new_digest=new.proof.digest,
        changes=tuple(_pattern(old, new)),
    )


# --- the whole -----------------------------------------------------------------------------------


def _pattern(old: Pattern, new: Pattern) -> Iterator[Change]:
    for place, before, after in (
        ("Title", old.title, new.title),
        ("Under the title", _unversioned(old.subtitle), _unversioned(new.subtitle)),
    ):
        yield from _words(Topic.WORDS, place, (before,), (after,))
    yield from _words(Topic.WORDS, "Summary", _sentences(old.summary), _sentences(new.summary))
    yield from _words(Topic.SIZES, "Sizes", old.sizes, new.sizes)
    times = ((time_words(p.minutes),) if p.minutes is not None else () for p in (old, new))
    yield from _words(Topic.WORDS, "Time", *times)
    for before, after in _aligned(old.sections, new.sections, lambda s: s.key):
        yield from _section(before, after)
    yield from _words(Topic.WORDS, "Notes", old.notes, new.notes)


def _unversioned(subtitle: str) -> str:
    """The line without the version, which the heading tells."""
    return re.sub(r"; version [0-9A-Za-z.-]+$", "", subtitle)


def _section(old: Section | None, new: Section | None) -> Iterator[Change]:
    one = new or old
    assert one is not None
    topic = Topic.STEPS if one.key.startswith("steps") else _TOPIC_OF_SECTION.get(
        one.key, Topic.WORDS
    )  # fmt: skip
    if old is None or new is None:
        yield Change(topic, "Sections", old and old.title, new and new.title)
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
            rows = (dict(b.rows) if isinstance(b, Facts) else {} for b in (old, new))
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


def _items(block: Block | None) -> dict[str, str]:
    if not isinstance(block, MaterialBlock):
        return {}

    def told(item: Item) -> str:
        return ", ".join(part for part in (item.amount, item.note) if part)

    return {item.name: told(item) for item in (*block.supplies, *block.tools)}


def _cells(topic: Topic, place: str, old: dict[str, str], new: dict[str, str]) -> Iterator[Change]:
    """Named values: changed, new, gone."""
    for name in _in_order(list(old), list(new)):
        before, after = old.get(name), new.get(name)
        if before is None or after is None:
            yield from _one(topic, place, _named(name, before), _named(name, after))
        else:
            yield from _one(topic, f"{place}, {name}", before, after)


def _named(name: str, value: str | None) -> str | None:
    if value is None:
        return None
    return f"{name}: {value}" if value else name


def _table(
    topic: Topic, title: str, old: TableBlock | None, new: TableBlock | None
) -> Iterator[Change]:
    """A table by its rows' names and its columns' heads: for each size, its own change."""
    place = title if topic is Topic.SIZES else f"{title}, {(new or old or _NO_TABLE).caption}"
    if old is None or new is None:
        whole = [_table_words(t) if t is not None else None for t in (old, new)]
        yield from _one(topic, title, whole[0], whole[1])
        return
    was, now = _by_size(old), _by_size(new)
    for row in _in_order([r[0] for r in old.rows], [r[0] for r in new.rows]):
        about = _topic_of_row(topic, row)
        for size in _in_order(list(old.header[1:]), list(new.header[1:])):
            before, after = was.get((row, size)), now.get((row, size))
            if size in old.header and size in new.header:
                yield from _cells(about, f"{place}, {size}", _cell(row, before), _cell(row, after))
            elif row == (new if size in new.header else old).rows[0][0]:
                yield from _one(about, place, _column(old, size), _column(new, size))


_NO_TABLE = TableBlock("", ("",), ())


def _topic_of_row(topic: Topic, row: str) -> Topic:
    is_count = row in ("pegs", "pegs a side", "rows")
    return Topic.COUNTS if topic is Topic.SIZES and is_count else topic


def _by_size(table: TableBlock) -> dict[tuple[str, str], str]:
    return {
        (row[0], size): cell
        for row in table.rows
        for size, cell in zip(table.header[1:], row[1:], strict=True)
    }


def _cell(row: str, value: str | None) -> dict[str, str]:
    return {} if value is None else {row: value}


def _column(table: TableBlock, size: str) -> str | None:
    """A whole column in words, for a size that is new or gone."""
    if size not in table.header:
        return None
    at = table.header.index(size)
    return f"{size}: " + "; ".join(f"{row[0]} {row[at]}" for row in table.rows)


def _table_words(table: TableBlock) -> str:
    columns = (_column(table, size) or "" for size in table.header[1:])
    return f"{table.caption}: " + ". ".join(columns)


def _figure(old: Figure | None, new: Figure | None) -> Iterator[Change]:
    if old is None or new is None:
        yield from _one(Topic.FIGURES, "Figures", old and old.caption, new and new.caption)
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
    pairs = _aligned(old, new, lambda step: step.title)
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


def _words(
    topic: Topic, place: str, old: Sequence[str], new: Sequence[str]
) -> Iterator[Change]:
    """Sentences that were changed, added or left out."""
    for before, after in _aligned(old, new, lambda words: words):
        yield from _one(topic, place, before, after)


def _one(topic: Topic, place: str, before: str | None, after: str | None) -> Iterator[Change]:
    if before != after:
        yield Change(topic, place, before, after)


def _in_order(old: Sequence[str], new: Sequence[str]) -> list[str]:
    """Every name once, in the order of the new; those that are gone stand where they were."""
    names = [after or before for before, after in _aligned(old, new, lambda name: name)]
    return list(dict.fromkeys(name for name in names if name is not None))


def _aligned(
    old: Sequence[Thing], new: Sequence[Thing], key: Callable[[Thing], str]
) -> list[tuple[Thing | None, Thing | None]]:
    """Old and new side by side: those of one key together, then what stands in their place.

    Where a stretch of the old has no like in the new, its parts go with the new stretch's one by
    one, as far as both reach, where their keys are of one length of kind: texts, not names.
    """
    match = SequenceMatcher(None, [key(o) for o in old], [key(n) for n in new], autojunk=False)
    pairs: list[tuple[Thing | None, Thing | None]] = []
    for tag, i, j, k, m in match.get_opcodes():
        if tag == "equal":
            pairs += zip(old[i:j], new[k:m], strict=True)
            continue
        one: list[Thing | None] = list(old[i:j])
        other: list[Thing | None] = list(new[k:m])
        width = max(len(one), len(other))
        one += [None] * (width - len(one))
        other += [None] * (width - len(other))
        pairs += zip(one, other, strict=True)
    return pairs
