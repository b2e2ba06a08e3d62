"""Changes of a design taken back and made again, also after the library was closed."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pegwright.library import archive, steps
from pegwright.library.database import Database
from pegwright.library.migrations import MIGRATIONS
from pegwright.library.records import DesignText, Record
from pegwright.library.refusals import NoSuchRecord, StaleRevision
from pegwright.library.restoring import restore
from pegwright.library.steps import Side, Steps
from pegwright.library.store import Library
from tests.library.shelf import COX, SetClock


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    with Library.open(tmp_path / "library.sqlite") as made:
        yield made


def text(rows: object) -> DesignText:
    return DesignText("Tern Point cowl", "cowl", f"rows = {rows}\n")


def written(library: Library, *all_rows: object, joins: bool = False) -> Record:
    """A design that had so many rows, one after another."""
    record = library.put(text(all_rows[0]))
    for rows in all_rows[1:]:
        record = changed(library, record, rows, joins=joins)
    return record


def changed(library: Library, record: Record, rows: object, *, joins: bool = False) -> Record:
    return library.put(
        text(rows), record_id=record.id, expected=record.revision, autosave=True, joins=joins
    )


def toml(record: Record) -> str:
    assert isinstance(record.body, DesignText)
    return record.body.toml


def test_what_can_be_taken_back_outlasts_the_program(tmp_path: Path) -> None:
    path = tmp_path / "library.sqlite"
    with Library.open(path) as library:
        record = written(library, 10, 12, 14)
        record = library.step(record.id, Side.BACK, record.revision)
        assert toml(record) == "rows = 12\n"
    with Library.open(path) as library:
        assert library.steps(record.id) == Steps(back=1, again=1)
        back = library.step(record.id, Side.BACK, record.revision)
        assert toml(back) == "rows = 10\n"
        again = library.step(record.id, Side.AGAIN, back.revision)
        again = library.step(record.id, Side.AGAIN, again.revision)
        assert toml(again) == "rows = 14\n"
        assert library.steps(record.id) == Steps(back=2, again=0)


def test_a_step_is_a_change_like_any_other(library: Library) -> None:
    record = written(library, 10, 12)
    back = library.step(record.id, Side.BACK, record.revision)
    assert back.revision == record.revision + 1
    assert library.get(record.id) == back
    assert library.versions(record.id)[-1].text == text(10)
    with pytest.raises(StaleRevision):
        library.step(record.id, Side.AGAIN, record.revision)
    assert library.get(record.id) == back


def test_with_nothing_to_take_back_nothing_changes(library: Library) -> None:
    record = written(library, 10)
    assert library.step(record.id, Side.BACK, record.revision) == record
    assert library.step(record.id, Side.AGAIN, record.revision) == record


def test_a_new_change_leaves_nothing_to_make_again(library: Library) -> None:
    record = written(library, 10, 12)
    record = library.step(record.id, Side.BACK, record.revision)
    changed(library, record, 16)
    assert library.steps(record.id) == Steps(back=1, again=0)


def test_changes_that_join_are_taken_back_together(library: Library) -> None:
    record = written(library, 10, 12)
    for rows in (1, 16, 168):
        record = changed(library, record, rows, joins=True)
    assert toml(library.step(record.id, Side.BACK, record.revision)) == "rows = 10\n"


def test_the_first_change_joins_nothing(library: Library) -> None:
    record = written(library, 10, 12, joins=True)
    assert toml(library.step(record.id, Side.BACK, record.revision)) == "rows = 10\n"


def test_a_name_or_a_note_is_no_step(library: Library) -> None:
    record = written(library, 10)
    record = library.put(
        record.body, record_id=record.id, expected=record.revision, name="A cowl", notes="for bow"
    )
    assert library.steps(record.id) == Steps(0, 0)


def test_only_designs_have_steps(library: Library) -> None:
    cox = library.put(COX)
    with pytest.raises(NoSuchRecord):
        library.step(cox.id, Side.BACK, cox.revision)


def test_the_oldest_steps_go(library: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(steps, "MOST_STEPS", 3)
    record = written(library, *range(10, 17))
    assert library.steps(record.id).back == 3
    for _ in range(5):
        record = library.step(record.id, Side.BACK, record.revision)
    assert toml(record) == "rows = 13\n"
    monkeypatch.setattr(steps, "MOST_STEPS", 200)
    monkeypatch.setattr(steps, "MOST_STEP_LETTERS", 25)  # two texts of ten letters, not three
    record = written(library, *range(10, 17))
    assert library.steps(record.id).back == 2


def test_steps_go_with_their_design_and_are_no_part_of_an_archive(
    library: Library, tmp_path: Path
) -> None:
    one, other = written(library, 10, 12), written(library, 20, 22)
    twice = library.duplicate(one.id)
    assert library.steps(twice.id) == Steps(0, 0)
    with Library.open(tmp_path / "elsewhere.sqlite") as elsewhere:
        restore(elsewhere, BytesIO(archive.export_bytes(library)))
        assert elsewhere.get(one.id) == one
        assert elsewhere.steps(one.id) == Steps(0, 0)
    library.delete(one.id)
    library.erase(one.id)
    with library.database.alone() as db:
        assert db.execute("SELECT DISTINCT design FROM step").fetchall() == [(other.id,)]


def test_a_library_of_before_gets_room_for_them(tmp_path: Path) -> None:
    path = tmp_path / "library.sqlite"
    Database.open(path, migrations=MIGRATIONS[:1]).close()
    with closing(sqlite3.connect(path)) as db:
        db.execute(
            "INSERT INTO record VALUES (1, 'a-cowl', 'design', 'Tern Point cowl', '', ?, '',"
            " '2026-11-25T09:30:00.000000Z', '2026-11-25T09:30:00.000000Z', 1, 0)",
            ('{"garment":"cowl","title":"Tern Point cowl","toml":"rows = 10\\n"}',),
        )
        db.commit()
    with Library.open(path) as library:
        record = changed(library, library.get("a-cowl"), 12)
        assert toml(library.step(record.id, Side.BACK, record.revision)) == "rows = 10\n"


DEEDS = st.lists(
    st.one_of(st.sampled_from(Side), st.tuples(st.integers(1, 5), st.booleans())), max_size=30
)


@given(DEEDS)
@settings(max_examples=60, deadline=None)
def test_it_walks_as_two_piles_of_texts_do(
    tmp_path_factory: pytest.TempPathFactory, deeds: list[Side | tuple[int, bool]]
) -> None:
    """Against the plainest thing that does the same: two lists."""
    back: list[str] = []
    again: list[str] = []
    path = tmp_path_factory.mktemp("walk") / "library.sqlite"
    with Library.open(path, SetClock(), verify=False) as library:
        record = library.put(text(0))
        for deed in deeds:
            now = toml(record)
            if isinstance(deed, Side):
                record = library.step(record.id, deed, record.revision)
                source, target = (back, again) if deed is Side.BACK else (again, back)
                assert toml(record) == (source[-1] if source else now)
                if source:
                    source.pop()
                    target.append(now)
                continue
            rows, joins = deed
            record = changed(library, record, rows, joins=joins)
            if toml(record) != now:
                again = []
                if not joins or not back:
                    back.append(now)
            assert library.steps(record.id) == Steps(len(back), len(again))
