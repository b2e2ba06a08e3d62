"""What is done with a yarn of the library, held against the command and sums done by hand."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from pegwright.library.records import OwnYarn, Record
from pegwright.studio.state import Studio
from pegwright.yarn.yarn import DiameterSource, Yarn
from tests.cli.ran import Run, runner


@pytest.fixture
def yarn(studio: Studio) -> Record:
    """Slipway, whose scale shows 2 g."""
    own = OwnYarn(Yarn("Slipway", 4, 175, wrapped_diameter_mm=2.4, invented=True), scale_g=2.0)
    return studio.library.put(own, notes="in the blue box")


@pytest.fixture
def gull(studio: Studio) -> Record:
    return studio.library.put(OwnYarn(Yarn("Gull", 3, 220, invented=True)))


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(capsys, "yarn")


def counted(client: TestClient, yarn: Record, **values: str) -> Any:
    answer = client.get(f"/api/yarns/{yarn.id}/count", params=values)
    assert answer.status_code == 200, answer.text
    return answer.json()


def own_yarn(studio: Studio, record_id: str) -> Yarn:
    body = studio.library.get(record_id).body
    assert isinstance(body, OwnYarn)
    return body.yarn


# --- wraps ---------------------------------------------------------------------------------------


def test_wraps_are_the_command_s(client: TestClient, yarn: Record, command: Run) -> None:
    found = counted(client, yarn, counts="20, 19, 20", counted_over="2 in")["wraps"]
    said = command("wraps", 20, 19, 20, "--over", "2 in", "--json").data
    assert found["wraps_per_inch"] == pytest.approx(said["wraps_per_inch"]["value"])
    assert found["wraps_sd"] == pytest.approx(said["wraps_per_inch"]["sd"])
    assert found["diameter_sd"] == pytest.approx(said["diameter_mm"]["sd"])
    assert [c["number"] for c in found["categories"]] == sorted({4, *said["likely"]})
    # By hand: 59 turns over 6 in; a spread of 1/sqrt(3) turns over three windings, and half a turn
    # to either side of each count (uniform), both over 2 in.
    assert found["wraps_per_inch"] == pytest.approx(59 / 6)
    spread = math.sqrt(1 / 3 / 3 + 1 / 12) / 2
    assert found["wraps_sd"] == pytest.approx(spread, rel=1e-3)
    assert found["diameter_mm"] == pytest.approx(25.4 * 6 / 59)


def test_a_count_is_kept_with_what_it_was(client: TestClient, studio: Studio, yarn: Record) -> None:
    asked = {"counts": "10, 9.5, 10"}
    assert "2.4 mm" in counted(client, yarn, **asked)["wraps"]["keeping"]
    path = f"/api/yarns/{yarn.id}/count/keep"
    body = {"revision": yarn.revision, "asked": asked, "category": 3}
    kept = client.post(path, json=body)
    assert kept.status_code == 200, kept.text
    own = own_yarn(studio, yarn.id)
    assert (own.category, own.wraps_per_inch) == (3, 9.83)
    assert own.diameter_source is DiameterSource.WRAPS
    assert own.wrapped_diameter_mm == pytest.approx(25.4 / 9.83)
    notes = studio.library.get(yarn.id).notes
    assert notes.startswith("in the blue box\nCounted 10, 9.5, 10 turns over 25.4 mm: 9.83 ± ")
    again = {**body, "revision": kept.json()["revision"]}
    assert client.post(path, json=again).status_code == 200
    assert studio.library.get(yarn.id).notes == notes, "the same count is noted once"
    assert client.post(path, json=body).status_code == 409
    nothing = {"revision": kept.json()["revision"], "asked": {}}
    assert client.post(path, json=nothing).json()["field"] == "counts"


def test_the_category_stays_where_none_is_named(
    client: TestClient, studio: Studio, yarn: Record
) -> None:
    body = {"revision": yarn.revision, "asked": {"counts": "14"}}
    assert client.post(f"/api/yarns/{yarn.id}/count/keep", json=body).status_code == 200
    assert own_yarn(studio, yarn.id).category == 4


# --- strands -------------------------------------------------------------------------------------


def test_strands_are_the_command_s(
    client: TestClient, yarn: Record, gull: Record, command: Run
) -> None:
    found = counted(client, gull, strands="2")["strands"]
    said = command("strands", "3:220", "3:220", "--json").data
    assert found["metres_per_100g"] == pytest.approx(said["metres_per_100g"]) == pytest.approx(110)
    assert found["diameter_mm"] == pytest.approx(said["diameter_mm"])
    assert found["category"] == said["category"]
    mixed = counted(client, gull, other=yarn.id)["strands"]
    # By hand: 1/m = 1/220 + 1/175, d² = d1² + d2².
    assert mixed["metres_per_100g"] == pytest.approx(1 / (1 / 220 + 1 / 175))
    thin_mm = Yarn("Gull", 3, 220).wrapped_diameter_mm
    assert mixed["diameter_mm"] == pytest.approx(math.hypot(thin_mm, 2.4))
    strange = counted(client, gull, strange_category="3", strange_metres="220")["strands"]
    assert strange["metres_per_100g"] == pytest.approx(110)
    three = counted(client, gull, strands="2", other=yarn.id, other_strands="2")["strands"]
    assert three["metres_per_100g"] == pytest.approx(1 / (2 / 220 + 2 / 175))


def test_strands_are_kept_as_a_yarn(
    client: TestClient, studio: Studio, yarn: Record, gull: Record
) -> None:
    body = {"asked": {"other": gull.id}}
    made = client.post(f"/api/yarns/{yarn.id}/strands/keep", json=body)
    assert made.status_code == 201, made.text
    own = own_yarn(studio, made.json()["id"])
    assert own.name == "Slipway and Gull held together"
    assert own.metres_per_100g == pytest.approx(1 / (1 / 220 + 1 / 175))
    nothing = client.post(f"/api/yarns/{yarn.id}/strands/keep", json={"asked": {}})
    assert nothing.json()["field"] == "strands"


# --- the scale -----------------------------------------------------------------------------------


def test_a_weight_is_told_in_metres_as_the_command_does(
    client: TestClient, yarn: Record, command: Run, tmp_path: Path
) -> None:
    found = counted(client, yarn, whole="87 g")["scale"]
    stash = tmp_path / "stash.toml"
    stash.write_text(
        'pegwright = 1\nscale = "2 g"\n[[yarns]]\nname = "Slipway"\ncategory = 4\n'
        'metres_per_100g = 175\ndiameter = "2.4 mm"\ninvented = true\nballs = ["87 g"]\n'
    )
    said = command("stash", stash, "--json").data["metres"]
    assert found["metres"] == pytest.approx(said["value"]) == pytest.approx(0.87 * 175)
    assert found["metres_sd"] == pytest.approx(said["sd"])
    # By hand: the scale's step over sqrt(12), and 3 % of the band's metres.
    by_scale, by_band = 2 / math.sqrt(12) / 100 * 175, 0.03 * 0.87 * 175
    assert found["metres_sd"] == pytest.approx(math.hypot(by_scale, by_band))
    assert found["parts"] == []


def test_a_ball_is_parted_as_the_command_does(
    client: TestClient, yarn: Record, command: Run
) -> None:
    own = ("--category", 4, "--metres", 175, "--scale", "2 g")
    found = counted(client, yarn, whole="87 g", into="3")["scale"]
    said = command("split", "87 g", "--into", 3, *own).out.split("\n")
    assert found["parting"] == said[: len(found["parting"])]
    data = command("split", "87 g", "--into", 3, *own, "--json").data
    # By hand: 58 g and 29 g remain, as a scale of 2 g can show it: 58 and 30.
    assert [part["remain_g"] for part in data["parts"]] == [58.0, 30.0, 0.0]
    assert [part["remain"] for part in found["parts"]] == ["58 g", "30 g", "nothing"]
    shares = counted(client, yarn, whole="87 g", shares="1/2, 1/4, 1/4")["scale"]
    assert len(shares["parts"]) == 3
    fine = counted(client, yarn, whole="87 g", into="3", scale="0.1 g")["scale"]
    assert [part["remain"] for part in fine["parts"]] == ["58 g", "29 g", "nothing"]


# --- slips ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"counts": "ten"}, "counts"),
        ({"counts": "10, 0"}, "counts"),
        ({"counts": "10", "counted_over": "0 in"}, "counted_over"),
        ({"strands": "1"}, "strands"),
        ({"strands": "9"}, "strands"),
        ({"other": "gone"}, "other"),
        ({"strange_category": "3"}, "strange_metres"),
        ({"strange_category": "3", "strange_metres": "0"}, "strange_metres"),
        ({"whole": "heavy"}, "whole"),
        ({"whole": "0 g"}, "whole"),
        ({"whole": "80 g", "scale": "0 g"}, "scale"),
        ({"whole": "80 g", "into": "1"}, "into"),
        ({"whole": "80 g", "into": "0"}, "into"),
        ({"whole": "80 g", "shares": "1/2, 1/3"}, "shares"),
        ({"whole": "80 g", "shares": "half"}, "shares"),
        ({"whole": "9 g", "into": "9"}, "into"),  # two targets would read the same on this scale
    ],
)
def test_a_slip_is_told_at_its_field_and_the_rest_is_told_all_the_same(
    client: TestClient, yarn: Record, values: dict[str, str], field: str
) -> None:
    rest = {"counts": "10, 10"} if "counts" not in values else {"whole": "50 g"}
    found = counted(client, yarn, **{**rest, **values})
    assert [problem["field"] for problem in found["problems"]] == [field]
    told = found["wraps"] if "counts" not in values else found["scale"]
    assert told is not None


def test_what_is_left_empty_is_not_told(client: TestClient, yarn: Record) -> None:
    found = counted(client, yarn)
    assert found == {"wraps": None, "strands": None, "scale": None, "problems": []}


def test_the_form_knows_what_the_library_does(
    client: TestClient, studio: Studio, yarn: Record, gull: Record
) -> None:
    studio.library.weigh(yarn.id, [46.5, 100], "")
    groups = client.get(f"/api/yarns/{yarn.id}/count/form").json()
    fields = {field["path"]: field for group in groups for field in group["fields"]}
    assert fields["whole"]["value"] == "46.5 g"
    assert fields["scale"]["usual"] == "2 g"
    assert [choice["value"] for choice in fields["other"]["choices"]] == [gull.id]
    paths = [field["path"] for group in groups for field in group["fields"]]
    assert not {group["key"] for group in groups} & set(paths), "ids on the page are one each"


def test_the_record_leads_to_its_page(client: TestClient, yarn: Record) -> None:
    address = f"/library/yarn/{yarn.id}/count"
    assert f'href="{address}"' in client.get(f"/library/yarn/{yarn.id}").text
    page = client.get(address)
    assert page.status_code == 200
    assert "The yarn" in page.text
    assert "With this yarn" not in client.get("/library/yarn/new").text
