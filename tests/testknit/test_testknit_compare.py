"""Answers beside the prediction: intervals and pooling against scipy, and a seeded simulation."""

from __future__ import annotations

import json
import math
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from scipy import optimize, stats

from pegwright.errors import BadInput
from pegwright.gauge.fabric_gauge import HAND_RELATIVE_SD, TAPE_SD_MM
from pegwright.planning.needs import BESIDE_RELATIVE_SD
from pegwright.testknit.answers import Answers, BoardAnswer, PieceAnswer, Trouble, YarnAnswer
from pegwright.testknit.basis import Axis, Basis
from pegwright.testknit.compare import Held, Kind, hold, pool
from pegwright.testknit.trial import compare
from pegwright.units import UnitSystem

YARN = "Slipway worsted"


def answers(**more: object) -> Answers:
    return replace(Answers("bow", "stroke"), **more)  # type: ignore[arg-type]


def figure(base: Basis, given: Answers, name: str) -> Held:
    return next(h for h in hold(base, given).held if h.name == name)


# --- one figure ----------------------------------------------------------------------------------


@pytest.mark.parametrize("mm", [200.0, 269.0, 330.0])
def test_a_measure_is_held_against_scipys_interval(base: Basis, mm: float) -> None:
    held = figure(base, answers(measures_mm={"depth": mm}), "depth")
    planned = base.made.sizes[1].plan.finished["depth"]
    sd = math.sqrt(planned.sd**2 + (HAND_RELATIVE_SD * planned.value) ** 2 + TAPE_SD_MM**2)
    low, high = stats.norm.interval(0.9, planned.value, sd)
    assert (held.low, held.high) == pytest.approx((low, high))
    assert held.z == pytest.approx((mm - planned.value) / sd)
    assert held.inside == (low <= mm <= high)


def test_time_is_held_against_the_pace(base: Basis) -> None:
    """Nine makers in ten have a pace in its interval; their minutes are the loops over it."""
    loops = base.made.sizes[1].run.fabric.loops
    slow, fast = stats.norm.interval(0.9, 25, 7.5)
    held = figure(base, answers(knitting_min=400.0), "knitting")
    assert (held.low, held.high) == pytest.approx((loops / fast, loops / slow))
    assert held.z > 0  # slower than expected
    assert figure(base, answers(knitting_min=100.0), "knitting").z < 0


def test_yarn_is_held_against_the_need_that_is_printed(base: Basis) -> None:
    """The interval is the printed need's, with the scale's two readings besides."""
    held = figure(base, answers(yarns=(YarnAnswer(YARN, 200, 62),)), YARN)
    (need,) = base.made.sizes[1].needs
    assert held.expected.value == pytest.approx(need.grams.value)
    assert held.expected.sd == pytest.approx(math.hypot(need.grams.sd, math.sqrt(2 / 12)), rel=1e-6)
    assert held.got == 138


def test_another_yarn_is_held_against_its_own_metres(base: Basis) -> None:
    thin = YarnAnswer(YARN, 200, 62, instead="Gull fingering", metres_per_100g=350)
    result = hold(base, answers(yarns=(thin,)))
    (need,) = base.made.sizes[1].needs
    assert result.held[0].expected.value == pytest.approx(need.grams.value / 2)
    assert not result.on_board  # her sizes tell nothing of the design's yarn


def test_a_wrap_test_is_held_against_what_the_design_asks(base: Basis) -> None:
    test = base.made.wrap_test
    assert test is not None
    held = figure(base, answers(wrap_test_mm=1200.0), "wrap test")
    assert held.expected.value == test.reading.length_mm
    assert not figure(base, answers(wrap_test_mm=1400.0), "wrap test").inside


# --- is it the same board and the same pattern? --------------------------------------------------


def test_another_board_is_told_of(base: Basis) -> None:
    same = hold(base, answers(board=BoardAnswer(gap_mm=25.4, pitch_mm=11.1)))
    assert same.on_board
    assert not same.findings
    wide = hold(base, answers(board=BoardAnswer(gap_mm=32.0)))
    assert not wide.on_board
    assert [f.name for f in wide.findings] == ["tester-board-differs"]
    assert "% more yarn in a loop" in wide.findings[0].what
    assert not hold(base, answers(board=BoardAnswer(gap_mm=4.0))).on_board  # rows that touch


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (answers(), False),
        (answers(version="1.0"), False),
        (answers(version="0.9"), True),
        (answers(digest="0" * 64), True),
    ],
)
def test_answers_about_another_version_are_told_of(base: Basis, given: Answers, told: bool) -> None:
    names = [f.name for f in hold(base, given).findings]
    assert names == (["answers-of-another-version"] if told else [])


# --- together ------------------------------------------------------------------------------------


def test_testers_are_pooled_as_scipy_pools_them(base: Basis) -> None:
    """Where they agree: the least-squares mean, and the tail of Cochran's Q."""
    given = [answers(measures_mm={"depth": mm}) for mm in (262.0, 268.0, 273.0)]
    results = [hold(base, each) for each in given]
    ((pooled,), findings) = pool(results)
    ratios = np.array([r.held[0].ratio.value for r in results])
    sds = np.array([r.held[0].ratio.sd for r in results])
    (mean,), ((variance,),) = optimize.curve_fit(
        lambda x, m: m * x, np.ones(3), ratios, sigma=sds, absolute_sigma=True
    )
    assert pooled.ratio.value == pytest.approx(mean)
    assert pooled.ratio.sd == pytest.approx(math.sqrt(variance), rel=1e-4)
    q = float((((ratios - mean) / sds) ** 2).sum())
    assert pooled.agree == pytest.approx(stats.chi2.sf(q, 2))
    shared = results[0].held[0].expected.shared_sd / results[0].held[0].expected.value
    assert pooled.z == pytest.approx((mean - 1) / math.hypot(math.sqrt(variance), shared), rel=1e-4)
    assert (pooled.testers, pooled.inside) == (3, 3)
    assert not findings


def test_testers_of_several_sizes_are_pooled_by_their_ratios(base: Basis) -> None:
    sizes = {s.name: s.plan.finished["depth"].value for s in base.made.sizes}
    given = [Answers(n, n, measures_mm={"depth": 1.05 * mm}) for n, mm in sizes.items()]
    ((pooled,), _) = pool([hold(base, each) for each in given])
    assert pooled.testers == 3
    assert pooled.ratio.value == pytest.approx(1.05)


def test_testers_who_disagree_are_told_of(base: Basis) -> None:
    given = [answers(measures_mm={"depth": mm}) for mm in (240.0, 300.0)]
    trial = compare(base, given)
    assert [f.name for f in trial.findings] == ["testers-disagree"]


def test_a_step_that_troubles_two_testers_is_told_of(base: Basis) -> None:
    one = replace(Answers("bow", "stroke"), troubles=(Trouble(7, "slipped"), Trouble(7, "again")))
    two = Answers("coach", "coach", troubles=(Trouble(7, "which loop?"), Trouble(3, "")))
    assert not compare(base, [one]).findings  # one tester, twice
    trial = compare(base, [one, two])
    assert [(t.step, len(t.told)) for t in trial.troubles] == [(3, 1), (7, 3)]
    assert [f.name for f in trial.findings] == ["step-troubled"]
    words = "\n".join(trial.words(UnitSystem.INCHES))
    assert "Step 7, Take the live stitches off: 2 testers." in words
    assert "which loop?" in words


def test_the_whole_is_told_in_words_and_as_data(base: Basis) -> None:
    given = answers(measures_mm={"depth": 330.0}, remarks="A joy.", making_up_min=40.0)
    trial = compare(base, [given])
    words = "\n".join(trial.words(UnitSystem.CENTIMETRES))
    assert "depth: 33 cm (13 in); expected 26.9 cm" in words
    assert "OUTSIDE" in words
    assert "A joy." in words
    data = json.loads(json.dumps(trial.as_data(), allow_nan=False))
    (row,) = data["testers"][0]["figures"]
    assert row["inside"] is False
    assert row["low"] < row["expected"] < row["high"] < row["got"]
    with pytest.raises(BadInput):
        compare(base, [])


# --- simulation ----------------------------------------------------------------------------------


def drawn_tester(base: Basis, rng: np.random.Generator) -> Answers:
    """One tester of a world drawn from the model; what all share is drawn anew each time."""
    made, size = base.made, base.made.sizes[1]
    truth = {
        Axis.WALE: rng.normal(made.gauge.wale.value, made.gauge.wale.sd),
        Axis.COURSE: rng.normal(made.gauge.course.value, made.gauge.course.sd),
    }

    def taped(axis: Axis, count: float) -> float:
        own = truth[axis] * count * (1 + rng.normal(0, HAND_RELATIVE_SD))
        return float(own + rng.normal(0, TAPE_SD_MM))

    (strip,) = size.plan.pieces
    hand = rng.normal()
    share = base.sizes["bow"].shares[YARN]
    slack = made.design.slack.value + hand * made.design.slack.sd
    metres = slack * share.wrapped_m + (1 + hand * BESIDE_RELATIVE_SD) * share.beside_m
    grist = made.design.yarns[YARN].grist
    before = rng.uniform(180, 260)
    after = before - 100 * metres / rng.normal(grist.value, grist.sd)
    pace = max(rng.normal(25, 7.5), 1.0)
    return answers(
        measures_mm={
            "depth": taped(Axis.WALE, strip.columns),
            "height": taped(Axis.COURSE, strip.rows / 2),
        },
        pieces=(PieceAnswer("strip", None, taped(Axis.COURSE, strip.rows)),),
        yarns=(YarnAnswer(YARN, round(before), round(after)),),
        knitting_min=size.run.fabric.loops / pace,
    )


def test_nine_testers_in_ten_come_out_inside(base: Basis) -> None:
    rng = np.random.default_rng(20)
    testers = 800
    inside: Counter[str] = Counter()
    for _ in range(testers):
        inside.update(h.name for h in hold(base, drawn_tester(base, rng)).held if h.inside)
    assert set(inside) == {"depth", "height", "strip length", YARN, "knitting"}
    for name, count in inside.items():
        assert 0.85 <= count / testers <= 0.95, name


def test_a_spread_that_is_wrong_by_half_is_seen_by_the_simulation(base: Basis) -> None:
    """The simulation can fail: testers whose gauge strays twice as far are inside too seldom."""
    rng = np.random.default_rng(20)
    gauge = base.made.gauge
    wild = replace(gauge, wale=replace(gauge.wale, sd=2 * gauge.wale.sd))
    world = replace(base, made=replace(base.made, gauge=wild))
    inside = sum(figure(base, drawn_tester(world, rng), "depth").inside for _ in range(400))
    assert inside / 400 < 0.75


def test_the_kinds_stand_in_a_fixed_order(base: Basis) -> None:
    rng = np.random.default_rng(1)
    pooled, _ = pool([hold(base, drawn_tester(base, rng)) for _ in range(2)])
    order = [list(Kind).index(p.kind) for p in pooled]
    assert order == sorted(order)
    assert Kind.TIME not in {p.kind for p in pooled}
