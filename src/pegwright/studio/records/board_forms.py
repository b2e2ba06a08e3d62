"""What the forms of a board's pages have in common: the yarn, the wrap, and their reading."""

from __future__ import annotations

from pegwright.errors import BadInput, Place
from pegwright.knitting.wrap_trial import WRAP_TEST_PAIRS, usual_wrap
from pegwright.knitting.wraps import SHIPPED, Wrap, shipped
from pegwright.library.records import Kind, OwnYarn
from pegwright.library.store import Library
from pegwright.loom.board import Loom
from pegwright.loom.wrap_test import check_slack
from pegwright.pattern.model import Figure
from pegwright.publish.drawing import ON_PAGE
from pegwright.publish.figures import figure_svg
from pegwright.studio.designs.sheet import Choice, SheetField
from pegwright.studio.designs.view import FigureView
from pegwright.studio.library.record_bodies import FormValues, read_number
from pegwright.studio.library.record_sheets import record_choices
from pegwright.studio.records.tasks import Typed
from pegwright.studio.refusals import NotThere
from pegwright.studio.shapes import Asked
from pegwright.units import parse_length_mm
from pegwright.yarn.category import CATEGORIES
from pegwright.yarn.thickness import Thickness, thickness_of
from pegwright.yarn.yarn import Yarn

__all__ = [
    "WrapAsked",
    "category_choices",
    "figure_view",
    "needed_thickness",
    "own_yarn",
    "slack_asked",
    "thickness_asked",
    "wrap_asked",
    "wrap_fields",
    "yarn_fields",
]


class WrapAsked(Asked):
    """A wrap with a yarn, by the fields of a form; what is left out is usual."""

    yarn: Typed = ""
    category: Typed = ""
    wraps_per_inch: Typed = ""
    yarn_diameter: Typed = ""
    wrap: Typed = ""
    over: Typed = ""
    slack: Typed = ""


def category_choices() -> list[Choice]:
    """The weight categories, to choose one of."""
    return [Choice(value=str(c.number), label=f"{c.number}, {c.name}") for c in CATEGORIES]


def yarn_fields(library: Library, *, chosen: bool) -> list[SheetField]:
    """A yarn of the library, or how thick another one lies.

    :param chosen: the latest yarn is chosen from the start.
    """
    yarns = record_choices(library, Kind.YARN)
    return [
        SheetField(
            path="yarn",
            label="Yarn",
            kind="choice",
            value=yarns[0].value if yarns and chosen else "",
            help="Of your library." if yarns else "Your library has no yarn yet: say below.",
            choices=yarns,
        ),
        SheetField(path="category", label="Category", kind="choice", more=bool(yarns),
                   help="Of another yarn: how thick its category usually lies.",
                   choices=category_choices()),
        SheetField(path="wraps_per_inch", label="Wraps per inch", kind="number", more=bool(yarns),
                   help="Of another yarn: turns round a ruler; better than its category."),
        SheetField(path="yarn_diameter", label="Thickness", kind="length", more=bool(yarns),
                   help="Of another yarn, as it lies; better than wraps."),
    ]  # fmt: skip


def own_yarn(library: Library, record_id: str, field: str = "yarn") -> OwnYarn:
    """A yarn of the library that was chosen in a field.

    :raises NotThere: where there is none of that id.
    """
    known = {record.id: record.body for record in library.list(Kind.YARN)}
    body = known.get(record_id)
    if not isinstance(body, OwnYarn):
        raise NotThere(
            "this yarn is not in the library any more",
            hint="choose another one",
            place=Place(field=field),
        )
    return body


def thickness_asked(read: FormValues, library: Library) -> Thickness | None:
    """How thick the yarn lies: as was typed, or as the chosen one does; None where neither."""
    typed = thickness_of(
        read.text("category") or None,
        read.as_("wraps_per_inch", read_number),
        read.as_("yarn_diameter", parse_length_mm),
    )
    chosen = read.text("yarn")
    if typed is not None or not chosen:
        return typed
    yarn: Yarn = own_yarn(library, chosen).yarn
    return Thickness(yarn.wrapped_diameter_mm, yarn.category)


def needed_thickness(read: FormValues, library: Library) -> Thickness:
    """How thick the yarn lies.

    :raises BadInput: where nothing says it.
    """
    found = thickness_asked(read, library)
    if found is None:
        raise BadInput(
            "which yarn is it?",
            hint="choose one, or say its category, its wraps per inch or its thickness",
            place=Place(field="yarn"),
        )
    return found


def wrap_fields(loom: Loom, slack: float) -> list[SheetField]:
    """The wrap, over how many pegs, and the hand's slack."""
    wraps = [w.name for w in SHIPPED if (w.boards == 2) == loom.is_double]
    return [
        SheetField(path="wrap", label="Wrap", kind="choice", required=True,
                   value=usual_wrap(double=loom.is_double).name,
                   choices=[Choice(value=name, label=name) for name in wraps]),
        SheetField(path="over", label="Over so many pegs", kind="count",
                   usual=str(min(WRAP_TEST_PAIRS, loom.pegs)),
                   help="On each board." if loom.is_double else "From the left."),
        SheetField(path="slack", label="Slack", kind="number", usual=f"{slack:g}",
                   help="Yarn that your own hands draw, over yarn drawn taut: 1 is taut."),
    ]  # fmt: skip


def wrap_asked(read: FormValues, *, double: bool) -> Wrap:
    """The wrap that was chosen, or the usual one for two rows of pegs or one."""
    return read.as_("wrap", shipped) or usual_wrap(double=double)


def slack_asked(read: FormValues, usual: float) -> float:
    """The slack that was typed, or the usual one.

    :raises BadInput: for a factor that no hand has.
    """
    slack = read.as_("slack", read_number)
    return usual if slack is None else check_slack(slack)


def figure_view(figure: Figure) -> FigureView:
    """A figure as a page shows it."""
    svg = figure_svg(figure, ON_PAGE).decode("utf-8")
    return FigureView(key=figure.key, caption=figure.caption, alt=figure.alt, svg=svg)
