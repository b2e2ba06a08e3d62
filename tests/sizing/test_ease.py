"""Ease as a length and as a part."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.sizing.ease import NO_EASE, Ease, ease_between, parse_ease
from pegwright.units import UnitSystem

INCHES, CENTIMETRES = UnitSystem.INCHES, UnitSystem.CENTIMETRES


@pytest.mark.parametrize(
    ("text", "body_mm", "finished_mm"),
    [
        ("1 in", 500, 525.4),
        ("-1 in", 500, 474.6),
        ("+2.5 cm", 500, 525),
        ("10 %", 500, 550),
        ("-10%", 500, 450),
        ("−5 %", 560, 532),
        ("2,5 %", 400, 410),
        ("5 per cent", 400, 420),
        ("0 in", 500, 500),
        ("0 %", 500, 500),
    ],
)
def test_by_hand(text: str, body_mm: float, finished_mm: float) -> None:
    ease = parse_ease(text)
    assert ease.finished_mm(body_mm) == pytest.approx(finished_mm)
    assert ease.body_mm(finished_mm) == pytest.approx(body_mm)
    assert ease.is_negative == (finished_mm < body_mm)


@pytest.mark.parametrize("text", ["", "10", "loose", "-100 %", "300 %", "10 kg", "%"])
def test_what_is_no_ease(text: str) -> None:
    with pytest.raises(BadInput):
        parse_ease(text)


def test_a_bare_number_takes_the_default_unit() -> None:
    assert parse_ease("-2", default_unit="cm") == Ease(length_mm=-20)


def test_one_of_the_two() -> None:
    with pytest.raises(BadInput):
        Ease()
    with pytest.raises(BadInput):
        Ease(length_mm=10, part=0.1)
    with pytest.raises(BadInput):
        Ease(length_mm=float("nan"))


def test_ease_must_leave_something() -> None:
    with pytest.raises(BadInput, match="takes the whole"):
        Ease(length_mm=-500).finished_mm(500)
    with pytest.raises(BadInput, match="smaller than its own ease"):
        Ease(length_mm=50).body_mm(50)


@given(st.floats(100, 2000), st.floats(50, 3000))
def test_ease_between_is_what_it_says(body_mm: float, finished_mm: float) -> None:
    assert ease_between(body_mm, finished_mm).finished_mm(body_mm) == pytest.approx(finished_mm)


@given(st.floats(-0.9, 2.0), st.floats(50, 1500), st.floats(1.001, 2))
def test_a_part_grows_with_the_body(part: float, body_mm: float, more: float) -> None:
    ease = Ease(part=part)
    ratio = ease.finished_mm(body_mm * more) / ease.finished_mm(body_mm)
    assert ratio == pytest.approx(more)


@pytest.mark.parametrize(
    ("ease", "units", "words"),
    [
        (Ease(length_mm=-25.4), INCHES, "1 in smaller than the body"),
        (Ease(length_mm=25), CENTIMETRES, "2.5 cm larger than the body"),
        (Ease(part=-0.1), INCHES, "10 % smaller than the body"),
        (Ease(part=0.025), INCHES, "2.5 % larger than the body"),
        (NO_EASE, INCHES, "the same size as the body"),
        (Ease(part=0.0), CENTIMETRES, "the same size as the body"),
    ],
)
def test_words(ease: Ease, units: UnitSystem, words: str) -> None:
    assert ease.words(units) == words
