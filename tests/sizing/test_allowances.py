"""From a body to a piece: usual ease, and room for hair."""

from __future__ import annotations

import pytest

from pegwright.errors import BadInput, Severity
from pegwright.garments.folded_strip_hood import FOLDED_STRIP_HOOD
from pegwright.sizing.allowances import (
    EASE_RULES,
    HAIR_ALLOWANCES,
    EaseRule,
    check_ease,
    ease_rule,
    finished_mm,
    hair_allowance,
)
from pegwright.sizing.ease import Ease
from pegwright.units import UnitSystem


def test_hats_hold_by_their_stretch_and_hoods_hang() -> None:
    for piece in ("hat", "headband"):
        assert ease_rule(piece).usual.is_negative
        assert finished_mm(piece, 560.0) < 560.0
    for piece in ("hood", "cowl"):
        assert not ease_rule(piece).usual.is_negative
        assert finished_mm(piece, 340.0) > 340.0
    assert finished_mm("hat", 560.0) == pytest.approx(515.2)  # 8 % less
    assert finished_mm("hood", 325.0) == pytest.approx(335.0)  # 10 mm more
    assert finished_mm("hat", 560.0, ease=Ease(length_mm=-20)) == pytest.approx(540.0)


@pytest.mark.parametrize("rule", EASE_RULES, ids=lambda rule: rule.piece)
def test_the_usual_lies_between_the_bounds(rule: EaseRule) -> None:
    least, usual, most = (e.finished_mm(500.0) for e in (rule.least, rule.usual, rule.most))
    assert least < usual < most
    assert rule.source == "common practice, no source"
    for ease in (rule.least, rule.usual, rule.most):
        assert check_ease(rule.piece, ease, 500.0, UnitSystem.INCHES) == ()


def test_the_shipped_hood_has_the_usual_ease() -> None:
    (option,) = (o for o in FOLDED_STRIP_HOOD.options if o.name == "ease")
    assert option.default == ease_rule("hood").usual.length_mm


@pytest.mark.parametrize(
    ("piece", "ease", "word"),
    [
        ("hat", Ease(part=0.05), "looser"),  # it slides down
        ("hat", Ease(part=-0.25), "closer"),
        ("hood", Ease(length_mm=-10), "closer"),
        ("hood", Ease(length_mm=120), "looser"),
        ("headband", Ease(part=0.0), "looser"),
    ],
)
def test_unusual_ease_is_told(piece: str, ease: Ease, word: str) -> None:
    (found,) = check_ease(piece, ease, 560.0, UnitSystem.CENTIMETRES)
    assert found.name == "ease-unusual"
    assert found.severity is Severity.CAUTION
    assert f"{word} than usual" in found.what
    assert ease.words(UnitSystem.CENTIMETRES) in found.what


def test_hair_takes_room_round_the_head_alone() -> None:
    added = [each.added_mm for each in HAIR_ALLOWANCES]
    assert added == sorted(added)
    assert added[0] == 0
    assert {each.source for each in HAIR_ALLOWANCES} == {"common practice, no source"}
    bare = finished_mm("hat", 560.0)
    assert finished_mm("hat", 560.0, hair="none") == bare
    assert finished_mm("hat", 560.0, hair="plaits") == pytest.approx(bare + 0.92 * 40)
    assert finished_mm("cowl", 340.0, hair="plaits") == finished_mm("cowl", 340.0)
    with pytest.raises(BadInput) as caught:
        hair_allowance("beehive")
    assert "plaits" in (caught.value.hint or "")


def test_a_piece_without_a_rule() -> None:
    with pytest.raises(BadInput) as caught:
        finished_mm("dish square", 200.0)
    assert "hat" in (caught.value.hint or "")
