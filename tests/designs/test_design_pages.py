"""What the pages show is true: their designs are read, and their commands run."""

from __future__ import annotations

import re
import shlex
import tomllib
from pathlib import Path

import pytest

from pegwright.designs.form import DesignForm, form_of
from pegwright.designs.reader import read_text
from pegwright.errors import PegwrightError


@pytest.fixture(scope="module")
def page(repo: Path) -> str:
    return (repo / "docs" / "design-files.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def blocks(page: str) -> list[str]:
    return re.findall(r"^```toml\n(.*?)^```", page, re.MULTILINE | re.DOTALL)


@pytest.fixture(scope="module")
def whole(blocks: list[str]) -> str:
    return next(block for block in blocks if block.startswith("pegwright = 1"))


def test_the_whole_design_is_read(whole: str) -> None:
    design = read_text(whole)
    assert [size.name for size in design.sizes] == ["cox", "bow"]


def test_every_piece_fits_into_the_whole_design(whole: str, blocks: list[str]) -> None:
    pieces = [block for block in blocks if block != whole]
    assert len(pieces) == 7
    for piece in pieces:
        if piece.startswith("[[wraps]]"):
            text = whole.replace("garment =", 'wrap = "harbour rib"\ngarment =') + piece
        elif piece.startswith(("[use]", "[[stripes]]")):
            yarn = whole[whole.index("[[yarns]]") : whole.index("[garment]")]
            second = yarn.replace("Slipway worsted", "Quayside aran")
            text = whole.replace("[garment]", f"{second}{piece}[garment]")
        elif piece.startswith("sample"):
            text = whole.replace("metres_per_100g = 175", piece)
        elif piece.startswith("colours"):
            text = whole.replace("wraps_per_inch", f"{piece}wraps_per_inch")
        elif piece.startswith("[cost]"):
            text = whole + piece
        else:
            text = whole.replace('pitch = "7/16 in"', piece)
        assert text != whole
        read_text(text)


def test_the_refusal_reads_as_shown(page: str, whole: str) -> None:
    shown = re.search(r"^```\n(pegwright: .*?)^```", page, re.MULTILINE | re.DOTALL)
    assert shown
    with pytest.raises(PegwrightError) as caught:
        read_text(whole.replace("gap =", "gapp =").replace("pegs = 44", "pegs = 44.5"))
    told = [str(error) for error in (caught.value, *getattr(caught.value, "others", ()))]
    words = shown.group(1).splitlines()
    assert any(
        "“gapp” is not known here" in text and "did you mean “gap”?" in text for text in told
    )
    assert words[0] == "pegwright: “gapp” is not known here"


def test_every_key_is_explained(page: str) -> None:
    for path in (
        (),
        ("design",),
        ("loom",),
        ("yarns",),
        ("swatches",),
        ("stripes",),
        ("sizes",),
        ("wraps",),
        ("cost",),
    ):
        form = form_of(path) or DesignForm
        for key in form.model_fields:
            assert (
                f"`{key}`" in page
                or f"`[{key}]`" in page
                or f"`[[{key}]]`" in page
                or (f"{key} = " in page)
            ), key


def test_commands_shown_are_taken(repo: Path) -> None:
    from pegwright.cli.main import parser

    page = (repo / "docs" / "commands.md").read_text(encoding="utf-8")
    whole = re.sub(r"\\\n\s*", "", page)  # a line that goes on
    lines = re.findall(r"^pegwright .*$", whole, re.MULTILINE)
    assert len(lines) >= 5
    for line in lines:
        words = shlex.split(line.partition(" | ")[0], comments=True)
        assert parser().parse(words[1:]).command == words[1]


def test_the_sample_is_toml_of_its_own(blocks: list[str]) -> None:
    assert all(tomllib.loads(block) for block in blocks)
