"""``pegwright test-knit form``: what a test-knitter fills in."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.make import PAPERS
from pegwright.cli.reading import add_design, add_units, read_design

if TYPE_CHECKING:
    from pegwright.testknit.sheet import TesterSheet

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
    from pegwright.cli.proved import prove_pattern
    from pegwright.cli.writing import write_pack
    from pegwright.testknit.sheet import sheets

    made, pattern = prove_pattern(read_design(options))
    asked = sheets(made, pattern)
    chosen = list(asked.values()) if options.size is None else [_named(options.size, asked)]
    written = write_pack(options.out, _pack(options, asked, chosen))
    if options.json:
        screen.say_json({"folder": str(options.out), "files": [path.name for path in written]})
    else:
        screen.say("\n".join(f"Written: {path}" for path in written))
    return 0


def _named(name: str, asked: dict[str, TesterSheet]) -> TesterSheet:
    from pegwright.designs.problems import nearest
    from pegwright.errors import BadUse

    if name not in asked:
        raise BadUse("--size: the design has no such size", given=name, hint=nearest(name, asked))
    return asked[name]


def _pack(
    options: argparse.Namespace, asked: dict[str, TesterSheet], chosen: list[TesterSheet]
) -> dict[str, bytes]:
    from pegwright.publish.pdf import Paper, PrintStyle
    from pegwright.testknit.sheet_file import sheet_toml
    from pegwright.testknit.sheet_pdf import sheet_pdf

    style = PrintStyle(Paper(PAPERS[options.paper]), options.large_print)
    stems = _stems(asked)
    pack: dict[str, bytes] = {}
    for sheet in chosen:
        stem = f"{sheet.key}-{stems[sheet.size]}-test-knit"
        pack[f"{stem}.pdf"] = sheet_pdf(sheet, style)
        pack[f"{stem}.toml"] = sheet_toml(sheet).encode()
    return pack


def _stems(asked: dict[str, TesterSheet]) -> dict[str, str]:
    """A part of a file name for each size; sizes that would share one are numbered."""
    from pegwright.designs.model import slug

    stems: dict[str, str] = {}
    for name in asked:
        stem, number = slug(name), 2
        while stem in stems.values():
            stem, number = f"{slug(name)}-{number}", number + 1
        stems[name] = stem
    return stems
