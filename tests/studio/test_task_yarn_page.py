"""The page of Yarn in a real browser: needs, stand-ins taken and given back, trims; axe."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from pegwright.designs.files import shipped_text
from pegwright.library.records import OwnYarn, Record
from pegwright.studio.designs.desk import text_body
from pegwright.studio.state import Studio
from pegwright.yarn.yarn import Yarn
from tests.studio.browser import axe_faults, browser, needs_browser, opened
from tests.studio.conftest import Served

pytestmark = [pytest.mark.browser, needs_browser()]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as started:
        yield started


def stored(studio: Studio, design: str = "tern-point-hood") -> Record:
    """A design, two yarns that were weighed, and one that was not."""
    put = studio.library.put
    gull = put(OwnYarn(Yarn("Gull worsted", 4, 180, wraps_per_inch=9.5, colour="fog")))
    studio.library.weigh(gull.id, [100, 100, 46], "")
    tweed = put(OwnYarn(Yarn("Thwart tweed", 3, 240, wraps_per_inch=12, colour="peat")))
    studio.library.weigh(tweed.id, [50, 50], "")
    put(OwnYarn(Yarn("Lantern aran", 4, 160, colour="amber")))
    return put(text_body(shipped_text(design)))


def fits(page: Page) -> None:
    """The page is no wider than the window."""
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0


@pytest.mark.parametrize(("width", "scheme"), [(320, "dark"), (1280, "light")])
@pytest.mark.parametrize("design", ["tern-point-hood", "tern-point-boat-blanket"])
def test_the_page_is_for_everyone(
    chromium: Browser, served: Served, width: int, scheme: str, design: str
) -> None:
    address, studio = served
    record = stored(studio, design)
    with opened(chromium, width, base=address, scheme=scheme, expected="422") as page:
        page.goto(f"{address}designs/{record.id}/yarn")
        page.get_by_text("How much is drawn for what").click()
        page.get_by_role("button", name="Look for stand-ins").click()
        expect(page.locator(".stand-ins li").first).to_be_visible()
        page.get_by_role("button", name="Reckon it").click()
        expect(page.get_by_label("Across")).to_have_attribute("aria-invalid", "true")
        assert axe_faults(page) == []
        page.get_by_label("Across").fill("6 cm")
        page.get_by_label("Winds").fill("120")
        page.get_by_role("button", name="Reckon it").click()
        expect(page.locator("#trims")).to_contain_text("Leave the pompom off for a child")
        fits(page)
        assert axe_faults(page) == []


def test_a_stand_in_is_taken_and_given_back(chromium: Browser, served: Served) -> None:
    address, studio = served
    hood = stored(studio)
    with opened(chromium, 1280, base=address) as page:
        page.goto(f"{address}designs/{hood.id}/yarn")
        needs = page.get_by_role("table", name="What every yarn must come to")
        expect(needs).to_contain_text("Slipway worsted, slate")
        page.get_by_label("Size").select_option("coach")
        expect(needs).to_contain_text("274 yd (250 m)")
        page.get_by_role("button", name="Look for stand-ins").click()
        first = page.locator(".stand-ins li").first
        expect(first).to_contain_text("Gull worsted, fog")
        expect(page.get_by_text("Not looked at, as nobody weighed them")).to_contain_text(
            "Lantern aran, amber"
        )
        first.get_by_role("button", name="Take this yarn instead").press("Enter")
        told = page.get_by_text("Gull worsted, fog is taken in place of Slipway worsted.")
        expect(told).to_be_visible()
        expect(needs).to_contain_text("Gull worsted, fog")
        expect(page.get_by_label("In place of")).to_have_value("Gull worsted")
        page.get_by_role("button", name="Take it back").click()
        expect(needs).to_contain_text("Slipway worsted, slate")
        assert studio.desk.design(hood.id).text == shipped_text("tern-point-hood")


def test_nothing_weighed_is_told_with_what_to_do(chromium: Browser, served: Served) -> None:
    address, studio = served
    hood = studio.library.put(text_body(shipped_text("tern-point-hood")))
    with opened(chromium, 320, base=address, expected="422") as page:
        page.goto(f"{address}designs/{hood.id}/yarn")
        page.get_by_role("button", name="Look for stand-ins").click()
        expect(page.locator("#stand-ins")).to_contain_text("Try: weigh your yarns in the library")


def test_each_kind_of_trim_asks_for_its_own_figures(chromium: Browser, served: Served) -> None:
    address, studio = served
    hood = stored(studio)
    with opened(chromium, 1280, base=address) as page:
        page.goto(f"{address}designs/{hood.id}/yarn")
        page.get_by_label("Across").fill("6 cm")
        page.get_by_label("What is made").select_option("fringe")
        expect(page.get_by_label("Across")).to_have_count(0)
        page.get_by_label("Knots").fill("30")
        page.get_by_label("Strands", exact=True).fill("3")
        page.get_by_label("Length", exact=True).fill("4 in")
        page.get_by_label("Made of").select_option(label="Gull worsted, fog, of your library")
        page.get_by_role("button", name="Reckon it").click()
        expect(page.locator("#trims .sum")).to_contain_text("of Gull worsted, fog")
        expect(page.locator("#trims")).to_contain_text("Fringe: 30 at")
        # Another figure, and the old sum is no longer shown.
        page.get_by_label("Knots").fill("31")
        expect(page.locator("#trims .sum")).to_have_count(0)
        page.get_by_label("What is made").select_option("pompom")
        expect(page.get_by_label("Across")).to_have_value("6 cm")
