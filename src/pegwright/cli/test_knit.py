"""``pegwright test-knit``: forms for those who try a pattern, their answers, and errata."""

from __future__ import annotations

import argparse

from pegwright.cli import screen, test_knit_compare, test_knit_errata, test_knit_form
from pegwright.cli.parser import Command, add_parts, subparsers

__all__ = ["NAME", "PARTS", "WORDS", "add_arguments", "run"]

NAME = "test-knit"
WORDS = "print forms for test-knitters, hold their answers against the design, and write errata"

PARTS: tuple[Command, ...] = (
    test_knit_form,
    test_knit_compare,
    test_knit_errata,
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the commands under it."""
    add_parts(parser, PARTS)


def run(options: argparse.Namespace) -> int:
    """Say which commands there are."""
    from pegwright.errors import ExitCode

    screen.say(subparsers(options.whole_parser)[options.command].format_help().rstrip())
    return ExitCode.USAGE
