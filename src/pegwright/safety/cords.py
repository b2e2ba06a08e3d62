"""Cords at a child's neck: refused by Pegwright as its own rule.

The published rules do not reach every case.  ASTM F1816-18 and the United States' 16 CFR 1120 cover
drawstrings of children's *upper outerwear*, sizes 2T to 12: none at hood or neck.  EN 14682 covers
children's *clothing*, to 14 years: no cord at hood or neck to 7 years, no free ends there to 14;
head-wear itself lies outside its scope.  Pegwright refuses a free cord on anything that it knows to
be a child's, shows these sources as the reason, and says truthfully what they cover.
"""

from __future__ import annotations

from collections.abc import Mapping

from pegwright.errors import Finding, Severity, Spot
from pegwright.garments.base import OptionValue, Plan, Wearer
from pegwright.safety.features import free_ends
from pegwright.safety.rules import CORD_SOURCE
from pegwright.tongue.said import Said, joined, say

__all__ = ["CORD_SOURCE", "SAFE_CLOSING", "free_cords", "safe_options"]

SAFE_CLOSING = "drawn"
"""The closing that a child's garment gets: gathered by yarn that is fastened off."""


def safe_options(
    size: str, wearer: Wearer, options: Mapping[str, OptionValue | None]
) -> tuple[dict[str, OptionValue | None], tuple[Finding, ...]]:
    """The options with a free cord replaced where the wearer is a child, and what was refused."""
    kept = dict(options)
    if wearer is Wearer.ADULT or kept.get("closing") != "cord":
        return kept, ()
    kept["closing"] = SAFE_CLOSING
    refused = Finding(
        "cord-refused",
        Severity.CAUTION,
        joined((_refused(wearer), CORD_SOURCE)),
        say(
            'say closing = "{closing}" in the design, or keep the cord for adult sizes only',
            closing=SAFE_CLOSING,
        ),
        Spot(size=size),
    )
    return kept, (refused,)


def free_cords(plan: Plan) -> tuple[Finding, ...]:
    """A fault for every cord with free ends on a child's piece.

    This looks at the operations themselves, so that a garment of any make is checked.
    """
    if plan.wearer is Wearer.ADULT:
        return ()
    return tuple(
        Finding(
            "free-cord-on-child",
            Severity.FAULT,
            f"the {name} has free ends on a piece for a {_words(plan.wearer)}: it can catch and "
            "strangle. " + CORD_SOURCE,
            "close it with yarn that is fastened off, or fasten both ends of the cord",
            Spot(size=plan.size, piece=name, step=step),
        )
        for name, step in free_ends(plan).items()
    )


def _refused(wearer: Wearer) -> Said:
    if wearer is Wearer.INFANT:
        return say(
            "a cord with free ends is refused for a child under three: it can catch and strangle. "
            "It is closed by yarn that is drawn up and fastened off instead."
        )
    return say(
        "a cord with free ends is refused for a child: it can catch and strangle. It is closed by "
        "yarn that is drawn up and fastened off instead."
    )


def _words(wearer: Wearer) -> str:
    return "child under three" if wearer is Wearer.INFANT else "child"
