"""Gathered hats, panel blankets and triangle scarves: counts, proofs, areas and the join order."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import Polygon

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, Garment, OptionValue, Plan, Wearer
from pegwright.garments.gathered_hat import GATHERED_HAT
from pegwright.garments.hat_shape import MOST_STRETCH
from pegwright.garments.panel_blanket import PANEL_BLANKET
from pegwright.garments.triangle_scarf import TRIANGLE_SCARF, rate
from pegwright.gauge.fabric_gauge import Gauge, GaugeSource
from pegwright.knitting.fabric import LoopKind
from pegwright.knitting.operations import Edge, LiftOff, SeamEdges, SeamEnds
from pegwright.knitting.run import Run, execute
from pegwright.knitting.script import flatten
from pegwright.knitting.unravel import holds_together
from pegwright.knitting.wraps import shipped
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured
from pegwright.safety.cautions import cautions_for
from pegwright.sizing.hats import HAT_SIZES
from pegwright.yarn.yarn import Yarn

DOUBLE = (
    "double-board stockinette",
    "double-board rib 1 by 1",
    "double-board rib 2 by 2",
    "figure eight",
)
SINGLE = ("e-wrap", "u-wrap", "flat", "purl")
BOARD = Loom(Arrangement.OPPOSED, 44, 11.1125, 25.4, 4.7625)
ROW = Loom(Arrangement.SINGLE, 80, 11.1125, peg_diameter_mm=4.7625)
RING = Loom(Arrangement.RING, 58, 11.1125, peg_diameter_mm=4.7625)
YARN = Yarn("Slipway worsted", 4, 175.0, invented=True)
GAUGE = Gauge(Measured(9.0, 0.3), Measured(6.5, 0.2), GaugeSource.SWATCH)

PLACES = [(w, BOARD) for w in DOUBLE] + [(w, ROW) for w in SINGLE]


def brief(
    wrap: str, loom: Loom, measures: dict[str, float], **options: OptionValue | None
) -> Brief:
    return Brief(
        "bow",
        Wearer.ADULT,
        measures,
        options,
        loom,
        shipped(wrap),
        GAUGE,
        {"body": YARN},
    )


def proved(garment: Garment, asked: Brief) -> tuple[Plan, Run]:
    """The plan, executed without any finding; nothing is lost when every end is pulled."""
    plan = garment.plan(asked)
    run = execute(plan.script)
    assert run.findings == ()
    assert holds_together(run.fabric.arrays())
    return plan, run


# --- hats ----------------------------------------------------------------------------------------


@settings(max_examples=60)
@given(
    place=st.sampled_from(PLACES),
    head_mm=st.floats(340.0, 640.0),
    crown=st.none() | st.floats(90.0, 220.0),
    brim=st.none() | st.floats(0.0, 80.0),
    fold=st.sampled_from(["single", "turned", "sewn"]),
    worked=st.sampled_from(["as the board allows", "bottom-up", "sideways"]),
)
def test_a_flat_hat_proves_whatever_is_measured(
    place: tuple[str, Loom],
    head_mm: float,
    crown: float | None,
    brim: float | None,
    fold: str,
    worked: str,
) -> None:
    measures = {"head": head_mm} | ({} if crown is None else {"crown": crown})
    asked = brief(*place, measures, brim=brim, fold=fold, worked=worked)
    try:
        plan, run = proved(GATHERED_HAT, asked)
    except NotPossible:
        too_wide = head_mm * 0.92 > place[1].pegs * 9.0 - 9.0
        assert (worked != "sideways" and too_wide) or (worked != "bottom-up" and fold == "sewn")
        return
    step = 9.0 * shipped(place[0]).multiple
    sideways = plan.group.startswith("sideways")
    assert plan.finished["round"].value == pytest.approx(
        head_mm * 0.92, abs=3.25 if sideways else step / 2 + 0.1
    )
    assert run.piece("strip").rows == plan.piece("strip").rows


@settings(max_examples=40)
@given(
    wrap=st.sampled_from(SINGLE),
    pegs=st.integers(36, 70),
    stretch=st.floats(0.97, 1.24),
    brim=st.floats(0.0, 80.0),
    fold=st.sampled_from(["single", "turned", "sewn"]),
)
def test_a_hat_in_the_round_takes_every_peg(
    wrap: str, pegs: int, stretch: float, brim: float, fold: str
) -> None:
    """One loop for every peg and round, and the cast-on with its slip loop."""
    asked = brief(
        wrap, replace(RING, pegs=pegs), {"head": pegs * 9.0 * stretch}, brim=brim, fold=fold
    )
    plan, run = proved(GATHERED_HAT, asked)
    rows = plan.piece("tube").rows
    assert run.fabric.loops == 1 + pegs * (1 + rows)
    assert plan.finished["round"].value == pytest.approx(9.0 * pegs)


def test_a_ring_goes_the_same_way_round() -> None:
    """An e-wrap that is named on a ring is worked in the round, never to and fro."""
    plan, run = proved(GATHERED_HAT, brief("e-wrap", RING, {"head": 570.0}))
    assert len(plan.wrap.courses) == 1
    arrays = run.fabric.arrays()
    for row in (1, 2, 3):
        assert arrays.peg[arrays.row == row].tolist() == list(range(58))


@pytest.mark.parametrize(("pegs", "words"), [(36, "too small"), (90, "too large")])
def test_a_ring_that_misses_the_head_names_one_that_would_do(pegs: int, words: str) -> None:
    """57 cm less 8 % at 9 mm is 58.3 stitches: 58 pegs."""
    with pytest.raises(NotPossible, match=words) as caught:
        GATHERED_HAT.plan(brief("e-wrap", replace(RING, pegs=pegs), {"head": 570.0}))
    assert "a ring of 58 pegs" in str(caught.value.hint)
    proved(GATHERED_HAT, brief("e-wrap", replace(RING, pegs=58), {"head": 570.0}))


def test_the_stretch_is_the_limit_exactly() -> None:
    most = 9.0 * 58 * (1 + MOST_STRETCH)
    proved(GATHERED_HAT, brief("e-wrap", RING, {"head": most - 0.01}))
    with pytest.raises(NotPossible, match="stretch by 25%"):
        GATHERED_HAT.plan(brief("e-wrap", RING, {"head": most + 0.01}))


def test_pegs_that_are_asked_for_must_fit_the_head_as_well() -> None:
    with pytest.raises(NotPossible, match="count makes a hat that is too small"):
        GATHERED_HAT.plan(brief("e-wrap", ROW, {"head": 570.0}, pegs=30))
    with pytest.raises(NotPossible, match="every peg of the ring"):
        GATHERED_HAT.plan(brief("e-wrap", RING, {"head": 570.0}, pegs=50))


@pytest.mark.parametrize("fold", ["turned", "sewn"])
def test_a_folded_brim_doubles_its_rows_and_not_the_hat(fold: str) -> None:
    """Brim 65 mm is 10 rows: 20 are knitted for two layers, and the hat is as deep as before."""
    single = GATHERED_HAT.plan(brief("e-wrap", RING, {"head": 570.0}, brim=65.0))
    double = GATHERED_HAT.plan(brief("e-wrap", RING, {"head": 570.0}, brim=65.0, fold=fold))
    assert double.piece("tube").rows == single.piece("tube").rows + 10
    assert double.finished["depth"] == single.finished["depth"]
    assert double.finished["brim"].value == pytest.approx(65.0)


def test_the_crown_of_a_head_is_the_charts_own_part() -> None:
    """The trade's chart of hat sizes (common practice, no source) has a quarter throughout."""
    for size in HAT_SIZES:
        asked = brief("e-wrap", ROW, {"head": size.round_mm}, brim=0.0)
        depth_mm = GATHERED_HAT.plan(asked).finished["depth"].value
        assert depth_mm == pytest.approx(size.crown_to_brow_mm, abs=6.5)


@given(head_mm=st.floats(400.0, 640.0), more_mm=st.floats(1.0, 60.0))
def test_a_larger_head_never_gets_a_smaller_hat(head_mm: float, more_mm: float) -> None:
    small, large = (
        GATHERED_HAT.plan(brief("e-wrap", ROW, {"head": mm})).finished
        for mm in (head_mm, head_mm + more_mm)
    )
    assert all(large[name].value >= small[name].value for name in small)


def test_a_hat_for_an_infant_is_warned_of_sleep() -> None:
    asked = replace(brief("e-wrap", ROW, {"head": 430.0}), wearer=Wearer.INFANT)
    titles = " ".join(c.title.lower() for c in cautions_for([GATHERED_HAT.plan(asked)]))
    assert "sleep" in titles


# --- blankets ------------------------------------------------------------------------------------


@settings(max_examples=40)
@given(
    place=st.sampled_from([(w, BOARD) for w in DOUBLE] + [("e-wrap", ROW), ("flat", ROW)]),
    width_mm=st.floats(260.0, 2_000.0),
    length_mm=st.floats(260.0, 1_200.0),
    lengths=st.integers(1, 3),
    alike=st.booleans(),
)
def test_a_blanket_of_any_size_proves(
    place: tuple[str, Loom], width_mm: float, length_mm: float, lengths: int, alike: bool
) -> None:
    asked = brief(*place, {"width": width_mm, "length": length_mm}, lengths=lengths, alike=alike)
    plan, run = proved(PANEL_BLANKET, asked)
    wrap = shipped(place[0])
    across = len(plan.pieces) // lengths
    assert all(p.columns <= place[1].pegs for p in plan.pieces)
    assert all((p.columns - wrap.plus) % wrap.multiple == 0 for p in plan.pieces)
    # Alike panels may each be half a multiple off; otherwise only the whole is.
    off = wrap.multiple * 9.0 / 2 * (across if alike else 1)
    assert plan.finished["width"].value == pytest.approx(width_mm, abs=off + 1e-6) or not alike
    assert plan.finished["length"].value == pytest.approx(length_mm, abs=3.25 * lengths + 1e-6)
    rows = plan.pieces[0].rows
    faces = 2 if place[1].is_double else 1
    stitches = sum(p.columns for p in plan.pieces)
    assert run.fabric.loops == len(plan.pieces) + faces * stitches * (rows + 1)
    assert len({p.columns for p in plan.pieces}) == 1 or not alike
    _joins_each_seam_once(plan, across, lengths)


def _joins_each_seam_once(plan: Plan, across: int, along: int) -> None:
    """Each pair of neighbours is joined once, on the edges that meet, after both are made."""
    made: set[str] = set()
    joined: list[tuple[tuple[str, Edge], tuple[str, Edge]]] = []
    for step in plan.script.steps:
        for op in flatten(step.work):
            if isinstance(op, LiftOff):
                made.add(op.piece)
            elif isinstance(op, SeamEdges | SeamEnds):
                assert {op.one[0], op.other[0]} <= made
                joined.append((op.one[:2], op.other[:2]))

    def panel(column: int, place: int) -> str:
        return f"panel {column * along + place + 1}"

    ends = [
        ((panel(c, p), Edge.LIVE), (panel(c, p + 1), Edge.CAST_ON))
        for c in range(across)
        for p in range(along - 1)
    ]
    sides = [
        ((panel(c, p), Edge.RIGHT), (panel(c + 1, p), Edge.LEFT))
        for c in range(across - 1)
        for p in range(along)
    ]
    assert joined == ends + sides  # ends first, then the columns from the left


def test_some_wider_panels_bring_a_blanket_nearer_to_its_width() -> None:
    """120 cm at 9 mm is 133.3 stitches: 3 times 44 is 132, and 44, 44 and 45 are 133."""
    measures = {"width": 1200.0, "length": 300.0}
    alike = PANEL_BLANKET.plan(brief(DOUBLE[0], replace(BOARD, pegs=50), measures))
    mixed = PANEL_BLANKET.plan(brief(DOUBLE[0], replace(BOARD, pegs=50), measures, alike=False))
    assert [p.columns for p in alike.pieces] == [44, 44, 44]
    assert sorted(p.columns for p in mixed.pieces) == [44, 44, 45]


def test_the_panels_are_drawn_as_large_as_they_are() -> None:
    """Figure and finished measurements agree: the panels' areas make the blanket's."""
    asked = brief(DOUBLE[0], BOARD, {"width": 1180.0, "length": 900.0}, lengths=2, alike=False)
    plan = PANEL_BLANKET.plan(asked)
    assert plan.make_up is not None
    apart, whole = plan.make_up.stages
    shapes = [Polygon(o.points) for o in apart.outlines]
    assert len(shapes) == 6
    assert not any(a.intersects(b) for i, a in enumerate(shapes) for b in shapes[:i])
    area = plan.finished["width"].value * plan.finished["length"].value
    assert sum(s.area for s in shapes) == pytest.approx(area)
    assert Polygon(whole.outlines[0].points).area == pytest.approx(area)


def test_panels_that_the_board_cannot_take_are_refused() -> None:
    measures = {"width": 1200.0, "length": 900.0}
    with pytest.raises(NotPossible):
        PANEL_BLANKET.plan(brief(DOUBLE[0], BOARD, measures, panels=2))
    with pytest.raises(NotPossible):
        PANEL_BLANKET.plan(brief(DOUBLE[0], BOARD, measures, pegs=45))
    with pytest.raises(NotPossible, match="at most 60 panels"):
        PANEL_BLANKET.plan(brief(DOUBLE[0], BOARD, measures, panels=20, lengths=4))


def test_ends_of_unlike_panels_are_a_fault() -> None:
    plan = PANEL_BLANKET.plan(
        brief(DOUBLE[0], BOARD, {"width": 1200.0, "length": 900.0}, lengths=2, alike=False)
    )
    wrong = SeamEnds("yarn of seam 1", ("panel 1", Edge.LIVE), ("panel 3", Edge.CAST_ON))
    steps = tuple(
        replace(s, work=tuple(wrong if isinstance(o, SeamEnds) else o for o in s.work))
        if s.key == "panel-end-seam" and "seam 1" in str(s.work)
        else s
        for s in plan.script.steps
    )
    run = execute(replace(plan.script, steps=steps))
    assert [f.name for f in run.findings] == ["seam-uneven"]


def test_a_blanket_for_an_infant_is_cautioned() -> None:
    asked = brief(DOUBLE[0], BOARD, {"width": 700.0, "length": 700.0})
    grown, infant = (
        {c.title for c in cautions_for([PANEL_BLANKET.plan(replace(asked, wearer=w))])}
        for w in (Wearer.ADULT, Wearer.INFANT)
    )
    assert infant - grown


# --- triangles -----------------------------------------------------------------------------------


@settings(max_examples=60)
@given(
    place=st.sampled_from([p for p in PLACES if "2 by 2" not in p[0]]),
    edge_mm=st.floats(200.0, 900.0),
    part=st.floats(0.2, 0.55),
    tip=st.integers(3, 6),
)
def test_a_triangle_proves_and_has_the_loops_of_its_rows(
    place: tuple[str, Loom], edge_mm: float, part: float, tip: int
) -> None:
    assume(part * edge_mm / 9.0 < place[1].pegs)
    assume(part * edge_mm / 9.0 > tip + 1)
    asked = brief(*place, {"edge": edge_mm, "depth": part * edge_mm}, tip=tip)
    plan, run = proved(TRIANGLE_SCARF, asked)
    arrays = run.fabric.arrays()
    faces = 2 if place[1].is_double else 1
    in_row = [int((arrays.row == r).sum()) // faces for r in range(1, plan.pieces[0].rows + 1)]
    deep = plan.pieces[0].columns
    assert in_row[0] == in_row[-1] == tip
    assert max(in_row) == deep == run_columns(plan)
    up = in_row.index(deep)
    assert in_row[: up + 1] == sorted(in_row[: up + 1])
    assert in_row[up:] == sorted(in_row[up:], reverse=True)
    # Its area is that of the rows laid end to end; the outline cuts off the steps at the slant.
    area = sum(in_row) * 9.0 * 6.5
    assert plan.make_up is not None
    drawn = Polygon(plan.make_up.stages[0].outlines[0].points)
    assert drawn.is_valid
    steps = (deep - tip) * 9.0 * 6.5 * max(rate_of(plan)) + 9.0 * deep * 6.5
    assert abs(drawn.area - area) <= steps


def run_columns(plan: Plan) -> int:
    return int(plan.facts["deepest"])


def rate_of(plan: Plan) -> tuple[int, ...]:
    turns = int(plan.facts["turns"])
    return tuple(int(plan.facts[f"turn_{i}"]) for i in range(1, turns + 1))


def test_the_increases_are_raised_loops_and_the_decreases_join_two() -> None:
    """36 stitches more and 36 less on each board: as many loops run through twice, and doubled."""
    plan, run = proved(TRIANGLE_SCARF, brief(DOUBLE[0], BOARD, {"edge": 700.0}))
    arrays = run.fabric.arrays()
    grown = plan.pieces[0].columns - 3
    parents, children = arrays.ties[:, 0], arrays.ties[:, 1]
    assert len(parents) - len(set(parents.tolist())) == 2 * grown
    lower = (arrays.row[parents] < arrays.row[children]) & (arrays.kind[parents] != LoopKind.KNOT)
    twice = Counter(children[lower].tolist())
    assert sum(times == 2 for times in twice.values()) == 2 * grown


def test_the_long_edge_is_a_chain_from_tip_to_tip() -> None:
    """The straight edge may be sewn to anything; the slanted one may not, where it grows."""
    from pegwright.knitting.operations import FastenOff, Part, TakeLength, ThreadEdge

    plan = TRIANGLE_SCARF.plan(brief(DOUBLE[0], BOARD, {"edge": 700.0}))
    rows = plan.pieces[0].rows
    found = {}
    for edge in (Edge.LEFT, Edge.RIGHT):
        *steps, last = plan.script.steps
        through = (
            TakeLength("edge yarn", YARN.name, 900.0, Part.SEAM),
            ThreadEdge("edge yarn", "triangle", edge, 1, rows),
            FastenOff("edge yarn"),
        )
        threaded = replace(last, work=(*through, *last.work))
        run = execute(replace(plan.script, steps=(*steps, threaded)))
        found[edge] = {f.name for f in run.findings}
    assert found == {Edge.LEFT: set(), Edge.RIGHT: {"edge-not-chain"}}


@pytest.mark.parametrize(
    ("rows", "turns"),
    [(1.0, (1,)), (1.5, (1, 2)), (2.0, (2,)), (1.34, (1, 1, 2)), (2.75, (2, 3, 3, 3)), (0.5, (1,))],
)
def test_intervals_by_turns(rows: float, turns: tuple[int, ...]) -> None:
    assert rate(rows) == turns


@given(st.floats(1.0, 30.0))
def test_intervals_are_whole_and_near(rows: float) -> None:
    turns = rate(rows)
    assert all(t >= 1 for t in turns)
    assert max(turns) - min(turns) <= 1
    assert abs(sum(turns) / len(turns) - rows) <= 1 / 8 + 1e-9


def test_what_a_triangle_cannot_be() -> None:
    with pytest.raises(NotPossible, match="needs a multiple"):
        TRIANGLE_SCARF.plan(brief("double-board rib 2 by 2", BOARD, {"edge": 700.0}))
    with pytest.raises(NotPossible, match="too few rows"):
        TRIANGLE_SCARF.plan(brief(DOUBLE[0], BOARD, {"edge": 300.0, "depth": 300.0}))
    with pytest.raises(NotPossible, match="no deeper"):
        TRIANGLE_SCARF.plan(brief(DOUBLE[0], BOARD, {"edge": 700.0}, pegs=8, tip=8))
    with pytest.raises(NotPossible, match="room for 44"):
        TRIANGLE_SCARF.plan(brief(DOUBLE[0], BOARD, {"edge": 1500.0, "depth": 700.0}))


def test_without_a_depth_the_board_is_the_limit_and_the_words_say_so() -> None:
    plan, _ = proved(TRIANGLE_SCARF, brief(DOUBLE[0], BOARD, {"edge": 1500.0}))
    assert plan.pieces[0].columns == 44
    assert "board is too short for half the long edge" in plan.choices[0]
    short, _ = proved(TRIANGLE_SCARF, brief(DOUBLE[0], BOARD, {"edge": 700.0}))
    assert short.pieces[0].columns == 39  # 350 mm at 9 mm is 38.9
    assert "too short" not in short.choices[0]
