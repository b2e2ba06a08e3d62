"""Where to measure: every measure that a body gives has its tape, its letter and its words."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Mapping
from dataclasses import replace
from io import BytesIO
from itertools import combinations
from typing import Any

import pytest
from pypdf import PdfReader

from pegwright.designs.files import read_any
from pegwright.errors import BadInput
from pegwright.garments.registry import garment, garments
from pegwright.making import make
from pegwright.pattern.model import Figure, MeasuredOn, MeasuringDrawing, Pattern
from pegwright.publish.drawing import Circle, Drawing, Fill, LineKind, Path, Text, text_width
from pegwright.publish.figure_marks import SHEET
from pegwright.publish.figure_measuring import draw_measuring
from pegwright.publish.figures import figure_svg
from pegwright.publish.pdf import pattern_pdf

SVG = "{http://www.w3.org/2000/svg}"
BADGE = 11.0
ON_A_BODY = {
    "folded-strip-hood": ("tern-point-channel-hood", MeasuredOn.HEAD),
    "gathered-hat": ("tern-point-cap", MeasuredOn.HEAD),
    "headband": ("tern-point-headband", MeasuredOn.BAND),
    "cowl": ("tern-point-cowl", MeasuredOn.COLLAR),
    "mitt": ("tern-point-mitts", MeasuredOn.HAND),
    "slipper": ("tern-point-boathouse-slippers", MeasuredOn.FOOT),
}
FLAT = ("tern-point-ribbed-scarf", "tern-point-pouch", "tern-point-boat-blanket")
MORE = {  # what a grown person measures where the shipped designs leave it to be worked out, mm
    "folded-strip-hood": {"height": 300.0, "depth": 220.0, "neck": 380.0},
    "gathered-hat": {"crown": 200.0},
    "headband": {"height": 90.0},
    "cowl": {"head": 570.0},
    "mitt": {"thumb": 50.0, "wrist": 70.0},
    "slipper": {"front": 110.0},
}


def pattern_of(name: str, more: Mapping[str, float] | None = None, language: str = "en") -> Pattern:
    design = replace(read_any(name), language=language)
    sizes = tuple(replace(s, measures={**s.measures, **(more or {})}) for s in design.sizes[:1])
    _, pattern = make(replace(design, sizes=sizes))
    assert pattern is not None
    return pattern


@pytest.fixture(scope="module", params=ON_A_BODY)
def made(request: pytest.FixtureRequest) -> tuple[str, Pattern]:
    """A garment, and its pattern for someone of whom every measure was taken."""
    name = str(request.param)
    return name, pattern_of(ON_A_BODY[name][0], MORE[name])


def measuring(pattern: Pattern) -> tuple[Figure, MeasuringDrawing]:
    (figure,) = (f for f in pattern.figures() if isinstance(f.drawing, MeasuringDrawing))
    assert isinstance(figure.drawing, MeasuringDrawing)
    return figure, figure.drawing


def everything(body: MeasuredOn, labels: tuple[str, ...] = ()) -> MeasuringDrawing:
    """A body with every measure of every garment that goes there."""
    names = dict.fromkeys(
        m.name for kind, (_, on) in ON_A_BODY.items() if on is body for m in garment(kind).measures
    )
    return MeasuringDrawing(body, tuple(names), labels or tuple(names))


# --- in the pattern ------------------------------------------------------------------------------


def test_every_garment_is_either_measured_on_a_body_or_lies_flat() -> None:
    lying = {"ribbed-scarf", "plain-strip", "pouch", "panel-blanket", "triangle-scarf"}
    assert set(garments()) == set(ON_A_BODY) | lying


def test_each_measure_is_marked_and_told(made: tuple[str, Pattern]) -> None:
    name, pattern = made
    figure, drawing = measuring(pattern)
    assert (figure.key, figure.caption) == ("measuring", "Where to measure")
    assert drawing.body is ON_A_BODY[name][1]
    assert drawing.marks == tuple(m.name for m in garment(name).measures)
    for letter, measure in zip("ABCDE", garment(name).measures, strict=False):
        assert f"{letter}, {measure.name}: {measure.words}" in figure.alt
    assert figure.alt.endswith(".")


def test_it_stands_beside_the_words(made: tuple[str, Pattern]) -> None:
    sizes = next(s for s in made[1].sections if s.key == "sizes")
    at = sizes.blocks.index(measuring(made[1])[0])
    before = sizes.blocks[at - 1]
    assert getattr(before, "text", "").startswith("Where to measure. ")


def test_only_what_every_size_gives_is_marked() -> None:
    pattern = pattern_of("tern-point-mitts", {"thumb": 50.0})
    assert measuring(pattern)[1].marks == ("hand", "length", "thumb")


@pytest.mark.parametrize("name", FLAT)
def test_what_lies_flat_has_no_body(name: str) -> None:
    _, pattern = make(read_any(name))
    assert pattern is not None
    assert not [f for f in pattern.figures() if f.key == "measuring"]


@pytest.mark.parametrize("language", ["de", "es"])
@pytest.mark.parametrize("name", ON_A_BODY)
def test_it_is_said_in_other_tongues(name: str, language: str) -> None:
    pattern = pattern_of(ON_A_BODY[name][0], MORE[name], language)
    figure, drawing = measuring(pattern)
    root = ET.fromstring(figure_svg(figure, tongue=pattern.tongue))
    assert figure.caption == {"de": "Wo gemessen wird", "es": "Dónde medir"}[language]
    said = {text.text for text in root.iter(f"{SVG}text")}
    assert set(drawing.labels) <= said
    assert not set(drawing.marks) & said
    for measure in garment(name).measures:
        assert str(measure.words) not in figure.alt


def test_it_prints_with_its_words() -> None:
    pattern = pattern_of("tern-point-mitts")
    root: Any = PdfReader(BytesIO(pattern_pdf(pattern))).root_object
    # ISO 14289-1, 5 and 7.3: the document says which part it keeps to; figures have words.
    assert b"pdfuaid" in root["/Metadata"].get_data()
    alts = [" ".join(str(alt).split()) for alt in alternatives(root["/StructTreeRoot"])]
    assert measuring(pattern)[0].alt in alts


def alternatives(node: Any) -> Iterator[object]:
    """Every alternative text of a PDF's structure."""
    node = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(node, list):
        for part in node:
            yield from alternatives(part)
    elif isinstance(node, dict):
        if "/Alt" in node:
            yield node["/Alt"]
        if "/K" in node:
            yield from alternatives(node["/K"])


# --- as it is drawn ------------------------------------------------------------------------------


@pytest.fixture(params=list(MeasuredOn), ids=lambda b: b.name)
def drawn(request: pytest.FixtureRequest) -> tuple[MeasuringDrawing, Drawing]:
    shown = everything(request.param)
    return shown, draw_measuring(shown)


def badges(drawing: Drawing) -> list[Circle]:
    return [m for m in drawing.marks if isinstance(m, Circle) and m.radius == BADGE]


def test_each_letter_stands_on_the_body_and_in_the_key(
    drawn: tuple[MeasuringDrawing, Drawing],
) -> None:
    shown, drawing = drawn
    words = [m.words for m in drawing.marks if isinstance(m, Text)]
    assert len(badges(drawing)) == 2 * len(shown.marks)
    for letter, label in zip("ABCDE", shown.labels, strict=False):
        assert words.count(letter) == 2
        assert words[words.index(label) - 1] == letter


def test_tapes_are_told_from_the_body_without_colour(
    drawn: tuple[MeasuringDrawing, Drawing],
) -> None:
    shown, drawing = drawn
    paths = [m for m in drawing.marks if isinstance(m, Path)]
    tapes = [p for p in paths if p.kind is LineKind.YARN_SECOND]
    assert len(tapes) == len(shown.marks)
    assert LineKind.YARN_SECOND.dashes
    assert not any(p.kind.dashes for p in paths if p.kind and p.fill is not Fill.NONE)


def test_letters_and_ends_keep_clear_of_each_other(
    drawn: tuple[MeasuringDrawing, Drawing],
) -> None:
    dots = [m for m in drawn[1].marks if isinstance(m, Circle) and m.fill is Fill.YARN_SECOND]
    for one, other in combinations(badges(drawn[1]), 2):
        assert math.dist((one.cx, one.cy), (other.cx, other.cy)) > 2 * BADGE + 2
    for letter in badges(drawn[1]):
        for dot in dots:
            assert math.dist((letter.cx, letter.cy), (dot.cx, dot.cy)) > BADGE + dot.radius + 1


def test_all_of_it_is_on_the_sheet(drawn: tuple[MeasuringDrawing, Drawing]) -> None:
    drawing = drawn[1]
    assert drawing.width == SHEET
    for mark in drawing.marks:
        if isinstance(mark, Circle):
            assert mark.radius <= mark.cx <= SHEET - mark.radius
            assert mark.radius <= mark.cy <= drawing.height - mark.radius
        if isinstance(mark, Path):
            for letter, numbers in mark.steps:
                if letter != "Z":
                    assert 4 <= numbers[-2] <= SHEET - 4
                    assert 4 <= numbers[-1] <= drawing.height - 4


@pytest.mark.parametrize("body", list(MeasuredOn))
@pytest.mark.parametrize(
    "label", ["head", "circunferencia", "vom unteren zum oberen Rand gemessen"]
)
def test_labels_keep_clear_of_the_next_letter(body: MeasuredOn, label: str) -> None:
    shown = everything(body)
    drawing = draw_measuring(replace(shown, labels=(label,) * len(shown.marks)))
    for text in (m for m in drawing.marks if isinstance(m, Text) and m.words == label):
        right = text.x + text_width(label, text.size)
        assert right <= SHEET
        for ring in badges(drawing):
            if abs(ring.cy - text.y) < 20:
                assert ring.cx + BADGE < text.x or ring.cx - BADGE > right


def test_a_measure_without_a_place_is_refused() -> None:
    with pytest.raises(BadInput, match="no tape runs there") as refused:
        draw_measuring(MeasuringDrawing(MeasuredOn.FOOT, ("crown",), ("crown",)))
    assert "front" in str(refused.value.hint)
