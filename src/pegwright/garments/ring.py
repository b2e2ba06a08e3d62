"""A strip closed to a ring: its ends joined loop to loop, or its side edges sewn together.

What cowls and headbands share.  A strip joined at its ends is as wide as the ring is high and as
long as it is round; sewn at its sides it is as wide as the ring is round, so it needs a long board.
"""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.garments.base import Brief, OptionKind, OptionSpec, Plan
from pegwright.garments.edges import (
    COUNT_OPTIONS,
    bind_off,
    chain_seam,
    check_cloth,
    close_cast_on,
    graft_ends,
    graft_yarn_mm,
    is_anchored,
    pull_anchor,
    strip_facts,
)
from pegwright.garments.make_up import (
    Arrow,
    Edge,
    EdgeRole,
    Inner,
    MakeUp,
    Stage,
    rectangle,
)
from pegwright.garments.strip import Steps, Strip, choose_strip, strip_steps
from pegwright.knitting import operations
from pegwright.knitting.operations import Part, WeaveIn
from pegwright.knitting.script import PieceSpec, Script
from pegwright.measured import Measured
from pegwright.tongue.said import say

__all__ = ["COUNT_OPTIONS", "JOIN", "Ring", "check_cloth", "plan_ring"]

JOIN = OptionSpec(
    "join",
    OptionKind.CHOICE,
    "how the ring closes: the ends joined loop to loop, or the side edges sewn (a long board)",
    "ends",
    ("ends", "side"),
)


@dataclass(frozen=True, slots=True)
class Ring:
    """A ring that is wanted: its sizes in mm and how it closes.

    :param body: what the body measures, by the name of the finished measurement.
    """

    round_mm: float
    height_mm: float
    join: str
    body: dict[str, float]


def plan_ring(garment: str, brief: Brief, ring: Ring) -> Plan:
    """Work a ring out.

    :raises NotPossible: where the board is too short or the wrap does not fit.
    """
    check_cloth(brief, f"the {garment}")
    ends = ring.join == "ends"
    width_mm, length_mm = (
        (ring.height_mm, ring.round_mm) if ends else (ring.round_mm, ring.height_mm)
    )
    strip = choose_strip(brief, width_mm, length_mm, even_rows=False)
    piece = strip.piece
    steps = Steps()
    strip_steps(steps, strip, brief.yarn("body").name)
    if ends:
        graft_ends(steps, brief, strip)
        pull_anchor(steps, brief)
    else:
        bind_off(steps, strip)
        close_cast_on(steps, brief, strip)
        one = (operations.Edge.LEFT, 1, strip.rows)
        other = (operations.Edge.RIGHT, 1, strip.rows)
        chain_seam(steps, brief, "side-seam", one, other)
    steps.add("finish", "strip", Part.TAILS, WeaveIn("strip"))
    around, height = (piece.length, piece.width) if ends else (piece.width, piece.length)
    return Plan(
        garment=garment,
        size=brief.size,
        wearer=brief.wearer,
        group=ring.join,
        script=Script(
            brief.loom, (PieceSpec("strip", brief.wrap.cloth),), tuple(steps.made), brief.size
        ),
        wrap=brief.wrap,
        pieces=(piece,),
        finished={"round": around, "height": height},
        facts={**strip_facts(strip), **_facts(brief, strip, ends)},
        choices=strip.choices,
        parts=tuple(dict.fromkeys(s.part for s in steps.made)),
        body=ring.body,
        make_up=_make_up(brief, piece.width, piece.length, ends),
    )


def _facts(brief: Brief, strip: Strip, ends: bool) -> dict[str, float]:
    if not ends:
        return {"seam_chains": strip.rows}
    loops = strip.field.last * (2 if brief.loom.is_double else 1)
    diameter_mm = brief.yarn("seam").wrapped_diameter_mm
    return {"graft_mm": graft_yarn_mm(loops, brief.gauge.wale.value, diameter_mm)}


def _make_up(brief: Brief, width: Measured, length: Measured, ends: bool) -> MakeUp:
    w, h = width.value, length.value
    if ends:
        return _joined_ends(w, h, is_anchored(brief))
    seam = Edge(EdgeRole.PLAIN, say("side edge"))
    flat = rectangle(
        w,
        h,
        bottom=Edge(label=say("cast-on edge")),
        top=Edge(label=say("last row")),
        left=seam,
        right=seam,
    )
    ring = rectangle(
        w / 2,
        h,
        bottom=Edge(EdgeRole.PLAIN),
        right=Edge(EdgeRole.FOLD),
        top=Edge(EdgeRole.OPENING, say("open")),
        left=Edge(EdgeRole.SEAM, say("side seam")),
    )
    return MakeUp(
        say("Close the ring"),
        (
            Stage(
                (flat,),
                say("Both ends finished"),
                say(
                    "A flat strip, its cast-on edge and its last row finished; an arrow shows the "
                    "right side edge brought round to the left one."
                ),
                (Arrow((w * 0.9, h * 0.5), (w * 0.1, h * 0.5)),),
            ),
            Stage(
                (ring,),
                say("Side edges sewn: a ring"),
                say(
                    "The strip doubled, a fold at the right and the side seam at the left; it is "
                    "open above and below."
                ),
            ),
        ),
        sides=say("side edges, to be sewn together"),
    )


def _joined_ends(w: float, h: float, anchored: bool) -> MakeUp:
    cast_on = EdgeRole.LIVE if anchored else EdgeRole.PLAIN
    flat = rectangle(
        w,
        h,
        bottom=Edge(cast_on, say("cast-on edge")),
        top=Edge(EdgeRole.LIVE, say("last row")),
        left=Edge(label=say("side edge")),
        right=Edge(label=say("side edge")),
    )
    join = Inner((h * 0.15, 0.0), (h * 0.15, w), Edge(EdgeRole.SEAM))
    ring = rectangle(
        h / 2,
        w,
        right=Edge(EdgeRole.FOLD),
        top=Edge(EdgeRole.OPENING, say("open")),
        left=Edge(EdgeRole.FOLD),
        inner=(join,),
    )
    return MakeUp(
        say("Join the ends to a ring"),
        (
            Stage(
                (flat,),
                say("Strip, no twist in it"),
                say(
                    "A flat strip with open loops at its last row; an arrow shows the last row "
                    "brought down to the cast-on edge."
                ),
                (Arrow((w * 0.45, h * 0.88), (w * 0.45, h * 0.12)),),
            ),
            Stage(
                (ring,),
                say("Ends joined: a ring"),
                say(
                    "The ring lying flat and turned on its side: soft folds at the left and right, "
                    "the join running from edge to edge across it, open above and below."
                ),
            ),
        ),
        bottom=say("cast-on edge, to be joined"),
        top=say("last row, to be joined"),
    )
