"""The hand-out: one sheet of paper with all that a learner needs beside her at the board."""

from __future__ import annotations

import json
from importlib.resources import as_file, files
from typing import Any

from pegwright.errors import BadInput, NotPossible
from pegwright.lesson.template import Template
from pegwright.pattern.model import (
    CautionBlock,
    Facts,
    KnitOverDrawing,
    MaterialBlock,
    Pattern,
    TableBlock,
    WrapDrawing,
)
from pegwright.pattern.source import Source
from pegwright.publish.drawing import visible
from pegwright.publish.figures import picture
from pegwright.publish.pdf import Paper
from pegwright.publish.words import held_together, plain_fractions, sizes_words, time_words
from pegwright.units import format_both

__all__ = ["hand_out_pdf"]

_MOST_STEPS = 24


def hand_out_pdf(
    source: Source, pattern: Pattern, template: Template, paper: Paper = Paper.A4
) -> bytes:
    """One page, a tagged PDF (PDF/UA-1, ISO 14289-1): the same input gives the same bytes.

    Words are made smaller, to 7 points, where there is much to say; what still does not fit is
    left to the pattern: first the tallies of the steps, then all of the steps but the first.

    :raises NotPossible: where even that is more than a page.
    """
    for detail in ("full", "short", "least"):
        made = _typeset(_document(source, pattern, template, paper, detail))
        if made is not None:
            return made
    raise NotPossible(
        "the hand-out does not fit one page",
        given=pattern.title,
        hint="shorten the summary, or make fewer sizes",
    )


def _typeset(document: dict[str, Any]) -> bytes | None:
    """The page, or None where it would be more than one."""
    import typst

    text = json.dumps(_printable(document), ensure_ascii=False, sort_keys=True)
    template = files("pegwright.lesson").joinpath("hand_out.typ").read_bytes()
    with as_file(files("pegwright.publish").joinpath("fonts")) as folder:
        fonts = typst.Fonts(include_system_fonts=False, font_paths=[str(folder)])
        compiler = typst.Compiler(input=template, font_paths=fonts, sys_inputs={"hand_out": text})
        try:
            made = compiler.compile(format="pdf", pdf_standards="ua-1")
        except typst.TypstError as refused:
            if "does not fit" in str(refused):
                return None
            raise BadInput("the hand-out could not be typeset", given=str(refused)) from refused
    return made if isinstance(made, bytes) else None


def _document(
    source: Source, pattern: Pattern, template: Template, paper: Paper, detail: str
) -> dict[str, Any]:
    """The hand-out as plain data, in the shape that hand_out.typ reads."""
    blocks = pattern.blocks()
    materials = [b for b in blocks if isinstance(b, MaterialBlock)]
    return {
        "paper": paper.value,
        "title": pattern.title,
        "summary": pattern.summary,
        "line": "  ·  ".join(
            p for p in (sizes_words(pattern.sizes), time_words(pattern.minutes)) if p
        ),
        "channel": template.words.channel,
        "words": {
            "materials": template.words.materials,
            "board": template.words.board,
            "cautions": template.words.cautions,
        },
        "materials": [
            [i.name, "" if i.amount == "1" else i.amount]
            for b in materials
            for i in (*b.supplies, *b.tools)
        ],
        "board": [list(row) for row in _board(source, pattern)],
        "sizes": _sizes(pattern),
        "steps": _steps(pattern, detail),
        "cautions": [
            [c.title, c.text if c is block.cautions[0] and detail != "least" else ""]
            for block in blocks
            if isinstance(block, CautionBlock)
            for c in block.cautions
        ],
        "figures": _figures(pattern),
        "colours": {
            # Printed on white, so the colours of screens are not taken.
            "accent": template.colours.accent if _is_dark(template.colours.accent) else "#1c2530",
        },
    }


def _is_dark(colour: str) -> bool:
    from pegwright.lesson.contrast import TEXT, contrast

    return contrast(colour, "#ffffff") >= TEXT


def _board(source: Source, pattern: Pattern) -> list[tuple[str, str]]:
    section = next((s for s in pattern.sections if s.key == "board"), None)
    facts = [r for b in section.blocks if isinstance(b, Facts) for r in b.rows] if section else []
    if source.wrap_test is not None:
        length = format_both(source.wrap_test.reading.length_mm, source.units)
        over = source.wrap_test.columns
        facts.append(("wrap test", f"pegs 1 to {over} of both boards draw {length}"))
    return facts


def _sizes(pattern: Pattern) -> dict[str, Any]:
    """The first table of the sizes: what they fit, finished measurements, counts."""
    section = next((s for s in pattern.sections if s.key == "sizes"), None)
    table = (
        next((b for b in section.blocks if isinstance(b, TableBlock)), None) if section else None
    )
    if table is None:
        return {"header": [], "rows": []}
    rows = [list(row) for row in table.rows if not row[0].startswith("ease")]
    return {"header": list(table.header), "rows": rows}


def _steps(pattern: Pattern, detail: str) -> list[list[str]]:
    steps = pattern.steps()
    rows = [
        [str(step.number), step.title, step.tally if detail == "full" else ""] for step in steps
    ]
    if detail == "least" and len(rows) > _MOST_STEPS:
        rest = f"Steps {steps[_MOST_STEPS].number} to {steps[-1].number} are in the pattern."
        return [*rows[:_MOST_STEPS], ["", rest, ""]]
    return rows


def _figures(pattern: Pattern) -> list[dict[str, Any]]:
    return [
        {"svg": picture(f).svg.decode("utf-8"), "alt": f.alt.strip(), "caption": f.caption}
        for f in pattern.figures()
        if isinstance(f.drawing, WrapDrawing | KnitOverDrawing)
    ]


def _printable(value: object) -> Any:
    match value:
        case str():
            return held_together(plain_fractions(visible(value)))
        case list():
            return [_printable(v) for v in value]
        case dict():
            return {
                k: plain_fractions(v) if k == "svg" else _printable(v) for k, v in value.items()
            }
    return value
