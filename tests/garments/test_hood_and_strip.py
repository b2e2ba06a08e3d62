"""The shipped garments: counts from measurements, and scripts that prove."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, OptionValue, Plan, Wearer
from pegwright.garments.folded_strip_hood import FOLDED_STRIP_HOOD
from pegwright.garments.plain_strip import PLAIN_STRIP
from pegwright.garments.registry import garments
from pegwright.garments.strip import TAIL_MM, seam_yarn_mm
from pegwright.gauge.fabric_gauge import Gauge, GaugeSource
from pegwright.knitting.operations import Move, SeamEdges, ThreadCastOn, ThreadLive
from pegwright.knitting.run import execute
from pegwright.knitting.script import flatten
from pegwright.knitting.wraps import shipped
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured
from pegwright.yarn.yarn import Yarn

BOARD = Loom(Arrangement.OPPOSED, 50, 11.1125, 25.4, 4.7625)
ROW = Loom(Arrangement.SINGLE, 50, 11.1125, peg_diameter_mm=4.7625)
YARN = Yarn("Slipway worsted", 4, 175.0, invented=True)
GAUGE = Gauge(Measured(9.0, 0.3), Measured(6.5, 0.2), GaugeSource.SWATCH)


def brief(
    wrap: str = "double-board stockinette",
    loom: Loom = BOARD,
    measures: dict[str, float] | None = None,
    **options: OptionValue | None,
) -> Brief:
    return Brief(
        "bow",
        Wearer.ADULT,
        measures or {"head": 570.0},
        options,
        loom,
        shipped(wrap),
        GAUGE,
        {"body": YARN},
    )


def hood(**options: OptionValue | None) -> Plan:
    return FOLDED_STRIP_HOOD.plan(replace(brief(), options=options))


@pytest.mark.parametrize("closing", ["cord", "drawn"])
@pytest.mark.parametrize(
    "wrap",
    ["double-board stockinette", "double-board rib 1 by 1", "double-board rib 2 by 2"],
)
def test_a_hood_proves_in_every_wrap_and_closing(wrap: str, closing: str) -> None:
    run = execute(FOLDED_STRIP_HOOD.plan(brief(wrap, closing=closing)).script)
    assert run.findings == ()


def test_the_strip_is_twice_the_hood_high() -> None:
    """A hood's strip is twice its height (common practice, no source)."""
    plan = hood()
    strip = plan.piece("strip")
    assert plan.finished["height"].value == pytest.approx(strip.length.value / 2)
    assert plan.finished["depth"] == strip.width


def test_26_pegs_a_side_make_a_sensible_hood_depth() -> None:
    """26 pegs a side in worsted make a depth of about 9 to 11 in (common practice, no source)."""
    plan = hood(pegs=26)
    assert 9 * 25.4 <= plan.finished["depth"].value <= 11 * 25.4


@given(head_mm=st.floats(330.0, 640.0), more_mm=st.floats(1.0, 60.0))
def test_a_larger_head_never_gets_a_smaller_hood(head_mm: float, more_mm: float) -> None:
    small = FOLDED_STRIP_HOOD.plan(brief(measures={"head": head_mm}, ease=0.0))
    large = FOLDED_STRIP_HOOD.plan(brief(measures={"head": head_mm + more_mm}, ease=0.0))
    assert large.piece("strip").columns >= small.piece("strip").columns
    assert large.piece("strip").rows >= small.piece("strip").rows


def test_given_height_and_depth_win_over_the_head() -> None:
    plan = FOLDED_STRIP_HOOD.plan(
        brief(measures={"head": 570.0, "height": 360.0, "depth": 270.0}, ease=0.0)
    )
    assert plan.piece("strip").columns == 30  # 270 mm at 9 mm
    assert plan.piece("strip").rows == 110  # 720 mm at 6.5 mm is 110.8; even: 110


def test_the_cord_goes_from_the_back_through_both_edges() -> None:
    """Both cord ends come out at the face edge: each threading runs from the seam to the face."""
    plan = hood(closing="cord")
    operations = [o for s in plan.script.steps for o in flatten(s.work)]
    live = next(o for o in operations if isinstance(o, ThreadLive))
    cast_on = next(o for o in operations if isinstance(o, ThreadCastOn))
    seam = next(o for o in operations if isinstance(o, SeamEdges))
    assert seam.one[1] == seam.other[1] == "left"
    for pegs in (live.pegs, cast_on.pegs):
        numbers = [BOARD.number(p) for p in pegs]
        assert numbers == sorted(numbers)
        assert numbers[-1] == plan.piece("strip").columns


def test_the_inner_stitch_is_moved_first() -> None:
    moves = [o for s in hood().script.steps for o in flatten(s.work) if isinstance(o, Move)]
    front = [(BOARD.address(m.source), BOARD.address(m.target)) for m in moves[:2]]
    assert front == [("F2", "F3"), ("F1", "F3")]


def test_a_drawn_hood_has_no_cord() -> None:
    plan = hood(closing="drawn")
    assert [p.name for p in plan.script.pieces] == ["strip"]
    assert "cord" not in plan.finished


def test_a_hood_needs_two_boards() -> None:
    with pytest.raises(NotPossible, match="double board"):
        FOLDED_STRIP_HOOD.plan(brief("e-wrap", ROW))


def test_a_board_too_short_says_what_would_fit() -> None:
    short = Loom(Arrangement.OPPOSED, 20, 11.1125, 25.4, 4.7625)
    with pytest.raises(NotPossible) as caught:
        FOLDED_STRIP_HOOD.plan(brief(loom=short))
    assert "20" in str(caught.value)


def test_odd_rows_cannot_be_folded() -> None:
    with pytest.raises(NotPossible, match="halve"):
        hood(rows=101)


@pytest.mark.parametrize("bind_off", ["over", "sewn"])
@pytest.mark.parametrize(
    ("wrap", "loom"),
    [
        ("double-board stockinette", BOARD),
        ("double-board rib 1 by 1", BOARD),
        ("double-board rib 2 by 2", BOARD),
        ("figure eight", BOARD),
        ("e-wrap", ROW),
        ("u-wrap", ROW),
        ("flat", ROW),
        ("purl", ROW),
    ],
)
@pytest.mark.parametrize("rows", [20, 21])
def test_a_strip_proves_in_every_wrap(wrap: str, loom: Loom, bind_off: str, rows: int) -> None:
    asked = brief(wrap, loom, {"width": 180.0, "length": 300.0}, bind_off=bind_off, rows=rows)
    run = execute(PLAIN_STRIP.plan(asked).script)
    assert run.findings == ()
    assert run.piece("strip").rows == rows


def test_seam_yarn_by_hand() -> None:
    """50 chains of 6 mm on each side, 2 mm yarn: 50 × 2 × (6 + 4) mm and two tails."""
    assert seam_yarn_mm(50, 6.0, 2.0) == pytest.approx(1000.0 + 2 * TAIL_MM)


def test_garments_say_what_they_take() -> None:
    for name, garment in garments().items():
        assert name == garment.name
        assert garment.words.endswith(".")
        assert garment.yarn_parts[0] == "body"
        for option in garment.options:
            assert option.words
            if option.choices:
                assert option.default == option.choices[0]
