"""The page of stripes in a real browser: from the yarns to the design, refusals, axe."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.library.records import DesignText, OwnYarn, Record
from pegwright.planning.stripe_solver import StripeProgress, plan_stripes
from pegwright.planning.stripes import StripePlan
from pegwright.studio.designs.desk import text_body
from pegwright.studio.state import Studio
from pegwright.studio.tasks import stripes as task_stripes
from pegwright.yarn.yarn import Yarn
from tests.studio.browser import axe_faults, needs_browser, opened, tab_to
from tests.studio.conftest import Served
from tests.studio.patience import PATIENT_MS, patient_browser

pytestmark = [pytest.mark.browser, needs_browser()]

LOOKS = [(320, "dark"), (1280, "light")]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with patient_browser() as started:
        yield started


def stored(studio: Studio) -> dict[str, Record]:
    """The blanket, the hood, and yarns of which one was weighed."""
    put = studio.library.put
    wall = put(OwnYarn(Yarn("Harbour wall worsted", 4, 180, wraps_per_inch=10, colour="granite")))
    studio.library.weigh(wall.id, [70.0, 18.0], "")
    put(OwnYarn(Yarn("Bosun aran", 4, 160, wraps_per_inch=9, colour="navy")))
    return {
        "blanket": put(text_body(shipped_text("tern-point-boat-blanket"))),
        "hood": put(text_body(shipped_text("tern-point-hood"))),
        "cap": put(text_body(shipped_text("tern-point-cap"))),
    }


def text_of(studio: Studio, record: Record) -> str:
    body = studio.library.get(record.id).body
    assert isinstance(body, DesignText)
    return body.toml


@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_from_the_yarns_to_the_design(
    chromium: Browser, served: Served, width: int, scheme: str
) -> None:
    address, studio = served
    blanket = stored(studio)["blanket"]
    with opened(chromium, width, base=address, scheme=scheme) as page:
        page.set_default_timeout(PATIENT_MS)
        page.goto(f"{address}designs/{blanket.id}")
        page.get_by_role("link", name="Stripes", exact=True).click()
        page.get_by_text("Yarns of your library").click()
        assert axe_faults(page) == []
        page.get_by_role("checkbox", name=re.compile("Harbour wall worsted, granite")).check()
        page.get_by_label("Keep back of Thwart tweed, varnish brown").fill("10 g")
        page.get_by_label("Most stripes").fill("7")
        page.get_by_role("button", name="Plan the stripes").click()
        expect(
            page.get_by_role("heading", name=re.compile("^7 stripes, 1[0-9][0-9] rows"))
        ).to_be_focused()
        expect(page.get_by_text("No plan within the limits has more rows.")).to_be_visible()
        expect(page.get_by_role("img", name=re.compile("Strip, front face"))).to_be_visible()
        page.get_by_label("Seen from").select_option(label="Strip, back face")
        expect(page.get_by_role("img", name=re.compile("Strip, back face"))).to_be_visible()
        assert len(page.locator(".bands li").all()) == 7
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        assert page.locator(".main:is(button, a)").count() == 1
        assert axe_faults(page) == []

        page.get_by_role("button", name="Use these stripes").click()
        expect(page.locator("#used")).to_contain_text("Proved in 1 size")
        design = read_text(text_of(studio, blanket))
        rows = sum(stripe.rows for stripe in design.stripes)
        expect(page.locator("#used")).to_contain_text(f"{rows}\N{NO-BREAK SPACE}rows")
        assert len(design.stripes) == 7
        assert axe_faults(page) == []

        page.get_by_role("button", name="Take it back").click()
        expect(page.locator("#deeds")).to_contain_text("as it was before")
        assert text_of(studio, blanket) == shipped_text("tern-point-boat-blanket")


def test_by_keyboard_what_is_missing_is_told_beside_the_field(
    chromium: Browser, served: Served
) -> None:
    address, studio = served
    hood = stored(studio)["hood"]
    with opened(chromium, 1280, base=address, expected="422") as page:
        page.set_default_timeout(PATIENT_MS)
        page.goto(f"{address}designs/{hood.id}/stripes")
        tab_to(page, "Plan the stripes")
        page.keyboard.press("Enter")
        expect(page.locator("#yarns-wrong")).to_have_text("Choose at least one yarn.")
        page.get_by_role("checkbox", name=re.compile("Slipway worsted, slate")).check()
        page.get_by_role("checkbox", name=re.compile("Harbour wall worsted")).check()
        tab_to(page, "Plan the stripes")
        page.keyboard.press("Enter")
        there = page.get_by_label("There is of Slipway worsted, slate")
        expect(there).to_be_focused()
        expect(there).to_have_attribute("aria-invalid", "true")
        page.keyboard.type("120 g")
        page.get_by_label("Widest stripe").fill("many")
        page.keyboard.press("Enter")
        expect(page.get_by_label("Widest stripe")).to_be_focused()
        page.get_by_label("Widest stripe").fill("12")
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", name=re.compile("stripes, 100 rows"))).to_be_focused()
        expect(there).to_have_value("120 g")
        expect(page.get_by_text("coach", exact=True).last).to_be_visible()


def test_a_way_out_is_taken_with_one_press(chromium: Browser, served: Served) -> None:
    address, studio = served
    blanket = stored(studio)["blanket"]
    with opened(chromium, 1280, base=address) as page:
        page.set_default_timeout(PATIENT_MS)
        page.goto(f"{address}designs/{blanket.id}/stripes")
        page.get_by_label("So many rows, and the same part of every yarn").check()
        page.get_by_label("So many rows", exact=True).check()
        page.get_by_label("Rows in all").fill("400")
        page.get_by_label("Widest stripe").fill("8")
        page.get_by_role("button", name="Plan the stripes").click()
        heading = page.get_by_role("heading", name="No stripes keep all of these limits")
        expect(heading).to_be_focused()
        way = page.locator(".ways li", has_text="instead of 400")
        assert axe_faults(page) == []
        rows = re.search(r"Ask for (\d+) rows", way.inner_text())
        assert rows is not None
        way.get_by_role("button", name="Try it so").click()
        planned = page.get_by_role("heading", name=f"{rows[1]} rows")
        expect(planned).to_be_focused()
        expect(page.get_by_label("Rows in all")).to_have_value(rows[1])


def test_the_best_so_far_is_taken(
    chromium: Browser, served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    address, studio = served
    blanket = stored(studio)["blanket"]

    def slow(problem: Any, *, progress: Any, cancelled: Callable[[], bool], **_: Any) -> StripePlan:
        found = plan_stripes(problem)
        while not cancelled():
            progress(StripeProgress(0.5, 60.0, 64.0))
        return found

    monkeypatch.setattr(task_stripes, "plan_stripes", slow)
    with opened(chromium, 1280, base=address) as page:
        page.set_default_timeout(PATIENT_MS)
        page.goto(f"{address}designs/{blanket.id}/stripes")
        page.get_by_label("Most stripes").fill("3")
        page.get_by_role("button", name="Plan the stripes").click()
        expect(page.get_by_text("60 rows so far, at most 64.")).to_be_visible()
        assert axe_faults(page) == []
        page.get_by_role("button", name="Take the best so far").click()
        expect(page.get_by_text("You took it before the search was over.")).to_be_visible()
        expect(page.get_by_role("heading", name="3 stripes, 60 rows, 2 joins.")).to_be_visible()


def test_a_garment_without_stripes(chromium: Browser, served: Served) -> None:
    address, studio = served
    cap = stored(studio)["cap"]
    with opened(chromium, 320, base=address) as page:
        page.set_default_timeout(PATIENT_MS)
        page.goto(f"{address}designs/{cap.id}/stripes")
        expect(page.get_by_text("Gathered-top hat takes no stripes.")).to_be_visible()
        assert axe_faults(page) == []
