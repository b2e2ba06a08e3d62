"""Arguments that several commands take, and what is read for them."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.units import UnitSystem

__all__ = ["UNITS", "add_design", "add_units", "chosen_units", "length_option", "read_design"]

UNITS = ("inches", "centimetres")


def add_design(parser: argparse.ArgumentParser, *, optional: bool = False) -> None:
    """The argument DESIGN."""
    parser.add_argument(
        "design",
        metavar="DESIGN",
        nargs="?" if optional else None,
        help="a design file, - for what is piped in, or a design that comes with Pegwright",
    )


def add_units(parser: argparse.ArgumentParser) -> None:
    """The option ``--units``."""
    parser.add_argument("--units", choices=UNITS, help="which units come first")


def chosen_units(options: argparse.Namespace, otherwise: UnitSystem | None = None) -> UnitSystem:
    """The units that were asked for, or these, or inches."""
    from pegwright.units import UnitSystem

    if options.units is not None:
        return UnitSystem(options.units)
    return otherwise or UnitSystem.INCHES


def read_design(options: argparse.Namespace) -> Design:
    """The design that was named, in the units that were asked for."""
    from pegwright.designs.files import read_any

    design = read_any(options.design)
    return replace(design, units=chosen_units(options, design.units))


def length_option(text: str, name: str) -> float:
    """The length above zero, in mm, that an option was given.

    :raises BadUse: where it is none.
    """
    from pegwright.errors import BadInput, BadUse
    from pegwright.units import parse_length_mm

    try:
        mm = parse_length_mm(text)
    except BadInput as error:
        raise BadUse(f"{name}: {error.what}", given=error.given, hint=error.hint) from None
    if mm <= 0:
        raise BadUse(f"{name}: a length above zero is needed", given=text)
    return mm
