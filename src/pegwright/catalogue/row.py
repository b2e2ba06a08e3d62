"""A row of the catalogue: one size on one board with one yarn; and the rows as JSON and CSV."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

__all__ = ["Row", "row_of", "rows_csv", "rows_json"]


@dataclass(frozen=True, slots=True)
class Row:
    """One size on one board with one yarn.

    Figures are None where the size could not be worked out; ``reason`` then says why, and ``offer``
    what would do.  Of a design with several yarns, metres, grams and balls are those of all
    together.

    :param fits: it was executed and has no fault.
    :param pegs: columns of each piece, and ``rows`` its rows, in the order of the pieces.
    :param finished_mm: finished measurements by name; ``sd_mm`` how far off they may well be.
    :param wrap_test_over: pegs a side of the wrap test that draws ``wrap_test_mm``.
    :param faults: names of the faults found, each once.
    """

    board: str
    yarn: str
    size: str
    fits: bool
    pegs: tuple[int, ...] = ()
    rows: tuple[int, ...] = ()
    finished_mm: Mapping[str, float] | None = None
    sd_mm: Mapping[str, float] | None = None
    metres: float | None = None
    grams: float | None = None
    grams_to_have: float | None = None
    balls: int | None = None
    minutes: int | None = None
    wrap_test_over: int | None = None
    wrap_test_mm: float | None = None
    faults: tuple[str, ...] = ()
    reason: str = ""
    offer: str = ""

    def as_data(self) -> dict[str, Any]:
        """The row as plain data, as JSON gives it back."""
        return {f.name: _plain(getattr(self, f.name)) for f in fields(self)}


_TUPLES = frozenset({"pegs", "rows", "faults"})


def row_of(data: Mapping[str, Any]) -> Row:
    """The row of plain data.

    :raises TypeError: for data that is no row.
    """
    values: dict[str, Any] = {k: tuple(v) if k in _TUPLES else v for k, v in data.items()}
    return Row(**values)


def _plain(value: object) -> object:
    if isinstance(value, tuple):
        return list(value)
    return dict(value) if isinstance(value, Mapping) else value


def rows_json(rows: Sequence[Row]) -> bytes:
    """Rows as a JSON list, one object a line, so that two catalogues are easily held together."""
    lines = [json.dumps(row.as_data(), ensure_ascii=False, allow_nan=False) for row in rows]
    return ("[\n" + ",\n".join(lines) + "\n]\n").encode() if lines else b"[]\n"


def rows_csv(rows: Sequence[Row]) -> bytes:
    """Rows as CSV (RFC 4180) in UTF-8, a column for each finished measurement that any row has.

    Lengths are mm to a tenth, yarn in m and g to a tenth; counts of several pieces are joined by
    plus signs.
    """
    finished = list(dict.fromkeys(name for row in rows for name in row.finished_mm or ()))
    header = (
        "board", "yarn", "size", "fits", "pegs", "rows",
        *(f"finished {name} mm" for name in finished),
        "metres", "grams", "grams to have", "balls", "minutes",
        "wrap test pegs", "wrap test mm", "faults", "reason", "offer",
    )  # fmt: skip
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(header)
    for row in rows:
        measures = row.finished_mm or {}
        cells = (
            _safe(row.board), _safe(row.yarn), _safe(row.size), "yes" if row.fits else "no",
            " + ".join(map(str, row.pegs)), " + ".join(map(str, row.rows)),
            *(_tenth(measures.get(name)) for name in finished),
            _tenth(row.metres), _tenth(row.grams), _tenth(row.grams_to_have),
            _count(row.balls), _count(row.minutes),
            _count(row.wrap_test_over), _tenth(row.wrap_test_mm),
            " ".join(row.faults), _safe(row.reason), _safe(row.offer),
        )  # fmt: skip
        writer.writerow(cells)
    return text.getvalue().encode()


def _tenth(value: float | None) -> str:
    return "" if value is None else f"{value:.1f}"


def _count(value: int | None) -> str:
    return "" if value is None else str(value)


def _safe(text: str) -> str:
    """A text that no spreadsheet takes for a formula: one that begins like one gets an apostrophe.

    As OWASP advises against CSV injection (from memory).
    """
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
