"""The template file: read and checked as design files are, and written out in full.

::

    [words]
    channel = "The boathouse bench"

    [colours]
    accent = "#0b4f6c"
    mend = true  # colours that cannot be read are mended instead of refused

    [speed]
    words_per_minute = 130
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import asdict
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, create_model

from pegwright.designs import reader
from pegwright.designs.check import checked_as
from pegwright.designs.form import Refused
from pegwright.designs.outline import Outline
from pegwright.designs.outline import Path as KeyPath
from pegwright.designs.problems import Problems, nearest
from pegwright.errors import BadInput, Finding, PegwrightError
from pegwright.lesson.contrast import mended, nearest_readable, too_close
from pegwright.lesson.template import (
    FILLED_IN,
    Colours,
    Speed,
    Template,
    Words,
    blanks_in,
    names_of,
)
from pegwright.publish.drawing import visible

__all__ = [
    "MOST_LETTERS",
    "Said",
    "read_template",
    "template_said",
    "template_text",
    "written_text",
]

MOST_LETTERS = 300
"""Most letters of one text: it must stand on a card."""

Said = Mapping[str, Mapping[str, str | float | bool]]
"""What a template says: ``words``, ``colours`` and ``speed``, each by key."""

_STRICT = ConfigDict(extra="forbid", strict=True)
_TEXT = Annotated[str, Field(max_length=MOST_LETTERS)]


def _hex(value: str) -> str:
    if re.fullmatch(r"#[0-9a-fA-F]{6}", value):
        return value.lower()
    what = "a colour is written as a hash and six letters or digits here"
    raise Refused(BadInput(what, given=value, hint='for example "#0b4f6c"'))


_HEX = Annotated[str, AfterValidator(_hex)]
_PACE = Annotated[float, Field(gt=0, le=1000)]


def _table(name: str, words: str, keys: dict[str, Any]) -> type[BaseModel]:
    made: type[BaseModel] = create_model(name, __config__=_STRICT, __doc__=words, **keys)
    return made


WordsTable = _table("words", "Words.", dict.fromkeys(names_of(Words), (_TEXT | None, None)))
ColoursTable = _table(
    "colours",
    "Colours.",
    {**dict.fromkeys(names_of(Colours), (_HEX | None, None)), "mend": (bool, False)},
)
SpeedTable = _table("speed", "Speed.", dict.fromkeys(names_of(Speed), (_PACE | None, None)))


class TemplateForm(BaseModel):
    """A template file: every table and every key may be left out."""

    model_config = _STRICT
    words: WordsTable | None = None  # type: ignore[valid-type]
    colours: ColoursTable | None = None  # type: ignore[valid-type]
    speed: SpeedTable | None = None  # type: ignore[valid-type]


_FORMS: dict[tuple[str, ...], type[BaseModel]] = {
    (): TemplateForm,
    ("words",): WordsTable,
    ("colours",): ColoursTable,
    ("speed",): SpeedTable,
}


def read_template(text: str, name: str = "template") -> Template:
    """The template in a text.

    :raises DesignRefused: with everything that does not fit, each with its line and key; where
        colours are too close, with the nearest that can be read.
    """
    return _read(text, name)[1]


def template_said(text: str, name: str = "template") -> Said:
    """What a template says, table by table and key by key, as it stands there; nothing is mended.

    :raises DesignRefused: as :func:`read_template`.
    """
    form, _ = _read(text, name)
    return {table: _given(getattr(form, table)) for table in TemplateForm.model_fields}


def _read(text: str, name: str) -> tuple[TemplateForm, Template]:
    text = reader.checked_letters(text, name)
    outline = Outline(text, name)
    data = reader.parse_toml(text, name)
    form = checked_as(TemplateForm, data, outline, forms=_form_of, must_say_format=False)
    problems = Problems(outline)
    words = Words(**_given(form.words))
    for key, value in asdict(words).items():
        _check_words(problems, key, value)
    keys = _given(form.colours)
    mend = bool(keys.pop("mend", False))
    colours = Colours(**keys)
    findings: tuple[Finding, ...] = ()
    if mend:
        with problems.catch(("colours",)):
            colours, findings = mended(colours)
    else:
        _check_colours(problems, colours)
    problems.raise_if_any()
    return form, Template(words, colours, Speed(**_given(form.speed)), findings)


def _given(table: BaseModel | None) -> dict[str, Any]:
    if table is None:
        return {}
    return {key: value for key, value in table.model_dump().items() if value is not None}


def _form_of(path: KeyPath) -> type[BaseModel] | None:
    return _FORMS.get(tuple(part for part in path if isinstance(part, str)))


def _check_words(problems: Problems, key: str, value: str) -> None:
    path = ("words", key)
    if "\n" in value or visible(value) != value:
        problems.refuse(path, "this must be one line of plain text", given=value)
    with problems.catch(path):
        for blank in blanks_in(value):
            if blank not in FILLED_IN:
                hint = nearest(blank, FILLED_IN)
                problems.refuse(path, "nothing is known to fill in here", f"{{{blank}}}", hint)


def _check_colours(problems: Problems, colours: Colours) -> None:
    told: set[str] = set()
    for pair, ratio in too_close(colours):
        if pair.role in told:
            continue
        told.add(pair.role)
        given = f"{getattr(colours, pair.role)} on {getattr(colours, pair.ground)}"
        what = (
            f"{pair.role} ({pair.words}) cannot be read on {pair.ground}: their contrast is"
            f" {ratio:.1f} to 1, and {pair.least:g} to 1 is needed"
        )
        try:
            hint = (
                f'write "{nearest_readable(colours, pair.role)}", or let it be mended (mend = true)'
            )
        except PegwrightError as error:
            hint = error.hint or "choose another paper"
        problems.refuse(("colours", pair.role), what, given, hint)


def template_text(template: Template) -> str:
    """The template as a file with every key in it, a start for one of her own."""
    return written_text(
        {
            "words": asdict(template.words),
            "colours": asdict(template.colours),
            "speed": asdict(template.speed),
        }
    )


def written_text(said: Said) -> str:
    """A template file that says this; nothing is checked."""
    lines = [
        "# Words and colours of a lesson pack. Any line may be left out.",
        "# Words may name the pattern and the channel: {title}, {channel}.",
    ]
    for name, table in said.items():
        lines += ["", f"[{name}]"]
        lines += [f"{key} = {_written(value)}" for key, value in table.items()]
    return "\n".join(lines) + "\n"


def _written(value: str | float | bool) -> str:
    # A TOML basic string is written as JSON writes one, DEL apart.
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, bool):
        return str(value).lower()
    short = f"{value:g}"
    return short if float(short) == value else repr(value)
