"""What is done with one board or yarn of the library, each on a page of its own.

Such a page has a form; what is typed into it travels by field, as text, and is read here as the
record's own form is.  What comes out can be kept with the record.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BaseModel, Field
from starlette.requests import Request
from starlette.responses import HTMLResponse

from pegwright.errors import BadInput, PegwrightError, Place
from pegwright.library.records import MOST_NOTES, Kind, OwnBoard, OwnYarn, Record
from pegwright.studio.designs.api import Revision
from pegwright.studio.designs.sheet import Choice, SheetField
from pegwright.studio.library.api import entry_of
from pegwright.studio.library.record_bodies import FormValues, read_choice
from pegwright.studio.library.record_sheets import KINDS, ONE
from pegwright.studio.pages import page
from pegwright.studio.refusals import NotThere
from pegwright.studio.state import Studio
from pegwright.units import UnitSystem

__all__ = [
    "Kept",
    "RecordTask",
    "Typed",
    "at_field",
    "board_record",
    "record_task_page",
    "tasks_of",
    "units_asked",
    "units_field",
    "with_note",
    "yarn_record",
]

Typed = Annotated[str, Field(max_length=200)]
"""What stands in a field of a form."""


class Kept(BaseModel):
    """What was kept: in words, with the record's revision now."""

    revision: Revision
    words: str


@dataclass(frozen=True, slots=True)
class RecordTask:
    """What can be done with a record.

    :param key: its stable name, also the end of its address: ``/library/board/…/wrap-test``.
    :param title: what it is called on screen; ``words`` say in a sentence what it does.
    """

    key: str
    title: str
    words: str

    def href(self, kind: str, record_id: str) -> str:
        """The page for a record."""
        return f"/library/{kind}/{record_id}/{self.key}"


_TASKS: dict[Kind, tuple[RecordTask, ...]] = {
    Kind.BOARD: (
        RecordTask(
            "wrap-test",
            "Wrap test",
            "Wrap a row of pegs, unwind the yarn and measure it: the quickest way to see whether a "
            "board suits a pattern, and how loosely you wrap.",
        ),
        RecordTask(
            "measure",
            "Measure it",
            "Type what your tape showed: pitch, gap and pegs come out, with how sure they are.",
        ),
        RecordTask(
            "build",
            "Build it",
            "A plan to build this board: cut list, drilling template at true scale, how exactly to "
            "drill, steps and cautions.",
        ),
        RecordTask(
            "fits",
            "What fits",
            "Everything that can be knitted on this board with a yarn of yours, each size tried on "
            "the simulated loom.",
        ),
    ),
    Kind.YARN: (
        RecordTask(
            "count",
            "Count and split",
            "Count its wraps, hold strands of it together, and part a ball on your scale.",
        ),
    ),
}


def tasks_of(kind: Kind) -> tuple[RecordTask, ...]:
    """What can be done with a record of a kind, in the order of the navigation."""
    return _TASKS.get(kind, ())


def board_record(studio: Studio, record_id: str) -> tuple[Record, OwnBoard]:
    """A board of the library.

    :raises NotThere: where the record is of another kind.
    """
    record = studio.library.get(record_id)
    if not isinstance(record.body, OwnBoard):
        raise NotThere("no such board is in the library", given=record.name)
    return record, record.body


def yarn_record(studio: Studio, record_id: str) -> tuple[Record, OwnYarn]:
    """A yarn of the library.

    :raises NotThere: where the record is of another kind.
    """
    record = studio.library.get(record_id)
    if not isinstance(record.body, OwnYarn):
        raise NotThere("no such yarn is in the library", given=record.name)
    return record, record.body


def record_task_page(
    request: Request, template: str, record: Record, key: str, /, **values: Any
) -> HTMLResponse:
    """The page of a task.  Its template extends ``record_task.html`` and fills the block ``task``.

    It is given ``record``, ``task`` and what the navigation needs.
    """
    tasks = tasks_of(record.kind)
    task = next(each for each in tasks if each.key == key)
    return page(
        request,
        template,
        here="library",
        title=f"{task.title}: {record.name}",
        record=entry_of(record),
        kind=str(record.kind),
        kinds=KINDS[record.kind],
        one=ONE[record.kind],
        record_tasks=tasks,
        task=task,
        **values,
    )


# --- forms ---------------------------------------------------------------------------------------


def units_field() -> SheetField:
    """Which units come first in what is answered."""
    return SheetField(
        path="units",
        label="Which units come first",
        kind="choice",
        value=str(UnitSystem.INCHES),
        required=True,
        choices=[Choice(value=str(each), label=str(each)) for each in UnitSystem],
    )


def units_asked(read: FormValues) -> UnitSystem:
    """The units that were chosen; inches where none were."""
    return read.as_("units", read_choice(UnitSystem)) or UnitSystem.INCHES


@contextmanager
def at_field(
    otherwise: str | None = None, names: Mapping[str, str] | None = None
) -> Iterator[None]:
    """Refusals that name a field of the domain name the form's own instead.

    :param otherwise: the field for those that name none.
    :param names: the form's names by those of the domain, as they stand before any bracket.
    """
    try:
        yield
    except PegwrightError as error:
        field = error.place.field if error.place else None
        if field is not None and names:
            named = names.get(field) or names.get(field.partition("[")[0])
            if named is not None and isinstance(error, BadInput):
                error.what = error.what.removeprefix(f"{field} ")  # a name that nobody typed
            field = named or field
        elif field is None:
            field = otherwise
        if field is not None:
            error.place = Place(field=field)
        raise


def with_note(notes: str, line: str) -> str:
    """Notes with a line at their end; as they were where it stands there, or has no room."""
    if line in notes.splitlines() or len(notes) + len(line) + 1 > MOST_NOTES:
        return notes
    return f"{notes.rstrip()}\n{line}" if notes.strip() else line
