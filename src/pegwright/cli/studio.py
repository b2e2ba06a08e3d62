"""``pegwright studio``: start the local web app and open it in the browser."""

from __future__ import annotations

import argparse
from pathlib import Path

from pegwright.cli import screen

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "studio"
WORDS = "start the studio on this computer and open it in the browser"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "--library",
        metavar="FILE",
        type=Path,
        help="the library to open, which is made if it is not there (default: your own)",
    )
    parser.add_argument(
        "--port", type=int, help="the port on 127.0.0.1 (default: 8311, or one that is free)"
    )
    parser.add_argument("--no-browser", action="store_true", help="do not open the browser")


def run(options: argparse.Namespace) -> int:
    """Serve until it is stopped from the keyboard."""
    from pegwright.errors import BadUse

    try:
        from pegwright.studio.serving import serve
    except ModuleNotFoundError as missing:
        raise BadUse(
            "the studio needs packages that are not installed",
            given=missing.name,
            hint='pip install "pegwright[studio]"',
        ) from None
    if options.port is not None and not 0 <= options.port <= 65_535:
        raise BadUse("a port is a number from 0 to 65535", given=options.port)
    return serve(options.library, options.port, open_browser=not options.no_browser, say=screen.say)
