"""What a library keeps: six kinds of record, each with a typed body.

Words used here:

* a **record** is one thing kept: its body, a name, notes, and when it was made and last changed;
* its **revision** counts its changes from 1; whoever changes it says which revision she had read;
* **deleted** records are kept and can be brought back;
* a **making** is a piece being knitted: a version of a design in one size.  Its events are kept
  apart (:mod:`pegwright.library.making`), as are a yarn's weighings and a design's old versions.

Records refer to one another by id.  An id is any text of letters, digits and hyphens, usually a
UUID.  Times are UTC, written as ``2026-11-25T09:30:00.000000Z`` so that they sort as text.
"""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from enum import StrEnum

from pegwright.errors import BadInput, Place
from pegwright.gauge.fabric_gauge import Swatch
from pegwright.loom.board import Loom
from pegwright.measured import Measured
from pegwright.sizing.people import Person
from pegwright.units import require_positive
from pegwright.yarn.colour import ColourRun
from pegwright.yarn.yarn import Yarn

__all__ = [
    "MOST_NAME",
    "MOST_NOTES",
    "MOST_TOML_BYTES",
    "Body",
    "Clock",
    "DesignText",
    "Ids",
    "Kind",
    "Making",
    "OwnBoard",
    "OwnPerson",
    "OwnSwatch",
    "OwnYarn",
    "Record",
    "Stage",
    "Weighing",
    "checked_id",
    "checked_text",
    "checked_time",
    "kind_of",
    "new_id",
    "references",
    "stamp",
    "usual_name",
    "utc_now",
    "with_references",
]

Clock = Callable[[], datetime]
Ids = Callable[[], str]

MOST_NAME = 200
MOST_NOTES = 100_000
MOST_TOML_BYTES = 1_000_000
"""The largest text of a design, the same as its reader takes."""

_ID = re.compile(r"[A-Za-z0-9-]{1,64}")
_NO_TEXT = re.compile("[\x00\ud800-\udfff]")
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z")


class Kind(StrEnum):
    """The kinds of record."""

    BOARD = "board"
    YARN = "yarn"
    SWATCH = "swatch"
    PERSON = "person"
    DESIGN = "design"
    MAKING = "making"


class Stage(StrEnum):
    """How far a making is."""

    UNDER_WAY = "under way"
    RESTING = "resting"
    FINISHED = "finished"


@dataclass(frozen=True, slots=True)
class OwnBoard:
    """A board or ring that the maker has.

    :param slack: drawn over taut length, the calibration of her own hand on it; None if not known.
    :param bare_gap_mm: the gap with no spacers in; ``spacers_mm`` are the spacers that she has.
    """

    loom: Loom
    slack: Measured | None = None
    bare_gap_mm: float | None = None
    spacers_mm: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if self.bare_gap_mm is not None:
            require_positive(self.bare_gap_mm, "bare_gap_mm")
        for number, spacer_mm in enumerate(self.spacers_mm, 1):
            require_positive(spacer_mm, f"spacers_mm[{number}]")


@dataclass(frozen=True, slots=True)
class OwnYarn:
    """A yarn that the maker has; what it weighs is kept as a history of weighings.

    :param scale_g: the smallest difference that her scale shows.
    :param sampled: its metres per 100 g were measured and weighed in the room where it is kept.
    """

    yarn: Yarn
    scale_g: float = 1.0
    sampled: bool = False
    colour_run: ColourRun | None = None

    def __post_init__(self) -> None:
        require_positive(self.scale_g, "scale_g", hint="see what the scale shows, as 1 g")


@dataclass(frozen=True, slots=True)
class OwnSwatch:
    """A swatch, and by record id the board and the yarn that it was knitted with."""

    swatch: Swatch
    board: str | None = None
    yarn: str | None = None
    wrap: str = ""

    def __post_init__(self) -> None:
        for field, value in (("board", self.board), ("yarn", self.yarn)):
            if value is not None:
                checked_id(value, field)


@dataclass(frozen=True, slots=True)
class OwnPerson:
    """Someone to knit for.

    :param born: ISO date, where it is known; ``measured`` is when she was last measured.
    """

    person: Person
    born: str | None = None
    measured: str | None = None

    def __post_init__(self) -> None:
        for field, value in (("born", self.born), ("measured", self.measured)):
            if value is not None:
                _check_date(value, field)


@dataclass(frozen=True, slots=True)
class DesignText:
    """A design as the text of its file, with the title and the garment that it names.

    The library does not read the text: the caller does, and says what it found.
    """

    title: str
    garment: str
    toml: str

    def __post_init__(self) -> None:
        if len(self.toml.encode("utf-8", "replace")) > MOST_TOML_BYTES:
            raise BadInput(
                "the text is too large to be a design",
                given=f"more than {MOST_TOML_BYTES // 1_000_000} MB",
                place=Place(field="toml"),
            )


@dataclass(frozen=True, slots=True)
class Making:
    """A piece being knitted.

    :param design: record id of the design; ``version`` is the version of it that is knitted.
    :param size: the name of the size.
    :param yarns: record ids of the yarns in use.
    """

    design: str
    version: int
    size: str
    yarns: tuple[str, ...] = ()
    stage: Stage = Stage.UNDER_WAY

    def __post_init__(self) -> None:
        checked_id(self.design, "design")
        for yarn in self.yarns:
            checked_id(yarn, "yarns")
        if not 1 <= self.version < 2**53:
            raise BadInput(
                "versions are counted from 1", given=self.version, place=Place(field="version")
            )


Body = OwnBoard | OwnYarn | OwnSwatch | OwnPerson | DesignText | Making

_KINDS: dict[type, Kind] = {
    OwnBoard: Kind.BOARD,
    OwnYarn: Kind.YARN,
    OwnSwatch: Kind.SWATCH,
    OwnPerson: Kind.PERSON,
    DesignText: Kind.DESIGN,
    Making: Kind.MAKING,
}


@dataclass(frozen=True, slots=True)
class Record:
    """One thing kept; see the module."""

    id: str
    kind: Kind
    name: str
    body: Body
    notes: str
    created: str
    changed: str
    revision: int = 1
    deleted: bool = False

    def __post_init__(self) -> None:
        checked_id(self.id, "id")
        checked_text(self.name, "name", MOST_NAME, one_line=True)
        checked_text(self.notes, "notes", MOST_NOTES)
        checked_time(self.created, "created")
        checked_time(self.changed, "changed")
        if kind_of(self.body) is not self.kind:
            raise BadInput(
                f"a {self.kind} cannot become a {kind_of(self.body)}",
                given=self.name,
                hint="make a new record of it",
                place=Place(field="kind"),
            )
        if not self.name.strip():
            raise BadInput(
                "a record needs a name",
                given=repr(self.name),
                hint="write what you call it",
                place=Place(field="name"),
            )


@dataclass(frozen=True, slots=True)
class Weighing:
    """What a yarn weighed at one time: grams of each ball as the scale showed; none: used up.

    :param making: record id of the making that used it in between, or None.
    """

    id: str
    at: str
    balls_g: tuple[float, ...]
    note: str = ""
    making: str | None = None

    def __post_init__(self) -> None:
        checked_id(self.id, "id")
        checked_time(self.at, "at")
        checked_text(self.note, "note", MOST_NOTES)
        if self.making is not None:
            checked_id(self.making, "making")
        for number, ball_g in enumerate(self.balls_g, 1):
            require_positive(ball_g, f"balls_g[{number}]", hint="leave out a ball that is used up")

    @property
    def total_g(self) -> float:
        """All balls together."""
        return sum(self.balls_g)


def kind_of(body: Body) -> Kind:
    """The kind of record that a body makes."""
    return _KINDS[type(body)]


def usual_name(body: Body) -> str:
    """What a record is called where the maker gives it no name."""
    match body:
        case OwnBoard(loom=loom):
            name = loom.name
        case OwnYarn(yarn=yarn):
            name = yarn.label
        case OwnSwatch(swatch=swatch):
            name = f"swatch of {swatch.stitches} stitches and {swatch.rows} rows"
        case OwnPerson(person=person):
            name = person.name
        case DesignText(title=title):
            name = title
        case Making(size=size):
            name = f"making in size {size}"
    return " ".join(name.split())[:MOST_NAME] or f"a {kind_of(body)}"


def references(body: Body) -> tuple[str, ...]:
    """The ids of other records that a body refers to."""
    match body:
        case OwnSwatch(board=board, yarn=yarn):
            return tuple(each for each in (board, yarn) if each is not None)
        case Making(design=design, yarns=yarns):
            return (design, *yarns)
    return ()


def with_references(body: Body, renamed: Mapping[str, str]) -> Body:
    """The same body with ids that were given anew, old to new."""
    match body:
        case OwnSwatch(board=board, yarn=yarn):
            return replace(
                body,
                board=None if board is None else renamed.get(board, board),
                yarn=None if yarn is None else renamed.get(yarn, yarn),
            )
        case Making(design=design, yarns=yarns):
            return replace(
                body,
                design=renamed.get(design, design),
                yarns=tuple(renamed.get(yarn, yarn) for yarn in yarns),
            )
    return body


# --- the seam: clock and ids ---------------------------------------------------------------------


def utc_now() -> datetime:
    """The clock on the wall, in UTC."""
    return datetime.now(UTC)


def new_id() -> str:
    """A new id: a random UUID."""
    return str(uuid.uuid4())


def stamp(moment: datetime) -> str:
    """A time as it is kept.

    :raises BadInput: for a time that does not say which zone it is in.
    """
    if moment.tzinfo is None:
        raise BadInput("a time without its zone cannot be kept", given=moment.isoformat())
    return moment.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


# --- checks --------------------------------------------------------------------------------------


def checked_id(text: object, field: str) -> str:
    """The id, if it is one."""
    if not isinstance(text, str) or _ID.fullmatch(text) is None:
        raise BadInput(
            "not an id",
            given=text,
            hint="an id has up to 64 letters, digits and hyphens",
            place=Place(field=field),
        )
    return text


def checked_text(text: str, field: str, most: int, *, one_line: bool = False) -> str:
    """The text, if it can be kept."""
    if len(text) > most:
        raise BadInput(
            f"the {field} is too long",
            given=f"{len(text)} letters",
            hint=f"at most {most} letters are kept",
            place=Place(field=field),
        )
    if _NO_TEXT.search(text) or (one_line and not text.isprintable()):
        raise BadInput(
            f"the {field} holds a character that cannot be kept",
            given=ascii(text),
            hint="write it in plain letters" + (", on one line" if one_line else ""),
            place=Place(field=field),
        )
    return text


def checked_time(text: str, field: str) -> str:
    """The time, if it is one as :func:`stamp` writes it."""
    try:
        if _TIME.fullmatch(text) is None:
            raise ValueError
        datetime.fromisoformat(text)
    except (TypeError, ValueError):
        raise BadInput(
            "not a time",
            given=text,
            hint="write UTC as 2026-11-25T09:30:00.000000Z",
            place=Place(field=field),
        ) from None
    return text


def _check_date(text: str, field: str) -> None:
    try:
        if date.fromisoformat(text).isoformat() == text:
            return
    except (TypeError, ValueError):
        pass
    raise BadInput(
        "not a date", given=text, hint="write it as 2019-04-30", place=Place(field=field)
    )
