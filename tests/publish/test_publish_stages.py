"""The stages of making up: every kind of edge told apart without colour, and nothing in the way."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import pytest

from pegwright.garments.make_up import Arrow, Edge, EdgeRole, Inner, MakeUp, Stage, rectangle
from pegwright.pattern.model import Figure, StagesDrawing
from pegwright.publish.drawing import (
    Anchor,
    Drawing,
    Fill,
    Group,
    LineKind,
    Mark,
    Path,
    SvgStyle,
    Text,
    svg,
    text_width,
)
from pegwright.publish.figure_marks import LABEL, SHEET
from pegwright.publish.figure_stages import draw_stages
from pegwright.publish.figures import draw, figure_svg
from tests.garments.more_cases import NEW, plan

SVG = "{http://www.w3.org/2000/svg}"
GREY = SvgStyle(yarn_first="#1c2530", yarn_second="#1c2530", quiet="#1c2530")


def stage(role: EdgeRole, label: str = "") -> Stage:
    """A square with one edge of that kind at its top."""
    return Stage((rectangle(200.0, 200.0, top=Edge(role, label)),), "A square", "A square.")


def drawn(*stages: Stage) -> Drawing:
    return draw_stages(StagesDrawing(stages))


def placed(marks: tuple[Mark, ...], dx: float = 0.0, dy: float = 0.0) -> Iterator[Text]:
    """Every text where it stands on the sheet."""
    for mark in marks:
        if isinstance(mark, Group):
            yield from placed(mark.marks, dx + mark.dx, dy + mark.dy)
        elif isinstance(mark, Text):
            yield replace(mark, x=mark.x + dx, y=mark.y + dy)


def box(text: Text) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a text."""
    width, tall = text_width(text.words, text.size) * 0.92, text.size * 0.72
    left = {Anchor.START: 0.0, Anchor.MIDDLE: -width / 2, Anchor.END: -width}[text.anchor]
    if text.turn_deg:
        return text.x - tall, text.y + left, text.x, text.y + left + width
    return text.x + left, text.y - tall, text.x + left + width, text.y


def make_ups() -> list[tuple[str, MakeUp]]:
    """The stages of every garment, in every way that it closes."""
    found = []
    for name in NEW:
        made = plan(name).make_up
        if made is not None:
            found.append((name, made))
    for name, option, value in (
        ("cowl", "join", "side"),
        ("pouch", "closing", "drawn"),
        ("pouch", "closing", "open"),
        ("folded-strip-hood", "closing", "channel"),
    ):
        other = plan(name, **{option: value}).make_up
        assert other is not None
        found.append((f"{name} {value}", other))
    return found


MAKE_UPS = make_ups()


@pytest.fixture(params=MAKE_UPS, ids=lambda m: m[0])
def shown(request: pytest.FixtureRequest) -> Drawing:
    _, made = request.param
    assert isinstance(made, MakeUp)
    return draw_stages(StagesDrawing(made.stages))


def test_no_two_words_stand_on_each_other(shown: Drawing) -> None:
    boxes = [(t.words, box(t)) for t in placed(shown.marks)]
    for (one, a), (other, b) in combinations(boxes, 2):
        across = min(a[2], b[2]) - max(a[0], b[0])
        down = min(a[3], b[3]) - max(a[1], b[1])
        assert across <= 0.5 or down <= 0.5, (one, other)


def test_every_word_is_on_the_sheet(shown: Drawing) -> None:
    assert shown.width == SHEET
    for text in placed(shown.marks):
        left, top, right, bottom = box(text)
        assert left >= 0, text.words
        assert right <= SHEET, text.words
        assert top >= 0, text.words
        assert bottom <= shown.height, text.words
        assert text.size >= LABEL * 0.8


@pytest.mark.parametrize(("one", "other"), list(combinations(EdgeRole, 2)))
def test_kinds_of_edge_differ_in_black_and_white(one: EdgeRole, other: EdgeRole) -> None:
    """The key would tell them apart by words, so it is left out: only the square is compared."""

    def square(role: EdgeRole) -> str:
        group = next(m for m in drawn(stage(role)).marks if isinstance(m, Group))
        return svg(
            Drawing(SHEET, 300.0, (replace(group, dy=0.0),)),
            key="k",
            title="t",
            desc="d",
            style=GREY,
        ).decode()

    assert square(one) != square(other)


@pytest.mark.parametrize("role", [r for r in EdgeRole if r is not EdgeRole.PLAIN])
def test_the_key_names_what_is_drawn_and_nothing_else(role: EdgeRole) -> None:
    words = {
        EdgeRole.SEAM: "sewn",
        EdgeRole.FOLD: "fold",
        EdgeRole.GATHER: "gathered",
        EdgeRole.OPENING: "open",
        EdgeRole.LIVE: "open loops",
    }
    said = [t.words for t in placed(drawn(stage(role)).marks)]
    assert words[role] in said
    assert not (set(words.values()) - {words[role]}) & set(said)


def test_stages_are_numbered_in_order_under_their_captions() -> None:
    stages = tuple(
        replace(stage(EdgeRole.PLAIN), caption=f"Stage called {n}") for n in ("a", "b", "c")
    )
    texts = list(placed(drawn(*stages).marks))
    for number, name in enumerate(("a", "b", "c"), start=1):
        badge = next(t for t in texts if t.words == str(number))
        caption = next(t for t in texts if t.words == f"Stage called {name}")
        assert abs(badge.y - caption.y) < LABEL
        assert 0 < caption.x - badge.x < 30


def test_all_stages_have_one_scale() -> None:
    """A piece of half the size is drawn at half the size."""
    big, small = (rectangle(n, n, top=Edge(EdgeRole.FOLD)) for n in (200.0, 100.0))
    shown = drawn(*(Stage((o,), "c", "w") for o in (big, small)))
    widths = []
    for group in (m for m in shown.marks if isinstance(m, Group)):
        xs = [
            values[0]
            for mark in group.marks
            if isinstance(mark, Path) and mark.fill is Fill.SOFT
            for letter, values in mark.steps
            if letter in "ML"
        ]
        widths.append(max(xs) - min(xs))
    assert widths[0] == pytest.approx(2 * widths[1])


def test_a_fold_to_come_is_drawn_across_and_an_arrow_shows_the_way() -> None:
    flat = rectangle(
        100.0, 300.0, inner=(Inner((0.0, 150.0), (100.0, 150.0), Edge(EdgeRole.FOLD, "fold")),)
    )
    arrow = Arrow((50.0, 280.0), (50.0, 20.0))
    bare = drawn(Stage((flat,), "c", "w"))
    arrowed = drawn(Stage((flat,), "c", "w", (arrow,)))
    assert any(t.words == "fold" and not t.turn_deg for t in placed(bare.marks))
    assert LineKind.FOLD.dashes in svg(bare, key="k", title="t", desc="d").decode()
    assert len(svg(arrowed, key="k", title="t", desc="d")) > len(
        svg(bare, key="k", title="t", desc="d")
    )


@pytest.mark.parametrize("role", EdgeRole)
def test_names_of_edges_are_written_beside_them(role: EdgeRole) -> None:
    said = [t.words for t in placed(drawn(stage(role, "the mouth")).marks)]
    assert "the mouth" in said


def test_a_figure_of_stages_is_a_named_image() -> None:
    name, made = MAKE_UPS[0]
    figure = Figure("make-up", made.title, f"Stages of the {name}.", StagesDrawing(made.stages))
    root = ET.fromstring(figure_svg(figure))
    assert root.findtext(f"{SVG}title") == made.title
    assert root.findtext(f"{SVG}desc") == f"Stages of the {name}."
    assert figure_svg(figure) == figure_svg(figure)
    assert draw(figure).width == SHEET


@pytest.mark.parametrize(("width", "height"), [(2_000.0, 20.0), (20.0, 2_000.0), (1.0, 1.0)])
def test_any_shape_can_be_drawn(width: float, height: float) -> None:
    shape = rectangle(
        width,
        height,
        top=Edge(EdgeRole.GATHER, "a"),
        right=Edge(EdgeRole.SEAM, "b"),
        bottom=Edge(EdgeRole.LIVE, "c"),
        left=Edge(EdgeRole.OPENING, "d"),
        ends=((0.0, height),),
    )
    made = svg(drawn(Stage((shape,), "c", "w")), key="k", title="t", desc="d")
    assert ET.fromstring(made).tag == f"{SVG}svg"
