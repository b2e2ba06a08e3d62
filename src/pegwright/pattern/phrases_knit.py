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
from pegwright.tongue.said import Said, joined, listed, say

__all__ = [
    "PHRASES",
    "as_before",
    "cord",
    "in_turn",
    "loops_in_turn",
    "more_rows",
    "pull_down",
]


def as_before(context: Context) -> Said:
    """How a row like those before is worked."""
    if context.wrap.purl:
        # NOTE: begins a sentence that goes on: ", for 12 more rows: 13 rows in all."
        return say("Purl every peg as before")
    # NOTE: begins a sentence that goes on: ", for 12 more rows: 13 rows in all."
    return say("Wrap and knit over as before, one over one on every peg")


def _boards(context: Context) -> Said:
    if context.loom.is_double:
        return context.say("pegs 1 to {columns} of both boards")
    return context.say("pegs 1 to {columns}")


def _cast_on(context: Context) -> Phrase:
    knots = [o.peg for o in context.first(HangKnot) if isinstance(o, HangKnot)]
    wraps = [o.visits for o in context.first(WrapPegs) if isinstance(o, WrapPegs)]
    knot = context.peg(knots)
    start, end = context.peg([v[0].peg for v in wraps]), context.peg([v[-1].peg for v in wraps])
    wrapped = say(
        "Wrap {pegs} once, beginning at {start} and ending at {end}.",
        pegs=_boards(context),
        start=start,
        end=end,
    )
    text = [say("Hang a slip loop on {knot}.", knot=knot), joined((wrapped, context.wrap.words))]
    if context.stripes:
        first = context.label(context.stripes[0].yarn)
        text.insert(0, say("Begin with {yarn}, the yarn of the first stripe.", yarn=first))
    if context.wrap.first_row is FirstRow.ANCHORED:
        text.append(_anchor_words(context))
    tally = say("One loop on every peg, and one more, the slip loop, on {knot}.", knot=knot)
    return Phrase(say("Cast on"), tuple(text), tally, "wrap")


def _anchor_words(context: Context) -> Said:
    if context.loom.is_double:
        return say(
            "Lay the anchor cord over all the wraps, between the boards, take its tails down "
            "through the ends and tie them below. It weighs the first rows and keeps the cast-on "
            "loops open."
        )
    return say(
        "Lay the anchor cord over all the wraps, inside the pegs, take its tails down through the "
        "ends and tie them below. It weighs the first rows and keeps the cast-on loops open."
    )


def _first_purl_row(context: Context) -> Phrase:
    purls = [o.visits for o in context.first(Purl) if isinstance(o, Purl)]
    start = context.peg([v[0].peg for v in purls])
    end = context.peg([v[-1].peg for v in purls])
    text = (
        say(
            "Purl every peg, from {start} to {end}: lay the yarn below the loop, draw a new loop "
            "up through it from below, take the old loop off and put the new one on the peg.",
            start=start,
            end=end,
        ),
        say("Where a peg holds two loops, draw the new one up through both."),
    )
    return Phrase(say("Row 1"), text, say("One loop on every peg."))


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
        say("Push the loops down and wrap once more, ending at {end}.", end=end),
        say(
            "Knit over: with the hook, lift the lower loop over the upper one and off the peg. "
            "Begin with {end}, the peg wrapped last, so that the yarn cannot slip, and work back "
            "peg by peg.",
            end=end,
        ),
        say("{knot} holds three loops: there, lift the lower two over the upper one.", knot=knot),
    )
    return Phrase(say("Row 1"), text, say("One loop on every peg."), "knit-over")


def _rows(context: Context) -> Phrase:
    text = (more_rows(context), pull_down(context))
    tally = context.say(
        "{rows} rows; the strip measures about {strip_length_mm:length} when it has relaxed."
    )
    return Phrase(say("Knit the strip"), text, tally)


def more_rows(context: Context) -> Said:
    """Work so many rows like those before."""
    return context.say(
        "{as_before}, for {more_rows} more rows: {rows} rows in all.", as_before=as_before(context)
    )


def pull_down(context: Context) -> Said:
    """What is done with the cloth every few rows."""
    if context.loom.is_double:
        return say(
            "Pull the cloth down between the boards after every few rows, and count rows along the "
            "chain at the edge."
        )
    return say(
        "Pull the cloth down inside the pegs after every few rows, and count rows along the chain "
        "at the edge."
    )


def _cut(context: Context) -> Phrase:
    tails = [o.tail_mm for o in context.first(CutYarn) if isinstance(o, CutYarn)]
    text = say("Cut the yarn, leaving a tail of {tail}.", tail=context.length(tails))
    return Phrase(say("Cut the yarn"), (text,))


def _free_pegs(context: Context) -> Phrase:
    moves = [o for o in flatten(context.steps[0].work) if isinstance(o, Move)]
    name = context.loom.address
    ways = joined(
        (say("{one} onto {other}", one=name(m.source), other=name(m.target)) for m in moves), "; "
    )
    onto = listed(dict.fromkeys(name(m.target) for m in moves))
    text = (
        say("Move the end stitches inward, in this order: {moves}.", moves=ways),
        say(
            "{pegs} now hold three loops each. Keep them in this order: the stitch from the very "
            "edge lies on top.",
            pegs=onto,
        ),
    )
    freed = joined((name(m.source) for m in moves), ", ")
    return Phrase(say("Free the end pegs"), text, say("{pegs} are empty.", pegs=freed))


def _cord(context: Context) -> Phrase:
    front, back = (context.loom.address(p) for p in _cord_pegs(context))
    begin = say(
        "On the freed pegs {front} and {back}: hang a slip loop on {front} and wrap a figure eight "
        "round the two pegs, twice.",
        front=front,
        back=back,
    )
    return cord(context, begin)


def cord(context: Context, begin: Said) -> Phrase:
    """A cord on two pegs that face each other; ``begin`` says how it is begun."""
    front, back = (context.loom.address(p) for p in _cord_pegs(context))
    text = (
        begin,
        say(
            "Knit over, two over one on {front} and one over one on {back}.", front=front, back=back
        ),
        context.say(
            "Go on, one figure eight and one over one on both pegs, until the cord measures "
            "{cord_mm:length}, about {cord_rows} rows."
        ),
        context.say(
            "For a slim end, move the loop of {back} onto {front}, wrap {front}, and lift two over "
            "one; then wrap and knit over {front} alone until the slim end has {slim_rows} rows.",
            front=front,
            back=back,
        ),
        say("Cut the yarn, draw its tail through the last loop, and take the cord off."),
    )
    return Phrase(say("Knit the cord"), text, say("A cord with one slim end."))


def _cord_pegs(context: Context) -> tuple[int, int]:
    knot = next(o for o in context.first(HangKnot) if isinstance(o, HangKnot))
    return knot.peg, context.loom.across(knot.peg)


def in_turn(context: Context) -> Said:
    """In what order the pegs of a whole piece are gone through."""
    if context.loom.is_double:
        # NOTE: the order in which pegs are gone through, between commas
        return say("board to board in turn")
    # NOTE: the order in which pegs are gone through, between commas
    return say("peg by peg")


def _bind_off_over(context: Context) -> Phrase:
    offs = [o for o in context.first(BindOffOver) if isinstance(o, BindOffOver)]
    first, second = (context.peg([o.pegs[i] for o in offs]) for i in (0, 1))
    last = context.peg([o.pegs[-1] for o in offs])
    text = (
        say(
            "Begin at {first}. Take the loop of the next peg, {second}, onto it, lift the lower "
            "loop over the upper one, and put the loop that is left back on the next peg.",
            first=first,
            second=second,
        ),
        say(
            "Go on so, {in_turn}, until one loop is left on {last}. Keep it loose.",
            in_turn=in_turn(context),
            last=last,
        ),
        say("Draw the tail through the last loop; the strip comes off the loom."),
    )
    return Phrase(say("Bind off"), text, say("Nothing is left on the loom."))


def _bind_off_sewn(context: Context) -> Phrase:
    text = (
        say("Cut a length of yarn about twice the strip's width plus two tails."),
        say(
            "With the needle, go through each live stitch and lift it off, {in_turn}; go back "
            "through all of them once more.",
            in_turn=in_turn(context),
        ),
        say("Keep the edge as wide as the strip, and fasten both ends."),
    )
    return Phrase(say("Sew the last row off"), text, say("Nothing is left on the loom."))


def _close_cast_on(context: Context) -> Phrase:
    text = (
        say(
            "Run a length of yarn twice through the cast-on loops, {in_turn}, keep the edge as "
            "wide as the strip, and fasten both ends.",
            in_turn=loops_in_turn(context),
        ),
        say("Only now untie the anchor cord and draw it out."),
    )
    return Phrase(say("Close the cast-on edge"), text, say("Every cast-on loop is held."))


def loops_in_turn(context: Context) -> Said:
    """In what order the loops of an edge off the board are gone through."""
    if context.loom.is_double:
        # NOTE: the order in which loops are gone through, between commas
        return say("face to face in turn")
    # NOTE: the order in which loops are gone through, between commas
    return say("one after the other")


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
