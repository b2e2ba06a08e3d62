from __future__ import annotations

import threading

import pytest
from starlette.testclient import TestClient

from pegwright.library.making import state_of
from pegwright.library.records import Record, Stage
from pegwright.studio.follow_keeping import Follower
from pegwright.studio.state import Studio
from tests.studio.follow_stand import a_making, row_event


def test_a_making_is_started_followed_laid_aside_and_finished(
    client: TestClient, hood: Record
) -> None:
    sizes = client.get(f"/api/follow/designs/{hood.id}/sizes").json()
    assert sizes["version"] == 1
    assert "cox" in sizes["sizes"]

    made = client.post("/api/follow/makings", json={"design": hood.id, "size": "cox"})
    assert made.status_code == 201
    making = made.json()
    assert (making["name"], making["rows"]) == ("Tern Point hood, cox", 0)

    view = client.get(f"/api/follow/makings/{making['id']}").json()
    assert view["document"]["size"] == "cox"
    assert view["document"]["steps"][0]["title"] == "Cast on"

    path = f"/api/follow/makings/{making['id']}/stage"
    assert client.post(path, json={"stage": "finished"}).json()["stage"] == Stage.FINISHED
    assert client.get("/api/follow/makings").json() == []
    assert len(client.get("/api/follow/makings?finished=true").json()) == 1


def test_a_making_keeps_its_version_when_the_design_changes(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    making = client.post("/api/follow/makings", json={"design": hood.id, "size": "cox"}).json()
    before = client.get(f"/api/follow/makings/{making['id']}").json()["document"]
    change = {"revision": 1, "changes": [{"path": "design.title", "value": "Another hood"}]}
    assert client.patch(f"/api/designs/{hood.id}/fields", json=change).status_code == 200
    assert client.get(f"/api/follow/makings/{making['id']}").json()["document"] == before


def test_a_design_with_a_fault_is_not_put_on_the_loom(client: TestClient, studio: Studio) -> None:
    making = a_making(studio)
    text = studio.library.get(making.body.design).body.toml  # type: ignore[union-attr]
    assert 'ball = "' in text
    short = text.replace('ball = "', 'available = "1 g"\nball = "', 1)
    assert short != text
    from pegwright.studio.desk import text_body

    design = studio.library.put(text_body(short))
    answer = client.post("/api/follow/makings", json={"design": design.id, "size": "cox"})
    assert answer.status_code == 422
    assert "not to be knitted" in answer.json()["error"]


def test_devices_are_brought_together_whatever_the_order(
    client: TestClient, studio: Studio
) -> None:
    making = a_making(studio)
    path = f"/api/follow/makings/{making.id}/sync"
    one = [row_event("phone", n) for n in range(1, 21)]
    other = [row_event("desk", n) for n in range(1, 14)]

    first = client.post(path, json={"upto": {}, "events": one}).json()
    assert first["upto"] == {"phone": 20}
    again = client.post(path, json={"upto": {"phone": 20}, "events": one[::-1]}).json()
    assert (again["total"], again["events"]) == (20, [])  # once more is not twice as many

    second = client.post(path, json={"upto": {"desk": 13}, "events": other}).json()
    assert {e["id"] for e in second["events"]} == {e["id"] for e in one}
    assert state_of(studio.library.events(making.id)).rows == {"strip": 33}


def test_two_events_with_one_id_are_both_kept(client: TestClient, studio: Studio) -> None:
    making = a_making(studio)
    path = f"/api/follow/makings/{making.id}/sync"
    client.post(path, json={"events": [row_event("phone", 1)]})
    clash = {**row_event("phone", 1), "rows": 2}
    answer = client.post(path, json={"events": [clash]}).json()
    assert answer["total"] == 2
    assert state_of(studio.library.events(making.id)).rows == {"strip": 3}


def test_a_weighing_brings_a_forecast(client: TestClient, studio: Studio) -> None:
    making = a_making(studio, "tern-point-scarf")
    path = f"/api/follow/makings/{making.id}/sync"
    rows = [row_event("phone", n, rows=10) for n in range(1, 4)]
    weighed = {**row_event("phone", 4), "kind": "weigh", "yarn": "yarn-1", "grams": 240}
    for field in ("rows", "piece"):
        del weighed[field]
    (found,) = client.post(path, json={"events": [*rows, weighed]}).json()["forecasts"]
    assert (found["row"], found["rows_total"], found["grams"]) == (30, 231, 240)
    assert 0 < found["rows_left_low"] < found["rows_left_high"]
    assert found["rows_left_low"] < 231 - 30
    assert found["advice"] == "change later"
    # A row that another device counted before the weighing moves the row that it was taken at.
    late = {**row_event("desk", 1, rows=2), "at": "2026-11-25T10:00:01.500000Z"}
    (moved,) = client.post(path, json={"events": [late]}).json()["forecasts"]
    assert moved["row"] == 32


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"rows": 0}, "no row is no event"),
        ({"counter": 0}, "a device counts from 1"),
        ({"at": "2026-13-25T10:00:00.000000Z"}, "there is no thirteenth month"),
        ({"at": "yesterday"}, "not a time"),
        ({"kind": "dance"}, "no such kind"),
        ({"more": 1}, "a field that is not known"),
        ({"id": "<b>"}, "not an id"),
    ],
)
def test_events_that_cannot_be_are_refused(
    client: TestClient, studio: Studio, change: dict[str, object], why: str
) -> None:
    making = a_making(studio)
    events = [{**row_event("phone", 1), **change}]
    answer = client.post(f"/api/follow/makings/{making.id}/sync", json={"events": events})
    assert answer.status_code == 422, why
    assert studio.library.events(making.id) == ()


def test_what_is_no_making_is_not_followed(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    making = a_making(studio)
    studio.library.delete(making.id)
    for wrong in (hood.id, making.id, "nothing"):
        assert client.get(f"/api/follow/makings/{wrong}").status_code == 404
        assert client.post(f"/api/follow/makings/{wrong}/sync", json={}).status_code == 404


def test_a_strange_page_cannot_count(client: TestClient, studio: Studio) -> None:
    making = a_making(studio)
    answer = client.post(
        f"/api/follow/makings/{making.id}/sync",
        json={"events": [row_event("phone", 1)]},
        headers={"origin": "http://elsewhere.example"},
    )
    assert answer.status_code == 403
    assert studio.library.events(making.id) == ()


def test_the_manifest_and_the_worker_stand_in_their_scope(client: TestClient) -> None:
    manifest = client.get("/follow/manifest.webmanifest")
    assert manifest.headers["content-type"].startswith("application/manifest+json")
    data = manifest.json()
    assert data["scope"] == data["start_url"] == "/follow/"
    for icon in data["icons"]:
        assert client.get(icon["src"]).headers["content-type"] == icon["type"]
    worker = client.get("/follow/worker.js")
    assert worker.headers["content-type"].startswith("text/javascript")
    # Everything that the worker keeps is there, or it could not be installed.
    for line in worker.text.splitlines():
        if line.startswith('  "/'):
            path = line.strip().strip('",')
            assert client.get(path).status_code == 200, path


# --- many at once -------------------------------------------------------------------------------


def test_devices_at_the_same_moment_lose_nothing(studio: Studio) -> None:
    from pegwright.library.fields import Fields
    from pegwright.library.making import event_from

    making = a_making(studio)
    follower = Follower(studio.library)
    answered: list[tuple[str, int, bool]] = []

    def follow(device: str) -> None:
        for counter in range(1, 11):
            event = event_from(Fields(row_event(device, counter)))
            known = follower.add(making.id, [event])
            answered.append((device, counter, event in known.events))

    threads = [threading.Thread(target=follow, args=(f"device{n}",)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(answered) == 80
    assert all(kept for _, _, kept in answered)  # each was on the disk when it was answered
    assert state_of(studio.library.events(making.id)).rows == {"strip": 80}


def test_what_another_program_wrote_is_seen(studio: Studio) -> None:
    from pegwright.library.fields import Fields
    from pegwright.library.making import event_from

    making = a_making(studio)
    now = [0.0]
    follower = Follower(studio.library, clock=lambda: now[0])
    assert follower.known(making.id).events == ()
    studio.library.merge(making.id, [event_from(Fields(row_event("elsewhere", 1)))])
    now[0] = 60.0
    assert len(follower.known(making.id).events) == 1
