"""The form of a price: what an hour and a ball are worth, what else is bought, and the pace.

Its fields are those of the design's own form, so they are read and refused in the same way; only
the sittings are none of the design.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Any

from pydantic import Field

from pegwright.designs.model import Design
from pegwright.designs.outline import Path, dotted
from pegwright.errors import BadInput, PegwrightError, Place
from pegwright.pattern.source import ProvedSize
from pegwright.planning.pace import Sitting
from pegwright.studio.designs.sheet import SheetField, SheetGroup, SheetRow, all_fields, sheet
from pegwright.studio.library.record_bodies import read_number
from pegwright.studio.shapes import Asked
from pegwright.units import format_mass

__all__ = ["SittingAsked", "missing", "price_sheet", "sittings_of"]

Typed = Annotated[str, Field(max_length=40)]


class SittingAsked(Asked):
    """Rows knitted in one sitting and its minutes, as they were typed."""

    rows: Typed = ""
    minutes: Typed = ""


def price_sheet(
    data: Mapping[str, Any],
    design: Design | None,
    size: ProvedSize | None,
    sittings: Sequence[SittingAsked],
) -> list[SheetGroup]:
    """The form, from the design's text as it is.

    :param design: the design as it last could be read; ``size`` the size that is reckoned.
    """
    whole = sheet(data)
    fields = {field.path: field for field in all_fields(whole)}
    others = next(group for group in whole if group.key == "cost").lists[0]
    others.words = "For one piece: buttons, a label."
    return [
        SheetGroup(
            key="price-work",
            title="Work",
            fields=[fields["cost.rate"], fields["cost.currency"], fields["cost.pace"]],
            lists=[_sittings(sittings)],
        ),
        SheetGroup(
            key="price-yarn",
            title="Yarn",
            words="What one ball costs; 0 for yarn that you have.",
            fields=list(_prices(data, fields, design, size)),
        ),
        others,
        SheetGroup(key="price-margin", title="What is added", fields=[fields["cost.margin"]]),
    ]


def _sittings(sittings: Sequence[SittingAsked]) -> SheetGroup:
    rows = []
    for index, sitting in enumerate(sittings):
        path: Path = ("sittings", index)
        fields = [
            SheetField(path=dotted((*path, "rows")), label="Rows", kind="number",
                       value=sitting.rows, help="Of this size."),
            SheetField(path=dotted((*path, "minutes")), label="Minutes", kind="number",
                       value=sitting.minutes, help="By the clock."),
        ]  # fmt: skip
        rows.append(SheetRow(path=dotted(path), title=f"Sitting {index + 1}", fields=fields))
    return SheetGroup(
        key="sittings",
        title="Your pace, by the clock",
        words="Note how many rows you knit in one sitting and how long they take: the sum then "
        "reckons with what they tell instead of the pace above.",
        is_list=True,
        ordered=False,
        one="sitting",
        rows=rows,
    )


def _prices(
    data: Mapping[str, Any],
    fields: Mapping[str, SheetField],
    design: Design | None,
    size: ProvedSize | None,
) -> Iterator[SheetField]:
    """The price of each yarn that the size takes; of all where it is not known which."""
    needed = {need.yarn.name for need in size.needs} if size else None
    known = design.yarns if design else {}
    rows = data.get("yarns")
    for index, row in enumerate(rows if isinstance(rows, list) else []):
        field = fields.get(dotted(("yarns", index, "price")))
        name = row.get("name") if isinstance(row, Mapping) else None
        if field is None or not isinstance(name, str) or (needed and name not in needed):
            continue
        yarn = known.get(name)
        field.label = f"A ball of {yarn.label if yarn else name}"
        field.help = format_mass(yarn.ball_g, design.units) if yarn and design else ""
        field.more, field.broad = False, True
        yield field


def missing(design: Design, size: ProvedSize) -> Iterator[tuple[str, str]]:
    """What the sum needs and the design does not say: the field, and the words for it."""
    if design.costing is None or design.costing.rate is None:
        yield "cost.rate", "what an hour of work is worth, 0 to count no work"
    names = list(design.yarns)
    for need in size.needs:
        if need.yarn.name not in design.prices:
            path: Path = ("yarns", names.index(need.yarn.name), "price")
            yield dotted(path), f"what a ball of {need.yarn.label} costs, 0 for yarn that you have"


def sittings_of(asked: Sequence[SittingAsked]) -> tuple[Sitting, ...]:
    """The sittings; rows that nothing was typed in yet do not count.

    :raises BadInput: naming the field, for what is no sitting.
    """
    return tuple(
        _sitting(index, one)
        for index, one in enumerate(asked)
        if one.rows.strip() or one.minutes.strip()
    )


def _sitting(index: int, asked: SittingAsked) -> Sitting:
    values = {}
    for name, typed in (("rows", asked.rows), ("minutes", asked.minutes)):
        place = Place(field=dotted(("sittings", index, name)))
        if not typed.strip():
            raise BadInput("this is missing", hint="fill it in", place=place)
        try:
            values[name] = read_number(typed.strip())
        except PegwrightError as refused:
            raise refused.at(place) from None
    try:
        return Sitting(**values)
    except PegwrightError as refused:
        field = refused.place.field if refused.place else None
        refused.place = Place(field=dotted(("sittings", index, field or "rows")))
        raise
