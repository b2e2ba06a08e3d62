"""Abbreviations of the trade, and which of them a pattern uses.

The short forms are those of the Craft Yarn Council's published list (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterable

__all__ = ["COUNCIL", "used"]

COUNCIL: tuple[tuple[str, str], ...] = (
    ("beg", "begin, beginning"),
    ("dec", "decrease, decreases"),
    ("inc", "increase, increases"),
    ("k", "knit"),
    ("k2tog", "knit two stitches together"),
    ("p", "purl"),
    ("rem", "remain, remaining"),
    ("rep", "repeat"),
    ("st(s)", "stitch, stitches"),
)
"""Craft Yarn Council, list of knitting abbreviations (from memory)."""

_FORMS = {"st(s)": r"\bsts?\b"}


def used(texts: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """The abbreviations that stand in texts as words of their own, in the order of the list."""
    whole = "\n".join(texts)
    return tuple(
        row for row in COUNCIL if re.search(_FORMS.get(row[0], rf"\b{re.escape(row[0])}\b"), whole)
    )
