"""Which colour lands on which stitch: the run's own yarn, laid along the yarn's colours.

A loop takes the stretch of yarn that the run draws to lay it, from where the yarn left the loop
before to where it reaches this one: the taut length times the slack.  A slip loop takes its knot as
well.  The loop's colour is the one at the middle of that stretch, and its **fraction** is how much
of the stretch has this colour without a break: less than 1 where a change of colour falls within.

Yarn that makes no loop is used up where it comes in the work: the tail before the first loop, the
knot at the slip loop, the tail at the cut after the last.  A length that is cut off to sew or
thread with comes off the ball where it is cut; while the ball still hangs on the work it comes off
after that strand, since the ball has only this end.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from pegwright.errors import BadInput, Place
from pegwright.knitting.fabric import Block, Fabric, FabricArrays, LoopKind, Tile, Use
from pegwright.knitting.operations import JoinYarn, Part, Repeat
from pegwright.knitting.run import Run
from pegwright.knitting.script import Work
from pegwright.units import UnitSystem, format_number, require_positive
from pegwright.yarn.colour import Colour, ColourRun
from pegwright.yarn.yarn import Yarn

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = [
    "ColourShare",
    "Joining",
    "StitchColours",
    "colours_of",
    "solid_run",
    "stitch_colours",
]

_MM_PER_M = 1000.0
_WHOLE = 0.999


class Joining(StrEnum):
    """Where in its colours a yarn goes on when it is joined again."""

    CARRY_ON = "carry on"  # where the ball was cut
    ANEW = "anew"  # at its offset: yarn is wound off to the same place first


@dataclass(frozen=True, slots=True)
class ColourShare:
    """How many stitches of a piece have a colour, and what part of all that is."""

    colour: Colour
    stitches: int
    share: float


@dataclass(frozen=True, slots=True, eq=False)
class StitchColours:
    """The colour of every loop.  Arrays have one entry a loop, in order of making.

    :param colours: every colour of every yarn, once.
    :param pieces: the pieces' names, by the index that ``loops`` uses.
    :param loops: the loops themselves, written out.
    :param index: each loop's colour, an index into ``colours``.
    :param fraction: the part of the loop's yarn that has it, see the module.
    :param start_m: where the loop's yarn begins, metres from the yarn's first end.
    :param end_m: where it ends.
    """

    colours: tuple[Colour, ...]
    pieces: tuple[str, ...]
    loops: FabricArrays
    index: NDArray[np.int16]
    fraction: NDArray[np.float32]
    start_m: NDArray[np.float64]
    end_m: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.index)

    def piece_index(self, piece: str) -> int:
        """The index of a piece.

        :raises BadInput: where there is no such piece.
        """
        if piece not in self.pieces:
            raise BadInput(
                "no such piece",
                given=piece,
                hint=f"the pieces are: {', '.join(self.pieces)}",
                place=Place(field="piece"),
            )
        return self.pieces.index(piece)

    def shares(self, piece: str) -> tuple[ColourShare, ...]:
        """How many stitches each colour has in a piece, the most first; colours with none left out.

        :raises BadInput: where there is no such piece.
        """
        import numpy as np

        mine = self.index[self.loops.piece == self.piece_index(piece)]
        counts = np.bincount(mine, minlength=len(self.colours)).tolist()
        found = [
            ColourShare(colour, n, n / len(mine))
            for colour, n in zip(self.colours, counts, strict=True)
            if n
        ]
        return tuple(sorted(found, key=lambda s: -s.stitches))

    def straddling(self, piece: str) -> float:
        """The part of a piece's stitches in which the colour changes."""
        mine = self.fraction[self.loops.piece == self.piece_index(piece)]
        return float((mine < _WHOLE).mean()) if len(mine) else 0.0

    def words(self, units: UnitSystem = UnitSystem.CENTIMETRES) -> tuple[str, ...]:
        """Each piece's colours, a sentence or two a piece."""
        del units  # no lengths here; every result is asked in the same way
        lines = []
        for piece in self.pieces:
            shares = self.shares(piece)
            if not shares:
                continue
            if len(shares) == 1:
                lines.append(f"The {piece} is {shares[0].colour.name} throughout.")
                continue
            parts = ", ".join(f"{s.colour.name} {_percent(s.share)}" for s in shares)
            lines.append(
                f"Of the stitches of the {piece}: {parts}. "
                f"In {_percent(self.straddling(piece))} of them the colour changes."
            )
        return tuple(lines)

    def as_data(self) -> dict[str, object]:
        """The colours as plain data for JSON, counted by piece."""
        return {
            "colours": [{"colour": c.name, "hex": c.hex} for c in self.colours],
            "pieces": {
                piece: {
                    "straddling": round(self.straddling(piece), 6),
                    "shares": [
                        {
                            "colour": s.colour.name,
                            "stitches": s.stitches,
                            "share": round(s.share, 6),
                        }
                        for s in self.shares(piece)
                    ],
                }
                for piece in self.pieces
            },
        }


def solid_run(yarn: Yarn) -> ColourRun:
    """A yarn without colour changes, as a run; its name stands in where it names no colour."""
    return ColourRun.solid(Colour(yarn.colour or yarn.name, yarn.colour_hex))


def colours_of(
    names: Iterable[str], yarns: Mapping[str, Yarn], runs: Mapping[str, ColourRun]
) -> tuple[Colour, ...]:
    """Every colour of these yarns once; a yarn that has no colour run is solid."""
    found = (c for name in names for c in (runs.get(name) or solid_run(yarns[name])).colours)
    return tuple(dict.fromkeys(found))


def stitch_colours(
    run: Run,
    yarns: Mapping[str, Yarn],
    runs: Mapping[str, ColourRun] | None = None,
    *,
    slack: float = 1.0,
    joining: Joining = Joining.CARRY_ON,
) -> StitchColours:
    """The colour of every loop of a run.

    :param yarns: every yarn of the run by its name.
    :param runs: the colours along a yarn, by its name; a yarn that is not named is solid.
    :param slack: yarn really drawn over taut geometry, for the wraps alone.
    :raises BadInput: for a yarn that is missing, colours for a yarn that the run does not use, or a
        slack that is not above zero.
    :raises NotPossible: for more loops than are ever written out.
    """
    import numpy as np

    from pegwright.knitting.drawn import loop_lengths

    runs = runs or {}
    fabric = run.fabric
    _check(fabric, yarns, runs, slack)
    loops = fabric.arrays()
    lengths = loop_lengths(run, {name: y.wrapped_diameter_mm for name, y in yarns.items()})
    drawn_m = lengths * (slack / _MM_PER_M)
    for at, knot_m in _knots(run):
        drawn_m[at] += knot_m
    made_m = np.cumsum(drawn_m)
    ranges = _strands(run, made_m, joining)
    end_m = made_m.copy()
    for first, last, start_m in ranges:
        end_m[first:last] += start_m - (made_m[first - 1] if first else 0.0)
    return _coloured(fabric, loops, drawn_m, end_m, ranges, yarns, runs)


def _coloured(
    fabric: Fabric,
    loops: FabricArrays,
    drawn_m: NDArray[np.float64],
    end_m: NDArray[np.float64],
    ranges: list[tuple[int, int, float]],
    yarns: Mapping[str, Yarn],
    runs: Mapping[str, ColourRun],
) -> StitchColours:
    import numpy as np

    of_yarn = {n: runs.get(n) or solid_run(yarns[n]) for n in dict.fromkeys(fabric.strands)}
    colours = tuple(dict.fromkeys(c for r in of_yarn.values() for c in r.colours))
    index = np.zeros(len(drawn_m), np.int16)
    fraction = np.ones(len(drawn_m), np.float32)
    half = drawn_m / 2
    for strand, (first, last, _) in enumerate(ranges):
        colour_run = of_yarn[fabric.strands[strand]]
        own = np.array([colours.index(c) for c in colour_run.colours], np.int16)
        here = slice(first, last)
        if colour_run.is_solid:
            index[here] = own[0]
            continue
        at, before, after = colour_run.stretches_at(end_m[here] - half[here])
        index[here] = own[at]
        inside = np.minimum(before, half[here]) + np.minimum(after, half[here])
        some = drawn_m[here] > 0
        np.divide(inside, drawn_m[here], out=fraction[here], where=some, casting="same_kind")
    return StitchColours(colours, fabric.pieces, loops, index, fraction, end_m - drawn_m, end_m)


def _check(
    fabric: Fabric, yarns: Mapping[str, Yarn], runs: Mapping[str, ColourRun], slack: float
) -> None:
    require_positive(slack, "slack", hint="1 is yarn drawn taut; 1.1 is a tenth more")
    used = dict.fromkeys(fabric.strands)
    for name in used:
        if name not in yarns:
            raise BadInput("a yarn is missing", given=name, place=Place(field="yarns"))
    for name in runs:
        if name not in used:
            raise BadInput(
                "colours are given for a yarn that is not knitted",
                given=name,
                hint=f"the yarns are: {', '.join(used)}",
                place=Place(field="runs"),
            )


# --- yarn beside the loops ----------------------------------------------------------------------


def _join_tails(work: Work) -> Iterator[float]:
    """The tail of each join in order, in metres; strands are numbered by their joins."""
    for item in work:
        if isinstance(item, JoinYarn):
            yield item.tail_mm / _MM_PER_M
        elif isinstance(item, Repeat):
            inner = list(_join_tails(item.body))
            for _ in range(item.times if inner else 0):
                yield from inner


def _strand_of(block: Block | Tile) -> int:
    """The strand of a block; a tile never changes it, or it would not have recurred."""
    while isinstance(block, Tile):
        block = block.blocks[0]
    return block.strand


def _uses(blocks: tuple[Block | Tile, ...], times: int = 1) -> Iterator[tuple[Use, int]]:
    for block in blocks:
        if isinstance(block, Tile):
            yield from _uses(block.blocks, times * block.times)
        else:
            yield from ((use, times) for use in block.uses)


def _knots_of(fabric: Fabric, block: Block, parts: Mapping[int, Part]) -> tuple[Use, ...]:
    """The yarn of a block's slip loops, which carries the part of their step."""
    part = parts[block.step]
    if LoopKind.KNOT not in block.kinds or part is Part.TAILS:
        return ()
    own = fabric.strands[block.strand]
    count = block.kinds.count(LoopKind.KNOT)
    return tuple(use for use in block.uses if use.part is part and use.yarn == own)[:count]


def _knots(run: Run) -> Iterator[tuple[int, float]]:
    """Each slip loop and the yarn in its knot, in metres."""
    parts = {step.number: step.part for step in run.script.steps}
    for block in run.fabric.blocks:
        if not isinstance(block, Tile):
            loops = (i for i, kind in enumerate(block.kinds) if kind == LoopKind.KNOT)
            for i, use in zip(loops, _knots_of(run.fabric, block, parts), strict=False):
                yield block.first_loop + i, use.yarn_mm / _MM_PER_M


def _strands(
    run: Run, made_m: NDArray[np.float64], joining: Joining
) -> list[tuple[int, int, float]]:
    """First loop, last loop (not included) and start of each strand, in metres along its yarn.

    :param made_m: yarn drawn for all loops so far, at the end of each loop.
    """
    fabric = run.fabric
    tails = [t for step in run.script.steps for t in _join_tails(step.work)]
    parts = {step.number: step.part for step in run.script.steps}
    ball: defaultdict[str, float] = defaultdict(float)
    waiting: defaultdict[str, float] = defaultdict(float)
    ranges: list[tuple[int, int, float]] = []
    current, made = -1, 0
    for block in fabric.blocks:
        strand = _strand_of(block)
        if strand != current:
            _come_off(ball, waiting)
            current = strand
        tail_m = 0.0
        for joined in range(len(ranges), strand + 1):
            name, tail_m = fabric.strands[joined], tails[joined]
            start_m = tail_m + (ball[name] if joining is Joining.CARRY_ON else 0.0)
            ranges.append((made, made, start_m))
            ball[name] = start_m
        if block.loops:
            made += block.loops
            first, _, start_m = ranges[strand]
            ranges[strand] = (first, made, start_m)
            before_m = float(made_m[first - 1]) if first else 0.0
            ball[fabric.strands[strand]] = start_m + float(made_m[made - 1]) - before_m
        for name, length_m in _cut_off(fabric, block, parts, joins=tail_m > 0):
            waiting[name] += length_m
    ranges += [(made, made, tails[i]) for i in range(len(ranges), len(fabric.strands))]
    return ranges


def _cut_off(
    fabric: Fabric, block: Block | Tile, parts: Mapping[int, Part], *, joins: bool
) -> Iterator[tuple[str, float]]:
    """What a block draws beside its loops: not their knots, and not the tail of a join."""
    knots = [] if isinstance(block, Tile) else list(_knots_of(fabric, block, parts))
    for use, times in _uses((block,)):
        if joins and use.part is Part.TAILS:
            joins = False
        elif use in knots:
            knots.remove(use)
        else:
            yield use.yarn, use.yarn_mm * times / _MM_PER_M


def _come_off(ball: defaultdict[str, float], waiting: defaultdict[str, float]) -> None:
    for name, length_m in waiting.items():
        ball[name] += length_m
    waiting.clear()


def _percent(share: float) -> str:
    percent = 100 * share
    return f"{format_number(percent, 0 if percent >= 9.95 else 1)} %"
