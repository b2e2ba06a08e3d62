"""The library: the one object through which records are kept and found.

Whoever changes a record says which revision of it she had read; where another change came in
between, hers is refused (:class:`pegwright.library.refusals.StaleRevision`) and nothing is written.
Every method is one transaction: when it has returned, the change is on the disk.  A library may be
used from several threads.  Ids and times come from the caller's own clock where she gives one.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from types import TracebackType

from pegwright.errors import BadInput, BadUse, Place
from pegwright.library import logs, photos, steps, versions
from pegwright.library.database import Database
from pegwright.library.making import Event, EventKind, MakingState, missing, state_of
from pegwright.library.photos import Photo, PhotoType
from pegwright.library.records import (
    Body,
    Clock,
    DesignText,
    Ids,
    Kind,
    Making,
    OwnYarn,
    Record,
    Weighing,
    checked_id,
    kind_of,
    new_id,
    stamp,
    usual_name,
    utc_now,
)
from pegwright.library.refusals import NoSuchRecord
from pegwright.library.rows import Rows, require_revision
from pegwright.library.steps import Side, Steps
from pegwright.library.versions import Change, Version
from pegwright.measured import Measured, resolution_sd
from pegwright.yarn.stash import StashYarn

__all__ = ["Library"]


class Library:
    """A maker's library; open it with :meth:`open`, and close it or use it in a ``with`` block.

    :param clock: gives the time, with its zone.
    :param ids: gives a new id at each call.
    """

    def __init__(self, database: Database, clock: Clock, ids: Ids) -> None:
        self.database = database
        self.clock = clock
        self.ids = ids
        if database.full_text:
            with database.read() as db:
                fresh = Rows(db, full_text=True).index_is_fresh()
            if not fresh:
                with database.change() as db:
                    Rows(db, full_text=True).index_anew()

    @classmethod
    def open(
        cls,
        path: Path,
        clock: Clock = utc_now,
        ids: Ids = new_id,
        *,
        create: bool = True,
        verify: bool = True,
        full_text: bool = True,
    ) -> Library:
        """Open the library in a file, or make it; see :meth:`Database.open` for what is refused."""
        database = Database.open(path, create=create, verify=verify, full_text=full_text)
        try:
            return cls(database, clock, ids)
        except BaseException:
            database.close()
            raise

    def __enter__(self) -> Library:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @property
    def path(self) -> Path:
        """The library's file."""
        return self.database.path

    def close(self) -> None:
        """Let go of the file."""
        self.database.close()

    def check(self) -> tuple[str, ...]:
        """What a full look through the file finds wrong, in SQLite's words; nothing is sound."""
        return self.database.integrity()

    # --- records ---------------------------------------------------------------------------------

    def put(
        self,
        body: Body,
        *,
        record_id: str | None = None,
        expected: int | None = None,
        name: str | None = None,
        notes: str | None = None,
        autosave: bool = False,
        joins: bool = False,
        version_name: str = "",
    ) -> Record:
        """Keep a new record, or change one.

        :param record_id: which record; None for a new one.  A caller may give a new one its id.
        :param expected: the revision that she had read; None for a new record.
        :param name: None leaves it as it is; a new record, or one that bears its body's own name,
            takes its body's.
        :param notes: None leaves them as they are.
        :param autosave: of a design: kept while she types (:mod:`pegwright.library.versions`).
        :param joins: of a design: it is taken back together with the change before it
            (:mod:`pegwright.library.steps`).
        :param version_name: of a design: the version gets this name.
        :raises StaleRevision: where the record was changed since, or is there already.
        :raises NoSuchRecord: where there is none to change.
        """
        if version_name and not isinstance(body, DesignText):
            raise BadUse("only designs have versions that can be named", given=version_name)
        now = self._now()
        with self.database.change() as db:
            rows = self._rows(db)
            old = None if record_id is None else rows.find(checked_id(record_id, "id"))
            self._check_making(db, body, old)
            if old is None:
                if expected is not None:
                    raise NoSuchRecord("no such record is in the library", record_id)
                record = Record(
                    record_id or checked_id(self.ids(), "id"),
                    kind_of(body),
                    name or usual_name(body),
                    body,
                    notes or "",
                    now,
                    now,
                )
                rows.insert(record)
            else:
                require_revision(old, expected)
                record = _changed(old, body, name, notes, now)
                if record is not old:
                    rows.update(record)
                if isinstance(old.body, DesignText) and old.body != body:
                    steps.noted(db, record.id, old.body, joins=joins)
            if isinstance(body, DesignText):
                versions.keep(db, record.id, body, now, name=version_name, autosave=autosave)
        return record

    def get(self, record_id: str) -> Record:
        """A record, deleted or not.

        :raises NoSuchRecord: where there is none of that id.
        """
        with self.database.read() as db:
            return self._rows(db).get(record_id)

    def list(
        self,
        kind: Kind | None = None,
        *,
        deleted: bool | None = False,
        limit: int = 1000,
        offset: int = 0,
    ) -> tuple[Record, ...]:
        """Records, the latest change first; only deleted ones with True, all with None."""
        with self.database.read() as db:
            return self._rows(db).listed(kind, deleted, limit, offset)

    def counts(self) -> Mapping[Kind, int]:
        """How many records there are of each kind, without deleted ones."""
        with self.database.read() as db:
            found = db.execute("SELECT kind, count(*) FROM record WHERE deleted = 0 GROUP BY kind")
            known = dict(found)
        return {kind: known.get(str(kind), 0) for kind in Kind}

    def search(
        self, query: str, kind: Kind | None = None, *, limit: int = 100
    ) -> tuple[Record, ...]:
        """Records that hold every word of a query, the best first; deleted ones are left out."""
        with self.database.read() as db:
            return self._rows(db).search(query, kind, limit)

    def delete(self, record_id: str, expected: int | None = None) -> Record:
        """Set a record aside; :meth:`undelete` brings it back.

        :param expected: the revision that she had read; None deletes whichever there is.
        """
        return self._mark(record_id, expected, deleted=True)

    def undelete(self, record_id: str, expected: int | None = None) -> Record:
        """Bring back a record that was deleted."""
        return self._mark(record_id, expected, deleted=False)

    def erase(self, record_id: str) -> None:
        """Take out a deleted record for good, with its versions, weighings, events and photos.

        :raises BadInput: where it is not deleted; so nothing goes by one slip.
        """
        with self.database.change() as db:
            rows = self._rows(db)
            record = rows.get(record_id)
            if not record.deleted:
                raise BadInput(
                    "only a deleted record can be erased", given=record.name, hint="delete it first"
                )
            rows.erase(record_id)
            photos.sweep(db)

    def duplicate(self, record_id: str, name: str | None = None) -> Record:
        """A new record with the same body, notes and photos.

        Versions of before, weighings and events stay with the first one.
        """
        now = self._now()
        with self.database.change() as db:
            rows = self._rows(db)
            old = rows.get(record_id)
            new = replace(
                old,
                id=checked_id(self.ids(), "id"),
                name=name or f"{old.name[:190]} (copy)",
                created=now,
                changed=now,
                revision=1,
                deleted=False,
            )
            rows.insert(new)
            if isinstance(new.body, DesignText):
                versions.keep(db, new.id, new.body, now, name="", autosave=False)
            db.execute(
                "INSERT INTO attachment SELECT ?, sha256, words, added FROM attachment"
                " WHERE record = ?",
                (new.id, old.id),
            )
        return new

    # --- versions of designs ---------------------------------------------------------------------

    def versions(self, design_id: str) -> tuple[Version, ...]:
        """The versions of a design, the first one first."""
        with self.database.read() as db:
            self._rows(db).get_kind(design_id, Kind.DESIGN)
            return versions.all_versions(db, design_id)

    def version(self, design_id: str, number: int) -> Version:
        """One version of a design."""
        with self.database.read() as db:
            return versions.version(db, design_id, number)

    def name_version(self, design_id: str, number: int, name: str) -> Version:
        """Give a version a name, so that autosaves leave it alone; an empty one takes it away."""
        with self.database.change() as db:
            return versions.rename(db, design_id, number, name)

    def bring_back(self, design_id: str, number: int, expected: int) -> Record:
        """Make an old version the design's text again, as a new version."""
        return self.put(
            self.version(design_id, number).text, record_id=design_id, expected=expected
        )

    def what_changed(self, design_id: str, old: int, new: int) -> tuple[Change, ...]:
        """How one version of a design differs from another; ``str(change)`` says it in words."""
        with self.database.read() as db:
            texts = [versions.version(db, design_id, number).text.toml for number in (old, new)]
        return versions.what_changed(*texts)

    # --- taking changes of designs back ----------------------------------------------------------

    def step(self, design_id: str, side: Side, expected: int) -> Record:
        """Take the last change of a design back, or make again what was taken back last.

        The record as it is where there is nothing to take back, or to make again.

        :raises StaleRevision: where the design was changed since ``expected``.
        """
        now = self._now()
        with self.database.change() as db:
            rows = self._rows(db)
            old = rows.get_kind(design_id, Kind.DESIGN)
            require_revision(old, expected)
            assert isinstance(old.body, DesignText)
            text = steps.stepped(db, design_id, old.body, side)
            if text is None:
                return old
            record = _changed(old, text, None, None, now)
            rows.update(record)
            versions.keep(db, design_id, text, now, name="", autosave=True)
        return record

    def steps(self, design_id: str) -> Steps:
        """How many changes of a design can be taken back, and how many made again."""
        with self.database.read() as db:
            return steps.counted(db, design_id)

    # --- photos ----------------------------------------------------------------------------------

    def attach(self, record_id: str, data: bytes, words: str = "") -> Photo:
        """Hang a photo on a record, with words for people who cannot see it."""
        now = self._now()
        with self.database.change() as db:
            self._rows(db).get(record_id)
            return photos.attach(db, record_id, data, words, now)

    def photos(self, record_id: str) -> tuple[Photo, ...]:
        """The photos of a record, the first that was added first."""
        with self.database.read() as db:
            return photos.attached(db, record_id)

    def photo_bytes(self, sha256: str) -> tuple[PhotoType, bytes]:
        """A photo's type and bytes."""
        with self.database.read() as db:
            return photos.photo_bytes(db, sha256)

    def detach(self, record_id: str, sha256: str) -> None:
        """Take a photo off a record; its bytes go with the last record that has it."""
        with self.database.change() as db:
            photos.detach(db, record_id, sha256)

    # --- a yarn's weight -------------------------------------------------------------------------

    def weigh(
        self, yarn_id: str, balls_g: Sequence[float], note: str = "", making: str | None = None
    ) -> Weighing:
        """Note what a yarn weighs now, ball by ball; no balls where it is used up."""
        weighing = Weighing(self.ids(), self._now(), tuple(balls_g), note, making)
        with self.database.change() as db:
            self._rows(db).get_kind(yarn_id, Kind.YARN)
            logs.add_weighing(db, yarn_id, weighing)
        return weighing

    def weighings(self, yarn_id: str) -> tuple[Weighing, ...]:
        """The weight history of a yarn, the first weighing first."""
        with self.database.read() as db:
            return logs.all_weighings(db, yarn_id)

    def stash(self, yarn_id: str) -> StashYarn | None:
        """A yarn with its balls as they were last weighed; None where none, or used up."""
        with self.database.read() as db:
            own = self._rows(db).get_kind(yarn_id, Kind.YARN).body
            weighings = logs.all_weighings(db, yarn_id)
        if not isinstance(own, OwnYarn) or not weighings or not weighings[-1].balls_g:
            return None
        sd = resolution_sd(own.scale_g)
        balls = tuple(Measured(ball_g, sd) for ball_g in weighings[-1].balls_g)
        return StashYarn(own.yarn, balls, own.scale_g, own.sampled, own.colour_run)

    # --- making ----------------------------------------------------------------------------------

    def merge(self, making_id: str, events: Iterable[Event]) -> MakingState:
        """Keep the events of a device that are not here yet; gives the state with them."""
        self.keep_events(making_id, events)
        return self.making_state(making_id)

    def keep_events(
        self, making_id: str, events: Iterable[Event], yarns: Mapping[str, str] | None = None
    ) -> int:
        """Keep the events of a device that are not here yet; gives how many were new.

        For many devices at once: nothing that is here already is read, but where something was
        weighed or taken back.

        :param yarns: record ids of the maker's own yarns, by the key under which weighings name
            them; what was weighed then stands in their weight histories too.
        """
        known = tuple(events)
        with self.database.change() as db:
            self._rows(db).get_kind(making_id, Kind.MAKING)
            new = logs.add_events(db, making_id, known)
            if new and yarns and any(e.kind in (EventKind.WEIGH, EventKind.UNDO) for e in known):
                logs.note_weighings(db, making_id, yarns)
        return new

    def events(self, making_id: str, upto: Mapping[str, int] | None = None) -> tuple[Event, ...]:
        """The events of a making; with ``upto`` those that a device lacks which has seen so far."""
        with self.database.read() as db:
            self._rows(db).get_kind(making_id, Kind.MAKING)
            return missing(logs.all_events(db, making_id), upto or {})

    def making_state(self, making_id: str) -> MakingState:
        """Where a making stands."""
        return state_of(self.events(making_id))

    # --- inside ----------------------------------------------------------------------------------

    def _now(self) -> str:
        return stamp(self.clock())

    def _rows(self, db: sqlite3.Connection) -> Rows:
        return Rows(db, full_text=self.database.full_text)

    def _mark(self, record_id: str, expected: int | None, *, deleted: bool) -> Record:
        now = self._now()
        with self.database.change() as db:
            rows = self._rows(db)
            old = rows.get(record_id)
            if expected is not None:
                require_revision(old, expected)
            if old.deleted == deleted:
                return old
            new = replace(old, deleted=deleted, changed=now, revision=old.revision + 1)
            rows.update(new)
        return new

    def _check_making(self, db: sqlite3.Connection, body: Body, old: Record | None) -> None:
        """A making must be of a design and version that are there."""
        if not isinstance(body, Making) or (old is not None and old.body == body):
            return
        self._rows(db).get_kind(body.design, Kind.DESIGN)
        versions.version(db, body.design, body.version)


def _changed(old: Record, body: Body, name: str | None, notes: str | None, now: str) -> Record:
    """A record with what is new; the same one where nothing is.

    :raises BadInput: where it is deleted, or the body is of another kind.
    """
    if old.deleted:
        raise BadInput(
            f"“{old.name}” was deleted",
            hint="bring it back first",
            place=Place(field="deleted"),
        )
    if not name:
        same = old.name == usual_name(old.body) and old.kind is kind_of(body)
        name = usual_name(body) if same else old.name
    new = replace(old, name=name, body=body, notes=old.notes if notes is None else notes)
    return old if new == old else replace(new, changed=now, revision=old.revision + 1)
