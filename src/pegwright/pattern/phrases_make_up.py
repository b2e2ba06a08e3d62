"""Words for the steps off the board: threading, folding, seams, gathering, finishing."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pegwright.knitting.operations import ThreadCastOn, ThreadLive
from pegwright.pattern.phrase import Context, Phrase

__all__ = ["PHRASES"]


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
    return Phrase("Fold", context.say(*text), figure=context.fold_figure)


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
    return Phrase("Sew the back seam", context.say(*text), figure=context.fold_figure)


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


PHRASES: Mapping[str, Callable[[Context], Phrase]] = {
    "thread-live": _thread_live,
    "fold": _fold,
    "thread-cast-on": _thread_cast_on,
    "pull-anchor": _pull_anchor,
    "seam": _seam,
    "draw-up": _draw_up,
    "finish": _finish,
}
