"""A phone that was told to trust the studio keeps the page: a real browser, a real trust store.

The browser believes that it is at an address of a home network, where, unlike at the loopback
address, nothing but an encrypted and trusted line makes a page one that may be kept (W3C Secure
Contexts).  What it takes to install a page is asked of the browser itself.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright
from playwright.sync_api import Error as BrowserError

from pegwright.errors import NotPossible
from pegwright.library.making import state_of
from pegwright.library.records import utc_now
from pegwright.studio.follow.keeping import Follower
from pegwright.studio.phones import sharing
from pegwright.studio.phones.lan import LanServer, lan_app
from pegwright.studio.phones.pairing import Devices, Pairing
from pegwright.studio.phones.trust import Issuer, fingerprint, new_issuer, server_context
from pegwright.studio.phones.trust_page import trust_app
from pegwright.studio.state import Studio
from tests.studio.browser import ARGUMENTS, CHROMIUM, axe_faults, needs_browser
from tests.studio.browser import browser as chromium
from tests.studio.conftest import Served
from tests.studio.follow_stand import a_making, open_making, press, until_kept, until_rows

HOME = "192.168.7.7"

pytestmark = [
    pytest.mark.browser,
    needs_browser(),
    pytest.mark.skipif(
        shutil.which("certutil") is None and os.environ.get("CI") != "true",
        reason="no certutil here: tools/setup.sh system",
    ),
]


@pytest.fixture(scope="module")
def issuer() -> Issuer:
    return new_issuer(utc_now())


@dataclass
class Home:
    """The studio as phones of a home network see it; it can be switched off and on again."""

    studio: Studio
    pairing: Pairing
    issuer: Issuer | None
    server: LanServer

    @property
    def url(self) -> str:
        return f"http{'s' if self.issuer else ''}://{HOME}:{self.server.port}/"

    def switch_on(self) -> None:
        app = lan_app(
            self.studio,
            Follower(self.studio.library),
            self.pairing,
            host=HOME,
            port=self.server.port,
            heard=lambda _: None,
            encrypted=self.issuer is not None,
        )
        context = server_context(self.issuer, HOME, utc_now()) if self.issuer else None
        self.server.start(app, context)

    def switch_off(self) -> None:
        self.server.stop()

    def switch_on_again(self) -> None:
        self.server = LanServer("127.0.0.1", self.server.port)
        self.switch_on()


@contextmanager
def at_home(studio: Studio, issuer: Issuer | None) -> Iterator[Home]:
    pairing = Pairing(Devices(studio.settings.library.with_name("devices.json")))
    home = Home(studio, pairing, issuer, LanServer("127.0.0.1", 0))
    home.switch_on()
    yield home
    home.switch_off()


@contextmanager
def phone(folder: Path, trusts: Issuer | None) -> Iterator[BrowserContext]:
    """A browser with a home folder of its own, in which it trusts a root or none."""
    store = folder / ".pki" / "nssdb"
    store.mkdir(parents=True)
    if trusts is not None:
        root = folder / "root.pem"
        root.write_bytes(trusts.root.public_bytes(Encoding.PEM))
        where = ["certutil", "-d", f"sql:{store}"]
        subprocess.run([*where, "-N", "--empty-password"], check=True)
        subprocess.run([*where, "-A", "-t", "C,,", "-n", "studio", "-i", str(root)], check=True)
    with sync_playwright() as playwright:
        context = playwright.chromium.launch_persistent_context(
            str(folder / "profile"),
            executable_path=str(CHROMIUM),
            args=[*ARGUMENTS, f"--host-resolver-rules=MAP {HOME} 127.0.0.1"],
            env={**os.environ, "HOME": str(folder)},
            viewport={"width": 412, "height": 915},
        )
        context.set_default_timeout(10_000)
        yield context
        context.close()


def paired(page: Page, home: Home) -> None:
    page.goto(f"{home.url}pair#{home.pairing.new_code()}")
    how = "encrypted" if home.issuer else "without encryption"
    assert f"your own network, {how}." in page.inner_text("main")
    page.click("#pair-form button")
    page.wait_for_url(f"{home.url}follow/")


def test_a_phone_that_trusts_the_studio_keeps_the_page(
    studio: Studio, issuer: Issuer, tmp_path: Path
) -> None:
    making = a_making(studio).id
    with at_home(studio, issuer) as home, phone(tmp_path, issuer) as browser:
        page = browser.new_page()
        paired(page, home)
        (cookie,) = browser.cookies()
        assert (cookie["secure"], cookie["httpOnly"]) == (True, True)
        open_making(page, home.url, making)
        assert page.evaluate("isSecureContext && 'wakeLock' in navigator")
        page.evaluate("() => navigator.serviceWorker.ready.then(() => 1)")
        page.reload()
        page.wait_for_selector("html[data-ready]")
        assert page.evaluate("navigator.serviceWorker.controller !== null")
        asked = browser.new_cdp_session(page)
        assert asked.send("Page.getAppManifest")["errors"] == []
        assert asked.send("Page.getInstallabilityErrors")["installabilityErrors"] == []

        press(page, "PageDown")
        until_kept(page)
        home.switch_off()  # nobody answers at all, as when the computer is off
        press(page, "PageDown", 3)
        page.reload()
        until_rows(page, 3)
        assert page.locator("#step figure svg").count() >= 1
        assert state_of(studio.library.events(making)).rows == {}
        home.switch_on_again()
        page.evaluate("() => dispatchEvent(new Event('online'))")  # else it asks a little later
        until_kept(page)
        assert state_of(studio.library.events(making)).rows == {"strip": 3}


def test_let_in_plainly_it_counts_but_cannot_be_kept(studio: Studio, tmp_path: Path) -> None:
    making = a_making(studio).id
    with at_home(studio, None) as home, phone(tmp_path, None) as browser:
        page = browser.new_page()
        paired(page, home)
        open_making(page, home.url, making)
        assert not page.evaluate("isSecureContext")
        assert not page.evaluate("'serviceWorker' in navigator")
        press(page, "PageDown", 3)
        until_rows(page, 2)
        until_kept(page)
        page.click("#more-open")
        page.check("#awake")
        assert page.inner_text("#awake-words").startswith("Over a plain network address")


def test_a_phone_that_does_not_trust_it_is_warned(
    studio: Studio, issuer: Issuer, tmp_path: Path
) -> None:
    with (
        at_home(studio, issuer) as home,
        phone(tmp_path, new_issuer(utc_now())) as browser,
        pytest.raises(BrowserError, match="ERR_CERT_AUTHORITY_INVALID"),
    ):
        browser.new_page().goto(home.url)


# --- being told to -------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_page_that_tells_how_is_for_everybody(
    studio: Studio, issuer: Issuer, browser: Browser, scheme: str, tmp_path: Path
) -> None:
    with ExitStack() as ends:
        server = LanServer("127.0.0.1", 0)
        ends.callback(server.stop)
        url = f"http://127.0.0.1:{server.port}/"
        onward = f"https://{HOME}:8312/pair"
        server.start(
            trust_app(studio, issuer.root_der, host="127.0.0.1", port=server.port, onward=onward)
        )
        context = browser.new_context(viewport={"width": 320, "height": 800}, color_scheme=scheme)  # type: ignore[arg-type]
        ends.callback(context.close)
        page = context.new_page()
        page.goto(url)
        assert axe_faults(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= 320
        assert page.get_attribute("text=Go on to pairing", "href") == onward
        with page.expect_download() as taken:
            page.click("text=Take the certificate >> nth=1")
        file = tmp_path / "taken.crt"
        taken.value.save_as(file)
        assert x509.load_der_x509_certificate(file.read_bytes()) == issuer.root
        for path in ("follow/", "pair", "api/pair", "static/page.js", "static/trust.py"):
            assert page.request.get(f"{url}{path}").status in (403, 404)
        assert page.request.post(url).status in (403, 405)


def test_it_is_turned_on_in_the_studio(
    served: Served, browser: Browser, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(sharing, "addresses", lambda: ("127.0.0.1",))
    monkeypatch.setattr(sharing, "DEFAULT_LAN_PORT", two_free_ports())
    address, studio = served
    a_making(studio)
    page = browser.new_page(viewport={"width": 1280, "height": 1200})
    page.set_default_timeout(10_000)
    page.goto(f"{address}follow/")
    page.check("text=Encrypted.")
    page.click("text=Let phones in")
    page.wait_for_selector(".fingerprint")
    with page.expect_download() as taken:
        page.click("text=Save the certificate")
    file = tmp_path / "taken.crt"
    taken.value.save_as(file)
    assert page.inner_text(".fingerprint") == fingerprint(file.read_bytes())
    assert re.fullmatch(r"\d{4} \d{4}", page.inner_text("#pairing-code"))
    assert "https://127.0.0.1" in page.inner_text("#sharing")
    assert axe_faults(page) == []
    page.click("text=Turn sharing off")
    page.wait_for_selector("text=Let phones in")
    assert page.is_checked("text=Encrypted.")  # some phone may trust it already
    page.click("summary:has-text('The certificate')")
    page.click("text=Make a new certificate")
    page.click("dialog >> text=Make a new one")
    page.wait_for_selector("dialog", state="detached")
    page.click("text=Let phones in")
    page.wait_for_selector(".fingerprint")
    assert page.inner_text(".fingerprint") != fingerprint(file.read_bytes())
    page.click("text=Turn sharing off")
    page.wait_for_selector("text=Let phones in")
    page.close()


def two_free_ports() -> int:
    """The first of two ports beside one another that nobody uses."""
    while True:
        first = LanServer("127.0.0.1", 0)
        try:
            LanServer("127.0.0.1", first.port + 1).stop()
        except NotPossible:
            continue
        finally:
            first.stop()
        return first.port
