"""Cords: kept for grown people with a caution, refused for children, found in any script."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pegwright.errors import Severity
from pegwright.garments.base import OptionValue, Plan, Wearer
from pegwright.garments.registry import garments
from pegwright.knitting.operations import (
    DrawUp,
    Edge,
    FastenOff,
    HemEdge,
    Operation,
    Repeat,
    SeamEdges,
    TakeLength,
    ThreadCastOn,
    ThreadChannel,
    ThreadLive,
)
from pegwright.knitting.run import execute
from pegwright.knitting.script import PieceSpec, flatten
from pegwright.knitting.wraps import Cloth
from pegwright.safety.cautions import cautions_for
from pegwright.safety.cords import CORD_SOURCE, SAFE_CLOSING, free_cords, safe_options
from pegwright.safety.features import Feature, features_of, free_ends
from tests.safety.plans import brief, fastened, hood, named, strip, with_cords, with_step

SHIPPED = garments()
YOUNG = (Wearer.CHILD, Wearer.INFANT)


# --- options -------------------------------------------------------------------------------------


def test_a_grown_person_keeps_the_cord_and_is_cautioned() -> None:
    options: dict[str, OptionValue | None] = {"closing": "cord", "cord_ends": 250.0}
    kept, refused = safe_options("bow", Wearer.ADULT, options)
    assert kept == options
    assert refused == ()
    plan = hood(Wearer.ADULT, "cord")
    assert free_cords(plan) == ()
    assert execute(plan.script).proved
    (first, *_) = cautions_for([plan])
    assert first.title == "Cord at the neck: adults only"
    assert first.source == CORD_SOURCE


@pytest.mark.parametrize("wearer", YOUNG)
def test_a_child_gets_the_drawn_closing_and_is_told_why(wearer: Wearer) -> None:
    options: dict[str, OptionValue | None] = {"closing": "cord", "ease": 10.0}
    kept, (refused,) = safe_options("cox", wearer, options)
    assert kept == {"closing": SAFE_CLOSING, "ease": 10.0}
    assert options["closing"] == "cord", "what was asked for is left as it is"
    assert refused.name == "cord-refused"
    assert refused.severity is Severity.CAUTION
    assert refused.spot.size == "cox"
    assert "strangle" in refused.what
    assert CORD_SOURCE in refused.what
    assert SAFE_CLOSING in refused.mend
    plan = hood(wearer, str(kept["closing"]))
    assert free_cords(plan) == ()
    assert execute(plan.script).proved
    assert any(isinstance(o, FastenOff) for s in plan.script.steps for o in flatten(s.work))


def test_the_age_is_said() -> None:
    (child,) = safe_options("cox", Wearer.CHILD, {"closing": "cord"})[1]
    (infant,) = safe_options("cox", Wearer.INFANT, {"closing": "cord"})[1]
    assert "refused for a child:" in child.what
    assert "refused for a child under three:" in infant.what


@pytest.mark.parametrize("wearer", Wearer)
@pytest.mark.parametrize("options", [{"closing": "drawn"}, {}, {"closing": None}, {"rows": 40}])
def test_nothing_is_refused_where_no_cord_is_asked_for(
    wearer: Wearer, options: dict[str, OptionValue | None]
) -> None:
    assert safe_options("cox", wearer, options) == (options, ())


@pytest.mark.parametrize("wearer", Wearer)
@pytest.mark.parametrize(
    ("garment", "closing"),
    [
        (name, closing)
        for name, kind in SHIPPED.items()
        for spec in kind.options
        if spec.name == "closing"
        for closing in spec.choices
    ],
)
def test_no_shipped_garment_puts_a_free_cord_on_a_child(
    garment: str, closing: str, wearer: Wearer
) -> None:
    kind = SHIPPED[garment]
    options = {spec.name: spec.default for spec in kind.options} | {"closing": closing}
    kept, _ = safe_options("cox", wearer, options)
    measures = {
        m.name: min(max(520.0 if m.name == "head" else 250.0, m.least_mm), m.most_mm)
        for m in kind.measures
        if m.required
    }
    plan = kind.plan(brief(wearer, measures, **kept))
    assert free_cords(plan) == ()
    if wearer is Wearer.ADULT and closing in ("cord", "channel"):
        assert free_ends(plan), "what a grown person asked for is left as it is"
    else:
        assert not free_ends(plan)


# --- scripts -------------------------------------------------------------------------------------


@pytest.mark.parametrize("wearer", YOUNG)
def test_a_garment_that_draws_a_cord_on_a_child_all_the_same(wearer: Wearer) -> None:
    """As a plug-in might that never asks what a child may have."""
    plan = hood(wearer, "cord")
    (fault,) = free_cords(plan)
    assert fault.name == "free-cord-on-child"
    assert fault.severity is Severity.FAULT
    assert fault.spot.piece == "cord"
    assert fault.spot.size == "cox"
    drawn = next(s for s in plan.script.steps if s.key == "thread-live")
    assert fault.spot.step == drawn.number
    assert CORD_SOURCE in fault.what
    assert "fasten" in fault.mend


def test_a_cord_whose_ends_are_fastened_is_no_free_cord() -> None:
    plan = fastened(hood(Wearer.CHILD, "cord"), "cord")
    assert free_cords(plan) == ()
    assert Feature.FREE_CORD not in features_of(plan)


def test_drawn_again_after_fastening_it_is_free_again() -> None:
    plan = fastened(hood(Wearer.CHILD, "cord"), "cord")
    again = with_step(plan, "thread-again", ThreadCastOn("cord", "strip", (0, 1)))
    (fault,) = free_cords(again)
    assert fault.spot.step == len(again.script.steps)


@pytest.mark.parametrize(
    "operation",
    [
        ThreadLive("tie", (0, 1)),
        ThreadCastOn("tie", "strip", (0, 1)),
        ThreadChannel("tie", "strip", Edge.CAST_ON),
        DrawUp("tie", (("strip", Edge.LIVE),)),
        HemEdge("tie", "strip", Edge.LIVE, 4),
        SeamEdges("tie", ("strip", Edge.LEFT, 1, 4), ("strip", Edge.LEFT, 8, 5)),
    ],
    ids=lambda operation: type(operation).__name__,
)
@pytest.mark.parametrize("repeated", [False, True])
def test_every_way_to_draw_a_cord_is_seen(operation: Operation, repeated: bool) -> None:
    plan = named(with_cords(strip(Wearer.CHILD), "tie"), "pinafore")
    assert free_cords(plan) == ()  # a cord that goes nowhere, at no neck
    work = Repeat((Repeat((operation,), 1_000_000),), 1_000_000) if repeated else operation
    drawn = with_step(plan, "draw", work)
    (fault,) = free_cords(drawn)
    assert fault.spot.piece == "tie"
    assert free_cords(fastened(drawn, "tie")) == ()
    assert free_cords(with_step(plan, "never", Repeat((operation,), 0))) == ()


def test_two_cords_are_two_faults() -> None:
    plan = with_cords(strip(Wearer.INFANT), "left tie", "right tie")
    for name in ("left tie", "right tie"):
        plan = with_step(plan, "draw", ThreadLive(name, (0, 1)))
    assert [f.spot.piece for f in free_cords(plan)] == ["left tie", "right tie"]
    assert [f.spot.piece for f in free_cords(fastened(plan, "left tie"))] == ["right tie"]


def test_a_piece_that_is_no_cord_by_its_cloth_is_still_drawn_as_one() -> None:
    """A narrow flat strip, threaded through an edge, hangs as a cord does."""
    plan = strip(Wearer.CHILD)
    pieces = (*plan.script.pieces, PieceSpec("ribbon", Cloth.SINGLE))
    plan = replace(plan, script=replace(plan.script, pieces=pieces))
    assert free_cords(plan) == ()
    (fault,) = free_cords(with_step(plan, "draw", ThreadLive("ribbon", (0, 1))))
    assert fault.spot.piece == "ribbon"


def test_yarn_that_gathers_is_no_cord() -> None:
    plan = strip(Wearer.CHILD)
    take = TakeLength("gathering yarn", "Slipway worsted", 500.0)
    drawn = with_step(plan, "draw", take, ThreadLive("gathering yarn", (0, 1)))
    assert free_cords(drawn) == ()  # loose ends of yarn are the loom's own fault to find


def test_a_loose_cord_for_a_childs_hood_can_only_be_a_tie() -> None:
    plan = with_cords(hood(Wearer.CHILD, "drawn"), "chin cord")
    (fault,) = free_cords(plan)
    assert fault.spot.piece == "chin cord"
    assert fault.spot.step == len(plan.script.steps)
    assert free_cords(named(plan, "bonnet")), "the name tells, too"
    assert not free_cords(named(plan, "mitten"))
    assert not free_cords(fastened(plan, "chin cord"))


@pytest.mark.parametrize("plan", [hood(Wearer.ADULT, "cord"), strip(Wearer.ADULT)], ids=["h", "s"])
def test_a_grown_persons_cord_is_no_fault(plan: Plan) -> None:
    assert free_cords(plan) == ()
    assert bool(free_ends(plan)) == (Feature.FREE_CORD in features_of(plan))
