"""Designs in the studio: every change is kept, worked out and shown; nothing typed is lost."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from pegwright import making
from pegwright.designs.files import shipped_designs, shipped_text
from pegwright.designs.reader import read_text
from pegwright.library.records import DesignText, OwnPerson, OwnYarn, Record
from pegwright.sizing.people import Person
from pegwright.studio.app import create_app
from pegwright.studio.designs.proving import Prover
from pegwright.studio.security import TOKEN_HEADER
from pegwright.studio.settings import Settings
from pegwright.studio.state import Studio
from pegwright.yarn.yarn import Yarn
from tests.studio.conftest import HOST

SHAPE = {"error", "given", "try", "file", "line", "field"}


def view_of(client: TestClient, design: Record) -> Any:
    answer = client.get(f"/api/designs/{design.id}")
    assert answer.status_code == 200
    return answer.json()


def patch(client: TestClient, view: Any, *changes: dict[str, Any], **more: Any) -> Any:
    answer = client.patch(
        f"/api/designs/{view['id']}/fields",
        json={"revision": view["revision"], "changes": list(changes), **more},
    )
    assert answer.status_code == 200, answer.text
    return answer.json()


def do(client: TestClient, view: Any, deed: str) -> Any:
    path = f"/api/designs/{view['id']}/{deed}"
    return client.post(path, json={"revision": view["revision"]}).json()


def test_a_view_says_what_the_conductor_says(client: TestClient, hood: Record) -> None:
    view = view_of(client, hood)
    made = making.prove(read_text(shipped_text("tern-point-hood")))
    assert view["text"] == shipped_text("tern-point-hood")
    result = view["result"]
    assert result["proved"]
    assert result["loops"] == sum(size.run.fabric.loops for size in made.sizes)
    for shown, size in zip(result["sizes"], made.sizes, strict=True):
        piece = size.plan.pieces[0]
        words = shown["counts"][0]["words"].replace("\u00a0", " ")
        assert words == f"{piece.columns} pegs a side, {piece.rows} rows"
        assert [f["name"] for f in shown["finished"]] == list(size.plan.finished)
        assert shown["minutes"] == size.minutes
    keys = {figure["key"] for figure in result["figures"]}
    assert {"schematic", "wrap", "board"} <= keys
    assert all(f["svg"].startswith("<svg") and f["alt"] for f in result["figures"])
    assert result["cautions"]


def test_a_change_is_kept_and_shown(client: TestClient, studio: Studio, hood: Record) -> None:
    before = view_of(client, hood)
    after = patch(client, before, {"path": "garment.rows", "value": "90"})
    assert "rows = 90" in after["text"]
    assert "90" in after["result"]["sizes"][0]["counts"][0]["words"]
    kept = studio.library.get(hood.id).body
    assert isinstance(kept, DesignText)
    assert kept.toml == after["text"]
    assert after["revision"] > before["revision"]


def test_a_slip_stays_where_it_was_typed(client: TestClient, studio: Studio, hood: Record) -> None:
    view = patch(client, view_of(client, hood), {"path": "loom.pitch", "value": "wide"})
    (problem,) = view["problems"]
    assert problem["field"] == "loom.pitch"
    assert problem["line"] == 1 + view["text"].splitlines().index('pitch = "wide"')
    assert view["stale"]
    assert view["result"]["proved"], "the design as it last was is still shown"
    fields = [f for g in view["sheet"] for f in g["fields"]]
    assert next(f for f in fields if f["path"] == "loom.pitch")["value"] == "wide"
    kept = studio.library.get(hood.id).body
    assert isinstance(kept, DesignText)
    assert 'pitch = "wide"' in kept.toml


def test_undo_and_redo_walk_the_same_way(client: TestClient, hood: Record) -> None:
    texts = [view_of(client, hood)]
    for change in (
        {"path": "loom.pitch", "value": "1/2 in"},
        {"do": "add", "path": "sizes", "row": {"name": "stroke", "head": "56 cm"}},
        {"do": "remove", "path": "sizes[1]"},
    ):
        texts.append(patch(client, texts[-1], change))
    view = texts[-1]
    for earlier in reversed(texts[:-1]):
        view = do(client, view, "undo")
        assert view["text"] == earlier["text"]
    assert not view["can_undo"]
    for later in texts[1:]:
        view = do(client, view, "redo")
        assert view["text"] == later["text"]
    assert not view["can_redo"]
    view = do(client, view, "undo")
    view = patch(client, view, {"path": "design.title", "value": "Another"})
    assert not view["can_redo"], "a new change leaves nothing to do again"


def test_typing_in_one_field_is_undone_together(client: TestClient, hood: Record) -> None:
    view = first = view_of(client, hood)
    for title in ("T", "Te", "Ter", "Tern"):
        view = patch(client, view, {"path": "design.title", "value": title}, typing=title != "Tern")
    back = do(client, view, "undo")
    assert back["text"] == first["text"]
    again = do(client, back, "redo")
    view = patch(client, again, {"path": "design.title", "value": "Tern hood"})
    assert do(client, view, "undo")["text"] == again["text"], "the field was left in between"


def test_undo_outlives_the_running_studio(
    client: TestClient, settings: Settings, studio: Studio, hood: Record
) -> None:
    first = view_of(client, hood)
    view = patch(client, first, {"path": "garment.rows", "value": "90"})
    studio.close()
    app = create_app(settings)
    headers = {TOKEN_HEADER: app.state.studio.token}
    with TestClient(app, base_url=f"http://{HOST}", headers=headers) as tomorrow:
        view = view_of(tomorrow, hood)
        assert view["can_undo"]
        view = do(tomorrow, view, "undo")
        assert view["text"] == first["text"]
        assert view["can_redo"]


def test_two_windows_cannot_write_over_each_other(client: TestClient, hood: Record) -> None:
    first = second = view_of(client, hood)
    first = patch(client, first, {"path": "loom.pegs", "value": "50"})
    answer = client.patch(
        f"/api/designs/{hood.id}/fields",
        json={"revision": second["revision"], "changes": [{"path": "loom.pegs", "value": "60"}]},
    )
    assert answer.status_code == 409
    assert set(answer.json()) == SHAPE
    assert view_of(client, hood)["text"] == first["text"]


def test_a_design_made_by_hand_comes_back_without_loss(client: TestClient) -> None:
    for name in shipped_designs():
        text = "# a remark of mine\n" + shipped_text(name)
        made = client.post("/api/designs/import", files={"file": (f"{name}.toml", text.encode())})
        assert made.status_code == 201, made.text
        design_id = made.json()["id"]
        assert client.get(f"/api/designs/{design_id}/toml").content == text.encode()
        view = client.get(f"/api/designs/{design_id}").json()
        longer = patch(client, view, {"path": "design.summary", "value": "Other words."})
        again = patch(client, longer, {"path": "design.summary", "value": read_text(text).summary})
        assert again["text"] == text
        assert read_text(again["text"]) == read_text(text)


def test_a_file_that_is_no_design_is_told_of(client: TestClient) -> None:
    answer = client.post("/api/designs/import", files={"file": ("x.toml", b"pegs = \n")})
    assert answer.status_code == 422
    assert answer.json()["line"] == 1
    answer = client.post("/api/designs/import", files={"file": ("x.toml", b"#" * 1_000_001)})
    assert answer.status_code == 413


def test_text_is_taken_as_it_is(client: TestClient, hood: Record) -> None:
    view = view_of(client, hood)
    path = f"/api/designs/{hood.id}/text"
    body = {"revision": view["revision"], "text": view["text"] + "\n[["}
    broken = client.put(path, json=body).json()
    assert broken["sheet"] is None
    assert broken["problems"][0]["line"]
    assert broken["text"].endswith("[[")
    mended = client.put(path, json={"revision": broken["revision"], "text": view["text"]}).json()
    assert mended["problems"] == []
    assert not mended["stale"]


def test_versions_say_what_changed_and_come_back(client: TestClient, hood: Record) -> None:
    first = view_of(client, hood)
    path = f"/api/designs/{hood.id}/versions"
    view = patch(client, first, {"path": "loom.pitch", "value": "1/2 in"})
    view = client.post(path, json={"revision": view["revision"], "name": "wider"}).json()
    view = patch(client, view, {"path": "loom.pegs", "value": "50"})
    versions = client.get(path).json()
    assert [v["name"] for v in versions] == ["", "wider", ""]
    assert "1/2 in" in versions[1]["changes"][0]
    back = do(client, view, "versions/1/restore")
    assert back["text"] == first["text"]
    assert back["can_undo"]
    missing = client.post(f"{path}/99/restore", json={"revision": back["revision"]})
    assert missing.status_code == 404


def test_a_design_is_found_duplicated_deleted_and_brought_back(
    client: TestClient, hood: Record
) -> None:
    def names(**query: Any) -> list[str]:
        return [d["name"] for d in client.get("/api/designs", params=query).json()]

    copy = client.post(f"/api/designs/{hood.id}/duplicate").json()
    assert copy["id"] != hood.id
    assert len(names(query="hood")) == 2
    assert names(query="nothing of the sort") == []
    client.delete(f"/api/designs/{hood.id}")
    assert len(names()) == 1
    assert names(deleted=True) == ["Tern Point hood"]
    client.post(f"/api/designs/{hood.id}/undelete")
    assert len(names()) == 2


@pytest.mark.parametrize("asked", [{"garment": "cowl"}, {"example": "tern-point-scarf"}])
def test_a_new_design_can_be_made_as_it_stands(client: TestClient, asked: dict[str, str]) -> None:
    made = client.post("/api/designs", json=asked)
    assert made.status_code == 201
    assert client.get(f"/api/designs/{made.json()['id']}").json()["result"]["proved"]


def test_the_library_is_taken_into_a_design(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    yarn = Yarn("Quay aran", 4, 160, wraps_per_inch=9, colour="rust", colour_hex="#a33b1f")
    own = studio.library.put(OwnYarn(yarn))
    cox = studio.library.put(OwnPerson(Person("stroke", "adult", {"head": 565.0, "foot": 240.0})))
    view = view_of(client, hood)
    path = f"/api/designs/{hood.id}/take"
    body = {"revision": view["revision"], "record": own.id, "row": 1}
    view = client.post(path, json=body).json()
    view = client.post(path, json={"revision": view["revision"], "record": cox.id}).json()
    design = read_text(view["text"])
    assert design.body_yarn == yarn
    assert design.use["cord"] == "Quay aran"
    assert dict(design.sizes[-1].measures) == {"head": 565.0}
    assert view["result"]["proved"]


def test_the_fabric_is_seen_from_its_sides(client: TestClient, hood: Record) -> None:
    path = f"/api/designs/{hood.id}/fabric"
    first = client.get(path).json()
    assert first["size"] == "cox"
    assert first["svg"].startswith("<svg")
    assert len(first["views"]) > 2
    other = client.get(path, params={"size": "bow", "view": first["views"][1]["key"]}).json()
    assert (other["size"], other["key"]) == ("bow", first["views"][1]["key"])
    assert other["words"]


def test_only_what_a_change_touches_is_executed_again() -> None:
    prover = Prover()
    text = shipped_text("tern-point-hood")
    assert prover.prove(read_text(text)).proved
    assert prover.executed == 3
    prover.prove(read_text(text.replace("Tern Point hood", "Other")))
    assert prover.executed == 3
    made = prover.prove(read_text(text.replace("57 cm", "58 cm")))
    assert prover.executed == 4
    assert made.sizes == making.prove(read_text(text.replace("57 cm", "58 cm"))).sizes
    made = prover.prove(read_text(text.replace("7/16", "1/2")))
    assert prover.executed == 7
    assert made.sizes == making.prove(read_text(text.replace("7/16", "1/2"))).sizes


def test_a_size_that_cannot_be_made_does_not_hide_the_others(
    client: TestClient, hood: Record
) -> None:
    view = patch(client, view_of(client, hood), {"path": "sizes[3].height", "value": "23 in"})
    view = patch(client, view, {"path": "loom.pegs", "value": "29"})
    result = view["result"]
    assert [one["name"] for one in result["refused"]] == ["coach"]
    assert [size["name"] for size in result["sizes"]] == ["cox", "bow"]
    assert not result["proved"]


@pytest.mark.parametrize("part", ["loom", "yarns", "sizes"])
def test_part_of_a_design_is_kept_and_taken_in_again(
    client: TestClient, studio: Studio, hood: Record, part: str
) -> None:
    before = read_text(shipped_text("tern-point-hood"))
    kept = client.post(f"/api/designs/{hood.id}/keep", json={"part": part})
    assert kept.status_code == 201, kept.text
    other = client.post("/api/designs", json={"garment": "folded-strip-hood"}).json()
    body = {"revision": other["revision"], "record": kept.json()["id"], "row": 1}
    design = read_text(client.post(f"/api/designs/{other['id']}/take", json=body).json()["text"])
    if part == "loom":
        assert (design.loom, design.slack) == (before.loom, before.slack)
    elif part == "yarns":
        assert design.body_yarn.label == before.body_yarn.label
        assert design.body_yarn.metres_per_100g == before.body_yarn.metres_per_100g
    else:
        assert design.sizes[-1] == before.sizes[0]
    refused = client.post(f"/api/designs/{hood.id}/keep", json={"part": part, "row": 9})
    assert refused.status_code == 422
