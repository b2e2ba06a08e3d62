"""The forms of a design as files: for every size a PDF to print, and a file to fill in."""

from __future__ import annotations

from collections.abc import Mapping

from pegwright.designs.model import slug
from pegwright.designs.problems import check_size
from pegwright.publish.pdf import PrintStyle
from pegwright.testknit.sheet import TesterSheet
from pegwright.testknit.sheet_file import sheet_toml
from pegwright.testknit.sheet_pdf import sheet_pdf

__all__ = ["form_files"]


def form_files(
    asked: Mapping[str, TesterSheet], style: PrintStyle, size: str | None = None
) -> dict[str, bytes]:
    """The files by name; of each size the PDF first.

    :param asked: the sheet of every size, by the size's name.
    :param size: this size alone; all of them where none is named.
    :raises BadInput: where there is no such size.
    """
    if size is not None:
        check_size(size, asked)
    stems = _stems(asked)
    files: dict[str, bytes] = {}
    for sheet in asked.values() if size is None else [asked[size]]:
        stem = f"{sheet.key}-{stems[sheet.size]}-test-knit"
        files[f"{stem}.pdf"] = sheet_pdf(sheet, style)
        files[f"{stem}.toml"] = sheet_toml(sheet).encode()
    return files


def _stems(asked: Mapping[str, TesterSheet]) -> dict[str, str]:
    """A part of a file name for each size; sizes that would share one are numbered."""
    stems: dict[str, str] = {}
    for name in asked:
        stem, number = slug(name), 2
        while stem in stems.values():
            stem, number = f"{slug(name)}-{number}", number + 1
        stems[name] = stem
    return stems
