"""Gauge: from swatches, predicted, and both together."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from pegwright.errors import BadInput, Severity
from pegwright.gauge.constants import PUBLISHED, Mark, constants_for
from pegwright.gauge.fabric_gauge import (
    HAND_RELATIVE_SD,
    TAPE_SD_MM,
    Gauge,
    GaugeSource,
    Swatch,
    combined,
    explain,
    from_swatches,
    jamming,
    predict,
)
from pegwright.knitting.wraps import Structure
from pegwright.measured import Measured
from pegwright.units import UnitSystem
from pegwright.yarn.count import solid_diameter_mm

# A 15-pair wrap test of 45 in: 30 loops of 1.5 in each.
WRAP_TEST_LOOP_MM = 45 * 25.4 / 30


def swatch(wale: float = 9.5, course: float = 6.8, washed: bool = True) -> Swatch:
    return Swatch(12, Measured(12 * wale, 1.5), 16, Measured(16 * course, 1.5), washed)


def names(gauge: Gauge) -> list[str]:
    return [finding.name for finding in gauge.findings]


# --- one swatch ----------------------------------------------------------------------------------


def test_a_swatch_by_hand() -> None:
    # 20 stitches in 100 mm, 28 rows in 98 mm: 5 mm and 3.5 mm each.
    gauge = from_swatches([Swatch(20, Measured(100, 2), 28, Measured(98, 1.4))])
    assert gauge.source is GaugeSource.SWATCH
    assert gauge.wale.value == pytest.approx(5)
    assert gauge.course.value == pytest.approx(3.5)
    # Tape 2/20 = 0.1 mm, hand 2 % of 5 mm = 0.1 mm.
    assert gauge.wale.sd == pytest.approx(math.hypot(0.1, 0.1))
    assert gauge.course.sd == pytest.approx(math.hypot(0.05, 0.07))
    assert gauge.per_10cm().stitches.value == pytest.approx(20)
    assert gauge.per_4in().stitches.value == pytest.approx(20.32)
    assert gauge.per_10cm().rows.value == pytest.approx(100 / 3.5)
    # The relative spread of a count is that of the size.
    assert gauge.per_4in().rows.relative == pytest.approx(gauge.course.relative)
    assert not gauge.findings


def test_a_reading_without_uncertainty_is_a_tape_reading() -> None:
    bare = Swatch(20, Measured(100), 28, Measured(98))
    assert bare.wale.sd == pytest.approx(TAPE_SD_MM / 20)
    told = replace(bare, width=Measured(100, TAPE_SD_MM), length=Measured(98, TAPE_SD_MM))
    assert from_swatches([bare]) == from_swatches([told])


def test_an_error_is_shared_by_all_stitches_of_a_piece() -> None:
    gauge = from_swatches([swatch()])
    one, many = gauge.width(1), gauge.width(50)
    assert many.value == pytest.approx(50 * one.value)
    assert many.sd == pytest.approx(50 * one.sd)
    assert gauge.length(40).relative == pytest.approx(gauge.length(4).relative)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("stitches", 0),
        ("stitches", -3),
        ("stitches", 19.5),
        ("stitches", True),
        ("rows", 0),
        ("width", Measured(0, 1)),
        ("width", Measured(-100, 1)),
        ("length", Measured(0)),
    ],
)
def test_what_cannot_be_a_swatch_names_its_field(field: str, value: object) -> None:
    values: dict[str, object] = {
        "stitches": 20,
        "width": Measured(100),
        "rows": 28,
        "length": Measured(98),
    }
    with pytest.raises(BadInput) as caught:
        Swatch(**{**values, field: value})  # type: ignore[arg-type]
    assert caught.value.place is not None
    assert caught.value.place.field == field


def test_no_swatch_is_no_gauge() -> None:
    with pytest.raises(BadInput, match="at least one swatch"):
        from_swatches([])


def test_a_gauge_has_sizes_above_zero() -> None:
    with pytest.raises(BadInput):
        Gauge(Measured(0), Measured(4), GaugeSource.SWATCH)


# --- several swatches ----------------------------------------------------------------------------


def test_more_swatches_narrow_the_gauge() -> None:
    sds = [from_swatches([swatch()] * n).wale.sd for n in (1, 2, 4)]
    assert sds[1] == pytest.approx(sds[0] / math.sqrt(2))
    assert sds[2] == pytest.approx(sds[0] / 2)


def test_swatches_that_disagree_are_told_and_widen_the_gauge() -> None:
    like = from_swatches([swatch(9.4), swatch(9.6)])
    unlike = from_swatches([swatch(8.0), swatch(11.0)])
    assert names(like) == []
    assert names(unlike) == ["swatches-disagree"]
    assert "8 to 11 mm" in unlike.findings[0].what
    assert "width" in unlike.findings[0].what
    assert unlike.findings[0].severity is Severity.CAUTION
    assert unlike.wale.sd > 5 * like.wale.sd
    assert unlike.course.sd == pytest.approx(like.course.sd)
    # Two equal sds: the pooled sd is half the range, exactly as a plain mean's.
    assert unlike.wale.sd == pytest.approx(1.5, rel=0.02)


def test_washed_and_unwashed_are_not_mixed() -> None:
    mixed = from_swatches([swatch(9.5), swatch(10.5, washed=False)])
    assert names(mixed) == ["swatches-mixed-washing"]
    assert mixed.wale == from_swatches([swatch(9.5)]).wale
    unwashed = from_swatches([swatch(washed=False)])
    assert names(unwashed) == ["swatches-unwashed"]
    assert unwashed.findings[0].severity is Severity.NOTE
    assert "not washed" in unwashed.words[0]


def _coverage(between: float, swatches: int, runs: int, seed: int) -> float:
    """How often the 90 % interval holds the true size, swatches straying by ``between``."""
    rng = np.random.default_rng(seed)
    hits = 0
    for _ in range(runs):
        made = []
        for _ in range(swatches):
            wale = 9.5 * (1 + between * rng.standard_normal())
            made.append(
                Swatch(
                    12, Measured(12 * wale + 1.5 * rng.standard_normal(), 1.5), 16, Measured(100)
                )
            )
        low, high = from_swatches(made).wale.interval(0.9)
        hits += low <= 9.5 <= high
    return hits / runs


def test_the_interval_covers_nine_in_ten() -> None:
    # 1500 runs: the sd of the share itself is 0.8 %.
    for swatches in (1, 3):
        assert 0.88 <= _coverage(HAND_RELATIVE_SD, swatches, 1500, seed=7) <= 0.94


def test_wild_swatches_cover_a_little_less() -> None:
    """With 8 % between swatches tau² is itself poorly known; see the module on pooling."""
    assert 0.82 <= _coverage(0.08, 6, 1500, seed=8) <= 0.92


# --- predicted -----------------------------------------------------------------------------------


def test_plain_by_hand() -> None:
    # Munden 1959, wet relaxed (from memory): k_c 5.3, k_w 4.1.  At l = 0.5 cm there are 10.6
    # courses and 8.2 wales to the cm.
    gauge = predict(Measured(5.0), Structure.PLAIN)
    assert 10 / gauge.course.value == pytest.approx(10.6)
    assert 10 / gauge.wale.value == pytest.approx(8.2)
    assert gauge.source is GaugeSource.PREDICTED


def test_interlock_by_hand() -> None:
    # Roy, Varshney & Kothari (abstract): k_c 5.64, k_w 4.0.  At l = 40 mm a wale is 10 mm wide and
    # a course 40 / 5.64 = 7.092 mm long.
    gauge = predict(Measured(40.0), Structure.INTERLOCK)
    assert gauge.wale.value == pytest.approx(10.0)
    assert gauge.course.value == pytest.approx(7.092, abs=5e-4)
    assert gauge.wale.relative == pytest.approx(0.12)


def test_published_constants_agree_with_themselves() -> None:
    by_name = {each.name: each for each in PUBLISHED}
    interlock = by_name["interlock, reference state"]
    # R 1.41 stands in the same abstract; k_s and R of plain are Munden's and Knapton's (memory).
    assert interlock.k_c / interlock.k_w == pytest.approx(1.41, abs=0.005)
    for name, k_s in (
        ("plain, dry relaxed", 19.0),
        ("plain, wet relaxed", 21.6),
        ("plain, fully relaxed", 23.1),
    ):
        plain = by_name[name]
        assert plain.k_c * plain.k_w == pytest.approx(k_s, rel=0.01)
        assert plain.k_c / plain.k_w == pytest.approx(1.3, abs=0.02)


def test_a_board_of_26_pegs_makes_a_hoods_depth() -> None:
    # 26 pegs a side at the 45-inch wrap test make a strip 9 to 11 in wide, the depth of a grown
    # person's hood (common practice, no source).
    gauge = predict(Measured(WRAP_TEST_LOOP_MM), Structure.INTERLOCK)
    assert 9 <= gauge.width(26).value / 25.4 <= 11


def test_stand_ins_are_wider_and_say_so() -> None:
    own = predict(Measured(40, 0.5), Structure.INTERLOCK)
    for structure in Structure:
        gauge = predict(Measured(40, 0.5), structure)
        constants = constants_for(structure)
        if constants.mark is Mark.STAND_IN:
            assert gauge.wale.relative > 1.5 * own.wale.relative
            assert any("No constants are known" in words for words in gauge.words)
        assert any(constants.source in words for words in gauge.words)
        assert any("machine cloth" in words for words in gauge.words)
    stand_ins = {s for s in Structure if constants_for(s).mark is Mark.STAND_IN}
    assert stand_ins == {Structure.RIB, Structure.TWISTED, Structure.CORD}


@given(st.floats(2, 100), st.floats(1.01, 3), st.sampled_from(Structure))
def test_longer_loops_make_larger_stitches(loop: float, more: float, structure: Structure) -> None:
    small = predict(Measured(loop, 0.01 * loop), structure)
    large = predict(Measured(loop * more, 0.01 * loop), structure)
    assert large.wale.value > small.wale.value
    assert large.course.value > small.course.value
    assert large.per_4in().stitches.value < small.per_4in().stitches.value


def test_the_loops_own_uncertainty_counts() -> None:
    exact = predict(Measured(40), Structure.INTERLOCK)
    rough = predict(Measured(40, 4), Structure.INTERLOCK)
    assert rough.wale.relative == pytest.approx(math.hypot(0.12, 0.1))
    assert exact.wale.relative < rough.wale.relative


def test_a_prediction_covers_nine_in_ten() -> None:
    rng = np.random.default_rng(11)
    constants = constants_for(Structure.INTERLOCK)
    loops = rng.normal(38.1, 1.5, 4000)
    scale = 1 + constants.relative_sd * rng.standard_normal(4000)
    true = loops / (constants.k_w * scale)
    low, high = predict(Measured(38.1, 1.5), Structure.INTERLOCK).wale.interval(0.9)
    assert 0.87 <= float(np.mean((true >= low) & (true <= high))) <= 0.93


@pytest.mark.parametrize("loop", [0.0, -5.0])
def test_a_loop_has_a_length(loop: float) -> None:
    with pytest.raises(BadInput):
        predict(Measured(loop), Structure.PLAIN)


# --- jamming -------------------------------------------------------------------------------------


def test_hand_work_is_far_from_jamming_by_its_solid_diameter() -> None:
    solid_mm = solid_diameter_mm(500)
    assert jamming(WRAP_TEST_LOOP_MM, solid_mm) == ()
    # By the wrapped diameter (2.4 mm) the same cloth would seem jammed: 38.1 / 2.4 = 15.9.
    assert jamming(WRAP_TEST_LOOP_MM, 2.4) != ()


def test_jamming_is_a_note_and_never_more() -> None:
    # 16.67 and 16.75: abstracts of Chamberlain and of Hepworth & Leaf.
    assert jamming(17.0, 1.0) == ()
    (found,) = jamming(16.0, 1.0)
    assert found.name == "loops-near-jamming"
    assert found.severity is Severity.NOTE
    assert "machine cloth" in found.what
    assert "16 times" in found.what
    gauge = predict(Measured(16.0), Structure.PLAIN, solid_diameter_mm=1.0)
    assert gauge.findings == (found,)


# --- both ----------------------------------------------------------------------------------------


def test_the_update_is_the_product_of_two_normals() -> None:
    """Against the posterior worked out on a grid with scipy's normal density."""
    prior = predict(Measured(40, 0.5), Structure.INTERLOCK)
    made = [swatch(9.2, 6.9), swatch(9.4, 7.1)]
    seen = from_swatches(made)
    both = combined(prior, made)
    for got, a, b in (
        (both.wale, prior.wale, seen.wale),
        (both.course, prior.course, seen.course),
    ):
        x = np.linspace(a.value - 8 * a.sd, a.value + 8 * a.sd, 400_001)
        density = norm.pdf(x, a.value, a.sd) * norm.pdf(x, b.value, b.sd)
        density /= density.sum()
        mean = float((x * density).sum())
        assert got.value == pytest.approx(mean, rel=1e-6)
        assert got.sd == pytest.approx(
            math.sqrt(float(((x - mean) ** 2 * density).sum())), rel=1e-4
        )
    assert both.source is GaugeSource.BOTH


def test_a_swatch_narrows_a_prediction_and_pulls_it() -> None:
    prior = predict(Measured(40), Structure.INTERLOCK)
    both = combined(prior, [swatch(9.0, 6.5)])
    assert 9.0 < both.wale.value < prior.wale.value
    assert both.wale.value - 9.0 < 0.1 * (prior.wale.value - 9.0)
    assert both.wale.sd < min(prior.wale.sd, from_swatches([swatch(9.0, 6.5)]).wale.sd)


def test_without_swatches_the_prediction_stands() -> None:
    prior = predict(Measured(40), Structure.INTERLOCK)
    assert combined(prior, []) == prior


def test_counting_both_faces_is_noticed() -> None:
    prior = predict(Measured(40), Structure.INTERLOCK)
    both_faces = Swatch(24, Measured(120, 1.5), 16, Measured(110, 1.5))
    both = combined(prior, [both_faces])
    assert names(both) == ["swatch-far-from-prediction"]
    assert "one face" in both.findings[0].mend
    one_face = replace(both_faces, stitches=12)
    assert names(combined(prior, [one_face])) == []


def test_the_update_covers_nine_in_ten() -> None:
    rng = np.random.default_rng(5)
    prior = predict(Measured(38.1), Structure.INTERLOCK)
    hits = 0
    for _ in range(1500):
        true = prior.wale.value + prior.wale.sd * rng.standard_normal()
        wale = true * (1 + HAND_RELATIVE_SD * rng.standard_normal())
        width = 12 * wale + 1.5 * rng.standard_normal()
        made = [Swatch(12, Measured(width, 1.5), 16, Measured(108))]
        low, high = combined(prior, made).wale.interval(0.9)
        hits += low <= true <= high
    assert 0.88 <= hits / 1500 <= 0.92


# --- words ---------------------------------------------------------------------------------------


def test_explained_in_both_systems() -> None:
    gauge = Gauge(Measured(5.08, 0.0508), Measured(3.5, 0.07), GaugeSource.SWATCH, ("Measured.",))
    inches = explain(gauge, UnitSystem.INCHES)
    assert inches[0] == (
        "Gauge: 20 stitches and 29 rows to 4 in (19.7 stitches and 28.6 rows to 10 cm)."
    )
    # 1 % and 2 % times 1.645.
    assert "within 2 % of it, and a length within 3 %" in inches[1]
    assert "10 in" in inches[1]
    assert inches[-1] == "Measured."
    assert explain(gauge, UnitSystem.CENTIMETRES)[0].startswith(
        "Gauge: 19.7 stitches and 28.6 rows"
    )


def test_every_word_is_a_sentence() -> None:
    gauge = combined(predict(Measured(40), Structure.RIB), [swatch()])
    for sentence in explain(gauge, UnitSystem.INCHES):
        assert sentence[0].isupper()
        assert sentence[-1] in ".:"
