"""The trade's hat chart, and that it is never taken for heads."""

from __future__ import annotations

from dataclasses import fields
from itertools import pairwise

import pytest

from pegwright.errors import BadInput
from pegwright.sizing.hats import HAT_SIZES, HatSize, hat_size
from pegwright.sizing.heads import HeadSize


# Common practice, no source: round and crown to brow, in inches.
@pytest.mark.parametrize(
    ("name", "around", "down"),
    [
        ("preemie", 12, 3),
        ("newborn", 14, 3.5),
        ("0-6 months", 16, 4),
        ("6–12 months", 17, 4.25),
        ("toddler", 19, 4.75),
        ("child", 20.5, 5),
        ("Teen", 21, 5.25),
        ("woman", 21, 5.25),
        ("man", 22, 5.5),
    ],
)
def test_the_chart(name: str, around: float, down: float) -> None:
    size = hat_size(name)
    assert size.round_mm == pytest.approx(around * 25.4)
    assert size.crown_to_brow_mm == pytest.approx(down * 25.4)
    assert size.source == "common practice, no source"


def test_sizes_run_from_small_to_large() -> None:
    for smaller, larger in pairwise(HAT_SIZES):
        assert smaller.round_mm <= larger.round_mm
        assert smaller.crown_to_brow_mm <= larger.crown_to_brow_mm


def test_a_hat_size_is_no_head() -> None:
    """The two share neither a type nor a field that could be read for the other's."""
    assert not issubclass(HatSize, HeadSize)
    assert not issubclass(HeadSize, HatSize)
    own = {each.name for each in fields(HatSize)}
    assert own & {each.name for each in fields(HeadSize)} == {"name", "source"}
    assert not hasattr(HAT_SIZES[0], "percentile_mm")


def test_an_unknown_size_is_told_what_there_is() -> None:
    with pytest.raises(BadInput) as caught:
        hat_size("giant")
    assert caught.value.hint is not None
    assert "toddler" in caught.value.hint
