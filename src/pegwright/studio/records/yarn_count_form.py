"""The form of what is done with a yarn: counting it, holding strands together, weighing it."""

from __future__ import annotations

from pegwright.errors import BadInput, Place
from pegwright.library.records import Kind, OwnYarn
from pegwright.library.store import Library
from pegwright.studio.designs.sheet import SheetField, SheetGroup
from pegwright.studio.library.record_bodies import FormValues, read_count, read_number
from pegwright.studio.library.record_sheets import record_choices
from pegwright.studio.records.board_forms import category_choices, own_yarn
from pegwright.studio.records.tasks import Typed, at_field, units_field
from pegwright.studio.shapes import Asked
from pegwright.units import format_number
from pegwright.yarn.plied import MOST_STRANDS
from pegwright.yarn.yarn import Yarn

__all__ = ["CountAsked", "count_sheet", "counts_of", "strands_of"]

_MOST_COUNTS = 50


class CountAsked(Asked):
    """The values of the form by field; a part of it is worked out where it is filled in."""

    counts: Typed = ""
    counted_over: Typed = ""
    strands: Typed = ""
    other: Typed = ""
    other_strands: Typed = ""
    second: Typed = ""
    second_strands: Typed = ""
    strange_category: Typed = ""
    strange_metres: Typed = ""
    strange_strands: Typed = ""
    whole: Typed = ""
    scale: Typed = ""
    into: Typed = ""
    shares: Typed = ""
    units: Typed = ""


def count_sheet(own: OwnYarn, library: Library, record_id: str) -> list[SheetGroup]:
    """The form, with what the library knows of the yarn."""
    return [_counting(), _holding(library, record_id), _weighing(own, library, record_id)]


def _counting() -> SheetGroup:
    return SheetGroup(
        key="wraps-part",
        title="Count its wraps",
        words="Wind it round a ruler, turns side by side, touching and not stretched. Wind it"
        " afresh and count again, twice or more.",
        fields=[
            SheetField(path="counts", label="Turns counted", kind="text",
                       help="One count for each time that you wound, with commas between: "
                       "10, 9.5, 10."),
            SheetField(path="counted_over", label="Counted over", kind="length", usual="1 in",
                       help="So much of the ruler."),
        ],
    )  # fmt: skip


def _holding(library: Library, record_id: str) -> SheetGroup:
    others = [choice for choice in record_choices(library, Kind.YARN) if choice.value != record_id]
    few = not others

    def strands(path: str, whose: str, *, more: bool = False) -> SheetField:
        label = f"Strands of {whose}"
        return SheetField(path=path, label=label, kind="count", usual="1", more=more)

    return SheetGroup(
        key="strands-part",
        title="Hold strands together",
        words=f"Two strands to {MOST_STRANDS}, knitted as one yarn.",
        fields=[
            SheetField(path="strands", label="Strands of this yarn", kind="count",
                       help="Such as 2; 1 beside another yarn."),
            SheetField(path="other", label="With", kind="choice", choices=others, more=few,
                       help="Another yarn of your library."),
            strands("other_strands", "the other", more=few),
            SheetField(path="second", label="And with", kind="choice", choices=others, more=True),
            strands("second_strands", "the third", more=True),
            SheetField(path="strange_category", label="With one not in the library", kind="choice",
                       choices=category_choices(), more=not few, help="Its weight category."),
            SheetField(path="strange_metres", label="Its metres in 100 g", kind="number",
                       more=not few, help="As on the ball band."),
            strands("strange_strands", "that one", more=not few),
        ],
    )  # fmt: skip


def _weighing(own: OwnYarn, library: Library, record_id: str) -> SheetGroup:
    stash = library.stash(record_id)
    ball_g = stash.balls[0].value if stash else own.yarn.ball_g
    return SheetGroup(
        key="scale-part",
        title="On the scale",
        words="How many metres a weight holds, and how to part a ball by weighing what remains.",
        fields=[
            SheetField(path="whole", label="The ball weighs", kind="mass",
                       value=f"{format_number(ball_g, 2)} g", help="Without its band."),
            SheetField(path="scale", label="Your scale shows", kind="mass",
                       usual=f"{own.scale_g:g} g", help="The smallest weight that it shows."),
            SheetField(path="into", label="Part it into", kind="count",
                       help="So many equal parts."),
            SheetField(path="shares", label="Or in shares", kind="text", more=True,
                       help="Each part of the whole, with commas: 1/2, 1/4, 1/4."),
            units_field(),
        ],
    )  # fmt: skip


# --- its reading ---------------------------------------------------------------------------------


def counts_of(read: FormValues) -> list[float]:
    """The turns that were counted."""

    def numbers(text: str) -> list[float]:
        found = [read_number(part) for part in text.replace(";", ",").split(",") if part.strip()]
        if len(found) > _MOST_COUNTS:
            raise BadInput(
                f"at most {_MOST_COUNTS} counts are taken", given=len(found), hint="leave some out"
            )
        return found

    return read.as_("counts", numbers) or []


def strands_of(read: FormValues, yarn: Yarn, library: Library) -> list[Yarn]:
    """One yarn for each strand; none where the form names no strands at all."""
    found = [yarn] * _many(read, "strands", 0)
    for name in ("other", "second"):
        if chosen := read.text(name):
            with at_field(name):
                other = own_yarn(library, chosen, name).yarn
            found += [other] * _many(read, f"{name}_strands", 1)
    metres = read.as_("strange_metres", read_number)
    number = read.as_("strange_category", read_count)
    if metres is not None or number is not None:
        found += [_strange(number, metres)] * _many(read, "strange_strands", 1)
    if found and not read.text("strands"):
        found = [yarn, *found]  # it is this yarn's page
    return found


def _strange(number: int | None, metres: float | None) -> Yarn:
    """A yarn of which no more is known than its category and its metres."""
    if number is None or metres is None:
        missing = "strange_category" if number is None else "strange_metres"
        raise BadInput(
            "a yarn needs its weight category and its metres in 100 g",
            hint="see the ball band",
            place=Place(field=missing),
        )
    names = {"category": "strange_category", "metres_per_100g": "strange_metres"}
    with at_field("strange_category", names):
        return Yarn(f"category {number} at {metres:g} m", number, metres)


def _many(read: FormValues, name: str, usual: int) -> int:
    number = read.as_(name, read_count)
    if number is not None and number > MOST_STRANDS:
        raise BadInput(
            f"2 to {MOST_STRANDS} strands are held together",
            given=number,
            hint="more will not be caught by one hook",
            place=Place(field=name),
        )
    return usual if number is None else number
