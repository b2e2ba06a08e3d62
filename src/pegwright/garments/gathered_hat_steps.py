"""The steps of a gathered-top hat: on a ring, bottom-up and sideways."""

from __future__ import annotations

from pegwright.garments.base import Brief
from pegwright.garments.blocks import alternating
from pegwright.garments.edges import (
    chain_seam,
    close_cast_on,
    graft_ends,
    graft_yarn_mm,
    pull_anchor,
)
from pegwright.garments.hat_shape import GATHER, HatShape
from pegwright.garments.pieces import close_piece, knit_piece
from pegwright.garments.strip import Steps, strip_steps
from pegwright.knitting.operations import (
    DrawUp,
    Edge,
    FastenOff,
    HemEdge,
    LiftOff,
    Part,
    TakeLength,
    ThreadEdge,
    ThreadLive,
    WeaveIn,
)

__all__ = ["ring_steps", "sideways_steps", "upright_steps"]


def ring_steps(brief: Brief, shape: HatShape) -> Steps:
    """In the round: no seam."""
    steps = Steps()
    field = shape.strip.field
    knit_piece(steps, brief, "tube", field, shape.strip.rows, "hat-round-rows")
    _thread_top(steps, brief, shape)
    close_piece(steps, brief, "tube", field)
    _end(steps, brief, shape, Edge.LIVE)
    return steps


def upright_steps(brief: Brief, shape: HatShape) -> Steps:
    """Bottom-up: the side edges are sewn together."""
    steps, strip = Steps(), shape.strip
    strip_steps(steps, strip, brief.yarn("body").name)
    _thread_top(steps, brief, shape)
    close_cast_on(steps, brief, strip)
    chain_seam(steps, brief, "side-seam", (Edge.LEFT, 1, strip.rows), (Edge.RIGHT, 1, strip.rows))
    _end(steps, brief, shape, Edge.LIVE)
    return steps


def sideways_steps(brief: Brief, shape: HatShape) -> Steps:
    """Sideways: the ends are joined, and the right edge is gathered."""
    steps, strip = Steps(), shape.strip
    strip_steps(steps, strip, brief.yarn("body").name)
    graft_ends(steps, brief, strip)
    pull_anchor(steps, brief)
    steps.add(
        "hat-thread-edge",
        "strip",
        Part.GATHER,
        _gathering(brief, shape),
        ThreadEdge(GATHER, "strip", Edge.RIGHT, 1, strip.rows),
    )
    _end(steps, brief, shape, Edge.RIGHT)
    return steps


def _gathering(brief: Brief, shape: HatShape) -> TakeLength:
    return TakeLength(GATHER, brief.yarn("body").name, shape.facts["gather_mm"], Part.GATHER)


def _thread_top(steps: Steps, brief: Brief, shape: HatShape) -> None:
    """Take the last row off on the gathering yarn."""
    field, piece = shape.strip.field, shape.piece_name
    live = ThreadLive(GATHER, alternating(brief.loom, field.first, field.last))
    steps.add("hat-thread-live", piece, Part.GATHER, _gathering(brief, shape), live, LiftOff(piece))


def _end(steps: Steps, brief: Brief, shape: HatShape, top: Edge) -> None:
    """Sew or turn the brim, draw the top up, weave the tails in."""
    piece = shape.piece_name
    if shape.doubled and shape.fold == "sewn":
        yarn = brief.yarn("seam")
        length_mm = graft_yarn_mm(
            shape.strip.field.columns, brief.gauge.wale.value, yarn.wrapped_diameter_mm
        )
        steps.add(
            "hat-hem",
            piece,
            Part.SEAM,
            TakeLength("hem yarn", yarn.name, length_mm, Part.SEAM),
            HemEdge("hem yarn", piece, Edge.CAST_ON, shape.brim_rows),
            FastenOff("hem yarn"),
        )
    draw = DrawUp(GATHER, ((piece, top),))
    steps.add("hat-draw-up", piece, Part.GATHER, draw, FastenOff(GATHER))
    key = "hat-finish-turned" if shape.doubled and shape.fold == "turned" else "finish"
    steps.add(key, piece, Part.TAILS, WeaveIn(piece))
