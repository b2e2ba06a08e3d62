"""Following along on several devices: whatever happens to events on the way, no row is lost."""

from __future__ import annotations

import itertools
import random
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.library.fields import json_text, parsed
from pegwright.library.making import (
    Event,
    EventKind,
    event_data,
    event_from,
    merged,
    missing,
    seen,
    state_of,
)
from tests.library.shelf import at, row

DEVICES = ("phone", "tablet", "desk")


@st.composite
def histories(draw: st.DrawFn) -> tuple[Event, ...]:
    """What several devices wrote down, each counting from 1, their clocks at odds."""
    events: list[Event] = []
    for device in DEVICES[: draw(st.integers(1, 3))]:
        for counter in range(1, draw(st.integers(0, 8)) + 1):
            kind = draw(st.sampled_from(EventKind))
            events.append(
                Event(
                    f"{device}-{counter}",
                    device,
                    counter,
                    at(draw(st.integers(0, 20))),
                    kind,
                    piece=draw(st.sampled_from(["", "crown", "cord"])),
                    rows=draw(st.integers(-3, 5).filter(bool)),
                    step=draw(st.integers(1, 4)),
                    done=draw(st.booleans()),
                    text=draw(st.sampled_from(["tight here", "rust from here"])),
                    yarn=draw(st.sampled_from(["", "y-1"])),
                    grams=draw(st.integers(0, 100)),
                    undoes=f"{draw(st.sampled_from(DEVICES))}-{draw(st.integers(1, 8))}",
                )
            )
    return tuple(events)


@given(histories(), st.randoms(use_true_random=False), st.integers(1, 4))
def test_order_parting_and_repetition_do_not_matter(
    events: tuple[Event, ...], chance: random.Random, parts: int
) -> None:
    whole = state_of(events)
    heaps: list[list[Event]] = [[] for _ in range(parts)]
    for event in events:
        for heap in chance.sample(heaps, chance.randint(1, parts)):
            heap.append(event)  # into one heap or several
    chance.shuffle(heaps)
    for heap in heaps:
        chance.shuffle(heap)
    gathered: tuple[Event, ...] = ()
    for heap in heaps:
        gathered = merged(gathered, heap)
    assert state_of(gathered) == whole
    assert state_of([*gathered, *events]) == whole
    assert merged(gathered) == merged(events)


@given(st.lists(st.sampled_from(DEVICES), max_size=30))
def test_devices_counting_apart_add_up(taps: list[str]) -> None:
    counted = dict.fromkeys(DEVICES, 0)
    events = []
    for tap in taps:  # each says "one more row", knowing nothing of the others
        counted[tap] += 1
        events.append(row(tap, counted[tap]))
    state = state_of(events)
    assert state.rows_in_all == len(taps)
    assert {d: n for d, n in counted.items() if n} == dict(state.rows_by_device)


@given(histories(), st.data())
def test_two_devices_bring_each_other_up_to_date(
    events: tuple[Event, ...], data: st.DataObject
) -> None:
    """Each sends only what the other has not seen, and both know all."""

    def known() -> tuple[Event, ...]:  # of each device everything up to some point
        upto = {device: data.draw(st.integers(0, 8)) for device in DEVICES}
        return tuple(e for e in events if e.counter <= upto[e.device])

    one, other = known(), known()
    one_then = merged(one, missing(other, seen(one)))
    other_then = merged(other, missing(one, seen(other)))
    assert one_then == other_then == merged(one, other)


def test_a_device_whose_clock_was_set_back_goes_on_counting() -> None:
    events = [row("phone", 1, seconds=50), row("phone", 2, seconds=60), row("phone", 3, seconds=1)]
    assert dict(state_of(events).counters) == {"phone": 3}
    assert dict(state_of([*events[:2], row("desk", 1)]).counters) == {"desk": 1, "phone": 2}


def test_a_gap_is_asked_for_again() -> None:
    events = [row("phone", n) for n in (1, 2, 4, 5)]
    assert seen(events) == {"phone": 2}
    assert [e.counter for e in missing([row("phone", n) for n in range(1, 6)], {"phone": 2})] == [
        3,
        4,
        5,
    ]
    assert seen([row("phone", 2)]) == {"phone": 0}


@given(histories())
def test_an_event_comes_back_from_its_data(events: tuple[Event, ...]) -> None:
    for event in events:
        assert event_from(parsed(json_text(event_data(event)))) == event


def note(device: str, counter: int, text: str, seconds: float = 0) -> Event:
    return Event(f"{device}-{counter}", device, counter, at(seconds), EventKind.NOTE, text=text)


def step(device: str, counter: int, number: int, done: bool, seconds: float) -> Event:
    return Event(
        f"{device}-{counter}",
        device,
        counter,
        at(seconds),
        EventKind.STEP,
        step=number,
        done=done,
    )


def undo(device: str, counter: int, of: Event | str) -> Event:
    undoes = of if isinstance(of, str) else of.id
    return Event(f"{device}-{counter}", device, counter, at(), EventKind.UNDO, undoes=undoes)


def test_rows_are_counted_by_piece_and_ripped_back() -> None:
    events = [
        row("phone", 1, 40, piece="crown"),
        row("phone", 2, -3, piece="crown"),
        row("phone", 3, 10, piece="cord"),
        row("tablet", 1, 2, piece="cord"),
    ]
    state = state_of(events)
    assert dict(state.rows) == {"cord": 12, "crown": 37}
    assert dict(state.rows_by_device) == {"phone": 47, "tablet": 2}
    assert dict(state.counters) == {"phone": 3, "tablet": 1}
    assert state_of([row("phone", 1, -5)]).rows_in_all == 0


def test_an_undo_takes_back_one_event_for_good() -> None:
    first, second = row("phone", 1), row("phone", 2, seconds=1)
    taken = undo("phone", 3, second)
    state = state_of([taken, first, second])  # the undo may arrive first
    assert state.rows_in_all == 1
    assert state.last == first
    assert state.events == 3
    assert state_of([first, second, taken, undo("desk", 1, taken)]) != state
    assert state_of([first, second, taken, undo("desk", 1, taken)]).rows_in_all == 1
    assert state_of([first, second, taken, undo("desk", 1, second)]).rows_in_all == 1
    assert state_of([undo("phone", 1, "nothing")]).last is None


def test_undo_on_one_device_leaves_the_others_rows() -> None:
    events = [row("phone", 1), row("tablet", 1, seconds=5)]
    mine = state_of(events).last_of("phone", events)
    assert mine == events[0]
    assert state_of([*events, undo("phone", 2, mine)]).rows_by_device == {"tablet": 1}


def test_the_latest_tick_of_a_step_tells() -> None:
    ticks = [step("phone", 1, 4, True, 0), step("tablet", 1, 4, False, 9)]
    for order in itertools.permutations([*ticks, step("desk", 1, 2, True, 3)]):
        assert state_of(order).steps == (2,)
    assert state_of([*ticks, undo("desk", 1, ticks[1])]).steps == (4,)


def test_notes_and_weighings_come_in_order_of_time() -> None:
    late, early = note("phone", 1, "late", 9), note("tablet", 1, "early", 1)
    weighed = Event("w", "desk", 1, at(5), EventKind.WEIGH, yarn="y-1", grams=41.5)
    state = state_of([late, weighed, early])
    assert [n.text for n in state.notes] == ["early", "late"]
    assert [(w.yarn, w.grams) for w in state.weighings] == [("y-1", 41.5)]


def test_fields_of_other_kinds_do_not_count() -> None:
    plain = row("phone", 1)
    assert replace(plain, step=7, grams=3.0, undoes="x", done=False) == plain


def test_two_events_of_one_id_both_count_and_an_undo_takes_both() -> None:
    pair = [row("phone", 1, 1), replace(row("phone", 1, 1), rows=2)]
    assert state_of(pair) == state_of(reversed(pair))
    assert state_of(pair).rows_in_all == 3
    assert state_of([*pair, undo("phone", 2, pair[0])]).rows_in_all == 0


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"id": "a b"}, "id"),
        ({"device": ""}, "device"),
        ({"counter": 0}, "counter"),
        ({"counter": 2**60}, "counter"),
        ({"at": "noon"}, "at"),
        ({"rows": 0}, "rows"),
        ({"rows": 10**9}, "rows"),
        ({"kind": EventKind.STEP, "step": 0}, "step"),
        ({"kind": EventKind.NOTE, "text": " "}, "text"),
        ({"kind": EventKind.NOTE, "text": "x" * 20_000}, "text"),
        ({"kind": EventKind.WEIGH, "grams": -1.0}, "grams"),
        ({"kind": EventKind.WEIGH, "grams": float("nan")}, "grams"),
        ({"kind": EventKind.UNDO, "undoes": ""}, "undoes"),
        ({"piece": "x" * 300}, "piece"),
    ],
)
def test_an_event_that_cannot_be(wrong: dict[str, object], field: str) -> None:
    with pytest.raises(BadInput) as caught:
        replace(row("phone", 1), **wrong)  # type: ignore[arg-type]
    assert caught.value.place is not None
    assert caught.value.place.field == field


@pytest.mark.parametrize("gone", ["id", "device", "counter", "at", "kind", "rows"])
def test_an_event_from_elsewhere_must_be_whole(gone: str) -> None:
    data = {k: v for k, v in event_data(row("phone", 1)).items() if k != gone}
    with pytest.raises(BadInput):
        event_from(parsed(json_text(data)))


def all_orders(events: Sequence[Event]) -> set[str]:
    return {repr(state_of(order)) for order in itertools.permutations(events)}


def test_every_order_of_a_small_evening() -> None:
    first = row("phone", 1, 2)
    evening = [first, row("tablet", 1, 3), undo("tablet", 2, first), step("phone", 2, 1, True, 0)]
    assert len(all_orders(evening)) == 1
