"""``pegwright lesson``: what is needed to film a design: cards, moving pictures, cue sheet."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.make import PAPERS
from pegwright.cli.one_size import add_size
from pegwright.cli.reading import add_design, add_units, read_design

if TYPE_CHECKING:
    from pegwright.lesson.pack import LessonPack
    from pegwright.lesson.template import Template
    from pegwright.making import Progress

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "lesson"
WORDS = "run a design and write its lesson pack: cards, moving pictures, cue sheet, captions"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser)
    parser.add_argument(
        "--out", metavar="DIR", type=Path, default=Path("out"), help="where to write (default: out)"
    )
    add_size(parser)
    parser.add_argument(
        "--template", metavar="FILE", type=Path, help="your own words and colours, a TOML file"
    )
    parser.add_argument(
        "--paper", choices=tuple(PAPERS), default="a4", help="the sheet of the hand-out (a4)"
    )
    parser.add_argument("--no-films", action="store_true", help="no MP4 and no GIF; quicker")
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Make it; a design with faults is told of and nothing is written."""
    from pegwright import making
    from pegwright.cli.summary import made_text
    from pegwright.cli.writing import write_pack
    from pegwright.errors import ExitCode
    from pegwright.publish.pdf import Paper

    template = _template(options.template)
    design = read_design(options)
    _check_size(options.size, [size.name for size in design.sizes])
    made, pattern = making.make(design)
    if pattern is None:
        if options.json:
            screen.say_json({"proved": False, "findings": [f.as_data() for f in made.findings]})
        else:
            screen.say(f"{made_text(made)}\n\nNo lesson was written: mend the faults first.")
        return ExitCode.FAULTS
    pack = making.lesson_of(
        made,
        pattern,
        template,
        size=options.size,
        paper=Paper(PAPERS[options.paper]),
        films=not options.no_films,
        progress=_teller(),
    )
    written = write_pack(options.out, pack.files)
    if options.json:
        screen.say_json(_data(pack, options.out, written))
    else:
        screen.say(_text(pack, options.out, written))
    return ExitCode.OK


def _template(path: Path | None) -> Template | None:
    """The template in a file, or None where none is named."""
    if path is None:
        return None
    from pegwright.designs import reader
    from pegwright.designs.files import file_bytes
    from pegwright.lesson.template_file import read_template

    return read_template(reader.decoded(file_bytes(path), str(path)), str(path))


def _check_size(name: str | None, names: list[str]) -> None:
    from pegwright.designs.problems import nearest
    from pegwright.errors import BadUse

    if name is not None and name not in names:
        raise BadUse("--size: the design has no such size", given=name, hint=nearest(name, names))


def _teller() -> Progress:
    """Tells on standard error what is being done: counted on a screen, else a line a task."""
    told: list[str] = []

    def tell(what: str, done: int, of: int) -> None:
        if sys.stderr.isatty():
            ending = "\n" if done == of else ""
            print(f"\r{done} of {of} {what}", end=ending, file=sys.stderr, flush=True)
        elif what not in told:
            told.append(what)
            screen.aside(f"{of} {what}")

    return tell


def _data(pack: LessonPack, folder: Path, written: tuple[Path, ...]) -> dict[str, object]:
    from pegwright.lesson.cue_sheet import sheet_data

    return {
        "proved": True,
        "sheet": sheet_data(pack.sheet),
        "findings": [finding.as_data() for finding in pack.findings],
        "folder": str(folder),
        "files": {path.name: path.stat().st_size for path in written},
    }


def _text(pack: LessonPack, folder: Path, written: tuple[Path, ...]) -> str:
    from pegwright.lesson.cue_page import minutes_words, seconds_words

    sheet = pack.sheet
    work = minutes_words(sheet.minutes)
    lines = [
        f"{sheet.title}, size {sheet.size}: {len(sheet.cues)} shots,"
        f" {seconds_words(sheet.seconds)} of lesson, {work} of work"
    ]
    lines += [f"note: {f.what}\n  mend: {f.mend}" for f in pack.findings]
    total = sum(path.stat().st_size for path in written) / 1e6
    kinds: dict[str, int] = {}
    for path in written:
        kinds[path.suffix[1:].upper()] = kinds.get(path.suffix[1:].upper(), 0) + 1
    listed = ", ".join(f"{count} {kind}" for kind, count in sorted(kinds.items()))
    lines += ["", f"Written to {folder}: {len(written)} files, {total:.1f} MB ({listed})"]
    return "\n".join(lines)
