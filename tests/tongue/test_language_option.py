"""``pegwright make --language``: what is written, on which sheet."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from pegwright.cli.main import main
from pegwright.designs.files import shipped_text
from pegwright.errors import ExitCode

# ISO 216 A4 and ANSI Letter, in points.
_A4, _LETTER = (595, 842), (612, 792)


def pdf_of(folder: Path, name: str, *options: str) -> PdfReader:
    assert main(["make", name, "--out", str(folder), *options]) == ExitCode.OK
    return PdfReader(next(folder.glob("*.pdf")))


@pytest.mark.parametrize(
    ("options", "language", "paper"),
    [
        ((), "en", _A4),
        (("--language", "de"), "de", _A4),
        (("--language", "es-mx"), "es-MX", _LETTER),
        (("--language", "en-US"), "en-US", _LETTER),
        (("--language", "en-US", "--paper", "a4"), "en-US", _A4),
        (("--language", "de", "--paper", "letter"), "de", _LETTER),
    ],
)
def test_language_and_sheet(
    options: tuple[str, ...], language: str, paper: tuple[int, int], tmp_path: Path
) -> None:
    reader = pdf_of(tmp_path, "tern-point-headband", *options)
    root: Any = reader.root_object
    assert root["/Lang"].lower() == language.lower()
    box = reader.pages[0].mediabox
    assert (round(box.width), round(box.height)) == paper
    page = next(tmp_path.glob("*.html")).read_text(encoding="utf-8")
    assert f'lang="{language}"' in page


def test_units_follow_the_language_where_the_design_names_none(tmp_path: Path) -> None:
    text = shipped_text("tern-point-headband")
    assert 'units = "' in text
    bare = "".join(
        line for line in text.splitlines(keepends=True) if not line.startswith("units = ")
    )
    design = tmp_path / "bare.toml"
    design.write_text(bare, encoding="utf-8")
    wanted = {"de": r"\d cm \([\d /]+ Zoll\)", "en": r"\d in \([\d.]+ cm\)", "es": r"pulg\. \("}
    for language, units in (("de", ()), ("en", ()), ("es", ("--units", "inches"))):
        folder = tmp_path / language
        pdf_of(folder, str(design), "--language", language, *units)
        page = next(folder.glob("*.html")).read_text(encoding="utf-8").replace("\xa0", " ")
        assert re.search(wanted[language], page), language


def test_an_unknown_language_is_told_of_with_those_there_are(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = main(["make", "tern-point-hood", "--language", "klingon", "--out", str(tmp_path)])
    assert code == ExitCode.USAGE
    told = capsys.readouterr().err
    assert "--language" in told
    assert "de (Deutsch)" in told
    assert list(tmp_path.iterdir()) == []
