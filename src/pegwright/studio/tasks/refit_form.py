"""What a reader has, as a form: fields with what holds where one is left empty, and their reading.

A board, a yarn or a person of the library may be chosen; what is typed is laid over it.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass

from pegwright.designs.model import Design
from pegwright.designs.writer import length_text
from pegwright.errors import BadInput, PegwrightError, Place
from pegwright.garments.base import Wearer
from pegwright.garments.registry import garment
from pegwright.knitting.wrap_trial import WRAP_TEST_PAIRS
from pegwright.library.records import Body, Kind, OwnBoard, OwnPerson, OwnYarn
from pegwright.library.store import Library
from pegwright.loom.board import MOST_PEGS, Arrangement, Loom
from pegwright.loom.given import GivenBoard
from pegwright.refit.given import Given, reader_of
from pegwright.refit.reader import Reader, Spacers
from pegwright.sizing.people import measurement
from pegwright.studio.designs.sheet import Choice, SheetField, SheetGroup
from pegwright.studio.library.record_bodies import (
    FormValues,
    at_fields,
    read_choice,
    read_count,
    read_lengths,
    read_number,
)
from pegwright.studio.library.record_sheets import ARRANGEMENTS, record_choices
from pegwright.studio.records.board_forms import category_choices
from pegwright.units import format_number, parse_length_mm, parse_mass_g
from pegwright.yarn.category import category
from pegwright.yarn.given import GivenYarn
from pegwright.yarn.yarn import DiameterSource

__all__ = ["Chosen", "at_form", "chosen_of", "given_of", "names_of", "reader_asked", "refit_sheet"]

_FIELDS = {
    "wrap_test": "drawn",
    "wrapped_diameter_mm": "diameter",
    "ball_g": "ball",
    "thicknesses_mm": "spacers",
}
"""Fields of the domain by their names in the form."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """What was chosen from the library; None where nothing was."""

    board: OwnBoard | None = None
    yarn: OwnYarn | None = None
    person: OwnPerson | None = None


def chosen_of(values: Mapping[str, str], library: Library) -> Chosen:
    """The records that a form names.

    :raises PegwrightError: naming the field, for one that is not there or of another kind.
    """
    board = _record(values, library, Kind.BOARD)
    yarn = _record(values, library, Kind.YARN)
    person = _record(values, library, Kind.PERSON)
    return Chosen(
        board if isinstance(board, OwnBoard) else None,
        yarn if isinstance(yarn, OwnYarn) else None,
        person if isinstance(person, OwnPerson) else None,
    )


def _record(values: Mapping[str, str], library: Library, kind: Kind) -> Body | None:
    record_id = values.get(str(kind), "")
    if not record_id:
        return None
    place = Place(field=str(kind))
    try:
        record = library.get(record_id)
    except PegwrightError as error:
        raise error.at(place) from None
    if record.kind is not kind:
        raise BadInput(f"this is no {kind}", given=record.name, hint="choose again", place=place)
    return record.body


# --- the form ------------------------------------------------------------------------------------


def refit_sheet(design: Design, library: Library, chosen: Chosen) -> list[SheetGroup]:
    """The form, with what holds where a field is left empty."""
    groups = [
        _board(design, library, chosen.board),
        _wrap_test(design),
        _yarn(design, library, chosen.yarn),
        _person(design, library, chosen.person),
    ]
    return [group for group in groups if group.fields]


def _from_library(library: Library, kind: Kind, label: str) -> list[SheetField]:
    """The field that chooses a record; none where the library has none of the kind."""
    choices = record_choices(library, kind)
    if not choices:
        return []
    return [SheetField(path=str(kind), label=label, kind="choice", broad=True, choices=choices)]


def _board(design: Design, library: Library, own: OwnBoard | None) -> SheetGroup:
    loom = own.loom if own else design.loom
    slack = own.slack.value if own and own.slack else design.slack.value

    def length(path: str, label: str, mm: float | None, words: str = "") -> SheetField:
        usual = length_text(mm, design.units) if mm else ""
        return SheetField(path=path, label=label, kind="length", usual=usual, help=words)

    spacers = ", ".join(length_text(mm, design.units) for mm in own.spacers_mm) if own else ""
    fields = [
        *_from_library(library, Kind.BOARD, "A board of your library"),
        SheetField(path="pegs", label="Pegs", kind="count", usual=str(loom.pegs),
                   help="In one row."),
        length("pitch", "Pitch", loom.pitch_mm, "From peg to peg."),
        length("gap", "Gap", loom.gap_mm, "From row to row; only for two rows."),
        length("peg_diameter", "Peg diameter", loom.peg_diameter_mm),
        SheetField(path="arrangement", label="Arrangement", kind="choice", broad=True,
                   usual=ARRANGEMENTS[loom.arrangement],
                   choices=[Choice(value=str(a), label=w) for a, w in ARRANGEMENTS.items()]),
        SheetField(path="slack", label="Slack", kind="number", more=True,
                   usual=format_number(slack, 3),
                   help="Yarn that her own hands draw, over yarn drawn taut."),
        SheetField(path="spacers", label="Spacers", kind="text", more=True, usual=spacers,
                   help="Thicknesses at hand to set another gap with: 1/4 in, 1/8 in."),
        length("bare_gap", "Gap without spacers", own.bare_gap_mm if own else None),
    ]  # fmt: skip
    fields[-1].more = True
    return SheetGroup(
        key="own-board",
        title="Board",
        words="Centre to centre. What is left empty is as it stands there in grey.",
        fields=fields,
    )


def _wrap_test(design: Design) -> SheetGroup:
    return SheetGroup(
        key="wrap-test",
        title="A wrap test on it",
        words="Alone it tells the gap of a board otherwise like the pattern's. With a board given"
        " above, it tells how loosely she wraps.",
        fields=[
            SheetField(path="drawn", label="It drew", kind="length",
                       help=f"The yarn of one wrap in {design.wrap.name}."),
            SheetField(path="over", label="Over so many pegs", kind="count",
                       usual=str(WRAP_TEST_PAIRS), help="Of each board."),
        ],
    )  # fmt: skip


def _yarn(design: Design, library: Library, own: OwnYarn | None) -> SheetGroup:
    yarn = own.yarn if own else design.body_yarn
    given = yarn.diameter_source is DiameterSource.GIVEN
    wraps = "" if given or yarn.wraps_per_inch is None else format_number(yarn.wraps_per_inch, 2)
    return SheetGroup(
        key="own-yarn",
        title="Yarn",
        words=f"In place of {design.body_yarn.label}.",
        fields=[
            *_from_library(library, Kind.YARN, "A yarn of your library"),
            SheetField(path="metres_per_100g", label="Metres in 100 g", kind="number",
                       usual=format_number(yarn.metres_per_100g, 1), help="As on the ball band."),
            SheetField(path="category", label="Category", kind="choice",
                       choices=category_choices(),
                       usual=f"{yarn.category}, {category(yarn.category).name}",
                       help="Another category asks for its metres too."),
            SheetField(path="wraps_per_inch", label="Wraps per inch", kind="number", usual=wraps,
                       help="Turns that lie side by side round a ruler."),
            SheetField(path="diameter", label="Diameter", kind="length", more=True,
                       usual=length_text(yarn.wrapped_diameter_mm, design.units) if given else "",
                       help="Thickness as it lies; better than wraps per inch."),
            SheetField(path="ball", label="Ball", kind="mass", more=True,
                       usual=f"{yarn.ball_g:g} g" if own else "100 g"),
        ],
    )  # fmt: skip


def _person(design: Design, library: Library, own: OwnPerson | None) -> SheetGroup:
    measures = own.person.measures if own else {}
    fields = _from_library(library, Kind.PERSON, "A person of your library")
    for wanted in garment(design.garment).measures:
        mm = measures.get(wanted.name)
        usual = measurement(wanted.name)
        words = wanted.words if usual is None else f"{wanted.words}. {usual.how}"
        fields.append(
            SheetField(
                path=f"measures.{wanted.name}",
                label=wanted.name.capitalize(),
                kind="length",
                usual="" if mm is None else length_text(mm, design.units),
                help=words[:1].upper() + words[1:] + ("" if words.endswith(".") else "."),
            )
        )
    fields.append(
        SheetField(
            path="wearer",
            label="Wearer",
            kind="choice",
            usual=own.person.wearer if own else "as the nearest size",
            help="Adult, child (below 14 years) or infant (below 3 years).",
            choices=[Choice(value=str(w), label=str(w)) for w in Wearer],
        )
    )
    return SheetGroup(
        key="wearer-and-measures",
        title="Whom it is for",
        words="Left empty, it is worked out in the pattern's own sizes.",
        fields=fields,
    )


# --- its reading ---------------------------------------------------------------------------------


def given_of(values: Mapping[str, str], design: Design, chosen: Chosen) -> Given:
    """What the form says.

    :raises BadInput: naming the field, for what cannot be read.
    """
    read, board, yarn = FormValues(values), chosen.board, chosen.yarn
    slack = read.as_("slack", read_number)
    sd = None
    if slack is None and board is not None and board.slack is not None:
        slack, sd = board.slack.value, board.slack.sd
    wearer = read.as_("wearer", read_choice(Wearer))
    if wearer is None and chosen.person is not None:
        wearer = Wearer(chosen.person.person.wearer)
    return Given(
        board=GivenBoard(
            read.as_("arrangement", read_choice(Arrangement)),
            read.as_("pegs", read_count),
            read.as_("pitch", parse_length_mm),
            read.as_("gap", parse_length_mm),
            read.as_("peg_diameter", parse_length_mm),
        ),
        own_board=board.loom if board else None,
        yarn=_given_yarn(read),
        own_yarn=yarn.yarn if yarn else None,
        drawn_mm=read.as_("drawn", parse_length_mm),
        over=read.as_("over", read_count),
        measures=_measures(read, design, chosen.person),
        wearer=wearer,
        slack=slack,
        slack_sd=sd,
        spacers=_spacers(read, board),
    )


def _given_yarn(read: FormValues) -> GivenYarn:
    return GivenYarn(
        read.as_("category", lambda text: category(text).number),
        read.as_("metres_per_100g", read_number),
        read.as_("wraps_per_inch", read_number),
        read.as_("diameter", parse_length_mm),
        read.as_("ball", parse_mass_g),
    )


def _measures(read: FormValues, design: Design, own: OwnPerson | None) -> dict[str, float]:
    wanted = [each.name for each in garment(design.garment).measures]
    known = own.person.measures if own else {}
    found = {name: known[name] for name in wanted if name in known}
    for name in wanted:
        if (mm := read.as_(f"measures.{name}", parse_length_mm)) is not None:
            found[name] = mm
    if own is not None and not found:
        raise BadInput(
            "none of the measures that this piece asks for is known of her",
            given=own.person.name,
            hint=f"measure {' or '.join(wanted)}" if wanted else "choose nobody",
            place=Place(field="person"),
        )
    return found


def _spacers(read: FormValues, own: OwnBoard | None) -> Spacers | None:
    typed = read.as_("spacers", read_lengths)
    bare_mm = read.as_("bare_gap", parse_length_mm)
    sizes_mm = typed if typed is not None else own.spacers_mm if own else ()
    if bare_mm is None and own is not None:
        bare_mm = own.bare_gap_mm
    if bare_mm is None and typed:
        raise BadInput(
            "spacers need the gap with no spacers in",
            hint="measure it row to row, centre to centre",
            place=Place(field="bare_gap"),
        )
    return Spacers(sizes_mm, bare_mm) if sizes_mm and bare_mm is not None else None


def reader_asked(design: Design, given: Given) -> Reader:
    """The reader, with what cannot be told at its field of the form."""
    try:
        with at_form(design):
            return reader_of(design, given)
    except BadInput as error:  # a board that cannot be names no field
        place = Place(field=_board_field(given.board, given.own_board or design.loom))
        raise error.at(place) from None


def at_form(design: Design) -> AbstractContextManager[None]:
    """Refusals of what was read speak of the form's own fields."""
    measures = {each.name: f"measures.{each.name}" for each in garment(design.garment).measures}
    return at_fields({**_FIELDS, **measures})


def _board_field(given: GivenBoard, base: Loom) -> str:
    """Which measure of a board that cannot be stands in the way."""
    pegs = base.pegs if given.pegs is None else given.pegs
    pitch_mm = base.pitch_mm if given.pitch_mm is None else given.pitch_mm
    peg_mm = base.peg_diameter_mm if given.peg_diameter_mm is None else given.peg_diameter_mm
    if not 3 <= pegs <= MOST_PEGS:
        return "pegs"
    if peg_mm <= 0:
        return "peg_diameter"
    return "pitch" if pitch_mm <= peg_mm else "gap"


def names_of(chosen: Chosen) -> list[str]:
    """What was chosen, by name: what a refitted design is told apart by."""
    found = [
        chosen.board.loom.name if chosen.board else "",
        chosen.yarn.yarn.label if chosen.yarn else "",
        chosen.person.person.name if chosen.person else "",
    ]
    return [name for name in found if name]
