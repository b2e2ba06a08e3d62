"""Two pieces alike: the second is worked as the first was, in two steps that say so."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import Any

from pegwright.garments.strip import Steps
from pegwright.knitting.operations import Operation, Part, Repeat, TakeLength
from pegwright.knitting.script import PieceSpec, Step, Work, flatten
from pegwright.knitting.wraps import Cloth

__all__ = ["PAIR_FACTS", "pair_pieces", "pair_steps"]

PAIR_FACTS = ("again_from", "again_to")
"""Facts that the words of the second piece need: the first piece's second and last step."""


def pair_pieces(name: str, cloth: Cloth) -> tuple[PieceSpec, PieceSpec]:
    """The two pieces of a pair, such as ``first mitt`` and ``second mitt``."""
    return PieceSpec(f"first {name}", cloth), PieceSpec(f"second {name}", cloth)


def pair_steps(one: Steps, name: str) -> tuple[tuple[Step, ...], dict[str, float]]:
    """The steps of a pair, out of those of one ``strip``, and the facts that the words need.

    The second piece's cast-on is a step of its own, so that yarn is counted to the right part; all
    else follows in one step, with every length of yarn under a name of its own.
    """
    first = tuple(_renamed(step, {"strip": f"first {name}"}) for step in one.made)
    names = {"strip": f"second {name}"} | {c: f"second {c}" for c in _carriers(one.made)}
    cast_on, *rest = (_renamed(step, names) for step in one.made)
    last = len(first)
    again = (
        replace(cast_on, number=last + 1, key="again-cast-on"),
        Step(
            last + 2,
            "again",
            f"second {name}",
            Part.BODY,
            tuple(op for step in rest for op in step.work),
        ),
    )
    return (*first, *again), dict(zip(PAIR_FACTS, (2.0, float(last)), strict=True))


def _carriers(steps: list[Step]) -> list[str]:
    """Lengths of yarn that are cut to thread or sew with."""
    return [o.name for s in steps for o in flatten(s.work) if isinstance(o, TakeLength)]


def _renamed(step: Step, names: dict[str, str]) -> Step:
    """The step with pieces and lengths of yarn under other names."""
    piece = names.get(step.piece, step.piece)
    return replace(step, piece=piece, work=_work(step.work, names))


def _work(work: Work, names: dict[str, str]) -> Work:
    return tuple(
        replace(item, body=_work(item.body, names))
        if isinstance(item, Repeat)
        else _operation(item, names)
        for item in work
    )


def _operation(operation: Operation, names: dict[str, str]) -> Operation:
    changed = {
        f.name: _value(getattr(operation, f.name), names)
        for f in fields(operation)
        if f.name in ("piece", "carrier", "edges", "one", "other")
        or (f.name == "name" and isinstance(operation, TakeLength))
    }
    return replace(operation, **changed)


def _value(value: Any, names: dict[str, str]) -> Any:
    """A name, or names inside tuples, changed; everything else as it is."""
    if isinstance(value, tuple):
        return tuple(_value(v, names) for v in value)
    if type(value) is str and not is_dataclass(value):
        return names.get(value, value)
    return value
