"""``pegwright test-knit form``: what a test-knitter fills in."""

from __future__ import annotations

import argparse
from pathlib import Path

from pegwright.cli import screen
from pegwright.cli.make import PAPERS
from pegwright.cli.reading import add_design, add_units, read_design

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "form"
WORDS = "write the form of every size, to print and to fill in as a file"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser)
    parser.add_argument(
        "--out", metavar="DIR", type=Path, default=Path("out"), help="where to write (default: out)"
    )
    parser.add_argument("--size", metavar="NAME", help="which size (default: a form for each)")
    parser.add_argument(
        "--paper", choices=tuple(PAPERS), default="a4", help="the sheet (default: a4)"
    )
    parser.add_argument("--large-print", action="store_true", help="body text of 16 points")
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Write a PDF and a text file for each size."""
    from pegwright.cli.reading import at_options
    from pegwright.cli.writing import write_pack
    from pegwright.publish.pdf import Paper, PrintStyle
    from pegwright.testknit.forms import form_files
    from pegwright.testknit.proof import prove_pattern
    from pegwright.testknit.sheet import sheets

    asked = sheets(*prove_pattern(read_design(options)))
    style = PrintStyle(Paper(PAPERS[options.paper]), options.large_print)
    with at_options({"size": "--size"}):
        files = form_files(asked, style, options.size)
    written = write_pack(options.out, files)
    if options.json:
        screen.say_json({"folder": str(options.out), "files": [path.name for path in written]})
    else:
        screen.say("\n".join(f"Written: {path}" for path in written))
    return 0
