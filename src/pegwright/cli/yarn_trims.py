"""``pegwright yarn trims``: yarn for tassels, pompoms, fringes, seams and tails."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.reading import add_units, at_options, chosen_units, length_option
from pegwright.cli.which_yarn import add_which_yarn, which_yarn

if TYPE_CHECKING:
    from pegwright.planning.trim_kinds import TrimAsked

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "trims"
WORDS = "how much yarn a tassel, a pompom, a fringe, a seam or its tails take"

_KINDS = ("tassel", "pompom", "fringe", "seam", "tails", "joins")

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
    parser.add_argument("kind", choices=_KINDS, help="what is made")
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
    from pegwright.planning.trim_kinds import trim_of
    from pegwright.planning.trims import trims
    from pegwright.units import format_mass

    _check(options)
    yarn, design = which_yarn(options)
    with at_options(_OF_FIELD):
        made = trims([trim_of(_asked(options), yarn.wrapped_diameter_mm)])
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
    from pegwright.planning.trim_kinds import TRIM_KINDS

    kind = TRIM_KINDS[options.kind]
    taken = (*kind.needs, *kind.takes)
    hint = f"a {kind.name} takes " + " and ".join(f"--{name}" for name in (*taken, "number"))
    for name in _OPTIONS:
        given = getattr(options, name)
        if name in kind.needs and given is None:
            raise BadUse(f"--{name} is needed for {kind.name}", hint=hint)
        if given is not None and name not in taken:
            raise BadUse(f"--{name} is not for {kind.name}", given=given, hint=hint)


def _asked(options: argparse.Namespace) -> TrimAsked:
    from pegwright.planning.trim_kinds import TrimAsked

    def length(name: str) -> float | None:
        given = getattr(options, name)
        return None if given is None else length_option(given, f"--{name}")

    return TrimAsked(
        options.kind,
        options.number,
        length("length"),
        options.strands,
        options.neck,
        length("across"),
        options.winds,
        length("hole"),
        options.chains,
        length("row"),
    )
