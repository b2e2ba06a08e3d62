"""The studio in a real browser: the main job by mouse and by keyboard, wide and narrow; axe."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader

from pegwright.designs.files import shipped_text
from pegwright.gauge.fabric_gauge import Swatch
from pegwright.library.records import (
    Making,
    OwnBoard,
    OwnPerson,
    OwnSwatch,
    OwnYarn,
    Record,
)
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured
from pegwright.sizing.people import Person
from pegwright.studio.designs.desk import text_body
from pegwright.studio.state import Studio
from pegwright.yarn.yarn import Yarn
from tests.studio.browser import axe_faults, browser, needs_browser, opened, tab_to
from tests.studio.conftest import Served

pytestmark = [pytest.mark.browser, needs_browser()]

WIDTHS = (320, 1280)


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as started:
        yield started


def stored(studio: Studio) -> dict[str, Record]:
    """One record of every kind."""
    put = studio.library.put
    loom = Loom(Arrangement.OPPOSED, 44, 11.1125, 25.4, 4.7625, name="boathouse board")
    hood = put(text_body(shipped_text("tern-point-hood")))
    yarn = put(OwnYarn(Yarn("Slipway worsted", 4, 175, wraps_per_inch=10, colour="rust")))
    studio.library.weigh(yarn.id, [100, 46.5], "bought")
    board = put(OwnBoard(loom))
    swatch = Swatch(20, Measured(152.4), 24, Measured(101.6))
    return {
        "hood": hood,
        "yarn": yarn,
        "board": board,
        "person": put(OwnPerson(Person("cox", "adult", {"head": 550.0}))),
        "swatch": put(OwnSwatch(swatch, board.id, yarn.id)),
        "making": put(Making(hood.id, 1, "cox", (yarn.id,))),
    }


def fits(page: Page) -> None:
    """The page is no wider than the window."""
    wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    assert wide <= 0, f"{page.url} is {wide} px too wide"


def proved(page: Page) -> None:
    """The design on the page is worked out, saved, and without a fault."""
    expect(page.locator("#result")).to_contain_text("Proved")
    expect(page.locator("#state")).to_have_text("Saved.")


def pdf_text(page: Page) -> str:
    """The words of the PDF that the page offers."""
    address = page.get_by_role("link", name="PDF", exact=True).get_attribute("href")
    assert address is not None
    answer = page.request.get(page.url.split("/publish")[0] + address)
    assert answer.ok
    reader = PdfReader(io.BytesIO(answer.body()))
    return " ".join(sheet.extract_text() for sheet in reader.pages).replace("\u00a0", " ")


# --- the main job --------------------------------------------------------------------------------


@pytest.mark.parametrize("width", WIDTHS)
def test_from_nothing_to_the_printed_pattern(
    chromium: Browser, served: Served, width: int, tmp_path: Path
) -> None:
    address, studio = served
    with opened(chromium, width, base=address) as page:
        page.goto(address)
        page.get_by_role("link", name="New design").click()
        page.get_by_role("radio", name=re.compile("Folded-strip hood")).check()
        page.get_by_role("button", name="Start the design").click()
        proved(page)
        page.get_by_label("Title").fill("Launch hood")
        page.get_by_label("Head").fill("23 in")
        page.get_by_label("Head").blur()
        expect(page.locator("h1")).to_have_text("Launch hood")
        proved(page)
        fits(page)

        # A slip is told at its field, and what was there stays in sight; undo takes it back.
        page.get_by_label("Head").fill("23 inhces")
        page.get_by_label("Head").blur()
        expect(page.get_by_label("Head")).to_have_attribute("aria-invalid", "true")
        expect(page.locator("#result")).to_contain_text("Not worked out yet")
        page.get_by_role("button", name="Undo").click()
        expect(page.get_by_label("Head")).to_have_value("23 in")
        proved(page)

        page.get_by_role("link", name="Publish").last.click()
        expect(page.locator("h1")).to_have_text("Launch hood")
        page.get_by_label("Paper").select_option("us-letter")
        page.get_by_label("Large print").check()
        fits(page)
        assert "Launch hood" in pdf_text(page)
        with page.expect_download() as taken:
            page.get_by_role("link", name="Download the pack").click()
        taken.value.save_as(tmp_path / "pack.zip")
        assert taken.value.suggested_filename == "launch-hood.zip"
        assert (tmp_path / "pack.zip").stat().st_size > 50_000
    assert [record.name for record in studio.library.list()] == ["Launch hood"]


@pytest.mark.parametrize("width", WIDTHS)
def test_the_main_job_by_keyboard_alone(chromium: Browser, served: Served, width: int) -> None:
    address, _ = served
    with opened(chromium, width, base=address) as page:
        page.goto(address)
        tab_to(page, "Skip to the page")
        page.keyboard.press("Enter")
        tab_to(page, "New design")
        page.keyboard.press("Enter")
        page.wait_for_url("**/designs/new")
        tab_to(page, "Folded-strip hood")
        page.keyboard.press("ArrowDown")
        page.keyboard.press("ArrowUp")
        page.keyboard.press("Enter")  # sends the form, as everywhere
        page.wait_for_url(re.compile(r"/designs/[0-9a-f-]{36}"))
        proved(page)
        tab_to(page, "Form")
        page.keyboard.press("ArrowRight")
        expect(page.locator("#pane-text")).to_be_visible()
        page.keyboard.press("ArrowLeft")
        tab_to(page, "Title")
        page.keyboard.press("Control+a")
        page.keyboard.type("Keyboard hood")
        tab_to(page, "Summary")
        expect(page.locator("h1")).to_have_text("Keyboard hood")
        page.keyboard.press("Control+z")
        expect(page.locator("h1")).not_to_have_text("Keyboard hood")
        page.keyboard.press("Control+Shift+z")
        expect(page.locator("h1")).to_have_text("Keyboard hood")
        proved(page)
        page.keyboard.press("Control+Home")
        page.evaluate("document.activeElement.blur()")
        tab_to(page, "Share as a page")
        tab_to(page, "Publish")
        page.keyboard.press("Enter")
        page.wait_for_url("**/publish/*")
        tab_to(page, "Paper")
        page.keyboard.press("L")
        tab_to(page, "Download the pack")
        with page.expect_download() as taken:
            page.keyboard.press("Enter")
        assert taken.value.suggested_filename == "keyboard-hood.zip"
        assert "Keyboard hood" in pdf_text(page)


# --- the editor ----------------------------------------------------------------------------------


def test_rows_text_and_versions(chromium: Browser, served: Served) -> None:
    address, studio = served
    hood = stored(studio)["hood"]
    with opened(chromium, 1280, base=address) as page:
        page.goto(f"{address}designs/{hood.id}")
        proved(page)
        page.get_by_role("button", name="Add a size").click()
        expect(page.get_by_role("columnheader", name="coach 2")).to_be_visible()
        page.get_by_role("button", name="Remove cox").click()
        expect(page.get_by_role("columnheader", name="cox")).to_have_count(0)
        proved(page)

        page.get_by_role("tab", name="Text").click()
        text = page.get_by_label("The design as text")
        assert "# The club, its people and its yarn are invented." in text.input_value()
        text.fill(text.input_value().replace("pegs = 44", "pegs = many"))
        expect(page.locator("#text-problems")).to_contain_text("Line 16")
        page.get_by_role("button", name="Go to line 16").click()
        chosen = page.evaluate(
            "(() => { const t = document.activeElement;"
            " return t.value.slice(t.selectionStart, t.selectionEnd); })()"
        )
        assert chosen == "pegs = many"
        text.fill(text.input_value().replace("pegs = many", "pegs = 60   # the long board"))
        proved(page)

        page.get_by_role("tab", name="Versions").click()
        page.get_by_label("Keep it as it is now").fill("long board")
        page.get_by_role("button", name="Keep").click()
        expect(page.locator("#pane-versions")).to_contain_text("long board")
        page.get_by_role("button", name="Restore Version 1").click()
        page.get_by_role("tab", name="Text").click()
        expect(text).to_have_value(shipped_text("tern-point-hood"))


def test_another_garment_brings_its_own_fields(chromium: Browser, served: Served) -> None:
    address, studio = served
    hood = stored(studio)["hood"]
    with opened(chromium, 1280, base=address) as page:
        page.goto(f"{address}designs/{hood.id}")
        proved(page)
        page.get_by_label("Garment").select_option("plain-strip")
        expect(page.get_by_label("Width").first).to_be_visible()
        proved(page)
        page.keyboard.press("Control+z")
        expect(page.get_by_label("Closing")).to_be_visible()
        proved(page)


def test_the_library_is_taken_into_a_design(chromium: Browser, served: Served) -> None:
    address, studio = served
    hood = stored(studio)["hood"]
    with opened(chromium, 320, base=address) as page:
        page.goto(f"{address}designs/{hood.id}")
        proved(page)
        page.get_by_label("Add a size for someone in the library").select_option("cox")
        page.locator("[data-key=sizes]").get_by_role("button", name="Take it").click()
        # There is a cox already, so this is told at its field, and can be mended there.
        expect(page.locator("#state")).to_contain_text("something to mend")
        name = page.locator("#pane-form").get_by_label("Name").last
        name.fill("stroke")
        name.blur()
        expect(page.get_by_role("columnheader", name="stroke")).to_be_visible()


def test_a_second_window_is_told(chromium: Browser, served: Served) -> None:
    address, studio = served
    hood = stored(studio)["hood"]
    with opened(chromium, 1280, base=address, expected="409") as first:
        first.goto(f"{address}designs/{hood.id}")
        proved(first)
        other = first.context.new_page()
        other.goto(f"{address}designs/{hood.id}")
        proved(other)
        other.get_by_label("Title").fill("From the other window")
        other.get_by_label("Title").blur()
        expect(other.locator("h1")).to_have_text("From the other window")
        with first.expect_response(lambda answer: answer.status == 409):
            first.get_by_label("Title").fill("From the first window")
            first.get_by_label("Title").blur()
        expect(first.locator("#messages")).to_contain_text("was changed since")
        expect(first.get_by_label("Title")).to_have_value("From the other window")
        first.close()


def test_what_does_not_arrive_is_sent_again(chromium: Browser, served: Served) -> None:
    address, studio = served
    hood = stored(studio)["hood"]
    with opened(chromium, 1280, base=address, expected="ERR_") as page:
        page.goto(f"{address}designs/{hood.id}")
        proved(page)
        page.route("**/fields", lambda route: route.abort())
        page.get_by_label("Title").fill("Kept all the same")
        page.get_by_label("Title").blur()
        expect(page.locator("#state")).to_have_text("Not saved.")
        page.unroute("**/fields")
        expect(page.locator("h1")).to_have_text("Kept all the same")
        proved(page)
    kept = studio.library.get(hood.id)
    assert kept.name == "Kept all the same"


# --- the library ---------------------------------------------------------------------------------


def test_a_yarn_is_kept_weighed_and_found(chromium: Browser, served: Served) -> None:
    address, _ = served
    with opened(chromium, 320, base=address) as page:
        page.goto(f"{address}library")
        page.get_by_role("link", name=re.compile("^Yarns")).click()
        page.get_by_role("link", name="New yarn").click()
        page.get_by_label("Name").fill("Slipway worsted")
        page.get_by_label("Category").select_option("4")
        page.get_by_label("Metres in 100 g").fill("175")
        page.get_by_role("button", name="Keep it").click()
        page.wait_for_url(re.compile(r"/library/yarn/[0-9a-f-]{36}"))
        page.get_by_label("Each ball now").fill("100 g, 46 g")
        page.get_by_role("button", name="Note the weight").click()
        expect(page.get_by_role("region", name="Weight history")).to_contain_text("146 g")
        page.get_by_label("Fibre").fill("wool")
        page.get_by_role("button", name="Save").click()
        expect(page.locator("#state")).to_have_text("Saved.")
        fits(page)
        page.goto(f"{address}library?query=slipway")
        expect(page.get_by_role("link", name="Slipway worsted")).to_be_visible()


# --- for everyone --------------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "scheme"), [(320, "dark"), (1280, "light")])
def test_axe_finds_nothing_wrong(
    chromium: Browser, served: Served, width: int, scheme: str
) -> None:
    address, studio = served
    known = stored(studio)
    hood = known["hood"].id
    kinds = ("board", "yarn", "swatch", "person", "making")
    paths = ["designs", "designs?query=nothing", "designs?deleted=true", "designs/new"]
    paths += ["library", "library?query=cox", "library/safe", "library/yarn", "library/making/new"]
    paths += [f"library/{kind}/{known[kind].id}" for kind in kinds]
    paths += ["publish", f"publish/{hood}", f"designs/{hood}"]
    faults: list[str] = []
    with opened(chromium, width, scheme=scheme, base=address) as page:
        for path in paths:
            page.goto(address + path)
            page.wait_for_load_state("networkidle")
            fits(page)
            faults += axe_faults(page)
        expect(page.locator(".fabric img")).to_be_visible()
        page.locator("details").evaluate_all("all => all.forEach((one) => { one.open = true; })")
        for name in ("Text", "Versions", "Form"):
            page.get_by_role("tab", name=name).click()
            page.wait_for_load_state("networkidle")
            faults += axe_faults(page)
        page.get_by_label("Pitch").fill("wide")
        page.get_by_label("Pitch").blur()
        expect(page.get_by_label("Pitch")).to_have_attribute("aria-invalid", "true")
        faults += axe_faults(page)
    assert not faults, "\n".join(faults)


def test_figures_have_names_and_words(chromium: Browser, served: Served) -> None:
    address, studio = served
    hood = stored(studio)["hood"]
    with opened(chromium, 1280, base=address) as page:
        page.goto(f"{address}designs/{hood.id}")
        proved(page)
        expect(page.get_by_role("img", name=re.compile("flat and relaxed"))).to_be_visible()
        expect(page.get_by_role("img", name=re.compile("One course of"))).to_be_visible()
        heard = page.locator("#heard")
        expect(heard).to_contain_text("Proved in 3 sizes")
        page.get_by_label("Rows", exact=True).first.fill("90")
        page.get_by_label("Rows", exact=True).first.blur()
        expect(heard).to_contain_text("90")


def test_touch_targets_are_large_enough(chromium: Browser, served: Served) -> None:
    """44 px, as WCAG 2.2 asks of the enhanced level (2.5.5); links in running text aside."""
    address, studio = served
    hood = stored(studio)["hood"]
    with opened(chromium, 320, base=address) as page:
        for path in ("designs", f"designs/{hood.id}", f"publish/{hood.id}", "library/yarn/new"):
            page.goto(address + path)
            page.wait_for_load_state("networkidle")
            small = page.evaluate(
                """() => [...document.querySelectorAll("button, select, input, textarea, .button,"
                  + ".places a, summary")].filter((one) => {
                  const target = one.closest("label.check, label.choose") ?? one;
                  const box = target.getBoundingClientRect();
                  return box.width && box.height && (box.height < 43.5 || box.width < 43.5);
                }).map((one) => one.outerHTML.slice(0, 120))"""
            )
            assert not small, (path, small)
