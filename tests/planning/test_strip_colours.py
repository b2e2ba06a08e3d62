"""A yarn's colours on a strip as garments begin one: the same as the executed garment has."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pegwright.designs.files import read_any
from pegwright.designs.model import Design
from pegwright.errors import BadInput
from pegwright.knitting.wraps import shipped
from pegwright.making import prove, source_of
from pegwright.pattern.look import size_colours
from pegwright.planning.colour_search import Effect
from pegwright.planning.colour_views import face_grid
from pegwright.planning.strip_colours import placed_strip, search_strip
from pegwright.yarn.colour import ColourRun, parse_colour_run

RUN = parse_colour_run("rust 31 cm, cream 17 cm, teal 1.42 m")


def coloured(design: Design, run: ColourRun, pegs: int) -> Design:
    """The design's first size in a yarn of these colours, on so many pegs."""
    return replace(
        design,
        sizes=design.sizes[:1],
        colour_runs={design.body_yarn.name: run},
        options={**design.options, "pegs": pegs},
        available_g={},
    )


@pytest.mark.parametrize(
    ("name", "wrap", "pegs"),
    [
        ("tern-point-scarf", "double-board stockinette", 23),
        ("tern-point-scarf", "figure eight", 16),
        ("tern-point-hood", "double-board stockinette", 30),
    ],
)
def test_the_picture_is_what_the_garments_run_draws(name: str, wrap: str, pegs: int) -> None:
    design = replace(read_any(name), wrap=shipped(wrap))
    made = prove(coloured(design, replace(RUN, offset_m=0.634), pegs))
    size = made.sizes[0]
    seen = face_grid(size.run, size_colours(source_of(made), size), "strip", wrap=design.wrap)
    placed = placed_strip(
        design.loom, design.wrap, pegs, design.body_yarn, RUN, offset_m=0.634,
        rows=size.plan.piece("strip").rows, slack=design.slack.value,
    )  # fmt: skip
    names = [c.name for c in seen.colours]
    assert [[names[i] for i in line] for line in seen.index.tolist()] == [
        [placed.colours[i].name for i in line] for line in placed.index.tolist()
    ]
    assert (placed.stitch == seen.stitch).all()
    assert (placed.rows, placed.pegs, placed.name) == (seen.rows, seen.pegs, seen.name)


def test_a_search_that_is_stopped_gives_the_best_of_what_it_saw() -> None:
    design = read_any("tern-point-hood")
    told: list[tuple[int, int]] = []
    asked = (design.loom, [design.wrap], design.body_yarn, RUN, Effect.STRIPES)
    found = search_strip(
        *asked, pegs=range(20, 31), starts=8, best=20,
        progress=lambda done, of: told.append((done, of)), cancelled=lambda: len(told) == 3,
    )  # fmt: skip
    assert told == [(0, 11), (1, 11), (2, 11)]
    assert found.tried == 3 * 8
    assert {p.pegs for p in found.best} == {20, 21, 22}
    whole = search_strip(*asked, pegs=range(20, 23), starts=8, best=20)
    assert found.best == whole.best


def test_a_yarn_of_one_colour_is_refused() -> None:
    design = read_any("tern-point-hood")
    solid = parse_colour_run("rust 1 m")
    with pytest.raises(BadInput, match="one colour"):
        search_strip(design.loom, [design.wrap], design.body_yarn, solid, Effect.STRIPES)
