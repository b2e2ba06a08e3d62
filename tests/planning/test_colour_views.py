"""Coloured fabric as it is seen: which stitch stands where on each face, rib, cord and hood."""

from __future__ import annotations

import numpy as np
import pytest

from pegwright.errors import BadInput, NotPossible
from pegwright.knitting.run import Run, execute
from pegwright.knitting.wraps import shipped
from pegwright.loom.board import Arrangement
from pegwright.planning.colour import StitchColours, stitch_colours
from pegwright.planning.colour_views import (
    ColourGrid,
    Face,
    HoodSide,
    Stitch,
    all_grids,
    face_grid,
    face_named,
    hood_grid,
)
from pegwright.yarn.colour import Colour, ColourRun, Stretch
from pegwright.yarn.yarn import Yarn
from tests.knitting.scripts import STOCKINETTE, YARN, field_of, hood, panel

SLIPWAY = Yarn(YARN, 4, 200, wrapped_diameter_mm=2.4, invented=True)
RUN = ColourRun(
    (Stretch(Colour("rust", "#a4482c"), 0.31), Stretch(Colour("cream", "#f2ead8"), 0.17)),
    offset_m=0.2,
)
RIB = shipped("double-board rib 1 by 1")


def coloured(run: Run) -> StitchColours:
    return stitch_colours(run, {YARN: SLIPWAY}, {YARN: RUN}, slack=1.05)


def strip(wrap_name: str, pegs: int, count: int) -> tuple[Run, StitchColours]:
    run = execute(panel(field_of(shipped(wrap_name), pegs), count))
    return run, coloured(run)


def colour_at(run: Run, found: StitchColours, peg: str, row: int) -> int:
    """The colour of one loop, found by its address."""
    number = run.script.loom.peg(peg)
    loops = found.loops
    at = np.flatnonzero(
        (loops.piece == 0) & (loops.peg == number) & (loops.row == row) & (loops.kind != 0)
    )
    return int(found.index[at[-1]])


def assert_cells(run: Run, found: StitchColours, grid: ColourGrid) -> None:
    """Every cell shows the loop that its ruler says."""
    for line, row in enumerate(grid.rows):
        for column, peg in enumerate(grid.pegs):
            assert grid.index[line, column] == colour_at(run, found, peg, row), (peg, row)


def test_the_front_face_reads_from_the_left_with_the_cast_on_below() -> None:
    run, found = strip("double-board stockinette", 6, 5)
    grid = face_grid(run, found, "strip", wrap=STOCKINETTE)
    assert grid.pegs == ("F1", "F2", "F3", "F4", "F5", "F6")
    assert grid.rows == (5, 4, 3, 2, 1)
    assert_cells(run, found, grid)
    assert (grid.stitch == Stitch.KNIT).all()
    assert set(np.unique(grid.index)) == {0, 1}


def test_the_back_face_is_turned_over() -> None:
    run, found = strip("double-board stockinette", 6, 5)
    grid = face_grid(run, found, "strip", Face.BACK, cast_on=True)
    assert grid.pegs == ("B6", "B5", "B4", "B3", "B2", "B1")
    assert grid.rows == (5, 4, 3, 2, 1, 0)
    assert_cells(run, found, grid)
    assert (grid.stitch == Stitch.KNIT).all()


def test_a_rib_shows_both_boards_on_each_face() -> None:
    run, found = strip("double-board rib 1 by 1", 4, 4)
    front = face_grid(run, found, "strip", wrap=RIB)
    assert front.pegs == ("F1", "B1", "F2", "B2", "F3", "B3", "F4", "B4")
    assert front.rib
    assert front.stitch[0].tolist() == [Stitch.KNIT, Stitch.PURL] * 4
    back = face_grid(run, found, "strip", Face.BACK, wrap=RIB)
    assert back.pegs == ("B4", "F4", "B3", "F3", "B2", "F2", "B1", "F1")
    assert back.stitch[0].tolist() == [Stitch.KNIT, Stitch.PURL] * 4
    for grid in (front, back):
        assert_cells(run, found, grid)


def test_broad_ribs_have_furrows_between() -> None:
    run, found = strip("double-board rib 2 by 2", 10, 4)
    wrap = shipped("double-board rib 2 by 2")
    # Columns 1-2, 3-4 … are made in one pass; the furrow lies between them.
    assert face_grid(run, found, "strip", wrap=wrap).furrows == (1, 3, 5, 7)
    assert face_grid(run, found, "strip", Face.BACK, wrap=wrap).furrows == (1, 3, 5, 7)
    plain, of_plain = strip("double-board stockinette", 10, 4)
    assert face_grid(plain, of_plain, "strip", wrap=STOCKINETTE).furrows == ()


@pytest.mark.parametrize(
    ("wrap", "front", "back"),
    [
        ("flat", Stitch.KNIT, Stitch.PURL),
        ("u-wrap", Stitch.KNIT, Stitch.PURL),
        ("purl", Stitch.PURL, Stitch.KNIT),
        ("e-wrap", Stitch.TWISTED, Stitch.PURL),
    ],
)
def test_one_row_of_pegs_shows_the_backs_of_its_stitches(
    wrap: str, front: Stitch, back: Stitch
) -> None:
    run, found = strip(wrap, 5, 4)
    seen = {}
    for face in Face:
        grid = face_grid(run, found, "strip", face, wrap=shipped(wrap))
        assert_cells(run, found, grid)
        seen[face] = set(np.unique(grid.stitch).tolist())
    assert seen == {Face.FRONT: {front}, Face.BACK: {back}}
    assert run.script.loom.arrangement is Arrangement.SINGLE


def test_a_cord_is_unrolled() -> None:
    run = execute(hood(8, 12))
    grid = face_grid(run, coloured(run), "cord", wrap=STOCKINETTE)
    assert grid.pegs == ("F1", "B1")
    assert grid.view == "unrolled"
    assert (grid.stitch[:, 0] == Stitch.KNIT).all()
    # The slim end is made on one peg alone, so the other wale ends below it.
    assert grid.index[0].tolist()[1] == -1
    assert grid.index[-1].tolist()[1] >= 0


# --- the hood ------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def hooded() -> tuple[Run, StitchColours]:
    run = execute(hood(9, 20))
    return run, coloured(run)


def test_the_right_side_stands_as_it_was_knitted(hooded: tuple[Run, StitchColours]) -> None:
    grid = hood_grid(*hooded, HoodSide.RIGHT)
    # Seen from the wearer's right the face is at the right, the back seam (column 1) at the left.
    assert (grid.pegs[0], grid.pegs[-1]) == ("F1", "F9")
    assert grid.rows == tuple(range(10, 0, -1))
    assert grid.turned == (False,) * 9
    assert_cells(*hooded, grid)


def test_the_left_side_stands_on_its_head(hooded: tuple[Run, StitchColours]) -> None:
    grid = hood_grid(*hooded, HoodSide.LEFT)
    assert (grid.pegs[0], grid.pegs[-1]) == ("F9", "F1")
    assert grid.rows == tuple(range(11, 21))  # the fold at the crown, the last row at the neck
    assert grid.turned == (True,) * 9
    assert_cells(*hooded, grid)


def test_the_front_frames_the_face(hooded: tuple[Run, StitchColours]) -> None:
    grid = hood_grid(*hooded, HoodSide.FRONT)
    right, left = (hood_grid(*hooded, s) for s in (HoodSide.RIGHT, HoodSide.LEFT))
    assert grid.pegs == ("F7", "F8", "F9", "", "", "", "F9", "F8", "F7")
    assert (grid.index[:, 3:6] == -1).all()
    assert (grid.index[:, :3] == right.index[:, -3:]).all()
    assert (grid.index[:, 6:] == left.index[:, :3]).all()
    assert (grid.rows[0], grid.rows_right[0]) == (10, 11)


def test_the_back_has_its_seam_in_the_middle(hooded: tuple[Run, StitchColours]) -> None:
    grid = hood_grid(*hooded, HoodSide.BACK)
    assert grid.pegs == ("F3", "F2", "F1", "F1", "F2", "F3")
    assert grid.turned == (True, True, True, False, False, False)
    assert grid.furrows == (2,)


def test_both_sides_together_are_the_whole_face(hooded: tuple[Run, StitchColours]) -> None:
    right, left = (hood_grid(*hooded, s) for s in (HoodSide.RIGHT, HoodSide.LEFT))
    whole = face_grid(*hooded, "strip")
    assert (np.vstack((left.index[::-1, ::-1], right.index)) == whole.index).all()


def test_every_view_of_a_hood(hooded: tuple[Run, StitchColours]) -> None:
    views = [(g.piece, g.view) for g in all_grids(*hooded, wrap=STOCKINETTE, hood=True)]
    sides = [("strip", f"hood, {side}") for side in HoodSide]
    faces = [("strip", "front face"), ("strip", "back face")]
    assert views == [*faces, *sides, ("cord", "unrolled")]
    flat = [(g.piece, g.view) for g in all_grids(*hooded, wrap=STOCKINETTE)]
    assert flat == [*faces, ("cord", "unrolled")]


def test_a_strip_that_is_not_folded_is_no_hood() -> None:
    with pytest.raises(NotPossible, match="not folded"):
        hood_grid(*strip("double-board stockinette", 6, 5), HoodSide.LEFT)


def test_words_tell_the_bands_from_the_bottom() -> None:
    run = execute(panel(field_of(STOCKINETTE, 6), 8))
    colours = ColourRun(
        (Stretch(Colour("rust", "#a4482c"), 2.0), Stretch(Colour("cream", "#f2ead8"), 9.0))
    )
    found = stitch_colours(run, {YARN: SLIPWAY}, {YARN: colours})
    words = face_grid(run, found, "strip").words()
    assert words[0] == "Strip, front face: 8 rows of 6 stitches."
    assert words[1].startswith("Row")
    assert words[1].endswith("rust.")
    assert words[-1].endswith("to 8: cream.")


def test_names_are_checked() -> None:
    assert face_named("Back") is Face.BACK
    with pytest.raises(BadInput) as caught:
        face_named("side")
    assert caught.value.place is not None
    assert caught.value.place.field == "face"
    with pytest.raises(BadInput, match="no such piece"):
        face_grid(*strip("flat", 5, 4), "sleeve")
