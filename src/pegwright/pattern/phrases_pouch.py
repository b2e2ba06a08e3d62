"""Words for the pouch: its mouth threaded, its bottom folded, its sides sewn."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pegwright.knitting.operations import Edge, SeamEdges, TakeLength, ThreadCastOn, ThreadLive
from pegwright.knitting.script import flatten
from pegwright.pattern.phrase import Context, Phrase
from pegwright.pattern.phrases_knit import in_turn, loops_in_turn
from pegwright.pattern.phrases_make_up import live_tally, through_cast_on
from pegwright.tongue.said import Said, joined, say

__all__ = ["PHRASES"]


def _mouth_live(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadLive) if isinstance(o, ThreadLive)]
    carrier = threads[0].carrier
    way = {
        "in_turn": in_turn(context),
        "first": context.peg([t.pegs[0] for t in threads]),
        "last": context.peg([t.pegs[-1] for t in threads]),
    }
    if carrier == "cord":
        text = [
            say(
                "With the cord's slim end, go through the live stitches and lift each off its peg, "
                "{in_turn}, from {first} to {last}.",
                **way,
            ),
            say("Where a peg holds three loops, take them one at a time from the top."),
        ]
    else:
        cuts = [
            next(o.yarn_mm for o in flatten(s.work) if isinstance(o, TakeLength))
            for s in context.steps
        ]
        text = [
            say(
                "Cut {length} of yarn. With the needle, go through the live stitches and lift each "
                "off its peg, {in_turn}, from {first} to {last}.",
                length=context.length(cuts),
                **way,
            )
        ]
    text.append(say("When the last stitch is off, the strip comes off the loom."))
    return Phrase(say("Take the live stitches off"), tuple(text), live_tally(carrier))


def _fold_bottom(context: Context) -> Phrase:
    text = (
        context.say(
            "Lay the strip flat and fold it at row {fold_row}, without a twist, so that the "
            "cast-on edge meets the last row. The fold is the bottom, and the two ends are the "
            "mouth."
        ),
    )
    return Phrase(say("Fold"), text, figure=context.fold_figure)


def _mouth_cast_on(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadCastOn) if isinstance(o, ThreadCastOn)]
    if threads[0].carrier == "cord":
        text = say(
            "Take the cord's other end through every cast-on loop, {in_turn}, from the left edge "
            "to the right, so that both ends come out at the same side.",
            in_turn=loops_in_turn(context),
        )
    else:
        text = say(
            "Take the other end of the gathering yarn through every cast-on loop, {in_turn}, from "
            "the left edge to the right, so that both ends come out at the same side.",
            in_turn=loops_in_turn(context),
        )
    return through_cast_on(text)


def _side_seam(context: Context) -> Phrase:
    seams = [o for o in context.first(SeamEdges) if isinstance(o, SeamEdges)]
    left = seams[0].one[1] is Edge.LEFT
    free = (
        say("Leave what is threaded through the mouth free.")
        if "gather_mm" in context.facts
        else ""
    )
    if left:
        begin = say(
            "The edge is a chain. Beginning at the mouth, take the needle under one chain of the "
            "left edge, go over to the half that lies on it, and do the same."
        )
        text: tuple[Said, ...] = (
            joined((begin, free)),
            context.say(
                "Join {seam_chains} chains to {seam_chains}, down to the fold, and fasten off."
            ),
        )
    else:
        like = context.say(
            "Sew the right side like the left, from the mouth down to the fold: {seam_chains} "
            "chains to {seam_chains}."
        )
        text = (joined((like, free)),)
    title = say("Sew the left side") if left else say("Sew the right side")
    return Phrase(title, text, figure=context.fold_figure)


def _draw_up(context: Context) -> Phrase:
    if "cord_mm" in context.facts:
        text = context.say(
            "Knot each end of the cord. Pull both to close the mouth, and check that it opens to "
            "its full width again, with ends of about {cord_end_mm:length} left outside."
        )
    else:
        text = context.say(
            "Draw the yarn in until the mouth measures {gather_mm:length} round. Knot both ends "
            "securely, sew them down inside, and leave no free ends."
        )
    return Phrase(say("Draw the mouth in"), (text,), figure=context.fold_figure)


PHRASES: Mapping[str, Callable[[Context], Phrase]] = {
    "mouth-live": _mouth_live,
    "fold-bottom": _fold_bottom,
    "mouth-cast-on": _mouth_cast_on,
    "pouch-seam-left": _side_seam,
    "pouch-seam-right": _side_seam,
    "mouth-draw-up": _draw_up,
}
