"""``pegwright yarn trims``: yarn for tassels, pompoms, fringes, seams and tails."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.reading import add_units, at_options, chosen_units, length_option
from pegwright.cli.which_yarn import add_which_yarn, which_yarn

if TYPE_CHECKING:
    from pegwright.planning.trims import Trim
    from pegwright.yarn.yarn import Yarn

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "trims"
WORDS = "how much yarn a tassel, a pompom, a fringe, a seam or its tails take"

_TAKES: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = MappingProxyType(
    {
        "tassel": (("length", "strands"), ("neck",)),
        "pompom": (("across", "winds"), ("hole",)),
        "fringe": (("length", "strands"), ()),
        "seam": (("chains", "row"), ()),
        "tails": ((), ()),
        "joins": ((), ()),
    }
)
"""For each kind, the options that it needs, and those that it takes besides."""

_OPTIONS = ("length", "across", "hole", "row", "strands", "winds", "neck", "chains")

_OF_FIELD = {
    "length_mm": "--length",
    "diameter_mm": "--across",
    "core_mm": "--hole",
    "course_mm": "--row",
    "strands": "--strands",
    "winds": "--winds",
    "neck_wraps": "--neck",
    "chains": "--chains",
    "knots": "--number",
    "number": "--number",
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("kind", choices=tuple(_TAKES), help="what is made")
    parser.add_argument(
        "--number", type=int, default=1, metavar="N", help="so many; of a fringe, knots"
    )
    size = parser.add_argument_group("its size")
    size.add_argument("--length", metavar="LENGTH", help="tassel or fringe, trimmed")
    size.add_argument("--strands", type=int, metavar="N", help="turns of a tassel; in each knot")
    size.add_argument("--neck", type=int, metavar="N", help="wraps round a tassel's neck")
    size.add_argument("--across", metavar="LENGTH", help="a pompom from rim to rim")
    size.add_argument("--winds", type=int, metavar="N", help="winds round a pompom's ring")
    size.add_argument("--hole", metavar="LENGTH", help="of that ring; a third of it if left out")
    size.add_argument("--chains", type=int, metavar="N", help="chains of one edge of a seam")
    size.add_argument("--row", metavar="LENGTH", help="how long one row is, for a seam")
    add_which_yarn(parser)
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Reckon it, and what it weighs."""
    from pegwright.planning.trims import trims
    from pegwright.units import format_mass

    _check(options)
    yarn, design = which_yarn(options)
    with at_options(_OF_FIELD):
        made = trims([_trim(options, yarn)])
    units = chosen_units(options, design.units if design else None)
    grams = yarn.mass(made.metres)
    if options.json:
        weighs = {"value": grams.value, "sd": grams.sd}
        screen.say_json({**made.as_data(), "yarn": yarn.label, "g": weighs})
    else:
        screen.say_result(made, units, as_json=False)
        screen.say(f"That is {format_mass(grams.value, units)} of {yarn.label}.")
    return 0


def _check(options: argparse.Namespace) -> None:
    from pegwright.errors import BadUse

    needed, besides = _TAKES[options.kind]
    hint = f"a {options.kind} takes " + " and ".join(
        f"--{name}" for name in (*needed, *besides, "number")
    )
    for name in _OPTIONS:
        given = getattr(options, name)
        if name in needed and given is None:
            raise BadUse(f"--{name} is needed for {options.kind}", hint=hint)
        if given is not None and name not in (*needed, *besides):
            raise BadUse(f"--{name} is not for {options.kind}", given=given, hint=hint)


def _trim(options: argparse.Namespace, yarn: Yarn) -> Trim:
    from pegwright.planning import trims

    thick_mm = yarn.wrapped_diameter_mm
    number: int = options.number

    def length(name: str) -> float:
        return length_option(getattr(options, name), f"--{name}")

    match options.kind:
        case "tassel":
            wraps = {} if options.neck is None else {"neck_wraps": options.neck}
            strands = options.strands
            return trims.tassel(length("length"), strands, thick_mm, number=number, **wraps)
        case "pompom":
            hole_mm = None if options.hole is None else length("hole")
            return trims.pompom(length("across"), options.winds, core_mm=hole_mm, number=number)
        case "fringe":
            return trims.fringe(number, options.strands, length("length"), thick_mm)
        case "seam":
            return trims.seam(options.chains, length("row"), thick_mm, number=number)
        case "tails":
            return trims.tails(number)
        case _:
            return trims.tied_joins(number, thick_mm)
