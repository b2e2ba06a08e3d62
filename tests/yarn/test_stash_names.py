"""Yarns of a stash named apart, so that a design or a plan can call each by its name."""

from __future__ import annotations

import pytest

from pegwright.yarn.stash import StashYarn, named_apart, weighed
from pegwright.yarn.yarn import Yarn


def own(name: str, colour: str = "") -> StashYarn:
    return weighed(Yarn(name, 4, 175, colour=colour), [50.0])


@pytest.mark.parametrize(
    ("yarns", "others", "names"),
    [
        # a name that nobody else has stays
        ([own("Gull", "white")], (), ["Gull"]),
        # several colours of one make get their colours
        ([own("Gull", "white"), own("Gull", "grey")], (), ["Gull, white", "Gull, grey"]),
        # a name that the design has already is told apart from it
        ([own("Gull", "grey")], ("Gull",), ["Gull, grey"]),
        # two lots of one colour, or no colour to tell them by: a number
        ([own("Gull", "grey"), own("Gull", "grey")], (), ["Gull, grey", "Gull, grey (2)"]),
        ([own("Gull")], ("Gull", "Gull (2)"), ["Gull (3)"]),
    ],
)
def test_each_has_a_name_of_its_own(
    yarns: list[StashYarn], others: tuple[str, ...], names: list[str]
) -> None:
    apart = named_apart(yarns, others)
    assert [one.yarn.name for one in apart] == names
    assert len({*names, *others}) == len(names) + len(others)
    assert [one.balls for one in apart] == [one.balls for one in yarns]


def test_a_name_that_ends_with_its_colour_is_label_enough() -> None:
    apart = named_apart([own("Gull", "white"), own("Gull", "grey")])
    assert [one.yarn.label for one in apart] == ["Gull, white", "Gull, grey"]
    assert own("Gull", "white").yarn.label == "Gull, white"
