"""The page of the lesson in a real browser: reading, her own words, the pack; axe; keyboard."""

from __future__ import annotations

import io
import threading
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from pegwright.designs.files import shipped_text
from pegwright.lesson import pack
from pegwright.studio.designs.desk import text_body
from tests.studio.browser import axe_faults, browser, needs_browser, opened, tab_to
from tests.studio.conftest import Served

pytestmark = [pytest.mark.browser, needs_browser()]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as started:
        yield started


@pytest.fixture
def address(served: Served) -> str:
    """The page of the hood's lesson."""
    base, studio = served
    hood = studio.library.put(text_body(shipped_text("tern-point-hood")))
    return f"{base}designs/{hood.id}/lesson"


def read(page: Page, address: str) -> None:
    page.goto(address)
    expect(page.locator("#summary")).to_contain_text("20 shots")


def fits(page: Page) -> None:
    wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    assert wide <= 0, f"{wide} px too wide"


def test_the_page_is_clear_to_everyone(chromium: Browser, address: str) -> None:
    for width in (320, 1280):
        for scheme in ("light", "dark"):
            with opened(chromium, width, base=address.split("/designs")[0], scheme=scheme) as page:
                read(page, address)
                page.locator("#own > summary").click()
                page.get_by_text("Your colours").click()
                page.locator(".card-shown summary").first.click()
                assert axe_faults(page) == []
                fits(page)


def test_the_lesson_is_read_through(chromium: Browser, address: str) -> None:
    with opened(chromium, 1280, base=address.split("/designs")[0]) as page:
        read(page, address)
        assert page.locator(".shot").count() == 20
        third = page.locator(".shot").nth(2)
        expect(third.locator("h4")).to_have_text("3. Cautions")
        expect(third).to_contain_text("Cord at the neck: adults only")
        assert third.locator("svg").count() == 3
        third.get_by_text("Card 12 cautions 1 in words").click()
        expect(third.locator("details p").first).to_contain_text("Take care.")
        # A card that comes again is named with the shot that shows it.
        page.get_by_role("link", name="shot 14").click()
        expect(page.locator("#shot-14")).to_be_in_viewport()
        page.get_by_label("Size that is knitted").select_option("coach")
        expect(page.locator("#summary")).to_contain_text("Size coach.")


def test_her_own_words_are_seen_at_once_and_slips_at_their_field(
    chromium: Browser, address: str
) -> None:
    with opened(chromium, 1280, base=address.split("/designs")[0], expected="422") as page:
        read(page, address)
        page.locator("#own > summary").click()
        page.get_by_label("Name of your channel").fill("The boathouse bench")
        expect(page.locator("#live")).to_contain_text("The boathouse bench")
        page.get_by_label("Said first").fill("Hello {titel}")
        field = page.get_by_label("Said first")
        expect(field).to_have_attribute("aria-invalid", "true")
        expect(page.locator("#words")).to_contain_text("title")
        expect(page.locator("#wrong")).to_contain_text("it is marked there")
        expect(field).to_have_value("Hello {titel}")  # what was typed stays
        expect(page.locator("#live")).to_contain_text("The boathouse bench")  # what was shown too
        field.fill("Hello {channel}")
        expect(page.locator(".shot").first).to_contain_text("Hello The boathouse bench")
        expect(page.locator("#wrong")).to_be_hidden()

        # A file that is wrong is told with its line, and the form stays as it was.
        bad = b'[words]\nchanel = "<b>x</b>"\n'
        take(page, bad)
        expect(page.locator("#file-wrong")).to_contain_text("Line 2, words.chanel")
        expect(field).to_have_value("Hello {channel}")
        take(page, b'[words]\nchannel = "<i>Bench</i>"\n')
        expect(page.locator("#file-wrong")).to_be_hidden()
        expect(page.locator("#live")).to_contain_text("<i>Bench</i>")

        # They are there for the next lesson, until they are put back.
        page.reload()
        page.locator("#own > summary").click()
        expect(page.get_by_label("Name of your channel")).to_have_value("<i>Bench</i>")
        page.get_by_role("button", name="Back to the usual").click()
        expect(page.get_by_label("Name of your channel")).to_have_value("")


def take(page: Page, data: bytes) -> None:
    """Give the page a template file."""
    file: Any = {"name": "words.toml", "mimeType": "text/plain", "buffer": data}
    page.set_input_files("#file", [file])


def test_the_pack_is_made_or_stopped_by_keyboard(
    chromium: Browser, address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    go_on = threading.Event()

    def waits(*_: Any) -> bytes:
        go_on.wait(30)
        return b"dots"

    monkeypatch.setattr(pack, "svg_png", waits)
    with opened(chromium, 1280, base=address.split("/designs")[0]) as page:
        read(page, address)
        tab_to(page, "Moving pictures as films too")
        page.keyboard.press("Space")
        tab_to(page, "Make the pack")
        page.keyboard.press("Enter")
        expect(page.locator("#job")).to_contain_text("cards")
        tab_to(page, "Stop, make nothing")
        page.keyboard.press("Enter")
        go_on.set()
        expect(page.locator("#ready")).to_contain_text("It was stopped; nothing was made.")
        page.get_by_role("button", name="Make the pack").focus()
        page.keyboard.press("Enter")
        expect(page.locator("#ready")).to_contain_text("The pack is ready.")
        tab_to(page, "Take the pack")
        with page.expect_download() as taken:
            page.keyboard.press("Enter")
        assert taken.value.suggested_filename == "tern-point-hood-lesson.zip"
        data = Path(taken.value.path()).read_bytes()
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            assert archive.testzip() is None
            assert "tern-point-hood-cue-sheet.html" in archive.namelist()
