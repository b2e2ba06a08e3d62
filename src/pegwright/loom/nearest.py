"""Whether a board can be built, and the nearest one that can.

Every rule looks at one thing that may be wrong.  Where it is, it says so (:class:`Problem`) and
changes as little as will mend it: pitch, gap and pegs a side settle the knitting and are left as
they are for as long as thinner pegs or other wood will do.  The rules are gone through until none
finds anything, so the board that comes out can be built.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from pegwright.errors import NotPossible
from pegwright.loom.board import MOST_PEGS
from pegwright.loom.spec import LONGEST_MM, BoardSpec, Join, ring_radius_mm

__all__ = ["BoardNotPossible", "Problem", "check_spec", "nearest_spec"]

_SAME_MM = 1e-6
_MOST_ROUNDS = 12
_LEAST_BOLT_MM = 3.0
_LEAST_SEAT_MM = 6.0


@dataclass(frozen=True, slots=True)
class Problem:
    """Why a board cannot be built: what is wrong, what was given, what to do."""

    what: str
    given: str
    mend: str


class BoardNotPossible(NotPossible):
    """A board that cannot be built.

    :ivar problems: everything that stands in the way, the first as the error's own words.
    :ivar nearest: a board that can be built.
    """

    def __init__(self, problems: tuple[Problem, ...], nearest: BoardSpec) -> None:
        first, *rest = problems
        also = "".join(f"; also, {p.what} ({p.given})" for p in rest)
        super().__init__(
            first.what,
            given=first.given,
            hint="; ".join(dict.fromkeys(p.mend for p in problems)) + also,
        )
        self.problems = problems
        self.nearest = nearest


_Answer = tuple[BoardSpec, Problem | None]
_Rule = Callable[[BoardSpec], _Answer]


def check_spec(spec: BoardSpec) -> None:
    """Refuse a board that cannot be built.

    :raises BoardNotPossible: with every problem, and the nearest board.
    """
    nearest, problems = nearest_spec(spec)
    if problems:
        raise BoardNotPossible(problems, nearest)


def nearest_spec(spec: BoardSpec) -> tuple[BoardSpec, tuple[Problem, ...]]:
    """The nearest board that can be built, and what was wrong; the board itself where nothing is.

    :raises NotPossible: where no board is near enough to be found.
    """
    found: list[Problem] = []
    for _ in range(_MOST_ROUNDS):
        before = spec
        for rule in _RULES:
            spec, problem = rule(spec)
            if problem is not None:
                found.append(problem)
        if spec == before:
            return spec, tuple(found)
    raise NotPossible(
        "no board near this one can be built",
        given=found[0].given if found else None,
        hint="start from the usual measures, and change one at a time",
    )


# --- the rules -----------------------------------------------------------------------------------


def _pegs_touch(spec: BoardSpec) -> _Answer:
    space = max(spec.limits.clear_mm, spec.yarn_mm)
    thick = max(spec.peg.diameter_mm, spec.peg.drill_mm)
    need = thick + space
    if spec.pegs == 1 or spec.pitch_mm >= need - _SAME_MM:
        return spec, None
    thinner = _down(spec.pitch_mm - space)
    touch = spec.pitch_mm <= spec.peg.diameter_mm
    what = "the pegs of a row would touch" if touch else "too little room between pegs of a row"
    given = f"pitch {_mm(spec.pitch_mm)}, pegs {_mm(spec.peg.diameter_mm)} thick"
    given += f", yarn {_mm(spec.yarn_mm)}" if spec.yarn_mm > spec.limits.clear_mm else ""
    if thinner >= spec.limits.least_peg_mm:
        mend = f"take pegs of {_mm(thinner)}, or a pitch of at least {_mm(_up(need))}"
        return spec.with_peg(thinner), Problem(what, given, mend)
    pitch = _up(spec.limits.least_peg_mm + space)
    mend = f"take a pitch of at least {_mm(pitch)}, with pegs of {_mm(spec.limits.least_peg_mm)}"
    thin = spec.with_peg(min(spec.peg.diameter_mm, spec.limits.least_peg_mm))
    return replace(thin, pitch_mm=pitch), Problem(what, given, mend)


def _gap_too_narrow(spec: BoardSpec) -> _Answer:
    if not spec.is_double:
        return spec, None
    hole = spec.peg.drill_mm
    for_pegs = spec.peg.diameter_mm + max(spec.limits.clear_mm, spec.yarn_mm)
    for_wood = 2 * (spec.limits.wall_mm + hole / 2)
    need = max(for_pegs, for_wood)
    narrowest = min(spec.gaps_mm)
    if narrowest >= need - _SAME_MM:
        return spec, None
    wide = _up(need)
    if narrowest <= spec.peg.diameter_mm:
        what = "the two rows would touch: the gap is no wider than a peg"
    elif narrowest < for_pegs - _SAME_MM:
        what = "the gap is too narrow for pegs and yarn"
    else:
        what = "the gap leaves too little wood between the holes and the boards' inner edges"
    problem = Problem(
        what,
        f"gap {_mm(narrowest)}, pegs {_mm(spec.peg.diameter_mm)} thick",
        f"set the rows at least {_mm(wide)} apart, centre to centre",
    )
    others = tuple(gap if gap >= need - _SAME_MM else wide for gap in spec.other_gaps_mm)
    own = spec.gap_mm if spec.gap_mm >= need - _SAME_MM else wide
    return replace(spec, gap_mm=own, other_gaps_mm=others), problem


def _inner_edge(spec: BoardSpec) -> _Answer:
    need = spec.limits.wall_mm + spec.peg.drill_mm / 2
    if spec.row_offset_mm >= need - _SAME_MM:
        return spec, None
    # Never past the middle of the gap, which the rule before keeps wide enough.
    offset = min([_up(need), *(gap / 2 for gap in spec.gaps_mm)])
    problem = Problem(
        "the holes lie too near the inner edge",
        f"row {_mm(spec.row_offset_mm)} from the edge, holes {_mm(spec.peg.drill_mm)} wide",
        f"set the row at least {_mm(need)} from the edge",
    )
    return replace(spec, row_offset_mm=max(offset, need)), problem


def _boards_collide(spec: BoardSpec) -> _Answer:
    if not spec.is_double or min(spec.gaps_mm) >= spec.bare_gap_mm - _SAME_MM:
        return spec, None
    narrowest = min(spec.gaps_mm)
    problem = Problem(
        "the boards cannot stand so near: the gap is narrower than with no spacers at all",
        f"gap {_mm(narrowest)}; with no spacers {_mm(spec.bare_gap_mm)}",
        f"set the rows {_mm(narrowest / 2)} from the inner edges",
    )
    return replace(spec, row_offset_mm=narrowest / 2), problem


def _wider_than_stock(spec: BoardSpec) -> _Answer:
    if spec.is_ring or spec.width_mm <= spec.wood.width_mm + _SAME_MM:
        return spec, None
    problem = Problem(
        "the template is wider than the wood",
        f"board {_mm(spec.width_mm)} wide, wood {_mm(spec.wood.width_mm)}",
        f"make the boards {_mm(spec.wood.width_mm)} wide, or take wider wood",
    )
    return replace(spec, board_width_mm=spec.wood.width_mm), problem


def _outer_edge(spec: BoardSpec) -> _Answer:
    hole, wall = spec.peg.drill_mm, spec.limits.wall_mm
    need = spec.row_offset_mm + hole / 2 + wall
    if spec.width_mm >= need - _SAME_MM:
        return spec, None
    what = "the holes lie too near the outer edge"
    given = f"board {_mm(spec.width_mm)} wide, row {_mm(spec.row_offset_mm)} from the inner edge"
    if spec.is_ring:
        mend = f"make the ring's wood {_mm(_up(need))} wide"
        return replace(spec, board_width_mm=_up(need)), Problem(what, given, mend)
    offset = spec.width_mm - hole / 2 - wall
    if offset >= hole / 2 + wall - _SAME_MM:
        mend = f"set the row {_mm(offset)} from the inner edge, or take wider wood"
        return replace(spec, row_offset_mm=offset), Problem(what, given, mend)
    width = _up(hole + 2 * wall)
    problem = Problem(what, given, f"take wood at least {_mm(width)} wide")
    wood = replace(spec.wood, width_mm=max(width, spec.wood.width_mm))
    return replace(spec, wood=wood, board_width_mm=width, row_offset_mm=width / 2), problem


def _bolt_in_the_wood(spec: BoardSpec) -> _Answer:
    if not _is_bolted(spec):
        return spec, None
    room = spec.wood.thickness_mm - 2 * spec.limits.wall_mm
    if spec.bolt_mm <= room + _SAME_MM:
        return spec, None
    what = "the bolt is too thick for the wood that it runs through"
    given = f"bolt {_mm(spec.bolt_mm)}, wood {_mm(spec.wood.thickness_mm)} thick"
    if room >= _LEAST_BOLT_MM:
        mend = f"take bolts of at most {_mm(_down(room))}, or clamps"
        return replace(spec, bolt_mm=_down(room)), Problem(what, given, mend)
    return replace(spec, join=Join.CLAMP), Problem(what, given, "hold the boards with clamps")


def _ends(spec: BoardSpec) -> _Answer:
    if spec.is_ring:
        return spec, None
    hole, wall = spec.peg.drill_mm, spec.limits.wall_mm
    need, bolt_at = wall + hole / 2, spec.bolt_from_end_mm
    if _is_bolted(spec):
        least = spec.bolt_mm / 2 + wall
        if bolt_at < least - _SAME_MM:
            problem = Problem(
                "the bolt lies too near the end of the board",
                f"{_mm(bolt_at)} from the end, bolt {_mm(spec.bolt_mm)}",
                f"set the bolt at least {_mm(_up(least))} from the end",
            )
            return replace(spec, bolt_from_end_mm=_up(least)), problem
        need = bolt_at + spec.bolt_mm / 2 + wall + hole / 2
    if spec.end_margin_mm >= need - _SAME_MM:
        return spec, None
    beside = f", bolt {_mm(bolt_at)} from it" if _is_bolted(spec) else ""
    problem = Problem(
        "the first peg lies too near the end of the board",
        f"{_mm(spec.end_margin_mm)} from the end{beside}",
        f"leave at least {_mm(_up(need))} from the end to the first peg",
    )
    return replace(spec, end_margin_mm=_up(need)), problem


def _depth(spec: BoardSpec) -> _Answer:
    floor, thick = spec.limits.floor_mm, spec.wood.thickness_mm
    extra = spec.peg.below_seat_mm
    least = max(_LEAST_SEAT_MM, spec.peg.diameter_mm)
    room = thick - floor - extra
    if least <= spec.seat_mm + _SAME_MM and spec.seat_mm <= room + _SAME_MM:
        return spec, None
    given = f"pegs {_mm(spec.seat_mm)} deep, wood {_mm(thick)} thick"
    if room < least - _SAME_MM:
        wood = _up(least + extra + floor)
        problem = Problem(
            "the wood is too thin to hold the pegs", given, f"take wood {_mm(wood)} thick"
        )
        peg = replace(spec.peg, seat_mm=None)
        return replace(spec, peg=peg, wood=replace(spec.wood, thickness_mm=wood)), problem
    if spec.seat_mm > room:
        what, seat = "the holes would go through the wood", _down(max(room, least + 0.1))
        seat = max(min(seat, room), least)
    else:
        what, seat = "the pegs would stand loose: they are not deep enough in the wood", least
    mend = f"set the pegs {_mm(seat)} deep, or take thicker wood"
    return replace(spec, peg=replace(spec.peg, seat_mm=seat)), Problem(what, given, mend)


def _longer_than_stock(spec: BoardSpec) -> _Answer:
    if spec.is_ring or spec.length_mm <= spec.wood.length_mm + _SAME_MM:
        return spec, None
    ends = 2 * spec.end_margin_mm + spec.shift_mm
    room = spec.wood.length_mm - ends
    pegs = math.floor(room / spec.pitch_mm + _SAME_MM) + 1 if room >= 0 else 0
    given = f"{spec.pegs} pegs need {_mm(spec.length_mm)}, the wood is {_mm(spec.wood.length_mm)}"
    what = "the board is longer than the wood"
    if pegs >= 1:
        mend = f"take {pegs} pegs a side, or wood {_mm(_up(spec.length_mm))} long"
        return replace(spec, pegs=pegs), Problem(what, given, mend)
    most = math.floor((LONGEST_MM - ends) / spec.pitch_mm) + 1
    spec = replace(spec, pegs=min(spec.pegs, most))
    wood = replace(spec.wood, length_mm=min(_up(spec.length_mm), LONGEST_MM))
    mend = f"take wood {_mm(wood.length_mm)} long"
    return replace(spec, wood=wood), Problem(what, given, mend)


def _ring(spec: BoardSpec) -> _Answer:
    if not spec.is_ring:
        return spec, None
    least_r = spec.row_offset_mm + spec.limits.ring_hole_mm / 2
    fewest = _pegs_for_radius(spec.pitch_mm, least_r)
    if spec.pegs < fewest <= MOST_PEGS:
        problem = Problem(
            "the ring is so small that no fabric hangs through its middle",
            f"{spec.pegs} pegs, {_mm(spec.pitch_mm)} apart",
            f"take at least {fewest} pegs",
        )
        return replace(spec, pegs=fewest), problem
    sheet = min(spec.wood.width_mm, spec.wood.length_mm)
    if spec.length_mm <= sheet + _SAME_MM:
        return spec, None
    what = "the template is wider than the wood"
    given = f"ring {_mm(spec.length_mm)} across, wood {_mm(sheet)} wide"
    room_r = sheet / 2 - spec.width_mm + spec.row_offset_mm
    most = _most_pegs(spec.pitch_mm, room_r)
    if most >= max(fewest, 3):
        mend = f"take {most} pegs, or wood {_mm(_up(spec.length_mm))} wide"
        return replace(spec, pegs=most), Problem(what, given, mend)
    if spec.length_mm > LONGEST_MM:
        spec = replace(spec, pegs=fewest)
    side = _up(spec.length_mm)
    wood = replace(spec.wood, width_mm=side, length_mm=max(side, spec.wood.length_mm))
    return replace(spec, wood=wood), Problem(what, given, f"take wood {_mm(side)} wide")


def _pegs_for_radius(pitch_mm: float, radius_mm: float) -> int:
    """The fewest pegs, 3 or more, whose circle is no smaller than this."""
    near = max(3, math.floor(2 * math.pi * radius_mm / pitch_mm) - 2)
    while ring_radius_mm(near, pitch_mm) < radius_mm - _SAME_MM:
        near += 1
    return near


def _most_pegs(pitch_mm: float, radius_mm: float) -> int:
    """The most pegs whose circle is no larger than this; below 3 where there are none."""
    if radius_mm <= 0:
        return 0
    near = math.ceil(2 * math.pi * radius_mm / pitch_mm) + 2
    while near >= 3 and ring_radius_mm(near, pitch_mm) > radius_mm + _SAME_MM:
        near -= 1
    return min(near, MOST_PEGS)


_RULES: tuple[_Rule, ...] = (
    _pegs_touch,
    _gap_too_narrow,
    _inner_edge,
    _boards_collide,
    _wider_than_stock,
    _outer_edge,
    _bolt_in_the_wood,
    _ends,
    _depth,
    _longer_than_stock,
    _ring,
)


def _is_bolted(spec: BoardSpec) -> bool:
    return spec.is_double and spec.join is Join.BOLT


def _up(mm: float) -> float:
    """The next tenth of a millimetre that is not below a length."""
    return math.ceil(mm * 10 - 1e-6) / 10


def _down(mm: float) -> float:
    return math.floor(mm * 10 + 1e-6) / 10


def _mm(mm: float) -> str:
    return f"{round(mm, 2):g} mm"
