"""The written steps: each kind of step's words, with the numbers and pegs of the script itself.

A phrase is chosen by the step's ``key``.  Peg names are read from the operations that were
executed, so the words cannot name another peg than the run used.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from pegwright.errors import BadInput
from pegwright.knitting.operations import (
    BindOffOver,
    CutYarn,
    HangKnot,
    KnitOver,
    Move,
    Operation,
    ThreadCastOn,
    ThreadLive,
    WrapPegs,
)
from pegwright.knitting.script import Step, flatten
from pegwright.knitting.wraps import FirstRow, Wrap
from pegwright.loom.board import Loom
from pegwright.pattern.graded import Graded
from pegwright.units import UnitSystem

__all__ = ["Context", "Phrase", "phrase"]


@dataclass(frozen=True, slots=True)
class Phrase:
    """A step in words.  ``tally`` says what there must be when it is done."""

    title: str
    text: tuple[str, ...]
    tally: str = ""
    figure: str | None = None


@dataclass(frozen=True, slots=True)
class Context:
    """What a phrase may speak of.

    ``steps`` are the same step in every size of the group; ``facts`` are graded numbers by name.
    """

    wrap: Wrap
    loom: Loom
    units: UnitSystem
    steps: tuple[Step, ...]
    facts: Mapping[str, Graded]

    def say(self, *sentences: str) -> tuple[str, ...]:
        """Sentences with their numbers filled in."""
        return tuple(s.format_map(self.facts) for s in sentences)

    def first(self, kind: type[Operation]) -> list[Operation]:
        """For every size, the step's first operation of a kind."""
        return [next(o for o in flatten(s.work) if isinstance(o, kind)) for s in self.steps]

    def peg(self, pegs: list[int]) -> str:
        """Peg names for every size, as ``F32 (F34, F36)``."""
        from pegwright.pattern.graded import in_sizes

        return in_sizes([self.loom.address(p) for p in pegs])

    def length(self, values_mm: list[float]) -> str:
        """Lengths for every size in both units."""
        return Graded(tuple(values_mm), self.units).length()


def phrase(context: Context) -> Phrase:
    """The words of a step.

    :raises BadInput: for a step of unknown kind.
    """
    key = context.steps[0].key
    if key not in _PHRASES:
        raise BadInput(
            "a step has no words", given=key, hint=f"known kinds: {', '.join(sorted(_PHRASES))}"
        )
    return _PHRASES[key](context)


def _boards(context: Context) -> str:
    if context.loom.is_double:
        return "pegs 1 to {columns} of both boards"
    return "pegs 1 to {columns}"


def _cast_on(context: Context) -> Phrase:
    knots = [o.peg for o in context.first(HangKnot) if isinstance(o, HangKnot)]
    wraps = [o.visits for o in context.first(WrapPegs) if isinstance(o, WrapPegs)]
    knot = context.peg(knots)
    start, end = context.peg([v[0].peg for v in wraps]), context.peg([v[-1].peg for v in wraps])
    text = [
        f"Hang a slip loop on {knot}.",
        f"Wrap {_boards(context)} once, beginning at {start} and ending at {end}. "
        f"{context.wrap.words}",
    ]
    if context.wrap.first_row is FirstRow.ANCHORED:
        between = "between the boards" if context.loom.is_double else "inside the pegs"
        text.append(
            f"Lay the anchor cord over all the wraps, {between}, take its tails down through the "
            "ends and tie them below. It weighs the first rows and keeps the cast-on loops open."
        )
    tally = f"One loop on every peg, and one more, the slip loop, on {knot}."
    return Phrase("Cast on", context.say(*text), tally, "wrap")


def _first_row(context: Context) -> Phrase:
    wraps = [o.visits for o in context.first(WrapPegs) if isinstance(o, WrapPegs)]
    end = context.peg([v[-1].peg for v in wraps])
    knot = context.peg(
        [
            next(o.pegs[0] for o in flatten(s.work) if isinstance(o, KnitOver) and o.lift == 2)
            for s in context.steps
        ]
    )
    text = (
        f"Push the loops down and wrap once more, ending at {end}.",
        "Knit over: with the hook, lift the lower loop over the upper one and off the peg. "
        f"Begin with {end}, the peg wrapped last, so that the yarn cannot slip, and work back peg "
        "by peg.",
        f"{knot} holds three loops: there, lift the lower two over the upper one.",
    )
    return Phrase("Row 1", context.say(*text), "One loop on every peg.", "knit-over")


def _rows(context: Context) -> Phrase:
    text = (
        "Wrap and knit over as before, one over one on every peg, for {more_rows} more rows: "
        "{rows} rows in all.",
        "Pull the cloth down between the boards after every few rows, and count rows along the "
        "chain at the edge.",
    )
    tally = "{rows} rows; the strip measures about {strip_length_mm:length} when it has relaxed."
    return Phrase("Knit the strip", context.say(*text), context.say(tally)[0])


def _cut(context: Context) -> Phrase:
    tails = [o.tail_mm for o in context.first(CutYarn) if isinstance(o, CutYarn)]
    return Phrase("Cut the yarn", (f"Cut the yarn, leaving a tail of {context.length(tails)}.",))


def _free_pegs(context: Context) -> Phrase:
    moves = [o for o in flatten(context.steps[0].work) if isinstance(o, Move)]
    name = context.loom.address
    listed = "; ".join(f"{name(m.source)} onto {name(m.target)}" for m in moves)
    onto = " and ".join(dict.fromkeys(name(m.target) for m in moves))
    text = (
        f"Move the end stitches inward, in this order: {listed}.",
        f"{onto} now hold three loops each. Keep them in this order: the stitch from the very edge "
        "lies on top.",
    )
    freed = ", ".join(name(m.source) for m in moves)
    return Phrase("Free the end pegs", text, f"{freed} are empty.")


def _cord(context: Context) -> Phrase:
    front, back = (context.loom.address(p) for p in _cord_pegs(context))
    text = (
        f"On the freed pegs {front} and {back}: hang a slip loop on {front} and wrap a figure "
        "eight round the two pegs, twice.",
        f"Knit over, two over one on {front} and one over one on {back}.",
        "Go on, one figure eight and one over one on both pegs, until the cord measures "
        "{cord_mm:length}, about {cord_rows} rows.",
        f"For a slim end, move the loop of {back} onto {front}, wrap {front}, and lift two over "
        f"one; then wrap and knit over {front} alone until the slim end has {{slim_rows}} rows.",
        "Cut the yarn, draw its tail through the last loop, and take the cord off.",
    )
    return Phrase("Knit the cord", context.say(*text), "A cord with one slim end.")


def _cord_pegs(context: Context) -> tuple[int, int]:
    knot = next(o for o in context.first(HangKnot) if isinstance(o, HangKnot))
    return knot.peg, context.loom.across(knot.peg)


def _thread_live(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadLive) if isinstance(o, ThreadLive)]
    first = context.peg([t.pegs[0] for t in threads])
    last = context.peg([t.pegs[-1] for t in threads])
    carrier = threads[0].carrier
    cord = carrier == "cord"
    text = []
    if cord:
        text.append(
            "With the cord's slim end, go through the live stitches and lift each off its peg, "
            f"board to board in turn, from {first} to {last}."
        )
        text.append("Where a peg holds three loops, take them one at a time from the top.")
    else:
        text.append(
            "Cut a length of yarn to the neck's measure plus a strip's width and two tails. With "
            "the needle, go through the live stitches and lift each off its peg, board to board in "
            f"turn, from {first} to {last}."
        )
    text.append("When the last stitch is off, the piece comes off the loom.")
    return Phrase(
        "Take the live stitches off", tuple(text), f"Every live stitch is on the {carrier}."
    )


def _fold(context: Context) -> Phrase:
    text = (
        "Lay the strip flat and fold it at row {fold_row}, without a twist, so that the cast-on "
        "edge meets the last row. The fold is the crown.",
        "The edge where the yarn began is the back; the other edge frames the face.",
    )
    return Phrase("Fold", context.say(*text), figure="fold-and-seam")


def _thread_cast_on(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadCastOn) if isinstance(o, ThreadCastOn)]
    carrier = threads[0].carrier
    end = "the cord's other end" if carrier == "cord" else f"the other end of the {carrier}"
    text = (
        f"Take {end} through every cast-on loop, face to face in turn, from the back edge to the "
        "face edge.",
        "Do not draw the anchor out yet.",
    )
    return Phrase("Go through the cast-on loops", text, "No cast-on loop is passed by.")


def _pull_anchor(_: Context) -> Phrase:
    text = ("Only now untie the anchor cord and draw it out.",)
    return Phrase("Draw the anchor out", text, "Every cast-on loop is held.")


def _seam(context: Context) -> Phrase:
    text = (
        "The edge is a chain. Beginning at the neck, take the needle under one chain of the back "
        "edge and out at the next; go over to the other edge and do the same.",
        "Keep the seam snug without making it shorter than the edge. Join {seam_chains} chains to "
        "{seam_chains}, up to the fold, and fasten off.",
    )
    return Phrase("Sew the back seam", context.say(*text), figure="fold-and-seam")


def _draw_up(context: Context) -> Phrase:
    cord = "cord_mm" in context.facts
    if cord:
        text = (
            "Draw the cord up until the neck measures about {gather_mm:length}, with two free ends "
            "of {cord_end_mm:length} in front. Spread the gathers evenly.",
        )
    else:
        text = (
            "Draw the yarn up until the neck measures {gather_mm:length}. It must still go over "
            "the head. Knot both ends securely, sew them down inside, and leave no free ends.",
        )
    return Phrase("Gather the neck", context.say(*text))


def _finish(_: Context) -> Phrase:
    text = ("Weave in every tail on the inner face.",)
    return Phrase("Finish", text, "No tail is left.")


def _bind_off_over(context: Context) -> Phrase:
    offs = [o for o in context.first(BindOffOver) if isinstance(o, BindOffOver)]
    first, second = (context.peg([o.pegs[i] for o in offs]) for i in (0, 1))
    last = context.peg([o.pegs[-1] for o in offs])
    text = (
        f"Begin at {first}. Take the loop of the next peg ({second}) onto it, lift the lower loop "
        "over the upper one, and put the loop that is left back on the next peg.",
        f"Go on so, board to board in turn, until one loop is left on {last}. Keep it loose.",
        "Draw the tail through the last loop; the strip comes off the loom.",
    )
    return Phrase("Bind off", text, "Nothing is left on the loom.")


def _bind_off_sewn(_: Context) -> Phrase:
    text = (
        "Cut a length of yarn about twice the strip's width plus two tails.",
        "With the needle, go through each live stitch and lift it off, board to board in turn; go "
        "back through all of them once more.",
        "Keep the edge as wide as the strip, and fasten both ends.",
    )
    return Phrase("Sew the last row off", text, "Nothing is left on the loom.")


def _close_cast_on(_: Context) -> Phrase:
    text = (
        "Run a length of yarn twice through the cast-on loops, face to face in turn, keep the edge "
        "as wide as the strip, and fasten both ends.",
        "Only now untie the anchor cord and draw it out.",
    )
    return Phrase("Close the cast-on edge", text, "Every cast-on loop is held.")


_PHRASES: dict[str, Callable[[Context], Phrase]] = {
    "cast-on": _cast_on,
    "first-row": _first_row,
    "rows": _rows,
    "cut": _cut,
    "free-pegs": _free_pegs,
    "cord": _cord,
    "thread-live": _thread_live,
    "fold": _fold,
    "thread-cast-on": _thread_cast_on,
    "pull-anchor": _pull_anchor,
    "seam": _seam,
    "draw-up": _draw_up,
    "finish": _finish,
    "bind-off-over": _bind_off_over,
    "bind-off-sewn": _bind_off_sewn,
    "close-cast-on": _close_cast_on,
}
