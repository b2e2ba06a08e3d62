"""The page at the loom in a real browser: the network off, two devices, keys, small screens."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route

from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.library.making import state_of
from pegwright.library.records import OwnYarn
from pegwright.studio.follow.document import followed
from pegwright.studio.state import Studio
from tests.studio.browser import axe_faults, needs_browser
from tests.studio.browser import browser as chromium
from tests.studio.conftest import Served
from tests.studio.follow_stand import (
    a_making,
    open_making,
    press,
    random_events,
    rows_shown,
    until_kept,
    until_rows,
)

pytestmark = [pytest.mark.browser, needs_browser()]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    made = browser.new_context(viewport={"width": 412, "height": 915})
    yield made
    made.close()


@pytest.fixture
def page(context: BrowserContext) -> Page:
    """A page on which nothing may go wrong unseen."""
    made = context.new_page()
    made.on("pageerror", lambda error: pytest.fail(f"the page broke: {error}"))
    return made


def rows_kept(studio: Studio, making: str) -> dict[str, int]:
    return dict(state_of(studio.library.events(making)).rows)


def worker_is_ready(page: Page) -> None:
    page.evaluate("() => navigator.serviceWorker.ready.then(() => 1)")
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")


def look_now(page: Page) -> None:
    """Ask the studio at once, not only when it is time again."""
    page.evaluate("() => dispatchEvent(new Event('online'))")


def at_the_rows(page: Page) -> None:
    """Past the cast-on, which is ticked and not counted."""
    press(page, "PageDown")
    until_rows(page, 0)


# --- the network off ----------------------------------------------------------------------------


def test_twenty_rows_with_the_network_off(
    served: Served, page: Page, context: BrowserContext
) -> None:
    address, studio = served
    making = a_making(studio).id
    open_making(page, address, making)
    worker_is_ready(page)

    context.set_offline(True)
    at_the_rows(page)
    press(page, "PageDown", 20)
    until_rows(page, 20)
    page.wait_for_function(
        "() => document.getElementById('status').textContent.startsWith('Network off')"
    )
    assert rows_kept(studio, making) == {}

    page.reload()  # with the network off: the page itself comes from the device
    until_rows(page, 20)
    assert "Knit the strip" in page.inner_text("#step")
    assert page.locator("#step figure svg").count() >= 1

    context.set_offline(False)
    until_kept(page)
    assert rows_kept(studio, making) == {"strip": 20}


def test_a_making_opens_from_the_shell_where_the_studio_is_away(
    served: Served, page: Page, context: BrowserContext
) -> None:
    address, studio = served
    first, other = a_making(studio).id, a_making(studio, "tern-point-scarf").id
    open_making(page, address, first)
    worker_is_ready(page)
    open_making(page, address, other)
    context.set_offline(True)
    open_making(page, address, first)
    assert page.inner_text("#title") == "Tern Point hood"
    open_making(page, address, other)
    assert page.inner_text("#title") == "Tern Point scarf"
    page.goto(f"{address}follow/")
    assert page.locator(f'a[href="/follow/{first}"]').count() == 1


def test_two_devices_that_were_apart_lose_no_row(served: Served, browser: Browser) -> None:
    address, studio = served
    making = a_making(studio).id
    contexts = [browser.new_context() for _ in range(2)]
    phone, desk = (one.new_page() for one in contexts)
    for one in (phone, desk):
        open_making(one, address, making)
    at_the_rows(phone)
    until_kept(phone)
    look_now(desk)
    until_rows(desk, 0)

    for each in contexts:
        each.set_offline(True)
    press(phone, "ArrowRight", 7)
    press(desk, "ArrowRight", 5)
    press(desk, "ArrowLeft", 2)  # undo takes back its own, never the phone's
    assert (rows_shown(phone), rows_shown(desk)) == ("7", "3")

    for each in contexts:
        each.set_offline(False)
    until_kept(phone)
    until_kept(desk)
    for one in (phone, desk):
        look_now(one)
        until_rows(one, 10)
    assert rows_kept(studio, making) == {"strip": 10}
    for each in contexts:
        each.close()


def test_a_studio_that_was_started_anew_takes_the_counts(served: Served, page: Page) -> None:
    address, studio = served
    making = a_making(studio).id
    # As a page from an earlier run has it: the token of then is worth nothing now.

    def from_yesterday(route: Route) -> None:
        text = route.fetch().text()
        assert studio.token in text
        route.fulfill(body=text.replace(studio.token, "of-yesterday"), content_type="text/html")

    page.route(f"**/follow/{making}", from_yesterday)
    open_making(page, address, making)
    at_the_rows(page)
    press(page, "PageDown", 2)
    until_kept(page)
    assert rows_kept(studio, making) == {"strip": 2}


# --- hands --------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["PageDown", "ArrowRight", "Space", "Enter"])
def test_every_forward_key_counts_one_row(served: Served, page: Page, key: str) -> None:
    address, studio = served
    making = a_making(studio).id
    open_making(page, address, making)
    at_the_rows(page)
    press(page, key, 3)
    until_rows(page, 3)
    page.focus("#count")
    press(page, key, 2)
    until_rows(page, 5)


@pytest.mark.parametrize("key", ["PageUp", "ArrowLeft"])
def test_every_back_key_undoes(served: Served, page: Page, key: str) -> None:
    address, studio = served
    open_making(page, address, a_making(studio).id)
    at_the_rows(page)
    press(page, "PageDown", 3)
    press(page, key, 2)
    until_rows(page, 1)
    press(page, key, 9)  # the row, then the cast-on; then there is nothing more
    page.wait_for_function("() => document.getElementById('undo').disabled")
    assert "Cast on" in page.inner_text("#count")


def test_a_key_that_is_held_or_bounces_counts_once(served: Served, page: Page) -> None:
    address, studio = served
    open_making(page, address, a_making(studio).id)
    at_the_rows(page)
    for _ in range(6):
        page.keyboard.down("PageDown")  # the second and later ones are repeats
    page.keyboard.up("PageDown")
    until_rows(page, 1)
    page.wait_for_timeout(100)
    # A bounce: the same key twice within a few milliseconds.
    page.evaluate(
        """() => { for (let n = 0; n < 2; n += 1) {
             const pressed = {key: 'PageDown', bubbles: true};
             document.body.dispatchEvent(new KeyboardEvent('keydown', pressed));
           } }"""
    )
    page.wait_for_timeout(150)
    assert rows_shown(page) == "2"


def test_quick_taps_are_all_kept_in_order(served: Served, page: Page) -> None:
    address, studio = served
    making = a_making(studio).id
    open_making(page, address, making)
    at_the_rows(page)
    page.evaluate(
        "() => { for (let n = 0; n < 40; n += 1) document.getElementById('count').click() }"
    )
    until_rows(page, 40)
    until_kept(page)
    counters = [e.counter for e in studio.library.events(making)]
    assert counters == list(range(1, 42))  # the cast-on's tick is the first


def test_typing_a_note_counts_nothing(served: Served, page: Page) -> None:
    address, studio = served
    making = a_making(studio).id
    open_making(page, address, making)
    at_the_rows(page)
    page.click("#note-open")
    page.fill("#note-text", "")
    page.keyboard.type("loose at F3 <b>& B4</b>")
    page.keyboard.press("PageDown")
    page.click("#note-form button")
    page.wait_for_selector("#notes-list li")
    assert page.inner_text("#notes-list .note-text") == "loose at F3 <b>& B4</b>"
    page.keyboard.press("Escape")
    assert rows_shown(page) == "0"
    until_kept(page)
    (note,) = state_of(studio.library.events(making)).notes
    assert note.text == "loose at F3 <b>& B4</b>"


def test_the_whole_work_by_keyboard_alone(served: Served, page: Page) -> None:
    address, studio = served
    making = a_making(studio, "tern-point-cap").id
    open_making(page, address, making)
    page.keyboard.press("Tab")  # the skip link
    press(page, "Enter")
    assert page.evaluate("() => document.activeElement.id") == "count"
    press(page, "Enter", 2)  # cast on, and row 1
    until_rows(page, 1)
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.id") == "steps-open":
            break
    page.keyboard.press("Enter")
    page.wait_for_selector("#steps[open]")
    page.keyboard.press("Escape")
    assert page.evaluate("() => document.activeElement.id") == "steps-open"
    assert page.evaluate(
        "() => getComputedStyle(document.activeElement).outlineStyle") == "solid"  # fmt: skip
    press(page, "PageDown", 2)
    until_rows(page, 3)
    page.evaluate("() => document.getElementById('more').showModal()")
    page.fill("#rows-by-hand", "39")
    page.focus("#rows-add")
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.getElementById('rows-said').textContent.includes('42')")
    page.keyboard.press("Escape")
    for _ in range(10):
        if "Every step is done" in page.inner_text("#count"):
            break
        press(page, "PageDown")
    until_kept(page)
    assert rows_kept(studio, making) == {"tube": 42}
    assert "All done" in page.inner_text("#step")


def test_rows_ripped_back_bring_the_step_back(served: Served, page: Page) -> None:
    address, studio = served
    open_making(page, address, a_making(studio).id)
    at_the_rows(page)
    page.click("#more-open")
    page.fill("#rows-by-hand", "100")
    page.click("#rows-add")
    page.wait_for_function(
        "() => document.getElementById('step').innerText.includes('Cut the yarn')"
    )
    page.fill("#rows-by-hand", "4")
    page.click("#rows-rip")
    page.keyboard.press("Escape")
    until_rows(page, 96)
    assert "Knit the strip" in page.inner_text("#step")


def test_the_counter_tells_rounds_stripes_and_the_step(served: Served, page: Page) -> None:
    address, studio = served
    open_making(page, address, a_making(studio, "tern-point-ribbed-scarf").id)
    press(page, "PageDown", 4)
    until_rows(page, 3)
    assert page.inner_text("#count-round") == "Round 2 of 112, row 1 of 2"
    assert page.inner_text("#way") == "Wrap the next row from F1 to B16."

    open_making(page, address, a_making(studio, "tern-point-boat-blanket").id)
    press(page, "PageDown", 4)
    assert "5 rows to go in this stripe, then Slipway worsted, slate" in page.inner_text("#stripe")


def test_a_weighing_is_forecast_and_kept_while_away(
    served: Served, page: Page, context: BrowserContext
) -> None:
    address, studio = served
    making = a_making(studio, "tern-point-scarf").id
    open_making(page, address, making)
    press(page, "PageDown")
    page.click("#weigh-open")
    page.fill("#weigh-grams", "340")
    page.click("#weigh-form button")
    page.wait_for_selector(".forecast .advice")
    assert "Keep going." in page.inner_text("#forecasts")

    context.set_offline(True)
    page.fill("#weigh-grams", "310.5")
    page.click("#weigh-form button")
    page.wait_for_function("() => document.getElementById('forecasts').innerText.includes('310.5')")
    text = page.inner_text("#forecasts")
    assert "340 g at row 0" in text  # the last forecast stands, with its own time
    assert "when this device and the studio meet again" in text
    context.set_offline(False)
    until_kept(page)
    assert [e.grams for e in state_of(studio.library.events(making)).weighings] == [340, 310.5]


# --- by hand ------------------------------------------------------------------------------------


def test_the_page_as_one_file_counts_and_hands_its_counts_back(
    served: Served, browser: Browser, tmp_path: Path
) -> None:
    address, studio = served
    making = a_making(studio).id
    context = browser.new_context(accept_downloads=True)
    page = context.new_page()
    asked: list[str] = []
    open_making(page, address, making)
    at_the_rows(page)
    press(page, "PageDown", 2)
    until_kept(page)
    page.click("#more-open")
    with page.expect_download() as got:
        page.click("#file-link")
    saved = tmp_path / "hood.html"
    got.value.save_as(saved)
    page.close()

    lone = context.new_page()
    problems: list[str] = []
    lone.on("console", lambda m: problems.append(m.text) if m.type == "error" else None)
    lone.on("request", lambda r: asked.append(r.url))
    context.set_offline(True)
    lone.goto(saved.as_uri())
    lone.wait_for_selector("html[data-ready]")
    until_rows(lone, 2)
    press(lone, "PageDown", 5)
    until_rows(lone, 7)
    lone.reload()
    until_rows(lone, 7)
    assert lone.inner_text("#status") == "Kept in this browser"
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    assert problems == []

    lone.click("#more-open")
    with lone.expect_download() as got:
        lone.click("#counts-save")
    counts = tmp_path / "count.json"
    got.value.save_as(counts)
    data = json.loads(counts.read_text())
    assert len(data["events"]) == 8

    context.set_offline(False)
    lone.click("#counts-send")
    lone.wait_for_selector("#bring[open]")
    assert rows_kept(studio, making) == {"strip": 2}  # nothing comes in unasked
    assert "#bring" not in lone.url
    lone.click("#bring-yes")
    until_rows(lone, 7)
    until_kept(lone)
    assert rows_kept(studio, making) == {"strip": 7}
    # The same once more from the file is not counted twice.
    lone.set_input_files("#counts-bring", counts)
    lone.wait_for_function("() => document.getElementById('said').textContent !== ''")
    assert "already" in lone.inner_text("#said")
    context.close()


@pytest.mark.parametrize(
    "text",
    ["", "{}", "[1]", '{"kind": "pegwright-count", "making": "other", "events": []}'],
)
def test_a_file_that_holds_no_counts_of_this_making_is_refused(
    served: Served, page: Page, tmp_path: Path, text: str
) -> None:
    address, studio = served
    making = a_making(studio).id
    open_making(page, address, making)
    wrong = tmp_path / "wrong.json"
    wrong.write_text(text)
    page.click("#more-open")
    page.set_input_files("#counts-bring", wrong)
    page.wait_for_function("() => document.getElementById('said').textContent !== ''")
    assert studio.library.events(making) == ()


def test_without_indexed_db_the_other_store_keeps_the_rows(
    served: Served, browser: Browser
) -> None:
    address, studio = served
    making = a_making(studio).id
    context = browser.new_context()
    context.add_init_script("Object.defineProperty(window, 'indexedDB', {value: undefined})")
    page = context.new_page()
    open_making(page, address, making)
    context.set_offline(True)
    at_the_rows(page)
    press(page, "PageDown", 3)
    kept = page.evaluate(f"() => localStorage.getItem('pegwright-follow events {making}')")
    assert len(json.loads(kept)) == 4
    context.set_offline(False)
    until_kept(page)
    assert rows_kept(studio, making) == {"strip": 3}
    context.close()


# --- the same fold ------------------------------------------------------------------------------


def test_both_folds_come_to_the_same_state(served: Served, page: Page) -> None:
    from pegwright.library.fields import Fields
    from pegwright.library.making import event_data, event_from, merged, missing, seen

    address, _ = served
    page.goto(f"{address}follow/shell.html")
    sets = [random_events(seed) for seed in range(300)]
    found = page.evaluate(
        """async (sets) => {
          const fold = await import('/static/follow-fold.js');
          return sets.map((events) => {
            const half = events.slice(0, events.length / 2);
            return {...fold.stateOf(events), seen: fold.seen(events),
                    missing: fold.missing(events, fold.seen(half)).map((e) => e.id)};
          });
        }""",
        sets,
    )
    for raw, theirs in zip(sets, found, strict=True):
        events = [event_from(Fields(one)) for one in raw]
        ours = state_of(events)
        assert theirs["rows"] == dict(ours.rows)
        assert theirs["rowsByDevice"] == dict(ours.rows_by_device)
        assert theirs["steps"] == list(ours.steps)
        assert [e["id"] for e in theirs["notes"]] == [e.id for e in ours.notes]
        assert [e["text"] for e in theirs["notes"]] == [e.text for e in ours.notes]
        assert [e["grams"] for e in theirs["weighings"]] == [e.grams for e in ours.weighings]
        last = theirs["last"]
        assert (last and last["id"]) == (ours.last and ours.last.id)
        assert last is None or ours.last is None or last["kind"] == event_data(ours.last)["kind"]
        assert theirs["counters"] == dict(ours.counters)
        assert theirs["events"] == ours.events
        assert theirs["seen"] == dict(seen(events))
        half = events[: len(events) // 2]
        assert theirs["missing"] == [e.id for e in missing(merged(events), seen(half))]


def test_both_find_the_same_place_in_the_rounds(served: Served, page: Page) -> None:
    from dataclasses import asdict

    from pegwright.designs.files import shipped_text
    from pegwright.designs.reader import read_text
    from pegwright.studio.follow.document import Rounds, place_in, rows_of

    address, _ = served
    page.goto(f"{address}follow/shell.html")
    headband = read_text(shipped_text("tern-point-headband"), "headband")
    document = followed(headband, headband.sizes[0].name).document
    trees: list[tuple[int | Rounds, ...]] = [step.rounds for step in document.steps if step.rows]
    trees.append((2, Rounds(3, (1, Rounds(2, (2,)))), 1))
    as_data = [[one if isinstance(one, int) else asdict(one) for one in tree] for tree in trees]
    found = page.evaluate(
        """async (trees) => {
          const steps = await import('/static/follow-steps.js');
          return trees.map((tree) => Array.from({length: steps.rowsOf(tree) + 1},
            (_, at) => steps.placeIn(tree, at + 1)));
        }""",
        as_data,
    )
    for tree, theirs in zip(trees, found, strict=True):
        ours = [[asdict(p) for p in place_in(tree, row)] for row in range(1, rows_of(tree) + 2)]
        assert theirs == ours


# --- how it looks -------------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "height"), [(320, 568), (412, 915), (800, 360), (1280, 800)])
@pytest.mark.parametrize("type_size", ["1", "3"])
def test_it_fits_and_can_be_hit(
    served: Served, browser: Browser, width: int, height: int, type_size: str
) -> None:
    address, studio = served
    making = a_making(studio, "tern-point-ribbed-scarf").id
    context = browser.new_context(viewport={"width": width, "height": height})
    page = context.new_page()
    open_making(page, address, making)
    page.evaluate(f"() => {{ document.documentElement.dataset.type = '{type_size}' }}")
    press(page, "PageDown", 4)
    assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
    for name in ("note", "weigh", "steps", "more"):
        page.evaluate(f"() => document.getElementById('{name}-open').click()")
        small = page.evaluate(
            """(name) => [...document.querySelectorAll(
                 `#${name} button, #${name} select, #${name} input, #${name} textarea, #${name} a,
                  .deck button, #count, .bar a, .bar button`)]
               .filter((one) => one.checkVisibility())
               .map((one) => {
                 // A tick box is hit through its label.
                 const hit = one.closest('label') ?? one;
                 const box = hit.getBoundingClientRect();
                 return [one.id || one.textContent, Math.round(box.width), Math.round(box.height)];
               })
               .filter(([, w, h]) => w < 64 || h < 64)""",
            name,
        )
        assert small == []
        assert page.evaluate(
            f"() => document.getElementById('{name}').scrollWidth <= innerWidth"
        ), name
        page.keyboard.press("Escape")
    context.close()


def test_the_counter_is_large_enough_for_an_arms_length(served: Served, page: Page) -> None:
    address, studio = served
    open_making(page, address, a_making(studio).id)
    at_the_rows(page)
    height = "(id) => parseFloat(getComputedStyle(document.getElementById(id)).fontSize)"
    assert page.evaluate(height, "count-number") >= 96
    assert page.evaluate(height, "step") >= 20
    box = page.locator("#count").bounding_box()
    assert box is not None
    assert box["width"] >= 380
    assert box["height"] >= 360


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(served: Served, browser: Browser, scheme: str) -> None:
    address, studio = served
    making = a_making(studio, "tern-point-boat-blanket").id
    context = browser.new_context(
        viewport={"width": 412, "height": 915},
        color_scheme=scheme,  # type: ignore[arg-type]
        reduced_motion="reduce",
    )
    page = context.new_page()
    open_making(page, address, making)
    assert axe_faults(page) == []  # a step that is ticked
    press(page, "PageDown", 4)
    assert axe_faults(page) == []
    for name in ("note", "weigh", "steps", "more"):
        page.click(f"#{name}-open")
        if name == "weigh":
            page.fill("#weigh-grams", "60")
            page.click("#weigh-form button")
            page.wait_for_selector(".forecast .advice")
        assert axe_faults(page) == [], name
        page.keyboard.press("Escape")
    page.goto(f"{address}follow/")
    page.wait_for_selector("#sharing button, #sharing p + p")
    assert axe_faults(page) == []
    context.close()


def test_motion_is_left_out_where_it_is_not_wanted(served: Served, browser: Browser) -> None:
    address, studio = served
    making = a_making(studio).id
    moving = {}
    for wish in ("no-preference", "reduce"):
        context = browser.new_context(reduced_motion=wish)
        page = context.new_page()
        open_making(page, address, making)
        page.evaluate(
            """() => { window.moves = 0; const own = Element.prototype.animate;
                 Element.prototype.animate = function (...given) {
                   window.moves += 1; return own.apply(this, given) } }"""
        )
        press(page, "PageDown", 3)
        moving[wish] = page.evaluate("() => window.moves")
        context.close()
    assert moving["no-preference"] > 0
    assert moving["reduce"] == 0


def test_the_screen_is_kept_on_and_the_words_say_so(served: Served, browser: Browser) -> None:
    address, studio = served
    making = a_making(studio).id
    for able in (True, False):
        context = browser.new_context()
        lock = "{request: async () => ({release: async () => {}})}"
        context.add_init_script(
            f"Object.defineProperty(Navigator.prototype, 'wakeLock', {{get: () => ({lock})}})"
            if able
            else "delete Navigator.prototype.wakeLock"
        )
        page = context.new_page()
        open_making(page, address, making)
        words = page.text_content("#awake-words") or ""
        assert words.startswith("The screen stays on" if able else "This browser cannot")
        context.close()


def test_it_is_started_from_the_studios_page(served: Served, page: Page) -> None:
    address, studio = served
    making = a_making(studio)
    yarn = next(iter(read_text(shipped_text("tern-point-hood")).yarns.values()))
    own = studio.library.put(OwnYarn(yarn), name="The winter kit's yarn")
    design = making.body.design  # type: ignore[union-attr]
    page.goto(f"{address}follow/?design={design}")
    page.wait_for_function("() => document.getElementById('start-size').options.length > 0")
    assert page.input_value("#start-yarn-0") == own.id
    page.select_option("#start-size", index=1)
    page.fill("#start-name", "The cox's winter hood")
    page.click("#start-form button")
    page.wait_for_selector("html[data-ready]")
    assert page.title().startswith("The cox's winter hood")
    page.click("#weigh-open")
    assert "weight history of The winter kit's yarn" in page.inner_text("#weigh-own")
    page.click("#weigh [data-close]")
    page.click(".bar-back")
    page.wait_for_selector(".making")
    assert page.locator(".making").count() == 2
