"""The page of colours in a real browser: every face, the search, into the design, axe."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.library.records import DesignText
from pegwright.studio.designs.desk import text_body
from pegwright.yarn.colour import parse_colour_run
from tests.studio.browser import axe_faults, needs_browser, opened, tab_to
from tests.studio.conftest import Served
from tests.studio.patience import PATIENT_MS, patient_browser

pytestmark = [pytest.mark.browser, needs_browser()]

LOOKS = [(320, "dark"), (1280, "light")]
HOOD = shipped_text("tern-point-hood")
CHANGING = HOOD.replace("invented = true", 'colours = "rust 3 m, cream 2 m"\ninvented = true')


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with patient_browser() as started:
        yield started


@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_from_the_faces_to_the_design(
    chromium: Browser, served: Served, width: int, scheme: str, tmp_path: Path
) -> None:
    address, studio = served
    hood = studio.library.put(text_body(CHANGING))
    with opened(chromium, width, base=address, scheme=scheme) as page:
        page.set_default_timeout(PATIENT_MS)
        page.goto(f"{address}designs/{hood.id}")
        page.get_by_role("link", name="Colours", exact=True).click()
        expect(page.locator("#said")).to_contain_text("Of the stitches of the strip: rust")
        assert page.locator(".faces img").count() == 6
        side = page.get_by_role("img", name=re.compile("^Hood, left side"))
        side.scroll_into_view_if_needed()
        expect(side).to_have_js_property("complete", True)
        assert side.evaluate("one => one.naturalWidth") > 0
        page.get_by_label("Size").select_option("bow")
        page.get_by_label("A yarn that is joined again").select_option("true")
        painting = page.get_by_role("link", name="Painting of Hood, left side")
        expect(painting).to_have_attribute("href", re.compile("size=bow&anew=true"))
        with page.expect_download() as taken:
            painting.click()
        taken.value.save_as(tmp_path / "side.png")
        assert taken.value.suggested_filename == "tern-point-hood-bow-hood-left-side.png"
        assert (tmp_path / "side.png").read_bytes().startswith(b"\x89PNG")
        assert axe_faults(page) == []

        page.get_by_text("More wishes").click()
        page.get_by_label("Most to show").fill("2")
        page.get_by_role("button", name="Look for them").click()
        expect(page.get_by_role("heading", name="The best 2")).to_be_focused()
        assert page.locator(".placed").count() == 2
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        assert page.locator(".main:is(button, a)").count() == 1
        assert axe_faults(page) == []
        title = page.locator(".placed h4").first.inner_text()
        page.get_by_role("button", name=re.compile(f"Use this.*{title}")).click()
        expect(page.locator("#used")).to_contain_text("Proved in 3 sizes")
        body = studio.library.get(hood.id).body
        assert isinstance(body, DesignText)
        assert read_text(body.toml).options["pegs"] == int(title.split()[0])
        assert axe_faults(page) == []

        page.get_by_role("button", name="Take it back").click()
        expect(page.get_by_text("Look again to use another")).to_be_visible()
        body = studio.library.get(hood.id).body
        assert isinstance(body, DesignText)
        assert body.toml == CHANGING


def test_a_yarn_of_one_colour_by_keyboard(chromium: Browser, served: Served) -> None:
    address, studio = served
    hood = studio.library.put(text_body(HOOD))
    with opened(chromium, 320, base=address, expected="422") as page:
        page.set_default_timeout(PATIENT_MS)
        page.goto(f"{address}designs/{hood.id}/colours")
        expect(page.locator("#no-runs")).to_contain_text('colours = "rust 30 cm, cream 12 in"')
        assert axe_faults(page) == []
        tab_to(page, "Look for them")
        page.keyboard.press("Enter")
        colours = page.get_by_label("One repeat of its colours")
        expect(colours).to_be_focused()
        expect(page.locator("#colours-wrong")).to_contain_text("nothing to place")
        page.keyboard.type("rust 3 m, cream 3 m")
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", name="The best 5")).to_be_focused()
        tab_to(page, "Use this")
        page.keyboard.press("Enter")
        expect(page.get_by_role("link", name="Open the design")).to_be_focused()
        body = studio.library.get(hood.id).body
        assert isinstance(body, DesignText)
        run = next(iter(read_text(body.toml).colour_runs.values()))
        assert run.stretches == parse_colour_run("rust 3 m, cream 3 m").stretches
