"""The languages that come with Pegwright: numbers, lists, units and paper by their customs."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from pegwright.designs.model import usual_units
from pegwright.errors import BadInput
from pegwright.publish.pdf import Paper, usual_paper
from pegwright.tongue.catalogues import LANGUAGES, tongue_of
from pegwright.units import UnitSystem

# Marks of numbers: Unicode CLDR, numbers, symbols of latn and minimum grouping digits.
_NUMBERS = [
    ("en", "1,234.5", "1,234.5"),
    ("en-GB", "1,234.5", "1,234.5"),
    ("de", "1,234.5", "1.234,5"),
    ("de-CH", "1,234.5", "1’234.5"),
    ("es", "1,234.5", "1234,5"),  # no mark in a number of four digits
    ("es", "12,345", "12.345"),
    ("es-MX", "1,234.5", "1,234.5"),
    ("de", "8 1/2", "8 1/2"),
    ("de", "-0.75", "-0,75"),
]


@pytest.mark.parametrize(("language", "english", "told"), _NUMBERS)
def test_digits(language: str, english: str, told: str) -> None:
    assert tongue_of(language).digits(english) == told


@pytest.mark.parametrize(
    ("language", "told"),
    [("en", "F1, F2 and B1"), ("de", "F1, F2 und B1"), ("es", "F1, F2 y B1")],
)
def test_lists(language: str, told: str) -> None:
    assert tongue_of(language).listed(["F1", "F2", "B1"]) == told


# US customary units and US Letter: Unicode CLDR, measurement system and paper size, from memory.
@pytest.mark.parametrize(
    ("language", "units", "paper"),
    [
        ("en", UnitSystem.INCHES, Paper.A4),
        ("en-US", UnitSystem.INCHES, Paper.LETTER),
        ("en-GB", UnitSystem.CENTIMETRES, Paper.A4),
        ("de", UnitSystem.CENTIMETRES, Paper.A4),
        ("de-AT", UnitSystem.CENTIMETRES, Paper.A4),
        ("es", UnitSystem.CENTIMETRES, Paper.A4),
        ("es-MX", UnitSystem.CENTIMETRES, Paper.LETTER),
        ("es-US", UnitSystem.INCHES, Paper.LETTER),
    ],
)
def test_units_and_paper_follow_the_place(language: str, units: UnitSystem, paper: Paper) -> None:
    assert usual_units(language) is units
    assert usual_paper(tongue_of(language)) is paper


@pytest.mark.parametrize(
    ("given", "tag"), [("de", "de"), ("DE", "de"), ("en-us", "en-US"), (" es-MX ", "es-MX")]
)
def test_tags_are_written_in_one_way(given: str, tag: str) -> None:
    assert tongue_of(given).language == tag


@pytest.mark.parametrize("given", ["", "fr", "german", "de_DE", "de-DE-1996", "../de"])
def test_other_languages_are_refused_with_those_there_are(given: str) -> None:
    with pytest.raises(BadInput) as refused:
        tongue_of(given)
    assert all(tag in str(refused.value.hint) for tag in LANGUAGES)


def test_a_territory_that_nobody_knows_takes_the_language_alone() -> None:
    assert tongue_of("de-ZZ").digits("1.5") == "1,5"


@pytest.mark.parametrize(("language", "loaded"), [("en", False), ("en-US", False), ("de", True)])
def test_english_needs_no_locale_data(language: str, loaded: bool, repo: Path) -> None:
    probe = (
        "import sys; from pegwright.tongue.catalogues import tongue_of;"
        f"tongue_of({language!r}).digits('1.5'); print('babel' in sys.modules)"
    )
    run = subprocess.run(
        [sys.executable, "-c", probe],
        check=True,
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(repo / "src")},
    )
    assert run.stdout.strip() == str(loaded)
