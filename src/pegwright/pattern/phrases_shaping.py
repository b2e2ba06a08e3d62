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
from pegwright.pattern.phrases_knit import as_before, in_turn, more_rows, pull_down
from pegwright.pattern.vocabulary import edge_name, piece_name
from pegwright.tongue.said import Said, joined, listed, say

__all__ = ["PHRASES"]


def _all(context: Context, kind: type[Operation]) -> list[list[Operation]]:
    """For every size, all of the step's operations of a kind."""
    return [[o for o in flatten(s.work) if isinstance(o, kind)] for s in context.steps]


def _cut_mm(context: Context) -> Said:
    """The length of yarn that the step cuts, in every size."""
    taken = [o.yarn_mm for o in context.first(TakeLength) if isinstance(o, TakeLength)]
    return context.length(taken)


# --- pieces of any name --------------------------------------------------------------------------


def _piece_rows(context: Context) -> Phrase:
    pull = (
        pull_down(context)
        if context.loom.is_double
        else say(
            "Pull the cloth down from below after every few rows, and count rows along the chain "
            "at the edge."
        )
    )
    tally = context.say(
        "{rows} rows; it measures about {piece_length_mm:length} when it has relaxed."
    )
    title = say("Knit {piece}", piece=piece_name(context.steps[0].piece))
    return Phrase(title, (more_rows(context), pull), tally)


def _bind_off(context: Context) -> Phrase:
    offs = [o for o in context.first(BindOffOver) if isinstance(o, BindOffOver)]
    first, second = (context.peg([o.pegs[i] for o in offs]) for i in (0, 1))
    last = context.peg([o.pegs[-1] for o in offs])
    text = (
        say(
            "Begin at {first}. Take the loop of the next peg ({second}) onto it, lift the lower "
            "loop over the upper one, and put the loop that is left back on the next peg.",
            first=first,
            second=second,
        ),
        say(
            "Go on so, {in_turn}, until one loop is left on {last}. Keep it loose.",
            in_turn=in_turn(context),
            last=last,
        ),
        say(
            "Draw the tail through the last loop; the {piece} comes off the loom.",
            piece=_short(context),
        ),
    )
    return Phrase(say("Bind off"), text, say("Nothing is left on the loom."))


def _short(context: Context) -> str:
    """The kind of piece, without its number."""
    return piece_name(context.steps[0].piece.split()[0])


def _close_cast_on(context: Context) -> Phrase:
    facts = {"length": _cut_mm(context), "piece": _short(context)}
    run = (
        say(
            "Run {length} of yarn twice through the cast-on loops, face to face in turn, keep the "
            "edge as wide as the {piece}, and fasten both ends.",
            **facts,
        )
        if context.loom.is_double
        else say(
            "Run {length} of yarn twice through the cast-on loops, keep the edge as wide as the "
            "{piece}, and fasten both ends.",
            **facts,
        )
    )
    text = (run, say("Only now untie the anchor cord and draw it out."))
    return Phrase(say("Close the cast-on edge"), text, say("Every cast-on loop is held."))


# --- shaping -------------------------------------------------------------------------------------


def _every(context: Context) -> Said:
    """How often the edge is shaped, such as ``every 1 and 2 rows by turns``."""
    turns = int(context.facts["turns"].values[0])
    if turns == 1:
        once = {1.0} == set(context.facts["turn_1"].values)
        return say("in every row") if once else context.say("every {turn_1} rows")
    named = listed(context.facts[f"turn_{i}"].counts() for i in range(1, turns + 1))
    # NOTE: the numbers are a list, as in "every 1 and 2 rows by turns"
    return say("every {numbers} rows by turns", numbers=named)


def _chart(context: Context, kind: str) -> str:
    """The key of the chart beside a step; sizes in several groups have one each."""
    group = context.fold_figure.removeprefix("make-up")
    return f"chart-{kind}{group if group[:1] == '-' else ''}"


def _shape_increase(context: Context) -> Phrase:
    found = [ops[0] for ops in _all(context, Increase)]
    first = [o for o in found if isinstance(o, Increase)]
    double = context.loom.is_double
    # NOTE: inc, dec, st, sts, k, p, rem are abbreviations; use those of your own list of them
    hang = say(
        "Increase (inc) at the right edge, on the next empty peg: with the hook, pick up the loop "
        "that lies just below the stitch of the last peg, and hang it on the empty one. The first "
        "time that is the loop below {beside}, hung on {new}.",
        new=context.peg([o.peg for o in first]),
        beside=context.peg([o.beside for o in first]),
    )
    both = say("Do the same on the back board.") if double else ""
    until = (
        context.say(
            "Inc so on both boards {every}, counted from one inc to the next, until {deepest} pegs "
            "a side are in use; work the rows between without shaping.",
            every=_every(context),
        )
        if double
        else context.say(
            "Inc so {every}, counted from one inc to the next, until {deepest} pegs are in use; "
            "work the rows between without shaping.",
            every=_every(context),
        )
    )
    text = (
        joined((hang, both, say("Then work a row over one peg more."))),
        until,
        say("Leave the left edge as it is: it is the long straight edge."),
    )
    tally = context.say(
        "{grown} inc; {deepest} stitches (sts) across, about {depth_mm:length}; row {half_row}."
    )
    return Phrase(say("Shape to the point"), text, tally, _chart(context, "increase"))


def _shape_decrease(context: Context) -> Phrase:
    first = [ops[0] for ops in _all(context, Move)]
    moves = [o for o in first if isinstance(o, Move)]
    ends = {
        "source": context.peg([o.source for o in moves]),
        "target": context.peg([o.target for o in moves]),
    }
    move = (
        say(
            "Decrease (dec) at the right edge: move the stitch of the last peg onto its neighbour; "
            "the first time that is {source} onto {target}, and the same on the back board.",
            **ends,
        )
        if context.loom.is_double
        else say(
            "Decrease (dec) at the right edge: move the stitch of the last peg onto its neighbour; "
            "the first time that is {source} onto {target}.",
            **ends,
        )
    )
    together = (
        say("Work a row over one peg less, and purl the two loops of that peg together.")
        if context.wrap.purl
        else say(
            "Work a row over one peg less, and on the peg that holds three loops lift the lower "
            "two over the upper one."
        )
    )
    text = (
        joined((move, together)),
        context.say(
            "Dec so {every}, in the order of the increases turned round, until {columns} sts "
            "remain (rem) across.",
            every=_every(context),
        ),
    )
    tally = context.say(
        "{grown} dec; {columns} sts rem; {rows} rows in all, about {edge_mm:length} long."
    )
    return Phrase(say("Shape to the second tip"), text, tally, _chart(context, "decrease"))


# --- the gathered-top hat ------------------------------------------------------------------------


def _round_rows(context: Context) -> Phrase:
    go_on = joined(
        (
            say(
                "Go on round the ring, always the same way, and mark the first peg, so that you "
                "can count."
            ),
            context.say(
                "{as_before}, for {more_rows} more rounds: {rows} in all.",
                as_before=as_before(context),
            ),
        )
    )
    text = [go_on, say("Pull the cloth down inside the ring after every few rounds.")]
    if context.facts["brim_rows"].values[0]:
        text.append(context.say("The first {brim_all} rounds are the brim."))
    tally = context.say(
        "{rows} rounds; the tube measures about {strip_length_mm:length} when it has relaxed."
    )
    return Phrase(say("Knit the tube"), tuple(text), tally)


def _hat_live(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadLive) if isinstance(o, ThreadLive)]
    text = (
        say(
            "Cut {length} of yarn and thread the needle. Go through each live stitch and lift it "
            "off its peg, {in_turn}, from {first} to {last}.",
            length=_cut_mm(context),
            in_turn=in_turn(context),
            first=context.peg([t.pegs[0] for t in threads]),
            last=context.peg([t.pegs[-1] for t in threads]),
        ),
        say("Go once more through all of them. Do not draw the yarn up yet."),
    )
    tally = say("Every live stitch is on the gathering yarn, and the piece is off the loom.")
    return Phrase(say("Take the last row off"), text, tally)


def _hat_edge(context: Context) -> Phrase:
    threads = [o for o in context.first(ThreadEdge) if isinstance(o, ThreadEdge)]
    text = (
        say(
            "Cut {length} of yarn and thread the needle. Run it in and out of the chains of the "
            "{edge}, all the way round, and once more. Do not draw it up yet.",
            length=_cut_mm(context),
            edge=edge_name(threads[0].edge),
        ),
    )
    tally = say("Every chain of the top edge is on the gathering yarn.")
    return Phrase(say("Thread the top"), text, tally)


def _hat_hem(context: Context) -> Phrase:
    text = (
        context.say(
            "Fold the brim in at row {brim_rows}, so that the cast-on edge lies inside at row "
            "{brim_fold}, and sew it down loosely with {length} of yarn, stitch for stitch. It "
            "must stretch as far as the cloth does.",
            length=_cut_mm(context),
        ),
    )
    return Phrase(say("Sew the brim"), text, say("The brim is double."), context.fold_figure)


def _hat_draw_up(context: Context) -> Phrase:
    text = (
        say(
            "Draw the gathering yarn up until the top is closed. Knot both ends firmly, take them "
            "through the hole to the inside, and sew them fast. Leave no free ends."
        ),
    )
    tally = say("No hole is left at the top.")
    return Phrase(say("Gather the top"), text, tally, context.fold_figure)


def _hat_turned(context: Context) -> Phrase:
    text = (
        say(
            "Weave in every tail on the inner face. Where the brim is turned up its inner face "
            "shows: weave the tails of the brim in between the layers."
        ),
        context.say("Turn the brim up by {brim_mm:length}."),
    )
    return Phrase(say("Finish"), text, say("No tail is left."), context.fold_figure)


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
