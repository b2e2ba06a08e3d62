"""The library's place: records through their forms, weights, photos, one file and back, backups."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from pegwright.library.records import (
    Kind,
    Making,
    OwnBoard,
    OwnPerson,
    OwnSwatch,
    OwnYarn,
    Record,
)
from pegwright.measured import Measured
from pegwright.studio.library.record_sheets import KINDS
from pegwright.studio.state import Studio
from pegwright.yarn.colour import Colour, ColourRun, Stretch
from pegwright.yarn.yarn import Yarn

BOARD = {
    "name": "boathouse board",
    "arrangement": "opposed",
    "pegs": "44",
    "pitch": "7/16 in",
    "gap": "2.5 cm",
    "peg_diameter": "3/16\u2033",
    "slack": "1.05",
    "spacers": "1/4 in, 3 mm",
}
YARN = {"name": "Slipway", "category": "4", "metres_per_100g": "175", "colour_hex": "#a33b1f"}


def keep(client: TestClient, kind: str, values: dict[str, str]) -> Any:
    answer = client.post("/api/library/records", json={"kind": kind, "values": values})
    assert answer.status_code == 201, answer.text
    return answer.json()


def values_of(view: Any) -> dict[str, str]:
    return {f["path"]: f["value"] for group in view["sheet"] for f in group["fields"]}


def body_of(studio: Studio, view: Any) -> object:
    return studio.library.get(view["entry"]["id"]).body


def test_a_board_is_read_with_its_units(client: TestClient, studio: Studio) -> None:
    own = body_of(studio, keep(client, "board", BOARD))
    assert isinstance(own, OwnBoard)
    assert own.loom.pitch_mm == pytest.approx(7 / 16 * 25.4)
    assert own.loom.gap_mm == 25
    assert own.loom.peg_diameter_mm == pytest.approx(3 / 16 * 25.4)
    assert own.slack == Measured(1.05, 0.05)
    assert own.spacers_mm == (6.35, 3.0)


def test_a_person_and_a_swatch_are_read(client: TestClient, studio: Studio) -> None:
    yarn = keep(client, "yarn", YARN)["entry"]["id"]
    values = {"name": "cox", "wearer": "child", "measures.head": "21 1/2 in", "born": "2019-04-30"}
    own = body_of(studio, keep(client, "person", values))
    assert isinstance(own, OwnPerson)
    assert dict(own.person.measures) == {"head": pytest.approx(546.1)}
    values = {"stitches": "20", "width": "6 in", "rows": "24", "length": "10 cm",
              "washed": "true", "yarn": yarn, "wrap": "double-board stockinette"}  # fmt: skip
    swatch = body_of(studio, keep(client, "swatch", values))
    assert isinstance(swatch, OwnSwatch)
    assert swatch.swatch.width.value == pytest.approx(152.4)
    assert swatch.yarn == yarn


@pytest.mark.parametrize(
    ("kind", "values", "field"),
    [
        ("board", {**BOARD, "pitch": "wide"}, "pitch"),
        ("board", {**BOARD, "pitch": "1/16 in"}, "pitch"),  # closer than the pegs are thick
        ("board", {**BOARD, "gap": ""}, "gap"),
        ("board", {**BOARD, "pegs": "many"}, "pegs"),
        ("board", {**BOARD, "slack": "loose"}, "slack"),
        ("board", {**BOARD, "arrangement": "round"}, "arrangement"),
        ("yarn", {**YARN, "metres_per_100g": "0"}, "metres_per_100g"),
        ("yarn", {**YARN, "ball": "5 cm"}, "ball"),
        ("yarn", {**YARN, "colour_hex": "red"}, "colour_hex"),
        ("person", {"name": "cox", "measures.head": "55 mm"}, "measures.head"),
        ("person", {"name": "cox", "born": "yesterday"}, "born"),
        ("person", {"name": " "}, "name"),
        ("making", {"piece": "", "stage": "resting"}, "piece"),
    ],
)
def test_a_slip_is_told_at_its_field(
    client: TestClient, studio: Studio, kind: str, values: dict[str, str], field: str
) -> None:
    answer = client.post("/api/library/records", json={"kind": kind, "values": values})
    assert answer.status_code == 422
    assert answer.json()["field"] == field
    assert studio.library.list() == ()


def test_a_form_that_is_saved_as_it_came_changes_nothing(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    yarn = keep(client, "yarn", YARN)
    values = {"piece": f"{hood.id}/bow", "stage": "resting", "yarns": yarn["entry"]["id"]}
    made = [
        keep(client, "board", BOARD),
        yarn,
        keep(client, "person", {"name": "cox", "wearer": "adult", "measures.foot": "24 cm"}),
        keep(client, "swatch", {"stitches": "20", "width": "6 in", "rows": "24", "length": "4 in"}),
        keep(client, "making", values),
    ]
    for view in made:
        before = body_of(studio, view)
        path = f"/api/library/records/{view['entry']['id']}"
        body = {"revision": view["entry"]["revision"], "values": values_of(view)}
        after = client.put(path, json=body)
        assert after.status_code == 200, after.text
        assert body_of(studio, after.json()) == before
        assert after.json()["entry"]["revision"] == view["entry"]["revision"]


def test_what_a_form_does_not_show_stays(client: TestClient, studio: Studio) -> None:
    run = ColourRun(
        (Stretch(Colour("rust", "#a4482c"), 1.3), Stretch(Colour("teal", "#1d6e73"), 2))
    )
    own = OwnYarn(Yarn("Tide", 4, 175, invented=True), colour_run=run)
    record = studio.library.put(own, notes="in the blue box")
    view = client.get(f"/api/library/records/{record.id}").json()
    values = {**values_of(view), "fibre": "wool"}
    body = {"revision": record.revision, "values": values}
    client.put(f"/api/library/records/{record.id}", json=body)
    kept = studio.library.get(record.id)
    assert isinstance(kept.body, OwnYarn)
    assert kept.body.colour_run == run
    assert kept.body.yarn.invented
    assert (kept.body.yarn.fibre, kept.notes) == ("wool", "in the blue box")


def test_an_older_form_is_refused(client: TestClient) -> None:
    view = keep(client, "yarn", YARN)
    path = f"/api/library/records/{view['entry']['id']}"
    values = {**values_of(view), "colour": "rust"}
    assert client.put(path, json={"revision": 1, "values": values}).status_code == 200
    answer = client.put(path, json={"revision": 1, "values": {**values, "colour": "teal"}})
    assert answer.status_code == 409
    assert client.get(path).json()["entry"]["name"] == "Slipway, rust"


def test_a_making_keeps_the_version_it_was_begun_with(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    values = {"piece": f"{hood.id}/bow", "stage": "under way"}
    view = keep(client, "making", values)
    design = client.get(f"/api/designs/{hood.id}").json()
    body = {"revision": design["revision"], "changes": [{"path": "loom.pegs", "value": "50"}]}
    client.patch(f"/api/designs/{hood.id}/fields", json=body)
    path = f"/api/library/records/{view['entry']['id']}"
    body = {"revision": 1, "values": {**values, "stage": "finished"}}
    own = body_of(studio, client.put(path, json=body).json())
    assert isinstance(own, Making)
    assert (own.version, str(own.stage)) == (1, "finished")


def test_weights_are_kept_as_a_history(client: TestClient) -> None:
    yarn = keep(client, "yarn", YARN)["entry"]["id"]
    path = f"/api/library/yarns/{yarn}/weighings"
    client.post(path, json={"balls": "100 g, 3 1/2 oz", "note": "bought"})
    client.post(path, json={"balls": ""})
    used_up, first = client.get(path).json()
    assert used_up["balls_g"] == []
    assert first["total_g"] == pytest.approx(100 + 3.5 * 28.349523125)
    refused = client.post(path, json={"balls": "100 g, much"})
    assert refused.status_code == 422
    board = keep(client, "board", BOARD)["entry"]["id"]
    assert client.get(f"/api/library/yarns/{board}/weighings").status_code == 422


def test_records_are_searched_deleted_and_brought_back(client: TestClient) -> None:
    yarn = keep(client, "yarn", {**YARN, "notes": "from the regatta"})["entry"]["id"]
    keep(client, "board", BOARD)

    def found(**query: Any) -> list[str]:
        answer = client.get("/api/library/records", params=query)
        return [record["kind"] for record in answer.json()]

    assert found(query="regatta") == ["yarn"]
    assert found(query="boathouse", kind="yarn") == []
    client.delete(f"/api/library/records/{yarn}")
    assert found(kind="yarn") == []
    assert found(kind="yarn", deleted=True) == ["yarn"]
    client.post(f"/api/library/records/{yarn}/undelete")
    assert found(kind="yarn") == ["yarn"]
    assert client.post(f"/api/library/records/{yarn}/duplicate").status_code == 201
    assert found(kind="yarn") == ["yarn", "yarn"]


def test_a_design_is_no_record_of_the_library_s_pages(client: TestClient, hood: Record) -> None:
    assert client.get(f"/api/library/records/{hood.id}").status_code == 404
    assert client.delete(f"/api/library/records/{hood.id}").status_code == 404


@pytest.mark.parametrize("kind", [str(kind) for kind in KINDS])
def test_every_kind_has_its_pages(client: TestClient, kind: str) -> None:
    for path in (f"/library/{kind}", f"/library/{kind}/new", f"/library/{kind}?deleted=true"):
        assert client.get(path).status_code == 200
    assert client.get(f"/api/library/forms/{kind}").json()
    assert Kind(kind) in KINDS


def test_everything_goes_into_one_file_and_back(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    yarn = keep(client, "yarn", YARN)["entry"]["id"]
    client.post(f"/api/library/yarns/{yarn}/weighings", json={"balls": "80 g"})
    archive = client.get("/api/library/archive").content
    studio.library.delete(yarn)
    studio.library.erase(yarn)
    files = {"file": ("mine.zip", archive, "application/zip")}
    done = client.post("/api/library/restore", files=files).json()
    assert (done["added"], done["same"], done["weighings"]) == (1, 1, 1)
    assert client.get(f"/api/library/records/{yarn}").json()["entry"]["name"] == "Slipway"
    refused = client.post("/api/library/restore", files={"file": ("x.zip", b"no zip")})
    assert refused.status_code == 422
    assert len(studio.library.list()) == 2


def test_a_backup_is_brought_back(client: TestClient, studio: Studio, hood: Record) -> None:
    (backup,) = client.post("/api/library/backups").json()
    view = client.get(f"/api/designs/{hood.id}").json()
    body = {"revision": view["revision"], "changes": [{"path": "loom.pegs", "value": "50"}]}
    client.patch(f"/api/designs/{hood.id}/fields", json=body)
    listed = client.post(f"/api/library/backups/{backup['name']}/restore").json()
    assert len(listed) == 2, "what was there became a backup first"
    back = client.get(f"/api/designs/{hood.id}").json()
    assert back["text"] == view["text"]
    assert back["result"]["proved"]


def test_the_day_s_backup_is_made_once(studio: Studio, client: TestClient) -> None:
    studio.back_up_if_due()
    studio.back_up_if_due()
    assert len(client.get("/api/library/backups").json()) == 1
