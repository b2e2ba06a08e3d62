"""The docs site builds in strict mode, holds together, and fetches nothing from elsewhere."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urldefrag

import pytest

from tests.studio.browser import axe_faults, browser, needs_browser
from tools.reference import modules, pages

# What a browser fetches by itself: the attribute that names it, for each tag.
_FETCHED = {
    "script": "src",
    "img": "src",
    "iframe": "src",
    "source": "src",
    "video": "src",
    "audio": "src",
    "embed": "src",
    "object": "data",
    "link": "href",
}
_OUTSIDE = re.compile(r"(?i)^(?:[a-z][a-z0-9+.-]*:)?//")
_IN_STYLES = re.compile(r"(?i)(?:@import\s+|url\()\s*[\"']?((?:https?:)?//[^\"')\s]+)")


class Page(HTMLParser):
    """What a page links to, what it fetches, and the places in it that can be linked to."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.fetched: list[str] = []
        self.places: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if "id" in given:
            self.places.add(given["id"])
        if tag == "a" and "href" in given:
            self.links.append(given["href"])
        if (attribute := _FETCHED.get(tag)) in given:
            assert attribute is not None
            self.fetched.append(given[attribute])


@pytest.fixture(scope="module")
def site(repo: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the built site."""
    folder = tmp_path_factory.mktemp("site")
    done = subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet", "--site-dir", folder],
        cwd=repo,
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "WARNING" not in done.stderr
    return folder


@pytest.fixture(scope="module")
def built(site: Path) -> dict[Path, Page]:
    """Every page of the site, by its file."""
    return {file: Page(file.read_text(encoding="utf-8")) for file in sorted(site.rglob("*.html"))}


def test_every_page_of_the_docs_is_there(repo: Path, site: Path) -> None:
    for page in (repo / "docs").glob("*.md"):
        assert (site / page.name).with_suffix(".html").is_file()


def test_every_link_within_the_site_leads_somewhere(site: Path, built: dict[Path, Page]) -> None:
    broken = []
    for file, page in built.items():
        if file.name == "404.html":
            continue  # shown at any address, so its links start at the root of the host
        for link in page.links:
            target, place = urldefrag(unquote(link))
            if re.match(r"[a-z]+:", target) or link == "#":
                continue
            there = (file.parent / target).resolve() if target else file
            found = there.is_file() and there.is_relative_to(site)
            held = not place or (there in built and place in built[there].places)
            if not (found and held):
                broken.append(f"{file.relative_to(site)}: {link}")
    assert not broken


def test_nothing_is_fetched_from_another_host(site: Path, built: dict[Path, Page]) -> None:
    outside = [
        f"{file.relative_to(site)}: {address}"
        for file, page in built.items()
        for address in page.fetched
        if _OUTSIDE.match(address)
    ]
    for style in site.rglob("*.css"):
        text = style.read_text(encoding="utf-8")
        outside += [f"{style.name}: {address}" for address in _IN_STYLES.findall(text)]
    for file in built:
        outside += _IN_STYLES.findall(file.read_text(encoding="utf-8"))
    assert not outside


@pytest.mark.parametrize("address", ["https://example.org/a", "//example.org/a"])
@pytest.mark.parametrize("tag", sorted(_FETCHED))
def test_what_is_fetched_from_elsewhere_is_seen(tag: str, address: str) -> None:
    """The check itself must be able to fail."""
    assert Page(f'<{tag} {_FETCHED[tag]}="{address}">').fetched == [address]
    assert _OUTSIDE.match(address)


def test_every_public_name_stands_in_the_reference(built: dict[Path, Page], site: Path) -> None:
    held = modules()
    assert {module.room for module in held} >= {"ground", "loom", "knitting", "gauge", "planning"}
    for module in held:
        page = built[site / "reference" / f"{module.room}.html"]
        assert module.name in page.places
        bound = {getattr(node, "name", "") for node in module.tree.body}
        for name in set(module.public) & bound:
            assert f"{module.name}.{name}" in page.places, f"{module.name}.{name}"


def test_references_become_links_and_fields_a_list() -> None:
    text = pages()["reference/gauge.md"]
    assert "[`pooled_random`](gauge.md#gauge.pooling.pooled_random)" in text
    assert "- **stitches**: counted across one face" in text
    for page in pages().values():
        assert not re.search(r":(?:func|class|mod|data|meth|attr|param|raises)\b[^\n]*:", page)


@pytest.mark.browser
@needs_browser()
def test_no_page_scrolls_sideways_or_asks_another_host(site: Path, built: dict[Path, Page]) -> None:
    """WCAG 2.1, 1.4.10 (Reflow): 320 px wide without scrolling to the side."""
    asked: list[str] = []
    with browser() as started:
        view = started.new_page(viewport={"width": 320, "height": 800})
        view.on("request", lambda request: asked.append(request.url))
        for name in ("index", "learn-a-scarf", "how-it-computes", "commands", "reference/gauge"):
            view.goto((site / f"{name}.html").as_uri())
            assert view.evaluate("document.documentElement.scrollWidth") <= 320, name
    assert asked
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []


@pytest.mark.browser
@needs_browser()
def test_a_page_can_be_read_by_all(site: Path) -> None:
    with browser() as started:
        for width in (320, 1280):
            view = started.new_page(viewport={"width": width, "height": 900})
            view.goto((site / "how-it-computes.html").as_uri())
            assert axe_faults(view) == []
