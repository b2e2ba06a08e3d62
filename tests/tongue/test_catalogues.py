"""The catalogues hold every message of today, translated, with the same fields."""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Iterator
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po
from fontTools.ttLib import TTFont

from pegwright.tongue.said import fields_of

TRANSLATED = ("de", "es")


@pytest.fixture(scope="module")
def tongues(repo: Path) -> Iterator[ModuleType]:
    """The tool that gathers messages."""
    spec = importlib.util.spec_from_file_location("tongues", repo / "tools" / "tongues.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    yield module
    del sys.modules[spec.name]


@lru_cache
def catalogue(lang: str) -> Catalog:
    """A catalogue as it ships."""
    text = files("pegwright.tongue").joinpath("locale", lang, "LC_MESSAGES", "pegwright.po")
    with text.open("rb") as file:
        return read_po(file, locale=lang)


def messages(lang: str) -> list[Message]:
    return [message for message in catalogue(lang) if message.id]


def forms(told: Any) -> tuple[str, ...]:
    """The forms of a message or of its translation: one, or a singular and plurals."""
    return (told,) if isinstance(told, str) else tuple(told)


def test_the_files_are_those_of_the_sources(tongues: ModuleType) -> None:
    assert tongues.stale() == [], "run: make tongues"


def test_a_new_message_would_be_noticed(tongues: ModuleType) -> None:
    found = {message.id for message in tongues.template() if message.id}
    assert "Hang a slip loop on {knot}." in found
    assert ("{count} row", "{count} rows") in found
    assert len(found) > 800


@pytest.mark.parametrize("lang", TRANSLATED)
def test_every_message_is_translated(lang: str) -> None:
    missing = [m.id for m in messages(lang) if not all(forms(m.string or ""))]
    assert missing == []
    assert not [m.id for m in messages(lang) if m.fuzzy]


@pytest.mark.parametrize("lang", TRANSLATED)
def test_a_translation_has_the_same_fields(lang: str) -> None:
    wrong = [
        (m.id, m.string)
        for m in messages(lang)
        if {fields_of(form) for form in forms(m.string)} - {fields_of(form) for form in forms(m.id)}
    ]
    assert wrong == []


@pytest.mark.parametrize("lang", TRANSLATED)
def test_sentences_are_not_left_in_english(lang: str) -> None:
    same = [
        m.id
        for m in messages(lang)
        if m.string == m.id and len([w for w in str(m.id).split() if w.isalpha()]) > 2
    ]
    assert same == []


@pytest.mark.parametrize("lang", TRANSLATED)
def test_sentences_end_as_the_english_ones_do(lang: str) -> None:
    marks = ".:;,"
    wrong = [
        (m.id, m.string)
        for m in messages(lang)
        for one, other in [(forms(m.id)[0].rstrip(), forms(m.string)[0].rstrip())]
        if one[-1] == "." and other[-1] not in marks
    ]
    assert wrong == []


@pytest.mark.parametrize("lang", TRANSLATED)
def test_every_letter_is_in_the_fonts(lang: str) -> None:
    letters = {ord(c) for m in messages(lang) for form in forms(m.string) for c in form}
    folder = files("pegwright.publish").joinpath("fonts")
    fonts = [f for f in folder.iterdir() if f.name.endswith((".ttf", ".woff2"))]
    assert len(fonts) >= 8
    for font in fonts:
        with font.open("rb") as file:
            held = set(TTFont(file).getBestCmap())
        assert letters <= held, (font.name, sorted(map(chr, letters - held)))
