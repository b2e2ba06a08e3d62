"""A pseudo-language shows what slipped past the catalogues; another is read from right to left."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from pegwright import making
from pegwright.designs.files import read_any, shipped_designs
from pegwright.pattern.build import build
from pegwright.pattern.model import Pattern
from pegwright.publish.page import pattern_page
from pegwright.publish.pdf import pattern_pdf
from tests.tongue.pseudo import RTL, WIDE

# What no language changes: authors and titles of sources, and the word in a design file.
_NAMES = (
    "Roy Varshney Kothari Munden Dimensional behavior of interlock knitted cotton fabrics drawn"
)


def in_tongue(name: str, tongue: Any) -> tuple[Pattern, set[str]]:
    """A pattern, and the words that its maker chose."""
    design = read_any(name)
    own = [design.title, design.summary, _NAMES, *(s.name for s in design.sizes)]
    own += [yarn.label for yarn in design.yarns.values()]
    own += [c.name for run in design.colour_runs.values() for c in run.colours]
    source = replace(making.source_of(making.prove(design)), tongue=tongue)
    return build(source), set(re.findall(r"[A-Za-z]+", " ".join(own)))


def visible_text(page: str) -> str:
    """All that a page shows or reads aloud."""
    page = re.sub(r"<(style|script).*?</\1>", "", page, flags=re.DOTALL)
    page = re.sub(r"<code>.*?</code>", "", page, flags=re.DOTALL)
    page = re.sub(r'aria-label="([^"]*)"', r">\1<", page)
    return re.sub(r"<[^>]*>", "\n", page).replace("&amp;", "&")


@pytest.mark.parametrize("name", shipped_designs())
def test_no_english_word_reaches_the_page(name: str) -> None:
    one, own = in_tongue(name, WIDE)
    text = visible_text(pattern_page(one).decode())
    words = set(re.findall(r"(?<![\w])[A-Za-z]{2,}(?![\w])", text))
    assert words - own - {"Pegwright"} == set()
    assert "Ĥàñĝ à šļîþ ļööþ" in text


def test_long_words_still_make_a_pdf() -> None:
    one, _ = in_tongue("tern-point-hood", WIDE)
    root: Any = PdfReader(BytesIO(pattern_pdf(one))).root_object
    assert root["/Lang"] == "qps"


def test_a_page_that_is_read_from_right_to_left() -> None:
    one, _ = in_tongue("tern-point-hood", RTL)
    page = pattern_page(one).decode()
    assert '<html lang="qpr" dir="rtl">' in page
    step = one.steps()[0].text[0]
    assert step.count("\N{FIRST STRONG ISOLATE}") == step.count("\N{POP DIRECTIONAL ISOLATE}") == 1
    assert "\N{FIRST STRONG ISOLATE}F1\N{POP DIRECTIONAL ISOLATE}" in step
    assert "figure svg{direction:ltr" in page
    style = page[page.index("<style>") : page.index("</style>")]
    assert not re.search(r"(padding|margin|border)-(left|right)|text-align:(left|right)", style)


def test_a_pdf_that_is_read_from_right_to_left() -> None:
    one, _ = in_tongue("tern-point-hood", RTL)
    reader = PdfReader(BytesIO(pattern_pdf(one)))
    root: Any = reader.root_object
    assert root["/Lang"] == "qpr"
    columns: list[tuple[str, float]] = []

    def see(text: str, cm: list[float], tm: list[float], *_: object) -> None:
        if text.strip():
            columns.append((text.strip(), tm[4] * cm[0] + cm[4]))

    page = next(p for p in reader.pages if re.search(r"[\u05d0-\u05ea]", p.extract_text()))
    page.extract_text(visitor_text=see)
    assert columns, "no text was found"
    middle = float(page.mediabox.width) / 2
    assert max(x for _, x in columns) > middle
    whole = "".join(p.extract_text() for p in reader.pages)
    assert "F1" in whole
    assert re.search(r"[\u05d0-\u05ea]{3}", whole)


def test_left_to_right_texts_carry_no_isolates() -> None:
    one, _ = in_tongue("tern-point-hood", WIDE)
    assert "\N{FIRST STRONG ISOLATE}" not in pattern_page(one).decode()
