from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from pegwright.publish.drawing import (
    ON_PAPER,
    Arc,
    Circle,
    Drawing,
    Fill,
    Group,
    Line,
    LineKind,
    Mark,
    Path,
    Rect,
    Text,
    number,
    svg,
)

SVG = "{http://www.w3.org/2000/svg}"


def root_of(*marks: Mark, title: str = "t", desc: str = "d") -> ET.Element:
    return ET.fromstring(svg(Drawing(10, 20, marks), key="k", title=title, desc=desc))


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (1.0, "1"),  # no idle zeros
        (-0.0, "0"),  # no minus before nothing
        (-0.004, "0"),  # rounding to nothing leaves no minus either
        (1.005, "1"),  # the float lies just below 1.005
        (0.125, "0.12"),  # two decimals at most
        (100.0, "100"),  # zeros before the point stay
        (-2.5, "-2.5"),
    ],
)
def test_one_number_formatter(value: float, written: str) -> None:
    assert number(value) == written


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_numbers_that_are_none_are_refused(value: float) -> None:
    with pytest.raises(ValueError, match="cannot hold"):
        number(value)


def test_it_is_an_image_with_a_name_and_a_description() -> None:
    root = root_of(title="A board", desc="Two rows")
    assert root.get("role") == "img"
    named = (root.get("aria-labelledby") or "").split()
    words = [e.text for key in named for e in root.iter() if e.get("id") == key]
    assert words == ["A board", "Two rows"]


def test_every_line_kind_differs_from_every_other_without_its_colour() -> None:
    looks = {(kind.width, kind.dashes) for kind in LineKind}
    assert len(looks) == len(LineKind)
    assert LineKind.YARN_FIRST.dashes == ""
    assert LineKind.YARN_SECOND.dashes


def test_an_arc_starts_and_ends_on_its_circle() -> None:
    # A quarter from the x axis, clockwise as seen: y runs downwards.
    path = root_of(Arc(5, 5, 2, 0, 90)).find(f"{SVG}path")
    assert path is not None
    assert path.get("d") == "M7 5 A2 2 0 0 1 5 7"


def test_every_mark_is_written() -> None:
    root = root_of(
        Line(0, 0, 1, 1),
        Circle(1, 1, 1, fill=Fill.INK),
        Rect(0, 0, 1, 1, round=2),
        Path().move(0, 0).curve(1, 1, 2, 2, 3, 3).close(),
        Group((Text(1, 2, "words", turn_deg=-90),), 3, 4),
    )
    tags = [e.tag.removeprefix(SVG) for e in root]
    assert tags == ["title", "desc", "line", "circle", "rect", "path", "g"]
    circle = root.find(f"{SVG}circle")
    assert circle is not None
    assert circle.get("fill") == ON_PAPER.ink
    turned = root.find(f"{SVG}g/{SVG}text")
    assert turned is not None
    assert turned.get("transform") == "rotate(-90 1 2)"


def test_words_are_data() -> None:
    hostile = "<script>alert('&')</script>\x00\x0b\ud800"
    root = root_of(Text(0, 0, hostile), title=hostile, desc=hostile)
    assert root.findall(".//script") == []
    assert root.findtext(f"{SVG}text") == "<script>alert('&')</script>"


def test_a_path_grows_by_new_values() -> None:
    start = Path().move(0, 0)
    longer = start.line(1, 1)
    assert len(start.steps) == 1
    assert len(longer.steps) == 2
