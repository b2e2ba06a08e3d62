"""What a size that does not fit would need: a longer board, or panels sewn side by side.

Panels are no mere sum: every offer of panels is knitted on the simulated loom, each panel on the
board as it is, and their edges are sewn together chain to chain.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from pegwright.designs.model import Design, SizeRequest
from pegwright.errors import PegwrightError
from pegwright.garments.plain_strip import PLAIN_STRIP
from pegwright.garments.strip import seam_yarn_mm
from pegwright.knitting.drawn import drawn
from pegwright.knitting.operations import (
    Edge,
    FastenOff,
    LiftOff,
    Part,
    SeamEdges,
    TakeLength,
    ThreadCastOn,
    WeaveIn,
)
from pegwright.knitting.run import execute
from pegwright.knitting.script import PieceSpec, Script, Step, Work
from pegwright.loom.board import MOST_PEGS
from pegwright.making import Made, prove
from pegwright.measured import Measured
from pegwright.pattern.source import ProvedSize
from pegwright.units import format_both, format_number

__all__ = ["MOST_PANELS", "Needed", "Panels", "needed", "widest_columns"]

MOST_PANELS = 12
"""More panels than these are no offer (an assumption, no source)."""

_LONGER = 8

_STRAIGHT = 0.05
"""How far the loops of a straight piece may be off those of a rectangle: an edge or two."""


@dataclass(frozen=True, slots=True)
class Panels:
    """Panels that make up a width, proved.

    :param columns: pegs a side of one panel; ``width`` and ``rows`` are of one panel too.
    :param design: one panel as a design of its own, in one size; ``made`` is its proof.
    :param seams_m: yarn for all seams between panels.
    """

    number: int
    columns: int
    rows: int
    width: Measured
    seams_m: float
    design: Design
    made: Made

    @property
    def metres(self) -> dict[str, float]:
        """Metres of each yarn, by name, for all panels and the seams between them."""
        body = self.design.use["body"]
        drawn = {body: self.seams_m}
        for need in self.made.sizes[0].needs:
            name = need.yarn.name
            drawn[name] = drawn.get(name, 0.0) + self.number * need.metres.value
        return drawn


@dataclass(frozen=True, slots=True)
class Needed:
    """What a size needs that is too wide for its board.

    :param columns: pegs a side that it takes.
    :param board_mm: length of such a board, first peg to last, centre to centre.
    :param panels: how to make it on the board as it is; None where panels do not do it.
    :param words: both in whole sentences.
    """

    size: str
    columns: int
    board_mm: float
    panels: Panels | None
    words: str


def widest_columns(design: Design) -> int | None:
    """The most columns that the design's wrap works on its board; None where it does not."""
    wrap, pegs = design.wrap, design.loom.pegs
    columns = pegs - (pegs - wrap.plus) % wrap.multiple
    try:
        wrap.fits(design.loom, columns)
    except PegwrightError:
        return None
    return columns


def needed(design: Design, size: SizeRequest) -> Needed | None:
    """What a size needs that its board is too short for; None where a longer one is no help."""
    pegs = min(MOST_PEGS, _LONGER * design.loom.pegs)
    longer = replace(design, loom=replace(design.loom, pegs=pegs), sizes=(size,), available_g={})
    try:
        made = prove(longer)
    except PegwrightError:
        return None
    if not made.proved:
        return None
    proved = made.sizes[0]
    columns = max(piece.columns for piece in proved.plan.pieces)
    board_mm = (columns - 1) * design.loom.pitch_mm
    panels = _panels(design, proved)
    return Needed(size.name, columns, board_mm, panels, _words(design, columns, board_mm, panels))


def _words(design: Design, columns: int, board_mm: float, panels: Panels | None) -> str:
    units = design.units
    words = (
        f"In one piece it takes a board of {columns} pegs a side,"
        f" {format_both(board_mm, units)} from the first to the last."
    )
    if panels is None:
        return words
    words = (
        f"{words} On this board: {panels.number} panels of {panels.columns} pegs, each"
        f" {format_both(panels.width.value, units)} wide and {panels.rows} rows long, sewn side by"
        f" side with {format_number(panels.seams_m, 1)} m of yarn."
    )
    if design.garment == PLAIN_STRIP.name:
        return words
    return f"{words} Then make up as the pattern says, through the finished edges."


# --- panels --------------------------------------------------------------------------------------


def _panels(design: Design, whole: ProvedSize) -> Panels | None:
    """The fewest equal panels that make up the size's one wide piece; None where none do."""
    most = widest_columns(design)
    if most is None or len(whole.plan.pieces) != 1 or not _is_straight(design, whole):
        return None
    piece, wrap = whole.plan.pieces[0], design.wrap
    number = -(-piece.columns // most)
    if number > MOST_PANELS:
        return None
    least = max(-(-piece.columns // number), wrap.least)
    columns = least + (wrap.plus - least) % wrap.multiple
    width_mm = piece.width.value / piece.columns * columns
    one = SizeRequest(
        whole.name, whole.plan.wearer, {"width": width_mm, "length": piece.length.value}
    )
    panel = replace(
        design,
        title=f"{design.title}: panel",
        garment=PLAIN_STRIP.name,
        sizes=(one,),
        options={"pegs": columns, "rows": piece.rows},
        use={"body": design.use["body"]},
        available_g={},
    )
    try:
        made = prove(panel)
        if not made.proved or not _joined(made, number):
            return None
    except PegwrightError:
        return None
    seam_m = _seam_mm(made) * (number - 1) / 1000
    width = made.sizes[0].plan.pieces[0].width
    return Panels(number, columns, piece.rows, width, seam_m, panel, made)


def _is_straight(design: Design, whole: ProvedSize) -> bool:
    """Whether the one piece has as many loops as a rectangle of its columns and rows.

    The cast-on is a course more, and a slip loop or a stretch worked to and fro adds a few.
    """
    piece = whole.plan.pieces[0]
    diameters = {name: yarn.wrapped_diameter_mm for name, yarn in design.yarns.items()}
    loops = sum(p.loops for p in drawn(whole.run, diameters).parts if p.piece == piece.name)
    rectangle = design.wrap.boards * piece.columns * (piece.rows + 1)
    return abs(loops / rectangle - 1) < _STRAIGHT


def _seam_mm(panel: Made) -> float:
    piece = panel.sizes[0].plan.pieces[0]
    diameter_mm = panel.design.body_yarn.wrapped_diameter_mm
    return seam_yarn_mm(piece.rows, panel.gauge.course.value, diameter_mm)


def _joined(panel: Made, number: int) -> bool:
    """Whether so many panels, knitted one after the other and sewn together, have no fault."""
    one = panel.sizes[0]
    name = panel.design.use["body"]
    pieces = tuple(PieceSpec(f"panel {i + 1}", panel.design.wrap.cloth) for i in range(number))
    rows = one.plan.pieces[0].rows
    steps: list[Step] = []
    for piece in pieces:
        for step in one.plan.script.steps[:-1]:  # all but the weaving in
            work = _of_piece(step.work, piece.name)
            steps.append(Step(len(steps) + 1, step.key, piece.name, step.part, work))
    for left, right in pairwise(pieces):
        seam = f"seam yarn {right.name}"
        joint = SeamEdges(seam, (left.name, Edge.RIGHT, 1, rows), (right.name, Edge.LEFT, 1, rows))
        take = TakeLength(seam, name, _seam_mm(panel), Part.SEAM)
        sewn = (take, joint, FastenOff(seam))
        steps.append(Step(len(steps) + 1, "seam", left.name, Part.SEAM, sewn))
    for piece in pieces:
        ends = (WeaveIn(piece.name),)
        steps.append(Step(len(steps) + 1, "finish", piece.name, Part.TAILS, ends))
    return execute(Script(panel.design.loom, pieces, tuple(steps), one.name)).proved


def _of_piece(work: Work, piece: str) -> Work:
    """The work of a strip as that of a panel: what names the piece names the panel."""
    return tuple(
        replace(op, piece=piece) if isinstance(op, LiftOff | ThreadCastOn) else op for op in work
    )
