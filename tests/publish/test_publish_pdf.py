from __future__ import annotations

import io
import re
import subprocess
import sys
from dataclasses import replace
from typing import Any

import pypdf
import pytest
import typst

from pegwright.errors import BadInput, NotPossible
from pegwright.pattern.model import Paragraph, Pattern, PatternStep, Section, StepBlock
from pegwright.publish import pdf
from pegwright.publish.pdf import Paper, PrintStyle, pattern_pdf
from pegwright.publish.words import held_together, plain_fractions
from tests.publish.tern_point import HOOD, WRAP

HOSTILE = '#eval("1") *bold* $x^2$ \\ `raw` <label> @ref // /* = <script> \'quote\' "double"'


def read(made: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(made))


def words_of(made: bytes) -> str:
    text = " ".join(page.extract_text() for page in read(made).pages)
    return re.sub(r"\s+", " ", text)


@pytest.fixture(scope="module")
def made() -> bytes:
    return pattern_pdf(HOOD)


def test_it_is_tagged_and_says_its_language_and_title(made: bytes) -> None:
    root: Any = read(made).root_object
    assert root["/MarkInfo"]["/Marked"] == True  # noqa: E712  (a PDF boolean, not Python's)
    assert "/StructTreeRoot" in root
    assert root["/Lang"].lower() == "en-gb"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"] == True  # noqa: E712
    metadata = read(made).metadata
    assert metadata is not None
    assert metadata.title == "Tern Point hood"
    # ISO 14289-1, 5: the document says which part of PDF/UA it keeps to.
    assert b"pdfuaid" in root["/Metadata"].get_data()


def tags_of(made: bytes) -> list[Any]:
    found: list[Any] = []

    def walk(node: Any) -> None:
        node = node.get_object()
        if isinstance(node, list):
            for kid in node:
                walk(kid)
        elif isinstance(node, dict) and ("/S" in node or "/K" in node):
            if "/S" in node:
                found.append(node)
            if "/K" in node:
                walk(node["/K"])

    walk(read(made).root_object["/StructTreeRoot"])
    return found


def test_headings_tables_and_figures_are_real_ones(made: bytes) -> None:
    tags = tags_of(made)
    names = [tag["/S"] for tag in tags]
    assert names.count("/H1") == 1
    assert names.count("/H2") == len(HOOD.sections) + 2  # notes and proof
    assert names.count("/H3") == len(HOOD.steps())
    assert names.count("/Table") == 3
    assert names.count("/TH") >= 4 + 3 + 3
    alts = {str(tag["/Alt"]) for tag in tags if tag["/S"] == "/Figure" and "/Alt" in tag}
    assert {figure.alt for figure in HOOD.figures()} <= alts


@pytest.mark.parametrize(
    ("paper", "width_mm", "height_mm"),
    [
        (Paper.A4, 210.0, 297.0),  # ISO 216
        (Paper.LETTER, 215.9, 279.4),  # 8 1/2 by 11 in, ANSI/ASME Y14.1 size A
    ],
)
@pytest.mark.parametrize("large", [False, True])
def test_paper_sizes(paper: Paper, width_mm: float, height_mm: float, large: bool) -> None:
    for page in read(pattern_pdf(HOOD, PrintStyle(paper, large))).pages:
        assert float(page.mediabox.width) / 72 * 25.4 == pytest.approx(width_mm, abs=0.1)
        assert float(page.mediabox.height) / 72 * 25.4 == pytest.approx(height_mm, abs=0.1)


def test_large_print_is_larger(made: bytes) -> None:
    large = pattern_pdf(HOOD, PrintStyle(large_print=True))
    assert len(read(large).pages) > len(read(made).pages)
    sizes: list[float] = []

    def seen(text: str, _cm: Any, _tm: Any, _font: Any, size: float) -> None:
        if "winter-kit" in text:
            sizes.append(size)

    for document in (made, large):
        read(document).pages[0].extract_text(visitor_text=seen)
    assert sizes == pytest.approx([10.5 * 1.1, 16 * 1.1], abs=0.1)


def test_every_step_and_number_is_in_print(made: bytes) -> None:
    words = words_of(made)
    for step in HOOD.steps():
        assert f"{step.number} {step.title}" in words
        assert all(held in words for held in step.text)
        assert step.tally in words
    assert "Sizes 1 · 2 · 3" in words
    assert "about 6 h 50 min" in words
    assert HOOD.proof.digest in words.replace(" ", "")
    assert "14,872" in words
    assert f"page 1 of {len(read(made).pages)}" in words


def test_only_the_bundled_fonts_are_used(made: bytes) -> None:
    resources: list[Any] = [page["/Resources"].get_object() for page in read(made).pages]
    names = {
        font.get_object()["/BaseFont"].split("+")[-1]
        for held in resources
        for font in held.get("/Font", {}).get_object().values()
    }
    assert names <= {
        "AtkinsonHyperlegible-Regular",
        "AtkinsonHyperlegible-Bold",
        "AtkinsonHyperlegible-Italic",
        "Literata-SemiBold",
        "Literata-Italic",
    }
    assert names


def test_the_same_pattern_gives_the_same_bytes(made: bytes) -> None:
    assert pattern_pdf(replace(HOOD)) == made


def test_a_figure_without_words_is_refused_by_the_standard_itself() -> None:
    document: Any = pdf._document(HOOD, PrintStyle())
    assert pdf._typeset(document).startswith(b"%PDF")
    for section in document["sections"]:
        for block in section["blocks"]:
            if block.get("label") == "figure-wrap":
                block["alt"] = ""
    with pytest.raises(BadInput, match="cannot see it") as refused:
        pdf._typeset(document)
    assert isinstance(refused.value.__cause__, typst.TypstError)
    assert "PDF/UA-1" in str(refused.value.__cause__)


def test_a_pattern_with_a_wordless_figure_is_refused() -> None:
    bare = replace(HOOD, sections=(Section("s", "S", (replace(WRAP, alt="  "),)),))
    with pytest.raises(BadInput, match="cannot see it"):
        pattern_pdf(bare)


def hostile_pattern() -> Pattern:
    step = PatternStep(1, HOSTILE, (HOSTILE,), HOSTILE, "no-such-figure")
    section = Section("s", HOSTILE, (Paragraph(HOSTILE), StepBlock((step,))))
    return replace(HOOD, title=HOSTILE, subtitle=HOSTILE, summary=HOSTILE, sections=(section,))


def test_text_is_never_markup() -> None:
    words = words_of(pattern_pdf(hostile_pattern())).replace("’", "'").replace("‘", "'")
    words = words.replace("“", '"').replace("”", '"')
    for part in ('#eval("1")', "*bold*", "$x^2$", "\\ `raw`", "<label> @ref", "<script>"):
        assert words.count(part) >= 6, part


def test_letters_beyond_the_two_families_are_still_shown() -> None:
    greek = replace(HOOD, title="Κουκούλα ⅜", language="el")
    assert "Κουκούλα 3/8" in words_of(pattern_pdf(greek))


def test_letters_that_no_font_holds_are_named() -> None:
    with pytest.raises((BadInput, NotPossible)) as refused:
        pattern_pdf(replace(HOOD, title="编织"))
    assert "编" in str(refused.value) or "font" in str(refused.value)


@pytest.mark.parametrize(
    ("given", "written"),
    [
        ("1⅜ in", "1 3/8 in"),  # a digit before it
        ("⅛ in", "1/8 in"),
        ("½ in", "½ in"),  # the bundled fonts hold it
    ],
)
def test_fractions_are_written_out(given: str, written: str) -> None:
    assert plain_fractions(given) == written


def test_numbers_hold_their_units() -> None:
    assert held_together("2 1/4 in long, 30 pegs in row 3 in all") == (
        "2\u00a01/4\u00a0in long, 30 pegs in row 3\u00a0in all"
    )


@pytest.mark.parametrize(
    ("tag", "written"),
    [
        ("en", "en"),
        ("pt-BR", "pt-br"),
        ("zh-Hant-TW", "zh-tw"),  # the script has no place in the typesetter
        ("", "und"),  # undetermined, ISO 639-2
        ("english", "und"),
    ],
)
def test_language_tags(tag: str, written: str) -> None:
    root: Any = read(pattern_pdf(replace(HOOD, language=tag))).root_object
    assert root["/Lang"].lower() == written


def test_a_long_step_may_break_and_still_prints_whole() -> None:
    long = PatternStep(1, "Long", tuple(f"Line {i} of many." for i in range(400)))
    pattern = replace(HOOD, sections=(Section("s", "S", (StepBlock((long,)),)),))
    made = pattern_pdf(pattern)
    assert len(read(made).pages) >= 4
    assert "Line 399 of many." in words_of(made)


def test_no_heading_ends_a_page() -> None:
    for style in (PrintStyle(), PrintStyle(Paper.LETTER), PrintStyle(large_print=True)):
        for page in read(pattern_pdf(HOOD, style)).pages:
            lines = [line.strip() for line in page.extract_text().splitlines() if line.strip()]
            body = [line for line in lines if not re.match(r"Tern Point hood|page \d", line)]
            titles = {section.title for section in HOOD.sections} | {"Proof", "Notes"}
            if body:
                assert body[-1] not in titles


def test_naming_the_package_costs_nothing() -> None:
    code = (
        "import sys, pegwright.publish, pegwright.publish.pdf, pegwright.publish.page;"
        "print([m for m in ('typst', 'numpy') if m in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
