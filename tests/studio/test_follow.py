from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.designs.files import shipped_designs, shipped_text
from pegwright.designs.reader import read_text
from pegwright.errors import BadInput, NotPossible
from pegwright.knitting.operations import KnitOver, Repeat, WrapKind, WrapPegs
from pegwright.knitting.stripes import stripes_of
from pegwright.library.making import Event, EventKind
from pegwright.loom.visit import Turn, Visit
from pegwright.planning.forecast import forecast
from pegwright.planning.promised import prior_for
from pegwright.planning.weighings import Weighing
from pegwright.studio.follow.document import (
    Followed,
    Place,
    Rounds,
    followed,
    place_in,
    rounds_of,
    rows_of,
)
from pegwright.studio.follow.forecast import forecasts, promises, rows_at
from pegwright.units import UnitSystem

ROW = WrapPegs((Visit(0, Turn.LEFT),))
CAST_ON = WrapPegs((Visit(0, Turn.LEFT),), WrapKind.CAST_ON)
OVER = KnitOver((0,))


def shipped(name: str, size: str | None = None) -> Followed:
    design = read_text(shipped_text(name), name)
    return followed(design, size or design.sizes[0].name)


# --- rows and rounds ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("work", "rounds", "why"),
    [
        ((CAST_ON,), (), "a cast-on is no row"),
        ((ROW, OVER, ROW, OVER), (2,), "plain rows are told together"),
        ((Repeat((ROW, OVER), 99),), (99,), "a repeat of one row is plain rows"),
        ((ROW, Repeat((ROW, OVER), 4)), (5,), "and joins the rows beside it"),
        ((Repeat((ROW, ROW), 3), ROW), (Rounds(3, (2,)), 1), "rounds of two rows stay rounds"),
        ((Repeat((ROW, ROW), 1),), (2,), "worked once, it is no round"),
        ((Repeat((ROW, Repeat((ROW, ROW), 2)), 3),), (Rounds(3, (1, Rounds(2, (2,)))),), "nested"),
        ((Repeat((OVER,), 7),), (), "rounds without a row are none"),
    ],
)
def test_the_rows_of_a_step_keep_their_rounds(
    work: tuple[object, ...], rounds: tuple[object, ...], why: str
) -> None:
    assert rounds_of(work) == rounds, why  # type: ignore[arg-type]


def spelled_out(rounds: tuple[int | Rounds, ...], above: tuple[Place, ...] = ()) -> list[object]:
    """Every row's place, found by walking all of them."""
    found: list[object] = []
    for item in rounds:
        if isinstance(item, int):
            found += [above] * item
            continue
        length = rows_of(item.body)
        for time in range(1, item.times + 1):
            inner = spelled_out(item.body)
            found += [
                (*above, Place(time, item.times, row, length), *places)  # type: ignore[misc]
                for row, places in enumerate(inner, 1)
            ]
    return found


trees = st.recursive(
    st.integers(1, 3),
    lambda inner: st.builds(
        Rounds, st.integers(2, 3), st.lists(inner, min_size=1, max_size=3).map(tuple)
    ),
    max_leaves=5,
)


@given(st.lists(trees, min_size=1, max_size=3).map(tuple))
def test_a_row_is_found_in_its_rounds(rounds: tuple[int | Rounds, ...]) -> None:
    walked = spelled_out(rounds)
    assert [place_in(rounds, row) for row in range(1, rows_of(rounds) + 1)] == walked
    assert place_in(rounds, len(walked) + 1) == ()


@pytest.mark.parametrize("name", shipped_designs())
def test_the_steps_are_those_that_were_executed(name: str) -> None:
    work = shipped(name)
    document, run = work.document, work.size.run
    assert [piece.rows for piece in document.pieces] == [
        run.piece(piece.name).rows for piece in document.pieces
    ]
    done: Counter[str] = Counter()
    for step in document.steps:
        assert step.first == done[step.piece] + 1
        assert rows_of(step.rounds) == step.rows
        done[step.piece] += step.rows
    assert [step.number for step in document.steps] == list(range(1, len(document.steps) + 1))
    shown = {figure.key for figure in document.figures}
    assert all(set(step.figures) <= shown for step in document.steps)
    assert all("<svg" in figure.svg and figure.alt for figure in document.figures)


def test_stripes_are_told_as_they_were_knitted() -> None:
    work = shipped("tern-point-boat-blanket")
    names = {yarn.key: yarn.name for yarn in work.document.yarns}
    told = [(names[s.yarn], s.last - s.first + 1) for s in work.document.stripes]
    knitted = stripes_of(work.size.plan.script)
    assert told == [(stripe.yarn, stripe.rows) for stripe in knitted]
    assert len(told) > 20


def test_the_way_of_a_row_follows_the_wraps_courses() -> None:
    rib = shipped("tern-point-ribbed-scarf")
    knitted = next(step for step in rib.document.steps if step.rows > 1)
    assert len(knitted.ways) == len(rib.design.wrap.courses) == 2
    first, second = knitted.ways
    # Out, and back again: by the pegs' numbers, since a pair of pegs is wrapped at either end.
    assert (first.start[1:], first.end[1:]) == (second.end[1:], second.start[1:]) == ("1", "16")
    assert first.pegs == second.pegs == 32


def test_a_design_with_a_fault_is_not_followed() -> None:
    design = read_text(shipped_text("tern-point-hood"), "hood")
    short = replace(design, available_g=dict.fromkeys(design.yarns, 1.0))
    with pytest.raises(NotPossible):
        followed(short, design.sizes[0].name)


def test_a_size_that_is_not_there_is_refused() -> None:
    with pytest.raises(BadInput, match="no such size"):
        followed(read_text(shipped_text("tern-point-hood"), "hood"), "giant")


# --- forecast -----------------------------------------------------------------------------------


def event(counter: int, kind: EventKind, **fields: object) -> Event:
    at = f"2026-11-25T10:{counter // 60:02d}:{counter % 60:02d}.000000Z"
    return Event(f"e{counter}", "desk", counter, at, kind, **fields)  # type: ignore[arg-type]


def test_the_forecast_is_the_one_of_the_run_at_the_row_that_was_counted() -> None:
    work = shipped("tern-point-scarf")
    (promise,) = promises(work)
    events = [
        event(1, EventKind.WEIGH, yarn="yarn-1", grams=340),
        event(2, EventKind.ROW, piece="strip", rows=30),
        event(3, EventKind.ROW, piece="strip", rows=5),
        event(4, EventKind.WEIGH, yarn="yarn-1", grams=296),
        event(5, EventKind.UNDO, undoes="e3"),
        event(6, EventKind.ROW, piece="strip", rows=10),
    ]
    (found,) = forecasts([promise], events, units=UnitSystem.CENTIMETRES, scale_g={})
    assert (found.row, found.rows_total) == (30, 231)

    design = work.design
    name = design.use["body"]
    prior = prior_for(work.size.run, design.yarns, name, design.slack)
    expected = forecast(prior, [Weighing(0, 340), Weighing(30, 296)], 231, promise.reserve)
    assert found.chance == pytest.approx(expected.chance_of_finishing)
    assert found.words[-1] == expected.words(UnitSystem.CENTIMETRES)[-1]


def test_a_weighing_that_cannot_be_is_told_in_words() -> None:
    (promise,) = promises(shipped("tern-point-scarf"))
    events = [
        event(1, EventKind.WEIGH, yarn="yarn-1", grams=100),
        event(2, EventKind.WEIGH, yarn="yarn-1", grams=200),
    ]
    (found,) = forecasts([promise], events, units=UnitSystem.CENTIMETRES, scale_g={})
    assert found.chance is None
    assert "yarn does not grow" in found.words[0]


def test_a_pair_is_forecast_as_one_long_piece() -> None:
    (promise,) = promises(shipped("tern-point-mitts"))
    assert promise.pieces == (("first mitt", 27), ("second mitt", 27))
    assert len(promise.prior.shares) == promise.rows == 54
    knitted = [
        event(1, EventKind.ROW, piece="first mitt", rows=40),  # more than it has
        event(2, EventKind.ROW, piece="second mitt", rows=3),
    ]
    assert rows_at(promise, knitted) == 27 + 3
    # Two alike: half of the yarn is knitted when the first is done.
    assert promise.prior.amount(0, 27) == pytest.approx(promise.prior.amount(27, 54), rel=0.01)
