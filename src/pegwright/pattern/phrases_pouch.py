"""Words for the pouch: its mouth threaded, its bottom folded, its sides sewn."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pegwright.knitting.operations import Edge, SeamEdges, TakeLength, ThreadCastOn, ThreadLive
from pegwright.knitting.script import flatten
from pegwright.pattern.phrase import Context, Phrase

__all__ = ["PHRASES"]


def _turn(context: Context) -> str:
    return ", board to board in turn," if context.loom.is_double else ", peg by peg,"


def _mouth_live(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadLive) if isinstance(o, ThreadLive)]
    first = context.peg([t.pegs[0] for t in threads])
    last = context.peg([t.pegs[-1] for t in threads])
    carrier = threads[0].carrier
    way = f"go through the live stitches and lift each off its peg{_turn(context)} from {first} to "
    if carrier == "cord":
        text = [
            f"With the cord's slim end, {way}{last}.",
            "Where a peg holds three loops, take them one at a time from the top.",
        ]
    else:
        cuts = [
            next(o.yarn_mm for o in flatten(s.work) if isinstance(o, TakeLength))
            for s in context.steps
        ]
        text = [f"Cut {context.length(cuts)} of yarn. With the needle, {way}{last}."]
    text.append("When the last stitch is off, the strip comes off the loom.")
    return Phrase(
        "Take the live stitches off", tuple(text), f"Every live stitch is on the {carrier}."
    )


def _fold_bottom(context: Context) -> Phrase:
    text = (
        "Lay the strip flat and fold it at row {fold_row}, without a twist, so that the cast-on "
        "edge meets the last row. The fold is the bottom, and the two ends are the mouth.",
    )
    return Phrase("Fold", context.say(*text), figure=context.fold_figure)


def _mouth_cast_on(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadCastOn) if isinstance(o, ThreadCastOn)]
    carrier = threads[0].carrier
    end = "the cord's other end" if carrier == "cord" else f"the other end of the {carrier}"
    turn = "face to face in turn" if context.loom.is_double else "one after the other"
    text = [
        f"Take {end} through every cast-on loop, {turn}, from the left edge to the right, so that "
        "both ends come out at the same side.",
    ]
    return Phrase("Go through the cast-on loops", tuple(text), "No cast-on loop is passed by.")


def _side_seam(context: Context) -> Phrase:
    seams = [o for o in context.first(SeamEdges) if isinstance(o, SeamEdges)]
    side = "left" if seams[0].one[1] is Edge.LEFT else "right"
    free = " Leave what is threaded through the mouth free." if "gather_mm" in context.facts else ""
    text: tuple[str, ...]
    if side == "left":
        text = (
            "The edge is a chain. Beginning at the mouth, take the needle under one chain of the "
            f"left edge, go over to the half that lies on it, and do the same.{free}",
            "Join {seam_chains} chains to {seam_chains}, down to the fold, and fasten off.",
        )
    else:
        text = (
            "Sew the right side like the left, from the mouth down to the fold: {seam_chains} "
            f"chains to {{seam_chains}}.{free}",
        )
    return Phrase(f"Sew the {side} side", context.say(*text), figure=context.fold_figure)


def _draw_up(context: Context) -> Phrase:
    if "cord_mm" in context.facts:
        text = (
            "Knot each end of the cord. Pull both to close the mouth, and check that it opens to "
            "its full width again, with ends of about {cord_end_mm:length} left outside.",
        )
    else:
        text = (
            "Draw the yarn in until the mouth measures {gather_mm:length} round. Knot both ends "
            "securely, sew them down inside, and leave no free ends.",
        )
    return Phrase("Draw the mouth in", context.say(*text), figure=context.fold_figure)


PHRASES: Mapping[str, Callable[[Context], Phrase]] = {
    "mouth-live": _mouth_live,
    "fold-bottom": _fold_bottom,
    "mouth-cast-on": _mouth_cast_on,
    "pouch-seam-left": _side_seam,
    "pouch-seam-right": _side_seam,
    "mouth-draw-up": _draw_up,
}
