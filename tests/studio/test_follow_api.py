from __future__ import annotations

import threading
from dataclasses import replace

import pytest
from starlette.testclient import TestClient

from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.library.making import state_of
from pegwright.library.records import Kind, Making, OwnYarn, Record, Stage
from pegwright.studio.follow.keeping import Follower
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
    from pegwright.studio.designs.desk import text_body

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
    weighed = weigh_event("phone", 4, 240)
    (found,) = client.post(path, json={"events": [*rows, weighed]}).json()["forecasts"]
    assert (found["row"], found["rows_total"], found["grams"]) == (30, 231, 240)
    assert 0 < found["rows_left_low"] < found["rows_left_high"]
    assert found["rows_left_low"] < 231 - 30
    assert found["advice"] == "change later"
    # A row that another device counted before the weighing moves the row that it was taken at.
    late = {**row_event("desk", 1, rows=2), "at": "2026-11-25T10:00:01.500000Z"}
    (moved,) = client.post(path, json={"events": [late]}).json()["forecasts"]
    assert moved["row"] == 32


def a_scarf_from_the_library(client: TestClient, studio: Studio) -> tuple[str, Record]:
    """A scarf under way, and its yarn as the library has it: weighed once, 400 g in four balls."""
    design = a_making(studio, "tern-point-scarf").body.design  # type: ignore[union-attr]
    yarn = next(iter(read_text(shipped_text("tern-point-scarf")).yarns.values()))
    own = studio.library.put(OwnYarn(yarn))
    studio.library.weigh(own.id, [100, 100, 100, 100], "as bought")
    (choice,) = client.get(f"/api/follow/designs/{design}/sizes").json()["yarns"]
    assert choice == {"name": yarn.label, "own": [{"id": own.id, "name": own.name}]}
    size = client.get(f"/api/follow/designs/{design}/sizes").json()["sizes"][0]
    asked = {"design": design, "size": size, "yarns": [own.id]}
    answer = client.post("/api/follow/makings", json=asked)
    assert answer.status_code == 201, answer.text
    return answer.json()["id"], own


def _head(device: str, counter: int) -> dict[str, object]:
    event = row_event(device, counter)
    return {k: v for k, v in event.items() if k not in ("rows", "piece")}


def weigh_event(device: str, counter: int, grams: float) -> dict[str, object]:
    return {**_head(device, counter), "kind": "weigh", "yarn": "yarn-1", "grams": grams}


def undo_event(device: str, counter: int, undoes: str) -> dict[str, object]:
    return {**_head(device, counter), "kind": "undo", "undoes": undoes}


def test_what_is_weighed_at_the_loom_stands_in_the_yarns_history(
    client: TestClient, studio: Studio
) -> None:
    making, own = a_scarf_from_the_library(client, studio)
    path = f"/api/follow/makings/{making}/sync"
    view = client.get(f"/api/follow/makings/{making}").json()
    assert view["own_yarns"] == {"yarn-1": own.name}

    def history() -> list[float]:
        return [w.total_g for w in studio.library.weighings(own.id)]

    # The times of the events lie before the first weighing's, which is of now.
    first, second = weigh_event("phone", 1, 340), weigh_event("desk", 1, 310.5)
    for events in ([first], [first], [second, first]):  # what is sent again is not noted again
        assert client.post(path, json={"events": events}).status_code == 200
    assert sorted(history()) == [310.5, 340, 400]
    noted = next(w for w in studio.library.weighings(own.id) if w.total_g == 340)
    assert (noted.id, noted.at, noted.making) == ("phone-1", first["at"], making)
    shown = client.get(f"/api/library/yarns/{own.id}/weighings").json()
    name = studio.library.get(making).name
    assert {w["total_g"]: w["making"] for w in shown} == {400: "", 340: name, 310.5: name}

    slip = weigh_event("phone", 2, 31)
    back = undo_event("phone", 3, "phone-2")
    client.post(path, json={"events": [slip]})
    assert 31 in history()
    client.post(path, json={"events": [back]})
    assert sorted(history()) == [310.5, 340, 400]


def test_an_undo_that_comes_first_leaves_nothing_in_the_history(
    client: TestClient, studio: Studio
) -> None:
    making, own = a_scarf_from_the_library(client, studio)
    path = f"/api/follow/makings/{making}/sync"
    client.post(path, json={"events": [undo_event("desk", 1, "phone-1")]})
    client.post(path, json={"events": [weigh_event("phone", 1, 340)]})
    assert [w.total_g for w in studio.library.weighings(own.id)] == [400]


def test_a_yarn_that_is_used_up_is_noted_so(client: TestClient, studio: Studio) -> None:
    making, own = a_scarf_from_the_library(client, studio)
    used_up = {**weigh_event("phone", 1, 0), "at": "2099-01-01T10:00:00.000000Z"}
    client.post(f"/api/follow/makings/{making}/sync", json={"events": [used_up]})
    assert studio.library.weighings(own.id)[-1].balls_g == ()
    assert studio.library.stash(own.id) is None


def test_a_phone_cannot_take_out_what_was_weighed_elsewhere(
    client: TestClient, studio: Studio
) -> None:
    making, own = a_scarf_from_the_library(client, studio)
    (before,) = studio.library.weighings(own.id)
    forged = {**weigh_event("phone", 1, 5), "id": before.id}
    back = undo_event("phone", 2, before.id)
    client.post(f"/api/follow/makings/{making}/sync", json={"events": [forged]})
    client.post(f"/api/follow/makings/{making}/sync", json={"events": [back]})
    assert studio.library.weighings(own.id) == (before,)


def test_only_yarns_that_bear_the_name_are_offered(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    yarn = next(iter(read_text(shipped_text("tern-point-hood")).yarns.values()))
    assert yarn.colour
    same = studio.library.put(OwnYarn(yarn))
    plain = studio.library.put(OwnYarn(replace(yarn, colour="")))
    studio.library.put(OwnYarn(replace(yarn, colour="another colour")))
    studio.library.put(OwnYarn(replace(yarn, name="Another yarn")))
    found = client.get(f"/api/follow/designs/{hood.id}/sizes").json()["yarns"]
    offered = next(choice for choice in found if choice["name"] == yarn.label)
    assert {one["id"] for one in offered["own"]} == {same.id, plain.id}


def test_what_is_no_yarn_is_refused_at_the_start(client: TestClient, hood: Record) -> None:
    asked = {"design": hood.id, "size": "cox", "yarns": [hood.id]}
    answer = client.post("/api/follow/makings", json=asked)
    assert answer.status_code == 422
    assert "yarns" in answer.json()["error"]
    assert client.get("/api/follow/makings").json() == []


def test_a_yarn_that_was_erased_stops_no_count(client: TestClient, studio: Studio) -> None:
    making, own = a_scarf_from_the_library(client, studio)
    studio.library.delete(own.id)
    studio.library.erase(own.id)
    path = f"/api/follow/makings/{making}/sync"
    answer = client.post(path, json={"events": [weigh_event("phone", 1, 340)]})
    assert answer.status_code == 200
    assert answer.json()["forecasts"]
    assert studio.library.list(Kind.YARN) == ()


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
    body = making.body
    assert isinstance(body, Making)
    follower = Follower(studio.library)
    answered: list[tuple[str, int, bool]] = []

    def follow(device: str) -> None:
        for counter in range(1, 11):
            event = event_from(Fields(row_event(device, counter)))
            known = follower.add(making.id, body, [event])
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
