"""What a board's plan says: facts, parts, steps, cautions, places."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from pegwright.loom.board import Arrangement
from pegwright.loom.plan import plan_board
from pegwright.loom.spec import BoardSpec, Join, PegKind, PegStock, Wood
from pegwright.pattern.board_plan import (
    BoardDocument,
    WrapFact,
    board_document,
    pitch_for_category,
)
from pegwright.pattern.board_words import workshop
from pegwright.pattern.model import CautionBlock, Facts, StepBlock, TableBlock
from pegwright.safety.cautions import board_cautions
from pegwright.safety.features import Feature
from pegwright.units import UnitSystem
from pegwright.yarn.category import CATEGORIES, categories_for_pitch

IN, CM = UnitSystem.INCHES, UnitSystem.CENTIMETRES
BOATHOUSE = BoardSpec(name="Tern Point boathouse board")
RING = BoardSpec(
    arrangement=Arrangement.RING, pegs=40, pitch_mm=12, gap_mm=0, wood=Wood(18, 400, 400)
)


def made(spec: BoardSpec = BOATHOUSE, wrap: WrapFact | None = None) -> BoardDocument:
    return board_document(plan_board(spec), IN, wrap)


def titles(document: BoardDocument) -> list[str]:
    blocks = [b for s in document.sections for b in s.blocks if isinstance(b, StepBlock)]
    return [step.title for block in blocks for step in block.steps]


@pytest.mark.parametrize(
    ("mm", "units", "words"),
    [
        (11.1125, IN, "7/16 in (11.11 mm)"),
        (11.1125, CM, "11.11 mm (7/16 in)"),
        (25.4, IN, "1 in (25.4 mm)"),
        (13.0, IN, "about 33/64 in (13 mm)"),  # 13.097 mm
        (554.0375, IN, "21 13/16 in (554 mm)"),
        (12.7 + 0.02, IN, "1/2 in (12.72 mm)"),
    ],
)
def test_lengths_in_a_workshop(mm: float, units: UnitSystem, words: str) -> None:
    assert workshop(mm, units) == words


def test_key_and_title() -> None:
    document = made()
    assert document.key == "tern-point-boathouse-board"
    assert document.title == "Tern Point boathouse board"
    assert "44 pegs a side, 7/16 in (11.11 mm) apart, rows 1 in" in document.subtitle
    assert made(replace(BOATHOUSE, name="§§")).key == "board"


def test_steps_follow_how_it_is_built() -> None:
    assert titles(made()) == [
        "Print and join the template",
        "Saw the wood",
        "Mark the holes",
        "Drill",
        "Bore for the bolts",
        "Sand and finish",
        "Set the pegs",
        "Put it together",
        "Measure it",
    ]
    assert "Bore for the bolts" not in titles(made(replace(BOATHOUSE, join=Join.CLAMP)))
    ring = titles(made(RING))
    assert "Saw the ring" in ring
    assert "Put it together" not in ring


def test_steps_name_the_figures_of_the_plan() -> None:
    blocks = [b for s in made().sections for b in s.blocks if isinstance(b, StepBlock)]
    text = {step.title: " ".join((*step.text, step.tally)) for step in blocks[0].steps}
    assert "18 13/16 in (477.8 mm)" in text["Print and join the template"]
    assert "about 33/64 in (13 mm)" in text["Drill"]
    assert "88 holes" in text["Drill"]
    assert "spacers of 1/4 in (6.35 mm)" in text["Put it together"]


def test_tables_are_whole() -> None:
    for spec in (BOATHOUSE, RING, replace(BOATHOUSE, arrangement=Arrangement.OFFSET, pegs=7)):
        for section in made(spec).sections:
            for block in section.blocks:
                if isinstance(block, TableBlock):
                    assert block.rows
                    assert {len(row) for row in block.rows} == {len(block.header)}


def test_every_hole_stands_in_the_table_of_places() -> None:
    (table,) = [b for b in made().sections[-1].blocks if isinstance(b, TableBlock)]
    cells = [cell for row in table.rows for cell in row]
    places = dict(zip(cells[::2], cells[1::2], strict=True))
    places.pop("", None)
    assert len(places) == 44
    assert places["1"] == "38.1"
    assert places["44"] == "515.9"
    offset = made(replace(BOATHOUSE, arrangement=Arrangement.OFFSET)).sections[-1].blocks
    assert sum(isinstance(b, TableBlock) for b in offset) == 2


def test_cautions_follow_the_work() -> None:
    def told(spec: BoardSpec) -> set[str]:
        blocks = [b for s in made(spec).sections for b in s.blocks if isinstance(b, CautionBlock)]
        return {c.title for block in blocks for c in block.cautions}

    plain = told(BOATHOUSE)
    assert {"Sawing", "Drilling", "Dust", "Eyes and ears", "Oil, varnish and glue"} <= plain
    assert "Small parts and small children" in plain
    assert "Nails" not in plain
    assert told(replace(BOATHOUSE, peg=PegStock(PegKind.NAIL, 3.0))) == plain | {"Nails"}


def test_cautions_say_where_they_come_from() -> None:
    cautions = board_cautions(Feature)
    assert {c.source for c in board_cautions({Feature.BOARD, Feature.SAW, Feature.FINISH})} == {
        "Common practice, no source; follow the tool maker's instructions and local rules."
    }
    assert any("licensed" in c.text for c in cautions)
    assert "Washing" not in {c.title for c in cautions}  # holds for knitted pieces


def test_a_wrap_test_is_told_where_it_is_known() -> None:
    facts = [
        row
        for section in made(wrap=WrapFact("double-board stockinette", 15, 1120.0)).sections
        for block in section.blocks
        if isinstance(block, Facts)
        for row in block.rows
    ]
    assert "over 15 pegs on both boards" in dict(facts)["Wrap test, taut"]


def test_the_end_view_has_words() -> None:
    view = made().end_view
    assert view is not None
    assert "3/4 in" in view.words
    assert re.search(r"spacers: 1/4 in", view.words)
    assert made(RING).end_view is None


@pytest.mark.parametrize("category", range(8))
def test_a_usual_pitch_for_a_yarn(category: int) -> None:
    pitch = pitch_for_category(category)
    assert round(pitch / 25.4 * 16, 6).is_integer()
    if 1 <= category <= 5:  # lace and the thickest have no class of their own
        near = categories_for_pitch(pitch)
        assert CATEGORIES[category] in near or CATEGORIES[category + 1] in near


def test_worsted_gets_the_boathouse_pitch() -> None:
    assert pitch_for_category("worsted") == pytest.approx(7 / 16 * 25.4)
