"""Everything out and in again: nothing lost, nothing written over, nothing believed."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest

from pegwright.errors import BadInput
from pegwright.library import archive
from pegwright.library.archive import export_bytes, export_file
from pegwright.library.making import Event, EventKind
from pegwright.library.records import Making, OwnSwatch
from pegwright.library.restoring import BESIDE, Restored, restore, restore_file
from pegwright.library.store import Library
from tests.library.shelf import (
    BOARD,
    COX,
    HOOD,
    JPEG,
    STRIPING,
    SWATCH,
    YARN,
    SetClock,
    at,
    hood,
    ids,
    png,
    row,
)

Open = Callable[..., Library]


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Open]:
    libraries: list[Library] = []

    def open_one(name: str = "ours") -> Library:
        library = Library.open(tmp_path / f"{name}.sqlite", SetClock(), ids(name))
        libraries.append(library)
        return library

    yield open_one
    for library in libraries:
        library.close()


def fill(library: Library) -> None:
    """One of everything, with ids of its own."""
    library.put(BOARD, record_id="board")
    library.put(YARN, record_id="yarn", notes="½ skein, très doux")
    library.put(STRIPING, record_id="striping")
    library.put(replace(SWATCH, board="board", yarn="yarn"), record_id="swatch")
    library.put(COX, record_id="cox")
    library.put(HOOD, record_id="hood", version_name="first")
    library.put(hood("1 in"), record_id="hood", expected=1)
    library.put(Making("hood", 1, "cox", ("yarn",)), record_id="making")
    library.merge("making", [row("phone", 1), row("tablet", 1)])
    library.weigh("yarn", [100, 97.5], making="making")
    library.attach("hood", JPEG, "on a peg")
    library.attach("cox", JPEG)
    library.attach("cox", png(), "a square")
    library.delete("striping")


def contents(library: Library) -> object:
    """All that a library holds, to compare."""
    records = library.list(deleted=None)
    with library.database.read() as db:
        tables = ("design_version", "photo", "attachment", "weighing", "event")
        rows = [sorted(db.execute(f"SELECT * FROM {t}").fetchall(), key=repr) for t in tables]
    return sorted(records, key=lambda r: r.id), rows


def bring(library: Library, data: bytes) -> Restored:
    return restore(library, BytesIO(data))


def test_all_of_a_library_comes_back_in_a_new_one(opened: Open) -> None:
    ours, new = opened("ours"), opened("new")
    fill(ours)
    data = export_bytes(ours)
    done = bring(new, data)
    assert contents(new) == contents(ours)
    assert export_bytes(new) == data
    assert (len(done.added), done.same, done.beside) == (7, (), ())
    assert (done.weighings, done.events, done.photos) == (1, 2, 3)
    assert [r.id for r in new.search("doux")] == ["yarn"]
    assert new.check() == ()


def test_the_same_library_gives_the_same_bytes(opened: Open) -> None:
    ours, again = opened("ours"), opened("again")
    for library in (ours, again):
        library.ids = ids("w")
        fill(library)
    assert export_bytes(ours) == export_bytes(ours) == export_bytes(again)
    assert export_bytes(opened("empty")) != export_bytes(ours)


def test_restoring_once_more_changes_nothing(opened: Open) -> None:
    ours = opened()
    fill(ours)
    before = contents(ours)
    done = bring(ours, export_bytes(ours))
    assert not done.changed_anything
    assert len(done.same) == 7
    assert contents(ours) == before


def test_what_differs_is_kept_as_both(opened: Open) -> None:
    ours, theirs = opened("ours"), opened("theirs")
    fill(ours)
    data = export_bytes(ours)
    bring(theirs, data)
    theirs.put(BOARD, record_id="board", expected=1, notes="their felt")
    theirs.put(hood("7 mm"), record_id="hood", expected=2)
    theirs.put(COX, record_id="new", name="bow")
    theirs.attach("board", png(3), "the felt")
    swatch = OwnSwatch(SWATCH.swatch, board="board")
    theirs.put(swatch, record_id="on-their-board")
    ours.put(BOARD, record_id="board", expected=1, notes="our oak")
    ours.put(hood("8 mm"), record_id="hood", expected=2)
    before = {record.id: record for record in ours.list(deleted=None)}

    done = bring(ours, export_bytes(theirs))
    assert {here for here, _ in done.beside} == {"board", "hood"}
    assert set(done.added) == {"new", "on-their-board"}
    for record_id, record in before.items():
        assert ours.get(record_id) == record  # nothing of ours was touched
    copies = dict(done.beside)
    board = ours.get(copies["board"])
    assert (board.notes, board.name) == ("their felt", f"boathouse board{BESIDE}")
    assert [p.words for p in ours.photos(copies["board"])] == ["the felt"]
    assert ours.photos("board") == ()
    assert [v.text for v in ours.versions(copies["hood"])] == [HOOD, hood("1 in"), hood("7 mm")]
    assert [v.text for v in ours.versions("hood")] == [HOOD, hood("1 in"), hood("8 mm")]
    assert ours.get("on-their-board").body == replace(swatch, board=copies["board"])

    after = contents(ours)
    again = bring(ours, export_bytes(theirs))
    assert not again.changed_anything
    assert contents(ours) == after
    assert ours.check() == ()


def test_a_shorter_history_of_the_same_text_is_no_conflict_and_a_longer_one_is_kept(
    opened: Open,
) -> None:
    ours, theirs = opened("ours"), opened("theirs")
    ours.put(HOOD, record_id="hood")
    data = export_bytes(ours)
    bring(theirs, data)
    ours.put(hood("1 in"), record_id="hood", expected=1)
    ours.put(HOOD, record_id="hood", expected=2)
    assert bring(ours, data).same == ("hood",)
    (pair,) = bring(theirs, export_bytes(ours)).beside
    assert [v.text for v in theirs.versions(pair[1])] == [HOOD, hood("1 in"), HOOD]


def test_counts_and_weights_of_two_libraries_add_up(opened: Open) -> None:
    phone, desk = opened("phone"), opened("desk")
    fill(desk)
    bring(phone, export_bytes(desk))
    phone.merge("making", [row("phone", n) for n in (2, 3)])
    desk.merge("making", [row("tablet", n) for n in (2, 3, 4)])
    phone.weigh("yarn", [90])
    desk.weigh("yarn", [80])
    undo = Event("undo", "phone", 4, at(), EventKind.UNDO, undoes="tablet-1")
    phone.merge("making", [undo])
    done = bring(desk, export_bytes(phone))
    assert (done.events, done.weighings, done.beside) == (3, 1, ())
    bring(phone, export_bytes(desk))
    for library in (phone, desk):
        assert dict(library.making_state("making").rows_by_device) == {"phone": 3, "tablet": 3}
        assert {w.balls_g for w in library.weighings("yarn")} == {(100, 97.5), (90,), (80,)}


def test_a_deleted_record_here_stays_deleted(opened: Open) -> None:
    ours = opened()
    fill(ours)
    data = export_bytes(ours)
    gone = ours.delete("cox")
    assert "cox" in bring(ours, data).same
    assert ours.get("cox") == gone


# --- files ---------------------------------------------------------------------------------------


def test_to_a_file_and_back(opened: Open, tmp_path: Path) -> None:
    ours, new = opened("ours"), opened("new")
    fill(ours)
    path = tmp_path / "tern-point.zip"
    export_file(ours, path)
    assert path.read_bytes() == export_bytes(ours)
    with pytest.raises(BadInput, match="a file of this name"):
        export_file(opened("empty"), path)
    assert restore_file(new, path).added
    assert [p.name for p in tmp_path.iterdir() if "half" in p.name] == []
    with pytest.raises(BadInput, match="cannot be written"):
        export_file(ours, tmp_path / "no" / "such" / "folder.zip")
    with pytest.raises(BadInput, match="cannot be opened"):
        restore_file(new, tmp_path / "nothing.zip")


def test_a_photo_larger_than_any_is_refused(opened: Open, monkeypatch: pytest.MonkeyPatch) -> None:
    ours, new = opened("ours"), opened("new")
    fill(ours)
    data = export_bytes(ours)
    monkeypatch.setattr(archive, "MOST_PHOTO_BYTES", len(JPEG) - 1)
    with pytest.raises(BadInput, match="far too large"):
        bring(new, data)
    monkeypatch.setattr(archive, "MOST_PHOTO_BYTES", max(len(JPEG), len(png())))
    assert bring(new, data).photos == 3


# --- archives that are not what they say ---------------------------------------------------------

Parts = dict[str, bytes]


def parts(data: bytes) -> Parts:
    with zipfile.ZipFile(BytesIO(data)) as whole:
        return {name: whole.read(name) for name in whole.namelist()}


def packed(members: Parts, *, summed: bool = True) -> bytes:
    """An archive of these members; with ``summed`` its sums are made to fit."""
    if summed and "manifest.json" in members:
        manifest = json.loads(members["manifest.json"])
        lines = {name: data for name, data in members.items() if name.endswith(".jsonl")}
        manifest["sha256"] = {n: hashlib.sha256(d).hexdigest() for n, d in lines.items()}
        members = members | {"manifest.json": json.dumps(manifest).encode()}
    stream = BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as whole:
        for name, data in members.items():
            whole.writestr(name, data)
    return stream.getvalue()


def without(members: Parts, name: str) -> Parts:
    return {other: data for other, data in members.items() if other != name}


def edited(members: Parts, name: str, old: str, new: str) -> Parts:
    text = members[name].decode()
    assert old in text
    return members | {name: text.replace(old, new).encode()}


PHOTO = f"photos/{hashlib.sha256(JPEG).hexdigest()}.jpg"

BROKEN: dict[str, Callable[[Parts], bytes]] = {
    "a path out of the folder": lambda m: packed(m | {"../../evil.toml": b"x"}),
    "a path from the root": lambda m: packed(m | {"/etc/evil": b"x"}),
    "a path with backslashes": lambda m: packed(m | {"photos\\..\\evil": b"x"}),
    "a photo's name that leads out": lambda m: packed(m | {f"photos/../{'a' * 64}.jpg": b"x"}),
    "an unknown part": lambda m: packed(m | {"extra.jsonl": b"x"}),
    "no manifest": lambda m: packed(without(m, "manifest.json")),
    "no records": lambda m: packed(without(m, "records.jsonl")),
    "a part changed": lambda m: packed(
        edited(m, "records.jsonl", "boathouse", "workhouse"), summed=False
    ),
    "another format": lambda m: packed(edited(m, "manifest.json", "pegwright-library", "other")),
    "a later format": lambda m: packed(edited(m, "manifest.json", '"version":1', '"version":2')),
    "a record that cannot be": lambda m: packed(
        edited(m, "records.jsonl", '"pegs":40', '"pegs":0')
    ),
    "a record with a field missing": lambda m: packed(
        edited(m, "records.jsonl", '"notes":""', '"note":""')
    ),
    "a line that is no JSON": lambda m: packed(m | {"events.jsonl": b"{]\n"}),
    "a record twice": lambda m: packed(m | {"records.jsonl": m["records.jsonl"] * 2}),
    "an event of no making": lambda m: packed(
        edited(m, "events.jsonl", '"of":"making"', '"of":"nothing"')
    ),
    "a version twice": lambda m: packed(m | {"versions.jsonl": m["versions.jsonl"] * 2}),
    "a design without its text": lambda m: packed(m | {"versions.jsonl": b""}),
    "a photo missing": lambda m: packed(without(m, PHOTO)),
    "another photo": lambda m: packed(m | {PHOTO: JPEG + b"x"}),
    "a page as a photo": lambda m: packed(m | {PHOTO: b"<html>"}),
    "cut short": lambda m: packed(m)[:-30],
    "a byte turned over": lambda m: packed(m).replace(b"manifest.json", b"manifest.jsoN"),
    "no zip": lambda m: b"PK" + m["records.jsonl"],
    "nothing": lambda m: m["records.jsonl"][:0],
}


@pytest.mark.parametrize("broken", BROKEN.values(), ids=BROKEN.keys())
def test_an_archive_that_is_not_sound_changes_nothing(
    opened: Open, broken: Callable[[Parts], bytes]
) -> None:
    ours, new = opened("ours"), opened("new")
    fill(ours)
    new.put(YARN, name="mine")
    before = contents(new)
    data = broken(parts(export_bytes(ours)))
    with pytest.raises(BadInput) as caught:
        bring(new, data)
    assert caught.value.place is not None
    assert caught.value.place.file == "archive"
    assert contents(new) == before


def test_a_zip_taken_apart_and_put_together_is_still_sound(opened: Open) -> None:
    """So the refusals above are for what was broken, not for the packing."""
    ours, new = opened("ours"), opened("new")
    fill(ours)
    assert len(bring(new, packed(parts(export_bytes(ours)))).added) == 7


def bomb(claimed: int | None) -> bytes:
    """An archive whose records are 40 MB of nothing, and say they are ``claimed`` bytes."""
    stream = BytesIO()
    empty = {f"{name}.jsonl": b"" for name in ("versions", "weighings", "events", "photos")}
    zeros = b" " * 40_000_000
    members = {"manifest.json": b"{}", "records.jsonl": zeros, **empty}
    data = packed(members | {"manifest.json": b'{"format":"pegwright-library","version":1}'})
    stream.write(data)
    if claimed is not None:
        real = len(zeros).to_bytes(4, "little")
        assert data.count(real) == 2  # in the member's own header and in the directory
        data = data.replace(real, claimed.to_bytes(4, "little"))
    return data


@pytest.mark.parametrize("claimed", [None, 100], ids=["open", "lying"])
def test_a_zip_bomb_is_refused(
    opened: Open, monkeypatch: pytest.MonkeyPatch, claimed: int | None
) -> None:
    data = bomb(claimed)
    assert len(data) < 100_000
    monkeypatch.setattr(archive, "_MOST_LINES_BYTES", 10_000_000)
    with pytest.raises(BadInput) as caught:
        bring(opened(), data)
    wanted = "far too much" if claimed is None else "cannot be read"
    assert wanted in caught.value.what
