"""Measurements of the studio: from an edit to its figures, the first page, the scripts' size."""

from __future__ import annotations

import gzip
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from bench.core import DEMO_DESIGN
from bench.harness import REPO, Row

if TYPE_CHECKING:
    from fastapi import FastAPI

__all__ = ["rows"]

EDITS = 60
FIRST_PAGES = 5
CHROMIUM = Path("/usr/bin/chromium")
_STATIC = REPO / "src" / "pegwright" / "studio" / "static"
_ARGUMENTS = ["--no-sandbox", "--disable-quic", "--disable-background-networking",
              "--disable-component-update", "--disable-sync", "--no-first-run"]  # fmt: skip


def rows() -> list[Row]:
    """The area's rows; the first page is measured where there is a browser."""
    found = [_edit(), _scripts()]
    return [*found, _first_page()] if CHROMIUM.exists() else found


def _edit() -> Row:
    """From a change that was sent to the answer with counts, yarn, figures and faults.

    Every edit moves the board's pitch or a size's head, so that sizes are truly executed again, and
    each is written to the library on the disk before it is answered.
    """
    from fastapi.testclient import TestClient

    from pegwright.studio.security import TOKEN_HEADER

    with _studio() as app:
        studio = app.state.studio
        client = TestClient(
            app, base_url="http://127.0.0.1:8311", headers={TOKEN_HEADER: studio.token}
        )
        view = client.post("/api/designs", json={"example": DEMO_DESIGN}).json()
        times = []
        for number in range(EDITS + 3):
            path, value = _changed(number)
            body = {"revision": view["revision"], "changes": [{"path": path, "value": value}]}
            start = time.perf_counter()
            answer = client.patch(f"/api/designs/{view['id']}/fields", json=body)
            times.append(time.perf_counter() - start)
            view = answer.json()
            assert view["result"]["proved"], "the edit was not worked out"
            assert not view["stale"], "the edit was not worked out"
    ordered = sorted(times[3:])  # the first ones fill caches
    return Row("studio.edit_p95_ms", ordered[int(0.95 * len(ordered))] * 1000, "ms", 100)


def _changed(number: int) -> tuple[str, str]:
    if number % 2:
        return "sizes[2].head", f"{560 + number % 20} mm"
    return "loom.pitch", f"{10.5 + number % 16 / 16} mm"


def _scripts() -> Row:
    """All scripts of the studio together, compressed."""
    size = sum(len(gzip.compress(file.read_bytes())) for file in _STATIC.glob("*.js"))
    return Row("studio.script_kb", size / 1000, "kB", 150)


def _first_page() -> Row:
    """From asking for a design's page to its form and figures standing there, nothing cached."""
    from playwright.sync_api import sync_playwright

    with _served() as (app, address), sync_playwright() as playwright:
        from pegwright.designs.files import shipped_text
        from pegwright.studio.designs.desk import text_body

        design = app.state.studio.library.put(text_body(shipped_text(DEMO_DESIGN)))
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=_ARGUMENTS)
        times = []
        for _ in range(FIRST_PAGES):
            page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
            start = time.perf_counter()
            page.goto(f"{address}/designs/{design.id}", wait_until="commit")
            page.wait_for_selector("#result figure svg")
            times.append(time.perf_counter() - start)
            page.context.close()
        browser.close()
    return Row("studio.first_page_ms", sorted(times)[len(times) // 2] * 1000, "ms", 1000)


@contextmanager
def _studio(port: int = 8311) -> Iterator[FastAPI]:
    """The studio with a library of its own."""
    from pegwright.studio.app import create_app
    from pegwright.studio.settings import Settings

    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Settings(library=Path(folder) / "library.sqlite", port=port))
        yield app
        app.state.studio.close()


@contextmanager
def _served() -> Iterator[tuple[FastAPI, str]]:
    """The studio on a free port of the loopback address."""
    import uvicorn

    from pegwright.studio.serving import bound

    with bound(0) as listener, _studio(port := listener.getsockname()[1]) as app:
        server = uvicorn.Server(uvicorn.Config(app, log_level="warning", access_log=False))
        thread = threading.Thread(target=server.run, args=([listener],), daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        yield app, f"http://127.0.0.1:{port}"
        server.should_exit = True
        thread.join(10)
