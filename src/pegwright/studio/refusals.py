"""Refusals that only the studio makes, and the one JSON shape that every error has.

Each refusal is a :class:`~pegwright.errors.PegwrightError`, so it says what is wrong, what was
given and what to try; here it is also given its HTTP status.
"""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from pegwright.errors import BadInput, NotPossible, PegwrightError
from pegwright.library.refusals import (
    LibraryBusy,
    LibraryDamaged,
    LibraryTooNew,
    LibraryUnwritable,
    NoSuchRecord,
    StaleRevision,
)

__all__ = [
    "ANSWERS",
    "ErrorShape",
    "NotAllowed",
    "NotThere",
    "TooLarge",
    "WrongKind",
    "status_of",
]


class NotThere(PegwrightError):
    """What was asked for is not there."""


class NotAllowed(PegwrightError):
    """The request does not come from the studio's own pages."""


class TooLarge(PegwrightError):
    """More was sent than is taken."""


class WrongKind(PegwrightError):
    """A file of another kind than it may be."""


_STATUS: tuple[tuple[type[PegwrightError], HTTPStatus], ...] = (
    (NotThere, HTTPStatus.NOT_FOUND),
    (NoSuchRecord, HTTPStatus.NOT_FOUND),
    (StaleRevision, HTTPStatus.CONFLICT),
    (LibraryBusy, HTTPStatus.SERVICE_UNAVAILABLE),
    (LibraryUnwritable, HTTPStatus.SERVICE_UNAVAILABLE),
    (LibraryDamaged, HTTPStatus.SERVICE_UNAVAILABLE),
    (LibraryTooNew, HTTPStatus.SERVICE_UNAVAILABLE),
    (NotAllowed, HTTPStatus.FORBIDDEN),
    (TooLarge, HTTPStatus.REQUEST_ENTITY_TOO_LARGE),
    (WrongKind, HTTPStatus.UNSUPPORTED_MEDIA_TYPE),
    (NotPossible, HTTPStatus.UNPROCESSABLE_ENTITY),
    (BadInput, HTTPStatus.UNPROCESSABLE_ENTITY),
)


def status_of(error: PegwrightError) -> int:
    """The HTTP status that an error is answered with."""
    return next((int(status) for kind, status in _STATUS if isinstance(error, kind)), 422)


class ErrorShape(BaseModel):
    """The one shape of every error, the same as the command's ``--json``."""

    model_config = ConfigDict(populate_by_name=True)

    error: str = Field(description="What is wrong.")
    given: str | None = Field(default=None, description="What was given.")
    try_: str | None = Field(default=None, alias="try", description="What to try.")
    file: str | None = Field(default=None, description="The file it stands in.")
    line: int | None = Field(default=None, description="The line it stands in, from 1.")
    field: str | None = Field(default=None, description="The field it is about.")
    more: list[dict[str, Any]] | None = Field(
        default=None, description="Further errors in the same shape."
    )


_WORDS = {
    400: "The request cannot be read.",
    403: "The request does not come from the studio's own pages.",
    404: "It is not there.",
    405: "This cannot be done here.",
    409: "It was changed elsewhere.",
    413: "It is too large.",
    415: "It is of the wrong kind.",
    422: "It cannot be used as it stands.",
    503: "The library cannot be reached.",
}

ANSWERS: dict[int | str, dict[str, Any]] = {
    status: {"model": ErrorShape, "description": words} for status, words in _WORDS.items()
}
"""The refusals that every part of the API may answer with, for its OpenAPI document."""
