"""The cautions that follow from a plan: who wears it, how it closes, what the hands do."""

from __future__ import annotations

from collections.abc import Iterable

from pegwright.garments.base import Plan, Wearer
from pegwright.knitting.wraps import Cloth
from pegwright.safety.caution import Caution
from pegwright.safety.cords import CORD_SOURCE

__all__ = ["cautions_for"]

_CORD_ADULT = Caution(
    "Cord at the neck: adults only",
    "The neck closes with a cord that has free ends. Do not make or hand this on for a child: a "
    "cord at the neck can catch and strangle. Choose the drawn closing for children. Adults too "
    "should tuck the ends in near moving machinery, oars and winches.",
    CORD_SOURCE,
)

_CORD_REFUSED = Caution(
    "No cord for children",
    "These sizes are for children, so the neck has no cord. It is gathered by yarn that is "
    "fastened off. Do not add a cord, ribbon or toggle at the neck.",
    CORD_SOURCE,
)

_SLEEP = Caution(
    "Not for sleep",
    "Take it off before an infant sleeps or is left alone: infants sleep with the head uncovered.",
    "Paediatric safe-sleep advice, from memory; ask your health visitor or doctor.",
)

_SMALL_PARTS = Caution(
    "Nothing small that can come off",
    "Sew no buttons, beads or pompoms on for a child under three.",
    "16 CFR 1501 (small parts; children's clothing as such is exempt under 1501.3(d)): taken here "
    "as a caution. Rules vary by place.",
)

_TOOLS = Caution(
    "Hook, needle and board",
    "Work with a blunt-ended hook and needle, keep them from small children, and check the board "
    "for splinters and loose pegs before the yarn goes on. Rest your hands often.",
    "Common practice, no source.",
)

_WASH = Caution(
    "Washing",
    "Wash as the ball band says. Keep hot water and wet wool out of reach of children, and dry "
    "flat: a wet piece is heavy.",
    "Common practice, no source.",
)


def cautions_for(plans: Iterable[Plan]) -> tuple[Caution, ...]:
    """The cautions of a pattern for all its sizes, the gravest first, each once."""
    found: dict[str, Caution] = {}

    def add(caution: Caution) -> None:
        found.setdefault(caution.title, caution)

    plans = tuple(plans)
    for plan in plans:
        has_cord = any(p.cloth is Cloth.CORD for p in plan.script.pieces)
        if plan.wearer is Wearer.ADULT and has_cord:
            add(_CORD_ADULT)
        if plan.wearer is not Wearer.ADULT and not has_cord and "neck" in plan.finished:
            add(_CORD_REFUSED)
        if plan.wearer is Wearer.INFANT:
            add(_SLEEP)
            add(_SMALL_PARTS)
    add(_TOOLS)
    add(_WASH)
    return tuple(found.values())
