"""Words that every exporter shares: sizes in one line, spans of time, figure names."""

from __future__ import annotations

import re
import unicodedata

from pegwright.errors import Severity
from pegwright.pattern.model import Pattern

__all__ = [
    "SEVERITY",
    "figure_names",
    "held_together",
    "iso_duration",
    "plain_fractions",
    "sizes_words",
    "time_words",
]

SEVERITY = {Severity.FAULT: "Fault", Severity.CAUTION: "Caution", Severity.NOTE: "Note"}
"""How a finding is introduced."""

_FRACTION = re.compile(r"(\d?)([⅐-⅞↉])")
_BROKEN = re.compile(r"(?<=\d) (?=(?:\d+/\d+|in|cm|mm|ft|yd|m|g|oz|h|min|%)(?![\w/]))")


def sizes_words(sizes: tuple[str, ...]) -> str:
    """The sizes in one line, such as ``Sizes 1 · 2 · 3``; nothing where there are none."""
    if not sizes:
        return ""
    return f"{'Size' if len(sizes) == 1 else 'Sizes'} {' · '.join(sizes)}"


def time_words(minutes: int | None) -> str:
    """A span of time in words, such as ``about 6 h 50 min``; nothing where it is not known."""
    if minutes is None:
        return ""
    hours, rest = divmod(minutes, 60)
    parts = [f"{hours} h"] * bool(hours) + [f"{rest} min"] * bool(rest or not hours)
    return f"about {' '.join(parts)}"


def iso_duration(minutes: int) -> str:
    """A span of time as ISO 8601 writes it, such as ``PT6H50M``."""
    hours, rest = divmod(minutes, 60)
    return "PT" + f"{hours}H" * bool(hours) + f"{rest}M" * bool(rest or not hours)


def figure_names(pattern: Pattern) -> dict[str, str]:
    """The printed name of each figure by its key: ``Figure 1`` and so on in reading order."""
    return {figure.key: f"Figure {i}" for i, figure in enumerate(pattern.figures(), start=1)}


def plain_fractions(words: str) -> str:
    """The text with fraction signs that few fonts hold (⅛, ⅜, ⅓ …) written out: 1⅜ is 1 3/8."""

    def written(match: re.Match[str]) -> str:
        plain = unicodedata.normalize("NFKC", match[2]).replace("\N{FRACTION SLASH}", "/")
        return f"{match[1]} {plain}" if match[1] else plain

    return _FRACTION.sub(written, words)


def held_together(words: str) -> str:
    """The text with no line break between a number and its fraction or its unit."""
    return _BROKEN.sub("\N{NO-BREAK SPACE}", words)
