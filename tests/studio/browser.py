"""A real browser for the studio's tests: how it is started, axe-core, and working by keyboard."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

__all__ = ["CHROMIUM", "axe_faults", "browser", "named", "needs_browser", "opened", "tab_to"]

CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = (
    "--no-sandbox",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
_AXE = Path(__file__).parent / "vendor" / "axe.min.js"
_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]

_NAME = """() => {
  const one = document.activeElement;
  if (!one || one === document.body) return "";
  const label = one.labels?.[0]?.textContent ?? "";
  return (one.getAttribute("aria-label") || label || one.textContent || one.id).trim();
}"""


def needs_browser() -> pytest.MarkDecorator:
    """Skips where there is no Chromium; never where CI=true, which has installed it."""
    missing = not CHROMIUM.exists() and os.environ.get("CI") != "true"
    return pytest.mark.skipif(missing, reason="no Chromium here: tools/setup.sh system")


@contextmanager
def browser() -> Iterator[Browser]:
    """A browser that asks nothing of the network but what its pages do."""
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=str(CHROMIUM), args=list(ARGUMENTS))
        yield started
        started.close()


@contextmanager
def opened(
    started: Browser,
    width: int,
    height: int = 900,
    *,
    base: str,
    scheme: Any = "light",
    expected: str = "no such error",
) -> Iterator[Page]:
    """A page of that width; an error on it, or a request that leaves the studio, fails the test.

    :param expected: part of an error that the test is about.
    """
    context = started.new_context(
        viewport={"width": width, "height": height}, color_scheme=scheme, accept_downloads=True
    )
    page = context.new_page()
    page.set_default_timeout(15_000)
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(f"script: {error}"))
    page.on(
        "console",
        lambda said: (
            wrong.append(f"console: {said.text}")
            if said.type == "error" and expected not in said.text
            else None
        ),
    )
    page.on(
        "request",
        lambda asked: (
            wrong.append(f"left the studio: {asked.url}")
            if asked.url.startswith(("http", "ws")) and not asked.url.startswith(base)
            else None
        ),
    )
    yield page
    context.close()
    assert not wrong, "\n".join(wrong)


def axe_faults(page: Page) -> list[str]:
    """What axe-core finds wrong with a page, a line each."""
    page.evaluate(_AXE.read_text(encoding="utf-8"))
    found = page.evaluate(
        "tags => axe.run(document, {runOnly: {type: 'tag', values: tags}})", _TAGS
    )
    return [
        f"{page.url}: {fault['id']}: {fault['help']}: {node['html'][:150]}"
        for fault in found["violations"]
        for node in fault["nodes"][:3]
    ]


def named(page: Page) -> str:
    """The name of what has the focus."""
    name: str = page.evaluate(_NAME)
    return name


def tab_to(page: Page, wanted: str | Callable[[str], bool], most: int = 150) -> None:
    """Press Tab until what is wanted has the focus, as someone without a mouse does."""
    fits = wanted if callable(wanted) else lambda name: name.startswith(wanted)
    passed = []
    for _ in range(most):
        page.keyboard.press("Tab")
        passed.append(named(page))
        if fits(passed[-1]):
            outline = page.evaluate(
                "() => getComputedStyle(document.activeElement).outlineStyle !== 'none'"
                " || getComputedStyle(document.activeElement.parentElement).outlineStyle !== 'none'"
            )
            assert outline, f"the focus cannot be seen on {passed[-1]}"
            return
    raise AssertionError(f"no way by keyboard to {wanted}; passed {passed}")
