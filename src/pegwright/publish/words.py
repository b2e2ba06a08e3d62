"""Words that every exporter shares: sizes in one line, spans of time, figure names."""

from __future__ import annotations

import re
import unicodedata

from pegwright.errors import Finding, Severity, Spot
from pegwright.pattern.model import Pattern
from pegwright.pattern.vocabulary import piece_name
from pegwright.tongue.said import joined, say, say_count
from pegwright.tongue.tongue import ENGLISH, Tongue

__all__ = [
    "SEVERITY",
    "figure_names",
    "finding_words",
    "held_together",
    "iso_duration",
    "plain_fractions",
    "sizes_words",
    "spot_words",
    "time_words",
]

SEVERITY = {
    Severity.FAULT: say("Fault"),
    Severity.CAUTION: say("Caution"),
    Severity.NOTE: say("Note"),
}
"""How a finding is introduced."""

_FRACTION = re.compile(r"(\d?)([⅐-⅞↉])")
_BROKEN = re.compile(
    r"(?<=\d) (?=(?:\d+/\d+|in|cm|mm|ft|yd|m|g|oz|h|min|%|Std|Min|Zoll|pulg|Yd)(?![\w/]))"
)


def sizes_words(sizes: tuple[str, ...], tongue: Tongue = ENGLISH) -> str:
    """The sizes in one line, such as ``Sizes 1 · 2 · 3``; nothing where there are none."""
    if not sizes:
        return ""
    named = joined(sizes, " · ")
    return tongue.speak(say_count("Size {sizes}", "Sizes {sizes}", len(sizes), sizes=named))


def time_words(minutes: int | None, tongue: Tongue = ENGLISH) -> str:
    """A span of time in words, such as ``about 6 h 50 min``; nothing where it is not known."""
    if minutes is None:
        return ""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return tongue.say("about {minutes} min", minutes=rest)
    if not rest:
        return tongue.say("about {hours} h", hours=hours)
    return tongue.say("about {hours} h {minutes} min", hours=hours, minutes=rest)


def spot_words(spot: Spot, tongue: Tongue = ENGLISH) -> str:
    """Where a finding lies, such as ``size small, row 7``; nothing where it is not known."""
    size, piece = spot.size, spot.piece
    parts = [
        say("size {size}", size=size) if size is not None else "",
        say("piece {piece}", piece=piece_name(piece)) if piece is not None else "",
        say("row {row}", row=spot.row) if spot.row is not None else "",
        say("peg {peg}", peg=spot.peg) if spot.peg is not None else "",
        say("step {step}", step=spot.step) if spot.step is not None else "",
    ]
    return tongue.speak(joined(parts, ", "))


def finding_words(finding: Finding, tongue: Tongue = ENGLISH) -> str:
    """What was found, how to mend it, and where it lies."""
    words = [tongue.speak(finding.what), tongue.speak(finding.mend)]
    where = spot_words(finding.spot, tongue)
    return " ".join((*words, f"({where})") if where else words)


def iso_duration(minutes: int) -> str:
    """A span of time as ISO 8601 writes it, such as ``PT6H50M``."""
    hours, rest = divmod(minutes, 60)
    return "PT" + f"{hours}H" * bool(hours) + f"{rest}M" * bool(rest or not hours)


def figure_names(pattern: Pattern) -> dict[str, str]:
    """The printed name of each figure by its key: ``Figure 1`` and so on in reading order."""
    return {
        figure.key: pattern.tongue.say("Figure {number}", number=i)
        for i, figure in enumerate(pattern.figures(), start=1)
    }


def plain_fractions(words: str) -> str:
    """The text with fraction signs that few fonts hold (⅛, ⅜, ⅓ …) written out: 1⅜ is 1 3/8."""

    def written(match: re.Match[str]) -> str:
        plain = unicodedata.normalize("NFKC", match[2]).replace("\N{FRACTION SLASH}", "/")
        return f"{match[1]} {plain}" if match[1] else plain

    return _FRACTION.sub(written, words)


def held_together(words: str) -> str:
    """The text with no line break between a number and its fraction or its unit."""
    return _BROKEN.sub("\N{NO-BREAK SPACE}", words)
