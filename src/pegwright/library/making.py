"""Following along: what is counted and noted at the loom, on one device or on several.

Words used here:

* an **event** is one thing that a maker did at the loom and a device wrote down: rows knitted (or
  ripped back), a step ticked, a note, a weighing, or an undo of an event before;
* a **device** is a phone or a desk; each counts its own events from 1 (``counter``).

Events are only ever added.  The state of a making is worked out from the *set* of its events, so it
does not matter in which order they arrive, or how often.  Two devices that were apart give their
events to each other, and both come to the same state with no row lost and none counted twice: a row
event says "one more row", never "this is row 12".  (A grow-only set: Shapiro, Preguiça, Baquero and
Zawirski, 2011, "Conflict-free replicated data types", from memory.)

An undo takes one event of another kind back, for good; to bring it back, do it again.  An undo may
arrive before what it undoes.

Everything here is pure; the library keeps the events.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from operator import attrgetter
from types import MappingProxyType

from pegwright.errors import BadInput, Place
from pegwright.library.fields import Fields
from pegwright.library.records import checked_id, checked_text, checked_time
from pegwright.units import require_zero_or_more

__all__ = [
    "MOST_ROWS",
    "Event",
    "EventKind",
    "MakingState",
    "event_data",
    "event_from",
    "in_order",
    "merged",
    "missing",
    "seen",
    "state_of",
]

MOST_ROWS = 100_000
"""Most rows in one event: above any piece, low enough to keep a typing slip from being believed."""

_MOST_TEXT = 10_000
_MOST_WORD = 200


class EventKind(StrEnum):
    """What was done."""

    ROW = "row"
    STEP = "step"
    NOTE = "note"
    WEIGH = "weigh"
    UNDO = "undo"


_FIELD_OF: dict[str, tuple[EventKind, object]] = {
    "piece": (EventKind.ROW, ""),
    "rows": (EventKind.ROW, 0),
    "step": (EventKind.STEP, 0),
    "done": (EventKind.STEP, True),
    "yarn": (EventKind.WEIGH, ""),
    "grams": (EventKind.WEIGH, 0.0),
    "undoes": (EventKind.UNDO, ""),
}
"""Fields that only events of one kind have, and what they are in all others."""

_ORDER = attrgetter("at", "device", "counter", "id", "kind", "text", *_FIELD_OF)


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that was done; fields that are not of its kind are as if they were not given.

    :param id: unique among all events of all devices.
    :param device: the device's own id; ``counter`` numbers its events from 1.
    :param at: UTC, by the device's clock, which may be wrong.
    :param piece: ROW: the piece that is counted, empty where there is one.
    :param rows: ROW: rows knitted; below zero for rows ripped back.
    :param step: STEP: the step's number; ``done`` says whether it is ticked or not any more.
    :param text: NOTE: the note; of any other kind, a remark.
    :param yarn: WEIGH: record id of the yarn, or empty; ``grams`` is what is left of it.
    :param undoes: UNDO: the id of the event that is taken back.
    :raises BadInput: naming the field, for what cannot be.
    """

    id: str
    device: str
    counter: int
    at: str
    kind: EventKind
    piece: str = ""
    rows: int = 0
    step: int = 0
    done: bool = True
    text: str = ""
    yarn: str = ""
    grams: float = 0.0
    undoes: str = ""

    def __post_init__(self) -> None:
        for name, (kind, default) in _FIELD_OF.items():
            if kind is not self.kind and getattr(self, name) != default:
                object.__setattr__(self, name, default)
        checked_id(self.id, "id")
        checked_id(self.device, "device")
        checked_time(self.at, "at")
        checked_text(self.piece, "piece", _MOST_WORD)
        checked_text(self.text, "text", _MOST_TEXT)
        if self.yarn:
            checked_id(self.yarn, "yarn")
        require_zero_or_more(self.grams, "grams", hint="write what the scale shows")
        object.__setattr__(self, "grams", float(self.grams))
        if not 1 <= self.counter < 2**53:
            _refuse("a device counts its events from 1", self.counter, "counter")
        _check_kind(self)


@dataclass(frozen=True, slots=True)
class MakingState:
    """Where a making stands.

    :param rows: rows knitted by piece, never below zero.
    :param rows_by_device: the same of all pieces, by who counted them; may be below zero for a
        device that only ripped back.
    :param steps: numbers of the steps that are ticked, in order.
    :param notes: notes in order of time; ``weighings`` likewise.
    :param last: the latest event that is neither an undo nor undone, which an undo would take back.
    :param counters: the highest counter of each device; a device goes on from its own.
    :param events: how many events there are, undone ones and undos included.
    """

    rows: Mapping[str, int]
    rows_by_device: Mapping[str, int]
    steps: tuple[int, ...]
    notes: tuple[Event, ...]
    weighings: tuple[Event, ...]
    last: Event | None
    counters: Mapping[str, int]
    events: int

    @property
    def rows_in_all(self) -> int:
        """Rows of all pieces together."""
        return sum(self.rows.values())

    def last_of(self, device: str, events: Iterable[Event]) -> Event | None:
        """The latest event of one device that still stands, for its own undo button."""
        return next((e for e in reversed(_standing(events)) if e.device == device), None)


def state_of(events: Iterable[Event]) -> MakingState:
    """The state that a set of events comes to; order and repetition do not matter."""
    known = merged(events)
    standing = _standing_of(known)
    rows: dict[str, int] = {}
    by_device: dict[str, int] = {}
    ticked: dict[int, bool] = {}
    for event in standing:
        if event.kind is EventKind.ROW:
            rows[event.piece] = rows.get(event.piece, 0) + event.rows
            by_device[event.device] = by_device.get(event.device, 0) + event.rows
        elif event.kind is EventKind.STEP:
            ticked[event.step] = event.done
    counters: dict[str, int] = {}
    for event in known:
        counters[event.device] = max(event.counter, counters.get(event.device, 0))
    return MakingState(
        MappingProxyType({piece: max(rows[piece], 0) for piece in sorted(rows)}),
        MappingProxyType(dict(sorted(by_device.items()))),
        tuple(sorted(step for step, done in ticked.items() if done)),
        tuple(e for e in standing if e.kind is EventKind.NOTE),
        tuple(e for e in standing if e.kind is EventKind.WEIGH),
        standing[-1] if standing else None,
        MappingProxyType(dict(sorted(counters.items()))),
        len(known),
    )


def merged(*sets: Iterable[Event]) -> tuple[Event, ...]:
    """All events of all sets, each once, in order.

    Should two different events bear one id, which no sound device writes, both are kept.
    """
    return in_order({event for events in sets for event in events})


def in_order(events: Iterable[Event]) -> tuple[Event, ...]:
    """Events by the devices' clocks; of one moment by device and counter."""
    return tuple(sorted(events, key=_ORDER))


def seen(events: Iterable[Event]) -> Mapping[str, int]:
    """Of each device the counter up to which none of its events is missing, for those from 1 up."""
    counters: dict[str, set[int]] = {}
    for event in events:
        counters.setdefault(event.device, set()).add(event.counter)
    upto: dict[str, int] = {}
    for device, known in counters.items():
        number = 0
        while number + 1 in known:
            number += 1
        upto[device] = number
    return upto


def missing(events: Iterable[Event], upto: Mapping[str, int]) -> tuple[Event, ...]:
    """The events that someone who has seen so much (:func:`seen`) does not have."""
    return in_order(e for e in events if e.counter > upto.get(e.device, 0))


def event_data(event: Event) -> dict[str, object]:
    """An event as plain data: the fields of every event, and those of its kind."""
    data: dict[str, object] = {
        "id": event.id,
        "device": event.device,
        "counter": event.counter,
        "at": event.at,
        "kind": str(event.kind),
        "text": event.text,
    }
    match event.kind:
        case EventKind.ROW:
            data |= {"piece": event.piece, "rows": event.rows}
        case EventKind.STEP:
            data |= {"step": event.step, "done": event.done}
        case EventKind.WEIGH:
            data |= {"yarn": event.yarn, "grams": event.grams}
        case EventKind.UNDO:
            data |= {"undoes": event.undoes}
        case EventKind.NOTE:
            pass
    return data


def event_from(data: Fields) -> Event:
    """An event from plain data; fields of other kinds are left aside.

    :raises BadInput: naming the field, for what is missing or cannot be.
    """
    kind = data.choice("kind", EventKind)
    head = (data.text("id"), data.text("device"), data.whole("counter"), data.text("at"), kind)
    text = data.text("text", "")
    match kind:
        case EventKind.ROW:
            return Event(*head, piece=data.text("piece", ""), rows=data.whole("rows"), text=text)
        case EventKind.STEP:
            return Event(*head, step=data.whole("step"), done=data.flag("done"), text=text)
        case EventKind.WEIGH:
            grams = data.number("grams")
            return Event(*head, yarn=data.text("yarn", ""), grams=grams, text=text)
        case EventKind.UNDO:
            return Event(*head, undoes=data.text("undoes"), text=text)
        case EventKind.NOTE:
            return Event(*head, text=text)


def _standing(events: Iterable[Event]) -> tuple[Event, ...]:
    """What is neither an undo nor undone, in order."""
    return _standing_of(merged(events))


def _standing_of(known: tuple[Event, ...]) -> tuple[Event, ...]:
    undone = {e.undoes for e in known if e.kind is EventKind.UNDO}
    return tuple(e for e in known if e.kind is not EventKind.UNDO and e.id not in undone)


def _check_kind(event: Event) -> None:
    match event.kind:
        case EventKind.ROW if not 1 <= abs(event.rows) <= MOST_ROWS:
            _refuse(f"rows are counted in steps of 1 to {MOST_ROWS}", event.rows, "rows")
        case EventKind.STEP if not 1 <= event.step <= MOST_ROWS:
            _refuse("steps are numbered from 1", event.step, "step")
        case EventKind.NOTE if not event.text.strip():
            _refuse("a note needs a word or two", repr(event.text), "text")
        case EventKind.UNDO:
            checked_id(event.undoes, "undoes")


def _refuse(what: str, given: object, field: str) -> None:
    raise BadInput(what, given=given, place=Place(field=field))
