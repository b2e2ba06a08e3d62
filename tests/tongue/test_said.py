"""Sentences that remember how they were made."""

from __future__ import annotations

import copy
import json
import pickle
from gettext import NullTranslations

import pytest

from pegwright.tongue.said import (
    capital,
    fields_of,
    joined,
    listed,
    numeral,
    say,
    say_count,
    separator_of,
    word,
)
from pegwright.tongue.tongue import ENGLISH, Forms, Tongue
from pegwright.units import UnitSystem, format_both, format_mass, format_yarn_length

_TOLD = {
    "Cut {length} of yarn.": "Faden: {length}.",
    "{number} in": "{number} Zoll",
    "the edge": "die Kante",
}


class _Few(NullTranslations):
    def gettext(self, message: str) -> str:
        return _TOLD.get(message, message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:  # noqa: ARG002
        return "eine Reihe" if n == 1 else "{count} Reihen"

    def pgettext(self, context: str, message: str) -> str:
        return {("measure", "edge"): "lange Kante"}.get((context, message), message)


GERMAN = Tongue(
    "de",
    _Few(),
    Forms(decimal=",", group=".", pair="{0} und {1}", last="{0} und {1}", middle="{0}, {1}"),
)


def test_it_is_the_english_text_to_everyone_else() -> None:
    said = say("Hang a slip loop on {knot}.", knot="F1")
    assert said == "Hang a slip loop on F1."
    assert hash(said) == hash("Hang a slip loop on F1.")
    assert json.dumps({"step": said}) == '{"step": "Hang a slip loop on F1."}'
    assert ENGLISH.speak(said) == "Hang a slip loop on F1."


def test_facts_are_said_too() -> None:
    said = say("Cut {length} of yarn.", length=format_both(215.9, UnitSystem.INCHES))
    assert said == "Cut 8 1/2 in (21.6 cm) of yarn."
    assert GERMAN.speak(said) == "Faden: 8 1/2 Zoll (21,6 cm)."


def test_plain_text_stays_as_it_is() -> None:
    assert GERMAN.speak("the edge") == "the edge"
    assert GERMAN.speak(say("the edge")) == "die Kante"


@pytest.mark.parametrize(
    ("count", "english", "german"),
    [(1, "1 row", "eine Reihe"), (2, "2 rows", "2 Reihen"), (1.5, "1.5 rows", "1,5 Reihen")],
)
def test_one_and_several(count: float, english: str, german: str) -> None:
    said = say_count("{count} row", "{count} rows", count)
    assert said == english
    assert GERMAN.speak(said) == german


def test_a_word_with_its_context() -> None:
    assert word("measure", "edge") == "edge"
    assert GERMAN.speak(word("measure", "edge")) == "lange Kante"
    assert GERMAN.speak(say("edge")) == "edge"


def test_texts_in_a_row() -> None:
    said = joined(("F1", say("the edge"), ""), "; ")
    assert said == "F1; the edge"
    assert GERMAN.speak(said) == "F1; die Kante"
    assert GERMAN.speak(capital(joined((say("the edge"),)))) == "Die Kante"


@pytest.mark.parametrize(
    ("parts", "english", "german"),
    [
        ([], "", ""),
        (["F1"], "F1", "F1"),
        (["F1", "B1"], "F1 and B1", "F1 und B1"),
        (["F1", "B1", "F2"], "F1, B1 and F2", "F1, B1 und F2"),
    ],
)
def test_lists(parts: list[str], english: str, german: str) -> None:
    assert listed(parts) == english
    assert GERMAN.speak(listed(parts)) == german


def test_a_missing_fact_is_refused() -> None:
    with pytest.raises(KeyError):
        say("on {knot}")


def test_fields_with_their_forms() -> None:
    assert fields_of("{a} and {b:length}, {c:+1}") == {"a", "b:length", "c:+1"}
    assert fields_of("nothing") == frozenset()


def test_a_semicolon_parts_numbers_with_a_decimal_comma() -> None:
    assert separator_of(["1", "2"]) == ", "
    assert separator_of(["1,5", "2"]) == "; "


def test_it_survives_copying_and_the_way_to_another_process() -> None:
    said = say("Cut {length} of yarn.", length=numeral("2.5"))
    for other in (pickle.loads(pickle.dumps(said)), copy.deepcopy(said)):
        assert other == said
        assert GERMAN.speak(other) == "Faden: 2,5."


def test_units_are_said() -> None:
    assert GERMAN.speak(format_mass(98.7, UnitSystem.CENTIMETRES)) == "99 g (3,5 oz)"
    assert GERMAN.speak(format_yarn_length(5.25, UnitSystem.CENTIMETRES)) == "5,3 m (5,7 yd)"
