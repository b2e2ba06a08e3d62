"""Colours in the studio: shown and searched for as the command does, written into the design."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from pegwright.designs.files import shipped_text
from pegwright.designs.model import Design
from pegwright.designs.reader import read_text
from pegwright.garments.registry import garment
from pegwright.knitting.wraps import SHIPPED
from pegwright.library.records import Record
from pegwright.making import prove, source_of
from pegwright.pattern.look import size_colours, size_views
from pegwright.planning.colour import Joining
from pegwright.planning.colour_search import Effect
from pegwright.planning.colour_views import face_grid
from pegwright.planning.strip_colours import placed_strip, search_strip
from pegwright.studio.designs.desk import text_body
from pegwright.studio.state import Studio
from pegwright.studio.tasks import colour_writing
from pegwright.studio.tasks import colours as task_colours
from pegwright.yarn.colour import parse_colour_run
from pegwright.yarn.sight import check_sight
from tests.studio.long_work import begun, ended

COLOURS = "rust 3 m, cream 2 m"
HOOD = shipped_text("tern-point-hood")
CHANGING = HOOD.replace("invented = true", f'colours = "{COLOURS}"\ninvented = true')


@pytest.fixture
def changing(studio: Studio) -> Record:
    """The hood in a yarn that changes colour."""
    return studio.library.put(text_body(CHANGING))


Find = Callable[..., Any]


@pytest.fixture
def find(app: FastAPI, client: TestClient) -> Find:
    """Looks for colours and gives what came of it."""

    def found(design: Record, **asked: Any) -> Any:
        return ended(app, client, client.post(f"/api/colours/{design.id}/search", json=asked))

    return found


def now(client: TestClient, design: Record) -> Design:
    return read_text(client.get(f"/api/designs/{design.id}").json()["text"])


# --- how they fall -------------------------------------------------------------------------------


@pytest.mark.parametrize("anew", [False, True])
def test_every_face_is_shown_as_the_command_shows_it(
    client: TestClient, changing: Record, anew: bool
) -> None:
    address = f"/api/colours/{changing.id}"
    shown = client.get(address, params={"size": "bow", "anew": anew}).json()
    made = prove(read_text(CHANGING))
    size = made.sizes[1]
    colours = size_colours(source_of(made), size, Joining.ANEW if anew else Joining.CARRY_ON)
    units = made.design.units
    assert shown["size"] == "bow"
    assert shown["words"] == list(colours.words(units))
    assert shown["sight"] == list(check_sight(colours.colours).words(units))
    views = list(size_views(size, colours))
    assert [(face["key"], face["title"]) for face in shown["faces"]] == [
        (view.key, view.title) for view in views
    ]
    assert shown["faces"][0]["words"] == " ".join(views[0].words(units))


def test_every_face_is_a_file_to_keep(client: TestClient, changing: Record) -> None:
    from pegwright.publish.fabric_picture import fabric_picture
    from pegwright.publish.fabric_raster import fabric_png

    made = prove(read_text(CHANGING))
    views = list(size_views(made.sizes[0], size_colours(source_of(made), made.sizes[0])))
    address = f"/api/colours/{changing.id}/picture"
    query = {"face": views[1].key, "download": "true"}
    drawn = client.get(address, params=query)
    assert drawn.content == fabric_picture(views[1])
    assert drawn.headers["content-type"] == "image/svg+xml"
    assert (
        'filename="tern-point-hood-cox-strip-back-face.svg"'
        in (drawn.headers["content-disposition"])
    )
    painted = client.get(address, params={**query, "form": "painted"})
    assert painted.content == fabric_png(views[1])
    shown = client.get(address, params={"face": views[1].key})
    assert shown.headers["content-disposition"].startswith("inline")
    assert ElementTree.fromstring(shown.content).tag.endswith("svg")


def test_sizes_that_are_not_there_are_refused(client: TestClient, changing: Record) -> None:
    for address in (f"/api/colours/{changing.id}", f"/api/colours/{changing.id}/picture"):
        answer = client.get(address, params={"size": "stroke"})
        assert (answer.status_code, answer.json()["given"]) == (422, "stroke")


# --- the search ----------------------------------------------------------------------------------


@pytest.mark.parametrize("effect", list(Effect))
def test_the_search_is_the_commands_own(changing: Record, find: Find, effect: Effect) -> None:
    asked = {"effect": str(effect), "pegs_from": 22, "pegs_to": 30, "rows": 40, "starts": 16}
    found = find(changing, **asked, best=3)
    design = read_text(CHANGING)
    wanted = search_strip(
        design.loom, [design.wrap], design.body_yarn, parse_colour_run(COLOURS), effect,
        pegs=range(22, 31), rows=40, starts=16, best=3, slack=design.slack.value,
    )  # fmt: skip
    assert [(one["pegs"], one["wrap"]) for one in found["best"]] == [
        (one.pegs, one.wrap) for one in wanted.best
    ]
    for one, other in zip(found["best"], wanted.best, strict=True):
        assert one["offset_m"] == pytest.approx(other.offset_m, abs=0.00051)  # to a millimetre
        assert f"({other.score:.2f})" in one["words"]
    assert found["words"][0] == wanted.words(design.units)[0]
    assert found["unseen"] == 0


def test_other_colours_wraps_and_all_pegs_are_tried(hood: Record, find: Find) -> None:
    wraps = ["double-board rib 1 by 1", "figure eight"]
    found = find(hood, colours="rust 40 cm, teal 1 m", wraps=wraps, best=20, starts=4, rows=10)
    assert {one["wrap"] for one in found["best"]} == set(wraps)
    tried = sum(
        1
        for wrap in SHIPPED
        if wrap.name in wraps
        for pegs in range(4, 45)
        if pegs >= wrap.least and (pegs - wrap.plus) % wrap.multiple == 0
    )
    assert f"{4 * tried:,} ways tried" in found["words"][0]
    assert all(ElementTree.fromstring(one["svg"]).tag.endswith("svg") for one in found["best"])


def test_a_stop_gives_the_best_so_far(
    app: FastAPI, client: TestClient, changing: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    looking, go_on = threading.Event(), threading.Event()

    def slow(*given: Any, progress: Any, **more: Any) -> Any:
        def tell(done: int, of: int) -> None:
            progress(done, of)
            if done == 2:
                looking.set()
                go_on.wait(30)

        return search_strip(*given, progress=tell, **more)

    monkeypatch.setattr(task_colours, "search_strip", slow)
    asked = {"pegs_from": 20, "pegs_to": 30, "starts": 4, "best": 20}
    answer = client.post(f"/api/colours/{changing.id}/search", json=asked)
    assert looking.wait(30)
    job = begun(app, answer)
    assert (job.view().done, job.view().of) == (2, 11)
    job.stop()
    go_on.set()
    found = ended(app, client, answer)
    assert {one["pegs"] for one in found["best"]} == {20, 21, 22}
    assert found["unseen"] == 8


# --- into the design -----------------------------------------------------------------------------


def use(client: TestClient, design: Record, found: Any, place: int = 0, **more: Any) -> Any:
    one = found["best"][place]
    body = {key: one[key] for key in ("pegs", "wrap", "offset_m")}
    answer = client.post(
        f"/api/colours/{design.id}/use", json={"revision": found["revision"], **body, **more}
    )
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_what_is_used_falls_in_the_design_as_it_was_shown(
    client: TestClient, studio: Studio, changing: Record, find: Find
) -> None:
    found = find(changing, pegs_from=26, pegs_to=32, rows=40)
    assert use(client, changing, found)["proved"]
    design, one = now(client, changing), found["best"][0]
    assert design.options["pegs"] == one["pegs"]
    name = design.body_yarn.name
    assert design.colour_runs[name].offset_m == pytest.approx(one["offset_m"])
    made = prove(design)
    size = made.sizes[0]
    seen = face_grid(size.run, size_colours(source_of(made), size), "strip")
    placed = placed_strip(
        design.loom, design.wrap, one["pegs"], design.body_yarn, parse_colour_run(COLOURS),
        offset_m=one["offset_m"], rows=40, slack=design.slack.value,
    )  # fmt: skip
    assert (seen.index[-40:] == placed.index).all()
    assert studio.library.versions(changing.id)[-1].name.startswith(f"Colours: {one['pegs']} pegs")
    told = " ".join(one["writes"])
    assert f"{one['pegs']} pegs in every size (now cox 28, bow 29, coach 30)" in told
    assert one["mind"] == []


def test_typed_colours_come_into_the_design(client: TestClient, hood: Record, find: Find) -> None:
    typed = "rust 3 m, cream 3 m"
    found = find(hood, colours=typed, pegs_from=26, pegs_to=30)
    assert any(typed in words for words in found["best"][0]["writes"])
    use(client, hood, found, colours=typed)
    design = now(client, hood)
    offset_m = found["best"][0]["offset_m"]
    run = parse_colour_run(typed)
    assert design.colour_runs == {design.body_yarn.name: replace(run, offset_m=offset_m)}
    assert "# " in client.get(f"/api/designs/{hood.id}").json()["text"]


def test_a_wrap_that_the_garment_has_not_stays(
    client: TestClient, changing: Record, find: Find
) -> None:
    before = now(client, changing)
    found = find(changing, pegs_from=20, pegs_to=24, wraps=["figure eight"])
    assert "is not knitted in figure eight" in found["best"][0]["mind"][0]
    use(client, changing, found)
    assert now(client, changing).wrap == before.wrap


def test_pegs_that_come_from_measures_stay(
    client: TestClient, changing: Record, find: Find, monkeypatch: pytest.MonkeyPatch
) -> None:
    by_measure = replace(garment("folded-strip-hood"), options=())  # type: ignore[type-var]
    monkeypatch.setattr(colour_writing, "garment", lambda _: by_measure)
    found = find(changing, pegs_from=20, pegs_to=24)
    assert "The pegs stay (cox 28, bow 29, coach 30)" in found["best"][0]["mind"][0]
    use(client, changing, found)
    assert "pegs" not in now(client, changing).options


def test_what_is_no_strip_says_so(studio: Studio, find: Find) -> None:
    mitts = studio.library.put(text_body(shipped_text("tern-point-mitts")))
    found = find(mitts, colours="rust 1 m, cream 1 m", pegs_from=10, pegs_to=14)
    assert "is not knitted as one strip" in found["best"][0]["mind"][0]


def test_a_yarn_that_is_not_the_bodys_becomes_it(
    client: TestClient, studio: Studio, find: Find
) -> None:
    blanket = studio.library.put(text_body(shipped_text("tern-point-boat-blanket")))
    given: dict[str, Any] = {"yarn": "Gull worsted", "colours": "white 2 m, teal 2 m"}
    found = find(blanket, **given, pegs_from=70, pegs_to=76)
    one = found["best"][0]
    assert any("The body is knitted with Gull worsted, white" in words for words in one["writes"])
    assert any(words.startswith("The stripes stay") for words in one["mind"])
    use(client, blanket, found, **given)
    assert now(client, blanket).use["body"] == "Gull worsted"


def test_an_older_design_is_not_written_over(
    client: TestClient, changing: Record, find: Find
) -> None:
    found = find(changing, pegs_from=26, pegs_to=30)
    one = found["best"][0]
    change = {"path": "design.title", "value": "Launch hood"}
    body = {"revision": found["revision"], "changes": [change]}
    assert client.patch(f"/api/designs/{changing.id}/fields", json=body).status_code == 200
    body = {key: one[key] for key in ("pegs", "wrap", "offset_m")}
    answer = client.post(
        f"/api/colours/{changing.id}/use", json={"revision": found["revision"], **body}
    )
    assert answer.status_code == 409


# --- the page, and what is refused ---------------------------------------------------------------


def test_a_design_without_changing_yarn_says_how_to_give_one(
    client: TestClient, hood: Record, changing: Record
) -> None:
    def page(design: Record) -> str:
        return client.get(f"/designs/{design.id}/colours", headers={"Accept": "text/html"}).text

    plain = page(hood)
    assert 'id="no-runs"' in plain
    example = plain.partition("<pre><code>")[2].partition("</code>")[0].replace("&#34;", '"')
    text = HOOD.replace("invented = true", f"{example}\ninvented = true")
    assert not read_text(text).colour_runs[read_text(text).body_yarn.name].is_solid
    assert 'id="no-runs"' not in page(changing)
    assert "begins anew in its colours" in page(changing)


@pytest.mark.parametrize(
    ("asked", "field", "told"),
    [
        ({}, "colours", "one colour"),
        ({"colours": "rust 1 m"}, "colours", "one colour"),
        ({"colours": "rust 0 cm, cream 1 m"}, "colours", "above zero"),
        ({"colours": "rust"}, "colours", "not a stretch"),
        ({"colours": "rust 1 m, tan 1 m", "pegs_from": 9, "pegs_to": 2}, "pegs_from", "peg counts"),
        ({"colours": "rust 1 m, tan 1 m", "pegs_from": 0}, "pegs_from", "peg counts"),
        ({"colours": "rust 1 m, tan 1 m", "rows": 1}, "rows", "from 2"),
        ({"colours": "rust 1 m, tan 1 m", "starts": 0}, "starts", "from 1"),
        ({"colours": "rust 1 m, tan 1 m", "best": 0}, "best", "from 1"),
        ({"colours": "rust 1 m, tan 1 m", "yarn": "Gull"}, "yarn", "no such yarn"),
        ({"colours": "rust 1 m, tan 1 m", "wraps": ["e-wrap"]}, "wraps", "for this board"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    app: FastAPI, client: TestClient, hood: Record, asked: dict[str, Any], field: str, told: str
) -> None:
    answer = client.post(f"/api/colours/{hood.id}/search", json=asked)
    refused = answer.json() if answer.status_code == 422 else ended(app, client, answer)
    assert (refused["field"], told in refused["error"]) == (field, True)
