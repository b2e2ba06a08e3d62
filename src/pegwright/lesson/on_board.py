"""What is on the board at one moment of the run, in words."""

from __future__ import annotations

from collections.abc import Iterable

from pegwright.knitting.operations import CutYarn, JoinYarn, LayAnchor, PullAnchor
from pegwright.knitting.replay import Moment, Replay
from pegwright.knitting.script import flatten
from pegwright.loom.board import Loom

__all__ = ["anchored_before", "board_words", "joined", "yarn_before"]

_COUNTS = ("no loops", "one loop", "two loops", "three loops", "four loops", "five loops")


def board_words(loom: Loom, moment: Moment, anchor: bool) -> str:
    """What the pegs hold: ``pegs F1 to F28 and B1 to B28 hold one loop each``.

    :param anchor: whether an anchor cord lies in the cast-on loops.
    """
    if not moment.stacks:
        return "Nothing is on the board."
    by_count: dict[int, list[int]] = {}
    for peg, stack in moment.stacks:
        by_count.setdefault(len(stack), []).append(peg)
    parts = []
    for count, pegs in sorted(by_count.items(), key=lambda item: -len(item[1])):
        verb = "holds" if len(pegs) == 1 else "hold"
        each = " each" if len(pegs) > 1 else ""
        parts.append(f"{_named(loom, pegs)} {verb} {_loops(count)}{each}")
    words = f"{joined(parts)}."
    words = words[0].upper() + words[1:]
    return f"{words} The anchor cord lies in the cast-on loops." if anchor else words


def _loops(count: int) -> str:
    return _COUNTS[count] if count < len(_COUNTS) else f"{count} loops"


def _named(loom: Loom, pegs: list[int]) -> str:
    """Pegs by their addresses, runs of neighbours written ``F1 to F28``."""
    runs: list[tuple[int, int]] = []
    for peg in sorted(pegs):
        same_row = runs and loom.is_back(runs[-1][1]) == loom.is_back(peg)
        if runs and peg == runs[-1][1] + 1 and (same_row or not loom.is_double):
            runs[-1] = runs[-1][0], peg
        else:
            runs.append((peg, peg))
    words = []
    for first, last in runs:
        ends = [loom.address(first), loom.address(last)]
        words.append(ends[0] if first == last else f"{ends[0]} to {ends[1]}")
    return f"{'peg' if len(pegs) == 1 else 'pegs'} {joined(words)}"


def joined(parts: Iterable[str]) -> str:
    """Words joined as in a sentence: ``a, b and c``."""
    *most, last = list(parts)
    return f"{', '.join(most)} and {last}" if most else last


def anchored_before(replay: Replay, index: int) -> bool:
    """Whether an anchor cord has been laid, and not drawn out, before an operation."""
    laid = False
    for step in replay.script.steps:
        first = replay.first_of(step.number)
        for at, operation in enumerate(flatten(step.work), start=first):
            if at >= index:
                return laid
            if isinstance(operation, LayAnchor):
                laid = True
            elif isinstance(operation, PullAnchor):
                laid = False
    return laid


def yarn_before(replay: Replay, index: int) -> str | None:
    """The yarn that hangs at the work before an operation; None where it was cut."""
    yarn: str | None = None
    for step in replay.script.steps:
        first = replay.first_of(step.number)
        for at, operation in enumerate(flatten(step.work), start=first):
            if at >= index:
                return yarn
            if isinstance(operation, JoinYarn):
                yarn = operation.yarn
            elif isinstance(operation, CutYarn):
                yarn = None
    return yarn
