"""The cue sheet to print and to carry to the board: one HTML page with nothing to fetch."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Iterator
from functools import lru_cache
from importlib.resources import files

from pegwright.lesson.cue_sheet import Cue, CueSheet
from pegwright.publish.html import Markup, element
from pegwright.publish.words import time_words

__all__ = [
    "cue_page",
    "minutes_words",
    "row_words",
    "seconds_words",
    "step_words",
    "summary_words",
    "time_told",
]

Line = tuple[str, str]
"""A figure, and what it is of."""

_HEADER = ("Shot", "On the board, and what to have ready", "Rows", "Time", "What may be said")


def cue_page(sheet: CueSheet) -> bytes:
    """The cue sheet as a page in UTF-8."""
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", f"{sheet.title}: cue sheet"),
        Markup(f"<style>{_style()}</style>"),
    )
    rows = [_row(cue) for cue in sheet.cues]
    table = element(
        "table",
        element("caption", "Shots in the order of the lesson"),
        element("thead", element("tr", [element("th", name, scope="col") for name in _HEADER])),
        element("tbody", rows),
    )
    body = element(
        "body",
        element("h1", sheet.title),
        element("p", summary_words(sheet), class_="summary"),
        element("div", table, class_="scroll", role="region", aria_label="Shots", tabindex="0"),
        element("footer", element("p", _foot(sheet))),
    )
    html = element("html", head, "\n", body, lang="en")
    return f"<!DOCTYPE html>\n{html}\n".encode()


def summary_words(sheet: CueSheet) -> str:
    """The whole lesson in two sentences."""
    work = time_words(5 * round(sheet.minutes / 5))
    return (
        f"Size {sheet.size}. {len(sheet.cues)} shots, {seconds_words(sheet.seconds)} of finished"
        f" lesson; {work} of work, most of it with the camera off."
    )


def _foot(sheet: CueSheet) -> str:
    return ". ".join(part for part in (sheet.channel, "Made with Pegwright") if part) + "."


def _row(cue: Cue) -> Markup:
    return element(
        "tr",
        element(
            "th",
            element("span", str(cue.number), class_="number"),
            element("span", cue.title, class_="title"),
            element("span", step_words(cue), class_="quiet") if cue.steps else None,
            scope="row",
        ),
        element(
            "td",
            element("p", cue.board),
            element("p", element("strong", "Ready: "), cue.ready) if cue.ready else None,
            element("p", element("strong", f"Camera {cue.camera.place}: "), cue.camera.words),
            element("p", element("strong", "Lay over it: "), f"{cue.card} card")
            if cue.card
            else None,
        ),
        element("td", _told(row_words(cue)) or [element("p", "–")]),
        element("td", _told(time_told(cue))),
        element("td", [element("p", sentence) for sentence in cue.narration]),
    )


def step_words(cue: Cue) -> str:
    """Which steps of the pattern a shot shows; "" where it shows none."""
    if not cue.steps:
        return ""
    if len(cue.steps) == 1:
        return f"step {cue.steps[0]}"
    return f"steps {cue.steps[0]} to {cue.steps[-1]}"


def _told(lines: Iterable[Line]) -> list[Markup]:
    """Lines one below the other, the first figure in bold."""
    return [
        element("p", figure if i else element("strong", figure), words)
        for i, (figure, words) in enumerate(lines)
    ]


def row_words(cue: Cue) -> Iterator[Line]:
    """Rows that are done before and after a shot; nothing where none are knitted yet."""
    if cue.rows_before is None:
        return
    yield str(cue.rows_before), " done before"
    if cue.rows_after != cue.rows_before:
        yield str(cue.rows_after), " after"


def time_told(cue: Cue) -> Iterator[Line]:
    """How long a shot is, and how long its work takes."""
    yield seconds_words(cue.seconds), " of lesson"
    if cue.before_minutes:
        yield minutes_words(cue.before_minutes), " off camera before"
    if cue.minutes:
        yield minutes_words(cue.minutes), " before the camera"


def minutes_words(minutes: float) -> str:
    """A span of work: ``2 min``, ``3 h 35 min``."""
    hours, rest = divmod(max(round(minutes), 1), 60)
    return " ".join([f"{hours} h"] * bool(hours) + [f"{rest} min"] * bool(rest))


def seconds_words(seconds: int) -> str:
    """A span of film: ``45 s``, ``8 min 52 s``."""
    minutes, rest = divmod(seconds, 60)
    return " ".join([f"{minutes} min"] * bool(minutes) + [f"{rest} s"] * bool(rest or not minutes))


@lru_cache(maxsize=1)
def _style() -> str:
    style = files("pegwright.lesson").joinpath("cue_page.css").read_text(encoding="utf-8")
    fonts = files("pegwright.publish").joinpath("fonts")
    for slot, name in (
        ("@regular@", "AtkinsonHyperlegible-Regular"),
        ("@bold@", "AtkinsonHyperlegible-Bold"),
    ):
        data = base64.b64encode(fonts.joinpath(f"{name}.woff2").read_bytes()).decode()
        style = style.replace(slot, f"data:font/woff2;base64,{data}")
    return style
