"""Words for the steps at the board: casting on, rows, moves, cords, binding off."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pegwright.knitting.operations import (
    BindOffOver,
    CutYarn,
    HangKnot,
    KnitOver,
    Move,
    Purl,
    WrapPegs,
)
from pegwright.knitting.script import flatten
from pegwright.knitting.wraps import FirstRow
from pegwright.pattern.phrase import Context, Phrase

__all__ = ["PHRASES", "as_before"]


def as_before(context: Context) -> str:
    """How a row like those before is worked."""
    if context.wrap.purl:
        return "Purl every peg as before"
    return "Wrap and knit over as before, one over one on every peg"


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
    if context.stripes:
        first = context.label(context.stripes[0].yarn)
        text.insert(0, f"Begin with {first}, the yarn of the first stripe.")
    if context.wrap.first_row is FirstRow.ANCHORED:
        between = "between the boards" if context.loom.is_double else "inside the pegs"
        text.append(
            f"Lay the anchor cord over all the wraps, {between}, take its tails down through the "
            "ends and tie them below. It weighs the first rows and keeps the cast-on loops open."
        )
    tally = f"One loop on every peg, and one more, the slip loop, on {knot}."
    return Phrase("Cast on", context.say(*text), tally, "wrap")


def _first_purl_row(context: Context) -> Phrase:
    purls = [o.visits for o in context.first(Purl) if isinstance(o, Purl)]
    start = context.peg([v[0].peg for v in purls])
    end = context.peg([v[-1].peg for v in purls])
    text = (
        f"Purl every peg, from {start} to {end}: lay the yarn below the loop, draw a new loop up "
        "through it from below, take the old loop off and put the new one on the peg.",
        "Where a peg holds two loops, draw the new one up through both.",
    )
    return Phrase("Row 1", text, "One loop on every peg.")


def _first_row(context: Context) -> Phrase:
    if context.wrap.purl:
        return _first_purl_row(context)
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
    down = "between the boards" if context.loom.is_double else "inside the pegs"
    text = (
        f"{as_before(context)}, for {{more_rows}} more rows: {{rows}} rows in all.",
        f"Pull the cloth down {down} after every few rows, and count rows along the chain at the "
        "edge.",
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


def _turn(context: Context) -> str:
    """In what order the pegs of a whole piece are gone through."""
    return "board to board in turn" if context.loom.is_double else "peg by peg"


def _bind_off_over(context: Context) -> Phrase:
    offs = [o for o in context.first(BindOffOver) if isinstance(o, BindOffOver)]
    first, second = (context.peg([o.pegs[i] for o in offs]) for i in (0, 1))
    last = context.peg([o.pegs[-1] for o in offs])
    text = (
        f"Begin at {first}. Take the loop of the next peg, {second}, onto it, lift the lower loop "
        "over the upper one, and put the loop that is left back on the next peg.",
        f"Go on so, {_turn(context)}, until one loop is left on {last}. Keep it loose.",
        "Draw the tail through the last loop; the strip comes off the loom.",
    )
    return Phrase("Bind off", text, "Nothing is left on the loom.")


def _bind_off_sewn(context: Context) -> Phrase:
    text = (
        "Cut a length of yarn about twice the strip's width plus two tails.",
        f"With the needle, go through each live stitch and lift it off, {_turn(context)}; go back "
        "through all of them once more.",
        "Keep the edge as wide as the strip, and fasten both ends.",
    )
    return Phrase("Sew the last row off", text, "Nothing is left on the loom.")


def _close_cast_on(context: Context) -> Phrase:
    turn = "face to face in turn" if context.loom.is_double else "one after the other"
    text = (
        f"Run a length of yarn twice through the cast-on loops, {turn}, keep the edge as wide as "
        "the strip, and fasten both ends.",
        "Only now untie the anchor cord and draw it out.",
    )
    return Phrase("Close the cast-on edge", text, "Every cast-on loop is held.")


PHRASES: Mapping[str, Callable[[Context], Phrase]] = {
    "cast-on": _cast_on,
    "first-row": _first_row,
    "rows": _rows,
    "cut": _cut,
    "free-pegs": _free_pegs,
    "cord": _cord,
    "bind-off-over": _bind_off_over,
    "bind-off-sewn": _bind_off_sewn,
    "close-cast-on": _close_cast_on,
}
