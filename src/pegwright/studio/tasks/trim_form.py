"""Trims as a form: what each kind takes, in words, and its reading."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import AbstractContextManager
from types import MappingProxyType

from pegwright.planning.trim_kinds import TRIM_KINDS, TrimAsked, TrimKind
from pegwright.studio.designs.sheet import Choice, FieldKind, SheetField, SheetGroup
from pegwright.studio.library.record_bodies import FormValues, at_fields, read_count
from pegwright.units import parse_length_mm

__all__ = ["at_trim", "trim_asked", "trim_sheet"]

_TITLES: Mapping[str, str] = MappingProxyType(
    {
        "tassel": "tassels",
        "pompom": "pompoms",
        "fringe": "a fringe",
        "seam": "seams along chain edges",
        "tails": "tails to weave in",
        "joins": "joins by a knot",
    }
)

_WORDS: Mapping[str, tuple[str, FieldKind, str, str]] = MappingProxyType(
    {
        "length": ("Length", "length", "", "From the top to the trimmed end."),
        "strands": ("Strands", "count", "", "Turns round the card."),
        "neck": ("Wraps round the neck", "count", "6", ""),
        "across": ("Across", "length", "", "From rim to rim of the ring."),
        "winds": ("Winds", "count", "", "Round the ring."),
        "hole": ("Hole", "length", "a third of it", "Of the ring."),
        "chains": ("Chains", "count", "", "Of one edge."),
        "row": ("Row", "length", "", "How long one row is."),
    }
)
"""For each field its label, its kind, what is usual, and a help."""

_FRINGE = {"length": "Below the edge, trimmed.", "strands": "In each knot, before they are folded."}

_OF_FIELD = {
    "length_mm": "length",
    "diameter_mm": "across",
    "core_mm": "hole",
    "course_mm": "row",
    "neck_wraps": "neck",
    "knots": "number",
}
"""Fields of the domain by their names in the form."""


def trim_sheet(kind: TrimKind) -> list[SheetGroup]:
    """The form of a kind of trim."""
    kinds = [Choice(value=name, label=_TITLES[name]) for name in TRIM_KINDS]
    fields = [
        SheetField(path="kind", label="What is made", kind="choice", required=True,
                   value=kind.name, choices=kinds),
        SheetField(path="number", label="Knots" if kind.name == "fringe" else "How many",
                   kind="count", usual="1"),
        *(_field(kind, name) for name in (*kind.needs, *kind.takes)),
    ]  # fmt: skip
    return [SheetGroup(key="trim", title="Trim", fields=fields)]


def _field(kind: TrimKind, name: str) -> SheetField:
    label, form, usual, words = _WORDS[name]
    if kind.name == "fringe":
        words = _FRINGE[name]
    required = name in kind.needs
    return SheetField(path=name, label=label, kind=form, usual=usual, help=words, required=required)


def trim_asked(values: Mapping[str, str]) -> TrimAsked:
    """What the form says.

    :raises BadInput: naming the field, for what cannot be read.
    """
    read = FormValues(values)
    number = read.as_("number", read_count)
    return TrimAsked(
        read.text("kind"),
        1 if number is None else number,
        length=read.as_("length", parse_length_mm),
        strands=read.as_("strands", read_count),
        neck=read.as_("neck", read_count),
        across=read.as_("across", parse_length_mm),
        winds=read.as_("winds", read_count),
        hole=read.as_("hole", parse_length_mm),
        chains=read.as_("chains", read_count),
        row=read.as_("row", parse_length_mm),
    )


def at_trim() -> AbstractContextManager[None]:
    """Refusals of a trim speak of the form's own fields."""
    return at_fields(_OF_FIELD)
