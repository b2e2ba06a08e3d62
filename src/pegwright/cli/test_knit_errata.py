"""``pegwright test-knit errata``: what changed between two versions of a design."""

from __future__ import annotations

import argparse

from pegwright.cli import screen

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "errata"
WORDS = "say what a reader of an old version must change to have the new one"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("old", metavar="OLD", help="the design as it was")
    parser.add_argument("new", metavar="NEW", help="the design as it is now")
    parser.add_argument("--html", action="store_true", help="a block of HTML for a web page")
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Prove both, and tell every change that a reader can see."""
    from pegwright.designs.files import read_any
    from pegwright.testknit.errata import errata_between
    from pegwright.testknit.errata_print import errata_data, errata_html, errata_text

    found = errata_between(read_any(options.old), read_any(options.new))
    if options.json:
        screen.say_json(errata_data(found))
    else:
        screen.say((errata_html(found) if options.html else errata_text(found)).rstrip())
    return 0
