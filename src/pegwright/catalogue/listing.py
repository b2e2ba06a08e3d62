"""A catalogue file: a design, and the boards and yarns that it is to be worked out for.

Written as a design file is; each of ``[[boards]]`` is like its ``[loom]``, each of ``[[yarns]]``
like its own::

    pegwright = 1

    [catalogue]
    design = "tern-point-hood"

    [[boards]]
    name = "boathouse board"
    …
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, WithJsonSchema

from pegwright.designs.build import loom_of, yarn_of
from pegwright.designs.check import checked_as
from pegwright.designs.form import FORMAT, LoomTable, YarnForm
from pegwright.designs.model import Design
from pegwright.designs.outline import Outline
from pegwright.designs.problems import Problems, check_size
from pegwright.errors import BadInput, Place
from pegwright.loom.board import Loom
from pegwright.yarn.yarn import Yarn

__all__ = ["CatalogueForm", "Listing", "read_listing"]


@dataclass(frozen=True, slots=True)
class Listing:
    """What a catalogue is made of.

    :param design: the design's path or name.
    :param sizes: names of the sizes wanted; all where it is empty.
    """

    design: str
    sizes: tuple[str, ...]
    boards: tuple[Loom, ...]
    yarns: tuple[Yarn, ...]

    def of(self, design: Design) -> Design:
        """A design with the sizes that are wanted, in the order of the design.

        :raises BadInput: for a size that it does not have.
        """
        known = [size.name for size in design.sizes]
        for name in self.sizes:
            check_size(name, known, "catalogue.sizes")
        if not self.sizes:
            return design
        return replace(design, sizes=tuple(s for s in design.sizes if s.name in self.sizes))


class CatalogueTable(BaseModel):
    """Which design, and which of its sizes."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    design: str = Field(
        min_length=1, max_length=500, description="A design file, or one that comes with Pegwright."
    )
    sizes: list[str] = Field(
        default_factory=list, max_length=100, description="Names of sizes; all if left out."
    )


class CatalogueForm(BaseModel):
    """A catalogue: one design on every board with every yarn."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    pegwright: Annotated[int, WithJsonSchema({"const": FORMAT})] = Field(
        description="The version of this format."
    )
    catalogue: CatalogueTable
    boards: list[LoomTable] = Field(min_length=1, max_length=1000, description="Every board.")
    yarns: list[YarnForm] = Field(min_length=1, max_length=1000, description="Every yarn.")


def read_listing(data: bytes, name: str = "catalogue") -> Listing:
    """The list in the bytes of a catalogue file, which are UTF-8.

    :param name: what errors call it, usually the file's name.
    :raises BadInput: for anything that is no catalogue, naming line and key.
    """
    try:
        text = data.decode("utf-8").removeprefix("\ufeff")
        outline = Outline(text, name)
        read = tomllib.loads(text)
    except (ValueError, RecursionError) as wrong:
        raise BadInput(
            "this cannot be read as a catalogue",
            given=str(wrong),
            hint="see docs/catalogue.md",
            place=Place(name),
        ) from None
    return _build(checked_as(CatalogueForm, read, outline), outline)


def _build(form: CatalogueForm, outline: Outline) -> Listing:
    problems = Problems(outline)
    boards = [loom_of(board, problems, ("boards", i)) for i, board in enumerate(form.boards)]
    yarns: list[Yarn] = []
    for i, given in enumerate(form.yarns):
        with problems.catch(("yarns", i)):
            yarns.append(yarn_of(given))
    _refuse_one_makers(form, problems)
    problems.raise_if_any()
    found = [board for board in boards if board is not None]
    sizes = tuple(form.catalogue.sizes)
    return Listing(form.catalogue.design, sizes, tuple(found), tuple(yarns))


def _refuse_one_makers(form: CatalogueForm, problems: Problems) -> None:
    """Refuse what belongs to one maker and her hands, and so in the design."""
    own: Sequence[tuple[str, Sequence[Any], tuple[str, ...]]] = (
        ("boards", form.boards, ("slack", "slack_sd")),
        ("yarns", form.yarns, ("available",)),
    )
    for table, entries, keys in own:
        for i, entry in enumerate(entries):
            for key in keys:
                if key in entry.model_fields_set:
                    problems.refuse(
                        (table, i, key),
                        f"“{key}” is one maker's own, and has no place in a catalogue",
                        hint="leave it out here; the design may say it",
                    )
