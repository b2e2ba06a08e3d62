"""Words for pairs: mitts, slippers, and the second piece that is worked like the first."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pegwright.knitting.operations import HangKnot, TakeLength, ThreadLive
from pegwright.knitting.script import flatten
from pegwright.pattern.phrase import Context, Phrase

__all__ = ["PHRASES"]


def _cut_mm(context: Context) -> str:
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
        "Fold the rectangle lengthwise, so that its side edges meet. Each edge is a chain: take "
        "the needle under one chain of the one, then under one chain of the other, and so on.",
        "Beginning at the cast-on edge, the wrist, join {chains_below} chains to {chains_below}; "
        "the thumb's gap begins at row {thumb_first}. Fasten off with a few stitches more, since "
        "the thumb pulls here.",
    )
    return Phrase("Sew up to the thumb", context.say(*text), figure=context.fold_figure)


def _thumb_seam_above(context: Context) -> Phrase:
    text = (
        "Beginning at the last row, the fingers, join {chains_above} chains to {chains_above}, as "
        "far as row {thumb_last:+1}, and fasten off as before.",
    )
    tally = "A tube with a gap of {thumb_rows} rows for the thumb."
    return Phrase(
        "Sew down to the thumb", context.say(*text), context.say(tally)[0], context.fold_figure
    )


# --- slippers ------------------------------------------------------------------------------------


def _toe_live(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadLive) if isinstance(o, ThreadLive)]
    first = context.peg([t.pegs[0] for t in threads])
    last = context.peg([t.pegs[-1] for t in threads])
    turn = "board to board in turn" if context.loom.is_double else "peg by peg"
    text = (
        f"Cut {_cut_mm(context)} of yarn. With the needle, go through the live stitches and lift "
        f"each off its peg, {turn}, from {first} to {last}. Do not draw it up yet.",
    )
    return Phrase("Take the toe off", text, "Every live stitch is on the toe yarn.")


def _heel_seam(context: Context) -> Phrase:
    faces = "on both faces, " if context.loom.is_double else ""
    text = [
        "Fold the strip lengthwise, so that the side edges meet: the cast-on edge is doubled. Cut "
        f"{_cut_mm(context)} of yarn.",
        "Beginning at the side edges, take the needle through the first cast-on loop and the last, "
        f"then the second and the last but one, {faces}and so on to the fold: {{heel_half}} "
        "stitches against {heel_half}. Where a stitch is left over at the fold, take it in too.",
        "Fasten off.",
    ]
    return Phrase(
        "Sew the heel", context.say(*text), "No cast-on loop is passed by.", context.fold_figure
    )


def _toe_draw_up(context: Context) -> Phrase:
    text = (
        "Draw the toe yarn up tight, so that the last row closes. Go round through the stitches "
        "once more, draw it tight again, and knot and sew both ends fast on the inside.",
    )
    return Phrase("Gather the toe", text, "The toe is closed.", context.fold_figure)


def _front_seam(context: Context) -> Phrase:
    text = (
        "Each side edge is a chain. Beginning at the toe, take the needle under one chain of the "
        "one edge, then under one chain of the other: {front_chains} chains to {front_chains}, "
        "from row {front_from} back to row {front_to}. Fasten off with a few stitches more.",
        "The opening is {opening_mm:length} along each side.",
    )
    return Phrase("Sew the front", context.say(*text), figure=context.fold_figure)


# --- the second of a pair ------------------------------------------------------------------------


def _again_cast_on(context: Context) -> Phrase:
    knots = [o.peg for o in context.first(HangKnot) if isinstance(o, HangKnot)]
    knot = context.peg(knots)
    text = (
        f"Cast on for the {context.steps[0].piece} as in step 1, with the slip loop on {knot}.",
    )
    tally = f"One loop on every peg, and one more, the slip loop, on {knot}."
    return Phrase(f"Begin the {context.steps[0].piece}", text, tally)


def _again(context: Context) -> Phrase:
    piece = context.steps[0].piece
    text = (
        "Work steps {again_from} to {again_to} once more, with the same counts: {rows} rows.",
        "Count the rows of both against each other before the last row comes off.",
    )
    tally = "Two alike, and no tail is left."
    return Phrase(f"Knit and make up the {piece}", context.say(*text), tally)


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
