"""The hood's sewn channel: both neck edges finished flat, folded over and sewn down.

A channel holds a cord that can be drawn out again for washing.  The back seam joins the outer
layers alone, so that the channel runs on behind it from one neck edge to the other.
"""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.garments.base import Brief
from pegwright.garments.closing import Closing, knit_cord
from pegwright.garments.edges import bind_off, chain_seam, close_cast_on, graft_yarn_mm
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
from pegwright.garments.strip import TAIL_MM, Steps, Strip
from pegwright.knitting import operations
from pegwright.knitting.operations import (
    FastenOff,
    Fold,
    HemEdge,
    Operation,
    Part,
    TakeLength,
    ThreadChannel,
)
from pegwright.tongue.said import say

__all__ = ["Channel", "channel_make_up", "channel_steps"]

_LEAST_DRAWN = 0.055
"""A channel is drawn no narrower than this part of the strip, so that it can be seen."""

_EDGES = (operations.Edge.CAST_ON, operations.Edge.LIVE)


@dataclass(frozen=True, slots=True)
class Channel:
    """A channel: rows folded over at each neck edge."""

    rows: int

    def facts(self, strip_rows: int) -> dict[str, float]:
        """The numbers that its steps name; the seam is shorter by what is folded over."""
        return {
            "channel_rows": self.rows,
            "channel_seam_row": 2 * self.rows,
            "seam_from": self.rows + 1,
            "seam_chains": strip_rows // 2 - self.rows,
        }


def channel_steps(
    steps: Steps, brief: Brief, strip: Strip, neck: Closing, channel: Channel
) -> None:
    """Finish both ends, sew the channel, fold, sew the back, and draw the carrier through."""
    bind_off(steps, strip)
    close_cast_on(steps, brief, strip)
    _hem(steps, brief, strip, channel)
    half, over = strip.rows // 2, channel.rows
    steps.add("fold", "strip", Part.BODY, Fold("strip", half))
    left = operations.Edge.LEFT
    one, other = (left, over + 1, half), (left, strip.rows - over, half + 1)
    chain_seam(steps, brief, "seam-channel", one, other)
    take: list[Operation] = []
    if neck.is_cord:
        knit_cord(steps, brief, strip, neck, "cord-alone")
    else:
        length_mm = 2 * strip.piece.width.value + 2 * TAIL_MM
        yarn = brief.yarn("body").name
        take.append(TakeLength(neck.carrier, yarn, length_mm, Part.GATHER))
    through = [ThreadChannel(neck.carrier, "strip", edge) for edge in _EDGES]
    steps.add("thread-channel", "strip", Part.GATHER, *take, *through)


def _hem(steps: Steps, brief: Brief, strip: Strip, channel: Channel) -> None:
    yarn = brief.yarn("seam")
    length_mm = graft_yarn_mm(strip.field.last, brief.gauge.wale.value, yarn.wrapped_diameter_mm)
    work: list[Operation] = []
    for edge in _EDGES:
        name = f"{edge} hem yarn"
        work += [
            TakeLength(name, yarn.name, length_mm, Part.SEAM),
            HemEdge(name, "strip", edge, channel.rows),
            FastenOff(name),
        ]
    steps.add("hem", "strip", Part.SEAM, *work)


# --- the figure ----------------------------------------------------------------------------------


def channel_make_up(strip: Strip, over_mm: float, *, corded: bool) -> MakeUp:
    """The stages from flat strip to hood.

    :param over_mm: what is folded over at each end.
    """
    w, h = strip.piece.width.value, strip.piece.length.value
    over_mm = max(over_mm, _LEAST_DRAWN * h)
    carrier = "cord" if corded else "yarn"
    return MakeUp(
        say("Sew the channel, fold, seam and draw up"),
        (
            _flat(w, h, over_mm),
            _hemmed(w, h, over_mm),
            _seamed(w, h, over_mm),
            _drawn(w, h, carrier),
        ),
        bottom=say("cast-on edge, at the neck"),
        top=say("last row, at the neck"),
        sides=say("left: back seam; right: face"),
        fold_at=0.5,
    )


def _flat(w: float, h: float, over: float) -> Stage:
    folds = tuple(Inner((0.0, y), (w, y), Edge(EdgeRole.FOLD)) for y in (over, h - over))
    flat = rectangle(
        w,
        h,
        bottom=Edge(label=say("neck edge, finished")),
        top=Edge(label=say("neck edge, finished")),
        left=Edge(label=say("back edge")),
        right=Edge(label=say("face edge")),
        inner=folds,
    )
    return Stage(
        (flat,),
        say("Both ends finished; a fold near each"),
        say(
            "A flat strip, a neck edge finished at each end and a fold line a little way in from "
            "both."
        ),
    )


def _hemmed(w: float, h: float, over: float) -> Stage:
    sewn = tuple(Inner((0.0, y), (w, y), Edge(EdgeRole.SEAM)) for y in (2 * over, h - 2 * over))
    middle = Inner((0.0, h / 2), (w, h / 2), Edge(EdgeRole.FOLD, say("fold")))
    hemmed = rectangle(
        w,
        h - 2 * over,
        bottom=Edge(EdgeRole.FOLD, say("channel")),
        top=Edge(EdgeRole.FOLD, say("channel")),
        left=Edge(label=say("back edge")),
        right=Edge(label=say("face edge")),
        inner=(*sewn, middle),
        at=(0.0, over),
    )
    return Stage(
        (hemmed,),
        say("Ends folded in and sewn down"),
        say(
            "The strip with both ends folded to the inside and sewn down, each a channel that is "
            "open at its sides. An arrow shows the upper end brought down to the lower at the fold "
            "line."
        ),
        (Arrow((w * 0.72, h * 0.84), (w * 0.72, h * 0.16)),),
    )


def _seamed(w: float, h: float, over: float) -> Stage:
    tall = h / 2 - over
    sewn = Inner((0.0, over), (w, over), Edge(EdgeRole.SEAM))
    seamed = rectangle(
        w,
        tall,
        bottom=Edge(EdgeRole.FOLD, say("channels, open inside")),
        top=Edge(EdgeRole.FOLD, say("crown")),
        left=Edge(EdgeRole.SEAM, say("back seam")),
        right=Edge(label=say("face, open")),
        layers=2,
        inner=(sewn,),
    )
    return Stage(
        (seamed,),
        say("Folded at the crown, back sewn"),
        say(
            "The strip doubled, the crown fold above and the channels below; the back edges are "
            "sewn together, outer layers only."
        ),
    )


def _drawn(w: float, h: float, carrier: str) -> Stage:
    tall, neck = h / 2, w * 0.62
    inset = (w - neck) / 2
    points = ((inset, 0.0), (inset + neck, 0.0), (w, tall * 0.35), (w, tall), (0.0, tall))
    outline = Outline(
        (*points, (0.0, tall * 0.35)),
        (
            Edge(EdgeRole.GATHER, say("neck")),
            Edge(),
            Edge(label=say("face")),
            Edge(EdgeRole.FOLD, say("crown")),
            Edge(EdgeRole.SEAM, say("back")),
            Edge(EdgeRole.SEAM),
        ),
        layers=2,
        ends=((inset + neck, 0.0), (inset + neck, 0.0)) if carrier == "cord" else (),
    )
    if carrier == "cord":
        return Stage(
            (outline,),
            say("Neck drawn up on the cord"),
            say(
                "The hood from the side: the crown above, the face at the right, the back seam at "
                "the left and the neck gathered below, two ends of the cord in front."
            ),
        )
    return Stage(
        (outline,),
        say("Neck drawn up on the yarn"),
        say(
            "The hood from the side: the crown above, the face at the right, the back seam at the "
            "left and the neck gathered below, the yarn fastened off."
        ),
    )
