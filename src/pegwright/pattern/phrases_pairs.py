"""Words for pairs: mitts, slippers, and the second piece that is worked like the first."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pegwright.knitting.operations import HangKnot, TakeLength, ThreadLive
from pegwright.knitting.script import flatten
from pegwright.pattern.phrase import Context, Phrase
from pegwright.pattern.phrases_knit import in_turn
from pegwright.pattern.vocabulary import piece_name
from pegwright.tongue.said import Said, say

__all__ = ["PHRASES"]


def _cut_mm(context: Context) -> Said:
    """The length of yarn that the step cuts, in every size."""
    return context.length(
        [
            next(o.yarn_mm for o in flatten(s.work) if isinstance(o, TakeLength))
            for s in context.steps
        ]
    )


# --- mitts ---------------------------------------------------------------------------------------


def _thumb_seam_below(context: Context) -> Phrase:
    text = (
        say(
            "Fold the rectangle lengthwise, so that its side edges meet. Each edge is a chain: "
            "take the needle under one chain of the one, then under one chain of the other, and so "
            "on."
        ),
        context.say(
            "Beginning at the cast-on edge, the wrist, join {chains_below} chains to "
            "{chains_below}; the thumb's gap begins at row {thumb_first}. Fasten off with a few "
            "stitches more, since the thumb pulls here."
        ),
    )
    return Phrase(say("Sew up to the thumb"), text, figure=context.fold_figure)


def _thumb_seam_above(context: Context) -> Phrase:
    text = (
        context.say(
            "Beginning at the last row, the fingers, join {chains_above} chains to {chains_above}, "
            "as far as row {thumb_last:+1}, and fasten off as before."
        ),
    )
    tally = context.say("A tube with a gap of {thumb_rows} rows for the thumb.")
    return Phrase(say("Sew down to the thumb"), text, tally, context.fold_figure)


# --- slippers ------------------------------------------------------------------------------------


def _toe_live(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadLive) if isinstance(o, ThreadLive)]
    text = (
        say(
            "Cut {length} of yarn. With the needle, go through the live stitches and lift each off "
            "its peg, {in_turn}, from {first} to {last}. Do not draw it up yet.",
            length=_cut_mm(context),
            in_turn=in_turn(context),
            first=context.peg([t.pegs[0] for t in threads]),
            last=context.peg([t.pegs[-1] for t in threads]),
        ),
    )
    return Phrase(say("Take the toe off"), text, say("Every live stitch is on the toe yarn."))


def _heel_seam(context: Context) -> Phrase:
    join = (
        context.say(
            "Beginning at the side edges, take the needle through the first cast-on loop and the "
            "last, then the second and the last but one, on both faces, and so on to the fold: "
            "{heel_half} stitches against {heel_half}. Where a stitch is left over at the fold, "
            "take it in too."
        )
        if context.loom.is_double
        else context.say(
            "Beginning at the side edges, take the needle through the first cast-on loop and the "
            "last, then the second and the last but one, and so on to the fold: {heel_half} "
            "stitches against {heel_half}. Where a stitch is left over at the fold, take it in too."
        )
    )
    text = (
        say(
            "Fold the strip lengthwise, so that the side edges meet: the cast-on edge is doubled. "
            "Cut {length} of yarn.",
            length=_cut_mm(context),
        ),
        join,
        say("Fasten off."),
    )
    tally = say("No cast-on loop is passed by.")
    return Phrase(say("Sew the heel"), text, tally, context.fold_figure)


def _toe_draw_up(context: Context) -> Phrase:
    text = (
        say(
            "Draw the toe yarn up tight, so that the last row closes. Go round through the "
            "stitches once more, draw it tight again, and knot and sew both ends fast on the "
            "inside."
        ),
    )
    return Phrase(say("Gather the toe"), text, say("The toe is closed."), context.fold_figure)


def _front_seam(context: Context) -> Phrase:
    text = (
        context.say(
            "Each side edge is a chain. Beginning at the toe, take the needle under one chain of "
            "the one edge, then under one chain of the other: {front_chains} chains to "
            "{front_chains}, from row {front_from} back to row {front_to}. Fasten off with a few "
            "stitches more."
        ),
        context.say("The opening is {opening_mm:length} along each side."),
    )
    return Phrase(say("Sew the front"), text, figure=context.fold_figure)


# --- the second of a pair ------------------------------------------------------------------------


def _again_cast_on(context: Context) -> Phrase:
    knots = [o.peg for o in context.first(HangKnot) if isinstance(o, HangKnot)]
    knot, piece = context.peg(knots), piece_name(context.steps[0].piece)
    text = (
        say(
            "Cast on for the {piece} as in step 1, with the slip loop on {knot}.",
            piece=piece,
            knot=knot,
        ),
    )
    tally = say("One loop on every peg, and one more, the slip loop, on {knot}.", knot=knot)
    return Phrase(say("Begin the {piece}", piece=piece), text, tally)


def _again(context: Context) -> Phrase:
    text = (
        context.say(
            "Work steps {again_from} to {again_to} once more, with the same counts: {rows} rows."
        ),
        say("Count the rows of both against each other before the last row comes off."),
    )
    title = say("Knit and make up the {piece}", piece=piece_name(context.steps[0].piece))
    return Phrase(title, text, say("Two alike, and no tail is left."))


PHRASES: Mapping[str, Callable[[Context], Phrase]] = {
    "thumb-seam-below": _thumb_seam_below,
    "thumb-seam-above": _thumb_seam_above,
    "toe-live": _toe_live,
    "heel-seam": _heel_seam,
    "toe-draw-up": _toe_draw_up,
    "front-seam": _front_seam,
    "again-cast-on": _again_cast_on,
    "again": _again,
}
