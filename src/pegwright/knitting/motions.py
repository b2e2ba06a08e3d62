"""The single motions of the maker's hands that an operation is made of, and what each does.

A **move** is one motion: one peg wrapped, one peg knitted over.  It tells what the pegs it touches
held before and after.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import NamedTuple

from pegwright.knitting.operations import (
    BindOffOver,
    DrawThrough,
    Graft,
    HangKnot,
    Increase,
    KnitOver,
    LiftOff,
    Move,
    Operation,
    Purl,
    ThreadCastOn,
    ThreadLive,
    WrapAndTurn,
    WrapKind,
    WrapPegs,
)
from pegwright.knitting.run import operate
from pegwright.knitting.state import LoomState

__all__ = ["Change", "Moved", "atoms", "moved", "pegs_named"]


class Change(NamedTuple):
    """What a peg held before and after, the lowest loop first."""

    peg: int
    before: tuple[int, ...]
    after: tuple[int, ...]


class Moved(NamedTuple):
    """One motion of the hands: the pegs it is about, what changed, and the loop it laid (or -1)."""

    pegs: tuple[int, ...]
    changes: tuple[Change, ...]
    loop: int


def atoms(operation: Operation) -> tuple[Operation, ...]:
    """An operation as single motions of the hands that leave the same loops on the same pegs."""
    match operation:
        case WrapPegs(visits, kind) if visits:
            then = WrapKind.GO_ON if kind is WrapKind.ROW else kind
            return (
                WrapPegs(visits[:1], kind),
                *(WrapPegs((visit,), then) for visit in visits[1:]),
            )
        case KnitOver(pegs, lift, over) if pegs:
            return tuple(KnitOver((peg,), lift, over) for peg in pegs)
        case Purl(visits) if visits and len({v.peg for v in visits}) == len(visits):
            return tuple(Purl((visit,)) for visit in visits)
        case BindOffOver(pegs) if len(pegs) > 1:
            return tuple(BindOffOver(pair) for pair in pairwise(pegs))
        case ThreadLive(carrier, pegs) if pegs:
            return tuple(ThreadLive(carrier, (peg,)) for peg in pegs)
        case Graft(carrier, piece, pegs) if pegs:
            lifts = tuple(ThreadLive(carrier, (peg,)) for peg in pegs)
            return (*lifts, ThreadCastOn(carrier, piece, pegs))
    return (operation,)


def moved(state: LoomState, atom: Operation) -> Moved:
    """Work one motion, and tell what it did."""
    known = range(state.loom.peg_count)
    pegs = tuple(dict.fromkeys(p for p in pegs_named(atom) if p in known))
    watched = known if isinstance(atom, LiftOff) else pegs
    laid = state.record.next_loop
    held = [tuple(state.stacks[peg]) for peg in watched]
    operate(state, atom)
    changes = tuple(
        Change(peg, before, after)
        for peg, before in zip(watched, held, strict=True)
        if (after := tuple(state.stacks[peg])) != before
    )
    return Moved(pegs, changes, laid if state.record.next_loop > laid else -1)


_PEGS: dict[type, Callable[..., tuple[int, ...]]] = {
    HangKnot: lambda o: (o.peg,),
    WrapPegs: lambda o: tuple(v.peg for v in o.visits),
    WrapAndTurn: lambda o: (o.visit.peg,),
    KnitOver: lambda o: o.pegs,
    Purl: lambda o: tuple(v.peg for v in o.visits),
    Move: lambda o: (o.source, o.target),
    Increase: lambda o: (o.peg, o.beside),
    BindOffOver: lambda o: o.pegs,
    DrawThrough: lambda o: (o.peg,),
    ThreadLive: lambda o: o.pegs,
    Graft: lambda o: o.pegs,
}


def pegs_named(operation: Operation) -> tuple[int, ...]:
    """The pegs that an operation names, in its order; of others only lifting off changes one."""
    named = _PEGS.get(type(operation))
    return named(operation) if named is not None else ()
