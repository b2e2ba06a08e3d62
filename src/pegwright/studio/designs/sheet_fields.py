"""What forms are made of: fields, rows and groups, and how a design file's tables become fields.

A **part** gathers fields under a title of their own, closed until it is wanted; a list inside a row
or a group (the courses of a wrap) is a group again.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import StrEnum
from functools import lru_cache
from types import UnionType
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

from pydantic import BaseModel, BeforeValidator, Field
from pydantic.fields import FieldInfo

from pegwright.designs.form import (
    DesignTable,
    LoomTable,
    PassForm,
    SampleForm,
    SizeForm,
    WrapForm,
    YarnForm,
    form_of,
)
from pegwright.designs.outline import Path, dotted

__all__ = [
    "Choice",
    "FieldKind",
    "SheetField",
    "SheetGroup",
    "SheetRow",
    "all_fields",
    "choices_of",
    "fields_of",
    "kind_at",
    "kind_in_new_row",
    "label_of",
    "row_of",
    "rows_in",
    "sentence",
    "shown",
    "table_in",
    "with_own",
]

FieldKind = Literal[
    "text", "lines", "length", "mass", "number", "count", "choice", "flag", "colour", "age", "many",
    "name", "sign", "stops",
]  # fmt: skip
"""What a field takes.  A ``name`` is sent when it is whole, a ``sign`` keeps its blanks, ``stops``
are what a pass does at each column: ``B F`` or ``F -``."""


class Choice(BaseModel):
    """One value of a choice, and what it is called; ``lang`` where that is in another language."""

    value: str
    label: str
    lang: str = ""


class SheetField(BaseModel):
    """One field.

    ``more`` marks a field that is seldom needed, ``part`` one that stands under a title of its own,
    ``broad`` one with a line to itself; ``usual`` is what holds where it is left out, and ``also``
    what refusals call it, where that is another name than its path.
    """

    path: str
    label: str
    kind: FieldKind
    value: str = ""
    help: str = ""
    required: bool = False
    more: bool = False
    part: str = ""
    broad: bool = False
    usual: str = ""
    also: str = ""
    choices: list[Choice] = Field(default_factory=list)


class SheetRow(BaseModel):
    """One row of a list: a yarn, a size; ``lists`` are lists inside it."""

    path: str
    title: str
    fields: list[SheetField]
    lists: list[SheetGroup] = Field(default_factory=list)


class SheetGroup(BaseModel):
    """A group of fields, or a list of rows of them; ``lists`` are lists inside a group of fields.

    ``ordered`` says that the rows of a list can be moved.
    """

    key: str
    title: str
    words: str = ""
    is_list: bool = False
    ordered: bool = True
    one: str = ""
    fields: list[SheetField] = Field(default_factory=list)
    rows: list[SheetRow] = Field(default_factory=list)
    lists: list[SheetGroup] = Field(default_factory=list)


SheetRow.model_rebuild()

_MORE = frozenset(
    {"peg_height", "slack", "slack_sd", "metres_per_100g_sd", "diameter", "invented", "width_sd",
     "length_sd", "margin", "like", "version", "price"}
)  # fmt: skip
_PARTS = {
    "colours": "Colours along the yarn",
    "colour_offset": "Colours along the yarn",
    "colour_drift": "Colours along the yarn",
}
_LABELS = {
    "metres_per_100g": "Metres in 100 g",
    "metres_per_100g_sd": "Metres may be off by",
    "wraps_per_inch": "Wraps per inch",
    "colour_hex": "Colour in figures",
    "slack_sd": "Slack varies by",
    "width_sd": "Width may be off by",
    "length_sd": "Length may be off by",
    "available": "At hand",
    "like": "Like the size",
    "colours": "One repeat of its colours",
    "colour_offset": "It begins so far into the repeat",
    "colour_drift": "Repeats differ by",
    "laid": "How the yarn is laid",
    "multiple": "A multiple of so many columns",
    "plus": "Plus so many",
    "least": "Fewest columns",
    "words": "How it is worked",
}
_HELPS = {
    (DesignTable, "garment"): "",
    (DesignTable, "language"): "What the pattern is written in; your own titles and names stay as "
    "they are.",
    (LoomTable, "peg_height"): "Height of a peg above the board.",
    (YarnForm, "name"): "The name on the ball band.",
    (YarnForm, "diameter"): "Thickness of the yarn as it lies; better than wraps per inch.",
    (YarnForm, "metres_per_100g"): "As on the ball band; or give a sample instead.",
    (YarnForm, "colours"): "For a yarn that changes colour: rust 30 cm, cream 12 in. A colour "
    "without a common name takes its code too: harbour blue #2f5d7c 40 cm.",
    (YarnForm, "colour_offset"): "Measured along the yarn.",
    (SampleForm, "length"): "Measure off a good length and weigh it; metres in 100 g stays empty.",
    (SampleForm, "scale"): "The smallest weight that the scale shows.",
    (SizeForm, "age"): "Instead of the wearer: 8 years, 18 months.",
    (WrapForm, "name"): "Another name than those of the wraps that come with Pegwright.",
    (WrapForm, "laid"): "On each peg.",
    (WrapForm, "first_row"): "What holds the first row.",
    (WrapForm, "cloth"): "What a piece of it is.",
    (WrapForm, "multiple"): "Where it works on some numbers of pegs only.",
    (WrapForm, "plus"): "Beyond that multiple.",
    (WrapForm, "words"): "For the reader of your pattern.",
}
_USUAL = {
    (DesignTable, "language"): "English",
    (LoomTable, "peg_height"): "25 mm",
    (YarnForm, "ball"): "100 g",
    (SampleForm, "scale"): "1 g",
}
_KINDS: dict[str, FieldKind] = {
    "colour_hex": "colour",
    "age": "age",
    "note": "lines",
    "summary": "lines",
    "words": "lines",
    "currency": "sign",
}
_PLAIN_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BROAD = frozenset({(DesignTable, "title"), (DesignTable, "summary"), (YarnForm, "colours")})


def all_fields(groups: Iterable[SheetGroup]) -> Iterator[SheetField]:
    """Every field of a form, those of lists within lists too."""
    for group in groups:
        yield from group.fields
        yield from all_fields(group.lists)
        for row in group.rows:
            yield from row.fields
            yield from all_fields(row.lists)


def kind_at(groups: Iterable[SheetGroup], path: str) -> FieldKind | None:
    """The kind of the field at a path, or None where the form has none."""
    return next((field.kind for field in all_fields(groups) if field.path == path), None)


def kind_in_new_row(path: Path, name: str) -> FieldKind | None:
    """The kind of a key in a new row of the list at a path, which may have no rows yet."""
    form = form_of(path)
    if form is PassForm and name == "columns":
        return "stops"
    if path[:2] == ("cost", "others"):
        return "number" if name == "amount" else "name"
    if form is None or name not in form.model_fields:
        return None
    return _kind(name, form.model_fields[name])


# --- fields from a table's form ------------------------------------------------------------------


class _Known(NamedTuple):
    """What is known of a key before a design says anything."""

    name: str
    kind: FieldKind
    label: str
    words: str
    required: bool
    usual: str
    broad: bool


@lru_cache(maxsize=32)
def _known(form: type[BaseModel], chosen: frozenset[str]) -> tuple[_Known, ...]:
    """The keys of a table that a form shows; ``chosen`` are those with choices."""
    found = []
    for name, info in form.model_fields.items():
        kind = "choice" if name in chosen else _kind(name, info)
        if kind is None:
            continue
        required = info.is_required()
        usual = _USUAL.get((form, name)) or ("" if required else _default(info.default))
        words = sentence(_HELPS.get((form, name), info.description or ""))
        broad = (form, name) in _BROAD
        found.append(_Known(name, kind, label_of(name), words, required, usual, broad))
    return tuple(found)


def fields_of(
    form: type[BaseModel],
    path: Path,
    given: Mapping[str, Any],
    choices: Mapping[str, Sequence[Choice]] | None = None,
) -> list[SheetField]:
    """The fields of a table, and beside them what stands there though it is not known."""
    choices = choices or {}
    fields = [
        SheetField(
            path=dotted((*path, key.name)),
            label=key.label,
            kind=key.kind,
            value=shown(given.get(key.name)),
            help=key.words,
            required=key.required,
            more=key.name in _MORE and key.name not in given,
            part=_PARTS.get(key.name, ""),
            broad=key.broad,
            usual=key.usual,
            choices=with_own(choices[key.name], given.get(key.name)) if key.name in choices else [],
        )
        for key in _known(form, frozenset(choices))
    ]
    if form.model_config.get("extra") == "forbid":
        fields += _unknown(form, path, given)
    return fields


def _unknown(form: type[BaseModel], path: Path, given: Mapping[str, Any]) -> list[SheetField]:
    return [
        SheetField(
            path=dotted((*path, name)),
            label=f"{label_of(name)} (not known)",
            kind="text",
            value=shown(value),
            help="Empty it to take it out.",
        )
        for name, value in given.items()
        if name not in form.model_fields and shown(value) and _PLAIN_KEY.fullmatch(name)
    ]


def _kind(name: str, info: FieldInfo) -> FieldKind | None:
    """What a field takes, by its type; None for tables and lists."""
    types, marks = _types(info.annotation)
    if not types <= _PLAIN:
        return None
    if name in _KINDS:
        return _KINDS[name]
    if any(isinstance(mark, BeforeValidator) for mark in (*marks, *info.metadata)):
        return "length"  # or a mass: a quantity with its unit
    for kind, python in _BY_TYPE:
        if python in types:
            return kind
    return "text"


_PLAIN: frozenset[object] = frozenset({bool, int, float, str, type(None)})
_BY_TYPE: tuple[tuple[FieldKind, type], ...] = (("flag", bool), ("count", int), ("number", float))


def _types(annotation: object) -> tuple[set[object], list[object]]:
    """The types that a value may have, and what is said of them beside."""
    origin, parts = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        types, marks = _types(parts[0])
        return types, [*marks, *parts[1:]]
    if origin in (Union, UnionType):
        found = [_types(part) for part in parts]
        return set().union(*(t for t, _ in found)), [mark for _, m in found for mark in m]
    if isinstance(annotation, type) and issubclass(annotation, StrEnum):
        return {str}, []
    return {origin or annotation}, []


# --- small things --------------------------------------------------------------------------------


def choices_of(words: Mapping[Any, str]) -> list[Choice]:
    """Choices from values and what they are called."""
    return [Choice(value=str(value), label=label) for value, label in words.items()]


def with_own(choices: Sequence[Choice], value: object) -> list[Choice]:
    """The choices, and with them what stands there though it is none."""
    own = shown(value)
    if not own or any(choice.value == own for choice in choices):
        return list(choices)
    return [*choices, Choice(value=own, label=f"{own} (not known)")]


def row_of(
    path: Path,
    given: Mapping[str, Any],
    otherwise: str,
    fields: list[SheetField],
    lists: Sequence[SheetGroup] = (),
) -> SheetRow:
    """A row, titled by its name where it has one."""
    title = shown(given.get("name")) or otherwise
    return SheetRow(path=dotted(path), title=title, fields=fields, lists=list(lists))


def table_in(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    """The table of that name, or an empty one."""
    table = data.get(name)
    return table if isinstance(table, Mapping) else {}


def rows_in(data: Mapping[str, Any], name: str) -> list[Mapping[str, Any]]:
    """The rows of that name, or none."""
    rows = data.get(name)
    return [r for r in rows if isinstance(r, Mapping)] if isinstance(rows, list) else []


def shown(value: object) -> str:
    """A value as a field shows it; nothing for tables and lists."""
    match value:
        case None | dict() | list():
            return ""
        case bool():
            return "true" if value else "false"
    return str(value)[:2000]


def _default(value: object) -> str:
    if value is True or value is False:
        return "yes" if value else "no"
    if value is None or value == "" or callable(value):
        return ""
    return f"{value:g}" if isinstance(value, float) else shown(value)


def label_of(name: str) -> str:
    """A key in plain words."""
    words = _LABELS.get(name) or name.replace("_", " ").replace("-", " ")
    return words[:1].upper() + words[1:]


def sentence(words: str) -> str:
    """The words with a capital and a full stop."""
    return words and words[0].upper() + words[1:] + ("" if words.endswith((".", "?")) else ".")
