"""``pegwright check``: run a design and say what is wrong with it."""

from __future__ import annotations

import argparse

from pegwright.cli import screen
from pegwright.cli.reading import add_design, add_units, read_design

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "check"
WORDS = "run a design and say what is wrong with it, and how to mend it"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser)
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Prove every size; faults give the exit code 1, a size that cannot be made 4."""
    from pegwright import making
    from pegwright.cli.summary import made_data, made_text
    from pegwright.errors import ExitCode

    made = making.prove(read_design(options), keep_going=True)
    if options.json:
        screen.say_json(made_data(made))
    else:
        screen.say(made_text(made))
        if not made.findings and not made.refused:
            screen.say("\nNothing found: every size can be knitted as it stands.")
    if made.refused:
        return ExitCode.NOT_POSSIBLE
    return ExitCode.OK if made.proved else ExitCode.FAULTS
