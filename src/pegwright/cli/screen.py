"""What the commands say: text and JSON on standard output, the rest on standard error."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from pegwright.errors import Finding
    from pegwright.units import UnitSystem

__all__ = [
    "Result",
    "add_json",
    "aside",
    "findings_text",
    "say",
    "say_json",
    "say_result",
    "table",
]


class Result(Protocol):
    """A result that tells itself, as those of ``yarn`` and ``planning`` do."""

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """Whole sentences."""
        ...

    def as_data(self) -> dict[str, object]:
        """Plain data."""
        ...


_HARMLESS = "\n\N{NO-BREAK SPACE}"
"""Letters that count as unprintable and steer no screen; the latter holds a figure to its unit."""


def say(text: str) -> None:
    """A line or more on standard output."""
    print(_visible(text))


def say_json(data: object) -> None:
    """Data as JSON on standard output; letters outside ASCII are escaped, for every screen."""
    print(json.dumps(data, indent=2, allow_nan=False))


def say_result(
    result: Result, units: UnitSystem, *, as_json: bool, findings: Iterable[Finding] = ()
) -> None:
    """A result as sentences, with how to mend what was noticed, or as JSON."""
    if as_json:
        say_json(result.as_data())
        return
    say("\n".join(result.words(units)))
    if mends := list(dict.fromkeys(f.mend for f in findings)):
        say("\n".join(f"  mend: {mend}" for mend in mends))


def aside(text: str) -> None:
    """A line or more on standard error."""
    print(_visible(text), file=sys.stderr)


def _visible(text: str) -> str:
    """The text with letters that would steer the screen written out, as a file may hold them."""
    if text.isprintable():
        return text
    return "".join(
        c if c.isprintable() or c in _HARMLESS else c.encode("unicode_escape").decode()
        for c in text
    )


def add_json(parser: argparse.ArgumentParser) -> None:
    """The option ``--json``, the same for every command."""
    parser.add_argument("--json", action="store_true", help="answer in JSON, errors too")


def findings_text(findings: Iterable[Finding]) -> str:
    """Findings, the heaviest first, each that is said of several sizes only once."""
    from pegwright.errors import Severity

    order = list(Severity)
    spots: dict[tuple[str, str, str], list[str]] = {}
    for finding in sorted(findings, key=lambda f: order.index(f.severity)):
        key = (str(finding.severity), finding.what, finding.mend)
        spots.setdefault(key, []).append(str(finding.spot))
    blocks = []
    for (severity, what, mend), places in spots.items():
        where = "; ".join(place for place in places if place)
        blocks.append(
            f"{severity}: {what}" + (f" [{where}]" if where else "") + f"\n  mend: {mend}"
        )
    return "\n".join(blocks)


def table(header: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Columns of text, two spaces apart."""
    lines = [header, *rows]
    widths = [max(len(line[i]) for line in lines) for i in range(len(header))]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in lines
    )
