"""Reads the sizes of a design: whom each is for, and the measures that the garment asks for.

A size may say ``like`` and the name of another: the other's wearer and measures then hold wherever
this one gives none of its own.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from pegwright.designs.form import SizeForm
from pegwright.designs.model import MONTHS_IN_YEAR, SizeRequest, wearer_of_age
from pegwright.designs.outline import Path
from pegwright.designs.problems import Problems, nearest
from pegwright.errors import BadInput
from pegwright.garments.base import Garment, Measure, Wearer
from pegwright.units import UnitSystem, format_both, parse_length_mm

__all__ = ["parse_age_months", "read_sizes"]

_AGE_TERM = re.compile(
    r"\s*(\d{1,4}(?:\.\d{1,3})?)\s*(days?|weeks?|months?|years?)\s*,?\s*(?:and\b)?"
)
_MONTHS = {
    "day": MONTHS_IN_YEAR / 365.25,
    "week": 7 * MONTHS_IN_YEAR / 365.25,
    "month": 1.0,
    "year": float(MONTHS_IN_YEAR),
}
_OLDEST_MONTHS = 125 * MONTHS_IN_YEAR


def parse_age_months(text: str) -> float:
    """An age in months: ``8 years``, ``18 months``, ``1 year 6 months``, ``6 weeks``.

    :raises BadInput: for anything else, and for an age that nobody reaches.
    """
    months, at, plain = 0.0, 0, text.strip().casefold()
    while at < len(plain) and (match := _AGE_TERM.match(plain, at)):
        months += float(match.group(1)) * _MONTHS[match.group(2).removesuffix("s")]
        at = match.end()
    if not plain or at < len(plain) or months > _OLDEST_MONTHS:
        raise BadInput(
            "this cannot be read as an age", given=text, hint='write "8 years" or "18 months"'
        )
    return months


def read_sizes(
    forms: Sequence[SizeForm], kind: Garment | None, problems: Problems
) -> tuple[SizeRequest, ...]:
    """The sizes in their order; what cannot be goes to ``problems``."""
    _check_names(forms, problems)
    own: list[dict[str, float]] = []
    doubtful: set[int] = set()  # sizes of which something is refused already
    for index, form in enumerate(forms):
        before = len(problems)
        own.append(_measures(form, index, kind, problems))
        if len(problems) > before:
            doubtful.add(index)
    sizes = []
    for index, chain in enumerate(_chains(forms, problems, doubtful)):
        measures: dict[str, float] = {}
        for other in reversed(chain):
            measures.update(own[other])
        if doubtful.isdisjoint(chain):
            _check_complete(measures, index, kind, problems)
        wearer, age = _wearer(forms, chain, problems, doubtful)
        sizes.append(SizeRequest(forms[index].name, wearer, MappingProxyType(measures), age))
    return tuple(sizes)


def _check_names(forms: Sequence[SizeForm], problems: Problems) -> None:
    """Two sizes may not share a name, nor have names that a reader would take for one."""
    seen: dict[str, str] = {}
    for index, form in enumerate(forms):
        key = " ".join(unicodedata.normalize("NFKC", form.name).casefold().split())
        if key in seen:
            problems.refuse(
                ("sizes", index, "name"),
                "two sizes have the same name, or nearly so",
                given=f"“{seen[key]}” and “{form.name}”",
                hint="name them apart by letters or digits",
            )
        seen.setdefault(key, form.name)


# --- measures ------------------------------------------------------------------------------------


def _measures(
    form: SizeForm, index: int, kind: Garment | None, problems: Problems
) -> dict[str, float]:
    given: Mapping[str, Any] = form.model_extra or {}
    if kind is None:
        return {}
    known = {measure.name: measure for measure in kind.measures}
    measures: dict[str, float] = {}
    for name, value in given.items():
        path: Path = ("sizes", index, name)
        if name not in known:
            problems.refuse(
                path,
                f"the garment “{kind.name}” takes no measure “{name[:80]}”",
                given=name,
                hint=nearest(name, [*known, *SizeForm.model_fields]),
            )
            continue
        with problems.catch(path):
            measures[name] = _measure_mm(value, known[name])
    return measures


def _measure_mm(value: object, measure: Measure) -> float:
    if not isinstance(value, str):
        raise BadInput(
            "a length with its unit is needed here, in quotes",
            given="a list or table" if isinstance(value, Mapping | list) else type(value).__name__,
            hint=f'{measure.name}: {measure.words}, as "55 cm"',
        )
    mm = parse_length_mm(value)
    if not measure.least_mm <= mm <= measure.most_mm:
        low, high = (
            format_both(mm, UnitSystem.INCHES) for mm in (measure.least_mm, measure.most_mm)
        )
        raise BadInput(
            f"“{measure.name}” lies between {low} and {high}",
            given=value,
            hint=f"measure {measure.words}",
        )
    return mm


def _check_complete(
    measures: Mapping[str, float], index: int, kind: Garment | None, problems: Problems
) -> None:
    for measure in kind.measures if kind else ():
        if measure.required and measure.name not in measures:
            problems.refuse(
                ("sizes", index, measure.name),
                f"“{measure.name}” is missing",
                hint=f'{measure.name}: {measure.words}, as "55 cm"',
            )


# --- like ----------------------------------------------------------------------------------------


def _chains(forms: Sequence[SizeForm], problems: Problems, doubtful: set[int]) -> list[list[int]]:
    """For each size the places of itself and all that it is like, itself first.

    Sizes that are like one that is not there, or each like the next, join ``doubtful``.
    """
    at = {form.name: index for index, form in reversed(list(enumerate(forms)))}
    chains = []
    told: set[int] = set()
    for start in range(len(forms)):
        chain = [start]
        while (name := forms[chain[-1]].like) is not None:
            here = chain[-1]
            if name not in at:
                doubtful.add(here)
                if here == start:
                    problems.refuse(
                        ("sizes", start, "like"),
                        "no size of this name",
                        given=name,
                        hint=nearest(name, at),
                    )
                break
            if at[name] in chain:
                ring = chain[chain.index(at[name]) :]
                if not told & set(ring):
                    problems.refuse(
                        ("sizes", start, "like"),
                        "these sizes are each said to be like the next, round in a ring",
                        given=" → ".join(forms[i].name for i in (*ring, ring[0])),
                        hint="give the measures themselves in one of them",
                    )
                told.update(ring)
                doubtful.update(ring)
                break
            chain.append(at[name])
        chains.append(chain)
    return chains


# --- the wearer ----------------------------------------------------------------------------------


def _wearer(
    forms: Sequence[SizeForm], chain: Sequence[int], problems: Problems, doubtful: set[int]
) -> tuple[Wearer, float | None]:
    """Who will wear it, from the first of the chain that says so, and the age in months."""
    start = chain[0]
    for index in chain:
        form = forms[index]
        if form.age is None and form.wearer is None:
            continue
        months = None
        if form.age is not None:
            try:
                months = parse_age_months(form.age)
            except BadInput as error:
                if index == start:  # a size that is like this one does not tell it again
                    problems.add(("sizes", start, "age"), error)
        by_age = None if months is None else wearer_of_age(months)
        if index == start and by_age and form.wearer and by_age is not form.wearer:
            problems.refuse(
                ("sizes", start, "wearer"),
                "the age and the wearer do not agree",
                given=f"{form.age}, {form.wearer}",
                hint=f"leave one out; at this age say {by_age}",
            )
        return form.wearer or by_age or Wearer.ADULT, months
    if not doubtful.isdisjoint(chain):
        return Wearer.ADULT, None  # what is refused already will be mended first
    problems.refuse(
        ("sizes", start, "wearer"),
        "it is not said who will wear this size",
        hint='wearer = "adult", "child" (below 14 years) or "infant" (below 3); or age = "8 years"',
    )
    return Wearer.ADULT, None
