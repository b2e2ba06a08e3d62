"""The Loom's API: parts of the work from anywhere, and the whole fabric a byte a stitch."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from starlette.testclient import TestClient

from pegwright.designs.files import read_any, shipped_text
from pegwright.knitting.drawn import loop_lengths
from pegwright.library.records import Record
from pegwright.making import prove, source_of
from pegwright.pattern.build import build
from pegwright.pattern.look import size_colours
from pegwright.planning.colour_views import face_grid
from pegwright.studio.designs.desk import text_body
from pegwright.studio.state import Studio


def _get(client: TestClient, design: Record, what: str = "", **query: object) -> Any:
    given = {name: str(value) for name, value in query.items()}
    answer = client.get(f"/api/loom/{design.id}{what}", params=given)
    assert answer.status_code == 200, answer.text
    return answer.json()


def _all_frames(client: TestClient, design: Record, size: str) -> list[Any]:
    total = _get(client, design, size=size)["operations"]
    frames: list[Any] = []
    while len(frames) < total:
        part = _get(client, design, "/operations", size=size, first=len(frames), count=64)
        assert part["first"] == len(frames)
        assert part["next"] > part["first"]
        frames += part["frames"]
    return frames


@pytest.fixture
def blanket(studio: Studio) -> Record:
    """A design in many colours."""
    return studio.library.put(text_body(shipped_text("tern-point-boat-blanket")))


def test_a_view_tells_what_the_run_tells(client: TestClient, hood: Record) -> None:
    made = prove(read_any("tern-point-hood"))
    view = _get(client, hood, size="bow")
    run = made.sizes[1].run
    assert view["sizes"] == [s.name for s in made.sizes]
    assert view["size"] == "bow"
    assert view["operations"] == run.operations
    assert view["moves"] == run.movements
    assert view["loops"] == run.fabric.loops
    assert [p["rows"] for p in view["pieces"]] == [p.rows for p in run.pieces]
    assert sum(s["count"] for s in view["steps"]) == run.operations
    loom = run.script.loom
    assert [tuple(p) for p in view["board"]["pegs"]][:2] == [
        (0, 0, "F1"),
        (pytest.approx(loom.pitch_mm, abs=1e-3), 0, "F2"),
    ]


def test_steps_are_those_of_the_pattern(client: TestClient, hood: Record) -> None:
    made = prove(read_any("tern-point-hood"))
    alone = build(source_of(prove(read_any("tern-point-hood"))))
    titles = [step.title for step in alone.steps()][: len(made.sizes[0].plan.script.steps)]
    assert [s["title"] for s in _get(client, hood)["steps"]] == titles


def test_every_motion_played_leaves_the_loom_empty(client: TestClient, hood: Record) -> None:
    held: dict[int, list[int]] = {}
    laid = []
    for at, frame in enumerate(_all_frames(client, hood, "cox")):
        assert frame["at"] == at
        assert frame["words"].endswith(".")
        for pegs, changes, loop in frame["moves"]:
            assert frame["say"].count("{") <= len(pegs) or not frame["say"]
            for peg, before, after in changes:
                assert held.get(peg, []) == before
                held[peg] = after
            if loop is not None:
                laid.append(loop)
    assert not any(held.values())
    assert laid == list(range(_get(client, hood, size="cox")["loops"]))


def test_a_part_begins_with_the_loops_that_playing_to_it_leaves(
    client: TestClient, hood: Record
) -> None:
    frames = _all_frames(client, hood, "cox")
    held: dict[int, list[int]] = {}
    for at, frame in enumerate(frames):
        if at % 41 == 0:
            part = _get(client, hood, "/operations", size="cox", first=at, count=1)
            assert dict(map(tuple, part["stacks"])) == {p: s for p, s in held.items() if s}
        for move in frame["moves"]:
            held.update({peg: after for peg, _, after in move[1]})


def test_paths_are_as_long_as_the_yarn_that_the_run_draws(client: TestClient, hood: Record) -> None:
    made = prove(read_any("tern-point-hood"))
    diameters = {n: y.wrapped_diameter_mm for n, y in made.design.yarns.items()}
    lengths = loop_lengths(made.sizes[0].run, diameters)
    part = _get(client, hood, "/operations", first=60, count=4)
    assert len(part["loops"]) > 50
    for number, (_, peg, path) in part["loops"].items():
        along = sum(
            np.hypot(p[2] - p[0], p[3] - p[1]) if len(p) == 4 else p[2] * abs(p[4]) for p in path
        )
        assert along == pytest.approx(lengths[int(number)], abs=0.1)  # rounded for the screen
        assert 0 <= peg < 88


def test_loops_have_the_colours_of_their_stripes(client: TestClient, blanket: Record) -> None:
    made = prove(read_any("tern-point-boat-blanket"))
    colours = size_colours(source_of(made), made.sizes[0])
    view = _get(client, blanket)
    at = _get(client, blanket, "/row", piece="strip", row=30)["at"]
    part = _get(client, blanket, "/operations", first=at, count=2)
    for number, (colour, _, _) in part["loops"].items():
        named = colours.colours[colours.index[int(number)]]
        assert view["colours"][colour] == {"name": named.name, "hex": named.hex}


def test_a_row_is_found_by_its_number(client: TestClient, hood: Record) -> None:
    at = _get(client, hood, "/row", piece="strip", row=17)["at"]
    frame = _get(client, hood, "/operations", first=at, count=1)["frames"][0]
    assert frame["row"] == 17
    assert frame["words"].startswith("Row 17: wrap")
    assert frame["laps"] == [[16, 99]]


# --- refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("what", "status", "field"),
    [
        ("/operations?first=999999", 422, "first"),
        ("/operations?first=-1", 422, "first"),
        ("/operations?first=0&count=65", 422, "count"),
        ("/operations?first=0&revision=99", 409, "revision"),
        ("/row?piece=strip&row=5000", 422, "row"),
        ("/row?piece=none&row=1", 422, "row"),
        ("/fabric/cells?sheet=none", 404, None),
    ],
)
def test_what_is_not_there_is_refused(
    client: TestClient, hood: Record, what: str, status: int, field: str | None
) -> None:
    answer = client.get(f"/api/loom/{hood.id}{what}")
    assert answer.status_code == status
    assert answer.json()["error"]
    assert answer.json()["field"] == field


def test_a_design_that_cannot_be_read_says_so(client: TestClient, studio: Studio) -> None:
    broken = shipped_text("tern-point-cowl").replace('garment = "', 'garment = "no-', 1)
    record = studio.library.put(text_body(broken))
    answer = client.get(f"/api/loom/{record.id}")
    assert answer.status_code == 422
    assert answer.json()["error"] == "the design cannot be knitted yet"
    assert client.get("/api/loom/no-such-design").status_code == 404


def test_a_change_of_the_design_is_seen(client: TestClient, studio: Studio, hood: Record) -> None:
    before = _get(client, hood, size="cox")
    text = shipped_text("tern-point-hood").replace("pegs = 44", "pegs = 46")
    studio.desk.work(hood.id, lambda d: d.set_text(text, before["revision"]))
    after = _get(client, hood, size="cox")
    assert after["revision"] > before["revision"]
    assert len(after["board"]["pegs"]) == len(before["board"]["pegs"]) + 4
    stale = client.get(
        f"/api/loom/{hood.id}/operations", params={"first": 0, "revision": before["revision"]}
    )
    assert stale.status_code == 409


# --- findings ------------------------------------------------------------------------------------


def test_yarn_that_runs_out_is_placed_at_its_loop(client: TestClient, studio: Studio) -> None:
    text = shipped_text("tern-point-cowl").replace(
        "invented = true", 'available = "20 g"\ninvented = true', 1
    )
    record = studio.library.put(text_body(text))
    view = _get(client, record)
    (short,) = [f for f in view["findings"] if f["severity"] == "fault"]
    part = _get(client, record, "/operations", first=short["at"], count=1)
    frame = part["frames"][0]
    assert f"row {frame['row']}," in short["where"]
    assert frame["moves"][short["made"]][0] == [short["peg"]]
    address = view["board"]["pegs"][short["peg"]][2]
    assert f"peg {address}" in short["where"]


# --- the fabric ----------------------------------------------------------------------------------


def test_cells_are_the_stitches_of_the_face(client: TestClient, blanket: Record) -> None:
    made = prove(read_any("tern-point-boat-blanket"))
    size = made.sizes[0]
    colours = size_colours(source_of(made), size)
    grid = face_grid(size.run, colours, "strip", wrap=size.plan.wrap)
    sheet = _get(client, blanket, "/fabric")["sheets"][0]
    assert (sheet["lines"], sheet["columns"]) == (grid.lines, grid.columns)
    answer = client.get(f"/api/loom/{blanket.id}/fabric/cells", params={"sheet": sheet["key"]})
    assert answer.headers["content-type"] == "application/octet-stream"
    cells = np.frombuffer(answer.content, np.uint8).reshape(grid.lines, grid.columns)
    hexes = np.array([c["hex"] for c in sheet["colours"]])
    assert (hexes[cells & 63] == np.array([c.hex for c in grid.colours])[grid.index]).all()
    assert (cells >> 6 == grid.stitch).all()
    assert sum(c["share"] for c in sheet["colours"]) == pytest.approx(1, abs=1e-3)
    rows = [sheet["row_at_top"] + i * sheet["row_step"] for i in range(sheet["lines"])]
    assert tuple(rows) == grid.rows


def test_a_hood_is_seen_from_its_four_sides_too(client: TestClient, hood: Record) -> None:
    sheets = _get(client, hood, "/fabric", size="cox")["sheets"]
    titles = [s["title"] for s in sheets]
    assert [t for t in titles if t.startswith("Hood")] == [
        "Hood, front",
        "Hood, left side",
        "Hood, right side",
        "Hood, back",
    ]
    front = next(s for s in sheets if s["title"] == "Hood, front")
    cells = client.get(
        f"/api/loom/{hood.id}/fabric/cells", params={"sheet": front["key"], "size": "cox"}
    ).content
    assert len(cells) == front["lines"] * front["columns"]
    assert 0 in cells  # the opening for the face has no stitches


# --- the page ------------------------------------------------------------------------------------


def test_the_page_asks_which_design_where_there_are_several(
    client: TestClient, hood: Record
) -> None:
    assert client.get("/loom").headers["location"] == f"/loom?design={hood.id}"
    client.post("/api/designs", json={"example": "tern-point-cap"})
    page = client.get("/loom")
    assert page.status_code == 200
    assert f"/loom?design={hood.id}" in page.text
    assert client.get(f"/loom?design={hood.id}").status_code == 200
    assert client.get("/loom?design=nothing").status_code == 404


def test_names_are_shown_as_text(client: TestClient, studio: Studio) -> None:
    text = shipped_text("tern-point-cap").replace(
        'title = "Tern Point cap"', "title = '<b onclick=1>cap</b>'"
    )
    record = studio.library.put(text_body(text))
    page = client.get(f"/loom?design={record.id}").text
    assert "<b onclick" not in page
    assert "&lt;b onclick" in page
