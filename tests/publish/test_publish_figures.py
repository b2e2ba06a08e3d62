from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from pegwright.errors import BadInput
from pegwright.loom.board import Arrangement, Loom
from pegwright.loom.taut import circles_for, taut_path
from pegwright.loom.visit import Turn, Visit
from pegwright.pattern.model import (
    Drawing,
    Figure,
    FoldDrawing,
    KnitOverDrawing,
    SetUpDrawing,
    WrapDrawing,
)
from pegwright.publish.board_view import MOST_COLUMNS, board_view, shown_columns
from pegwright.publish.drawing import LineKind, Path
from pegwright.publish.figure_board import draw_wrap
from pegwright.publish.figures import draw, figure_svg
from tests.publish.tern_point import BOARD, FOLD, HOOD, SMALL, WRAP, zigzag

SVG = "{http://www.w3.org/2000/svg}"
RING = Loom(Arrangement.RING, 24, 12.0, 0.0, 5.0)
SINGLE = Loom(Arrangement.SINGLE, 20, 12.0, 0.0, 5.0)
OFFSET = Loom(Arrangement.OFFSET, 9, 12.0, 20.0, 5.0)
LONGEST = Loom(Arrangement.OPPOSED, 2000, 5.0, 300.0, 3.0)
E_WRAP = (tuple(Visit(i, Turn.LEFT, True) for i in range(24)),)
FLAT = (tuple(Visit(i, Turn.LEFT if i % 2 else Turn.RIGHT) for i in range(20)),)

OTHERS: dict[str, Drawing] = {
    "two lifted over one": KnitOverDrawing(2, 1),
    "one lifted over two": KnitOverDrawing(1, 2),
    "closing drawn": FoldDrawing(203.0, 508.0, ("a", "b", "c", "d"), "drawn"),
    "a very wide strip": FoldDrawing(900.0, 200.0, ("a", "b", "c", "d"), "cord"),
    "ring": SetUpDrawing(RING, frozenset(range(24)), "12 mm", ""),
    "single": SetUpDrawing(SINGLE, frozenset(range(3, 9)), "12 mm", ""),
    "offset": SetUpDrawing(OFFSET, frozenset(range(6)), "12 mm", "20 mm"),
    "longest": SetUpDrawing(LONGEST, frozenset(range(900)), "5 mm", "300 mm"),
    "one peg": SetUpDrawing(Loom(Arrangement.SINGLE, 1, 9.0), frozenset({0}), "", ""),
    "e-wrap on a ring": WrapDrawing(RING, E_WRAP, ("e-wrap",), 2.0),
    "flat": WrapDrawing(SINGLE, FLAT, ("flat",), 2.0),
    "long wrap": WrapDrawing(BOARD, zigzag(BOARD), ("out", "back"), 2.4),
    "one visit": WrapDrawing(SMALL, ((Visit(0, Turn.LEFT),),), ("once",), 2.4),
    "nothing wrapped": WrapDrawing(SMALL, (), (), 2.4),
}

FIGURES = [*HOOD.figures(), *(Figure("other", name, name, d) for name, d in OTHERS.items())]


@pytest.fixture(params=FIGURES, ids=lambda f: f.caption)
def figure(request: pytest.FixtureRequest) -> Figure:
    shown = request.param
    assert isinstance(shown, Figure)
    return shown


def words_of(root: ET.Element) -> list[str]:
    return [e.text or "" for e in root.iter(f"{SVG}text")]


def test_each_is_a_well_formed_named_image(figure: Figure) -> None:
    root = ET.fromstring(figure_svg(figure))
    assert root.findtext(f"{SVG}title") == figure.caption
    assert root.findtext(f"{SVG}desc") == figure.alt
    assert root.get("role") == "img"


def test_each_fetches_nothing(figure: Figure) -> None:
    made = figure_svg(figure).decode()
    assert re.findall(r"https?://[^\"]+", made) == ["http://www.w3.org/2000/svg"]
    assert not re.search(r"href|url\(|<image|<script|<style|@import", made)


def test_the_same_figure_gives_the_same_bytes(figure: Figure) -> None:
    assert figure_svg(figure) == figure_svg(replace(figure))


def test_each_fits_its_sheet(figure: Figure) -> None:
    drawing = draw(figure)
    root = ET.fromstring(figure_svg(figure))
    for circle in root.iter(f"{SVG}circle"):
        x, y, r = (float(circle.get(k, "nan")) for k in ("cx", "cy", "r"))
        if figure.drawing.__class__ not in (SetUpDrawing, WrapDrawing):
            continue  # moved by groups
        assert -0.1 <= x - r <= x + r <= drawing.width + 0.1
        assert -0.1 <= y - r <= y + r <= drawing.height + 0.1
    assert drawing.width == 360
    for text in root.iter(f"{SVG}text"):
        assert float(text.get("font-size", "0")) >= 10  # nine pixels on the narrowest phone


@pytest.mark.parametrize(("caption", "alt"), [("", "words"), ("words", " "), ("words", "")])
def test_a_figure_without_words_is_refused(caption: str, alt: str) -> None:
    with pytest.raises(BadInput, match="cannot see it"):
        figure_svg(replace(WRAP, caption=caption, alt=alt))


@pytest.mark.parametrize(
    ("pegs", "turns", "runs"),
    [
        (10, (), ((1, 10),)),  # short boards are whole
        (MOST_COLUMNS, (5,), ((1, 12),)),
        (30, (), ((1, 8), (27, 30))),  # the first eight and the last four
        (30, (22,), ((1, 4), (21, 23), (28, 30))),  # and where use ends, if that would be hidden
        (30, (6,), ((1, 8), (27, 30))),  # it is not hidden here
        (30, (28,), ((1, 8), (27, 30))),
        (40, (10, 30), ((1, 4), (9, 11), (29, 31), (38, 40))),
    ],
)
def test_which_columns_are_shown(
    pegs: int, turns: tuple[int, ...], runs: tuple[tuple[int, int], ...]
) -> None:
    assert shown_columns(pegs, turns) == runs


def test_the_board_is_drawn_to_scale() -> None:
    view = board_view(SMALL, 50.0)
    (x1, y1), (x2, _), (_, y3) = (view.at(p) for p in (0, 1, SMALL.pegs))
    assert (y1 - y3) / (x2 - x1) == pytest.approx(SMALL.gap_mm / SMALL.pitch_mm)
    assert view.peg_radius * 2 / (x2 - x1) == pytest.approx(SMALL.peg_diameter_mm / SMALL.pitch_mm)


def test_a_gap_too_wide_to_draw_says_so() -> None:
    shown = Figure("wide", "wide", "wide", OTHERS["longest"])
    assert any("drawn shorter" in words for words in words_of(ET.fromstring(figure_svg(shown))))


def test_pegs_in_use_are_filled_and_the_others_open() -> None:
    shown = SetUpDrawing(SMALL, frozenset({0, 3, 12}), "3/8 in", "1 1/4 in")
    root = ET.fromstring(figure_svg(Figure("k", "c", "a", shown)))
    fills = [c.get("fill") for c in root.iter(f"{SVG}circle")][:20]
    assert [i for i, fill in enumerate(fills) if fill == fills[0]] == [0, 3, 12]
    assert {"3/8 in", "1 1/4 in", "peg in use", "peg left empty"} <= set(words_of(root))


def test_a_wrap_numbers_every_visit_in_order() -> None:
    words = words_of(ET.fromstring(figure_svg(WRAP)))
    assert {str(i) for i in range(1, 21)} <= set(words)
    assert {"F1 start", "B1 end"} <= set(words)


def test_the_yarn_keeps_to_the_taut_path() -> None:
    shown = WRAP.drawing
    assert isinstance(shown, WrapDrawing)
    passes = [m for m in draw_wrap(shown).marks if isinstance(m, Path) and m.halo]
    first, second = passes[2:]  # the two loose ends lie below
    assert (first.kind, second.kind) == (LineKind.YARN_FIRST, LineKind.YARN_SECOND)
    drawn = 0.0
    for path in (first, second):
        here = (0.0, 0.0)
        for letter, numbers in path.steps:
            there = (numbers[-2], numbers[-1])
            chord = math.dist(here, there)
            if letter == "L":
                drawn += chord
            elif letter == "A":
                drawn += 2 * numbers[0] * math.asin(min(1.0, chord / (2 * numbers[0])))
            here = there
    visits = [v for one in shown.passes for v in one]
    # The course ends beside its beginning: all of the closed path but the run straight across.
    taut = taut_path(circles_for(SMALL, visits, shown.yarn_diameter_mm), closed=True)
    true_mm = taut.length_mm - float(taut.tangent_mm[0])
    assert drawn / board_view(SMALL, 0.0).scale == pytest.approx(true_mm, rel=1e-6)


@pytest.mark.parametrize(
    ("lift", "over", "words"),
    [
        (1, 1, "Two loops on the peg Lift the lower loop over the upper one One loop is left"),
        (2, 1, "Three loops on the peg Lift the lower two loops over the upper one One"),
        (1, 2, "Three loops on the peg Lift the lower loop over the upper two Two loops are left"),
    ],
)
def test_knitting_over_counts_its_loops(lift: int, over: int, words: str) -> None:
    shown = Figure("k", "c", "a", KnitOverDrawing(lift, over))
    spoken = " ".join(words_of(ET.fromstring(figure_svg(shown))))
    for word in words.split():
        assert word in spoken.split()


def test_the_two_closings_of_a_hood_are_told_apart() -> None:
    assert isinstance(FOLD.drawing, FoldDrawing)
    drawn = replace(FOLD, drawing=replace(FOLD.drawing, closing="drawn"))
    with_cord = words_of(ET.fromstring(figure_svg(FOLD)))
    without = words_of(ET.fromstring(figure_svg(drawn)))
    assert ("cord" in with_cord, "fastened" in with_cord) == (True, False)
    assert ("cord" in without, "fastened" in without) == (False, True)


def test_a_schematic_keeps_proportions_and_names_its_edges() -> None:
    shown = next(f for f in HOOD.figures() if f.key == "pieces")
    root = ET.fromstring(figure_svg(shown))
    hood = next(iter(root.iter(f"{SVG}rect")))
    ratio = float(hood.get("height", "0")) / float(hood.get("width", "1"))
    assert ratio == pytest.approx(508 / 203, rel=1e-3)
    assert {"hood", "cord", "cast-on edge", "bound-off edge", "side edges", "fold"} <= set(
        words_of(root)
    )
