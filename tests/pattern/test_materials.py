"""What is needed of every yarn, as it is printed, against what the run drew."""

from __future__ import annotations

import pytest

from pegwright import making
from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.pattern.materials import MOST_COLUMNS, need_tables
from pegwright.pattern.model import TableBlock
from pegwright.pattern.source import Source


def source_of(name: str) -> Source:
    return making.source_of(making.prove(read_text(shipped_text(name), name)))


def grams(cell: str) -> float:
    return float(cell.split(" g")[0])


def row(table: TableBlock, name: str) -> tuple[str, ...]:
    return next(r for r in table.rows if r[0].startswith(name))


def test_one_size_of_many_yarns_has_them_side_by_side() -> None:
    source = source_of("tern-point-boat-blanket")
    tables = need_tables(source)
    names = [name for table in tables for name in table.header[1:]]
    assert names == [need.yarn.name for need in source.sizes[0].needs]
    assert all(1 < len(table.header) <= 1 + MOST_COLUMNS for table in tables)
    assert all(len(r) == len(table.header) for table in tables for r in table.rows)
    weights = [grams(cell) for table in tables for cell in row(table, "weight")[1:]]
    drawn = [need.grams.value for need in source.sizes[0].needs]
    assert weights == pytest.approx(drawn, abs=0.51)
    # By hand: the shipped blanket is bound off with one yarn only, and cast on with one.
    for part in ("cast-on", "bind-off"):
        cells = [c for t in tables for r in t.rows if r[0] == part for c in r[1:] if c != "–"]
        assert len(cells) == 1


def test_several_sizes_have_a_table_for_each_yarn() -> None:
    source = source_of("tern-point-ribbed-scarf")
    tables = need_tables(source)
    assert len(tables) == 2
    assert all(t.header[1:] == tuple(s.name for s in source.sizes) for t in tables)
    for table, number in zip(tables, (0, 1), strict=True):
        drawn = [size.needs[number].grams.value for size in source.sizes]
        assert [grams(c) for c in row(table, "weight")[1:]] == pytest.approx(drawn, abs=0.51)
