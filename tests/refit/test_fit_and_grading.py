"""Sizes held together: fit and ease, order, and what a size that does not fit needs."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pegwright.designs.files import read_any
from pegwright.designs.model import Design, SizeRequest
from pegwright.errors import NotPossible, Severity
from pegwright.garments.base import Wearer
from pegwright.garments.registry import garments
from pegwright.loom.board import Arrangement, Loom
from pegwright.making import make, prove
from pegwright.pattern.model import TableBlock
from pegwright.refit.fits import what_fits
from pegwright.refit.grading import fit_table
from pegwright.yarn.yarn import Yarn


@pytest.fixture(scope="module")
def hood() -> Design:
    return read_any("tern-point-hood")


def heads(*head_mm: float) -> tuple[SizeRequest, ...]:
    return tuple(SizeRequest(f"h{i}", Wearer.ADULT, {"head": mm}) for i, mm in enumerate(head_mm))


# --- going on past a size that cannot be ---------------------------------------------------------


def test_proving_goes_on_only_where_it_is_told_to(hood: Design) -> None:
    short = replace(hood, loom=replace(hood.loom, pegs=28))
    with pytest.raises(NotPossible, match="size bow"):
        prove(short)
    made = prove(short, keep_going=True)
    assert [s.name for s in made.sizes] == ["cox"]
    assert [r.name for r in made.refused] == ["bow", "coach"]
    assert not made.proved
    assert made.sizes[0] == prove(replace(short, sizes=hood.sizes[:1])).sizes[0]
    whole = prove(hood, keep_going=True)
    assert whole == prove(hood)
    assert whole.proved


def test_each_size_that_does_not_fit_has_its_reason_and_what_it_needs(hood: Design) -> None:
    short = replace(hood, loom=replace(hood.loom, pegs=16))
    table = fit_table(prove(short, keep_going=True))
    assert table.rows == ()
    assert [u.refused.name for u in table.unfit] == ["cox", "bow", "coach"]
    for unfit, size in zip(table.unfit, hood.sizes, strict=True):
        assert unfit.needed is not None
        longer = replace(hood, loom=replace(hood.loom, pegs=unfit.needed.columns), sizes=(size,))
        assert prove(longer).proved
        assert unfit.needed.board_mm == (unfit.needed.columns - 1) * hood.loom.pitch_mm
        panels = unfit.needed.panels
        assert panels is not None
        assert panels.number == 2
        assert prove(panels.design).proved
        assert panels.columns <= 16 < 2 * panels.columns


# --- fit and ease --------------------------------------------------------------------------------


def test_ease_is_finished_less_body(hood: Design) -> None:
    made = prove(hood)
    rows = {(r.size, r.name): r for r in fit_table(made).rows}
    for size in made.sizes:
        depth = rows[size.name, "depth"]
        assert depth.body_mm == pytest.approx(0.45 * size.measures["head"])
        assert not depth.given
        assert depth.finished == size.plan.finished["depth"]
        assert depth.ease.value == pytest.approx(depth.finished.value - depth.body_mm)
        # 10 mm is asked for, and a stitch is rounded to the nearest
        assert depth.ease.value == pytest.approx(10.0, abs=made.gauge.wale.value / 2 + 1e-6)


def test_a_measure_that_is_given_is_the_body(hood: Design) -> None:
    size = SizeRequest("own", Wearer.ADULT, {"head": 570.0, "depth": 240.0})
    rows = fit_table(prove(replace(hood, sizes=(size,)))).rows
    depth = next(r for r in rows if r.name == "depth")
    assert depth.given
    assert depth.body_mm == 240.0


def test_the_pattern_tells_the_ease(hood: Design) -> None:
    _, pattern = make(hood)
    assert pattern is not None
    table = next(b for b in pattern.blocks() if isinstance(b, TableBlock))
    ease = {row[0]: row[1:] for row in table.rows if row[0].startswith("ease")}
    assert set(ease) == {"ease: depth", "ease: height"}  # the neck is drawn up to its measure
    assert all(cell.startswith("+") for row in ease.values() for cell in row)
    _, scarf = make(read_any("tern-point-scarf"))
    assert scarf is not None
    table = next(b for b in scarf.blocks() if isinstance(b, TableBlock))
    assert not [row for row in table.rows if row[0].startswith("ease")]


# --- the order of sizes --------------------------------------------------------------------------


@settings(max_examples=25)
@given(st.lists(st.floats(430.0, 700.0), min_size=2, max_size=5))
def test_sizes_grow_with_the_body(hood: Design, head_mm: list[float]) -> None:
    longer = replace(hood, loom=replace(hood.loom, pegs=60), sizes=heads(*sorted(head_mm)))
    made = prove(longer)
    assert not made.findings
    for name in made.sizes[0].plan.finished:
        finished = [s.plan.finished[name].value for s in made.sizes]
        assert finished == sorted(finished)
    metres = [s.needs[0].metres.value for s in made.sizes]
    assert metres == pytest.approx(sorted(metres), abs=1e-9)


def test_sizes_out_of_order_are_noted(hood: Design) -> None:
    made = prove(replace(hood, sizes=heads(590.0, 550.0)))
    (note,) = made.findings
    assert note.name == "sizes-not-in-order"
    assert note.severity is Severity.NOTE
    assert note.spot.size == "h1"
    assert made.proved


def test_a_larger_body_with_a_smaller_piece_is_noted(hood: Design) -> None:
    """One size brings a depth of its own that is below what the smaller head works out to."""
    sizes = (
        SizeRequest("s", Wearer.ADULT, {"head": 550.0}),
        SizeRequest("m", Wearer.ADULT, {"head": 590.0, "depth": 200.0}),
    )
    (note,) = prove(replace(hood, sizes=sizes)).findings
    assert note.name == "sizes-not-in-order"
    assert "comes out smaller in depth" in note.what


def test_sizes_that_cannot_be_held_together_are_let_be(hood: Design) -> None:
    """A larger head with a lower height: neither body is the smaller one."""
    sizes = (
        SizeRequest("a", Wearer.ADULT, {"head": 560.0, "height": 330.0}),
        SizeRequest("b", Wearer.ADULT, {"head": 590.0, "height": 300.0}),
    )
    assert prove(replace(hood, sizes=sizes)).findings == ()


# --- what fits -----------------------------------------------------------------------------------


def test_what_fits_is_proved_and_what_does_not_says_what_it_needs(hood: Design) -> None:
    found = what_fits(hood.loom, hood.body_yarn)
    hoods = [f for f in found if f.garment == "folded-strip-hood"]
    assert len(hoods) == 5
    assert {f.garment for f in found} == set(garments())
    assert all(f.fits for f in hoods)
    for fit in found:
        assert fit.why
        assert (fit.made is not None) == (fit.fits is True)
        if fit.fits is None:
            assert "Measure: " in fit.why
        if fit.made is not None:
            assert prove(fit.made.design).proved
    blanket = next(f for f in found if f.size.startswith("blanket"))
    assert not blanket.fits
    assert "3 panels of 33 pegs" in blanket.why


def test_a_short_board_takes_the_small_heads_only(hood: Design) -> None:
    board = replace(hood.loom, pegs=24)
    fits = [bool(f.fits) for f in what_fits(board, hood.body_yarn, only="folded-strip-hood")]
    assert fits == sorted(fits, reverse=True)
    assert set(fits) == {True, False}


def test_a_single_board_takes_no_hood() -> None:
    rail = Loom(Arrangement.SINGLE, 40, 11.0, 0.0, 4.0, name="rail")
    found = what_fits(rail, Yarn("Slipway", 4, 175.0))
    by_garment: dict[str, set[bool]] = {}
    for fit in found:
        by_garment.setdefault(fit.garment, set()).add(bool(fit.fits))
    assert by_garment["folded-strip-hood"] == {False}
    assert True in by_garment["plain-strip"]
