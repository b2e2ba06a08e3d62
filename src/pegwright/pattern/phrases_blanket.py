"""Words for the panels of a blanket and their seams, and the table of the seams."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from pegwright.knitting.operations import Operation, SeamEdges, SeamEnds, TakeLength, WrapPegs
from pegwright.knitting.script import Step, flatten
from pegwright.pattern.graded import in_sizes
from pegwright.pattern.model import TableBlock
from pegwright.pattern.phrase import Context, Phrase
from pegwright.pattern.source import ProvedSize
from pegwright.pattern.vocabulary import edge_name, numbered
from pegwright.tongue.said import Said, listed, say, word

__all__ = ["PHRASES", "seam_table"]

Seam = SeamEdges | SeamEnds


# --- steps ---------------------------------------------------------------------------------------


def _again(context: Context) -> Phrase:
    number = context.steps[0].piece.removeprefix("panel ")
    wraps = [o.visits for o in context.first(WrapPegs) if isinstance(o, WrapPegs)]
    columns = in_sizes([str(max(context.loom.number(v.peg) for v in w)) for w in wraps])
    text = (
        context.say(
            "Knit panel {number} like panel 1, on pegs 1 to {last} of both boards, with {rows} "
            "rows, and finish both its ends in the same way.",
            number=number,
            last=columns,
        )
        if context.loom.is_double
        else context.say(
            "Knit panel {number} like panel 1, on pegs 1 to {last}, with {rows} rows, and finish "
            "both its ends in the same way.",
            number=number,
            last=columns,
        )
    )
    made = context.say("{number} of {panels} panels.", number=number)
    return Phrase(say("Panel {number}", number=number), (text,), made)


def _cut_mm(context: Context) -> Said:
    taken = [o.yarn_mm for o in context.first(TakeLength) if isinstance(o, TakeLength)]
    return context.length(taken)


def _title(carrier: str, one: Said, other: Said) -> Said:
    number = carrier.removeprefix("yarn of seam ")
    return say("Seam {number}: {one} to {other}", number=number, one=one, other=other)


def _end_seam(context: Context) -> Phrase:
    seams = [o for o in context.first(SeamEnds) if isinstance(o, SeamEnds)]
    lower, upper = _names([seams[0].one[0]]), _names([seams[0].other[0]])
    text = (
        say(
            "Lay the cast-on edge of {upper} above the last row of {lower}, the same face up. With "
            "{length} of yarn, join them stitch to stitch from the left, no tighter than the "
            "cloth, and fasten both ends.",
            upper=upper,
            lower=lower,
            length=_cut_mm(context),
        ),
    )
    return Phrase(_title(seams[0].carrier, lower, upper), text, figure=context.fold_figure)


def _side_seam(context: Context) -> Phrase:
    seams = [o for o in _seams(context.steps[0]) if isinstance(o, SeamEdges)]
    left, right = _names(s.one[0] for s in seams), _names(s.other[0] for s in seams)
    chains = in_sizes([str(_chains(_seams(s))) for s in context.steps])
    text = (
        say(
            "Lay {right} to the right of {left}, the cast-on edges below and the same face up. "
            "Each edge is a chain. With {length} of yarn, begin at the lower edge: take the needle "
            "under one chain of the right edge of {left}, then under one chain of the left edge of "
            "{right}, and so on.",
            left=left,
            right=right,
            length=_cut_mm(context),
        ),
        say(
            "Join {chains} chains to {chains}, no tighter than the cloth, and fasten both ends.",
            chains=chains,
        ),
    )
    return Phrase(_title(seams[0].carrier, left, right), text, figure=context.fold_figure)


def _names(pieces: Iterable[str]) -> Said:
    """Panels in one: ``panel 1``, or ``panels 1 and 2``."""
    return numbered(listed(name.removeprefix("panel ") for name in pieces))


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
        counts = in_sizes([say("{count} chains", count=_chains(_seams(s))) for s in same])
        if isinstance(seams[0], SeamEnds):
            counts = in_sizes([say("every stitch")])
        rows.append((str(len(rows) + 1), one, other, counts, str(same[0].number)))
    if not rows:
        return None
    header = (
        word("seam table", "seam"),
        word("seam table", "joins"),
        word("seam table", "to"),
        word("seam table", "how much"),
        word("seam table", "step"),
    )
    return TableBlock(say("Which panel joins which, in the order of sewing"), header, tuple(rows))


def _side(seams: list[Seam], which: int) -> Said:
    """One side of a seam, such as ``panel 1, right edge``."""
    sides = [(s.one, s.other)[which] for s in seams]
    return say(
        "{panels}, {edge}", panels=_names(side[0] for side in sides), edge=edge_name(sides[0][1])
    )


PHRASES: Mapping[str, Callable[[Context], Phrase]] = {
    "panel-again": _again,
    "panel-end-seam": _end_seam,
    "panel-side-seam": _side_seam,
}
