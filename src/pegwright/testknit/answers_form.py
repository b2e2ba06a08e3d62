"""The form of a tester's answers: which keys there are, and what each takes.

Counts and yes or no may stand in quotes, as everything else on the sheet does.
"""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from pegwright.designs.form import (
    FORMAT,
    MOST_ROWS,
    Mass,
    Name,
    Number,
    PositiveLength,
    PositiveMass,
    Refused,
    Words,
)
from pegwright.designs.outline import Path
from pegwright.errors import BadInput
from pegwright.loom.board import MOST_PEGS

__all__ = ["AnswersForm", "SwatchAnswerForm", "form_of"]

_MOST_MINUTES = 60_000.0

_DURATION = re.compile(
    r"(?:(\d+(?:\.\d+)?)\s*(?:h|hours?))?\s*(?:(\d+(?:\.\d+)?)\s*(?:m|min|minutes?)?)?"
)


def _count(value: object) -> object:
    if isinstance(value, str) and re.fullmatch(r"\s*\d{1,9}\s*", value):
        return int(value)
    return value


def _number(value: object) -> object:
    if isinstance(value, str) and re.fullmatch(r"\s*\d{1,9}(?:\.\d{1,9})?\s*", value):
        return float(value)
    return value


def _yes(value: object) -> object:
    words = {"yes": True, "no": False}
    return words.get(value.strip().lower(), value) if isinstance(value, str) else value


def _minutes(value: object) -> object:
    if not isinstance(value, str):
        return value
    match = _DURATION.fullmatch(value.strip().lower())
    if match is None or not any(match.groups()):
        raise Refused(BadInput("this is no length of time", given=value, hint='write "4 h 30 min"'))
    hours, minutes = (float(part or 0) for part in match.groups())
    return 60 * hours + minutes


Count = Annotated[int, BeforeValidator(_count)]
Yes = Annotated[bool, BeforeValidator(_yes)]
Minutes = Annotated[Number, BeforeValidator(_minutes), Field(gt=0, le=_MOST_MINUTES)]


class _Form(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class BoardForm(_Form):
    """The tester's board."""

    pegs: Annotated[Count, Field(ge=1, le=MOST_PEGS)] | None = Field(
        default=None, description="Pegs in one row."
    )
    pitch: PositiveLength | None = Field(default=None, description="From peg to peg.")
    gap: PositiveLength | None = Field(default=None, description="From row to row.")
    peg_diameter: PositiveLength | None = Field(default=None, description="Thickness of a peg.")


class WrapTestForm(_Form):
    """A wrap test."""

    pegs: Annotated[Count, Field(ge=1, le=MOST_PEGS)] | None = Field(
        default=None, description="Pegs on each board."
    )
    drawn: PositiveLength | None = Field(default=None, description="The yarn that it took.")


class SwatchAnswerForm(_Form):
    """The tester's swatch."""

    stitches: Annotated[Count, Field(ge=1, le=10_000)] | None = Field(default=None)
    width: PositiveLength | None = Field(default=None)
    rows: Annotated[Count, Field(ge=1, le=MOST_ROWS)] | None = Field(default=None)
    length: PositiveLength | None = Field(default=None)
    washed: Yes | None = Field(default=None)


class PieceForm(_Form):
    """A piece before it was made up."""

    name: Name = Field(description="The piece's name, as on the form.")
    width: PositiveLength | None = Field(default=None)
    length: PositiveLength | None = Field(default=None)


class YarnAnswerForm(_Form):
    """A yarn, weighed."""

    name: Name = Field(description="The yarn's name, as in the design.")
    before: PositiveMass | None = Field(default=None, description="Before it was begun.")
    after: Mass | None = Field(default=None, description="What was left.")
    instead: Name | None = Field(default=None, description="Another yarn in its place.")
    metres_per_100g: Annotated[Number, BeforeValidator(_number), Field(gt=0, le=1e5)] | None = (
        Field(default=None, description="Metres of that one in 100 g.")
    )


class TimeForm(_Form):
    """How long it took."""

    knitting: Minutes | None = Field(default=None, description="At the loom.")
    making_up: Minutes | None = Field(default=None, description="Seams, cords and tails.")


class TroubleForm(_Form):
    """Trouble with a step."""

    step: Count | None = Field(default=None, description="The step's number.")
    words: Words = Field(default="", description="What the trouble was.")


class RemarksForm(_Form):
    """Anything else."""

    words: Words = Field(default="")


class AnswersForm(_Form):
    """A tester's answers."""

    pegwright: int = Field(default=FORMAT)
    design: str = Field(default="", max_length=120)
    version: str = Field(default="", max_length=20)
    pattern: str = Field(default="", max_length=64)
    size: Name = Field(description="Which size was knitted.")
    tester: str = Field(default="", max_length=120)
    scale: PositiveMass = Field(default=1.0)
    washed: Yes | None = Field(default=None)
    board: BoardForm = Field(default_factory=BoardForm)
    wrap_test: WrapTestForm = Field(default_factory=WrapTestForm)
    swatch: SwatchAnswerForm = Field(default_factory=SwatchAnswerForm)
    measures: dict[str, PositiveLength] = Field(default_factory=dict, max_length=100)
    pieces: list[PieceForm] = Field(default_factory=list, max_length=100)
    yarns: list[YarnAnswerForm] = Field(default_factory=list, max_length=100)
    time: TimeForm = Field(default_factory=TimeForm)
    troubles: list[TroubleForm] = Field(default_factory=list, max_length=200)
    remarks: RemarksForm = Field(default_factory=RemarksForm)


_FORMS: dict[tuple[str, ...], type[BaseModel]] = {
    (): AnswersForm,
    ("board",): BoardForm,
    ("wrap_test",): WrapTestForm,
    ("swatch",): SwatchAnswerForm,
    ("pieces",): PieceForm,
    ("yarns",): YarnAnswerForm,
    ("time",): TimeForm,
    ("troubles",): TroubleForm,
    ("remarks",): RemarksForm,
}


def form_of(path: Path) -> type[BaseModel] | None:
    """The form of the table at a path, or None where there is none of its own."""
    return _FORMS.get(tuple(part for part in path if isinstance(part, str)))
