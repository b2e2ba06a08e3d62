"""Cards: words large enough, all within the edges, told apart without colour, the same bytes."""

from __future__ import annotations

import struct
import xml.etree.ElementTree as ET
from functools import lru_cache
from importlib.resources import files

import numpy as np
import pytest
from fontTools.ttLib import TTFont

from pegwright.lesson.bounds import bands, bounds
from pegwright.lesson.card import Card, Drawn, Entry, Kind, Said, Shown, cards_of
from pegwright.lesson.card_layout import SMALLEST, Shape, pages
from pegwright.lesson.raster import svg_dots, svg_png
from pegwright.lesson.template import USUAL, Colours, Template, Words
from pegwright.publish.drawing import Circle, Drawing, Fill, Line, LineKind, Path, Rect, Text
from tests.lesson.conftest import Proved

STYLE = USUAL.colours.style()
SVG = "{http://www.w3.org/2000/svg}"


@lru_cache(maxsize=2)
def font(name: str) -> tuple[dict[int, str], dict[str, tuple[int, int]], int]:
    """Letters, their widths, and units to an em, as fontTools reads the bundled font."""
    path = files("pegwright.publish").joinpath("fonts", f"AtkinsonHyperlegible-{name}.ttf")
    with path.open("rb") as file:
        read = TTFont(file)
        return read.getBestCmap(), dict(read["hmtx"].metrics), read["head"].unitsPerEm


def set_width(words: str, size: float, bold: bool) -> float:
    """How wide the words stand in the font itself."""
    cmap, widths, em = font("Bold" if bold else "Regular")
    return sum(widths[cmap.get(ord(c), ".notdef")][0] for c in words) * size / em


def texts(root: ET.Element, dx: float = 0.0, dy: float = 0.0) -> list[tuple[ET.Element, float]]:
    """The card's own texts (those of figures apart), with how far they were moved right."""
    found = []
    for child in root:
        if child.tag == f"{SVG}svg":
            continue
        moved = child.get("transform", "")
        x = dx
        if child.tag == f"{SVG}g" and moved.startswith("translate("):
            x += float(moved[10:-1].split()[0])
        if child.tag == f"{SVG}text":
            found.append((child, x))
        found += texts(child, x, dy)
    return found


@pytest.fixture(params=list(Shape), ids=lambda s: s.label)
def shape(request: pytest.FixtureRequest) -> Shape:
    made = request.param
    assert isinstance(made, Shape)
    return made


def test_there_is_a_card_for_every_part_of_the_lesson(hood: Proved) -> None:
    keys = [card.key for card in cards_of(hood.source, hood.pattern, USUAL)]
    wanted = ("title", "materials", "yarn", "board", "wrap-test", "wrap", "knit-over", "end")
    assert set(wanted) <= set(keys)
    assert [k for k in keys if k.startswith("fold-and-seam")] == [
        "fold-and-seam-1",
        "fold-and-seam-2",
    ]
    assert sum(k.startswith("cautions") for k in keys) == 3
    assert (keys[0], keys[-1]) == ("title", "end")


def test_every_figure_of_the_pattern_is_on_a_card(any_design: Proved) -> None:
    cards = cards_of(any_design.source, any_design.pattern, USUAL)
    shown = {p.figure.key for card in cards for p in card.parts if isinstance(p, Drawn)}
    assert shown == {figure.key for figure in any_design.pattern.figures()}


def test_words_are_large_and_within_the_edges(any_design: Proved, shape: Shape) -> None:
    for card in cards_of(any_design.source, any_design.pattern, USUAL):
        for page in pages(card, shape, STYLE):
            root = ET.fromstring(page.svg)
            for text, dx in texts(root):
                size = float(text.get("font-size", "0"))
                assert size >= SMALLEST, (page.key, text.text)
                width = set_width(text.text or "", size, text.get("font-weight") == "700")
                part = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.get("text-anchor", "start")]
                left = dx + float(text.get("x", "0")) - width * part
                assert left >= shape.margin - 1, (page.key, text.text)
                assert left + width <= shape.width - shape.margin + 8, (page.key, text.text)


def test_a_card_is_as_large_as_its_screen(hood: Proved, shape: Shape) -> None:
    card = cards_of(hood.source, hood.pattern, USUAL)[0]
    (page,) = pages(card, shape, STYLE)
    png = svg_png(page.svg, shape.width)
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    assert struct.unpack(">II", png[16:24]) == (shape.width, shape.height)  # W3C PNG, IHDR


def test_nothing_is_painted_at_the_edges(any_design: Proved, shape: Shape) -> None:
    """Words and figures keep clear of where phones lay their own marks."""
    for card in cards_of(any_design.source, any_design.pattern, USUAL)[:8]:
        for page in pages(card, shape, STYLE):
            dots = svg_dots(page.svg, shape.width // 4, "#ffffff")
            inked = np.asarray((dots < 200).any(axis=2))
            edge = int(shape.margin / 4) - 6
            assert not inked[:, :edge].any(), page.key
            assert not inked[:, -edge:].any(), page.key
            assert not inked[: int(shape.top / 4) - 6].any(), page.key
            assert not inked[int(shape.bottom / 4) + 8 :].any(), page.key


def test_a_card_says_its_words_to_people_who_cannot_see_it(hood: Proved) -> None:
    for card in cards_of(hood.source, hood.pattern, USUAL):
        for page in pages(card, Shape.WIDE, STYLE):
            root = ET.fromstring(page.svg)
            assert root.get("role") == "img"
            said = root.findtext(f"{SVG}desc") or ""
            assert len(said) > 10, page.key
            for part in card.parts:
                if isinstance(part, Said):
                    assert part.words.split()[0] in said


def test_the_yarn_card_names_every_yarn_with_what_to_have(blanket: Proved) -> None:
    """Seven yarns in one size stand side by side in the pattern's tables."""
    cards = cards_of(blanket.source, blanket.pattern, USUAL)
    (yarn,) = (card for card in cards if card.key == "yarn")
    entries = [part for part in yarn.parts if isinstance(part, Entry)]
    needs = {need.yarn.name: need for need in blanket.size.needs}
    assert [entry.name for entry in entries] == list(needs)
    for entry in entries:
        need = needs[entry.name]
        assert entry.words.startswith(f"{round(need.metres.value)} m")
        assert entry.words.endswith(f"have {round(need.grams_to_have)} g")


def test_what_does_not_fit_goes_on_to_the_next_card() -> None:
    things = tuple(Entry(f"thing {i}", "as long as it may be " * 3) for i in range(20))
    sheets = pages(Card("list", "Many things", things), Shape.SQUARE, STYLE)
    assert len(sheets) > 2
    assert [sheet.key for sheet in sheets[:2]] == ["list-1", "list-2"]
    shown = [
        text.text
        for sheet in sheets
        for text, _ in texts(ET.fromstring(sheet.svg))
        if (text.text or "").startswith("thing")
    ]
    assert shown == [f"thing {i}" for i in range(20)]


def test_a_table_too_wide_for_the_screen_is_told_row_by_row() -> None:
    sizes = tuple(f"size {i}" for i in range(8))
    table = Shown(("", *sizes), (("weight", *(f"{100 + i} g" for i in range(8))),))
    (page,) = pages(Card("yarn", "Yarn", (table,)), Shape.TALL, STYLE)
    words = " ".join(text.text or "" for text, _ in texts(ET.fromstring(page.svg)))
    assert "size 7: 107\N{NO-BREAK SPACE}g" in words


def test_markup_in_words_is_data(shape: Shape) -> None:
    nasty = Card("x", "<b>&\"'", (Said("</svg><script>"), Entry("<i>", "&amp;")), Kind.CAUTION)
    for page in pages(nasty, shape, STYLE):
        root = ET.fromstring(page.svg)
        assert not list(root.iter(f"{SVG}script"))


def test_the_template_decides_words_and_colours(hood: Proved) -> None:
    words = Words(channel="The boathouse bench", materials="Kit list", end="Fair winds")
    colours = Colours(accent="#1b5e20")
    cards = {c.key: c for c in cards_of(hood.source, hood.pattern, Template(words, colours))}
    assert cards["materials"].heading == "Kit list"
    assert cards["end"].heading == "Fair winds"
    assert "The boathouse bench" in cards["title"].small
    (page,) = pages(cards["end"], Shape.WIDE, colours.style())
    assert b"#1b5e20" in page.svg
    assert USUAL.colours.accent.encode() not in page.svg


def test_the_passes_of_the_yarn_are_told_apart_without_colour(hood: Proved) -> None:
    card = next(c for c in cards_of(hood.source, hood.pattern, USUAL) if c.key == "wrap")
    (page,) = pages(card, Shape.WIDE, STYLE)
    lines = [e for e in ET.fromstring(page.svg).iter() if e.get("stroke") in ("#0b4f6c", "#a33b1f")]
    dashed = {e.get("stroke"): bool(e.get("stroke-dasharray")) for e in lines}
    assert dashed == {"#0b4f6c": False, "#a33b1f": True}


def test_the_same_input_gives_the_same_bytes(hood: Proved) -> None:
    def made() -> list[bytes]:
        cards = cards_of(hood.source, hood.pattern, USUAL)[:3]
        return [p.svg for c in cards for p in pages(c, Shape.SQUARE, STYLE)]

    first = made()
    assert first == made()
    assert svg_png(first[0], 1080) == svg_png(first[0], 1080)


# --- rooms and bands -----------------------------------------------------------------------------


def test_bounds_hold_what_is_painted() -> None:
    marks = (
        Circle(40, 40, 12, fill=Fill.INK),
        Line(60, 20, 90, 70, LineKind.OUTLINE, 6.0),
        Path(LineKind.YARN_FIRST).move(20, 80).curve(30, 60, 50, 95, 70, 82),
        Text(50, 30, "peg", 12.0, turn_deg=-90),
        Rect(10, 10, 8, 8, None, Fill.INK),
    )
    from pegwright.publish.drawing import svg

    made = svg(Drawing(100, 100, marks), key="x", title="x", desc="x")
    dots = svg_dots(made, 400, "#ffffff")
    rows, columns = np.nonzero((dots < 250).any(axis=2))
    box = bounds(marks)
    assert box is not None
    assert box.left <= columns.min() / 4 + 0.3
    assert box.right >= columns.max() / 4 - 0.3
    assert box.top <= rows.min() / 4 + 0.3
    assert box.bottom >= rows.max() / 4 - 0.3


def test_bands_cover_a_drawing_and_cut_nothing() -> None:
    marks = tuple(Rect(0, y, 100, 30, None, Fill.INK) for y in (10, 80, 150))
    cut = bands(Drawing(100, 200, marks), 40.0)
    assert cut[0][0] == 0.0
    assert cut[-1][1] == 200.0
    assert [round(bottom) for _, bottom in cut] == [60, 130, 200]
    for mark in marks:
        assert any(top <= mark.y and mark.y + mark.height <= bottom for top, bottom in cut)
