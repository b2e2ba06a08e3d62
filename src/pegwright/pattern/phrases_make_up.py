"""Words for the steps off the board: threading, folding, seams, gathering, finishing."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pegwright.knitting.operations import ThreadCastOn, ThreadLive
from pegwright.pattern.phrase import Context, Phrase
from pegwright.tongue.said import Said, say

__all__ = ["PHRASES", "live_tally", "through_cast_on"]


def _thread_live(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadLive) if isinstance(o, ThreadLive)]
    first = context.peg([t.pegs[0] for t in threads])
    last = context.peg([t.pegs[-1] for t in threads])
    carrier = threads[0].carrier
    text = []
    if carrier == "cord":
        text.append(
            say(
                "With the cord's slim end, go through the live stitches and lift each off its peg, "
                "board to board in turn, from {first} to {last}.",
                first=first,
                last=last,
            )
        )
        text.append(say("Where a peg holds three loops, take them one at a time from the top."))
    else:
        text.append(
            say(
                "Cut a length of yarn to the neck's measure plus a strip's width and two tails. "
                "With the needle, go through the live stitches and lift each off its peg, board to "
                "board in turn, from {first} to {last}.",
                first=first,
                last=last,
            )
        )
    text.append(say("When the last stitch is off, the piece comes off the loom."))
    return Phrase(say("Take the live stitches off"), tuple(text), live_tally(carrier))


def live_tally(carrier: str) -> Said:
    """What holds the stitches that were on the pegs."""
    if carrier == "cord":
        return say("Every live stitch is on the cord.")
    return say("Every live stitch is on the gathering yarn.")


def _fold(context: Context) -> Phrase:
    text = (
        context.say(
            "Lay the strip flat and fold it at row {fold_row}, without a twist, so that the "
            "cast-on edge meets the last row. The fold is the crown."
        ),
        say("The edge where the yarn began is the back; the other edge frames the face."),
    )
    return Phrase(say("Fold"), text, figure=context.fold_figure)


def _thread_cast_on(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadCastOn) if isinstance(o, ThreadCastOn)]
    first = (
        say(
            "Take the cord's other end through every cast-on loop, face to face in turn, from the "
            "back edge to the face edge."
        )
        if threads[0].carrier == "cord"
        else say(
            "Take the other end of the gathering yarn through every cast-on loop, face to face in "
            "turn, from the back edge to the face edge."
        )
    )
    return through_cast_on(first, say("Do not draw the anchor out yet."))


def through_cast_on(*text: Said) -> Phrase:
    """Something drawn through every cast-on loop."""
    return Phrase(say("Go through the cast-on loops"), text, say("No cast-on loop is passed by."))


def _pull_anchor(_: Context) -> Phrase:
    text = (say("Only now untie the anchor cord and draw it out."),)
    return Phrase(say("Draw the anchor out"), text, say("Every cast-on loop is held."))


def _seam(context: Context) -> Phrase:
    text = (
        say(
            "The edge is a chain. Beginning at the neck, take the needle under one chain of the "
            "back edge and out at the next; go over to the other edge and do the same."
        ),
        context.say(
            "Keep the seam snug without making it shorter than the edge. Join {seam_chains} chains "
            "to {seam_chains}, up to the fold, and fasten off."
        ),
    )
    return Phrase(say("Sew the back seam"), text, figure=context.fold_figure)


def _draw_up(context: Context) -> Phrase:
    if "cord_mm" in context.facts:
        text = context.say(
            "Draw the cord up until the neck measures about {gather_mm:length}, with two free ends "
            "of {cord_end_mm:length} in front. Spread the gathers evenly."
        )
    else:
        text = context.say(
            "Draw the yarn up until the neck measures {gather_mm:length}. It must still go over "
            "the head. Knot both ends securely, sew them down inside, and leave no free ends."
        )
    return Phrase(say("Gather the neck"), (text,))


def _finish(_: Context) -> Phrase:
    text = (say("Weave in every tail on the inner face."),)
    return Phrase(say("Finish"), text, say("No tail is left."))


PHRASES: Mapping[str, Callable[[Context], Phrase]] = {
    "thread-live": _thread_live,
    "fold": _fold,
    "thread-cast-on": _thread_cast_on,
    "pull-anchor": _pull_anchor,
    "seam": _seam,
    "draw-up": _draw_up,
    "finish": _finish,
}
