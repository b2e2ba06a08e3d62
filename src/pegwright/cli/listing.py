"""``pegwright list``: what comes with Pegwright."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from types import MappingProxyType

from pegwright.cli import screen

__all__ = ["NAME", "TOPICS", "WORDS", "add_arguments", "run"]

NAME = "list"
WORDS = "list the wraps, garments, designs, yarn weights or faults that Pegwright knows"

Row = dict[str, object]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("topic", choices=tuple(TOPICS), help="what to list")
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """List it."""
    rows = TOPICS[options.topic]()
    if options.json:
        screen.say_json(rows)
        return 0
    header = list(rows[0]) if rows else []
    cells = [[_cell(row[name]) for name in header] for row in rows]
    screen.say(screen.table([name.replace("_", " ") for name in header], cells))
    return 0


def _cell(value: object) -> str:
    if isinstance(value, list):
        return ", ".join(map(str, value)) or "any"
    return "" if value is None else str(value)


def _wraps() -> list[Row]:
    from pegwright.knitting.wraps import SHIPPED

    return [
        {
            "name": wrap.name,
            "boards": wrap.boards,
            "structure": str(wrap.structure),
            "first_row": str(wrap.first_row),
            "words": wrap.words,
        }
        for wrap in SHIPPED
    ]


def _garments() -> list[Row]:
    from pegwright.garments.registry import garments

    return [
        {
            "name": kind.name,
            "measures": [m.name if m.required else f"({m.name})" for m in kind.measures],
            "options": [option.name for option in kind.options],
            "wraps": list(kind.wraps),
            "words": kind.words,
        }
        for kind in garments().values()
    ]


def _designs() -> list[Row]:
    from pegwright.designs.files import shipped_designs, shipped_text
    from pegwright.designs.reader import read_text

    rows: list[Row] = []
    for name in shipped_designs():
        design = read_text(shipped_text(name), name)
        sizes = [size.name for size in design.sizes]
        rows.append(
            {
                "name": name,
                "garment": design.garment,
                "sizes": sizes,
                "words": design.summary,
            }
        )
    return rows


def _yarn_weights() -> list[Row]:
    from pegwright.yarn.category import CATEGORIES, Span

    def span(value: Span | None) -> str | None:
        if value is None:
            return None
        if value.low is None or value.high is None:
            return f"{value.high:g} or less" if value.low is None else f"{value.low:g} or more"
        return f"{value.low:g}–{value.high:g}" + ("+" if value.or_more else "")

    return [
        {
            "number": known.number,
            "name": known.name,
            "stitches_per_4in": span(known.stitches_per_4in),
            "wraps_per_inch": span(known.wraps_newer),
            "m_per_100g": span(known.metres_per_100g),
            "also_called": ", ".join(known.also_called),
        }
        for known in CATEGORIES
    ]


def _faults() -> list[Row]:
    from pegwright.errors import Spot
    from pegwright.knitting.faults import Fault, finding

    rows: list[Row] = []
    for fault in Fault:
        shown = finding(fault, "", Spot())
        rows.append({"name": shown.name, "severity": str(shown.severity), "mend": shown.mend})
    return rows


TOPICS: Mapping[str, Callable[[], list[Row]]] = MappingProxyType(
    {
        "wraps": _wraps,
        "garments": _garments,
        "designs": _designs,
        "yarn-weights": _yarn_weights,
        "faults": _faults,
    }
)
