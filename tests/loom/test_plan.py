"""Plans of boards: places of the holes, parts, spacers, cutting."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput, NotPossible
from pegwright.knitting.wraps import shipped
from pegwright.loom.board import Arrangement, Loom
from pegwright.loom.cutting import cut_plan
from pegwright.loom.plan import BoardPlan, Part, plan_board, spec_for_wrap
from pegwright.loom.spec import BoardSpec, Join, PegKind, PegStock, Wood
from pegwright.loom.visit import Visit
from pegwright.loom.wrap_test import measure

INCH = 25.4
BOATHOUSE = BoardSpec(name="boathouse board", other_gaps_mm=(1.25 * INCH, 1.5 * INCH))


def part(plan: BoardPlan, name: str) -> Part:
    return next(p for p in plan.parts if p.name == name)


def test_the_boathouse_board() -> None:
    """44 pegs a side, 7/16 in apart, rows 1 in apart; every figure worked out by hand."""
    plan = plan_board(BOATHOUSE)
    front, back = plan.boards
    assert front.length_mm == pytest.approx((2 * 1.5 + 43 * 7 / 16) * INCH)  # 21 13/16 in
    assert front.length_mm == pytest.approx(21.8125 * INCH)
    assert [h.address for h in front.holes][:2] == ["F1", "F2"]
    assert back.holes[-1].address == "B44"
    assert front.holes[0].x_mm == pytest.approx(1.5 * INCH)
    assert front.holes[-1].x_mm == pytest.approx((1.5 + 43 * 7 / 16) * INCH)
    assert {h.y_mm for h in front.holes} == {9.525}
    assert {h.depth_mm for h in front.holes} == {13.0}  # 2.5 diameters, and 1 mm for glue
    assert [s.stack.pieces for s in plan.stacks] == [(6.35,), (6.35, 6.35), (6.35, 6.35, 6.35)]
    assert [s.gap_mm for s in plan.stacks] == pytest.approx([25.4, 31.75, 38.1])
    assert part(plan, "board").count == 2
    assert part(plan, "peg").count == 88
    assert part(plan, "peg").length_mm == pytest.approx(25.4 + 12.0)
    assert part(plan, "spacer").count == 6  # three at each end for the widest gap
    bolt = part(plan, "bolt").length_mm
    assert bolt is not None
    assert 2 * 38.1 + 19.05 < bolt < 2 * 38.1 + 19.05 + 20
    # 24 pegs of 37.4 mm, each with a cut of 1/8 in, come from 36 in: 88 take four rods.
    assert plan.rods is not None
    assert (plan.rods.lengths, plan.wood.lengths) == (4, 1)
    assert plan.loom == BOATHOUSE.loom()


@pytest.mark.parametrize("arrangement", [Arrangement.OPPOSED, Arrangement.OFFSET])
def test_the_back_board_is_the_front_one_turned_half_round(arrangement: Arrangement) -> None:
    front, back = plan_board(replace(BOATHOUSE, arrangement=arrangement)).boards
    turned = sorted(front.length_mm - h.x_mm for h in front.holes)
    assert [h.x_mm for h in back.holes] == pytest.approx(turned)
    shift = 0.0 if arrangement is Arrangement.OPPOSED else BOATHOUSE.pitch_mm / 2
    assert back.holes[0].x_mm - front.holes[0].x_mm == pytest.approx(shift)


def test_boards_put_together_are_the_loom() -> None:
    """Places on both boards, with the spacers between them, give the loom's own distances."""
    plan = plan_board(BOATHOUSE)
    front, back = plan.boards
    between = plan.stacks[0].stack.total_mm
    for i in (0, 20, 43):
        f, b = front.holes[i], back.holes[i]
        across = f.y_mm + between + b.y_mm
        cf, cb = plan.loom.centre(plan.loom.front(i + 1)), plan.loom.centre(plan.loom.back(i + 1))
        assert (b.x_mm - f.x_mm, across) == pytest.approx((cb[0] - cf[0], cb[1] - cf[1]))


def test_the_template_has_the_inner_edge_at_the_top() -> None:
    template = plan_board(BOATHOUSE).template
    assert template.boards == ("front board", "back board")
    assert template.row_y_mm == pytest.approx(38.1 - 9.525)
    assert {h.y_mm for h in template.holes} == {template.row_y_mm}
    assert template.bolts_x_mm == pytest.approx((19.05, template.length_mm - 19.05))
    clamped = plan_board(replace(BOATHOUSE, join=Join.CLAMP))
    assert not clamped.template.bolts_x_mm
    assert part(clamped, "clamp").count == 2


def test_a_single_board_has_its_row_at_the_near_edge() -> None:
    plan = plan_board(BoardSpec(arrangement=Arrangement.SINGLE, pegs=12, gap_mm=0.0))
    assert len(plan.boards) == 1
    assert plan.template.row_y_mm == 9.525
    assert not plan.stacks
    assert {p.name for p in plan.parts} == {"board", "peg"}


def test_a_ring() -> None:
    spec = BoardSpec(
        arrangement=Arrangement.RING, pegs=36, pitch_mm=12, gap_mm=0, wood=Wood(18, 400, 400)
    )
    plan = plan_board(spec)
    template = plan.template
    inner, middle, outer = template.radii_mm
    assert middle == pytest.approx(12 / (2 * math.sin(math.pi / 36)))
    assert (middle - inner, outer - middle) == pytest.approx((9.525, 2 * 9.525))
    cx, cy = template.centre_mm
    for hole in template.holes:
        assert math.hypot(hole.x_mm - cx, hole.y_mm - cy) == pytest.approx(middle)
    assert template.length_mm == template.width_mm == pytest.approx(2 * outer)
    a, b = template.holes[:2]
    assert math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm) == pytest.approx(12)


@pytest.mark.parametrize(
    ("kind", "drill", "depth", "name"),
    [
        (PegKind.DOWEL, 4.0, 11.0, "peg"),  # and 1 mm for glue
        (PegKind.NAIL, 3.2, 10 * 2 / 3, "nail"),
        (PegKind.SCREW_IN, 2.8, 10.0, "screw-in peg"),
    ],
)
def test_holes_follow_the_pegs(kind: PegKind, drill: float, depth: float, name: str) -> None:
    plan = plan_board(replace(BOATHOUSE, peg=PegStock(kind, 4.0, 25.0)))
    hole = plan.boards[0].holes[0]
    assert (hole.diameter_mm, hole.depth_mm) == pytest.approx((drill, depth))
    assert part(plan, name).length_mm == pytest.approx(35.0)
    assert (plan.rods is None) == (kind is not PegKind.DOWEL)


def test_the_gap_of_a_wrap_test() -> None:
    wrap = shipped("double-board stockinette")

    def order(loom: Loom) -> tuple[Visit, ...]:
        return wrap.visits(loom, 1, 15)

    spec = spec_for_wrap(replace(BOATHOUSE, yarn_mm=2.4), order, 45 * INCH)
    found = measure(spec.loom(), order(spec.loom()), 2.4)
    assert found.length_mm == pytest.approx(45 * INCH)
    plan_board(spec)


# --- cutting -------------------------------------------------------------------------------------


def test_cutting_by_hand() -> None:
    plan = cut_plan([500, 500, 300], stock_mm=1000, kerf_mm=3)
    # Two of 500 and the cut between them take 1003 mm: one too many.
    assert [list(lane) for lane in plan.lanes] == [[500.0, 300.0], [500.0]]
    assert plan.lengths == 2
    wide = cut_plan([500, 500, 300], stock_mm=1000, kerf_mm=3, part_width_mm=40, stock_width_mm=90)
    assert (wide.across, wide.lengths) == (2, 1)
    assert wide.shortest_mm == pytest.approx(503 + 303)


@given(
    parts=st.lists(st.floats(1, 900), min_size=1, max_size=40),
    kerf=st.floats(0, 10),
    stock=st.floats(900, 3000),
)
def test_everything_is_cut_and_fits(parts: list[float], kerf: float, stock: float) -> None:
    plan = cut_plan(parts, stock_mm=stock, kerf_mm=kerf)
    assert Counter(p for lane in plan.lanes for p in lane) == Counter(parts)
    for lane in plan.lanes:
        assert sum(lane) + kerf * (len(lane) - 1) <= stock + 1e-3
    assert plan.lengths >= math.ceil(sum(parts) / stock - 1e-9)


@given(count=st.integers(1, 60), length=st.floats(5, 900), kerf=st.floats(0, 10))
def test_equal_parts_need_no_more_than_they_must(count: int, length: float, kerf: float) -> None:
    each = math.floor((1000 + kerf) / (length + kerf) + 1e-9)
    assert cut_plan([length] * count, stock_mm=1000, kerf_mm=kerf).lengths == math.ceil(
        count / each
    )


def test_what_cannot_be_cut() -> None:
    with pytest.raises(NotPossible):
        cut_plan([1001], stock_mm=1000, kerf_mm=3)
    with pytest.raises(NotPossible):
        cut_plan([10], stock_mm=1000, kerf_mm=3, part_width_mm=50, stock_width_mm=40)
    for parts in ([], [0.0], [float("nan")]):
        with pytest.raises(BadInput):
            cut_plan(parts, stock_mm=1000, kerf_mm=3)
