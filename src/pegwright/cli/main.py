"""From what was typed to an exit code: every ending of the command is decided here.

Exit codes are those of :class:`pegwright.errors.ExitCode`, and beside them 70 for a bug of ours,
130 for a stop from the keyboard and 141 where the reader of our output went away.
"""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Sequence

from pegwright import __version__
from pegwright.cli import (
    board_building,
    catalogue,
    check,
    colours,
    completion,
    cost,
    forecast,
    gauge,
    lesson,
    library,
    listing,
    make,
    new,
    refit,
    schema,
    screen,
    stripes,
    studio,
    test_knit,
    what_fits,
    wrap_test,
    yarn,
)
from pegwright.cli.parser import Command, Parser, build_parser
from pegwright.errors import ExitCode, PegwrightError

__all__ = ["BUG", "COMMANDS", "PIPE_CLOSED", "STOPPED", "entry", "main", "parser"]

COMMANDS: tuple[Command, ...] = (
    make,
    lesson,
    check,
    wrap_test,
    board_building,
    gauge,
    refit,
    what_fits,
    stripes,
    yarn,
    colours,
    cost,
    forecast,
    test_knit,
    catalogue,
    library,
    studio,
    listing,
    new,
    schema,
    completion,
)

BUG = 70
STOPPED = 130
PIPE_CLOSED = 141


def parser() -> Parser:
    """The parser of the whole command."""
    return build_parser(COMMANDS, __version__)


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command with these words (the ones that were typed, if none are given)."""
    words = list(sys.argv[1:] if argv is None else argv)
    try:
        return _answered(words)
    except BrokenPipeError:
        _let_go_of_output()
        return PIPE_CLOSED
    except KeyboardInterrupt:
        screen.aside("stopped")
        return STOPPED
    except Exception as bug:  # noqa: BLE001 - a maker must not meet a traceback
        return _bug(bug)


def entry() -> None:
    """The console command."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a screen that lacks a letter shows a mark
            stream.reconfigure(errors="replace")
    sys.exit(main())


def _answered(words: Sequence[str]) -> int:
    try:
        code = _run(words)
    except PegwrightError as error:
        code = _refused(error, as_json="--json" in words)
    sys.stdout.flush()  # so that a closed pipe is met here, and not at the very end
    return code


def _run(words: Sequence[str]) -> int:
    whole = parser()
    try:
        options = whole.parse(words)
    except SystemExit as ending:  # --help and --version
        return ending.code if isinstance(ending.code, int) else ExitCode.OK
    if options.command is None:
        screen.say(whole.format_help().rstrip())
        return ExitCode.USAGE
    options.whole_parser = whole  # for commands that speak of the others
    code: int = options.run(options)
    return code


def _refused(error: PegwrightError, *, as_json: bool) -> int:
    if as_json:
        screen.say_json(error.as_data())
    else:
        screen.aside(f"pegwright: {error}")
    return int(error.exit_code)


def _bug(bug: Exception) -> int:
    if os.environ.get("PEGWRIGHT_TRACEBACK"):
        import traceback

        screen.aside("".join(traceback.format_exception(bug)).rstrip())
    words = " ".join(str(bug).split())[:300]
    screen.aside(
        "pegwright: this is a bug in Pegwright, not in your design"
        f" ({type(bug).__name__}: {words}). Please report it with the command that you typed"
        " and the design file; PEGWRIGHT_TRACEBACK=1 shows where it happened."
    )
    return BUG


def _let_go_of_output() -> None:
    """Point standard output nowhere, so that Python's own last flush stays quiet."""
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
    except (OSError, ValueError):  # no real output, as under test
        pass
