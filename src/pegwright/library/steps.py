"""Taking changes of a design back, and making them again: the texts that it had before.

Words used here:

* a **step** is a text that a design had: before a change, on the side **back**; or before the
  change was taken back, on the side **again**;
* a change that **joins** the one before it (more letters in the same field) is taken back together
  with it, so it leaves no step of its own;
* a new change leaves nothing to make again.

Steps lie in the library, so they outlast the program and are the same for whoever opens the design.
They are a convenience of this file and no part of an archive: what must not be lost is in the
versions (:mod:`pegwright.library.versions`), which are never taken back.

Every function works inside a transaction that its caller has begun.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from enum import StrEnum

from pegwright.library.records import DesignText

__all__ = ["MOST_STEPS", "MOST_STEP_LETTERS", "Side", "Steps", "counted", "noted", "stepped"]

MOST_STEPS = 200
"""Most steps on a side; of more, the oldest go."""

MOST_STEP_LETTERS = 8_000_000
"""Letters of all steps of a side together; of more, the oldest go."""


class Side(StrEnum):
    """Which way a step leads."""

    BACK = "back"
    AGAIN = "again"

    @property
    def other(self) -> Side:
        """The side that a step is laid on when it is taken from this one."""
        return Side.AGAIN if self is Side.BACK else Side.BACK


@dataclass(frozen=True, slots=True)
class Steps:
    """How many changes of a design can be taken back, and how many made again."""

    back: int
    again: int


def counted(db: sqlite3.Connection, design: str) -> Steps:
    """How many steps a design has."""
    rows = db.execute("SELECT side, count(*) FROM step WHERE design = ? GROUP BY side", (design,))
    known = dict(rows.fetchall())
    return Steps(known.get(str(Side.BACK), 0), known.get(str(Side.AGAIN), 0))


def noted(db: sqlite3.Connection, design: str, before: DesignText, *, joins: bool) -> None:
    """Note what a design was before a change.

    :param joins: the change joins the one before it, where there is one.
    """
    db.execute("DELETE FROM step WHERE design = ? AND side = ?", (design, str(Side.AGAIN)))
    if not joins or not counted(db, design).back:
        _lay(db, design, Side.BACK, before)


def stepped(db: sqlite3.Connection, design: str, now: DesignText, side: Side) -> DesignText | None:
    """Go a step to a side: the text that the design has from now on, None where there is no step.

    :param now: the text that it has, which is laid on the other side.
    """
    row = db.execute(
        "SELECT number, title, garment, toml FROM step WHERE design = ? AND side = ?"
        " ORDER BY number DESC LIMIT 1",
        (design, str(side)),
    ).fetchone()
    if row is None:
        return None
    number, title, garment, toml = row
    db.execute(
        "DELETE FROM step WHERE design = ? AND side = ? AND number = ?", (design, str(side), number)
    )
    _lay(db, design, side.other, now)
    return DesignText(title, garment, toml)


def _lay(db: sqlite3.Connection, design: str, side: Side, text: DesignText) -> None:
    """Lay a step on a side, on top; what is too much goes from below."""
    known = db.execute(
        "SELECT number, length(toml) FROM step WHERE design = ? AND side = ? ORDER BY number DESC",
        (design, str(side)),
    ).fetchall()
    number = known[0][0] + 1 if known else 1
    db.execute(
        "INSERT INTO step (design, side, number, title, garment, toml) VALUES (?, ?, ?, ?, ?, ?)",
        (design, str(side), number, text.title, text.garment, text.toml),
    )
    letters = len(text.toml)
    for place, (old, length) in enumerate(known, 2):
        letters += length
        if place > MOST_STEPS or letters > MOST_STEP_LETTERS:
            db.execute(
                "DELETE FROM step WHERE design = ? AND side = ? AND number <= ?",
                (design, str(side), old),
            )
            return
