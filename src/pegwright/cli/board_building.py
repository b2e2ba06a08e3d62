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
    from collections.abc import Sequence

    from pegwright.errors import Finding
    from pegwright.loom.board import Loom
    from pegwright.loom.plan import BoardPlan
    from pegwright.loom.reading import BoardReading
    from pegwright.loom.tolerance import Tolerance
    from pegwright.loom.visit import Visit
    from pegwright.measured import Measured
    from pegwright.pattern.board_plan import BoardDocument, WrapFact
    from pegwright.units import UnitSystem

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
    from pegwright.cli.writing import write_pack
    from pegwright.loom.plan import plan_board
    from pegwright.pattern.board_plan import board_document

    units = chosen_units(options)
    plan = plan_board(board_spec(options))
    document = board_document(plan, units, _wrap_fact(options, plan))
    pack, missing = _pack(document, options.paper or "a4")
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


def _pack(document: BoardDocument, paper: str) -> tuple[dict[str, bytes], list[str]]:
    """Every file by name, and what could not be made."""
    from pegwright.cli.make import PAPERS
    from pegwright.errors import NotPossible
    from pegwright.loom.reading import loom_toml
    from pegwright.publish.board_dxf import board_dxf
    from pegwright.publish.board_plan import board_pdf, board_svgs, cut_list_json
    from pegwright.publish.pdf import Paper

    sheet = Paper(PAPERS[paper])
    pack = {f"{document.key}.pdf": board_pdf(document, sheet), **board_svgs(document, sheet)}
    pack[f"{document.key}-cut-list.json"] = cut_list_json(document)
    pack[f"{document.key}-loom.toml"] = loom_toml(document.plan.loom).encode()
    try:
        pack[f"{document.key}.dxf"] = board_dxf(document.plan)
    except NotPossible as error:
        return pack, [f"No DXF: {error.what}. To have it: {error.hint}"]
    return pack, []


def _wrap_fact(options: argparse.Namespace, plan: BoardPlan) -> WrapFact | None:
    from pegwright.loom.wrap_test import measure
    from pegwright.pattern.board_plan import WrapFact

    if not plan.spec.yarn_mm:
        return None
    wrap, over = wrap_of(options, plan.loom)
    visits = wrap.visits(plan.loom, 1, over)
    closed = _comes_back(plan.loom, visits)
    found = measure(plan.loom, visits, plan.spec.yarn_mm, options.slack or 1.0, closed)
    return WrapFact(wrap.name, over, found.length_mm)


def _comes_back(loom: Loom, visits: Sequence[Visit]) -> bool:
    """Whether a course ends at the column where it began."""
    return loom.number(visits[0].peg) == loom.number(visits[-1].peg)


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

    found = read_board(readings(options))
    if options.json:
        screen.say_json(_reading_data(found))
        return
    screen.say("\n".join(_reading_words(found, chosen_units(options))))
    if found.findings:
        screen.say(f"\n{screen.findings_text(found.findings)}")
    fit = "The board can be used as it is" if found.fit else "Mend this first, and measure again"
    screen.say(f"\n{fit}. For a design file:\n\n{loom_toml(found.loom).rstrip()}")


def _reading_words(found: BoardReading, units: UnitSystem) -> list[str]:
    lines = [_line("Pitch", found.pitch, units)]
    if found.gap is not None:
        lines.append(_line("Gap, centre to centre", found.gap, units))
    lines.append(_line("Peg diameter", found.diameter, units))
    if found.skew is not None:
        turned = f"{abs(found.skew_degrees):.2f}° between the rows"
        lines.append(f"Gap at the right end less gap at the left: {found.skew.value:+.2f} mm"
                     f" ± {found.skew.sd:.2f}, {turned}")  # fmt: skip
    lines.append(
        f"Spread of what was read: pitch {found.pitch_spread_mm:.2f} mm,"
        f" peg diameter {found.diameter_spread_mm:.2f} mm"
    )
    return lines


def _line(name: str, value: Measured, units: UnitSystem) -> str:
    from pegwright.pattern.board_words import workshop

    return f"{name}: {workshop(value.value, units)}, ± {value.sd:.2g} mm"


def _reading_data(found: BoardReading) -> dict[str, object]:
    from pegwright.loom.reading import loom_toml

    def measured(value: Measured | None) -> dict[str, float] | None:
        return None if value is None else {"value": value.value, "sd": value.sd}

    def findings(found: tuple[Finding, ...]) -> list[dict[str, object]]:
        return [finding.as_data() for finding in found]

    return {
        "pitch_mm": measured(found.pitch),
        "gap_mm": measured(found.gap),
        "peg_diameter_mm": measured(found.diameter),
        "skew_mm": measured(found.skew),
        "skew_degrees": found.skew_degrees,
        "pitch_spread_mm": found.pitch_spread_mm,
        "peg_diameter_spread_mm": found.diameter_spread_mm,
        "fit": found.fit,
        "findings": findings(found.findings),
        "loom": loom_toml(found.loom),
    }


# --- tolerance -----------------------------------------------------------------------------------


def _tolerance(options: argparse.Namespace) -> None:
    from pegwright.cli.reading import length_option
    from pegwright.errors import BadUse
    from pegwright.loom.tolerance import tolerance

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
        closed=_comes_back(loom, visits),
    )
    if options.json:
        screen.say_json(_tolerance_data(found))
    else:
        screen.say("\n".join(_tolerance_words(found, wrap.name)))


def _tolerance_words(found: Tolerance, wrap: str) -> list[str]:
    often = f"{found.confidence * 100:.0f} boards in 100"
    lines = [
        f"Drill every hole within {found.drilling_mm:.2f} mm of its mark, along the row and across"
        f" it (two standard deviations): then {often} are right in every loop and every pair."
    ]
    lines.append(
        f"Loops of {wrap}: no loop differs by more than {found.part * 100:g} % at"
        f" {2 * found.linear_sd_mm:.2f} mm by sensitivity, {2 * found.sampled_sd_mm:.2f} mm on"
        f" {found.boards} boards drawn by chance; {found.worst} is the most sensitive."
    )
    if found.meet_sd_mm is not None and found.meet_mm is not None:
        lines.append(
            f"Pairs: none mis-meets by more than {found.meet_mm:.2f} mm at"
            f" {2 * found.meet_sd_mm:.2f} mm."
        )
    if found.gap_mm is not None:
        lines.append(
            f"The gap as a whole may be off by {found.gap_mm:.2f} mm before every loop differs by"
            f" {found.part * 100:g} %."
        )
    return lines


def _tolerance_data(found: Tolerance) -> dict[str, object]:
    return {
        "drilling_mm": found.drilling_mm,
        "sd_mm": found.sd_mm,
        "part": found.part,
        "confidence": found.confidence,
        "linear_sd_mm": found.linear_sd_mm,
        "sampled_sd_mm": found.sampled_sd_mm,
        "boards": found.boards,
        "meet_mm": found.meet_mm,
        "meet_sd_mm": found.meet_sd_mm,
        "gap_mm": found.gap_mm,
        "worst": found.worst,
    }
