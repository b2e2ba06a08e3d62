"""Options that describe a maker's own board and spacers, the same for every command."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from pegwright.cli.reading import length_option

if TYPE_CHECKING:
    from pegwright.loom.board import Loom

__all__ = ["add_board", "add_spacers", "board_of", "names_a_board", "spacers_of"]

_OPTIONS = ("arrangement", "pegs", "pitch", "gap", "peg_diameter")


def add_board(parser: argparse.ArgumentParser, words: str) -> None:
    """The options of a board, in a group of their own."""
    board = parser.add_argument_group("your board", words)
    board.add_argument("--pegs", type=int, metavar="N", help="pegs in one row")
    board.add_argument("--pitch", metavar="LENGTH", help="peg to peg, centre to centre")
    board.add_argument("--gap", metavar="LENGTH", help="row to row, centre to centre")
    board.add_argument("--peg-diameter", metavar="LENGTH", help="thickness of a peg")
    board.add_argument(
        "--arrangement", choices=("opposed", "offset", "single", "ring"), help="how the pegs stand"
    )


def add_spacers(group: argparse._ArgumentGroup) -> None:
    """The options ``--spacers`` and ``--bare-gap``."""
    group.add_argument(
        "--spacers", metavar="LENGTHS", help='thicknesses that you have: "1/4 in, 1/8 in"'
    )
    group.add_argument("--bare-gap", metavar="LENGTH", help="the gap with no spacers in")


def names_a_board(options: argparse.Namespace) -> bool:
    """Whether any of the board's options was given."""
    return any(getattr(options, name) is not None for name in _OPTIONS)


def board_of(options: argparse.Namespace, base: Loom | None, pegs: int | None = None) -> Loom:
    """The board of the options; what they leave out is taken from ``base``.

    :param pegs: for a board that stands alone, where no number was given.
    :raises BadUse: for a measure that neither gives.
    """
    from pegwright.errors import BadUse
    from pegwright.loom.board import Arrangement, Loom

    arrangement = options.arrangement or (base.arrangement if base else Arrangement.OPPOSED)
    double = arrangement in (Arrangement.OPPOSED, Arrangement.OFFSET)
    number = options.pegs if options.pegs is not None else base.pegs if base else pegs

    def needed(option: str) -> BadUse:
        return BadUse(
            f"{option} is needed where no design is named",
            hint=f'pegwright {options.command} --pitch "7/16 in" --gap "1 in"'
            ' --peg-diameter "3/16 in" --category 4',
        )

    def length(name: str, usual: float | None) -> float:
        given = getattr(options, name)
        option = f"--{name.replace('_', '-')}"
        if given is not None:
            return length_option(given, option)
        if usual is None:
            raise needed(option)
        return usual

    if number is None:
        raise needed("--pegs")
    return Loom(
        Arrangement(arrangement),
        int(number),
        length("pitch", base.pitch_mm if base else None),
        length("gap", (base.gap_mm or None) if base else None) if double else 0.0,
        length("peg_diameter", base.peg_diameter_mm if base else None),
        base.peg_height_mm if base else 25.0,
        name="your board",
    )


def spacers_of(options: argparse.Namespace) -> tuple[tuple[float, ...], float]:
    """The thicknesses that were given, and the gap with no spacers in, all in mm.

    :raises BadUse: where the bare gap is not given.
    """
    from pegwright.errors import BadUse

    if options.bare_gap is None:
        raise BadUse(
            "--spacers needs the gap with no spacers in",
            hint="measure it row to row, centre to centre, and add --bare-gap LENGTH",
        )
    sizes = tuple(length_option(part, "--spacers") for part in options.spacers.split(","))
    return sizes, length_option(options.bare_gap, "--bare-gap")
