"""Every key of a design file is found on its own line, and hostile shapes meet a limit."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.designs.outline import (
    MOST_ENTRIES,
    MOST_KEY_PARTS,
    MOST_NESTING,
    Outline,
    Path,
    dotted,
)
from pegwright.designs.writer import Value, toml_value
from pegwright.errors import BadInput

TEXT = '''\
# a remark = "with [brackets]"
pegwright = 1
title."quoted key" = """
two
lines = 5 """   # a remark
[loom]
pegs = 40
place = { x = 1, y = [
  2,
  3,   # three
] }

[[sizes]]
name = 'cox'
[[sizes]]
name = "bow # no remark"
  [sizes.deep]
  key = 1979-05-27 07:32:00
[[sizes]]
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("pegwright",), 2),  # the first key, below a remark that looks like one
        (("title", "quoted key"), 3),
        (("loom",), 6),  # a header
        (("loom", "pegs"), 7),  # after a block of text that holds an equals sign
        (("loom", "place", "x"), 8),  # within a table on one line
        (("loom", "place", "y", 0), 9),
        (("loom", "place", "y", 1), 10),
        (("sizes", 0), 13),
        (("sizes", 0, "name"), 14),
        (("sizes", 1, "name"), 16),
        (("sizes", 1, "deep", "key"), 18),  # a table below the list's last entry
        (("sizes", 2), 19),
        (("sizes", 2, "head"), 19),  # absent: the size it belongs to
        (("loom", "pegs", "nothing", 3), 7),
        (("nowhere",), None),
    ],
)
def test_the_line_of_a_key(path: Path, line: int | None) -> None:
    assert Outline(TEXT).line(path) == line


def test_the_text_is_what_the_parser_takes_it_for() -> None:
    assert tomllib.loads(TEXT)["sizes"][1]["name"] == "bow # no remark"


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ((), ""),
        (("loom", "gap"), "loom.gap"),
        (("sizes", 1, "head"), "sizes[2].head"),  # lists are counted from 1
    ],
)
def test_a_path_in_words(path: Path, words: str) -> None:
    assert dotted(path) == words


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("\na = " + "[" * (MOST_NESTING + 2), 2),  # deep lists
        ("\n\na = " + "{ a = " * (MOST_NESTING + 2), 3),  # deep tables
        (".".join("a" * (MOST_KEY_PARTS + 1)) + " = 1", 1),  # a key of many parts
        ("a = 1\n[" + ".".join("a" * (MOST_KEY_PARTS + 1)) + "]", 2),
        ("[[a]]\n" * (MOST_ENTRIES + 1), MOST_ENTRIES + 1),  # many tables
    ],
)
def test_a_hostile_shape_meets_its_limit(text: str, line: int) -> None:
    with pytest.raises(BadInput) as refusal:
        Outline(text, "some.toml")
    assert refusal.value.place is not None
    assert (refusal.value.place.file, refusal.value.place.line) == ("some.toml", line)


@pytest.mark.parametrize("text", ["a = 1\nb 2\nc = 3", "a = 1\n[x\nc = 3", 'a = 1\nb = "\nc = 3'])
def test_what_is_no_toml_ends_the_walk_without_a_word(text: str) -> None:
    outline = Outline(text)
    assert outline.line(("a",)) == 1
    assert outline.line(("c",)) is None


KEYS = st.text(st.sampled_from("abz09_-"), min_size=1, max_size=4)
LEAVES: st.SearchStrategy[Value] = st.one_of(
    st.booleans(), st.integers(-(10**6), 10**6), st.text(max_size=8)
)
VALUES = st.recursive(
    LEAVES,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
    max_leaves=6,
)


def paths(value: object, before: Path = ()) -> list[Path]:
    """Every path in a value."""
    found = [before] if before else []
    pairs: list[tuple[Any, Any]] = []
    if isinstance(value, dict):
        pairs = list(value.items())
    elif isinstance(value, list):
        pairs = list(enumerate(value))
    return found + [path for key, part in pairs for path in paths(part, (*before, key))]


@given(st.dictionaries(KEYS, VALUES, min_size=1, max_size=4))
def test_every_path_of_a_file_is_found_where_it_stands(data: dict[str, Value]) -> None:
    text = "".join(f"# {key}\n{key} = {toml_value(value)}\n" for key, value in data.items())
    assert tomllib.loads(text) == data
    outline = Outline(text)
    line_of = {key: 2 * number for number, key in enumerate(data, 1)}
    for path in paths(data):
        assert outline.line(path) == line_of[str(path[0])], path
