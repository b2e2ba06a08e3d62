"""What stands beside a lesson: the description in plain text, and schema.org data."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import pairwise

from pegwright.lesson.cue_sheet import CueSheet
from pegwright.lesson.template import Template
from pegwright.pattern.model import CautionBlock, Item, MaterialBlock, Pattern
from pegwright.publish.page import how_to
from pegwright.publish.words import sizes_words, time_words

__all__ = ["clock", "description", "lesson_how_to", "lesson_how_to_json"]


def description(pattern: Pattern, sheet: CueSheet, template: Template) -> bytes:
    """The text beside the lesson: what it makes, materials, chapters, cautions.

    Every chapter stands in a line of its own, its time first; the first begins at 0:00.
    """
    blocks = pattern.blocks()
    lines = [pattern.title, "", pattern.summary]
    sizes = ". ".join(p for p in (sizes_words(pattern.sizes), f"Filmed in size {sheet.size}") if p)
    lines += [f"{sizes}. Time: {time_words(round(sheet.minutes / 5) * 5)}.", ""]
    for block in blocks:
        if isinstance(block, MaterialBlock):
            lines += ["MATERIALS", *_items(block.supplies), "", "TOOLS", *_items(block.tools), ""]
    lines += ["CHAPTERS", *(f"{clock(s)} {title}" for s, title in sheet.chapters())]
    cautions = [c for b in blocks if isinstance(b, CautionBlock) for c in b.cautions]
    if cautions:
        lines += ["", "TAKE CARE", *(f"- {c.title}: {c.text}" for c in cautions)]
    words = template.words
    if words.channel:
        lines += ["", words.channel]
    return ("\n".join(lines) + "\n").encode("utf-8")


def _items(items: tuple[Item, ...]) -> Iterator[str]:
    for item in items:
        amount = "" if item.amount == "1" else item.amount
        yield "- " + ", ".join(part for part in (item.name, amount, item.note) if part)


def clock(seconds: int) -> str:
    """A time as chapters in a text are written: ``0:00``, ``12:05``, ``1:02:03``."""
    minutes, s = divmod(seconds, 60)
    hours, m = divmod(minutes, 60)
    return f"{hours}:{m:02d}:{s:02d}" if hours else f"{m}:{s:02d}"


def lesson_how_to(pattern: Pattern, sheet: CueSheet, template: Template) -> dict[str, object]:
    """The pattern as a schema.org HowTo with its video and the clips of it."""
    made = how_to(pattern)
    starts = [*sheet.chapters(), (sheet.seconds, "")]
    clips = [
        {
            "@type": "Clip",
            "name": title,
            "position": i,
            "startOffset": start,
            "endOffset": end,
        }
        for i, ((start, title), (end, _)) in enumerate(pairwise(starts), start=1)
    ]
    video: dict[str, object] = {
        "@type": "VideoObject",
        "name": pattern.title,
        "description": pattern.summary,
        "inLanguage": pattern.language,
        "duration": _duration(sheet.seconds),
        "hasPart": clips,
    }
    if template.words.channel:
        video["creditText"] = template.words.channel
    return {**made, "video": video}


def _duration(seconds: int) -> str:
    """A span as ISO 8601 writes it: ``PT12M5S``."""
    minutes, s = divmod(seconds, 60)
    hours, m = divmod(minutes, 60)
    return "PT" + f"{hours}H" * bool(hours) + f"{m}M" * bool(m) + f"{s}S" * bool(s or not minutes)


def lesson_how_to_json(pattern: Pattern, sheet: CueSheet, template: Template) -> bytes:
    """The same as JSON-LD."""
    made = lesson_how_to(pattern, sheet, template)
    return (json.dumps(made, ensure_ascii=False, indent=2) + "\n").encode("utf-8")
