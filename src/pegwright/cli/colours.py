"""``pegwright colours``: how colours fall on a piece."""

from __future__ import annotations

import argparse

from pegwright.cli import colours_search, colours_show, screen
from pegwright.cli.parser import Command, add_parts, subparsers

__all__ = ["NAME", "PARTS", "WORDS", "add_arguments", "run"]

NAME = "colours"
WORDS = "show how colours fall on a piece, or find pegs at which they do as you wish"

PARTS: tuple[Command, ...] = (
    colours_show,
    colours_search,
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the commands under it."""
    add_parts(parser, PARTS)


def run(options: argparse.Namespace) -> int:
    """Say which commands there are."""
    from pegwright.errors import ExitCode

    screen.say(subparsers(options.whole_parser)[options.command].format_help().rstrip())
    return ExitCode.USAGE
