"""Nobody but the studio's own pages gets in, and nothing that is stored can act in them."""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from pegwright.errors import BadInput
from pegwright.library.records import OwnPerson, OwnYarn, Record
from pegwright.sizing.people import Person
from pegwright.studio.app import create_app, trouble_app
from pegwright.studio.publish.api import PAGE_POLICY
from pegwright.studio.security import POLICY, TOKEN_HEADER
from pegwright.studio.settings import Settings
from pegwright.studio.state import Studio
from pegwright.yarn.yarn import Yarn
from tests.studio.conftest import HOST

EVIL = '"><img src=x onerror=alert(1)><svg onload=alert(1)><script>alert(1)</script>'
PNG = (
    b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x06\x00\x00\x00"
    b"\x1f\x15\xc4\x89\x00\x00\x00\rIDATx\x9cc\xf8\xff\xff?\x00\x05\xfe\x02\xfe\xa75\x81\x84"
    b"\x00\x00\x00\x00IEND\xaeB`\x82"
)
SHAPE = {"error", "given", "try", "file", "line", "field"}


# --- who may ask ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "127.0.0.1:80", "localhost:1", "", "localhost.evil:8311"]
)
def test_another_name_is_not_answered(client: TestClient, host: str) -> None:
    answer = client.get("/designs", headers={"Host": host})
    assert answer.status_code == 403
    assert set(answer.json()) == SHAPE


@pytest.mark.parametrize("host", ["127.0.0.1:8311", "localhost:8311", "LOCALHOST:8311"])
def test_the_loopback_s_own_names_are_answered(client: TestClient, host: str) -> None:
    assert client.get("/designs", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {TOKEN_HEADER: ""},
        {TOKEN_HEADER: "wrong"},
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": f"https://{HOST}"},  # another scheme is another origin
        {"Origin": "http://127.0.0.1:9999"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE"])
def test_a_change_from_elsewhere_is_refused(
    client: TestClient, studio: Studio, hood: Record, method: str, headers: dict[str, str]
) -> None:
    path = {"POST": "/duplicate", "PUT": "/text", "PATCH": "/fields", "DELETE": ""}[method]
    answer = client.request(method, f"/api/designs/{hood.id}{path}", headers=headers, json={})
    assert answer.status_code == 403
    assert not studio.library.get(hood.id).deleted
    assert len(studio.library.list()) == 1


def test_a_change_from_the_studio_s_own_pages_is_made(client: TestClient, hood: Record) -> None:
    headers = {"Origin": f"http://{HOST}", "Sec-Fetch-Site": "same-origin"}
    answer = client.post(f"/api/designs/{hood.id}/duplicate", headers=headers)
    assert answer.status_code == 201


def test_another_page_may_lead_here_but_embed_nothing(client: TestClient, hood: Record) -> None:
    led = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}
    assert client.get("/designs", headers=led).status_code == 200
    for mode in ("no-cors", "cors", "websocket"):
        embedded = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": mode}
        assert client.get(f"/api/designs/{hood.id}/toml", headers=embedded).status_code == 403


def test_every_run_has_a_token_of_its_own(studio: Studio, settings: Settings) -> None:
    other = create_app(replace(settings, library=settings.library.with_name("other.sqlite")))
    assert other.state.studio.token != studio.token
    assert len(studio.token) >= 32
    other.state.studio.close()


# --- what a browser may do with the answer -------------------------------------------------------


def pages(client: TestClient, hood: Record) -> list[str]:
    return [
        "/designs",
        "/designs/new",
        f"/designs/{hood.id}",
        "/library",
        "/library/yarn",
        "/library/yarn/new",
        "/library/safe",
        "/publish",
        f"/publish/{hood.id}",
        "/nowhere",
    ]


def test_every_page_forbids_what_is_inline(client: TestClient, hood: Record) -> None:
    assert "unsafe" not in POLICY
    assert "default-src 'none'" in POLICY
    for path in pages(client, hood):
        answer = client.get(path, headers={"Accept": "text/html"})
        assert answer.headers["content-security-policy"] == POLICY, path
        assert answer.headers["x-content-type-options"] == "nosniff"
        html = answer.text
        assert "<style" not in html
        assert not re.search(r"\s(style|on\w+)=", html), path
        assert not re.search(r"<script(?![^>]*\ssrc=)", html), path
        assert not re.search(r"(src|href)=\"(?!/|#)", html), f"{path} leads away"


def test_a_published_page_stands_in_a_sandbox(client: TestClient, hood: Record) -> None:
    shown = client.get(f"/api/publish/{hood.id}/page")
    assert shown.headers["content-security-policy"] == PAGE_POLICY
    assert PAGE_POLICY.startswith("sandbox;")
    assert "script-src" not in PAGE_POLICY
    assert shown.headers["content-disposition"].startswith("inline")
    taken = client.get(f"/api/publish/{hood.id}/page", params={"download": True})
    assert taken.headers["content-disposition"] == 'attachment; filename="tern-point-hood.html"'


def test_scripts_fetch_nothing_from_outside(repo: Path) -> None:
    folder = repo / "src" / "pegwright" / "studio"
    files = [*folder.glob("static/*.js"), *folder.glob("static/*.css"), *folder.glob("templates/*")]
    assert len(files) > 10
    for file in files:
        text = file.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
        assert not re.search(r"https?://|\beval\(|new Function|document\.write", text), file.name


def test_markup_in_notes_stays_words(client: TestClient, studio: Studio, hood: Record) -> None:
    own = studio.library.put(OwnYarn(Yarn(EVIL, 4, 175)), notes=EVIL)
    studio.library.put(OwnPerson(Person(EVIL)))
    view = client.get(f"/api/designs/{hood.id}").json()
    changes = [
        {"path": "design.title", "value": EVIL},
        {"path": "design.summary", "value": EVIL},
        {"path": "sizes[1].name", "value": EVIL},
    ]
    body = {"revision": view["revision"], "changes": changes}
    view = client.patch(f"/api/designs/{hood.id}/fields", json=body).json()
    assert view["problems"] == []
    assert view["title"] == EVIL
    for figure in view["result"]["figures"]:
        tags = list(ElementTree.fromstring(figure["svg"]).iter())  # our own text
        assert not {"script", "img", "foreignObject"} & {tag.tag.split("}")[-1] for tag in tags}
        assert not [name for tag in tags for name in tag.attrib if name.startswith("on")]
    for path in (
        "/designs",
        f"/designs/{hood.id}",
        f"/publish/{hood.id}",
        "/library/yarn",
        f"/library/yarn/{own.id}",
        "/library?query=img",
        f"/api/publish/{hood.id}/page",
    ):
        html = client.get(path, headers={"Accept": "text/html"}).text
        assert "&lt;img src=x" in html, path
        assert not re.search(r"<img src=x|<svg onload|<script>alert", html), path
    for path in (f"/api/designs/{hood.id}", f"/api/library/records/{own.id}"):
        assert client.get(path).headers["content-type"] == "application/json"


# --- what may be sent ----------------------------------------------------------------------------


def test_too_much_is_refused_before_it_is_read(client: TestClient, settings: Settings) -> None:
    big = b'{"garment": "' + b"x" * settings.most_json_bytes + b'"}'
    headers = {"Content-Type": "application/json"}
    assert client.post("/api/designs", content=big, headers=headers).status_code == 413

    def pieces() -> object:  # no length is told beforehand
        for _ in range(20):
            yield b" " * 100_000

    answer = client.post("/api/designs", content=pieces(), headers=headers)  # type: ignore[arg-type]
    assert answer.status_code == 413
    assert set(answer.json()) == SHAPE


def test_uploads_have_a_limit(app: FastAPI, studio: Studio, settings: Settings) -> None:
    small = replace(settings, library=settings.library.with_name("s.sqlite"), most_upload_bytes=999)
    other = create_app(small)
    client = TestClient(
        other, base_url=f"http://{HOST}", headers={TOKEN_HEADER: other.state.studio.token}
    )
    answer = client.post("/api/library/restore", files={"file": ("x.zip", b"x" * 1000)})
    assert answer.status_code == 413
    other.state.studio.close()


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("photo.png", b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>"),
        ("photo.jpg", b"<!DOCTYPE html><script>alert(1)</script>"),
        ("photo.gif", b"GIF89a<script>"),
        ("photo.png", b""),
    ],
)
def test_a_photo_is_known_by_its_bytes(
    client: TestClient, hood: Record, name: str, data: bytes
) -> None:
    path = f"/api/library/records/{hood.id}/photos"
    answer = client.post(path, files={"photo": (name, data, "image/png")})
    assert answer.status_code == 422
    assert client.get(path).json() == []


def test_a_photo_comes_back_under_its_own_type(client: TestClient, hood: Record) -> None:
    path = f"/api/library/records/{hood.id}/photos"
    files = {"photo": ("../../evil.html", PNG, "text/html")}
    made = client.post(path, files=files, data={"words": "one dot"})
    assert made.status_code == 201
    photo = client.get(f"/api/library/photos/{made.json()[0]['sha256']}")
    assert photo.content == PNG
    assert photo.headers["content-type"] == "image/png"
    assert photo.headers["content-security-policy"] == "default-src 'none'; sandbox"
    assert "evil" not in photo.headers["content-disposition"]


@pytest.mark.parametrize(
    "path",
    [
        "/static/../settings.py",
        "/static/%2e%2e/settings.py",
        "/static/..%2f..%2fmaking.py",
        "/fonts/../../page.css",
        "/static//etc/passwd",
        "/api/library/photos/../../etc/passwd",
        "/api/library/backups/..%2f..%2flibrary.sqlite",
        "/designs/..%2f..%2fetc%2fpasswd",
        "/library/yarn/..%2fboard",
    ],
)
def test_no_path_leads_out(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code in (404, 405, 422), answer.text[:200]
    assert "def " not in answer.text
    assert "root:" not in answer.text


@pytest.mark.parametrize("name", ["..%2flibrary.sqlite", "library.sqlite", "library-x.sqlite"])
def test_only_a_listed_backup_is_brought_back(client: TestClient, name: str) -> None:
    assert client.post(f"/api/library/backups/{name}/restore").status_code == 404


def test_an_archive_that_was_made_to_harm_is_refused(client: TestClient, studio: Studio) -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("../../evil.txt", "x")
    answer = client.post("/api/library/restore", files={"file": ("x.zip", stream.getvalue())})
    assert answer.status_code == 422
    assert studio.library.list() == ()


# --- trouble with the library --------------------------------------------------------------------


def test_a_library_that_is_none_is_told_of_and_left_alone(settings: Settings) -> None:
    settings.library.write_text("my shopping list, not a library at all", encoding="utf-8")
    before = settings.library.read_bytes()
    with pytest.raises(BadInput, match="no library of Pegwright") as refused:
        create_app(settings)
    client = TestClient(trouble_app(settings, refused.value), base_url=f"http://{HOST}")
    answer = client.get("/designs")
    assert answer.status_code == 503
    assert "left as it is" in answer.text
    assert settings.library.name in answer.text
    assert client.get("/static/studio.css").status_code == 200
    assert settings.library.read_bytes() == before
