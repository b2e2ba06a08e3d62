"""``pegwright yarn``: what you have of yarn, and what it does."""

from __future__ import annotations

import argparse

from pegwright.cli import (
    screen,
    yarn_split,
    yarn_stand_ins,
    yarn_stash,
    yarn_strands,
    yarn_trims,
    yarn_wraps,
)
from pegwright.cli.parser import Command, add_parts, subparsers

__all__ = ["NAME", "PARTS", "WORDS", "add_arguments", "run"]

NAME = "yarn"
WORDS = "take stock of yarn, split it, count it, find stand-ins, reckon trims"

PARTS: tuple[Command, ...] = (
    yarn_stash,
    yarn_wraps,
    yarn_strands,
    yarn_split,
    yarn_stand_ins,
    yarn_trims,
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the commands under it."""
    add_parts(parser, PARTS)


def run(options: argparse.Namespace) -> int:
    """Say which commands there are."""
    from pegwright.errors import ExitCode

    screen.say(subparsers(options.whole_parser)[options.command].format_help().rstrip())
    return ExitCode.USAGE
