"""``pegwright schema``: what a design file may hold."""

from __future__ import annotations

import argparse

from pegwright.cli import screen

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "schema"
WORDS = "print what a design file may hold, as JSON Schema"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Print it; it is JSON with or without ``--json``."""
    from pegwright.designs.schema import design_schema, schema_text

    if options.json:
        screen.say_json(design_schema())
    else:
        screen.say(schema_text().rstrip("\n"))
    return 0
