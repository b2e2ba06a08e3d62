"""Reads weighings files: what is left of a yarn, weighed while a piece is on the loom.

A weighings file is TOML: at the top, and each may be left out, ``yarn`` (which yarn was weighed),
``size`` and ``scale`` (the smallest weight that the scale shows, 1 g); then one ``[[weighings]]``
table for each time, with ``row`` (rows done), ``left`` (all the yarn that is left) and ``balls``
(how many were laid on the scale one by one, 1 if left out).
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field

from pegwright.designs import reader
from pegwright.designs.check import checked_as
from pegwright.designs.files import file_bytes
from pegwright.designs.form import FORMAT, MOST_ROWS, Mass, Name, PositiveMass
from pegwright.designs.outline import Outline
from pegwright.designs.outline import Path as KeyPath
from pegwright.errors import Place

__all__ = [
    "Left",
    "LeftForm",
    "WeighingsFile",
    "WeighingsForm",
    "read_weighings_file",
    "read_weighings_text",
]

MOST_WEIGHINGS = 2_000
"""Most weighings of one piece."""


class LeftForm(BaseModel):
    """One weighing."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    row: int = Field(ge=0, le=MOST_ROWS, description="Rows done; 0 after the cast-on.")
    left: Mass = Field(description="All of this yarn that is left.")
    balls: int = Field(
        default=1, ge=1, le=1000, description="Balls that were laid on the scale one by one."
    )


class WeighingsForm(BaseModel):
    """Weighings of one yarn while a piece is on the loom."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    pegwright: int = Field(default=FORMAT, description="The version of this format.")
    yarn: Name | None = Field(default=None, description="Which yarn; the body's if left out.")
    size: Name | None = Field(default=None, description="Which size; the first if left out.")
    scale: PositiveMass = Field(default=1.0, description="The smallest weight the scale shows.")
    weighings: list[LeftForm] = Field(
        min_length=1, max_length=MOST_WEIGHINGS, description="Each weighing, in order of rows."
    )


_FORMS: dict[tuple[str, ...], type[BaseModel]] = {(): WeighingsForm, ("weighings",): LeftForm}


@dataclass(frozen=True, slots=True)
class Left:
    """What was left when so many rows were done; ``balls`` lay on the scale one by one."""

    row: int
    left_g: float
    balls: int


@dataclass(frozen=True, slots=True)
class WeighingsFile:
    """Weighings as they stand in their file.

    :param outline: knows the line of each.
    """

    yarn: str | None
    size: str | None
    scale_g: float
    weighings: tuple[Left, ...]
    outline: Outline

    def place(self, *path: str | int) -> Place:
        """Where in the file something stands."""
        return self.outline.place(path)


def read_weighings_file(path: Path) -> WeighingsFile:
    """The weighings in a file.

    :raises BadInput: for what is no plain file, or holds no weighings; it names line and key.
    """
    return read_weighings_text(reader.decoded(file_bytes(path), str(path)), str(path))


def read_weighings_text(text: str, name: str = "weighings") -> WeighingsFile:
    """The weighings in a text; see :func:`read_weighings_file`."""
    text = reader.checked_letters(text, name)
    outline = Outline(text, name)
    data = reader.parse_toml(text, name)
    form = checked_as(WeighingsForm, data, outline, forms=_form_of, must_say_format=False)
    weighings = tuple(Left(one.row, one.left, one.balls) for one in form.weighings)
    return WeighingsFile(form.yarn, form.size, form.scale, weighings, outline)


def _form_of(path: KeyPath) -> type[BaseModel] | None:
    return _FORMS.get(tuple(part for part in path if isinstance(part, str)))
