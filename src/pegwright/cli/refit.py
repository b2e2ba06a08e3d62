"""``pegwright refit``: a design on another board, with another yarn or for another body."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.board import add_board, add_spacers, board_of, names_a_board, spacers_of
from pegwright.cli.own_yarn import add_yarn, yarn_of
from pegwright.cli.reading import (
    add_design,
    add_units,
    at_options,
    length_option,
    read_design,
)

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.refit.reader import Reader
    from pegwright.refit.refit import Refit

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "refit"
WORDS = "work a design out for your own board, yarn, hand or head, beside the original"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser)
    add_board(parser, "what is left out is as in the design")
    add_yarn(parser)
    own = parser.add_argument_group("your hand and body")
    own.add_argument("--measured", metavar="LENGTH", help="what a wrap test on your board drew")
    own.add_argument("--over", type=int, metavar="N", help="pegs on each board in it (default: 15)")
    own.add_argument("--slack", type=float, metavar="N", help="drawn over taut, 1 for taut")
    own.add_argument(
        "--measure",
        metavar="NAME=LENGTH",
        action="append",
        default=[],
        help="a measure of the body, such as head=57cm; may be given several times",
    )
    own.add_argument(
        "--wearer", choices=("adult", "child", "infant"), help="whom those measures are of"
    )
    add_spacers(own)
    parser.add_argument(
        "--out", metavar="DIR", type=Path, help="write the pattern of the result there"
    )
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Refit it; the exit code is 4 where it cannot be made as asked."""
    from pegwright.errors import ExitCode
    from pegwright.refit.refit import refit

    design = read_design(options)
    result = refit(design, _reader(options, design))
    written = _write(options.out, result) if options.out is not None else ()
    if options.json:
        screen.say_json({**_data(result), "files": [path.name for path in written]})
    else:
        screen.say(_text(result))
        if written:
            screen.say(f"\nWritten to {options.out}: {len(written)} files.")
    return ExitCode.OK if result.as_asked else ExitCode.NOT_POSSIBLE


# --- what is asked -------------------------------------------------------------------------------


def _reader(options: argparse.Namespace, design: Design) -> Reader:
    from pegwright.garments.base import Wearer
    from pegwright.refit.given import Given, reader_of
    from pegwright.refit.reader import Spacers

    drawn_mm = spacers = None
    if options.measured is not None:
        drawn_mm = length_option(options.measured, "--measured")
    if options.spacers is not None:
        spacers = Spacers(*spacers_of(options))
    given = Given(
        own_board=board_of(options, design.loom) if names_a_board(options) else None,
        own_yarn=yarn_of(options, design.body_yarn),
        drawn_mm=drawn_mm,
        over=options.over,
        measures=dict(map(_measure, options.measure)),
        wearer=Wearer(options.wearer) if options.wearer else None,
        slack=options.slack,
        spacers=spacers,
    )
    with at_options({"slack": "--slack"}):
        return reader_of(design, given)


def _measure(text: str) -> tuple[str, float]:
    from pegwright.errors import BadUse

    name, equals, length = text.partition("=")
    if not equals:
        raise BadUse("--measure takes a name and a length", given=text, hint="--measure head=57cm")
    return name.strip(), length_option(length, f"--measure {name.strip()}")


def _write(folder: Path, result: Refit) -> tuple[Path, ...]:
    """The pattern of what can be made; nothing where there is none."""
    if result.design is None:
        return ()
    from pegwright import making
    from pegwright.cli.writing import write_pack

    _, pattern = making.make(result.design)
    return write_pack(folder, making.files(pattern)) if pattern is not None else ()


# --- what is said --------------------------------------------------------------------------------


def _text(result: Refit) -> str:
    from pegwright.refit.told import UNCHANGED, changed, headline

    lines = [headline(result), "", *result.advice]
    if found := changed(result):
        rows = [(d.size, d.name, d.words) for d in found]
        lines += ["", screen.table(("size", "figure", "before → now"), rows)]
    elif result.made is not None:
        lines += ["", UNCHANGED]
    return "\n".join(lines)


def _data(result: Refit) -> dict[str, object]:
    from pegwright.cli.summary import made_data
    from pegwright.refit.told import refit_data

    made = None if result.made is None else made_data(result.made)
    return {**refit_data(result), "made": made}
