"""What is done with a board or a yarn, in a real browser: wide and narrow, light and dark."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from pegwright.library.records import OwnBoard, OwnYarn, Record
from pegwright.loom.board import Arrangement, Loom
from pegwright.studio.state import Studio
from pegwright.yarn.yarn import Yarn
from tests.studio.browser import axe_faults, browser, needs_browser, opened, tab_to
from tests.studio.conftest import Served

pytestmark = [pytest.mark.browser, needs_browser()]

LOOM = Loom(Arrangement.OPPOSED, 44, 11.1125, 25.4, 4.7625, 25.4, "boathouse board")


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as started:
        yield started


def stored(studio: Studio) -> tuple[Record, Record]:
    """A board and a yarn."""
    board = studio.library.put(OwnBoard(LOOM, None, 19.05, (6.35, 3.175)))
    yarn = studio.library.put(OwnYarn(Yarn("Slipway", 4, 175, wraps_per_inch=10, invented=True)))
    studio.library.put(OwnYarn(Yarn("Gull", 3, 220, invented=True)))
    return board, yarn


def fits_the_window(page: Page) -> None:
    wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    assert wide <= 0, f"{page.url} is {wide} px too wide"


@pytest.mark.parametrize(("width", "scheme"), [(320, "dark"), (1280, "light")])
def test_every_page_is_for_everyone(
    chromium: Browser, served: Served, width: int, scheme: str
) -> None:
    address, studio = served
    board, yarn = stored(studio)
    pages = {
        f"board/{board.id}": "Pegs",
        f"board/{board.id}/wrap-test?yarn={yarn.id}&measured=48+in,+47+in&wanted=46+in": "Set the",
        f"board/{board.id}/measure": "Along the row",
        f"board/{board.id}/build?yarn={yarn.id}": "Where the holes go",
        f"board/{board.id}/fits": "What to try",
        f"yarn/{yarn.id}/count?counts=10,+14&strands=2&into=60&strange_metres=9": "Its wraps",
    }
    with opened(chromium, width, base=address, scheme=scheme) as page:
        for path, words in pages.items():
            page.goto(f"{address}library/{path}")
            expect(page.locator("main")).to_contain_text(words)
            if path.endswith("fits"):
                page.get_by_role("button", name="See what fits").click()
                expect(page.locator("#result")).to_contain_text("Triangle")
            page.evaluate(
                "document.querySelectorAll('details').forEach(box => { box.open = true })"
            )
            fits_the_window(page)
            faults = axe_faults(page)
            assert not faults, "\n".join(faults)


@pytest.mark.parametrize("width", [320, 1280])
def test_a_wrap_test_by_keyboard_alone(chromium: Browser, served: Served, width: int) -> None:
    address, studio = served
    board, _ = stored(studio)
    with opened(chromium, width, base=address, expected="422") as page:
        page.goto(f"{address}library/board/{board.id}")
        tab_to(page, "Wrap test")
        page.keyboard.press("Enter")
        page.wait_for_url("**/wrap-test*")
        expect(page.locator("#result")).to_contain_text("draws")
        tab_to(page, "Yarn")
        page.keyboard.press("S")  # Slipway
        tab_to(page, "It drew")
        page.keyboard.type("much")
        tab_to(page, "It shall draw")
        expect(page.get_by_label("It drew")).to_have_attribute("aria-invalid", "true")
        expect(page.get_by_label("It drew")).to_have_value("much")
        page.keyboard.press("Shift+Tab")  # the title of its group
        page.keyboard.press("Shift+Tab")
        page.keyboard.press("Control+a")
        page.keyboard.type("51 in, 52 in")
        page.keyboard.press("Enter")
        expect(page.locator("#result")).to_contain_text("From 2 wraps")
        expect(page.locator("#heard")).to_contain_text("Your hand draws")
        tab_to(page, "Keep this slack")
        page.keyboard.press("Enter")
        expect(page.locator("#messages")).to_contain_text("Kept: this board's slack is")
    own = studio.library.get(board.id).body
    assert isinstance(own, OwnBoard)
    assert own.slack is not None
    assert own.slack.value > 1.1


def test_a_board_that_cannot_be_built_is_mended_and_taken_away(
    chromium: Browser, served: Served, tmp_path: Path
) -> None:
    address, studio = served
    board, _ = stored(studio)
    with opened(chromium, 1280, base=address) as page:
        page.goto(f"{address}library/board/{board.id}/build")
        expect(page.get_by_role("heading", name="Before you start")).to_be_visible()
        expect(page.locator("#result")).to_contain_text("Caution: Sawing.")
        page.get_by_label("Wood thickness").fill("1/4 in")
        page.get_by_role("button", name="Plan it").click()
        expect(page.locator("#result")).to_contain_text("too thin to hold the pegs")
        page.get_by_role("button", name="Take the nearest board").click()
        expect(page.locator("#result")).to_contain_text("44 pegs a side")
        expect(page.get_by_label("Wood thickness")).not_to_have_value("1/4 in")
        with page.expect_download() as taken:
            page.get_by_role("link", name="DXF").click()
        taken.value.save_as(tmp_path / "board.dxf")
        assert taken.value.suggested_filename == "boathouse-board.dxf"
        assert "AC1024" in (tmp_path / "board.dxf").read_text()  # R2010, ezdxf's own documentation
        # What was typed stands in the address, so that it is there again.
        page.reload()
        expect(page.get_by_label("Wood thickness")).not_to_have_value("")


def test_how_exactly_to_drill_is_watched(chromium: Browser, served: Served) -> None:
    address, studio = served
    board, yarn = stored(studio)
    with opened(chromium, 1280, base=address) as page:
        page.goto(f"{address}library/board/{board.id}/build?yarn={yarn.id}")
        page.get_by_role("button", name="Work out how exactly to drill").click()
        expect(page.locator("#result")).to_contain_text("Drill every hole within")


def test_what_fits_starts_a_design(chromium: Browser, served: Served) -> None:
    address, studio = served
    board, _ = stored(studio)
    with opened(chromium, 1280, base=address) as page:
        page.goto(f"{address}library/board/{board.id}/fits")
        page.get_by_label("Yarn").select_option("Slipway")
        page.get_by_label("Garment").select_option(label="Folded-strip hood")
        page.get_by_role("button", name="See what fits").click()
        row = page.get_by_role("row").filter(has_text="adults")
        expect(row).to_contain_text("Yes")
        row.get_by_role("button", name="Start this design").click()
        page.wait_for_url(re.compile(r"/designs/[0-9a-f-]{36}"))
        expect(page.locator("#result")).to_contain_text("Proved")
        expect(page.get_by_label("Name").first).to_have_value("boathouse board")


def test_a_measured_board_and_a_counted_yarn_are_kept(chromium: Browser, served: Served) -> None:
    address, studio = served
    board, yarn = stored(studio)
    with opened(chromium, 390, base=address, expected="422") as page:
        page.goto(f"{address}library/board/{board.id}/measure")
        page.get_by_role("button", name="Work it out").click()
        expect(page.get_by_label("At the left end")).to_have_attribute("aria-invalid", "true")
        for label, words in (("Length", "478 mm"), ("At the left end", "25.5 mm"),
                             ("At the right end", "25.5 mm"), ("Peg diameters", "4.8 mm"),
                             ("The tape's finest mark", "0.5 mm")):  # fmt: skip
            page.get_by_label(label, exact=True).fill(words)
        page.get_by_role("button", name="Work it out").click()
        expect(page.locator("#result")).to_contain_text("can be used as it is")
        page.get_by_role("button", name="Keep these measures").click()
        expect(page.locator("#messages")).to_contain_text("Kept")
        page.goto(f"{address}library/yarn/{yarn.id}/count")
        page.get_by_label("Turns counted").fill("12, 12, 12.5")
        page.get_by_role("button", name="Work it out").click()
        page.get_by_role("radio", name=re.compile("light")).check()
        page.get_by_role("button", name="Keep it on the yarn").click()
        expect(page.locator("#messages")).to_contain_text("3 light")
    own, counted = studio.library.get(board.id).body, studio.library.get(yarn.id).body
    assert isinstance(own, OwnBoard)
    assert own.loom.gap_mm == 25.5
    assert isinstance(counted, OwnYarn)
    assert counted.yarn.wraps_per_inch == 12.17
