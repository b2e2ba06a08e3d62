"""The cautions that follow from a plan: who wears it, how it closes, what the hands do."""

from __future__ import annotations

from collections.abc import Iterable

from pegwright.garments.base import Plan, Wearer
from pegwright.safety.caution import Caution
from pegwright.safety.features import features_of
from pegwright.safety.rules import RULES, Rule, rules_for

__all__ = ["caution_of", "cautions_for"]


def cautions_for(plans: Iterable[Plan]) -> tuple[Caution, ...]:
    """The cautions of a pattern for all its sizes, the gravest first, each once."""
    found = set(rules_for(Wearer.ADULT, ()))  # what holds for every piece and wearer
    for plan in plans:
        found.update(rules_for(plan.wearer, features_of(plan)))
    return tuple(caution_of(each) for each in RULES if each in found)


def caution_of(rule: Rule) -> Caution:
    """A rule as it stands in a pattern."""
    return Caution(rule.title, rule.text, rule.source)
