"""The taut path: closed forms, an independent minimisation, and what must not change."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import NonlinearConstraint, minimize
from shapely import MultiPoint
from shapely.geometry.polygon import orient

from pegwright.errors import BadInput, NotPossible, PegwrightError
from pegwright.loom.board import Arrangement, Loom
from pegwright.loom.taut import (
    Arc,
    Circles,
    Line,
    TautPath,
    circles_at,
    circles_for,
    taut_path,
)
from pegwright.loom.visit import Turn, Visit

L, R = Turn.LEFT, Turn.RIGHT
Round = tuple[float, float, float, int]  # x, y, r, turn


def circles(rounds: Sequence[Round], encircled: Sequence[bool] | None = None) -> Circles:
    x, y, r, turn = np.array(rounds, dtype=float).T
    return Circles(x, y, r, turn, np.array(encircled or [False] * len(rounds)))


def path(rounds: Sequence[Round], closed: bool = False) -> TautPath:
    return taut_path(circles(rounds), closed)


@st.composite
def wraps(
    draw: st.DrawFn, most: int = 12, encircling: bool = True, thickest: float = 9.0
) -> Circles:
    """Any visits to the pegs of a double board, no peg twice in a row in opposite senses."""
    loom = Loom(
        draw(st.sampled_from([Arrangement.OPPOSED, Arrangement.OFFSET])),
        pegs=6,
        pitch_mm=draw(st.floats(9, 20)),
        gap_mm=draw(st.floats(9, 60)),
        peg_diameter_mm=draw(st.floats(2, thickest * 2 / 3)),
    )
    pegs = draw(st.lists(st.integers(0, 11), min_size=2, max_size=most))
    visits: list[Visit] = []
    for peg in pegs:
        if not visits or visits[-1].peg != peg:
            circled = encircling and draw(st.booleans())
            visits.append(Visit(peg, draw(st.sampled_from([L, R])), circled))
    return circles_for(loom, visits, draw(st.floats(0.5, thickest / 3)))


# --- closed forms --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("big", "small", "apart"),
    [
        (5.0, 5.0, 30.0),  # equal
        (5.0, 2.0, 30.0),
        (12.0, 1.0, 14.0),  # nearly touching
        (3.0, 0.0, 10.0),  # a pin
        (9.0, 2.0, 8.0),  # overlapping, which an open belt may
    ],
)
@pytest.mark.parametrize("turn", [L, R])
def test_open_belt(big: float, small: float, apart: float, turn: Turn) -> None:
    # Textbook belt formula, closed form from geometry.
    lean = math.asin((big - small) / apart)
    want = (
        2 * math.sqrt(apart**2 - (big - small) ** 2)
        + math.pi * (big + small)
        + 2 * (big - small) * lean
    )
    belt = path([(0, 0, big, turn), (apart, 0, small, turn)], closed=True)
    assert belt.length_mm == pytest.approx(want, rel=1e-13)
    assert belt.arc == pytest.approx([math.pi + 2 * lean, math.pi - 2 * lean], rel=1e-12)


@pytest.mark.parametrize(
    ("big", "small", "apart"),
    [
        (5.0, 5.0, 30.0),
        (5.0, 2.0, 30.0),
        (12.0, 1.0, 13.5),
        (3.0, 0.0, 10.0),
        (3.0, 1.0, 4.0001),  # nearly touching
    ],
)
def test_crossed_belt(big: float, small: float, apart: float) -> None:
    # Textbook belt formula, closed form from geometry.
    lean = math.asin((big + small) / apart)
    want = 2 * math.sqrt(apart**2 - (big + small) ** 2) + (big + small) * (math.pi + 2 * lean)
    belt = path([(0, 0, big, L), (apart, 0, small, R)], closed=True)
    assert belt.length_mm == pytest.approx(want, rel=1e-12)


def test_belt_round_three_equal_circles() -> None:
    # Textbook belt formula, closed form from geometry: three sides and one whole round.
    r, side = 2.5, 11.0
    high = side * math.sqrt(3) / 2
    belt = path([(0, 0, r, L), (side, 0, r, L), (side / 2, high, r, L)], closed=True)
    assert belt.length_mm == pytest.approx(3 * side + 2 * math.pi * r, rel=1e-13)
    assert belt.arc == pytest.approx([2 * math.pi / 3] * 3, rel=1e-12)


@pytest.mark.parametrize("turn", [L, R])
@pytest.mark.parametrize("shift", [0.0, 1e-13, -1e-13])  # rounding either side of a whole round
def test_encircled_pegs_of_one_row_take_a_whole_round_each(turn: Turn, shift: float) -> None:
    # Closed form: yarn that goes straight on along the row after each whole round.
    r, pitch, n = 3.0, 12.0, 9
    row = [(i * pitch, shift * (i % 2), r, turn) for i in range(n)]
    got = taut_path(circles(row, [True] * n))
    assert got.length_mm == pytest.approx((n - 1) * pitch + (n - 2) * 2 * math.pi * r, rel=1e-12)
    assert got.arc[1:-1] == pytest.approx([2 * math.pi] * (n - 2))
    plain = taut_path(circles(row))
    assert plain.length_mm == pytest.approx((n - 1) * pitch, rel=1e-12)


def test_an_encircled_half_turn_stays_a_half_turn() -> None:
    # There and back: the arc on the far peg is exactly pi, the lower end of its range.
    for bend in (0.0, 1e-12, -1e-12):
        row = [(0.0, 0.0, 1.0, L), (10.0, 0.0, 1.0, L), (0.0, bend, 1.0, L)]
        assert taut_path(circles(row, [True] * 3)).arc[1] == pytest.approx(math.pi)


def test_drawn_is_told_visit_by_visit() -> None:
    r = 2.0
    square: list[Round] = [(0, 0, r, L), (10, 0, r, L), (10, 10, r, L), (0, 10, r, L)]
    quarter = math.pi / 2 * r
    assert path(square).drawn_mm == pytest.approx([0, 10, quarter + 10, quarter + 10])
    assert path(square, closed=True).drawn_mm == pytest.approx([quarter + 10] * 4)
    assert path(square).arc == pytest.approx([0, math.pi / 2, math.pi / 2, 0])


def test_tangent_points_of_a_square() -> None:
    square: list[Round] = [(0, 0, 2, L), (10, 0, 2, L), (10, 10, 2, L), (0, 10, 2, L)]
    got = path(square)
    assert got.start_mm == pytest.approx(np.array([[0, -2], [0, -2], [12, 0], [10, 12]]))
    assert got.end_mm == pytest.approx(np.array([[0, -2], [10, -2], [12, 10], [0, 12]]))


# --- the same peg again --------------------------------------------------------------------------

ROUND = 2 * math.pi * 3


@pytest.mark.parametrize(
    ("rounds", "closed", "want"),
    [
        ([(0, 0, 3, L)], False, [0]),  # a touch
        ([(0, 0, 3, L)], True, [ROUND]),
        ([(0, 0, 3, L)] * 3, False, [0, ROUND, ROUND]),
        ([(0, 0, 3, L)] * 3, True, [ROUND] * 3),
        ([(0, 0, 3, R)] * 2 + [(9, 0, 3, R)], False, [0, ROUND, 9]),  # at the start
        ([(0, 0, 3, R)] + [(9, 0, 3, R)] * 3, False, [0, 9, ROUND, ROUND]),  # at the end
        ([(0, 0, 3, L), (9, 0, 3, L), (9, 0, 3, L), (9, 9, 3, L)], False,
         [0, 9, ROUND, ROUND / 4 + 9]),  # in the middle
        ([(0, 0, 3, L), (9, 0, 3, L), (0, 0, 3, L)], True, [ROUND, ROUND / 2 + 9, ROUND / 2 + 9]),
    ],
)  # fmt: skip
def test_the_same_peg_again_is_one_more_full_round(
    rounds: list[Round], closed: bool, want: list[float]
) -> None:
    got = path(rounds, closed)
    assert got.drawn_mm == pytest.approx(want)
    assert got.length_mm == pytest.approx(sum(want))
    _check_unbroken(got)


@pytest.mark.parametrize("radius", [3.0, 0.0])
def test_the_same_peg_cannot_turn_the_yarn_back(radius: float) -> None:
    with pytest.raises(NotPossible, match="cannot turn back on the same peg") as caught:
        path([(0, 0, radius, L), (9, 0, radius, L), (9, 0, radius, R)])
    assert caught.value.hint is not None
    assert "full round" in caught.value.hint
    with pytest.raises(NotPossible):
        path([(9, 0, radius, L), (0, 0, radius, L), (9, 0, radius, R)], closed=True)
    path([(9, 0, radius, L), (0, 0, radius, L), (9, 0, radius, R)])  # open, the ends never meet


# --- refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rounds", "words"),
    [
        ([(0, 0, 3, L), (5.9, 0, 3, R)], "crossing between"),
        ([(0, 0, 5, R), (2, 0, 1, R)], "passing along"),  # one within the other
        ([(0, 0, 5, R), (0, 0, 1, R)], "passing along"),  # one centre, two radii
    ],
)
def test_circles_that_overlap_are_refused(rounds: list[Round], words: str) -> None:
    with pytest.raises(NotPossible, match=words):
        path(rounds)


def test_circles_that_just_touch_are_not_refused() -> None:
    assert path([(0, 0, 3, L), (6, 0, 3, R)]).length_mm == pytest.approx(0, abs=1e-6)
    assert path([(0, 0, 5, L), (4, 0, 1, L)]).length_mm == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(
    "change",
    [
        {"x": [0.0, math.nan]},
        {"y": [math.inf, 0.0]},
        {"x": [0.0, 1e300]},
        {"r": [1.0, -1.0]},
        {"r": [1.0, math.nan]},
        {"turn": [1, 0]},
        {"turn": [1, math.nan]},
        {"x": [0.0]},
        {"x": [[0.0, 9.0]]},
        {"x": ["left", "right"]},
        {"x": [], "y": [], "r": [], "turn": [], "encircled": []},
    ],
)
def test_arrays_that_are_no_circles_are_refused(change: dict[str, list[float]]) -> None:
    good = {
        "x": [0.0, 9.0],
        "y": [0.0, 0.0],
        "r": [1.0, 1.0],
        "turn": [1, -1],
        "encircled": [False, False],
    }
    Circles(**good)  # type: ignore[arg-type]
    with pytest.raises(BadInput):
        Circles(**(good | change))  # type: ignore[arg-type]


def test_circles_cannot_be_changed_afterwards() -> None:
    x = np.array([0.0, 9.0])
    made = Circles(x, np.zeros(2), np.ones(2), np.ones(2), np.zeros(2, bool))
    x[0] = 5.0
    assert made.x[0] == 0.0
    with pytest.raises(ValueError, match="read-only"):
        made.x[0] = 5.0


BOARD = Loom(Arrangement.OPPOSED, 5, pitch_mm=10.0, gap_mm=30.0, peg_diameter_mm=4.0)


def test_circles_of_a_loom() -> None:
    made = circles_for(BOARD, [Visit(BOARD.peg("F2"), L), Visit(BOARD.peg("B5"), R, True)], 2.0)
    assert made.x.tolist() == [10.0, 40.0]
    assert made.y.tolist() == [0.0, 30.0]
    assert made.r.tolist() == [3.0, 3.0]  # half of peg and yarn together
    assert made.turn.tolist() == [1.0, -1.0]
    assert made.encircled.tolist() == [False, True]


@pytest.mark.parametrize(
    ("loom", "yarn", "fits"),
    [
        (BOARD, 6.0, True),  # exactly the clear space of the pitch
        (BOARD, 6.1, False),
        (Loom(Arrangement.OPPOSED, 5, 10.0, 9.0), 5.0, True),  # exactly that of the gap
        (Loom(Arrangement.OPPOSED, 5, 10.0, 9.0), 5.1, False),
        (Loom(Arrangement.SINGLE, 1, 5.0), 8.0, True),  # one peg has no neighbour
        (Loom(Arrangement.RING, 8, 10.0), 6.1, False),
    ],
)
def test_yarn_must_pass_between_the_pegs(loom: Loom, yarn: float, fits: bool) -> None:
    visits = [Visit(0, L)]
    if fits:
        assert len(circles_for(loom, visits, yarn)) == 1
    else:
        with pytest.raises(BadInput, match="yarn thicker than the clear space between pegs"):
            circles_for(loom, visits, yarn)


@pytest.mark.parametrize("yarn", [0.0, -1.0, math.nan, math.inf])
def test_yarn_of_no_diameter_is_refused(yarn: float) -> None:
    with pytest.raises(BadInput):
        circles_for(BOARD, [Visit(0, L)], yarn)


def test_a_loom_names_the_peg_that_is_wrong() -> None:
    with pytest.raises(BadInput, match="no such peg"):
        circles_for(BOARD, [Visit(10, L)], 2.0)
    with pytest.raises(BadInput, match="no such peg"):
        circles_at(BOARD, [-1], [1], [False], 2.0)
    with pytest.raises(NotPossible) as caught:
        circles_for(BOARD, [Visit(0, L), Visit(BOARD.peg("B3"), L), Visit(BOARD.peg("B3"), R)], 2.0)
    assert caught.value.given == "visits 2 and 3, both at B3, in opposite senses"
    with pytest.raises(PegwrightError):
        circles_for(BOARD, [], 2.0)


# --- an independent way to the same length -------------------------------------------------------


def _shortest(c: Circles) -> float:
    """Least length of straight runs and arcs over all points of contact, found by scipy.

    Variables are, for each run, the angles at which it leaves one circle and lands on the next;
    the only constraints are that the run enters neither circle.  Runs start from near the line of
    centres.  Arcs are wrapped into their range at the end.
    """
    n = len(c)
    centre = np.column_stack((c.x, c.y))
    step = np.diff(centre, axis=0)
    facing = np.arctan2(step[:, 1], step[:, 0])

    def points(v: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        leave, land = v[: n - 1], v[n - 1 :]
        outward = np.column_stack((np.cos(leave), np.sin(leave)))
        inward = np.column_stack((np.cos(land), np.sin(land)))
        return centre[:-1] + c.r[:-1, None] * outward, centre[1:] + c.r[1:, None] * inward

    def length(v: NDArray[np.float64]) -> float:
        p, q = points(v)
        arcs = c.turn[:-1] * c.r[:-1] * v[: n - 1] - c.turn[1:] * c.r[1:] * v[n - 1 :]
        return float(np.hypot(*(q - p).T).sum() + arcs.sum())

    def clear(v: NDArray[np.float64]) -> NDArray[np.float64]:
        p, q = points(v)
        away = ((q - p) * (p - centre[:-1])).sum(axis=1)
        toward = ((p - q) * (q - centre[1:])).sum(axis=1)
        return np.concatenate((away, toward))

    got = minimize(
        length,
        np.concatenate((facing - 0.2 * c.turn[:-1], facing + np.pi + 0.2 * c.turn[1:])),
        method="SLSQP",
        constraints=NonlinearConstraint(clear, 0, np.inf),
        options={"ftol": 1e-13, "maxiter": 1000},
    )
    p, q = points(got.x)
    total = float(np.hypot(*(q - p).T).sum())
    for i in range(1, n - 1):
        sweep = (c.turn[i] * (got.x[i] - got.x[n - 1 + i - 1])) % (2 * math.pi)
        if sweep > 2 * math.pi - 1e-4 and not c.encircled[i]:
            sweep -= 2 * math.pi
        if c.encircled[i] and sweep < math.pi - 1e-4:
            sweep += 2 * math.pi
        total += sweep * c.r[i]
    return total


@settings(max_examples=25)
@given(wraps(most=6, thickest=6.0))
def test_no_shorter_way_is_found_by_minimising(wrap: Circles) -> None:
    assume(len(wrap) > 1)
    # The ends are pins, so that there is no arc on them to be reckoned.
    r = wrap.r.copy()
    r[[0, -1]] = 0.0
    c = Circles(wrap.x, wrap.y, r, wrap.turn, wrap.encircled)
    assert taut_path(c).length_mm == pytest.approx(_shortest(c), rel=2e-5)


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=3, max_size=12, unique=True
    ),
    st.floats(0.01, 5.0),
)
def test_all_left_round_a_hull_is_the_rim_of_the_grown_hull(
    points: list[tuple[int, int]], r: float
) -> None:
    hull = MultiPoint(points).convex_hull
    if hull.geom_type != "Polygon":
        return  # all in one line
    corners = list(orient(hull).exterior.coords)[:-1]  # type: ignore[arg-type, unused-ignore]
    got = path([(x, y, r, L) for x, y in corners], closed=True).length_mm
    # shapely grows with a polygon of 4 × 512 corners, whose rim is shorter by less than 1e-6.
    assert got == pytest.approx(hull.buffer(r, quad_segs=512).length, rel=2e-6)


# --- what must not change ------------------------------------------------------------------------


def _moved(c: Circles, z: NDArray[Any], turn: float = 1.0, scale: float = 1.0) -> Circles:
    return Circles(z.real, z.imag, c.r * scale, c.turn * turn, c.encircled)


@given(wraps(), st.booleans(), st.floats(0, 6.3), st.floats(0.2, 5.0))
def test_mirror_rotation_scale_and_reversal(
    c: Circles, closed: bool, angle: float, scale: float
) -> None:
    # Where the ends meet on one peg, a full round is added and belongs to one of the two visits.
    assume(not closed or (c.x[0], c.y[0]) != (c.x[-1], c.y[-1]))
    one = taut_path(c, closed)
    z = c.x + 1j * c.y
    mirrored = taut_path(_moved(c, z.conj(), turn=-1.0), closed)
    turned = taut_path(_moved(c, z * np.exp(1j * angle) + (70 - 20j)), closed)
    larger = taut_path(_moved(c, z * scale, scale=scale), closed)
    assert mirrored.drawn_mm == pytest.approx(one.drawn_mm)
    assert turned.drawn_mm == pytest.approx(one.drawn_mm)
    assert larger.drawn_mm == pytest.approx(one.drawn_mm * scale)
    back = Circles(c.x[::-1], c.y[::-1], c.r[::-1], -c.turn[::-1], c.encircled[::-1])
    reverse = taut_path(back, closed)
    assert reverse.length_mm == pytest.approx(one.length_mm)
    assert reverse.arc[::-1] == pytest.approx(one.arc, abs=1e-8)


@given(wraps())
def test_arcs_lie_in_their_range(c: Circles) -> None:
    got = taut_path(c)
    inner, circled = got.arc[1:-1], c.encircled[1:-1]
    assert (inner[~circled] >= 0).all()
    assert (inner[~circled] < 2 * math.pi).all()
    assert (inner[circled] >= math.pi).all()
    assert (inner[circled] < 3 * math.pi).all()
    assert got.arc[0] == got.arc[-1] == got.drawn_mm[0] == 0.0


@given(wraps(encircling=False))
def test_a_closed_path_begins_anywhere(c: Circles) -> None:
    try:
        one = taut_path(c, closed=True)
    except NotPossible:
        return
    rolled = Circles(
        np.roll(c.x, 1), np.roll(c.y, 1), np.roll(c.r, 1), np.roll(c.turn, 1), c.encircled
    )
    assert taut_path(rolled, closed=True).drawn_mm == pytest.approx(np.roll(one.drawn_mm, 1))


# --- segments and points -------------------------------------------------------------------------


def _ends(piece: Line | Arc) -> tuple[complex, complex, complex, complex]:
    """Start, end, and the directions at both."""
    if isinstance(piece, Line):
        a, b = complex(piece.x0, piece.y0), complex(piece.x1, piece.y1)
        d = (b - a) / abs(b - a)
        return a, b, d, d
    centre, sense = complex(piece.cx, piece.cy), math.copysign(1.0, piece.sweep)
    first, last = (np.exp(1j * a) for a in (piece.start, piece.start + piece.sweep))
    return (
        centre + piece.r * first,
        centre + piece.r * last,
        1j * sense * first,
        1j * sense * last,
    )


def _check_unbroken(got: TautPath) -> None:
    pieces = list(got.segments())
    length = sum(
        math.hypot(p.x1 - p.x0, p.y1 - p.y0) if isinstance(p, Line) else abs(p.sweep) * p.r
        for p in pieces
    )
    assert length == pytest.approx(got.length_mm, abs=1e-9)
    ends = [_ends(p) for p in pieces]
    joints = list(pairwise(ends))
    if got.closed and ends:
        joints.append((ends[-1], ends[0]))
    for before, after in joints:
        assert abs(before[1] - after[0]) < 1e-7  # no break
        assert abs(before[3] - after[2]) < 1e-5  # no kink: the yarn is taut


@given(wraps(), st.booleans())
def test_segments_are_unbroken_and_smooth(c: Circles, closed: bool) -> None:
    try:
        got = taut_path(c, closed)
    except NotPossible:
        return
    _check_unbroken(got)


@given(wraps(), st.floats(0.3, 40.0))
def test_points_follow_the_yarn(c: Circles, step: float) -> None:
    got = taut_path(c)
    points = got.polyline(step)
    apart = np.hypot(*np.diff(points, axis=0).T)
    assert (apart <= step * (1 + 1e-9)).all()
    assert apart.sum() <= got.length_mm * (1 + 1e-9)
    assert points[0] == pytest.approx(got.end_mm[0])
    assert points[-1] == pytest.approx(got.end_mm[-1])
    fine = got.polyline(0.05)
    assert np.hypot(*np.diff(fine, axis=0).T).sum() == pytest.approx(got.length_mm, rel=1e-4)


@given(wraps())
def test_every_straight_run_touches_both_circles_on_the_right_side(c: Circles) -> None:
    got = taut_path(c)
    for i in range(1, len(c)):
        run = got.end_mm[i] - got.start_mm[i]
        if np.hypot(*run) < 1e-3:
            continue  # too short to tell its direction
        for j, point in ((i - 1, got.start_mm[i]), (i, got.end_mm[i])):
            to_centre = np.array([c.x[j], c.y[j]]) - point
            left = (run[0] * to_centre[1] - run[1] * to_centre[0]) / np.hypot(*run)
            assert left == pytest.approx(c.turn[j] * c.r[j], abs=1e-6)
            assert np.hypot(*to_centre) == pytest.approx(c.r[j], abs=1e-9)


def test_points_of_a_closed_path_end_where_they_begin() -> None:
    got = path([(0, 0, 2, L), (10, 0, 2, R), (5, 9, 2, L)], closed=True)
    points = got.polyline(0.1)
    assert points[0] == pytest.approx(points[-1])
    assert np.hypot(*np.diff(points, axis=0).T).sum() == pytest.approx(got.length_mm, rel=1e-3)


@pytest.mark.parametrize("step", [0.0, -1.0, math.nan, math.inf, 1e-9])
def test_steps_that_give_no_points_are_refused(step: float) -> None:
    with pytest.raises(BadInput):
        path([(0, 0, 2, L), (10, 0, 2, L)]).polyline(step)


def test_a_radius_of_nothing_is_a_pin() -> None:
    got = path([(0, 0, 0, L), (3, 4, 0, R), (3, 0, 0, L)])
    assert got.length_mm == 9.0
    assert list(got.segments()) == [
        Line(0, 0, 3, 4),
        Line(3, 4, 3, 0),
    ]


def test_a_blanket_is_quick() -> None:
    # 640,000 loops, a large blanket: well under a third of a second of work.
    n = 640_000
    loom = Loom(Arrangement.OPPOSED, 100, pitch_mm=12.0, gap_mm=32.0)
    pegs = np.tile(np.arange(200), n // 200)
    turns = np.where(np.arange(n) % 3 == 0, 1, -1)
    made = circles_at(loom, pegs, turns, np.arange(n) % 5 == 0, 2.0)
    took = []
    for _ in range(4):
        begun = time.process_time()
        got = taut_path(made)
        took.append(time.process_time() - begun)
    assert got.drawn_mm.shape == (n,)
    assert min(took) < 0.3
