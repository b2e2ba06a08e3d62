"""Every design that ships, in every language: nothing stays English, and the PDF holds."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from functools import lru_cache
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from pegwright import making
from pegwright.designs.files import read_any, shipped_designs
from pegwright.errors import Finding
from pegwright.pattern.build import build
from pegwright.pattern.model import FabricDrawing, Pattern
from pegwright.pattern.spoken import spoken
from pegwright.publish.drawing import Anchor, Group, Mark, Text, text_width
from pegwright.publish.figures import draw
from pegwright.publish.page import how_to, pattern_page
from pegwright.publish.pdf import pattern_pdf
from pegwright.publish.report import report_text
from pegwright.tongue.catalogues import tongue_of

DESIGNS = shipped_designs()
WORDS = {
    "de": ("Größe", "Maschenprobe", "Anschlagen", "Reihe", "Warnhinweise", "Nachweis", "Schere"),
    "es": ("Talla", "Tensión", "Montar", "vuelta", "Advertencias", "prueba", "tijeras"),
}


@lru_cache(maxsize=2)
def made(name: str) -> making.Made:
    """A design worked out; its own units are kept."""
    return making.prove(read_any(name))


@lru_cache(maxsize=6)
def pattern(name: str, lang: str) -> Pattern:
    """A design's pattern in a language."""
    return build(replace(making.source_of(made(name)), tongue=tongue_of(lang)))


def texts(value: Any) -> Iterator[str]:
    """Every text within a document that is there to be read."""
    if isinstance(value, Enum | Finding):
        return
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple | list):
        for part in value:
            yield from texts(part)
    elif is_dataclass(value):
        for one in fields(value):
            if one.name not in ("tongue", "loom", "key", "figure"):
                yield from texts(getattr(value, one.name))


def sentences(one: Pattern) -> set[str]:
    """Every text of two words or more that is not the maker's own."""
    own = {one.title, one.summary, one.proof.digest}
    return {t for t in texts(one) if len(re.findall(r"[^\W\d_]{3,}", t)) > 1} - own


@pytest.mark.parametrize("name", DESIGNS)
@pytest.mark.parametrize("lang", WORDS)
def test_no_english_sentence_is_left(name: str, lang: str) -> None:
    english, told = sentences(pattern(name, "en")), sentences(pattern(name, lang))
    design = made(name).design
    labels = [yarn.label for yarn in design.yarns.values()]
    names = " ".join((*labels, *(size.name for size in design.sizes)))
    own = set(re.findall(r"[^\W\d_]+", names))
    same = {text for text in english & told if set(re.findall(r"[^\W\d_]+", text)) - own}
    assert same == set()
    assert len(told) > 0.9 * len(english)
    whole = "\n".join(told)
    assert not re.search(r"\{\w*\}", whole), "a field was left unfilled"
    assert all(word in "\n".join(texts(pattern(name, lang))) for word in WORDS[lang][:6])


@pytest.mark.parametrize("name", DESIGNS)
@pytest.mark.parametrize("lang", WORDS)
def test_counts_and_pegs_are_those_of_the_english_pattern(name: str, lang: str) -> None:
    for one, other in zip(pattern(name, "en").steps(), pattern(name, lang).steps(), strict=True):
        assert one.number == other.number
        assert one.figure == other.figure
        found = [
            sorted(re.findall(r"[FBP]\d+", " ".join((*step.text, step.tally))))
            for step in (one, other)
        ]
        assert found[0] == found[1], one.title


@pytest.mark.parametrize("name", DESIGNS)
@pytest.mark.parametrize("lang", WORDS)
def test_labels_stay_on_their_sheet(name: str, lang: str) -> None:
    for figure in pattern(name, lang).figures():
        if isinstance(figure.drawing, FabricDrawing):
            continue
        drawing = draw(figure, tongue_of(lang))
        for label, left, right in _spans(drawing.marks):
            assert left > -4, (figure.key, label)
            assert right < drawing.width + 4, (figure.key, label)


@pytest.mark.parametrize(
    ("lang", "words"), [("de", "wird für ein Kind abgelehnt"), ("es", "se rechaza un cordón")]
)
def test_findings_are_said_too(lang: str, words: str) -> None:
    one = pattern("tern-point-junior-hood", lang)
    assert any(words in finding.what for finding in one.proof.findings)
    assert words in report_text(one).decode()


def _spans(marks: tuple[Mark, ...], dx: float = 0.0) -> Iterator[tuple[str, float, float]]:
    for mark in marks:
        if isinstance(mark, Group):
            yield from _spans(mark.marks, dx + mark.dx)
        elif isinstance(mark, Text) and not mark.turn_deg:
            wide = text_width(mark.words, mark.size)
            part = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[mark.anchor]
            left = mark.x + dx - wide * part
            yield mark.words, left, left + wide


@pytest.mark.slow
@pytest.mark.parametrize("name", DESIGNS)
@pytest.mark.parametrize("lang", WORDS)
def test_the_pdf_keeps_to_pdf_ua_and_speaks(name: str, lang: str) -> None:
    # The typesetter refuses what does not keep to ISO 14289-1.
    reader = PdfReader(BytesIO(pattern_pdf(pattern(name, lang))))
    root: Any = reader.root_object
    assert root["/Lang"] == lang
    whole = " ".join(page.extract_text() for page in reader.pages)
    assert all(word in whole for word in WORDS[lang])
    assert not [w for w in ("Cautions", "When done", "Knit and make up", "Source:") if w in whole]


@pytest.mark.parametrize("lang", WORDS)
def test_the_page_says_its_language(lang: str) -> None:
    one = pattern("tern-point-hood", lang)
    page = pattern_page(one).decode()
    assert f'<html lang="{lang}" dir="ltr">' in page
    assert how_to(one)["inLanguage"] == lang
    assert f'"inLanguage": "{lang}"' in page
    assert "Skip to the pattern" not in page
    assert "Operations executed" not in report_text(one).decode()
    assert json.loads(json.dumps(how_to(one))) == how_to(one)


def test_decimals_have_a_comma_and_sizes_a_semicolon() -> None:
    metric = replace(
        making.source_of(made("tern-point-hood")),
        tongue=tongue_of("de"),
    )
    rows = " ".join(texts(build(metric)))
    assert re.search(r"\d,\d cm", rows)
    assert not re.search(r"\d\.\d+ cm", rows)
    assert re.search(r"\(\d+,\d; \d+,\d\) cm", rows)
    assert re.search(r"\d{2}\.\d{3} Handbewegungen", rows)


def test_english_is_the_document_as_it_was_written() -> None:
    english = pattern("tern-point-hood", "en")
    again = spoken(english, tongue_of("en-GB"))
    assert replace(again, language="en", tongue=english.tongue) == english


def test_a_design_file_names_its_language() -> None:
    from pegwright.designs.files import shipped_text
    from pegwright.designs.reader import read_text
    from pegwright.designs.writer import write_text
    from pegwright.errors import PegwrightError
    from pegwright.units import UnitSystem

    text = shipped_text("tern-point-cowl")
    german = text.replace("[design]", '[design]\nlanguage = "de"', 1)
    design = read_text(german)
    assert design.language == "de"
    assert read_text(write_text(design)) == design
    assert design.units == read_text(text).units, "the maker's own units stay"
    bare = re.sub(r"(?m)^units = .*\n", "", german)
    assert read_text(bare).units is UnitSystem.CENTIMETRES
    assert read_text(bare).in_language("en-US").units is UnitSystem.INCHES
    with pytest.raises(PegwrightError, match="no patterns are written in this language"):
        read_text(text.replace("[design]", '[design]\nlanguage = "tlh"', 1))
