"""Measurements of refitting and of the catalogue: many sizes, boards and yarns."""

from __future__ import annotations

import time
from dataclasses import replace

from bench.harness import Row, Sense, median_seconds
from pegwright.catalogue.catalogue import catalogue
from pegwright.catalogue.row import rows_json
from pegwright.designs.files import read_any
from pegwright.designs.model import Design, SizeRequest
from pegwright.garments.base import Wearer
from pegwright.loom.board import Loom
from pegwright.refit.reader import Reader
from pegwright.refit.refit import refit
from pegwright.yarn.yarn import Yarn

__all__ = ["rows"]

_SIZES, _BOARDS, _YARNS = 6, 50, 5
_FEW_BOARDS = 15


def rows() -> list[Row]:
    """The area's rows."""
    return [_refit(), *_catalogue()]


def _hood() -> Design:
    sizes = tuple(
        SizeRequest(f"size {i + 1}", Wearer.ADULT, {"head": 500.0 + 18 * i}) for i in range(_SIZES)
    )
    return replace(read_any("tern-point-hood"), sizes=sizes)


def _refit() -> Row:
    hood = _hood()
    reader = Reader(board=replace(hood.loom, gap_mm=30.0))

    def work() -> None:
        assert refit(hood, reader).as_asked

    return Row("sizes.refit_six_ms", 1000 * median_seconds(work, repeats=9), "ms", 300)


def _boards(count: int) -> tuple[Loom, ...]:
    like = read_any("tern-point-hood").loom
    return tuple(
        replace(like, pegs=28 + i, gap_mm=20.0 + 0.3 * i, name=f"board {i + 1}")
        for i in range(count)
    )


def _seconds(boards: int, workers: int) -> tuple[float, bytes]:
    yarns = tuple(Yarn(f"yarn {i + 1}", 4, 130.0 + 20 * i, invented=True) for i in range(_YARNS))
    start = time.perf_counter()
    made = catalogue(_hood(), _boards(boards), yarns, workers=workers)
    seconds = time.perf_counter() - start
    if len(made) != _SIZES * boards * _YARNS:
        raise RuntimeError("rows are missing")
    return seconds, rows_json(made)


def _catalogue() -> tuple[Row, Row]:
    """The whole catalogue on two workers, and how many times faster they are than one.

    The starting of the workers is counted in both.  The speed-up is taken on a part of the
    catalogue, the quicker of two runs each, as other work on the machine tells more there.
    """
    whole, _ = _seconds(_BOARDS, 2)
    runs = [(_seconds(_FEW_BOARDS, 1), _seconds(_FEW_BOARDS, 2)) for _ in range(2)]
    if len({made for pair in runs for _, made in pair}) != 1:
        raise RuntimeError("two workers do not give what one gives")
    one, two = (min(pair[i][0] for pair in runs) for i in (0, 1))
    return (
        Row("sizes.catalogue_s", whole, "s", 60),
        Row("sizes.catalogue_speedup", one / two, "x", 1.3, Sense.AT_LEAST),
    )
