"""Keeps what is counted at the loom, for many devices at once.

The library is the one place where events are kept; here is only a copy of the sets that are asked
for, so that fifty phones that ask every few seconds do not read them from the disk each time.
Devices that arrive while the library is writing are written together in its next transaction, and
each is answered when its own events are on the disk.
"""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from pegwright.designs.reader import read_text
from pegwright.errors import PegwrightError
from pegwright.library.making import Event, EventKind, merged, seen
from pegwright.library.records import Kind, Making, OwnYarn, Record
from pegwright.library.store import Library
from pegwright.studio.follow.document import Followed, followed
from pegwright.studio.follow.forecast import Promise, YarnForecast, forecasts, promises, rows_at
from pegwright.studio.follow.yarns import own_yarns
from pegwright.studio.refusals import NotThere

__all__ = ["Follower", "Known", "Work"]

_MOST_WORKS = 32
_MOST_LOGS = 64
_FRESH_S = 20.0
"""So long the copy of a making's events is taken as it is; another program may have added some."""


@dataclass(frozen=True, slots=True)
class Work:
    """A size of a version of a design, proved, and what its run promises."""

    followed: Followed
    promises: tuple[Promise, ...]


@dataclass(frozen=True, slots=True)
class Known:
    """The events of a making as they stand, in order."""

    events: tuple[Event, ...]
    upto: Mapping[str, int]


@dataclass(slots=True)
class _Batch:
    events: list[Event] = field(default_factory=list)
    done: bool = False
    error: PegwrightError | None = None


class _Log:
    """The events of one making."""

    def __init__(self, library: Library, making: str, clock: Callable[[], float]) -> None:
        self._library = library
        self._making = making
        self._clock = clock
        self._queue = threading.Lock()  # held for a moment only
        self._writing = threading.Lock()  # held while the library writes or reads
        self._batch = _Batch()
        self._known = Known((), {})
        self._read_at = float("-inf")
        self.forecast_key: object = None
        self.forecasts: tuple[YarnForecast, ...] = ()

    def known(self) -> Known:
        """The events, read again where they were read long ago."""
        if self._clock() - self._read_at > _FRESH_S:
            with self._writing:
                self._read()
        return self._known

    def add(self, events: Sequence[Event], yarns: Mapping[str, str]) -> Known:
        """Keep events; when this returns they are on the disk.

        :param yarns: record ids of the maker's own yarns, by the key under which they are weighed.
        :raises PegwrightError: where the library cannot keep them.
        """
        before = self.known()
        new = set(events).difference(before.events)
        if not new:
            return before
        with self._queue:
            batch = self._batch
            batch.events.extend(new)
        with self._writing:
            if not batch.done:
                self._write(batch, yarns)
        if batch.error is not None:
            raise batch.error
        return self._known

    def _write(self, batch: _Batch, yarns: Mapping[str, str]) -> None:
        with self._queue:
            self._batch = _Batch()
        try:
            added = self._library.keep_events(self._making, batch.events, yarns)
            both = merged(self._known.events, batch.events)
            fresh = len(both) - len(self._known.events)
            self._known = Known(both, seen(both))
            if added != fresh:  # another program was here meanwhile
                self._read()
        except PegwrightError as refused:
            batch.error = refused
        finally:
            batch.done = True

    def _read(self) -> None:
        events = self._library.events(self._making)
        self._known = Known(events, seen(events))
        self._read_at = self._clock()


class Follower:
    """What one run of the studio knows of the makings that are followed.

    :param clock: seconds that only ever grow.
    """

    def __init__(self, library: Library, clock: Callable[[], float] = time.monotonic) -> None:
        self._library = library
        self._clock = clock
        self._lock = threading.Lock()
        self._working = threading.Lock()
        self._works: OrderedDict[tuple[str, int, str], Work] = OrderedDict()
        self._logs: OrderedDict[str, _Log] = OrderedDict()

    def making(self, making_id: str) -> tuple[Record, Making]:
        """A making's record.

        :raises NotThere: where there is none of that id, or it was deleted.
        """
        record = self._library.get(making_id)
        if record.kind is not Kind.MAKING or record.deleted:
            raise NotThere("no such making is in the library", given=making_id)
        assert isinstance(record.body, Making)
        return record, record.body

    def work(self, body: Making) -> Work:
        """What a making follows.

        :raises PegwrightError: where its version of the design cannot be read or has a fault.
        """
        key = (body.design, body.version, body.size)
        with self._lock:
            if key in self._works:
                self._works.move_to_end(key)
                return self._works[key]
        with self._working:  # a design is proved once, however many ask at the same time
            with self._lock:
                if key in self._works:
                    return self._works[key]
            text = self._library.version(body.design, body.version).text.toml
            made = followed(read_text(text, "design"), body.size)
            work = Work(made, promises(made))
            with self._lock:
                self._works[key] = work
                while len(self._works) > _MOST_WORKS:
                    self._works.popitem(last=False)
        return work

    def known(self, making_id: str) -> Known:
        """The events of a making."""
        return self._log(making_id).known()

    def add(self, making_id: str, body: Making, events: Sequence[Event]) -> Known:
        """Keep a device's events; gives all that there are.

        What was weighed also goes into the weight histories of the maker's own yarns.
        """
        weighed = any(event.kind in (EventKind.WEIGH, EventKind.UNDO) for event in events)
        own = self.own_yarns(body) if weighed and body.yarns else {}
        return self._log(making_id).add(events, {key: record.id for key, record in own.items()})

    def own_yarns(self, body: Making) -> Mapping[str, Record]:
        """The records of the maker's own yarns in a making, by the yarn's key; none where its
        design cannot be read any more.
        """
        try:
            yarns = self.work(body).followed.document.yarns
        except PegwrightError:
            return {}
        return own_yarns(self._library, body.yarns, yarns)

    def forecasts(self, making_id: str, body: Making, known: Known) -> tuple[YarnForecast, ...]:
        """The forecasts of a making; worked out anew only where a weighing or its row changed."""
        if not any(event.kind is EventKind.WEIGH for event in known.events):
            return ()
        log, work = self._log(making_id), self.work(body)
        undone = {e.undoes for e in known.events if e.kind is EventKind.UNDO}
        key = tuple(
            (event.id, promise.key, rows_at(promise, known.events, event))
            for event in known.events
            for promise in work.promises
            if event.kind is EventKind.WEIGH
            and event.id not in undone
            and event.yarn == promise.key
        )
        if key != log.forecast_key:
            log.forecasts = forecasts(
                work.promises,
                known.events,
                units=work.followed.design.units,
                scale_g=self._scales(body),
            )
            log.forecast_key = key
        return log.forecasts

    def _scales(self, body: Making) -> dict[str, float]:
        """What her scale reads to, for the yarns that the making names from the library."""
        return {
            key: record.body.scale_g
            for key, record in self.own_yarns(body).items()
            if isinstance(record.body, OwnYarn)
        }

    def _log(self, making_id: str) -> _Log:
        with self._lock:
            log = self._logs.get(making_id)
            if log is None:
                log = self._logs[making_id] = _Log(self._library, making_id, self._clock)
                while len(self._logs) > _MOST_LOGS:
                    self._logs.popitem(last=False)
            self._logs.move_to_end(making_id)
            return log
