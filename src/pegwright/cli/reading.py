"""Arguments that several commands take, and what is read for them."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.units import UnitSystem
    from pegwright.yarn.thickness import Thickness

__all__ = [
    "UNITS",
    "add_design",
    "add_units",
    "at_options",
    "chosen_units",
    "length_option",
    "mass_option",
    "named_values",
    "read_design",
    "thickness_option",
]

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


def thickness_option(options: argparse.Namespace) -> Thickness | None:
    """How thick the yarn of the options lies; None where none of them says so."""
    from pegwright.yarn.thickness import thickness_of

    diameter = options.yarn_diameter
    mm = None if diameter is None else length_option(diameter, "--yarn-diameter")
    return thickness_of(options.category, options.wraps_per_inch, mm)


def mass_option(text: str, name: str) -> float:
    """The mass above zero, in g, that an option was given; a number alone is grams.

    :raises BadUse: where it is none.
    """
    from pegwright.errors import BadInput, BadUse
    from pegwright.units import parse_mass_g

    try:
        grams = parse_mass_g(text, default_unit="g")
    except BadInput as error:
        raise BadUse(f"{name}: {error.what}", given=error.given, hint=error.hint) from None
    if grams <= 0:
        raise BadUse(f"{name}: a mass above zero is needed", given=text)
    return grams


def named_values(given: Sequence[str], option: str, example: str) -> dict[str, str]:
    """What stands after the equals sign, by what stands before it.

    :raises BadUse: where one has no equals sign, or two have one name.
    """
    from pegwright.errors import BadUse

    found: dict[str, str] = {}
    for text in given:
        name, equals, value = (part.strip() for part in text.rpartition("="))
        if not equals or not name:
            raise BadUse(f"{option} takes a name and a value", given=text, hint=example)
        if name in found:
            raise BadUse(f"{option} is given twice for the same name", given=text, hint=example)
        found[name] = value
    return found


@contextmanager
def at_options(options: Mapping[str, str]) -> Iterator[None]:
    """Refusals that name a field speak of the option that sets it.

    :param options: the option by the field's name, as it stands before any bracket or dot.
    """
    from pegwright.errors import BadInput, BadUse

    try:
        yield
    except BadInput as error:
        field = (error.place.field if error.place else None) or ""
        option = options.get(field) or options.get(field.partition("[")[0].partition(".")[0])
        if option is None:
            raise
        what = error.what.removeprefix(f"{field} ")  # a name of ours, which nobody typed
        raise BadUse(f"{option}: {what}", given=error.given, hint=error.hint) from None
