"""Errata as text, as a block of HTML for a page, and as JSON."""

from __future__ import annotations

import json
import textwrap
from itertools import groupby

from pegwright.publish.html import element
from pegwright.testknit.errata import Change, Errata, Topic

__all__ = [
    "NOTHING",
    "SCHEMA",
    "by_topic",
    "errata_data",
    "errata_html",
    "errata_json",
    "errata_text",
]

SCHEMA = 1
"""Number of the JSON's shape; it rises when a field changes its meaning or goes."""

_HEADINGS = {
    Topic.SIZES: "Sizes",
    Topic.COUNTS: "Pegs and rows",
    Topic.GAUGE: "Gauge",
    Topic.BOARD: "Board",
    Topic.YARN: "Yarn and tools",
    Topic.STEPS: "Steps",
    Topic.CAUTIONS: "Cautions",
    Topic.FIGURES: "Figures",
    Topic.WORDS: "Words",
}

NOTHING = "Nothing changed that a reader would see."
"""What is said where there are no errata."""


def by_topic(errata: Errata) -> list[tuple[str, list[Change]]]:
    """The changes under their headings; within one they keep the pattern's order."""
    order = list(Topic)
    changes = sorted(errata.changes, key=lambda change: order.index(change.topic))
    return [(_HEADINGS[t], list(each)) for t, each in groupby(changes, lambda c: c.topic)]


def errata_text(errata: Errata) -> str:
    """The errata as plain text, no line wider than 80 letters but for a single long word."""
    lines = [errata.heading]
    if not errata.changes:
        lines += ["", NOTHING]
    for heading, changes in by_topic(errata):
        lines += ["", heading]
        lines += [_folded(change.sentence) for change in changes]
    return "\n".join(lines) + "\n"


def _folded(sentence: str) -> str:
    return textwrap.fill(
        sentence,
        80,
        initial_indent="- ",
        subsequent_indent="  ",
        break_on_hyphens=False,
        break_long_words=False,
    )


def errata_html(errata: Errata) -> str:
    """The errata as one ``section`` to be put into a page; every text is escaped."""
    parts = [
        (
            element("h3", heading),
            element("ul", [element("li", change.sentence) for change in changes]),
        )
        for heading, changes in by_topic(errata)
    ]
    return (
        element(
            "section",
            element("h2", errata.heading, id="errata"),
            parts or element("p", NOTHING),
            class_="errata",
            aria_labelledby="errata",
        )
        + "\n"
    )


def errata_json(errata: Errata) -> str:
    """The errata as JSON, its fields in a fixed order and the changes in the pattern's."""
    return json.dumps(errata_data(errata), indent=2) + "\n"


def errata_data(errata: Errata) -> dict[str, object]:
    """The errata as plain data."""
    return {
        "schema": SCHEMA,
        "title": errata.title,
        "old_version": errata.old_version or None,
        "new_version": errata.new_version or None,
        "old_digest": errata.old_digest,
        "new_digest": errata.new_digest,
        "changes": [change.as_data() for change in errata.changes],
    }
