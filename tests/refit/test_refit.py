"""A pattern on another board: the same where nothing changed, and always proved."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pegwright.designs.files import read_any, shipped_designs
from pegwright.designs.model import Design
from pegwright.errors import BadInput
from pegwright.garments.base import Wearer
from pegwright.gauge.fabric_gauge import GaugeSource, Swatch
from pegwright.loom.board import Arrangement, Loom
from pegwright.making import make, prove
from pegwright.measured import Measured
from pegwright.refit.differences import Difference
from pegwright.refit.offers import Way
from pegwright.refit.reader import YOUR_SIZE, OwnWrapTest, Reader, Spacers, wrap_drawn
from pegwright.refit.refit import WHOLE, Refit, refit
from pegwright.yarn.yarn import Yarn


@pytest.fixture(scope="module")
def hood() -> Design:
    return read_any("tern-point-hood")


@pytest.fixture(scope="module")
def scarf() -> Design:
    return read_any("tern-point-scarf")


def pegs_of(result: Refit) -> list[int]:
    assert result.made is not None
    return [size.plan.pieces[0].columns for size in result.made.sizes]


def difference(result: Refit, name: str, size: str = "") -> Difference:
    return next(d for d in result.differences if (d.name, d.size) == (name, size))


def check_proved(result: Refit) -> None:
    """What is given is proved, here once more, and every offer that is made too."""
    if result.design is not None:
        assert result.made is not None
        assert prove(result.design).proved
    else:
        assert result.made is None
        assert not any(offer.possible for offer in result.offers)
    for offer in result.offers:
        if offer.made is not None:
            assert prove(offer.made.design).proved


# --- nothing changed -----------------------------------------------------------------------------


@pytest.mark.parametrize("name", shipped_designs())
def test_a_refit_to_the_same_board_is_the_same(name: str) -> None:
    design = read_any(name)
    result = refit(design, Reader(board=design.loom))
    assert result.as_asked
    assert result.made == prove(design)
    assert all(d.same for d in result.differences)
    assert len(result.differences) > 8
    assert make(result.made.design)[1] == make(design)[1]


@pytest.mark.parametrize("name", [n for n in shipped_designs() if read_any(n).loom.is_double])
def test_a_wrap_test_that_is_the_boards_own_agrees_with_the_board(name: str) -> None:
    """The same board told by its gap and by what it draws."""
    design = read_any(name)
    board = replace(design.loom, gap_mm=30.0)
    told = refit(design, Reader(board=board))
    drawn = wrap_drawn(replace(design, loom=board), 15).length_mm
    tested = refit(design, Reader(wrap_test=OwnWrapTest(15, drawn)))
    assert tested.made is not None
    assert tested.made.design.loom.gap_mm == pytest.approx(30.0, abs=1e-6)
    assert pegs_of(tested) == pegs_of(told)
    for one, other in zip(tested.differences, told.differences, strict=True):
        assert (one.name, one.size) == (other.name, other.size)
        assert one.after == pytest.approx(other.after, rel=1e-6)
        assert one.words == other.words


def test_a_wrap_test_on_a_ring_tells_the_slack() -> None:
    cap = read_any("tern-point-cap")
    assert not cap.loom.is_double
    drawn = wrap_drawn(cap, 12).length_mm
    same = refit(cap, Reader(wrap_test=OwnWrapTest(12, drawn)))
    assert same.design is not None
    assert same.design.slack.value == pytest.approx(cap.slack.value)
    looser = refit(cap, Reader(wrap_test=OwnWrapTest(12, 1.05 * drawn)))
    assert looser.design is not None
    assert looser.design.slack.value == pytest.approx(1.05 * cap.slack.value)
    assert looser.design.loom == cap.loom


# --- another board -------------------------------------------------------------------------------


@settings(max_examples=12)
@given(gap_mm=st.floats(18.0, 40.0), wider_mm=st.floats(3.0, 12.0))
def test_a_larger_gap_gives_fewer_pegs_and_never_more(
    hood: Design, gap_mm: float, wider_mm: float
) -> None:
    longer = replace(hood.loom, pegs=80)
    narrow = refit(hood, Reader(board=replace(longer, gap_mm=gap_mm)))
    wide = refit(hood, Reader(board=replace(longer, gap_mm=gap_mm + wider_mm)))
    for result in (narrow, wide):
        assert result.as_asked
        check_proved(result)
    assert all(a > b for a, b in zip(pegs_of(narrow), pegs_of(wide), strict=True))


def test_the_finished_size_is_kept_where_the_board_differs(hood: Design) -> None:
    result = refit(hood, Reader(board=replace(hood.loom, gap_mm=33.0)))
    assert result.made is not None
    stitch = result.made.gauge.wale.value
    for size in hood.sizes:
        depth = difference(result, "finished depth", size.name)
        assert depth.after == pytest.approx(depth.before, abs=stitch + prove_wale(hood))
        assert "9 in 10 come out from" in depth.words
    said = " ".join(result.advice)
    assert "does not suit the pattern as it stands" in said
    assert "Or keep the pattern's own numbers. Set the rows 1 in (2.5 cm) apart" in said
    assert "No swatch stands behind these sizes" in said


def prove_wale(design: Design) -> float:
    return prove(design).gauge.wale.value


def test_a_wrap_test_on_a_known_board_tells_the_slack(hood: Design) -> None:
    drawn = wrap_drawn(hood, 15).length_mm
    result = refit(hood, Reader(board=hood.loom, wrap_test=OwnWrapTest(15, 1.1 * drawn)))
    assert result.design is not None
    assert result.design.slack.value == pytest.approx(1.1)
    assert pegs_of(result) < [28, 29, 30]
    assert difference(result, "yarn in a loop").after == pytest.approx(
        1.1 * (difference(result, "yarn in a loop").before or 0)
    )


def test_her_own_yarn_takes_the_place_of_the_bodys(hood: Design) -> None:
    yarn = Yarn("Fairlead double", 5, 100.0, colour="rust", invented=True)
    result = refit(hood, Reader(yarn=yarn))
    assert result.made is not None
    assert [n.yarn for n in result.made.sizes[0].needs] == [yarn]
    grams = difference(result, "weight", "cox")
    assert grams.after is not None
    assert grams.after > 1.4 * (grams.before or 0)
    check_proved(result)


def test_a_yarn_of_a_name_that_is_taken_is_refused(hood: Design) -> None:
    other = replace_yarns(hood)
    with pytest.raises(BadInput, match="another yarn of the design has this name"):
        refit(other, Reader(yarn=Yarn("edge", 4, 170.0)))


def replace_yarns(design: Design) -> Design:
    return replace(design, yarns={**design.yarns, "edge": Yarn("edge", 4, 200.0)})


# --- her own head --------------------------------------------------------------------------------


def test_her_own_head_is_a_size_beside_the_nearest(hood: Design) -> None:
    result = refit(hood, Reader(measures={"head": 605.0}))
    assert result.made is not None
    assert [s.name for s in result.made.sizes] == [YOUR_SIZE]
    coach = next(s for s in result.before.sizes if s.name == "coach")
    assert difference(result, "strip pegs", YOUR_SIZE).before == coach.plan.pieces[0].columns
    assert "as coach is" in " ".join(result.advice)


def test_a_childs_measures_get_no_cord(hood: Design) -> None:
    result = refit(hood, Reader(measures={"head": 520.0}, wearer=Wearer.CHILD))
    assert result.made is not None
    assert [f.name for f in result.made.findings] == ["cord-refused"]


@pytest.mark.parametrize(
    ("measures", "words"),
    [
        ({"neck": 380.0}, "“head” is missing"),
        ({"head": 57.0}, "this cannot be “head”"),  # centimetres taken for millimetres
    ],
)
def test_a_slip_in_the_measures_is_an_error_and_no_result(
    hood: Design, measures: dict[str, float], words: str
) -> None:
    with pytest.raises(BadInput, match=words):
        refit(hood, Reader(measures=measures))


def test_a_wrap_test_of_no_length_is_an_error(hood: Design) -> None:
    with pytest.raises(BadInput, match="above zero"):
        refit(hood, Reader(wrap_test=OwnWrapTest(15, 0.0)))


# --- swatches and sureness -----------------------------------------------------------------------


def test_swatches_are_carried_with_a_wider_interval(scarf: Design) -> None:
    before = prove(scarf).gauge
    near = refit(scarf, Reader(board=replace(scarf.loom, gap_mm=27.0)))
    far = refit(scarf, Reader(board=replace(scarf.loom, gap_mm=40.0)))
    assert near.made is not None
    assert far.made is not None
    spread = [before.wale.relative, near.made.gauge.wale.relative, far.made.gauge.wale.relative]
    assert spread == sorted(spread)
    assert spread[0] < spread[1] < spread[2]
    assert "carried over" in " ".join(near.advice)


def test_a_hairs_breadth_of_gap_does_not_make_the_gauge_jump(scarf: Design) -> None:
    result = refit(scarf, Reader(board=replace(scarf.loom, gap_mm=scarf.loom.gap_mm + 0.001)))
    assert result.made is not None
    before = prove(scarf).gauge
    assert result.made.gauge.wale.value == pytest.approx(before.wale.value, rel=1e-3)
    assert result.made.gauge.wale.sd == pytest.approx(before.wale.sd, rel=1e-2)


def test_her_own_swatch_outweighs_what_is_carried(scarf: Design) -> None:
    own = Swatch(20, Measured(160.0, 1.0), 30, Measured(150.0, 1.0))
    result = refit(scarf, Reader(board=replace(scarf.loom, gap_mm=30.0), swatches=(own,)))
    assert result.made is not None
    assert result.made.gauge.source is GaugeSource.BOTH
    assert result.made.gauge.wale.value == pytest.approx(8.0, rel=0.02)


# --- what cannot be, and the nearest that can ----------------------------------------------------

SINGLE = Loom(Arrangement.SINGLE, 40, 11.0, 0.0, 4.0, name="rail")


@pytest.mark.parametrize(
    ("name", "board", "way", "reason"),
    [
        # a narrow gap: at the pattern's own gap every size fits on 30 pegs
        ("tern-point-hood", {"pegs": 30, "gap_mm": 16.0}, Way.GAP, "there is room for 30"),
        # one or two pegs too few
        ("tern-point-hood", {"pegs": 28}, Way.NARROWER, "there is room for 28"),
        # far too short: so narrow a hood is none
        ("tern-point-hood", {"pegs": 10}, Way.PANELS, "there is room for 10"),
        ("tern-point-scarf", {"pegs": 10}, Way.PANELS, "there is room for 10"),
    ],
)
def test_the_nearest_is_found_in_order(
    name: str, board: dict[str, float], way: Way, reason: str
) -> None:
    design = read_any(name)
    result = refit(design, Reader(board=replace(design.loom, **board)))  # type: ignore[arg-type]
    assert result.way is way
    assert result.refused
    for each in result.refused:
        assert reason in str(each.error)
    assert [o.way for o in result.offers] == [
        Way.GAP, Way.NARROWER, Way.PANELS, Way.SIZE, Way.WRAP
    ]  # fmt: skip
    assert all(o.words for o in result.offers)
    check_proved(result)
    best = next(o for o in result.offers if o.possible)
    assert best.way is way
    assert best.made == result.made


def test_another_size_is_offered_where_some_fit(hood: Design) -> None:
    result = refit(hood, Reader(board=replace(hood.loom, pegs=28)))
    sizes = next(o for o in result.offers if o.way is Way.SIZE)
    assert sizes.made is not None
    assert [s.name for s in sizes.made.sizes] == ["cox"]


def test_one_row_of_pegs_takes_no_hood_and_says_why(hood: Design) -> None:
    result = refit(hood, Reader(board=SINGLE))
    assert result.design is None
    assert [each.name for each in result.refused] == [WHOLE]
    assert "needs a double board" in result.advice[0]
    check_proved(result)


def test_one_row_of_pegs_takes_a_scarf_in_another_wrap(scarf: Design) -> None:
    result = refit(scarf, Reader(board=SINGLE))
    assert result.way is Way.WRAP
    assert result.made is not None
    assert result.made.design.wrap.boards == 1
    assert result.made.gauge.source is GaugeSource.PREDICTED
    check_proved(result)


LAP_BLANKET = Reader(measures={"width": 700.0, "length": 900.0}, available_g={})


def test_panels_are_as_wide_together_as_the_piece(scarf: Design) -> None:
    result = refit(scarf, LAP_BLANKET)
    offer = next(o for o in result.offers if o.way is Way.PANELS)
    assert offer.needed is not None
    panels = offer.needed.panels
    assert panels is not None
    stitch = result.before.gauge.wale.value
    assert panels.number * panels.width.value == pytest.approx(700.0, abs=panels.number * stitch)
    assert panels.columns <= scarf.loom.pegs
    assert panels.number == 3
    # geometry: each seam runs along every row of both edges, and back across
    assert panels.seams_m * 1000 > 2 * 2 * panels.made.sizes[0].plan.pieces[0].length.value
    for pegs in (offer.needed.columns, offer.needed.columns - 1):
        longer = replace(scarf, loom=replace(scarf.loom, pegs=pegs))
        assert refit(longer, LAP_BLANKET).as_asked == (pegs == offer.needed.columns)
    whole = refit(replace(scarf, loom=replace(scarf.loom, pegs=103)), LAP_BLANKET)
    # three pieces have three cast-ons and two seams more to draw
    one_piece = difference(whole, "yarn", YOUR_SIZE).after
    assert one_piece is not None
    (metres,) = panels.metres.values()
    assert one_piece < metres < 1.1 * one_piece


def test_panels_are_no_offer_where_the_yarn_runs_out(scarf: Design) -> None:
    result = refit(scarf, replace(LAP_BLANKET, available_g={"Quayside aran": 300.0}))
    offer = next(o for o in result.offers if o.way is Way.PANELS)
    assert not offer.possible
    assert "runs out: the panels draw" in offer.words


@pytest.mark.parametrize(
    ("name", "more"), [("tern-point-kerchief", {"depth": 300.0}), ("tern-point-mitts", {})]
)
def test_what_is_no_straight_piece_is_not_made_of_panels(name: str, more: dict[str, float]) -> None:
    """A triangle whose depth is given, and a pair."""
    design = read_any(name)
    sizes = tuple(replace(s, measures={**s.measures, **more}) for s in design.sizes)
    design = replace(design, sizes=sizes)
    result = refit(design, Reader(board=replace(design.loom, pegs=10)))
    offer = next(o for o in result.offers if o.way is Way.PANELS)
    assert not offer.possible
    assert "not one straight piece" in offer.words
    assert result.refused


def test_no_gap_draws_so_little(hood: Design) -> None:
    result = refit(hood, Reader(wrap_test=OwnWrapTest(15, 300.0)))
    assert [each.name for each in result.refused] == [WHOLE]
    assert "No gap makes this board draw so much yarn" in result.advice[0]
    assert [o.way for o in result.offers] == [Way.GAP]
    assert "Change your gap until" in result.offers[0].words
    check_proved(result)


def test_yarn_too_thick_for_the_gap_is_told_and_mended(hood: Design) -> None:
    board = replace(hood.loom, gap_mm=6.0)
    result = refit(hood, Reader(board=board))
    assert "yarn thicker than the clear space" in str(result.refused[0].error)
    assert result.way is Way.GAP
    assert result.design is not None
    assert result.design.loom.gap_mm == pytest.approx(hood.loom.gap_mm, abs=1e-6)


def test_spacers_set_the_gap_that_she_can_reach(hood: Design) -> None:
    quarter, eighth = 6.35, 3.175
    board = replace(hood.loom, pegs=30, gap_mm=16.0)
    reader = Reader(board=board, spacers=Spacers((quarter, eighth), 9.0))
    result = refit(hood, reader)
    assert result.way is Way.GAP
    assert result.design is not None
    assert result.design.loom.gap_mm == pytest.approx(9.0 + 2 * quarter + eighth)
    assert (
        "Spacers at each end: 1/4 in (0.6 cm) + 1/4 in (0.6 cm) + 1/8 in (0.3 cm)"
        in (result.advice[3])
    )


def test_too_little_yarn_is_a_reason_too(scarf: Design) -> None:
    result = refit(scarf, Reader(available_g={"Quayside aran": 320.0}))
    assert [each.name for each in result.refused] == ["long"]
    assert "runs out" in str(result.refused[0].error)
    assert result.way is Way.SIZE
    assert result.made is not None
    assert [s.name for s in result.made.sizes] == ["short"]
    check_proved(result)


# --- stripes -------------------------------------------------------------------------------------


def test_stripes_keep_their_width_on_another_board() -> None:
    """Alike stripes stay alike; a wider gap has longer rows, so there are fewer of them."""
    blanket = replace(read_any("tern-point-boat-blanket"), available_g={})
    result = refit(blanket, Reader(board=replace(blanket.loom, gap_mm=33.0)))
    assert result.made is not None
    assert result.design is not None
    before, after = blanket.stripes, result.design.stripes
    assert [s.yarn for s in after] == [s.yarn for s in before]
    for row in {s.rows for s in before}:
        assert len({b.rows for a, b in zip(before, after, strict=True) if a.rows == row}) == 1
    old, new = prove(blanket).gauge.course.value, result.made.gauge.course.value
    assert new > old
    for a, b in zip(before, after, strict=True):
        assert b.rows < a.rows
        assert b.rows * new == pytest.approx(a.rows * old, abs=0.51 * new)
    check_proved(result)


def test_her_yarn_takes_the_place_of_the_bodys_in_the_stripes() -> None:
    blanket = replace(read_any("tern-point-boat-blanket"), available_g={})
    old = blanket.use["body"]
    own = Yarn("Bollard", 4, 180.0)
    result = refit(blanket, Reader(yarn=own))
    assert result.design is not None
    names = [own.name if s.yarn == old else s.yarn for s in blanket.stripes]
    assert [s.yarn for s in result.design.stripes] == names
    assert own.name in names
    check_proved(result)


def test_what_belongs_to_the_old_yarn_goes_with_it(hood: Design) -> None:
    priced = replace(hood, prices={"Slipway worsted": 6.5})
    result = refit(priced, Reader(yarn=Yarn("Bollard", 4, 180.0)))
    assert result.design is not None
    assert dict(result.design.prices) == {}
    kept = refit(priced, Reader(board=replace(hood.loom, gap_mm=30.0)))
    assert kept.design is not None
    assert dict(kept.design.prices) == {"Slipway worsted": 6.5}
