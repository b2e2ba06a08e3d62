"""Captions and chapters as WebVTT (W3C), timed to the cue sheet.

A caption holds at most two lines of 42 letters, which is common for captions (from memory), and
stays for as long as its words take to say.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import accumulate, pairwise

from pegwright.lesson.cue_sheet import Cue, CueSheet
from pegwright.publish.drawing import visible

__all__ = ["LINE", "captions_vtt", "chapters_vtt", "stamp"]

LINE = 42
"""Most letters of a line of a caption."""

_HOLD_S = 2.0


def captions_vtt(sheet: CueSheet) -> bytes:
    """What is said, as captions."""
    blocks: list[str] = []
    for cue in sheet.cues:
        for start, end, lines in _timed(cue):
            text = "\n".join(_escaped(line) for line in lines)
            blocks.append(f"{stamp(start)} --> {stamp(end)}\n{text}")
    return _whole(blocks)


def chapters_vtt(sheet: CueSheet) -> bytes:
    """The chapters of the lesson."""
    starts = [*sheet.chapters(), (sheet.seconds, "")]
    return _whole(
        f"{stamp(start)} --> {stamp(end)}\n{_escaped(title)}"
        for (start, title), (end, _) in pairwise(starts)
    )


def _whole(blocks: Iterable[str]) -> bytes:
    return "\n\n".join(("WEBVTT", *blocks)).encode("utf-8") + b"\n"


def _timed(cue: Cue) -> Iterator[tuple[float, float, tuple[str, ...]]]:
    """The captions of a cue with their times, in seconds of the whole lesson."""
    texts = [lines for sentence in cue.narration for lines in _captions(sentence)]
    words = [sum(len(line.split()) for line in lines) for lines in texts]
    total = max(sum(words), 1)
    # A shot that is longer than its words is silent at its end.
    spoken = min(cue.seconds - _HOLD_S / 2, max(total * 0.6, cue.seconds * 0.5))
    ends = list(accumulate(words, initial=0))
    for lines, (a, b) in zip(texts, pairwise(ends), strict=True):
        yield cue.start_s + spoken * a / total, cue.start_s + spoken * b / total, lines


def _captions(sentence: str) -> Iterator[tuple[str, ...]]:
    """A narration's text in captions of one or two lines.

    A sentence begins a new caption, unless it is short and fits in with the one before.
    """
    held = ""
    for part in re.split(r"(?<=[.!?])\s+", " ".join(visible(sentence).split())):
        together = f"{held} {part}".strip()
        if held and len(_lines(together)) > 2:
            yield from _even(held)
            held = part
        else:
            held = together
    if held:
        yield from _even(held)


def _even(text: str) -> Iterator[tuple[str, ...]]:
    """A text in as few captions as it needs, of about the same length."""
    count = -(-len(_lines(text)) // 2)
    widths = range(max(LINE // 2, 1), LINE + 1)
    lines = next(made for w in widths if -(-len(made := _lines(text, w)) // 2) <= count)
    for i in range(0, len(lines), 2):
        yield tuple(lines[i : i + 2])


def _lines(text: str, width: int = LINE) -> list[str]:
    lines: list[str] = []
    for whole in text.split(" "):
        for word in (whole[i : i + width] for i in range(0, len(whole), width)):
            if lines and len(lines[-1]) + 1 + len(word) <= width:
                lines[-1] += f" {word}"
            else:
                lines.append(word)
    return lines


def _escaped(line: str) -> str:
    # WebVTT 1.0, cue text: these two begin a reference or a tag; an arrow may not stand in it.
    line = line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return " ".join(line.split())


def stamp(seconds: float) -> str:
    """A time as WebVTT writes it: ``00:01:02.500``."""
    ms = round(seconds * 1000)
    rest, ms = divmod(ms, 1000)
    minutes, s = divmod(rest, 60)
    hours, m = divmod(minutes, 60)
    return f"{hours:02d}:{m:02d}:{s:02d}.{ms:03d}"
