"""The page of test-knitting in a real browser: answers, what is learned, errata; axe; keyboard."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from pegwright.library.records import Record
from pegwright.studio.designs.desk import text_body
from tests.studio.browser import axe_faults, browser, needs_browser, opened, tab_to
from tests.studio.conftest import Served
from tests.studio.test_task_test_knit import ANSWERS, COACH, HOOD, STROKE

pytestmark = [pytest.mark.browser, needs_browser()]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as started:
        yield started


@pytest.fixture
def sent_out(served: Served) -> Record:
    """The hood, version 1.0, changed to 1.1 since."""
    _, studio = served
    first = studio.library.put(text_body(HOOD), autosave=False)
    text = HOOD.replace('"1.0"', '"1.1"').replace('gap = "1 in"', 'gap = "1 1/16 in"')
    return studio.library.put(text_body(text), record_id=first.id, expected=1, autosave=False)


@pytest.fixture
def address(served: Served, sent_out: Record) -> str:
    return f"{served[0]}designs/{sent_out.id}/test-knit"


def choose(page: Page, answers: dict[str, str]) -> None:
    files: list[Any] = [
        {"name": name, "mimeType": "application/toml", "buffer": text.encode()}
        for name, text in answers.items()
    ]
    page.set_input_files("#files", files)


def hold(page: Page) -> None:
    page.get_by_role("button", name="Hold them against the design").click()


def test_the_page_is_clear_to_everyone(chromium: Browser, address: str) -> None:
    for width in (320, 1280):
        for scheme in ("light", "dark"):
            with opened(chromium, width, base=address.split("/designs")[0], scheme=scheme) as page:
                page.goto(address)
                assert axe_faults(page) == []
                choose(page, ANSWERS)
                hold(page)
                expect(page.locator("#trial")).to_contain_text("answers of 2 testers")
                page.get_by_text("The lines for the design file").click()
                page.get_by_role("button", name="Write the errata").click()
                expect(page.locator("#errata-found")).to_contain_text("from version 1.0 to 1.1")
                assert axe_faults(page) == []
                wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
                assert wide <= 0, f"{wide} px too wide at {width}"


def test_markup_in_answers_is_shown_as_text(chromium: Browser, address: str) -> None:
    with opened(chromium, 1280, base=address.split("/designs")[0]) as page:
        page.goto(address)
        name = "<img src=x onerror=alert(2)>.toml"
        choose(page, {name: STROKE.replace('tester = "stroke"', 'tester = "<u>stroke</u>"')})
        expect(page.locator("#chosen")).to_contain_text(name)
        hold(page)
        trial = page.locator("#trial")
        expect(trial).to_contain_text("<img src=x onerror=alert(1)> lovely")
        expect(trial).to_contain_text("<u>stroke</u>: The three loops <b>slid</b>")
        assert page.locator("#tried :is(img, u, b)").count() == 0


def test_a_bad_file_is_told_and_the_others_stay(chromium: Browser, address: str) -> None:
    with opened(chromium, 1280, base=address.split("/designs")[0], expected="422") as page:
        page.goto(address)
        hold(page)
        expect(page.locator("#files-wrong")).to_contain_text("Choose at least one")
        choose(page, {"coach.toml": COACH, "stroke.toml": STROKE.replace("step = 7", "step = 99")})
        hold(page)
        expect(page.locator("#files-wrong")).to_contain_text("stroke.toml, line")
        expect(page.locator("#chosen li")).to_have_count(2)
        page.get_by_role("button", name="Leave stroke.toml out").click()
        hold(page)
        expect(page.locator("#trial")).to_contain_text("answers of 1 tester")
        expect(page.locator("#files-wrong")).to_be_hidden()


def test_what_was_learned_is_taken_in_and_back_by_keyboard(
    chromium: Browser, address: str, served: Served, sent_out: Record
) -> None:
    def slack() -> bool:
        return "slack_sd" in served[1].desk.view(sent_out.id).text

    with opened(chromium, 1280, base=address.split("/designs")[0]) as page:
        page.goto(address)
        choose(page, ANSWERS)
        tab_to(page, "Hold them against the design")
        page.keyboard.press("Enter")
        expect(page.locator("#trial")).to_be_focused()
        tab_to(page, "Gauge")
        page.keyboard.press("Space")  # all but the gauge
        tab_to(page, "Take it into the design")
        page.keyboard.press("Enter")
        expect(page.locator("#trial")).to_contain_text("The design has learned it.")
        assert slack()
        assert "swatches" not in served[1].desk.view(sent_out.id).text
        expect(page.locator("#new option").first).to_contain_text("Learned from test-knitters")
        tab_to(page, "Take it back")
        page.keyboard.press("Enter")
        expect(page.locator("#messages")).to_contain_text("It was taken back")
        assert not slack()


def test_errata_are_written_between_two_versions(chromium: Browser, address: str) -> None:
    with opened(chromium, 1280, base=address.split("/designs")[0]) as page:
        page.goto(address)
        expect(page.locator("#old option:checked")).to_contain_text("version 1.0")
        expect(page.locator("#new option:checked")).to_contain_text("version 1.1")
        page.get_by_role("button", name="Write the errata").click()
        found = page.locator("#errata-found")
        expect(found).to_contain_text("read “")
        with page.expect_download() as taken:
            found.get_by_role("link", name="Block for a web page").click()
        assert taken.value.suggested_filename == "errata-1-to-2.html"
        page.get_by_label("The version that they have").select_option(index=0)
        page.get_by_role("button", name="Write the errata").click()
        expect(found).to_contain_text("Nothing changed that a reader would see.")
