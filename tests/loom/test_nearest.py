"""Which boards can be built, what stands in the way of the others, and the nearest that can."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput, ExitCode, NotPossible
from pegwright.loom.board import Arrangement
from pegwright.loom.nearest import BoardNotPossible, check_spec, nearest_spec
from pegwright.loom.plan import plan_board
from pegwright.loom.spec import BoardSpec, Join, Limits, PegKind, PegStock, Wood, ring_radius_mm

GOOD = BoardSpec()
RING = BoardSpec(
    arrangement=Arrangement.RING, pegs=60, pitch_mm=12.0, gap_mm=0.0, wood=Wood(18, 600, 600)
)
SINGLE = BoardSpec(arrangement=Arrangement.SINGLE, pegs=30, gap_mm=0.0)


def peg(diameter_mm: float = 4.7625, seat_mm: float | None = None) -> PegStock:
    return PegStock(diameter_mm=diameter_mm, seat_mm=seat_mm)


@pytest.mark.parametrize(
    "spec", [GOOD, RING, SINGLE, replace(GOOD, arrangement=Arrangement.OFFSET)]
)
def test_a_board_that_can_be_built_stays_as_it_is(spec: BoardSpec) -> None:
    assert nearest_spec(spec) == (spec, ())
    check_spec(spec)


IMPOSSIBLE = [
    # board, the reason, what the hint names
    (replace(GOOD, pitch_mm=4.0), "the pegs of a row would touch", "pegs of 2.5 mm"),
    (replace(GOOD, pitch_mm=5.5), "too little room between pegs", "pitch of at least 6.3 mm"),
    (replace(GOOD, pitch_mm=2.0), "the pegs of a row would touch", "pitch of at least 3 mm"),
    (replace(GOOD, yarn_mm=8.0), "too little room between pegs", "pegs of 3.1 mm"),
    (replace(GOOD, gap_mm=4.0), "the gap is no wider than a peg", "at least 10.8 mm apart"),
    (replace(GOOD, gap_mm=6.0), "too narrow for pegs and yarn", "at least 10.8 mm"),
    (replace(GOOD, gap_mm=8.0), "too little wood between the holes", "at least 10.8 mm"),
    (replace(GOOD, other_gaps_mm=(9.0,)), "too little wood between", "at least 10.8 mm"),
    (replace(GOOD, gap_mm=15.0), "cannot stand so near", "7.5 mm from the inner edges"),
    (replace(GOOD, row_offset_mm=4.0), "too near the inner edge", "at least 5.38 mm"),
    (replace(GOOD, board_width_mm=50.0), "wider than the wood", "38.1 mm wide"),
    (replace(GOOD, board_width_mm=13.0), "too near the outer edge", "7.62 mm from the inner edge"),
    (replace(GOOD, wood=Wood(width_mm=9.0)), "too near the outer edge", "at least 10.8 mm wide"),
    (replace(GOOD, end_margin_mm=20.0), "first peg lies too near the end", "at least 27.7 mm"),
    (replace(GOOD, bolt_from_end_mm=3.0), "the bolt lies too near the end", "at least 6.2 mm"),
    (replace(GOOD, bolt_mm=15.0), "the bolt is too thick", "at most 13 mm"),
    (replace(GOOD, wood=Wood(thickness_mm=8.9)), "too thin to hold the pegs", "10 mm thick"),
    (replace(GOOD, peg=peg(seat_mm=17.0)), "would go through the wood", "15 mm deep"),
    (replace(GOOD, peg=peg(seat_mm=2.0)), "would stand loose", "6 mm deep"),
    (replace(GOOD, pegs=300), "longer than the wood", "take 213 pegs a side"),
    (replace(GOOD, wood=Wood(length_mm=60.0)), "longer than the wood", "554.1 mm long"),
    (replace(RING, wood=Wood(18, 200, 600)), "wider than the wood", "take 42 pegs"),
    (replace(RING, wood=Wood(18, 40, 600)), "wider than the wood", "mm wide"),
    (replace(RING, pegs=4), "no fabric hangs through its middle", "at least 13 pegs"),
    (replace(RING, board_width_mm=11.0), "too near the outer edge", "15 mm wide"),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "reason", "hint"), IMPOSSIBLE)
def test_a_board_that_cannot_be_built(spec: BoardSpec, reason: str, hint: str) -> None:
    with pytest.raises(NotPossible) as caught:
        plan_board(spec)
    error = caught.value
    assert isinstance(error, BoardNotPossible)
    assert error.exit_code == ExitCode.NOT_POSSIBLE
    assert reason in " ".join(p.what for p in error.problems)
    assert error.given
    assert hint in (error.hint or "")
    assert nearest_spec(error.nearest) == (error.nearest, ())
    plan_board(error.nearest)


def test_the_nearest_changes_only_what_is_wrong() -> None:
    nearest, _ = nearest_spec(replace(GOOD, end_margin_mm=20.0))
    assert replace(nearest, end_margin_mm=GOOD.end_margin_mm) == GOOD
    nearest, _ = nearest_spec(replace(GOOD, gap_mm=15.0))
    assert (nearest.gap_mm, nearest.pitch_mm, nearest.pegs) == (15.0, GOOD.pitch_mm, GOOD.pegs)


def test_a_board_at_the_limit_can_be_built() -> None:
    limits = Limits()
    d = 4.0
    spec = BoardSpec(
        pegs=10,
        pitch_mm=d + limits.clear_mm,
        gap_mm=2 * (limits.wall_mm + d / 2),
        row_offset_mm=limits.wall_mm + d / 2,
        board_width_mm=2 * limits.wall_mm + d,
        end_margin_mm=limits.wall_mm + d / 2,
        join=Join.CLAMP,
        peg=peg(diameter_mm=d),
    )
    check_spec(spec)
    for worse in ({"pitch_mm": 5.49}, {"gap_mm": 9.99}, {"end_margin_mm": 4.99}):
        assert nearest_spec(replace(spec, **worse))[1], worse  # type: ignore[arg-type]


def test_several_problems_are_all_told() -> None:
    with pytest.raises(BoardNotPossible) as caught:
        check_spec(replace(GOOD, pitch_mm=4.0, gap_mm=4.0, pegs=900))
    assert len(caught.value.problems) >= 3
    assert "also" in (caught.value.hint or "")


lengths = st.floats(0.5, 300.0)


@given(
    spec=st.builds(
        BoardSpec,
        arrangement=st.sampled_from(Arrangement),
        pegs=st.integers(3, 400),
        pitch_mm=st.floats(0.5, 60.0),
        gap_mm=lengths,
        other_gaps_mm=st.lists(lengths, max_size=2).map(tuple),
        peg=st.builds(
            PegStock,
            kind=st.sampled_from(PegKind),
            diameter_mm=st.floats(0.5, 30.0),
            seat_mm=st.none() | st.floats(0.5, 60.0),
        ),
        wood=st.builds(
            Wood, thickness_mm=st.floats(1.0, 60.0), width_mm=lengths, length_mm=st.floats(5, 3000)
        ),
        row_offset_mm=st.floats(0.5, 100.0),
        end_margin_mm=st.floats(0.5, 100.0),
        board_width_mm=st.none() | lengths,
        bolt_mm=st.floats(0.5, 30.0),
        bolt_from_end_mm=st.floats(0.5, 60.0),
        join=st.sampled_from(Join),
        yarn_mm=st.floats(0.0, 12.0),
    )
)
def test_the_nearest_board_can_always_be_built(spec: BoardSpec) -> None:
    nearest, problems = nearest_spec(spec)
    assert nearest_spec(nearest) == (nearest, ())
    if problems:
        assert nearest != spec
        assert all(p.what and p.given and p.mend for p in problems)
    plan = plan_board(nearest)
    limits, drill = nearest.limits, nearest.peg.drill_mm
    for board in plan.boards:
        assert board.length_mm <= nearest.wood.length_mm + 1e-3
        assert board.width_mm <= nearest.wood.width_mm + 1e-3
        for hole in board.holes:
            assert hole.depth_mm <= board.thickness_mm - limits.floor_mm + 1e-3
            if not nearest.is_ring:
                assert min(hole.x_mm, board.length_mm - hole.x_mm) >= drill / 2 + 2.99
                assert min(hole.y_mm, board.width_mm - hole.y_mm) >= drill / 2 + 2.99


# --- values that no board has --------------------------------------------------------------------


@pytest.mark.parametrize(
    "make",
    [
        lambda: BoardSpec(pegs=0),
        lambda: BoardSpec(pegs=3000),
        lambda: BoardSpec(arrangement=Arrangement.RING, pegs=2),
        lambda: BoardSpec(pitch_mm=float("nan")),
        lambda: BoardSpec(pitch_mm=-1.0),
        lambda: BoardSpec(gap_mm=0.0),
        lambda: BoardSpec(end_margin_mm=20_000.0),
        lambda: PegStock(diameter_mm=0.0),
        lambda: PegStock(diameter_mm=4.0, hole_mm=5.0),
        lambda: Wood(kerf_mm=-0.1),
        lambda: Wood(kerf_mm=40.0),
        lambda: Limits(wall_mm=0.0),
    ],
)
def test_values_that_no_board_has(make: object) -> None:
    with pytest.raises(BadInput):
        make()  # type: ignore[operator]


def test_a_rings_circle_has_its_pitch_straight_across() -> None:
    # A hexagon's side is its circle's radius (Euclid, Elements IV.15).
    assert ring_radius_mm(6, 10.0) == pytest.approx(10.0)
