"""The mitt without fingers: a rectangle, its side edges sewn together with a gap for the thumb.

The strip is as wide as the mitt is round and as long as the mitt is; the cast-on is at the wrist.
Both mitts are alike: with the seam at the thumb's side, either goes on either hand.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from pegwright.errors import NotPossible
from pegwright.garments.base import Brief, Measure, OptionKind, OptionSpec, Plan
from pegwright.garments.edges import (
    COUNT_OPTIONS,
    bind_off,
    chain_seam,
    check_cloth,
    close_cast_on,
    strip_facts,
)
from pegwright.garments.make_up import Arrow, Edge, EdgeRole, MakeUp, Outline, Stage, rectangle
from pegwright.garments.pairs import pair_pieces, pair_steps
from pegwright.garments.strip import Steps, Strip, choose_strip, strip_steps
from pegwright.knitting import operations
from pegwright.knitting.operations import Part, WeaveIn
from pegwright.knitting.script import Script
from pegwright.sizing.ease import Ease
from pegwright.tongue.said import say
from pegwright.units import format_length

__all__ = ["MITT", "Mitt"]

EASE_PER_CENT = -5
"""A mitt is a little smaller than the hand (common practice, no source)."""

THUMB_OF_HAND = 0.28
"""Length of the thumb's gap over the round of the hand (an assumption, no source)."""

WRIST_OF_LENGTH = 0.5
"""Where the thumb's gap begins, as a part of the mitt's length (an assumption, no source)."""

_LEAST_SEAM_ROWS = 2


@dataclass(frozen=True, slots=True)
class _Thumb:
    """The gap for the thumb: its first and last row."""

    first: int
    last: int

    @property
    def rows(self) -> int:
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True)
class Mitt:
    """The mitt as a garment; see the module."""

    name: str = "mitt"
    title: str = "Mitts without fingers"
    words: str = "Two rectangles, each sewn to a tube at its side with a gap for the thumb."
    measures: tuple[Measure, ...] = (
        Measure(
            "hand", say("round the hand at the knuckles, without the thumb"), True, 90.0, 400.0
        ),
        Measure(
            "length",
            say("from the edge at the wrist to the edge at the fingers"),
            True,
            60.0,
            600.0,
        ),
        Measure("thumb", say("along the gap for the thumb"), False, 20.0, 150.0),
        Measure("wrist", say("from the edge at the wrist to the thumb's gap"), False, 10.0, 500.0),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec(
            "ease_part",
            OptionKind.COUNT,
            "ease in per cent of the hand; below zero the mitt is smaller and holds",
            EASE_PER_CENT,
            least=-30,
            most=50,
        ),
        *COUNT_OPTIONS,
    )
    wraps: tuple[str, ...] = ()
    yarn_parts: tuple[str, ...] = ("body", "seam")
    takes_stripes: bool = True

    def plan(self, brief: Brief) -> Plan:
        """Work one size out.

        :raises NotPossible: where the board is too short, the wrap does not fit, or the thumb's gap
            leaves too little to sew.
        """
        check_cloth(brief, "a mitt")
        hand_mm = brief.measures["hand"]
        asked = brief.options.get("ease_part")
        ease = Ease(part=int(EASE_PER_CENT if asked is None else asked) / 100)
        strip = choose_strip(
            brief, ease.finished_mm(hand_mm), brief.measures["length"], even_rows=False
        )
        thumb = _thumb(brief, strip)
        steps, facts = pair_steps(_steps(brief, strip, thumb), "mitt")
        piece = replace(strip.piece, name="first mitt")
        gauge = brief.gauge
        return Plan(
            garment=self.name,
            size=brief.size,
            wearer=brief.wearer,
            group="pair",
            script=Script(brief.loom, pair_pieces("mitt", brief.wrap.cloth), steps, brief.size),
            wrap=brief.wrap,
            pieces=(piece, replace(piece, name="second mitt")),
            finished={
                "round": piece.width,
                "length": piece.length,
                "thumb": gauge.length(thumb.rows),
                "wrist": gauge.length(thumb.first - 1),
            },
            facts={**strip_facts(strip), **facts, **_facts(strip, thumb)},
            choices=(*strip.choices, _thumb_words(brief, thumb)),
            parts=tuple(dict.fromkeys(s.part for s in steps)),
            body={"round": hand_mm},
            make_up=_make_up(strip, thumb, gauge.course.value),
        )


MITT = Mitt()


def _thumb(brief: Brief, strip: Strip) -> _Thumb:
    """Where the thumb's gap lies, in whole rows; what is not given is made to fit."""
    measures, course_mm = brief.measures, brief.gauge.course.value
    usual_mm = min(THUMB_OF_HAND * measures["hand"], measures["length"] / 2)
    gap_mm = measures.get("thumb", usual_mm)
    below_mm = measures.get("wrist", WRIST_OF_LENGTH * measures["length"])
    below, rows = round(below_mm / course_mm), max(1, round(gap_mm / course_mm))
    room = strip.rows - _LEAST_SEAM_ROWS
    if "wrist" not in measures:
        below = max(_LEAST_SEAM_ROWS, min(below, room - rows))
    if below < _LEAST_SEAM_ROWS or below + rows > room:
        raise NotPossible(
            "the gap for the thumb does not lie within the mitt",
            given=f"{_rows_words(brief, rows)} beginning {_rows_words(brief, below)} up, in a mitt "
            f"of {_rows_words(brief, strip.rows)}",
            hint=_what_fits(brief, strip.rows, below, rows),
        )
    return _Thumb(below + 1, below + rows)


def _rows_words(brief: Brief, rows: int) -> str:
    """So many rows, and what they measure."""
    length = format_length(rows * brief.gauge.course.value, brief.units)
    return f"{length} ({rows} {'row' if rows == 1 else 'rows'})"


def _what_fits(brief: Brief, all_rows: int, below: int, rows: int) -> str:
    """A gap, a wrist or a length that would do."""
    room = all_rows - _LEAST_SEAM_ROWS
    if below < _LEAST_SEAM_ROWS:
        return f"a wrist of {_rows_words(brief, _LEAST_SEAM_ROWS)} would fit, or more"
    if below < room:
        return f"a gap of {_rows_words(brief, room - below)} would fit there; or more length"
    if rows <= room - _LEAST_SEAM_ROWS:
        return f"a wrist of {_rows_words(brief, room - rows)} would fit; or more length"
    least = rows + 2 * _LEAST_SEAM_ROWS
    return f"a length of {_rows_words(brief, least)} would fit, or a smaller gap"


def _thumb_words(brief: Brief, thumb: _Thumb) -> str:
    gap = format_length(thumb.rows * brief.gauge.course.value, brief.units)
    return say(
        "The gap for the thumb is rows {first} to {last}, {rows} rows, which measure {length}.",
        first=thumb.first,
        last=thumb.last,
        rows=thumb.rows,
        length=gap,
    )


def _steps(brief: Brief, strip: Strip, thumb: _Thumb) -> Steps:
    steps = Steps()
    strip_steps(steps, strip, brief.yarn("body").name)
    bind_off(steps, strip)
    close_cast_on(steps, brief, strip)
    left, right = operations.Edge.LEFT, operations.Edge.RIGHT
    for key, carrier, first, last in (
        ("thumb-seam-below", "lower seam yarn", 1, thumb.first - 1),
        ("thumb-seam-above", "upper seam yarn", strip.rows, thumb.last + 1),
    ):
        chain_seam(steps, brief, key, (left, first, last), (right, first, last), carrier)
    steps.add("finish", "strip", Part.TAILS, WeaveIn("strip"))
    return steps


def _facts(strip: Strip, thumb: _Thumb) -> dict[str, float]:
    return {
        "thumb_first": thumb.first,
        "thumb_last": thumb.last,
        "thumb_rows": thumb.rows,
        "chains_below": thumb.first - 1,
        "chains_above": strip.rows - thumb.last,
    }


def _make_up(strip: Strip, thumb: _Thumb, course_mm: float) -> MakeUp:
    w, h = strip.piece.width.value, strip.piece.length.value
    low, high = (thumb.first - 1) * course_mm, thumb.last * course_mm
    side = Edge(label=say("side edge"))
    flat = rectangle(
        w, h, bottom=Edge(label=say("wrist")), top=Edge(label=say("fingers")), left=side, right=side
    )
    folded = rectangle(
        w / 2,
        h,
        bottom=Edge(label=say("wrist")),
        top=Edge(label=say("fingers")),
        left=Edge(label=say("side edges")),
        right=Edge(EdgeRole.FOLD),
        layers=2,
    )
    sewn = Outline(
        ((0.0, 0.0), (w / 2, 0.0), (w / 2, h), (0.0, h), (0.0, high), (0.0, low)),
        (
            Edge(label=say("wrist")),
            Edge(EdgeRole.FOLD),
            Edge(EdgeRole.OPENING, say("fingers")),
            Edge(EdgeRole.SEAM),
            Edge(EdgeRole.OPENING, say("thumb")),
            Edge(EdgeRole.SEAM),
        ),
        layers=2,
    )
    return MakeUp(
        say("From rectangle to mitt"),
        (
            Stage(
                (flat,),
                say("Rectangle, both ends finished"),
                say(
                    "A flat rectangle, the wrist below and the fingers above; an arrow shows the "
                    "right side edge brought over to the left one."
                ),
                (Arrow((w * 0.92, h * 0.5), (w * 0.1, h * 0.5)),),
            ),
            Stage(
                (folded,),
                say("Folded lengthwise"),
                say(
                    "The rectangle folded lengthwise: the fold at the right, both side edges "
                    "together at the left."
                ),
            ),
            Stage(
                (sewn,),
                say("Sewn, with a gap for the thumb"),
                say(
                    "The side edges sewn from the wrist up and from the fingers down, with a gap "
                    "between the two seams through which the thumb goes; open above and below."
                ),
            ),
        ),
        bottom=say("cast-on edge, at the wrist"),
        top=say("last row, at the fingers"),
        sides=say("side edges, to be sewn together"),
    )
