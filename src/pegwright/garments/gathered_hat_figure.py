"""How a gathered-top hat is made up, in stages, for its three ways of knitting."""

from __future__ import annotations

from pegwright.garments.base import Brief
from pegwright.garments.edges import is_anchored
from pegwright.garments.hat_shape import HatShape, Worked
from pegwright.garments.make_up import (
    Arrow,
    Edge,
    EdgeRole,
    Inner,
    MakeUp,
    Outline,
    Stage,
    rectangle,
)
from pegwright.tongue.said import joined, say

__all__ = ["hat_make_up"]

_SIDES = say("side edges, to be sewn")


def hat_make_up(brief: Brief, shape: HatShape) -> MakeUp:
    """The stages from tube or strip to hat."""
    match shape.worked:
        case Worked.RING:
            stages: tuple[Stage, ...] = (_off_the_ring(shape), _hat(shape, seam=False))
            return MakeUp(
                say("Gather the top"),
                stages,
                say("cast-on edge, the brim"),
                say("last row"),
                say("a tube: no seam"),
            )
        case Worked.BOTTOM_UP:
            stages = (_flat(shape), _sewn(shape), _hat(shape, seam=True))
            return MakeUp(
                say("Sew and gather"),
                stages,
                say("cast-on edge, the brim"),
                say("last row, the top"),
                _SIDES,
            )
        case Worked.SIDEWAYS:
            stages = (_strip(shape, is_anchored(brief)), _ring(shape), _hat(shape, seam=True))
            return MakeUp(
                say("Join and gather"),
                stages,
                say("cast-on edge, to be joined"),
                say("last row, to be joined"),
                say("left: brim; right: top"),
            )


def _off_the_ring(shape: HatShape) -> Stage:
    w, h = shape.around.value / 2, shape.strip.piece.length.value
    tube = rectangle(
        w,
        h,
        bottom=Edge(EdgeRole.OPENING, say("cast-on edge")),
        right=Edge(EdgeRole.FOLD),
        top=Edge(EdgeRole.LIVE, say("last row, on yarn")),
        left=Edge(EdgeRole.FOLD),
        inner=_fold_line(shape, w),
    )
    words = say(
        "The tube lying flat, soft folds at both sides; its cast-on edge below is open, and its "
        "last row above is on the gathering yarn."
    )
    return Stage((tube,), say("Tube, off the ring"), words)


def _flat(shape: HatShape) -> Stage:
    w, h = shape.around.value, shape.strip.piece.length.value
    side = Edge(label=say("side edge"))
    strip = rectangle(
        w,
        h,
        bottom=Edge(label=say("cast-on edge")),
        right=side,
        top=Edge(EdgeRole.LIVE, say("last row, on yarn")),
        left=side,
        inner=_fold_line(shape, w),
    )
    words = say(
        "A flat strip, its last row on the gathering yarn; an arrow shows the right side edge "
        "brought round to the left one."
    )
    return Stage((strip,), say("Strip, off the board"), words, (_round(w, h),))


def _round(w: float, h: float) -> Arrow:
    return Arrow((w * 0.9, h * 0.5), (w * 0.1, h * 0.5))


def _sewn(shape: HatShape) -> Stage:
    w, h = shape.around.value / 2, shape.strip.piece.length.value
    tube = rectangle(
        w,
        h,
        bottom=Edge(EdgeRole.OPENING, say("cast-on edge")),
        right=Edge(EdgeRole.FOLD),
        top=Edge(EdgeRole.LIVE, say("last row, on yarn")),
        left=Edge(EdgeRole.SEAM),
        inner=_fold_line(shape, w),
    )
    words = say("The strip doubled, a fold at the right and the side seam at the left.")
    return Stage((tube,), say("Side edges sewn"), words)


def _fold_line(shape: HatShape, width_mm: float) -> tuple[Inner, ...]:
    """Where a double brim will be folded."""
    if not shape.doubled or shape.worked is Worked.SIDEWAYS:
        return ()
    up = shape.brim.value
    return (Inner((0.0, up), (width_mm, up), Edge(EdgeRole.FOLD)),)


def _strip(shape: HatShape, anchored: bool) -> Stage:
    w, h = shape.strip.piece.width.value, shape.around.value
    end = EdgeRole.LIVE if anchored else EdgeRole.PLAIN
    up = shape.brim.value
    fold = (Inner((up, 0.0), (up, h), Edge(EdgeRole.FOLD)),) if shape.doubled else ()
    strip = rectangle(
        w,
        h,
        bottom=Edge(end, say("cast-on edge")),
        right=Edge(label=say("top")),
        top=Edge(EdgeRole.LIVE, say("last row")),
        left=Edge(label=say("brim")),
        inner=fold,
    )
    words = say(
        "A flat strip, the brim along its left edge and the top of the hat along its right; an "
        "arrow shows the last row brought down to the cast-on edge."
    )
    arrow = Arrow((w * 0.55, h * 0.88), (w * 0.55, h * 0.12))
    return Stage((strip,), say("Strip, no twist in it"), words, (arrow,))


def _ring(shape: HatShape) -> Stage:
    w, h = shape.around.value / 2, shape.strip.piece.width.value
    ring = rectangle(
        w,
        h,
        bottom=Edge(EdgeRole.OPENING, say("brim")),
        right=Edge(EdgeRole.FOLD),
        top=Edge(label=say("top")),
        left=Edge(EdgeRole.FOLD),
        inner=(Inner((w * 0.2, 0.0), (w * 0.2, h), Edge(EdgeRole.SEAM)),),
    )
    words = say(
        "The strip joined to a ring and turned on its side: the brim below, the top above, and the "
        "join running from the one to the other."
    )
    return Stage((ring,), say("Ends joined"), words)


def _hat(shape: HatShape, *, seam: bool) -> Stage:
    """The hat with its top drawn together."""
    w, h = shape.around.value / 2, shape.depth.value
    shoulder = 0.72 * h
    outline = Outline(
        ((0.0, 0.0), (w, 0.0), (w, shoulder), (0.6 * w, h), (0.4 * w, h), (0.0, shoulder)),
        (
            Edge(EdgeRole.OPENING, _brim_words(shape)),
            Edge(),
            Edge(),
            Edge(EdgeRole.GATHER, say("drawn up")),
            Edge(),
            Edge(),
        ),
        inner=_seam_and_brim(shape, w, h, seam=seam),
    )
    words = say("The hat: its top drawn together on the gathering yarn, and open below.")
    if shape.doubled:
        turned = shape.fold == "turned"
        up = say("The brim is double, turned up outside.")
        sewn = say("The brim is double, folded in and sewn down.")
        words = joined((words, up if turned else sewn))
    return Stage((outline,), say("Top drawn up"), words)


def _brim_words(shape: HatShape) -> str:
    if not shape.doubled:
        return say("open")
    return say("brim turned up") if shape.fold == "turned" else say("brim sewn inside")


def _seam_and_brim(shape: HatShape, w: float, h: float, *, seam: bool) -> tuple[Inner, ...]:
    lines = []
    if shape.doubled:
        up = shape.brim.value
        lines.append(Inner((0.0, up), (w, up), Edge(EdgeRole.PLAIN)))
    if seam:
        start = shape.brim.value if shape.doubled and shape.fold == "turned" else 0.0
        lines.append(Inner((0.2 * w, start), (0.2 * w, 0.82 * h), Edge(EdgeRole.SEAM)))
    return tuple(lines)
