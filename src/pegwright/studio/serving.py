"""Serves the studio on the loopback address until it is stopped."""

from __future__ import annotations

import socket
import threading
import webbrowser
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import uvicorn
from starlette.types import ASGIApp

from pegwright.errors import NotPossible, PegwrightError
from pegwright.studio.app import create_app, trouble_app
from pegwright.studio.settings import DEFAULT_PORT, Settings

__all__ = ["bound", "serve"]


def serve(
    library: Path | None,
    port: int | None,
    *,
    open_browser: bool,
    say: Callable[[str], None],
) -> int:
    """Serve until stopped from the keyboard; gives the exit code.

    A library that cannot be opened is told of in the browser as well, and left as it is.

    :raises PegwrightError: where the port is taken, or the library cannot be opened and no browser
        is to tell of it.
    """
    with bound(port) as listener:
        settings = Settings(port=listener.getsockname()[1])
        if library is not None:
            settings = replace(settings, library=library)
        app: ASGIApp
        code = 0
        try:
            app = create_app(settings)
        except PegwrightError as refused:
            if not open_browser:
                raise
            say(f"The library cannot be opened: {refused}")
            app, code = trouble_app(settings, refused), int(refused.exit_code)
        say(f"The studio is at {settings.address}\nYour library: {settings.library}")
        say("Stop it with Ctrl+C.")
        if open_browser:
            threading.Timer(0.4, webbrowser.open, (settings.address,)).start()
        config = uvicorn.Config(
            app, log_level="warning", access_log=False, server_header=False, lifespan="on",
            timeout_graceful_shutdown=2,
        )  # fmt: skip
        uvicorn.Server(config).run([listener])
    return code


def bound(port: int | None) -> socket.socket:
    """A listening socket on the loopback address.

    :param port: None tries the usual port and takes any free one where that is in use.
    :raises NotPossible: where the port that was asked for is in use.
    """
    for wanted in (DEFAULT_PORT, 0) if port is None else (port,):
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind(("127.0.0.1", wanted))
            listener.listen(128)
        except OSError:
            listener.close()
            continue
        return listener
    raise NotPossible(
        "this port is in use",
        given=port,
        hint="the studio may be running already; or choose another: --port 0",
    )
