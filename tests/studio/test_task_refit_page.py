"""The page of Refit in a real browser: asked, refused, kept and printed; by keyboard; axe."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.library.records import DesignText, OwnBoard, OwnPerson, OwnYarn, Record
from pegwright.loom.board import Arrangement, Loom
from pegwright.sizing.people import Person
from pegwright.studio.designs.desk import text_body
from pegwright.studio.state import Studio
from pegwright.yarn.yarn import Yarn
from tests.studio.browser import axe_faults, browser, named, needs_browser, opened, tab_to
from tests.studio.conftest import Served

pytestmark = [pytest.mark.browser, needs_browser()]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as started:
        yield started


def stored(studio: Studio) -> Record:
    """The hood, and a board, a yarn and a person to choose."""
    put = studio.library.put
    put(OwnBoard(Loom(Arrangement.OPPOSED, 30, 12.7, 31.75, 4.7625, name="slipway board")))
    put(OwnYarn(Yarn("Gull worsted", 4, 180, wraps_per_inch=9.5, colour="fog")))
    put(OwnPerson(Person("cox", "adult", {"head": 550.0})))
    return put(text_body(shipped_text("tern-point-hood")))


def fits(page: Page) -> None:
    """The page is no wider than the window."""
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0


def result(page: Page) -> str:
    """What the page says came of it, with plain blanks."""
    return page.locator("#result").inner_text().replace("\u00a0", " ")


@pytest.mark.parametrize(("width", "scheme"), [(320, "dark"), (1280, "light")])
def test_the_page_is_for_everyone(
    chromium: Browser, served: Served, width: int, scheme: str
) -> None:
    address, studio = served
    hood = stored(studio)
    with opened(chromium, width, base=address, scheme=scheme, expected="422") as page:
        page.goto(f"{address}designs/{hood.id}/refit")
        expect(page.get_by_label("Pegs", exact=True)).to_be_visible()
        for summary in page.locator("#fields details > summary").all():
            if summary.locator("xpath=..").get_attribute("open") is None:
                summary.click()
        assert axe_faults(page) == []
        page.get_by_label("Gap", exact=True).fill("1 inhc")
        page.get_by_role("button", name="Work it out").click()
        expect(page.get_by_label("Gap", exact=True)).to_have_attribute("aria-invalid", "true")
        assert axe_faults(page) == []
        page.get_by_label("Gap", exact=True).fill("")
        page.get_by_label("Pegs", exact=True).fill("28")
        page.get_by_role("button", name="Work it out").click()
        expect(page.get_by_label("Answer to a reader")).to_be_visible()
        page.get_by_text("The refitted design in full").click()
        fits(page)
        assert axe_faults(page) == []


def test_by_keyboard_alone(chromium: Browser, served: Served) -> None:
    address, studio = served
    hood = stored(studio)
    with opened(chromium, 1280, base=address, expected="422") as page:
        page.goto(f"{address}designs/{hood.id}/refit")
        expect(page.get_by_label("Pegs", exact=True)).to_be_visible()
        tab_to(page, "Pitch")
        page.keyboard.type("7/16")
        page.keyboard.press("Enter")
        # A slip is told at its field, which gets the focus and keeps what was typed.
        expect(page.get_by_label("Pitch", exact=True)).to_have_attribute("aria-invalid", "true")
        assert named(page) == "Pitch"
        expect(page.get_by_label("Pitch", exact=True)).to_have_value("7/16")
        page.keyboard.type(" in")
        tab_to(page, "Gap")
        page.keyboard.type("1 1/4 in")
        tab_to(page, "Whom it is for")
        page.keyboard.press("Enter")
        tab_to(page, "Head")
        page.keyboard.type("60 cm")
        tab_to(page, "Work it out")
        page.keyboard.press("Enter")
        expect(page.get_by_text("Tern Point hood can be made as asked.").first).to_be_visible()
        expect(page.get_by_label("Pitch", exact=True)).not_to_have_attribute("aria-invalid", "true")
        assert named(page) == "Tern Point hood can be made as asked."
        tab_to(page, "Keep as a new design")
        page.keyboard.press("Enter")
        expect(page.locator("h1")).to_have_text("Tern Point hood (refitted)")
        expect(page.locator("#result")).to_contain_text("Proved")
        body = studio.library.get(page.url.rpartition("/")[2]).body
        assert isinstance(body, DesignText)
        design = read_text(body.toml)
        assert design.loom.gap_mm == 31.75
        assert [size.measures for size in design.sizes] == [{"head": 600.0}]


def test_what_is_chosen_stands_in_grey_until_it_is_typed_over(
    chromium: Browser, served: Served
) -> None:
    address, studio = served
    hood = stored(studio)
    with opened(chromium, 1280, base=address) as page:
        page.goto(f"{address}designs/{hood.id}/refit")
        pegs = page.get_by_label("Pegs", exact=True)
        expect(pegs).to_have_attribute("placeholder", "44")
        pegs.fill("26")
        page.get_by_label("A board of your library").select_option(label="slipway board")
        expect(pegs).to_have_attribute("placeholder", "30")
        expect(pegs).to_have_value("26")
        page.get_by_text("Whom it is for").click()
        page.get_by_label("A person of your library").select_option(label="cox")
        expect(page.get_by_label("Head")).to_have_attribute("placeholder", "55 cm")
        page.get_by_role("button", name="Work it out").click()
        expect(page.get_by_text("can be made as asked").first).to_be_visible()
        said = result(page)
        assert "44\t26" in said
        assert "It is kept as “Tern Point hood (slipway board, cox)”" in said


def test_what_cannot_be_says_why_and_keeps_what_was_typed(
    chromium: Browser, served: Served
) -> None:
    address, studio = served
    hood = stored(studio)
    with opened(chromium, 1280, base=address) as page:
        page.goto(f"{address}designs/{hood.id}/refit")
        pegs = page.get_by_label("Pegs", exact=True)
        pegs.fill("28")
        page.get_by_role("button", name="Work it out").click()
        expect(page.get_by_text("Tern Point hood cannot be made as asked.").first).to_be_visible()
        said = result(page)
        assert "Size coach: this needs 30 stitches, and there is room for 28" in said
        assert "Fewer pegs" in said
        assert "possible, shown here" in said
        assert "not possible" in said
        assert "The nearest that can be made, in size bow and coach." in said
        expect(pegs).to_have_value("28")
        # What is shown no longer answers what is asked, and says so.
        expect(page.locator("#stale")).to_be_hidden()
        pegs.fill("3")
        expect(page.locator("#stale")).to_be_visible()
        page.get_by_role("button", name="Work it out").click()
        expect(page.get_by_text("Nothing near it can be made").first).to_be_visible()
        expect(page.get_by_role("button", name="Keep as a new design")).to_have_count(0)
        expect(page.get_by_role("button", name="Print it")).to_have_count(0)


def test_the_answer_is_copied_and_the_pattern_taken_away(chromium: Browser, served: Served) -> None:
    address, studio = served
    hood = stored(studio)
    with opened(chromium, 1280, base=address) as page:
        page.context.grant_permissions(["clipboard-read", "clipboard-write"])
        page.goto(f"{address}designs/{hood.id}/refit")
        page.get_by_text("A wrap test on it").click()
        page.get_by_label("It drew").fill("48 in")
        page.get_by_label("It drew").press("Enter")
        answer = page.get_by_label("Answer to a reader")
        expect(answer).to_have_value(re.compile(r"Your wrap test of 48 in"))
        page.get_by_role("button", name="Copy").click()
        expect(page.get_by_text("Copied.")).to_be_visible()
        assert page.evaluate("navigator.clipboard.readText()") == answer.input_value()
        with page.expect_download() as taken:
            page.get_by_role("button", name="Print it").click()
        assert taken.value.suggested_filename == "tern-point-hood.zip"
        with zipfile.ZipFile(io.BytesIO(taken.value.path().read_bytes())) as archive:
            assert archive.read("tern-point-hood.pdf").startswith(b"%PDF")
