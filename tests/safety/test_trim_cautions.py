"""What is said of a trim before anyone knows who will wear it."""

from __future__ import annotations

import pytest

from pegwright.planning.trim_kinds import TRIM_KINDS
from pegwright.safety.cautions import caution_of, trim_cautions
from pegwright.safety.rules import rule


@pytest.mark.parametrize(
    ("kind", "names"),
    [
        ("pompom", ["pompom"]),  # its threads come out
        ("tassel", ["fringe"]),
        ("fringe", ["fringe"]),
        ("seam", []),
        ("tails", []),
        ("joins", []),
    ],
)
def test_each_trim_has_the_cautions_of_what_it_is(kind: str, names: list[str]) -> None:
    assert kind in TRIM_KINDS
    assert trim_cautions(kind) == tuple(caution_of(rule(name)) for name in names)


def test_a_caution_says_whom_it_is_for() -> None:
    (caution,) = trim_cautions("pompom")
    assert "child under three" in caution.title
    assert caution.source
