"""A ball parted by weighing what remains."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput, NotPossible
from pegwright.measured import Measured
from pegwright.units import UnitSystem
from pegwright.yarn.split import split_ball
from pegwright.yarn.yarn import Yarn

SLIPWAY = Yarn("Slipway", 4, 200, metres_per_100g_sd=6, colour="rust", invented=True)


def test_thirds_by_hand() -> None:
    split = split_ball(SLIPWAY, 83, 3)
    assert [p.remain_g for p in split.parts] == [55, 28, 0]  # 55.33 and 27.67, to the gram
    assert [p.grams.value for p in split.parts] == [28, 27, 28]
    assert [p.off_g.value for p in split.parts] == pytest.approx([1 / 3, -2 / 3, 1 / 3])
    assert [p.metres.value for p in split.parts] == pytest.approx([56, 54, 56])
    # e(0) and e(1) make the first part: sd of their difference is r / sqrt(6).
    assert split.parts[0].grams.sd == pytest.approx(1 / math.sqrt(6))
    assert split.parts[2].grams.sd == pytest.approx(1 / math.sqrt(12))


def test_halves_are_off_by_the_same() -> None:
    """Two parts of one ball: what one has too much the other has too little."""
    one, other = split_ball(SLIPWAY, 60, 2).parts
    assert one.off_g.value == other.off_g.value == 0
    assert one.off_g.sd == pytest.approx(other.off_g.sd)
    assert one.off_g.sd == pytest.approx(math.sqrt(1.25 / 12))  # |1 - 1/2|² + 1² readings


@pytest.mark.parametrize("shares", [[1 / 3] * 3, [0.5, 0.3, 0.2], [0.1, 0.9], [0.25] * 4])
def test_the_error_agrees_with_monte_carlo(shares: list[float]) -> None:
    """Every reading is off evenly within half a step, the last part is the rest."""
    rng = np.random.default_rng(17)
    ball_g, scale_g, rows = 200.0, 4.0, 1.6
    split = split_ball(SLIPWAY, ball_g, shares, scale_g, Measured(rows))
    n = 200_000
    targets = [ball_g, *(p.remain_g for p in split.parts[:-1])]
    true = [t + rng.uniform(-scale_g / 2, scale_g / 2, n) for t in targets] + [np.zeros(n)]
    for k, part in enumerate(split.parts):
        off = true[k] - true[k + 1] - part.share * true[0]
        assert part.off_g.value == pytest.approx(float(off.mean()), abs=0.02)
        assert part.off_g.sd == pytest.approx(float(off.std()), rel=0.01)
        inside = np.mean(np.abs(off - part.off_g.value) <= 1.6449 * part.off_g.sd)
        # The normal form stands in for sums of even spreads, and is a little too wide for them.
        assert 0.885 < float(inside) < 0.96
        assert part.off_rows is not None
        assert part.off_rows.sd == pytest.approx(part.off_g.sd * 2 / rows)


@given(st.floats(20, 500), st.integers(2, 10), st.sampled_from([0.1, 0.5, 1.0]))
def test_parts_make_the_ball(ball_g: float, parts: int, scale_g: float) -> None:
    split = split_ball(SLIPWAY, ball_g, parts, scale_g)
    assert math.fsum(p.grams.value for p in split.parts) == pytest.approx(ball_g)
    assert math.fsum(p.off_g.value for p in split.parts) == pytest.approx(0, abs=1e-6)
    assert all(abs(p.off_g.value) <= scale_g + 1e-9 for p in split.parts)


def test_a_finer_scale_is_surer() -> None:
    worst = [
        max(p.worst_g for p in split_ball(SLIPWAY, 100, 5, scale_g).parts)
        for scale_g in (0.1, 0.5, 1, 2, 5)
    ]
    assert worst == sorted(worst)
    assert worst[0] < worst[-1] / 20


def test_a_coarse_scale_says_so() -> None:
    split = split_ball(SLIPWAY, 50, [0.5, 0.25, 0.25], 5, Measured(2.4, 0.05))
    (found,) = split.findings
    assert found.name == "scale-too-coarse"
    assert "5 g at a time" in found.what
    assert "rows of knitting" in found.what
    assert found.what in split.words(UnitSystem.INCHES)
    assert split_ball(SLIPWAY, 100, 2).findings == ()


def test_a_scale_that_cannot_do_it_at_all() -> None:
    with pytest.raises(NotPossible, match="too coarse"):
        split_ball(SLIPWAY, 20, 10, 5)


def test_words_name_what_the_scale_shows() -> None:
    words = split_ball(SLIPWAY, 60, 2).words(UnitSystem.CENTIMETRES)
    assert words[1] == (
        "Wind off until the scale shows 30 g and cut: part 1, about 30 g (1.1 oz), 60 m (66 yd)."
    )
    assert words[2].startswith("Part 2 is the rest")
    ounces = split_ball(SLIPWAY, 4 * 28.349523125, 2, 2.8349523125).words(UnitSystem.INCHES)
    assert "until the scale shows 2 oz and cut" in ounces[1]  # a scale of tenths of an ounce


def test_plain_data() -> None:
    data = json.loads(json.dumps(split_ball(SLIPWAY, 60, 2, 1, Measured(2)).as_data()))
    assert [p["remain_g"] for p in data["parts"]] == [30, 0]
    assert data["parts"][0]["off_rows"]["value"] == 0


@pytest.mark.parametrize(
    "ball_g, parts, scale_g, row_m, field",
    [
        (0, 2, 1, None, "ball_g"),
        (-5, 2, 1, None, "ball_g"),
        (50, 2, 0, None, "scale_g"),
        (50, 1, 1, None, "parts"),  # nothing to part
        (50, 0, 1, None, "parts"),
        (50, -3, 1, None, "parts"),
        (50, True, 1, None, "parts"),
        (50, 10**9, 1, None, "parts"),
        (50, [0.5, 0.4], 1, None, "parts"),  # shares that do not add up
        (50, [0.33, 0.33, 0.33], 1, None, "parts"),
        (50, [1.0], 1, None, "parts"),
        (50, [1.5, -0.5], 1, None, "parts[2]"),
        (50, 2, 1, Measured(0), "metres_per_row"),
    ],
)
def test_input_that_cannot_be(
    ball_g: float,
    parts: int | list[float],
    scale_g: float,
    row_m: Measured | None,
    field: str,
) -> None:
    with pytest.raises(BadInput) as caught:
        split_ball(SLIPWAY, ball_g, parts, scale_g, row_m)
    assert caught.value.place is not None
    assert caught.value.place.field == field
