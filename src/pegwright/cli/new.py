"""``pegwright new``: a design to start from."""

from __future__ import annotations

import argparse
from pathlib import Path

from pegwright.cli import screen
from pegwright.cli.reading import add_units, chosen_units

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "new"
WORDS = "write a design to start from, with remarks on every line"

_ENDING = ".toml"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "garment",
        metavar="GARMENT",
        nargs="?",
        help="which garment (see: pegwright list garments); the hood where it is left out",
    )
    parser.add_argument(
        "file",
        metavar="FILE",
        nargs="?",
        help="the file to write, which must not be there yet; the screen where it is left out",
    )
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Write it."""
    from pegwright.cli.writing import write_new
    from pegwright.designs.starter import starter_text

    name, file = _asked(options)
    text = starter_text(name, chosen_units(options))
    if file is not None:
        write_new(Path(file), text)
    if options.json:
        screen.say_json({"garment": name, "file": file, "text": text})
    elif file is None:
        screen.say(text.rstrip("\n"))
    else:
        screen.say(f"Written: {file}. Change it as you like, then: pegwright make {file}")
    return 0


def _asked(options: argparse.Namespace) -> tuple[str, str | None]:
    """The garment and the file; one word alone that ends like a design file is the file."""
    from pegwright.garments.registry import garments

    usual = next(iter(garments()))
    if options.garment is None:
        return usual, None
    if options.file is None and options.garment.endswith(_ENDING):
        return usual, options.garment
    return options.garment, options.file
