"""The printed pattern: a tagged PDF that keeps to PDF/UA-1 (ISO 14289-1).

The pattern is handed to the typesetter as one JSON text and read there as data, so nothing in it is
ever taken for markup.  Only the fonts that come with Pegwright are used, and those built into the
typesetter for letters that they lack; the fonts of the machine never.  No date is written: the same
pattern gives the same bytes.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from importlib.resources import as_file, files
from typing import TYPE_CHECKING, Any

from pegwright.errors import BadInput, NotPossible
from pegwright.pattern.model import (
    Block,
    CautionBlock,
    FabricDrawing,
    Facts,
    Figure,
    MaterialBlock,
    Paragraph,
    Pattern,
    StepBlock,
    TableBlock,
)
from pegwright.publish.drawing import visible
from pegwright.publish.fabric_grain import PRINTED
from pegwright.publish.figures import picture
from pegwright.publish.words import (
    SEVERITY,
    figure_names,
    held_together,
    plain_fractions,
    sizes_words,
    time_words,
)

if TYPE_CHECKING:
    import typst

__all__ = ["Paper", "PrintStyle", "pattern_pdf"]

_LONG_STEP = 1400
"""A step of more letters than this may break across pages; a shorter one never does."""


_LOW = 1.7
"""Fabric no taller than this for its width is set on half a page, so that two stand together."""


class Paper(StrEnum):
    """Paper sizes, by the typesetter's names."""

    A4 = "a4"
    LETTER = "us-letter"


@dataclass(frozen=True, slots=True)
class PrintStyle:
    """How a pattern is printed.

    :param paper: the sheet.
    :param large_print: body text of 16 points instead of 10.5, and larger figures.
    """

    paper: Paper = Paper.A4
    large_print: bool = False


def pattern_pdf(pattern: Pattern, style: PrintStyle | None = None) -> bytes:
    """The pattern as a tagged PDF.

    :raises BadInput: where a figure has no words for people who cannot see it, or the text holds
        letters that no font at hand can show.
    :raises NotPossible: where the typesetter refuses for any other reason.
    """
    return _typeset(_printable(_document(pattern, style or PrintStyle())))


def _typeset(document: object) -> bytes:
    """Compile the template with a document's data."""
    import typst

    text = json.dumps(document, ensure_ascii=False, sort_keys=True)
    template = files("pegwright.publish").joinpath("pattern.typ").read_bytes()
    try:
        compiler = typst.Compiler(input=template, font_paths=_fonts(), sys_inputs={"pattern": text})
        made = compiler.compile(format="pdf", pdf_standards="ua-1")
    except typst.TypstError as refused:
        raise _explained(refused) from refused
    if not isinstance(made, bytes):
        raise NotPossible("the typesetter gave no PDF", hint="try again with fewer sections")
    return made


@lru_cache(maxsize=1)
def _fonts() -> typst.Fonts:
    """The fonts that come with Pegwright, and those built into the typesetter."""
    import typst

    with as_file(files("pegwright.publish").joinpath("fonts")) as folder:
        return typst.Fonts(include_system_fonts=False, font_paths=[str(folder)])


def _explained(refused: typst.TypstError) -> BadInput | NotPossible:
    words = str(refused)
    if "alt text" in words:
        return BadInput(
            "a figure has no words for people who cannot see it",
            given=words,
            hint="say in one or two sentences what the figure shows",
        )
    if "could not be displayed" in words or "font" in words:
        return BadInput(
            "the text holds a letter that no bundled font can show",
            given=words,
            hint="write it in other letters, or publish the web page instead",
        )
    return NotPossible(
        "the pattern could not be typeset", given=words, hint="publish the web page instead"
    )


# --- the pattern as data -------------------------------------------------------------------------


def _document(pattern: Pattern, style: PrintStyle) -> dict[str, Any]:
    """The pattern as plain data, in the shape that pattern.typ reads."""
    names = figure_names(pattern)
    lang, region = _language(pattern.language)
    return {
        "style": {"paper": style.paper.value, "large_print": style.large_print},
        "title": pattern.title,
        "subtitle": pattern.subtitle,
        "summary": pattern.summary,
        "lang": lang,
        "region": region,
        "sizes": sizes_words(pattern.sizes),
        "time": time_words(pattern.minutes),
        "sections": [
            {
                "title": section.title,
                "blocks": [part for b in section.blocks for part in _block(b, names)],
            }
            for section in pattern.sections
        ],
        "notes": list(pattern.notes),
        "proof": _proof(pattern),
    }


def _language(tag: str) -> tuple[str, str]:
    """Language and region of a BCP 47 tag; ``und``, undetermined, where the tag names none."""
    lang, *rest = tag.lower().split("-")
    known = len(lang) in (2, 3) and lang.isascii() and lang.isalpha()
    regions = [part for part in rest if len(part) == 2 and part.isascii() and part.isalpha()]
    return lang if known else "und", regions[0] if regions else ""


def _block(block: Block, names: dict[str, str]) -> list[dict[str, Any]]:
    match block:
        case Paragraph():
            return [{"kind": "paragraph", "text": block.text}]
        case Facts():
            return [{"kind": "facts", "rows": [list(row) for row in block.rows]}]
        case TableBlock():
            return [_table(block.caption, block.header, block.rows)]
        case MaterialBlock():
            return _materials(block)
        case StepBlock():
            return [{"kind": "steps", "steps": _steps(block, names)}]
        case CautionBlock():
            cautions = [
                {"title": c.title, "text": c.text, "source": c.source} for c in block.cautions
            ]
            return [{"kind": "cautions", "cautions": cautions}]
        case Figure():
            return [_figure(block, names)]


def _table(
    caption: str, header: tuple[str, ...], rows: tuple[tuple[str, ...], ...]
) -> dict[str, Any]:
    return {
        "kind": "table",
        "caption": caption,
        "header": list(header),
        "rows": [list(row) for row in rows],
    }


def _materials(block: MaterialBlock) -> list[dict[str, Any]]:
    return [
        _table("", header, tuple((i.name, i.amount, i.note) for i in items))
        for header, items in (
            (("To use up", "How much", "Note"), block.supplies),
            (("To have at hand", "Which", "Note"), block.tools),
        )
        if items
    ]


def _steps(block: StepBlock, names: dict[str, str]) -> list[dict[str, Any]]:
    return [
        {
            "number": step.number,
            "title": step.title,
            "text": list(step.text),
            "tally": step.tally,
            "figure": {"label": f"figure-{step.figure}", "name": names[step.figure]}
            if step.figure in names
            else None,
            "long": sum(map(len, step.text)) > _LONG_STEP,
        }
        for step in block.steps
    ]


def _figure(figure: Figure, names: dict[str, str]) -> dict[str, Any]:
    shown = picture(figure, grain=PRINTED)
    return {
        "kind": "figure",
        "label": f"figure-{figure.key}",
        "name": names[figure.key],
        "caption": figure.caption,
        "alt": figure.alt.strip(),
        "svg": shown.svg.decode("utf-8"),
        "ratio": shown.ratio,
        "half": isinstance(figure.drawing, FabricDrawing) and shown.ratio < _LOW,
    }


def _proof(pattern: Pattern) -> dict[str, Any]:
    proof = pattern.proof
    findings = []
    for finding in proof.findings:
        where = str(finding.spot)
        text = f"{finding.what} {finding.mend}" + (f" ({where})" if where else "")
        findings.append({"severity": SEVERITY[finding.severity], "text": text})
    return {
        "sentences": list(proof.sentences),
        "facts": [
            ["Operations executed", f"{proof.operations:,}"],
            ["Loops made", f"{proof.loops:,}"],
            ["Pegwright", proof.version],
        ],
        "findings": findings,
        "digest": proof.digest,
    }


def _printable(value: object) -> object:
    """The same data with every text fit for print: see :mod:`pegwright.publish.words`."""
    match value:
        case str():
            return held_together(plain_fractions(visible(value)))
        case list():
            return [_printable(v) for v in value]
        case dict():
            return {
                # What is drawn or read aloud is not broken into lines.
                k: plain_fractions(visible(v)) if k in ("svg", "alt") else _printable(v)
                for k, v in value.items()
            }
    return value
