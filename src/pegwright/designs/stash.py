"""Reads and writes stash files: the yarns that a maker has, each ball weighed.

A stash file is TOML with one ``[[yarns]]`` table for each yarn and colour.  It takes the same keys
as a design's, without ``available``, and besides:

* ``balls``: what each ball weighs, as ``["42 g", "17 g"]``;
* ``sampled``: whether ``metres_per_100g`` was measured by the maker (a ``sample`` says so itself);
* ``scale``: the smallest weight that the scale shows; it may stand at the top for all yarns, and is
  1 g where it stands nowhere.

Whatever cannot be read is refused in the same way as in a design: all of it at once, each with its
file, line and key.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from pydantic import BaseModel, Field

from pegwright.designs import build, reader, writer
from pegwright.designs.check import checked_as
from pegwright.designs.files import file_bytes, shipped_stash_text, shipped_stashes
from pegwright.designs.form import FORMAT, PositiveMass, SampleForm, YarnForm
from pegwright.designs.outline import Outline
from pegwright.designs.outline import Path as KeyPath
from pegwright.designs.problems import Problems
from pegwright.errors import BadInput, Place
from pegwright.units import UnitSystem
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


_FORMS: dict[tuple[str, ...], type[BaseModel]] = {
    (): StashForm,
    ("yarns",): StashYarnForm,
    ("yarns", "sample"): SampleForm,
}


def _form_of(path: KeyPath) -> type[BaseModel] | None:
    return _FORMS.get(tuple(part for part in path if isinstance(part, str)))


def read_stash_file(path: Path) -> tuple[StashYarn, ...]:
    """The stash in a file; the name of a stash that comes with Pegwright is taken as well.

    :raises BadInput: for what is no plain file, cannot be opened, or holds no stash.
    """
    if str(path) in shipped_stashes() and not path.exists():
        return read_stash_text(shipped_stash_text(str(path)), f"{path}.toml")
    with _as_stash():
        data = file_bytes(path)
    return read_stash_bytes(data, str(path))


def read_stash_bytes(data: bytes, name: str = "stash") -> tuple[StashYarn, ...]:
    """The stash in the bytes of its file, which are UTF-8; see :func:`read_stash_text`."""
    return read_stash_text(reader.decoded(data, name), name)


def read_stash_text(text: str, name: str = "stash") -> tuple[StashYarn, ...]:
    """The stash in a text, its yarns in the order of the file.

    :param name: what errors call it, usually the file's name.
    :raises BadInput: for anything that is no stash; it names the line and the key, and where there
        is more than one thing to mend, it carries the others along.
    """
    with _as_stash():
        if len(text) > reader.MOST_BYTES:
            raise reader.too_large(name)
        text = reader.checked_letters(text, name)
        outline = Outline(text, name)
        data = reader.parse_toml(text, name)
        form = checked_as(StashForm, data, outline, forms=_form_of, must_say_format=False)
    return _stash(form, outline)


def write_stash_text(stash: Sequence[StashYarn], units: UnitSystem = UnitSystem.INCHES) -> str:
    """The text of a stash file, which reads back as the same yarns, balls and scales.

    :param units: which units thicknesses are written in, where a tape shows them.
    """
    blocks = [writer.table_text("", {"pegwright": FORMAT})]
    for own in stash:
        values = writer.yarn_values(own.yarn, units, own.colour_run)
        values["balls"] = [f"{writer.digits(ball.value)} g" for ball in own.balls]
        if own.scale_g != _DEFAULT_SCALE_G:
            values["scale"] = f"{writer.digits(own.scale_g)} g"
        if own.sampled:
            values["sampled"] = True
        blocks.append(writer.table_text("[[yarns]]", values))
    return "\n".join(blocks)


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
    if form.price is not None:
        raise BadInput(
            "“price” is for designs",
            given=f"{form.price:g}",
            hint="leave it out here; a design's yarns have it, and pegwright cost takes --price",
            place=Place(field="price"),
        )
    if form.available is not None:
        raise BadInput(
            "“available” is for designs",
            given=f"{form.available:g} g",
            hint='in a stash weigh each ball: balls = ["42 g", "17 g"]',
            place=Place(field="available"),
        )
    return weighed(
        build.yarn_of(form),
        form.balls,
        form.scale or scale_g,
        sampled=form.sampled or form.sample is not None,
        colour_run=build.colour_run_of(form),
    )
