"""``pegwright catalogue``: a design on many boards with many yarns."""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.cli import screen

if TYPE_CHECKING:
    from pegwright.catalogue.listing import Listing
    from pegwright.catalogue.row import Row
    from pegwright.designs.model import Design
    from pegwright.making import Progress

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "catalogue"
WORDS = "work a design out in every size on every board with every yarn of a list"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("list", metavar="LIST", type=Path, help="a catalogue file")
    parser.add_argument(
        "--out", metavar="DIR", type=Path, default=Path("out"), help="where to write (default: out)"
    )
    who = parser.add_mutually_exclusive_group()
    who.add_argument(
        "--workers", type=int, default=1, metavar="N", help="processes at once (default: 1)"
    )
    who.add_argument("--cluster", metavar="ADDRESS", help="the scheduler of a Dask cluster")
    parser.add_argument(
        "--resume",
        metavar="FILE",
        type=Path,
        help="a journal: goes on where a run was broken off, and keeps what is done",
    )
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Work it out and write catalogue.csv and catalogue.json."""
    from pegwright.catalogue.journal import read_list
    from pegwright.catalogue.row import rows_csv, rows_json
    from pegwright.cli.writing import write_pack

    listing, design = read_list(options.list)
    rows = _rows(options, design, listing)
    pack = {"catalogue.csv": rows_csv(rows), "catalogue.json": rows_json(rows)}
    written = write_pack(options.out, pack)
    if options.json:
        screen.say_json([row.as_data() for row in rows])
    else:
        screen.say(_text(rows))
        screen.say("\n".join(f"Written: {path}" for path in written))
    return 0


def _rows(options: argparse.Namespace, design: Design, listing: Listing) -> tuple[Row, ...]:
    from pegwright.catalogue.catalogue import catalogue
    from pegwright.catalogue.workers import joined

    with joined(options.cluster) as client:
        return catalogue(
            design,
            listing.boards,
            listing.yarns,
            workers=options.workers,
            client=client,
            progress=_teller(),
            resume=options.resume,
        )


def _teller() -> Progress | None:
    """Tells how far it is, on a screen that can be written over."""
    if not sys.stderr.isatty():
        return None

    def tell(what: str, done: int, of: int) -> None:
        ending = "\n" if done == of else ""
        print(f"\r{done} of {of} {what}", end=ending, file=sys.stderr, flush=True)

    return tell


def _text(rows: tuple[Row, ...]) -> str:
    fit = sum(row.fits for row in rows)
    lines = [f"{len(rows)} rows: {fit} fit, {len(rows) - fit} do not."]
    boards = Counter(row.board for row in rows if row.fits)
    whole = Counter(row.board for row in rows)
    table = [(board, f"{boards[board]} of {n}") for board, n in whole.items()]
    return "\n".join([*lines, "", screen.table(("board", "fit"), table), ""])
