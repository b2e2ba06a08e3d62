"""The part of a design's form in which a maker lays down wraps of her own.

A wrap has courses, a course passes, and a pass says at each column where the yarn stops: ``B F`` is
back, then front, and so on along the board; ``-`` is a column that is passed by.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pegwright.designs.form import WrapForm
from pegwright.designs.outline import Path, dotted
from pegwright.knitting.wraps import Cloth, FirstRow, Laid, Structure, Way
from pegwright.studio.designs.sheet_fields import (
    SheetField,
    SheetGroup,
    SheetRow,
    choices_of,
    fields_of,
    row_of,
    shown,
    with_own,
)

__all__ = ["PASSED_BY", "stops_of", "stops_text", "wraps_group"]

PASSED_BY = "-"
"""Stands for a column at which the yarn does not stop."""

_BOARDS = {2: "two rows of pegs", 1: "one row, or a ring"}
_STRUCTURES = {
    Structure.INTERLOCK: "interlock: two knit faces, tied together",
    Structure.RIB: "rib: both rows of pegs in one pass",
    Structure.PLAIN: "plain: one row of pegs",
    Structure.TWISTED: "twisted: loops crossed at their feet",
    Structure.PURL: "purl: the back of the stitch to the front",
    Structure.CORD: "cord",
}
_LAID = {
    Laid.OUTSIDE: "along the outside of the peg",
    Laid.ROUND: "right round each peg",
    Laid.INSIDE: "brought inside between pegs",
    Laid.FLAT: "flat along the row",
}
_FIRST_ROW = {
    FirstRow.ANCHORED: "an anchor cord: the loops are open",
    FirstRow.CLOSED: "nothing more: the loops hold",
}
_CLOTH = {
    Cloth.DOUBLE: "double: two faces, joined",
    Cloth.SINGLE: "single",
    Cloth.TUBE: "a tube: joined at both ends only",
    Cloth.CORD: "a cord",
}
_PEGS = "On how many pegs it works"
_WAYS = {Way.RIGHT: "to the right", Way.LEFT: "to the left"}


def wraps_group(wraps: Sequence[Mapping[str, Any]]) -> SheetGroup:
    """The maker's own wraps."""
    return SheetGroup(
        key="wraps",
        title="Wraps of your own",
        words="Which pegs the yarn goes to, in which order. A new one begins as a copy of the wrap "
        "in use. Once it has a name, it can be chosen as the design's wrap.",
        is_list=True,
        one="wrap of your own",
        rows=[_wrap(("wraps", index), index, wrap) for index, wrap in enumerate(wraps)],
    )


def _wrap(path: Path, index: int, given: Mapping[str, Any]) -> SheetRow:
    choices = {
        "boards": choices_of(_BOARDS),
        "structure": choices_of(_STRUCTURES),
        "laid": choices_of(_LAID),
        "first_row": choices_of(_FIRST_ROW),
        "cloth": choices_of(_CLOTH),
    }
    fields = fields_of(WrapForm, path, given, choices)
    usual = {"laid": _LAID[Laid.OUTSIDE], "first_row": _FIRST_ROW[FirstRow.ANCHORED],
             "cloth": _CLOTH[Cloth.DOUBLE]}  # fmt: skip
    helps = {"boards": "For which boards it is."}
    for field in fields:
        name = field.path.rpartition(".")[2]
        field.usual = usual.get(name, field.usual)
        field.help = helps.get(name, field.help)
        field.part = _PEGS if name in ("multiple", "plus", "least") else ""
        field.broad = name in ("structure", "laid", "first_row", "cloth")
    courses = given.get("courses")
    rows = list(_courses((*path, "courses"), courses if isinstance(courses, list) else []))
    group = SheetGroup(
        key=dotted((*path, "courses")),
        title="Courses",
        words="A course gives every peg one new loop, in one pass or several; the courses are used "
        "in turn.",
        is_list=True,
        one="course",
        rows=rows,
    )
    return row_of(path, given, f"Wrap {index + 1}", fields, [group])


def _courses(path: Path, courses: Sequence[Any]) -> Iterator[SheetRow]:
    for index, course in enumerate(courses):
        here = (*path, index)
        passes = course if isinstance(course, list) else []
        group = SheetGroup(
            key=dotted(here),
            title="",
            is_list=True,
            one=f"pass to course {index + 1}",
            rows=[_pass((*here, at), index, at, one) for at, one in enumerate(passes)],
        )
        yield row_of(here, {}, f"Course {index + 1}", [], [group])


def _pass(path: Path, course: int, index: int, given: object) -> SheetRow:
    table = given if isinstance(given, Mapping) else {}
    fields = [
        SheetField(
            path=dotted((*path, "way")),
            label="Way",
            kind="choice",
            value=shown(table.get("way")),
            help="As you see it.",
            required=True,
            choices=with_own(choices_of(_WAYS), table.get("way")),
        ),
        SheetField(
            path=dotted((*path, "columns")),
            label="Stops, column by column",
            kind="stops",
            value=stops_text(table.get("columns")),
            help=f"F front, B back, FB or BF both, {PASSED_BY} passed by; repeated along the "
            "board. As B F.",
            required=True,
        ),
    ]
    return row_of(path, {}, f"Pass {index + 1} of course {course + 1}", fields)


def stops_text(columns: object) -> str:
    """The stops of a pass as they are typed: ``B F -``."""
    if not isinstance(columns, list):
        return shown(columns)
    return " ".join(str(stop) or PASSED_BY for stop in columns)


def stops_of(text: str) -> list[str]:
    """The stops of a pass from what was typed; what is no stop is left for the reader to refuse."""
    parts = text.upper().replace(",", " ").split()
    return ["" if part == PASSED_BY else part for part in parts]
