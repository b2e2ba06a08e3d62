"""'How it looks': pictures for pieces of several colours, and none for others."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pegwright import making
from pegwright.designs.files import read_any, shipped_text
from pegwright.designs.model import Design
from pegwright.designs.reader import read_text
from pegwright.pattern.look import look_section, size_colours
from pegwright.pattern.model import FabricDrawing, Figure, Paragraph, Pattern, Section
from pegwright.planning.colour import Joining
from pegwright.yarn.colour import parse_colour_run

HOOD = "tern-point-hood"


def section(pattern: Pattern | None) -> Section | None:
    assert pattern is not None
    return next((one for one in pattern.sections if one.key == "look"), None)


def figures(look: Section | None) -> list[Figure]:
    assert look is not None
    return [block for block in look.blocks if isinstance(block, Figure)]


@pytest.fixture(scope="module")
def hood() -> Design:
    """The hood in a yarn that changes colour, one size."""
    text = shipped_text(HOOD).replace("invented = true", 'colours = "rust 3 m, cream 2 m"')
    design = read_text(text)
    return replace(design, sizes=design.sizes[:1])


@pytest.fixture(scope="module")
def striped() -> Pattern:
    _, pattern = making.make(read_any("tern-point-boat-blanket"))
    assert pattern is not None
    return pattern


def test_one_colour_has_no_picture() -> None:
    assert section(making.make(read_any("tern-point-scarf"))[1]) is None


def test_a_hood_is_shown_flat_and_folded(hood: Design) -> None:
    shown = figures(section(making.make(hood)[1]))
    assert [figure.caption for figure in shown] == [
        "Strip, front face",
        "Strip, back face",
        "Hood, front",
        "Hood, left side",
        "Hood, right side",
        "Hood, back",
    ]
    assert len({figure.key for figure in shown}) == len(shown)
    assert all("rust" in figure.alt and "cream" in figure.alt for figure in shown)


def test_stripes_stand_where_they_are_knitted(striped: Pattern) -> None:
    design = read_any("tern-point-boat-blanket")
    wanted = [
        design.yarns[stripe.yarn].colour for stripe in design.stripes for _ in range(stripe.rows)
    ]
    front, back = figures(section(striped))
    for figure in (front, back):
        assert isinstance(figure.drawing, FabricDrawing)
        view = figure.drawing.view
        rows = [{view.colours[i].name for i in line} for line in reversed(view.cells)]
        assert rows == [{colour} for colour in wanted]


def test_a_picture_has_the_size_of_the_piece(striped: Pattern) -> None:
    made = making.prove(read_any("tern-point-boat-blanket"))
    piece = made.sizes[0].plan.pieces[0]
    drawing = figures(section(striped))[0].drawing
    assert isinstance(drawing, FabricDrawing)
    assert drawing.view.width_mm == pytest.approx(piece.width.value)
    assert drawing.view.height_mm == pytest.approx(piece.length.value)


def test_the_words_tell_what_eyes_may_confuse(striped: Pattern) -> None:
    look = section(striped)
    assert look is not None
    words = [block.text for block in look.blocks if isinstance(block, Paragraph)]
    assert any("buoy red and varnish brown may be taken for one" in text for text in words)


def test_close_colours_are_a_note() -> None:
    made = making.prove(read_any("tern-point-boat-blanket"))
    noted = [finding for finding in made.findings if finding.name == "colours-close"]
    assert [str(finding.severity) for finding in noted] == ["note"]
    assert made.proved
    one = making.prove(read_any("tern-point-scarf"))
    assert not [finding for finding in one.findings if finding.name == "colours-close"]


def test_where_the_yarn_begins_moves_the_colours(hood: Design) -> None:
    def first(offset_m: float) -> object:
        run = parse_colour_run("rust 3 m, cream 2 m", offset_m=offset_m)
        made = making.prove(replace(hood, colour_runs={"Slipway worsted": run}))
        return size_colours(making.source_of(made), made.sizes[0]).index[:200].tolist()

    assert first(0.0) == first(5.0)  # one whole repeat
    assert first(0.0) != first(2.5)


def test_a_yarn_joined_again_goes_on_or_begins_anew(hood: Design) -> None:
    made = making.prove(hood)
    source = making.source_of(made)
    on = size_colours(source, made.sizes[0], Joining.CARRY_ON)
    anew = size_colours(source, made.sizes[0], Joining.ANEW)
    strip = on.loops.piece == on.piece_index("strip")
    assert (on.index[strip] == anew.index[strip]).all()
    assert not (on.index[~strip] == anew.index[~strip]).all()  # the cord is joined after it
    assert np.count_nonzero(~strip) > 0


def test_too_many_colours_are_no_picture(hood: Design) -> None:
    run = parse_colour_run(", ".join(f"c{i} #0000{i:02x} 1 m" for i in range(70)))
    made = making.prove(replace(hood, colour_runs={"Slipway worsted": run}))
    assert look_section(making.source_of(made)) is None
