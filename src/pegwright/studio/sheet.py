"""The form of a design: which groups and fields it has, in words, with what stands in each.

It is made from the text as it is, fitting or not, so that a slip stays where it was made until it
is mended.  Labels are the keys of the design file in plain words; helps are the file's and the
garment's own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum
from functools import lru_cache
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, BeforeValidator, Field
from pydantic.fields import FieldInfo

from pegwright.designs.form import (
    DesignTable,
    LoomTable,
    SampleForm,
    SizeForm,
    StripeForm,
    SwatchForm,
    YarnForm,
)
from pegwright.designs.outline import dotted
from pegwright.errors import PegwrightError
from pegwright.garments.base import Garment, OptionKind, OptionSpec, Wearer
from pegwright.garments.registry import garment, garments, takes_stripes
from pegwright.knitting.wraps import SHIPPED
from pegwright.loom.board import Arrangement
from pegwright.units import UnitSystem
from pegwright.yarn.category import CATEGORIES

__all__ = ["Choice", "SheetField", "SheetGroup", "SheetRow", "kind_at", "sheet"]

FieldKind = Literal[
    "text", "lines", "length", "mass", "number", "count", "choice", "flag", "colour", "age", "many"
]


class Choice(BaseModel):
    """One value of a choice, and what it is called."""

    value: str
    label: str


class SheetField(BaseModel):
    """One field.

    ``more`` marks a field that is seldom needed, ``broad`` one with a line to itself; ``usual`` is
    what holds where it is left out.
    """

    path: str
    label: str
    kind: FieldKind
    value: str = ""
    help: str = ""
    required: bool = False
    more: bool = False
    broad: bool = False
    usual: str = ""
    choices: list[Choice] = Field(default_factory=list)


class SheetRow(BaseModel):
    """One row of a list: a yarn, a size."""

    path: str
    title: str
    fields: list[SheetField]


class SheetGroup(BaseModel):
    """A group of fields, or a list of rows of them."""

    key: str
    title: str
    words: str = ""
    is_list: bool = False
    one: str = ""
    fields: list[SheetField] = Field(default_factory=list)
    rows: list[SheetRow] = Field(default_factory=list)


_Path = tuple[str | int, ...]
_MORE = frozenset(
    {"peg_height", "slack", "slack_sd", "metres_per_100g_sd", "diameter", "invented", "width_sd",
     "length_sd", "margin", "like",
     "version", "colour_offset", "colour_drift", "price"}
)  # fmt: skip
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
}

_HELPS = {
    (YarnForm, "name"): "The name on the ball band.",
    (YarnForm, "diameter"): "Thickness of the yarn as it lies; better than wraps per inch.",
    (YarnForm, "metres_per_100g"): "As on the ball band; or give a sample instead.",
    (DesignTable, "garment"): "",
    (LoomTable, "peg_height"): "Height of a peg above the board.",
    (SampleForm, "scale"): "The smallest weight that the scale shows.",
    (SizeForm, "age"): "Instead of the wearer: 8 years, 18 months.",
}
_USUAL = {
    (LoomTable, "peg_height"): "25 mm",
    (YarnForm, "ball"): "100 g",
    (SampleForm, "scale"): "1 g",
}


def sheet(data: Mapping[str, Any]) -> list[SheetGroup]:
    """The whole form of a design's data, as TOML gives it."""
    kind = _garment(data)
    groups = [_design(data, kind), _loom(data), _yarns(data)]
    if kind is not None:
        if len(kind.yarn_parts) > 1:
            groups.append(_use(data, kind))
        groups.append(_options(data, kind))
    groups += [_sizes(data, kind), _swatches(data)]
    if kind is not None and (takes_stripes(kind) or "stripes" in data):
        groups.append(_stripes(data))
    return groups


def kind_at(groups: Iterable[SheetGroup], path: str) -> FieldKind | None:
    """The kind of the field at a path, or None where the form has none."""
    for group in groups:
        for fields in (group.fields, *(row.fields for row in group.rows)):
            for field in fields:
                if field.path == path:
                    return field.kind
    return None


# --- groups --------------------------------------------------------------------------------------


def _design(data: Mapping[str, Any], kind: Garment | None) -> SheetGroup:
    table = _table(data, "design")
    wraps = list(kind.wraps) if kind and kind.wraps else [wrap.name for wrap in SHIPPED]
    own = [str(w["name"]) for w in _rows(data, "wraps") if "name" in w]
    choices = {
        "garment": [Choice(value=name, label=title) for name, title in _garments()],
        "wrap": [Choice(value=name, label=name) for name in [*wraps, *own]],
        "units": [Choice(value=str(u), label=str(u)) for u in UnitSystem],
    }
    fields = _fields(DesignTable, ("design",), table, choices)
    for field in fields:
        if field.path == "design.garment" and kind is not None:
            field.help = kind.words
        if field.path == "design.wrap":
            field.usual = wraps[0]
            field.help = "How the yarn is laid round the pegs."
        if field.path == "design.summary":
            field.kind = "lines"
        field.broad = field.path in ("design.title", "design.summary")
    return SheetGroup(key="design", title="The design", fields=fields)


def _loom(data: Mapping[str, Any]) -> SheetGroup:
    table = _table(data, "loom")
    words = {
        Arrangement.OPPOSED: "two rows, pegs opposite",
        Arrangement.OFFSET: "two rows, pegs offset",
        Arrangement.SINGLE: "one row",
        Arrangement.RING: "a ring",
    }
    choices = {"arrangement": [Choice(value=str(a), label=words[a]) for a in Arrangement]}
    fields = _fields(LoomTable, ("loom",), table, choices)
    for field in fields:
        if field.path == "loom.arrangement":
            field.help = "How the pegs stand."
    if table.get("arrangement") in ("single", "ring") and "gap" not in table:
        fields = [field for field in fields if field.path != "loom.gap"]
    return SheetGroup(
        key="loom",
        title="The board",
        words="Measure your own board, centre to centre.",
        fields=fields,
    )


def _yarns(data: Mapping[str, Any]) -> SheetGroup:
    categories = [Choice(value=str(c.number), label=f"{c.number}, {c.name}") for c in CATEGORIES]
    rows = []
    for index, yarn in enumerate(_rows(data, "yarns")):
        path = ("yarns", index)
        fields = _fields(YarnForm, path, yarn, {"category": categories}, leave_out={"sample"})
        sample = yarn.get("sample")
        if isinstance(sample, Mapping) or "metres_per_100g" not in yarn:
            under = sample if isinstance(sample, Mapping) else {}
            told = _fields(SampleForm, (*path, "sample"), under, {})
            for field in told:
                field.label, field.more = f"Sample: {field.label.lower()}", not under
                field.required = False
            fields[3:3] = told
        rows.append(_row(path, yarn, f"Yarn {index + 1}", fields))
    return SheetGroup(
        key="yarns",
        title="Yarns",
        words="The first yarn is the body's.",
        is_list=True,
        one="yarn",
        rows=rows,
    )


def _use(data: Mapping[str, Any], kind: Garment) -> SheetGroup:
    use = _table(data, "use")
    names = [str(yarn["name"]) for yarn in _rows(data, "yarns") if "name" in yarn]
    yarns = [Choice(value=name, label=name) for name in names]
    parts = [*kind.yarn_parts, *(part for part in use if part not in kind.yarn_parts)]
    fields = [
        SheetField(
            path=dotted(("use", part)),
            label=_label(part),
            kind="choice",
            value=_shown(use.get(part)),
            usual=(names[0] if part == "body" else "the body's yarn") if names else "",
            choices=_with_own(yarns, use.get(part)),
        )
        for part in parts
    ]
    return SheetGroup(
        key="use", title="Which yarn where", words="Parts that are knitted.", fields=fields
    )


def _options(data: Mapping[str, Any], kind: Garment) -> SheetGroup:
    given = _table(data, "garment")
    fields = [_option(spec, given.get(spec.name)) for spec in kind.options]
    known = {spec.name for spec in kind.options}
    fields += [
        SheetField(path=dotted(("garment", name)), label=_label(name), kind="text",
                   value=_shown(value))
        for name, value in given.items() if name not in known
    ]  # fmt: skip
    return SheetGroup(
        key="garment",
        title=kind.title,
        words="What is left empty is worked out or keeps to what is usual.",
        fields=fields,
    )


def _option(spec: OptionSpec, value: object) -> SheetField:
    kinds: dict[OptionKind, FieldKind] = {
        OptionKind.CHOICE: "choice",
        OptionKind.LENGTH: "length",
        OptionKind.COUNT: "count",
        OptionKind.FLAG: "choice",
    }
    choices = [Choice(value=c, label=c) for c in spec.choices]
    if spec.kind is OptionKind.FLAG:
        choices = [Choice(value="true", label="yes"), Choice(value="false", label="no")]
    return SheetField(
        path=dotted(("garment", spec.name)),
        label=_label(spec.name),
        kind=kinds[spec.kind],
        value=_shown(value),
        help=_sentence(spec.words),
        usual=_usual(spec),
        choices=_with_own(choices, value),
    )


def _usual(spec: OptionSpec) -> str:
    if spec.default is None:
        return "worked out"
    if spec.kind is OptionKind.FLAG:
        return "yes" if spec.default else "no"
    if spec.kind is OptionKind.LENGTH:
        from pegwright.units import format_both

        return format_both(float(spec.default), UnitSystem.INCHES)
    return str(spec.default)


def _sizes(data: Mapping[str, Any], kind: Garment | None) -> SheetGroup:
    rows = []
    given = _rows(data, "sizes")
    names = [str(size["name"]) for size in given if "name" in size]
    for index, size in enumerate(given):
        path: _Path = ("sizes", index)
        others = [Choice(value=n, label=n) for n in names if n != size.get("name")]
        choices = {
            "wearer": [Choice(value=str(w), label=str(w)) for w in Wearer],
            "like": others,
        }
        fields = _fields(SizeForm, path, size, choices)
        fields += _measures(kind, path, size)
        rows.append(_row(path, size, f"Size {index + 1}", fields))
    return SheetGroup(key="sizes", title="Sizes", is_list=True, one="size", rows=rows)


def _measures(kind: Garment | None, path: _Path, size: Mapping[str, Any]) -> list[SheetField]:
    known = {m.name: m for m in kind.measures} if kind else {}
    others = [name for name in size if name not in known and name not in SizeForm.model_fields]
    fields = [
        SheetField(
            path=dotted((*path, measure.name)),
            label=_label(measure.name),
            kind="length",
            value=_shown(size.get(measure.name)),
            help=_sentence(measure.words),
            required=measure.required and "like" not in size,
            usual="" if measure.required else "worked out",
        )
        for measure in known.values()
    ]
    return fields + [
        SheetField(path=dotted((*path, n)), label=_label(n), kind="length", value=_shown(size[n]))
        for n in others
    ]


def _swatches(data: Mapping[str, Any]) -> SheetGroup:
    rows = [
        _row(path, {}, f"Swatch {index + 1}", _fields(SwatchForm, path, swatch, {}))
        for index, swatch in enumerate(_rows(data, "swatches"))
        for path in (("swatches", index),)
    ]
    return SheetGroup(
        key="swatches",
        title="Swatches",
        words="Without a swatch the gauge is predicted from the board and the yarn, with a wide "
        "margin. Knit one on this board in the body's wrap and yarn, and measure it.",
        is_list=True,
        one="swatch",
        rows=rows,
    )


def _stripes(data: Mapping[str, Any]) -> SheetGroup:
    names = [str(yarn["name"]) for yarn in _rows(data, "yarns") if "name" in yarn]
    yarns = [Choice(value=name, label=name) for name in names]
    rows = [
        _row(path, {}, f"Stripe {index + 1}", _fields(StripeForm, path, stripe, {"yarn": yarns}))
        for index, stripe in enumerate(_rows(data, "stripes"))
        for path in (("stripes", index),)
    ]
    return SheetGroup(
        key="stripes",
        title="Stripes",
        words="From the cast-on; their rows together are the strip's. Without any it is all of "
        "the body's yarn.",
        is_list=True,
        one="stripe",
        rows=rows,
    )


# --- fields --------------------------------------------------------------------------------------


def _fields(
    form: type[BaseModel],
    path: _Path,
    given: Mapping[str, Any],
    choices: Mapping[str, Sequence[Choice]],
    leave_out: Iterable[str] = (),
) -> list[SheetField]:
    fields = []
    for name, info in form.model_fields.items():
        kind = _kind(name, info, choices)
        if name in leave_out or kind is None:
            continue
        fields.append(
            SheetField(
                path=dotted((*path, name)),
                label=_label(name),
                kind=kind,
                value=_shown(given.get(name)),
                help=_sentence(_HELPS.get((form, name), info.description or "")),
                required=info.is_required(),
                more=name in _MORE and name not in given,
                usual=_USUAL.get((form, name))
                or ("" if info.is_required() else _default(info.default)),
                choices=_with_own(choices[name], given.get(name)) if name in choices else [],
            )
        )
    return fields


def _kind(name: str, info: FieldInfo, choices: Mapping[str, object]) -> FieldKind | None:
    """What a field takes, by its type; None for tables and lists, which are left to the text."""
    named: dict[str, FieldKind] = {"colour_hex": "colour", "age": "age", "note": "lines"}
    types, marks = _types(info.annotation)
    if name in choices:
        return "choice"
    if not types <= _PLAIN:
        return None
    if name in named:
        return named[name]
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


def _with_own(choices: Sequence[Choice], value: object) -> list[Choice]:
    """The choices, and with them what stands there though it is none."""
    shown = _shown(value)
    if not shown or any(choice.value == shown for choice in choices):
        return list(choices)
    return [*choices, Choice(value=shown, label=f"{shown} (not known)")]


def _row(
    path: _Path, given: Mapping[str, Any], otherwise: str, fields: list[SheetField]
) -> SheetRow:
    return SheetRow(path=dotted(path), title=_shown(given.get("name")) or otherwise, fields=fields)


@lru_cache(maxsize=1)
def _garments() -> tuple[tuple[str, str], ...]:
    """Every garment's name and title; plug-ins are looked for once."""
    return tuple((kind.name, kind.title) for kind in garments().values())


def _garment(data: Mapping[str, Any]) -> Garment | None:
    try:
        return garment(str(_table(data, "design").get("garment", "")))
    except PegwrightError:
        return None


def _table(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    table = data.get(name)
    return table if isinstance(table, Mapping) else {}


def _rows(data: Mapping[str, Any], name: str) -> list[Mapping[str, Any]]:
    rows = data.get(name)
    return [r for r in rows if isinstance(r, Mapping)] if isinstance(rows, list) else []


def _shown(value: object) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "true" if value else "false"
        case dict() | list():
            return ""
        case float() if value.is_integer():
            return str(int(value))
    return str(value)[:2000]


def _default(value: object) -> str:
    if value is True or value is False:
        return "yes" if value else "no"
    return "" if value is None or value == "" or callable(value) else _shown(value)


def _label(name: str) -> str:
    words = _LABELS.get(name) or name.replace("_", " ").replace("-", " ")
    return words[:1].upper() + words[1:]


def _sentence(words: str) -> str:
    return words and words[0].upper() + words[1:] + ("" if words.endswith((".", "?")) else ".")
