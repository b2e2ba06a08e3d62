"""Stripes in the studio: the command's own plans, written into the design and undone."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from pegwright.designs.files import read_any, shipped_text
from pegwright.designs.reader import read_text
from pegwright.designs.striping import with_stripes
from pegwright.knitting.stripes import Stripe
from pegwright.library.records import OwnYarn, Record
from pegwright.making import prove, stripe_problem
from pegwright.planning.stripe_relax import NoStripes
from pegwright.planning.stripe_solver import StripeProgress, plan_stripes
from pegwright.planning.stripes import Aim, StripePlan, breaches
from pegwright.studio.designs.desk import text_body
from pegwright.studio.designs.edits import changed
from pegwright.studio.state import Studio
from pegwright.studio.tasks import stripes as task_stripes
from pegwright.studio.tasks.stripe_edits import stripe_changes
from pegwright.yarn.colour import ColourRun, parse_colour_run
from pegwright.yarn.stash import named_apart, weighed
from pegwright.yarn.yarn import Yarn
from tests.studio.long_work import begun, ended

BLANKET = "tern-point-boat-blanket"
GULL = Yarn("Gull worsted", 4, 190, wraps_per_inch=11, colour="white", colour_hex="#ece8df")
WALL = Yarn("Harbour wall worsted", 4, 180, wraps_per_inch=10, colour="granite")


@pytest.fixture
def blanket(studio: Studio) -> Record:
    """The boat blanket in the library."""
    return studio.library.put(text_body(shipped_text(BLANKET)))


def own_yarns() -> list[dict[str, str]]:
    """All of the blanket's yarns, with the grams that it says there are."""
    design = read_any(BLANKET)
    return [{"own": name, "have": f"{design.available_g[name]:g} g"} for name in design.yarns]


def kept(studio: Studio, yarn: Yarn, *balls_g: float, colours: ColourRun | None = None) -> str:
    """The record of a yarn of the library, weighed where balls are given."""
    record_id = studio.library.put(OwnYarn(yarn, colour_run=colours)).id
    if balls_g:
        studio.library.weigh(record_id, balls_g)
    return record_id


Plan = Callable[..., Any]


@pytest.fixture
def plan(app: FastAPI, client: TestClient) -> Plan:
    """Plans stripes and gives what came of it."""

    def planned(design: Record, **asked: Any) -> Any:
        return ended(app, client, client.post(f"/api/stripes/{design.id}/plan", json=asked))

    return planned


# --- planning ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("asked", "limits"),
    [
        ({"most_stripes": 3}, {"most_stripes": 3}),
        ({"most_rows": 8, "mirror": True}, {"most_rows": 8, "mirror": True}),
        (
            {"aim": "even", "rows": 120, "most_rows": 8, "match_ends": True, "join": "20 cm"},
            {"aim": Aim.EVEN, "rows": 120, "most_rows": 8, "match_ends": True, "join_m": 0.2},
        ),
        ({"sure": 0.99, "margin": 0.3, "pieces": 2},
         {"coverage": 0.99, "margin": 0.3, "pieces": (1.0, 1.0)}),
    ],
)  # fmt: skip
def test_a_plan_is_the_commands_own(
    blanket: Record, plan: Plan, asked: dict[str, Any], limits: dict[str, Any]
) -> None:
    found = plan(blanket, yarns=own_yarns(), **asked)["plan"]
    wanted = plan_stripes(stripe_problem(read_any(BLANKET), **limits))
    told = wanted.as_data()
    assert [{"yarn": s["yarn"], "rows": s["rows"]} for s in found["stripes"]] == told["stripes"]
    assert (found["rows"], found["best"]) == (told["rows"], told["status"] == "optimal")
    assert "\n".join((found["head"], found["proof"])) in wanted.words(read_any(BLANKET).units)


def test_what_is_kept_back_is_kept_back(blanket: Record, plan: Plan) -> None:
    yarns = own_yarns()
    place = next(i for i, yarn in enumerate(yarns) if yarn["own"] == "Gull worsted")
    most = plan(blanket, yarns=yarns, most_stripes=9)["plan"]["rows"]
    yarns[place]["keep"] = "60 m"
    by_length = plan(blanket, yarns=yarns, most_stripes=9)["plan"]["rows"]
    problem = stripe_problem(read_any(BLANKET), None, (), {"Gull worsted": 60.0}, most_stripes=9)
    assert by_length == plan_stripes(problem).rows
    # 190 m in 100 g: 60 m weigh 31.58 g
    yarns[place]["keep"] = "31.58 g"
    assert plan(blanket, yarns=yarns, most_stripes=9)["plan"]["rows"] == by_length <= most


def test_a_plan_tells_every_row_yarn_and_size(blanket: Record, plan: Plan) -> None:
    found = plan(blanket, yarns=own_yarns(), most_stripes=3)["plan"]
    assert [stripe["words"] for stripe in found["stripes"]] == [
        "Rows 1–20", "Rows 21–40", "Rows 41–60",
    ]  # fmt: skip
    assert sum(yarn["rows"] for yarn in found["yarns"]) == 60
    assert [size["name"] for size in found["sizes"]] == ["blanket"]
    assert "length" in found["sizes"][0]["words"]
    assert found["sizes"][0]["trouble"] == []
    front = found["pictures"][0]
    assert front["title"] == "Strip, front face"
    assert front["svg"].startswith("<svg")
    assert "60 rows" in front["words"]


def test_a_length_and_another_size_are_taken(studio: Studio, hood: Record, plan: Plan) -> None:
    body = read_text(shipped_text("tern-point-hood")).body_yarn.name
    yarns = [{"own": body, "have": "120 g, 80 g"}, {"record": kept(studio, WALL, 90.0)}]
    even = {"aim": "even", "multiple": 2, "size": "coach"}
    own = plan(hood, yarns=yarns, **even)["plan"]
    made = prove(read_text(shipped_text("tern-point-hood")))
    assert own["rows"] == made.sizes[2].plan.pieces[0].rows
    short = plan(hood, yarns=yarns, length="10 in", **even)["plan"]
    assert short["rows"] < own["rows"]
    assert short["rows"] % 2 == 0
    assert [size["name"] for size in own["sizes"]] == ["cox", "bow", "coach"]
    assert {picture["title"] for picture in own["pictures"]} >= {"Hood, front", "Hood, back"}


def test_a_size_that_does_not_come_out_is_told(studio: Studio, hood: Record, plan: Plan) -> None:
    body = read_text(shipped_text("tern-point-hood")).body_yarn.name
    yarns = [{"own": body, "have": "120 g, 80 g"}, {"record": kept(studio, WALL, 90.0)}]
    found = plan(hood, yarns=yarns, aim="even", rows=87)["plan"]
    assert all("halve evenly" in size["trouble"][0] for size in found["sizes"])
    assert found["pictures"] == []


# --- no plan, and a plan that is stopped ---------------------------------------------------------


def test_an_impossible_wish_names_the_nearest_that_is_possible(blanket: Record, plan: Plan) -> None:
    asked = {"aim": "even", "rows": 400, "most_rows": 8}
    found = plan(blanket, yarns=own_yarns(), **asked)
    assert found["plan"] is None
    assert "no stripes keep all of these limits" in found["refused"]["error"]
    with pytest.raises(NoStripes) as refused:
        plan_stripes(stripe_problem(read_any(BLANKET), aim=Aim.EVEN, rows=400, most_rows=8))
    said = [" and ".join(change.words for change in way) for way in refused.value.ways]
    assert [way["words"].lower() for way in found["ways"]] == [words.lower() for words in said]
    rows = next(way["changes"]["rows"] for way in found["ways"] if "rows" in way["changes"])
    assert f"ask for {rows} rows instead of 400" in found["refused"]["try"]
    assert plan(blanket, yarns=own_yarns(), **{**asked, "rows": rows})["plan"]["rows"] == rows
    beyond = plan(blanket, yarns=own_yarns(), **{**asked, "rows": rows + 1})
    assert beyond["plan"] is None


def test_a_stop_gives_the_best_so_far(
    app: FastAPI, client: TestClient, blanket: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    looking = threading.Event()

    def slow(problem: Any, *, progress: Any, cancelled: Callable[[], bool], **_: Any) -> StripePlan:
        found = plan_stripes(problem)
        progress(StripeProgress(0.1, None, None))
        progress(StripeProgress(0.5, 60.0, 64.0))
        looking.set()
        while not cancelled():
            looking.wait(0.01)
        return found

    monkeypatch.setattr(task_stripes, "plan_stripes", slow)
    answer = client.post(
        f"/api/stripes/{blanket.id}/plan", json={"yarns": own_yarns(), "most_stripes": 3}
    )
    assert looking.wait(30)
    job = begun(app, answer)
    assert job.view().what == "60 rows so far, at most 64."
    client.post(f"/api/jobs/{job.id}/stop")
    found = ended(app, client, answer)
    assert found["stopped"]
    assert found["plan"]["rows"] == 60


# --- into the design -----------------------------------------------------------------------------


def used(client: TestClient, design: Record, found: Any, yarns: Any) -> Any:
    stripes = [{"yarn": s["yarn"], "rows": s["rows"]} for s in found["plan"]["stripes"]]
    body = {"revision": found["revision"], "yarns": yarns, "stripes": stripes}
    answer = client.post(f"/api/stripes/{design.id}/use", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_the_stripes_go_into_the_design_and_out_again(
    client: TestClient, studio: Studio, blanket: Record, plan: Plan
) -> None:
    yarns = own_yarns()
    found = plan(blanket, yarns=yarns, most_stripes=4)
    written = used(client, blanket, found, yarns)
    assert written["proved"]
    view = client.get(f"/api/designs/{blanket.id}").json()
    design = read_text(view["text"])
    assert sum(stripe.rows for stripe in design.stripes) == found["plan"]["rows"]
    assert breaches(stripe_problem(design, most_stripes=4), design.stripes) == ()
    made = prove(design)
    assert made.proved
    assert made.sizes[0].plan.pieces[0].rows == found["plan"]["rows"]
    assert "# The club, its people and its yarn are invented." in view["text"]
    assert studio.library.versions(blanket.id)[-1].name == "Stripes: 4 in 80 rows"
    body = {"revision": written["revision"]}
    undone = client.post(f"/api/designs/{blanket.id}/undo", json=body).json()
    assert undone["text"] == shipped_text(BLANKET)


def test_yarns_of_the_library_come_with_their_grams(
    client: TestClient, studio: Studio, hood: Record, plan: Plan
) -> None:
    body = read_text(shipped_text("tern-point-hood")).body_yarn
    run = parse_colour_run("rust 30 cm, cream 12 in")
    other = replace(body, colour="buoy red", colour_hex="#a8322a")
    yarns = [
        {"own": body.name, "have": "90 g"},
        {"record": kept(studio, other, 40.0, 30.0)},
        {"record": kept(studio, WALL, 70.0, colours=run)},
    ]
    found = plan(hood, yarns=yarns, aim="even", multiple=2, most_rows=6)
    assert used(client, hood, found, yarns)["proved"]
    design = read_text(client.get(f"/api/designs/{hood.id}").json()["text"])
    red = f"{body.name}, buoy red"
    assert design.available_g == {body.name: 90.0, red: 70.0, WALL.name: 70.0}
    assert design.colour_runs == {WALL.name: run}
    assert design.yarns[body.name] == body
    assert design.yarns[red].colour_hex == "#a8322a"
    assert {stripe.yarn for stripe in design.stripes} == {body.name, red, WALL.name}


def test_yarns_that_lie_in_no_stripe_stay_at_home(
    client: TestClient, studio: Studio, blanket: Record
) -> None:
    wall = kept(studio, WALL, 70.0)
    yarns = [*own_yarns(), {"record": wall}]
    found = {"revision": blanket.revision, "plan": {"stripes": [
        {"yarn": "Gull worsted", "rows": 8}, {"yarn": "Oakum aran", "rows": 8}]}}  # fmt: skip
    used(client, blanket, found, yarns)
    design = read_text(client.get(f"/api/designs/{blanket.id}").json()["text"])
    assert WALL.name not in design.yarns


def test_the_same_yarn_keeps_the_designs_name_for_it(
    client: TestClient, studio: Studio, blanket: Record
) -> None:
    gull = replace(GULL, metres_per_100g=188)
    yarns = [{"record": kept(studio, gull, 41.0)}, {"record": kept(studio, WALL, 70.0)}]
    found = {"revision": blanket.revision, "plan": {"stripes": [
        {"yarn": "Gull worsted", "rows": 4}, {"yarn": WALL.name, "rows": 4}]}}  # fmt: skip
    used(client, blanket, found, yarns)
    design = read_text(client.get(f"/api/designs/{blanket.id}").json()["text"])
    assert design.yarns["Gull worsted"].metres_per_100g == 188
    assert design.available_g["Gull worsted"] == 41.0
    assert len(design.yarns) == len(read_any(BLANKET).yarns) + 1


def test_a_plan_for_an_older_design_is_not_written(
    client: TestClient, blanket: Record, plan: Plan
) -> None:
    found = plan(blanket, yarns=own_yarns(), most_stripes=3)
    change = {"path": "design.title", "value": "Launch blanket"}
    client.patch(
        f"/api/designs/{blanket.id}/fields",
        json={"revision": found["revision"], "changes": [change]},
    )
    stripes = [{"yarn": s["yarn"], "rows": s["rows"]} for s in found["plan"]["stripes"]]
    body = {"revision": found["revision"], "yarns": own_yarns(), "stripes": stripes}
    assert client.post(f"/api/stripes/{blanket.id}/use", json=body).status_code == 409
    stripes[0]["yarn"] = "Gul worsted"
    body = {"revision": found["revision"] + 1, "yarns": own_yarns(), "stripes": stripes}
    refused = client.post(f"/api/stripes/{blanket.id}/use", json=body)
    assert refused.status_code == 422
    assert "no yarn of this name" in refused.json()["error"]
    view = client.get(f"/api/designs/{blanket.id}").json()
    assert (view["title"], len(read_text(view["text"]).stripes)) == ("Launch blanket", 31)


@pytest.mark.parametrize("name", [BLANKET, "tern-point-hood", "tern-point-scarf"])
def test_changes_to_the_text_make_the_design_that_the_command_writes(name: str) -> None:
    text = shipped_text(name)
    if name != BLANKET:
        text = text.replace("[garment]", "[garment]\nrows = 8", 1)
    design = read_text(text)
    stash = named_apart(
        [
            weighed(replace(design.body_yarn, colour="ink", colour_hex="#101820"), [40.0, 12.5]),
            weighed(WALL, [70.0], colour_run=parse_colour_run("rust 30 cm, cream 12 in")),
        ],
        design.yarns,
    )
    body = weighed(replace(design.body_yarn, metres_per_100g=171), [33.0])
    names = [design.body_yarn.name, *(own.yarn.name for own in stash)]
    wanted = with_stripes(design, tuple(Stripe(n, 4) for n in names), (body, *stash))
    assert read_text(changed(text, stripe_changes(design, wanted))) == wanted


# --- the page, and what is refused ---------------------------------------------------------------


def test_the_page_shows_the_yarns_to_choose(
    client: TestClient, studio: Studio, blanket: Record
) -> None:
    gull, wall = kept(studio, GULL, 41.0), kept(studio, WALL)
    page = client.get(f"/designs/{blanket.id}/stripes", headers={"Accept": "text/html"}).text
    assert page.count('class="yarn"') == len(read_any(BLANKET).yarns) + 2
    assert 'value="212 g"' in page
    of_gull = page.partition(f'data-record="{gull}"')[2].partition("</li>")[0]
    assert "41 g" in of_gull
    assert "the design has it too" in of_gull
    of_wall = page.partition(f'data-record="{wall}"')[2].partition("</li>")[0]
    assert "disabled" in of_wall
    assert "Weigh it" in of_wall


@pytest.mark.parametrize(
    ("name", "multiple", "pieces"),
    [
        ("tern-point-hood", 2, 1),  # folded at its crown
        ("tern-point-mitts", 1, 2),  # a pair, both with these stripes
        ("tern-point-scarf", 1, 1),
    ],
)
def test_the_page_begins_with_what_the_garment_asks_for(
    client: TestClient, studio: Studio, name: str, multiple: int, pieces: int
) -> None:
    design = studio.library.put(text_body(shipped_text(name)))
    page = client.get(f"/designs/{design.id}/stripes", headers={"Accept": "text/html"}).text
    assert f'name="multiple" value="{multiple}"' in page
    assert f'name="pieces" value="{pieces}"' in page


@pytest.mark.parametrize("task", ["stripes", "colours"])
def test_a_design_that_cannot_be_read_is_to_be_mended_first(
    client: TestClient, studio: Studio, task: str
) -> None:
    broken = studio.library.put(text_body(shipped_text(BLANKET).replace("plain-strip", "plain")))
    answer = client.get(f"/designs/{broken.id}/{task}", headers={"Accept": "text/html"})
    assert answer.status_code == 200
    assert "Mend it first." in answer.text
    asked = {"yarns": own_yarns()} if task == "stripes" else {}
    address = f"/api/{task}/{broken.id}/{'plan' if task == 'stripes' else 'search'}"
    assert client.post(address, json=asked).status_code == 422


def test_a_garment_without_stripes_says_which_have_them(client: TestClient, studio: Studio) -> None:
    cap = studio.library.put(text_body(shipped_text("tern-point-cap")))
    page = client.get(f"/designs/{cap.id}/stripes", headers={"Accept": "text/html"}).text
    assert "takes no stripes" in page
    assert "Plain strip or scarf" in page
    asked = {"yarns": [{"own": "x", "have": "9 g"}]}
    answer = client.post(f"/api/stripes/{cap.id}/plan", json=asked)
    assert answer.status_code == 422
    assert "takes no stripes" in answer.json()["error"]


@pytest.mark.parametrize(
    ("change", "field", "told"),
    [
        ({"least_rows": 9, "most_rows": 4}, "least_rows", "narrowest"),
        ({"aim": "even", "rows": 1}, "rows", "so few rows"),
        ({"aim": "most", "rows": 90}, "rows", "cannot both"),
        ({"margin": 2}, "margin", "between 0 and 1"),
        ({"pieces": 0}, "pieces", "a piece"),
        ({"multiple": 0}, "multiple", "from 1"),
        ({"most_stripes": 1001}, "most_stripes", "so many"),
        ({"join": "12"}, "join", "unit"),
        ({"join": "0 in"}, "join", "above zero"),
        ({"aim": "even", "length": "long"}, "length", "number"),
        ({"size": "bow"}, "size", "no such size"),
        ({"yarns": [{"own": "Gull worsted", "have": ""}]}, "yarns[1].have", "how much"),
        ({"yarns": [{"own": "Gull worsted", "have": "9"}]}, "yarns[1].have", "unit"),
        ({"yarns": [{"own": "Gull worsted", "have": "0 g"}]}, "yarns[1].have", "above zero"),
        ({"yarns": [{"own": "Gull", "have": "9 g"}]}, "yarns[1].have", "no such yarn"),
        ({"yarns": [{"have": "9 g"}]}, "yarns[1].have", "the design's or the library's"),
        ({"yarns": [{"own": "Gull worsted", "have": "90 g", "keep": "a bit"}]},
         "yarns[1].keep", "number"),
        ({"yarns": [{"own": "Gull worsted", "have": "90 g", "keep": "5000 m"}]},
         "yarns[1].keep", "nothing of Gull worsted is left"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_at_its_field(
    client: TestClient, blanket: Record, change: dict[str, Any], field: str, told: str
) -> None:
    asked = {"yarns": own_yarns(), **change}
    answer = client.post(f"/api/stripes/{blanket.id}/plan", json=asked)
    assert answer.status_code == 422, answer.text
    assert answer.json()["field"] == field
    assert told in answer.json()["error"]


def test_a_yarn_is_neither_chosen_twice_nor_without_a_weight(
    client: TestClient, studio: Studio, blanket: Record
) -> None:
    def refused(*yarns: dict[str, str]) -> Any:
        answer = client.post(f"/api/stripes/{blanket.id}/plan", json={"yarns": yarns})
        assert answer.status_code in (404, 422)
        return answer.json()

    gull, wall = kept(studio, GULL, 41.0), kept(studio, WALL)
    twice = refused({"own": "Gull worsted", "have": "166 g"}, {"record": gull})
    assert (twice["field"], "chosen twice" in twice["error"]) == ("yarns[2].have", True)
    assert "weigh it" in refused({"record": wall})["try"]
    assert "no yarn" in refused({"record": blanket.id})["error"]
    assert refused({"record": "nobody"})["field"] == "yarns[1].have"
