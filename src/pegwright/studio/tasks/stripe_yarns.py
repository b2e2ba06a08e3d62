"""The yarns that stripes may be planned from: the design's own, and those of the library.

A yarn of the library that has the name and the colour of one of the design's is that yarn: it keeps
the design's name for it.  All others are named apart from the design's and from one another.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Annotated

from pydantic import Field

from pegwright.designs.model import Design
from pegwright.errors import BadInput, PegwrightError, Place
from pegwright.library.records import Kind, OwnYarn
from pegwright.library.store import Library
from pegwright.studio.designs.api import RecordId
from pegwright.studio.library.record_bodies import balls_of
from pegwright.studio.shapes import Asked
from pegwright.units import format_number, parse_length_mm, parse_mass_g
from pegwright.yarn.category import category
from pegwright.yarn.stash import StashYarn, named_apart, weighed
from pegwright.yarn.yarn import Yarn

__all__ = ["ChosenYarns", "YarnAsked", "YarnChoice", "chosen_yarns", "yarn_choices"]


class YarnAsked(Asked):
    """A yarn that was chosen: one of the design by its name, or one of the library by its record.

    :param have: what there is of it, ball by ball, for one of the design: ``100 g, 46 g``.
    :param keep: what is kept of it for something else, a length or a mass; empty for nothing.
    """

    own: Annotated[str, Field(min_length=1, max_length=200)] | None = None
    record: RecordId | None = None
    have: Annotated[str, Field(max_length=2000)] = ""
    keep: Annotated[str, Field(max_length=100)] = ""


@dataclass(frozen=True, slots=True)
class YarnChoice:
    """A yarn to choose.

    :param have: what there is of it as it can be typed; empty where nobody has weighed it.
    :param words: what it is, in a few words.
    :param alike: the library has it and so has the design.
    """

    label: str
    hex: str
    words: str
    have: str
    own: str | None = None
    record: str | None = None
    alike: bool = False


@dataclass(frozen=True, slots=True)
class ChosenYarns:
    """Chosen yarns, named apart; ``keep_m`` by their names."""

    stash: tuple[StashYarn, ...]
    keep_m: dict[str, float]

    def only(self, names: Sequence[str]) -> tuple[StashYarn, ...]:
        """Those of these names."""
        return tuple(own for own in self.stash if own.yarn.name in names)


def yarn_choices(design: Design, library: Library) -> list[YarnChoice]:
    """Every yarn of the design, then every one of the library, by name."""
    choices = [
        YarnChoice(yarn.label, yarn.colour_hex, _words(yarn), _grams(design, name), own=name)
        for name, yarn in design.yarns.items()
    ]
    labels = {yarn.label for yarn in design.yarns.values()}
    for record in sorted(library.list(Kind.YARN), key=lambda r: r.name.casefold()):
        assert isinstance(record.body, OwnYarn)
        yarn, stash = record.body.yarn, library.stash(record.id)
        have = "" if stash is None else ", ".join(f"{ball.value:g} g" for ball in stash.balls)
        choices.append(
            YarnChoice(yarn.label, yarn.colour_hex, _words(yarn), have, record=record.id,
                       alike=yarn.label in labels)
        )  # fmt: skip
    return choices


def chosen_yarns(design: Design, library: Library, asked: Sequence[YarnAsked]) -> ChosenYarns:
    """The yarns that were chosen, each with what there is of it.

    :raises BadInput: naming the field, as ``yarns[2].have``.
    """
    found: list[StashYarn] = []
    for number, one in enumerate(asked, 1):
        with _At(number, "have"):
            found.append(_found(design, library, one))
        label = found[-1].yarn.label
        if _is_own(design, label) and label in {own.yarn.label for own in found[:-1]}:
            raise BadInput(
                "this yarn is chosen twice",
                given=label,
                hint="choose it once, in the design or in the library",
                place=Place(field=f"yarns[{number}].have"),
            )
    stash = _named(design, found)
    keep_m: dict[str, float] = {}
    for number, (one, own) in enumerate(zip(asked, stash, strict=True), 1):
        if one.keep.strip():
            with _At(number, "keep"):
                keep_m[own.yarn.name] = _kept_m(one.keep, own.yarn)
    return ChosenYarns(tuple(stash), keep_m)


# --- inside --------------------------------------------------------------------------------------


class _At:
    """Puts a refusal at a field of a yarn's."""

    def __init__(self, number: int, field: str) -> None:
        self._field = f"yarns[{number}].{field}"

    def __enter__(self) -> None:
        return None

    def __exit__(self, _: object, error: BaseException | None, __: object) -> None:
        if isinstance(error, PegwrightError):
            error.place = Place(field=self._field)


def _found(design: Design, library: Library, one: YarnAsked) -> StashYarn:
    """A yarn with its own name still."""
    if (one.own is None) == (one.record is None):
        raise BadInput("a yarn is the design's or the library's", hint="give own or record")
    if one.record is not None:
        record = library.get(one.record)
        if not isinstance(record.body, OwnYarn):
            raise BadInput("this is no yarn", given=record.name, hint="choose a yarn")
        stash = library.stash(one.record)
        if stash is None:
            raise BadInput("there is none of it", given=record.name, hint="weigh it in the library")
        return stash
    yarn = design.yarns.get(one.own or "")
    if yarn is None:
        raise BadInput("the design has no such yarn", given=one.own, hint="reload the page")
    balls_g = balls_of(one.have)
    if not balls_g:
        raise BadInput(
            "it is not said how much there is",
            given=yarn.label,
            hint="weigh it: 85 g, or 50 g, 35 g",
        )
    return weighed(yarn, balls_g, colour_run=design.colour_runs.get(yarn.name))


def _is_own(design: Design, label: str) -> bool:
    return any(own.label == label for own in design.yarns.values())


def _named(design: Design, found: Sequence[StashYarn]) -> list[StashYarn]:
    """Each with the design's name for it, or with one that is nobody else's."""
    of_label = {yarn.label: name for name, yarn in design.yarns.items()}
    new = [own for own in found if own.yarn.label not in of_label]
    apart = iter(named_apart(new, design.yarns))
    return [
        replace(own, yarn=replace(own.yarn, name=name)) if name is not None else next(apart)
        for own in found
        for name in (of_label.get(own.yarn.label),)
    ]


def _kept_m(text: str, yarn: Yarn) -> float:
    """Metres from a length or a mass of the yarn.

    :raises BadInput: for what is neither.
    """
    try:
        return parse_length_mm(text) / 1000
    except BadInput as no_length:
        try:
            return yarn.length_m(parse_mass_g(text))
        except BadInput:
            no_length.hint = "3 m, or 10 g"
            raise no_length from None


def _grams(design: Design, name: str) -> str:
    grams = design.available_g.get(name)
    return "" if grams is None else f"{grams:g} g"


def _words(yarn: Yarn) -> str:
    metres = format_number(yarn.metres_per_100g)
    return f"{category(yarn.category).name}, {metres} m in 100 g"
