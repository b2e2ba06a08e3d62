"""From a body to a piece: the ease that a kind of piece usually has, and room for hair.

Hats and headbands are smaller than the head and hold by their stretch (negative ease); hoods and
cowls are larger than what they go round (positive ease).  An **allowance for hair** is added to the
head before the ease.  All of it is common practice with no source: a starting point, to be changed
for the person who will wear it.
"""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.errors import BadInput, Finding, Place, Severity
from pegwright.sizing.ease import Ease
from pegwright.units import UnitSystem, require_positive

__all__ = [
    "EASE_RULES",
    "HAIR_ALLOWANCES",
    "EaseRule",
    "HairAllowance",
    "check_ease",
    "ease_rule",
    "finished_mm",
    "hair_allowance",
]

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class EaseRule:
    """The ease that a kind of piece usually has (common practice, no source).

    :param measures: the measurements that it is added to.
    :param least: the closest that is still comfortable, ``most`` the loosest that still holds.
    """

    piece: str
    measures: tuple[str, ...]
    usual: Ease
    least: Ease
    most: Ease
    words: str
    source: str = PRACTICE


EASE_RULES: tuple[EaseRule, ...] = (
    EaseRule(
        "hat",
        ("head",),
        Ease(part=-0.08),
        Ease(part=-0.15),
        Ease(part=0.0),
        "A hat is smaller than the head: it stretches and holds.",
    ),
    EaseRule(
        "headband",
        ("head",),
        Ease(part=-0.10),
        Ease(part=-0.18),
        Ease(part=-0.03),
        "A band is smaller than the head, more so than a hat: nothing but its stretch holds it.",
    ),
    EaseRule(
        "hood",
        ("height", "depth"),
        Ease(length_mm=10),
        Ease(length_mm=0),
        Ease(length_mm=80),
        "A hood is larger than the head: it hangs from the crown, and the head turns in it.",
    ),
    EaseRule(
        "cowl",
        ("neck",),
        Ease(length_mm=120),
        Ease(length_mm=20),
        Ease(length_mm=900),
        "A cowl is larger than the neck: it is pulled over the head and lies in folds.",
    ),
)
"""Usual ease by kind of piece."""


def ease_rule(piece: str) -> EaseRule:
    """The rule for a kind of piece.

    :raises BadInput: where there is none.
    """
    for each in EASE_RULES:
        if each.piece == piece.strip().casefold():
            return each
    raise BadInput(
        "no usual ease is known for this kind of piece",
        given=piece,
        hint=f"use one of {', '.join(each.piece for each in EASE_RULES)}, or give your own ease",
        place=Place(field="piece"),
    )


def check_ease(piece: str, ease: Ease, body_mm: float, units: UnitSystem) -> tuple[Finding, ...]:
    """A caution where an ease is closer or looser than the kind of piece usually has.

    :param body_mm: the measurement that the ease is added to.
    """
    known = ease_rule(piece)
    finished = ease.finished_mm(body_mm)
    least, most = known.least.finished_mm(body_mm), known.most.finished_mm(body_mm)
    slip = 1e-6 * body_mm
    if least - slip <= finished <= most + slip:
        return ()
    close = finished < least
    return (
        Finding(
            "ease-unusual",
            Severity.CAUTION,
            f"this {known.piece} is {ease.words(units)}, which is "
            f"{'closer' if close else 'looser'} than usual. {known.words}",
            f"take {known.usual.words(units)}, or keep it if it is meant so",
        ),
    )


@dataclass(frozen=True, slots=True)
class HairAllowance:
    """Room for hair round a head that was measured without it (common practice, no source)."""

    name: str
    added_mm: float
    words: str
    source: str = PRACTICE


HAIR_ALLOWANCES: tuple[HairAllowance, ...] = (
    HairAllowance("none", 0.0, "short or fine hair, or a head that was measured over the hair"),
    HairAllowance("thick", 10.0, "thick or curly hair"),
    HairAllowance("long", 20.0, "long hair worn up beneath the piece"),
    HairAllowance("plaits", 40.0, "plaits, locs or twists worn beneath the piece"),
)
"""Allowances by name, smallest first."""


def hair_allowance(name: str) -> HairAllowance:
    """The allowance of that name.

    :raises BadInput: where there is none.
    """
    for each in HAIR_ALLOWANCES:
        if each.name == name.strip().casefold():
            return each
    raise BadInput(
        "no such allowance for hair",
        given=name,
        hint=f"use one of {', '.join(each.name for each in HAIR_ALLOWANCES)}",
        place=Place(field="hair"),
    )


def finished_mm(
    piece: str, body_mm: float, *, ease: Ease | None = None, hair: str = "none"
) -> float:
    """What a piece measures, in mm, for a body: hair is added to the body first, then the ease.

    :param ease: the rule's usual one where it is not given.
    :param hair: only for pieces that go by the head; ignored by the others.
    """
    known = ease_rule(piece)
    require_positive(body_mm, "body_mm")
    room_mm = hair_allowance(hair).added_mm if "head" in known.measures else 0.0
    return (ease or known.usual).finished_mm(body_mm + room_mm)
