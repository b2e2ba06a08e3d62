"""What the library's tests share: a clock that is set by hand, ids in order, and things to keep.

All of it is the Tern Point rowing club's, which is invented.
"""

from __future__ import annotations

import itertools
import struct
import zlib
from datetime import UTC, datetime, timedelta

from pegwright.gauge.fabric_gauge import Swatch
from pegwright.library.making import Event, EventKind
from pegwright.library.records import (
    DesignText,
    Ids,
    OwnBoard,
    OwnPerson,
    OwnSwatch,
    OwnYarn,
    stamp,
)
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured
from pegwright.sizing.people import Person
from pegwright.yarn.colour import Colour, ColourRun, Stretch
from pegwright.yarn.yarn import Yarn

START = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


class SetClock:
    """A clock that stands still until it is moved."""

    def __init__(self, now: datetime = START) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now

    def move(self, **by: float) -> None:
        self.now += timedelta(**by)


def ids(prefix: str = "id") -> Ids:
    """Ids in order: ``id-1``, ``id-2`` …"""
    numbers = itertools.count(1)
    return lambda: f"{prefix}-{next(numbers)}"


def at(seconds: float = 0) -> str:
    return stamp(START + timedelta(seconds=seconds))


LOOM = Loom(Arrangement.OPPOSED, 40, 11.1125, 31.75, 4.7, name="boathouse board")
BOARD = OwnBoard(LOOM, Measured(1.04, 0.02), 12.7, (3.175, 6.35, 6.35))
RUST = Yarn(
    "Slipway worsted", 4, 190.0, 5.5, 100.0, None, 9.5, "wool", "rust", "#A4482C", invented=True
)
YARN = OwnYarn(RUST, 2.0, True)
RUN = ColourRun(
    (Stretch(Colour("rust", "#a4482c"), 0.3), Stretch(Colour("cream", "#f2ead8"), 0.45)),
    0.05,
    0.1,
    7,
)
STRIPING = OwnYarn(Yarn("Ebb sock", 1, 420.0, colour="rust and cream"), 1.0, False, RUN)
SWATCH = OwnSwatch(
    Swatch(18, Measured(101.6, 1.0), 24, Measured(100.0), False, "before the wash"),
    wrap="double-board stockinette",
)
COX = OwnPerson(
    Person("cox", "child", {"head": 530.5, "height": 400.0}, "prefers a loose brow"),
    "2015-04-30",
    "2026-11-01",
)
TOML = """pegwright = 1

[design]
title = "Tern Point hood"
garment = "folded-strip-hood"

[loom]
pegs = 40
gap = "1 1/4 in"
"""
HOOD = DesignText("Tern Point hood", "folded-strip-hood", TOML)


def hood(gap: str) -> DesignText:
    """The hood on a board with another gap."""
    return DesignText(HOOD.title, HOOD.garment, TOML.replace("1 1/4 in", gap))


def row(device: str, counter: int, rows: int = 1, seconds: float = 0, piece: str = "") -> Event:
    return Event(
        f"{device}-{counter}", device, counter, at(seconds), EventKind.ROW, piece=piece, rows=rows
    )


def png(side: int = 1, shade: int = 0) -> bytes:
    """A grey square as PNG."""

    def chunk(name: bytes, data: bytes) -> bytes:
        body = name + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    lines = (b"\0" + bytes([shade]) * side) * side
    header = struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0)
    parts = (chunk(b"IHDR", header), chunk(b"IDAT", zlib.compress(lines)), chunk(b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


JPEG = b"\xff\xd8\xff\xe0\x00\x10JFIF\x00" + bytes(40)
WEBP = b"RIFF\x20\x00\x00\x00WEBPVP8 " + bytes(24)
