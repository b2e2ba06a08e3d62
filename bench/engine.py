"""Measurements of the simulated loom: executing scripts, and writing their fabric out.

Run as a module by itself (``python -m bench.engine``) it makes the blanket once and ends, so that
its memory can be watched.
"""

from __future__ import annotations

import sys
from typing import Any

from bench.harness import Row, median_seconds, peak_mb, ratio_row
from pegwright.garments.blocks import (
    Field,
    alternating,
    cast_on,
    cord,
    first_row,
    free_end_pegs,
)
from pegwright.garments.blocks import (
    rows as more_rows,
)
from pegwright.knitting.fabric import FabricArrays
from pegwright.knitting.operations import (
    CutYarn,
    DrawUp,
    Edge,
    FastenOff,
    Fold,
    LiftOff,
    Part,
    PullAnchor,
    SeamEdges,
    TakeLength,
    ThreadCastOn,
    ThreadLive,
    WeaveIn,
)
from pegwright.knitting.run import execute
from pegwright.knitting.script import PieceSpec, Script, Step, Work
from pegwright.knitting.wraps import Cloth, shipped
from pegwright.loom.board import Arrangement, Loom

__all__ = ["blanket", "hood", "rows"]

HOOD_PEGS, HOOD_ROWS = 40, 100
BLANKET_PEGS, BLANKET_ROWS = 100, 1600
YARN = "rowing blue"


def rows() -> list[Row]:
    """The area's rows."""
    return [_hood_run(), _blanket_run(), _blanket_peak(), _blanket_speedup()]


def _hood_run() -> Row:
    script = hood(HOOD_PEGS, HOOD_ROWS)
    seconds = median_seconds(lambda: execute(script), repeats=15)
    return Row("core.hood_run_ms", seconds * 1000, "ms", 20)


def _blanket_run() -> Row:
    seconds = median_seconds(_blanket_arrays, repeats=5)
    return Row("core.blanket_run_s", seconds, "s", 1)


def _blanket_peak() -> Row:
    return Row("core.blanket_peak_mb", peak_mb([sys.executable, "-m", "bench.engine"]), "MB", 300)


def _blanket_speedup() -> Row:
    """The graph library is given its nodes and edges as ready lists; finding them is not timed."""
    arrays = _blanket_arrays()
    ties = [(parent, child) for parent, child in arrays.ties.tolist()]
    # One strand makes the whole blanket, so its yarn runs from each loop to the next.
    strung = [(loop, loop + 1) for loop in range(len(arrays) - 1)]

    def build() -> Any:
        import networkx

        graph: Any = networkx.DiGraph()
        graph.add_nodes_from(range(len(arrays)))
        graph.add_edges_from(ties, kind="tie")
        graph.add_edges_from(strung, kind="yarn")
        return graph

    return ratio_row(
        "core.blanket_speedup_vs_networkx", _blanket_arrays, build, at_least=20, repeats=3
    )


def _blanket_arrays() -> FabricArrays:
    run = execute(blanket(BLANKET_PEGS, BLANKET_ROWS))
    arrays = run.fabric.arrays()
    if not run.proved or len(arrays) != 1 + 2 * BLANKET_PEGS * (BLANKET_ROWS + 1):
        raise RuntimeError("the blanket did not come out as it must")
    return arrays


# --- what is knitted -----------------------------------------------------------------------------


def blanket(pegs: int, count: int) -> Script:
    """One panel of stockinette, both ends run through by a length of yarn."""
    field = _field(pegs)
    every = alternating(field.loom, 1, pegs)
    edging = "edging yarn"
    works: tuple[Work, ...] = (
        *_knitted(field, count),
        (TakeLength(edging, YARN, 3000.0), ThreadLive(edging, every), LiftOff("strip")),
        (ThreadCastOn(edging, "strip", every), PullAnchor(), FastenOff(edging)),
        (WeaveIn("strip"),),
    )
    steps = tuple(Step(i, "work", "strip", Part.BODY, work) for i, work in enumerate(works, 1))
    return Script(field.loom, (PieceSpec("strip"),), steps)


def hood(pegs: int, count: int) -> Script:
    """A folded-strip hood with a cord, ``count`` rows (even) long."""
    field = _field(pegs)
    loom, half = field.loom, count // 2
    moves, stacked = free_end_pegs(loom, 1, 1)
    live, edge = alternating(loom, 1, pegs, stacked), alternating(loom, 1, pegs)
    sides = (("strip", Edge.RIGHT, 1, half), ("strip", Edge.RIGHT, count, half + 1))
    both = (("strip", Edge.LIVE), ("strip", Edge.CAST_ON))
    works: tuple[tuple[str, Work], ...] = (
        *(("strip", work) for work in _knitted(field, count)),
        ("strip", moves),
        ("cord", cord(loom, 1, YARN, 120, 6, 150.0, 30.0)),
        ("strip", (ThreadLive("cord", live), LiftOff("strip"), Fold("strip", half))),
        ("strip", (ThreadCastOn("cord", "strip", edge), PullAnchor())),
        ("strip", (TakeLength("seam yarn", YARN, 700.0), SeamEdges("seam yarn", *sides))),
        ("strip", (FastenOff("seam yarn"), DrawUp("cord", both))),
        ("strip", (WeaveIn("strip"), WeaveIn("cord"))),
    )
    steps = tuple(Step(i, "work", p, Part.BODY, work) for i, (p, work) in enumerate(works, 1))
    return Script(loom, (PieceSpec("strip"), PieceSpec("cord", Cloth.CORD)), steps)


def _field(pegs: int) -> Field:
    loom = Loom(Arrangement.OPPOSED, pegs, 11.0, 25.4, 4.0)
    return Field(loom, shipped("double-board stockinette"), 1, pegs)


def _knitted(field: Field, count: int) -> tuple[Work, ...]:
    return (
        cast_on(field, YARN, 150.0, 30.0),
        first_row(field),
        more_rows(field, count - 1),
        (CutYarn(200.0),),
    )


if __name__ == "__main__":
    _blanket_arrays()
