"""Stash files: read, refused with file and line, and written back."""

from __future__ import annotations

from pathlib import Path

import pytest

from pegwright.designs.problems import DesignRefused
from pegwright.designs.stash import (
    read_stash_bytes,
    read_stash_file,
    read_stash_text,
    write_stash_text,
)
from pegwright.errors import BadInput
from pegwright.measured import resolution_sd
from pegwright.units import GRAMS_PER_OUNCE

STASH = """\
scale = "2 g"

[[yarns]]
name = "Slipway worsted"
category = 4
metres_per_100g = 170
wraps_per_inch = 9.5
fibre = "carded wool"
colour = "rust"
invented = true
balls = ["42 g", "17 g"]

[[yarns]]
name = "Slipway worsted"
category = 4
sample = { length = "11 m", weight = "6 g" }
colour = "slate"
balls = ["1 1/2 oz"]
scale = "1 g"
colours = "rust #a4482c 30 cm, cream #f2ead8 12 in"
"""


def test_it_is_read() -> None:
    rust, slate = read_stash_text(STASH)
    assert rust.yarn.label == "Slipway worsted, rust"
    assert [ball.value for ball in rust.balls] == [42, 17]
    assert rust.balls[0].sd == resolution_sd(2)  # the scale at the top
    assert (rust.sampled, slate.sampled) == (False, True)
    assert slate.balls[0].value == pytest.approx(1.5 * GRAMS_PER_OUNCE)
    assert slate.balls[0].sd == resolution_sd(1)  # its own scale
    assert slate.yarn.metres_per_100g == pytest.approx(1100 / 6)
    assert rust.colour_run is None
    assert slate.colour_run is not None
    assert slate.colour_run.repeat_m == pytest.approx(0.6048)
    more = 'colour_offset = "10 cm"\ncolour_drift = 0.05\n'
    _, begun = read_stash_text(STASH + more)
    assert begun.colour_run is not None
    assert (begun.colour_run.offset_m, begun.colour_run.drift) == (0.1, 0.05)
    assert read_stash_text(write_stash_text([begun])) == (begun,)


def test_it_reads_back_as_written() -> None:
    stash = read_stash_text(STASH)
    assert read_stash_text(write_stash_text(stash)) == stash


@pytest.mark.parametrize(
    "old, new, line, field, what",
    [
        # negative grams
        ('"17 g"', '"-17 g"', 11, "yarns[1].balls[2]", "cannot be below zero"),
        ('"17 g"', '"0 g"', 11, "yarns[1].balls[2]", "above zero"),
        ('"17 g"', '"17 cm"', 11, "yarns[1].balls[2]", "unit of length"),
        ('"17 g"', "17", 11, "yarns[1].balls[2]", "needs its unit"),
        ('balls = ["42 g", "17 g"]', "balls = []", 11, "yarns[1].balls", "at least 1"),
        ('balls = ["42 g", "17 g"]', "", 3, "yarns[1].balls", "is missing"),
        # yarn of no length
        ('"11 m"', '"0 m"', 16, "yarns[2].sample.length", "above zero"),
        ("= 170", "= 0", 6, "yarns[1].metres_per_100g", "more than 0"),
        ('scale = "1 g"', 'scael = "1 g"', 19, "yarns[2].scael", "not known here"),
        ('scale = "2 g"', 'scales = "2 g"', 1, "scales", "not known here"),
        ('scale = "2 g"', "pegwright = 9", 1, "pegwright", "version"),
        ('"slate"', '"rust"', 14, "yarns[2].name", "same name and colour"),
        ("30 cm", "30 lumps", 20, "yarns[2].colours", "no such unit"),
        ('scale = "1 g"', "price = 3", 19, "yarns[2].price", "is for designs"),
        ('scale = "1 g"', "colour_drift = 0.3", 19, "yarns[2].colour_drift", "at most 0.25"),
        ('scale = "1 g"', 'available = "9 g"', 19, "yarns[2].available", "is for designs"),
        ("metres_per_100g = 170", "", 3, "yarns[1]", "either metres_per_100g or a sample"),
    ],
)
def test_refusals_name_file_line_and_key(
    old: str, new: str, line: int, field: str, what: str
) -> None:
    with pytest.raises(DesignRefused) as caught:
        read_stash_text(STASH.replace(old, new), "stash.toml")
    place = caught.value.place
    assert place is not None
    assert (place.file, place.line, place.field) == ("stash.toml", line, field)
    assert what in caught.value.what
    assert caught.value.others == ()


def test_hints_know_the_keys_of_a_stash() -> None:
    with pytest.raises(DesignRefused) as caught:
        read_stash_text(STASH.replace("balls = [", "bals = [", 1))
    hints = [caught.value.hint, *(other.hint for other in caught.value.others)]
    assert "did you mean “balls”?" in hints
    assert len(hints) == 2  # the slip, and the key that is missing by it


def test_all_problems_come_together() -> None:
    text = STASH.replace('"17 g"', '"-17 g"').replace('"11 m"', '"0 m"')
    with pytest.raises(DesignRefused) as caught:
        read_stash_text(text)
    assert len(caught.value.others) == 1


@pytest.mark.parametrize(
    "text, what",
    [
        ("[[yarns]\n", "part of a stash"),
        ("yarns = []\n", "at least 1"),
        ("", "is missing"),
        ("a = " + "[" * 500, "lie too deep"),
        ("name = 'x\x00'", "a character that no text has"),
    ],
)
def test_what_is_no_stash(text: str, what: str) -> None:
    with pytest.raises(BadInput, match=what) as caught:
        read_stash_text(text, "stash.toml")
    assert caught.value.place is not None
    assert caught.value.place.file == "stash.toml"
    assert "design" not in caught.value.what


def test_a_stash_that_comes_with_pegwright(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    shipped = read_stash_file(Path("tern-point-leftovers"))
    assert len(shipped) == 7
    Path("tern-point-leftovers").write_text(STASH, encoding="utf-8")  # a file comes before it
    assert read_stash_file(Path("tern-point-leftovers")) == read_stash_text(STASH)


def test_files(tmp_path: Path) -> None:
    path = tmp_path / "stash.toml"
    path.write_text(STASH, encoding="utf-8")
    assert read_stash_file(path) == read_stash_text(STASH)
    with pytest.raises(BadInput, match="no such file") as caught:
        read_stash_file(tmp_path / "none.toml")
    assert caught.value.hint == "check the name"
    with pytest.raises(BadInput, match="folder"):
        read_stash_file(tmp_path)
    with pytest.raises(BadInput, match="UTF-8"):
        read_stash_bytes(STASH.encode("utf-16"))
