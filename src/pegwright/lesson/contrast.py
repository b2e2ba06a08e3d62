"""Whether colours can be told apart: the contrast ratio of WCAG 2, and the nearest that can.

The ratio is that of W3C's Web Content Accessibility Guidelines 2.1: text needs 4.5 (success
criterion 1.4.3), lines that carry meaning need 3 (1.4.11).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from pegwright.errors import BadInput, Finding, Place, Severity
from pegwright.lesson.template import Colours

__all__ = ["PAIRS", "Pair", "contrast", "mended", "nearest_readable", "too_close"]

TEXT = 4.5
LINES = 3.0


@dataclass(frozen=True, slots=True)
class Pair:
    """A colour that stands on another, what it is for, and the least ratio between them."""

    role: str
    ground: str
    least: float
    words: str


PAIRS: tuple[Pair, ...] = (
    Pair("ink", "paper", TEXT, "text"),
    Pair("quiet", "paper", TEXT, "small words"),
    Pair("accent", "paper", TEXT, "headings and the first pass of the yarn"),
    Pair("second", "paper", LINES, "the second pass of the yarn"),
    Pair("ink", "soft", TEXT, "words on a board"),
    Pair("accent", "soft", LINES, "the first pass of the yarn on a board"),
    Pair("second", "soft", LINES, "the second pass of the yarn on a board"),
)
"""Every colour that must be told from the one it stands on."""


def contrast(one: str, other: str) -> float:
    """The contrast ratio of two colours, 1 to 21."""
    from coloraide import Color

    return float(Color(one).contrast(other, method="wcag21"))


def too_close(colours: Colours) -> Iterator[tuple[Pair, float]]:
    """The pairs that are too close, with the ratio that they have."""
    for pair in PAIRS:
        ratio = contrast(getattr(colours, pair.role), getattr(colours, pair.ground))
        if ratio < pair.least:
            yield pair, ratio


def mended(colours: Colours) -> tuple[Colours, tuple[Finding, ...]]:
    """The colours made light or dark enough, and a note for each that was changed.

    Hue and chroma stay, as far as screens can show them; only the lightness is changed.

    :raises BadInput: where no lightness will do.
    """
    notes: list[Finding] = []
    for role in dict.fromkeys(pair.role for pair in PAIRS):
        before = getattr(colours, role)
        if not any(pair.role == role for pair, _ in too_close(colours)):
            continue
        after = nearest_readable(colours, role)
        colours = replace(colours, **{role: after})
        notes.append(
            Finding(
                "colour-mended",
                Severity.NOTE,
                f"the colour {role} was {before} and could hardly be told from its ground;"
                f" {after} is used instead",
                f'write {role} = "{after}" in the template, or choose another',
            )
        )
    return colours, tuple(notes)


def nearest_readable(colours: Colours, role: str) -> str:
    """The colour of a role, so much lighter or darker that it can be read on all its grounds.

    :raises BadInput: where no lightness will do.
    """
    from coloraide import Color

    start = Color(getattr(colours, role)).convert("oklch")
    grounds = [(getattr(colours, p.ground), p.least) for p in PAIRS if p.role == role]
    steps = sorted((k / 200 for k in range(201)), key=lambda light: abs(light - start["l"]))
    for light in steps:
        tried = start.clone().set("l", light).convert("srgb").fit().to_string(hex=True)
        if all(contrast(tried, ground) >= least for ground, least in grounds):
            return str(tried)
    raise BadInput(
        f"no colour can be read on paper and board alike as {role}",
        given=", ".join(ground for ground, _ in grounds),
        hint="choose paper and soft that are both light, or both dark",
        place=Place(field=f"colours.{role}"),
    )
