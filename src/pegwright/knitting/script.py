"""A script: the whole work on one loom for one size, step by step.

A :class:`Step` is what becomes one written step of the pattern; its number is the one printed, so a
fault found while executing can point at the line the maker reads.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum

from pegwright.errors import BadInput
from pegwright.knitting.operations import Operation, Part, Repeat
from pegwright.knitting.wraps import Cloth
from pegwright.loom.board import Loom

__all__ = ["PieceSpec", "Script", "Step", "Work", "digest", "flatten"]

Work = tuple[Operation | Repeat, ...]


@dataclass(frozen=True, slots=True)
class PieceSpec:
    """A piece that the script makes."""

    name: str
    cloth: Cloth = Cloth.DOUBLE


@dataclass(frozen=True, slots=True)
class Step:
    """One step: its number, its piece, what its yarn is for, and its operations.

    ``key`` says what kind of step it is (stable, lower case); the pattern picks its words by it.
    """

    number: int
    key: str
    piece: str
    part: Part
    work: Work


@dataclass(frozen=True, slots=True)
class Script:
    """All steps for one size.

    :raises BadInput: where a step names a piece that the script does not have.
    """

    loom: Loom
    pieces: tuple[PieceSpec, ...]
    steps: tuple[Step, ...]
    size: str = "one size"

    def __post_init__(self) -> None:
        names = {p.name for p in self.pieces}
        for step in self.steps:
            if step.piece not in names:
                raise BadInput("a step names an unknown piece", given=step.piece)

    def digest(self) -> str:
        """SHA-256 over everything that is executed, in hexadecimal."""
        return digest(self)


def flatten(work: Work) -> tuple[Operation, ...]:
    """The work with every repeat written out: the plain reference for tests and small scripts."""
    out: list[Operation] = []
    for item in work:
        if isinstance(item, Repeat):
            out.extend(flatten(item.body) * item.times)
        else:
            out.append(item)
    return tuple(out)


def digest(value: object) -> str:
    """SHA-256 of a frozen value's canonical text, in hexadecimal; the same on every machine."""
    sha = hashlib.sha256()

    def feed(item: object) -> None:
        if is_dataclass(item) and not isinstance(item, type):
            sha.update(f"{type(item).__name__}(".encode())
            for f in fields(item):
                feed(getattr(item, f.name))
            sha.update(b")")
        elif isinstance(item, tuple):
            sha.update(b"(")
            for part in item:
                feed(part)
            sha.update(b")")
        elif isinstance(item, Enum):
            sha.update(f"{type(item).__name__}.{item.name};".encode())
        else:
            sha.update(f"{item!r};".encode())

    feed(value)
    return sha.hexdigest()
