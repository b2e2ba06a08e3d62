"""Words for the panels of a blanket and their seams, and the table of the seams."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from pegwright.knitting.operations import Edge, Operation, SeamEdges, SeamEnds, TakeLength, WrapPegs
from pegwright.knitting.script import Step, flatten
from pegwright.pattern.graded import in_sizes
from pegwright.pattern.model import TableBlock
from pegwright.pattern.phrase import Context, Phrase
from pegwright.pattern.source import ProvedSize

__all__ = ["PHRASES", "seam_table"]

_EDGES = {Edge.CAST_ON: "cast-on edge", Edge.LIVE: "last row"}

Seam = SeamEdges | SeamEnds


# --- steps ---------------------------------------------------------------------------------------


def _again(context: Context) -> Phrase:
    number = context.steps[0].piece.removeprefix("panel ")
    wraps = [o.visits for o in context.first(WrapPegs) if isinstance(o, WrapPegs)]
    columns = in_sizes([str(max(context.loom.number(v.peg) for v in w)) for w in wraps])
    side = " of both boards" if context.loom.is_double else ""
    text = (
        f"Knit panel {number} like panel 1, on pegs 1 to {columns}{side}, with {{rows}} rows, and "
        "finish both its ends in the same way.",
    )
    made = f"{number} of {{panels}} panels."
    return Phrase(f"Panel {number}", context.say(*text), context.say(made)[0])


def _cut_mm(context: Context) -> str:
    taken = [o.yarn_mm for o in context.first(TakeLength) if isinstance(o, TakeLength)]
    return context.length(taken)


def _end_seam(context: Context) -> Phrase:
    seams = [o for o in context.first(SeamEnds) if isinstance(o, SeamEnds)]
    lower, upper = seams[0].one[0], seams[0].other[0]
    carrier = seams[0].carrier.removeprefix("yarn of ")
    text = (
        f"Lay the cast-on edge of {upper} above the last row of {lower}, the same face up. With "
        f"{_cut_mm(context)} of yarn, join them stitch to stitch from the left, no tighter than "
        "the cloth, and fasten both ends.",
    )
    title = f"{carrier.capitalize()}: {lower} to {upper}"
    return Phrase(title, text, figure=context.fold_figure)


def _side_seam(context: Context) -> Phrase:
    seams = [o for o in _seams(context.steps[0]) if isinstance(o, SeamEdges)]
    carrier = seams[0].carrier.removeprefix("yarn of ")
    left, right = _names(s.one[0] for s in seams), _names(s.other[0] for s in seams)
    chains = in_sizes([str(_chains(_seams(s))) for s in context.steps])
    text = (
        f"Lay {right} to the right of {left}, the cast-on edges below and the same face up. Each "
        f"edge is a chain. With {_cut_mm(context)} of yarn, begin at the lower edge: take the "
        f"needle under one chain of the right edge of {left}, then under one chain of the left "
        f"edge of {right}, and so on.",
        f"Join {chains} chains to {chains}, no tighter than the cloth, and fasten both ends.",
    )
    title = f"{carrier.capitalize()}: {left} to {right}"
    return Phrase(title, text, figure=context.fold_figure)


def _names(pieces: Iterable[str]) -> str:
    """Panels in one: ``panel 1``, or ``panels 1 and 2``."""
    names = list(pieces)
    if len(names) == 1:
        return names[0]
    numbers = [n.removeprefix("panel ") for n in names]
    return f"panels {', '.join(numbers[:-1])} and {numbers[-1]}"


# --- the table -----------------------------------------------------------------------------------


def _seams(step: Step) -> list[Seam]:
    """A step's seams between two pieces."""
    found: list[Operation] = [*flatten(step.work)]
    return [o for o in found if isinstance(o, SeamEdges | SeamEnds) and o.one[0] != o.other[0]]


def _chains(seams: list[Seam]) -> int:
    return sum(abs(s.one[3] - s.one[2]) + 1 for s in seams if isinstance(s, SeamEdges))


def seam_table(sizes: tuple[ProvedSize, ...]) -> TableBlock | None:
    """Which panel joins which, in the order of sewing, read from the steps; None without seams."""
    rows: list[tuple[str, ...]] = []
    for same in zip(*(s.plan.script.steps for s in sizes), strict=True):
        seams = _seams(same[0])
        if not seams:
            continue
        one, other = (_side(seams, i) for i in (0, 1))
        counts = in_sizes([f"{_chains(_seams(s))} chains" for s in same])
        if isinstance(seams[0], SeamEnds):
            counts = "every stitch"
        rows.append((str(len(rows) + 1), one, other, counts, str(same[0].number)))
    if not rows:
        return None
    header = ("seam", "joins", "to", "how much", "step")
    return TableBlock("Which panel joins which, in the order of sewing", header, tuple(rows))


def _side(seams: list[Seam], which: int) -> str:
    """One side of a seam, such as ``panel 1, right edge``."""
    sides = [(s.one, s.other)[which] for s in seams]
    edge = sides[0][1]
    return f"{_names(side[0] for side in sides)}, {_EDGES.get(edge, f'{edge} edge')}"


PHRASES: Mapping[str, Callable[[Context], Phrase]] = {
    "panel-again": _again,
    "panel-end-seam": _end_seam,
    "panel-side-seam": _side_seam,
}
