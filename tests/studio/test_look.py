"""The look, light, dark or like the system: chosen once, it holds on every page and at once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from pegwright.library.records import Kind, OwnYarn
from pegwright.studio.state import Studio
from pegwright.yarn.yarn import Yarn
from tests.studio.browser import axe_faults, browser, needs_browser, opened, tab_to
from tests.studio.conftest import Served
from tests.studio.follow_stand import a_making, open_making

pytestmark = [pytest.mark.browser, needs_browser()]

Scheme = Literal["light", "dark"]

PAPER = {"light": "rgb(253, 253, 251)", "dark": "rgb(20, 26, 32)"}
"""``--paper`` in either look, as in studio.css."""
STAGE = {"light": [0xF4, 0xF5, 0xF3], "dark": [0x10, 0x16, 0x1B]}
"""``--stage``, the ground of the loom's drawing, as in loom.css."""
RAISED = {"light": [0xFF, 0xFF, 0xFF], "dark": [0x1A, 0x21, 0x28]}
"""``--raised``, the ground of the fabric's rulers, as in studio.css."""
OTHER: dict[str, Scheme] = {"light": "dark", "dark": "light"}

_ORDER = """
  window.order = [];
  new MutationObserver((changes) => {
    for (const change of changes) {
      if (change.attributeName === "data-look") window.order.push(change.target.dataset.look);
      for (const made of change.addedNodes) if (made.nodeName === "BODY") window.order.push("body");
    }
  }).observe(document, { attributes: true, childList: true, subtree: true });
"""
_REFUSED = """
  Object.defineProperty(window, "localStorage", {
    get() { throw new DOMException("The user keeps nothing.", "SecurityError"); },
  });
"""
_THEME = """() => [...document.querySelectorAll("meta[name=theme-color]")]
  .filter((one) => matchMedia(one.media).matches).map((one) => one.content)"""

_MARGIN = """async () => {
  const image = document.querySelector(".fabric img");
  await image.decode();
  const c = new OffscreenCanvas(image.naturalWidth, image.naturalHeight).getContext("2d");
  c.drawImage(image, 0, 0);
  const { data } = c.getImageData(0, 40, 20, 300);
  const whole = [...data.keys()].filter((i) => i % 4 === 3 && data[i] > 250);
  return [...new Set(whole.map((i) => data[i - 2]))];
}"""
"""The green of whatever is drawn in the margin where the row numbers stand."""


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as started:
        yield started


def chosen(context: BrowserContext, look: str) -> None:
    """As in a browser in which that look was chosen before."""
    context.add_init_script(f'if (self === top) localStorage.setItem("pegwright-look", "{look}");')


def shows(page: Page, look: str) -> None:
    """The page is in that look: its root says so, it is painted so, and the browser knows."""
    expect(page.locator("html")).to_have_attribute("data-look", look)
    expect(page.locator("body")).to_have_css("background-color", PAPER[look])
    expect(page.locator("html")).to_have_css("color-scheme", look)
    assert page.evaluate(_THEME) == [{"light": "#fdfdfb", "dark": "#141a20"}[look]]


def corner(page: Page, canvas: str) -> list[int]:
    """The colour of a canvas at its left top corner."""
    found: list[int] = page.evaluate(
        """(id) => {
          const at = document.getElementById(id);
          const canvas = at.shadowRoot?.querySelector("canvas") ?? at;
          return [...canvas.getContext("2d").getImageData(1, 1, 1, 1).data].slice(0, 3);
        }""",
        canvas,
    )
    return found


def on_the_loom(page: Page, address: str, design: str) -> None:
    page.goto(f"{address}loom?design={design}")
    page.wait_for_selector("#loom[data-ready][data-fabric]")
    page.wait_for_function("() => document.getElementById('fabric').painted > 0")


def a_hood(studio: Studio) -> tuple[str, str]:
    """A making of the hood, and its design."""
    making = a_making(studio)
    (design,) = studio.library.list(Kind.DESIGN)
    return making.id, design.id


# --- the choice ----------------------------------------------------------------------------------


def test_the_choice_holds_on_every_page_and_in_every_open_one(
    chromium: Browser, served: Served
) -> None:
    address, studio = served
    making = a_making(studio).id
    with opened(chromium, 1280, base=address) as page:
        page.goto(f"{address}designs")
        shows(page, "light")
        knitting = page.context.new_page()
        open_making(knitting, address, making)
        shows(knitting, "light")

        page.get_by_label("Look").select_option("Dark")
        shows(page, "dark")
        shows(knitting, "dark")  # at once, without being loaded anew
        page.reload()
        shows(page, "dark")
        expect(page.get_by_label("Look")).to_have_value("dark")
        page.goto(f"{address}library")
        shows(page, "dark")

        knitting.get_by_role("button", name="More").click()
        expect(knitting.get_by_label("Look")).to_have_value("dark")
        knitting.get_by_label("Look").select_option("Like the system")
        shows(knitting, "light")
        shows(page, "light")
        expect(page.get_by_label("Look")).to_have_value("")


@pytest.mark.parametrize("system", ["light", "dark"])
def test_the_system_is_followed_only_where_nothing_was_chosen(
    chromium: Browser, served: Served, system: Scheme
) -> None:
    address, _ = served
    with opened(chromium, 390, base=address, scheme=system) as page:
        page.goto(f"{address}designs")
        shows(page, system)
        page.emulate_media(color_scheme=OTHER[system])
        shows(page, OTHER[system])
        page.get_by_label("Look").select_option(system)
        shows(page, system)
        page.emulate_media(color_scheme=system)
        page.emulate_media(color_scheme=OTHER[system])
        shows(page, system)
        page.get_by_label("Look").select_option("Like the system")
        shows(page, OTHER[system])


def test_colours_that_the_system_forces_go_before_the_choice(
    chromium: Browser, served: Served
) -> None:
    address, _ = served
    with opened(chromium, 390, base=address) as page:
        chosen(page.context, "dark")
        page.goto(f"{address}designs")
        shows(page, "dark")
        page.emulate_media(forced_colors="active")
        expect(page.locator("html")).to_have_attribute("data-look", "light")
        expect(page.get_by_label("Look")).to_have_value("dark")
        page.emulate_media(forced_colors="none")
        shows(page, "dark")


def test_what_is_no_look_is_like_the_system(chromium: Browser, served: Served) -> None:
    address, _ = served
    with opened(chromium, 390, base=address, scheme="dark") as page:
        chosen(page.context, "sepia")
        page.goto(f"{address}designs")
        shows(page, "dark")
        expect(page.get_by_label("Look")).to_have_value("")


def test_a_browser_that_keeps_nothing_is_told_and_nothing_breaks(
    chromium: Browser, served: Served
) -> None:
    address, studio = served
    making = a_making(studio).id
    with opened(chromium, 390, base=address) as page:
        page.context.add_init_script(_REFUSED)
        page.goto(f"{address}designs")
        shows(page, "light")
        page.get_by_label("Look").select_option("Dark")
        shows(page, "dark")
        expect(page.locator("#look-said")).to_contain_text("for this page only")
        page.evaluate("dispatchEvent(new PageTransitionEvent('pageshow'))")
        shows(page, "dark")
        page.reload()
        shows(page, "light")
        open_making(page, address, making)
        shows(page, "light")


def test_without_scripts_the_systems_look_holds(chromium: Browser, served: Served) -> None:
    address, _ = served
    context = chromium.new_context(java_script_enabled=False, color_scheme="dark")
    page = context.new_page()
    page.goto(f"{address}designs")
    expect(page.locator("body")).to_have_css("background-color", PAPER["dark"])
    expect(page.get_by_label("Look")).to_be_hidden()  # it could do nothing
    page.emulate_media(color_scheme="light")
    expect(page.locator("body")).to_have_css("background-color", PAPER["light"])
    context.close()


# --- no flash ------------------------------------------------------------------------------------


@pytest.mark.parametrize("look", ["light", "dark"])
def test_the_look_is_there_before_anything_is_painted(
    chromium: Browser, served: Served, look: Scheme
) -> None:
    address, studio = served
    making, design = a_hood(studio)
    with opened(chromium, 390, base=address, scheme=OTHER[look], expected="404") as page:
        chosen(page.context, look)
        page.context.add_init_script(_ORDER)
        for path in ("designs", f"designs/{design}", "library", "follow/", f"follow/{making}", "x"):
            page.goto(address + path, wait_until="domcontentloaded")
            shows(page, look)
            assert page.evaluate("window.order") == [look, "body"], path
            assert page.evaluate(
                """() => {
                  const script = document.querySelector('head script[src="/static/look.js"]');
                  const style = document.querySelector("link[rel=stylesheet]");
                  const before = style.compareDocumentPosition(script) & 2;
                  return before && !script.async && !script.defer && script.type === "";
                }"""
            ), f"{path}: the script does not hold the page back until it has run"


def test_the_page_as_one_file_keeps_its_look(
    chromium: Browser, served: Served, tmp_path: Path
) -> None:
    address, studio = served
    making = a_making(studio).id
    saved = tmp_path / "hood.html"
    with opened(chromium, 390, base=address) as page:
        answer = page.request.get(f"{address}api/follow/makings/{making}/file")
        saved.write_bytes(answer.body())
        page.context.add_init_script(_ORDER)
        page.context.set_offline(True)
        page.goto(saved.as_uri())
        page.wait_for_selector("html[data-ready]")
        shows(page, "light")
        page.get_by_role("button", name="More").click()
        page.get_by_label("Look").select_option("Dark")
        shows(page, "dark")
        page.reload()
        shows(page, "dark")
        assert page.evaluate("window.order.slice(0, 2)") == ["dark", "body"]


# --- what is painted and not styled --------------------------------------------------------------


def test_the_loom_and_its_fabric_are_painted_anew(chromium: Browser, served: Served) -> None:
    address, studio = served
    _, design = a_hood(studio)
    with opened(chromium, 1280, base=address) as page:
        on_the_loom(page, address, design)
        for look in ("light", "dark", "light"):
            page.get_by_label("Look").select_option(look)
            assert (corner(page, "board"), corner(page, "fabric")) == (STAGE[look], RAISED[look])
        page.get_by_label("Look").select_option("Like the system")
        page.emulate_media(color_scheme="dark")
        shows(page, "dark")
        assert (corner(page, "board"), corner(page, "fabric")) == (STAGE["dark"], RAISED["dark"])


def test_the_numbers_beside_the_fabric_can_be_read_in_either_look(
    chromium: Browser, served: Served
) -> None:
    address, studio = served
    _, design = a_hood(studio)
    with opened(chromium, 1280, base=address) as page:
        page.goto(f"{address}designs/{design}")
        expect(page.locator(".fabric img")).to_be_visible()
        for look in ("dark", "light"):
            page.get_by_label("Look").select_option(look)
            inks = page.evaluate(_MARGIN)
            assert inks
            # --quiet is #b3bec8 in the dark look and #4d5a66 in the light one.
            quiet = 0xBE if look == "dark" else 0x5A
            assert all(abs(ink - quiet) <= 2 for ink in inks)


def test_the_preview_of_the_page_is_in_the_look_of_the_studio(
    chromium: Browser, served: Served
) -> None:
    """The frame takes it from where it stands; the page itself knows nothing of the choice."""
    address, studio = served
    _, design = a_hood(studio)
    unforced: Any = (
        "null"  # as a browser that nobody emulates: light here, and frames ask their page
    )
    with opened(chromium, 1280, base=address, scheme=unforced) as page:
        page.goto(f"{address}publish/{design}")
        page.get_by_role("tab", name="Web page").click()
        inside = page.frame_locator("#pane-page iframe").locator("body")
        expect(inside).to_have_css("background-color", PAPER["light"])
        page.get_by_label("Look").select_option("Dark")
        expect(inside).to_have_css("background-color", PAPER["dark"])
        alone = page.request.get(f"{address}api/publish/{design}/page").text()
    assert "prefers-color-scheme:dark" in alone
    assert "data-look" not in alone


# --- paper ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("look", ["", "dark"])
def test_paper_is_light(chromium: Browser, served: Served, look: str) -> None:
    address, studio = served
    _, design = a_hood(studio)
    with opened(chromium, 1280, base=address, scheme="dark") as page:
        on_the_loom(page, address, design)
        page.get_by_label("Look").select_option(look)
        shows(page, "dark")
        page.emulate_media(media="print")
        expect(page.locator("body")).to_have_css("background-color", PAPER["light"])
        expect(page.locator("body")).to_have_css("color", "rgb(28, 37, 48)")
        expect(page.locator("html")).to_have_css("color-scheme", "light")
        page.emulate_media(media="screen")

        # What is painted is painted for the paper first, and back for the screen afterwards.
        for event, expected in (("beforeprint", "light"), ("afterprint", "dark")):
            page.evaluate("(name) => { dispatchEvent(new Event(name)); }", event)
            painted = (corner(page, "board"), corner(page, "fabric"))
            assert painted == (STAGE[expected], RAISED[expected])
        shows(page, "dark")


# --- for everyone --------------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "look"), [(390, "dark"), (1280, "light")])
def test_axe_finds_nothing_wrong_in_the_look_that_is_not_the_systems(
    chromium: Browser, served: Served, width: int, look: Scheme
) -> None:
    address, studio = served
    making, design = a_hood(studio)
    yarn = studio.library.put(OwnYarn(Yarn("Slipway worsted", 4, 175, colour="rust")))
    paths = ["designs", "designs/new", f"designs/{design}", "library", f"library/yarn/{yarn.id}"]
    paths += [f"loom?design={design}", "follow/", f"publish/{design}", f"follow/{making}"]
    faults: list[str] = []
    with opened(chromium, width, base=address, scheme=OTHER[look]) as page:
        chosen(page.context, look)
        for path in paths:
            page.goto(address + path)
            page.wait_for_selector("html[data-look]")
            if not path.startswith("follow/"):
                page.wait_for_load_state("networkidle")
            shows(page, look)
            wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
            assert wide <= 0, f"{path} is {wide} px too wide"
            faults += axe_faults(page)
        page.wait_for_selector("html[data-ready]")
        page.get_by_role("button", name="More").click()
        faults += axe_faults(page)
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("width", [320, 1280])
def test_it_is_chosen_by_keyboard_and_can_be_hit(
    chromium: Browser, served: Served, width: int
) -> None:
    address, studio = served
    making = a_making(studio).id
    with opened(chromium, width, base=address) as page:
        page.goto(f"{address}library")
        tab_to(page, "Look")
        page.keyboard.press("D")
        shows(page, "dark")
        expect(page.get_by_text("Look", exact=True)).to_be_visible()
        places = [page.locator("#look").bounding_box()]
        open_making(page, address, making)
        page.get_by_role("button", name="More").click()
        tab_to(page, "Look")
        page.keyboard.press("L")
        page.keyboard.press("i")
        shows(page, "light")
        expect(page.get_by_text("Look", exact=True)).to_be_visible()
        places.append(page.locator("#look").bounding_box())
        for place in places:
            assert place is not None
            assert min(place["height"], place["width"]) >= 44  # WCAG 2.2, 2.5.5


def test_the_system_is_asked_in_one_place(repo: Path) -> None:
    """A style or script that asks it by itself would not follow the choice."""
    folder = repo / "src" / "pegwright" / "studio"
    files = [*folder.glob("static/*.css"), *folder.glob("static/*.js")]
    files += folder.glob("templates/*.html")
    asked = {
        file.name: count
        for file in files
        if (count := file.read_text(encoding="utf-8").count("prefers-color-scheme"))
    }
    assert asked == {"look.js": 1, "studio.css": 1, "base.html": 2, "follow_base.html": 2}
