"""Measurements of the Loom: moving about in a large fabric, and looking into the work anywhere."""

from __future__ import annotations

import random
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.harness import Row, Sense

if TYPE_CHECKING:
    from fastapi import FastAPI

__all__ = ["rows"]

_CHROMIUM = "/usr/bin/chromium"
_ARGUMENTS = [
    "--no-sandbox",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]
_STITCHES = 320_000
_SIZES = (0.5, 3.0, 12.0, 24.0)  # CSS pixels a stitch: averages, squares, small and large stitches
_SECONDS = 2.0

_PAN = """
async ([size, seconds]) => {
  const fabric = document.querySelector("fabric-canvas");
  fabric.whole();
  fabric.zoomBy(size / fabric.size);
  const before = fabric.painted;
  const start = performance.now();
  let last = start, worst = 0, way = -9;
  await new Promise((done) => {
    const step = (now) => {
      worst = Math.max(worst, now - last);
      last = now;
      const { x, y } = fabric;
      fabric.panBy(way, way);
      if (fabric.x === x && fabric.y === y) way = -way;
      if (now - start < seconds * 1000) requestAnimationFrame(step); else done();
    };
    requestAnimationFrame(step);
  });
  return [(fabric.painted - before) / ((performance.now() - start) / 1000), worst];
}
"""


def rows() -> list[Row]:
    """The area's rows.

    The frames a second are those of the slowest of four sizes of stitch, so that every way of
    painting is in it.  Seeking is in a piece of 320 pegs a side and 1,023 rows, so that each answer
    holds some 1,300 motions.
    """
    with _studio() as (address, app):
        design = _put(app)
        seek, body_kb = _seek(app, design)
        frames, worst = _frames(address, design)
    return [
        Row("studio.fabric_fps", frames, "/s", 30, Sense.AT_LEAST),
        Row("studio.fabric_worst_frame_ms", worst, "ms"),
        Row("studio.seek_ms", seek, "ms", 150),
        Row("studio.seek_answer_kb", body_kb, "kB"),
    ]


def _design_text() -> str:
    """The Tern Point boat blanket, far larger: 320,000 stitches on each face."""
    from pegwright.designs.files import shipped_text

    head, *stripes = shipped_text("tern-point-boat-blanket").split("[[stripes]]")
    names = [
        next(line for line in stripe.splitlines() if line.startswith("yarn")) for stripe in stripes
    ]
    text = head.replace("pegs = 100", "pegs = 330")
    text = "\n".join(line for line in text.splitlines() if not line.startswith("available"))
    bands = "".join(f"\n[[stripes]]\n{name}\nrows = 33\n" for name in names)
    size = '\n[[sizes]]\nname = "blanket"\nwearer = "adult"\nwidth = "299 cm"\nlength = "660 cm"\n'
    return text + bands + size


@contextmanager
def _studio() -> Iterator[tuple[str, FastAPI]]:
    import uvicorn

    from pegwright.studio.app import create_app
    from pegwright.studio.serving import bound
    from pegwright.studio.settings import Settings

    with tempfile.TemporaryDirectory() as folder, bound(0) as listener:
        settings = Settings(library=Path(folder) / "library.db", port=listener.getsockname()[1])
        app = create_app(settings)
        server = uvicorn.Server(uvicorn.Config(app, log_level="warning", access_log=False))
        thread = threading.Thread(target=server.run, args=([listener],), daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        try:
            yield settings.address, app
        finally:
            server.should_exit = True
            thread.join(10)


def _put(app: FastAPI) -> str:
    from pegwright.studio.designs.desk import text_body

    record = app.state.studio.library.put(text_body(_design_text()))
    design = app.state.studio.desk.design(record.id)
    if design.problems:
        raise RuntimeError(f"the large blanket is refused: {design.problems}")
    return str(record.id)


def _seek(app: FastAPI, design: str) -> tuple[float, float]:
    """Median time, ms, of an answer with operations from anywhere, and its median size, kB."""
    from starlette.testclient import TestClient

    address = app.state.studio.settings.address
    client = TestClient(app, base_url=address.rstrip("/"))
    view: dict[str, Any] = client.get(f"/api/loom/{design}").json()
    chance = random.Random(8)
    times, sizes = [], []
    for _ in range(30):
        first = chance.randrange(view["operations"])
        begun = time.perf_counter()
        answer = client.get(f"/api/loom/{design}/operations?first={first}&count=2")
        times.append(1000 * (time.perf_counter() - begun))
        if answer.status_code != 200:
            raise RuntimeError(answer.text)
        sizes.append(len(answer.content) / 1000)
    return statistics.median(times[2:]), statistics.median(sizes)


def _frames(address: str, design: str) -> tuple[float, float]:
    """Frames a second of the slowest size of stitch, and the longest wait for a frame, ms."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=_CHROMIUM, args=_ARGUMENTS)
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.goto(f"{address}loom?design={design}")
        page.wait_for_selector("#loom[data-fabric]", timeout=60_000)
        stitches = page.evaluate("document.querySelector('fabric-canvas').painter.cells.length")
        if stitches < _STITCHES:
            raise RuntimeError(f"the fabric has only {stitches} stitches on a face")
        found = [page.evaluate(_PAN, [size, _SECONDS]) for size in _SIZES]
        browser.close()
    return min(frames for frames, _ in found), max(worst for _, worst in found)
