"""Words for a sewn channel along an edge, and what is drawn through it."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pegwright.knitting.operations import HangKnot, ThreadChannel
from pegwright.pattern.phrase import Context, Phrase
from pegwright.pattern.phrases_knit import cord
from pegwright.tongue.said import say

__all__ = ["PHRASES"]


def _hem(context: Context) -> Phrase:
    text = (
        context.say(
            "Lay the strip with its inner face up. Fold the cast-on edge over by {channel_rows} "
            "rows, so that it lies along row {channel_seam_row}, and sew it down: under a stitch "
            "of the edge, under the stitch that it lies on, and so on, without going through to "
            "the right side."
        ),
        say(
            "Do the same at the other end, counting from the last row. Leave both ends of each "
            "channel open."
        ),
    )
    tally = context.say("Two channels, each {channel_rows} rows wide and open at both ends.")
    return Phrase(say("Sew the channels"), text, tally, context.fold_figure)


def _seam_channel(context: Context) -> Phrase:
    text = (
        say(
            "The back edge is a chain. Begin at the neck fold and leave the folded-in layers "
            "alone: take the needle under one chain of the outer layer, then go over to the other "
            "edge and do the same. The channel must stay open behind the seam."
        ),
        context.say(
            "Join {seam_chains} chains to {seam_chains}, from row {seam_from} up to the crown, and "
            "fasten off."
        ),
    )
    return Phrase(say("Sew the back seam"), text, figure=context.fold_figure)


def _cord_alone(context: Context) -> Phrase:
    knot = next(o for o in context.first(HangKnot) if isinstance(o, HangKnot)).peg
    begin = say(
        "The board is empty now. On pegs {front} and {back}: hang a slip loop on {front} and wrap "
        "a figure eight round the two pegs, twice.",
        front=context.loom.address(knot),
        back=context.loom.address(context.loom.across(knot)),
    )
    return cord(context, begin)


def _thread_channel(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadChannel) if isinstance(o, ThreadChannel)]
    way = say(
        "Go in at the face edge, along one channel to the back seam, on behind the seam, and along "
        "the other channel out to the face edge."
    )
    if threads[0].carrier == "cord":
        return Phrase(
            say("Draw the cord through"),
            (say("Fasten a safety pin to the cord's slim end."), way),
            say("Both ends of the cord come out at the face."),
        )
    cut = say(
        "Cut a length of yarn twice as long as the hood is deep, with two tails, and thread the "
        "needle."
    )
    return Phrase(
        say("Draw the yarn through"),
        (cut, way),
        say("Both ends of the gathering yarn come out at the face."),
    )


PHRASES: Mapping[str, Callable[[Context], Phrase]] = {
    "hem": _hem,
    "seam-channel": _seam_channel,
    "cord-alone": _cord_alone,
    "thread-channel": _thread_channel,
}
