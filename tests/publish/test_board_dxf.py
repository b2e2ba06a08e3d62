"""DXF read back with ezdxf's own reader and auditor."""

from __future__ import annotations

import io
import math
import sys

import pytest
from ezdxf.filemanagement import read
from ezdxf.units import MM

from pegwright.errors import NotPossible
from pegwright.loom.board import Arrangement
from pegwright.loom.plan import BoardPlan, plan_board
from pegwright.loom.spec import BoardSpec, Wood
from pegwright.publish.board_dxf import LAYERS, board_dxf

LONG = plan_board(BoardSpec(pegs=56))
RING = plan_board(
    BoardSpec(arrangement=Arrangement.RING, pegs=60, pitch_mm=14, gap_mm=0, wood=Wood(18, 600, 600))
)


def document(plan: BoardPlan):  # type: ignore[no-untyped-def]
    return read(io.StringIO(board_dxf(plan).decode()))


@pytest.mark.parametrize("plan", [LONG, RING], ids=["double", "ring"])
def test_it_is_sound_and_in_millimetres(plan: BoardPlan) -> None:
    made = document(plan)
    assert not made.audit().errors
    assert made.units == MM
    assert {entity.dxf.layer for entity in made.modelspace()} == set(LAYERS)


def test_holes_of_both_boards_are_true() -> None:
    space = document(LONG).modelspace()
    holes = sorted((c.dxf.center.y, c.dxf.center.x) for c in space.query('CIRCLE[layer=="HOLES"]'))
    assert len(holes) == 112
    front, back = holes[:56], holes[56:]
    for i, (near, far) in enumerate(zip(front, back, strict=True)):
        assert near[1] == pytest.approx(38.1 + i * 11.1125, abs=1e-6)
        assert far[1] == pytest.approx(near[1], abs=1e-6)
        assert far[0] - near[0] == pytest.approx(25.4, abs=1e-6)
    assert front[-1][1] - front[0][1] == pytest.approx(55 * 11.1125, abs=0.1)
    assert {round(c.dxf.radius * 2, 4) for c in space.query('CIRCLE[layer=="HOLES"]')} == {4.7625}


def test_outlines_and_the_square() -> None:
    space = document(LONG).modelspace()
    outlines = space.query('LWPOLYLINE[layer=="OUTLINE"]')
    assert len(outlines) == 2
    boxes = [sorted(p[1] for p in line.get_points()) for line in outlines]
    boxes.sort()
    assert boxes[1][0] - boxes[0][-1] == pytest.approx(6.35)  # the spacers lie between
    (square,) = space.query('LWPOLYLINE[layer=="REGISTRATION"]')
    xs = [p[0] for p in square.get_points()]
    ys = [p[1] for p in square.get_points()]
    assert (max(xs) - min(xs), max(ys) - min(ys)) == pytest.approx((50.0, 50.0))
    words = {t.dxf.text for t in space.query("TEXT")}
    assert {"F1", "B56", "50 mm"} <= words


def test_a_ring() -> None:
    space = document(RING).modelspace()
    holes = [c.dxf.center for c in space.query('CIRCLE[layer=="HOLES"]')]
    assert len(holes) == 60
    for a, b in zip(holes, [*holes[1:], holes[0]], strict=True):
        assert math.dist((a.x, a.y), (b.x, b.y)) == pytest.approx(14.0)
    assert len(space.query('CIRCLE[layer=="OUTLINE"]')) == 2


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert board_dxf(LONG) == board_dxf(plan_board(BoardSpec(pegs=56)))


def test_without_the_library_it_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    with pytest.raises(NotPossible) as caught:
        board_dxf(LONG)
    assert "pegwright[board]" in (caught.value.hint or "")
