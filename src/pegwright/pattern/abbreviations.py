"""Abbreviations of the trade, and which of them a pattern uses.

The short forms are those of the Craft Yarn Council's published list (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from pegwright.tongue.said import Said, say, word

__all__ = ["COUNCIL", "used"]

# NOTE: abbreviations of knitting; give those of your language, and use them in the steps
COUNCIL: tuple[tuple[Said, Said], ...] = (
    (word("short form", "beg"), say("begin, beginning")),
    (word("short form", "dec"), say("decrease, decreases")),
    (word("short form", "inc"), say("increase, increases")),
    (word("short form", "k"), say("knit")),
    (word("short form", "k2tog"), say("knit two stitches together")),
    (word("short form", "p"), say("purl")),
    (word("short form", "rem"), say("remain, remaining")),
    (word("short form", "rep"), say("repeat")),
    (word("short form", "st(s)"), say("stitch, stitches")),
)
"""Craft Yarn Council, list of knitting abbreviations (from memory)."""

_FORMS = {"st(s)": r"\bsts?\b"}


def used(texts: Iterable[str]) -> tuple[tuple[Said, Said], ...]:
    """The abbreviations that stand in English texts as words of their own, in the list's order."""
    whole = "\n".join(texts)
    return tuple(
        row
        for row in COUNCIL
        if re.search(_FORMS.get(str(row[0]), rf"\b{re.escape(row[0])}\b"), whole)
    )
