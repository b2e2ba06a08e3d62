"""Keeping, changing, finding, versions, photos, weights and makings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput, BadUse
from pegwright.library.making import Event, EventKind
from pegwright.library.photos import MOST_PHOTO_BYTES, PhotoType
from pegwright.library.records import Body, DesignText, Kind, Making, OwnYarn, Stage
from pegwright.library.refusals import NoSuchRecord, StaleRevision
from pegwright.library.store import Library
from pegwright.library.versions import ChangeKind, what_changed
from pegwright.library.words import folded
from pegwright.yarn.yarn import Yarn
from tests.library.shelf import (
    BOARD,
    COX,
    HOOD,
    JPEG,
    RUN,
    STRIPING,
    SWATCH,
    TOML,
    WEBP,
    YARN,
    SetClock,
    at,
    hood,
    ids,
    png,
    row,
)


@pytest.fixture
def clock() -> SetClock:
    return SetClock()


@pytest.fixture
def library(tmp_path: Path, clock: SetClock) -> Iterator[Library]:
    with Library.open(tmp_path / "library.sqlite", clock, ids()) as opened:
        yield opened


def names(records: tuple[object, ...]) -> list[str]:
    return [getattr(record, "name", "") for record in records]


# --- put, get, list ------------------------------------------------------------------------------


@pytest.mark.parametrize("body", [BOARD, YARN, STRIPING, SWATCH, COX, HOOD])
def test_what_is_kept_comes_back_after_closing(tmp_path: Path, body: Body) -> None:
    path = tmp_path / "library.sqlite"
    with Library.open(path, SetClock(), ids()) as library:
        kept = library.put(body, notes="by the boathouse")
    with Library.open(path) as library:
        assert library.get(kept.id) == kept
    assert kept.body == body
    assert (kept.id, kept.created, kept.changed, kept.revision) == ("id-1", at(), at(), 1)


def test_a_change_raises_the_revision_and_keeps_what_was_not_named(
    library: Library, clock: SetClock
) -> None:
    first = library.put(BOARD, name="long board", notes="oak")
    clock.move(minutes=5)
    wider = replace(BOARD, spacers_mm=())
    second = library.put(wider, record_id=first.id, expected=1)
    assert second == replace(first, body=wider, changed=at(300), revision=2)
    assert library.get(first.id) == second
    third = library.put(wider, record_id=first.id, expected=2, notes="")
    assert (third.name, third.notes, third.revision) == ("long board", "", 3)
    assert library.put(wider, record_id=first.id, expected=3) == third  # nothing new: no change


def test_a_name_that_is_the_bodys_own_follows_it(library: Library) -> None:
    first = library.put(HOOD)
    renamed = DesignText("Boat blanket", "blanket", TOML)
    assert library.put(renamed, record_id=first.id, expected=1).name == "Boat blanket"
    own = library.put(renamed, record_id=first.id, expected=2, name="Ours").name
    assert (own, library.put(HOOD, record_id=first.id, expected=3).name) == ("Ours", "Ours")


@pytest.mark.parametrize("expected", [1, 3, None])
def test_a_stale_revision_is_refused_and_both_are_named(
    library: Library, expected: int | None
) -> None:
    first = library.put(COX)
    second = library.put(COX, record_id=first.id, expected=1, notes="hers")
    with pytest.raises(StaleRevision) as caught:
        library.put(COX, record_id=first.id, expected=expected, notes="mine")
    assert (caught.value.expected, caught.value.current) == (expected, 2)
    assert "revision 2" in str(caught.value)
    assert str(expected or "none") in str(caught.value)
    assert library.get(first.id) == second


def test_a_caller_may_name_a_new_record_and_say_it_twice_safely(library: Library) -> None:
    made = library.put(COX, record_id="made-on-the-phone")
    assert made.id == "made-on-the-phone"
    with pytest.raises(StaleRevision):
        library.put(COX, record_id="made-on-the-phone")
    assert library.list() == (made,)


@pytest.mark.parametrize("unknown", ["nobody", "id-9"])
def test_a_record_that_is_not_there(library: Library, unknown: str) -> None:
    for attempt in (
        lambda: library.get(unknown),
        lambda: library.delete(unknown),
        lambda: library.put(COX, record_id=unknown, expected=1),
        lambda: library.duplicate(unknown),
        lambda: library.attach(unknown, JPEG),
        lambda: library.weigh(unknown, [1]),
        lambda: library.versions(unknown),
        lambda: library.merge(unknown, []),
    ):
        with pytest.raises(NoSuchRecord):
            attempt()
    assert library.list(deleted=None) == ()


def test_a_record_stays_of_its_kind(library: Library) -> None:
    first = library.put(COX)
    with pytest.raises(BadInput, match="a person cannot become a board"):
        library.put(BOARD, record_id=first.id, expected=1)


def test_lists_by_kind_the_latest_first(library: Library, clock: SetClock) -> None:
    for body in (BOARD, YARN, STRIPING, COX):
        library.put(body)
        clock.move(seconds=1)
    library.put(BOARD, record_id="id-1", expected=1, notes="new felt")
    assert [r.id for r in library.list()] == ["id-1", "id-4", "id-3", "id-2"]
    assert [r.id for r in library.list(Kind.YARN)] == ["id-3", "id-2"]
    assert [r.id for r in library.list(limit=2, offset=1)] == ["id-4", "id-3"]
    assert {k: n for k, n in library.counts().items() if n} == {"board": 1, "yarn": 2, "person": 1}


# --- delete, erase, duplicate --------------------------------------------------------------------


def test_deleted_records_are_kept_and_come_back(library: Library) -> None:
    first = library.put(COX, notes="cold ears")
    gone = library.delete(first.id, 1)
    assert (gone.deleted, gone.revision) == (True, 2)
    assert library.delete(first.id) == gone  # twice is no harm
    assert library.list() == library.search("ears") == ()
    assert library.list(deleted=True) == library.list(deleted=None) == (gone,)
    assert library.counts()[Kind.PERSON] == 0
    with pytest.raises(BadInput, match="was deleted"):
        library.put(COX, record_id=first.id, expected=2, notes="x")
    with pytest.raises(StaleRevision):
        library.undelete(first.id, 1)
    back = library.undelete(first.id, 2)
    assert back == replace(first, revision=3)
    assert library.search("ears") == (back,)


def test_only_what_was_deleted_can_be_erased(library: Library) -> None:
    design = library.put(HOOD, notes="for the regatta")
    library.attach(design.id, JPEG)
    with pytest.raises(BadInput, match="deleted"):
        library.erase(design.id)
    library.delete(design.id)
    library.erase(design.id)
    assert library.list(deleted=None) == library.search("regatta") == ()
    with library.database.read() as db:
        for table in ("record", "design_version", "photo", "attachment", "record_words"):
            assert db.execute(f"SELECT count(*) FROM {table}").fetchone() == (0,), table
    assert library.check() == ()


def test_a_duplicate_stands_on_its_own(library: Library) -> None:
    first = library.put(HOOD, notes="n")
    library.put(hood("1 in"), record_id=first.id, expected=1)
    photo = library.attach(first.id, JPEG, "the hood on a peg")
    copy = library.duplicate(first.id)
    assert (copy.name, copy.body, copy.notes, copy.revision) == (
        "Tern Point hood (copy)",
        hood("1 in"),
        "n",
        1,
    )
    assert [v.number for v in library.versions(copy.id)] == [1]
    assert [p.sha256 for p in library.photos(copy.id)] == [photo.sha256]
    library.put(HOOD, record_id=copy.id, expected=1)
    assert library.get(first.id).body == hood("1 in")
    assert library.duplicate(first.id, "Junior hood").name == "Junior hood"


# --- search --------------------------------------------------------------------------------------

SHELF: tuple[tuple[Body, str, str], ...] = (
    (YARN, "Slipway worsted, rust", "from the boat shed"),
    (STRIPING, "Ebb sock", "Mérino, très doux"),
    (COX, "cox", "wants rust and cream"),
    (HOOD, "Tern Point hood", "½ in seam"),
    (BOARD, "boathouse board", ""),
    (SWATCH, "first swatch", "Straße 7 wool"),
)


@pytest.mark.parametrize("full_text", [True, False])
@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("rust", {"Slipway worsted, rust", "Ebb sock", "cox"}),  # name, body, notes
        ("RUST slip", {"Slipway worsted, rust"}),  # every word, each as a beginning
        ("merino", {"Ebb sock"}),
        ("TRÈS", {"Ebb sock"}),
        ("strasse", {"first swatch"}),
        ("hood folded-strip", {"Tern Point hood"}),
        ("house", set()),  # no beginning of a word
        ("boat", {"boathouse board", "Slipway worsted, rust"}),
        ("boat nothing", set()),
        ("", set()),
        ('"', set()),
        ("%", set()),
        ("_", set()),
        ('rust" OR "x', set()),  # words, never a language
        ("rust*", {"Slipway worsted, rust", "Ebb sock", "cox"}),
        ("name:cox", set()),
        ("NOT cox", set()),
    ],
)
def test_search(tmp_path: Path, full_text: bool, query: str, found: set[str]) -> None:
    with Library.open(tmp_path / "l.sqlite", SetClock(), ids(), full_text=full_text) as library:
        for body, name, notes in SHELF:
            library.put(body, name=name, notes=notes)
        assert library.database.full_text is full_text
        assert set(names(library.search(query))) == found


def test_the_name_weighs_most(library: Library) -> None:
    library.put(BOARD, name="first", notes="not the regatta board")
    library.put(BOARD, name="regatta board", notes="a long board of many pegs and much else")
    assert names(library.search("regatta")) == ["regatta board", "first"]


@given(st.lists(st.text(max_size=12), min_size=1, max_size=4), st.data())
def test_both_ways_of_searching_find_the_same(
    tmp_path_factory: pytest.TempPathFactory, texts: list[str], data: st.DataObject
) -> None:
    texts = [t.replace("\0", "").encode("utf-8", "ignore").decode() for t in texts]
    query = data.draw(st.one_of(st.text(max_size=6), st.sampled_from(texts)))
    query = query.encode("utf-8", "ignore").decode()
    path = tmp_path_factory.mktemp("words") / "l.sqlite"
    with Library.open(path, SetClock(), ids()) as library:
        for text in texts:
            library.put(BOARD, notes=text)
        fast = {r.id for r in library.search(query)}
        library.database.full_text = False
        assert {r.id for r in library.search(query)} == fast


def test_a_library_kept_without_full_text_search_is_indexed_when_it_comes_back(
    tmp_path: Path,
) -> None:
    path = tmp_path / "l.sqlite"
    with Library.open(path, SetClock(), ids()) as library:
        library.put(COX, notes="old words")
    with Library.open(path, SetClock(), ids("new"), full_text=False) as library:
        library.put(COX, notes="new words")
        library.put(COX, record_id="id-1", expected=1, notes="other words")
    with Library.open(path) as library:
        assert {r.id for r in library.search("words")} == {"id-1", "new-1"}
        assert library.search("old") == ()


def test_words_are_folded() -> None:
    assert folded("  Très-DOUX ½ in, №7_x ") == "tres doux 1 2 in no7 x"


# --- versions of designs -------------------------------------------------------------------------


def save(library: Library, gap: str, **how: object) -> None:
    """Save the one design of the library with another gap."""
    (record,) = library.list(Kind.DESIGN)
    library.put(hood(gap), record_id=record.id, expected=record.revision, **how)  # type: ignore[arg-type]


def gaps(library: Library) -> list[str]:
    lines = [v.text.toml.splitlines()[-1] for v in library.versions("id-1")]
    return [line.removeprefix('gap = "').removesuffix('"') for line in lines]


def test_every_save_keeps_the_text_of_before(library: Library) -> None:
    library.put(HOOD)
    save(library, "1 in")
    save(library, "1 in")  # the same text: no new version
    save(library, "7/8 in")
    assert gaps(library) == ["1 1/4 in", "1 in", "7/8 in"]
    back = library.bring_back("id-1", 1, expected=3)
    assert back.body == HOOD
    assert gaps(library) == ["1 1/4 in", "1 in", "7/8 in", "1 1/4 in"]


def test_autosaves_within_a_minute_make_one_version(library: Library, clock: SetClock) -> None:
    library.put(HOOD)
    for second, gap in enumerate(["1 in", "2 in", "3 in"]):
        clock.move(seconds=second)
        save(library, gap, autosave=True)
    assert gaps(library) == ["1 1/4 in", "3 in"]
    last = library.versions("id-1")[-1]
    assert (last.started, last.saved) == (at(0), at(3))
    clock.move(seconds=57)  # a minute after the first of them
    save(library, "4 in", autosave=True)
    assert gaps(library) == ["1 1/4 in", "3 in", "4 in"]


def test_an_autosave_never_takes_a_save_of_her_own(library: Library) -> None:
    library.put(HOOD)
    save(library, "1 in", autosave=True)
    save(library, "2 in")
    save(library, "3 in", autosave=True)
    assert gaps(library) == ["1 1/4 in", "1 in", "2 in", "3 in"]


def test_an_autosave_leaves_named_versions_alone(library: Library) -> None:
    library.put(HOOD)
    save(library, "1 in", autosave=True, version_name="as tried on the cox")
    save(library, "2 in", autosave=True)
    library.name_version("id-1", 3, "wider")
    save(library, "3 in", autosave=True)
    assert gaps(library) == ["1 1/4 in", "1 in", "2 in", "3 in"]
    assert [v.name for v in library.versions("id-1")] == ["", "as tried on the cox", "wider", ""]


def test_an_autosave_leaves_a_version_alone_that_is_being_knitted(library: Library) -> None:
    library.put(HOOD, autosave=True)
    library.put(Making("id-1", 1, "cox"))
    save(library, "1 in", autosave=True)
    assert gaps(library) == ["1 1/4 in", "1 in"]


def test_a_name_can_be_given_with_a_save_that_changes_nothing(library: Library) -> None:
    first = library.put(HOOD)
    again = library.put(HOOD, record_id=first.id, expected=1, version_name="final")
    assert again == first
    assert [v.name for v in library.versions(first.id)] == ["final"]
    with pytest.raises(BadUse):
        library.put(COX, version_name="final")
    with pytest.raises(BadInput):
        library.name_version(first.id, 1, "two\nlines")
    with pytest.raises(NoSuchRecord):
        library.name_version(first.id, 2, "x")


def test_what_changed_between_versions_in_words(library: Library) -> None:
    library.put(HOOD)
    save(library, "1 in")
    (change,) = library.what_changed("id-1", 1, 2)
    assert str(change) == ('Line 9 was changed under [loom]: gap = "1 1/4 in" became gap = "1 in"')


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("a = 1", "a = 1\n\n", []),
        ("a = 1  \n\nb = 2", "a = 1\nb = 2", []),
        ("", "a = 1", ["Line 1 is new: a = 1"]),
        ("a = 1\n", "", ["Line 1 is gone: a = 1"]),
        ("a = 1\nb = 2", "a = 1\nb = 3", ["Line 2 was changed: b = 2 became b = 3"]),
        (
            "[loom]\npegs = 4\n[use]\npegs = 4",
            "[loom]\npegs = 4\n[use]\npegs = 5",
            ["Line 4 was changed under [use]: pegs = 4 became pegs = 5"],
        ),
        (
            '[[sizes]]\nname = "cox"',
            '[[sizes]]\nname = "cox"\n[[sizes]] # more\nname = "bow"',
            ["Line 3 is new: [[sizes]] # more", 'Line 4 is new under [[sizes]]: name = "bow"'],
        ),
        ("a\nb\nc", "a\nc", ["Line 2 is gone: b"]),
        ("x = 1\ny = 1", "y = 2\nz = 1", None),
    ],
)
def test_changes_of_lines(old: str, new: str, words: list[str] | None) -> None:
    changes = what_changed(old, new)
    if words is not None:
        assert [str(change) for change in changes] == words
    else:
        assert {c.kind for c in changes} == set(ChangeKind)


@given(
    *[st.lists(st.sampled_from(["a = 1", "a = 2", "b = 1", "[t]", "", "word"]), max_size=12)] * 2
)
def test_changes_tell_every_line_once(old: list[str], new: list[str]) -> None:
    """What is left of both sides when told lines are taken out is the same."""
    changes = what_changed("\n".join(old), "\n".join(new))
    gone = {c.old_line for c in changes if c.old_line}
    come = {c.new_line for c in changes if c.new_line}
    assert [t for n, t in enumerate(old, 1) if t and n not in gone] == [
        t for n, t in enumerate(new, 1) if t and n not in come
    ]
    assert all(c.old == old[c.old_line - 1] for c in changes if c.old_line)
    assert all(c.new == new[c.new_line - 1] for c in changes if c.new_line)


# --- photos --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "kind"), [(JPEG, PhotoType.JPEG), (png(), PhotoType.PNG), (WEBP, PhotoType.WEBP)]
)
def test_photos_are_kept_by_what_they_are(library: Library, data: bytes, kind: PhotoType) -> None:
    library.put(COX)
    photo = library.attach("id-1", data, "the cox in her hood")
    assert (photo.type, photo.size, photo.added) == (kind, len(data), at())
    assert library.photos("id-1") == (photo,)
    assert library.photo_bytes(photo.sha256) == (kind, data)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"GIF89a" + bytes(20),
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"\x89PNG\r\n\x1a\n" + bytes(20),
        b"RIFF\x20\x00\x00\x00WAVEfmt " + bytes(20),
        b"<html>\xff\xd8\xff",
        b"\xff\xd8\xff" + bytes(MOST_PHOTO_BYTES),
    ],
    ids=["nothing", "gif", "svg", "half a png", "wav", "html", "too large"],
)
def test_what_is_no_photo_is_refused(library: Library, data: bytes) -> None:
    library.put(COX)
    with pytest.raises(BadInput) as caught:
        library.attach("id-1", data)
    assert caught.value.place is not None
    assert caught.value.place.field == "photo"
    assert library.photos("id-1") == ()


def test_one_photo_on_two_records_is_kept_once(library: Library, clock: SetClock) -> None:
    library.put(COX)
    library.put(HOOD)
    photo = library.attach("id-1", JPEG, "cox")
    library.attach("id-2", JPEG, "hood")
    clock.move(seconds=1)
    assert library.attach("id-1", JPEG, "the cox").added == photo.added  # new words only
    assert [p.words for i in ("id-1", "id-2") for p in library.photos(i)] == ["the cox", "hood"]
    library.detach("id-1", photo.sha256)
    assert library.photo_bytes(photo.sha256)[1] == JPEG
    library.detach("id-2", photo.sha256)
    for attempt in (
        lambda: library.photo_bytes(photo.sha256),
        lambda: library.detach("id-2", photo.sha256),
    ):
        with pytest.raises(NoSuchRecord):
            attempt()


# --- weights -------------------------------------------------------------------------------------


def test_a_yarns_weight_has_a_history(library: Library, clock: SetClock) -> None:
    library.put(YARN)
    assert library.stash("id-1") is None  # never weighed
    library.weigh("id-1", [100, 98])
    clock.move(days=2)
    library.weigh("id-1", [61.5], "after the cap", making="m-1")
    assert [(w.at, w.total_g, w.note) for w in library.weighings("id-1")] == [
        (at(), 198, ""),
        (at(2 * 86400), 61.5, "after the cap"),
    ]
    stash = library.stash("id-1")
    assert stash is not None
    assert [ball.value for ball in stash.balls] == [61.5]
    # A scale that shows 2 g is off by up to 1 g: a rectangle's sd is half its width over root 3.
    assert stash.balls[0].sd == pytest.approx(1 / 3**0.5)
    assert (stash.yarn, stash.scale_g, stash.sampled) == (YARN.yarn, 2.0, True)
    assert library.get("id-1").revision == 1
    clock.move(days=1)
    library.weigh("id-1", [])
    assert library.stash("id-1") is None  # used up


def test_a_yarn_that_changes_colour_is_so_in_the_stash(library: Library) -> None:
    library.put(STRIPING)
    library.weigh("id-1", [50])
    stash = library.stash("id-1")
    assert stash is not None
    assert stash.colour_run == RUN


def test_only_yarns_are_weighed(library: Library) -> None:
    library.put(COX)
    with pytest.raises(NoSuchRecord, match="no yarn"):
        library.weigh("id-1", [70_000])
    library.put(OwnYarn(Yarn("Ebb", 1, 400)))
    with pytest.raises(BadInput):
        library.weigh("id-2", [-1])
    assert library.weighings("id-2") == ()


# --- makings -------------------------------------------------------------------------------------


def test_a_making_is_of_a_design_and_version_that_are_there(library: Library) -> None:
    library.put(HOOD)
    library.put(COX)
    for making in (Making("id-1", 2, "cox"), Making("id-2", 1, "cox"), Making("no", 1, "cox")):
        with pytest.raises(NoSuchRecord):
            library.put(making)
    made = library.put(Making("id-1", 1, "cox"), name="hood for the cox")
    done = Making("id-1", 1, "cox", stage=Stage.FINISHED)
    assert library.put(done, record_id=made.id, expected=1).body == done


def test_two_devices_that_were_apart_come_together_in_the_library(library: Library) -> None:
    library.put(HOOD)
    making = library.put(Making("id-1", 1, "cox")).id
    phone = [row("phone", n, seconds=n) for n in range(1, 8)]
    tablet = [row("tablet", n, seconds=n) for n in range(1, 5)]
    assert library.merge(making, phone[:3]).rows_in_all == 3
    assert library.merge(making, tablet).rows_in_all == 7
    assert library.merge(making, phone).rows_in_all == 11  # three of them once more
    state = library.merge(making, reversed(tablet))
    assert state == library.making_state(making)
    assert dict(state.rows_by_device) == {"phone": 7, "tablet": 4}
    lacking = library.events(making, {"phone": 7, "tablet": 2})
    assert list(lacking) == tablet[2:]
    assert library.get(making).revision == 1  # counting is no change of the record


def test_an_event_whose_id_was_given_twice_is_not_lost(library: Library) -> None:
    library.put(HOOD)
    making = library.put(Making("id-1", 1, "cox")).id
    twin = replace(row("phone", 1), device="tablet")
    assert library.merge(making, [row("phone", 1)]).rows_in_all == 1
    for _ in range(2):
        assert library.merge(making, [twin]).rows_in_all == 2
    assert library.merge(making, [twin, row("phone", 1)]).rows_in_all == 2


def test_an_undo_and_a_weighing_are_kept(library: Library) -> None:
    library.put(HOOD)
    making = library.put(Making("id-1", 1, "cox")).id
    undo = Event("u", "phone", 2, at(2), EventKind.UNDO, undoes="phone-1")
    weighed = Event("w", "phone", 3, at(3), EventKind.WEIGH, grams=41.5, text="rust")
    state = library.merge(making, [row("phone", 1), undo, weighed])
    assert (state.rows_in_all, state.events) == (0, 3)
    assert state.weighings == (weighed,)
