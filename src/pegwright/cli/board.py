"""Options that describe a maker's own board and spacers, the same for every command."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

from pegwright.cli.reading import length_option

if TYPE_CHECKING:
    from pegwright.loom.board import Loom
    from pegwright.loom.given import GivenBoard

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

    given = _given(options)
    if given.pegs is None and base is None:
        given = replace(given, pegs=pegs)
    if (name := given.lacking(base)) is not None:
        raise BadUse(
            f"--{name.replace('_', '-')} is needed where no design is named",
            hint=f'pegwright {options.command} --pitch "7/16 in" --gap "1 in"'
            ' --peg-diameter "3/16 in" --category 4',
        )
    return given.on(base)


def _given(options: argparse.Namespace) -> GivenBoard:
    from pegwright.loom.board import Arrangement
    from pegwright.loom.given import GivenBoard

    def length(name: str) -> float | None:
        given = getattr(options, name)
        return None if given is None else length_option(given, f"--{name.replace('_', '-')}")

    arrangement = options.arrangement
    return GivenBoard(
        None if arrangement is None else Arrangement(arrangement),
        options.pegs,
        length("pitch"),
        length("gap"),
        length("peg_diameter"),
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
