"""What a reader says becomes a reader, and a refit is told to her in sentences."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pegwright.designs.files import read_any
from pegwright.designs.model import Design
from pegwright.errors import BadInput
from pegwright.loom.given import GivenBoard
from pegwright.measured import Measured
from pegwright.refit.given import Given, reader_of
from pegwright.refit.reader import YOUR_SIZE, Reader
from pegwright.refit.refit import refit
from pegwright.refit.told import UNCHANGED, answer, changed, headline, refit_data
from pegwright.yarn.given import GivenYarn
from pegwright.yarn.yarn import Yarn


@pytest.fixture(scope="module")
def hood() -> Design:
    return read_any("tern-point-hood")


def test_nothing_said_is_a_reader_with_nothing_of_her_own(hood: Design) -> None:
    assert reader_of(hood, Given()) == Reader()


def test_what_she_has_whole_stays_as_it_is(hood: Design) -> None:
    board = replace(hood.loom, pegs=30, name="slipway board")
    yarn = Yarn("Gull worsted", 4, 180, colour="fog")
    reader = reader_of(hood, Given(own_board=board, own_yarn=yarn))
    assert (reader.board, reader.yarn) == (board, yarn)


def test_what_she_says_is_laid_over_what_she_has(hood: Design) -> None:
    board = replace(hood.loom, pegs=30, gap_mm=30.0, name="slipway board")
    yarn = Yarn("Gull worsted", 4, 180, wraps_per_inch=9)
    said = Given(GivenBoard(pegs=26), board, GivenYarn(metres_per_100g=190), yarn)
    reader = reader_of(hood, said)
    assert reader.board == replace(board, pegs=26, name="your board")
    assert reader.yarn is not None
    assert reader.yarn.metres_per_100g == 190
    assert reader.yarn.wrapped_diameter_mm == yarn.wrapped_diameter_mm


def test_a_wrap_test_is_over_fifteen_pegs_unless_it_is_said(hood: Design) -> None:
    usual = reader_of(hood, Given(drawn_mm=1200.0)).wrap_test
    said = reader_of(hood, Given(drawn_mm=800.0, over=11)).wrap_test
    assert usual is not None and said is not None  # noqa: PT018
    assert (usual.columns, said.columns) == (15, 11)


def test_slack_varies_as_in_the_design_where_nobody_knows(hood: Design) -> None:
    assert reader_of(hood, Given(slack=1.1)).slack == Measured(1.1, hood.slack.sd)
    assert reader_of(hood, Given(slack=1.1, slack_sd=0.02)).slack == Measured(1.1, 0.02)


@pytest.mark.parametrize("slack", [0.49, 3.01])
def test_slack_that_cannot_be_is_refused(hood: Design, slack: float) -> None:
    with pytest.raises(BadInput, match=r"0\.5 to 3") as refused:
        reader_of(hood, Given(slack=slack))
    assert refused.value.hint == "1 is taut"


# --- told ----------------------------------------------------------------------------------------


def test_the_answer_says_the_advice_and_what_changes(hood: Design) -> None:
    said = Given(GivenBoard(gap_mm=31.75), measures={"head": 600.0})
    result = refit(hood, reader_of(hood, said))
    text = answer(result)
    assert text.startswith(f"{headline(result)}\n\n")
    assert all(f"\n{sentence}\n" in text for sentence in result.advice)
    assert YOUR_SIZE.capitalize() + ", before → now:\n" in text
    lines = [line.removeprefix("- ") for line in text.splitlines() if line.startswith("- ")]
    assert sorted(lines) == sorted(f"{each.name}: {each.words}" for each in changed(result))


def test_where_nothing_changes_the_answer_says_so(hood: Design) -> None:
    assert answer(refit(hood, Reader())).rstrip().endswith(UNCHANGED)


def test_remarks_are_the_advice_that_nothing_else_says(hood: Design) -> None:
    result = refit(hood, reader_of(hood, Given(GivenBoard(pegs=28))))
    assert not result.as_asked
    said = [offer.words for offer in result.offers] + [each.error.what for each in result.refused]
    assert result.remarks == result.advice[-len(result.remarks) :]
    assert not any(part in remark for remark in result.remarks for part in said)
    rest = result.advice[: -len(result.remarks)]
    assert all(any(part[1:] in sentence for part in said) for sentence in rest)


def test_where_nothing_near_can_be_made_that_is_what_remains(hood: Design) -> None:
    result = refit(hood, reader_of(hood, Given(GivenBoard(pegs=3))))
    assert result.design is None
    assert result.remarks == ("Nothing near it can be made on this board either.",)


def test_words_of_a_difference_are_both_figures_and_the_interval(hood: Design) -> None:
    result = refit(hood, reader_of(hood, Given(GivenBoard(gap_mm=31.75))))
    pegs = next(d for d in result.differences if d.name == "strip pegs" and d.size == "cox")
    assert (pegs.was, pegs.now, pegs.interval, pegs.words) == ("28", "24", "", "28 → 24")
    yarn = next(d for d in result.differences if d.name == "yarn" and d.size == "cox")
    assert yarn.interval.startswith("9 in 10 come out from ")
    assert yarn.words == f"{yarn.was} → {yarn.now}; {yarn.interval}"
    told = refit_data(result)["differences"]
    assert isinstance(told, list)
    assert {row["words"] for row in told if row["name"] == "yarn"} >= {yarn.words}
