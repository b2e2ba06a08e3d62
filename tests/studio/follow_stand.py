"""What the tests of following along share: a making, events, and what is done at the loom."""

from __future__ import annotations

import random
from typing import Any

from playwright.sync_api import Page

from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.library.records import Making, Record
from pegwright.studio.designs.desk import text_body
from pegwright.studio.state import Studio

PATIENCE_MS = 10_000


def a_making(studio: Studio, name: str = "tern-point-hood", size: str | None = None) -> Record:
    """A making of a shipped design, in its first size where none is named."""
    text = shipped_text(name)
    wanted = size or read_text(text, name).sizes[0].name
    design = studio.library.put(text_body(text))
    return studio.library.put(Making(design.id, 1, wanted), name=f"{design.name}, {wanted}")


def row_event(device: str, counter: int, rows: int = 1, piece: str = "strip") -> dict[str, Any]:
    """A row as a device sends it."""
    return {
        "id": f"{device}-{counter}",
        "device": device,
        "counter": counter,
        "at": f"2026-11-25T10:{counter // 60 % 60:02d}:{counter % 60:02d}.000000Z",
        "kind": "row",
        "piece": piece,
        "rows": rows,
    }


def open_making(page: Page, address: str, making: str) -> None:
    """Open the page at the loom and wait until it is ready."""
    page.set_default_timeout(PATIENCE_MS)
    page.goto(f"{address}follow/{making}")
    page.wait_for_selector("html[data-ready]")


def rows_shown(page: Page) -> str:
    """The big number."""
    return page.inner_text("#count-number")


def until_rows(page: Page, rows: int) -> None:
    """Wait until so many rows are shown."""
    page.wait_for_function("n => document.getElementById('count-number').textContent === n",
                           arg=str(rows))  # fmt: skip


def until_kept(page: Page) -> None:
    """Wait until the studio has everything."""
    page.wait_for_function("() => document.getElementById('status').textContent === 'All kept'")


def press(page: Page, key: str, times: int = 1) -> None:
    """Press a key as a foot does: not faster than a pedal's contact settles."""
    for _ in range(times):
        page.keyboard.press(key)
        page.wait_for_timeout(90)


def random_events(seed: int) -> list[dict[str, Any]]:
    """A set of events of a few devices, with undos, odd clocks, repeats and ids that clash."""
    draw = random.Random(seed)
    devices = [f"device{n}" for n in range(draw.randint(1, 4))]
    counters = dict.fromkeys(devices, 0)
    events: list[dict[str, Any]] = []
    for _ in range(draw.randint(0, 40)):
        device = draw.choice(devices)
        counters[device] += 1 if draw.random() < 0.95 else 2
        kind = draw.choice(["row"] * 5 + ["step", "step", "note", "weigh", "undo"])
        fields: Any = {
            "row": {"piece": draw.choice(["strip", "cord", ""]), "rows": draw.choice([1, 2, -1])},
            "step": {"step": draw.randint(1, 5), "done": draw.random() < 0.7},
            "note": {"text": draw.choice(["snug", "höher", 'a "quote"\n', "𝒶 loop", "\uffee end"])},
            "weigh": {"yarn": draw.choice(["yarn-1", ""]), "grams": draw.choice(
                [10, 10.0, 0, 12.25, 1e-05, 123456.5, 0.1])},
            "undo": {"undoes": draw.choice(events)["id"] if events and draw.random() < 0.9
                     else "nothing-yet"},
        }[kind]  # fmt: skip
        at = f"2026-11-25T10:{draw.randint(0, 3):02d}:{draw.randint(0, 59):02d}.000000Z"
        event = {"id": f"{device}-{counters[device]}", "device": device, "text": "",
                 "counter": counters[device], "at": at, "kind": kind, **fields}  # fmt: skip
        if events and draw.random() < 0.05:
            event["id"] = draw.choice(events)["id"]
        events.append(event)
    events += draw.sample(events, min(len(events), 5))
    draw.shuffle(events)
    return events
