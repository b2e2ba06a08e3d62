"""A catalogue file: what it holds, and what is refused with its line."""

from __future__ import annotations

from pathlib import Path

import pytest

from pegwright.catalogue.journal import read_list
from pegwright.catalogue.listing import read_listing
from pegwright.designs.files import shipped_text
from pegwright.errors import BadInput

LIST = """\
pegwright = 1

[catalogue]
design = "tern-point-hood"
sizes = ["coach", "cox"]

[[boards]]
name = "boathouse board"
arrangement = "opposed"
pegs = 44
pitch = "7/16 in"
gap = "1 in"
peg_diameter = "3/16 in"

[[boards]]
name = "slip board"
arrangement = "opposed"
pegs = 30
pitch = "1/2 in"
gap = "1 1/4 in"
peg_diameter = "1/4 in"

[[yarns]]
name = "Slipway worsted"
category = 4
metres_per_100g = 175
"""


def test_a_list_is_read(tmp_path: Path) -> None:
    path = tmp_path / "winter.toml"
    path.write_text(LIST)
    listing, design = read_list(path)
    assert [b.name for b in listing.boards] == ["boathouse board", "slip board"]
    assert listing.boards[1].gap_mm == pytest.approx(31.75)
    assert [y.metres_per_100g for y in listing.yarns] == [175]
    assert [s.name for s in design.sizes] == ["cox", "coach"]  # in the order of the design


def test_a_design_beside_the_list_is_found_from_there(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(shipped_text("tern-point-scarf"))
    path = tmp_path / "winter.toml"
    path.write_text(
        LIST.replace('"tern-point-hood"', '"mine.toml"').replace('["coach", "cox"]', "[]")
    )
    _, design = read_list(path)
    assert [s.name for s in design.sizes] == ["short", "long"]


@pytest.mark.parametrize(
    ("old", "new", "words", "line"),
    [
        ("pegwright = 1", "pegwright = 2", "version of the format is not known", 1),
        ('gap = "1 in"', 'gap = "1/8 in"', "the two rows would touch", 12),
        ('pitch = "1/2 in"', 'pitch = "half"', "", 19),
        ("pegs = 44", "pegs = 44\nslack = 1.1", "one maker's own", 11),
        ("category = 4", "category = 9", "at most 7 is possible here", 25),
        ("metres_per_100g = 175", 'available = "90 g"', "either metres_per_100g or a sample", 23),
        ("category = 4", "category = 4\ncolor = 3", "“color” is not known here", 26),
    ],
)
def test_a_slip_is_told_with_its_line(old: str, new: str, words: str, line: int) -> None:
    assert old in LIST
    with pytest.raises(BadInput) as refused:
        read_listing(LIST.replace(old, new, 1).encode(), "winter.toml")
    assert words in str(refused.value)
    assert refused.value.place is not None
    assert refused.value.place.line == line


@pytest.mark.parametrize("data", [b"\xff\xfe", b"= 1", b"", b"pegwright = 1\n"])
def test_what_is_no_list_is_refused(data: bytes) -> None:
    with pytest.raises(BadInput):
        read_listing(data)


def test_a_table_that_is_missing_is_named() -> None:
    with pytest.raises(BadInput, match="“catalogue” is missing"):
        read_listing(LIST.replace("[catalogue]", "[catalog]").encode())


def test_a_size_that_the_design_does_not_have_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "winter.toml"
    path.write_text(LIST.replace('"coach"', '"couch"'))
    with pytest.raises(BadInput, match="no such size") as refused:
        read_list(path)
    assert "coach" in str(refused.value)


def test_a_list_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="cannot be opened"):
        read_list(tmp_path / "none.toml")
