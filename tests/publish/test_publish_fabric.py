"""Coloured fabric in the published files: drawn, painted, and small in print."""

from __future__ import annotations

import base64
import io
import re

import pytest
from pypdf import PdfReader

from pegwright import making
from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.errors import BadInput
from pegwright.pattern.model import FabricDrawing, Figure, Pattern
from pegwright.publish.drawing import ON_PAGE
from pegwright.publish.fabric_grain import DRAWN, ON_SCREEN, PRINTED
from pegwright.publish.figures import draw, figure_svg, picture
from pegwright.publish.page import pattern_page
from pegwright.publish.pdf import pattern_pdf

_PRINTED_AT_MOST = 800_000


@pytest.fixture(scope="module")
def pattern() -> Pattern:
    """The hood in a yarn that changes colour within every row."""
    colours = 'colours = "rust 3 m, cream 2 m, slate 45 cm"'
    text = shipped_text("tern-point-hood").replace("invented = true", colours)
    made, found = making.make(read_text(text))
    assert made.proved
    assert found is not None
    return found


@pytest.fixture(scope="module")
def fabric(pattern: Pattern) -> list[Figure]:
    return [f for f in pattern.figures() if isinstance(f.drawing, FabricDrawing)]


def test_a_file_is_drawn_and_print_is_painted(fabric: list[Figure]) -> None:
    front = fabric[0]
    assert b"<image" not in figure_svg(front)
    assert picture(front, grain=DRAWN).svg == figure_svg(front)
    for grain in (ON_SCREEN, PRINTED):
        shown = picture(front, grain=grain)
        assert b"<image" in shown.svg
        assert b"<use" not in shown.svg
        assert shown.ratio == picture(front).ratio


def test_the_caption_is_said_once(fabric: list[Figure]) -> None:
    for figure in fabric:
        words = re.sub(r"<(title|desc)\b.*?</\1>", "", figure_svg(figure).decode(), flags=re.DOTALL)
        assert figure.caption not in words
        assert "rust" in words  # the key stays


def test_print_stays_small(pattern: Pattern, fabric: list[Figure]) -> None:
    printed = pattern_pdf(pattern)
    assert len(fabric) == 6
    assert len(printed) < _PRINTED_AT_MOST


def test_half_pages_hold_two_pictures(pattern: Pattern) -> None:
    pages = PdfReader(io.BytesIO(pattern_pdf(pattern))).pages
    texts = [page.extract_text() for page in pages]
    (front,) = [i for i, text in enumerate(texts) if "Hood, front" in text]
    assert "Hood, left side" in texts[front]


def test_the_page_holds_every_picture_once(pattern: Pattern, fabric: list[Figure]) -> None:
    page = pattern_page(pattern).decode("utf-8")
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    for figure in fabric:
        assert f'id="figure-{figure.key}"' in page
    for data in re.findall(r"data:image/png;base64,([A-Za-z0-9+/=]+)", page):
        assert base64.b64decode(data).startswith(b"\x89PNG")


def test_fabric_is_no_drawing_of_lines(fabric: list[Figure]) -> None:
    with pytest.raises(BadInput, match="not a drawing"):
        draw(fabric[0])


def test_an_opening_has_the_colour_of_the_page(fabric: list[Figure]) -> None:
    (front,) = [figure for figure in fabric if figure.key == "look-hood-front"]
    assert isinstance(front.drawing, FabricDrawing)
    view = front.drawing.view
    empty = [i for i in range(view.columns) if all(line[i] < 0 for line in view.cells)]
    assert empty
    shown = picture(front, ON_PAGE, grain=ON_SCREEN).svg.decode()
    (rect,) = re.findall(r'<rect x="([\d.]+)"[^>]* fill="var\(--paper\)"/>', shown)
    unit = 360 - 30 - 30  # the fabric's width on the sheet, rulers at both sides
    assert float(rect) == pytest.approx(empty[0] / view.columns * unit, abs=0.1)
