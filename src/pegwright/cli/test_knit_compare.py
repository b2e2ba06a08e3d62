"""``pegwright test-knit compare``: testers' answers beside the prediction."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.reading import add_design, add_units, read_design

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.testknit.trial import Trial

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "compare"
WORDS = "hold testers' answers against the design, and learn gauge, slack and pace from them"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser)
    parser.add_argument(
        "answers", metavar="ANSWERS", type=Path, nargs="+", help="filled-in forms, one a tester"
    )
    parser.add_argument(
        "--learned", metavar="FILE", type=Path, help="write the lines for the design file there"
    )
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Tell it, and what the design file should say from now on."""
    from pegwright.cli.writing import write_new

    design = read_design(options)
    trial = _trial(design, options.answers)
    lines = trial.learned.toml()
    if options.learned is not None:
        write_new(options.learned, lines)
    screen.say_result(trial, design.units, as_json=options.json, findings=trial.findings)
    if options.json:
        return 0
    if options.learned is not None:
        screen.say(f"\nWritten: {options.learned}")
    elif lines:
        screen.say(f"\nFor the design file:\n\n{lines.rstrip()}")
    return 0


def _trial(design: Design, files: list[Path]) -> Trial:
    from pegwright.designs.files import file_bytes
    from pegwright.testknit.basis import basis
    from pegwright.testknit.proof import prove_pattern
    from pegwright.testknit.trial import compare_files

    base = basis(*prove_pattern(design))
    return compare_files(base, [(str(path), file_bytes(path)) for path in files])
