"""Changes through the form leave everything else of a design's text as it was written."""

from __future__ import annotations

import difflib
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.designs.files import shipped_designs, shipped_text
from pegwright.designs.reader import read_text
from pegwright.designs.starter import starter_text
from pegwright.errors import BadInput
from pegwright.garments.registry import garments
from pegwright.studio.designs.edits import Change, Deed, Value, changed, path_of
from pegwright.studio.designs.regarment import regarmented
from pegwright.studio.designs.sheet import sheet
from pegwright.studio.typed import typed_value

HOOD = shipped_text("tern-point-hood")
STARTER = starter_text("plain-strip")


def put(path: str, value: Value = None) -> Change:
    return Change(Deed.SET, path_of(path), value)


def difference(old: str, new: str) -> tuple[list[str], list[str]]:
    """The lines that went, and those that came."""
    lines = list(difflib.ndiff(old.splitlines(), new.splitlines()))
    gone = [line[2:] for line in lines if line.startswith("- ")]
    return gone, [line[2:] for line in lines if line.startswith("+ ")]


@pytest.mark.parametrize(
    ("text", "change", "gone", "come"),
    [
        (HOOD, put("loom.pitch", "1/2 in"), ['pitch = "7/16 in"'], ['pitch = "1/2 in"']),
        (HOOD, put("design.summary"), [HOOD.splitlines()[6]], []),  # taken out, its line with it
        (HOOD, put("loom.gap_that_is_not_there"), [], []),
        (HOOD, put("garment.rows", 90), [], ["rows = 90"]),  # stands after its group's last key
        (HOOD, put("sizes[2].head", "58 cm"), ['head = "57 cm"'], ['head = "58 cm"']),
        # The remark beside a value stays; the one below the last key stays below it.
        (
            STARTER,
            put("loom.pegs", 50),
            ["pegs = 44                 # in one row"],
            ["pegs = 50                 # in one row"],
        ),
        (STARTER, put("yarns[1].available", "200 g"), [], ['available = "200 g"']),
        (STARTER, put("use.body", "My yarn"), [], ["[use]", 'body = "My yarn"', ""]),
    ],
)
def test_a_value_changes_and_nothing_else(
    text: str, change: Change, gone: list[str], come: list[str]
) -> None:
    assert difference(text, changed(text, [change])) == (gone, come)


def test_rows_are_added_moved_and_removed() -> None:
    row: dict[str, Value] = {"name": "stroke", "head": "56 cm", "age": None}
    added = changed(HOOD, [Change(Deed.ADD, ("sizes",), row=row)])
    assert difference(HOOD, added) == ([], ["", "[[sizes]]", 'name = "stroke"', 'head = "56 cm"'])
    moved = changed(added, [Change(Deed.MOVE, ("sizes", 3), to=1)])
    assert [s["name"] for s in tomllib.loads(moved)["sizes"]] == ["stroke", "cox", "bow", "coach"]
    removed = changed(moved, [Change(Deed.REMOVE, ("sizes", 0))])
    assert tomllib.loads(removed) == tomllib.loads(HOOD)


def test_the_last_row_takes_its_list_along() -> None:
    stripe: dict[str, Value] = {"yarn": "Slipway worsted", "rows": 8}
    striped = changed(HOOD, [Change(Deed.ADD, ("stripes",), row=stripe)])
    assert tomllib.loads(striped)["stripes"] == [stripe]
    assert changed(striped, [Change(Deed.REMOVE, ("stripes", 0))]).split() == HOOD.split()


@pytest.mark.parametrize("name", shipped_designs())
def test_putting_a_value_where_it_stands_changes_no_letter(name: str) -> None:
    text = shipped_text(name)
    fields = [
        field
        for group in sheet(tomllib.loads(text))
        for part in (group.fields, *(row.fields for row in group.rows))
        for field in part
        if field.value
    ]
    assert len(fields) > 15
    changes = [put(field.path, typed_value(field.value, field.kind)) for field in fields]
    assert read_text(changed(text, changes)) == read_text(text)
    texts = [c for c in changes if isinstance(c.value, str)]
    assert changed(text, texts) == text


@given(st.text(alphabet='ab [].="#\n\\1', max_size=30))
def test_any_words_survive_being_written(words: str) -> None:
    made = tomllib.loads(changed(HOOD, [put("design.summary", words)]))
    assert made["design"]["summary"] == words
    assert made["sizes"] == tomllib.loads(HOOD)["sizes"]


@pytest.mark.parametrize("path", ["", ".", "a..b", "sizes[0].head", "sizes[x]", "a b", "[1]"])
def test_what_is_no_path_is_refused(path: str) -> None:
    with pytest.raises(BadInput, match="does not name"):
        path_of(path)


@pytest.mark.parametrize(
    "change",
    [
        put("sizes[9].head", "55 cm"),
        put("sizes.head.x", "55 cm"),
        put("design.title.more", "x"),
        Change(Deed.REMOVE, path_of("sizes[9]")),
        Change(Deed.REMOVE, path_of("loom")),
        Change(Deed.MOVE, path_of("sizes[1]"), to=9),
        Change(Deed.ADD, path_of("design.title"), row={}),
    ],
)
def test_a_place_that_is_not_there_is_refused(change: Change) -> None:
    with pytest.raises(BadInput, match="no such place"):
        changed(HOOD, [change])


def test_what_is_no_toml_is_left_to_the_text() -> None:
    with pytest.raises(BadInput, match="form cannot change it"):
        changed(HOOD + "\n[[", [put("design.title", "x")])


@pytest.mark.parametrize("name", list(garments()))
def test_another_garment_leaves_a_design_that_can_be_read(name: str) -> None:
    text = changed(HOOD, regarmented(tomllib.loads(HOOD), name))
    design = read_text(text)
    assert design.garment == name
    assert [size.name for size in design.sizes] == ["cox", "bow", "coach"]
    if name == "folded-strip-hood":
        assert text == HOOD
