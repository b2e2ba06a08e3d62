"""Words for a sewn channel along an edge, and what is drawn through it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from pegwright.knitting.operations import ThreadChannel
from pegwright.pattern import phrases_knit
from pegwright.pattern.phrase import Context, Phrase

__all__ = ["PHRASES"]


def _hem(context: Context) -> Phrase:
    text = (
        "Lay the strip with its inner face up. Fold the cast-on edge over by {channel_rows} rows, "
        "so that it lies along row {channel_seam_row}, and sew it down: under a stitch of the "
        "edge, under the stitch that it lies on, and so on, without going through to the right "
        "side.",
        "Do the same at the other end, counting from the last row. Leave both ends of each channel "
        "open.",
    )
    tally = "Two channels, each {channel_rows} rows wide and open at both ends."
    return Phrase(
        "Sew the channels", context.say(*text), context.say(tally)[0], context.fold_figure
    )


def _seam_channel(context: Context) -> Phrase:
    text = (
        "The back edge is a chain. Begin at the neck fold and leave the folded-in layers alone: "
        "take the needle under one chain of the outer layer, then go over to the other edge and do "
        "the same. The channel must stay open behind the seam.",
        "Join {seam_chains} chains to {seam_chains}, from row {seam_from} up to the crown, and "
        "fasten off.",
    )
    return Phrase("Sew the back seam", context.say(*text), figure=context.fold_figure)


def _cord_alone(context: Context) -> Phrase:
    said = phrases_knit.PHRASES["cord"](context)
    first, *rest = said.text
    empty = first.replace("On the freed pegs", "The board is empty now. On pegs", 1)
    return replace(said, text=(empty, *rest))


def _thread_channel(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadChannel) if isinstance(o, ThreadChannel)]
    carrier = threads[0].carrier
    if carrier == "cord":
        text = ("Fasten a safety pin to the cord's slim end.",)
    else:
        text = (
            "Cut a length of yarn twice as long as the hood is deep, with two tails, and thread "
            "the needle.",
        )
    way = (
        "Go in at the face edge, along one channel to the back seam, on behind the seam, and along "
        "the other channel out to the face edge.",
    )
    title = f"Draw the {'cord' if carrier == 'cord' else 'yarn'} through"
    return Phrase(title, text + way, f"Both ends of the {carrier} come out at the face.")


PHRASES: Mapping[str, Callable[[Context], Phrase]] = {
    "hem": _hem,
    "seam-channel": _seam_channel,
    "cord-alone": _cord_alone,
    "thread-channel": _thread_channel,
}
