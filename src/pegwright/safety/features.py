"""What of a piece the safety rules ask about, read from its plan.

Cords are found in the script itself, so that a garment of any make is seen through: whatever it is
called, a finished piece that is drawn, sewn or threaded through another and whose ends are not
fastened has **free ends**.  The rest is read from names (of the garment, its pieces and steps) and
from what is finished.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from enum import StrEnum

from pegwright.garments.base import Plan
from pegwright.knitting.operations import DrawUp, FastenOff, Operation, Part, Repeat
from pegwright.knitting.script import Work
from pegwright.knitting.wraps import Cloth

__all__ = ["Feature", "features_named", "features_of", "free_ends"]


class Feature(StrEnum):
    """Something about a piece that a rule may ask for."""

    FREE_CORD = "cord with free ends"
    NECK = "worn at the neck"
    HEAD = "worn on the head"
    FOOT = "worn on the foot"
    GATHERED = "gathered by yarn that is fastened off"
    SCARF = "long piece worn round the neck"
    SMALL_PART = "small part sewn on"
    POMPOM = "pompom"
    BUTTON = "button or bead"
    FRINGE = "fringe or tassel"
    BLANKET = "blanket"
    TOY = "toy"
    # What follows is never read from a plan: plans of boards ask for it.
    BOARD = "board to be built"
    SAW = "wood to be sawn"
    DRILL = "holes to be drilled"
    FINISH = "wood to be sanded and finished"
    NAILS = "nails for pegs"


_WORDS: dict[Feature, frozenset[str]] = {
    Feature.HEAD: frozenset(
        {"balaclava", "beanie", "bonnet", "cap", "hat", "headband", "helmet", "hood", "toque"}
    ),
    Feature.NECK: frozenset({"balaclava", "collar", "cowl", "hood", "necklace", "scarf", "snood"}),
    Feature.SCARF: frozenset({"scarf", "stole", "wrap"}),
    Feature.FOOT: frozenset(
        {"bootee", "bootees", "slipper", "slippers", "sock", "socks", "stocking", "stockings"}
    ),
    Feature.POMPOM: frozenset({"bobble", "pompom", "pompoms"}),
    Feature.BUTTON: frozenset({"bead", "beads", "button", "buttons", "toggle", "toggles"}),
    Feature.FRINGE: frozenset({"fringe", "fringes", "tassel", "tassels"}),
    Feature.BLANKET: frozenset({"afghan", "blanket", "throw"}),
    Feature.TOY: frozenset({"doll", "toy"}),
}

_OF_THE_GARMENT = (
    Feature.HEAD,
    Feature.FOOT,
    Feature.NECK,
    Feature.SCARF,
    Feature.BLANKET,
    Feature.TOY,
)
"""Read from the garment's name alone: a piece or step may be called after what it is not."""

_SCARVES = frozenset({"plain-strip"})
"""Garments that are worn as a scarf more often than not, whatever they are called."""

_AT_HEAD_OR_NECK = _WORDS[Feature.HEAD] | _WORDS[Feature.NECK]


def features_of(plan: Plan) -> frozenset[Feature]:
    """Everything about a plan that a rule may ask for."""
    found = {kind for kind in _OF_THE_GARMENT if _WORDS[kind] & _words(plan.garment)}
    if "neck" in plan.finished:
        found.add(Feature.NECK)
    if plan.garment in _SCARVES:
        found.add(Feature.SCARF)
    script = plan.script
    names = [step.key for step in script.steps] + [piece.name for piece in script.pieces]
    trims = frozenset().union(_words(plan.garment), *map(_words, names))
    found |= {kind for kind in _WORDS if kind not in _OF_THE_GARMENT and _WORDS[kind] & trims}
    trimmed = Part.TRIM in plan.parts and Feature.FRINGE not in found
    if trimmed or found & {Feature.POMPOM, Feature.BUTTON}:
        found.add(Feature.SMALL_PART)
    if _is_gathered(plan):
        found.add(Feature.GATHERED)
    if free_ends(plan):
        found.add(Feature.FREE_CORD)
    return frozenset(found)


def features_named(name: str) -> frozenset[Feature]:
    """What something is by its name alone, as that of a trim: ``pompom``, ``fringe``."""
    return frozenset(kind for kind in _WORDS if _WORDS[kind] & _words(name))


def free_ends(plan: Plan) -> dict[str, int]:
    """Cords whose ends stay free, by name, with the number of the step that first draws each.

    A cord is any piece of the script that carries (is threaded, drawn up, sewn with).  A piece of
    cord that is made for a head or neck and never drawn through anything counts as well, at the
    step that makes it: nothing but a tie is left for it to be.
    """
    pieces = {piece.name for piece in plan.script.pieces}
    found: dict[str, int] = {}
    carried: set[str] = set()
    for step in plan.script.steps:
        for operation in _once(step.work):
            carrier = getattr(operation, "carrier", None)
            if carrier not in pieces:
                continue
            carried.add(carrier)
            if isinstance(operation, FastenOff):
                found.pop(carrier, None)
            else:
                found.setdefault(carrier, step.number)
    if "neck" in plan.finished or _words(plan.garment) & _AT_HEAD_OR_NECK:
        cords = {piece.name for piece in plan.script.pieces if piece.cloth is Cloth.CORD}
        for step in plan.script.steps:
            if step.piece in cords - carried:
                found.setdefault(step.piece, step.number)
    return found


def _is_gathered(plan: Plan) -> bool:
    """Whether a length of yarn (no cord) is drawn up and fastened."""
    pieces = {piece.name for piece in plan.script.pieces}
    work = [operation for step in plan.script.steps for operation in _once(step.work)]
    drawn = {o.carrier for o in work if isinstance(o, DrawUp)} - pieces
    return bool(drawn & {o.carrier for o in work if isinstance(o, FastenOff)})


def _once(work: Work) -> Iterator[Operation]:
    """Every operation, the body of a repeat once: enough to know what is drawn and fastened."""
    for item in work:
        if not isinstance(item, Repeat):
            yield item
        elif item.times > 0:
            yield from _once(item.body)


def _words(name: str) -> frozenset[str]:
    return frozenset(re.split(r"[^a-z]+", name.casefold()))
