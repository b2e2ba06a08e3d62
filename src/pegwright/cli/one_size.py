"""One size of a design, proved: what several commands reckon with."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

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
    from pegwright.designs.problems import nearest
    from pegwright.errors import BadUse, NotPossible
    from pegwright.making import prove

    names = [size.name for size in design.sizes]
    if name is not None and name not in names:
        raise BadUse("--size: the design has no such size", given=name, hint=nearest(name, names))
    size = design.sizes[0 if name is None else names.index(name)]
    made = prove(replace(design, sizes=(size,), available_g={}))
    if not made.proved:
        raise NotPossible(
            f"the size {size.name} has faults, so nothing can be reckoned from it",
            given=design.title,
            hint="pegwright check tells them",
        )
    return made, made.sizes[0]
