"""The sheet as a printed form: a tagged PDF that keeps to PDF/UA-1 (ISO 14289-1).

It is made like the pattern's own PDF: one JSON text in, fonts that come with Pegwright, no date, so
that the same sheet gives the same bytes.  It is filled in with a pen, so it holds no form fields.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from importlib.resources import files
from typing import Any

from pegwright.errors import NotPossible
from pegwright.publish.pdf import PrintStyle, _explained, _fonts, _printable
from pegwright.testknit.sheet import AskedPiece, TesterSheet

__all__ = ["INTRO", "sheet_pdf"]

INTRO = (
    "Thank you for trying this pattern. Knit it as it is written, measure before you look at the "
    "finished sizes again, and write what you find, whatever it is. Leave empty what you did not "
    "measure."
)

_LENGTH = "in or cm: say which"
_WEIGHT = "g or oz: say which"
_REMARK_LINES = 6


def sheet_pdf(sheet: TesterSheet, style: PrintStyle | None = None) -> bytes:
    """The form as a tagged PDF.

    :raises BadInput: where its words hold letters that no font at hand can show.
    :raises NotPossible: where the typesetter refuses for any other reason.
    """
    import typst

    data = _printable(_data(sheet, style or PrintStyle()))
    text = json.dumps(data, ensure_ascii=False, sort_keys=True)
    template = files("pegwright.testknit").joinpath("sheet.typ").read_bytes()
    try:
        compiler = typst.Compiler(input=template, font_paths=_fonts(), sys_inputs={"sheet": text})
        made = compiler.compile(format="pdf", pdf_standards="ua-1")
    except typst.TypstError as refused:
        raise _explained(refused) from refused
    if not isinstance(made, bytes):
        raise NotPossible("the typesetter gave no PDF", hint="use the text file instead")
    return made


def _data(sheet: TesterSheet, style: PrintStyle) -> dict[str, Any]:
    return {
        "style": {"paper": style.paper.value, "large_print": style.large_print},
        "heading": f"Test knit: {sheet.heading}",
        "intro": INTRO,
        "digest": sheet.digest,
        "parts": list(_parts(sheet)),
    }


def _parts(sheet: TesterSheet) -> Iterable[dict[str, Any]]:
    about = [("Tester, a name or a letter", ""), ("Smallest weight your scale shows", "g or oz")]
    yield _boxes("About you", "", about)
    yield _boxes("Your board", "Every distance is centre to centre.", _board(sheet))
    if sheet.wrap_test_pegs is not None:
        label = f"Yarn that {sheet.wrap_test_pegs} pegs on each board took"
        yield _boxes("Wrap test", sheet.wrap_test_words, [(label, _LENGTH)])
    yield _boxes(
        "Swatch",
        "If you knitted one: count across one face, between two pins.",
        [
            ("Stitches", "stitches"),
            ("are so wide", _LENGTH),
            ("Rows", "rows"),
            ("are so long", _LENGTH),
            ("Washed and dried before you measured it?", "yes or no"),
        ],
    )
    if sheet.pieces:
        lines = [line for piece in sheet.pieces for line in _piece(piece)]
        yield _boxes("Before you make it up", "Flat, off the loom, relaxed.", lines)
    yield _boxes("Finished", "The finished piece, relaxed and flat.", _finished(sheet))
    words = "Weigh all of each yarn, without bands, before you begin and when all is done."
    yield _boxes("Yarn", words, [line for name in sheet.yarns for line in _yarn(name)])
    times = [("At the loom", "hours, minutes"), ("Seams, cords and tails", "hours, minutes")]
    yield _boxes("Time", "", times)
    yield {
        "kind": "steps",
        "title": "Trouble with a step?",
        "words": "Write beside it what it was; leave the others empty.",
        "steps": [{"number": number, "title": title} for number, title in sheet.steps],
    }
    yield {"kind": "lines", "title": "Remarks", "words": "", "count": _REMARK_LINES}


def _boxes(title: str, words: str, lines: Iterable[tuple[str, str]]) -> dict[str, Any]:
    boxes = [{"label": label, "unit": unit} for label, unit in lines]
    return {"kind": "boxes", "title": title, "words": words, "boxes": boxes}


def _board(sheet: TesterSheet) -> list[tuple[str, str]]:
    gap = [("Gap, from row to row", _LENGTH)] if sheet.double else []
    return [
        ("Pegs in one row", "pegs"),
        ("Pitch, from peg to peg along the row", _LENGTH),
        *gap,
        ("Thickness of a peg where the yarn lies", _LENGTH),
    ]


def _piece(piece: AskedPiece) -> Iterable[tuple[str, str]]:
    if piece.width is not None:
        yield f"{piece.name}: width, across its stitches", _LENGTH
    if piece.length is not None:
        yield f"{piece.name}: length, from the cast-on to the last row", _LENGTH


def _finished(sheet: TesterSheet) -> list[tuple[str, str]]:
    washed = ("Washed and dried before you measured it?", "yes or no")
    return [washed, *((measure.name, _LENGTH) for measure in sheet.measures)]


def _yarn(name: str) -> Iterable[tuple[str, str]]:
    yield f"{name}: before you began", _WEIGHT
    yield f"{name}: left when all was done", _WEIGHT
    yield f"Another yarn instead of {name}? Which, and m in 100 g", ""
