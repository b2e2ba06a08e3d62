"""The pouch: a strip folded at the bottom, sewn at both sides, its mouth on a cord, drawn, or open.

A cord here is at nobody's neck, but it is a cord all the same: where a size is for a child, the
closing is replaced by drawn yarn as in every garment (see ``pegwright.safety``).
"""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, Measure, OptionKind, OptionSpec, Plan
from pegwright.garments.closing import (
    CORD_OPTIONS,
    Closing,
    cord_closing,
    drawn_closing,
    thread_cast_on_edge,
    thread_live_edge,
)
from pegwright.garments.edges import (
    COUNT_OPTIONS,
    bind_off,
    chain_seam,
    check_cloth,
    close_cast_on,
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
    Outline,
    Stage,
    rectangle,
)
from pegwright.garments.strip import TAIL_MM, Steps, Strip, choose_strip, strip_steps
from pegwright.knitting import operations
from pegwright.knitting.operations import DrawUp, FastenOff, Fold, Part, WeaveIn
from pegwright.knitting.script import PieceSpec, Script
from pegwright.knitting.wraps import Cloth
from pegwright.measured import Measured
from pegwright.tongue.said import say

__all__ = ["POUCH", "Pouch"]

MOUTH_OF_ROUND = 0.75
"""Mouth of a drawn pouch over its round, where none is given (an assumption, no source)."""


@dataclass(frozen=True, slots=True)
class Pouch:
    """The pouch as a garment; see the module."""

    name: str = "pouch"
    title: str = "Pouch"
    words: str = "A strip folded at the bottom and sewn at both sides, with a mouth that draws in."
    measures: tuple[Measure, ...] = (
        Measure("width", say("across the pouch, lying flat"), True, 40.0, 600.0),
        Measure("height", say("from the bottom fold to the mouth"), True, 40.0, 800.0),
        Measure("mouth", say("round the mouth when it is drawn in"), False, 40.0, 1_200.0),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec(
            "closing",
            OptionKind.CHOICE,
            "how the mouth closes: a knitted cord, yarn drawn in and fastened off, or not at all",
            "cord",
            ("cord", "drawn", "open"),
        ),
        *CORD_OPTIONS,
        *COUNT_OPTIONS,
    )
    wraps: tuple[str, ...] = ()
    yarn_parts: tuple[str, ...] = ("body", "cord", "seam")
    takes_stripes: bool = True

    def plan(self, brief: Brief) -> Plan:
        """Work one size out.

        :raises NotPossible: where the board is too short or the wrap does not fit, or for a cord on
            one row of pegs.
        """
        check_cloth(brief, "a pouch")
        measures = brief.measures
        strip = choose_strip(brief, measures["width"], 2 * measures["height"], even_rows=True)
        mouth = _mouth(brief, strip)
        steps = _steps(brief, strip, mouth)
        pieces = [PieceSpec("strip", brief.wrap.cloth)]
        if mouth is not None and mouth.is_cord:
            pieces.append(PieceSpec("cord", Cloth.CORD))
        half = strip.rows // 2
        return Plan(
            garment=self.name,
            size=brief.size,
            wearer=brief.wearer,
            group="open" if mouth is None else "cord" if mouth.is_cord else "drawn",
            script=Script(brief.loom, tuple(pieces), tuple(steps.made), brief.size),
            wrap=brief.wrap,
            pieces=(strip.piece,),
            finished=_finished(strip, mouth),
            facts={
                **strip_facts(strip),
                "fold_row": half,
                "seam_chains": half,
                **({} if mouth is None else mouth.facts),
            },
            choices=strip.choices + (() if mouth is None else mouth.choices),
            parts=tuple(dict.fromkeys(s.part for s in steps.made)),
            make_up=_make_up(strip, mouth, is_anchored(brief)),
        )


POUCH = Pouch()


def _mouth(brief: Brief, strip: Strip) -> Closing | None:
    """What closes the mouth; a cord must let it open to the pouch's full round."""
    closing = brief.options.get("closing") or "cord"
    round_mm = 2 * strip.piece.width.value
    if closing == "open":
        return None
    if closing == "drawn":
        drawn_mm = brief.measures.get("mouth", MOUTH_OF_ROUND * round_mm)
        if drawn_mm > round_mm:
            raise NotPossible(
                "the mouth is to be drawn in to more than the pouch is round",
                given=f"{drawn_mm:.0f} mm, and the pouch is {round_mm:.0f} mm round",
                hint="give a smaller mouth, or more width",
            )
        return drawn_closing(drawn_mm)
    if not brief.loom.is_double:
        raise NotPossible(
            "the cord is knitted on two pegs that face each other",
            given=f"{brief.loom.name} ({brief.loom.arrangement})",
            hint='say closing = "drawn" or "open", or use a board with two facing rows',
        )
    return cord_closing(brief, round_mm, say("round the open mouth"))


def _steps(brief: Brief, strip: Strip, mouth: Closing | None) -> Steps:
    steps = Steps()
    strip_steps(steps, strip, brief.yarn("body").name)
    half = strip.rows // 2
    fold = Fold("strip", half)
    if mouth is None:
        bind_off(steps, strip)
        close_cast_on(steps, brief, strip)
        steps.add("fold-bottom", "strip", Part.BODY, fold)
    else:
        yarn_mm = 2 * strip.piece.width.value + 2 * TAIL_MM
        thread_live_edge(steps, brief, strip, mouth, "mouth-live", yarn_mm)
        steps.add("fold-bottom", "strip", Part.BODY, fold)
        thread_cast_on_edge(steps, brief, strip, mouth, "mouth-cast-on")
        pull_anchor(steps, brief)
    for edge in (operations.Edge.LEFT, operations.Edge.RIGHT):
        one, other = (edge, 1, half), (edge, strip.rows, half + 1)
        chain_seam(steps, brief, f"pouch-seam-{edge}", one, other, f"{edge} seam yarn")
    woven = [WeaveIn("strip")]
    if mouth is not None:
        draw = DrawUp(
            mouth.carrier,
            (("strip", operations.Edge.LIVE), ("strip", operations.Edge.CAST_ON)),
        )
        fasten = () if mouth.is_cord else (FastenOff(mouth.carrier),)
        steps.add("mouth-draw-up", "strip", Part.GATHER, draw, *fasten)
        if mouth.is_cord:
            woven.append(WeaveIn("cord"))
    steps.add("finish", "strip", Part.TAILS, *woven)
    return steps


def _finished(strip: Strip, mouth: Closing | None) -> dict[str, Measured]:
    finished = {"width": strip.piece.width, "height": strip.piece.length.scale(0.5)}
    if mouth is None:
        return finished
    if mouth.is_cord:
        return {**finished, **mouth.finished}
    return {**finished, "mouth": Measured(mouth.gathered_mm)}


# --- the figure ----------------------------------------------------------------------------------


def _make_up(strip: Strip, mouth: Closing | None, anchored: bool) -> MakeUp:
    w, h = strip.piece.width.value, strip.piece.length.value
    stages = [_flat(w, h, mouth, anchored), _folded(w, h / 2, mouth), _sewn(w, h / 2)]
    if mouth is not None:
        stages.append(_drawn(w, h / 2, mouth))
    return MakeUp(
        say("Fold, sew the sides")
        if mouth is None
        else say("Fold, sew the sides and draw the mouth in"),
        tuple(stages),
        bottom=say("cast-on edge, at the mouth"),
        top=say("last row, at the mouth"),
        sides=say("both side edges are sewn"),
        fold_at=0.5,
    )


def _flat(w: float, h: float, mouth: Closing | None, anchored: bool) -> Stage:
    top = EdgeRole.PLAIN if mouth is None else EdgeRole.LIVE
    bottom = top if anchored else EdgeRole.PLAIN
    flat = rectangle(
        w,
        h,
        bottom=Edge(bottom, say("cast-on edge")),
        top=Edge(top, say("last row")),
        left=Edge(label=say("left edge")),
        right=Edge(label=say("right edge")),
        inner=(Inner((0.0, h / 2), (w, h / 2), Edge(EdgeRole.FOLD, say("fold"))),),
    )
    return Stage(
        (flat,),
        say("Strip, flat"),
        say(
            "A flat strip with a fold line half way up; an arrow shows the last row brought down "
            "to the cast-on edge."
        ),
        (Arrow((w * 0.75, h * 0.88), (w * 0.75, h * 0.12)),),
    )


def _folded(w: float, h: float, mouth: Closing | None) -> Stage:
    role = EdgeRole.PLAIN if mouth is None else EdgeRole.LIVE
    folded = rectangle(
        w,
        h,
        bottom=Edge(EdgeRole.FOLD, say("bottom fold")),
        top=Edge(role, say("mouth")),
        left=Edge(label=say("side edges")),
        right=Edge(label=say("side edges")),
        layers=2,
    )
    return Stage(
        (folded,),
        say("Folded; the fold is the bottom"),
        say(
            "The strip folded in half and turned so that the fold is below and both ends lie "
            "together above, at the mouth."
        ),
    )


def _sewn(w: float, h: float) -> Stage:
    sewn = rectangle(
        w,
        h,
        bottom=Edge(EdgeRole.FOLD),
        top=Edge(EdgeRole.OPENING, say("mouth")),
        left=Edge(EdgeRole.SEAM, say("side seam")),
        right=Edge(EdgeRole.SEAM, say("side seam")),
        layers=2,
    )
    return Stage(
        (sewn,),
        say("Both sides sewn"),
        say("Both side edges are sewn from the mouth down to the fold."),
    )


def _drawn(w: float, h: float, mouth: Closing) -> Stage:
    part = 0.5 if mouth.is_cord else max(0.3, mouth.gathered_mm / (2 * w))
    inset = w * (1 - part) / 2
    outline = Outline(
        ((0.0, 0.0), (w, 0.0), (w, h * 0.62), (w - inset, h), (inset, h), (0.0, h * 0.62)),
        (
            Edge(EdgeRole.FOLD),
            Edge(EdgeRole.SEAM),
            Edge(EdgeRole.SEAM),
            Edge(EdgeRole.GATHER, say("mouth")),
            Edge(EdgeRole.SEAM),
            Edge(EdgeRole.SEAM),
        ),
        layers=2,
        ends=((w - inset, h), (w - inset, h)) if mouth.is_cord else (),
    )
    if mouth.is_cord:
        return Stage(
            (outline,),
            say("Mouth drawn in on the cord"),
            say(
                "The finished pouch, its mouth gathered above, with both ends of the cord at the "
                "right."
            ),
        )
    return Stage(
        (outline,),
        say("Mouth drawn in on the yarn"),
        say("The finished pouch, its mouth gathered above, the yarn fastened."),
    )
