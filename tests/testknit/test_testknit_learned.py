"""What is learned: swatches, slack and pace, and lines that a design file takes."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace

import numpy as np
import pytest
import tomlkit
from scipy import optimize, stats

from pegwright import making
from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.designs.writer import write_text
from pegwright.gauge.fabric_gauge import TAPE_SD_MM, Swatch
from pegwright.measured import Measured
from pegwright.planning.needs import yarn_needs
from pegwright.testknit.answers import Answers, BoardAnswer, PieceAnswer, YarnAnswer
from pegwright.testknit.basis import Basis
from pegwright.testknit.compare import hold
from pegwright.testknit.hands import hands
from pegwright.testknit.learned import Learned, learn, piece_swatch, slack_of

YARN = "Slipway worsted"

BOW = Answers(
    "bow",
    "stroke",
    washed=True,
    measures_mm={"depth": 265.0, "height": 350.0, "neck": 380.0},
    pieces=(PieceAnswer("strip", None, 696.0),),
    yarns=(YarnAnswer(YARN, 200, 58),),
    knitting_min=320.0,
)
COACH = Answers(
    "coach",
    "coach",
    washed=True,
    measures_mm={"depth": 285.0, "height": 356.0},
    yarns=(YarnAnswer(YARN, 210, 52),),
    knitting_min=400.0,
)


def learned(base: Basis, *given: Answers) -> Learned:
    return learn(base, [hold(base, each) for each in given])


# --- pieces as swatches --------------------------------------------------------------------------


def test_a_piece_is_a_swatch_by_least_squares(base: Basis) -> None:
    """52 rows of 350 mm and 104 of 696 mm, one tape: scipy's fit through the origin."""
    swatch = piece_swatch(base, BOW)
    assert swatch is not None
    (row,), ((variance,),) = optimize.curve_fit(
        lambda x, u: u * x, [52, 104], [350, 696], sigma=[TAPE_SD_MM] * 2, absolute_sigma=True
    )
    assert swatch.rows == 104
    assert swatch.course.value == pytest.approx(row, abs=0.05 / 104)
    assert swatch.course.sd == pytest.approx(math.sqrt(variance), abs=0.05 / 104)
    assert (swatch.stitches, swatch.width.value) == (29, 265)  # a single reading, as it is
    assert swatch.washed


def test_a_piece_measured_one_way_only_gives_way_to_her_swatch(base: Basis) -> None:
    one_way = replace(BOW, measures_mm={"depth": 265.0}, pieces=())
    assert piece_swatch(base, one_way) is None
    assert learned(base, one_way).swatches == ()
    own = Swatch(20, Measured(183.0), 26, Measured(174.0), washed=False)
    (swatch,) = learned(base, replace(one_way, swatch=own)).swatches
    assert (swatch.stitches, swatch.width.value, swatch.washed) == (20, 183, False)
    (piece,) = learned(base, replace(BOW, swatch=own)).swatches  # the piece counts, and once
    assert piece.stitches == 29


def test_the_learned_gauge_lies_by_the_testers_and_is_surer(base: Basis) -> None:
    before, after = base.made.gauge, learned(base, BOW, COACH).gauge
    assert after.wale.value == pytest.approx(285 / 30, rel=0.05)
    assert before.wale.relative / after.wale.relative > 4
    alone = learned(base, BOW).gauge
    assert after.wale.sd < alone.wale.sd


def test_another_board_or_yarn_teaches_neither_gauge_nor_slack(base: Basis) -> None:
    for other in (
        replace(BOW, board=BoardAnswer(gap_mm=33.0)),
        replace(BOW, yarns=(replace(BOW.yarns[0], instead="Gull worsted"),)),
    ):
        found = learned(base, other)
        assert found.swatches == ()
        assert found.slack is None
        assert found.pace is not None  # hands are as fast on any board


# --- slack ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("slack", [0.9, 1.0, 1.2])
def test_slack_is_found_again_from_the_grams_that_it_draws(base: Basis, slack: float) -> None:
    """What the planning room reckons for this slack, drawn and weighed, gives the slack back."""
    run, yarns = base.made.sizes[1].run, base.made.design.yarns
    (need,) = yarn_needs(run, yarns, Measured(slack, 0.05), 0.1)
    used = need.grams.value
    found = slack_of(base, replace(BOW, yarns=(YarnAnswer(YARN, 500, 500 - used),)))
    assert found is not None
    assert found[0].value == pytest.approx(slack)


def test_the_error_of_a_slack_is_that_of_a_simulated_scale(base: Basis) -> None:
    rng = np.random.default_rng(3)
    share, grist = base.sizes["bow"].shares[YARN], base.made.design.yarns[YARN].grist
    seen = []
    for _ in range(400):
        true = rng.uniform(1.0, 1.2)
        metres = true * share.wrapped_m + share.beside_m
        used = 100 * metres / grist.value
        before = rng.uniform(190, 230)
        weighed = YarnAnswer(YARN, round(before), round(before - used))
        slack = slack_of(base, replace(BOW, yarns=(weighed,)))
        assert slack is not None
        seen.append(slack[0].value - true)
    assert np.mean(seen) == pytest.approx(0.0, abs=0.001)
    assert slack is not None
    # The scale alone; the tails' own spread is no part of this world.
    scale_m = math.sqrt(2 / 12) * grist.value / 100
    assert np.std(seen) == pytest.approx(scale_m / share.wrapped_m, rel=0.15)
    assert slack[0].sd >= np.std(seen) * 0.9


def test_a_slack_that_no_hand_draws_is_left_out(base: Basis) -> None:
    mad = replace(BOW, yarns=(YarnAnswer(YARN, 900, 100),))
    found = learned(base, mad, COACH)
    assert [f.name for f in found.findings] == ["slack-out-of-range"]
    assert found.slack is not None
    assert found.slack.testers == 1


# --- hands ---------------------------------------------------------------------------------------


def test_makers_are_pooled_as_the_likelihood_has_it() -> None:
    """The mean is the maximum of scipy's normal likelihood with the same variances."""
    stated, testers = Measured(1.0, 0.05), [Measured(1.1, 0.02), Measured(1.14, 0.03)]
    found = hands(stated, testers)
    values = np.array([1.0, 1.1, 1.14])
    sds = np.hypot(np.array([0.0, 0.02, 0.03]), found.spread)
    best = optimize.minimize_scalar(
        lambda m: -stats.norm.logpdf(values, m, sds).sum(), bounds=(0.9, 1.3), method="bounded"
    )
    assert found.mean.value == pytest.approx(best.x, abs=1e-4)
    curvature = (1 / sds**2).sum()
    assert found.mean.sd == pytest.approx(1 / math.sqrt(curvature))
    assert found.next.sd > found.spread


def test_what_all_testers_share_no_number_of_them_makes_smaller() -> None:
    many = [Measured(1.1, 0.01)] * 400
    assert hands(Measured(1.0, 0.05), many).mean.sd < 0.001
    assert hands(Measured(1.0, 0.05), many, 0.03).mean.sd == pytest.approx(0.033, rel=0.05)


def test_without_testers_what_is_stated_stands() -> None:
    found = hands(Measured(1.0, 0.05), [])
    assert (found.next, found.testers) == (Measured(1.0, 0.05), 0)
    exact = hands(Measured(1.0, 0.0), [Measured(1.2, 0.1)])  # all makers are said to be alike
    assert exact.next == Measured(1.0, 0.0)


@pytest.mark.parametrize("testers", [1, 3, 8])
def test_the_next_maker_lies_inside_nine_times_in_ten(testers: int) -> None:
    rng = np.random.default_rng(testers)
    inside = 0
    for _ in range(1500):
        makers = rng.normal(1.08, 0.05, testers + 2)
        read = [Measured(float(m + rng.normal(0, 0.015)), 0.015) for m in makers[2:]]
        low, high = hands(Measured(float(makers[0]), 0.05), read).next.interval(0.9)
        inside += low <= makers[1] <= high
    assert 0.85 <= inside / 1500 <= 0.95


# --- pace and lines for the file -----------------------------------------------------------------


def test_pace_lies_between_what_is_stated_and_what_was_timed(base: Basis) -> None:
    paces = [base.sizes[a.size].sheet.loops / (a.knitting_min or math.nan) for a in (BOW, COACH)]
    found = learned(base, BOW, COACH).pace
    assert found is not None
    assert min(*paces) < found.mean.value < 25
    # Each tester's minutes are all but exact, so that every maker counts alike.
    assert found.mean.value == pytest.approx((25 + sum(paces)) / 3, rel=1e-3)


def pasted(text: str, lines: str) -> str:
    """A design with the lines put into their tables, as a maker would."""
    design, new = tomlkit.parse(text), tomllib.loads(lines)
    for table in ("loom", "cost"):
        for key, value in new.get(table, {}).items():
            if table not in design:
                design[table] = tomlkit.table()
            design[table][key] = value
    swatches = tomlkit.aot()
    for each in new.get("swatches", []):
        swatches.append(tomlkit.item(each))
    design["swatches"] = swatches
    return tomlkit.dumps(design)


def test_the_lines_make_the_design_what_was_told(base: Basis) -> None:
    found = learned(base, BOW, COACH)
    text = shipped_text("tern-point-hood").replace("[loom]", 'version = "1.0"\n\n[loom]', 1)
    again = read_text(pasted(text, found.toml()))
    assert again == found.design
    assert making.design_gauge(again)[0] == found.gauge
    assert read_text(write_text(found.design)) == found.design
    assert [s.note for s in again.swatches] == [
        "test knit: stroke, size bow",
        "test knit: coach, size coach",
    ]


def test_nothing_is_learned_from_nothing(base: Basis) -> None:
    found = learned(base, Answers("bow", "stroke"))
    assert found.toml() == ""
    assert found.design == base.made.design
    assert found.gauge == base.made.gauge


def test_the_lines_are_told_group_by_group_too(base: Basis) -> None:
    taught = learned(base, BOW, COACH)
    tables = taught.tables()
    assert [(table.group, table.is_row) for table in tables] == [
        ("loom", False),
        ("cost", False),
        ("swatches", True),
        ("swatches", True),
    ]
    lines = tomllib.loads(taught.toml())
    assert lines["swatches"] == [dict(table.lines) for table in tables if table.is_row]
    assert [lines["loom"], lines["cost"]] == [dict(t.lines) for t in tables if not t.is_row]


def test_what_was_taught_before_is_known(base: Basis) -> None:
    taught = learned(base, BOW, COACH)
    design = base.made.design
    assert taught.taught_before(design) == ()
    one = replace(design, swatches=(taught.swatches[1],))
    assert taught.taught_before(one) == ("test knit: coach, size coach",)
    assert len(taught.taught_before(taught.design)) == 2
