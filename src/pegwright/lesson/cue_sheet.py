"""The cue sheet: every shot in the order of the finished lesson, timed, with what is said.

A **cue** is one line of the sheet.  Its ``seconds`` are its length in the finished lesson; its
minutes are those of the work: before the shot, with the camera off, and before the camera.
"""

from __future__ import annotations

import csv
import io
import json
import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from pegwright.lesson.shots import ABOVE, TABLE, Camera, Shot, shots_of
from pegwright.lesson.template import Template
from pegwright.pattern.model import CautionBlock, Facts, MaterialBlock, Pattern, PatternStep
from pegwright.pattern.source import ProvedSize, Source
from pegwright.publish.words import held_together, time_words
from pegwright.units import format_both, format_mass, format_yarn_length

__all__ = ["Cue", "CueSheet", "cue_sheet", "sheet_csv", "sheet_data", "sheet_json"]

_SHORTEST_S = 10
_PAUSE_S = 2
_LEARN_S = 20
"""A shot in which something new is shown takes at least so long (an assumption, no source)."""

_RECKONED = ("=", "+", "-", "@", "\t", "\r")
_PEG = re.compile(r"[FBP]\d")


@dataclass(frozen=True, slots=True)
class Cue:
    """One line of the cue sheet.

    :param chapter: the part of the lesson it belongs to.
    :param board: what lies on the board, or on the table, when filming starts.
    :param ready: what must be done or laid out before filming.
    :param rows_before: rows of ``piece`` that must be knitted before filming; ``rows_after``, those
        done when it ends; None where nothing is knitted yet.
    :param before_minutes: minutes of work with the camera off, since the shot before.
    :param minutes: minutes of work before the camera.
    :param start_s: when it begins in the finished lesson, in seconds; ``seconds`` is its length.
    :param narration: what may be said, sentence by sentence: a draft.
    :param card: the card or animation that may be laid over it.
    """

    number: int
    chapter: str
    title: str
    steps: tuple[int, ...]
    piece: str
    board: str
    ready: str
    rows_before: int | None
    rows_after: int | None
    before_minutes: float
    minutes: float
    start_s: int
    seconds: int
    camera: Camera
    narration: tuple[str, ...]
    card: str = ""

    @property
    def end_s(self) -> int:
        """When it ends in the finished lesson, in seconds."""
        return self.start_s + self.seconds


@dataclass(frozen=True, slots=True)
class CueSheet:
    """All cues of a lesson on one size."""

    title: str
    size: str
    channel: str
    cues: tuple[Cue, ...]

    @property
    def seconds(self) -> int:
        """Length of the finished lesson."""
        return sum(cue.seconds for cue in self.cues)

    @property
    def minutes(self) -> float:
        """Minutes of all the work, before the camera and with it off."""
        return sum(cue.before_minutes + cue.minutes for cue in self.cues)

    def chapters(self) -> tuple[tuple[int, str], ...]:
        """Where each chapter begins, in seconds, and its title."""
        found: list[tuple[int, str]] = []
        for cue in self.cues:
            if not found or found[-1][1] != cue.chapter:
                found.append((cue.start_s, cue.chapter))
        return tuple(found)


def cue_sheet(source: Source, pattern: Pattern, template: Template) -> CueSheet:
    """The cue sheet of a lesson.

    :param source: with the one size that the lesson is on.
    :param pattern: built from that source.
    """
    size = source.sizes[0]
    cues = [
        *_before_work(source, pattern, template),
        *_work(pattern, size, template),
        _closing(pattern, template),
    ]
    timed = [replace(cue, seconds=_seconds(cue, template)) for cue in cues]
    starts = accumulate((cue.seconds for cue in timed), initial=0)
    placed = tuple(
        replace(cue, number=i, start_s=start)
        for i, (cue, start) in enumerate(zip(timed, starts, strict=False), start=1)
    )
    return CueSheet(pattern.title, size.name, template.words.channel, placed)


def _seconds(cue: Cue, template: Template) -> int:
    words = sum(len(sentence.split()) for sentence in cue.narration)
    said = words / template.speed.words_per_minute * 60 + _PAUSE_S
    return max(math.ceil(said), cue.seconds, _SHORTEST_S)


def _cue(
    chapter: str,
    title: str,
    board: str,
    narration: Iterable[str],
    *,
    ready: str = "",
    camera: Camera = TABLE,
    minutes: float = 0.0,
    card: str = "",
) -> Cue:
    """A cue in which nothing is knitted."""
    return Cue(
        number=0,
        chapter=chapter,
        title=title,
        steps=(),
        piece="",
        board=board,
        ready=ready,
        rows_before=None,
        rows_after=None,
        before_minutes=0.0,
        minutes=minutes,
        start_s=0,
        seconds=0,
        camera=camera,
        narration=tuple(narration),
        card=card,
    )


# --- before the work -----------------------------------------------------------------------------


def _before_work(source: Source, pattern: Pattern, template: Template) -> Iterator[Cue]:
    words = template.words
    opening = words.fill(words.opening, pattern.title)
    size = source.sizes[0].name
    time = time_words(pattern.minutes)
    yield _cue(
        "Opening",
        "Title",
        "The finished piece, or a picture of it.",
        (opening, pattern.summary, f"I am making size {size}. The knitting takes {time} in all."),
        ready="A finished piece, if there is one.",
        card="title",
    )
    yield _cue(
        words.materials,
        "Materials and tools",
        "Everything of the list, laid out.",
        [*_materials(pattern), *_yarn(source)],
        ready="Yarn weighed; tools laid out.",
        card="materials",
    )
    cautions = [c for b in pattern.blocks() if isinstance(b, CautionBlock) for c in b.cautions]
    if cautions:
        yield _cue(
            words.cautions,
            "Cautions",
            "The cautions card.",
            [f"{c.title}. {c.text}" for c in cautions],
            card="cautions",
        )
    yield from _board(source, pattern, template)


def _materials(pattern: Pattern) -> Iterator[str]:
    for block in pattern.blocks():
        if isinstance(block, MaterialBlock):
            if block.supplies:
                supplies = (", ".join(p for p in (i.amount, i.name) if p) for i in block.supplies)
                yield f"You will need {'; '.join(supplies)}."
            if block.tools:
                tools = (_tool(i.name, i.amount) for i in block.tools)
                yield f"To work with, have {'; '.join(tools)}."


def _tool(name: str, amount: str) -> str:
    if amount == "1":
        return f"{'an' if name[0] in 'aeiou' else 'a'} {name}" if name != "scissors" else name
    return f"a {name}, {amount}" if amount else name


def _yarn(source: Source) -> Iterator[str]:
    for need in source.sizes[0].needs:
        metres = format_yarn_length(need.metres.value, source.units)
        grams = format_mass(need.grams.value, source.units)
        yield f"The {need.yarn.label} that is drawn comes to about {metres}, {grams}."


def _board(source: Source, pattern: Pattern, template: Template) -> Iterator[Cue]:
    section = next((s for s in pattern.sections if s.key == "board"), None)
    if section is None:
        return
    facts = [row for b in section.blocks if isinstance(b, Facts) for row in b.rows]
    yield _cue(
        template.words.board,
        "The board",
        "The empty board.",
        [f"{name[0].upper()}{name[1:]}: {value}." for name, value in facts],
        ready="The board set to its gap, its pegs in use marked.",
        camera=ABOVE,
        card="board",
    )
    test = source.wrap_test
    if test is not None:
        length = format_both(test.reading.length_mm, source.units)
        yield _cue(
            template.words.board,
            "Wrap test",
            f"Pegs 1 to {test.columns} of both boards wrapped once.",
            (
                f"Before we begin, a wrap test. Wrap pegs 1 to {test.columns} of both boards once, "
                "snugly, out and back; mark the yarn, unwind it and measure.",
                f"It should draw about {length}. If it draws more, make the gap smaller; if it "
                "draws less, make it wider.",
            ),
            ready="Yarn for one wrap; a tape measure in the frame.",
            camera=ABOVE,
            minutes=5.0,
            card="wrap-test",
        )


# --- the work ------------------------------------------------------------------------------------


def _work(pattern: Pattern, size: ProvedSize, template: Template) -> Iterator[Cue]:
    steps = {step.number: step for step in pattern.steps()}
    for shot in shots_of(size.plan.script, template.speed.loops_per_minute):
        step = steps[shot.work.step.number]
        learns = step.figure is not None and shot.work.part == "whole"
        yield Cue(
            number=0,
            chapter=step.title,
            title=_title(shot, step),
            steps=shot.steps,
            piece=shot.piece,
            board=shot.board,
            ready=_ready(shot),
            rows_before=shot.rows_before,
            rows_after=shot.rows_after,
            before_minutes=shot.before_minutes,
            minutes=shot.minutes,
            start_s=0,
            seconds=_LEARN_S if learns else 0,
            camera=shot.camera,
            narration=tuple(_said(shot, step)),
            card=step.figure or "",
        )


def _title(shot: Shot, step: PatternStep) -> str:
    match shot.work.part:
        case "few rows":
            return f"{step.title}: {_rows(shot.rows_before + 1, shot.rows_after)}"
        case "last row":
            return f"{step.title}: the last row, {shot.rows_after}"
        case "finished":
            return f"{step.title}: done"
    return step.title


def _rows(first: int, last: int) -> str:
    return f"row {first}" if first == last else f"rows {first} to {last}"


def _ready(shot: Shot) -> str:
    """What must be done before filming, beside what the shot before left."""
    if shot.work.part == "finished":
        return f"The whole {shot.piece} is knitted: {shot.rows_after} rows."
    if shot.loops_before:
        return f"{shot.rows_before} rows of the {shot.piece} are knitted."
    return "Goes on from the shot before."


def _said(shot: Shot, step: PatternStep) -> Iterator[str]:
    part = shot.work.part
    others = [n for n in shot.steps if n != step.number]
    if others:
        which = str(others[0]) if len(others) == 1 else f"{others[0]} to {others[-1]}"
        yield f"Work step{'s' * (len(others) > 1)} {which} of the pattern in the same way."
    if part == "last row":
        yield (
            f"The first {shot.rows_before} rows are knitted now. "
            f"Here comes row {shot.rows_after}, the last of them."
        )
    else:
        yield from step.text
    if part == "few rows":
        yield f"Watch {_rows(shot.rows_before + 1, shot.rows_after)}, and then go on by yourself."
    elif step.tally:
        first = step.tally if _PEG.match(step.tally) else step.tally[0].lower() + step.tally[1:]
        yield f"When it is done: {first}"


def _closing(pattern: Pattern, template: Template) -> Cue:
    words = template.words
    return _cue(
        "Closing",
        "End card",
        "The finished piece.",
        (words.fill(words.closing, pattern.title),),
        ready="The piece finished, its tails woven in.",
        card="end",
    )


# --- as data -------------------------------------------------------------------------------------


def sheet_data(sheet: CueSheet) -> dict[str, object]:
    """The sheet as plain data; minutes of work, seconds of the finished lesson."""
    return {
        "title": sheet.title,
        "size": sheet.size,
        "channel": sheet.channel,
        "minutes": round(sheet.minutes, 1),
        "seconds": sheet.seconds,
        "cues": [_cue_data(cue) for cue in sheet.cues],
    }


def _cue_data(cue: Cue) -> dict[str, object]:
    return {
        "number": cue.number,
        "chapter": cue.chapter,
        "title": cue.title,
        "steps": list(cue.steps),
        "piece": cue.piece or None,
        "board": cue.board,
        "ready": cue.ready,
        "rows_before": cue.rows_before,
        "rows_after": cue.rows_after,
        "before_minutes": round(cue.before_minutes, 1),
        "minutes": round(cue.minutes, 1),
        "start_s": cue.start_s,
        "seconds": cue.seconds,
        "camera": cue.camera.place,
        "camera_words": cue.camera.words,
        "narration": [held_together(sentence) for sentence in cue.narration],
        "card": cue.card or None,
    }


def sheet_json(sheet: CueSheet) -> bytes:
    """The sheet as JSON."""
    text = json.dumps(sheet_data(sheet), ensure_ascii=False, indent=2, allow_nan=False)
    return f"{text}\n".encode()


def sheet_csv(sheet: CueSheet) -> bytes:
    """The sheet as CSV (RFC 4180), a row for each cue."""
    out = io.StringIO(newline="")
    rows = [_cue_data(cue) for cue in sheet.cues]
    writer = csv.DictWriter(out, fieldnames=list(rows[0]))
    writer.writeheader()
    for row in rows:
        writer.writerow({key: _cell(value) for key, value in row.items()})
    return out.getvalue().encode("utf-8")


def _cell(value: object) -> object:
    if isinstance(value, Sequence) and not isinstance(value, str):
        value = " ".join(map(str, value))
    # A cell that begins so would be reckoned by a spreadsheet.
    return f"'{value}" if isinstance(value, str) and value[:1] in _RECKONED else value
