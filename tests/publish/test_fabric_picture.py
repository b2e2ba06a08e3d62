"""The picture of coloured fabric: every stitch drawn, to scale, with words and letters."""

from __future__ import annotations

import re
import struct
import zlib
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from numpy.typing import NDArray

from pegwright.errors import BadInput
from pegwright.knitting.run import execute
from pegwright.knitting.wraps import shipped
from pegwright.pattern.fabric_view import FabricView, RulerMark, Stitch, ViewColour, fabric_view
from pegwright.planning.colour import stitch_colours
from pegwright.planning.colour_views import Face, HoodSide, face_grid, hood_grid
from pegwright.publish.fabric_letters import letters, spaced
from pegwright.publish.fabric_picture import MOST_DRAWN, fabric_picture
from pegwright.publish.fabric_raster import fabric_png, paint, png
from pegwright.units import UnitSystem
from pegwright.yarn.colour import Colour, ColourRun, Stretch
from pegwright.yarn.yarn import Yarn
from tests.knitting.scripts import STOCKINETTE, YARN, field_of, hood, panel

SVG = "{http://www.w3.org/2000/svg}"
RUST, CREAM, TEAL = Colour("rust", "#a4482c"), Colour("cream", "#f2ead8"), Colour("teal", "#1d6e73")
RUN = ColourRun((Stretch(RUST, 1.31), Stretch(CREAM, 0.87), Stretch(TEAL, 1.42)))
SLIPWAY = Yarn(YARN, 4, 200, wrapped_diameter_mm=2.4, invented=True)


def drawn_up(
    lines: list[str], stitch: Stitch = Stitch.KNIT, course_mm: float = 4.0, **more: object
) -> FabricView:
    """A view from letters, one line a row from the top; a dot is no stitch."""
    names = sorted({c for line in lines for c in line if c != "."})
    known = {"A": RUST, "B": CREAM, "C": TEAL}
    wide = len(lines[0])
    view = FabricView(
        key="sample",
        title="A sample",
        desc="Rows of colour.",
        colours=tuple(ViewColour(n, known[n].name, known[n].hex, 0.5) for n in names),
        cells=tuple(tuple(-1 if c == "." else names.index(c) for c in line) for line in lines),
        stitches=tuple(tuple(0 if c == "." else stitch for c in line) for line in lines),
        wale_mm=5.0,
        course_mm=course_mm,
        column_parts=(1.0,) * wide,
        turned=(False,) * wide,
        furrows=(),
        pegs=(RulerMark(0, "F1"),),
        rows_left=(RulerMark(len(lines) - 1, "1"),),
        rows_right=(),
    )
    return replace(view, **more)  # type: ignore[arg-type]


def uses(svg: bytes) -> dict[str, int]:
    """How many single stitches are drawn in each colour, bunches counted in full."""
    root = ElementTree.fromstring(svg)  # our own bytes
    bunch = {
        g.get("id"): len(g.findall(f"{SVG}use"))
        for g in root.iter(f"{SVG}g")
        if g.get("id") and g.findall(f"{SVG}use")
    }
    counts: dict[str, int] = {}
    for group in root.iter(f"{SVG}g"):
        colour = group.get("color")
        if colour:
            for use in group.findall(f"{SVG}use"):
                name = (use.get("href") or "")[1:]
                counts[colour] = counts.get(colour, 0) + bunch.get(name, 1)
    return counts


# --- the document --------------------------------------------------------------------------------


def test_a_view_keeps_only_the_colours_that_show() -> None:
    run = execute(panel(field_of(STOCKINETTE, 6), 3))
    colours = ColourRun((Stretch(RUST, 90.0), Stretch(CREAM, 1.0), Stretch(TEAL, 90.0)))
    found = stitch_colours(run, {YARN: SLIPWAY}, {YARN: replace(colours, offset_m=95.0)})
    view = fabric_view(face_grid(run, found, "strip"), wale_mm=6.0, course_mm=4.5)
    assert [(c.letter, c.name, c.share) for c in view.colours] == [("A", "teal", 1.0)]
    assert {c for line in view.cells for c in line} == {0}
    assert (view.width_mm, view.height_mm) == (36.0, 13.5)
    assert view.key == "strip-front-face"
    assert view.words(UnitSystem.CENTIMETRES)[0] == (
        "Strip, front face: 3.6 cm (1 3/8 in) by 1.4 cm (1/2 in)."
    )


def test_rulers_name_rows_and_pegs() -> None:
    run = execute(panel(field_of(STOCKINETTE, 30), 44))
    found = stitch_colours(run, {YARN: SLIPWAY}, {YARN: RUN})
    view = fabric_view(face_grid(run, found, "strip", Face.BACK), wale_mm=6.0, course_mm=4.5)
    assert [(m.at, m.label) for m in view.pegs][:3] == [(0, "B30"), (5, "B25"), (10, "B20")]
    rows = {m.label: m.at for m in view.rows_left}
    assert (rows["44"], rows["40"], rows["1"]) == (0, 4, 43)
    assert view.rows_right == ()
    for mark in view.rows_left:
        assert int(mark.label) == 44 - mark.at


def test_both_sides_of_a_hood_have_their_own_rows() -> None:
    run = execute(hood(9, 20))
    found = stitch_colours(run, {YARN: SLIPWAY}, {YARN: RUN})
    view = fabric_view(hood_grid(run, found, HoodSide.FRONT), wale_mm=6.0, course_mm=4.5)
    assert (view.rows_left[0].label, view.rows_right[0].label) == ("10", "11")


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"wale_mm": 0.0}, "wale_mm"),
        ({"course_mm": float("inf")}, "course_mm"),
        ({"cells": ((0, 0), (0,))}, "cells"),
        ({"cells": ((0, 7), (0, 0))}, "cells"),
        ({"cells": ()}, "cells"),
        ({"stitches": ((1, 9), (1, 1))}, "stitches"),
        ({"column_parts": (1.0, 0.0)}, "column_parts"),
        ({"turned": (True,)}, "turned"),
        ({"key": 'a"b'}, "key"),
    ],
)
def test_a_view_that_cannot_be_is_refused(change: dict[str, object], field: str) -> None:
    with pytest.raises(BadInput) as caught:
        replace(drawn_up(["AA", "BB"]), **change)  # type: ignore[arg-type]
    assert caught.value.place is not None
    assert caught.value.place.field == field


# --- the drawing ---------------------------------------------------------------------------------


def test_every_stitch_is_drawn_in_its_colour() -> None:
    lines = ["AAAAAAAAAAAAAAAAAAAAB", "BBABBBBBBBBBBBBBBBBBB", ".....ABABABABABABABAB"]
    counts = uses(fabric_picture(drawn_up(lines)))
    letters_in = "".join(lines)
    assert counts == {RUST.hex: letters_in.count("A"), CREAM.hex: letters_in.count("B")}


def test_stitches_keep_the_fabric_s_proportions() -> None:
    svg = fabric_picture(drawn_up(["AB"] * 4, course_mm=4.0)).decode()
    rows = sorted(
        {float(y) for y in re.findall(r'<g transform="translate\(0 ([\d.]+)\)"><g color', svg)}
    )
    columns = sorted({float(x) for x in re.findall(r'<use href="#sample-0" x="([\d.]+)"', svg)})
    course, wale = rows[1] - rows[0], columns[1] - columns[0]
    assert course / wale == pytest.approx(4.0 / 5.0, rel=1e-3)


@pytest.mark.parametrize("stitch", [Stitch.KNIT, Stitch.PURL, Stitch.TWISTED])
def test_each_kind_of_stitch_has_a_shape_of_its_own(stitch: Stitch) -> None:
    shapes = {
        kind: re.findall(r'<path d="(M[^"]+)" stroke="currentColor"', svg.decode())
        for kind in (Stitch.KNIT, Stitch.PURL, Stitch.TWISTED)
        if (svg := fabric_picture(drawn_up(["AAA"], kind)))
    }
    assert len(shapes[stitch]) == (1 if stitch is Stitch.PURL else 2)
    assert all(shapes[stitch] != shapes[other] for other in shapes if other is not stitch)


def test_stitches_on_their_heads_are_turned() -> None:
    view = drawn_up(["AA"], turned=(True, False))
    svg = fabric_picture(view).decode()
    assert svg.count("rotate(180") == 1
    assert "rotate(180" not in fabric_picture(drawn_up(["AA"])).decode()


def test_a_rib_has_narrow_purl_columns() -> None:
    run = execute(panel(field_of(shipped("double-board rib 1 by 1"), 5), 4))
    found = stitch_colours(run, {YARN: SLIPWAY}, {YARN: RUN})
    grid = face_grid(run, found, "strip", wrap=shipped("double-board rib 1 by 1"))
    view = fabric_view(grid, wale_mm=6.0, course_mm=4.5)
    assert view.column_parts == pytest.approx((0.62, 0.38) * 5)
    assert view.width_mm == pytest.approx(30)
    assert sum(uses(fabric_picture(view)).values()) == 40


def test_it_is_one_document_with_words_and_the_same_bytes() -> None:
    view = drawn_up(["AABB"], title="Rust & cream <1>")
    svg = fabric_picture(view)
    assert svg == fabric_picture(view)
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img"
    texts = {e.tag: e.text for e in root if e.tag in (f"{SVG}title", f"{SVG}desc")}
    assert texts[f"{SVG}title"] == "Rust & cream <1>"
    assert "A is rust" in (texts[f"{SVG}desc"] or "")
    assert root.get("aria-labelledby") == "sample-title sample-desc"
    assert float(root.get("width") or 0) == 360


def test_the_key_names_every_colour() -> None:
    svg = fabric_picture(drawn_up(["ABC"])).decode()
    for letter, colour in (("A", RUST), ("B", CREAM), ("C", TEAL)):
        assert f">{colour.name}, 50 %</text>" in svg
        assert f">{letter}</text>" in svg


# --- letters ------------------------------------------------------------------------------------


def test_patches_carry_their_letters_inside_them() -> None:
    lines = ["AAAAAA......BBBBBB"] * 5 + ["CCCCCCCCCCCCCCCCCC"] * 5
    view = drawn_up(lines)
    found = letters(view, [10.0 * i for i in range(19)], 8.0)
    assert [spot.letter for spot in found] == ["A", "B", "C"]
    for spot in found:
        assert lines[int(spot.y // 8)][int(spot.x // 10)] == spot.letter


def test_crooked_patches_and_specks() -> None:
    lines = ["AABB"] * 4 + ["AAAA"] + ["BAAB"] * 4
    found = letters(drawn_up(lines), [12.0 * i for i in range(5)], 10.0)
    for spot in found:
        assert lines[int(spot.y // 10)][int(spot.x // 12)] == spot.letter
    assert {spot.letter for spot in found} == {"A", "B"}
    specks = ["ABAB" if i % 2 else "BABA" for i in range(8)]
    assert letters(drawn_up(specks), [12.0 * i for i in range(5)], 10.0) == ()
    wide = [line * 8 for line in specks]
    assert "too often to be lettered" in fabric_picture(drawn_up(wide)).decode()


def test_numbers_at_the_edge_do_not_touch() -> None:
    marks = tuple(RulerMark(i, f"F{i + 1}") for i in range(16))
    kept = spaced(marks, lambda m: 6.0 * m.at, lambda _: 20.0)
    assert [m.at for m in kept] == [0, 4, 8, 15]
    assert spaced((), lambda _: 0.0, lambda _: 1.0) == ()
    assert spaced(marks[:2], lambda m: 6.0 * m.at, lambda _: 20.0) == marks[:2]


# --- paintings ----------------------------------------------------------------------------------


def dots_of(data: bytes) -> tuple[NDArray[np.uint8], dict[str, str]]:
    """A PNG read back by its specification (W3C PNG, third edition): dots and texts."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    at, parts = 8, []
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        kind, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        (check,) = struct.unpack(">I", data[at + 8 + length : at + 12 + length])
        assert check == zlib.crc32(kind + body)
        parts.append((kind, body))
        at += 12 + length
    assert (parts[0][0], parts[-1][0]) == (b"IHDR", b"IEND")
    width, height, depth, colour = struct.unpack(">IIBB", parts[0][1][:10])
    assert (depth, colour) == (8, 2)
    raw = zlib.decompress(b"".join(body for kind, body in parts if kind == b"IDAT"))
    lines = np.frombuffer(raw, np.uint8).reshape(height, 1 + 3 * width)
    assert not lines[:, 0].any()
    texts = dict(
        body.replace(b"\0\0\0\0\0", b"\0").decode().split("\0") for k, body in parts if k == b"iTXt"
    )
    return lines[:, 1:].reshape(height, width, 3), texts


def test_a_png_is_read_back_as_written() -> None:
    dots = np.random.default_rng(3).integers(0, 256, (7, 5, 3), np.uint8)
    back, texts = dots_of(png(dots, {"Title": "Tern Point – hood"}))
    assert (back == dots).all()
    assert texts == {"Title": "Tern Point – hood"}


@pytest.mark.parametrize("stitch", [Stitch.KNIT, Stitch.PURL, Stitch.TWISTED])
def test_a_painting_shows_each_stitch_in_its_colour(stitch: Stitch) -> None:
    lines = ["AABBBB", "BBAABB", "AAAAAA", "AAAAAA"]
    dots = paint(drawn_up(lines, stitch), width_px=240).astype(int)
    assert dots.shape == (4 * 32, 6 * 40, 3)
    for row, line in enumerate(lines):
        for column, letter in enumerate(line):
            box = dots[row * 32 + 8 : row * 32 + 32, column * 40 : column * 40 + 40]
            # Rust is much redder than it is blue; cream hardly is.
            redness = (box[..., 0] - box[..., 2]).mean() / box[..., 0].mean()
            assert (redness > 0.35) == (letter == "A"), (row, column, redness)


def test_where_there_is_no_stitch_there_is_paper() -> None:
    dots = paint(drawn_up(["A.B", "A.B"]), width_px=90)
    assert (dots[:, 30:60] == 255).all()
    assert (dots[:, :30] != 255).any()


def test_turned_stitches_are_the_others_on_their_heads() -> None:
    plain = paint(drawn_up(["AAA"] * 3), width_px=60)
    turned = paint(drawn_up(["AAA"] * 3, turned=(True,) * 3), width_px=60)
    assert (turned == plain[::-1, ::-1]).all()


def test_large_pieces_are_painted_into_the_same_frame() -> None:
    side = int(MOST_DRAWN**0.5) + 1
    view = drawn_up(["AB" * (side // 2 + 1)] * side)
    svg = fabric_picture(view)
    root = ElementTree.fromstring(svg)
    image = root.find(f".//{SVG}image")
    assert image is not None
    assert (image.get("href") or "").startswith("data:image/png;base64,")
    assert not uses(svg)
    assert ">F1</text>" in svg.decode()


def test_a_framed_painting_has_its_words() -> None:
    view = drawn_up(["AABB"] * 6)
    bare = paint(view, width_px=400)
    dots, texts = dots_of(fabric_png(view, width_px=400))
    assert texts == {"Title": "A sample", "Description": "Rows of colour."}
    assert dots.shape[0] > bare.shape[0]
    assert dots.shape[1] > bare.shape[1]
    dark = dots.max(axis=2) < 60
    assert dark[:, :20].any() or dark[-60:].any()
    assert fabric_png(view, width_px=400) == fabric_png(view, width_px=400)


def test_a_width_that_cannot_be() -> None:
    with pytest.raises(BadInput) as caught:
        paint(drawn_up(["AB"]), width_px=0)
    assert caught.value.place is not None
    assert caught.value.place.field == "width_px"
