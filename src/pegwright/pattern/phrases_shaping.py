"""Words for shaping, for pieces of any name, and for the gathered-top hat."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pegwright.knitting.operations import (
    BindOffOver,
    Increase,
    Move,
    Operation,
    TakeLength,
    ThreadEdge,
    ThreadLive,
)
from pegwright.knitting.script import flatten
from pegwright.pattern.phrase import Context, Phrase
from pegwright.pattern.phrases_knit import as_before

__all__ = ["PHRASES"]


def _all(context: Context, kind: type[Operation]) -> list[list[Operation]]:
    """For every size, all of the step's operations of a kind."""
    return [[o for o in flatten(s.work) if isinstance(o, kind)] for s in context.steps]


def _cut_mm(context: Context) -> str:
    """The length of yarn that the step cuts, in every size."""
    taken = [o.yarn_mm for o in context.first(TakeLength) if isinstance(o, TakeLength)]
    return context.length(taken)


def _in_turn(context: Context) -> str:
    return "board to board in turn" if context.loom.is_double else "peg by peg"


# --- pieces of any name --------------------------------------------------------------------------


def _piece_rows(context: Context) -> Phrase:
    piece = context.steps[0].piece
    down = "between the boards" if context.loom.is_double else "down from below"
    text = (
        f"{as_before(context)}, for {{more_rows}} more rows: {{rows}} rows in all.",
        f"Pull the cloth {down} after every few rows, and count rows along the chain at the edge.",
    )
    tally = "{rows} rows; it measures about {piece_length_mm:length} when it has relaxed."
    return Phrase(f"Knit {piece}", context.say(*text), context.say(tally)[0])


def _bind_off(context: Context) -> Phrase:
    offs = [o for o in context.first(BindOffOver) if isinstance(o, BindOffOver)]
    first, second = (context.peg([o.pegs[i] for o in offs]) for i in (0, 1))
    last = context.peg([o.pegs[-1] for o in offs])
    text = (
        f"Begin at {first}. Take the loop of the next peg ({second}) onto it, lift the lower loop "
        "over the upper one, and put the loop that is left back on the next peg.",
        f"Go on so, {_in_turn(context)}, until one loop is left on {last}. Keep it loose.",
        f"Draw the tail through the last loop; the {_short(context)} comes off the loom.",
    )
    return Phrase("Bind off", text, "Nothing is left on the loom.")


def _short(context: Context) -> str:
    """The kind of piece, without its number."""
    return context.steps[0].piece.split()[0]


def _close_cast_on(context: Context) -> Phrase:
    faces = "face to face in turn, " if context.loom.is_double else ""
    text = (
        f"Run {_cut_mm(context)} of yarn twice through the cast-on loops, {faces}keep the edge as "
        f"wide as the {_short(context)}, and fasten both ends.",
        "Only now untie the anchor cord and draw it out.",
    )
    return Phrase("Close the cast-on edge", text, "Every cast-on loop is held.")


# --- shaping -------------------------------------------------------------------------------------


def _every(context: Context) -> str:
    """How often the edge is shaped, such as ``every 1 and 2 rows by turns``."""
    turns = int(context.facts["turns"].values[0])
    if turns == 1:
        once = {1.0} == set(context.facts["turn_1"].values)
        return "in every row" if once else "every {turn_1} rows"
    named = [f"{{turn_{i}}}" for i in range(1, turns + 1)]
    return f"every {', '.join(named[:-1])} and {named[-1]} rows by turns"


def _chart(context: Context, kind: str) -> str:
    """The key of the chart beside a step; sizes in several groups have one each."""
    group = context.fold_figure.removeprefix("make-up")
    return f"chart-{kind}{group if group[:1] == '-' else ''}"


def _shape_increase(context: Context) -> Phrase:
    found = [ops[0] for ops in _all(context, Increase)]
    first = [o for o in found if isinstance(o, Increase)]
    new, beside = context.peg([o.peg for o in first]), context.peg([o.beside for o in first])
    both = " Do the same on the back board." if context.loom.is_double else ""
    board = "on both boards " if context.loom.is_double else ""
    text = (
        "Increase (inc) at the right edge, on the next empty peg: with the hook, pick up the loop "
        "that lies just below the stitch of the last peg, and hang it on the empty one. The first "
        f"time that is the loop below {beside}, hung on {new}.{both} Then work a row over one peg "
        "more.",
        f"Inc so {board}{_every(context)}, counted from one inc to the next, until {{deepest}} "
        "pegs a side are in use; work the rows between without shaping."
        if context.loom.is_double
        else f"Inc so {_every(context)}, counted from one inc to the next, until {{deepest}} pegs "
        "are in use; work the rows between without shaping.",
        "Leave the left edge as it is: it is the long straight edge.",
    )
    tally = "{grown} inc; {deepest} stitches (sts) across, about {depth_mm:length}; row {half_row}."
    return Phrase(
        "Shape to the point", context.say(*text), context.say(tally)[0], _chart(context, "increase")
    )


def _shape_decrease(context: Context) -> Phrase:
    first = [ops[0] for ops in _all(context, Move)]
    moves = [o for o in first if isinstance(o, Move)]
    source, target = context.peg([o.source for o in moves]), context.peg([o.target for o in moves])
    both = ", and the same on the back board" if context.loom.is_double else ""
    together = (
        "purl the two loops of that peg together"
        if context.wrap.purl
        else "on the peg that holds three loops lift the lower two over the upper one"
    )
    text = (
        "Decrease (dec) at the right edge: move the stitch of the last peg onto its neighbour; "
        f"the first time that is {source} onto {target}{both}. Work a row over one peg less, and "
        f"{together}.",
        f"Dec so {_every(context)}, in the order of the increases turned round, until {{columns}} "
        "sts remain (rem) across.",
    )
    tally = "{grown} dec; {columns} sts rem; {rows} rows in all, about {edge_mm:length} long."
    return Phrase(
        "Shape to the second tip",
        context.say(*text),
        context.say(tally)[0],
        _chart(context, "decrease"),
    )


# --- the gathered-top hat ------------------------------------------------------------------------


def _round_rows(context: Context) -> Phrase:
    text: tuple[str, ...] = (
        "Go on round the ring, always the same way, and mark the first peg, so that you can count. "
        f"{as_before(context)}, for {{more_rows}} more rounds: {{rows}} in all.",
        "Pull the cloth down inside the ring after every few rounds.",
    )
    if context.facts["brim_rows"].values[0]:
        text += ("The first {brim_all} rounds are the brim.",)
    tally = "{rows} rounds; the tube measures about {strip_length_mm:length} when it has relaxed."
    return Phrase("Knit the tube", context.say(*text), context.say(tally)[0])


def _hat_live(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadLive) if isinstance(o, ThreadLive)]
    first = context.peg([t.pegs[0] for t in threads])
    last = context.peg([t.pegs[-1] for t in threads])
    text = (
        f"Cut {_cut_mm(context)} of yarn and thread the needle. Go through each live stitch and "
        f"lift it off its peg, {_in_turn(context)}, from {first} to {last}.",
        "Go once more through all of them. Do not draw the yarn up yet.",
    )
    tally = "Every live stitch is on the gathering yarn, and the piece is off the loom."
    return Phrase("Take the last row off", text, tally)


def _hat_edge(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadEdge) if isinstance(o, ThreadEdge)]
    edge = threads[0].edge
    text = (
        f"Cut {_cut_mm(context)} of yarn and thread the needle. Run it in and out of the chains of "
        f"the {edge} edge, all the way round, and once more. Do not draw it up yet.",
    )
    return Phrase("Thread the top", text, "Every chain of the top edge is on the gathering yarn.")


def _hat_hem(context: Context) -> Phrase:
    text = (
        f"Fold the brim in at row {{brim_rows}}, so that the cast-on edge lies inside at row "
        f"{{brim_fold}}, and sew it down loosely with {_cut_mm(context)} of yarn, stitch for "
        "stitch. It must stretch as far as the cloth does.",
    )
    return Phrase("Sew the brim", context.say(*text), "The brim is double.", context.fold_figure)


def _hat_draw_up(context: Context) -> Phrase:
    text = (
        "Draw the gathering yarn up until the top is closed. Knot both ends firmly, take them "
        "through the hole to the inside, and sew them fast. Leave no free ends.",
    )
    return Phrase("Gather the top", text, "No hole is left at the top.", context.fold_figure)


def _hat_turned(context: Context) -> Phrase:
    text = (
        "Weave in every tail on the inner face. Where the brim is turned up its inner face shows: "
        "weave the tails of the brim in between the layers.",
        "Turn the brim up by {brim_mm:length}.",
    )
    return Phrase("Finish", context.say(*text), "No tail is left.", context.fold_figure)


PHRASES: Mapping[str, Callable[[Context], Phrase]] = {
    "piece-rows": _piece_rows,
    "piece-bind-off": _bind_off,
    "piece-close-cast-on": _close_cast_on,
    "shape-increase": _shape_increase,
    "shape-decrease": _shape_decrease,
    "hat-round-rows": _round_rows,
    "hat-thread-live": _hat_live,
    "hat-thread-edge": _hat_edge,
    "hat-hem": _hat_hem,
    "hat-draw-up": _hat_draw_up,
    "hat-finish-turned": _hat_turned,
}
