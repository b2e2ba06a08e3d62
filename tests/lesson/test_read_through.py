"""The lesson read through: the same sheet and cards as in the pack, each card at its shot."""

from __future__ import annotations

import sys

import pytest

from pegwright.errors import BadInput
from pegwright.lesson.card_layout import Shape
from pegwright.lesson.pack import lesson_pack
from pegwright.lesson.raster import missing
from pegwright.lesson.read_through import cards_at, read_through
from tests.lesson.conftest import Proved


@pytest.mark.parametrize("shape", list(Shape))
def test_cards_and_sheet_are_those_of_the_pack(
    hood: Proved, shape: Shape, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pegwright.lesson.pack.svg_png", lambda *_: b"")
    files = lesson_pack(hood.source, hood.pattern, size="bow", films=False).files
    found = read_through(hood.source, hood.pattern, size="bow", shape=shape)
    drawn = {name for name in files if f"-card-{shape.label}-" in name and name.endswith(".svg")}
    assert {f"{card.name}.svg" for card in found.cards} == drawn
    assert all(files[f"{card.name}.svg"] == card.page.svg for card in found.cards)
    assert found.sheet.size == "bow"
    with pytest.raises(BadInput, match="no such size"):
        read_through(hood.source, hood.pattern, size="stroke")


def test_a_card_says_the_same_to_those_who_cannot_see_it(hood: Proved) -> None:
    for card in read_through(hood.source, hood.pattern).cards:
        assert f'-desc">{card.page.alt.partition("&")[0][:40]}' in card.page.svg.decode()


def test_every_card_that_a_shot_names_is_found(any_design: Proved) -> None:
    found = read_through(any_design.source, any_design.pattern)
    for cue in found.sheet.cues:
        cards = cards_at(cue, found.cards)
        assert bool(cards) == bool(cue.card), cue.card
        assert all(card.page.key.startswith(cue.card) for card in cards)


def test_a_card_with_a_longer_name_is_another(hood: Proved) -> None:
    found = read_through(hood.source, hood.pattern)
    wrap = next(cue for cue in found.sheet.cues if cue.card == "wrap")
    assert [card.page.key for card in cards_at(wrap, found.cards)] == ["wrap"]  # not wrap-test
    cautions = next(cue for cue in found.sheet.cues if cue.card == "cautions")
    assert len(cards_at(cautions, found.cards)) == 3


def test_it_needs_none_of_the_libraries_of_the_pack(
    hood: Proved, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert missing() == ()
    monkeypatch.setitem(sys.modules, "av", None)
    assert (missing(), missing(films=False)) == (("av",), ())
    monkeypatch.setitem(sys.modules, "resvg_py", None)
    assert missing(films=False) == ("resvg-py",)
    assert read_through(hood.source, hood.pattern).cards
