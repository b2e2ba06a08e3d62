"""``pegwright stripes``: plans for the shipped blanket, its options, and what is refused."""

from __future__ import annotations

import json
import signal
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from pegwright.cli.main import main
from pegwright.cli.stripes import _teller
from pegwright.designs.files import read_any, read_file, shipped_text
from pegwright.errors import ExitCode
from pegwright.making import prove, stripe_problem
from pegwright.planning import stripe_solver
from pegwright.planning.stripe_solver import StripeProgress, plan_stripes
from pegwright.planning.stripes import Aim, Status, StripePlan, breaches
from pegwright.yarn.stash import weighed

BLANKET = "tern-point-boat-blanket"

STASH = """\
pegwright = 1

[[yarns]]
name = "Slipway worsted"
category = 4
metres_per_100g = 175
colour = "slate"
balls = ["48 g", "31 g"]

[[yarns]]
name = "Slipway worsted"
category = 4
metres_per_100g = 175
colour = "rust"
balls = ["52 g"]
"""


def said(*words: str, capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    assert main(["stripes", *words, "--json"]) == ExitCode.OK
    out = capsys.readouterr().out
    data: dict[str, Any] = json.loads(out)
    return data


# --- the shipped blanket -------------------------------------------------------------------------


def test_the_shipped_stripes_are_as_good_as_any() -> None:
    """The limits are those that the file itself names."""
    design = read_any(BLANKET)
    problem = stripe_problem(design, mirror=True, most_rows=8)
    plan = plan_stripes(problem)
    assert breaches(problem, design.stripes) == ()
    assert plan.status is Status.OPTIMAL
    assert sum(stripe.rows for stripe in design.stripes) == plan.rows
    assert len(plan.stripes) <= len(design.stripes)


def test_the_file_says_how_its_stripes_were_found(capsys: pytest.CaptureFixture[str]) -> None:
    text = shipped_text(BLANKET)
    line = next(line for line in text.splitlines() if "pegwright stripes" in line)
    words = line.partition("pegwright stripes ")[2].split()
    data = said(*words, capsys=capsys)
    assert data["rows"] == sum(stripe.rows for stripe in read_any(BLANKET).stripes)
    assert data["status"] == "optimal"


def test_the_plan_and_the_run_agree_on_the_yarn() -> None:
    """What the plan says of a yarn is what the run draws of it, edges and end loops aside."""
    design = read_any(BLANKET)
    problem = stripe_problem(design, mirror=True, most_rows=8)
    needs = {n.yarn.name: n for n in prove(design).sizes[0].needs}
    for index, given in enumerate(problem.yarns):
        name = given.yarn.name
        drawn = sum(p.metres.value for p in needs[name].parts if p.name != "bind-off")
        rows = sum(s.rows for s in design.stripes if s.yarn == name)
        count = sum(s.yarn == name for s in design.stripes)
        first = problem.cast_on_rows if design.stripes[0].yarn == name else 0.0
        told = (rows + first) * given.row_m.value + count * problem.join_m
        assert drawn == pytest.approx(told, rel=0.01), name
        assert problem.cost_m(index, design.stripes) >= drawn


# --- options -------------------------------------------------------------------------------------


def test_rows_ask_for_an_even_use(capsys: pytest.CaptureFixture[str]) -> None:
    data = said(BLANKET, "--rows", "120", "--most-rows", "8", "--match-ends", capsys=capsys)
    assert (data["aim"], data["rows"]) == ("even", 120)
    assert data["stripes"][0] == data["stripes"][-1]
    used = [yarn["part_used"] for yarn in data["yarns"]]
    assert max(used) - min(used) == pytest.approx(data["value"])


def test_a_length_is_turned_into_rows(capsys: pytest.CaptureFixture[str]) -> None:
    short = said(BLANKET, "--length", "60 cm", capsys=capsys)
    long = said(BLANKET, "--length", "80 cm", "--multiple", "2", capsys=capsys)
    assert long["rows"] % 2 == 0
    assert long["rows"] / short["rows"] == pytest.approx(80 / 60, rel=0.03)


def test_even_without_rows_takes_the_designs_own() -> None:
    design = read_any(BLANKET)
    plain = prove(replace(design, stripes=())).sizes[0]
    assert stripe_problem(design, aim=Aim.EVEN).rows == plain.plan.piece("strip").rows


def test_limits_and_margins_leave_less(capsys: pytest.CaptureFixture[str]) -> None:
    most = said(BLANKET, capsys=capsys)["rows"]
    assert said(BLANKET, "--margin", "0.3", capsys=capsys)["rows"] < most
    assert said(BLANKET, "--sure", "0.99", capsys=capsys)["rows"] < most
    assert said(BLANKET, "--reserve", "Gull worsted=60 m", capsys=capsys)["rows"] < most
    assert said(BLANKET, "--join", "10 m", capsys=capsys)["rows"] < most
    assert said(BLANKET, "--pieces", "2", capsys=capsys)["rows"] < 0.6 * most
    few = said(BLANKET, "--most-stripes", "5", "--least-rows", "3", capsys=capsys)
    assert len(few["stripes"]) == 5


def test_a_stash_gives_the_yarns(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    stash, out = tmp_path / "stash.toml", tmp_path / "striped.toml"
    stash.write_text(STASH, encoding="utf-8")
    words = ("tern-point-scarf", "--stash", str(stash), "--most-rows", "6", "--out", str(out))
    data = said(*words, capsys=capsys)
    assert {yarn["yarn"] for yarn in data["yarns"]} == {
        "Slipway worsted, slate",
        "Slipway worsted, rust",
    }
    design = read_file(out)
    assert [(s.yarn, s.rows) for s in design.stripes] == [
        (s["yarn"], s["rows"]) for s in data["stripes"]
    ]
    assert design.available_g["Slipway worsted, slate"] == 79.0
    assert prove(design).proved
    assert main(["stripes", *words]) == ExitCode.BAD_INPUT  # the file is there already


def test_a_shipped_stash_is_called_by_its_name(capsys: pytest.CaptureFixture[str]) -> None:
    """The club's leftovers are the blanket's yarns, ball by ball: never more rows than in one."""
    words = (BLANKET, "--stash", "tern-point-leftovers", "--mirror", "--most-rows", "8")
    rows = said(*words, capsys=capsys)["rows"]
    whole = sum(stripe.rows for stripe in read_any(BLANKET).stripes)
    assert 0.95 * whole < rows <= whole


def test_further_balls_cost_joins() -> None:
    design = read_any("tern-point-scarf")
    one, two = (
        stripe_problem(design, stash=(weighed(design.body_yarn, balls),), join_m=2.0)
        for balls in ([60.0], [40.0, 20.0])
    )
    assert two.yarns[0].reserve_m == pytest.approx(one.yarns[0].reserve_m + 2.0)


def test_plain_words_on_the_screen(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["stripes", BLANKET, "--most-stripes", "3"]) == ExitCode.OK
    out, err = capsys.readouterr()
    assert out.startswith("3 stripes, 60 rows, 2 joins.\nProved: no plan within the limits")
    assert "Rows 1–20: " in out
    assert err == ""


# --- while it runs -------------------------------------------------------------------------------


def test_a_stop_from_the_keyboard_gives_the_best_so_far(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    real = stripe_solver.plan_stripes
    before = signal.getsignal(signal.SIGINT)

    def stopped(problem: Any, *, cancelled: Any, **others: Any) -> StripePlan:
        plan = real(problem)
        assert not cancelled()
        signal.raise_signal(signal.SIGINT)
        assert cancelled()
        return plan

    monkeypatch.setattr(stripe_solver, "plan_stripes", stopped)
    assert main(["stripes", BLANKET, "--most-stripes", "3"]) == ExitCode.OK
    out, err = capsys.readouterr()
    assert out.startswith("3 stripes")
    assert err == "stopped: this is the best so far\n"
    assert signal.getsignal(signal.SIGINT) is before


def test_progress_is_told_on_standard_error(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("pegwright.cli.stripes._TOLD_EVERY_S", 0.0)
    tell = _teller(stripe_problem(read_any(BLANKET)))
    tell(StripeProgress(1.2, None, None))
    tell(StripeProgress(2.0, 120.0, 130.0))
    out, err = capsys.readouterr()
    assert out == ""
    assert err == "2 s: 120 rows so far, at most 130; Ctrl-C takes the best so far\n"


# --- refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        ((BLANKET, "--least-rows", "9", "--most-rows", "4"), 2, "--least-rows"),
        ((BLANKET, "--rows", "1"), 2, "--rows"),
        ((BLANKET, "--rows", "90", "--aim", "most"), 2, "--rows"),
        ((BLANKET, "--margin", "2"), 2, "--margin"),
        ((BLANKET, "--sure", "1"), 2, "--sure"),
        ((BLANKET, "--pieces", "0"), 2, "--pieces"),
        ((BLANKET, "--time-limit", "0"), 2, "--time-limit"),
        ((BLANKET, "--reserve", "Gull worsted"), 2, "--reserve"),
        ((BLANKET, "--reserve", "Gul worsted=3 m"), 3, "Gull worsted"),
        ((BLANKET, "--size", "bow"), 3, "blanket"),
        (("tern-point-hood",), 3, "available"),
        ((BLANKET, "--rows", "400"), 4, "rows instead of 400"),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_try(
    words: tuple[str, ...], code: int, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["stripes", *words]) == code
    out, err = capsys.readouterr()
    assert out == ""
    assert told in err


def test_a_yarn_that_is_all_reserved_is_named_with_its_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "blanket.toml"
    text = shipped_text(BLANKET)
    path.write_text(text, encoding="utf-8")
    words = [str(path), "--reserve", "Lantern aran=5000 m", "--json"]
    assert main(["stripes", *words]) == ExitCode.BAD_INPUT
    data = json.loads(capsys.readouterr().out)
    block = text[: text.index('"Lantern aran"')]
    assert data["line"] in (block.count("\n"), block.count("\n") + 1)
    assert data["file"] == str(path)
    assert "Lantern aran" in data["error"]


def test_the_ways_out_are_data(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["stripes", BLANKET, "--rows", "400", "--most-rows", "8", "--json"]
    assert main(words) == ExitCode.NOT_POSSIBLE
    data = json.loads(capsys.readouterr().out)
    limits = {change["limit"] for way in data["ways"] for change in way}
    assert {"rows", "yarns"} <= limits
