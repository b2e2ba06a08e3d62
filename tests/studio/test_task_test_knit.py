"""Test-knitting in the studio: what the command says, from the same files; hostile ones refused."""

from __future__ import annotations

import io
import json
import tomllib
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from pegwright.cli.main import main
from pegwright.designs.files import shipped_text
from pegwright.library.records import Record
from pegwright.studio.designs.desk import text_body
from pegwright.studio.state import Studio
from pegwright.studio.tasks.test_knit import MOST_ANSWERS

HOOD = shipped_text("tern-point-hood").replace("[loom]", 'version = "1.0"\n\n[loom]', 1)

STROKE = """design = "tern-point-hood"
version = "1.0"
size = "bow"
tester = "stroke"
washed = "yes"

[measures]
depth = "10 1/2 in"
height = "13 7/8 in"

[[yarns]]
name = "Slipway worsted"
before = "200 g"
after = "57 g"

[time]
knitting = "5 h 20 min"

[[troubles]]
step = 7
words = "The three loops <b>slid</b> over one another."

[remarks]
words = "<img src=x onerror=alert(1)> lovely"
"""

COACH = """design = "tern-point-hood"
version = "1.0"
size = "coach"
tester = "coach"

[measures]
depth = "27.5 cm"
height = "44 cm"
"""

ANSWERS = {"stroke.toml": STROKE, "coach.toml": COACH}

Command = Callable[..., str]


@pytest.fixture
def tried(studio: Studio) -> Record:
    """The hood as it was sent to testers: version 1.0."""
    return studio.library.put(text_body(HOOD))


@pytest.fixture
def command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Command:
    """The command in a folder that holds the design and the answers; gives what it says."""
    monkeypatch.chdir(tmp_path)
    for name, text in {"hood.toml": HOOD, **ANSWERS}.items():
        Path(name).write_text(text, encoding="utf-8")

    def run(*words: str) -> str:
        capsys.readouterr()
        assert main(["test-knit", *words]) == 0
        return capsys.readouterr().out

    return run


def sent(answers: dict[str, Any] | None = None) -> list[tuple[str, tuple[str, Any]]]:
    return [("answers", (name, data)) for name, data in (answers or ANSWERS).items()]


def compared(client: TestClient, design: Record, **form: str) -> dict[str, Any]:
    answer = client.post(f"/api/test-knit/{design.id}/compare", files=sent(), data=form)
    assert answer.status_code == 200, answer.text
    view: dict[str, Any] = answer.json()
    return view


# --- forms ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ({}, ()),
        (
            {
                "size": "bow",
                "paper": "us-letter",
                "large_print": "true",
                "units": "centimetres",
            },
            ("--size", "bow", "--paper", "letter", "--large-print", "--units", "centimetres"),
        ),
    ],
)
def test_the_forms_are_the_commands(
    client: TestClient,
    tried: Record,
    command: Command,
    query: dict[str, str],
    words: tuple[str, ...],
) -> None:
    command("form", "hood.toml", "--out", "forms", *words)
    wanted = {path.name: path.read_bytes() for path in Path("forms").iterdir()}
    answer = client.get(f"/api/test-knit/{tried.id}/forms", params=query)
    assert answer.headers["content-disposition"].endswith('"tern-point-hood-test-knit.zip"')
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        assert {name: archive.read(name) for name in archive.namelist()} == wanted
    assert len(wanted) == (2 if query else 6)


def test_a_form_of_a_size_that_is_not_there_is_refused(client: TestClient, tried: Record) -> None:
    answer = client.get(f"/api/test-knit/{tried.id}/forms", params={"size": "bwo"})
    assert (answer.status_code, answer.json()["field"]) == (422, "size")
    assert "bow" in answer.json()["try"]


# --- answers -------------------------------------------------------------------------------------


@pytest.mark.parametrize("units", ["inches", "centimetres"])
def test_answers_say_what_the_command_says(
    client: TestClient, tried: Record, command: Command, units: str
) -> None:
    words = ("compare", "hood.toml", "stroke.toml", "coach.toml", "--units", units)
    view = compared(client, tried, units=units)
    assert view["data"] == json.loads(command(*words, "--json"))
    told = command(*words)
    assert told.startswith(view["heading"])
    for tester in view["testers"]:
        for one in tester["figures"]:
            line = (
                f"{one['name']}: {one['got']}; expected {one['expected']}, nine in ten from "
                f"{one['low']} to {one['high']}: {'inside' if one['inside'] else 'OUTSIDE'}"
                f" (z {one['z']})."
            )
            assert line in told
    for words_of in (view["together"], [one["heading"] for one in view["troubles"]]):
        assert words_of
        assert all(f"{line}\n" in told for line in words_of)
    for one in view["learned"]:
        assert f"  {one['title']}: {one['words']}" in told
    assert view["toml"] in told + "\n"
    assert [one["what"] for one in view["findings"]]
    assert all(one["what"] in told and one["mend"] in told for one in view["findings"])


def test_what_agrees_and_what_does_not_is_said_first(client: TestClient, tried: Record) -> None:
    view = compared(client, tried)
    figures = [one for tester in view["testers"] for one in tester["figures"]]
    assert [one["name"] for one in figures if not one["inside"]] == ["height"]  # 44 cm for 35
    assert view["agreement"] == f"1 of {len(figures)} figures lies outside: height (coach)."
    assert view["agrees"] is False
    one = client.post(
        f"/api/test-knit/{tried.id}/compare", files=sent({"stroke.toml": STROKE})
    ).json()
    assert one["agreement"] == "All 4 figures lie where nine testers in ten do."
    assert one["together"] == []  # one tester is no average


def test_markup_in_answers_is_handed_on_as_text(client: TestClient, tried: Record) -> None:
    answer = client.post(f"/api/test-knit/{tried.id}/compare", files=sent())
    assert answer.headers["content-type"] == "application/json"
    assert answer.headers["x-content-type-options"] == "nosniff"
    (tester, _) = answer.json()["testers"]
    assert tester["remarks"] == "<img src=x onerror=alert(1)> lovely"


HOSTILE = [
    (b"# " + b"x" * 1_000_001, 413, "more than any answers are"),
    (b"\x89PNG\r\n\x1a\n\x00\xff\xfe", 422, "a picture"),
    (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3", 422, "the printed form"),
    (b"PK\x03\x04\x14\x00\x00\x00", 422, "the zip of the forms"),
    (b"", 422, "nothing"),
    (b"import os\nos.system('x')\n", 422, "a program"),
    (b"size = " + b"[" * 9000, 422, "lists without end"),
    (b'size = "bow"\n[measures]\ndepth = 1e400\n', 422, "a number beyond all bounds"),
    (b'size = "bow"\n[measures]\nbrim = "1 in"\n', 422, "a measure of no size"),
    (b'design = "other"\nsize = "bow"\n', 422, "another design"),
]


@pytest.mark.parametrize(("data", "status", "why"), HOSTILE)
def test_a_hostile_file_is_refused_by_name(
    client: TestClient, tried: Record, data: bytes, status: int, why: str
) -> None:
    files = sent({"stroke.toml": STROKE, "../../etc/<b>bad</b>.toml": data})
    for what, form in (("compare", {}), ("learn", {"revision": "1", "take": "swatches"})):
        answer = client.post(f"/api/test-knit/{tried.id}/{what}", files=files, data=form)
        assert answer.status_code == status, (why, answer.text)
        refusal = answer.json()
        named = refusal["given"] if status == 413 else refusal["file"]
        assert named == "b>.toml", why  # the last part of a path, whatever it is called
    text = client.get(f"/api/designs/{tried.id}").json()["text"]
    assert text == HOOD


def test_a_bad_answer_is_told_with_its_line(client: TestClient, tried: Record) -> None:
    bad = STROKE.replace("step = 7", "step = 99")
    answer = client.post(
        f"/api/test-knit/{tried.id}/compare", files=sent({"coach.toml": COACH, "stroke.toml": bad})
    )
    refusal = answer.json()
    line = bad.splitlines().index("step = 99") + 1
    assert (refusal["file"], refusal["line"]) == ("stroke.toml", line)


def test_there_is_an_end_to_how_many_are_taken(client: TestClient, tried: Record) -> None:
    many = {f"{n}.toml": COACH for n in range(MOST_ANSWERS + 1)}
    url = f"/api/test-knit/{tried.id}/compare"
    assert client.post(url, files=sent(many)).status_code == 422
    assert client.post(url, data={"units": "inches"}).status_code == 422  # and there must be one


# --- what the design learns ----------------------------------------------------------------------


def learn(client: TestClient, design: Record, revision: int, *take: str) -> Any:
    data = {"revision": str(revision), "take": list(take)}
    return client.post(f"/api/test-knit/{design.id}/learn", files=sent(), data=data)


def test_what_was_learned_goes_into_the_design(client: TestClient, tried: Record) -> None:
    view = compared(client, tried)
    written = learn(client, tried, view["revision"], "swatches", "loom", "cost")
    assert written.status_code == 200, written.text
    design = client.get(f"/api/designs/{tried.id}").json()
    assert design["revision"] == written.json()["revision"]
    lines, now = tomllib.loads(view["toml"]), tomllib.loads(design["text"])
    assert now["swatches"] == lines["swatches"]  # the hood has none of its own
    assert len(now["swatches"]) == 2
    assert lines["loom"].items() <= now["loom"].items()
    assert now["cost"] == lines["cost"]
    names = [v["name"] for v in client.get(f"/api/designs/{tried.id}/versions").json()]
    assert names[0] == "Learned from test-knitters"
    back = client.post(f"/api/designs/{tried.id}/undo", json={"revision": design["revision"]})
    assert back.json()["text"] == HOOD


def test_only_what_was_asked_for_is_taken_in(client: TestClient, tried: Record) -> None:
    view = compared(client, tried)
    assert learn(client, tried, view["revision"], "loom").status_code == 200
    now = tomllib.loads(client.get(f"/api/designs/{tried.id}").json()["text"])
    assert now["loom"]["slack"] == tomllib.loads(view["toml"])["loom"]["slack"]
    assert "swatches" not in now
    assert "cost" not in now


def test_the_same_answers_are_not_learned_twice(client: TestClient, tried: Record) -> None:
    view = compared(client, tried)
    assert view["taught_before"] == []
    assert learn(client, tried, view["revision"], "swatches").status_code == 200
    stale = learn(client, tried, view["revision"], "loom")
    assert stale.status_code == 409  # held against the design as it was before
    again = compared(client, tried)
    assert again["taught_before"] == [
        "test knit: stroke, size bow",
        "test knit: coach, size coach",
    ]
    twice = learn(client, tried, again["revision"], "swatches", "loom")
    assert twice.status_code == 422
    assert "already" in twice.json()["error"]
    assert learn(client, tried, again["revision"], "cost").status_code == 200


def test_nothing_to_learn_is_said(client: TestClient, tried: Record) -> None:
    data = {"revision": "1", "take": ["cost"]}
    url = f"/api/test-knit/{tried.id}/learn"
    answer = client.post(url, files=sent({"coach.toml": COACH}), data=data)
    assert answer.status_code == 422  # she told no time
    assert client.post(url, files=sent(), data={**data, "take": ["sizes"]}).status_code == 422


# --- errata --------------------------------------------------------------------------------------


@pytest.fixture
def mended(client: TestClient, studio: Studio, tried: Record) -> Record:
    """The hood with its version counted up and its gap made wider."""
    text = HOOD.replace('"1.0"', '"1.1"').replace('gap = "1 in"', 'gap = "1 1/16 in"')
    assert text != HOOD.replace('"1.0"', '"1.1"')
    return studio.library.put(text_body(text), record_id=tried.id, expected=1, autosave=False)


def test_errata_are_the_commands(
    client: TestClient, mended: Record, studio: Studio, command: Command
) -> None:
    new = studio.library.version(mended.id, 2).text.toml
    Path("hood-1.1.toml").write_text(new, encoding="utf-8")
    words = ("errata", "hood.toml", "hood-1.1.toml")
    base, query = f"/api/test-knit/{mended.id}/errata", {"old": 1, "new": 2}
    assert client.get(f"{base}/txt", params=query).text == command(*words)
    assert client.get(f"{base}/html", params=query).text == command(*words, "--html")
    assert client.get(f"{base}/json", params=query).text == command(*words, "--json")
    view = client.get(base, params=query).json()
    assert view["heading"] == "Tern Point hood: changes from version 1.0 to 1.1"
    told = [line for topic in view["topics"] for line in topic["changes"]]
    assert sorted(told) == sorted(one["sentence"] for one in view["data"]["changes"])
    assert view["text"] == command(*words)


def test_versions_are_told_with_what_they_call_themselves(
    client: TestClient, mended: Record
) -> None:
    known = client.get(f"/api/test-knit/{mended.id}/versions").json()
    assert [(one["number"], one["edition"]) for one in known] == [(2, "1.1"), (1, "1.0")]


def test_the_same_version_has_no_errata(client: TestClient, mended: Record) -> None:
    view = client.get(f"/api/test-knit/{mended.id}/errata", params={"old": 2, "new": 2}).json()
    assert view["topics"] == []
    assert view["nothing"] == "Nothing changed that a reader would see."


def test_a_version_that_cannot_be_used_is_named(
    client: TestClient, studio: Studio, mended: Record
) -> None:
    base = f"/api/test-knit/{mended.id}/errata"
    assert client.get(base, params={"old": 1, "new": 9}).status_code == 404
    broken = HOOD.replace('gap = "1 in"', 'gap = "wide"')
    studio.library.put(text_body(broken), record_id=mended.id, expected=2, autosave=False)
    answer = client.get(base, params={"old": 3, "new": 2})
    assert answer.status_code == 422
    assert (answer.json()["file"], answer.json()["field"]) == ("version 3", "loom.gap")
    answer = client.get(f"{base}/pdf", params={"old": 1, "new": 2})
    assert answer.status_code == 422


# --- the page ------------------------------------------------------------------------------------


def test_the_page_says_which_version_or_what_is_in_the_way(
    client: TestClient, studio: Studio, tried: Record, hood: Record
) -> None:
    def page(design: Record) -> str:
        answer = client.get(f"/designs/{design.id}/test-knit", headers={"Accept": "text/html"})
        return answer.text

    assert "They will say version 1.0." in page(tried)
    assert "The design has no version yet" in page(hood)
    small = HOOD.replace("pegs = 44", "pegs = 20")
    assert small != HOOD
    text = page(studio.library.put(text_body(small)))
    assert "It cannot be tried yet" in text
    assert 'id="answers"' not in text
    short = HOOD.replace('ball = "100 g"', 'ball = "100 g"\navailable = "40 g"')
    assert 'id="answers"' in page(studio.library.put(text_body(short)))  # as the command has it
