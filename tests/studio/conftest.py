"""What the studio's tests share: a studio with a library of its own, asked in process or served."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from pegwright.designs.files import shipped_text
from pegwright.library.records import Record
from pegwright.studio.app import create_app
from pegwright.studio.designs.desk import text_body
from pegwright.studio.security import TOKEN_HEADER
from pegwright.studio.settings import Settings
from pegwright.studio.state import Studio

HOST = "127.0.0.1:8311"


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Settings with a library in a folder of its own."""
    return Settings(library=tmp_path / "library.sqlite")


@pytest.fixture
def app(settings: Settings) -> Iterator[FastAPI]:
    """The studio, not listening anywhere."""
    made = create_app(settings)
    yield made
    made.state.studio.close()


@pytest.fixture
def studio(app: FastAPI) -> Studio:
    """What the studio holds."""
    found: Studio = app.state.studio
    return found


@pytest.fixture
def client(app: FastAPI, studio: Studio) -> TestClient:
    """A client that asks as the studio's own pages do."""
    return TestClient(
        app, base_url=f"http://{HOST}", headers={TOKEN_HEADER: studio.token}, follow_redirects=False
    )


@pytest.fixture
def hood(studio: Studio) -> Record:
    """The Tern Point hood in the library."""
    return studio.library.put(text_body(shipped_text("tern-point-hood")))


Served = tuple[str, Studio]


@pytest.fixture
def served(settings: Settings) -> Iterator[Served]:
    """The studio on a port of the loopback address: its address, and what it holds."""
    import uvicorn

    from pegwright.studio.serving import bound

    listener = bound(0)
    app = create_app(replace(settings, port=listener.getsockname()[1]))
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning", access_log=False))
    thread = threading.Thread(target=server.run, args=([listener],), daemon=True)
    thread.start()
    deadline = time.monotonic() + 10
    while not server.started:
        assert time.monotonic() < deadline, "the studio did not start"
        time.sleep(0.01)
    yield app.state.studio.settings.address, app.state.studio
    server.should_exit = True
    thread.join(10)
    listener.close()
