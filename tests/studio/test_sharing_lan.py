"""Phones in the network: what the second listener answers, and to whom; on loopback addresses."""

from __future__ import annotations

import re
import socket
from collections.abc import Iterator

import httpx2
import pytest
from playwright.sync_api import Browser
from starlette.testclient import TestClient

from pegwright.errors import NotPossible
from pegwright.library.making import state_of
from pegwright.studio.follow.keeping import Follower
from pegwright.studio.phones.lan import COOKIE, LanServer, lan_app
from pegwright.studio.phones.pairing import MOST_WRONG, Devices, Pairing
from pegwright.studio.phones.sharing import DEFAULT_LAN_PORT, addresses
from pegwright.studio.state import Studio
from tests.studio.browser import axe_faults, needs_browser
from tests.studio.browser import browser as chromium
from tests.studio.conftest import Served
from tests.studio.follow_stand import a_making, open_making, press, row_event, until_kept

LAN = "127.0.0.2:8399"
ORIGIN = {"origin": f"http://{LAN}"}


@pytest.fixture
def pairing(studio: Studio) -> Pairing:
    return Pairing(Devices(studio.settings.library.with_name("devices.json")))


@pytest.fixture
def heard() -> list[str]:
    return []


@pytest.fixture
def phone(studio: Studio, pairing: Pairing, heard: list[str]) -> TestClient:
    """A phone in the network, not paired yet."""
    host, port = LAN.split(":")
    app = lan_app(
        studio,
        Follower(studio.library),
        pairing,
        host=host,
        port=int(port),
        heard=lambda device: heard.append(device.name),
    )
    return TestClient(app, base_url=f"http://{LAN}", follow_redirects=False)


def paired(phone: TestClient, pairing: Pairing, name: str = "the bow's phone") -> str:
    """Pair it, and give the id that it has on the list."""
    answer = phone.post(
        "/api/pair", json={"code": pairing.new_code(), "name": name}, headers=ORIGIN
    )
    assert answer.status_code == 201
    found: str = answer.json()["id"]
    return found


# --- only what it must ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "path",
    [
        "/designs",
        "/library",
        "/publish",
        "/loom",
        "/api/designs",
        "/api/sharing",
        "/api/openapi.json",
        "/openapi.json",
        "/docs",
        "/static/page.js",
        "/static/../app.py",
        "/static/%2e%2e/app.py",
        "/static/follow/../../app.py",
        "/api/follow/designs/x/sizes",
    ],
)
def test_nothing_else_of_the_studio_is_there(
    phone: TestClient, pairing: Pairing, path: str
) -> None:
    assert phone.get(path).status_code == 404
    paired(phone, pairing)
    assert phone.get(path).status_code == 404


def test_a_phone_can_start_and_finish_nothing(
    phone: TestClient, pairing: Pairing, studio: Studio
) -> None:
    making = a_making(studio)
    paired(phone, pairing)
    start = {"design": making.body.design, "size": "cox"}  # type: ignore[union-attr]
    assert phone.post("/api/follow/makings", json=start, headers=ORIGIN).status_code == 405
    path = f"/api/follow/makings/{making.id}/stage"
    assert phone.post(path, json={"stage": "finished"}, headers=ORIGIN).status_code == 404


@pytest.mark.parametrize("host", ["127.0.0.1:8399", "localhost:8399", "127.0.0.2", "evil.example"])
def test_it_answers_to_its_own_name_only(phone: TestClient, host: str) -> None:
    assert phone.get("/pair", headers={"host": host}).status_code == 403
    assert phone.get("/pair").status_code == 200
    assert phone.get("/static/look.js").status_code == 200


@pytest.mark.parametrize(
    ("headers", "why"),
    [
        ({}, "no origin at all"),
        ({"origin": "http://elsewhere.example"}, "another site"),
        ({"origin": f"https://{LAN}"}, "another scheme"),
        ({"origin": "null"}, "a saved file or a sandbox"),
        ({**ORIGIN, "sec-fetch-site": "cross-site"}, "the browser itself says so"),
        ({**ORIGIN, "sec-fetch-site": "same-site"}, "another port of the same name"),
    ],
)
def test_only_its_own_pages_may_change_something(
    phone: TestClient, pairing: Pairing, studio: Studio, headers: dict[str, str], why: str
) -> None:
    making = a_making(studio)
    paired(phone, pairing)
    body = {"events": [row_event("phone", 1)]}
    path = f"/api/follow/makings/{making.id}/sync"
    assert phone.post(path, json=body, headers=headers).status_code == 403, why
    assert studio.library.events(making.id) == ()
    assert phone.post(path, json=body, headers=ORIGIN).status_code == 200


def test_pages_carry_the_strict_policy(phone: TestClient) -> None:
    policy = phone.get("/pair").headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "<script>" not in phone.get("/pair").text
    assert re.search(r"\son[a-z]+=|style=", phone.get("/pair").text) is None


def test_too_much_at_once_is_refused(phone: TestClient, pairing: Pairing, studio: Studio) -> None:
    making = a_making(studio)
    paired(phone, pairing)
    events = [row_event("phone", n) for n in range(1, 2002)]
    path = f"/api/follow/makings/{making.id}/sync"
    assert phone.post(path, json={"events": events}, headers=ORIGIN).status_code == 422
    answer = phone.post(path, content=b"x" * 2_000_000, headers=ORIGIN)
    assert answer.status_code == 413


# --- pairing --------------------------------------------------------------------------------------


def test_a_phone_that_is_not_paired_sees_nothing(phone: TestClient, studio: Studio) -> None:
    making = a_making(studio)
    for path in ("/api/follow/makings", f"/api/follow/makings/{making.id}"):
        answer = phone.get(path)
        assert answer.status_code == 403
        assert making.name not in answer.text
    for path in ("/follow/", f"/follow/{making.id}", "/follow/nothing"):
        answer = phone.get(path, headers={"accept": "text/html"})
        assert (answer.status_code, answer.headers["location"]) == (303, "/pair")


@pytest.mark.parametrize("token", ["", "x", "../../devices.json", "0" * 43])
def test_a_made_up_token_opens_nothing(phone: TestClient, pairing: Pairing, token: str) -> None:
    paired(phone, pairing)
    phone.cookies.clear()
    answer = phone.get("/api/follow/makings", headers={"cookie": f"{COOKIE}={token}"})
    assert answer.status_code == 403


def test_a_paired_phone_counts_until_it_is_taken_off(
    phone: TestClient, pairing: Pairing, studio: Studio, heard: list[str]
) -> None:
    making = a_making(studio)
    device = paired(phone, pairing)
    path = f"/api/follow/makings/{making.id}/sync"
    answer = phone.post(path, json={"events": [row_event("phone", 1)]}, headers=ORIGIN)
    assert answer.json()["total"] == 1
    assert heard == ["the bow's phone"]
    assert phone.get("/follow/").status_code == 200

    pairing.devices.remove(device)
    answer = phone.post(path, json={"events": [row_event("phone", 2)]}, headers=ORIGIN)
    assert answer.status_code == 403
    assert state_of(studio.library.events(making.id)).rows == {"strip": 1}


def test_the_cookie_cannot_be_read_or_lent(phone: TestClient, pairing: Pairing) -> None:
    answer = phone.post("/api/pair", json={"code": pairing.new_code()}, headers=ORIGIN)
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert "domain" not in cookie


def test_guessing_is_stopped(phone: TestClient, pairing: Pairing) -> None:
    code = pairing.new_code()
    statuses = [
        phone.post(
            "/api/pair", json={"code": f"{(int(code) + n) % 10**8:08d}"}, headers=ORIGIN
        ).status_code
        for n in range(1, MOST_WRONG + 8)
    ]
    assert statuses[:MOST_WRONG] == [403] * MOST_WRONG
    assert statuses[-1] == 429
    assert phone.post("/api/pair", json={"code": code}, headers=ORIGIN).status_code == 429
    assert pairing.devices.all() == ()


# --- turning it on and off ------------------------------------------------------------------------


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    return port


@pytest.fixture
def sharing(client: TestClient) -> Iterator[TestClient]:
    yield client
    client.post("/api/sharing/off", json={})


def test_it_is_off_until_it_is_turned_on(sharing: TestClient) -> None:
    before = sharing.get("/api/sharing").json()
    assert before["on"] is False
    assert before["port"] == DEFAULT_LAN_PORT
    assert sharing.post("/api/sharing/code", json={}).status_code == 422
    with pytest.raises(httpx2.ConnectError):
        httpx2.get(f"http://127.0.0.1:{DEFAULT_LAN_PORT}/pair")


def test_it_listens_on_one_address_and_stops(sharing: TestClient) -> None:
    port = free_port()
    on = sharing.post("/api/sharing/on", json={"address": "127.0.0.1", "port": port}).json()
    assert on["url"] == f"http://127.0.0.1:{port}/"
    assert httpx2.get(f"{on['url']}pair").status_code == 200
    with pytest.raises(httpx2.ConnectError):  # not on every address of this computer
        httpx2.get(f"http://127.0.0.3:{port}/pair")

    code = sharing.post("/api/sharing/code", json={}).json()
    assert re.fullmatch(r"\d{4} \d{4}", code["code"])
    assert code["qr_svg"].startswith("<svg")
    assert 0 < code["lasts_s"] <= 300
    answer = httpx2.post(
        f"{on['url']}api/pair",
        json={"code": code["code"], "name": "cox"},
        headers={"origin": on["url"].rstrip("/")},
    )
    assert answer.status_code == 201
    (device,) = sharing.get("/api/sharing").json()["devices"]
    assert device["name"] == "cox"
    after = sharing.delete(f"/api/sharing/devices/{device['id']}").json()
    assert after["devices"] == []

    assert sharing.post("/api/sharing/off", json={}).json()["on"] is False
    with pytest.raises(httpx2.ConnectError):
        httpx2.get(f"{on['url']}pair")


@pytest.mark.parametrize("address", ["0.0.0.0", "192.0.2.77", "8.8.8.8", "a.b.c.d.e"])
def test_an_address_of_no_network_card_here_is_refused(sharing: TestClient, address: str) -> None:
    answer = sharing.post("/api/sharing/on", json={"address": address, "port": free_port()})
    assert answer.status_code == 404
    assert sharing.get("/api/sharing").json()["on"] is False


def test_a_port_in_use_is_told(sharing: TestClient) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        answer = sharing.post("/api/sharing/on", json={"address": "127.0.0.1", "port": port})
        assert answer.status_code == 422
        assert "another port" in answer.json()["try"]
        with pytest.raises(NotPossible):
            LanServer("127.0.0.1", port)


@pytest.mark.parametrize(
    ("own", "offered"),
    [
        (["192.168.1.20", "10.0.0.5"], ("192.168.1.20", "10.0.0.5")),
        (["172.16.0.9", "172.32.0.9"], ("172.16.0.9",)),  # 172.16.0.0/12 ends at 172.31
        (["127.0.0.1", "0.0.0.0", "192.0.2.4", "8.8.8.8", "100.64.0.1"], ()),
        (["192.168.1.20", "192.168.1.20"], ("192.168.1.20",)),
    ],
)
def test_only_private_addresses_are_offered(
    monkeypatch: pytest.MonkeyPatch, own: list[str], offered: tuple[str, ...]
) -> None:
    entries = [(socket.AF_INET, socket.SOCK_STREAM, 6, "", (ip, 0)) for ip in own]
    monkeypatch.setattr(socket, "getaddrinfo", lambda *_: entries)
    found = [address for address in addresses() if address in own]
    assert tuple(found) == offered


# --- the whole way, in a browser ------------------------------------------------------------------


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.mark.browser
@needs_browser()
def test_a_phone_is_paired_counts_and_is_taken_off(served: Served, browser: Browser) -> None:
    address, studio = served
    making = a_making(studio).id
    desk = browser.new_context().new_page()
    desk.set_default_timeout(10_000)
    desk.goto(f"{address}follow/")
    desk.wait_for_selector("#sharing button, #sharing p + p")
    # What the button does, at a loopback address.
    url = desk.evaluate(
        """async (port) => {
          const {request} = await import('/static/request.js');
          return (await request('POST', '/api/sharing/on', {address: '127.0.0.1', port})).url;
        }""",
        free_port(),
    )
    desk.reload()
    desk.get_by_role("button", name="Pair a phone").click()
    code = desk.inner_text("#pairing-code")
    assert desk.get_by_role("img", name="QR code").evaluate("(image) => image.naturalWidth > 0")
    assert axe_faults(desk) == []

    context = browser.new_context(viewport={"width": 320, "height": 640}, has_touch=True)
    phone = context.new_page()
    phone.set_default_timeout(10_000)
    phone.goto(f"{url}follow/{making}")
    assert phone.url == f"{url}pair"
    assert axe_faults(phone) == []
    phone.fill("#pair-code", "0000 0000" if code != "0000 0000" else "1111 1111")
    phone.click("#pair-form button")
    phone.wait_for_selector("#pair-code[aria-invalid]")
    assert "does not pair" in phone.inner_text("#pair-said")
    # As the camera opens it: the code stands after the #.
    phone.goto("about:blank")
    phone.goto(f"{url}pair#{code.replace(' ', '')}")
    assert phone.input_value("#pair-code") == code
    assert "#" not in phone.url
    phone.fill("#pair-name", "the cox's phone")
    phone.click("#pair-form button")
    phone.wait_for_selector(".making")
    assert axe_faults(phone) == []
    open_making(phone, url, making)
    phone.tap("#count")
    phone.wait_for_function("() => document.getElementById('count-number').textContent === '0'")
    for _ in range(3):
        phone.tap("#count")
    until_kept(phone)
    assert state_of(studio.library.events(making)).rows == {"strip": 3}
    # 127.0.0.1 counts as secure, so the worker is there; over a network address it would not be.
    assert phone.evaluate("() => document.cookie") == ""

    desk.get_by_role("button", name="Take off the list the cox's phone").click()
    desk.wait_for_function('() => !document.body.innerText.includes("the cox\'s phone")')
    press(phone, "PageDown", 2)
    phone.wait_for_selector("#pair-again:not([hidden])")
    assert phone.inner_text("#count-number") == "5"  # what is counted stays on the phone
    assert state_of(studio.library.events(making)).rows == {"strip": 3}

    # Paired again, it brings along what it kept.
    desk.get_by_role("button", name=re.compile("Pair a phone|A new code")).click()
    fresh = desk.inner_text("#pairing-code")
    phone.goto(f"{url}pair")
    phone.fill("#pair-code", fresh)
    phone.click("#pair-form button")
    phone.wait_for_selector(".making")
    open_making(phone, url, making)
    until_kept(phone)
    assert state_of(studio.library.events(making)).rows == {"strip": 5}
    context.close()
    desk.context.close()


@pytest.mark.browser
@needs_browser()
def test_over_a_network_address_the_page_says_what_it_cannot_do(
    served: Served, browser: Browser
) -> None:
    """A name that is no secure context stands for a network address; it leads to loopback."""
    address, studio = served
    making = a_making(studio).id
    context = browser.new_context()
    context.add_init_script(
        """Object.defineProperty(window, 'isSecureContext', {value: false});
           delete Navigator.prototype.serviceWorker; delete Navigator.prototype.wakeLock;
           delete Crypto.prototype.randomUUID;"""
    )
    page = context.new_page()
    open_making(page, address, making)
    assert "stays open" in (page.text_content("#network-words") or "")
    assert (page.text_content("#awake-words") or "").startswith("Over a plain network address")
    context.set_offline(True)
    press(page, "PageDown", 4)
    context.set_offline(False)
    until_kept(page)
    assert state_of(studio.library.events(making)).rows == {"strip": 3}
    context.close()
