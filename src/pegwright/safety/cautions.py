"""The cautions that follow from a plan: who wears it, how it closes, what the hands do."""

from __future__ import annotations

from collections.abc import Iterable

from pegwright.garments.base import Plan, Wearer
from pegwright.safety.caution import Caution
from pegwright.safety.features import Feature, features_of
from pegwright.safety.rules import RULES, Rule, rules_for

__all__ = ["board_cautions", "caution_of", "cautions_for"]


def cautions_for(plans: Iterable[Plan]) -> tuple[Caution, ...]:
    """The cautions of a pattern for all its sizes, the gravest first, each once."""
    found = set(rules_for(Wearer.ADULT, ()))  # what holds for every piece and wearer
    for plan in plans:
        found.update(rules_for(plan.wearer, features_of(plan)))
    return tuple(caution_of(each) for each in RULES if each in found)


def board_cautions(work: Iterable[Feature]) -> tuple[Caution, ...]:
    """The cautions of building a board, in the order of the table, each once.

    :param work: what the building asks for: a board, sawing, drilling and so on.  Rules that hold
        for every knitted piece are left out.
    """
    asked = frozenset(work)
    return tuple(caution_of(each) for each in RULES if each.applies_to and each.applies_to <= asked)


def caution_of(rule: Rule) -> Caution:
    """A rule as it stands in a pattern."""
    return Caution(rule.title, rule.text, rule.source)
