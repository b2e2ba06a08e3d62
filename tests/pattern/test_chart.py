"""Charts show what was executed; the patterns of shaped and seamed pieces say it in words."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from pegwright.designs.files import read_any
from pegwright.garments.base import OptionValue
from pegwright.garments.blocks import Field
from pegwright.garments.shaping import (
    decrease_body,
    decrease_edge,
    increase_body,
    increase_edge,
    short_rows,
)
from pegwright.knitting.operations import Edge
from pegwright.knitting.run import execute
from pegwright.knitting.wraps import shipped
from pegwright.loom.board import Arrangement
from pegwright.making import make
from pegwright.pattern.abbreviations import COUNCIL, used
from pegwright.pattern.chart import chart
from pegwright.pattern.model import ChartCell, ChartDrawing, Facts, Pattern, TableBlock
from pegwright.publish.figure_chart import draw_chart
from pegwright.publish.figures import figure_svg
from tests.knitting.scripts import board
from tests.knitting.test_shaping import Shape, shaped, whole

SIGNS = {
    ".": ChartCell.KNIT,
    "-": ChartCell.PURL,
    "Y": ChartCell.INCREASE,
    "/": ChartCell.DECREASE_RIGHT,
    "\\": ChartCell.DECREASE_LEFT,
    "m": ChartCell.MOVED,
    "u": ChartCell.TURN,
    "|": ChartCell.WAITING,
    " ": ChartCell.NO_STITCH,
}


def drawn(wrap: str, *shapes: Shape) -> ChartDrawing:
    """The chart of pegs 3 to 7 shaped after row 3, from row 3 on; two rows follow."""
    field = Field(board(9, Arrangement.SINGLE), shipped(wrap), 3, 7)
    made = shaped(field, *shapes)
    run = execute(whole(field, made))
    assert run.findings == ()
    return chart(run, "strip", 3, made.done)


def rows(shown: ChartDrawing) -> list[str]:
    """The chart as text, the highest row first."""
    letters = {cell: letter for letter, cell in SIGNS.items()}
    return ["".join(letters[c] for c in line) for line in reversed(shown.cells)]


CASES: dict[str, tuple[Shape, list[str]]] = {
    "decrease at the right": (
        lambda f, d: decrease_edge(f, d, Edge.RIGHT),
        ["....", "....", "...\\", "....."],
    ),
    "decrease at the left": (
        lambda f, d: decrease_edge(f, d, Edge.LEFT),
        [" ....", " ....", " /...", "....."],
    ),
    "increase at the right": (
        lambda f, d: increase_edge(f, d, Edge.RIGHT),
        ["......", "......", ".....Y", "..... "],
    ),
    "decrease in the body": (
        lambda f, d: decrease_body(f, d, 4, Edge.RIGHT),
        [".... ", ".... ", ".\\mm ", "....."],
    ),
    "increase in the body": (
        lambda f, d: increase_body(f, d, 4, Edge.RIGHT),
        ["......", "......", "..Ymmm", "..... "],
    ),
    "a short row": (
        lambda f, d: short_rows(f, d, Edge.RIGHT, (2,)),
        [".....", ".....", ".....", "...||", "...u|", "....."],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_a_chart_shows_the_shaping_that_was_executed(name: str) -> None:
    shape, picture = CASES[name]
    shown = drawn("flat", shape)
    width = max(len(line) for line in picture)
    assert rows(shown) == [line.ljust(width) for line in picture]
    assert shown.rows[0] == 3
    assert {cell for cell, _ in shown.key} == {c for line in shown.cells for c in line}


def test_purl_has_its_own_sign() -> None:
    shown = drawn("purl", lambda f, d: decrease_edge(f, d, Edge.RIGHT))
    assert rows(shown) == ["---- ", "---- ", "---\\ ", "-----"]


def test_the_back_face_has_a_chart_of_its_own() -> None:
    field = Field(board(7), shipped("double-board stockinette"), 1, 5)
    made = shaped(field, lambda f, d: increase_edge(f, d, Edge.RIGHT))
    run = execute(whole(field, made))
    front, back = (chart(run, "strip", 3, 5, back=b) for b in (False, True))
    assert front.cells == back.cells
    assert (front.pegs[0], back.pegs[0]) == ("F1", "B1")


def test_the_chart_is_drawn_with_every_sign_and_a_key_in_words() -> None:
    every = tuple(SIGNS.values())
    shown = ChartDrawing((every,), (1,), tuple(f"F{i}" for i in range(1, 10)),
                         tuple((cell, f"words of {cell}") for cell in every))  # fmt: skip
    pattern = made("tern-point-kerchief")
    figure = next(f for f in pattern.figures() if f.key == "chart-increase")
    svg = figure_svg(replace(figure, drawing=shown)).decode()
    for cell in every:
        assert f"words of {cell}" in svg
    assert draw_chart(shown).width == 360.0


# --- patterns ------------------------------------------------------------------------------------


def made(name: str, wrap: str | None = None, **options: OptionValue) -> Pattern:
    design = read_any(name)
    if wrap is not None:
        design = replace(design, wrap=shipped(wrap))
    result, pattern = make(replace(design, options={**design.options, **options}))
    assert result.proved
    assert pattern is not None
    return pattern


def words(pattern: Pattern) -> str:
    return "\n".join(t for s in pattern.steps() for t in (s.title, *s.text, s.tally))


def facts(pattern: Pattern, section: str) -> dict[str, str]:
    found = next(s for s in pattern.sections if s.key == section)
    return {k: v for b in found.blocks if isinstance(b, Facts) for k, v in b.rows}


def test_the_kerchief_is_printed_with_its_charts_and_its_short_forms() -> None:
    pattern = made("tern-point-kerchief")
    keys = [f.key for f in pattern.figures()]
    assert {"chart-increase", "chart-decrease"} <= set(keys)
    assert {s.figure for s in pattern.steps() if s.figure} <= set(keys)
    told = facts(pattern, "words")
    assert {"inc", "dec", "rem", "st(s)", "k"} <= set(told)
    assert not {"p", "k2tog", "rep", "beg"} & set(told)
    increases = next(f for f in pattern.figures() if f.key == "chart-increase")
    assert "row 3: increase at F5" in increases.alt
    assert "every 1 and 2 rows by turns" in words(pattern)


def test_a_pattern_without_short_forms_explains_none() -> None:
    told = set(facts(made("tern-point-scarf"), "words"))
    assert not told & {row[0] for row in COUNCIL}


@pytest.mark.parametrize(
    ("text", "short"),
    [
        ("Work until 3 sts remain", ["st(s)"]),
        ("One st is left", ["st(s)"]),
        ("stitch, increase, incline, decks", []),
        ("inc, then k2tog", ["inc", "k2tog"]),
    ],
)
def test_short_forms_count_only_as_words_of_their_own(text: str, short: list[str]) -> None:
    assert [row[0] for row in used([text])] == short


def test_the_blankets_table_and_steps_tell_the_same_order() -> None:
    pattern = made("tern-point-panel-blanket")
    table = next(
        b for b in pattern.blocks() if isinstance(b, TableBlock) and "joins which" in b.caption
    )
    assert [row[0] for row in table.rows] == ["1", "2", "3", "4", "5"]
    titles = {str(s.number): s.title for s in pattern.steps()}
    for row in table.rows:
        assert titles[row[4]].startswith(f"Seam {row[0]}:")
        panels = re.findall(r"panels? ([\d and,]*\d)", f"{row[1]} {row[2]}")
        assert all(p in titles[row[4]] for p in panels)
    assert table.rows[3] == (
        "4", "panels 1 and 2, right edge", "panels 3 and 4, left edge", "228 chains",
        table.rows[3][4],
    )  # fmt: skip
    figure = next(f for f in pattern.figures() if f.key == "make-up")
    assert "Seams 1 to 3 join panels end to end. Seams 4 to 5 join the columns" in figure.alt


@pytest.mark.parametrize("fold", ["single", "turned", "sewn"])
@pytest.mark.parametrize("wrap", ["e-wrap", "u-wrap", "flat", "purl"])
def test_a_cap_is_printed_in_every_wrap_and_fold(wrap: str, fold: str) -> None:
    pattern = made("tern-point-cap", wrap, fold=fold)
    text = words(pattern)
    assert pattern.subtitle.startswith("knitted on a ring of pegs")
    assert ("Sew the brim" in text) == (fold == "sewn")
    assert ("Turn the brim up" in text) == (fold == "turned")
    assert "P" in facts(pattern, "words")
    assert ("anchor cord" in facts(pattern, "words")) == (wrap != "e-wrap")


@pytest.mark.parametrize("worked", ["sideways", "bottom-up"])
def test_a_flat_hat_is_printed(worked: str) -> None:
    design = read_any("tern-point-headband")
    sizes = tuple(
        replace(s, measures={"head": 420.0 if worked == "bottom-up" else 570.0})
        for s in design.sizes[:1]
    )
    hat = replace(design, garment="gathered-hat", options={"worked": worked}, sizes=sizes)
    result, pattern = make(hat)
    assert pattern is not None, result.findings
    assert ("Join the ends" in words(pattern)) == (worked == "sideways")
    assert ("Sew the side" in words(pattern)) == (worked == "bottom-up")
    keys = {f.key for f in pattern.figures()}
    assert {s.figure for s in pattern.steps() if s.figure} <= keys


def test_sizes_with_other_rates_have_a_chart_each() -> None:
    design = read_any("tern-point-kerchief")
    one, other = design.sizes
    wide = replace(other, measures={"edge": 720.0, "depth": 110.0})
    _, pattern = make(replace(design, sizes=(one, wide)))
    assert pattern is not None
    keys = {f.key for f in pattern.figures()}
    assert {"chart-increase-1", "chart-increase-2"} <= keys
    assert {s.figure for s in pattern.steps() if s.figure} <= keys
