"""What a maker asks for when she builds a board: pegs, wood, and how the parts are joined.

Words used here, beside those of :mod:`pegwright.loom.board`:

* the **inner edge** of a board is the one that faces the other board; on a ring it is the inner
  rim, and on a single board the edge nearest the maker;
* the **row offset** is the way from the inner edge to the row of pegs, centre of the pegs;
* the **end margin** is the way from a board's end to the first peg's centre;
* the **seat** is the part of a peg that stands in the wood;
* the **kerf** is the width of wood that a saw turns to dust.

Lengths are millimetres.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from enum import StrEnum

from pegwright.errors import BadInput, Place
from pegwright.loom.board import MOST_PEGS, Arrangement, Loom
from pegwright.units import require_positive, require_zero_or_more

__all__ = [
    "LONGEST_MM",
    "BoardSpec",
    "Join",
    "Limits",
    "PegKind",
    "PegStock",
    "Wood",
    "ring_radius_mm",
]

LONGEST_MM = 10_000.0
"""Longest length taken anywhere in a plan: ten metres."""

_SEAT_DIAMETERS = 2.5  # usual depth of a peg in the wood, in its diameters
_SEAT_LEAST_MM = 10.0
_GLUE_ROOM_MM = 1.0  # below a dowel, for glue and air
_NAIL_HOLE = 0.8  # of the nail's diameter
_NAIL_DEPTH = 2 / 3  # of the seat: the nail cuts the rest itself
_SCREW_HOLE = 0.7


class PegKind(StrEnum):
    """What the pegs are."""

    DOWEL = "dowel"  # glued into a hole of its own diameter
    NAIL = "nail"  # driven into a narrower hole
    SCREW_IN = "screw-in"  # a peg with a thread at its foot


class Join(StrEnum):
    """What holds two boards together over their spacers."""

    BOLT = "bolt"  # one at each end, through both boards from edge to edge
    CLAMP = "clamp"  # one at each end, round both boards


@dataclass(frozen=True, slots=True)
class Limits:
    """How near is too near, in mm.  All are common practice, no source.

    :param wall_mm: wood between a hole's rim and an edge.
    :param clear_mm: clear space between two pegs, and wood between two holes.
    :param floor_mm: wood under a hole that does not go through.
    :param least_peg_mm: the thinnest peg that stands up to wool.
    :param ring_hole_mm: the open middle of a ring, through which the fabric hangs.
    """

    wall_mm: float = 3.0
    clear_mm: float = 1.5
    floor_mm: float = 3.0
    least_peg_mm: float = 1.5
    ring_hole_mm: float = 30.0

    def __post_init__(self) -> None:
        for name in ("wall_mm", "clear_mm", "floor_mm", "least_peg_mm", "ring_hole_mm"):
            _checked(getattr(self, name), name)


@dataclass(frozen=True, slots=True)
class PegStock:
    """The pegs.

    Where hole and seat are left out, common practice is followed (no source): a dowel's hole is as
    wide as the dowel, a nail's 0.8 and a screw-in peg's 0.7 of its diameter; the seat is 2.5
    diameters, to the half millimetre, and at least 10 mm, as far as the wood allows.

    :param diameter_mm: where the yarn lies.
    :param height_mm: above the board.
    :param seat_mm: in the wood.
    :param hole_mm: diameter of the drill; no more than half a millimetre above the peg's.
    :param material: in the maker's words, such as ``birch``.
    :param rod_mm: length of the rods that dowels are cut from.
    """

    kind: PegKind = PegKind.DOWEL
    diameter_mm: float = 4.7625
    height_mm: float = 25.4
    seat_mm: float | None = None
    hole_mm: float | None = None
    material: str = ""
    rod_mm: float = 914.4

    def __post_init__(self) -> None:
        for name in ("diameter_mm", "height_mm", "rod_mm"):
            _checked(getattr(self, name), f"peg.{name}")
        for name in ("seat_mm", "hole_mm"):
            if getattr(self, name) is not None:
                _checked(getattr(self, name), f"peg.{name}")
        if self.hole_mm is not None and self.hole_mm > self.diameter_mm + 0.5:
            raise BadInput(
                "the hole is too wide for the peg: it would stand loose",
                given=f"hole {self.hole_mm:g} mm, peg {self.diameter_mm:g} mm",
                hint="drill a piece of waste wood and try a peg in it; leave the hole out for the"
                " usual one",
                place=Place(field="peg.hole_mm"),
            )

    @property
    def drill_mm(self) -> float:
        """Diameter of the hole."""
        if self.hole_mm is not None:
            return self.hole_mm
        part = {PegKind.DOWEL: 1.0, PegKind.NAIL: _NAIL_HOLE, PegKind.SCREW_IN: _SCREW_HOLE}
        return self.diameter_mm * part[self.kind]

    @property
    def below_seat_mm(self) -> float:
        """How much deeper than the seat a hole is drilled."""
        return _GLUE_ROOM_MM if self.kind is PegKind.DOWEL else 0.0


@dataclass(frozen=True, slots=True)
class Wood:
    """One length of wood as it is bought, and the saw that cuts it."""

    thickness_mm: float = 19.05
    width_mm: float = 38.1
    length_mm: float = 2438.4
    kerf_mm: float = 3.175
    name: str = "hardwood"

    def __post_init__(self) -> None:
        for name in ("thickness_mm", "width_mm", "length_mm"):
            _checked(getattr(self, name), f"wood.{name}")
        require_zero_or_more(self.kerf_mm, "wood.kerf_mm")
        if self.kerf_mm > 20:
            raise BadInput(
                "no saw for this takes so wide a cut",
                given=f"kerf {self.kerf_mm:g} mm",
                hint="a handsaw takes about 1 mm, a circular saw 2 to 3.5 mm",
                place=Place(field="wood.kerf_mm"),
            )


@dataclass(frozen=True, slots=True)
class BoardSpec:
    """A board as it is asked for; whether it can be built is told by ``pegwright.loom.nearest``.

    :param pegs: pegs a side (in the whole ring for a ring).
    :param gap_mm: row to row, centre to centre; 0 for single boards and rings.
    :param other_gaps_mm: more gaps to have spacers for.
    :param board_width_mm: width of each board (of the wood of a ring); where it is left out, the
        wood's own width, or for a ring three times the row offset.
    :param bolt_mm: diameter of the bolts.
    :param bolt_from_end_mm: from a board's end to the middle of the bolt.
    :param spacers_mm: thicknesses that spacers are made of.
    :param yarn_mm: thickness of the yarn, which must pass between pegs; 0 where none is known.
    """

    arrangement: Arrangement = Arrangement.OPPOSED
    pegs: int = 44
    pitch_mm: float = 11.1125
    gap_mm: float = 25.4
    peg: PegStock = field(default_factory=PegStock)
    wood: Wood = field(default_factory=Wood)
    row_offset_mm: float = 9.525
    end_margin_mm: float = 38.1
    board_width_mm: float | None = None
    other_gaps_mm: tuple[float, ...] = ()
    join: Join = Join.BOLT
    bolt_mm: float = 6.35
    bolt_from_end_mm: float = 19.05
    spacers_mm: tuple[float, ...] = (6.35, 3.175)
    yarn_mm: float = 0.0
    name: str = "board"
    limits: Limits = field(default_factory=Limits)

    def __post_init__(self) -> None:
        least = 3 if self.arrangement is Arrangement.RING else 1
        if isinstance(self.pegs, bool) or not least <= self.pegs <= MOST_PEGS:
            raise BadInput(
                f"a row has between {least} and {MOST_PEGS} pegs",
                given=self.pegs,
                hint="count the pegs of one board, not both together",
                place=Place(field="pegs"),
            )
        lengths = ("pitch_mm", "row_offset_mm", "end_margin_mm", "bolt_mm", "bolt_from_end_mm")
        for name in lengths:
            _checked(getattr(self, name), name)
        if self.board_width_mm is not None:
            _checked(self.board_width_mm, "board_width_mm")
        require_zero_or_more(self.yarn_mm, "yarn_mm")
        if self.is_double:
            for gap in self.gaps_mm:
                _checked(gap, "gap_mm")
            for thickness in self.spacers_mm:
                _checked(thickness, "spacers_mm")

    @property
    def is_double(self) -> bool:
        """Whether two boards face each other."""
        return self.arrangement in (Arrangement.OPPOSED, Arrangement.OFFSET)

    @property
    def is_ring(self) -> bool:
        """Whether the pegs stand in a ring."""
        return self.arrangement is Arrangement.RING

    @property
    def gaps_mm(self) -> tuple[float, ...]:
        """Every gap wanted, the board's own first; none on a single row."""
        return (self.gap_mm, *self.other_gaps_mm) if self.is_double else ()

    @property
    def width_mm(self) -> float:
        """Width of each board, or of the ring's wood from rim to rim."""
        if self.board_width_mm is not None:
            return self.board_width_mm
        return 3 * self.row_offset_mm if self.is_ring else self.wood.width_mm

    @property
    def shift_mm(self) -> float:
        """How far the back row stands to the right of the front one."""
        return self.pitch_mm / 2 if self.arrangement is Arrangement.OFFSET else 0.0

    @property
    def length_mm(self) -> float:
        """Length of each board; of a ring, the whole way across."""
        if self.is_ring:
            return 2 * self.outer_radius_mm
        return 2 * self.end_margin_mm + (self.pegs - 1) * self.pitch_mm + self.shift_mm

    @property
    def inner_radius_mm(self) -> float:
        """Radius of a ring's inner rim; below zero where the pegs stand too close for one."""
        return ring_radius_mm(self.pegs, self.pitch_mm) - self.row_offset_mm

    @property
    def outer_radius_mm(self) -> float:
        """Radius of a ring's outer rim."""
        return self.inner_radius_mm + self.width_mm

    @property
    def seat_mm(self) -> float:
        """How deep a peg stands in the wood."""
        if self.peg.seat_mm is not None:
            return self.peg.seat_mm
        usual = max(round(_SEAT_DIAMETERS * self.peg.diameter_mm * 2) / 2, _SEAT_LEAST_MM)
        room = self.wood.thickness_mm - self.limits.floor_mm - self.peg.below_seat_mm
        return max(min(usual, room), 0.1)

    @property
    def depth_mm(self) -> float:
        """How deep each hole is drilled, from the board's top."""
        if self.peg.kind is PegKind.NAIL:
            return self.seat_mm * _NAIL_DEPTH
        return self.seat_mm + self.peg.below_seat_mm

    @property
    def bare_gap_mm(self) -> float:
        """The gap with no spacers in: both boards' inner edges together."""
        return 2 * self.row_offset_mm

    def loom(self) -> Loom:
        """The loom that it becomes.

        :raises BadInput: for a board that cannot be; see ``pegwright.loom.nearest``.
        """
        return Loom(
            self.arrangement,
            self.pegs,
            self.pitch_mm,
            self.gap_mm if self.is_double else 0.0,
            self.peg.diameter_mm,
            self.peg.height_mm,
            self.name,
        )

    def with_peg(self, diameter_mm: float) -> BoardSpec:
        """The same board with pegs of another diameter, and the usual hole for them."""
        return replace(self, peg=replace(self.peg, diameter_mm=diameter_mm, hole_mm=None))


def ring_radius_mm(pegs: int, pitch_mm: float) -> float:
    """Radius of the circle on which neighbouring pegs stand a pitch apart, straight across."""
    return pitch_mm / (2 * math.sin(math.pi / pegs))


def _checked(value: float, name: str) -> None:
    require_positive(value, name, hint="measure it again, and write it with its unit")
    if value > LONGEST_MM:
        raise BadInput(
            f"{name} is longer than any board",
            given=f"{value:g} mm",
            hint=f"give at most {LONGEST_MM:g} mm",
            place=Place(field=name),
        )
