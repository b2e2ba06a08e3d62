"""The Loom in a real browser: played, looked into, by keys alone, small, still, and at a fault."""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pytest

from pegwright.designs.files import shipped_text
from pegwright.studio.app import create_app
from pegwright.studio.designs.desk import text_body
from pegwright.studio.serving import bound
from pegwright.studio.settings import Settings
from tests.studio.browser import axe_faults, needs_browser, opened, tab_to
from tests.studio.browser import browser as browser_started

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = [pytest.mark.browser, needs_browser()]


@dataclass(frozen=True)
class Shown:
    """A studio that is served, and the designs in it by a short name."""

    address: str
    designs: dict[str, str]


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shown]:
    import uvicorn

    listener = bound(0)
    library = tmp_path_factory.mktemp("loom") / "library.sqlite"
    settings = Settings(library=library, port=listener.getsockname()[1])
    app = create_app(settings)
    texts = {name: shipped_text(f"tern-point-{name}") for name in ("hood", "cap", "boat-blanket")}
    texts["short"] = shipped_text("tern-point-cowl").replace(
        "invented = true", 'available = "20 g"\ninvented = true', 1
    )
    put = app.state.studio.library.put
    designs = {name: put(text_body(text)).id for name, text in texts.items()}
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning", access_log=False))
    thread = threading.Thread(target=server.run, args=([listener],), daemon=True)
    thread.start()
    deadline = time.monotonic() + 10
    while not server.started:
        assert time.monotonic() < deadline, "the studio did not start"
        time.sleep(0.01)
    yield Shown(settings.address, designs)
    server.should_exit = True
    thread.join(10)
    listener.close()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with browser_started() as started:
        yield started


@pytest.fixture
def loom(browser: Browser, shown: Shown) -> Iterator[Any]:
    """Opens a design on the loom; nothing may be complained of in the browser meanwhile."""
    with ExitStack() as pages:

        def put(design: str, width: int = 1280, scheme: str = "light", still: bool = False) -> Page:
            page = pages.enter_context(opened(browser, width, scheme=scheme, base=shown.address))
            page.emulate_media(reduced_motion="reduce" if still else "no-preference")
            page.goto(f"{shown.address}loom?design={shown.designs[design]}")
            page.wait_for_selector("#loom[data-ready]")
            return page

        yield put


def _at(page: Page) -> tuple[int, int]:
    root = page.locator("#loom")
    return int(root.get_attribute("data-operation") or -1), int(
        root.get_attribute("data-made") or -1
    )


def _wait_for(page: Page, operation: int, made: int = 0) -> None:
    page.wait_for_selector(f'#loom[data-operation="{operation}"][data-made="{made}"]')


def _painted(page: Page) -> int:
    """How many pixels of the board are of another colour than its background."""
    count: int = page.evaluate(
        """() => {
          const canvas = document.getElementById("board");
          const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
          const same = (i) => [0, 1, 2].every((k) => data[i + k] === data[k]);
          let other = 0;
          for (let i = 0; i < data.length; i += 4) if (!same(i)) other += 1;
          return other;
        }"""
    )
    return count


def test_it_plays_and_pauses(loom: Any) -> None:
    page = loom("hood")
    assert _at(page) == (0, 0)
    bare = _painted(page)
    page.select_option("#speed", "300")
    page.get_by_role("button", name="Play").click()
    deadline = time.monotonic() + 15
    while _at(page) < (7, 0):  # row 2 is begun
        assert time.monotonic() < deadline, "it does not play"
        page.wait_for_timeout(50)
    page.get_by_role("button", name="Pause").click()
    page.wait_for_selector("#loom:not([data-playing])")
    at = _at(page)
    assert _painted(page) > bare + 1000  # yarn lies on the board
    page.wait_for_timeout(250)
    assert _at(page) == at
    assert re.match(r"Step \d+ of 13 · .* · row \d+ of the strip", page.inner_text("#where"))


def test_motions_rows_and_steps_go_on_and_back(loom: Any) -> None:
    page = loom("hood")
    page.get_by_role("button", name="Next step").click()
    _wait_for(page, 4)
    assert page.inner_text("#words") == "Row 1: wrap 56 pegs, from B1 to F1."
    assert page.inner_text("#hand") == "Take the yarn round B1. (1 of 56)"
    page.get_by_role("button", name="On one motion").click()
    _wait_for(page, 4, 1)
    assert page.inner_text("#hand") == "Take the yarn round F2. (2 of 56)"
    page.get_by_role("button", name="Back one motion").click()
    _wait_for(page, 4, 0)
    page.get_by_role("button", name="Back one motion").click()
    _wait_for(page, 3, 0)  # the anchor cord, a single motion
    page.get_by_role("button", name="On one row").click()
    _wait_for(page, 4)
    page.get_by_role("button", name="On one row").click()
    _wait_for(page, 7)
    page.get_by_role("button", name="Back one row").click()
    _wait_for(page, 4)
    page.get_by_role("button", name="Step back").click()
    _wait_for(page, 0)


def test_going_to_a_row_shows_the_loops_that_are_there(loom: Any) -> None:
    page = loom("hood")
    page.fill("#row", "50")
    page.click("#to-row button")
    page.wait_for_selector('#loom[data-row="50"]')
    assert page.inner_text("#held") == "One loop on F1 to F28, B1 to B28."
    assert "round 49 of 99" in page.inner_text("#where")
    for _ in range(3):
        page.click("#on")
    page.wait_for_selector('#loom[data-made="3"]')
    assert page.inner_text("#held").startswith("Two loops on F2, B1, B3. One loop on F1, F3 to F28")


def test_the_slider_goes_anywhere(loom: Any) -> None:
    page = loom("cap")
    page.locator("#scrub").fill("40")
    _wait_for(page, 40)
    assert "row" in (page.get_attribute("#scrub", "aria-valuetext") or "")
    page.locator("#scrub").fill(page.get_attribute("#scrub", "max") or "")
    page.wait_for_selector("#words:has-text('The work is done.')")
    assert page.inner_text("#held") == "Nothing is on the loom."


def test_keys_alone_do_the_whole_of_it(loom: Any) -> None:
    page = loom("hood")
    page.locator("#main").focus()
    tab_to(page, "The board from above")
    page.keyboard.press("PageUp")
    _wait_for(page, 4)
    page.keyboard.press("ArrowRight")
    _wait_for(page, 4, 1)
    page.keyboard.press("ArrowLeft")
    _wait_for(page, 4, 0)
    page.keyboard.press("ArrowUp")
    _wait_for(page, 7)
    page.keyboard.press("ArrowDown")
    _wait_for(page, 4)
    page.keyboard.press("End")
    page.wait_for_selector("#words:has-text('The work is done.')")
    page.keyboard.press("Home")
    _wait_for(page, 0)
    page.keyboard.press("Space")
    page.wait_for_selector("#loom[data-playing]")
    page.keyboard.press("Space")
    page.wait_for_selector("#loom:not([data-playing])")
    whole = page.evaluate("document.getElementById('board').toDataURL()")
    page.keyboard.press("+")
    assert page.evaluate("document.getElementById('board').toDataURL()") != whole


def test_a_fault_is_shown_where_it_lies(loom: Any) -> None:
    page = loom("short")
    page.locator("#found").get_by_role("button", name="Show on the board").click()
    page.wait_for_selector('#loom[data-row="20"]')
    assert page.inner_text("#hand").startswith("Take the yarn round B11.")
    assert page.evaluate("document.activeElement.id") == "stage"
    assert "row 20" in page.inner_text("#found")


def test_what_the_hands_do_is_said(loom: Any) -> None:
    page = loom("hood")
    heard = page.locator("#heard")
    assert heard.get_attribute("aria-live") == "polite"
    page.click("#step-on")
    page.wait_for_selector("#heard:has-text('Take the yarn round B1.')", state="attached")
    assert "loops" in (page.get_attribute("#board", "aria-label") or "")


def _pictures(page: Page) -> list[tuple[str, str]]:
    """Six looks at the board while it plays: how many motions are made, and the picture."""
    page.click("#step-on")
    _wait_for(page, 4)
    page.select_option("#speed", "1")
    page.click("#play")
    seen = []
    for _ in range(6):
        made, picture = page.evaluate(
            """() => [document.getElementById("loom").dataset.made,
                      document.getElementById("board").toDataURL()]"""
        )
        seen.append((made, picture))
        page.wait_for_timeout(120)
    return seen


def test_little_motion_shows_states_only(loom: Any) -> None:
    """Between one motion and the next the picture stands still."""
    seen = _pictures(loom("hood", still=True))
    assert len({picture for _, picture in seen}) == len({made for made, _ in seen})


def test_motion_is_shown_where_it_is_welcome(loom: Any) -> None:
    seen = _pictures(loom("hood"))
    assert len({picture for _, picture in seen}) > len({made for made, _ in seen})


@pytest.mark.parametrize(
    ("width", "scheme"),
    [(320, "light"), (320, "dark"), (1280, "light"), (1280, "dark"), (2560, "light")],
)
def test_every_width_holds_it_and_is_open_to_all(loom: Any, width: int, scheme: str) -> None:
    page = loom("boat-blanket", width, scheme)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    if width < 2560:
        page.wait_for_selector("#loom[data-fabric]")
        assert axe_faults(page) == []
    small = page.evaluate(
        """() => [...document.querySelectorAll("#loom button, #loom select, #loom a.button")]
          .filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 43.5)
          .map((e) => e.outerHTML.slice(0, 90))"""
    )
    assert small == []


def test_a_long_board_follows_the_hands(loom: Any) -> None:
    page = loom("boat-blanket", 320)
    page.click("#step-on")
    _wait_for(page, 4)
    for _ in range(30):
        page.click("#on")
    _wait_for(page, 4, 30)
    before = page.evaluate("document.getElementById('board').toDataURL()")
    page.uncheck("#follow")
    page.click("#back")
    _wait_for(page, 4, 29)
    assert page.inner_text("#hand").startswith("Take the yarn round F30.")
    assert page.evaluate("document.getElementById('board').toDataURL()") != before


def test_the_board_is_drawn_aside_by_hand(loom: Any) -> None:
    page = loom("boat-blanket")
    box = page.locator("#board").bounding_box()
    assert box is not None
    before = page.evaluate("document.getElementById('board').toDataURL()")
    page.mouse.move(box["x"] + 600, box["y"] + 100)
    page.mouse.down()
    page.mouse.move(box["x"] + 300, box["y"] + 100, steps=5)
    page.mouse.up()
    assert page.evaluate("document.getElementById('board').toDataURL()") != before
    assert not page.is_checked("#follow")


# --- the whole fabric ----------------------------------------------------------------------------


def test_the_fabric_is_moved_about_by_keys(loom: Any) -> None:
    page = loom("boat-blanket")
    page.wait_for_selector("#loom[data-fabric]")
    status = page.locator("fabric-canvas [role=status]")
    page.locator("fabric-canvas .frame").focus()
    for _ in range(7):
        page.keyboard.press("+")
    status.get_by_text("every stitch drawn").wait_for()
    near = status.inner_text()
    for _ in range(12):
        page.keyboard.press("ArrowDown")
    page.wait_for_timeout(700)
    assert status.inner_text() != near
    assert "Rows 1 to" not in near
    page.keyboard.press("0")
    status.get_by_text("Rows 1 to 223, pegs F1 to F75").wait_for()


def test_colours_of_the_fabric_are_those_of_the_stripes(loom: Any) -> None:
    page = loom("boat-blanket")
    page.wait_for_selector("#loom[data-fabric]")
    page.wait_for_timeout(200)
    seen = page.evaluate(
        """() => {
          const fabric = document.querySelector("fabric-canvas");
          const { canvas, sheet } = fabric;
          const c = canvas.getContext("2d");
          const at = (row) => {
            const line = sheet.row_at_top - row + 0.5;
            const y = (line - fabric.y) * fabric.size * fabric.shape + (fabric.high - 30) / 2;
            const x = 52 + (fabric.wide - 52) / 2;
            const [r, g, b] = c.getImageData(x * fabric.ratio, y * fabric.ratio, 1, 1).data;
            return "#" + [r, g, b].map((v) => v.toString(16).padStart(2, "0")).join("");
          };
          return [4, 12, 28].map(at);
        }"""
    )
    assert seen == ["#ece8df", "#4a5a6a", "#b8a27c"]  # white, slate, hemp: the first stripes


def test_another_side_is_shown_when_it_is_chosen(loom: Any) -> None:
    page = loom("hood")
    page.wait_for_selector("#loom[data-fabric]")
    page.select_option("#sheet", label="Hood, left side")
    page.wait_for_selector("#fabric-words:has-text('Hood, left side')")
    label = page.locator("fabric-canvas canvas").get_attribute("aria-label")
    assert label is not None
    assert label.startswith("Hood, left side")
