"""The hood's shapes and its sewn channel."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from shapely.geometry import Polygon

from pegwright.errors import NotPossible
from pegwright.garments.base import Plan, Wearer
from pegwright.garments.folded_strip_hood import CHANNEL_MM, SHAPES
from pegwright.knitting.operations import (
    FastenOff,
    HemEdge,
    Operation,
    SeamEdges,
    ThreadChannel,
)
from pegwright.knitting.run import execute
from pegwright.knitting.script import flatten
from pegwright.knitting.unravel import holds_together
from pegwright.knitting.wraps import Wrap
from pegwright.safety.cords import free_cords
from pegwright.safety.features import features_of
from tests.garments.more_cases import DOUBLE, Case, cases, plan

HOOD = "folded-strip-hood"


def operations(made: Plan) -> list[Operation]:
    return [o for s in made.script.steps for o in flatten(s.work)]


@settings(max_examples=40)
@given(case=cases(HOOD))
def test_whatever_hood_can_be_planned_proves(case: Case) -> None:
    refused: NotPossible | None = None
    try:
        assert execute(case.plan().script).findings == ()
    except NotPossible as problem:
        refused = problem
    if refused is not None:
        assert refused.hint


@pytest.mark.parametrize("wearer", Wearer)
@pytest.mark.parametrize("wrap", DOUBLE, ids=lambda w: w.name)
def test_a_channel_proves_and_holds(wrap: Wrap, wearer: Wearer) -> None:
    made = plan(HOOD, wrap, closing="channel", wearer=wearer)
    run = execute(made.script)
    assert run.findings == ()
    assert holds_together(run.fabric.arrays())


def test_only_an_adult_s_channel_takes_a_cord() -> None:
    adult = plan(HOOD, closing="channel")
    assert adult.group == "channel-cord"
    assert [p.name for p in adult.script.pieces] == ["strip", "cord"]
    for wearer in (Wearer.CHILD, Wearer.INFANT):
        child = plan(HOOD, closing="channel", wearer=wearer)
        assert child.group == "channel-drawn"
        assert [p.name for p in child.script.pieces] == ["strip"]
        assert free_cords(child) == ()
        carrier = next(o.carrier for o in operations(child) if isinstance(o, ThreadChannel))
        assert FastenOff(carrier) in operations(child)


def test_a_cord_in_a_child_s_channel_would_be_found() -> None:
    """The rule reads the operations, so it sees a cord in a channel as it sees one in an edge."""
    adult = plan(HOOD, closing="channel")
    assert [f.name for f in free_cords(replace(adult, wearer=Wearer.CHILD))] == [
        "free-cord-on-child"
    ]
    assert "cord with free ends" in {str(f) for f in features_of(adult)}


def test_a_channel_costs_rows_and_no_height() -> None:
    plain, channel = plan(HOOD, closing="drawn"), plan(HOOD, closing="channel", channel_rows=4)
    assert channel.pieces[0].rows == plain.pieces[0].rows + 2 * 4
    assert channel.finished["height"] == plain.finished["height"]
    assert channel.finished["channel"].value == pytest.approx(4 * 6.5)


def test_a_channel_is_as_wide_as_a_cord_wants() -> None:
    """20 mm at 6.5 mm a row is 3.1 rows."""
    made = plan(HOOD, closing="channel")
    assert made.facts["channel_rows"] == 3
    assert made.finished["channel"].value == pytest.approx(CHANNEL_MM, abs=6.5 / 2)


def test_the_seam_leaves_the_folded_in_rows_alone() -> None:
    made = plan(HOOD, closing="channel", channel_rows=4)
    rows = made.pieces[0].rows
    seam = next(o for o in operations(made) if isinstance(o, SeamEdges))
    assert seam.one[2:] == (5, rows // 2)
    assert seam.other[2:] == (rows - 4, rows // 2 + 1)
    assert {o.rows for o in operations(made) if isinstance(o, HemEdge)} == {4}


def test_a_channel_that_eats_the_hood_is_refused() -> None:
    with pytest.raises(NotPossible, match="more than half") as caught:
        plan(HOOD, closing="channel", channel_rows=30, rows=100)
    assert "channel_rows = 8" in str(caught.value)
    assert execute(plan(HOOD, closing="channel", channel_rows=8, rows=100).script).findings == ()


def test_shapes_differ_in_depth_alone() -> None:
    shapes = {shape: plan(HOOD, shape=shape) for shape in SHAPES}
    depths = {shape: made.finished["depth"].value for shape, made in shapes.items()}
    assert depths["shallow"] < depths["standard"] < depths["deep"]
    assert len({made.pieces[0].rows for made in shapes.values()}) == 1
    assert len({made.finished["height"].value for made in shapes.values()}) == 1


def test_a_channel_s_stages_are_drawn_from_the_flat_strip() -> None:
    made = plan(HOOD, closing="channel")
    assert made.make_up is not None
    assert len(made.make_up.stages) == 4
    (flat,) = made.make_up.stages[0].outlines
    piece = made.pieces[0]
    assert Polygon(flat.points).area == pytest.approx(piece.width.value * piece.length.value)


def test_the_other_closings_keep_their_own_figure() -> None:
    for closing in ("cord", "drawn"):
        assert plan(HOOD, closing=closing).make_up is None
