"""Words for strips that become rings, and for the fringe of a scarf."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pegwright.knitting.operations import Graft
from pegwright.knitting.wraps import FirstRow
from pegwright.pattern.phrase import Context, Phrase
from pegwright.pattern.phrases_knit import in_turn
from pegwright.tongue.said import joined, say

__all__ = ["PHRASES"]


def _graft_ends(context: Context) -> Phrase:
    grafts = [o for o in context.first(Graft) if isinstance(o, Graft)]
    first = context.peg([g.pegs[0] for g in grafts])
    last = context.peg([g.pegs[-1] for g in grafts])
    out = (
        say(
            "Pull the strip out from below and bring its cast-on edge up in front of the front "
            "board, without a twist, so that each column lies before its own pegs."
        )
        if context.loom.is_double
        else say(
            "Pull the strip out from below and bring its cast-on edge up in front of the pegs, "
            "without a twist, so that each column lies before its own pegs."
        )
    )
    text = (
        out,
        context.say(
            "Cut {graft_mm:length} of yarn and thread the needle. Begin at {first}: go through the "
            "cast-on loop that was made on this peg, then through the live stitch on it, and lift "
            "that stitch off.",
            first=first,
        ),
        say(
            "Go on so, {in_turn}, as far as {last}: each stitch with the cast-on loop below it. "
            "Draw the yarn no tighter than the stitches beside it.",
            in_turn=in_turn(context),
            last=last,
        ),
        say("Fasten both ends of the yarn."),
    )
    tally = say("The strip is a ring, and nothing is left on the loom.")
    if context.wrap.first_row is FirstRow.ANCHORED:
        tally = joined((tally, say("Every cast-on loop is joined.")))
    return Phrase(say("Join the ends"), text, tally, context.fold_figure)


def _side_seam(context: Context) -> Phrase:
    text = (
        say(
            "Bring the two side edges together without a twist. Each is a chain: take the needle "
            "under one chain of the left edge, then under one chain of the right, and so on."
        ),
        context.say(
            "Join {seam_chains} chains to {seam_chains}, from the cast-on edge to the last row, no "
            "tighter than the cloth itself, and fasten off."
        ),
    )
    return Phrase(say("Sew the side"), text, figure=context.fold_figure)


def _fringe(context: Context) -> Phrase:
    text = (
        context.say("Cut {fringe_pieces} strands of {fringe_cut_mm:length}."),
        context.say(
            "For each knot, fold {fringe_strands} strands in half together, draw the fold through "
            "the edge with the hook, take all the ends through the fold and pull the knot close."
        ),
        context.say(
            "Make {fringe_knots} knots along each end, the first and the last near the corners. "
            "Comb the fringe straight and trim it to {fringe_mm:length}."
        ),
    )
    return Phrase(say("Knot the fringe"), text, context.say("{fringe_knots} knots at each end."))


PHRASES: Mapping[str, Callable[[Context], Phrase]] = {
    "graft-ends": _graft_ends,
    "side-seam": _side_seam,
    "fringe": _fringe,
}
