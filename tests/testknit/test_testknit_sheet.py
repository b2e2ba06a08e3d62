"""The form: what is asked, as a PDF and as a file that reads back."""

from __future__ import annotations

import io
import re
import tomllib
from typing import Any

import pypdf
import pytest

from pegwright import making
from pegwright.designs.files import read_any, shipped_designs
from pegwright.publish.pdf import Paper, PrintStyle
from pegwright.testknit.answers import read_answers
from pegwright.testknit.basis import Axis, Basis, Multiple, basis
from pegwright.testknit.sheet_file import sheet_toml
from pegwright.testknit.sheet_pdf import sheet_pdf


def words_of(made: bytes) -> str:
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made)).pages)
    return re.sub(r"\s+", " ", text)


def test_the_sheet_asks_for_every_finished_measure_yarn_and_step(base: Basis) -> None:
    size = base.made.sizes[1]
    sheet = base.sheets["bow"]
    assert [m.name for m in sheet.measures] == list(size.plan.finished)
    assert sheet.yarns == tuple(need.yarn.name for need in size.needs)
    assert [number for number, _ in sheet.steps] == [s.number for s in size.plan.script.steps]
    # The strip's width is asked for as the hood's depth; its length nowhere else.
    (piece,) = sheet.pieces
    assert (piece.name, piece.width) == ("strip", None)
    assert piece.length == size.plan.piece("strip").length


@pytest.fixture(scope="module")
def printed(base: Basis) -> bytes:
    return sheet_pdf(base.sheets["bow"])


def test_the_printed_form_is_tagged_and_keeps_to_pdf_ua(printed: bytes) -> None:
    root: Any = pypdf.PdfReader(io.BytesIO(printed)).root_object
    assert root["/MarkInfo"]["/Marked"] == True  # noqa: E712  (a PDF boolean, not Python's)
    assert root["/Lang"].lower() == "en-gb"
    # ISO 14289-1, 5: the document says which part of PDF/UA it keeps to.
    assert b"pdfuaid" in root["/Metadata"].get_data()


def test_the_printed_form_asks_for_everything(base: Basis, printed: bytes) -> None:
    sheet, words = base.sheets["bow"], words_of(printed)
    assert "Test knit: Tern Point hood, version 1.0, size bow" in words
    for part in ("Your board", "Wrap test", "Swatch", "Finished", "Yarn", "Time", "Remarks"):
        assert part in words
    for _, title in sheet.steps:
        assert title in words
    for measure in sheet.measures:
        assert measure.name in words
    assert sheet.digest in words.replace(" ", "")


def test_no_tape_is_read_with_the_answer_in_mind(base: Basis, printed: bytes) -> None:
    """Neither form tells what was predicted."""
    sheet = base.sheets["bow"]
    for text in (words_of(printed), sheet_toml(sheet)):
        for measure in sheet.measures:
            shown = sheet.predicted_words(measure.name)
            assert shown not in text
            assert shown.partition(" (")[0] not in text


def test_the_same_sheet_gives_the_same_bytes(base: Basis, printed: bytes) -> None:
    assert sheet_pdf(base.sheets["bow"]) == printed
    large = sheet_pdf(base.sheets["bow"], PrintStyle(Paper.LETTER, large_print=True))
    page = pypdf.PdfReader(io.BytesIO(large)).pages[0]
    assert (round(page.mediabox.width), round(page.mediabox.height)) == (612, 792)
    assert len(pypdf.PdfReader(io.BytesIO(large)).pages) > len(
        pypdf.PdfReader(io.BytesIO(printed)).pages
    )


@pytest.mark.parametrize("name", shipped_designs())
def test_an_empty_form_of_every_design_reads_back_as_no_answers(name: str) -> None:
    made, pattern = making.make(read_any(name))
    assert pattern is not None
    for sheet in basis(made, pattern).sheets.values():
        text = sheet_toml(sheet)
        tomllib.loads(text)
        answers = read_answers(text, {sheet.size: sheet}, "empty.toml")
        assert (answers.size, answers.tester) == (sheet.size, "empty.toml")
        assert not answers.measures_mm
        assert not answers.yarns
        assert not answers.troubles
        assert answers.swatch is None


def test_multiples_of_the_gauge_are_known_by_their_counts() -> None:
    """Counts read off the plan: which measure tells of stitches, which of rows."""
    made, pattern = making.make(read_any("tern-point-panel-blanket"))
    assert pattern is not None
    size = made.sizes[0]
    found = basis(made, pattern).sizes[size.name].multiples
    panel = size.plan.pieces[0]
    assert found["panel 1 width"] == Multiple(Axis.WALE, panel.columns)
    assert found["panel 1 length"] == Multiple(Axis.COURSE, panel.rows)
    assert found["width"] == Multiple(Axis.WALE, 3 * panel.columns)
    assert found["length"] == Multiple(Axis.COURSE, 2 * panel.rows)


def test_a_gathered_neck_and_a_cord_tell_nothing_of_the_gauge(base: Basis) -> None:
    multiples = base.sizes["bow"].multiples
    assert set(multiples) == {"depth", "height", "strip length"}
    strip = base.made.sizes[1].plan.piece("strip")
    assert multiples["height"] == Multiple(Axis.COURSE, strip.rows / 2)
