"""Publishing from the studio: the same files as the command writes, as the maker wants them."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from typing import Any

import pytest
from pypdf import PdfReader
from starlette.testclient import TestClient

from pegwright import making
from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.library.records import Record
from pegwright.publish.page import pattern_page

A4_MM, LETTER_MM = (210, 297), (215.9, 279.4)  # ISO 216; ANSI/ASME Y14.1


def pdf_of(client: TestClient, design: Record, **query: Any) -> PdfReader:
    answer = client.get(f"/api/publish/{design.id}/pdf", params=query)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/pdf"
    return PdfReader(io.BytesIO(answer.content))


@pytest.mark.parametrize(("paper", "sheet_mm"), [("a4", A4_MM), ("us-letter", LETTER_MM)])
def test_the_paper_is_the_one_that_was_chosen(
    client: TestClient, hood: Record, paper: str, sheet_mm: tuple[float, float]
) -> None:
    box = pdf_of(client, hood, paper=paper).pages[0].mediabox
    found = [float(points) / 72 * 25.4 for points in (box.width, box.height)]
    assert found == pytest.approx(sheet_mm, abs=0.5)


def test_sizes_units_and_print_are_as_chosen(client: TestClient, hood: Record) -> None:
    usual = pdf_of(client, hood)
    one = pdf_of(client, hood, size=["bow"], units="centimetres")
    text = one.pages[0].extract_text()
    assert "bow" in text
    assert "coach" not in "".join(page.extract_text() for page in one.pages)
    assert "57 cm (22" in text.replace("\u00a0", " ")
    assert len(pdf_of(client, hood, large_print=True).pages) > len(usual.pages)


def test_it_is_written_in_the_language_that_was_chosen(client: TestClient, hood: Record) -> None:
    page = client.get(f"/publish/{hood.id}").text
    for tag, name in (("en", "English"), ("de", "Deutsch"), ("es", "español")):
        assert f'value="{tag}"' in page
        assert f">{name}<" in page
    german = client.get(f"/api/publish/{hood.id}/page", params={"language": "de"})
    assert '<html lang="de"' in german.text
    assert "Anschlag" in german.text  # casting on
    design = read_text(shipped_text("tern-point-hood")).in_language("de")
    _, pattern = making.make(replace(design, units=design.units))
    assert pattern is not None
    assert german.content == pattern_page(pattern)
    answer = client.get(f"/api/publish/{hood.id}/page", params={"language": "fr"})
    assert answer.status_code == 422
    assert answer.json()["field"] == "language"


def test_the_pack_is_what_the_command_writes(client: TestClient, hood: Record) -> None:
    answer = client.get(f"/api/publish/{hood.id}/pack")
    design = read_text(shipped_text("tern-point-hood"))
    _, pattern = making.make(design)
    assert pattern is not None
    wanted = making.files(pattern)
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        got = {name: archive.read(name) for name in archive.namelist()}
    assert got.pop("tern-point-hood.toml").decode() == shipped_text("tern-point-hood")
    assert got == wanted
    assert client.get(f"/api/publish/{hood.id}/pack").content == answer.content


def test_what_has_faults_is_never_printed(client: TestClient, hood: Record) -> None:
    view = client.get(f"/api/designs/{hood.id}").json()
    body = {"revision": view["revision"], "changes": [{"path": "loom.pitch", "value": "x"}]}
    client.patch(f"/api/designs/{hood.id}/fields", json=body)
    for what in ("pdf", "page", "pack"):
        answer = client.get(f"/api/publish/{hood.id}/{what}")
        assert answer.status_code == 422
        assert "mend" in answer.json()["try"]
    page = client.get(f"/publish/{hood.id}", headers={"Accept": "text/html"})
    assert "cannot be published yet" in page.text


def test_a_size_that_is_not_there_is_refused(client: TestClient, hood: Record) -> None:
    answer = client.get(f"/api/publish/{hood.id}/pdf", params={"size": "stroke"})
    assert answer.status_code == 422
    assert answer.json()["given"] == "stroke"
