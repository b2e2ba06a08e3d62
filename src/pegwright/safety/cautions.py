"""The cautions that follow from a plan: who wears it, how it closes, what the hands do."""

from __future__ import annotations

from collections.abc import Iterable

from pegwright.garments.base import Plan, Wearer
from pegwright.safety.caution import Caution
from pegwright.safety.features import Feature, features_named, features_of
from pegwright.safety.rules import RULES, Rule, rules_for

__all__ = ["board_cautions", "caution_of", "cautions_for", "trim_cautions"]


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
    return _asked_for(frozenset(work))


def trim_cautions(kind: str) -> tuple[Caution, ...]:
    """The cautions of a trim, whoever wears it: each says whom it is for.

    :param kind: what is made, as ``pompom`` or ``tassel``.
    """
    return _asked_for(features_named(kind))


def _asked_for(features: frozenset[Feature]) -> tuple[Caution, ...]:
    """The cautions of rules that these features alone ask for, in the order of the table."""
    return tuple(caution_of(r) for r in RULES if r.applies_to and r.applies_to <= features)


def caution_of(rule: Rule) -> Caution:
    """A rule as it stands in a pattern."""
    return Caution(rule.title, rule.text, rule.source)
