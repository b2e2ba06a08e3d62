"""One size of a design, proved: what several commands reckon with."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from pegwright.cli.reading import at_options

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.making import Made
    from pegwright.pattern.source import ProvedSize

__all__ = ["add_size", "prove_size"]


def add_size(parser: argparse.ArgumentParser) -> None:
    """The option ``--size``."""
    parser.add_argument("--size", metavar="NAME", help="which size (default: the first)")


def prove_size(design: Design, name: str | None) -> tuple[Made, ProvedSize]:
    """A design with one size only, and that size; how much yarn there is, is not looked at.

    :raises BadUse: where there is no such size.
    :raises NotPossible: where the size has faults.
    """
    from pegwright.making import size_alone

    with at_options({"size": "--size"}):
        return size_alone(design, name, mend="pegwright check tells them")
