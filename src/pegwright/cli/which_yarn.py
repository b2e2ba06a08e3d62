"""Options that say which yarn is meant: one of a stash or a design, or the maker's own figures."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.cli.own_yarn import add_yarn, yarn_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pegwright.designs.model import Design
    from pegwright.yarn.yarn import Yarn

__all__ = ["add_sources", "add_which_yarn", "known_yarns", "named_yarn", "which_yarn"]


def add_sources(parser: argparse.ArgumentParser) -> None:
    """The options ``--stash`` and ``--design``, of which one is given."""
    source = parser.add_mutually_exclusive_group()
    source.add_argument("--stash", metavar="FILE", type=Path, help="a stash file")
    source.add_argument("--design", metavar="DESIGN", help="a design")


def add_which_yarn(parser: argparse.ArgumentParser) -> None:
    """All of them."""
    add_sources(parser)
    parser.add_argument(
        "--yarn", metavar="NAME", help="which yarn of it (default: the first, or the body's)"
    )
    add_yarn(parser)


def known_yarns(options: argparse.Namespace) -> tuple[tuple[Yarn, ...], Design | None]:
    """The yarns of the stash or the design that was named, and the design; the body's first."""
    if options.stash is not None:
        from pegwright.designs.stash import read_stash_file

        return tuple(own.yarn for own in read_stash_file(options.stash)), None
    if options.design is not None:
        from pegwright.designs.files import read_any

        design = read_any(options.design)
        body = design.body_yarn
        return (body, *(y for y in design.yarns.values() if y is not body)), design
    return (), None


def named_yarn(name: str, yarns: Sequence[Yarn], option: str) -> Yarn:
    """The yarn of that name, or of that name and colour.

    :raises BadUse: where there is none, or several colours have the name.
    """
    from pegwright.designs.problems import nearest
    from pegwright.errors import BadUse

    labels = [yarn.label for yarn in yarns]
    found = [yarn for yarn in yarns if name in (yarn.label, yarn.name)]
    if not found:
        raise BadUse(f"{option}: no such yarn", given=name, hint=nearest(name, labels))
    if len({yarn.label for yarn in found}) > 1:
        several = ", ".join(yarn.label for yarn in found)
        raise BadUse(f"{option}: several colours have this name", given=name, hint=several)
    return found[0]


def which_yarn(options: argparse.Namespace) -> tuple[Yarn, Design | None]:
    """The yarn that is meant, and the design if one was named.

    :raises BadUse: where nothing says which.
    """
    from pegwright.errors import BadUse

    yarns, design = known_yarns(options)
    base = yarns[0] if yarns else None
    if options.yarn is not None:
        base = named_yarn(options.yarn, yarns, "--yarn")
    yarn = yarn_of(options, base) or base
    if yarn is None:
        raise BadUse(
            "which yarn is it?",
            hint="name it by --stash FILE or --design DESIGN and --yarn NAME, or describe it; see "
            f"pegwright {options.command} {options.part} --help",
        )
    return yarn, design
