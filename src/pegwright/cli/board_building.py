"""``pegwright board``: plan a board to build, measure one, or say how exactly to drill."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.board_options import (
    add_board,
    add_measuring,
    add_tolerance,
    board_spec,
    loom_of,
    readings,
    refuse_others,
    wrap_of,
)
from pegwright.cli.reading import add_units, chosen_units

if TYPE_CHECKING:
    from pegwright.pattern.board_plan import BoardDocument

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "board"
WORDS = "plan a board to build, measure a board, or say how exactly to drill"

TASKS = ("plan", "measure", "tolerance")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "task",
        choices=TASKS,
        help="plan: cut list and drilling template; measure: readings of a board that is there; "
        "tolerance: how far off a peg may stand",
    )
    add_board(parser)
    add_measuring(parser)
    add_tolerance(parser)
    parser.add_argument("--name", metavar="NAME", help="what the board is called (default: board)")
    parser.add_argument(
        "--out", metavar="DIR", type=Path, help="where a plan is written (default: out)"
    )
    parser.add_argument("--paper", choices=("a4", "letter"), help="sheets of a plan (default: a4)")
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Do what the task asks."""
    refuse_others(options)
    if options.task == "plan":
        _plan(options)
    elif options.task == "measure":
        _measure(options)
    else:
        _tolerance(options)
    return 0


# --- plan ----------------------------------------------------------------------------------------


def _plan(options: argparse.Namespace) -> None:
    from pegwright.cli.make import PAPERS
    from pegwright.cli.writing import write_pack
    from pegwright.loom.plan import plan_board
    from pegwright.pattern.board_plan import board_document, wrap_fact
    from pegwright.publish.board_pack import board_files
    from pegwright.publish.pdf import Paper

    units = chosen_units(options)
    plan = plan_board(board_spec(options))
    fact = None
    if plan.spec.yarn_mm:
        fact = wrap_fact(plan, *wrap_of(options, plan.loom), options.slack or 1.0)
    document = board_document(plan, units, fact)
    pack, missing = board_files(document, Paper(PAPERS[options.paper or "a4"]))
    folder = options.out or Path("out")
    written = write_pack(folder, pack)
    if options.json:
        sizes = {path.name: path.stat().st_size for path in written}
        data = {**_plan_data(document), "folder": str(folder), "files": sizes, "missing": missing}
        screen.say_json(data)
        return
    screen.say("\n".join(_plan_words(document)))
    screen.say(f"\nWritten to {folder}:")
    for path in written:
        screen.say(f"  {path.name}  {max(1, path.stat().st_size // 1000)} kB")
    for words in missing:
        screen.say(words)


def _plan_words(document: BoardDocument) -> list[str]:
    from pegwright.pattern.board_words import workshop
    from pegwright.pattern.model import Facts, TableBlock

    lines = [f"{document.title}. {document.subtitle}."]
    for block in document.sections[0].blocks:
        if isinstance(block, Facts):
            lines += [f"  {name}: {value}" for name, value in block.rows]
    length = workshop(document.plan.boards[0].length_mm, document.units)
    lines.append(f"  {document.plan.boards[0].name.capitalize()}: {length} long")
    for section in document.sections:
        for block in section.blocks:
            if isinstance(block, TableBlock) and section.key in ("parts", "spacers"):
                lines += ["", screen.table(block.header, block.rows)]
    return lines


def _plan_data(document: BoardDocument) -> dict[str, object]:
    import json

    from pegwright.publish.board_plan import cut_list_json

    data: dict[str, object] = json.loads(cut_list_json(document))
    return data


# --- measure -------------------------------------------------------------------------------------


def _measure(options: argparse.Namespace) -> None:
    from pegwright.loom.reading import loom_toml, read_board
    from pegwright.pattern.board_words import reading_words

    found = read_board(readings(options))
    if options.json:
        screen.say_json(found.as_data())
        return
    screen.say("\n".join(reading_words(found, chosen_units(options))))
    if found.findings:
        screen.say(f"\n{screen.findings_text(found.findings)}")
    fit = "The board can be used as it is" if found.fit else "Mend this first, and measure again"
    screen.say(f"\n{fit}. For a design file:\n\n{loom_toml(found.loom).rstrip()}")


# --- tolerance -----------------------------------------------------------------------------------


def _tolerance(options: argparse.Namespace) -> None:
    from pegwright.cli.reading import length_option
    from pegwright.errors import BadUse
    from pegwright.knitting.wrap_trial import comes_back
    from pegwright.loom.tolerance import tolerance
    from pegwright.pattern.board_words import tolerance_words

    loom, yarn_mm = loom_of(options)
    if not yarn_mm:
        raise BadUse(
            "the yarn's thickness is needed",
            hint="--category 4, --wraps-per-inch 10 or --yarn-diameter 2.4mm",
        )
    wrap, columns = wrap_of(options, loom, whole=True)
    visits = wrap.visits(loom, 1, columns)
    meet = None if options.meet is None else length_option(options.meet, "--meet")
    found = tolerance(
        loom,
        visits,
        yarn_mm,
        part=0.03 if options.part is None else options.part,
        meet_mm=meet,
        confidence=0.9 if options.sure is None else options.sure,
        seed=1 if options.seed is None else options.seed,
        closed=comes_back(loom, visits),
    )
    if options.json:
        screen.say_json(found.as_data())
    else:
        screen.say("\n".join(tolerance_words(found, wrap.name)))
