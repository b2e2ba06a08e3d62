"""The price page's sum: the command's own, and one that adds up by hand."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.library.records import Record
from pegwright.studio.designs.desk import text_body
from pegwright.studio.designs.proving import Prover
from pegwright.studio.state import Studio
from tests.cli.ran import Run, runner
from tests.studio.test_studio_designs import do, patch, view_of

HOOD = shipped_text("tern-point-hood")
COST = """
[cost]
currency = "£"
rate = 12.50
margin = 0.2
pace = 22
others = { label = 0.40, "wooden buttons" = 2.40 }
"""
PRICED = HOOD.replace("invented = true", "price = 7.50\ninvented = true") + COST


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(capsys)


@pytest.fixture
def priced(studio: Studio) -> Record:
    """The hood with all that a price asks for."""
    return studio.library.put(text_body(PRICED))


def price(client: TestClient, design: Record, **asked: Any) -> Any:
    answer = client.post(f"/api/price/{design.id}/sum", json=asked)
    assert answer.status_code == 200, answer.text
    return answer.json()


def amount(text: str) -> Decimal:
    return Decimal(text.removeprefix("£"))


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({}, ()),
        ({"size": "coach"}, ("--size", "coach")),
        ({"size": "bow", "basis": "used"}, ("--size", "bow", "--basis", "used")),
        (
            {"sittings": [{"rows": "12", "minutes": "40"}, {"rows": "10", "minutes": "35,5"}]},
            ("--sitting", "12=40", "--sitting", "10=35.5"),
        ),
    ],
)
def test_the_sum_is_the_command_s(
    client: TestClient,
    priced: Record,
    run: Run,
    tmp_path: Path,
    asked: dict[str, Any],
    words: tuple[str, ...],
) -> None:
    view = price(client, priced, **asked)
    path = tmp_path / "priced.toml"
    path.write_text(PRICED, encoding="utf-8")
    told = run("cost", path, *words, "--json").data
    assert view["problems"] == view["missing"] == []
    lines = [(each["what"], amount(each["amount"]), each["counted"]) for each in
             view["total"]["lines"]]  # fmt: skip
    assert lines == [(e["what"], Decimal(e["amount"]), e["counted"]) for e in told["lines"]]
    sums = [amount(each["amount"]) for each in view["total"]["sums"]]
    assert sums == [Decimal(told[key]) for key in ("cost", "added", "price")]
    assert told["price_low"] in view["total"]["likely"]
    assert told["price_high"] in view["total"]["likely"]
    pace = told["time"]["pace"]["loops_per_minute"]
    assert view["time"]["found"] == (round(pace, 1) if "sittings" in asked else None)
    assert "\n".join(view["words"]) == run("cost", path, *words).out.rstrip("\n")
    assert view["time"]["words"] == [line for line in view["words"] if "in ten" in line][:2]


def test_the_sum_adds_up_by_hand(client: TestClient, priced: Record) -> None:
    view = price(client, priced)
    assert view["size"] == "cox"
    # Two balls at 7.50, a label and buttons; 5910 loops at 22 a minute and 45 minutes are 5.23 h.
    counted = {e["what"]: (e["working"], e["amount"]) for e in view["total"]["lines"]
               if e["counted"]}  # fmt: skip
    assert counted == {
        "Slipway worsted, slate, bought": ("2 balls × £7.50", "£15.00"),
        "label": ("", "£0.40"),
        "wooden buttons": ("", "£2.40"),
        "Work": ("5.23 h × £12.50", "£65.38"),
    }
    assert [(e["what"], e["working"], e["amount"]) for e in view["total"]["sums"]] == [
        ("Cost", "", "£83.18"),
        ("Margin", "20 % of £83.18", "£16.64"),
        ("Price", "£83.18 + £16.64", "£99.82"),
    ]
    assert view["total"]["price"] == "£99.82"


def test_what_is_typed_is_kept_in_the_design_and_undone(client: TestClient, hood: Record) -> None:
    view = price(client, hood)
    assert view["total"] is None
    assert [one["field"] for one in view["missing"]] == ["cost.rate", "yarns[1].price"]
    assert not view["can_undo"]
    fields = {f["path"]: f for group in view["sheet"] for f in group["fields"]}
    assert set(fields) == {
        "cost.rate", "cost.currency", "cost.pace", "yarns[1].price", "cost.margin",
    }  # fmt: skip
    assert fields["yarns[1].price"]["label"] == "A ball of Slipway worsted, slate"
    design = view_of(client, hood)
    design = patch(client, design, {"path": "cost.rate", "value": "0"})
    design = patch(client, design, {"path": "yarns[1].price", "value": "7.5"})
    after = price(client, hood)
    assert after["revision"] == design["revision"]
    assert after["total"]["price"] == "15.00"
    kept = read_text(design["text"])
    assert kept.prices == {"Slipway worsted": 7.5}
    assert kept.costing is not None
    assert kept.costing.rate == 0
    assert price(client, hood)["can_undo"]
    do(client, do(client, design, "undo"), "undo")
    assert view_of(client, hood)["text"] == HOOD


def test_only_the_yarns_that_the_size_takes_have_a_price(
    client: TestClient, studio: Studio
) -> None:
    more = '[[yarns]]\nname = "Quayside aran"\ncategory = 4\nmetres_per_100g = 160\n\n[garment]'
    text = HOOD.replace("[garment]", more)
    design = studio.library.put(text_body(text))
    prices = price(client, design)["sheet"][1]["fields"]
    assert [field["path"] for field in prices] == ["yarns[1].price"]
    corded = text.replace('cord = "Slipway worsted"', 'cord = "Quayside aran"')
    used = studio.library.put(text_body(corded))
    prices = price(client, used)["sheet"][1]["fields"]
    assert [field["path"] for field in prices] == ["yarns[1].price", "yarns[2].price"]


def test_sittings_tell_the_pace_and_are_not_kept(client: TestClient, priced: Record) -> None:
    before = view_of(client, priced)
    view = price(client, priced, sittings=[{"rows": "10", "minutes": "28"}, {}])
    # 28 pegs on both boards and 10 rows are 560 loops, in 28 minutes.
    assert view["time"]["found"] == pytest.approx(20)
    assert "timed over 1 sitting" in view["time"]["words"][1]
    group = view["sheet"][0]["lists"][0]
    assert [row["fields"][0]["value"] for row in group["rows"]] == ["10", ""]
    assert view_of(client, priced) == before
    kept = patch(client, before, {"path": "cost.pace", "value": view["time"]["found"]})
    assert "pace = 20\n" in kept["text"]


@pytest.mark.parametrize(
    ("sitting", "field"),
    [
        ({"rows": "12"}, "sittings[2].minutes"),
        ({"minutes": "12"}, "sittings[2].rows"),
        ({"rows": "many", "minutes": "40"}, "sittings[2].rows"),
        ({"rows": "12", "minutes": "0"}, "sittings[2].minutes"),
        ({"rows": "-3", "minutes": "40"}, "sittings[2].rows"),
        ({"rows": "1", "minutes": "1e99"}, "sittings"),
    ],
)
def test_a_slip_in_a_sitting_is_told_at_its_field(
    client: TestClient, priced: Record, sitting: dict[str, str], field: str
) -> None:
    view = price(client, priced, sittings=[{"rows": "12", "minutes": "40"}, sitting])
    (problem,) = view["problems"]
    assert problem["field"] == field
    assert view["total"] is None
    assert view["sheet"][0]["lists"][0]["rows"][1]["fields"][0]["value"] == sitting.get("rows", "")


def test_a_slip_shows_the_sum_as_it_last_was(client: TestClient, priced: Record) -> None:
    before = price(client, priced)
    patch(client, view_of(client, priced), {"path": "cost.rate", "value": "twelve"})
    view = price(client, priced)
    assert view["stale"]
    assert view["problems"][0]["field"] == "cost.rate"
    assert view["total"] == before["total"]
    assert view["sheet"][0]["fields"][0]["value"] == "twelve"


def test_a_pace_that_nobody_has_is_told_at_its_field(client: TestClient, priced: Record) -> None:
    patch(client, view_of(client, priced), {"path": "cost.pace", "value": "1e-300"})
    view = price(client, priced)
    assert [problem["field"] for problem in view["problems"]] == ["cost.pace"]
    assert view["total"] is None


def test_yarn_that_runs_out_does_not_stop_the_sum(client: TestClient, studio: Studio) -> None:
    short = PRICED.replace("price = 7.50", 'price = 7.50\navailable = "20 g"')
    design = studio.library.put(text_body(short))
    assert not view_of(client, design)["result"]["proved"]
    assert price(client, design)["total"]["price"] == "£99.82"


def test_a_size_that_cannot_be_made_has_no_sum(client: TestClient, studio: Studio) -> None:
    text = PRICED.replace("pegs = 44", "pegs = 29").replace(
        'head = "59 cm"', 'head = "59 cm"\nheight = "23 in"'
    )
    design = studio.library.put(text_body(text))
    assert view_of(client, design)["result"]["refused"][0]["name"] == "coach"
    view = price(client, design, size="coach")
    assert view["total"] is None
    assert view["trouble"]
    assert price(client, design, size="cox")["total"]


def test_a_size_that_is_gone_is_the_first(client: TestClient, priced: Record) -> None:
    assert price(client, priced, size="stroke")["size"] == "cox"


def test_a_price_executes_nothing_again() -> None:
    prover = Prover()
    assert prover.prove(read_text(HOOD)).proved
    made = prover.prove(read_text(PRICED))
    assert prover.executed == 3
    assert made.design.costing is not None


def test_the_page_says_what_it_does(client: TestClient, priced: Record) -> None:
    page = client.get(f"/designs/{priced.id}/price")
    assert page.status_code == 200
    assert "What a size costs in yarn and work" in page.text
    assert f'href="/designs/{priced.id}/price" aria-current="page"' in page.text
    assert client.get("/designs/none/price").status_code == 404
    for asked in ({"basis": "borrowed"}, {"sittings": [{"rows": 12}]}, {"more": 1}):
        answer = client.post(f"/api/price/{priced.id}/sum", json=asked)
        assert answer.status_code == 422
