"""The one error family, and findings.

Two words, two uses:

* an **error** (:class:`PegwrightError`) stops the work: the input cannot be used.  It always says
  what is wrong, what was given and what to try, and it knows its place and its exit code;
* a **finding** (:class:`Finding`) is data: something the simulated loom, the safety rules or the
  wrap test noticed.  Findings are collected and returned beside a result; they are never raised
  one at a time and never logged.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import IntEnum, StrEnum

__all__ = [
    "BadInput",
    "BadUse",
    "ExitCode",
    "Finding",
    "NotPossible",
    "PegwrightError",
    "Place",
    "Severity",
    "Spot",
    "worst",
]


class ExitCode(IntEnum):
    """Exit codes of the command, one a kind of ending."""

    OK = 0
    FAULTS = 1  # the design was read and executed, and it has faults
    USAGE = 2  # the command was typed wrongly
    BAD_INPUT = 3  # a file or a value cannot be used
    NOT_POSSIBLE = 4  # good input, but no such fabric, board or plan exists


@dataclass(frozen=True, slots=True)
class Place:
    """Where in the maker's own files something stands.

    ``line`` counts from 1; ``field`` is the dotted key, such as ``loom.gap``.
    """

    file: str | None = None
    line: int | None = None
    field: str | None = None

    def __str__(self) -> str:
        where = self.file or ""
        if self.line is not None:
            where = f"{where or 'design'}, line {self.line}"
        if self.field:
            where = f"{where}, {self.field}" if where else self.field
        return where


class PegwrightError(Exception):
    """Root of every error that Pegwright raises on purpose.

    :param what: what is wrong, in plain words.
    :param given: what was given, as the maker typed it.
    :param hint: what to try.
    :param place: where it stands, if that is known.
    """

    exit_code: ExitCode = ExitCode.BAD_INPUT

    def __init__(
        self,
        what: str,
        *,
        given: object = None,
        hint: str | None = None,
        place: Place | None = None,
    ) -> None:
        super().__init__(what)
        self.what = what
        self.given = None if given is None else _shortened(str(given))
        self.hint = hint
        self.place = place

    def at(self, place: Place) -> PegwrightError:
        """The same error with its place filled in where it was not known."""
        if self.place is None:
            self.place = place
        else:
            self.place = replace(
                self.place,
                file=self.place.file or place.file,
                line=self.place.line or place.line,
                field=self.place.field or place.field,
            )
        return self

    def __str__(self) -> str:
        lines = [self.what]
        if self.place is not None and str(self.place):
            lines.append(f"  where: {self.place}")
        if self.given is not None:
            lines.append(f"  given: {self.given}")
        if self.hint:
            lines.append(f"  try:   {self.hint}")
        return "\n".join(lines)

    def as_data(self) -> dict[str, object]:
        """The error as plain data, the one JSON error shape of every command."""
        place = self.place or Place()
        return {
            "error": self.what,
            "given": self.given,
            "try": self.hint,
            "file": place.file,
            "line": place.line,
            "field": place.field,
        }


class BadInput(PegwrightError):
    """A file or a value cannot be used as it stands."""


class BadUse(PegwrightError):
    """The command or function was called in a way it does not take."""

    exit_code = ExitCode.USAGE


class NotPossible(PegwrightError):
    """Good input, but no such fabric, board or plan exists."""

    exit_code = ExitCode.NOT_POSSIBLE


class Severity(StrEnum):
    """How much a finding weighs, heaviest first."""

    FAULT = "fault"  # the pattern must not be knitted or published so
    CAUTION = "caution"  # someone could be hurt, or the piece may disappoint
    NOTE = "note"  # worth knowing


@dataclass(frozen=True, slots=True)
class Spot:
    """Where in the knitting a finding lies.

    ``row`` counts courses of the piece from 1 (cast-on is row 0); ``step`` is the number of the
    written step; ``peg`` is a peg address such as ``F12``.
    """

    size: str | None = None
    piece: str | None = None
    row: int | None = None
    peg: str | None = None
    step: int | None = None

    def __str__(self) -> str:
        parts = [
            ("size", self.size),
            ("piece", self.piece),
            ("row", self.row),
            ("peg", self.peg),
            ("step", self.step),
        ]
        return ", ".join(f"{name} {value}" for name, value in parts if value is not None)


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing noticed.

    ``name`` is stable (kebab-case, documented in docs/findings.md); ``what`` and ``mend`` are
    sentences for the maker.
    """

    name: str
    severity: Severity
    what: str
    mend: str
    spot: Spot = field(default_factory=Spot)

    def __str__(self) -> str:
        where = str(self.spot)
        head = f"{self.severity}: {self.what}"
        return f"{head} [{where}]\n  mend: {self.mend}" if where else f"{head}\n  mend: {self.mend}"

    def as_data(self) -> dict[str, object]:
        """The finding as plain data for JSON."""
        return {
            "name": self.name,
            "severity": str(self.severity),
            "what": self.what,
            "mend": self.mend,
            "size": self.spot.size,
            "piece": self.spot.piece,
            "row": self.spot.row,
            "peg": self.spot.peg,
            "step": self.spot.step,
        }


def worst(findings: tuple[Finding, ...]) -> Severity | None:
    """The heaviest severity among findings, or None where there are none."""
    order = list(Severity)
    return min((f.severity for f in findings), key=order.index, default=None)


def _shortened(text: str, most: int = 200) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"
