"""What the library refuses, each ending with a name of its own so that callers can tell them apart.

Nothing is ever lost by a refusal: the file is left as it was.
"""

from __future__ import annotations

from pegwright.errors import BadInput, PegwrightError, Place

__all__ = [
    "LibraryBusy",
    "LibraryDamaged",
    "LibraryTooNew",
    "LibraryUnwritable",
    "NoLibrary",
    "NoSuchRecord",
    "NotALibrary",
    "StaleRevision",
]


class NoLibrary(BadInput):
    """There is no file here, and none was to be made."""


class NotALibrary(BadInput):
    """The file is something else."""


class LibraryDamaged(BadInput):
    """The file was a library, and its contents no longer hold together."""


class LibraryTooNew(BadInput):
    """The library was written by a later Pegwright."""


class LibraryBusy(PegwrightError):
    """Another program held the library for longer than we wait."""


class LibraryUnwritable(PegwrightError):
    """The library cannot be written: a full disk, or no permission."""


class NoSuchRecord(BadInput):
    """No record (or version, or photo) of that name is in the library."""

    def __init__(self, what: str, given: object, hint: str | None = None) -> None:
        super().__init__(
            what, given=given, hint=hint or "it may have been erased; look at the list again"
        )


class StaleRevision(BadInput):
    """A change was made to a revision that is no longer the last.

    :param expected: the revision that the caller had read; None where it took the record for new.
    :param current: the revision that the library holds.
    """

    def __init__(self, name: str, expected: int | None, current: int) -> None:
        self.expected = expected
        self.current = current
        had = "none (a new record)" if expected is None else str(expected)
        super().__init__(
            f"“{name}” was changed since it was read",
            given=f"revision {had}, but the library holds revision {current}",
            hint="read it again, and make the change there",
            place=Place(field="revision"),
        )
