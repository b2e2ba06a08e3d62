"""``pegwright forecast``: will the yarn reach, while a piece is on the loom."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.one_size import add_size, prove_size
from pegwright.cli.reading import add_design, add_units, at_options, mass_option, read_design
from pegwright.cli.which_yarn import named_yarn

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.designs.weighings import WeighingsFile
    from pegwright.errors import BadInput, PegwrightError
    from pegwright.pattern.source import ProvedSize
    from pegwright.planning.forecast import Forecast
    from pegwright.planning.weighings import Weighing

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "forecast"
WORDS = "tell from weighings while you knit whether a yarn reaches, and where to change it"

_OF_FIELD: Mapping[str, str] = {
    "scale_g": "--scale",
    "confidence": "--sure",
    "reserve_g": "--keep",
    "yarn": "--yarn",
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser)
    given = parser.add_mutually_exclusive_group(required=True)
    given.add_argument("--weighings", metavar="FILE", type=Path, help="a file of weighings")
    given.add_argument(
        "--at",
        metavar="ROW=MASS",
        action="append",
        help='rows done, and what is left then: 20="96 g"; may be given several times',
    )
    add_size(parser)
    parser.add_argument("--yarn", metavar="NAME", help="which yarn (default: the body's)")
    parser.add_argument("--piece", metavar="NAME", help="which piece (default: the yarn's first)")
    parser.add_argument("--scale", metavar="MASS", help="what the scale shows (default: 1 g)")
    parser.add_argument(
        "--keep", metavar="MASS", help="for cord, seam and tails (default: what the run draws)"
    )
    parser.add_argument(
        "--sure", type=float, default=0.95, metavar="N", help="when a row is sure (default: 0.95)"
    )
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Tell it from all weighings so far."""
    design = read_design(options)
    file = _file(options)
    weighings = _typed(options.at) if file is None else _listed(file)
    wanted = options.size if options.size is not None or file is None else file.size
    _, size = prove_size(design, wanted)
    found = _forecast(options, design, file, size, weighings)
    units = design.units
    screen.say_result(found, units, as_json=options.json, findings=found.findings)
    return 0


def _file(options: argparse.Namespace) -> WeighingsFile | None:
    if options.weighings is None:
        return None
    from pegwright.designs.weighings import read_weighings_file

    return read_weighings_file(options.weighings)


def _forecast(
    options: argparse.Namespace,
    design: Design,
    file: WeighingsFile | None,
    size: ProvedSize,
    weighings: tuple[Weighing, ...],
) -> Forecast:
    from pegwright.errors import BadInput
    from pegwright.measured import Measured
    from pegwright.planning.forecast import forecast
    from pegwright.planning.promised import prior_for, reserve_for

    name = _yarn_name(options, design, file)
    scale_g = 1.0 if file is None else file.scale_g
    if options.scale is not None:
        scale_g = mass_option(options.scale, "--scale")
    need = next((n for n in size.needs if n.yarn.name == name), None)
    reserve = reserve_for(need) if need is not None else Measured(0.0)
    if options.keep is not None:
        reserve = Measured(mass_option(options.keep, "--keep"))
    piece = _piece(options, size)
    try:
        with at_options(_OF_FIELD):
            prior = prior_for(size.run, design.yarns, name, design.slack, piece=piece)
            return forecast(
                prior,
                weighings,
                len(prior.shares),
                reserve,
                scale_g=scale_g,
                confidence=options.sure,
            )
    except BadInput as error:
        raise _placed(error, file) from None


def _yarn_name(options: argparse.Namespace, design: Design, file: WeighingsFile | None) -> str:
    yarns = tuple(design.yarns.values())
    if options.yarn is not None:
        return named_yarn(options.yarn, yarns, "--yarn").name
    if file is not None and file.yarn is not None:
        if file.yarn in design.yarns:
            return file.yarn
        from pegwright.designs.problems import nearest
        from pegwright.errors import BadInput

        raise BadInput(
            "the design has no yarn of this name",
            given=file.yarn,
            hint=nearest(file.yarn, design.yarns),
            place=file.place("yarn"),
        )
    striped = [stripe.yarn for stripe in design.stripes]
    return striped[0] if striped else design.use["body"]


def _piece(options: argparse.Namespace, size: ProvedSize) -> str | None:
    from pegwright.designs.problems import nearest
    from pegwright.errors import BadUse

    names = [piece.name for piece in size.plan.pieces]
    if options.piece is not None and options.piece not in names:
        hint = nearest(options.piece, names)
        raise BadUse("--piece: no such piece", given=options.piece, hint=hint)
    return None if options.piece is None else str(options.piece)


# --- weighings -----------------------------------------------------------------------------------


def _typed(given: list[str]) -> tuple[Weighing, ...]:
    from pegwright.errors import BadUse
    from pegwright.planning.weighings import Weighing

    found = []
    for text in given:
        row, equals, mass = text.partition("=")
        if not equals or not row.strip().isdecimal() or len(row) > 9:
            hint = '--at 0="118 g" --at 20="96 g"'
            raise BadUse("--at takes rows done and what is left", given=text, hint=hint)
        found.append(Weighing(int(row), _left(mass)))
    return tuple(found)


def _left(text: str) -> float:
    from pegwright.errors import BadInput, BadUse
    from pegwright.units import parse_mass_g

    try:
        return parse_mass_g(text, default_unit="g")
    except BadInput as error:
        raise BadUse(f"--at: {error.what}", given=error.given, hint=error.hint) from None


def _listed(file: WeighingsFile) -> tuple[Weighing, ...]:
    from pegwright.planning.weighings import Weighing

    return tuple(Weighing(one.row, one.left_g, one.balls) for one in file.weighings)


def _placed(error: BadInput, file: WeighingsFile | None) -> PegwrightError:
    """A weighing that cannot be is named at its line, or as an option."""
    from pegwright.errors import BadUse

    field = (error.place.field if error.place else None) or ""
    entry, _, number = field.partition(".")
    if entry != "weighings":
        return error
    if file is None:
        return BadUse(f"--at: {error.what}", given=error.given, hint=error.hint)
    digits = number.partition(".")[0]
    path = ("weighings", int(digits) - 1) if digits.isdecimal() else ("weighings",)
    error.place = file.place(*path)
    return error
