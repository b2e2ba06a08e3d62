"""What ``pegwright board`` takes, and the board, loom or readings that it means."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from pegwright.cli.reading import length_option, thickness_option

if TYPE_CHECKING:
    from pegwright.knitting.wraps import Wrap
    from pegwright.loom.board import Arrangement, Loom
    from pegwright.loom.reading import Readings
    from pegwright.loom.spec import BoardSpec, PegKind

__all__ = [
    "add_board",
    "add_measuring",
    "add_tolerance",
    "board_spec",
    "loom_of",
    "readings",
    "refuse_others",
    "wrap_of",
]

_ARRANGEMENTS = ("opposed", "offset", "single", "ring")

_TASKS = {
    "plan": "wood_thickness wood_width wood_length wood kerf peg peg_material seat drill rod "
    "board_width end_margin row_offset join bolt bolt_from_end spacers gaps out paper wanted",
    "measure": "over_pegs left_gap right_gap gap_read diameters resolution",
    "tolerance": "part meet sure seed",
}
"""The options that only one task takes, by their names in the parsed words."""

_NEVER_MEASURED = (
    "pitch",
    "gap",
    "category",
    "wraps_per_inch",
    "yarn_diameter",
    "wrap",
    "over",
    "slack",
    "peg_diameter",
)
"""What ``measure`` finds or does not look at."""


def add_board(parser: argparse.ArgumentParser) -> None:
    """The board, its yarn, pegs and wood."""
    board = parser.add_argument_group("the board")
    board.add_argument("--arrangement", choices=_ARRANGEMENTS, help="default: opposed")
    board.add_argument("--pegs", type=int, metavar="N", help="pegs a side, or of the ring")
    board.add_argument("--pitch", metavar="LENGTH", help="peg to peg, centre to centre")
    board.add_argument("--gap", metavar="LENGTH", help="row to row, centre to centre")
    board.add_argument(
        "--gaps", metavar="LENGTHS", help='more gaps to have spacers for: "1 1/4 in"'
    )
    yarn = parser.add_argument_group("the yarn, instead of pitch and gap, or beside them")
    yarn.add_argument("--category", metavar="N", help="weight category: list yarn-weights")
    yarn.add_argument("--wraps-per-inch", type=float, metavar="N", help="turns round a ruler")
    yarn.add_argument("--yarn-diameter", metavar="LENGTH", help="thickness as it lies")
    yarn.add_argument("--wanted", metavar="LENGTH", help="find the gap whose wrap test draws this")
    yarn.add_argument("--wrap", metavar="NAME", help="which wrap: list wraps")
    yarn.add_argument("--over", type=int, metavar="N", help="pegs of the wrap test (default: 15)")
    yarn.add_argument("--slack", type=float, metavar="N", help="drawn over taut, 1 for taut")
    _add_pegs(parser.add_argument_group("pegs"))
    _add_wood(parser.add_argument_group("wood, and how it is joined"))


def _add_pegs(pegs: argparse._ArgumentGroup) -> None:
    pegs.add_argument("--peg", choices=("dowel", "nail", "screw-in"), help="default: dowel")
    pegs.add_argument("--peg-diameter", metavar="LENGTH", help="where the yarn lies: 3/16 in")
    pegs.add_argument("--peg-height", metavar="LENGTH", help="above the board (default: 1 in)")
    pegs.add_argument("--peg-material", metavar="NAME", help="such as birch or brass")
    pegs.add_argument("--seat", metavar="LENGTH", help="depth in the wood (default: 2.5 diameters)")
    pegs.add_argument("--drill", metavar="LENGTH", help="diameter of the drill")
    pegs.add_argument("--rod", metavar="LENGTH", help="length of a dowel rod (default: 36 in)")


def _add_wood(wood: argparse._ArgumentGroup) -> None:
    wood.add_argument("--wood", metavar="NAME", help="what it is (default: hardwood)")
    wood.add_argument("--wood-thickness", metavar="LENGTH", help="default: 3/4 in")
    wood.add_argument("--wood-width", metavar="LENGTH", help="as bought (default: 1 1/2 in)")
    wood.add_argument("--wood-length", metavar="LENGTH", help="as bought (default: 8 ft)")
    wood.add_argument("--kerf", metavar="LENGTH", help="what the saw takes (default: 1/8 in)")
    wood.add_argument("--board-width", metavar="LENGTH", help="default: the wood's own width")
    wood.add_argument("--end-margin", metavar="LENGTH", help="end to first peg (default: 1 1/2 in)")
    wood.add_argument("--row-offset", metavar="LENGTH", help="inner edge to row (default: 3/8 in)")
    wood.add_argument("--join", choices=("bolt", "clamp"), help="default: bolt")
    wood.add_argument("--bolt", metavar="LENGTH", help="diameter (default: 1/4 in)")
    wood.add_argument("--bolt-from-end", metavar="LENGTH", help="default: 3/4 in")
    wood.add_argument(
        "--spacers", metavar="LENGTHS", help='thicknesses (default: "1/4 in, 1/8 in")'
    )


def add_measuring(parser: argparse.ArgumentParser) -> None:
    """Readings of a board."""
    group = parser.add_argument_group("measure")
    group.add_argument(
        "--over-pegs",
        metavar="N=LENGTH",
        action="append",
        help="from the first of N pegs to the last, same side of each; may be given several times",
    )
    group.add_argument("--left-gap", metavar="LENGTHS", help="read at the left end, once or more")
    group.add_argument("--right-gap", metavar="LENGTHS", help="read at the right end")
    group.add_argument(
        "--gap-read",
        choices=("centres", "inside", "outside"),
        help="between which points of two facing pegs the gap was read (default: centres)",
    )
    group.add_argument("--diameters", metavar="LENGTHS", help="of several pegs")
    group.add_argument("--resolution", metavar="LENGTH", help="the tape's finest mark")


def add_tolerance(parser: argparse.ArgumentParser) -> None:
    """What may go wrong, and how sure to be."""
    group = parser.add_argument_group("tolerance")
    group.add_argument(
        "--part", type=float, metavar="N", help="a loop may differ by (default: 0.03)"
    )
    group.add_argument(
        "--meet", metavar="LENGTH", help="a pair may mis-meet by (default: pitch/10)"
    )
    group.add_argument(
        "--sure", type=float, metavar="N", help="boards that are right (default: 0.9)"
    )
    group.add_argument("--seed", type=int, metavar="N", help="of the boards drawn by chance")


def refuse_others(options: argparse.Namespace) -> None:
    """Refuse an option that the task does not take.

    :raises BadUse: for the first of them.
    """
    from pegwright.errors import BadUse

    for name in _NEVER_MEASURED if options.task == "measure" else ():
        if getattr(options, name) is not None:
            raise BadUse(
                f"{_typed(name)} is not for measuring",
                given="board measure",
                hint="give what the tape showed: --over-pegs, --left-gap, --right-gap, --diameters",
            )
    for task, names in _TASKS.items():
        if task == options.task:
            continue
        for name in names.split():
            if getattr(options, name) is not None:
                option = _typed(name)
                raise BadUse(
                    f"{option} belongs to another task",
                    given=f"board {options.task}",
                    hint=f"pegwright board {task} {option} …",
                )


# --- the board -----------------------------------------------------------------------------------


def board_spec(options: argparse.Namespace) -> BoardSpec:
    """The board that a plan is asked for; the gap is looked for where a wrap test is wanted."""
    from pegwright.loom.spec import Join
    from pegwright.loom.spec_given import SpecGiven, spec_of

    arrangement, double = _arrangement(options)
    pitch_mm, yarn_mm = _pitch_and_yarn(options)
    given = SpecGiven(
        arrangement=arrangement,
        pegs=_needed(options.pegs, "--pegs"),
        pitch_mm=pitch_mm,
        gap_mm=_gap(options, double),
        lengths_mm=_named_lengths(options),
        peg=_peg_kind(options),
        peg_material=options.peg_material or "",
        wood=options.wood or "",
        join=Join(options.join or "bolt"),
        gaps_mm=_lengths(options, "gaps"),
        spacers_mm=_lengths(options, "spacers"),
        yarn_mm=yarn_mm,
        name=options.name or "board",
    )
    spec = spec_of(given)
    return spec if options.wanted is None else _for_wrap(options, spec)


def _arrangement(options: argparse.Namespace) -> tuple[Arrangement, bool]:
    """How the pegs stand, and whether there are two rows."""
    from pegwright.loom.board import Arrangement

    arrangement = Arrangement(options.arrangement or "opposed")
    return arrangement, arrangement in (Arrangement.OPPOSED, Arrangement.OFFSET)


def _peg_kind(options: argparse.Namespace) -> PegKind:
    from pegwright.loom.spec import PegKind

    return PegKind(options.peg or "dowel")


def _named_lengths(options: argparse.Namespace) -> dict[str, float]:
    """The lengths that were given, in mm, by their options' names."""
    from pegwright.loom.spec_given import LENGTHS

    return {
        name: length_option(getattr(options, name), _typed(name))
        for name in LENGTHS
        if getattr(options, name) is not None
    }


def _for_wrap(options: argparse.Namespace, spec: BoardSpec) -> BoardSpec:
    """The board with the gap at which the wrap test draws what is wanted."""
    from pegwright.errors import BadUse
    from pegwright.knitting.wrap_trial import spec_that_draws
    from pegwright.loom.nearest import check_spec

    if not spec.is_double or not spec.yarn_mm:
        raise BadUse(
            "--wanted finds the gap of a double board for a yarn",
            hint="add --category 4, or give --gap instead",
        )
    check_spec(spec)  # before there is a loom to wrap
    wanted_mm = length_option(options.wanted, "--wanted")
    wrap, over = wrap_of(options, spec.loom())
    return spec_that_draws(spec, wrap, over, wanted_mm, options.slack or 1.0)


def loom_of(options: argparse.Namespace) -> tuple[Loom, float]:
    """The loom that a tolerance is asked for, and the yarn's thickness in mm."""
    from pegwright.loom.spec_given import SpecGiven, spec_of

    arrangement, double = _arrangement(options)
    pitch_mm, yarn_mm = _pitch_and_yarn(options)
    given = SpecGiven(
        arrangement,
        _needed(options.pegs, "--pegs"),
        pitch_mm,
        _gap(options, double),
        _named_lengths(options),
        peg=_peg_kind(options),
        name=options.name or "board",
    )
    return spec_of(given).loom(), yarn_mm


def wrap_of(options: argparse.Namespace, loom: Loom, *, whole: bool = False) -> tuple[Wrap, int]:
    """The wrap that was named, or the first that suits the loom; and over how many pegs."""
    from pegwright.knitting.wrap_trial import WRAP_TEST_PAIRS, columns_for, usual_wrap
    from pegwright.knitting.wraps import shipped

    wrap = usual_wrap(double=loom.is_double) if options.wrap is None else shipped(options.wrap)
    most = loom.pegs if whole else WRAP_TEST_PAIRS
    return wrap, columns_for(wrap, loom, options.over, most)


def _pitch_and_yarn(options: argparse.Namespace) -> tuple[float, float]:
    """Pitch and thickness of the yarn, mm; 0 where no yarn is named."""
    from pegwright.errors import BadUse
    from pegwright.pattern.board_plan import pitch_for_category

    yarn = thickness_option(options)
    yarn_mm = yarn.mm if yarn else 0.0
    if options.pitch is not None:
        return length_option(options.pitch, "--pitch"), yarn_mm
    if yarn is None or yarn.category is None:
        raise BadUse(
            "the pitch is needed, or the yarn to take it from",
            hint='pegwright board plan --pegs 44 --pitch "7/16 in" --gap "1 in"',
        )
    return pitch_for_category(yarn.category), yarn_mm


def _gap(options: argparse.Namespace, double: bool) -> float:
    from pegwright.errors import BadUse

    if not double:
        return 0.0
    if options.gap is not None:
        return length_option(options.gap, "--gap")
    if options.task == "plan" and options.wanted is not None:
        return 25.4  # where the search sets out from
    raise BadUse(
        "the gap is needed, or a wrap test to find it by",
        hint='--gap "1 in", or --category 4 --wanted "45 in"',
    )


# --- readings ------------------------------------------------------------------------------------


def readings(options: argparse.Namespace) -> Readings:
    """What was read on a board."""
    from pegwright.errors import BadUse
    from pegwright.loom.board import Arrangement
    from pegwright.loom.reading import GapRead, Readings, Span

    if not options.over_pegs or options.diameters is None or options.resolution is None:
        raise BadUse(
            "measuring needs --over-pegs, --diameters and --resolution",
            hint='pegwright board measure --pegs 44 --over-pegs "44=18 13/16 in" --left-gap "1 in"'
            ' --right-gap "1 in" --diameters "3/16 in" --resolution "1/32 in"',
        )
    spans = []
    for words in options.over_pegs:
        count, _, length = words.partition("=")
        if not count.strip().isdecimal() or not length:
            raise BadUse("--over-pegs takes a count and a length", given=words, hint="44=478mm")
        spans.append(Span(int(count), length_option(length, "--over-pegs")))
    height = 25.4
    if options.peg_height is not None:
        height = length_option(options.peg_height, "--peg-height")
    return Readings(
        pegs=options.pegs or max(span.pegs for span in spans),
        spans=tuple(spans),
        diameters_mm=_lengths(options, "diameters"),
        resolution_mm=length_option(options.resolution, "--resolution"),
        left_gap_mm=_lengths(options, "left_gap"),
        right_gap_mm=_lengths(options, "right_gap"),
        gap_read=GapRead(options.gap_read or "centres"),
        arrangement=Arrangement(options.arrangement or "opposed"),
        peg_height_mm=height,
        name=options.name or "measured board",
    )


def _lengths(options: argparse.Namespace, name: str) -> tuple[float, ...]:
    """Lengths with commas between them; none where the option was left out."""
    text = getattr(options, name)
    if text is None:
        return ()
    return tuple(length_option(part, _typed(name)) for part in text.split(","))


def _needed(value: int | None, option: str) -> int:
    from pegwright.errors import BadUse

    if value is None:
        raise BadUse(f"{option} is needed", hint=f"{option} 44")
    return value


def _typed(name: str) -> str:
    return f"--{name.replace('_', '-')}"
