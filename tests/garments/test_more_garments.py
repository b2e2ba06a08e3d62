"""Every further garment: it proves, grows with its measures, and measures what its shapes do."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from pegwright.errors import NotPossible
from pegwright.garments.base import Plan, Wearer
from pegwright.garments.cowl import OVER_HEAD
from pegwright.garments.make_up import Outline
from pegwright.garments.registry import garment, garments, takes_stripes
from pegwright.garments.ribbed_scarf import fringe_yarn_mm
from pegwright.garments.slipper import toe_mm
from pegwright.garments.strip import TAIL_MM
from pegwright.knitting.drawn import drawn
from pegwright.knitting.operations import Edge, Part, SeamEdges, TakeLength
from pegwright.knitting.run import Run, execute
from pegwright.knitting.script import flatten
from pegwright.knitting.stripes import Stripe, stripes_of
from pegwright.knitting.unravel import holds_together
from pegwright.knitting.wraps import Wrap
from tests.garments.more_cases import (
    DOUBLE,
    LONG,
    NEW,
    RING,
    ROW,
    SHORT,
    USUAL,
    WRAPS,
    YARN,
    brief,
    cases,
    plan,
)

STOCKINETTE = "double-board stockinette"


def proved(made: Plan) -> Run:
    run = execute(made.script)
    assert run.findings == ()
    return run


def polygon(outline: Outline) -> Polygon:
    return Polygon(outline.points)


def seams(made: Plan, piece: str) -> list[SeamEdges]:
    return [
        o
        for s in made.script.steps
        for o in flatten(s.work)
        if isinstance(o, SeamEdges) and o.one[0] == piece
    ]


# --- every garment -------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NEW)
@settings(max_examples=30)
@given(data=st.data())
def test_whatever_can_be_planned_proves(name: str, data: st.DataObject) -> None:
    """Any measurements within bounds: a script without a fault, or a refusal with what to try."""
    case = data.draw(cases(name))
    refused: NotPossible | None = None
    try:
        assert execute(case.plan().script).findings == ()
    except NotPossible as problem:
        refused = problem
    if refused is not None:
        assert refused.hint
        assert refused.given


@pytest.mark.parametrize("wrap", WRAPS, ids=lambda w: w.name)
@pytest.mark.parametrize("name", NEW)
def test_each_proves_and_holds_in_every_wrap(name: str, wrap: Wrap) -> None:
    looms = (LONG,) if wrap.boards == 2 else (ROW, RING)
    for loom in looms:
        options = {"closing": "drawn"} if name == "pouch" and wrap.boards == 1 else {}
        run = proved(plan(name, wrap, loom=loom, **options))
        assert holds_together(run.fabric.arrays())


@pytest.mark.parametrize("name", NEW)
@settings(max_examples=25)
@given(data=st.data())
def test_a_larger_measure_never_gives_fewer_pegs_or_rows(name: str, data: st.DataObject) -> None:
    measures = dict(USUAL[name])
    grown = data.draw(st.sampled_from(sorted(measures)))
    more_mm = data.draw(st.floats(0.0, 80.0))
    small = plan(name, measures=measures)
    large = plan(name, measures=measures | {grown: measures[grown] + more_mm})
    for one, other in zip(small.pieces, large.pieces, strict=True):
        assert other.columns >= one.columns
        assert other.rows >= one.rows
    for what, length in small.finished.items():
        if what == grown:
            assert large.finished[what].value >= length.value


@pytest.mark.parametrize("name", NEW)
def test_finished_measures_are_within_half_a_stitch_or_row_of_the_wanted(name: str) -> None:
    """Where a measure and a finished measurement share a name and there is no ease."""
    no_ease = {"ease_part": 0} if name in ("headband", "mitt", "slipper") else {}
    made = plan(name, STOCKINETTE, **no_ease)
    for what in made.finished.keys() & USUAL[name].keys():
        assert made.finished[what].value == pytest.approx(USUAL[name][what], abs=9.0 / 2 + 6.5)


@pytest.mark.parametrize("name", [n for n in NEW if n != "ribbed-scarf"])
def test_the_flat_outline_is_the_piece(name: str) -> None:
    made = plan(name)
    assert made.make_up is not None
    (flat,) = made.make_up.stages[0].outlines
    piece = made.pieces[0]
    shape = polygon(flat)
    assert shape.area == pytest.approx(piece.width.value * piece.length.value)
    assert shape.length == pytest.approx(2 * (piece.width.value + piece.length.value))


@pytest.mark.parametrize("name", [n for n in NEW if n != "ribbed-scarf"])
@pytest.mark.parametrize("join", ["first", "last"])
def test_no_stage_shows_more_cloth_than_there_is(name: str, join: str) -> None:
    """Folded in two layers a piece covers half of its cloth; gathered it covers less."""
    options: dict[str, object] = {}
    for option in garment(name).options:
        if option.choices:
            options[option.name] = option.choices[0 if join == "first" else -1]
    made = plan(name, STOCKINETTE, **options)
    assert made.make_up is not None
    cloth = made.pieces[0].width.value * made.pieces[0].length.value
    for number, stage in enumerate(made.make_up.stages):
        for outline in stage.outlines:
            shape = polygon(outline)
            assert shape.is_valid
            assert shape.exterior.is_ccw
            assert shape.area == pytest.approx(outline.area_mm2)
            layers = 1 if number == 0 else 2
            assert layers * shape.area <= cloth * (1 + 1e-9)
            if number == 1:
                assert 2 * shape.area == pytest.approx(cloth)


@pytest.mark.parametrize("name", NEW)
def test_a_board_too_short_says_what_would_fit(name: str) -> None:
    with pytest.raises(NotPossible) as caught:
        plan(name, loom=SHORT, measures={k: 3 * v for k, v in USUAL[name].items()})
    assert "12" in str(caught.value)
    assert "would fit" in str(caught.value)


@pytest.mark.parametrize("name", NEW)
@pytest.mark.parametrize("wrap", ["two-peg cord", "three-peg cord"])
def test_a_cord_makes_no_flat_piece(name: str, wrap: str) -> None:
    with pytest.raises(NotPossible, match="knits a cord"):
        plan(name, wrap, loom=LONG if wrap.startswith("two") else ROW)


@pytest.mark.parametrize("name", NEW)
def test_pegs_and_rows_can_be_asked_for(name: str) -> None:
    made = plan(name, pegs=22, rows=64)
    assert (made.pieces[0].columns, made.pieces[0].rows) == (22, 64)
    proved(made)


def test_every_shipped_garment_is_registered() -> None:
    assert set(USUAL) | {"plain-strip"} <= set(garments())


@pytest.mark.parametrize("name", NEW)
def test_what_the_body_measures_has_a_finished_measurement(name: str) -> None:
    made = plan(name)
    assert made.body.keys() <= made.finished.keys()


# --- rings ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["cowl", "headband"])
def test_a_ring_is_as_round_either_way_it_is_joined(name: str) -> None:
    ends, side = plan(name, join="ends"), plan(name, join="side")
    for what in ("round", "height"):
        assert ends.finished[what].value == pytest.approx(side.finished[what].value, abs=9.0)
    assert ends.pieces[0].length == ends.finished["round"]
    assert side.pieces[0].width == side.finished["round"]


def test_a_cowl_goes_over_the_head_that_is_given() -> None:
    without = plan("cowl", ease=0.0)
    with_head = plan("cowl", ease=0.0, measures={**USUAL["cowl"], "head": 600.0})
    assert without.finished["round"].value < OVER_HEAD * 600.0
    assert with_head.finished["round"].value >= OVER_HEAD * 600.0 - 6.5 / 2


@given(per_cent=st.integers(-30, 20))
def test_a_headband_is_smaller_than_the_head_by_its_ease(per_cent: int) -> None:
    made = plan("headband", ease_part=per_cent)
    wanted = USUAL["headband"]["head"] * (1 + per_cent / 100)
    assert made.finished["round"].value == pytest.approx(wanted, abs=6.5 / 2)


def test_a_ring_joined_at_its_ends_has_no_seam_along_its_sides() -> None:
    assert seams(plan("cowl"), "strip") == []
    (seam,) = seams(plan("cowl", join="side"), "strip")
    assert {seam.one[1], seam.other[1]} == {Edge.LEFT, Edge.RIGHT}


# --- the scarf -----------------------------------------------------------------------------------


def test_rib_is_the_scarf_s_usual_wrap() -> None:
    assert garment("ribbed-scarf").wraps[0] == "double-board rib 1 by 1"


def trim_mm(made: Plan) -> float:
    takes = (o for s in made.script.steps for o in flatten(s.work) if isinstance(o, TakeLength))
    return sum(o.yarn_mm for o in takes if o.part is Part.TRIM)


def test_a_fringe_is_counted_by_hand() -> None:
    """20 stitches, a knot every 2: 10 knots an end; 3 strands a knot: 60 strands of 2 × 80 mm and
    what the knot takes."""
    made = plan("ribbed-scarf", pegs=20, fringe=80.0, fringe_strands=3, fringe_every=2)
    assert made.facts["fringe_pieces"] == 60
    knot_mm = fringe_yarn_mm(0.0, YARN.wrapped_diameter_mm)
    assert trim_mm(made) == pytest.approx(60 * (160.0 + knot_mm))
    run = proved(made)
    trim = [
        p for p in drawn(run, {YARN.name: YARN.wrapped_diameter_mm}).parts if p.part is Part.TRIM
    ]
    assert [p.beside_mm for p in trim] == [pytest.approx(60 * (160.0 + knot_mm))]


def test_a_scarf_without_a_fringe_takes_no_trim() -> None:
    made = plan("ribbed-scarf")
    assert trim_mm(made) == 0.0
    assert Part.TRIM not in made.parts
    assert "fringe" not in made.finished


@given(every=st.integers(1, 20), columns=st.integers(4, 60))
def test_knots_stand_along_the_whole_edge_and_not_beyond(every: int, columns: int) -> None:
    assume(every < columns)
    made = plan("ribbed-scarf", pegs=columns, fringe=50.0, fringe_every=every)
    reach = (made.facts["fringe_knots"] - 1) * every
    assert reach < columns <= reach + every


def test_knots_further_apart_than_the_scarf_are_refused() -> None:
    with pytest.raises(NotPossible, match="further apart") as caught:
        plan("ribbed-scarf", pegs=8, fringe=50.0, fringe_every=12)
    assert "fringe_every = 2" in str(caught.value)


# --- mitts ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("wrap", DOUBLE, ids=lambda w: w.name)
def test_seams_and_thumb_share_out_every_row(wrap: Wrap) -> None:
    made = plan("mitt", wrap)
    rows = made.pieces[0].rows
    sewn: list[int] = []
    for seam in seams(made, "first mitt"):
        assert seam.one[2:] == seam.other[2:]
        low, high = sorted(seam.one[2:])
        sewn += range(low, high + 1)
    gap = set(range(1, rows + 1)) - set(sewn)
    assert len(sewn) == len(set(sewn))
    assert gap == set(range(int(made.facts["thumb_first"]), int(made.facts["thumb_last"]) + 1))
    assert made.finished["thumb"].value == pytest.approx(6.5 * len(gap))
    assert made.finished["wrist"].value == pytest.approx(6.5 * (min(gap) - 1))


def test_a_thumb_where_it_is_asked_for() -> None:
    measures = {"hand": 190.0, "length": 195.0, "wrist": 65.0, "thumb": 52.0}
    made = plan("mitt", measures=measures)
    assert made.facts["thumb_first"] == 11  # ten rows of 6.5 mm below
    assert made.facts["thumb_rows"] == 8


@pytest.mark.parametrize(
    ("wrist_mm", "thumb_mm", "fits"),
    [
        (169.0, 50.0, "a gap of 1/2 in (2 rows) would fit there"),
        (20.0, 190.0, "a gap of 6 3/8 in (25 rows) would fit there"),
        (195.0, 32.5, "a wrist of 5 7/8 in (23 rows) would fit"),
        (195.0, 190.0, "a length of 8 1/2 in (33 rows) would fit"),
        (5.0, 50.0, "a wrist of 1/2 in (2 rows) would fit"),
    ],
)
def test_a_thumb_beyond_the_mitt_is_refused_with_what_fits(
    wrist_mm: float, thumb_mm: float, fits: str
) -> None:
    measures = {"hand": 190.0, "length": 195.0, "wrist": wrist_mm, "thumb": thumb_mm}
    with pytest.raises(NotPossible, match="does not lie within") as caught:
        plan("mitt", measures=measures)
    assert fits in str(caught.value)


def test_what_is_said_to_fit_does_fit() -> None:
    measures = {"hand": 190.0, "length": 195.0, "wrist": 130.0}
    fits_mm = 8 * 6.5  # 30 rows, 20 below and 2 to be sewn above
    assert plan("mitt", measures={**measures, "thumb": fits_mm}).facts["chains_above"] == 2
    with pytest.raises(NotPossible, match=r"2 in \(8 rows\) would fit"):
        plan("mitt", measures={**measures, "thumb": fits_mm + 6.5})


@pytest.mark.parametrize(("name", "piece"), [("mitt", "mitt"), ("slipper", "slipper")])
def test_both_of_a_pair_are_the_same_and_both_are_counted(name: str, piece: str) -> None:
    made = plan(name)
    run = proved(made)
    first, second = (run.piece(f"{which} {piece}") for which in ("first", "second"))
    assert (first.rows, first.cast_on) == (second.rows, second.cast_on)
    parts = drawn(run, {YARN.name: YARN.wrapped_diameter_mm}).parts
    lengths: dict[str, Counter[tuple[Part, str]]] = {}
    for part in parts:
        sums = lengths.setdefault(part.piece, Counter())
        sums[part.part, "loops"] += part.loops
        sums[part.part, "mm"] += round(part.wrapped_mm + part.beside_mm)
    assert lengths[f"first {piece}"].keys() == lengths[f"second {piece}"].keys()
    for what, length in lengths[f"first {piece}"].items():
        assert lengths[f"second {piece}"][what] == pytest.approx(length, abs=2), what


# --- the pouch -----------------------------------------------------------------------------------


def test_a_pouch_is_sewn_from_the_mouth_to_the_fold_on_both_sides() -> None:
    made = plan("pouch")
    half = made.pieces[0].rows // 2
    assert {s.one[1] for s in seams(made, "strip")} == {Edge.LEFT, Edge.RIGHT}
    for seam in seams(made, "strip"):
        assert seam.one[2:] == (1, half)
        assert seam.other[2:] == (2 * half, half + 1)


def test_a_pouch_is_half_its_strip_high() -> None:
    made = plan("pouch")
    assert made.finished["height"].value == pytest.approx(made.pieces[0].length.value / 2)


def test_the_cord_lets_the_mouth_open_to_its_full_round() -> None:
    made = plan("pouch", cord_ends=150.0)
    assert made.facts["cord_mm"] == pytest.approx(2 * made.pieces[0].width.value + 300.0)


def test_a_mouth_is_drawn_in_to_what_is_asked() -> None:
    measures = {**USUAL["pouch"], "mouth": 200.0}
    assert plan("pouch", closing="drawn", measures=measures).finished["mouth"].value == 200.0
    with pytest.raises(NotPossible, match="more than the pouch is round"):
        plan("pouch", closing="drawn", measures={**measures, "mouth": 500.0})


def test_a_cord_needs_pegs_that_face_each_other_and_columns_to_spare() -> None:
    with pytest.raises(NotPossible, match="face each other") as caught:
        plan("pouch", "e-wrap", loom=ROW)
    assert "drawn" in str(caught.value)
    with pytest.raises(NotPossible, match="too few"):
        plan("pouch", pegs=4)
    proved(plan("pouch", pegs=5))


# --- slippers ------------------------------------------------------------------------------------


def test_a_slipper_is_its_strip_less_the_toe() -> None:
    made = plan("slipper")
    piece = made.pieces[0]
    toe = toe_mm(piece.width.value)
    assert made.finished["length"].value == pytest.approx(piece.length.value - toe)
    assert made.finished["length"].value == pytest.approx(0.92 * 245.0, abs=6.5)


def test_the_toe_takes_half_the_radius_of_a_disc_of_its_round() -> None:
    """A circle 2π long has the radius 1."""
    assert toe_mm(2 * math.pi) == pytest.approx(0.5)


def test_front_and_opening_share_out_the_side() -> None:
    made = plan("slipper")
    whole = made.finished["front"] + made.finished["opening"]
    assert whole.value == pytest.approx(made.pieces[0].length.value)
    (front,) = seams(made, "first slipper")
    assert abs(front.one[2] - front.one[3]) + 1 == made.facts["front_chains"]
    assert front.one[2] == made.pieces[0].rows


def test_a_front_seam_that_shuts_the_slipper_is_refused() -> None:
    with pytest.raises(NotPossible, match="no opening") as caught:
        plan("slipper", measures={**USUAL["slipper"], "front": 240.0})
    assert "would fit" in str(caught.value)


@pytest.mark.parametrize("columns", [20, 21])
def test_the_heel_takes_in_every_cast_on_loop(columns: int) -> None:
    proved(plan("slipper", pegs=columns))


def test_a_negative_ease_makes_it_smaller() -> None:
    loose, snug = plan("slipper", ease_part=0), plan("slipper", ease_part=-20)
    assert snug.finished["round"].value < loose.finished["round"].value
    assert snug.finished["length"].value < loose.finished["length"].value


def test_tails_are_counted_for_every_length_of_yarn_that_is_cut() -> None:
    for name in NEW:
        for step in plan(name).script.steps:
            for operation in flatten(step.work):
                if isinstance(operation, TakeLength):
                    assert operation.yarn_mm > 2 * TAIL_MM or operation.part is Part.TRIM


def test_a_child_s_brief_changes_no_count() -> None:
    """Who wears it decides what closes it, never how large it is."""
    for name in NEW:
        options = {"closing": "drawn"} if name == "pouch" else {}
        grown = garment(name).plan(brief(name, **options))  # type: ignore[arg-type]
        child = garment(name).plan(brief(name, wearer=Wearer.CHILD, **options))  # type: ignore[arg-type]
        assert grown.pieces == child.pieces


# --- stripes -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NEW)
def test_each_can_be_striped(name: str) -> None:
    other = replace(YARN, name="Ebb tide worsted")
    asked = brief(name)
    stripes = (Stripe(YARN.name, 12), *(Stripe(other.name, 4), Stripe(YARN.name, 4)) * 4)
    striped = replace(asked, stripes=stripes, yarns={**asked.yarns, "stripe": other})
    made = garment(name).plan(striped)
    proved(made)
    assert takes_stripes(garment(name))
    assert made.pieces[0].rows == 12 + 8 * 4
    assert stripes_of(made.script) == stripes
