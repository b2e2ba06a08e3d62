"""What a maker typed into a record's form, read into the record's body."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import TypeVar

from pegwright.errors import BadInput, PegwrightError, Place
from pegwright.gauge.fabric_gauge import Swatch
from pegwright.library.records import (
    Body,
    Kind,
    Making,
    OwnBoard,
    OwnPerson,
    OwnSwatch,
    OwnYarn,
    Stage,
)
from pegwright.library.store import Library
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured
from pegwright.sizing.people import Person
from pegwright.units import parse_length_mm, parse_mass_g
from pegwright.yarn.yarn import Yarn

__all__ = [
    "FormValues",
    "at_fields",
    "balls_of",
    "body_of",
    "read_choice",
    "read_count",
    "read_lengths",
    "read_number",
]

T = TypeVar("T")

_DEFAULT_PEG_HEIGHT_MM = 25.0
_DEFAULT_SLACK_SD = 0.05
_FIELDS = {
    "pitch_mm": "pitch",
    "gap_mm": "gap",
    "peg_diameter_mm": "peg_diameter",
    "peg_height_mm": "peg_height",
    "ball_g": "ball",
    "scale_g": "scale",
    "wrapped_diameter_mm": "diameter",
    "bare_gap_mm": "bare_gap",
}
"""Fields of the domain by their names in the form."""


def body_of(
    kind: Kind, values: Mapping[str, str], library: Library, before: Body | None = None
) -> Body:
    """The body that a form's values make; what the form does not show stays as it was.

    :raises BadInput: naming the field of the form, for what cannot be.
    """
    read = FormValues(values)
    try:
        match kind:
            case Kind.BOARD:
                return _board(read)
            case Kind.YARN:
                return _yarn(read, before)
            case Kind.SWATCH:
                return _swatch(read)
            case Kind.PERSON:
                return _person(read)
            case Kind.MAKING:
                return _making(read, library, before)
    except PegwrightError as error:
        raise _at_form(error) from None
    raise BadInput(f"a {kind} is not made with this form", given=str(kind))


def balls_of(text: str) -> tuple[float, ...]:
    """Grams of each ball from ``100 g, 46 g``; none from an empty text: used up.

    :raises BadInput: for what is no mass.
    """
    return tuple(parse_mass_g(part) for part in text.split(",") if part.strip())


class FormValues:
    """What was typed into a form: one field is read after the other; a refusal names its field."""

    def __init__(self, values: Mapping[str, str]) -> None:
        self.values = values

    def text(self, name: str, *, required: bool = False) -> str:
        """What stands in a field; "" where it is empty."""
        value = self.values.get(name, "").strip()
        if required and not value:
            raise BadInput("this is missing", hint="fill it in", place=Place(field=name))
        return value

    def as_(self, name: str, read: Callable[[str], T], *, required: bool = False) -> T | None:
        """What a field means; None where it is empty."""
        value = self.text(name, required=required)
        if not value:
            return None
        try:
            return read(value)
        except PegwrightError as error:
            raise error.at(Place(field=name)) from None

    def needed(self, name: str, read: Callable[[str], T]) -> T:
        """What a field means that may not be empty."""
        value = self.as_(name, read, required=True)
        assert value is not None  # or it was refused
        return value

    def flag(self, name: str) -> bool:
        """Whether a box is ticked."""
        return self.values.get(name) == "true"


def read_number(text: str) -> float:
    """A number as typed, with a point or a comma."""
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        value = float("nan")
    if value - value != 0:
        raise BadInput("a number is needed here", given=text, hint="write digits, as 175 or 1.2")
    return value


def read_count(text: str) -> int:
    """A whole number as typed."""
    if not text.isascii() or not text.isdigit() or len(text) > 9:
        raise BadInput("a whole number is needed here", given=text, hint="count again")
    return int(text)


def read_choice(kind: type[T]) -> Callable[[str], T]:
    """Reads one of the values of an Enum."""

    def read(text: str) -> T:
        try:
            return kind(text)  # type: ignore[call-arg]
        except ValueError:
            raise BadInput("not one of the choices", given=text) from None

    return read


# --- the kinds -----------------------------------------------------------------------------------


def _board(read: FormValues) -> OwnBoard:
    arrangement = read.needed("arrangement", read_choice(Arrangement))
    double = arrangement in (Arrangement.OPPOSED, Arrangement.OFFSET)
    pegs = read.needed("pegs", read_count)
    pitch_mm = read.needed("pitch", parse_length_mm)
    gap_mm = read.needed("gap", parse_length_mm) if double else 0.0
    peg_mm = read.needed("peg_diameter", parse_length_mm)
    height_mm = read.as_("peg_height", parse_length_mm) or _DEFAULT_PEG_HEIGHT_MM
    name = read.text("name", required=True)
    try:
        loom = Loom(arrangement, pegs, pitch_mm, gap_mm, peg_mm, height_mm, name)
    except PegwrightError as error:
        raise error.at(Place(field="pitch" if pitch_mm <= peg_mm else "gap")) from None
    slack = read.as_("slack", read_number)
    sd = read.as_("slack_sd", read_number)
    spacers = read.text("spacers")
    return OwnBoard(
        loom,
        None if slack is None else Measured(slack, _DEFAULT_SLACK_SD if sd is None else sd),
        read.as_("bare_gap", parse_length_mm),
        read.as_("spacers", read_lengths) or () if spacers else (),
    )


def read_lengths(text: str) -> tuple[float, ...]:
    """Lengths with commas between, in mm."""
    return tuple(parse_length_mm(part) for part in text.split(",") if part.strip())


def _yarn(read: FormValues, before: Body | None) -> OwnYarn:
    old = before if isinstance(before, OwnYarn) else None
    yarn = Yarn(
        name=read.text("name", required=True),
        category=read.needed("category", read_count),
        metres_per_100g=read.needed("metres_per_100g", read_number),
        metres_per_100g_sd=read.as_("metres_per_100g_sd", read_number),
        ball_g=read.as_("ball", parse_mass_g) or 100.0,
        wrapped_diameter_mm=read.as_("diameter", parse_length_mm),
        wraps_per_inch=read.as_("wraps_per_inch", read_number),
        fibre=read.text("fibre"),
        colour=read.text("colour"),
        colour_hex=read.text("colour_hex") or "#8c8c8c",
        invented=old.yarn.invented if old else False,
    )
    scale_g = read.as_("scale", parse_mass_g) or 1.0
    return OwnYarn(yarn, scale_g, read.flag("sampled"), old.colour_run if old else None)


def _swatch(read: FormValues) -> OwnSwatch:
    swatch = Swatch(
        stitches=read.needed("stitches", read_count),
        width=Measured(
            read.needed("width", parse_length_mm), read.as_("width_sd", parse_length_mm) or 0.0
        ),
        rows=read.needed("rows", read_count),
        length=Measured(
            read.needed("length", parse_length_mm), read.as_("length_sd", parse_length_mm) or 0.0
        ),
        washed=read.flag("washed"),
        note=read.text("note"),
    )
    board, yarn = read.text("board") or None, read.text("yarn") or None
    return OwnSwatch(swatch, board, yarn, read.text("wrap"))


def _person(read: FormValues) -> OwnPerson:
    measures = {
        name.removeprefix("measures."): read.needed(name, parse_length_mm)
        for name, value in read.values.items()
        if name.startswith("measures.") and value.strip()
    }
    person = Person(
        read.text("name", required=True),
        read.text("wearer") or "adult",
        measures,
        read.text("note"),
    )
    return OwnPerson(person, read.text("born") or None, read.text("measured") or None)


def _making(read: FormValues, library: Library, before: Body | None) -> Making:
    design, _, size = read.text("piece", required=True).partition("/")
    if not size:
        raise BadInput("a design and one of its sizes is needed", place=Place(field="piece"))
    stage = read.needed("stage", read_choice(Stage))
    yarns = tuple(read.text("yarns").split())
    if isinstance(before, Making) and (before.design, before.size) == (design, size):
        version = before.version
    else:
        version = library.versions(design)[-1].number
    return Making(design, version, size, yarns, stage)


@contextmanager
def at_fields(names: Mapping[str, str]) -> Iterator[None]:
    """Refusals speak of the form's own fields, and of no name that nobody typed.

    :param names: fields of the form by what they are called inside.
    """
    try:
        yield
    except BadInput as error:
        field = error.place.field if error.place else None
        if field is not None:
            if error.what.startswith(f"{field} "):
                error.what = f"this {error.what.removeprefix(f'{field} ')}"
            error.place = Place(field=names.get(field, field))
        raise


def _at_form(error: PegwrightError) -> PegwrightError:
    """The refusal at the form's own field."""
    field = error.place.field if error.place else None
    if field and (known := _FIELDS.get(field)) is not None:
        error.place = Place(field=known)
    return error
