"""Stripes: how many rows in which yarn, one after another from the cast-on.

The stripes of a finished script are read back from its operations, so that what is printed of them
is what was executed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from pegwright.errors import BadInput, Place
from pegwright.knitting.operations import JoinYarn, Purl, Repeat, WrapKind, WrapPegs
from pegwright.knitting.script import Script, Work, flatten

__all__ = ["STRIPED_STEPS", "Block", "Stripe", "blocks", "merged", "rows_in", "stripes_of"]

STRIPED_STEPS = frozenset({"cast-on", "first-row", "rows", "stripe"})
"""Keys of the steps that knit the rows of a strip."""


@dataclass(frozen=True, slots=True)
class Stripe:
    """Rows knitted in one yarn.

    :param yarn: the yarn's name.
    :param rows: one or more; the cast-on is no row.
    :raises BadInput: for fewer.
    """

    yarn: str
    rows: int

    def __post_init__(self) -> None:
        if self.rows < 1:
            raise BadInput(
                "a stripe has one row or more",
                given=self.rows,
                hint="count whole rows",
                place=Place(field="rows"),
            )


@dataclass(frozen=True, slots=True)
class Block:
    """Stripes that are worked ``times`` times, one after another."""

    stripes: tuple[Stripe, ...]
    times: int = 1

    @property
    def rows(self) -> int:
        """Rows of all its rounds together."""
        return self.times * sum(stripe.rows for stripe in self.stripes)


def blocks(stripes: tuple[Stripe, ...]) -> tuple[Block, ...]:
    """The stripes with those that recur kept as repeats; written out they are the same again.

    From the left, the repeat that covers most stripes is taken, the shortest of equals; stripes
    that do not recur stand alone.
    """
    found: list[Block] = []
    at = 0
    while at < len(stripes):
        best = Block(stripes[at : at + 1])
        for length in range(2, (len(stripes) - at) // 2 + 1):
            unit = stripes[at : at + length]
            times = 1
            while stripes[at + times * length : at + (times + 1) * length] == unit:
                times += 1
            if times > 1 and times * length > best.times * len(best.stripes):
                best = Block(unit, times)
        found.append(best)
        at += best.times * len(best.stripes)
    return tuple(found)


def merged(stripes: Iterable[Stripe]) -> tuple[Stripe, ...]:
    """The same rows with neighbours of one yarn told as one stripe."""
    whole: list[Stripe] = []
    for stripe in stripes:
        if whole and whole[-1].yarn == stripe.yarn:
            whole[-1] = Stripe(stripe.yarn, whole[-1].rows + stripe.rows)
        else:
            whole.append(stripe)
    return tuple(whole)


def rows_in(work: Work) -> int:
    """Whole rows that a stretch of a strip's work knits: one for each wrap or purl of a row."""
    return sum(
        item.times * rows_in(item.body)
        if isinstance(item, Repeat)
        else isinstance(item, Purl) or (isinstance(item, WrapPegs) and item.kind is WrapKind.ROW)
        for item in work
    )


def stripes_of(script: Script) -> tuple[Stripe, ...]:
    """The stripes of the first piece, read from the operations of the steps that knit its rows.

    Every joined yarn begins a stripe; a yarn that is joined and knits no row is none.
    """
    piece = script.pieces[0].name
    yarn = ""
    found: list[Stripe] = []
    count = 0

    def end() -> None:
        if count:
            found.append(Stripe(yarn, count))

    for step in script.steps:
        if step.piece != piece or step.key not in STRIPED_STEPS:
            continue
        for operation in flatten(step.work):
            if isinstance(operation, JoinYarn):
                end()
                yarn, count = operation.yarn, 0
            else:
                count += rows_in((operation,))
    end()
    return tuple(found)
