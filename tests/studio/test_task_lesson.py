"""The lesson in the studio: read through first, then the same pack as the command's, or none."""

from __future__ import annotations

import hashlib
import io
import sys
import threading
import zipfile
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.requests import Request
from starlette.testclient import TestClient

from pegwright.cli.main import main
from pegwright.designs.files import shipped_text
from pegwright.errors import ExitCode
from pegwright.lesson import pack
from pegwright.lesson.template import USUAL
from pegwright.library.records import Record
from pegwright.studio.designs.desk import text_body
from pegwright.studio.jobs import JobState, jobs_of
from pegwright.studio.state import Studio
from pegwright.studio.tasks.lesson_words import template_of

WORDS = """[words]
channel = "The boathouse bench"
opening = "Good morning from {channel}."
closing = ""

[colours]
accent = "#ffe08a"
mend = true

[speed]
loops_per_minute = 27.123456789
words_per_minute = 120
"""


def dots(svg: bytes, width_px: int, background: str | None = None) -> bytes:
    """Stands for a picture made of a drawing: another drawing gives other bytes."""
    return hashlib.sha256(svg + f"{width_px} {background}".encode()).digest()


def wait(app: FastAPI, job_id: str) -> Any:
    job = jobs_of(Request({"type": "http", "app": app})).get(job_id)
    job.wait(120)
    return job


def values_of(client: TestClient, text: str) -> dict[str, str]:
    """What the form holds once a template file was taken in."""
    answer = client.post("/api/lesson/words", files={"file": ("words.toml", text)})
    assert answer.status_code == 200, answer.text
    return {f["path"]: f["value"] for group in answer.json() for f in group["fields"]}


def made(app: FastAPI, client: TestClient, design: Record, **asked: Any) -> dict[str, bytes]:
    """The files of a pack that the studio made."""
    begun = client.post(f"/api/lesson/{design.id}/pack", json={"values": {}, **asked})
    assert begun.status_code == 202, begun.text
    job = wait(app, begun.json()["id"])
    assert job.state is JobState.DONE, job.view()
    answer = client.get(f"/api/jobs/{job.id}/result")
    assert answer.headers["content-type"] == "application/zip"
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def commanded(out: Path, *words: str) -> dict[str, bytes]:
    """The files that the command writes."""
    assert main(["lesson", *words, "--out", str(out)]) == ExitCode.OK
    return {path.name: path.read_bytes() for path in out.iterdir()}


def differing(files: dict[str, bytes], wanted: dict[str, bytes]) -> list[str]:
    """The names of files that only one of two has, or that differ; their bytes are long."""
    return sorted(n for n in {*files, *wanted} if files.get(n) != wanted.get(n))


# --- the pack ------------------------------------------------------------------------------------


def test_the_pack_is_the_commands(
    app: FastAPI,
    client: TestClient,
    hood: Record,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pack, "svg_png", dots)  # the slow test below makes the pictures
    words = tmp_path / "words.toml"
    words.write_text(WORDS, encoding="utf-8")
    wanted = commanded(
        tmp_path / "out", "tern-point-hood", "--template", str(words), "--size", "bow",
        "--paper", "letter", "--units", "centimetres", "--no-films",
    )  # fmt: skip
    asked = {
        "values": values_of(client, WORDS),
        "size": "bow",
        "paper": "us-letter",
        "units": "centimetres",
        "films": False,
    }
    assert differing(made(app, client, hood, **asked), wanted) == []


def test_left_as_it_is_the_pack_is_the_commands_usual_one(
    app: FastAPI,
    client: TestClient,
    hood: Record,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pack, "svg_png", dots)
    usual = {f["path"]: f["value"] for g in client.get("/api/lesson/words").json()
             for f in g["fields"]}  # fmt: skip
    assert template_of(usual) == USUAL
    wanted = commanded(tmp_path / "out", "tern-point-hood", "--no-films")
    assert differing(made(app, client, hood, values=usual, films=False), wanted) == []


@pytest.mark.slow
def test_films_and_pictures_are_the_commands_too(
    app: FastAPI,
    client: TestClient,
    studio: Studio,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # In whole blocks of 16 dots, as the encoder wants them to give the same bytes each time.
    monkeypatch.setattr(pack, "FILM", pack.FilmSize(256, 144, 5))
    monkeypatch.setattr(pack, "GIF", pack.FilmSize(256, 144, 5))
    cap = studio.library.put(text_body(shipped_text("tern-point-cap")))
    files = made(app, client, cap)
    assert differing(files, commanded(tmp_path / "out", "tern-point-cap")) == []
    assert files["tern-point-cap-wrap-moving.mp4"][4:8] == b"ftyp"  # ISO/IEC 14496-12


def test_a_stopped_pack_leaves_nothing(
    app: FastAPI,
    client: TestClient,
    hood: Record,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    reached, go_on = threading.Event(), threading.Event()
    drawn = []

    def waits(svg: bytes, *rest: Any) -> bytes:
        drawn.append(svg)
        reached.set()
        go_on.wait(30)
        return b"dots"

    monkeypatch.setattr(pack, "svg_png", waits)
    before = sorted(path.name for path in tmp_path.rglob("*"))
    begun = client.post(f"/api/lesson/{hood.id}/pack", json={"values": {}, "films": False})
    job_id = begun.json()["id"]
    assert reached.wait(30)
    view = client.get(f"/api/jobs/{job_id}").json()
    assert (view["what"], view["done"], view["of"] > 30) == ("cards", 0, True)
    job = jobs_of(Request({"type": "http", "app": app})).get(job_id)
    job.stop()
    go_on.set()
    assert wait(app, job_id).state is JobState.STOPPED
    assert len(drawn) == 1  # the card that was being made, and no other
    assert client.get(f"/api/jobs/{job_id}/result").status_code == 404
    assert sorted(path.name for path in tmp_path.rglob("*")) == before


@pytest.mark.parametrize(
    ("asked", "field", "why"),
    [
        ({"size": "stroke"}, "size", "no such size"),
        ({"values": {"words.opening": "{titel}"}}, "words.opening", "nothing to fill in"),
        ({"values": {"colours.ink": "#f0f0f0"}}, "colours.ink", "cannot be read"),
        ({"values": {"speed.words_per_minute": "fast"}}, "speed.words_per_minute", "no number"),
        ({"values": {"words.chanel": "x"}}, "words.chanel", "no such key"),
        ({"values": {"loom.gap": "1 in"}}, None, "no key of a template at all"),
        ({"paper": "a3"}, None, "no such paper"),
    ],
)
def test_what_cannot_be_made_is_refused_at_once(
    client: TestClient, hood: Record, asked: dict[str, Any], field: str | None, why: str
) -> None:
    answer = client.post(f"/api/lesson/{hood.id}/pack", json={"values": {}, **asked})
    assert answer.status_code == 422, why
    if field is not None:
        assert answer.json()["field"] == field, why


# --- a template file -----------------------------------------------------------------------------


def test_a_bad_template_is_refused_with_its_lines(client: TestClient) -> None:
    text = '[words]\nend = "Bye"\nchanel = "x"\n\n[colours]\nink = "red"\n'
    answer = client.post("/api/lesson/words", files={"file": ("../my-words.toml", text)})
    assert answer.status_code == 422
    first = answer.json()
    assert (first["file"], first["line"], first["field"]) == ("my-words.toml", 3, "words.chanel")
    assert "channel" in first["try"]
    assert [(one["line"], one["field"]) for one in first["more"]] == [(6, "colours.ink")]


@pytest.mark.parametrize(
    ("data", "status", "why"),
    [
        (b"\x89PNG\r\n\x1a\n\x00\xff", 422, "a picture"),
        (b"# " + b"x" * 1_000_001, 413, "too large"),
        (b"[words", 422, "no TOML"),
        (b'[words]\nend = "\x00"', 422, "a letter that no text has"),
    ],
)
def test_what_is_no_template_is_refused(
    client: TestClient, data: bytes, status: int, why: str
) -> None:
    answer = client.post("/api/lesson/words", files={"file": ("words.toml", data)})
    assert answer.status_code == status, why


def test_what_the_form_holds_can_be_taken_away_and_brought_back(client: TestClient) -> None:
    values = values_of(client, WORDS)
    answer = client.post("/api/lesson/words/file", json={"values": values})
    assert answer.headers["content-disposition"] == 'attachment; filename="lesson-words.toml"'
    assert values_of(client, answer.text) == values
    assert values["words.closing"] == ""  # emptied, not left out
    assert values["words.end"] == USUAL.words.end
    assert values["colours.accent"] == "#ffe08a"  # as it was chosen, not as it was mended
    bad = client.post("/api/lesson/words/file", json={"values": {"words.end": "{"}})
    assert (bad.status_code, bad.json()["field"]) == (422, "words.end")


# --- reading it through --------------------------------------------------------------------------


def read(client: TestClient, design: Record, **asked: Any) -> dict[str, Any]:
    answer = client.post(f"/api/lesson/{design.id}/read", json={"values": {}, **asked})
    assert answer.status_code == 200, answer.text
    view: dict[str, Any] = answer.json()
    return view


def test_the_lesson_is_read_as_the_command_writes_it(
    client: TestClient, hood: Record, capsys: pytest.CaptureFixture[str], tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setattr(pack, "svg_png", dots)
    files = commanded(tmp_path / "out", "tern-point-hood", "--size", "coach", "--no-films")
    said = capsys.readouterr().out
    view = read(client, hood, size="coach", shape="square")
    assert f"{len(view['cues'])} shots" in said
    assert "Size coach" in view["summary"]
    chapters = files["tern-point-hood-description.txt"].decode()
    for cue in view["cues"]:
        if cue["chapter"] != "Opening" and f"{cue['start']} {cue['chapter']}" in chapters:
            break
    else:
        raise AssertionError("no chapter begins where a shot does")
    page = files["tern-point-hood-cue-sheet.html"].decode()
    for cue in view["cues"]:
        assert f"<strong>{cue['times'][0]['figure']}</strong> of lesson" in page
    # Every card of that shape, in order, as its files are called, drawn as they are.
    names = sorted(n for n in files if "-card-square-" in n and n.endswith(".svg"))
    assert [f"{card['name']}.svg" for card in view["cards"]] == names
    for card in view["cards"]:
        assert card["svg"].encode() == files[f"{card['name']}.svg"]
        assert card["alt"]


def test_every_shot_has_the_cards_that_it_names(client: TestClient, hood: Record) -> None:
    view = read(client, hood)
    shown = {cue["title"]: cue["cards"] for cue in view["cues"]}
    assert shown["Title"] == ["title"]
    assert shown["Cautions"] == ["cautions-1", "cautions-2", "cautions-3"]
    assert shown["Cast on"] == ["wrap"]
    assert shown["Wrap test"] == ["wrap-test"]  # the card of the wrap is another
    assert ["fold-and-seam-1", "fold-and-seam-2"] in shown.values()
    known = {card["key"] for card in view["cards"]}
    assert all(key in known for keys in shown.values() for key in keys)


def test_her_own_words_are_said_and_mended_colours_are_told(
    client: TestClient, hood: Record
) -> None:
    view = read(client, hood, values=values_of(client, WORDS))
    assert view["cues"][0]["narration"][0] == "Good morning from The boathouse bench."
    assert [one["name"] for one in view["findings"]] == ["colour-mended"]
    assert "The boathouse bench" in view["cards"][0]["svg"]


def test_markup_in_her_words_stays_text(client: TestClient, hood: Record) -> None:
    view = read(client, hood, values={"words.channel": "<script>x</script>"})
    assert "<script>" not in view["cards"][0]["svg"]
    assert "&lt;script&gt;" in view["cards"][0]["svg"]


# --- what stands in the way ----------------------------------------------------------------------


def page_of(client: TestClient, design: Record) -> str:
    answer = client.get(f"/designs/{design.id}/lesson", headers={"Accept": "text/html"})
    assert answer.status_code == 200
    return answer.text


def test_missing_libraries_are_told_of_with_what_to_do(
    client: TestClient, hood: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "pip install" not in page_of(client, hood)
    monkeypatch.setitem(sys.modules, "av", None)
    page = page_of(client, hood)
    assert "Films cannot be made here yet" in page
    assert "pegwright[lesson]" in page
    assert 'id="make"' in page
    answer = client.post(f"/api/lesson/{hood.id}/pack", json={"values": {}})
    assert (answer.status_code, answer.json()["given"]) == (422, "av")
    monkeypatch.setitem(sys.modules, "resvg_py", None)
    page = page_of(client, hood)
    assert "The pack cannot be made here yet" in page
    assert 'id="make"' not in page
    answer = client.post(f"/api/lesson/{hood.id}/pack", json={"values": {}, "films": False})
    assert (answer.status_code, answer.json()["given"]) == (422, "resvg-py")
    assert read(client, hood)["cues"]  # to be read all the same


def test_a_design_with_faults_has_no_lesson(client: TestClient, studio: Studio) -> None:
    text = shipped_text("tern-point-hood")
    short = text.replace('ball = "100 g"', 'ball = "100 g"\navailable = "40 g"')
    hood = studio.library.put(text_body(short))
    assert "There is no lesson of it yet" in page_of(client, hood)
    for what in ("read", "pack"):
        answer = client.post(f"/api/lesson/{hood.id}/{what}", json={"values": {}})
        assert answer.status_code == 422
        assert "mend the faults first" in answer.json()["try"]
