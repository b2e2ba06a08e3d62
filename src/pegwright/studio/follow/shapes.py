"""The JSON shapes of following along: events as devices send them, and what they are answered."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, Field

from pegwright.library.fields import Fields
from pegwright.library.making import Event, event_from
from pegwright.studio.follow.document import FollowDocument
from pegwright.studio.follow.forecast import YarnForecast
from pegwright.studio.follow.yarns import YarnChoice
from pegwright.studio.shapes import Asked

__all__ = [
    "DeviceId",
    "EventShape",
    "FollowView",
    "MakingEntry",
    "SizesEntry",
    "StageAsked",
    "StartAsked",
    "SyncAnswer",
    "SyncAsked",
    "event_of",
]

MOST_EVENTS_AT_ONCE = 2000
"""Events in one request; a device that has more sends them in several."""

DeviceId = Annotated[str, Field(pattern="^[A-Za-z0-9-]{1,64}$")]
_Counter = Annotated[int, Field(ge=1, lt=2**53)]
_Time = Annotated[str, Field(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z$")]


class _Head(Asked):
    id: DeviceId
    device: DeviceId
    counter: _Counter
    at: _Time
    text: Annotated[str, Field(max_length=10_000)] = ""


class RowEvent(_Head):
    """Rows knitted, or ripped back where they are below zero."""

    kind: Literal["row"]
    piece: Annotated[str, Field(max_length=200)] = ""
    rows: Annotated[int, Field(ge=-100_000, le=100_000)]


class StepEvent(_Head):
    """A step ticked, or not any more."""

    kind: Literal["step"]
    step: Annotated[int, Field(ge=1, le=100_000)]
    done: bool


class NoteEvent(_Head):
    """A note."""

    kind: Literal["note"]
    text: Annotated[str, Field(min_length=1, max_length=10_000)]


class WeighEvent(_Head):
    """What is left of a yarn; ``yarn`` is its key in the document."""

    kind: Literal["weigh"]
    yarn: Annotated[str, Field(pattern="^[A-Za-z0-9-]{0,64}$")] = ""
    grams: Annotated[float, Field(ge=0, le=1e6, strict=False)]


class UndoEvent(_Head):
    """An event taken back."""

    kind: Literal["undo"]
    undoes: DeviceId


EventShape = Annotated[
    RowEvent | StepEvent | NoteEvent | WeighEvent | UndoEvent, Field(discriminator="kind")
]
Upto = Annotated[dict[DeviceId, Annotated[int, Field(ge=0, lt=2**53)]], Field(max_length=1000)]


def event_of(shape: BaseModel) -> Event:
    """The event that was sent.

    :raises BadInput: for what the shape alone cannot tell, such as a thirteenth month.
    """
    data: dict[str, Any] = shape.model_dump()
    return event_from(Fields(data, "events"))


class SyncAsked(Asked):
    """What a device has seen so far (:func:`pegwright.library.making.seen`), and what it brings."""

    upto: Upto = Field(default_factory=dict)
    events: list[EventShape] = Field(default_factory=list, max_length=MOST_EVENTS_AT_ONCE)


class SyncAnswer(BaseModel):
    """What the device lacks, and what the studio has now.

    :param total: how many events there are; a device that has fewer asks for all of them.
    """

    upto: dict[str, int]
    total: int
    events: list[EventShape]
    forecasts: list[YarnForecast]
    stage: str


class StartAsked(Asked):
    """A making to start: a size of a version of a design; the latest where none is named."""

    design: DeviceId
    size: Annotated[str, Field(min_length=1, max_length=200)]
    version: Annotated[int, Field(ge=1, le=2**31)] | None = None
    name: Annotated[str, Field(max_length=200)] = ""
    yarns: list[DeviceId] = Field(default_factory=list, max_length=100)


class StageAsked(Asked):
    """How far a making is."""

    stage: Literal["under way", "resting", "finished"]


class MakingEntry(BaseModel):
    """A making in the list; ``rows_total`` is None where its design cannot be read any more."""

    id: str
    name: str
    design: str
    title: str
    size: str
    version: int
    stage: str
    changed: str
    rows: int
    rows_total: int | None


class SizesEntry(BaseModel):
    """The sizes of a design as it is now, the version that this is, and which yarns of the library
    it may be knitted with.
    """

    design: str
    title: str
    version: int
    sizes: list[str]
    yarns: list[YarnChoice]


class FollowView(BaseModel):
    """A making and what is followed.

    :param own_yarns: of the yarns that are in the library, what they are called there, by key.
    """

    id: str
    name: str
    design: str
    version: int
    stage: str
    document: FollowDocument
    own_yarns: dict[str, str]
