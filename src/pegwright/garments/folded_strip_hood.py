"""The folded-strip hood: a strip, folded at the crown, seamed behind, gathered at the neck.

The strip is as wide as the hood is deep (face to back) and twice as long as the hood is high.  Its
left edge, where the yarn begins, becomes the back seam; its right edge frames the face.  The
cast-on and the last row meet at the neck.

Closings: ``cord`` (a knitted two-peg cord runs through both neck edges and ties in front),
``drawn`` (a length of yarn runs through both, is drawn to the neck's measure and fastened off: no
free ends) and ``channel`` (the neck edges are finished flat, folded over and sewn down, and the
cord is drawn through the channel, so that it can be taken out; only an adult's takes a cord, every
other wearer's takes drawn yarn).  Which of them a wearer may have is not decided here; see
``pegwright.safety``.
"""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, Measure, OptionKind, OptionSpec, Plan, Wearer
from pegwright.garments.closing import (
    CORD_OPTIONS,
    Closing,
    cord_closing,
    drawn_closing,
    thread_cast_on_edge,
    thread_live_edge,
)
from pegwright.garments.edges import chain_seam, pull_anchor, strip_facts
from pegwright.garments.hood_channel import Channel, channel_make_up, channel_steps
from pegwright.garments.make_up import MakeUp
from pegwright.garments.strip import TAIL_MM, Steps, Strip, choose_strip, strip_steps
from pegwright.knitting.operations import DrawUp, Edge, FastenOff, Fold, Part, WeaveIn
from pegwright.knitting.script import PieceSpec, Script
from pegwright.knitting.wraps import Cloth
from pegwright.measured import Measured
from pegwright.tongue.said import say
from pegwright.units import format_length

__all__ = ["FOLDED_STRIP_HOOD", "FoldedStripHood"]

HEIGHT_OF_HEAD = 0.58
"""Hood height over head circumference, before ease (common practice, no source)."""

DEPTH_OF_HEAD = 0.45
"""Hood depth over head circumference, before ease (common practice, no source)."""

NECK_OF_HEAD = 0.66
"""Neck over head circumference, where no neck is given (common practice, no source)."""

SHAPES = {"standard": 1.0, "shallow": 0.9, "deep": 1.12}
"""Depth of the hood over what the head asks for: a shallow one sits back from the face, a deep one
shades it (an assumption, no source)."""

CHANNEL_MM = 20.0
"""How wide a channel is that a knitted cord runs through freely (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class FoldedStripHood:
    """The hood as a garment; see the module."""

    name: str = "folded-strip-hood"
    title: str = "Folded-strip hood"
    words: str = (
        "A strip knitted on a double board, folded at the crown, seamed at the back and gathered "
        "at the neck."
    )
    measures: tuple[Measure, ...] = (
        Measure("head", say("round the head above the brows"), True, 250.0, 750.0),
        Measure("height", say("from the neck over the ear to the crown"), False, 120.0, 600.0),
        Measure("depth", say("from the face edge to the back of the head"), False, 80.0, 500.0),
        Measure("neck", say("round the neck where the hood closes"), False, 150.0, 700.0),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec(
            "closing",
            OptionKind.CHOICE,
            "how the neck closes: a knitted cord that ties, yarn drawn up and fastened off, or a "
            "sewn channel that the cord (for a child: the yarn) is drawn through",
            "cord",
            ("cord", "drawn", "channel"),
        ),
        OptionSpec(
            "shape",
            OptionKind.CHOICE,
            "how far the hood comes forward over the face",
            "standard",
            tuple(SHAPES),
        ),
        OptionSpec(
            "channel_rows",
            OptionKind.COUNT,
            "rows folded over for a channel, instead of by gauge",
            least=2,
            most=40,
        ),
        *CORD_OPTIONS,
        OptionSpec(
            "ease", OptionKind.LENGTH, "added to the height and the depth", 10.0, most=150.0
        ),
        OptionSpec("pegs", OptionKind.COUNT, "pegs a side, instead of by gauge", least=4, most=500),
        OptionSpec("rows", OptionKind.COUNT, "rows, instead of by gauge", least=4, most=20_000),
    )
    wraps: tuple[str, ...] = (
        "double-board stockinette",
        "double-board rib 1 by 1",
        "double-board rib 2 by 2",
    )
    yarn_parts: tuple[str, ...] = ("body", "cord", "seam")
    takes_stripes: bool = True

    def plan(self, brief: Brief) -> Plan:
        """Work one size out.

        :raises NotPossible: on a loom that is no double board, or one that is too short.
        """
        if not brief.loom.is_double:
            raise NotPossible(
                "the folded-strip hood is knitted on a double board",
                given=f"{brief.loom.name} ({brief.loom.arrangement})",
                hint="use a board with two facing rows",
            )
        body = _body(brief)
        channel = _channel(brief)
        strip = _strip(brief, body, channel)
        neck = _neck(brief, body["neck"])
        steps = _steps(brief, strip, neck, channel)
        pieces = [PieceSpec("strip", brief.wrap.cloth)]
        if neck.is_cord:
            pieces.append(PieceSpec("cord", Cloth.CORD))
        kind = "cord" if neck.is_cord else "drawn"
        return Plan(
            garment=self.name,
            size=brief.size,
            wearer=brief.wearer,
            group=kind if channel is None else f"channel-{kind}",
            script=Script(brief.loom, tuple(pieces), tuple(steps.made), brief.size),
            wrap=brief.wrap,
            pieces=(strip.piece,),
            finished=_finished(brief, strip, neck, channel),
            facts=_facts(strip, neck, channel),
            choices=strip.choices + neck.choices + _channel_words(brief, channel),
            parts=tuple(dict.fromkeys(s.part for s in steps.made)),
            body=body,
            make_up=_make_up(brief, strip, neck, channel),
        )


FOLDED_STRIP_HOOD = FoldedStripHood()


def _body(brief: Brief) -> dict[str, float]:
    """Height, depth and neck of the body in mm, before ease: given, or worked out from the head."""
    measures = brief.measures
    parts = {"height": HEIGHT_OF_HEAD, "depth": DEPTH_OF_HEAD, "neck": NECK_OF_HEAD}
    return {n: measures.get(n, measures["head"] * part) for n, part in parts.items()}


def _channel(brief: Brief) -> Channel | None:
    """The channel along the neck, or None where the closing has none."""
    if brief.options.get("closing") != "channel":
        return None
    asked = brief.options.get("channel_rows")
    rows = max(3, round(CHANNEL_MM / brief.gauge.course.value)) if asked is None else int(asked)
    return Channel(rows)


def _channel_words(brief: Brief, channel: Channel | None) -> tuple[str, ...]:
    if channel is None:
        return ()
    width = format_length(brief.gauge.length(channel.rows).value, brief.units)
    words = say(
        "The channel takes {rows} rows at each neck edge, which measure {width}.",
        rows=channel.rows,
        width=width,
    )
    return (words,)


def _strip(brief: Brief, body: dict[str, float], channel: Channel | None) -> Strip:
    """The strip, longer by what a channel folds over.

    :raises NotPossible: where the channel takes too much of it.
    """
    ease_mm = float(brief.options.get("ease") or 0.0)
    depth_mm = body["depth"] * SHAPES[str(brief.options.get("shape") or "standard")] + ease_mm
    over = 0 if channel is None else channel.rows
    length_mm = 2 * (body["height"] + ease_mm + over * brief.gauge.course.value)
    strip = choose_strip(brief, depth_mm, length_mm, even_rows=True)
    if 4 * over > strip.rows:
        raise NotPossible(
            "the channel takes more than half of the hood",
            given=f"{over} rows folded over at each neck edge of {strip.rows} rows",
            hint=f"say channel_rows = {max(2, strip.rows // 12)}",
        )
    return strip


def _neck(brief: Brief, neck_mm: float) -> Closing:
    """The neck's closing; a channel takes a cord only for an adult."""
    closing = brief.options.get("closing") or "cord"
    corded = closing == "cord" or (closing == "channel" and brief.wearer is Wearer.ADULT)
    return cord_closing(brief, neck_mm, say("the neck")) if corded else drawn_closing(neck_mm)


def _steps(brief: Brief, strip: Strip, neck: Closing, channel: Channel | None) -> Steps:
    steps = Steps()
    strip_steps(steps, strip, brief.yarn("body").name)
    if channel is not None:
        channel_steps(steps, brief, strip, neck, channel)
    else:
        length_mm = neck.gathered_mm + strip.piece.width.value + 2 * TAIL_MM
        thread_live_edge(steps, brief, strip, neck, "thread-live", length_mm)
        half = strip.rows // 2
        steps.add("fold", "strip", Part.BODY, Fold("strip", half))
        thread_cast_on_edge(steps, brief, strip, neck, "thread-cast-on")
        pull_anchor(steps, brief)
        one, other = (Edge.LEFT, 1, half), (Edge.LEFT, strip.rows, half + 1)
        chain_seam(steps, brief, "seam", one, other)
    draw = DrawUp(neck.carrier, (("strip", Edge.LIVE), ("strip", Edge.CAST_ON)))
    fasten = () if neck.is_cord else (FastenOff(neck.carrier),)
    steps.add("draw-up", "strip", Part.GATHER, draw, *fasten)
    woven = (WeaveIn("strip"), WeaveIn("cord")) if neck.is_cord else (WeaveIn("strip"),)
    steps.add("finish", "strip", Part.TAILS, *woven)
    return steps


def _finished(
    brief: Brief, strip: Strip, neck: Closing, channel: Channel | None
) -> dict[str, Measured]:
    over = 0 if channel is None else channel.rows
    gauge = brief.gauge
    return {
        "depth": strip.piece.width,
        "height": gauge.length(strip.rows // 2 - over),
        "neck": Measured(neck.gathered_mm),
        **({} if channel is None else {"channel": gauge.length(over)}),
        **neck.finished,
    }


def _facts(strip: Strip, neck: Closing, channel: Channel | None) -> dict[str, float]:
    half = strip.rows // 2
    facts = {**strip_facts(strip), "fold_row": half, "seam_chains": half, **neck.facts}
    if channel is not None:
        facts |= channel.facts(strip.rows)
    return facts


def _make_up(brief: Brief, strip: Strip, neck: Closing, channel: Channel | None) -> MakeUp | None:
    """A channel's stages; a plain fold has a figure of its own."""
    if channel is None:
        return None
    return channel_make_up(strip, brief.gauge.length(channel.rows).value, corded=neck.is_cord)
