"""The forecast while knitting: the update against plain linear algebra, refusals, and the words."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import multivariate_normal, norm

from pegwright.errors import BadInput, Severity
from pegwright.measured import Measured
from pegwright.planning.forecast import (
    Advice,
    Forecast,
    Prior,
    Switch,
    Weighing,
    forecast,
    narrowing,
)
from pegwright.planning.weighings import MOISTURE_PART, Scale
from pegwright.units import UnitSystem

PRIOR = Prior(Measured(0.5, 0.03))
HALF = [Weighing(0, 72.0), Weighing(25, 59.0), Weighing(60, 41.0)]


def reference(
    prior: Prior, weighings: list[Weighing], rows_total: int, reserve: Measured, step_g: float
) -> tuple[list[float], list[Measured], list[Measured]]:
    """Weights, grams per row and grams at the end at each level of scatter.

    One joint normal of (grams per row, grams left at each weighing, at the end), conditioned on all
    readings after the first at once.
    """
    rows = [w.row for w in weighings]
    readings = np.array([w.left_g for w in weighings])
    errors = np.array(
        [math.sqrt(w.balls * step_g**2 / 12 + (MOISTURE_PART * w.left_g) ** 2) for w in weighings]
    )
    done = np.array([prior.amount(rows[0], row) for row in [*rows, rows_total]])
    weights, per_row, at_end = [], [], []
    for factor in (0.25, 0.5, 1.0, 2.0, 4.0):
        row_sd = prior.scatter * factor * prior.grams_per_row.value
        # Columns: grams per row, error of the first reading (which is where the grams left are
        # counted from); rows: grams per row, left at each weighing, left at the end.
        loads = np.column_stack(
            [np.r_[1.0, -done] * prior.grams_per_row.sd, np.r_[0.0, np.full(len(done), errors[0])]]
        )
        cov = loads @ loads.T
        cov[1:, 1:] += row_sd**2 * np.minimum.outer(done, done)
        mean = np.r_[prior.grams_per_row.value, readings[0] - done * prior.grams_per_row.value]
        seen = np.arange(2, len(rows) + 1)
        log_weight = norm.logpdf(math.log2(factor))
        if len(seen):
            noisy = cov[np.ix_(seen, seen)] + np.diag(errors[1:] ** 2)
            log_weight += multivariate_normal.logpdf(readings[1:], mean[seen], noisy)
            gain = np.linalg.solve(noisy, cov[seen]).T
            mean = mean + gain @ (readings[1:] - mean[seen])
            cov = cov - gain @ cov[seen]
        weights.append(math.exp(log_weight))
        per_row.append(Measured(float(mean[0]), math.sqrt(cov[0, 0])))
        at_end.append(Measured(float(mean[-1]), math.sqrt(max(cov[-1, -1], 0))) - reserve)
    return [w / sum(weights) for w in weights], per_row, at_end


def mixed(weights: list[float], parts: list[Measured]) -> Measured:
    w = np.array(weights)
    mean = float(w @ [p.value for p in parts])
    return Measured(mean, math.sqrt(float(w @ [p.sd**2 + (p.value - mean) ** 2 for p in parts])))


@st.composite
def knittings(draw: st.DrawFn) -> tuple[Prior, list[Weighing], int, Measured, float]:
    total = draw(st.integers(20, 300))
    rows = sorted(draw(st.lists(st.integers(0, total), min_size=1, max_size=6)))
    grams = Measured(draw(st.floats(0.05, 5)), draw(st.floats(0.001, 0.2)))
    shares = draw(st.none() | st.lists(st.floats(0, 2), min_size=total, max_size=total))
    prior = Prior(grams, draw(st.floats(0.01, 0.2)), tuple(shares or ()))
    step = draw(st.sampled_from([0.1, 1.0, 5.0]))
    pace = grams.value * draw(st.floats(0.7, 1.3))
    start = draw(st.floats(10, 200)) + 2 * total * pace
    left = [round((start - pace * prior.amount(0, row)) / step) * step for row in rows]
    weighings = [Weighing(row, max(g, 0.0), 2) for row, g in zip(rows, left, strict=True)]
    reserve = Measured(draw(st.floats(0, 20)), draw(st.floats(0, 2)))
    return prior, weighings, total, reserve, step


@given(knittings())
def test_the_update_is_that_of_linear_algebra(
    case: tuple[Prior, list[Weighing], int, Measured, float],
) -> None:
    prior, weighings, total, reserve, step = case
    found = forecast(prior, weighings, total, reserve, scale_g=step)
    weights, per_row, at_end = reference(prior, weighings, total, reserve, step)
    expected = mixed(weights, per_row)
    assert found.grams_per_row.value == pytest.approx(expected.value, rel=1e-6)
    assert found.grams_per_row.sd == pytest.approx(expected.sd, rel=1e-4, abs=1e-9)
    expected = mixed(weights, at_end)
    assert found.grams_at_end.value == pytest.approx(expected.value, rel=1e-6, abs=1e-6)
    assert found.grams_at_end.sd == pytest.approx(expected.sd, rel=1e-4, abs=1e-6)
    chance = sum(
        w * float(norm.sf(0, part.value, part.sd)) for w, part in zip(weights, at_end, strict=True)
    )
    assert found.chance_of_finishing == pytest.approx(chance, abs=1e-6)
    low, high = found.grams_at_end_interval
    for bound, part in ((low, 0.05), (high, 0.95)):
        below = sum(
            w * float(norm.cdf(bound, p.value, p.sd)) for w, p in zip(weights, at_end, strict=True)
        )
        assert below == pytest.approx(part, abs=1e-3)


def test_one_more_reading_by_hand() -> None:
    """A scatter too small to matter leaves the textbook update of a slope from two readings.

    20 g in 40 rows say 0.5 g a row with sd sqrt(2/12)/40 = 0.0102; the promise is 0.6 with sd 0.05.
    Precisions 9600 and 400 give (9600 * 0.5 + 400 * 0.6) / 10000 = 0.504, sd 0.01.
    """
    prior = Prior(Measured(0.6, 0.05), scatter=1e-6)
    found = forecast(prior, [Weighing(0, 60), Weighing(40, 40)], 100, moisture_part=0)
    assert found.grams_per_row.value == pytest.approx(0.504)
    assert found.grams_per_row.sd == pytest.approx(0.01, rel=1e-6)
    assert found.needed.value == pytest.approx(60 * 0.504)


def test_without_a_second_weighing_the_promise_stands() -> None:
    found = forecast(PRIOR, [Weighing(10, 50.0)], 100, Measured(5.0, 0.5))
    assert found.grams_per_row.value == pytest.approx(PRIOR.grams_per_row.value)
    assert found.grams_per_row.sd == pytest.approx(PRIOR.grams_per_row.sd)
    assert found.needed.value == pytest.approx(45)
    assert found.grams_at_end.value == pytest.approx(0.0)
    assert found.chance_of_finishing == pytest.approx(0.5, abs=1e-9)
    assert found.rows_left.value == pytest.approx(90, abs=0.01)


def test_rows_left_and_chance_agree() -> None:
    found = forecast(PRIOR, HALF, 110, 8.0)
    low, high = found.rows_left_interval
    assert forecast(PRIOR, HALF, 60 + math.floor(low), 8.0).chance_of_finishing >= 0.95
    assert forecast(PRIOR, HALF, 60 + math.ceil(low), 8.0).chance_of_finishing <= 0.95
    assert forecast(PRIOR, HALF, 60 + math.floor(high), 8.0).chance_of_finishing >= 0.05
    assert forecast(PRIOR, HALF, 60 + math.ceil(high), 8.0).chance_of_finishing <= 0.05
    # The lower end of a 90 % interval is the bound that holds with 95 % confidence.
    assert found.switch.row == 60 + math.floor(low) or found.switch.row == 110


@pytest.mark.parametrize(
    ("left_g", "reserve_g", "advice"),
    [
        (41.0, 8.0, Advice.KEEP_GOING),  # 50 rows of half a gram leave 8 g and more
        (30.0, 8.0, Advice.CHANGE_LATER),  # some 44 rows are in it
        (8.6, 8.0, Advice.CHANGE_NOW),  # a row or two: none is sure
        (8.0, 8.0, Advice.RESERVE_AT_RISK),  # as likely as not
        (0.0, 8.0, Advice.RESERVE_AT_RISK),
    ],
)
def test_advice(left_g: float, reserve_g: float, advice: Advice) -> None:
    used = 30.0
    weighings = [Weighing(0, left_g + used), Weighing(60, left_g)]
    found = forecast(PRIOR, weighings, 110, reserve_g)
    assert found.switch.advice is advice
    assert (found.switch.row is None) == (advice is Advice.RESERVE_AT_RISK)
    assert 60 <= found.switch.row_without_reserve <= 110
    if found.switch.row is not None:
        assert found.switch.row <= found.switch.row_without_reserve


def test_the_last_sure_row_is_the_last() -> None:
    weighings = [Weighing(0, 60.0), Weighing(60, 30.0)]
    row = forecast(PRIOR, weighings, 110, 8.0).switch.row
    assert row is not None
    assert forecast(PRIOR, weighings, row, 8.0).chance_of_finishing >= 0.95
    assert forecast(PRIOR, weighings, row + 1, 8.0).chance_of_finishing < 0.95


def test_stripes_take_yarn_only_in_their_rows() -> None:
    """Rows 1 to 10 in this yarn, 11 to 20 in another, and so on."""
    shares = tuple(float(row // 10 % 2 == 0) for row in range(60))
    prior = Prior(Measured(0.5, 0.001), scatter=0.001, shares=shares)
    weighings = [Weighing(0, 40.0), Weighing(10, 35.0), Weighing(20, 35.0), Weighing(25, 32.5)]
    found = forecast(prior, weighings, 60, scale_g=0.01)
    assert found.needed.value == pytest.approx(7.5, abs=0.05)  # rows 26 to 30 and 41 to 50
    # 32.5 g are 65 rows of it: 15 are there (as far as row 60), and 50 more follow.
    assert found.rows_left.value == pytest.approx(35 + 50, abs=0.5)
    assert prior.rows(10, 0.0) == 10.0  # the rows in the other colour come free
    assert prior.rows(20, prior.amount(20, 45)) == pytest.approx(25)


def test_a_promise_far_off_is_told() -> None:
    found = forecast(PRIOR, [Weighing(0, 90), Weighing(40, 50)], 100)  # a gram a row
    (odd,) = found.findings
    assert odd.name == "weighing-hard-to-believe"
    assert odd.severity is Severity.CAUTION
    assert "weighing 2" in odd.what
    assert "row 40, 50 g" in odd.what
    assert not forecast(PRIOR, HALF, 110).findings


@pytest.mark.parametrize(
    ("weighings", "entry", "word"),
    [
        ([], "weighings", "at least one"),
        ([(0, 50), (20, 55)], "weighings.2", "heavier"),  # yarn does not grow
        ([(0, 50), (20, 40), (40, 70)], "weighings.3", "heavier"),  # a ball was added
        ([(0, 50), (40, 30), (20, 40)], "weighings.3", "out of order"),
        ([(0, 50), (20, -1)], "weighings.2", "below zero"),
        ([(-1, 50)], "weighings.1", "no row"),
        ([(0, 50), (101, 2)], "weighings.2", "no row"),  # the piece has 100
        ([(0, 50), (20.5, 40)], "weighings.2", "no row"),
        ([(0, math.nan)], "weighings.1.left_g", "finite"),
        ([(0, math.inf)], "weighings.1.left_g", "finite"),
        ([(0, 50, 0)], "weighings.1", "no ball"),
    ],
)
def test_weighings_that_cannot_be(weighings: list[tuple[int, ...]], entry: str, word: str) -> None:
    with pytest.raises(BadInput, match=word) as caught:
        forecast(PRIOR, [Weighing(*w) for w in weighings], 100)
    assert caught.value.place is not None
    assert caught.value.place.field == entry
    assert caught.value.hint


def test_what_the_scale_explains_is_no_rise() -> None:
    # Half a gram was knitted, and a scale in steps of 1 g shows one more: air and rounding.
    assert forecast(PRIOR, [Weighing(0, 50), Weighing(1, 51)], 100).row == 1
    # A scale in steps of 0.1 g, yarn kept in a tin: a gram more is a slip.
    with pytest.raises(BadInput, match="heavier"):
        forecast(PRIOR, [Weighing(0, 50), Weighing(1, 51)], 100, scale_g=0.1, moisture_part=0.0001)


@pytest.mark.parametrize(
    "wrong",
    [
        {"rows_total": 0},
        {"rows_total": 2_000_000},
        {"reserve_g": -1.0},
        {"reserve_g": math.nan},
        {"scale_g": 0.0},
        {"moisture_part": -0.1},
        {"confidence": 1.0},
        {"prior": Prior(Measured(0.5, 0.03), shares=(1.0, 1.0))},  # two rows, not 110
    ],
    ids=str,
)
def test_other_numbers_that_cannot_be(wrong: dict[str, object]) -> None:
    given: dict[str, object] = {"prior": PRIOR, "weighings": HALF, "rows_total": 110, **wrong}
    with pytest.raises(BadInput):
        forecast(**given)  # type: ignore[arg-type]


@pytest.mark.parametrize("grams", [Measured(0.0, 0.1), Measured(-0.5, 0.1)])
def test_a_row_takes_something(grams: Measured) -> None:
    with pytest.raises(BadInput):
        Prior(grams)


def test_several_balls_on_a_coarse_scale() -> None:
    scale = Scale(5.0, 0.0)
    assert scale.error_sd(Weighing(0, 80, balls=4)) == pytest.approx(5 / math.sqrt(12) * 2)
    one = forecast(PRIOR, [Weighing(0, 80), Weighing(40, 60)], 100, scale_g=5)
    four = forecast(PRIOR, [Weighing(0, 80, 4), Weighing(40, 60, 4)], 100, scale_g=5)
    assert four.grams_per_row.sd > one.grams_per_row.sd


def test_narrowing_is_the_forecast_after_each_weighing() -> None:
    steps = narrowing(PRIOR, HALF, 110, 8.0)
    assert [step.row for step in steps] == [0, 25, 60]
    assert steps[-1] == forecast(PRIOR, HALF, 110, 8.0)
    sds = [step.grams_at_end.sd for step in steps]
    assert sds == sorted(sds, reverse=True)


# --- words ---------------------------------------------------------------------------------------


def told(
    chance: float = 0.97,
    advice: Advice = Advice.KEEP_GOING,
    row: int | None = 110,
    end_g: float = 7.2,
) -> Forecast:
    """A forecast with figures of its own, so that the words stand alone."""
    return Forecast(
        row=60,
        rows_total=110,
        left=Measured(41.2, 0.4),
        promised_per_row=Measured(0.5, 0.03),
        grams_per_row=Measured(0.516, 0.009),
        scatter=0.05,
        needed=Measured(25.8, 0.6),
        reserve=Measured(8.0),
        rows_left=Measured(64.2, 1.9),
        rows_left_interval=(61.2, 67.4),
        grams_at_end=Measured(end_g, 0.7),
        grams_at_end_interval=(end_g - 1.2, end_g + 1.2),
        chance_of_finishing=chance,
        switch=Switch(advice, row, 110),
    )


def test_words_when_it_reaches() -> None:
    assert told().words(UnitSystem.CENTIMETRES) == (
        "60 rows of 110 done, 41 g (1.5 oz) left.",
        "The run promised 0.5 ± 0.03 g a row; with your weighings it is 0.516 ± 0.009 g.",
        "The yarn does for between 61 and 67 rows more in 90 of 100 makings, with 8 g (0.28 oz) "
        "kept for cord, seam and tails; 50 rows are to come.",
        "It reaches to the end about 97 times in 100.",
        "About 7.2 g (0.25 oz) will be left.",
        "Keep going.",
    )


def test_words_when_it_does_not() -> None:
    inches = UnitSystem.INCHES
    words = told(0.004, Advice.CHANGE_LATER, 92, -6.0).words(inches)
    assert words[3:] == (
        "It reaches to the end less than once in 100 times.",
        "About 0.21 oz (6 g) will be missing.",
        "Row 92 is the last that is sure (95 in 100): change to another yarn there, or after row "
        "110 if cord, seam and tails are to come from other yarn.",
    )
    now = told(advice=Advice.CHANGE_NOW, row=60).words(inches)[-1]
    assert "change to another yarn now" in now
    risky = told(advice=Advice.RESERVE_AT_RISK, row=None).words(inches)[-1]
    assert "may not do for cord, seam and tails" in risky


def test_words_when_all_rows_are_done() -> None:
    weighings = [Weighing(0, 70.0), Weighing(110, 14.0)]
    assert forecast(PRIOR, weighings, 110, 8.0).words(UnitSystem.CENTIMETRES)[2:] == (
        "Cord, seam and tails want 8 g (0.28 oz), and it is there more than 99 times in 100.",
        "All rows are done.",
    )
    assert forecast(PRIOR, weighings, 110).words(UnitSystem.INCHES)[2:] == ("All rows are done.",)


def test_data_is_plain() -> None:
    data = json.loads(json.dumps(forecast(PRIOR, HALF, 110, 8.0).as_data(), allow_nan=False))
    assert data["row"] == 60
    assert data["rows_to_come"] == 50
    assert data["rows_left"]["low"] < data["rows_left"]["value"] < data["rows_left"]["high"]
    assert data["grams_at_end"]["low"] < data["grams_at_end"]["high"]
    assert 0 <= data["chance_of_finishing"] <= 1
    assert data["advice"] in set(Advice)
    assert data["coverage"] == 0.9
