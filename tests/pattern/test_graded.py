"""Numbers of several sizes in one: ``small (medium, large)``."""

from __future__ import annotations

import pytest

from pegwright.errors import BadUse
from pegwright.pattern.graded import Graded, in_sizes
from pegwright.units import UnitSystem

INCHES, CENTIMETRES = UnitSystem.INCHES, UnitSystem.CENTIMETRES


@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        (["a"], "a"),
        (["a", "a"], "a"),
        (["a", "b"], "a (b)"),
        (["a", "b", "a"], "a (b, a)"),
        ([], ""),
    ],
)
def test_in_sizes(texts: list[str], expected: str) -> None:
    assert in_sizes(texts) == expected


def test_counts_and_sums() -> None:
    pegs = Graded((28, 29, 30), INCHES)
    assert f"{pegs}" == "28 (29, 30)"
    assert f"{pegs:+1}" == "29 (30, 31)"
    assert f"{Graded((28, 28), INCHES)}" == "28"


def test_lengths_in_both_units_the_makers_first() -> None:
    assert f"{Graded((254.0,), INCHES):length}" == "10 in (25.4 cm)"
    assert f"{Graded((254.0, 279.4), INCHES):length}" == "10 (11) in [25.4 (27.9) cm]"
    assert f"{Graded((254.0, 279.4), CENTIMETRES):length}" == "25.4 (27.9) cm [10 (11) in]"


def test_unknown_form_is_refused() -> None:
    with pytest.raises(BadUse):
        format(Graded((1.0,), INCHES), "%")
