"""The printed pattern: a tagged PDF that keeps to PDF/UA-1 (ISO 14289-1).

The pattern is handed to the typesetter as one JSON text and read there as data, so nothing in it is
ever taken for markup.  Only the fonts that come with Pegwright are used, and those built into the
typesetter for letters that they lack; the fonts of the machine never.  No date is written: the same
pattern gives the same bytes.
"""

from __future__ import annotations

import json
import re
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
    finding_words,
    held_together,
    plain_fractions,
    sizes_words,
    time_words,
)
from pegwright.tongue.tongue import ENGLISH, Tongue

if TYPE_CHECKING:
    import typst

__all__ = ["Paper", "PrintStyle", "pattern_pdf", "usual_paper"]

_PAGE, _PAGES = "\ue000", "\ue001"
"""Where the page's number and the number of pages come to stand; pattern.typ knows them."""

_LONG_STEP = 1400
"""A step of more letters than this may break across pages; a shorter one never does."""


_LOW = 1.7
"""Fabric no taller than this for its width is set on half a page, so that two stand together."""


class Paper(StrEnum):
    """Paper sizes, by the typesetter's names."""

    A4 = "a4"
    LETTER = "us-letter"


def usual_paper(tongue: Tongue) -> Paper:
    """The sheet that is usual where a tongue is spoken."""
    return Paper.LETTER if tongue.prints_on_letter else Paper.A4


@dataclass(frozen=True, slots=True)
class PrintStyle:
    """How a pattern is printed.

    :param paper: the sheet.
    :param large_print: body text of 16 points instead of 10.5, and larger figures.
    """

    paper: Paper = Paper.A4
    large_print: bool = False


def pattern_pdf(pattern: Pattern, style: PrintStyle | None = None) -> bytes:
    """The pattern as a tagged PDF; without a style, on the sheet that is usual for its language.

    :raises BadInput: where a figure has no words for people who cannot see it, or the text holds
        letters that no font at hand can show.
    :raises NotPossible: where the typesetter refuses for any other reason.
    """
    return _typeset(
        _printable(_document(pattern, style or PrintStyle(usual_paper(pattern.tongue))))
    )


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
    tongue = pattern.tongue
    time = time_words(pattern.minutes, tongue)
    return {
        "style": {"paper": style.paper.value, "large_print": style.large_print},
        "title": pattern.title,
        "subtitle": pattern.subtitle,
        "summary": pattern.summary,
        "told_summary": tongue.fact(pattern.summary),
        "lang": lang,
        "region": region,
        "dir": tongue.direction,
        "words": _words(tongue),
        "sizes": sizes_words(pattern.sizes, tongue),
        "time": tongue.say("Time: {time}", time=time) if time else "",
        "sections": [
            {
                "title": section.title,
                "blocks": [part for b in section.blocks for part in _block(b, names, tongue)],
            }
            for section in pattern.sections
        ],
        "notes": list(pattern.notes),
        "proof": _proof(pattern),
    }


def _words(tongue: Tongue) -> dict[str, Any]:
    """The words that the template itself adds; the page's number stands between parts."""
    say = tongue.say
    page = say("page {page} of {pages}", page=_PAGE, pages=_PAGES)
    return {
        "page": [part for part in re.split(f"([{_PAGE}{_PAGES}])", page) if part],
        "when_done": say("When done:"),
        "notes": say("Notes"),
        "proof": say("Proof"),
        "noticed": say("What the run noticed:"),
        "digest": say("Digest of the executed design (SHA-256):"),
    }


def _language(tag: str) -> tuple[str, str]:
    """Language and region of a BCP 47 tag; ``und``, undetermined, where the tag names none."""
    lang, *rest = tag.lower().split("-")
    known = len(lang) in (2, 3) and lang.isascii() and lang.isalpha()
    regions = [part for part in rest if len(part) == 2 and part.isascii() and part.isalpha()]
    return lang if known else "und", regions[0] if regions else ""


def _block(block: Block, names: dict[str, str], tongue: Tongue = ENGLISH) -> list[dict[str, Any]]:
    match block:
        case Paragraph():
            return [{"kind": "paragraph", "text": block.text}]
        case Facts():
            return [{"kind": "facts", "rows": [list(row) for row in block.rows]}]
        case TableBlock():
            return [_table(block.caption, block.header, block.rows)]
        case MaterialBlock():
            return _materials(block, tongue)
        case StepBlock():
            return [{"kind": "steps", "steps": _steps(block, names, tongue)}]
        case CautionBlock():
            cautions = [
                {
                    "title": c.title,
                    "heading": tongue.say("Caution: {title}", title=c.title),
                    "text": c.text,
                    "source": c.source,
                    "told": tongue.say("Source: {source}", source=c.source),
                }
                for c in block.cautions
            ]
            return [{"kind": "cautions", "cautions": cautions}]
        case Figure():
            return [_figure(block, names, tongue)]


def _table(
    caption: str, header: tuple[str, ...], rows: tuple[tuple[str, ...], ...]
) -> dict[str, Any]:
    return {
        "kind": "table",
        "caption": caption,
        "header": list(header),
        "rows": [list(row) for row in rows],
    }


def _materials(block: MaterialBlock, tongue: Tongue) -> list[dict[str, Any]]:
    say = tongue.say
    return [
        _table("", header, tuple((i.name, i.amount, i.note) for i in items))
        for header, items in (
            ((say("To use up"), say("How much"), say("Note")), block.supplies),
            ((say("To have at hand"), say("Which"), say("Note")), block.tools),
        )
        if items
    ]


def _steps(block: StepBlock, names: dict[str, str], tongue: Tongue) -> list[dict[str, Any]]:
    return [
        {
            "number": step.number,
            "title": step.title,
            "text": list(step.text),
            "tally": step.tally,
            "figure": {
                "label": f"figure-{step.figure}",
                "see": tongue.say("See {figure}.", figure=names[step.figure]),
            }
            if step.figure in names
            else None,
            "long": sum(map(len, step.text)) > _LONG_STEP,
        }
        for step in block.steps
    ]


def _figure(figure: Figure, names: dict[str, str], tongue: Tongue) -> dict[str, Any]:
    shown = picture(figure, grain=PRINTED, tongue=tongue)
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
    tongue = pattern.tongue
    findings = [
        {
            "severity": f"{tongue.speak(SEVERITY[finding.severity])}:",
            "text": finding_words(finding, tongue),
        }
        for finding in proof.findings
    ]
    return {
        "sentences": list(proof.sentences),
        "facts": [
            [tongue.say("Operations executed"), tongue.digits(f"{proof.operations:,}")],
            [tongue.say("Loops made"), tongue.digits(f"{proof.loops:,}")],
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
