"""Refit in the studio: the command's own results, kept as designs, printed, refused in place."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from pegwright import making
from pegwright.cli.main import main
from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.library.records import DesignText, Kind, OwnBoard, OwnPerson, OwnYarn, Record
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured
from pegwright.refit.reader import YOUR_SIZE
from pegwright.sizing.people import Person
from pegwright.studio.designs.desk import text_body
from pegwright.studio.state import Studio
from pegwright.yarn.yarn import Yarn
from tests.studio.long_work import begun

Command = Callable[..., Any]

SLIPWAY = Loom(Arrangement.OPPOSED, 30, 12.7, 31.75, 4.7625, name="slipway board")
GULL = Yarn("Gull worsted", 4, 180, wraps_per_inch=9, colour="fog")


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str]) -> Command:
    """What ``pegwright refit`` says of the hood, as JSON."""

    def run(*words: str) -> Any:
        capsys.readouterr()
        main(["refit", "tern-point-hood", *words, "--json"])
        return json.loads(capsys.readouterr().out)

    return run


def refit(client: TestClient, design: Record, **values: str) -> Any:
    """The answer to what a form holds; a dot in a field's name is written as two underscores."""
    named = {name.replace("__", "."): value for name, value in values.items()}
    answer = client.post(f"/api/refit/{design.id}", json={"values": named})
    assert answer.status_code == 200, answer.text
    return answer.json()


def words_of(found: Any) -> dict[tuple[str, str], str]:
    """The changed figures of an answer as the command words them, by size and name."""
    return {
        (size["title"], row["name"]): "; ".join(
            part for part in (f"{row['was']} → {row['now']}", row["interval"]) if part
        )
        for size in found["figures"]
        for row in size["changed"]
    }


def told(data: Any) -> dict[tuple[str, str], str]:
    """The same of the command's JSON."""
    titles = {None: "Board and gauge", YOUR_SIZE: "Your size"}
    return {
        (titles.get(row["size"], f"Size {row['size']}"), row["name"]): row["words"]
        for row in data["differences"]
        if row["before"] != row["after"]
    }


# --- what the command says -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"gap": "1 1/4 in", "pegs": "40"}, ["--gap", "1 1/4 in", "--pegs", "40"]),
        ({"drawn": "48 in"}, ["--measured", "48 in"]),
        ({"drawn": "33 in", "over": "11"}, ["--measured", "33 in", "--over", "11"]),
        (
            {"measures__head": "60cm", "category": "5", "metres_per_100g": "110", "ball": "50 g"},
            ["--measure", "head=60cm", "--category", "5", "--metres", "110", "--ball", "50 g"],
        ),
        (
            {"pegs": "26", "spacers": "1/4 in, 1/8 in", "bare_gap": "1/2 in", "slack": "1.1"},
            ["--pegs", "26", "--spacers", "1/4 in, 1/8 in", "--bare-gap", "1/2 in",
             "--slack", "1.1"],
        ),
        ({"pegs": "28"}, ["--pegs", "28"]),
        ({"pegs": "3"}, ["--pegs", "3"]),
        ({"measures__head": "50 cm", "wearer": "child"},
         ["--measure", "head=50 cm", "--wearer", "child"]),
        ({"wraps_per_inch": "8", "pitch": "12 mm", "peg_diameter": "5 mm"},
         ["--wraps-per-inch", "8", "--pitch", "12 mm", "--peg-diameter", "5 mm"]),
    ],
)  # fmt: skip
def test_it_says_what_the_command_says(
    client: TestClient, hood: Record, command: Command, values: dict[str, str], words: list[str]
) -> None:
    found, data = refit(client, hood, **values), command(*words)
    assert found["as_asked"] is data["as_asked"]
    assert words_of(found) == told(data)
    assert [(r["size"], r["error"], r["given"], r["try"]) for r in found["refused"]] == [
        (r["size"], r["error"], r["given"], r["try"]) for r in data["refused"]
    ]
    assert [(o["way"], o["possible"], o["words"].lower()) for o in found["offers"]] == [
        (o["way"], o["possible"], o["words"].lower()) for o in data["offers"]
    ]
    assert [o["way"] for o in found["offers"] if o["taken"]] == [
        o["way"] for o in data["offers"] if o["way"] == data["way"]
    ]
    assert all(f"{sentence}\n" in found["answer"] for sentence in data["advice"])
    assert found["remarks"] == data["advice"][len(data["advice"]) - len(found["remarks"]) :]
    if data["made"] is not None:
        assert found["sizes"] == [size["name"] for size in data["made"]["sizes"]]
        assert found["result"]["proved"] is True


def test_nothing_asked_changes_nothing(client: TestClient, hood: Record) -> None:
    found = refit(client, hood)
    assert found["unchanged"].startswith("Nothing changes")
    assert words_of(found) == {}
    assert "strip pegs" in found["figures"][0]["same"]


def test_the_figures_are_those_of_the_two_boards(client: TestClient, hood: Record) -> None:
    # A strip of 28 pegs of 7/16 in is 24 of the pegs that draw a quarter more in a loop.
    found = words_of(refit(client, hood, gap="1 1/4 in"))
    assert found["Size cox", "strip pegs"] == "28 → 24"
    assert found["Board and gauge", "gap"] == "1 in (2.5 cm) → 1 1/4 in (3.2 cm)"


# --- from the library ----------------------------------------------------------------------------


@pytest.fixture
def own(studio: Studio) -> dict[str, str]:
    """A board, a yarn and a person in the library, by kind."""
    put = studio.library.put
    board = OwnBoard(SLIPWAY, Measured(1.08, 0.02), 12.7, (6.35, 3.175))
    person = Person("cox", "child", {"head": 520.0, "foot": 200.0})
    return {
        "board": put(board).id,
        "yarn": put(OwnYarn(GULL)).id,
        "person": put(OwnPerson(person)).id,
    }


def test_what_is_chosen_is_as_if_it_were_typed(
    client: TestClient, hood: Record, own: dict[str, str]
) -> None:
    chosen = refit(client, hood, **own)
    typed = refit(
        client, hood, pegs="30", pitch="1/2 in", gap="1 1/4 in", peg_diameter="3/16 in",
        slack="1.08", spacers="1/4 in, 1/8 in", bare_gap="1/2 in",
        metres_per_100g="180", wraps_per_inch="9", measures__head="520 mm", wearer="child",
    )  # fmt: skip
    # The board's own slack is surer than what is typed, so only intervals and balls differ.
    assert {k: v.partition(";")[0] for k, v in words_of(chosen).items() if k[1] != "balls"} == {
        k: v.partition(";")[0] for k, v in words_of(typed).items() if k[1] != "balls"
    }
    assert any("Spacers at each end" in words for words in chosen["remarks"])


def test_what_is_typed_is_laid_over_what_is_chosen(
    client: TestClient, hood: Record, own: dict[str, str]
) -> None:
    values = {**own, "pegs": "26", "measures.head": "58 cm"}
    found = client.post(f"/api/refit/{hood.id}", json={"values": values}).json()
    said = words_of(found)
    assert said["Board and gauge", "pegs of the board"] == "44 → 26"
    assert said["Board and gauge", "pitch"].endswith("1/2 in (1.3 cm)")


def test_the_form_shows_what_holds_where_a_field_is_empty(
    client: TestClient, hood: Record, own: dict[str, str]
) -> None:
    def usual(**chosen: str) -> dict[str, str]:
        groups = client.get(f"/api/refit/{hood.id}/form", params=chosen).json()
        return {field["path"]: field["usual"] for group in groups for field in group["fields"]}

    before = usual()
    assert (before["pegs"], before["gap"]) == ("44", "1 in")
    assert (before["metres_per_100g"], before["measures.head"]) == ("175", "")
    after = usual(**own)
    assert (after["pegs"], after["gap"], after["slack"]) == ("30", "1 1/4 in", "1.08")
    assert after["spacers"] == "1/4 in, 1/8 in"
    assert (after["metres_per_100g"], after["wraps_per_inch"]) == ("180", "9")
    assert (after["measures.head"], after["wearer"]) == ("52 cm", "child")
    assert "measures.foot" not in after  # a hood asks for none


def test_a_form_without_a_library_has_nothing_to_choose(client: TestClient, hood: Record) -> None:
    groups = client.get(f"/api/refit/{hood.id}/form").json()
    paths = {field["path"] for group in groups for field in group["fields"]}
    assert not paths & {"board", "yarn", "person"}


# --- refused -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "field", "words"),
    [
        ({"pitch": "7/16"}, "pitch", "unit"),
        ({"pitch": "1 mm"}, "pitch", "pegs would touch"),
        ({"gap": "0 in"}, "gap", "rows would touch"),
        ({"pegs": "0"}, "pegs", "between 1 and"),
        ({"pegs": "many"}, "pegs", "whole number"),
        ({"peg_diameter": "0 mm"}, "peg_diameter", "above zero"),
        ({"arrangement": "heap"}, "arrangement", "not one of the choices"),
        ({"slack": "9"}, "slack", "from 0.5 to 3"),
        ({"spacers": "1/4 in"}, "bare_gap", "no spacers in"),
        ({"category": "5"}, "metres_per_100g", "metres in 100 g"),
        ({"metres_per_100g": "-3"}, "metres_per_100g", "this must be a number above zero"),
        ({"ball": "0 g"}, "ball", "this must be a number above zero"),
        ({"diameter": "0 mm"}, "diameter", "above zero"),
        ({"drawn": "0 in"}, "drawn", "above zero"),
        ({"measures.head": "5 cm"}, "measures.head", "cannot be"),
        ({"measures.neck": "40 cm"}, "measures.head", "missing"),
        ({"board": "no-such-board"}, "board", ""),
    ],
)
def test_a_slip_is_told_at_its_field(
    client: TestClient, hood: Record, values: dict[str, str], field: str, words: str
) -> None:
    for what in ("", "/keep", "/pack"):
        answer = client.post(f"/api/refit/{hood.id}{what}", json={"values": values})
        assert 400 <= answer.status_code < 500
        assert answer.json()["field"] == field
        assert words in answer.json()["error"]


def test_a_record_of_another_kind_is_refused(
    client: TestClient, hood: Record, own: dict[str, str]
) -> None:
    answer = client.post(f"/api/refit/{hood.id}", json={"values": {"board": own["yarn"]}})
    assert (answer.status_code, answer.json()["field"]) == (422, "board")
    assert answer.json()["error"] == "this is no board"


def test_a_person_of_whom_nothing_asked_for_is_known_is_told(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    person = studio.library.put(OwnPerson(Person("bow", "adult", {"foot": 250.0})))
    answer = client.post(f"/api/refit/{hood.id}", json={"values": {"person": person.id}})
    assert (answer.status_code, answer.json()["field"]) == (422, "person")
    assert "head" in answer.json()["try"]


def test_a_design_that_does_not_read_is_mended_first(client: TestClient, hood: Record) -> None:
    view = client.get(f"/api/designs/{hood.id}").json()
    body = {"revision": view["revision"], "changes": [{"path": "loom.pitch", "value": "x"}]}
    client.patch(f"/api/designs/{hood.id}/fields", json=body)
    answer = client.post(f"/api/refit/{hood.id}", json={"values": {}})
    assert answer.status_code == 422
    assert answer.json()["try"] == "mend it first"
    page = client.get(f"/designs/{hood.id}/refit", headers={"Accept": "text/html"})
    assert "cannot be worked with as it stands" in page.text
    assert "task_refit.js" not in page.text


# --- kept and printed ----------------------------------------------------------------------------


def kept(client: TestClient, studio: Studio, design: Record, **values: str) -> DesignText:
    """The body of the design that a refit is kept as."""
    answer = client.post(f"/api/refit/{design.id}/keep", json={"values": values})
    assert answer.status_code == 201, answer.text
    body = studio.library.get(answer.json()["id"]).body
    assert isinstance(body, DesignText)
    return body


def test_a_kept_refit_reads_back_and_proves(
    client: TestClient, studio: Studio, hood: Record, own: dict[str, str]
) -> None:
    body = kept(client, studio, hood, **own)
    assert body.title == "Tern Point hood (slipway board, Gull worsted, fog, cox)"
    design = read_text(body.toml)
    assert design.loom == SLIPWAY
    assert design.body_yarn == GULL
    assert design.slack == Measured(1.08, 0.02)
    assert [(size.name, size.measures) for size in design.sizes] == [(YOUR_SIZE, {"head": 520.0})]
    made = making.prove(design)
    found = refit(client, hood, **own)
    assert made.sizes[0].plan.pieces[0].columns == int(
        next(row["now"] for row in found["figures"][0]["changed"] if row["name"] == "strip pegs")
    )
    assert client.get(f"/api/designs/{hood.id}").json()["text"] == shipped_text("tern-point-hood")


def test_the_nearest_is_kept_where_it_cannot_be_as_asked(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    design = read_text(kept(client, studio, hood, pegs="28").toml)
    assert [size.name for size in design.sizes] == ["bow", "coach"]
    assert design.options["pegs"] == 28
    assert making.prove(design).proved


def test_two_that_are_kept_are_told_apart(client: TestClient, studio: Studio, hood: Record) -> None:
    titles = [kept(client, studio, hood, gap="1 1/4 in").title for _ in range(3)]
    assert titles == [f"Tern Point hood (refitted){more}" for more in ("", " 2", " 3")]
    assert refit(client, hood, gap="1 1/4 in")["title"] == "Tern Point hood (refitted) 4"
    assert len(studio.library.list(Kind.DESIGN)) == 4


def test_nothing_is_kept_where_nothing_can_be_made(
    client: TestClient, studio: Studio, hood: Record
) -> None:
    for what in ("keep", "pack"):
        answer = client.post(f"/api/refit/{hood.id}/{what}", json={"values": {"pegs": "3"}})
        assert answer.status_code == 422
        assert "cannot be made as asked" in answer.json()["given"]
    assert len(studio.library.list(Kind.DESIGN)) == 1
    assert refit(client, hood, pegs="3")["title"] == ""


def test_what_is_printed_is_what_the_command_writes(
    app: FastAPI, client: TestClient, hood: Record, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    main(["refit", "tern-point-hood", "--gap", "1 1/4 in", "--out", str(out)])
    answer = client.post(f"/api/refit/{hood.id}/pack", json={"values": {"gap": "1 1/4 in"}})
    job = begun(app, answer)
    job.wait(60)
    printed = client.get(f"/api/jobs/{job.id}/result")
    assert printed.headers["content-type"] == "application/zip"
    with zipfile.ZipFile(io.BytesIO(printed.content)) as archive:
        got = {name: archive.read(name) for name in archive.namelist()}
    assert got == {path.name: path.read_bytes() for path in out.iterdir()}
    assert "tern-point-hood.pdf" in got


def test_every_design_that_comes_along_can_be_refitted_and_kept(
    client: TestClient, studio: Studio
) -> None:
    for name in ("tern-point-boat-blanket", "tern-point-cap", "tern-point-boathouse-slippers"):
        record = studio.library.put(text_body(shipped_text(name)))
        body = kept(client, studio, record, metres_per_100g="160")
        assert making.prove(read_text(body.toml)).proved
