"""What is only ever added: a yarn's weighings and a making's events, as rows of the database.

Every function works inside a transaction that its caller has begun.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable

from pegwright.errors import BadInput, Place
from pegwright.library.codecs import weighing_data, weighing_from
from pegwright.library.fields import json_text, parsed
from pegwright.library.making import Event, event_data, event_from, in_order, merged
from pegwright.library.records import Weighing

__all__ = ["MOST_EVENTS", "add_events", "add_weighing", "all_events", "all_weighings"]

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
