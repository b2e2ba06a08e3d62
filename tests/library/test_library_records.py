"""Records as data and back: nothing lost, nothing believed."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.gauge.fabric_gauge import Swatch
from pegwright.library.codecs import (
    body_data,
    body_from,
    record_data,
    record_from,
    weighing_data,
    weighing_from,
)
from pegwright.library.fields import Fields, json_text, parsed
from pegwright.library.records import (
    Body,
    DesignText,
    Kind,
    Making,
    OwnBoard,
    OwnPerson,
    OwnSwatch,
    Record,
    Stage,
    Weighing,
    checked_id,
    kind_of,
    new_id,
    references,
    stamp,
    usual_name,
    with_references,
)
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured
from pegwright.sizing.people import Person
from tests.library.shelf import BOARD, COX, HOOD, STRIPING, SWATCH, YARN, at

BODIES: dict[str, Body] = {
    "a board with slack and spacers": BOARD,
    "a ring, nothing measured": OwnBoard(Loom(Arrangement.RING, 24, 12.0)),
    "a yarn whose wraps were counted": YARN,
    "a yarn that changes colour": STRIPING,
    "a swatch": SWATCH,
    "a swatch that says what it was knitted with": replace(SWATCH, board="b-1", yarn="y-1"),
    "a person": COX,
    "a person with no figures": OwnPerson(Person("coach")),
    "a design": HOOD,
    "a making": Making("d-1", 3, "cox", ("y-1", "y-2"), Stage.RESTING),
}


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES.keys())
def test_a_body_comes_back_as_it_was(body: Body) -> None:
    text = json_text(body_data(body))
    again = body_from(kind_of(body), parsed(text))
    assert again == body
    assert json_text(body_data(again)) == text


@given(
    st.builds(
        Loom,
        st.just(Arrangement.OFFSET),
        st.integers(1, 2000),
        st.floats(5, 50),
        st.floats(5, 500),
        st.floats(1, 4.5),
        st.floats(0, 60),
        st.text(max_size=20).filter(lambda t: t.encode("utf-8", "ignore").decode() == t),
    )
)
def test_any_board_comes_back_to_the_last_digit(loom: Loom) -> None:
    body = OwnBoard(loom)
    assert body_from(Kind.BOARD, parsed(json_text(body_data(body)))) == body


def broken(data: Any) -> Iterator[tuple[str, Any]]:
    """The data with one thing in it missing or of a kind that belongs nowhere."""
    if isinstance(data, dict):
        for key, value in data.items():
            rest = {name: other for name, other in data.items() if name != key}
            yield key, rest
            yield key, rest | {key: object if value is None else [[{}]]}
            for path, wrong in broken(value):
                yield f"{key}.{path}", rest | {key: wrong}
    elif isinstance(data, list):
        for number, value in enumerate(data):
            for path, wrong in broken(value):
                yield f"{number}.{path}", [*data[:number], wrong, *data[number + 1 :]]


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES.keys())
def test_data_that_is_no_body_is_refused(body: Body) -> None:
    data = json.loads(json_text(body_data(body)))
    optional = {"slack", "bare_gap_mm", "colour_run", "board", "yarn", "born", "measured"}
    optional |= {"wraps_per_inch", "head", "height"}
    refused = 0
    for path, wrong in broken(data):
        last = path.rpartition(".")[2]
        try:
            again = body_from(kind_of(body), Fields(wrong))
        except BadInput:
            refused += 1
        else:
            assert last in optional, path
            assert again != body or body_data(body) == data
    assert refused >= len(data)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "no JSON"),
        ("[1, 2]", "a list"),
        ("{", "cut short"),
        ('{"value": NaN}', "not JSON's own numbers"),
        ("[" * 100_000, "too deep"),
    ],
)
def test_text_that_is_no_record_is_refused(text: str, why: str) -> None:
    with pytest.raises(BadInput):
        parsed(text)


def test_a_field_that_is_wrong_is_named() -> None:
    data = json.loads(json_text(body_data(BOARD)))
    data["loom"]["pegs"] = "forty"
    with pytest.raises(BadInput) as caught:
        body_from(Kind.BOARD, Fields(data))
    assert caught.value.place is not None
    assert caught.value.place.field == "loom.pegs"
    assert "whole number" in caught.value.what


@pytest.mark.parametrize("huge", ["1e999", "9" * 400, "true", '"1"'])
def test_numbers_that_are_none_are_refused(huge: str) -> None:
    with pytest.raises(BadInput):
        parsed(f'{{"n": {huge}}}').number("n")


def test_a_whole_record_and_a_weighing_come_back() -> None:
    record = Record("r-1", Kind.PERSON, "cox", COX, "grows fast", at(), at(5), 3, True)
    assert record_from(parsed(json_text(record_data(record)))) == record
    weighing = Weighing("w-1", at(), (50.0, 48.5), "after the cap", "m-1")
    assert weighing_from(parsed(json_text(weighing_data(weighing)))) == weighing
    assert weighing.total_g == 98.5


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("id", "../etc"),
        ("id", ""),
        ("id", "x" * 65),
        ("name", "  "),
        ("name", "two\nlines"),
        ("name", "x" * 201),
        ("notes", "nul \0"),
        ("notes", "half \ud800"),
        ("created", "2026-11-25"),
        ("changed", "2026-13-25T09:30:00.000000Z"),
        ("kind", Kind.BOARD),
    ],
)
def test_a_record_that_cannot_be(field: str, value: object) -> None:
    record = Record("r-1", Kind.PERSON, "cox", COX, "", at(), at())
    with pytest.raises(BadInput) as caught:
        replace(record, **{field: value})  # type: ignore[arg-type]
    assert caught.value.place is not None
    assert caught.value.place.field == field


@pytest.mark.parametrize(
    "make",
    [
        lambda: OwnPerson(Person("cox"), born="30 April"),
        lambda: OwnPerson(Person("cox"), measured="2026-02-30"),
        lambda: OwnBoard(BOARD.loom, spacers_mm=(3.0, 0.0)),
        lambda: OwnBoard(BOARD.loom, bare_gap_mm=-1.0),
        lambda: replace(YARN, scale_g=0.0),
        lambda: replace(SWATCH, board="no id"),
        lambda: Making("d", 0, "cox"),
        lambda: Making("d", 1, "cox", ("a b",)),
        lambda: DesignText("t", "g", "x" * 1_000_001),
        lambda: Weighing("w", at(), (0.0,)),
    ],
)
def test_a_body_that_cannot_be(make: Any) -> None:
    with pytest.raises(BadInput):
        make()


def test_what_things_are_called_when_nobody_says() -> None:
    assert [usual_name(body) for body in BODIES.values()] == [
        "boathouse board",
        "board",
        "Slipway worsted, rust",
        "Ebb sock, rust and cream",
        "swatch of 18 stitches and 24 rows",
        "swatch of 18 stitches and 24 rows",
        "cox",
        "coach",
        "Tern Point hood",
        "making in size cox",
    ]
    assert usual_name(replace(HOOD, title=" \n ")) == "a design"


def test_references_are_found_and_given_anew() -> None:
    making = Making("d-1", 3, "cox", ("y-1", "y-2"))
    swatch = OwnSwatch(Swatch(1, Measured(5), 1, Measured(5)), yarn="y-1")
    assert references(making) == ("d-1", "y-1", "y-2")
    assert references(swatch) == ("y-1",)
    assert references(HOOD) == ()
    moved = {"d-1": "d-9", "y-2": "y-9", "x": "z"}
    assert references(with_references(making, moved)) == ("d-9", "y-1", "y-9")
    assert with_references(swatch, moved) == swatch
    assert with_references(HOOD, moved) is HOOD


def test_times_are_utc_and_sort_as_text() -> None:
    east = timezone(timedelta(hours=2))
    assert stamp(datetime(2026, 1, 2, 1, 30, tzinfo=east)) == "2026-01-01T23:30:00.000000Z"
    assert stamp(datetime(33, 1, 2, tzinfo=UTC)) < stamp(datetime(2026, 1, 2, tzinfo=UTC))
    with pytest.raises(BadInput):
        stamp(datetime(2026, 1, 2))
    assert checked_id(new_id(), "id") != new_id()
