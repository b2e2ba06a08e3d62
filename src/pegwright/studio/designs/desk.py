"""The designs on the desk: each as its text, with what it came to, and what can be undone.

Every change is kept in the library at once, as an autosave; nothing waits for a save button.  A
change says which revision it was made to, and one to an older revision is refused, so that two
windows cannot write over each other.  What can be undone lies in the library as well, so it is
there when the studio is next started; the versions reach further back.
"""

from __future__ import annotations

import threading
import tomllib
from collections import OrderedDict
from collections.abc import Callable, Sequence
from typing import Any

from pydantic import BaseModel

from pegwright.designs.model import Design
from pegwright.designs.reader import read_text
from pegwright.errors import NotPossible, PegwrightError
from pegwright.library.records import DesignText, Kind, Record
from pegwright.library.steps import Side
from pegwright.library.store import Library
from pegwright.making import Made
from pegwright.studio.designs.edits import Change, Deed, changed
from pegwright.studio.designs.proving import Prover
from pegwright.studio.designs.sheet import SheetGroup, sheet
from pegwright.studio.designs.view import Result, problems_of, result_of
from pegwright.studio.refusals import NotThere

__all__ = ["DesignView", "Desk", "DeskDesign"]

MOST_ON_DESK = 24


class DesignView(BaseModel):
    """All that the design page shows.

    :param problems: what is wrong with the text, in the one shape of errors; each names its field.
    :param sheet: the form, or None where the text is no TOML.
    :param result: what the design came to; of the last text that could be read where ``stale``.
    """

    id: str
    title: str
    garment: str
    revision: int
    text: str
    can_undo: bool
    can_redo: bool
    stale: bool
    problems: list[dict[str, Any]]
    sheet: list[SheetGroup] | None
    result: Result | None


class DeskDesign:
    """One design on the desk."""

    def __init__(self, library: Library, record: Record) -> None:
        self._library = library
        self._prover = Prover()
        self.lock = threading.RLock()
        self._typed: list[tuple[str | int, ...]] | None = None
        self._take(record)

    # --- what it is ------------------------------------------------------------------------------

    @property
    def revision(self) -> int:
        """The library's revision that this is."""
        return self.record.revision

    def refresh(self) -> None:
        """Read it again from the library where it was changed there."""
        record = _design_record(self._library, self.record.id)
        if record != self.record:
            self._typed = None
            self._take(record)

    def data(self) -> dict[str, Any] | None:
        """What the text says as plain data, or None where it is no TOML."""
        try:
            return tomllib.loads(self.text)
        except (ValueError, RecursionError):
            return None

    def view(self) -> DesignView:
        """Everything that is shown of it."""
        body = self.record.body
        assert isinstance(body, DesignText)
        data = self.data()
        steps = self._library.steps(self.record.id)
        return DesignView(
            id=self.record.id,
            title=body.title,
            garment=body.garment,
            revision=self.revision,
            text=self.text,
            can_undo=steps.back > 0,
            can_redo=steps.again > 0,
            stale=self.made is not None and self.made.design.source != self.design_source,
            problems=self.problems,
            sheet=None if data is None else sheet(data),
            result=self.result,
        )

    @property
    def design_source(self) -> str | None:
        """The text of the design as it reads now, or None where it does not."""
        return self.design.source if self.design is not None else None

    def readable(self) -> Design:
        """The design as its text reads now.

        :raises NotPossible: where it does not, with the first thing that is wrong.
        """
        if self.design is None or self.problems:
            raise NotPossible(
                "the design cannot be worked with as it stands",
                given=str(self.problems[0]["error"]) if self.problems else None,
                hint="mend it first",
            )
        return self.design

    # --- changing it -----------------------------------------------------------------------------

    def change(self, changes: Sequence[Change], revision: int, *, typing: bool = False) -> None:
        """Make changes to single values and rows.

        :param typing: more of the same field may follow, to be undone together with this.
        """
        paths = [each.path for each in changes if each.deed is Deed.SET]
        goes_on = bool(paths) and len(paths) == len(changes) and paths == self._typed
        self._put(changed(self.text, changes), revision, joins=goes_on)
        self._typed = paths if typing else None

    def set_text(self, text: str, revision: int) -> None:
        """Write the whole text anew."""
        self._put(text, revision)
        self._typed = None

    def undo(self, revision: int) -> None:
        """Take the last change back; nothing where there is none."""
        self._step(Side.BACK, revision)

    def redo(self, revision: int) -> None:
        """Make the change again that was taken back last."""
        self._step(Side.AGAIN, revision)

    def name_version(self, name: str, revision: int) -> None:
        """Keep the design as it is now as a version with a name."""
        self._put(self.text, revision, autosave=False, name=name)

    def _step(self, side: Side, revision: int) -> None:
        self._take(self._library.step(self.record.id, side, revision))
        self._typed = None

    def _put(
        self,
        text: str,
        revision: int,
        *,
        autosave: bool = True,
        joins: bool = False,
        name: str = "",
    ) -> None:
        if text == self.text and not name:
            return
        record = self._library.put(
            text_body(text, self.record.body),
            record_id=self.record.id,
            expected=revision,
            autosave=autosave,
            joins=joins,
            version_name=name,
        )
        self._take(record)

    def _take(self, record: Record) -> None:
        """Read and prove a record's text."""
        assert isinstance(record.body, DesignText)
        self.record = record
        self.text = record.body.toml
        self.design: Design | None = None
        self.problems: list[dict[str, Any]] = []
        if not hasattr(self, "made"):
            self.made: Made | None = None
            self.result: Result | None = None
        try:
            self.design = read_text(self.text, "design")
            self.made = self._prover.prove(self.design)
            self.result = result_of(self.made)
        except PegwrightError as refused:
            self.problems = problems_of(refused)


class Desk:
    """The designs that are open, the latest ones kept."""

    def __init__(self, library: Library) -> None:
        self._library = library
        self._open: OrderedDict[str, DeskDesign] = OrderedDict()
        self._lock = threading.Lock()

    def design(self, design_id: str) -> DeskDesign:
        """A design of the library, as it is there now.

        :raises NotThere: where the library has none of that id.
        """
        with self._lock:
            known = self._open.get(design_id)
            if known is None:
                known = DeskDesign(self._library, _design_record(self._library, design_id))
                self._open[design_id] = known
                while len(self._open) > MOST_ON_DESK:
                    self._open.popitem(last=False)
            self._open.move_to_end(design_id)
        with known.lock:
            known.refresh()
        return known

    def readable(self, design_id: str) -> Design:
        """A design as it reads now.

        :raises NotThere: where there is none of that id.
        :raises NotPossible: where its text does not read, with the first thing that is wrong.
        """
        on_desk = self.design(design_id)
        with on_desk.lock:
            return on_desk.readable()

    def worked_out(self, design_id: str) -> Made:
        """A design as it reads now, worked out; it may have faults.

        :raises NotThere: where there is none of that id.
        :raises NotPossible: where its text does not read, or nothing can be made of it.
        """
        on_desk = self.design(design_id)
        with on_desk.lock:
            on_desk.readable()
            made = on_desk.made
        if made is None:
            raise NotPossible(
                "the design was not worked out yet", hint="mend what is wrong with it"
            )
        return made

    def view(self, design_id: str) -> DesignView:
        """A design as it is."""
        design = self.design(design_id)
        with design.lock:
            return design.view()

    def work(self, design_id: str, deed: Callable[[DeskDesign], None]) -> DesignView:
        """Do something to a design, and show what came of it."""
        design = self.design(design_id)
        with design.lock:
            deed(design)
            return design.view()


def text_body(text: str, before: object = None) -> DesignText:
    """A design's text with the title and garment that it names, or those of before."""
    title, kind = (before.title, before.garment) if isinstance(before, DesignText) else ("", "")
    try:
        table = tomllib.loads(text).get("design")
    except (ValueError, RecursionError):
        table = None
    if isinstance(table, dict):
        title = _one_line(table.get("title"), title)
        kind = _one_line(table.get("garment"), kind)
    return DesignText(title, kind, text)


def _one_line(value: object, otherwise: str) -> str:
    if not isinstance(value, str):
        return otherwise
    return "".join(c if c.isprintable() else " " for c in value).strip()[:120] or otherwise


def _design_record(library: Library, design_id: str) -> Record:
    record = library.get(design_id)
    if record.kind is not Kind.DESIGN:
        raise NotThere("no such design is in the library", given=design_id, hint="see the designs")
    return record
