"""What changes when a yarn of the stash is knitted in another's place."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from pegwright.designs.files import read_any
from pegwright.errors import BadInput
from pegwright.knitting.drawn import drawn
from pegwright.making import prove
from pegwright.measured import Measured
from pegwright.planning.substitute import YARN_RELATIVE_SD, Knitted, Substitution, substitutes
from pegwright.units import UnitSystem
from pegwright.yarn.stash import StashYarn, weighed
from pegwright.yarn.substitute import Fit
from pegwright.yarn.yarn import Yarn

NAME = "Slipway worsted"
RUST = Yarn("Tholepin", 4, 170, metres_per_100g_sd=0, wraps_per_inch=9.5, colour="rust")
THIN = Yarn("Oar", 4, 180, metres_per_100g_sd=0, wraps_per_inch=11, colour="white")
BULKY = Yarn("Keel", 5, 100, metres_per_100g_sd=0, wraps_per_inch=7.5, colour="slate")
SPORT = Yarn("Painter", 2, 350, metres_per_100g_sd=0, wraps_per_inch=14.14, colour="cream")
JUMBO = Yarn("Hawser", 7, 40, wraps_per_inch=2.2, colour="navy")


@pytest.fixture(scope="module")
def hood() -> Knitted:
    """The shipped Tern Point hood in its first size."""
    made = prove(read_any("tern-point-hood"))
    size, design = made.sizes[0], made.design
    piece = size.plan.pieces[0]
    return Knitted(
        size.run,
        design.yarns,
        NAME,
        design.wrap,
        piece.columns,
        piece.rows,
        made.gauge,
        design.slack,
        design.margin,
    )


def found(hood: Knitted, *stash: StashYarn, together: bool = False) -> Substitution:
    return substitutes(hood, stash, together=together)


def test_the_same_yarn_changes_nothing(hood: Knitted) -> None:
    (change,) = found(hood, weighed(hood.wanted, [300])).changes
    assert change.size_part == Measured(0.0)
    assert change.width.value == pytest.approx(hood.gauge.width(hood.columns).value)
    assert change.rows_to_keep == hood.rows
    assert change.columns_to_keep == hood.columns
    assert change.need.metres.value == pytest.approx(hood.need(hood.wanted).metres.value)
    assert change.chance > 0.99


def test_size_follows_the_loop_and_thicker_is_larger(hood: Knitted) -> None:
    """A taut loop grows with its yarn's thickness, as the pegs with their yarn grow."""
    by_label = {
        c.stand_in.yarn.name: c
        for c in found(hood, *(weighed(y, [300]) for y in (THIN, RUST, BULKY))).changes
    }
    sizes = [by_label[name].size_part.value for name in ("Oar", "Tholepin", "Keel")]
    assert sizes == sorted(sizes)
    assert sizes[0] < 0 < sizes[1]
    bulky = by_label["Keel"]
    factor = hood.loop_mm(BULKY) / hood.loop_mm(hood.wanted)
    assert bulky.size_part.value == pytest.approx(factor - 1)
    assert bulky.width.value == pytest.approx(hood.gauge.width(hood.columns).value * factor)
    assert bulky.length.value == pytest.approx(hood.gauge.length(hood.rows).value * factor)
    assert bulky.size_part.sd == pytest.approx(2 * YARN_RELATIVE_SD)  # one category between
    assert by_label["Tholepin"].size_part.sd == pytest.approx(YARN_RELATIVE_SD)
    assert bulky.rows_to_keep == round(hood.rows / factor)


def test_yarns_of_one_category_change_the_width_by_a_few_per_cent(hood: Knitted) -> None:
    """About 3 % (common practice, no source)."""
    for yarn in (RUST, THIN):
        (change,) = found(hood, weighed(yarn, [300])).changes
        assert 0 < abs(change.size_part.value) < 0.03


def test_metres_are_those_of_the_run(hood: Knitted) -> None:
    (change,) = found(hood, weighed(BULKY, [300])).changes
    parts = drawn(hood.run, {NAME: BULKY.wrapped_diameter_mm}).of(NAME)
    metres = sum(hood.slack.value * p.wrapped_mm + p.beside_mm for p in parts) / 1000
    assert change.need.metres.value == pytest.approx(metres)
    assert change.need.grams.value == pytest.approx(metres)  # 100 m in 100 g
    assert change.need.yarn == BULKY


def test_enough_is_a_chance(hood: Knitted) -> None:
    need_m = hood.need(RUST).metres
    grams = need_m.value / 1.7
    chances = [
        found(hood, weighed(RUST, [grams * part])).changes[0].chance for part in (0.8, 1.0, 1.2)
    ]
    assert chances == sorted(chances)
    assert chances[1] == pytest.approx(0.5, abs=0.01)
    short = found(hood, weighed(RUST, [grams * 0.8])).changes[0]
    assert short.missing_m == pytest.approx(0.2 * need_m.value)
    assert "short: it reaches" in " ".join(
        found(hood, weighed(RUST, [100])).words(UnitSystem.INCHES)
    )


def test_ranking_puts_the_near_and_sufficient_first(hood: Knitted) -> None:
    order = found(hood, weighed(SPORT, [400]), weighed(THIN, [20]), weighed(RUST, [300])).changes
    assert [c.stand_in.yarn.name for c in order] == ["Tholepin", "Oar", "Painter"]
    assert order[2].stand_in.fit is Fit.FAR


def test_two_strands_together_stand_in(hood: Knitted) -> None:
    result = found(hood, weighed(SPORT, [100, 100]), together=True)
    assert result.best is not None
    assert result.best.stand_in.label == "2 strands of Painter held together, cream"
    assert result.best.stand_in.have.value == pytest.approx(350)
    assert result.best.size_part.value == pytest.approx(0, abs=0.002)  # 14.14 over the root of 2


def test_yarn_that_cannot_pass_is_told(hood: Knitted) -> None:
    result = found(hood, weighed(JUMBO, [500]), weighed(RUST, [300]))
    assert [u.label for u in result.unsuited] == ["Hawser, navy"]
    assert "thicker than the clear space" in result.unsuited[0].why
    assert any(line.startswith("Not Hawser, navy: ") for line in result.words(UnitSystem.INCHES))


def test_a_stand_in_that_the_design_already_uses(hood: Knitted) -> None:
    """Only what was knitted with the wanted yarn counts, not what the other is used for."""
    both = replace(hood, yarns={**hood.yarns, "trim": RUST})
    assert both.need(RUST).metres.value == pytest.approx(hood.need(RUST).metres.value)


def test_words_and_data(hood: Knitted) -> None:
    result = found(hood, weighed(BULKY, [300]))
    first, second, *_ = result.words(UnitSystem.INCHES)
    assert first.startswith(f"With {NAME}, slate: {hood.columns} pegs and {hood.rows} rows come to")
    assert "To keep the size, take about" in second
    assert result.words(UnitSystem.INCHES)[-1].startswith("Nothing in the stash comes near")
    data = json.loads(json.dumps(result.as_data()))
    assert data["changes"][0]["fit"] == "far"
    assert data["changes"][0]["need_m"]["value"] > 0


def test_refusals(hood: Knitted) -> None:
    with pytest.raises(BadInput, match="no yarn"):
        found(hood)
    for change, field in (({"name": "Bilge"}, "name"), ({"rows": 0}, "rows")):
        with pytest.raises(BadInput) as caught:
            replace(hood, **change)
        assert caught.value.place is not None
        assert caught.value.place.field == field
    unused = replace(hood, yarns={**hood.yarns, "trim": BULKY}, name="trim")
    with pytest.raises(BadInput, match="nothing is knitted"):
        found(unused, weighed(RUST, [100]))
