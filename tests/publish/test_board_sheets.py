"""The drilling template measured on the printed sheets themselves, across their joints.

Distances are read back from the PDF's own drawing operators (ISO 32000-1), not from our numbers.
"""

from __future__ import annotations

import io
import json
import math
import re
import subprocess
from dataclasses import dataclass, replace
from functools import cache
from typing import Any
from xml.etree import ElementTree

import pypdf
import pytest

from pegwright.loom.board import Arrangement
from pegwright.loom.plan import plan_board
from pegwright.loom.spec import BoardSpec, PegKind, PegStock, Wood
from pegwright.pattern.board_plan import BoardDocument, board_document
from pegwright.publish.board_plan import board_pdf, board_svgs, cut_list_json
from pegwright.publish.board_tiles import MARGIN_MM, OVERLAP_MM, lay_out
from pegwright.publish.pdf import Paper
from pegwright.units import UnitSystem
from tests.publish.pdf_paths import Path, Point, paths

LONG = BoardSpec(pegs=56, name="launch board")  # 611 mm from the first peg to the last
RING = BoardSpec(
    arrangement=Arrangement.RING,
    pegs=60,
    pitch_mm=14.0,
    gap_mm=0.0,
    wood=Wood(18, 600, 600, name="plywood"),
    name="cap ring",
)
FINE = BoardSpec(
    arrangement=Arrangement.OFFSET,
    pegs=20,
    pitch_mm=5.0,
    gap_mm=12.0,
    peg=PegStock(PegKind.NAIL, 2.0, 20.0),
    row_offset_mm=5.0,
    name="lace board",
)
MARK_MM = 5.0  # diameter of the circle of a registration mark


@cache
def document(spec: BoardSpec) -> BoardDocument:
    return board_document(plan_board(spec), UnitSystem.INCHES)


@cache
def made(spec: BoardSpec, paper: Paper = Paper.A4) -> bytes:
    return board_pdf(document(spec), paper)


@dataclass(frozen=True)
class Sheet:
    """What is measured on one sheet, mm."""

    holes: tuple[Point, ...]
    marks: tuple[Point, ...]
    squares: tuple[Path, ...]
    all: tuple[Path, ...]


@cache
def sheets(spec: BoardSpec, paper: Paper = Paper.A4) -> tuple[Sheet, ...]:
    drill = spec.peg.drill_mm
    found = []
    for page in pypdf.PdfReader(io.BytesIO(made(spec, paper))).pages:
        if "Drilling template, sheet" not in page.extract_text():
            continue
        drawn = paths(page)
        circles = [p for p in drawn if p.is_circle]
        found.append(
            Sheet(
                tuple(p.centre for p in circles if abs(p.size[0] - drill) < 0.02),
                tuple(p.centre for p in circles if abs(p.size[0] - MARK_MM) < 0.02),
                tuple(p for p in drawn if all(abs(s - 50) < 0.5 for s in p.size)),
                tuple(drawn),
            )
        )
    return tuple(found)


def joined(spec: BoardSpec, paper: Paper) -> list[Point]:
    """Sheets of one row laid together by their marks alone; holes from the left."""
    laid: list[Point] = []
    dx = dy = 0.0
    before: Sheet | None = None
    for sheet in sheets(spec, paper):
        if before is not None:
            right = sorted(before.marks)[-2:]
            left = sorted(sheet.marks)[:2]
            steps = [
                (a[0] + dx - b[0], a[1] + dy - b[1])
                for a, b in zip(
                    sorted(right, key=lambda p: p[1]), sorted(left, key=lambda p: p[1]), strict=True
                )
            ]
            assert math.dist(*steps) < 0.02, "the two marks of a joint agree"
            dx, dy = steps[0]
        for x, y in sheet.holes:
            place = (x + dx, y + dy)
            again = [p for p in laid if math.dist(p, place) < 1.0]
            assert all(math.dist(p, place) < 0.05 for p in again), "a hole on two sheets is one"
            if not again:
                laid.append(place)
        before = sheet
    return sorted(laid)


# --- true scale ----------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", Paper)
def test_holes_are_true_across_the_sheets(paper: Paper) -> None:
    plan = document(LONG).plan
    holes = joined(LONG, paper)
    wanted = [h.x_mm for h in plan.boards[0].holes]
    assert len(holes) == 56
    assert len(sheets(LONG, paper)) >= 3
    for place, x in zip(holes, wanted, strict=True):
        assert place[0] - holes[0][0] == pytest.approx(x - wanted[0], abs=0.1)
        assert place[1] == pytest.approx(holes[0][1], abs=0.1)
    assert holes[-1][0] - holes[0][0] > 600
    assert holes[-1][0] - holes[0][0] == pytest.approx(55 * 11.1125, abs=0.1)


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("spec", [LONG, RING, FINE], ids=lambda s: s.name)
def test_the_square_is_50_mm_on_every_sheet(spec: BoardSpec, paper: Paper) -> None:
    for sheet in sheets(spec, paper):
        (square,) = sheet.squares
        assert square.size == pytest.approx((50.0, 50.0), abs=0.02)


def test_a_rings_holes_stand_on_their_circle() -> None:
    """Four sheets; on each, neighbouring holes are a pitch apart, straight across."""
    plan = document(RING).plan
    seen = 0
    for sheet in sheets(RING):
        near = [
            min(math.dist(a, b) for b in sheet.holes if b != a)
            for a in sheet.holes
        ]  # fmt: skip
        assert near == pytest.approx([14.0] * len(near), abs=0.05)
        seen += len(near)
    assert seen >= 60
    assert len(sheets(RING)) == len(lay_out(plan.template, Paper.A4).tiles) == 4


def test_poppler_sees_the_same_square(tmp_path: Any) -> None:
    """The last sheet drawn by poppler as SVG: another reader of the same PDF."""
    source = tmp_path / "board.pdf"
    source.write_bytes(made(LONG))
    last = len(pypdf.PdfReader(source).pages)
    target = tmp_path / "sheet.svg"
    subprocess.run(
        ["pdftocairo", "-svg", "-f", str(last), "-l", str(last), str(source), str(target)],
        check=True,
        capture_output=True,
    )
    root = ElementTree.fromstring(target.read_bytes())
    sides = []
    for node in root.iter("{http://www.w3.org/2000/svg}path"):
        scale = 1.0
        if match := re.match(r"matrix\(([^,]+),\s*0,\s*0,", node.get("transform", "")):
            scale = abs(float(match.group(1)))
        numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", node.get("d", ""))]
        xs, ys = numbers[::2], numbers[1::2]
        if len(xs) >= 4 and len(xs) == len(ys):
            sides.append([(max(v) - min(v)) * scale / 72 * 25.4 for v in (xs, ys)])
    assert [s for s in sides if s == pytest.approx([50.0, 50.0], abs=0.1)], sides


# --- the sheets ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("paper", "width_mm", "height_mm"),
    [
        (Paper.A4, 210.0, 297.0),  # ISO 216
        (Paper.LETTER, 215.9, 279.4),  # 8 1/2 by 11 in, ANSI/ASME Y14.1 size A
    ],
)
@pytest.mark.parametrize("spec", [LONG, RING], ids=lambda s: s.name)
def test_page_sizes(spec: BoardSpec, paper: Paper, width_mm: float, height_mm: float) -> None:
    for page in pypdf.PdfReader(io.BytesIO(made(spec, paper))).pages:
        size = sorted(float(v) / 72 * 25.4 for v in (page.mediabox.width, page.mediabox.height))
        assert size == pytest.approx(sorted((width_mm, height_mm)), abs=0.01)


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("spec", [LONG, RING, FINE], ids=lambda s: s.name)
def test_nothing_lies_in_the_margin(spec: BoardSpec, paper: Paper) -> None:
    wide, high = lay_out(document(spec).plan.template, paper).sheet_mm
    for sheet in sheets(spec, paper):
        for path in sheet.all:
            left, bottom, right, top = path.box
            assert left >= MARGIN_MM - 0.1
            assert bottom >= MARGIN_MM - 0.1
            assert right <= wide - MARGIN_MM + 0.1
            assert top <= high - MARGIN_MM + 0.1


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("pegs", [1, 5, 20, 56, 200])
def test_tiles_cover_the_template_and_overlap(pegs: int, paper: Paper) -> None:
    spec = replace(LONG, pegs=pegs, wood=Wood(length_mm=3000))
    template = plan_board(spec).template
    layout = lay_out(template, paper)
    wide, high = layout.sheet_mm
    for hole in template.holes:
        assert any(t.holds(hole.x_mm, hole.y_mm, 4.0) for t in layout.tiles), hole
    for tile in layout.tiles:
        assert tile.width_mm <= wide - 2 * MARGIN_MM + 1e-6
        assert tile.height_mm < high
    for a, b in zip(layout.tiles, layout.tiles[1:], strict=False):
        assert a.right_mm - b.left_mm == pytest.approx(OVERLAP_MM)
        (join,), (cut,) = a.joins, b.cuts
        assert join.along_x
        assert cut.along_x
        assert join.at_mm == pytest.approx(cut.at_mm)
    assert len(layout.marks) == 2 * (len(layout.tiles) - 1)


def test_marks_lie_on_no_hole() -> None:
    for spec in (LONG, RING, FINE):
        template = document(spec).plan.template
        for x, y in lay_out(template, Paper.A4).marks:
            assert min(math.hypot(h.x_mm - x, h.y_mm - y) for h in template.holes) > 5.0


def test_the_template_is_black_on_white() -> None:
    colours = set()
    for svg in board_svgs(document(LONG)).values():
        colours |= set(re.findall(rb"#[0-9a-fA-F]{6}", svg))
    assert colours <= {b"#000000", b"#ffffff", b"#e4e4e4"}


# --- the document --------------------------------------------------------------------------------


@pytest.mark.parametrize("spec", [LONG, RING, FINE], ids=lambda s: s.name)
def test_it_is_tagged_for_everyone(spec: BoardSpec) -> None:
    reader = pypdf.PdfReader(io.BytesIO(made(spec)))
    root: Any = reader.root_object
    assert root["/MarkInfo"]["/Marked"] == True  # noqa: E712  (a PDF boolean, not Python's)
    assert "/StructTreeRoot" in root
    assert root["/Lang"].lower() == "en-gb"
    # ISO 14289-1, 5: the document says which part of PDF/UA it keeps to.
    assert b"pdfuaid" in root["/Metadata"].get_data()
    alts = [str(alt) for alt in _alts(root["/StructTreeRoot"])]
    count = len(lay_out(document(spec).plan.template, Paper.A4).tiles)
    for number in range(1, count + 1):
        assert any(f"sheet {number} of {count}" in alt for alt in alts)


def _alts(node: Any) -> list[Any]:
    node = node.get_object()
    if isinstance(node, list):
        return [alt for kid in node for alt in _alts(kid)]
    if not isinstance(node, dict):
        return []
    own = [node["/Alt"]] if "/Alt" in node else []
    return own + (_alts(node["/K"]) if "/K" in node else [])


def test_everything_that_is_needed_is_in_print() -> None:
    text = " ".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(made(LONG))).pages)
    text = re.sub(r"\s+", " ", text)
    for words in (
        "Launch board",
        "56 a side, 112 in all",
        "7/16 in (11.11 mm)",
        "Before you start",
        "Cut list",
        "Drilling template, sheet 1 of 3",
        "half round",
        "follow the tool maker's instructions and local rules",
    ):
        assert words in text, words
    for hole in document(LONG).plan.boards[0].holes[:3]:
        assert f"{hole.x_mm:.1f}" in text


def test_the_same_plan_gives_the_same_bytes() -> None:
    fresh = board_document(plan_board(LONG), UnitSystem.INCHES)
    assert board_pdf(fresh) == made(LONG)
    assert board_svgs(fresh) == board_svgs(document(LONG))


def test_units_and_names_are_the_makers() -> None:
    hostile = '#eval("1") *bold* <script> $x$ \\'
    spec = replace(LONG, pegs=8, name=hostile)
    pdf = board_pdf(board_document(plan_board(spec), UnitSystem.CENTIMETRES))
    text = pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    assert '#eval("1") *bold* <script> $x$' in text
    assert "11.11 mm (7/16 in)" in re.sub(r"\s+", " ", text)


# --- SVG and cut list ----------------------------------------------------------------------------


def test_svg_is_at_true_scale() -> None:
    """A unit is a CSS pixel, 1/96 in (CSS Values and Units): places are measured in the file."""
    plan = document(LONG).plan
    files = board_svgs(document(LONG))
    assert next(iter(files)) == "launch-board-template.svg"
    assert len(files) == 1 + 3
    root = ElementTree.fromstring(files["launch-board-template.svg"])
    name = "{http://www.w3.org/2000/svg}"
    mm = 25.4 / 96
    circles = [
        (float(c.get("cx", 0)) * mm, float(c.get("r", 0)) * 2 * mm)
        for c in root.iter(f"{name}circle")
    ]
    holes = sorted(x for x, d in circles if d == pytest.approx(4.7625, abs=0.01))
    assert len(holes) == 56
    for x, hole in zip(holes, plan.boards[0].holes, strict=True):
        assert x - holes[0] == pytest.approx(hole.x_mm - 38.1, abs=0.02)
    assert float(root.get("width", 0)) * mm == pytest.approx(plan.template.length_mm + 18, abs=0.02)
    assert root.find(f"{name}title") is not None


def test_the_cut_list_as_data() -> None:
    data = json.loads(cut_list_json(document(LONG)))
    assert {p["part"] for p in data["parts"]} >= {"board", "peg", "spacer", "bolt"}
    assert len(data["holes"]) == 112
    assert data["holes"][0] == {
        "board": "front board",
        "peg": "F1",
        "from_left_end_mm": 38.1,
        "from_inner_edge_mm": 9.525,
        "diameter_mm": 4.7625,
        "depth_mm": 13.0,
    }
    assert data["wood"]["lengths"] == 1
    ring = json.loads(cut_list_json(document(RING)))
    assert "from_near_side_mm" in ring["holes"][0]
    assert ring["spacers"] == []
