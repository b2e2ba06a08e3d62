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
from pegwright.knitting.operations import FastenOff, ThreadCastOn, ThreadLive
from pegwright.knitting.script import flatten
from pegwright.knitting.wraps import Cloth

__all__ = ["CORD_SOURCE", "SAFE_CLOSING", "free_cords", "safe_options"]

CORD_SOURCE = (
    "Pegwright's own rule, after ASTM F1816-18 and 16 CFR 1120 (drawstrings of children's upper "
    "outerwear, United States sizes 2T to 12) and EN 14682 (children's clothing to 14 years; "
    "head-wear itself lies outside its scope). Rules vary by place: ask your local authority."
)

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
        f"a cord with free ends is refused for a {_words(wearer)}: it can catch and strangle. "
        "The neck is gathered by yarn that is fastened off instead. " + CORD_SOURCE,
        f'say closing = "{SAFE_CLOSING}" in the design, or keep the cord for adult sizes only',
        Spot(size=size),
    )
    return kept, (refused,)


def free_cords(plan: Plan) -> tuple[Finding, ...]:
    """A fault for every cord with free ends that a child's script draws through an edge.

    This looks at the operations themselves, so that a garment of any make is checked.
    """
    if plan.wearer is Wearer.ADULT:
        return ()
    cords = {p.name for p in plan.script.pieces if p.cloth is Cloth.CORD}
    found: dict[str, int] = {}
    for step in plan.script.steps:
        for operation in flatten(step.work):
            if isinstance(operation, ThreadLive | ThreadCastOn) and operation.carrier in cords:
                found.setdefault(operation.carrier, step.number)
            elif isinstance(operation, FastenOff):
                found.pop(operation.carrier, None)
    return tuple(
        Finding(
            "free-cord-on-child",
            Severity.FAULT,
            f"the {name} has free ends at the neck of a {_words(plan.wearer)}: it can catch and "
            "strangle. " + CORD_SOURCE,
            "close it with yarn that is fastened off, or fasten both ends of the cord",
            Spot(size=plan.size, piece=name, step=step),
        )
        for name, step in found.items()
    )


def _words(wearer: Wearer) -> str:
    return "child under three" if wearer is Wearer.INFANT else "child's size"
