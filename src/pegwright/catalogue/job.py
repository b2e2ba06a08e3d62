"""A job of the catalogue: one board and one yarn, in every size; pure, and the same everywhere.

A job is worked out in whatever process or machine it comes to, from its arguments alone, and gives
plain data; so its result can be kept under a **key**, a digest of all that it was worked out from.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

from pegwright import __version__
from pegwright.catalogue.row import Row
from pegwright.designs.model import Design
from pegwright.errors import PegwrightError, Severity
from pegwright.knitting.script import digest
from pegwright.loom.board import Loom
from pegwright.making import Made, prove
from pegwright.pattern.source import ProvedSize
from pegwright.refit.needed import needed
from pegwright.refit.reader import Reader, set_up
from pegwright.yarn.yarn import Yarn

__all__ = ["Job", "key_of", "portable", "work"]

_FORM = 1
"""Goes into every key: to be raised when what a row holds changes."""


@dataclass(frozen=True, slots=True)
class Job:
    """A board and a yarn; ``design`` holds the sizes (see :func:`portable`)."""

    design: Design
    board: Loom
    yarn: Yarn


def portable(design: Design) -> Design:
    """The same design in a form that can be sent to another process: its mappings plain ones."""
    plain: Design = _plain(design)
    return replace(plain, source="")


def _plain(value: Any) -> Any:
    """A value with every mapping in it a dictionary; the value itself where that is so already."""
    if isinstance(value, Mapping):
        plain = {key: _plain(each) for key, each in value.items()}
        same = type(value) is dict and all(plain[key] is value[key] for key in plain)
        return value if same else plain
    if type(value) is tuple:
        parts = tuple(_plain(each) for each in value)
        return value if all(a is b for a, b in zip(parts, value, strict=True)) else parts
    if is_dataclass(value) and not isinstance(value, type):
        old = {f.name: getattr(value, f.name) for f in fields(value)}
        new = {name: _plain(each) for name, each in old.items()}
        changed = {name: each for name, each in new.items() if each is not old[name]}
        return replace(value, **changed) if changed else value
    return value


def key_of(job: Job) -> str:
    """SHA-256, in hexadecimal, of all that a job's result follows from."""
    return digest((_FORM, __version__, _canonical(job)))


def _canonical(value: object) -> object:
    """A value in tuples: mappings sorted, so that their order makes no difference.

    What does not count when two values are compared (a design's text as read) is left out.
    """
    if isinstance(value, Mapping):
        return tuple((str(k), _canonical(v)) for k, v in sorted(value.items()))
    if isinstance(value, tuple):
        return tuple(_canonical(part) for part in value)
    if is_dataclass(value) and not isinstance(value, type):
        named = tuple(
            (f.name, _canonical(getattr(value, f.name))) for f in fields(value) if f.compare
        )
        return (type(value).__name__, named)
    return value


def work(job: Job) -> list[dict[str, Any]]:
    """Work a job out: its rows as plain data, in the order of the sizes."""
    return [row.as_data() for row in _rows(job)]


def _rows(job: Job) -> list[Row]:
    names = [size.name for size in job.design.sizes]
    try:
        design = set_up(job.design, Reader(board=job.board, yarn=job.yarn))
        made = prove(design, keep_going=True)
    except PegwrightError as error:
        return [_refused(job, name, error) for name in names]
    proved = {size.name: size for size in made.sizes}
    errors = {each.name: each.error for each in made.refused}
    return [
        _row(job, made, proved[name])
        if name in proved
        else _refused(job, name, errors[name], _offer(design, name))
        for name in names
    ]


def _row(job: Job, made: Made, size: ProvedSize) -> Row:
    plan, test = size.plan, made.wrap_test
    shared = (f for f in made.findings if f.spot.size is None)
    found = [f for f in (*size.findings, *shared) if f.severity is Severity.FAULT]
    return Row(
        board=job.board.name,
        yarn=job.yarn.label,
        size=size.name,
        fits=not found,
        pegs=tuple(piece.columns for piece in plan.pieces),
        rows=tuple(piece.rows for piece in plan.pieces),
        finished_mm={name: length.value for name, length in plan.finished.items()},
        sd_mm={name: length.sd for name, length in plan.finished.items()},
        metres=sum(need.metres.value for need in size.needs),
        grams=sum(need.grams.value for need in size.needs),
        grams_to_have=sum(need.grams_to_have for need in size.needs),
        balls=sum(need.balls for need in size.needs),
        minutes=size.minutes,
        wrap_test_over=test.columns if test else None,
        wrap_test_mm=test.reading.length_mm if test else None,
        faults=tuple(dict.fromkeys(f.name for f in found)),
        reason=found[0].what if found else "",
    )


def _refused(job: Job, size: str, error: PegwrightError, offer: str = "") -> Row:
    given = f" ({error.given})" if error.given else ""
    reason = f"{error.what.removeprefix(f'size {size}: ')}{given}"
    return Row(
        job.board.name, job.yarn.label, size, False, reason=reason, offer=offer or error.hint or ""
    )


def _offer(design: Design, name: str) -> str:
    size = next(each for each in design.sizes if each.name == name)
    found = needed(design, size)
    return found.words if found else ""
