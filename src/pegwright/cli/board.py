"""The reader's own board, and her spacers, as options that several commands take."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from pegwright.cli.reading import length_option

if TYPE_CHECKING:
    from pegwright.loom.board import Loom

__all__ = ["add_board", "add_spacers", "board_of", "names_a_board", "spacers_of"]

_LOOM_OPTIONS = ("arrangement", "pegs", "pitch", "gap", "peg_diameter")


def add_board(parser: argparse.ArgumentParser, words: str) -> None:
    """The options of a board; ``words`` say what they are for."""
    board = parser.add_argument_group("your board", words)
    board.add_argument("--pegs", type=int, metavar="N", help="pegs in one row")
    board.add_argument("--pitch", metavar="LENGTH", help="peg to peg, centre to centre")
    board.add_argument("--gap", metavar="LENGTH", help="row to row, centre to centre")
    board.add_argument("--peg-diameter", metavar="LENGTH", help="thickness of a peg")
    board.add_argument(
        "--arrangement", choices=("opposed", "offset", "single", "ring"), help="how the pegs stand"
    )


def add_spacers(group: argparse._ArgumentGroup) -> None:
    """The options of spacers."""
    group.add_argument(
        "--spacers", metavar="LENGTHS", help='thicknesses that you have: "1/4 in, 1/8 in"'
    )
    group.add_argument("--bare-gap", metavar="LENGTH", help="the gap with no spacers in")


def names_a_board(options: argparse.Namespace) -> bool:
    """Whether any measure of a board was given."""
    return any(getattr(options, name) is not None for name in _LOOM_OPTIONS)


def board_of(options: argparse.Namespace, base: Loom | None, pegs: int | None = None) -> Loom:
    """The board of the options; what they leave out is taken from ``base``.

    :param pegs: pegs in one row where neither says so.
    :raises BadUse: where a measure is missing.
    """
    from pegwright.errors import BadUse
    from pegwright.loom.board import Arrangement, Loom

    arrangement = options.arrangement or (base.arrangement if base else Arrangement.OPPOSED)
    double = arrangement in (Arrangement.OPPOSED, Arrangement.OFFSET)

    def length(name: str, usual: float | None) -> float:
        given = getattr(options, name)
        option = f"--{name.replace('_', '-')}"
        if given is not None:
            return length_option(given, option)
        if usual is None:
            raise BadUse(
                f"{option} is needed where no design is named",
                hint=f'pegwright {options.command} --pitch "7/16 in" --gap "1 in"'
                ' --peg-diameter "3/16 in" --category 4',
            )
        return usual

    count = options.pegs if options.pegs is not None else base.pegs if base else pegs
    if count is None:
        raise BadUse("--pegs is needed where no design is named", hint="--pegs 44")
    return Loom(
        Arrangement(arrangement),
        int(count),
        length("pitch", base.pitch_mm if base else None),
        length("gap", (base.gap_mm or None) if base else None) if double else 0.0,
        length("peg_diameter", base.peg_diameter_mm if base else None),
        name="your board",
    )


def spacers_of(options: argparse.Namespace) -> tuple[tuple[float, ...], float]:
    """Thicknesses of the spacers, and the gap with none in, mm.

    :raises BadUse: where the gap with none in is missing.
    """
    from pegwright.errors import BadUse

    if options.bare_gap is None:
        raise BadUse(
            "--spacers needs the gap with no spacers in",
            hint="measure it row to row, centre to centre, and add --bare-gap LENGTH",
        )
    sizes = tuple(length_option(part, "--spacers") for part in options.spacers.split(","))
    return sizes, length_option(options.bare_gap, "--bare-gap")
