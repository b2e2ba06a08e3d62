"""``pegwright make``: prove a design and write its pattern."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.reading import add_design, add_units, read_design

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.pattern.model import Pattern
    from pegwright.publish.pdf import PrintStyle

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "make"
WORDS = "run a design and write its pattern: PDF, page, figures and proof"

PAPERS = {"a4": "a4", "letter": "us-letter"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser)
    parser.add_argument(
        "--out", metavar="DIR", type=Path, default=Path("out"), help="where to write (default: out)"
    )
    parser.add_argument(
        "--paper", choices=tuple(PAPERS), help="the sheet (default: as the language has it)"
    )
    parser.add_argument("--large-print", action="store_true", help="body text of 16 points")
    parser.add_argument(
        "--language", metavar="TAG", help="what it is written in: en, de, es, en-US …"
    )
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Make it; a design with faults is told of and nothing is written."""
    from pegwright import making
    from pegwright.cli.summary import made_data, made_text
    from pegwright.cli.writing import write_pack
    from pegwright.errors import ExitCode

    design = read_design(options)
    if options.language is not None:
        design = in_language(design, options)
    made, pattern = making.make(design)
    written: tuple[Path, ...] = ()
    if pattern is not None:
        written = write_pack(options.out, making.files(pattern, _style(options, pattern)))
    if options.json:
        sizes = {path.name: path.stat().st_size for path in written}
        screen.say_json({**made_data(made), "folder": str(options.out), "files": sizes})
    else:
        screen.say(made_text(made))
        screen.say(_written_text(options.out, written))
    return ExitCode.OK if pattern is not None else ExitCode.FAULTS


def in_language(design: Design, options: argparse.Namespace) -> Design:
    """The design in the language that was asked for; units that were asked for stay."""
    from pegwright.cli.reading import at_options, chosen_units

    with at_options({"language": "--language"}):
        told = design.in_language(options.language)
    return replace(told, units=chosen_units(options, told.units))


def _style(options: argparse.Namespace, pattern: Pattern) -> PrintStyle:
    from pegwright.publish.pdf import Paper, PrintStyle, usual_paper

    chosen = options.paper
    paper = Paper(PAPERS[chosen]) if chosen is not None else usual_paper(pattern.tongue)
    return PrintStyle(paper, options.large_print)


def _written_text(folder: Path, written: tuple[Path, ...]) -> str:
    if not written:
        return "\nNo pattern was written: mend the faults first."
    lines = [f"\nWritten to {folder}:"]
    lines += [f"  {path.name}  {max(1, path.stat().st_size // 1000)} kB" for path in written]
    return "\n".join(lines)
