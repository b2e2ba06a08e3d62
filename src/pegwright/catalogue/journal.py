"""The files of the catalogue: the journal of what is done, and the list that a publisher wrote.

The **journal** is a file of JSON lines, one a job, only ever added to.  Each line is on the disk
before the next job is told done, so a run that is killed loses nothing but the jobs under way.
A last line that was cut off is dropped when the journal is next opened.
"""

from __future__ import annotations

import json
import os
from io import FileIO
from pathlib import Path
from types import TracebackType
from typing import Any

from pegwright.catalogue.listing import Listing, read_listing
from pegwright.catalogue.row import Row, row_of
from pegwright.designs.files import read_any
from pegwright.designs.model import Design
from pegwright.designs.reader import MOST_BYTES, too_large
from pegwright.errors import BadInput, Place

__all__ = ["Journal", "read_list"]


class Journal:
    """What is done of a catalogue, by the keys of the jobs; to be used in a ``with`` block.

    :param path: the file, made where it is not there; None keeps nothing.
    :raises BadInput: where it cannot be written, or is no journal.
    """

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._done: dict[str, tuple[Row, ...]] = {}
        self._file: FileIO | None = None

    def __enter__(self) -> Journal:
        if self._path is not None:
            try:
                self._open(self._path)
            except OSError as wrong:
                raise self._refusal(
                    wrong.strerror or str(wrong), hint="choose a place that you may write to"
                ) from None
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._file is not None:
            self._file.close()
            self._file = None

    def done(self, key: str) -> tuple[Row, ...] | None:
        """The rows of a job that was done before; None where it was not."""
        return self._done.get(key)

    def add(self, key: str, rows: list[dict[str, Any]]) -> tuple[Row, ...]:
        """Keep a job's rows; they are on the disk when this returns."""
        if self._file is not None:
            line = json.dumps({"key": key, "rows": rows}, ensure_ascii=False, allow_nan=False)
            _write(self._file, line.encode() + b"\n")
            os.fsync(self._file.fileno())
        self._done[key] = tuple(row_of(row) for row in rows)
        return self._done[key]

    def _open(self, path: Path) -> None:
        data = path.read_bytes() if path.exists() else b""
        whole = data.rfind(b"\n") + 1
        for number, line in enumerate(data[:whole].splitlines(), start=1):
            self._take(line, number)
        new = not path.exists()
        self._file = path.open("ab", buffering=0)
        if whole < len(data):
            self._file.truncate(whole)
        if new:
            _sync_folder(path.parent)

    def _take(self, line: bytes, number: int) -> None:
        try:
            entry = json.loads(line)
            key, rows = entry["key"], tuple(row_of(row) for row in entry["rows"])
        except (ValueError, KeyError, TypeError, AttributeError):
            raise self._refusal("a line that is no part of one", line=number) from None
        self._done[str(key)] = rows

    def _refusal(self, given: str, *, line: int | None = None, hint: str = "") -> BadInput:
        return BadInput(
            "this cannot be used as the journal of a catalogue",
            given=given,
            hint=hint or "name a new file, or one that a catalogue was resumed from before",
            place=Place(str(self._path), line),
        )


def _write(file: FileIO, data: bytes) -> None:
    while data:
        data = data[file.write(data) or 0 :]


def _sync_folder(folder: Path) -> None:
    """Put a new file's name itself on the disk, where the system can do this."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)


# --- the publisher's list ------------------------------------------------------------------------


def read_list(path: Path) -> tuple[Listing, Design]:
    """A catalogue file, and its design with the sizes that the file asks for.

    A design named by a path is looked for from the folder of the catalogue file.

    :raises BadInput: for a file that cannot be read, or is no catalogue; the same of its design.
    """
    place = Place(str(path))
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as wrong:
        words = wrong.strerror if isinstance(wrong, OSError) and wrong.strerror else str(wrong)
        raise BadInput("the file cannot be opened", given=words, place=place) from None
    if len(data) > MOST_BYTES:
        raise too_large(str(path))
    listing = read_listing(data, str(path))
    beside = path.parent / listing.design
    design = read_any(str(beside) if beside.is_file() else listing.design)
    return listing, listing.of(design)
