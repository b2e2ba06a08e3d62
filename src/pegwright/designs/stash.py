"""Reads and writes stash files: the yarns that a maker has, each ball weighed.

A stash file is TOML with one ``[[yarns]]`` table for each yarn and colour.  It takes the same keys
as a design's, without ``available``, and besides:

* ``balls``: what each ball weighs, as ``["42 g", "17 g"]``;
* ``sampled``: whether ``metres_per_100g`` was measured by the maker (a ``sample`` says so itself);
* ``scale``: the smallest weight that the scale shows; it may stand at the top for all yarns, and is
  1 g where it stands nowhere;
* ``colours``: the stretches of one repeat, for a yarn that changes colour.

Whatever cannot be read is refused in the same way as in a design: all of it at once, each with its
file, line and key.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from pydantic import BaseModel, Field, ValidationError
from pydantic_core import ErrorDetails

from pegwright.designs import build, check, files, reader, writer
from pegwright.designs.form import FORMAT, PositiveMass, Words, YarnForm
from pegwright.designs.outline import Outline
from pegwright.designs.outline import Path as KeyPath
from pegwright.designs.problems import Problems, nearest
from pegwright.errors import BadInput, PegwrightError, Place
from pegwright.units import UnitSystem
from pegwright.yarn.colour import ColourRun, parse_colour_run
from pegwright.yarn.stash import MOST_BALLS, StashYarn, weighed

__all__ = [
    "MOST_YARNS",
    "StashForm",
    "StashYarnForm",
    "read_stash_bytes",
    "read_stash_file",
    "read_stash_text",
    "write_stash_text",
]

MOST_YARNS = 500
"""Most yarns of one stash."""

_DEFAULT_SCALE_G = 1.0


class StashYarnForm(YarnForm):
    """A yarn of the stash in one colour, ball by ball."""

    balls: list[PositiveMass] = Field(
        min_length=1, max_length=MOST_BALLS, description='What each ball weighs: ["42 g", "17 g"].'
    )
    scale: PositiveMass | None = Field(
        default=None, description="The smallest weight that the scale shows; 1 g if left out."
    )
    sampled: bool = Field(
        default=False,
        description="metres_per_100g was measured and weighed by the maker herself; a sample says "
        "so of itself.",
    )
    colours: Words | None = Field(
        default=None,
        description="One repeat of a yarn that changes colour: "
        '"rust #a4482c 30 cm, cream #f2ead8 30 cm".',
    )


class StashForm(BaseModel):
    """A stash: every yarn, weighed."""

    model_config = YarnForm.model_config

    pegwright: int = Field(default=FORMAT, description="The version of this format.")
    scale: PositiveMass = Field(
        default=_DEFAULT_SCALE_G, description="The smallest weight that the scale shows."
    )
    yarns: list[StashYarnForm] = Field(
        min_length=1, max_length=MOST_YARNS, description="Every yarn, a table for each colour."
    )


_FORMS: dict[tuple[str, ...], type[BaseModel]] = {(): StashForm, ("yarns",): StashYarnForm}


def read_stash_file(path: Path) -> tuple[StashYarn, ...]:
    """The stash in a file.

    :raises BadInput: for what is no plain file, cannot be opened, or holds no stash.
    """
    with _as_stash():
        data = files._bytes(path)
    return read_stash_bytes(data, str(path))


def read_stash_bytes(data: bytes, name: str = "stash") -> tuple[StashYarn, ...]:
    """The stash in the bytes of its file, which are UTF-8; see :func:`read_stash_text`."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as wrong:
        raise BadInput(
            "the file is not plain UTF-8 text",
            given=f"byte {wrong.start + 1} is 0x{data[wrong.start]:02x}",
            hint="open it in a text editor and save it as UTF-8",
            place=Place(name, data.count(b"\n", 0, wrong.start) + 1),
        ) from None
    return read_stash_text(text, name)


def read_stash_text(text: str, name: str = "stash") -> tuple[StashYarn, ...]:
    """The stash in a text, its yarns in the order of the file.

    :param name: what errors call it, usually the file's name.
    :raises BadInput: for anything that is no stash; it names the line and the key, and where there
        is more than one thing to mend, it carries the others along.
    """
    with _as_stash():
        if len(text) > reader.MOST_BYTES:
            raise reader.too_large(name)
        reader._check_letters(text, name)
        text = text.removeprefix("\ufeff")
        outline = Outline(text, name)
        form = _checked(reader._parse(text, name), outline)
    return _stash(form, outline)


def write_stash_text(stash: Sequence[StashYarn], units: UnitSystem = UnitSystem.INCHES) -> str:
    """The text of a stash file, which reads back as the same yarns, balls and scales.

    Of a colour run its stretches are written; where in it a ball begins is a matter of the day.

    :param units: which units thicknesses are written in, where a tape shows them.
    """
    blocks = [writer._table("", {"pegwright": FORMAT})]
    for own in stash:
        values = writer._yarn(own.yarn, None, units)
        values["balls"] = [f"{writer._digits(ball.value)} g" for ball in own.balls]
        if own.scale_g != _DEFAULT_SCALE_G:
            values["scale"] = f"{writer._digits(own.scale_g)} g"
        if own.sampled:
            values["sampled"] = True
        if own.colour_run is not None:
            values["colours"] = _colours_text(own.colour_run)
        blocks.append(writer._table("[[yarns]]", values))
    return "\n".join(blocks)


# --- checking ------------------------------------------------------------------------------------


def _checked(data: Mapping[str, Any], outline: Outline) -> StashForm:
    if "pegwright" in data:
        check._check_format(data, outline)
    try:
        return StashForm.model_validate(data)
    except ValidationError as wrong:
        problems = Problems(outline)
        for detail in wrong.errors(include_url=False):
            path = check._known_part(data, tuple(detail["loc"]))
            problems.add(path, _refusal(detail, path))
        problems.raise_if_any()
        raise


def _refusal(detail: ErrorDetails, path: KeyPath) -> PegwrightError:
    """The refusal in words; unknown and missing keys are looked for among a stash's own."""
    form = _FORMS.get(tuple(part for part in path[:-1] if isinstance(part, str)))
    if form is None or not path:
        return check._refusal(detail, path)
    name = str(path[-1])
    if detail["type"] == "extra_forbidden":
        hint = nearest(name, list(form.model_fields))
        return BadInput(f"“{name[:80]}” is not known here", given=name, hint=hint)
    if detail["type"] == "missing":
        field = form.model_fields.get(name)
        words = (field.description if field else None) or "see docs/design-files.md"
        return BadInput(f"“{name}” is missing", hint=f"{name}: {words}")
    return check._refusal(detail, path)


@contextmanager
def _as_stash() -> Iterator[None]:
    """Refusals from the reader of designs speak of a stash."""
    try:
        yield
    except BadInput as wrong:
        wrong.what = _reworded(wrong.what)
        wrong.hint = wrong.hint and _reworded(wrong.hint)
        raise


def _reworded(text: str) -> str:
    text = text.replace("check the name; a new design: pegwright new", "check the name")
    return text.replace("a design", "a stash").replace("the design file", "the stash file")


# --- building ------------------------------------------------------------------------------------


def _stash(form: StashForm, outline: Outline) -> tuple[StashYarn, ...]:
    problems = Problems(outline)
    made: list[StashYarn] = []
    seen: set[str] = set()
    for index, given in enumerate(form.yarns):
        with problems.catch(("yarns", index)):
            own = _own(given, form.scale)
            if own.yarn.label in seen:
                raise BadInput(
                    "two of the yarns have the same name and colour",
                    given=own.yarn.label,
                    hint="put all its balls into one table, or name the colours apart",
                    place=Place(field="name"),
                )
            seen.add(own.yarn.label)
            made.append(own)
    problems.raise_if_any()
    return tuple(made)


def _own(form: StashYarnForm, scale_g: float) -> StashYarn:
    if form.available is not None:
        raise BadInput(
            "“available” is for designs",
            given=f"{form.available:g} g",
            hint='in a stash weigh each ball: balls = ["42 g", "17 g"]',
            place=Place(field="available"),
        )
    run = None if form.colours is None else parse_colour_run(form.colours)
    return weighed(
        build._yarn(form),
        form.balls,
        form.scale or scale_g,
        sampled=form.sampled or form.sample is not None,
        colour_run=run,
    )


def _colours_text(run: ColourRun) -> str:
    return ", ".join(
        f"{s.colour.name} {s.colour.hex} {writer._digits(s.length_m)} m" for s in run.stretches
    )
