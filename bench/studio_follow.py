"""Measurements of following along: fifty phones that count one piece at the same time.

The studio runs as it does for a maker, in a process of its own, with its library on the disk.  Each
phone counts a row, brings it in, and takes what the others counted.
"""

from __future__ import annotations

import asyncio
import json
import math
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from bench.harness import REPO, Row

__all__ = ["rows"]

PHONES = 50
ROWS_EACH = 8
PAUSE_S = 1.0
"""Between two rows of one phone; a real row takes a minute or more."""

_SERVER = """
import sys
from pathlib import Path
import uvicorn
from pegwright.designs.files import shipped_text
from pegwright.library.records import Making
from pegwright.studio.app import create_app
from pegwright.studio.designs.desk import text_body
from pegwright.studio.serving import bound
from pegwright.studio.settings import Settings

listener = bound(0)
port = listener.getsockname()[1]
app = create_app(Settings(library=Path(sys.argv[1]), port=port))
studio = app.state.studio
design = studio.library.put(text_body(shipped_text("tern-point-hood")))
making = studio.library.put(Making(design.id, 1, "cox"))
print(port, studio.token, making.id, flush=True)
uvicorn.Server(uvicorn.Config(app, log_level="error", access_log=False)).run([listener])
"""


def rows() -> list[Row]:
    """The area's rows."""
    with tempfile.TemporaryDirectory() as folder:
        library = Path(folder) / "library.sqlite"
        server = subprocess.Popen(
            [sys.executable, "-c", _SERVER, str(library)],
            cwd=REPO,
            env=_environment(),
            stdout=subprocess.PIPE,
            text=True,
        )
        try:
            assert server.stdout is not None
            port, token, making = server.stdout.readline().split()
            times = asyncio.run(_follow(int(port), token, making))
        finally:
            server.terminate()
            server.wait(20)
        kept = _rows_kept(library, making)
    times.sort()
    p99 = times[math.ceil(0.99 * len(times)) - 1]
    return [
        Row("studio.fifty_phones_p99_ms", p99 * 1000, "ms", 200),
        Row("studio.fifty_phones_lost", PHONES * ROWS_EACH - kept, "rows", 0),
    ]


def _environment() -> dict[str, str]:
    import os

    return {**os.environ, "PYTHONPATH": str(REPO / "src")}


def _rows_kept(library: Path, making: str) -> int:
    from pegwright.library.store import Library

    with Library.open(library, create=False) as opened:
        return opened.making_state(making).rows_in_all


async def _follow(port: int, token: str, making: str) -> list[float]:
    await _phone(port, token, making, 0, [], start_s=0.0)  # the design is proved once, before
    times: list[float] = []
    await asyncio.gather(
        *(
            _phone(port, token, making, n, times, start_s=PAUSE_S * n / PHONES)
            for n in range(1, PHONES + 1)
        )
    )
    return times


async def _phone(
    port: int, token: str, making: str, number: int, times: list[float], *, start_s: float
) -> None:
    """Count rows one after another; phone 0 only looks once."""
    await asyncio.sleep(start_s)
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    seen: dict[str, int] = {}
    device = f"phone{number}"
    for counter in range(1, ROWS_EACH + 1):
        event = {
            "id": f"{device}-{counter}",
            "device": device,
            "counter": counter,
            "at": f"2026-11-25T10:00:{counter:02d}.000000Z",
            "kind": "row",
            "piece": "strip",
            "rows": 1,
        }
        body = json.dumps({"upto": seen, "events": [event] if number else []}).encode()
        started = time.perf_counter()
        answer = await _post(reader, writer, port, token, making, body)
        times.append(time.perf_counter() - started)
        if not number:
            break
        seen = answer["upto"]
        if seen.get(device) != counter:
            raise RuntimeError(f"{device} was not told that its row {counter} is kept")
        await asyncio.sleep(PAUSE_S)
    writer.close()
    await writer.wait_closed()


async def _post(
    reader: asyncio.StreamReader,
    writer: asyncio.StreamWriter,
    port: int,
    token: str,
    making: str,
    body: bytes,
) -> dict[str, dict[str, int]]:
    head = (
        f"POST /api/follow/makings/{making}/sync HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n"
        f"Content-Type: application/json\r\nX-Pegwright-Token: {token}\r\n"
        f"Content-Length: {len(body)}\r\n\r\n"
    )
    writer.write(head.encode() + body)
    await writer.drain()
    lines = (await reader.readuntil(b"\r\n\r\n")).decode().lower().split("\r\n")
    length = next(int(line.split(":")[1]) for line in lines if line.startswith("content-length"))
    answer = await reader.readexactly(length)
    if " 200 " not in lines[0]:
        raise RuntimeError(f"the studio answered {lines[0]}: {answer[:200]!r}")
    found: dict[str, dict[str, int]] = json.loads(answer)
    return found
