"""Outlines and stages: what they refuse, and what they measure, against shapely."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from pegwright.errors import BadInput
from pegwright.garments.make_up import PLAIN, Edge, EdgeRole, Outline, rectangle

SIZES = st.floats(1.0, 3_000.0)


@given(width=SIZES, height=SIZES, x=st.floats(-500, 500), y=st.floats(-500, 500))
def test_a_rectangle_measures_what_it_should(
    width: float, height: float, x: float, y: float
) -> None:
    made = rectangle(width, height, at=(x, y))
    shape = Polygon(made.points)
    assert shape.area == pytest.approx(width * height)
    assert shape.length == pytest.approx(2 * (width + height))
    assert made.area_mm2 == pytest.approx(shape.area)
    assert shape.exterior.is_ccw


def test_a_rectangle_s_edges_are_where_they_are_called() -> None:
    made = rectangle(
        30.0,
        20.0,
        bottom=Edge(label="bottom"),
        right=Edge(label="right"),
        top=Edge(label="top"),
        left=Edge(label="left"),
    )
    ahead = (*made.points[1:], made.points[0])
    middles = {
        e.label: ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        for e, a, b in zip(made.edges, made.points, ahead, strict=True)
    }
    assert middles == {
        "bottom": (15.0, 0.0),
        "right": (30.0, 10.0),
        "top": (15.0, 20.0),
        "left": (0.0, 10.0),
    }


@given(count=st.integers(3, 30), radius=st.floats(1.0, 500.0))
def test_area_of_any_polygon(count: int, radius: float) -> None:
    angles = [2 * math.pi * i / count for i in range(count)]
    points = tuple((radius * math.cos(a), radius * math.sin(a)) for a in angles)
    made = Outline(points, (PLAIN,) * count)
    assert made.area_mm2 == pytest.approx(Polygon(points).area)


def test_an_outline_needs_an_edge_for_each_corner() -> None:
    with pytest.raises(BadInput, match="an edge for each"):
        Outline(((0, 0), (1, 0), (1, 1)), (PLAIN, PLAIN))
    with pytest.raises(BadInput, match="three corners"):
        Outline(((0, 0), (1, 0)), (PLAIN, PLAIN))


def test_an_outline_runs_anticlockwise() -> None:
    with pytest.raises(BadInput, match="anticlockwise"):
        Outline(((0, 0), (0, 1), (1, 0)), (PLAIN,) * 3)


def test_every_role_has_a_name_of_its_own() -> None:
    assert {str(r) for r in EdgeRole} == {"plain", "seam", "fold", "gather", "opening", "live"}
