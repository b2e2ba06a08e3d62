"""The form of a design: which groups and fields it has, in words, with what stands in each.

It is made from the text as it is, fitting or not, so that a slip stays where it was made until it
is mended.  Labels are the keys of the design file in plain words; helps are the file's and the
garment's own.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from pegwright.designs.form import (
    CostTable,
    DesignTable,
    LoomTable,
    SampleForm,
    SizeForm,
    StripeForm,
    SwatchForm,
    YarnForm,
)
from pegwright.designs.outline import Path, dotted
from pegwright.errors import PegwrightError
from pegwright.garments.base import Garment, OptionKind, OptionSpec, Wearer
from pegwright.garments.registry import garment, garments, takes_stripes
from pegwright.knitting.wraps import SHIPPED
from pegwright.loom.board import Arrangement
from pegwright.studio.designs.sheet_fields import (
    Choice,
    FieldKind,
    SheetField,
    SheetGroup,
    SheetRow,
    all_fields,
    choices_of,
    fields_of,
    kind_at,
    kind_in_new_row,
    label_of,
    row_of,
    rows_in,
    sentence,
    shown,
    table_in,
    with_own,
)
from pegwright.studio.designs.sheet_wraps import wraps_group
from pegwright.tongue.catalogues import LANGUAGES, tongue_of
from pegwright.units import UnitSystem
from pegwright.yarn.category import CATEGORIES

__all__ = [
    "Choice",
    "FieldKind",
    "SheetField",
    "SheetGroup",
    "SheetRow",
    "all_fields",
    "kind_at",
    "kind_in_new_row",
    "sheet",
]

_SAMPLE = "A sample instead of the ball band"
_ARRANGEMENTS = {
    Arrangement.OPPOSED: "two rows, pegs opposite",
    Arrangement.OFFSET: "two rows, pegs offset",
    Arrangement.SINGLE: "one row",
    Arrangement.RING: "a ring",
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
    return [*groups, wraps_group(rows_in(data, "wraps")), _cost(data)]


# --- the design and the board --------------------------------------------------------------------


def _design(data: Mapping[str, Any], kind: Garment | None) -> SheetGroup:
    table = table_in(data, "design")
    wraps = list(kind.wraps) if kind and kind.wraps else [wrap.name for wrap in SHIPPED]
    own = [str(w["name"]) for w in rows_in(data, "wraps") if "name" in w]
    choices = {
        "garment": [Choice(value=name, label=title) for name, title in _garments()],
        "wrap": [Choice(value=name, label=name) for name in [*wraps, *own]],
        "language": _languages(table.get("language")),
        "units": [Choice(value=str(u), label=str(u)) for u in UnitSystem],
    }
    fields = fields_of(DesignTable, ("design",), table, choices)
    for field in fields:
        if field.path == "design.garment" and kind is not None:
            field.help = kind.words
        if field.path == "design.wrap":
            field.usual = wraps[0]
            field.help = "How the yarn is laid round the pegs."
    return SheetGroup(key="design", title="The design", fields=fields)


def _languages(given: object) -> list[Choice]:
    """The languages by their own names, and with its territory the one that stands there."""
    known = [Choice(value=tag, label=name, lang=tag) for tag, name in LANGUAGES.items()]
    if not isinstance(given, str) or given in LANGUAGES:
        return known
    try:
        tag = tongue_of(given).language
    except PegwrightError:
        return known
    lang, _, territory = tag.partition("-")
    words = f"{LANGUAGES[lang]} ({territory})" if territory else LANGUAGES[lang]
    return [*known, Choice(value=given, label=words, lang=tag)]


def _loom(data: Mapping[str, Any]) -> SheetGroup:
    table = table_in(data, "loom")
    choices = {"arrangement": choices_of(_ARRANGEMENTS)}
    fields = fields_of(LoomTable, ("loom",), table, choices)
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


# --- yarns ---------------------------------------------------------------------------------------


def _yarns(data: Mapping[str, Any]) -> SheetGroup:
    rows = []
    for index, yarn in enumerate(rows_in(data, "yarns")):
        path = ("yarns", index)
        fields = fields_of(YarnForm, path, yarn, {"category": _categories()})
        fields += _sample(path, yarn)
        rows.append(row_of(path, yarn, f"Yarn {index + 1}", fields))
    return SheetGroup(
        key="yarns",
        title="Yarns",
        words="The first yarn is the body's.",
        is_list=True,
        one="yarn",
        rows=rows,
    )


def _categories() -> list[Choice]:
    return choices_of({c.number: f"{c.number}, {c.name}" for c in CATEGORIES})


def _sample(path: Path, yarn: Mapping[str, Any]) -> list[SheetField]:
    """What was measured and weighed, under a title of its own."""
    fields = fields_of(SampleForm, (*path, "sample"), table_in(yarn, "sample"))
    for field in fields:
        field.label, field.part = f"Sample: {field.label.lower()}", _SAMPLE
        field.required = False
    return fields


def _use(data: Mapping[str, Any], kind: Garment) -> SheetGroup:
    use = table_in(data, "use")
    names = _yarn_names(data)
    parts = [*kind.yarn_parts, *(part for part in use if part not in kind.yarn_parts)]
    fields = [
        SheetField(
            path=dotted(("use", part)),
            label=label_of(part),
            kind="choice",
            value=shown(use.get(part)),
            usual=(names[0] if part == "body" else "the body's yarn") if names else "",
            choices=with_own([Choice(value=name, label=name) for name in names], use.get(part)),
        )
        for part in parts
    ]
    return SheetGroup(
        key="use", title="Which yarn where", words="Parts that are knitted.", fields=fields
    )


def _yarn_names(data: Mapping[str, Any]) -> list[str]:
    return [str(yarn["name"]) for yarn in rows_in(data, "yarns") if "name" in yarn]


# --- the garment and its sizes -------------------------------------------------------------------


def _options(data: Mapping[str, Any], kind: Garment) -> SheetGroup:
    given = table_in(data, "garment")
    fields = [_option(spec, given.get(spec.name)) for spec in kind.options]
    known = {spec.name for spec in kind.options}
    fields += [
        SheetField(path=dotted(("garment", name)), label=label_of(name), kind="text",
                   value=shown(value))
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
        choices = choices_of({"true": "yes", "false": "no"})
    return SheetField(
        path=dotted(("garment", spec.name)),
        label=label_of(spec.name),
        kind=kinds[spec.kind],
        value=shown(value),
        help=sentence(spec.words),
        usual=_usual(spec),
        choices=with_own(choices, value),
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
    given = rows_in(data, "sizes")
    names = [str(size["name"]) for size in given if "name" in size]
    for index, size in enumerate(given):
        path: Path = ("sizes", index)
        others = [Choice(value=n, label=n) for n in names if n != size.get("name")]
        choices = {
            "wearer": [Choice(value=str(w), label=str(w)) for w in Wearer],
            "like": others,
        }
        fields = fields_of(SizeForm, path, size, choices)
        fields += _measures(kind, path, size)
        rows.append(row_of(path, size, f"Size {index + 1}", fields))
    return SheetGroup(key="sizes", title="Sizes", is_list=True, one="size", rows=rows)


def _measures(kind: Garment | None, path: Path, size: Mapping[str, Any]) -> list[SheetField]:
    known = {m.name: m for m in kind.measures} if kind else {}
    others = [name for name in size if name not in known and name not in SizeForm.model_fields]
    fields = [
        SheetField(
            path=dotted((*path, measure.name)),
            label=label_of(measure.name),
            kind="length",
            value=shown(size.get(measure.name)),
            help=sentence(measure.words),
            required=measure.required and "like" not in size,
            usual="" if measure.required else "worked out",
        )
        for measure in known.values()
    ]
    return fields + [
        SheetField(path=dotted((*path, n)), label=label_of(n), kind="length", value=shown(size[n]))
        for n in others
    ]


def _swatches(data: Mapping[str, Any]) -> SheetGroup:
    rows = [
        row_of(path, {}, f"Swatch {index + 1}", fields_of(SwatchForm, path, swatch))
        for index, swatch in enumerate(rows_in(data, "swatches"))
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
    yarns = [Choice(value=name, label=name) for name in _yarn_names(data)]
    rows = [
        row_of(path, {}, f"Stripe {index + 1}", fields_of(StripeForm, path, one, {"yarn": yarns}))
        for index, one in enumerate(rows_in(data, "stripes"))
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


# --- what it costs -------------------------------------------------------------------------------


def _cost(data: Mapping[str, Any]) -> SheetGroup:
    table = table_in(data, "cost")
    fields = fields_of(CostTable, ("cost",), table)
    for field in fields:
        field.more = False
        if field.path == "cost.pace":
            field.usual = "25"
    return SheetGroup(
        key="cost",
        title="Price",
        words="What work is worth and what is added. No pattern prints it. A yarn's price stands "
        "with the yarn.",
        fields=fields,
        lists=[_others(table.get("others"))],
    )


def _others(given: object) -> SheetGroup:
    rows = []
    for index, (name, amount) in enumerate(given.items() if isinstance(given, Mapping) else ()):
        path: Path = ("cost", "others", index)
        fields = [
            SheetField(path=dotted((*path, "name")), label="What it is", kind="name",
                       value=name, required=True),
            SheetField(path=dotted((*path, "amount")), label="What it costs", kind="number",
                       value=shown(amount), required=True, also=dotted(("cost", "others", name))),
        ]  # fmt: skip
        rows.append(row_of(path, {}, name, fields))
    return SheetGroup(
        key="cost.others",
        title="What else is bought",
        words="Buttons, a label, for one piece.",
        is_list=True,
        ordered=False,
        one="thing that is bought",
        rows=rows,
    )


# --- garments ------------------------------------------------------------------------------------


@lru_cache(maxsize=1)
def _garments() -> tuple[tuple[str, str], ...]:
    """Every garment's name and title; plug-ins are looked for once."""
    return tuple((kind.name, kind.title) for kind in garments().values())


def _garment(data: Mapping[str, Any]) -> Garment | None:
    try:
        return garment(str(table_in(data, "design").get("garment", "")))
    except PegwrightError:
        return None
