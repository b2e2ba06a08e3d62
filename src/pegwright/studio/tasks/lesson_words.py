"""A maker's own words and colours for her lessons, as a form: the keys of a template, labelled.

The form holds what is said as it is said, the usual words where she has none of her own; a text
that is emptied is not said at all.  What the form holds is written as a template file and read as
one, so the studio takes exactly what the command takes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass

from pegwright.lesson.template import USUAL, Colours, Speed, Template
from pegwright.lesson.template_file import Said, read_template, template_said, written_text
from pegwright.studio.designs.sheet import FieldKind, SheetField, SheetGroup
from pegwright.studio.typed import typed_value

__all__ = ["NAME", "said_file", "template_of", "words_file", "words_sheet"]

NAME = "your words and colours"
"""What refusals call what was typed."""


@dataclass(frozen=True, slots=True)
class _Key:
    """A key of the template: its label, what it is for; ``more`` where it is seldom changed."""

    key: str
    label: str
    help: str = ""
    more: bool = False


_FILLED = "Here and below, {title} becomes the pattern’s name and {channel} your channel’s."
_WORDS = (
    _Key("channel", "Name of your channel", "On the first and the last card."),
    _Key("opening", "Said first", _FILLED),
    _Key("closing", "Said last"),
    _Key("end", "Heading of the last card"),
    _Key("end_line", "Under that heading"),
    _Key("materials", "Materials", "The heading of that card, as all below.", more=True),
    _Key("yarn", "Yarn", more=True),
    _Key("board", "The board", more=True),
    _Key("wrap_test", "Wrap test", more=True),
    _Key("pieces", "Pieces", more=True),
    _Key("wrap", "The wrap", more=True),
    _Key("knit_over", "Knitting over", more=True),
    _Key("make_up", "Making up", more=True),
    _Key("cautions", "Cautions", more=True),
)
_COLOURS = (
    _Key("paper", "Paper"),
    _Key("ink", "Text"),
    _Key("quiet", "Small words"),
    _Key("soft", "Boards and cloth"),
    _Key("accent", "Headings and first pass", "Also the first pass of the yarn."),
    _Key("second", "Second pass", "The second pass of the yarn."),
)
_MEND = _Key(
    "mend",
    "Mend colours that cannot be read",
    "Those too close to what they stand on are made lighter or darker, and you are told.",
)
_SPEED = (
    _Key("loops_per_minute", "Loops a minute", "How fast you knit before the camera."),
    _Key("words_per_minute", "Words a minute", "How fast you speak."),
)


def words_sheet(said: Said) -> list[SheetGroup]:
    """The form, with what a template says and the usual for all that it does not say."""
    usual: Said = {
        "words": asdict(USUAL.words),
        "colours": asdict(Colours()) | {"mend": False},
        "speed": asdict(Speed()),
    }
    held = {table: {**keys, **said.get(table, {})} for table, keys in usual.items()}
    return [
        _group("words", "Your words", _fields("words", "text", _WORDS, held)),
        _group(
            "colours",
            "Your colours",
            [
                *_fields("colours", "colour", _COLOURS, held),
                *_fields("colours", "flag", (_MEND,), held),
            ],
        ),
        _group("speed", "Your pace", _fields("speed", "number", _SPEED, held)),
    ]


def _group(key: str, title: str, fields: list[SheetField]) -> SheetGroup:
    return SheetGroup(key=key, title=title, fields=fields)


def _fields(
    table: str, kind: FieldKind, keys: tuple[_Key, ...], held: Mapping[str, Mapping[str, object]]
) -> list[SheetField]:
    return [
        SheetField(
            path=f"{table}.{one.key}",
            label=one.label,
            kind=kind,
            value=_shown(held[table][one.key]),
            help=one.help,
            more=one.more,
            broad=kind in ("text", "flag"),
        )
        for one in keys
    ]


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:g}" if isinstance(value, float) and value == float(f"{value:g}") else str(value)


def template_of(values: Mapping[str, str]) -> Template:
    """The template that the form holds: values by path, as ``words.opening``.

    :raises DesignRefused: as the reader of template files, each problem at its key.
    """
    return read_template(words_file(values), NAME)


def words_file(values: Mapping[str, str]) -> str:
    """The template file that says what the form holds; nothing is checked."""
    said: dict[str, dict[str, str | float | bool]] = {"words": {}, "colours": {}, "speed": {}}
    for path, value in values.items():
        table, _, key = path.partition(".")
        typed = value if table == "words" else typed_value(value, _kind(table, key))
        if isinstance(typed, str | int | float):
            said[table][key] = typed
    return written_text(said)


def _kind(table: str, key: str) -> FieldKind:
    if table == "speed":
        return "number"
    return "flag" if key == _MEND.key else "colour"


def said_file(text: str, name: str) -> list[SheetGroup]:
    """The form, with what a template file says.

    :raises DesignRefused: with everything in it that does not fit, each with its line.
    """
    return words_sheet(template_said(text, name))
