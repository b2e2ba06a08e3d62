"""Which yarns of the stash can stand in for another."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.measured import Measured
from pegwright.units import UnitSystem
from pegwright.yarn.stash import weighed
from pegwright.yarn.substitute import Fit, shorter, stand_ins
from pegwright.yarn.yarn import Yarn

WANTED = Yarn("Slipway", 4, 180, wraps_per_inch=10, fibre="wool", colour="slate", invented=True)
RUST = Yarn("Tholepin", 4, 175, wraps_per_inch=9.5, fibre="carded wool", colour="rust")
SPORT = Yarn("Painter", 2, 360, wraps_per_inch=14.2, fibre="cotton", colour="cream")
BULKY = Yarn("Hawser", 6, 60, wraps_per_inch=5, fibre="wool", colour="navy")


def labels(found: object) -> list[str]:
    return [one.label for one in found.found]  # type: ignore[attr-defined]


def test_the_nearest_comes_first() -> None:
    found = stand_ins(WANTED, [weighed(y, [100]) for y in (BULKY, SPORT, RUST)], together=False)
    assert labels(found) == ["Tholepin, rust", "Painter, cream", "Hawser, navy"]
    assert [one.fit for one in found.found] == [Fit.CLOSE, Fit.FAR, Fit.FAR]
    first = found.found[0]
    assert first.category_step == 0
    assert first.thickness_part == pytest.approx(10 / 9.5 - 1)
    assert first.length_part == pytest.approx(175 / 180 - 1)
    assert first.chance is None
    assert found.best is first


def test_the_yarn_itself_stands_in_best() -> None:
    found = stand_ins(WANTED, [weighed(RUST, [100]), weighed(WANTED, [100])])
    assert found.found[0].label == "Slipway, slate"
    assert found.found[0].thickness_part == 0


def test_too_little_goes_behind_what_reaches() -> None:
    need = Measured(150, 5)
    near = replace(RUST, name="Bilge", wraps_per_inch=8.5, wrapped_diameter_mm=25.4 / 8.5)
    found = stand_ins(WANTED, [weighed(RUST, [40]), weighed(near, [120])], need, together=False)
    assert labels(found) == ["Bilge, rust", "Tholepin, rust"]  # near, and enough; close, and not
    assert [one.fit for one in found.found] == [Fit.NEAR, Fit.CLOSE]
    assert [round(one.chance or 0, 3) for one in found.found] == [1.0, 0.0]
    assert "there is too little" in " ".join(found.words(UnitSystem.INCHES))


def test_two_strands_of_a_finer_yarn() -> None:
    found = stand_ins(WANTED, [weighed(SPORT, [50, 50])], Measured(150, 5))
    first, second = found.found
    assert first.label == "2 strands of Painter held together, cream"
    assert first.have.value == pytest.approx(180)  # half of the 360 m
    assert first.yarn.metres_per_100g == pytest.approx(180)
    assert second.fit is Fit.FAR
    assert found.best is first


def test_two_yarns_reach_as_far_as_the_shorter() -> None:
    other = replace(SPORT, name="Fender", colour="green")
    found = stand_ins(WANTED, [weighed(SPORT, [100]), weighed(other, [20])])
    pair = next(one for one in found.found if one.label.startswith("Painter and Fender"))
    assert pair.have.value == pytest.approx(72, abs=0.01)
    assert [own.yarn.name for own in pair.strands] == ["Painter", "Fender"]


@pytest.mark.parametrize(
    "one, other",
    [
        (Measured(100, 5), Measured(102, 3)),
        (Measured(100, 5), Measured(100, 5)),
        (Measured(100, 5), Measured(200, 5)),
        (Measured(90, 0), Measured(91, 4)),
    ],
)
def test_the_shorter_agrees_with_monte_carlo(one: Measured, other: Measured) -> None:
    rng = np.random.default_rng(41)
    least = np.minimum(
        rng.normal(one.value, one.sd, 400_000), rng.normal(other.value, other.sd, 400_000)
    )
    found = shorter(one, other)
    assert found.value == pytest.approx(float(least.mean()), abs=0.03)
    assert found.sd == pytest.approx(float(least.std()), rel=0.01)
    assert shorter(Measured(3), Measured(2)) == Measured(2)


@given(st.floats(5, 300), st.floats(1, 50))
def test_more_yarn_is_never_less_likely_enough(grams: float, more_g: float) -> None:
    need = Measured(200, 8)
    chances = [
        stand_ins(WANTED, [weighed(RUST, [g])], need, together=False).found[0].chance or 0.0
        for g in (grams, grams + more_g)
    ]
    assert chances[0] <= chances[1] + 1e-12


def test_reasons_are_told_plainly() -> None:
    guessed = Yarn("Oar", 5, 100, fibre="cotton", colour="red")
    found = stand_ins(WANTED, [weighed(guessed, [100])], Measured(80, 3), together=False)
    reasons = "; ".join(found.found[0].reasons)
    assert "there is enough more than 99 times in 100" in reasons
    assert "one category thicker (5 bulky, not 4 medium)" in reasons
    assert "so the fabric is firmer on the same pegs" in reasons
    assert "a length of it is 80 % heavier" in reasons
    assert "it is cotton, not wool" in reasons
    assert "count the wraps" in reasons
    alike = stand_ins(WANTED, [weighed(RUST, [100])], together=False).found[0].reasons
    assert not any("washes" in reason for reason in alike)  # carded wool is wool


def test_nothing_near_is_said() -> None:
    found = stand_ins(WANTED, [weighed(BULKY, [100])])
    assert found.best is None
    assert found.words(UnitSystem.INCHES)[-1] == "Nothing in the stash comes near enough."
    assert json.loads(json.dumps(found.as_data()))["found"][0]["fit"] == "far"


def test_refusals() -> None:
    with pytest.raises(BadInput, match="no yarn"):
        stand_ins(WANTED, [])
    with pytest.raises(BadInput) as caught:
        stand_ins(WANTED, [weighed(RUST, [10])], Measured(0))
    assert caught.value.place is not None
    assert caught.value.place.field == "need"
