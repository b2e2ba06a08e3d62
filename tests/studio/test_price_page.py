"""The price page and the form's further groups in a real browser, wide and narrow; axe."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.library.records import DesignText
from pegwright.studio.designs.desk import text_body
from pegwright.studio.state import Studio
from tests.studio.browser import axe_faults, browser, needs_browser, opened
from tests.studio.conftest import Served
from tests.studio.test_form_groups import RICH
from tests.studio.test_studio_browser import fits, proved

pytestmark = [pytest.mark.browser, needs_browser()]

HOOD = shipped_text("tern-point-hood")


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as started:
        yield started


def text_of(studio: Studio, design_id: str) -> str:
    body = studio.library.get(design_id).body
    assert isinstance(body, DesignText)
    return body.toml


def fill(page: Page, label: str, value: str) -> None:
    field = page.get_by_label(label, exact=True)
    field.fill(value)
    field.blur()


@pytest.mark.parametrize("width", [320, 1280])
def test_a_price_from_nothing_to_the_sum(chromium: Browser, served: Served, width: int) -> None:
    address, studio = served
    hood = studio.library.put(text_body(HOOD)).id
    with opened(chromium, width, base=address) as page:
        page.goto(f"{address}designs/{hood}/price")
        page.get_by_role("button", name="what an hour of work is worth").click()
        expect(page.get_by_label("Rate")).to_be_focused()
        fill(page, "Rate", "12.50")
        fill(page, "Currency", "£")
        fill(page, "A ball of Slipway worsted, slate", "7.50")
        price = page.locator(".price-big strong")
        # Two balls are 15.00, and 4.69 hours at 12.50 are 58.63.
        expect(price).to_have_text("£73.63")
        fill(page, "Margin", "0.2")
        expect(price).to_have_text("£88.36")
        page.get_by_label("The grams in the piece").check()
        expect(price).to_have_text("£81.76")
        page.get_by_label("Whole balls, as a shop sells them").check()
        expect(price).to_have_text("£88.36")

        page.get_by_role("button", name="Add a thing that is bought").click()
        expect(page.get_by_label("What it is")).to_be_focused()
        fill(page, "What it is", "wooden buttons")
        fill(page, "What it costs", "2.40")
        expect(page.get_by_role("row", name="wooden buttons")).to_contain_text("£2.40")

        page.get_by_role("button", name="Add a sitting").click()
        expect(page.get_by_label("Rows")).to_be_focused()
        fill(page, "Rows", "10")
        fill(page, "Minutes", "none")
        expect(page.get_by_label("Minutes")).to_have_attribute("aria-invalid", "true")
        expect(page.get_by_label("Minutes")).to_have_value("none")
        fill(page, "Minutes", "28")
        page.get_by_role("button", name="Keep 20 loops a minute as your pace").click()
        expect(page.get_by_label("Pace", exact=True)).to_have_value("20")
        expect(page.get_by_label("Minutes")).to_have_count(0)
        fits(page)
        expect(page.locator("#state")).to_have_text("Saved.")
    costing = read_text(text_of(studio, hood)).costing
    assert costing is not None
    assert (costing.rate, costing.loops_per_minute, costing.margin) == (12.5, 20, 0.2)
    assert costing.others == {"wooden buttons": 2.4}


def test_undo_takes_a_price_back_and_a_name_that_is_taken_stays_as_typed(
    chromium: Browser, served: Served
) -> None:
    address, studio = served
    cost = "\n[cost]\nrate = 10\nothers = { label = 1, ribbon = 2 }\n"
    hood = studio.library.put(text_body(HOOD.replace("invented = true", "price = 0") + cost)).id
    with opened(chromium, 1280, base=address, expected="422") as page:
        page.goto(f"{address}designs/{hood}/price")
        price = page.locator(".price-big strong")
        expect(price).to_have_text("49.90")
        second = page.get_by_label("What it is").nth(1)
        with page.expect_response(lambda answer: answer.status == 422):
            second.fill("label")
            second.blur()
        expect(second).to_have_attribute("aria-invalid", "true")
        expect(second).to_have_value("label")
        fill(page, "Rate", "20")
        expect(price).to_have_text("96.80")
        expect(second).to_have_value("label")
        second.fill("braid")
        second.blur()
        expect(second).not_to_have_attribute("aria-invalid", "true")
        page.get_by_role("button", name="Undo").click()
        expect(second).to_have_value("ribbon")
        page.keyboard.press("Control+z")
        expect(price).to_have_text("49.90")
    assert "rate = 10" in text_of(studio, hood)


@pytest.mark.parametrize(("width", "scheme"), [(320, "dark"), (1280, "light")])
def test_axe_finds_nothing_wrong_with_a_price(
    chromium: Browser, served: Served, width: int, scheme: str
) -> None:
    address, studio = served
    hood = studio.library.put(text_body(HOOD)).id
    rich = studio.library.put(text_body(RICH.replace("rate = 12.50", 'rate = "dear"'))).id
    faults: list[str] = []
    with opened(chromium, width, base=address, scheme=scheme) as page:
        page.goto(f"{address}designs/{hood}/price")
        expect(page.locator("#sum-body")).to_contain_text("For the sum")
        faults += axe_faults(page)
        fill(page, "Rate", "12")
        fill(page, "A ball of Slipway worsted, slate", "7.50")
        page.get_by_role("button", name="Add a sitting").click()
        fill(page, "Rows", "10")
        fill(page, "Minutes", "28")
        expect(page.locator("#sum-body")).to_contain_text("timed over 1 sitting")
        faults += axe_faults(page)
        fill(page, "Rate", "dear")
        expect(page.get_by_label("Rate")).to_have_attribute("aria-invalid", "true")
        faults += axe_faults(page)
        fits(page)
        page.goto(f"{address}designs/{rich}")
        expect(page.locator("#state")).to_contain_text("something to mend")
        page.locator("details").evaluate_all("all => all.forEach((one) => { one.open = true; })")
        faults += axe_faults(page)
        fits(page)
    assert not faults, "\n".join(faults)


def test_an_own_wrap_is_laid_down_in_the_form_and_used(chromium: Browser, served: Served) -> None:
    address, studio = served
    hood = studio.library.put(text_body(HOOD)).id
    with opened(chromium, 1280, base=address) as page:
        page.goto(f"{address}designs/{hood}")
        proved(page)
        page.locator("summary", has_text="Wraps of your own").click()
        page.get_by_role("button", name="Add a wrap of your own").click()
        wraps = page.locator("[data-list=wraps]")
        expect(wraps.get_by_label("Name")).to_be_focused()
        fill_in = wraps.get_by_label("Name")
        fill_in.fill("harbour rib")
        fill_in.blur()
        page.get_by_label("Wrap", exact=True).select_option("harbour rib")
        proved(page)
        # The copy becomes a rib: every peg in one pass, out and back as courses of their own.
        wraps.get_by_label("Structure").select_option("rib")
        wraps.get_by_role("button", name="Remove Pass 2 of course 1").click()
        stops = wraps.get_by_label("Stops, column by column")
        expect(stops).to_have_count(1)
        stops.fill("fb")
        stops.blur()
        wraps.get_by_role("button", name="Add a course").click()
        expect(stops).to_have_count(2)
        expect(stops.nth(1)).to_have_value("FB")
        expect(wraps.get_by_label("Way").nth(1)).to_have_value("left")
        proved(page)
        fill_in.fill("pier rib")  # the design goes on calling it by its name
        fill_in.blur()
        expect(page.get_by_label("Wrap", exact=True)).to_have_value("pier rib")
        proved(page)
        stops.nth(1).fill("X")
        stops.nth(1).blur()
        expect(stops.nth(1)).to_have_attribute("aria-invalid", "true")
        page.get_by_role("button", name="Undo").click()
        proved(page)
    wrap = read_text(text_of(studio, hood)).wrap
    assert wrap.name == "pier rib"
    assert [[(str(p.way), p.columns) for p in course] for course in wrap.courses] == [
        [("right", ("FB",))],
        [("left", ("FB",))],
    ]


SLIPS = [
    ("gap = '1 in'", "", "[data-key=loom] > .wrong", "“gap” is missing"),
    ('weight = "9.6 g", ', "", '[data-wrong="yarns[1].sample.weight"]', "is missing"),
    ("rust 30 cm", "rust none", '[data-wrong="yarns[1].colours"]', ""),
    ('sample = {', 'metres_per_100g = 175\nsample = {', '[data-wrong="yarns[1]"]', "not both"),
    ("wooden buttons\" = 2", 'wooden buttons" = "x"', '[data-wrong="cost.others[2].amount"]',
     "number"),
    ('["", "F"]', '["", "Q"]', '[data-wrong="wraps[1].courses[2][2].columns"]', "cannot be read"),
    ('["", "F"]', '["", ""]', '[data-wrong="wraps[1]"]', "at least one peg"),
    ("pace = 22", "pace = -2", '[data-wrong="cost.pace"]', "ore than 0"),
    ('language = "de-AT"', 'language = "xx"', '[data-wrong="design.language"]', "language"),
    ("[cost]", "[costs]\nx = 1\n\n[cost]", ".homeless", "“costs” is not known here"),
]  # fmt: skip


def test_refusals_stand_beside_what_they_are_about(chromium: Browser, served: Served) -> None:
    address, studio = served
    with opened(chromium, 1280, base=address) as page:
        for old, new, place, words in SLIPS:
            assert old in RICH
            design = studio.library.put(text_body(RICH.replace(old, new, 1))).id
            page.goto(f"{address}designs/{design}")
            wrong = page.locator(f"#pane-form {place}")
            expect(wrong).to_be_visible()
            expect(wrong).to_contain_text(words or re.compile("."))
        page.get_by_role("button", name=re.compile("^See line [0-9]+ under Text$")).click()
        expect(page.get_by_label("The design as text")).to_be_focused()
