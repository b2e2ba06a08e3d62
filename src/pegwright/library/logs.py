"""What is only ever added: a yarn's weighings and a making's events, as rows of the database.

Every function works inside a transaction that its caller has begun.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping

from pegwright.errors import BadInput, Place
from pegwright.library.codecs import weighing_data, weighing_from
from pegwright.library.fields import json_text, parsed
from pegwright.library.making import (
    Event,
    EventKind,
    event_data,
    event_from,
    in_order,
    merged,
    state_of,
)
from pegwright.library.records import Weighing

__all__ = [
    "AT_THE_LOOM",
    "MOST_EVENTS",
    "add_events",
    "add_weighing",
    "all_events",
    "all_weighings",
    "note_weighings",
]

AT_THE_LOOM = "weighed at the loom"
"""The note of a weighing that was made while knitting."""

MOST_EVENTS = 200_000
"""Most events of one making; a large blanket has a few thousand rows."""


def all_weighings(db: sqlite3.Connection, yarn: str) -> tuple[Weighing, ...]:
    """The weighings of a yarn, the first one first."""
    rows = db.execute("SELECT data FROM weighing WHERE yarn = ? ORDER BY at, id", (yarn,))
    return tuple(weighing_from(parsed(row[0])) for row in rows)


def add_weighing(db: sqlite3.Connection, yarn: str, weighing: Weighing) -> bool:
    """Keep a weighing; False where it was there already."""
    data = json_text(weighing_data(weighing))
    row = (yarn, weighing.id, weighing.at, data)
    return db.execute("INSERT OR IGNORE INTO weighing VALUES (?, ?, ?, ?)", row).rowcount > 0


def note_weighings(db: sqlite3.Connection, making: str, yarns: Mapping[str, str]) -> None:
    """Bring what was weighed in a making into the weight histories of its yarns.

    Each weighing that stands is there once, under its event's own id; one that was taken back is
    there no more.  What was weighed elsewhere stays as it is.

    :param yarns: record id of the yarn, by the key under which the making's events name it.
    """
    events = all_events(db, making)
    standing = {event.id for event in state_of(events).weighings}
    for event in events:
        if event.kind is not EventKind.WEIGH or event.yarn not in yarns:
            continue
        yarn = yarns[event.yarn]
        if event.id in standing:
            balls_g = (event.grams,) if event.grams else ()
            add_weighing(db, yarn, Weighing(event.id, event.at, balls_g, AT_THE_LOOM, making))
        else:
            _drop_weighing(db, yarn, event.id, making)


def _drop_weighing(db: sqlite3.Connection, yarn: str, weighing: str, making: str) -> None:
    """Take out a weighing, if it is this making's."""
    where = " WHERE yarn = ? AND id = ?"
    row = db.execute(f"SELECT data FROM weighing{where}", (yarn, weighing)).fetchone()
    if row is not None and weighing_from(parsed(row[0])).making == making:
        db.execute(f"DELETE FROM weighing{where}", (yarn, weighing))


def all_events(db: sqlite3.Connection, making: str) -> tuple[Event, ...]:
    """The events of a making, in order."""
    rows = db.execute("SELECT data FROM event WHERE making = ?", (making,))
    return in_order(event_from(parsed(row[0])) for row in rows)


def add_events(db: sqlite3.Connection, making: str, events: Iterable[Event]) -> int:
    """Keep those events that are not there yet; gives how many were new.

    :raises BadInput: where a making would have more events than any can have.
    """
    rows = [
        (making, e.id, e.device, e.counter, e.at, json_text(event_data(e))) for e in merged(events)
    ]
    before = _count(db, making)
    db.executemany("INSERT OR IGNORE INTO event VALUES (?, ?, ?, ?, ?, ?)", rows)
    after = _count(db, making)
    if after > MOST_EVENTS:
        raise BadInput(
            "too many events for one making",
            given=f"{after} events",
            hint=f"at most {MOST_EVENTS} are kept",
            place=Place(field="events"),
        )
    return after - before


def _count(db: sqlite3.Connection, making: str) -> int:
    (number,) = db.execute("SELECT count(*) FROM event WHERE making = ?", (making,)).fetchone()
    return int(number)
